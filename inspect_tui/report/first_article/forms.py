"""Which ending means which form, and the way to the disk."""

from __future__ import annotations

from collections.abc import Mapping
from importlib import import_module
from pathlib import Path
from types import MappingProxyType
from typing import Any

from inspect_tui.metrology.typed.show import PAPER, Style
from inspect_tui.report.first_article import rows
from inspect_tui.report.first_article.view import view
from inspect_tui.report.paper import file as paper_file
from inspect_tui.report.paper import table_csv
from inspect_tui.report.paper.file import form_of
from inspect_tui.report.paper.html import page
from inspect_tui.report.paper.pdf import pdf
from inspect_tui.shop.first_article.result import number_of
from inspect_tui.shop.first_article.snapshot import canonical_text
from inspect_tui.shop.first_article.spoken import without_what_is_gone

Plain = Mapping[str, Any]

ENDINGS = (".html", ".pdf", ".xlsx", ".csv", ".json", ".qif")
MAKERS = {"xlsx": "workbook", "qif": "qif"}  # made in modules of their own, which load what they need
ANNEX = ("causes", "cuts", "promises")  # for the pattern shop alone
GIVEN = {1: "given_1", 2: "given_2"}  # the papers of reports of earlier formats, as they were


def without_annex(plain: Plain) -> dict[str, Any]:
    """The result as a customer gets it: no causes, no cuts, no promises, nothing that the tools predicted."""
    left: dict[str, Any] = {key: value for key, value in plain.items() if key not in ANNEX}
    out: dict[str, Any] = {key: None if key in ("causes", "cuts") else left.get(key, []) for key in plain}
    out["features"] = [
        {**line, "predicted": None, "u_predicted": None, "predicted_from": ""} for line in plain["features"]
    ]
    return without_what_is_gone(out)


def make(
    plain: Plain,
    form: str,
    *,
    annex: bool = True,
    style: Style = PAPER,
    size: str | None = None,
    files: Mapping[str, Path] = MappingProxyType({}),
) -> bytes:
    """The paper as bytes; `form` is one of html, pdf, xlsx, csv, json, qif: only html and pdf have a style and a size.

    A report of an earlier format gets the paper of its time. `files`: where pictures lie, by their SHA-256.
    """
    told = plain if annex else without_annex(plain)
    before = GIVEN.get(number_of(plain["format"]), "")
    if form == "html":
        if before:
            sheets = (f"{before}/paper.css", f"{before}/first_article.css")
            return page(f"{before}/first_article.html", view(told, style), *sheets, alone=True, size=size)
        return page("first_article.html", view(told, style, files), "first_article.css", size=size)
    if form == "pdf":  # dated by the newest reading, so that the same result is the same file
        day = told["identity"]["measured_to"]
        return pdf("first_article.typ", view(told, style, files), day=day, size=size, folder=before)
    if form == "csv":
        return table_csv.table(rows.columns(told), rows.readings(told))
    if form == "json":  # the very text that a snapshot in the record is hashed over
        return canonical_text(dict(told)).encode("utf-8")
    made: bytes = import_module(f"inspect_tui.report.first_article.{MAKERS[form]}").content(told)
    return made


def write(
    plain: Plain,
    path: str | Path,
    *,
    annex: bool = True,
    force: bool = False,
    style: Style = PAPER,
    size: str | None = None,
    files: Mapping[str, Path] = MappingProxyType({}),
) -> Path:
    """Write one form, chosen by the ending of `path`; returns the path.

    `annex` False leaves out what is for the pattern shop alone. PaperError with a sentence when it cannot be
    written; an existing file stays as it is unless `force`.
    """
    path = Path(path).expanduser()
    form = form_of(path, ENDINGS)
    path = paper_file.target(path, force=force)
    return paper_file.write_bytes(
        path, make(plain, form, annex=annex, style=style, size=size, files=files), force=force
    )
