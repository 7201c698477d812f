"""Datum targets: the places that hold a casting while it is measured and machined, as typed or as a job file says."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from inspect_tui.errors import DataError, JobFileError, NotFound
from inspect_tui.frozen import replace
from inspect_tui.metrology.typed import fields
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.first_article import DatumTarget
from inspect_tui.model.words import Id
from inspect_tui.model.work import Job

if TYPE_CHECKING:
    from inspect_tui.record.store import Record

FIELDS = (
    ("label", "name: such as A1; the drawing's own letter and number"),
    ("axis", "holds: along which axis, x, y or z"),
    ("x", "x: where it stands, mm from the origin; may be left out"),
    ("y", "y: the same along y"),
    ("z", "z: the same along z"),
    ("name", "what: it is, such as pad under the flange; may be left out"),
    ("use", "in use: yes, or no to take it away"),
)


def words(target: DatumTarget, style: Style = MM) -> str:
    """`A1  holds along Z  at x 60, y 20  pad under the flange`."""
    places = [f"{axis} {style.given(mm, unit=False)}" for axis, mm in _places(target)]
    at = f"at {', '.join(places)}" if places else "place not told"
    return f"{target.label:<6} holds along {target.axis.upper()}  {at}" + (f"  {target.name}" if target.name else "")


def first_values(target: DatumTarget | None) -> dict[str, str]:
    """What stands in the form before anything is typed; places in mm, which is what a bare figure there means."""
    if target is None:
        return {"axis": "z", "use": "yes"}
    places = {axis: MM.given(mm, unit=False) for axis, mm in _places(target)}
    return {"label": target.label, "axis": target.axis, "name": target.name or "", "use": "yes", **places}


def _places(target: DatumTarget) -> list[tuple[str, float]]:
    """The axes along which it is told where it stands, with the place in mm."""
    return [
        (axis, mm) for axis, mm in zip("xyz", (target.x_mm, target.y_mm, target.z_mm), strict=True) if mm is not None
    ]


def read(job: Job, values: Mapping[str, str]) -> DatumTarget | str:
    """The target that was typed, or what is wrong with it and what to do."""
    label = values.get("label", "").strip()
    if not 1 <= len(label) <= 20:
        return "A target needs a name of at most 20 letters, such as A1."
    axis = fields.choice(values.get("axis", ""), "xyz", "the axis it holds along")
    if isinstance(axis, fields.Wrong):
        return f"{label}: {axis}."
    read_place = fields.optional(fields.size)
    places: dict[str, float | None] = {}
    for along in "xyz":
        place = read_place(values.get(along, ""), signed=True)
        if isinstance(place, fields.Wrong):
            return f"{label}, {along}: {place}"
        places[along] = place
    in_use = fields.yes(values.get("use", ""), empty=True)
    if isinstance(in_use, fields.Wrong):
        return f"{label}: type yes while it is in use, or no to take it away."
    if in_use and all(place is None for place in places.values()):
        others = " and ".join(along for along in "xyz" if along != axis)
        return f"{label}: say where it stands; a tilt is told by its places along {others}."
    name = values.get("name", "").strip() or None
    if name is not None and len(name) > 80:
        return f"{label}: what it is takes at most 80 letters."
    return DatumTarget(
        job_of_id=job.of_id,
        label=label,
        name=name,
        axis=axis,
        x_mm=places["x"],
        y_mm=places["y"],
        z_mm=places["z"],
        holds=in_use,
    )


def put(record: Record, job: Job, target: DatumTarget, by: Id | None = None, style: Style = MM) -> str:
    """Write it; the last word on a label counts. The sentence that says so."""
    known = {known.label: known for known in record.datum_targets(job.of_id)}
    same = next((label for label in known if label.casefold() == target.label.casefold()), None)
    if same is not None:
        target = replace(target, label=same)
    if not target.holds and same is None:
        raise NotFound(f"There is no datum target {target.label} to take away.")
    if same is not None and replace(known[same], id=target.id) == target:
        raise DataError(f"{target.label} stands there like that already.")
    record.add(target, by=by)
    if not target.holds:
        return f"Datum target {target.label} is taken away; what was measured from it stays."
    return f"Datum target {words(target, style)}{' (changed)' if same else ''}."


def of_row(job: Job, row: Mapping[str, Any]) -> DatumTarget:
    """A [[target]] of a job file; JobFileError says what is wrong."""
    at = row.get("at", {})
    if not isinstance(at, dict) or not set(at) <= {"x", "y", "z"}:
        raise JobFileError(f"[[target]] {row.get('label', '')}: at is written as {{ x = 60, y = 20 }}.")
    values = {key: str(row[key]) for key in ("label", "axis", "name") if key in row}
    made = read(job, values | {along: str(mm) for along, mm in at.items()})
    if isinstance(made, str):
        raise JobFileError(f"[[target]] {made}")
    return made
