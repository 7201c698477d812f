"""Naming the faces of a sample casting: what makes each, along which axis it lies, on which side its metal is.

No size is guessed: a face is a feature with one end whose size nobody knows yet. Sizes between two faces (through a
wall, over a core) are made when the plan asks for them.
"""

from __future__ import annotations

from collections.abc import Sequence

from inspect_tui.errors import JobFileError, NotFound
from inspect_tui.frozen import frozen_by_name, replace
from inspect_tui.metrology.typed import fields
from inspect_tui.model.words import Id
from inspect_tui.model.work import Feature, Job
from inspect_tui.record.read import Reader
from inspect_tui.record.store import Record
from inspect_tui.shop.common.geometry.faces import CUT_UP, SIDES, between, free_balloon, is_named_face, named_face
from inspect_tui.shop.jobs import jobs, sample_casting

TABLE = ("name", "by", "axis", "metal", "datum", "cut up", "wall to")  # heads of a table of faces


@frozen_by_name
class FaceSaid:
    """A face as a person names it. `metal` is + or -: on which side of it along the axis the metal lies.

    `datum`: places along the axis are counted from it. `cut_up`: it can only be reached on a casting cut up.
    `wall_to` is the balloon or name of the face on the other side of the metal, where a wall can be read through.
    """

    name: str
    by: str
    axis: str
    metal: str
    datum: bool = False
    cut_up: bool = False
    wall_to: str = ""


def name_faces(record: Record, job: Job, said: Sequence[FaceSaid], by: Id | None = None) -> list[Feature]:
    """Write faces down, all or none; the sample's edition is begun where the job has no drawing yet.

    JobFileError where one of them cannot be: what is wrong is said with its name, and nothing is written.
    """
    present = of_sample(record, job)
    revisions = record.revisions(job.of_id)
    taken = {f.balloon.casefold() for f in record.features(revisions[-1].id)} if revisions else set()
    made: list[Feature] = []
    for face in said:
        made.append(_feature(record, job, face, [*present, *made], taken))
        taken.add(made[-1].balloon.casefold())
    revision = sample_casting.begin(record, job, by)
    order = len(record.features(revision.id))
    rows = [
        replace(feature, id=record.new_id(), revision_id=revision.id, ord=order + n)
        for n, feature in enumerate(made, start=1)
    ]
    record.add_all(rows, by)
    return rows


def of_sample(record: Reader, job: Job) -> list[Feature]:
    """The faces that were named on the newest edition."""
    revisions = record.revisions(job.of_id)
    return [f for f in record.features(revisions[-1].id) if is_named_face(f)] if revisions else []


def _feature(record: Record, job: Job, face: FaceSaid, present: Sequence[Feature], taken: set[str]) -> Feature:
    name = face.name.strip()
    if not name:
        raise JobFileError("A face needs a name, such as outlet flange. Nothing was added.")
    if any(other.name.casefold() == name.casefold() for other in present):
        raise JobFileError(f"{name} is named already: call the other face something else. Nothing was added.")
    axis = fields.choice(face.axis, ("x", "y", "z"), "the axis")
    if isinstance(axis, fields.Wrong):
        raise JobFileError(f"{name}: {axis}. Nothing was added.")
    if face.metal.strip() not in SIDES:
        raise JobFileError(
            f"{name}: on which side of it does the metal lie, + (farther along {axis}) or - (before it)? "
            "Nothing was added."
        )
    end = jobs.end_from_words(record, job, "B", face.by, SIDES[face.metal.strip()], 0.0)
    if face.datum and any(other.axis == axis and other.ends[0].coord_mm == 0.0 for other in present):
        raise JobFileError(f"{name}: {axis} has its datum already. Nothing was added.")
    wall_to = find_face(present, face.wall_to, axis).balloon if face.wall_to.strip() else None
    balloon = free_balloon(taken)
    metal = face.metal.strip()
    return named_face(balloon, name, axis, end, metal, datum=face.datum, cut_up=face.cut_up, wall_to=wall_to)


def find_face(present: Sequence[Feature], words: str, axis: str | None = None) -> Feature:
    """The face of this balloon or name, along the axis where one is given; NotFound names those there are."""
    wanted = words.strip().casefold()
    for face in present:
        if wanted in (face.balloon.casefold(), face.name.casefold()) and axis in (None, face.axis):
            return face
    there = ", ".join(f"{f.balloon} {f.name}" for f in present if axis in (None, f.axis)) or "none yet"
    along = f" along {axis}" if axis else ""
    raise NotFound(f"There is no face '{words.strip()}'{along}; named are {there}. Nothing was added.")


def pair(a: Feature, b: Feature, why: str) -> Feature:
    """A size between two named faces, not written yet; `why` says what it goes through, such as wall."""
    ends = tuple(
        replace(f.ends[0], id=b"", feature_id=b"", which=which, coord_mm=None)
        for which, f in zip("AB", (a, b), strict=True)
    )
    facing = (ends[0].facing, ends[1].facing)
    kind = "wall" if facing == (-1, 1) else "length"
    note = f"between {a.balloon} and {b.balloon}"
    cut = any(f.note and CUT_UP in f.note for f in (a, b)) and why != "wall"
    return Feature(
        balloon=f"{a.balloon}-{b.balloon}"[:20],
        name=f"{why}, {a.name} to {b.name}"[:120],
        quantity=kind,
        axis=a.axis,
        nominal=0.0,
        nominal_known=False,
        band_source="none stated",
        note=f"{note}; {CUT_UP}" if cut else note,
        ends=ends,
    )


def enter(record: Record, job: Job, sizes: Sequence[Feature], by: Id | None = None) -> list[Feature]:
    """Put sizes between named faces on the list of the sample, so that they can be read; those that are there stay."""
    revision = sample_casting.begin(record, job, by)
    present = record.features(revision.id)
    there = {f.balloon.casefold() for f in present} | {str(between(f)) for f in present if between(f)}
    new = [f for f in sizes if f.balloon.casefold() not in there and str(between(f)) not in there]
    rows = [
        replace(
            feature,
            id=record.new_id(),
            revision_id=revision.id,
            ord=len(present) + n,
            ends=tuple(replace(end, id=record.new_id()) for end in feature.ends),
        )
        for n, feature in enumerate(new, start=1)
    ]
    if rows:
        record.add_all(rows, by)
    return rows


def from_table(headings: Sequence[str], rows: Sequence[Sequence[str]]) -> list[FaceSaid]:
    """Faces out of a table with the heads of `TABLE`, in any order; the last three may be left out.

    JobFileError with the line where something cannot be read.
    """
    heads = [h.strip().casefold() for h in headings]
    missing = [name for name in TABLE[:4] if name not in heads]
    if missing:
        raise JobFileError(
            f"A table of faces needs the columns {', '.join(TABLE[:4])}; {missing[0]} is missing. Nothing was added."
        )
    unknown = [h for h in heads if h and h not in TABLE]
    if unknown:
        raise JobFileError(f"'{unknown[0]}' is no column of faces: use {', '.join(TABLE)}. Nothing was added.")
    said = []
    for number, row in enumerate(rows, start=2):
        cells = {head: cell.strip() for head, cell in zip(heads, row, strict=False)}
        if not any(cells.values()):
            continue
        yes = {}
        for key in ("datum", "cut up"):
            answer = fields.yes(cells.get(key) or "no")
            if isinstance(answer, fields.Wrong):
                raise JobFileError(f"Line {number}, {key}: {answer}. Nothing was added.")
            yes[key] = answer
        said.append(
            FaceSaid(
                name=cells.get("name", ""),
                by=cells.get("by", ""),
                axis=cells.get("axis", ""),
                metal=cells.get("metal", ""),
                datum=yes["datum"],
                cut_up=yes["cut up"],
                wall_to=cells.get("wall to", ""),
            )
        )
    return said
