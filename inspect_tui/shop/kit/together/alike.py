"""Cores of a kit that go in the wrong way: by all their prints at once, with what their bodies say of it."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence

from inspect_tui.frozen import replace
from inspect_tui.metrology.kit import lookalikes
from inspect_tui.metrology.kit.bodies import AXES, Body, Box, hull
from inspect_tui.metrology.kit.lookalikes import LookAlike, Mould, Print
from inspect_tui.metrology.kit.setting import Trouble
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.kit import Fit
from inspect_tui.model.words import Estimate
from inspect_tui.shop.kit.bodies import box_of, faces_of
from inspect_tui.shop.kit.facts import KitFacts
from inspect_tui.shop.kit.fits import FitLine, Side
from inspect_tui.shop.kit.order import seat_name

REMEDIES = 8  # look-alikes for which what would stop them is worked out
RATTLE_MM = lookalikes.STOP_MM  # looser than this beyond its band, nobody takes a seat for the right one
TOLD = 12  # look-alikes told one by one; the rest is counted

Sized = list[Estimate | None]


def look_alikes(
    facts: KitFacts,
    lines: tuple[FitLine, ...],
    bodies: Mapping[str, Body],
    order: Sequence[str] = (),
    style: Style = MM,
) -> list[LookAlike]:
    """Cores that go into each other's seats or into their own turned, the likeliest and most harmful first.

    One way for each core and seats. Left out are ways in which no size of a print is compared with its seat, and seats
    in which it would visibly rattle.
    """
    play = max((line.fit.clear_max_mm for line in lines), default=0.0) + RATTLE_MM
    return lookalikes.look_alikes(
        prints_of(facts, lines),
        remedies=REMEDIES,
        style=style,
        mould=_mould(facts, lines, bodies, order),
        loosest=play,
        every=False,
    )


# ------------------------------------------------------------------------------ prints
def prints_of(facts: KitFacts, lines: tuple[FitLine, ...]) -> dict[str, list[Print]]:
    """Prints and seats of each core by number, as measured where they were; only prints whose place is known."""
    kit: dict[str, list[Print]] = {}
    for (core, name), group in _seats(facts, lines).items():
        size, room = _sizes(group)
        fit = group[0].fit
        at = _place(fit)
        if at is None:
            continue
        points = fit.points or fit.way_in
        way = [0, 0, 0]
        if points[:1] in AXES:
            way[AXES.index(points[0])] = 1 if points[1:] == "+" else -1
        kit.setdefault(core, []).append(
            Print(
                name,
                at,
                (size[0], size[1], size[2]),
                (room[0], room[1], room[2]),
                (way[0], way[1], way[2]),
            )
        )
    return kit


def _prints(facts: KitFacts, lines: tuple[FitLine, ...]) -> Iterator[tuple[str, FitLine]]:
    """(core's number, its fit) of every print and key; a face that only stops a core is none."""
    for line in lines:
        fit = line.fit
        if fit.inner_core_id is not None and fit.kind in ("print", "key") and fit.gap_feature_id is None:
            yield facts.number(fit.inner_core_id), line


def _place(fit: Fit) -> tuple[float, float, float] | None:
    """Where a print stands, tooling scale; None where that is not said along every axis."""
    if fit.at_x is None or fit.at_y is None or fit.at_z is None:
        return None
    return fit.at_x, fit.at_y, fit.at_z


def partly(facts: KitFacts, lines: tuple[FitLine, ...]) -> set[str]:
    """Cores of which some prints have a place and some have none: all of them have to go in, so nothing is sure."""
    told: dict[str, set[bool]] = {}
    for core, line in _prints(facts, lines):
        told.setdefault(core, set()).add(_place(line.fit) is not None)
    return {core for core, placed in told.items() if len(placed) > 1}


def _seats(facts: KitFacts, lines: tuple[FitLine, ...]) -> dict[tuple[str, str], list[FitLine]]:
    merged: dict[tuple[str, str], list[FitLine]] = {}
    for core, line in _prints(facts, lines):
        merged.setdefault((core, seat_name(line.fit)), []).append(line)
    return merged


def _sizes(group: list[FitLine]) -> tuple[Sized, Sized]:
    size: Sized = [None, None, None]
    room: Sized = [None, None, None]
    for line in group:
        axes = [a for a in AXES if a != line.fit.way_in[0]] if line.fit.axis == "round" else [line.fit.axis]
        for axis in axes:
            size[AXES.index(axis)] = _size(line.print)
            room[AXES.index(axis)] = _size(line.seat)
    return size, room


def _size(side: Side) -> Estimate | None:
    if side.measured is not None:
        return side.measured
    return None if side.drawn is None else Estimate(side.drawn, side.u_drawn)


# ------------------------------------------------------------------------------ bodies, at tooling scale
def _mould(facts: KitFacts, lines: tuple[FitLine, ...], bodies: Mapping[str, Body], order: Sequence[str]) -> Mould:
    scale = facts.mould_scale
    scaled = {core: _tooling(scale, body) for core, body in bodies.items() if body.boxes}
    before = {core: set(order[:n]) for n, core in enumerate(order)}
    faces = {
        facts.number(core): {axis: [place * scale[axis] for place in set(places)] for axis, places in of_core.items()}
        for core, of_core in faces_of(facts).items()
    }
    return Mould(bodies=scaled, faces=faces, room=_room(facts, lines, scaled), before=before)


def _tooling(scale: Mapping[str, float], body: Body) -> Body:
    boxes = tuple(box.scaled(*scale.values()) for box in body.boxes)
    return Body(core=body.core, boxes=boxes, given=body.given, open=body.open)


def _room(facts: KitFacts, lines: tuple[FitLine, ...], bodies: Mapping[str, Body]) -> Box | None:
    """The mould as far as it is known: its outline where that is given, every body, face of a size and print."""
    boxes = [box for body in bodies.values() for box in body.boxes]
    places: list[list[float]] = [[], [], []]
    for feature in facts.features:
        if feature.scale != "tool" and feature.axis in AXES:
            i, scale = AXES.index(feature.axis), facts.mould_scale[feature.axis]
            places[i] += [end.coord_mm * scale for end in feature.ends if end.coord_mm is not None]
    for line in lines:
        for i, at in enumerate((line.fit.at_x, line.fit.at_y, line.fit.at_z)):
            places[i] += [] if at is None else [at]
    if all(places):
        x, y, z = places
        boxes.append(Box(x0=min(x), x1=max(x), y0=min(y), y1=max(y), z0=min(z), z1=max(z)))
    given = facts.outline
    if given is not None:
        boxes.append(box_of(given).scaled(*facts.mould_scale.values()))
    return hull(boxes)


# ------------------------------------------------------------------------------ what is said of it
def not_stopped(hands: Iterable[tuple[bool, Trouble]], alike: Sequence[LookAlike]) -> list[tuple[bool, Trouble]]:
    """The same findings; a core that may be the wrong hand and whose prints would not stop it so is told that, too."""
    goes = {a.core for a in alike if a.mirrored and a.core == a.seats_of}
    told = []
    for against, trouble in hands:
        if trouble.kind == "hand" and goes.intersection(trouble.cores):
            text = f"{trouble.sentence}; its prints would let it in so, and nobody would see it when it is set"
            trouble = replace(trouble, sentence=text)
        told.append((against, trouble))
    return told


def sure(facts: KitFacts, lines: tuple[FitLine, ...], alike: Sequence[LookAlike]) -> list[LookAlike]:
    """Those of the wrong ways in of which nothing is left open."""
    unsure = partly(facts, lines)
    return [a for a in alike if _is_sure(a, unsure)]


def _is_sure(a: LookAlike, unsure: Collection[str]) -> bool:
    """One print only leaves it open: its shape beside the size that was read may stop it."""
    one_print = a.core == a.seats_of and len(a.pairs) == 1
    return not (a.mirrored or a.body or a.harmless or a.core in unsure or one_print)


def findings(facts: KitFacts, lines: tuple[FitLine, ...], alike: Sequence[LookAlike]) -> list[tuple[bool, Trouble]]:
    """(speaks against the kit, what): wrong ways in, those that only may be or do no harm as doubts.

    A core made the wrong hand that would go into its own seats is no finding by itself: nothing says it is made so.
    """
    unsure = partly(facts, lines)
    made: list[tuple[bool, Trouble]] = []
    for a in alike:
        own = a.core == a.seats_of
        if a.mirrored and own:
            continue
        kind = "hand" if a.mirrored else "lookalike"
        text = a.sentence
        if a.core in unsure:
            text += "; of some of its prints no place is known"
        made.append((_is_sure(a, unsure), Trouble(kind, (a.core,) if own else (a.core, a.seats_of), text)))
    told, rest = made[:TOLD], made[TOLD:]
    for against in (True, False):
        more = [t for speaks, t in rest if speaks is against]
        if more:
            cores = tuple(sorted({core for t in more for core in t.cores}, key=int))
            pairs = f"{len(more)} more such ways in" if len(more) > 1 else "one more such way in"
            named = ", ".join(cores[:TOLD]) + (f" and {len(cores) - TOLD} more" if len(cores) > TOLD else "")
            told.append((against, Trouble("lookalike", cores, f"{pairs}, of cores {named}")))
    return told
