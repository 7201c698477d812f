"""Which form the measuring sheet is written in, by the ending of its file."""

from __future__ import annotations

from pathlib import Path

from inspect_tui.metrology.typed.show import PAPER, Style
from inspect_tui.report.measuring import view
from inspect_tui.report.paper import file as paper_file
from inspect_tui.report.paper.file import PaperError, form_of
from inspect_tui.report.paper.html import page
from inspect_tui.report.paper.pdf import pdf
from inspect_tui.shop.measuring.sheet import MeasuringSheet
from inspect_tui.todo import Todo

ENDINGS = (".pdf", ".html", ".csv", ".xlsx")


def make(sheet: MeasuringSheet, form: str, style: Style = PAPER) -> bytes:
    """The sheet as bytes; `form` is html, pdf, csv or xlsx."""
    if form in ("csv", "xlsx"):
        return view.measuring_table(sheet, form)
    shown = view.measuring_sheet(sheet, style)
    return page("measuring_sheet.html", shown, "kit.css") if form == "html" else pdf("measuring_sheet.typ", shown)


def write(sheet: MeasuringSheet, path: str | Path, *, force: bool = False, style: Style = PAPER) -> Path:
    """Write the sheet, its form chosen by the ending of `path`; returns the path.

    PaperError with a sentence when it cannot be written, when nothing is left to measure, and when a file to fill in
    would have sizes that are not on the list yet; an existing file stays unless `force`.
    """
    path = Path(path).expanduser()
    form = form_of(path, ENDINGS)
    if not sheet.groups:
        raise PaperError(f"Nothing is left to measure on the {sheet.of} of {sheet.job}: there is no sheet to fill in.")
    if form in ("csv", "xlsx") and sheet.not_entered:
        raise PaperError(
            f"{', '.join(sheet.not_entered)} are not on the list yet, so a file with them could not be taken in.",
            todo=Todo.ENTER_SIZES,
        )
    path = paper_file.target(path, force=force)
    return paper_file.write_bytes(path, make(sheet, form, style), force=force)
