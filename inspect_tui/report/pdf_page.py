"""Sets a PDF from a template: data goes in as JSON and is only ever text, fonts come with the library, no network.

The same data gives the same bytes: the document's date is the one of the data, never of the clock.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Any

from inspect_tui.report.html_page import TEMPLATES, need
from inspect_tui.report.paper_file import PaperError

EPOCH = 0  # the time that goes into the file where the data has no day


def pdf(template: str, shown: Mapping[str, Any], *, day: str | None = None, files: Mapping[str, bytes] | None = None) -> bytes:
    """The PDF. `day` is the ISO date of the data; `files` are pictures by the names that the data uses for them."""
    typst = need("typst")
    given = {"main.typ": (TEMPLATES / template).read_bytes(), "paper.typ": (TEMPLATES / "paper.typ").read_bytes()}
    given.update(files or {})
    data = json.dumps({**shown, "day": (day or "")[:10]}, ensure_ascii=False)
    try:
        made = typst.compile(
            given, format="pdf", ignore_system_fonts=True, sys_inputs={"data": data}, timestamp=_seconds(day)
        )
    except typst.TypstError as problem:
        raise PaperError(f"The PDF could not be set: {problem}. The other forms do not depend on it.") from problem
    assert isinstance(made, bytes)
    return made


def _seconds(day: str | None) -> int:
    try:
        return int(datetime.fromisoformat((day or "")[:10]).replace(tzinfo=UTC).timestamp())
    except ValueError:
        return EPOCH
