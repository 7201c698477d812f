"""What the measuring sheet shows, as text and a sketch: HTML and PDF are two dresses of the same view."""

from __future__ import annotations

from typing import Any

from inspect_tui.metrology.typed.show import PAPER, Style
from inspect_tui.report.draw.mould import PLAN, SECTION, Wanted, sketch
from inspect_tui.report.draw.sketch_svg import sketch_svg
from inspect_tui.report.draw.svg import sign_svg
from inspect_tui.report.paper import table_csv, table_xlsx
from inspect_tui.report.words import deep_visible
from inspect_tui.shop.measuring.sheet import MeasuringSheet, SheetRow

LINE = "\u2007" * 12  # room to write
HEADS = ("serial", "feature", "value", "unit", "instrument", "by", "name", "remark")  # as files of readings have them
ORDER_HEADS = ("in order", "taken with")
SKETCH_WIDTH = 520.0
FREE = {"sample casting": "Faces that nothing pins yet"}
LEAD = {"sample casting": "Take the sizes in this order: each starts from a face that is known by then."}


def measuring_sheet(sheet: MeasuringSheet, style: Style = PAPER) -> dict[str, Any]:
    """The sheet; nothing that is expected of a size is on it, so that nobody is led."""
    drawn = None
    if sheet.scene is not None:
        drawn = sketch_svg(
            sketch(sheet.scene, Wanted(views=(PLAN, SECTION), figures=False, way=False), style), SKETCH_WIDTH
        )
    shown: dict[str, Any] = {
        "title": f"Measuring sheet {sheet.job}",
        "unit": style.word,
        "kicker": f"Measuring sheet · {sheet.of} · in this order",
        "name": sheet.name,
        "job": sheet.job,
        "short": f"{sheet.job} · drawing rev. {sheet.revision}",
        "facts": [["Job", sheet.job], ["Casting", sheet.serial or LINE], ["Date", LINE], ["Measured by", LINE]],
        "sentence": sheet.sentence,
        "groups": [{"title": group.title, "rows": [_row(row) for row in group.rows]} for group in sheet.groups],
        "free": list(sheet.free),
        "free_title": FREE.get(sheet.of, "Before that, or instead"),
        "lead": LEAD.get(sheet.of, "Take the sizes on every casting in this order."),
        "cautions": list(sheet.cautions),
        "heads": list(sheet.heads),
    }
    cleaned: dict[str, Any] = deep_visible(shown)
    return cleaned | {"sign": sign_svg(), "sketch": drawn}


def _row(row: SheetRow) -> dict[str, Any]:
    return {"number": row.number, "size": row.size, "what": row.what, "words": row.words}


def measuring_table(sheet: MeasuringSheet, form: str) -> bytes:
    """The same rows to fill in on a screen and take in as a file of readings; a workbook has their order, too."""
    rows = [
        [row.serial or sheet.serial, row.size, None, None, None, None, row.what, row.words]
        for group in sheet.groups
        for row in group.rows
    ]
    if form == "csv":
        return table_csv.table(HEADS, rows)
    order = [[int(row.number) if row.number else None, group.title] for group in sheet.groups for row in group.rows]
    full = [[*row, *of_row] for row, of_row in zip(rows, order, strict=True)]
    return table_xlsx.workbook("measuring plan", (*HEADS, *ORDER_HEADS), full)
