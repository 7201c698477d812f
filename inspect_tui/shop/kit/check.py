"""Does the kit go together without us: every check of a job's cores, fits, order, walls and passages in one answer."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen_by_name
from inspect_tui.metrology.judge.verdict import Answer
from inspect_tui.metrology.kit import setting
from inspect_tui.metrology.kit.buoyancy import CoreLift
from inspect_tui.metrology.kit.fits import FitVerdict, KitFits
from inspect_tui.metrology.kit.lookalikes import LookAlike
from inspect_tui.metrology.kit.play import Float, Play, floats
from inspect_tui.metrology.kit.setting import Sits, Trouble
from inspect_tui.metrology.sizes import chain
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.kit import Fit
from inspect_tui.model.words import Id
from inspect_tui.model.work import Core, Job, Tool
from inspect_tui.record.read import Reader
from inspect_tui.shop.common.parting import contradictions
from inspect_tui.shop.kit import bodies as kit_bodies
from inspect_tui.shop.kit import fits as kit_fits
from inspect_tui.shop.kit import missing as kit_missing
from inspect_tui.shop.kit import order as kit_order
from inspect_tui.shop.kit import passages as kit_passages
from inspect_tui.shop.kit import walls as kit_walls
from inspect_tui.shop.kit.facts import KitFacts
from inspect_tui.shop.kit.fits import FitLine
from inspect_tui.shop.kit.missing import CoreState, Next
from inspect_tui.shop.kit.order import OrderCheck
from inspect_tui.shop.kit.passages import KitPassage
from inspect_tui.shop.kit.together import alike as kit_alike
from inspect_tui.shop.kit.walls import NoLoop, WallLine, WallState

TYPE_CHECKING = False
if TYPE_CHECKING:
    from inspect_tui.metrology.faces.assemblies import Assemblies


@frozen_by_name
class KitCheck:
    """The whole answer. `against`: what does not hold, as sentences; `doubts`: what is not decided or not said."""

    facts: KitFacts
    troubles: tuple[Trouble, ...]  # facts that contradict each other
    fits: KitFits
    lines: tuple[FitLine, ...]
    sits: tuple[Sits, ...]
    order: OrderCheck
    not_held: tuple[tuple[str, tuple[str, ...], str], ...]  # core, directions, sentence
    look_alikes: tuple[LookAlike, ...]
    held: dict[str, CoreLift]  # core's number -> what keeps it down
    lift_troubles: tuple[Trouble, ...]
    floats: dict[tuple[str, str], Float]
    walls: tuple[WallLine, ...]
    no_loop: tuple[NoLoop, ...]
    passages: tuple[KitPassage, ...]
    states: dict[Id, CoreState]
    missing: tuple[str, ...]
    next: tuple[Next, ...]
    against: tuple[str, ...]
    doubts: tuple[str, ...]
    style: Style = MM  # that its sentences are written in

    @property
    def holds(self) -> bool:
        """Nothing is known that speaks against the kit."""
        return not self.against

    @property
    def sentence(self) -> str:
        """The answer in one line."""
        if not self.facts.cores:
            return f"job {self.facts.job.number} has no cores"
        if self.against:
            more = f" (and {len(self.against) - 1} more)" if len(self.against) > 1 else ""
            return f"the kit does not go together as it is: {self.against[0]}{more}"
        if self.doubts:
            return f"nothing speaks against the kit, but {len(self.doubts)} things are open: {self.doubts[0]}"
        return "the kit goes together"

    @property
    def sequence(self) -> tuple[str, ...]:
        """The cores' numbers in the setting order that is in force; empty when there is none."""
        return self.order.sequence

    @property
    def order_sentence(self) -> str:
        """The order, and whether there is another one."""
        return self.order.sentence

    def verdict_of(self, fit: Fit) -> FitVerdict:
        """The verdict on one fit of the record."""
        return next(line.verdict for line in self.lines if line.fit.of_id == fit.of_id)

    def part(self, fit: Fit, side: str) -> str:
        """core 4, drag or cope, on the `inner` or the `outer` side of a fit."""
        if side == "inner":
            return kit_fits.part_word(self.facts, fit.inner_core_id, fit.inner_half)
        return kit_fits.part_word(self.facts, fit.outer_core_id, fit.outer_half) or "a seat not said"

    def where(self, tool: Tool) -> str:
        """`here`, or `at NAME since DATE`."""
        return kit_missing.where(self.facts, tool)

    def mould_check(self, core: Core) -> tuple[str, str | None, float | None, float | None] | None:
        """What the setter proves of a core: (what, template, lower, upper), mm in the mould; None where nothing is."""
        detail = self.facts.details.get(core.of_id)
        if detail is None or not (detail.template or detail.check_name or detail.check_feature_id):
            return None
        feature = self.facts.feature.get(self.facts.drawn.get(detail.check_feature_id or b"", b""))
        lower, upper = detail.check_lower, detail.check_upper
        if lower is None and upper is None and feature is not None:
            job = self.facts.job
            a = {"x": job.a_x, "y": job.a_y, "z": job.a_z}.get(feature.axis, 0.0)
            band = chain.cast_band(feature)
            lower = None if band.lower is None else band.lower * (1 + a)
            upper = None if band.upper is None else band.upper * (1 + a)
        what = detail.check_name or (f"{feature.name} ({feature.balloon})" if feature else "with the template")
        return what, detail.template, lower, upper

    def remarks_of(self, number: str) -> list[Trouble]:
        """Everything said about one core; of kind `doubt` what is only open."""
        said = [t for t in (*self.troubles, *self.order.troubles, *self.lift_troubles) if number in t.cores]
        said += [Trouble("held", (core,), text) for core, _, text in self.not_held if core == number]
        said += [Trouble("look-alike", (a.core,), a.sentence) for a in self.look_alikes if a.core == number]
        return [Trouble("doubt", t.cores, t.sentence) if t.sentence in self.doubts else t for t in said]


def check(record: Reader, job: Job, until_us: int | None = None, style: Style = MM) -> KitCheck:
    """Check the kit of a job, now or as it stood at a moment (microseconds UTC). Reads only."""
    return check_facts(KitFacts(record, job, until_us), style)


def check_facts(facts: KitFacts, style: Style = MM) -> KitCheck:
    """The check on facts already read."""
    numbers = [str(core.number) for core in facts.cores]
    given = kit_order.given_order(facts)
    lines, fits, troubles = kit_fits.lines(facts, given, style)
    seats = kit_order.sits(facts, lines)
    troubles = setting.problems(numbers, seats) + troubles
    troubles += contradictions(facts.parting, facts.features, facts.cores, style)
    order = kit_order.check_order(facts, seats)
    sequence = order.sequence or given
    pushes = kit_order.lifts(facts)
    held, lift_troubles = kit_order.held_down(facts, seats, sequence, style)
    free = kit_order.not_held(facts, seats, pushes)
    bodies = kit_bodies.bodies(facts)
    alike = kit_alike.look_alikes(facts, lines, bodies, sequence, style)
    walls, no_loop = kit_walls.walls(facts, lines, style)
    passages = kit_passages.lines(facts, style)
    states = kit_missing.core_states(facts, lines)
    photos = set(facts.record.pictures(core.of_id for core in facts.cores))
    against, doubts = _answer(facts, troubles, lines, order, free, alike, held, lift_troubles, walls, passages)
    missing = kit_missing.missing(facts, lines, states, no_loop, photos)
    following = kit_missing.next_readings(facts, lines, walls, style)
    return KitCheck(
        facts=facts,
        troubles=tuple(troubles),
        fits=fits,
        lines=lines,
        sits=tuple(seats),
        order=order,
        not_held=tuple(free),
        look_alikes=tuple(alike),
        held=held,
        lift_troubles=tuple(lift_troubles),
        floats=_floats(facts, lines, order),
        walls=tuple(walls),
        no_loop=tuple(no_loop),
        passages=tuple(passages),
        states=states,
        missing=missing,
        next=tuple(following),
        against=against,
        doubts=doubts,
        style=style,
    )


def _answer(
    facts: KitFacts,
    troubles: list[Trouble],
    lines: tuple[FitLine, ...],
    order: OrderCheck,
    free: list[tuple[str, tuple[str, ...], str]],
    alike: list[LookAlike],
    held: dict[str, CoreLift],
    lift_troubles: list[Trouble],
    walls: list[WallLine],
    passages: list[KitPassage],
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """What does not hold, and what is open, in the order in which people want to hear it."""
    against = [t.sentence for t in troubles]
    doubts: list[str] = []
    bad = [x for x in lines if x.verdict.answer == Answer.DOES_NOT_CONFORM and not _said(troubles, x)]
    for line in sorted(bad, key=lambda x: ("does not go", "rubs", "floats").index(x.verdict.state)):
        text = line.verdict.sentence + (f" ({line.cut})" if line.cut else "")
        against.append(text + (f"; {line.changed}: measure it again" if line.changed else ""))
    doubts += [x.verdict.sentence for x in lines if x.verdict.answer == Answer.UNDECIDED]
    against += [s for s in order.computed.sentences if order.computed.rings]
    against += [t.sentence for t in order.troubles if not order.computed.rings]
    for speaks, trouble in kit_alike.findings(facts, lines, alike):
        (against if speaks else doubts).append(trouble.sentence)
    stated = {facts.number(f.inner_core_id) for f in facts.fits if f.inner_core_id and f.holds}
    for core, _, text in free:
        (against if core in stated else doubts).append(text)
    against += [t.sentence for t in lift_troubles]
    against += [h.sentence for h in held.values() if any(word == "crushes" for _, _, word in h.stresses)]
    against += [w.sentence for w in walls if w.wall and w.state is WallState.FAILS]
    doubts += [w.sentence for w in walls if w.wall and w.state is WallState.MAY_FAIL]
    for passage in passages:
        if passage.wrong or passage.misses:
            against.append(passage.sentence)
        elif passage.not_read:
            doubts.append(passage.sentence)
    return tuple(dict.fromkeys(against)), tuple(dict.fromkeys(doubts))


def _said(troubles: list[Trouble], line: FitLine) -> bool:
    return any(t.kind == "clearance" and t.fit == line.name for t in troubles)


def _floats(facts: KitFacts, lines: tuple[FitLine, ...], order: OrderCheck) -> dict[tuple[str, str], Float]:
    """How far each core may stand from its place, its own play and that of every core it sits in (tooling scale)."""
    if not order.sequence:
        return {}
    plays = []
    for line in lines:
        fit = line.fit
        if fit.inner_core_id is None or not line.outer or fit.kind not in ("print", "key"):
            continue
        core = facts.number(fit.inner_core_id)
        into = facts.number(fit.outer_core_id) if fit.outer_core_id else (fit.outer_half or "")
        if not into or into == core:
            continue
        for axis in {word[0] for word in kit_order.holds_of(fit) if word[0] in "xyz"} - {fit.way_in[0]}:
            plays.append(Play(core=core, into=into, axis=axis, clearance=line.verdict.clearance, name=fit.name))
        if fit.lift_mm is not None and fit.way_in == "z-":
            plays.append(
                Play(
                    core=core,
                    into=into,
                    axis="z",
                    clearance=line.verdict.clearance._replace(value=fit.lift_mm),
                    rise=True,
                    name=fit.name,
                )
            )
    try:
        return floats(plays, order.sequence)
    except DataError:
        return {}


def assemblies(checked: KitCheck, n: int = 100_000, seed: int = 1) -> Assemblies | None:
    """Every wall with limits in `n` assemblies drawn at random, as measured; None when there is none. Cold: numpy."""
    from inspect_tui.metrology.faces.assemblies import Wall, assemble

    walls = []
    for wall in checked.walls:
        if wall.wall and not wall.written and (wall.drawn.lower is not None or wall.drawn.upper is not None):
            walls.append(Wall(wall.label, wall.links, wall.drawn.lower, wall.drawn.upper))
    return assemble(walls, n, seed, checked.style) if walls else None


def end_of_day(day: str, tz_min: int = 0) -> int:
    """Microseconds UTC of the end of a day (ISO date) on a clock `tz_min` minutes east of UTC."""
    try:
        start = datetime.fromisoformat(day).replace(tzinfo=UTC)
    except ValueError:
        raise DataError(f"'{day}' is no date such as 2026-03-31") from None
    return int((start + timedelta(days=1) - timedelta(minutes=tz_min)).timestamp() * 1e6) - 1
