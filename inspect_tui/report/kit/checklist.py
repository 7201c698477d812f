"""The checklist of a trial in the mould: HTML and PDF to write on, CSV and XLSX to fill in as a file."""

from __future__ import annotations

from typing import Any

from inspect_tui.metrology.judge import in_mould
from inspect_tui.metrology.typed.show import PAPER, Style
from inspect_tui.model.proving import RESULTS
from inspect_tui.report.draw.svg import sign_svg
from inspect_tui.report.paper import table_csv, table_xlsx
from inspect_tui.report.paper.html import page
from inspect_tui.report.paper.pdf import pdf
from inspect_tui.report.words import deep_visible
from inspect_tui.shop.kit.proving.checklist import COLUMNS, HEADS, Checklist, ChecklistRow, cells

ENDINGS = (".pdf", ".html", ".csv", ".xlsx")


def make(made: Checklist, form: str, style: Style = PAPER) -> bytes:
    """The checklist as bytes, on the sheet that is asked for or set."""
    if form == "csv":
        return table_csv.table(COLUMNS, cells(made))
    if form == "xlsx":
        return table_xlsx.workbook("checklist", COLUMNS, cells(made))
    shown = view(made, style)
    if form == "html":
        return page("checklist.html", shown, "kit.css")
    return pdf("checklist.typ", shown)


def view(made: Checklist, style: Style = PAPER) -> dict[str, Any]:
    """What the paper shows, as text."""
    groups: list[dict[str, Any]] = []
    last: list[str] = []
    for row in made.rows:
        title = _title(row)
        if not groups or groups[-1]["title"] != title:
            step = str(row.step) if row.step is not None else ""
            heads = _heads(row)
            once = [] if groups and heads == last else heads  # they stand over the first of those that are alike
            groups.append({"title": title, "step": step, "rows": [], "heads": once})
            last = heads
        groups[-1]["rows"].append(_row(row, style))
    each, tail = style.apart
    ways = (f"{way.name} ±{style.uncertainty(2 * way.u_mm, unit=each)}" for way in in_mould.ways())
    short = made.job + (f" · drawing {made.drawing} rev. {made.rev}" if made.drawing else "")
    shown: dict[str, Any] = deep_visible(
        {
            "title": f"Checklist {made.job}",
            "kicker": f"Checklist · {made.sort}",
            "name": made.name,
            "job": made.job,
            "short": f"{short} · {made.edition}",
            "unit": style.word,
            "facts": [["Job", made.job], ["Setting order", ", ".join(made.order)], ["So far", made.proven]],
            "asked": [[what, how] for _, what, how in HEADS],
            "goes": list(RESULTS),
            "ways": ", ".join(ways) + tail,
            "groups": groups,
            "cautions": list(made.cautions),
            "sign": sign_svg(),
            "heads": list(made.heads),
            "pictures": [],
        }
    )
    return shown


def _title(row: ChecklistRow) -> str:
    if row.core is not None:
        return f"core {row.core}"
    return {"wall": "Thicknesses, by clay or plugs", "closing": "Closing", "remark": "Closing"}[row.sort]


def _heads(row: ChecklistRow) -> list[str]:
    """What stands over the columns of a group."""
    if row.sort == "wall":
        return ["", "Should be", "Read, by what", "Words"]
    return ["", "Clearance" if row.core is not None else "", "How it goes", "Read, words"]


def _row(row: ChecklistRow, style: Style) -> dict[str, Any]:
    open_ends = row.lower_mm is None and row.upper_mm is None
    return {
        "item": row.item,
        "what": row.what,
        "limits": "" if open_ends else style.band(row.lower_mm, row.upper_mm, unit=False),
        "goes": row.sort in ("core", "fit", "closing"),
        "remark": row.sort == "remark",
    }
