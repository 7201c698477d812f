"""Readers of papers that know nothing of how they are made: what stands in an HTML page, a PDF and a CSV."""

from __future__ import annotations

import csv
import io
from html.parser import HTMLParser

from pypdf import PdfReader


class Page(HTMLParser):
    """An independent reader of HTML: what stands in it, and everything that could load something."""

    def __init__(self, content: bytes) -> None:
        super().__init__(convert_charrefs=True)
        self.tags: list[str] = []
        self.isolated: list[str] = []
        self.texts: list[str] = []
        self.loads: list[str] = []
        self.metas: list[dict[str, str | None]] = []
        self.style = ""
        self._open: list[str] = []
        self.feed(content.decode("utf-8"))

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.loads += [value or "" for name, value in attrs if name in ("src", "href", "srcset", "data", "action")]
        assert not [name for name, _ in attrs if name.startswith("on") or name == "style"]
        if tag == "meta":
            self.metas.append(dict(attrs))
        if tag not in ("meta", "input", "br", "img", "col"):
            self._open.append(tag)
        if tag == "bdi":
            self.isolated.append("")

    def handle_endtag(self, tag: str) -> None:
        assert self._open.pop() == tag

    def handle_data(self, data: str) -> None:
        self.texts.append(data)
        if "bdi" in self._open:
            self.isolated[-1] += data
        if self._open and self._open[-1] == "style":
            self.style += data


def pdf_text(content: bytes) -> str:
    return "\n".join(page.extract_text() for page in PdfReader(io.BytesIO(content)).pages)


def csv_rows(content: bytes) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(content.decode("utf-8"), newline="")))
