"""What castings weigh and how large their wall is, as typed; with a sentence for what is wrong."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from inspect_tui.errors import DataError
from inspect_tui.frozen import replace
from inspect_tui.metrology.typed import fields
from inspect_tui.metrology.typed.show import MM
from inspect_tui.model.trends import ItemWeight, WallArea
from inspect_tui.shop.common import find

if TYPE_CHECKING:
    from inspect_tui.model.work import Job
    from inspect_tui.record.store import Record

HEAVIEST = 1e6  # kg, the record's own limit
LARGEST = 1e4  # m2
IRON = 7100.0  # kg/m3, grey iron: common practice, no source

WEIGHT_FIELDS = (
    ("casting", "casting: or sand core, by its serial"),
    ("weight", "weight: kg, such as 41.35 or 850 g"),
    ("u95", "U: what the scale may be off by (95 %); may be left out"),
)
WALL_FIELDS = (
    ("area", "wall area: of the casting, one side, m², such as 1.85"),
    ("density", "density: of the metal, kg/m³, such as 7100 or 7.1 g/cm3"),
    ("why", "why: where it comes from, such as the model"),
)


def read_weight(record: Record, job: Job, values: Mapping[str, str]) -> ItemWeight:
    """What one casting or core weighs; DataError with what is wrong."""
    subject = find.subject(record, job, values.get("casting") or "")
    if subject.item is None:
        raise DataError(f"{subject.label} is a tool; weights are kept of castings and cores.")
    weight = fields.weight(values.get("weight"), high=HEAVIEST)
    if isinstance(weight, fields.Wrong):
        raise DataError(f"weight: {weight}.")
    u95 = fields.optional(fields.weight)(values.get("u95"))
    if isinstance(u95, fields.Wrong):
        raise DataError(f"U: {u95}.")
    if u95 is not None and u95 >= weight:
        raise DataError(
            f"U is {MM.figures(u95)} kg of {MM.figures(weight)} kg: give what the scale may be off by. Nothing kept."
        )
    return ItemWeight(item_id=subject.item.id, weight_kg=weight, u95_kg=u95)


def shown_wall(record: Record, job: Job) -> dict[str, str]:
    """What stands in the fields of the wall area first."""
    old = record.wall_area(job.of_id)
    if old is None:
        return {"density": MM.figures(IRON)}
    return {"area": MM.figures(old.area_m2, 6), "density": MM.figures(old.density, 6), "why": old.why}


def read_wall(record: Record, job: Job, values: Mapping[str, str]) -> WallArea:
    """The wall area of the casting in place of the one before; DataError with what is wrong."""
    area = fields.area(values.get("area"), unit="m2", to="m2", high=LARGEST)
    if isinstance(area, fields.Wrong):
        raise DataError(f"wall area: {area}.")
    density = fields.density(values.get("density") or MM.figures(IRON))
    if isinstance(density, fields.Wrong):
        raise DataError(f"density: {density}.")
    old = record.wall_area(job.of_id)
    said = WallArea(
        job_of_id=job.of_id, area_m2=area, density=density, why=((values.get("why") or "").strip() or "entered")[:200]
    )
    if old is None:
        return said
    return replace(said, of_id=old.of_id, replaces_id=old.id)
