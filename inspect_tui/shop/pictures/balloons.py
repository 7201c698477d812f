"""Where the numbers of sizes and geometrical tolerances stand on a picture: as people type it, and as it is kept.

`F12 31.5 42; G1 60 12.5`: the number, then percent of the width from the left edge and of the height from the top, of
the picture as it is seen upright. A number stands once on a picture; several pictures may show it.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

from inspect_tui.frozen import frozen
from inspect_tui.metrology.typed import fields, show
from inspect_tui.metrology.typed.fields import Wrong
from inspect_tui.metrology.typed.plain_text import quote
from inspect_tui.model.words import Id
from inspect_tui.record.read import Reader
from inspect_tui.shop.common.find import balloon_key

LONGEST = 8000  # letters, as the record holds them: some five hundred numbers
EXAMPLE = "G1 31.5 42; G2 50 60"
DO = f"type the number, percent from the left and percent from the top: {EXAMPLE}"
_PART = re.compile(r"(.+?)\s+(\S+?)\s*%?\s+(\S+?)\s*%?")


@frozen
class Mark:
    """A number on a picture: percent of its width from the left edge, and of its height from the top."""

    balloon: str
    x: float
    y: float


def read(text: str, known: Iterable[str] | None = None) -> tuple[Mark, ...] | Wrong:
    """The marks of a text, one a line or with a semicolon between; `known`: the numbers that there are, if it matters.

    Numbers come back as they are known. Nothing typed is no mark.
    """
    names = None if known is None else {balloon_key(name): name for name in known}
    made: dict[str, Mark] = {}
    for part in filter(None, (part.strip() for part in re.split(r"[;\n]", text))):
        mark = _mark(part, names)
        if isinstance(mark, Wrong):
            return mark
        if balloon_key(mark.balloon) in made:
            return Wrong(f"{mark.balloon} stands twice", "a number has one place on a picture")
        made[balloon_key(mark.balloon)] = mark
    if len(written(made.values())) > LONGEST:
        return Wrong(f"{len(made)} numbers are too many for one picture", "put some of them on another picture")
    return tuple(made.values())


def _mark(part: str, names: dict[str, str] | None) -> Mark | Wrong:
    found = _PART.fullmatch(part)
    if found is None:
        return Wrong(f"{quote(part)} is no number with its place", DO)
    balloon = found[1] if names is None else names.get(balloon_key(found[1]))
    if balloon is None:
        return Wrong(f"there is no size and no geometrical tolerance {quote(found[1])}", "see the list of sizes")
    places = [fields.figure(text, 0.0, 100.0, example="31.5") for text in (found[2], found[3])]
    for place in places:
        if isinstance(place, Wrong):
            return Wrong(f"{found[1]}: {place.what}", f"percent from 0 to 100, so: {EXAMPLE}")
    x, y = (float(place) for place in places if not isinstance(place, Wrong))
    return Mark(balloon, x, y)


def written(marks: Iterable[Mark]) -> str:
    """The marks as they are kept, and as they can be typed again."""
    return "; ".join(f"{mark.balloon} {round(mark.x, 2):g} {round(mark.y, 2):g}" for mark in marks)


def kept(text: str | None) -> tuple[Mark, ...]:
    """The marks of a picture in the record; what cannot be read there, of a program that came later, is none."""
    marks = read(text or "")
    return () if isinstance(marks, Wrong) else marks


def renamed(text: str | None, old: str, new: str) -> str | None:
    """The marks as they are kept, a number by its new name."""
    key = balloon_key(old)
    return written(Mark(new, m.x, m.y) if balloon_key(m.balloon) == key else m for m in kept(text)) or text


def numbers(reader: Reader, job_of_id: Id) -> list[str]:
    """Every number that may stand on a picture of a job: of the casting's sizes and of its geometrical tolerances."""
    revisions = reader.revisions(job_of_id)
    drawn = reader.features(revisions[-1].id) if revisions else []
    sizes = [feature.balloon for feature in drawn if feature.scale != "tool"]
    return sizes + [asked.balloon for asked in reader.geometries(job_of_id)]


def stand(count: int, new: bool) -> str:
    """What became of numbers that were put on a picture: 2 numbers stand there now."""
    return f"{show.count(count, 'number')} {'stands' if count == 1 else 'stand'} {'there now' if new else 'so already'}"
