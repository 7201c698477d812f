"""The kit list as a table (XLSX, CSV): heads in words, figures as figures, weights in kg."""

from __future__ import annotations

from inspect_tui.report.paper import table_csv, table_xlsx
from inspect_tui.shop.kit.paper.kit_list import KitList

HEADS = (
    "sort",
    "label",
    "core",
    "name of the core",
    "count",
    "loose pieces",
    "dowels",
    "weight, kg",
    "mark",
    "material",
    "owner",
    "where",
    "lifting points",
    "remark",
)


def cells(kit: KitList) -> list[list[object]]:
    """A row for each thing; what is not known is empty."""
    return [
        [
            line.kind,
            line.label,
            line.core,
            line.core_name,
            line.count,
            line.loose_pieces,
            line.dowels,
            line.weight_kg,
            line.mark,
            line.material,
            line.owner,
            line.where,
            line.lift_points,
            line.note,
        ]
        for line in kit.lines
    ]


def make(kit: KitList, form: str) -> bytes:
    """The table as bytes; `form` is xlsx or csv."""
    if form == "csv":
        return table_csv.table(HEADS, cells(kit))
    return table_xlsx.workbook("kit list", HEADS, cells(kit))
