"""The work that one cause means for each tool: which faces move, which way, by how much, said for tool and casting.

The error of the casting is taken away at the tool, -e (1 + a), at the faces that the cause has moved and not blindly
half and half. A core that sits wrong is put right at its seat or keys, never in its box.

Source: own derivation; that a core is put right at its seat is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from inspect_tui.frozen import frozen, frozen_by_name
from inspect_tui.metrology.causes.candidates import turning
from inspect_tui.metrology.causes.problem import NOTHING, Candidate, Finding
from inspect_tui.metrology.causes.sentences import Clearance, amount, toward
from inspect_tui.metrology.faces.face import Face
from inspect_tui.metrology.faces.network import Network
from inspect_tui.metrology.faces.observed import Observed
from inspect_tui.metrology.judge.cut import cut as tool_cut
from inspect_tui.metrology.judge.cut import tool_change
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.words import HALVES

MEASURED = "tool as measured"  # the cause of a cut that no casting names, but the tool's own reading


@frozen
class Maker:
    """The tool that makes a part: part "core 4", label "box 4", kind as in the model ("core_box")."""

    part: str
    label: str
    kind: str


@frozen_by_name
class FaceCut:
    """One face of one tool: how far it must move along the axis (mm at the tool, + toward the axis), 95 % interval.

    `word` is cut, add or move (for a centre), `metal` what the casting gets there: on, off or "". `face` is its name
    in the network, `balloons` the sizes that end there.
    """

    axis: str
    place_mm: float
    move_mm: float
    low: float
    high: float
    word: str
    metal: str
    balloons: tuple[str, ...]
    face: str = ""


@frozen_by_name
class ToolCut:
    """Work on one tool. `change_mm` is the largest movement (shift, face) or the change of the size, at the tool.

    `needed` marks the smallest set of tools that brings home what can be brought home by cutting. `sure` is False
    where the amount is right but the readings do not show at which face; then measure before cutting. `changes` is
    what the cut does to every size that hangs on what moves, mm on the casting; `u_share` is the standard uncertainty
    of the cause as a share of its size, and so of every change. `rides` are the cores that move with the one at hand,
    `bears` the parts at whose tools a seat may be put right.
    """

    tool: str
    part: str
    cause: str
    axis: str
    change_mm: float
    low: float
    high: float
    faces: tuple[FaceCut, ...]
    words: str
    casting_words: str
    needed: bool
    sure: bool
    changes: Mapping[str, float] = NOTHING
    u_share: float = 0.0
    rides: tuple[str, ...] = ()
    bears: tuple[str, ...] = ()


def _contraction_of(features: Sequence[Observed], axis: str) -> float:
    return next((o.contraction for o in features if o.axis == axis or axis == "all"), 0.0)


def holders(network: Network, core: str, axis: str) -> tuple[str, ...]:
    """The parts that a core sits in along this axis. No unit."""
    return tuple(dict.fromkeys(c.outer for c in network.carries if c.inner == core and axis in c.axes))


def seat_cut(
    f: Finding,
    features: Sequence[Observed],
    network: Network,
    clearances: Sequence[Clearance],
    by_part: Mapping[str, Maker],
    style: Style = MM,
) -> ToolCut:
    """A core that sits wrong: its seat, print or keys. What sits in the core comes along, whether it was off or not."""
    c = f.candidate
    core = c.parts[0]
    a = _contraction_of(features, c.axis)
    move, low, high = (tool_change(v, a) for v in (f.size.value, f.high, f.low))
    own = [k for k in clearances if k.part == core and (not k.axis or c.axis in k.axis)]
    own.sort(key=lambda k: (not k.out, k.name))
    fit = own[0] if own else None
    rides = network.rides_with(core, c.axis)[1:]
    held = holders(network, core, c.axis)
    if c.axis == network.parting_axis:
        # heights hang on what the core bears on: it does not matter which side is slack
        place = fit.name if fit else "its keys or print"
        label, bears = f"keys and seat of {core}", (core, *held)
        words = (
            f"{'cut' if move < 0 else 'add'} {amount(move, style)} where {core} bears ({place}), it comes "
            f"{'down' if move < 0 else 'up'}"
        )
    else:
        bears = held
        tools = [by_part[part].label for part in held if part in by_part]
        label = fit.seat if fit and fit.seat else tools[0] if len(tools) == 1 else f"seat of {core}"
        side, other = toward(f.size.value, c.axis), toward(-f.size.value, c.axis)
        # the seat in the sand of a half is made by the print that stands out of its pattern: less print, more sand
        in_sand = bool(held) and all(part in HALVES for part in held)
        first, then = ("cut", "add") if in_sand else ("add", "cut")
        words = (
            f"{first} {amount(move, style)} on the {side} side of the {'print for' if in_sand else 'seat of'} {core}"
        )
        if fit and fit.out and fit.upper is not None and fit.mm > fit.upper:
            has, most = style.length(fit.mm, unit=False), style.length(fit.upper, unit=False)
            words += f" ({fit.name} has {has}, at most {most} wanted)"
        else:
            words += f" and {then} as much on the {other} side, so that its slack stays"
    way = toward(-f.size.value, c.axis)
    moved = f"{core}{_with(rides)} comes {amount(f.size.value, style)} toward {way}; no size of it changes"
    if dragged := _dragged(rides, c):
        back = toward(f.size.value, c.axis)
        words += f"; then {dragged} in it as much toward {back}, or see first whether it sits off as well"
    moves = network.moved(lambda face: -f.size.value if face.maker in (core, *rides) else 0.0, c.axis)
    return ToolCut(
        tool=label,
        part=core,
        cause=c.name,
        axis=c.axis,
        change_mm=move,
        low=low,
        high=high,
        faces=(),
        words=words,
        casting_words=moved,
        needed=False,
        sure=True,
        changes=network.loads(moves),
        u_share=_share(f),
        rides=rides,
        bears=bears,
    )


def _with(rides: Sequence[str]) -> str:
    return f" with {', '.join(rides)}" if rides else ""


def _dragged(rides: Sequence[str], c: Candidate) -> str:
    """The cores that ride along and are no part of the cause: they sat right, and come along. No unit."""
    return ", ".join(rider for rider in rides if rider not in c.parts)


def turned_cut(f: Finding, features: Sequence[Observed], network: Network, style: Style = MM) -> ToolCut:
    """A core that lies turned: where it bears, one way at one end of its stations and the other way at the other.

    What sits in the core turns with it, whether it lay right or not.
    """
    c = f.candidate
    core = c.parts[0]
    rides = network.rides_with(core, c.axis)
    moves, _ = turning(features, network, core, c.axis, rides)
    a = _contraction_of(features, c.axis)
    move, low, high = (tool_change(v, a) for v in (f.size.value, f.high, f.low))
    station = style.given(c.place_mm or 0.0, unit=False)
    words = (
        f"bring {core} {amount(move, style)} toward {toward(move, c.axis)} where it bears at station {station}, "
        f"and as much toward {toward(-move, c.axis)} at its other end"
    )
    if dragged := _dragged(rides[1:], c):
        words += f"; {dragged} in it turns along: see first whether it lies turned as well"
    return ToolCut(
        tool=f"keys and seat of {core}",
        part=core,
        cause=c.name,
        axis=c.axis,
        change_mm=move,
        low=low,
        high=high,
        faces=(),
        words=words,
        casting_words=f"{core}{_with(rides[1:])} lies straight; no size of it changes",
        needed=False,
        sure=True,
        changes=network.loads({name: -f.size.value * unit for name, unit in moves.items()}),
        u_share=_share(f),
        rides=rides[1:],
        bears=(core, *holders(network, core, c.axis)),
    )


def _share(f: Finding) -> float:
    return f.size.u / abs(f.size.value) if f.size.value else 0.0


def face_cuts(
    f: Finding,
    features: Sequence[Observed],
    network: Network,
    by_part: Mapping[str, Maker],
    style: Style = MM,
) -> list[ToolCut]:
    """One entry per tool with the faces that the cause has moved."""
    moved: dict[str, list[tuple[Face, float]]] = {}
    for name, unit in f.candidate.moves.items():
        face = network.face(name)
        if not network.is_datum(face):
            moved.setdefault(face.maker, []).append((face, unit))
    out = []
    for part in sorted(moved):
        maker = by_part.get(part, Maker(part, f"tool of {part}", "other"))
        own = sorted(moved[part], key=lambda v: (v[0].axis, network.place[v[0].name]))
        faces = tuple(_face_cut(f, face, unit, network, maker) for face, unit in own)
        out.append(_tool_cut(f, maker, faces, features, network, style))
    return out


def _face_cut(f: Finding, face: Face, unit: float, network: Network, maker: Maker) -> FaceCut:
    """What is done at the tool to a face that the cause has moved by `unit` of its size."""
    ends = [size for size in network.sizes if any(end.name == face.name for end in size.faces)]
    a = ends[0].contraction
    move, low, high = (tool_change(unit * v, a) for v in (f.size.value, f.low, f.high))
    return _at_face(face, network.place[face.name], (move, low, high), a, maker, tuple(size.name for size in ends))


def _at_face(
    face: Face, place: float, moves: tuple[float, float, float], a: float, maker: Maker, balloons: tuple[str, ...]
) -> FaceCut:
    """`moves`: how far the face moves at the tool and the bounds of that, mm."""
    move, low, high = moves
    how = tool_cut(maker.kind, "face", 0.0, move, a=a, axis=face.axis, facing=face.facing or None, resolution_mm=0.001)
    return FaceCut(
        axis=face.axis,
        place_mm=place,
        move_mm=move,
        low=min(low, high),
        high=max(low, high),
        word=how.word,
        metal=how.metal,
        balloons=balloons,
        face=face.name,
    )


def _tool_cut(
    f: Finding,
    maker: Maker,
    faces: tuple[FaceCut, ...],
    features: Sequence[Observed],
    network: Network,
    style: Style,
) -> ToolCut:
    c = f.candidate
    widest = max(faces, key=lambda v: abs(v.move_mm))
    change, low, high = widest.move_mm, widest.low, widest.high
    casting = (
        "; ".join(dict.fromkeys(f"metal {v.metal}" for v in faces if v.metal)) or "places move, no size of it changes"
    )
    sure = True
    if c.kind == "contraction":
        a = _contraction_of(features, c.axis)
        where = "" if c.axis == "all" else f" in {c.axis.upper()}"
        words = (
            f"lay out again{where} at {style.percent(a + f.size.value, 2)} (was {style.percent(a, 2)}): "
            f"{amount(change, style)} toward {toward(change, widest.axis)} at {_place(widest, style)}, "
            "the others in proportion"
        )
        casting = "every place comes to its nominal in proportion to its distance from the datum"
    elif c.kind == "held back":
        a = _contraction_of(features, c.axis)
        words = (
            f"lay its inside out again in {c.axis.upper()} at {style.percent(a - f.size.value, 2)} "
            f"(was {style.percent(a, 2)}), from its own middle: {amount(change, style)} toward "
            f"{toward(change, widest.axis)} at {_place(widest, style)}, the others in proportion"
        )
    elif c.kind == "growth":
        said = {v.word for v in faces}
        words = f"{' and '.join(sorted(said))} {amount(change, style)} on every face"
    elif c.kind == "size":
        own = next(o for o in features if o.balloon == c.balloon)
        change, low, high = (tool_change(v, own.contraction) for v in (f.size.value, f.high, f.low))
        sure = not f.alike
        if len(faces) > 1:
            places = " and ".join(_place(v, style) for v in faces)
            words = (
                f"{c.balloon}: {_word(faces)} {amount(change, style)} ({amount(low, style)} to "
                f"{amount(high, style)}), {amount(widest.move_mm, style)} at each end ({places})"
            )
        else:
            words = f"{c.balloon}: {_word(faces)} {amount(change, style)} at {_place(widest, style)}"
        if not sure:
            words += "; which face is off the readings do not show, measure its neighbours before cutting"
    else:
        words = (
            f"{_word(faces)} {amount(change, style)} at the face {_place(widest, style)}, "
            f"it moves toward {toward(change, widest.axis)}"
        )
        sure = not f.alike
    return ToolCut(
        tool=maker.label,
        part=maker.part,
        cause=c.name,
        axis=c.axis,
        change_mm=change,
        low=min(low, high),
        high=max(low, high),
        faces=faces,
        words=words,
        casting_words=casting,
        needed=False,
        sure=sure,
        changes=network.loads({face.face: -f.size.value * c.moves[face.face] for face in faces}),
        u_share=_share(f),
    )


def _place(face: FaceCut, style: Style) -> str:
    return f"{face.axis.upper()} {style.given(face.place_mm, unit=False)}"


def _word(faces: Sequence[FaceCut]) -> str:
    return "/".join(dict.fromkeys(v.word for v in faces))


def off_target(o: Observed) -> bool:
    """Whether the tool, as it was measured, makes this size clearly off its target (both ends on that tool)."""
    if o.target_mm is None or o.a is None or o.a.maker != o.b.maker or not o.tool_known:
        return False
    return abs(o.predicted_mm - o.target_mm) > max(2.0 * o.u_predicted, 0.02)


def measured_cut(o: Observed, network: Network, maker: Maker, style: Style = MM) -> ToolCut:
    """A tool that was measured off its target: the change of that size, at both ends where neither is the datum.

    Which of two ends is off a size alone does not show: half at each, and to be measured before cutting.
    """
    size = network.size(o.balloon)
    ends = [(f, s) for f, s in ((size.a, -1.0), (size.b, 1.0)) if f is not None and not network.is_datum(f)]
    error = o.predicted_mm - (o.target_mm if o.target_mm is not None else o.predicted_mm)
    change, spread = tool_change(error, o.contraction), 1.96 * o.u_predicted * (1 + o.contraction)
    faces = []
    for face, sign in ends:
        share = sign / len(ends)
        moves = (share * change, share * (change - spread), share * (change + spread))
        faces.append(_at_face(face, network.place[face.name], moves, o.contraction, maker, (o.balloon,)))
    words = f"{o.balloon}: {_word(faces)} {amount(change, style)}, the tool itself measures off its target"
    if len(ends) > 1:
        words += "; see which end it is before cutting"
    casting = "; ".join(dict.fromkeys(f"metal {v.metal}" for v in faces if v.metal)) or "the place moves"
    return ToolCut(
        tool=maker.label,
        part=maker.part,
        cause=MEASURED,
        axis=o.axis,
        change_mm=change,
        low=change - spread,
        high=change + spread,
        faces=tuple(faces),
        words=words,
        casting_words=casting,
        needed=True,
        sure=len(ends) == 1,
        changes=network.loads({face.name: -error * sign / len(ends) for face, sign in ends}),
        u_share=o.u_predicted / abs(error) if error else 0.0,
    )
