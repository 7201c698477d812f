"""[[geometry]]: the geometrical tolerances of the drawing, read and written."""

from __future__ import annotations

from collections.abc import Collection
from typing import Any

from inspect_tui.metrology.typed import fields
from inspect_tui.metrology.typed.fields import Wrong
from inspect_tui.model.signed import GEOMETRIES, Geometry
from inspect_tui.model.words import STATES_OF_WORK
from inspect_tui.model.work import Job
from inspect_tui.record.chain.ids import uuid7
from inspect_tui.shop.common import find
from inspect_tui.shop.common.geometrical import balloons, wrong
from inspect_tui.shop.jobs.file import values
from inspect_tui.shop.jobs.file.mistakes import Row

GEOMETRY = (
    "balloon",
    "name",
    "what",
    "tolerance",
    "diameter",
    "datums",
    "sizes",
    "datum_sizes",
    "state",
    "sheet",
    "zone",
    "characteristic",
    "note",
)
LONGEST = 400  # letters of a list of balloons


def geometry(row: Row, job: Job, known: Collection[str]) -> Geometry | None:
    """A [[geometry]]; None where it cannot be made: a mistake says why. `known` are the balloons of the features."""
    balloon = row.text("balloon", 20)
    if not balloon:
        if "balloon" not in row.broken:
            row.lacks('[[geometry]] needs a balloon, such as "G1"')
        return None
    row.who = f"geometry {balloon}"
    before = len(row.mistakes)
    if find.balloon_key(balloon) in known:
        row.wrong("balloon", f"there is a feature {balloon} already: name another balloon")
    for key, such_as in (("what", '"flatness"'), ("tolerance", "0.3")):
        if key not in row and key not in row.broken:
            row.lacks(f"{row.who} needs {key}, such as {such_as}")
    what = row.take("what", kind_of, "flatness")
    sizes, datum = (_sizes(row, key, known) for key in ("sizes", "datum_sizes"))
    tolerance = row.take("tolerance", fields.size, 1.0)
    made = uuid7()
    said = Geometry(
        id=made,
        of_id=made,
        job_of_id=job.of_id,
        balloon=balloon,
        name=row.text("name", 120, balloon) or balloon,
        what=what,
        tolerance_mm=tolerance,
        round=row.take("diameter", fields.yes, False),
        datums=row.words("datums", 60),
        sizes=sizes,
        datum_sizes=datum,
        state=row.take("state", lambda v: fields.choice(v, STATES_OF_WORK, "the state"), "raw"),
        sheet=row.words("sheet", 20),
        zone=row.words("zone", 20),
        characteristic=row.words("characteristic", 60),
        note=row.words("note", 400),
    )
    if len(row.mistakes) > before:
        return None
    if (problem := wrong(said)) is not None:
        row.lacks(f"{row.who}: {problem}")
        return None
    return said


def kind_of(value: Any) -> str | Wrong:
    """Which geometrical tolerance, however its two words are joined."""
    return fields.choice("_".join(str(value).split()), GEOMETRIES, "the geometrical tolerance")


def _sizes(row: Row, key: str, known: Collection[str]) -> str | None:
    listed = [str(one) for said in row.each(key) for one in balloons(str(said))]
    for balloon in listed:
        if find.balloon_key(balloon) not in known:
            row.wrong(key, f"there is no feature {balloon} in this file")
    if len({find.balloon_key(balloon) for balloon in listed}) < len(listed):
        row.wrong(key, "one of them is named twice")
    text = " ".join(listed)
    if len(text) > LONGEST:
        row.wrong(key, f"the list is longer than {LONGEST} letters")
        return None
    return text or None


def geometry_row(said: Geometry) -> dict[str, Any]:
    """A [[geometry]], written."""
    return values.filled(
        balloon=said.balloon,
        name=None if said.name == said.balloon else said.name,
        what=said.what,
        tolerance=values.figure(said.tolerance_mm),
        diameter=said.round or None,
        datums=said.datums,
        sizes=balloons(said.sizes) or None,
        datum_sizes=balloons(said.datum_sizes) or None,
        state=None if said.state == "raw" else said.state,
        sheet=said.sheet,
        zone=said.zone,
        characteristic=said.characteristic,
        note=said.note,
    )
