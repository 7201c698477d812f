"""A geometrical tolerance looked at by another way than sizes: how, by whom, accepted or not."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from inspect_tui.errors import DataError, NotFound
from inspect_tui.frozen import replace
from inspect_tui.metrology.typed import fields
from inspect_tui.metrology.typed.fields import Wrong
from inspect_tui.model.measuring import Person
from inspect_tui.model.signed import Geometry, GeometryCheck
from inspect_tui.model.work import Item
from inspect_tui.shop.common.tables.typed import taken
from inspect_tui.shop.first_article.castings.sampling import Sampling

if TYPE_CHECKING:
    from inspect_tui.record.store import Record

FIELDS = (
    ("geometry", "geometry: number of the geometrical tolerance, such as G2"),
    ("casting", "casting: its serial"),
    ("accepted", "accepted: yes or no"),
    ("method", "how: such as square 300 and feeler 0.3"),
    ("words", "remark: may be left out"),
    ("day", "day: empty: today"),
)
NEEDED = ("geometry", "casting", "accepted", "method")


def asked(sampling: Sampling, balloon: str) -> Geometry:
    """The geometrical tolerance of that number; NotFound with those there are."""
    one = sampling.geometry(balloon)
    if one is not None:
        return one
    there = ", ".join(one.balloon for one in sampling.geometries) or "none yet"
    raise NotFound(f"Job {sampling.job.number} has no geometrical tolerance {balloon or '?'}; there are: {there}.")


def read(sampling: Sampling, values: Mapping[str, str], by: Person, today: str) -> GeometryCheck:
    """What was typed; DataError or NotFound with what is wrong and what to do."""
    one, item = asked(sampling, values.get("geometry", "").strip()), sampling.casting(values.get("casting", "").strip())
    accepted = fields.yes(values.get("accepted", ""))
    if isinstance(accepted, Wrong):
        raise DataError("accepted: type yes where it was accepted, or no.")
    method = values.get("method", "").strip()
    if not method:
        raise DataError("how: say how it was looked at, such as square 300 and feeler 0.3.")
    day = taken(fields.day(values.get("day") or today, today, past=True), "day")
    return GeometryCheck(
        geometry_of_id=one.of_id,
        item_id=item.id,
        accepted=accepted,
        method=method,
        person_of_id=by.of_id,
        on_date=day,
        words=values.get("words", "").strip() or None,
    )


def put(record: Record, sampling: Sampling, look: GeometryCheck, by: Person) -> str:
    """Write it; the last word on a casting counts."""
    record.add(look, by=by.id)
    one = next(one for one in sampling.geometries if one.of_id == look.geometry_of_id)
    item = next(item for item in sampling.castings if item.id == look.item_id)
    return f"{one.balloon} on {item.serial}: {'accepted' if look.accepted else 'not accepted'} ({look.method})."


def take_back(record: Record, sampling: Sampling, balloon: str, item: Item, by: Person) -> str:
    """What was said of a casting is taken back; it stays in the record."""
    one = asked(sampling, balloon)
    for look in sampling.looks:
        if (look.geometry_of_id, look.item_id) == (one.of_id, item.id):
            record.add(replace(look, id=record.new_id(), holds=False), by=by.id)
            return f"{one.balloon} on {item.serial}: taken back."
    raise NotFound(f"Nothing was said of {one.balloon} on {item.serial}: there is nothing to take back.")
