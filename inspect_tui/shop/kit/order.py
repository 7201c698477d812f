"""How the cores of a kit can be set: order, seats, what is not held, what holds each core down."""

from __future__ import annotations

import re
from collections.abc import Sequence
from itertools import pairwise

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen, replace
from inspect_tui.metrology.kit import buoyancy, setting
from inspect_tui.metrology.kit.buoyancy import CoreLift, Holder, Lift
from inspect_tui.metrology.kit.setting import Before, SettingOrder, Sits, Trouble
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.kit import Fit
from inspect_tui.model.work import Core
from inspect_tui.shop.kit.facts import KitFacts
from inspect_tui.shop.kit.fits import FitLine

AXIS_PLACES = ("X", "Y", "Z")  # a place so named is the same print, measured along another axis


@frozen
class OrderCheck:
    """The order in force and what speaks against it."""

    given: tuple[str, ...]  # by the numbers people gave, cores without one behind
    computed: SettingOrder
    sequence: tuple[str, ...]  # the given order where it can be set, else the computed one; empty in a ring
    troubles: tuple[Trouble, ...]  # of the given order
    sentence: str


# ------------------------------------------------------------------------------ who sits in whom
def seat_name(fit: Fit) -> str:
    """What the seat is called: the label and place; a place that is an axis names the same seat."""
    return fit.label if fit.place in AXIS_PLACES else fit.name


def holds_of(fit: Fit) -> tuple[str, ...]:
    """What a fit stops; where nothing is said, moving along the axis that its clearance is given for."""
    if fit.holds:
        return tuple(word for word in re.split(r"[\s,]+", fit.holds.strip()) if word)
    if fit.axis == "round":
        return tuple(axis for axis in "xyz" if axis != fit.way_in[0])
    return (fit.axis,)


def sits(facts: KitFacts, lines: tuple[FitLine, ...]) -> list[Sits]:
    """Every print and key of a core as the setting wants it: one entry a seat, its axes together."""
    merged: dict[tuple[str, str, str], Sits] = {}
    for line in lines:
        fit = line.fit
        if fit.inner_core_id is None or fit.kind not in ("print", "key"):
            continue
        core = facts.number(fit.inner_core_id)
        into = facts.number(fit.outer_core_id) if fit.outer_core_id else (fit.outer_half or "")
        seat = line.seat.feature.balloon if line.seat.feature and fit.place not in AXIS_PLACES else seat_name(fit)
        at = None if fit.at_x is None or fit.at_y is None or fit.at_z is None else (fit.at_x, fit.at_y, fit.at_z)
        blocked = tuple(str(int(n)) for n in re.findall(r"\d+", fit.blocked_by or ""))
        key = (core, into, seat)
        before = merged.get(key)
        holds = tuple(dict.fromkeys((*(before.holds if before else ()), *holds_of(fit))))
        merged[key] = Sits(
            core=core, into=into, seat=seat if into else "", holds=holds, at=at, way_in=fit.way_in, blocked_by=blocked
        )
    return list(merged.values())


def wanted_place(facts: KitFacts, core: Core) -> int | None:
    """The place in the order that people gave a core last."""
    detail = facts.details.get(core.of_id)
    return detail.set_order if detail and detail.set_order is not None else core.set_order


def given_order(facts: KitFacts) -> tuple[str, ...]:
    """Cores as people ordered them; those without a place come last, by number."""
    places = [(wanted_place(facts, core), core.number) for core in facts.cores]
    return tuple(str(n) for _, n in sorted(places, key=lambda p: (p[0] is None, p[0] or 0, p[1])))


def check_order(facts: KitFacts, seats: list[Sits], bodies: Sequence[Before] = ()) -> OrderCheck:
    """Is the given order possible, is there another one, and which one is in force; also by `bodies` in the way."""
    given = given_order(facts)
    computed = setting.setting_order(given, seats, bodies)
    troubles = tuple(setting.check_order(given, given, seats, bodies))
    if computed.rings:
        return OrderCheck(given, computed, (), troubles, computed.sentences[0])
    if troubles:
        shown = ", ".join(computed.sequence)
        text = f"cannot be set as ordered: {troubles[0].sentence}; possible is {shown}"
        return OrderCheck(given, computed, computed.sequence, troubles, text)
    order = SettingOrder(given, (), _free(given, seats, bodies), ())
    text = "set in the order " + ", ".join(given)
    if order.free:
        text += "; may change places: " + ", ".join(f"{a} and {b}" for a, b in order.free)
    elif given:
        text += ": there is no other"
    return OrderCheck(given, computed, given, (), text if given else "no cores yet")


def _free(order: tuple[str, ...], seats: list[Sits], bodies: Sequence[Before]) -> tuple[tuple[str, str], ...]:
    after = {(rule.first, rule.then) for rule in setting.demands(order, seats, bodies)}
    return tuple((a, b) for a, b in pairwise(order) if (a, b) not in after)


# ------------------------------------------------------------------------------ held, lifted
def lifts(facts: KitFacts) -> dict[str, Lift]:
    """Push of the liquid metal and weight of each core whose volumes are known; iron where the alloy is not known."""
    lift_of = {}
    weighs = buoyancy.liquid_density(facts.job.alloy)
    rho = buoyancy.IRON_LIQUID if weighs is None else sum(weighs) / 2
    for core in facts.cores:
        detail = facts.details.get(core.of_id)
        in_metal = detail.in_metal_dm3 if detail else None
        if core.volume_dm3 is None or in_metal is None or in_metal > core.volume_dm3:
            continue
        lift_of[str(core.number)] = buoyancy.lift(core.volume_dm3, in_metal, rho)
    return lift_of


def held_down(
    facts: KitFacts, seats: list[Sits], order: tuple[str, ...], style: Style = MM
) -> tuple[dict[str, CoreLift], list[Trouble]]:
    """What keeps each core from rising, and what does not."""
    pushes = lifts(facts)
    holders: list[Holder] = []
    for core in facts.cores:
        number, detail = str(core.number), facts.details.get(core.of_id)
        mine = [s for s in seats if s.core == number]
        if any(s.into == "cope" for s in mine):
            area = detail.print_area_mm2 if detail else None
            holders.append(Holder(number, "the cope", area, _bearing()))
        holders += [Holder(number, s.seat) for s in mine if s.into != "cope" and {"z", "z+"} & set(s.holds)]
        if detail and detail.chaplets:
            holders.append(Holder(number, f"{detail.chaplets} chaplets"))
        if not any(h.core == number for h in holders):  # only then does it lean on what stands on it
            above = {s.core for s in seats if s.into == number and s.way_in == "z-"}
            holders += [Holder(number, other, is_core=True) for other in sorted(above, key=int)]
    try:
        rising = buoyancy.what_holds(pushes, holders, order, style)
    except DataError as problem:
        return {}, [Trouble("lift", (), str(problem))]
    held = {h.core: replace(h, sentence=_held_words(h, style)) for h in rising if h.core in pushes or h.carried > 0}
    loose = [Trouble("lift", (h.core,), h.sentence) for h in held.values() if h.up > 0 and not h.stresses]
    return held, loose


def _held_words(h: CoreLift, style: Style) -> str:
    """As the computation says it, with cores called cores and seats seats."""
    if h.up <= 0:
        return h.sentence
    text = f"core {h.core} lifts {style.figure(h.up / buoyancy.G, 1)} kgf"
    if h.carried > 0:
        text += f", {style.figure(h.carried / buoyancy.G, 1)} of it from cores below"
    parts = []
    for by, stress, word in h.stresses:
        name = f"core {by}" if by.isdigit() else by
        parts.append(name if stress != stress else f"{name} at {style.figure(stress, 3)} N/mm2 ({word})")
    return f"{text}: held by {', '.join(parts)}" if parts else f"{text}: nothing holds it down"


def _bearing() -> tuple[float, float]:
    """What any mould sand bears, and what none does, N/mm2: the sand is the foundry's and not known here."""
    return buoyancy.bearing("green sand")[0], buoyancy.bearing("chemically bonded")[1]


def not_held(facts: KitFacts, seats: list[Sits], pushes: dict[str, Lift]) -> list[tuple[str, tuple[str, ...], str]]:
    """(core, directions, sentence) for every core that something leaves free."""
    loose = []
    for core in facts.cores:
        number, detail = str(core.number), facts.details.get(core.of_id)
        mine = [s for s in seats if s.core == number]
        if not mine:
            continue  # said already: it sits in nothing
        more = []
        on_top = any(s.into == number and s.way_in == "z-" for s in seats)
        if on_top or any(s.into == "cope" for s in mine) or (detail and detail.chaplets):
            more = [Sits(core=number, into="cope", seat="from above", holds=("z+",), at=None, way_in="z+")]
        lift = pushes.get(number)
        free = setting.not_held(number, [*mine, *more], lifts=lift is None or lift.net > 0)
        if free:
            loose.append((number, tuple(free), setting.held_sentence(number, free)))
    return loose
