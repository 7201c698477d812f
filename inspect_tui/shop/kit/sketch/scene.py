"""What there is to draw of a job's mould: bodies of cores in setting order, the casting's outline, the parting."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence

from inspect_tui.frozen import frozen, frozen_by_name
from inspect_tui.metrology.kit.bodies import AXES, Body, Box
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.kit import CoreDetail
from inspect_tui.model.work import Job
from inspect_tui.record.read import Reader
from inspect_tui.shop.kit import fits as kit_fits
from inspect_tui.shop.kit import order as kit_order
from inspect_tui.shop.kit.bodies import bodies, box_of
from inspect_tui.shop.kit.facts import KitFacts


@frozen
class PartingStep:
    """The parting stands at `place` along its axis, from one place to another along x, y or z; everywhere without."""

    place: float
    along: str | None = None
    start: float | None = None
    end: float | None = None


@frozen
class SceneKey:
    """A print or key of a core: its name, its paint or number, and its place along each axis that was said."""

    name: str
    mark: str
    at: Mapping[str, float]


@frozen_by_name
class SceneCore:
    """One core: its body, its step in the setting order (None: in none), the way in that most of its prints go.

    `ways` are all of them, where it goes in obliquely; `into` the core that it sits in, which takes it along. Its ends
    along `ends_axis` are what people call them.
    """

    number: str
    name: str
    body: Body
    step: int | None = None
    way_in: str | None = None
    ways: tuple[str, ...] = ()
    into: str | None = None
    keys: tuple[SceneKey, ...] = ()
    ends_axis: str = ""
    low_end: str = ""
    high_end: str = ""


@frozen_by_name
class Scene:
    """Cores in setting order, the box round the casting, and the parting along `parting_axis`; casting mm as drawn."""

    job: str
    cores: tuple[SceneCore, ...]
    outline: Box | None = None
    outline_given: bool = False
    parting: tuple[PartingStep, ...] = ()
    parting_axis: str = "z"

    def core(self, number: str) -> SceneCore | None:
        """The core with a number."""
        return next((core for core in self.cores if core.number == number), None)

    @property
    def placed(self) -> bool:
        """Whether anything of it has a place."""
        return any(core.body.known or core.body.boxes for core in self.cores) or self.outline is not None


# ------------------------------------------------------------------------------ the mould of a job
def scene(facts: KitFacts, sequence: Sequence[str]) -> Scene:
    """The mould of a job whose cores are set in this order; what is not known of it is left out, never invented."""
    body_of = bodies(facts)
    step_of = {number: n for n, number in enumerate(sequence, start=1)}
    ways, into, keys = _ways(facts), _into(facts), _keys(facts)
    cores = [
        SceneCore(
            number=str(core.number),
            name=core.name,
            body=body_of[str(core.number)],
            step=step_of.get(str(core.number)),
            way_in=next(iter(ways.get(str(core.number), ())), None),
            ways=ways.get(str(core.number), ()),
            into=into.get(str(core.number)),
            keys=tuple(keys.get(str(core.number), ())),
            **_ends(facts.details.get(core.of_id)),
        )
        for core in facts.cores
    ]
    cores.sort(key=lambda core: (core.step is None, core.step or 0, int(core.number)))
    given = _outline(facts)
    outline = given or _about(facts)
    steps, axis = _parting(facts)
    return Scene(
        job=facts.job.number,
        cores=tuple(cores),
        outline=outline,
        outline_given=given is not None,
        parting=steps,
        parting_axis=axis,
    )


def read(reader: Reader, job: Job, style: Style = MM) -> Scene:
    """The mould of a job, in the order in force; reads only."""
    facts = KitFacts(reader, job)
    lines, _, _ = kit_fits.lines(facts, kit_order.given_order(facts), style)
    order = kit_order.check_order(facts, kit_order.sits(facts, lines))
    return scene(facts, order.sequence or order.given)


def _ways(facts: KitFacts) -> dict[str, tuple[str, ...]]:
    """Core -> the directions in which its prints and keys go in, what most of them do first."""
    said: dict[str, Counter[str]] = {}
    for fit in facts.fits:
        if fit.inner_core_id is not None and fit.kind in ("print", "key"):
            said.setdefault(facts.number(fit.inner_core_id), Counter())[fit.way_in] += 1
    return {number: tuple(way for way, _ in ways.most_common()) for number, ways in said.items()}


def _keys(facts: KitFacts) -> dict[str, list[SceneKey]]:
    """Core -> its prints and keys with their places, which were said at tooling scale, on the casting as drawn."""
    scale = facts.mould_scale
    made: dict[str, list[SceneKey]] = {}
    for fit in facts.fits:
        if fit.inner_core_id is not None and fit.kind in ("print", "key"):
            at = {axis: place / scale[axis] for axis in AXES if (place := getattr(fit, f"at_{axis}")) is not None}
            made.setdefault(facts.number(fit.inner_core_id), []).append(SceneKey(fit.name, fit.mark or "", at))
    return made


def _ends(detail: CoreDetail | None) -> dict[str, str]:
    """What people call the ends of a core, where they said along which axis."""
    if detail is None or detail.ends_axis not in AXES:
        return {}
    return {"ends_axis": detail.ends_axis, "low_end": detail.low_end or "", "high_end": detail.high_end or ""}


def _into(facts: KitFacts) -> dict[str, str]:
    """Core -> the core that most of its prints and keys go into; those that go into a mould half have none."""
    said: dict[str, Counter[str]] = {}
    for fit in facts.fits:
        if fit.inner_core_id is not None and fit.kind in ("print", "key"):
            outer = facts.number(fit.outer_core_id) if fit.outer_core_id is not None else ""
            said.setdefault(facts.number(fit.inner_core_id), Counter())[outer] += 1
    most = {number: outers.most_common(1)[0][0] for number, outers in said.items()}
    return {number: outer for number, outer in most.items() if outer}


def _about(facts: KitFacts) -> Box | None:
    """The box round the faces that drag and cope make; None where they leave an axis open."""
    places: dict[str, list[float]] = {axis: [] for axis in AXES}
    for feature in facts.features:
        if feature.scale != "tool" and feature.axis in places:
            places[feature.axis] += [e.coord_mm for e in feature.ends if e.half is not None and e.coord_mm is not None]
    if any(len(set(at)) < 2 for at in places.values()):
        return None
    return Box(*(f(places[axis]) for axis in AXES for f in (min, max)))


def _outline(facts: KitFacts) -> Box | None:
    """The box round the casting that somebody gave."""
    said = facts.outline
    return box_of(said) if said is not None and said.active else None


def _parting(facts: KitFacts) -> tuple[tuple[PartingStep, ...], str]:
    parting = facts.parting
    if parting is None:
        return (), "z"
    steps = [
        PartingStep(step.z) if step.everywhere else PartingStep(step.z, parting.along, step.from_x, step.to_x)
        for step in parting.steps
    ]
    return tuple(steps), parting.axis
