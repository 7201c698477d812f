"""The parting as heights and steps along x: which half makes what lies at a place, and ends that say otherwise.

It is kept as a note to the job in one fixed form, `parting: x 0 to 520 at z 90; x 520 to 624 at z 118`; the last one
counts.
Where the parting steps up, the outside between the two heights is an undercut: a core has to make it.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from itertools import pairwise

from inspect_tui.errors import JobFileError
from inspect_tui.frozen import frozen
from inspect_tui.metrology.kit.setting import Trouble
from inspect_tui.metrology.typed import fields
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.measuring import Note
from inspect_tui.model.words import Id
from inspect_tui.model.work import Core, Feature, Job
from inspect_tui.record.kinds import JOB
from inspect_tui.record.read import Reader
from inspect_tui.record.store import Record

BEGINS = "parting: "
_STEP = re.compile(r"x (.+?) to (.+?) at z (.+)")
SLACK_MM = 1e-6


@frozen
class Step:
    """From one x to another the parting lies at this height; casting mm."""

    from_x: float
    to_x: float
    z: float

    @property
    def across(self) -> str:
        """From where to where, as it is kept."""
        return MM.pair(self.from_x, self.to_x, None, unit=False)


@frozen
class Parting:
    """A flat or stepped parting, steps by x."""

    steps: tuple[Step, ...]

    @property
    def lowest(self) -> float:
        """Below this everything is the drag's."""
        return min(step.z for step in self.steps)

    @property
    def highest(self) -> float:
        """Above this everything is the cope's."""
        return max(step.z for step in self.steps)

    def height(self, x: float) -> float:
        """Height of the parting at x; beyond its ends that of the nearest step."""
        for step in self.steps:
            if step.from_x - SLACK_MM <= x < step.to_x:
                return step.z
        return min(self.steps, key=lambda s: min(abs(x - s.from_x), abs(x - s.to_x))).z

    def half(self, z: float, x: float | None = None) -> str | None:
        """cope or drag for what lies at this height; None where it depends on x and x is not given, or on the line."""
        low, high = (self.lowest, self.highest) if x is None else (self.height(x), self.height(x))
        if z < low - SLACK_MM:
            return "drag"
        return "cope" if z > high + SLACK_MM else None

    @property
    def undercuts(self) -> tuple[tuple[float, float, float], ...]:
        """(x, from z, to z) of every step: outside there needs a core when it is not drafted the right way."""
        undercuts = []
        for step, following in pairwise(self.steps):
            if abs(step.z - following.z) > SLACK_MM:
                undercuts.append((following.from_x, min(step.z, following.z), max(step.z, following.z)))
        return tuple(undercuts)

    @property
    def words(self) -> str:
        """As it is kept: `x 0 to 520 at z 90; x 520 to 624 at z 118`."""
        return "; ".join(f"x {step.across} at z {MM.given(step.z, unit=False)}" for step in self.steps)


def parse(text: str) -> Parting:
    """A parting from its words, or from figures three by three; JobFileError says what is wrong."""
    plain = text.strip().removeprefix(BEGINS.strip()).strip()
    found: list[tuple[float, ...]] = []
    for part in [part.strip() for part in plain.split(";") if part.strip()] or [""]:
        told = _STEP.fullmatch(part)  # as it is kept, or figures alone
        numbers = _of_words(told.groups()) if told else fields.sizes(part, signed=True)
        if isinstance(numbers, fields.Wrong) and part:
            raise JobFileError(f"'{text}' is no parting: type x from, x to and height, such as 0 520 90. {numbers}.")
        if isinstance(numbers, fields.Wrong) or len(numbers) % 3:
            raise JobFileError("A parting is three figures a step: x from, x to and the height, such as 0 520 90.")
        found += [numbers[i : i + 3] for i in range(0, len(numbers), 3)]
    steps = tuple(sorted((Step(*step) for step in found), key=lambda s: s.from_x))
    for step in steps:
        if step.to_x <= step.from_x:
            raise JobFileError(f"A step of the parting runs from x {step.across}: nowhere.")
    for before, following in pairwise(steps):
        if abs(before.to_x - following.from_x) > SLACK_MM:
            what = "overlap" if before.to_x > following.from_x else "leave a gap"
            at, end = MM.given(following.from_x, unit=False), MM.given(before.to_x, unit=False)
            raise JobFileError(f"Steps of the parting {what} at x {at}: the one before ends at {end}.")
    return Parting(steps)


def _of_words(figures: Iterable[str]) -> tuple[float, ...] | fields.Wrong:
    """Each figure in the unit that stands with it."""
    found: list[float] = []
    for typed in figures:
        mm = fields.size(typed, signed=True)
        if isinstance(mm, fields.Wrong):
            return mm
        found.append(mm)
    return tuple(found)


def say(record: Record, job: Job, text: str, by: Id | None = None) -> Parting:
    """Write the parting of a job; an earlier one stays in the record."""
    made = parse(text)
    record.add(Note(about_kind=JOB.number, about_id=job.of_id, text=BEGINS + made.words), by)
    return made


def of_job(record: Reader, job: Job) -> Parting | None:
    """The parting that was said last; None when nobody said one."""
    for note in reversed(record.notes(job.of_id)):
        if note.text.startswith(BEGINS):
            try:
                return parse(note.text)
            except JobFileError:
                continue  # written by hand in another form: not ours to guess
    return None


def contradictions(
    parting: Parting | None, features: Sequence[Feature], cores: Iterable[Core], style: Style = MM
) -> list[Trouble]:
    """Ends that a mould half is said to make but that lie on the other side, and surfaces of cores that make none."""
    troubles = []
    idle = {core.of_id: core for core in cores if not core.makes_surface}
    for feature in features:
        if feature.scale == "tool":
            continue
        for end in feature.ends:
            core = idle.get(end.core_id or b"")
            if core is not None:
                text = f"core {core.number} only locates, but end {end.which} of {feature.balloon} is made by it"
                troubles.append(Trouble("locator", (str(core.number),), f"{text}: say which core makes it"))
            if parting is None or feature.axis != "z" or end.half is None or end.coord_mm is None:
                continue
            half = parting.half(end.coord_mm)
            if half is not None and half != end.half:
                side = "below" if half == "drag" else "above"
                troubles.append(
                    Trouble(
                        "parting",
                        (),
                        (
                            f"end {end.which} of {feature.balloon} at z {style.given(end.coord_mm, unit=False)} lies "
                            f"{side} the parting: "
                            f"the {half} makes it, not the {end.half}"
                        ),
                    )
                )
    return troubles
