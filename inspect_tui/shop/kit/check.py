"""Does the kit go together without us: every check of a job's cores, fits, order, walls and passages in one answer."""

from __future__ import annotations

from collections.abc import Mapping

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen_by_name, replace
from inspect_tui.metrology.kit import setting
from inspect_tui.metrology.kit.bodies import Body
from inspect_tui.metrology.kit.buoyancy import CoreLift
from inspect_tui.metrology.kit.fits import FitVerdict, KitFits
from inspect_tui.metrology.kit.lookalikes import LookAlike
from inspect_tui.metrology.kit.play import Float, Play, floats
from inspect_tui.metrology.kit.seating import Places
from inspect_tui.metrology.kit.setting import Sits, Trouble
from inspect_tui.metrology.sizes import chain
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.kit import Fit
from inspect_tui.model.words import Id
from inspect_tui.model.work import Core, Job, Tool
from inspect_tui.record.ask.kit import Picture
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
from inspect_tui.shop.kit.seats import spots as kit_spots
from inspect_tui.shop.kit.together import alike as kit_alike
from inspect_tui.shop.kit.together import blocking as kit_blocking
from inspect_tui.shop.kit.together import places as kit_places
from inspect_tui.shop.kit.together import proven as kit_proven
from inspect_tui.shop.kit.together import sizes as kit_sizes
from inspect_tui.shop.kit.together.blocking import InTheWay
from inspect_tui.shop.kit.together.findings import (
    UNSAID,
    of_facts,
    of_fits,
    of_held,
    of_order,
    of_passages,
    of_states,
    of_walls,
    once,
)
from inspect_tui.shop.kit.together.places import Seated
from inspect_tui.shop.kit.together.proven import Proven
from inspect_tui.shop.kit.walls import NoLoop, WallLine

TYPE_CHECKING = False
if TYPE_CHECKING:
    from inspect_tui.metrology.faces.assemblies import Assemblies


@frozen_by_name
class KitCheck:
    """The whole answer. `found`: what does not hold; `open`: what is not decided or not said; kinds by `KINDS`."""

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
    bodies: dict[str, Body]  # of every core by number, casting mm as drawn
    seated: Seated
    in_the_way: InTheWay
    unproven: frozenset[str]  # cores whose prints do not go in together for sure, or whose pitches nobody read
    found: tuple[Trouble, ...]
    open: tuple[Trouble, ...]
    pictures: Mapping[Id, tuple[str, ...]]  # core -> what its pictures are called
    proven: tuple[Proven, ...]  # every trial in the mould, oldest first, with what it still proves
    style: Style = MM  # that its sentences are written in

    @property
    def against(self) -> tuple[str, ...]:
        """What does not hold, as sentences."""
        return tuple(trouble.sentence for trouble in self.found)

    @property
    def doubts(self) -> tuple[str, ...]:
        """What is not decided or not said, as sentences."""
        return tuple(trouble.sentence for trouble in self.open)

    @property
    def holds(self) -> bool:
        """Nothing is known that speaks against the kit."""
        return not self.against

    @property
    def sentence(self) -> str:
        """The answer in one line."""
        if not self.facts.cores:
            return f"job {self.facts.job.number} has no cores"
        if not self.facts.fits and not self.against:
            return f"not said yet how the kit of job {self.facts.job.number} goes together"
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
    def proven_sentence(self) -> str:
        """Which cores were proven together, when and in which mould; or that and why they are not."""
        return kit_proven.sentence(self.proven)

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
            scale = self.facts.mould_scale.get(feature.axis, 1.0)
            band = chain.cast_band(feature)
            lower = None if band.lower is None else band.lower * scale
            upper = None if band.upper is None else band.upper * scale
        what = detail.check_name or (f"{feature.name} ({feature.balloon})" if feature else "with the template")
        return what, detail.template, lower, upper

    def said_of_tool(self, label: str) -> tuple[tuple[bool, str], ...]:
        """(speaks against the kit, what) of the sizes, the rule and the hand of one tool."""
        kinds = ("size", "rule", "hand")
        both = ((True, self.found), (False, self.open))
        return tuple((against, t.sentence) for against, of in both for t in of if t.kind in kinds and t.fit == label)

    def remarks_of(self, number: str) -> list[Trouble]:
        """Everything said about one core beside its fits, walls and passages; of kind `doubt` what is only open."""
        said = [t for t in self.troubles if number in t.cores and t.kind not in UNSAID]
        known = {t.sentence for t in said}
        for kind, troubles in (("", self.found), ("doubt", self.open)):
            for t in troubles:
                if number in t.cores and t.kind not in ("fit", "wall", "passage") and t.sentence not in known:
                    said.append(replace(t, kind=kind or t.kind))
        return said


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
    bodies = kit_bodies.bodies(facts)
    in_the_way = kit_blocking.in_the_way(facts, seats, bodies, style)
    order = kit_order.check_order(facts, seats, in_the_way.demands)
    sequence = order.sequence or given
    placed = kit_spots.places(facts, lines)
    floating = _floats(facts, lines, order, placed)
    seated = kit_places.seated(facts, lines, placed, floating, style)
    pushes = kit_order.lifts(facts)
    held, lift_troubles = kit_order.held_down(facts, seats, sequence, style)
    free = kit_order.not_held(facts, seats, pushes)
    alike = kit_alike.look_alikes(facts, lines, bodies, sequence, style)
    walls, no_loop = kit_walls.walls(facts, lines, style, placed, bodies, seated.turnings)
    passages = kit_passages.lines(facts, style)
    unread = kit_places.unread(seated)
    states = kit_missing.core_states(facts, lines, {*unread, *seated.not_in})
    photos = facts.record.pictures(core.of_id for core in facts.cores)
    missing = kit_missing.missing(facts, lines, states, no_loop, set(photos), tuple(unread.values()))
    proven = kit_proven.proven(facts)
    following = kit_missing.next_readings(facts, lines, walls, style) + kit_places.worth_reading(facts, lines, seated)
    told = [
        *of_facts(facts, troubles),
        *((True, trouble) for trouble in in_the_way.troubles),
        *kit_places.findings(seated),
        *of_fits(lines, troubles),
        *of_order(order, in_the_way, sequence, style),
        *kit_alike.findings(facts, lines, alike),
        *of_held(facts, free, held, lift_troubles),
        *kit_alike.not_stopped(kit_sizes.findings(facts, style), alike),
        *of_walls(facts, walls),
        *kit_proven.findings(facts, lines, walls, proven, style),
        *of_passages(facts, passages),
        *of_states(facts, states),
    ]
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
        floats=floating,
        walls=tuple(walls),
        no_loop=tuple(no_loop),
        passages=tuple(passages),
        states=states,
        missing=missing,
        next=tuple(sorted(following, key=lambda n: (-n.score, n.tool, n.balloon))),
        bodies=bodies,
        seated=seated,
        in_the_way=in_the_way,
        unproven=frozenset({*unread, *seated.not_in}),
        found=once(trouble for against, trouble in told if against),
        open=once(trouble for against, trouble in told if not against),
        pictures={of_id: tuple(_called(picture) for picture in several) for of_id, several in photos.items()},
        proven=proven,
        style=style,
    )


def _called(picture: Picture) -> str:
    name = picture.attachment.shown_name
    return f"{picture.use.caption} ({name})" if picture.use.caption else name


def _floats(
    facts: KitFacts, lines: tuple[FitLine, ...], order: OrderCheck, placed: Mapping[tuple[str, str], Places]
) -> dict[tuple[str, str], Float]:
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
            off = kit_spots.off(placed, fit, core, into, axis)
            clearance = line.verdict.clearance
            plays.append(Play(core=core, into=into, axis=axis, clearance=clearance, name=fit.name, off=off))
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
    """Every wall with limits in `n` assemblies drawn at random, as measured; None when there is none. Cold: numpy.

    A loop written for a wall of the drawing that is found by itself, too, counts once: as it was found. Walls whose
    loop does not close, and turns that are not in a wall, leave the answer open.
    """
    from inspect_tui.metrology.faces.assemblies import Wall, assemble

    walls = []
    for wall in checked.walls:
        of_the_drawing = wall.written and wall.axis
        if wall.wall and not of_the_drawing and (wall.drawn.lower is not None or wall.drawn.upper is not None):
            walls.append(Wall(wall.label, wall.links, wall.drawn.lower, wall.drawn.upper))
    unknown = [f"what places the two parts of {place.label} to each other" for place in checked.no_loop]
    unknown += [f"where {wall.label} is taken" for wall in checked.walls if wall.turned]
    return assemble(walls, n, seed, checked.style, unknown) if walls else None
