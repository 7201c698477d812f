"""The bench sheet as a paper to write on (PDF, HTML) or a table that comes back (CSV), by the ending of its file."""

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
from inspect_tui.report.paper import table_csv
from inspect_tui.report.paper.file import PaperError, form_of
from inspect_tui.report.paper.html import page
from inspect_tui.report.paper.pdf import pdf
from inspect_tui.report.words import deep_visible
from inspect_tui.shop.measuring.bench_sheet import CAUTIONS, BenchRow, BenchSheet

TOOL_HEADS = ("tool", "feature", "value", "unit", "day", "gauge", "person", "name", "remark")
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


def table(sheet: BenchSheet) -> bytes:
    """The same rows to fill in and take in as a file of readings."""
    subject = sheet.subject.removeprefix("casting ")
    if sheet.kind == "tool":
        rows = [[subject, r.balloon, None, r.unit, None, None, None, r.name, r.where] for r in sheet.rows]
        return table_csv.table(TOOL_HEADS, rows)
    rows = [[subject, r.balloon, None, r.unit, None, None, r.name, r.where] for r in sheet.rows]
    return table_csv.table(CASTING_HEADS, rows)


def make(sheet: BenchSheet, form: str, style: Style = PAPER) -> bytes:
    """The sheet as bytes; `form` is html, pdf or csv."""
    if form == "csv":
        return table(sheet)
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
