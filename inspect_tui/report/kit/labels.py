"""Labels of boxes and tools: on a sheet to cut, or one a page for the rolls that label printers take; as a table, too.

The number of the core is the largest thing on a label, then what the tool is called. One code opens the tool at the
Bench; a second one, where it is known where the setting guide lies, the step of its core there.
"""

from __future__ import annotations

from typing import Any

from inspect_tui.frozen import frozen
from inspect_tui.metrology.typed import show
from inspect_tui.metrology.typed.show import PAPER, Style
from inspect_tui.report.kit.pictures import qr_svg
from inspect_tui.report.paper import table_csv, table_xlsx
from inspect_tui.report.words import deep_visible
from inspect_tui.shop.kit.paper.kit_list import LabelData, Labels

SHEET = "sheet"


@frozen
class LabelSize:
    """How wide and high a label is, mm, and how wide each of its codes: alone, and where there are two."""

    wide: float
    high: float
    code: float
    codes: float

    @property
    def upright(self) -> bool:
        """Whether what it says stands one under the other."""
        return self.high > self.wide


SIZES = {
    SHEET: LabelSize(90.0, 51.0, 38.0, 25.0),  # two abreast on A4 and Letter
    "62x29": LabelSize(62.0, 29.0, 22.0, 17.5),
    "100x50": LabelSize(100.0, 50.0, 38.0, 28.0),
    "4x6": LabelSize(101.6, 152.4, 46.0, 46.0),  # inches: 4 by 6
}
NUMBER_MM, NAME_MM, SMALL_MM = 0.46, 0.11, 0.075  # heights of letters of a label 1 mm high: number, name, the rest
LEAST_MM, MOST_SMALL_MM = 1.9, 5.0  # of letters: to be read by hand, and no larger than they have to be
HEADS = (
    "job",
    "tool",
    "sort",
    "core",
    "name of the core",
    "mark",
    "loose pieces",
    "weight, kg",
    "owner",
    "revision",
)
CODES = ("code for the bench", "code for the setting guide")


def view(labels: Labels, style: Style = PAPER) -> dict[str, Any]:
    """Every label with its codes as drawings, and how large everything on it is, mm."""
    size = SIZES[labels.size]
    letters = 1.05 * size.wide if size.upright else size.high
    first = labels.tools[0]
    shown: dict[str, Any] = deep_visible(
        {
            "title": f"Labels {first.job}",
            "job": first.job,
            "short": first.job,
            "heads": [],
            "labels": [_label(tool, labels.at, style) for tool in labels.tools],
        }
    )
    return shown | {
        "roll": labels.size != SHEET,
        "upright": size.upright,
        "wide": size.wide,
        "high": size.high,
        "code": size.codes if labels.at else size.code,
        "number": NUMBER_MM * letters * (0.75 if labels.at and not size.upright else 1.0),
        "name": max(NAME_MM * letters, LEAST_MM),
        "small": min(max(SMALL_MM * letters, LEAST_MM), MOST_SMALL_MM),
    }


def _label(tool: LabelData, at: str, style: Style) -> dict[str, Any]:
    small = [
        show.count(tool.loose_pieces, "loose piece") if tool.loose_pieces is not None else "",
        style.weight(tool.weight_kg),
        f"mark {tool.mark}" if tool.mark else "",
        f"rev. {tool.rev}" if tool.rev else "",
    ]
    return {
        "job": tool.job,
        "name": tool.name,
        "label": tool.label,
        "kind": tool.kind,
        "core": str(tool.core) if tool.core is not None else "",
        "core_name": tool.core_name or "",
        "small": " · ".join(word for word in small if word),
        "owner": tool.owner or "",
        "svg": qr_svg(tool.code),
        "guide": qr_svg(guide_code(tool, at)) if guide_code(tool, at) else "",
        "code": tool.code,
    }


def guide_code(tool: LabelData, at: str) -> str:
    """What opens the step of the tool's core in the setting guide; nothing for a tool of no core."""
    return f"{at}#core-{tool.core}" if at and tool.core is not None else ""


def table(labels: Labels, form: str) -> bytes:
    """A row for each label, for a printer's own program; `form` is xlsx or csv."""
    rows = [
        [t.job, t.label, t.kind, t.core, t.core_name, t.mark, t.loose_pieces, t.weight_kg, t.owner, t.rev, t.code]
        + ([guide_code(t, labels.at)] if labels.at else [])
        for t in labels.tools
    ]
    heads = (*HEADS, *CODES[: 2 if labels.at else 1])
    return table_csv.table(heads, rows) if form == "csv" else table_xlsx.workbook("labels", heads, rows)
