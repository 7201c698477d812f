"""The parting as places and steps: which half makes what lies at a place, and ends that say otherwise.

Its words are `x 0 to 520 at z 90; x 520 to 624 at z 118`, or `at y 40` where it is flat; the halves lie on either side
along the axis named last. The parting that was said last counts; older records hold it as a note to the job.
Where the parting steps, the outside between the two heights is an undercut: a core has to make it.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from itertools import pairwise
from math import inf, isinf

from inspect_tui.errors import JobFileError
from inspect_tui.frozen import frozen
from inspect_tui.metrology.kit.setting import Trouble
from inspect_tui.metrology.typed import fields
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.mould import MouldParting, PartingStep
from inspect_tui.model.words import Id
from inspect_tui.model.work import Core, Feature, Job
from inspect_tui.record.chain.ids import uuid7
from inspect_tui.record.read import Reader

TYPE_CHECKING = False
if TYPE_CHECKING:
    from inspect_tui.record.store import Record

BEGINS = "parting: "
_STEP = re.compile(r"(?:([xyz]) (.+?) to (.+?) )?at ([xyz]) (.+)")
SLACK_MM = 1e-6


@frozen
class Step:
    """From one x to another the parting lies at this height; casting mm.

    Where the parting has other axes, x stands for the one it steps along and z for the one that the halves part along.
    """

    from_x: float
    to_x: float
    z: float

    @property
    def everywhere(self) -> bool:
        """Nobody said from where to where."""
        return isinf(self.from_x) or isinf(self.to_x)

    @property
    def across(self) -> str:
        """From where to where, as it is kept."""
        return self.across_in(MM)

    def across_in(self, style: Style) -> str:
        """From where to where, without the unit."""
        return style.pair(self.from_x, self.to_x, None, unit=False)


@frozen
class Parting:
    """A flat or stepped parting, steps by x; `axis`: the halves part along it, `along`: it steps along this one."""

    steps: tuple[Step, ...]
    axis: str = "z"
    along: str = "x"

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
        """As it is typed and kept: `x 0 to 520 at z 90; x 520 to 624 at z 118`."""
        return self.said(MM, unit=False)

    def said(self, style: Style, unit: bool = True) -> str:
        """The same as somebody reads it, with the unit of the heights."""
        return "; ".join(
            ("" if step.everywhere else f"{self.along} {step.across_in(style)} ")
            + f"at {self.axis} {style.given(step.z, unit=unit)}"
            for step in self.steps
        )


def parse(text: str) -> Parting:
    """A parting from its words, or from figures three by three; JobFileError says what is wrong."""
    plain = text.strip().removeprefix(BEGINS.strip()).strip()
    steps: list[tuple[float, ...]] = []
    axes: set[tuple[str, str]] = set()  # the one that the halves part along, and that of the steps
    for part in [part.strip() for part in plain.split(";") if part.strip()] or [""]:
        told = _STEP.fullmatch(part)  # in words, or figures alone
        numbers = _of_words(told) if told else fields.sizes(part, signed=True)
        if isinstance(numbers, fields.Wrong) and part:
            raise JobFileError(f"'{text}' is no parting: type x from, x to and height, such as 0 520 90. {numbers}.")
        if isinstance(numbers, fields.Wrong) or len(numbers) % 3:
            raise JobFileError("A parting is three figures a step: x from, x to and the height, such as 0 520 90.")
        axes.add((told[4], told[1] or ("x" if told[4] != "x" else "y")) if told else ("z", "x"))
        steps += [numbers[i : i + 3] for i in range(0, len(numbers), 3)]
    if len(axes) > 1:
        raise JobFileError(
            "The steps of a parting lie along one axis and part along one other: say it with one of each."
        )
    return of_steps((Step(*step) for step in steps), *axes.pop())


def of_steps(steps: Iterable[Step], axis: str = "z", along: str = "x") -> Parting:
    """A parting of steps in any order; JobFileError where they overlap, leave a gap or run nowhere."""
    in_order = tuple(sorted(steps, key=lambda s: s.from_x))
    if axis == along:
        raise JobFileError(f"A parting along {axis} does not step along {axis} too: name another axis for its steps.")
    for step in in_order:
        if step.to_x <= step.from_x:
            raise JobFileError(f"A step of the parting runs from {along} {step.across}: nowhere.")
    for before, following in pairwise(in_order):
        if before.everywhere or following.everywhere:
            raise JobFileError(f"A parting in several steps says of each from where to where along {along}.")
        if abs(before.to_x - following.from_x) > SLACK_MM:
            what = "overlap" if before.to_x > following.from_x else "leave a gap"
            at, end = MM.given(following.from_x, unit=False), MM.given(before.to_x, unit=False)
            raise JobFileError(f"Steps of the parting {what} at {along} {at}: the one before ends at {end}.")
    return Parting(in_order, axis, along)


def _of_words(told: re.Match[str]) -> tuple[float, ...] | fields.Wrong:
    """From, to and place, each in the unit that stands with it."""
    levels: list[float] = []
    for typed, absent in ((told[2], -inf), (told[3], inf), (told[5], 0.0)):
        mm = absent if typed is None else fields.size(typed, signed=True)
        if isinstance(mm, fields.Wrong):
            return mm
        levels.append(mm)
    return tuple(levels)


def say(record: Record, job: Job, text: str, by: Id | None = None) -> Parting:
    """Write the parting of a job; an earlier one stays in the record."""
    made = parse(text)
    before = record.mould_parting(job.of_id)
    record.add_all(rows(job.of_id, made, before[0].id if before else None, record.new_id()), by)
    return made


def rows(
    job_of_id: Id, parting: Parting, replaces_id: Id | None = None, new_id: Id | None = None
) -> list[MouldParting | PartingStep]:
    """What is written for a parting; `replaces_id` is the version that it takes the place of, `new_id` its own."""
    new_id = new_id or uuid7()
    head = MouldParting(
        id=new_id, of_id=b"" if replaces_id else new_id, replaces_id=replaces_id, job_of_id=job_of_id, axis=parting.axis
    )
    steps = [
        PartingStep(
            parting_id=new_id,
            ord=n,
            place_mm=step.z,
            along=None if step.everywhere else parting.along,
            from_mm=None if step.everywhere else step.from_x,
            to_mm=None if step.everywhere else step.to_x,
        )
        for n, step in enumerate(parting.steps)
    ]
    return [head, *steps]


def of_job(record: Reader, job: Job) -> Parting | None:
    """The parting that was said last; None when nobody said one."""
    said = record.mould_parting(job.of_id)
    if said is not None:
        head, steps = said
        along = next((step.along for step in steps if step.along), "x" if head.axis != "x" else "y")
        return Parting(tuple(_step(step) for step in steps), head.axis, along)
    for note in reversed(record.notes(job.of_id)):
        if note.text.startswith(BEGINS):
            try:
                return parse(note.text)
            except JobFileError:
                continue  # written by hand in another form: not ours to guess
    return None


def _step(step: PartingStep) -> Step:
    return Step(
        -inf if step.from_mm is None else step.from_mm, inf if step.to_mm is None else step.to_mm, step.place_mm
    )


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
            if parting is None or feature.axis != parting.axis or end.half is None or end.coord_mm is None:
                continue
            half = parting.half(end.coord_mm)
            if half is not None and half != end.half:
                side = "below" if half == "drag" else "above"
                troubles.append(
                    Trouble(
                        "parting",
                        (),
                        (
                            f"end {end.which} of {feature.balloon} at {parting.axis} "
                            f"{style.given(end.coord_mm, unit=False)} lies {side} the parting: "
                            f"the {half} makes it, not the {end.half}"
                        ),
                    )
                )
    return troubles
