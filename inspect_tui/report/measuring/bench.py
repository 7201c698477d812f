"""The bench sheet as a paper to write on (PDF, HTML) or a table that comes back (CSV, XLSX), by its file's ending."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from inspect_tui.metrology.typed.show import PAPER, Style
from inspect_tui.report.draw.mould import PLAN, SECTION, Wanted, sketch
from inspect_tui.report.draw.sketch_svg import sketch_svg
from inspect_tui.report.draw.svg import sign_svg
from inspect_tui.report.measuring.forms import ENDINGS
from inspect_tui.report.measuring.view import LINE, SKETCH_WIDTH
from inspect_tui.report.paper import file as paper_file
from inspect_tui.report.paper import table_csv, table_xlsx
from inspect_tui.report.paper.file import PaperError, form_of
from inspect_tui.report.paper.html import page
from inspect_tui.report.paper.pdf import pdf
from inspect_tui.report.words import deep_visible
from inspect_tui.shop.measuring.bench_sheet import CAUTIONS, BenchRow, BenchSheet

TOOL_HEADS = ("tool", "feature", "value", "unit", "day", "gauge", "person", "name", "remark")
WANTED_HEADS = ("wanted", "lower limit", "upper limit")
CASTING_HEADS = ("serial", "feature", "value", "unit", "instrument", "by", "name", "remark")


def shown(sheet: BenchSheet, style: Style = PAPER) -> dict[str, Any]:
    """What the paper shows, as text and a sketch."""
    drawn = None
    if sheet.scene is not None:
        wanted = Wanted(hand=sheet.hand, views=(PLAN, SECTION), so_far=False, way=False)
        drawn = sketch_svg(sketch(sheet.scene, wanted, style), SKETCH_WIDTH)
    state = "" if sheet.state == "raw" or sheet.kind == "tool" else f", {sheet.state}"
    made: dict[str, Any] = {
        "title": f"Bench sheet {sheet.subject}",
        "kicker": f"Bench sheet · {sheet.subject}{state}",
        "name": sheet.name,
        "job": sheet.job,
        "unit": style.word,
        "short": f"{sheet.job} · drawing rev. {sheet.revision} · {sheet.subject}",
        "facts": [["Job", sheet.job], ["Measured on", sheet.subject], ["Date", LINE], ["Measured by", LINE]],
        "rows": [_row(row) for row in sheet.rows],
        "cautions": list(CAUTIONS),
        "heads": list(sheet.heads),
    }
    cleaned: dict[str, Any] = deep_visible(made)
    return cleaned | {"sign": sign_svg(), "sketch": drawn}


def _row(row: BenchRow) -> dict[str, str]:
    wanted = f"{row.wanted}{' °' if row.unit == 'deg' and row.wanted else ''}"
    return {"size": row.balloon, "what": row.name, "where": row.where, "wanted": wanted, "limits": row.limits}


def table(sheet: BenchSheet, form: str) -> bytes:
    """The same rows to fill in and take in as a file of readings; a workbook has sizes wanted and limits, too."""
    subject = sheet.subject.removeprefix("casting ")
    heads = TOOL_HEADS if sheet.kind == "tool" else CASTING_HEADS
    blank = (None,) * (len(heads) - 6)
    rows: list[list[object]] = [[subject, r.balloon, None, r.unit, *blank, r.name, r.where] for r in sheet.rows]
    if form == "csv":
        return table_csv.table(heads, rows)
    figures = [[r.target, r.lower, r.upper] for r in sheet.rows]
    full = [[*row, *of_row] for row, of_row in zip(rows, figures, strict=True)]
    return table_xlsx.workbook("bench sheet", (*heads, *WANTED_HEADS), full)


def make(sheet: BenchSheet, form: str, style: Style = PAPER) -> bytes:
    """The sheet as bytes; `form` is html, pdf, csv or xlsx."""
    if form in ("csv", "xlsx"):
        return table(sheet, form)
    view = shown(sheet, style)
    return page("bench_sheet.html", view, "kit.css") if form == "html" else pdf("bench_sheet.typ", view)


def write(sheet: BenchSheet, path: str | Path, *, force: bool = False, style: Style = PAPER) -> Path:
    """Write the sheet, its form chosen by the ending of `path`; returns the path.

    PaperError with a sentence when it cannot be written or there is nothing to measure; a file that is there stays
    unless `force`.
    """
    path = Path(path).expanduser()
    form = form_of(path, ENDINGS)
    if not sheet.rows:
        raise PaperError(f"There is nothing to measure on {sheet.subject}: there is no sheet to fill in.")
    path = paper_file.target(path, force=force)
    return paper_file.write_bytes(path, make(sheet, form, style), force=force)
