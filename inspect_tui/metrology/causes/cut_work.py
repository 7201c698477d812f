"""The work that one cause means for each tool: which faces move, which way, by how much, said for tool and casting.

The error of the casting is taken away at the tool, -e (1 + a), at the faces that the cause has moved and not blindly
half and half. A core that sits wrong is put right at its seat or keys, never in its box.

Source: own derivation; that a core is put right at its seat is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Sequence

from inspect_tui.frozen import frozen, frozen_by_name
from inspect_tui.metrology.causes.candidates import face_key, growth_move, is_datum
from inspect_tui.metrology.causes.problem import Candidate, Finding
from inspect_tui.metrology.causes.sentences import Clearance, amount, toward
from inspect_tui.metrology.faces.observed import Face, Observed
from inspect_tui.metrology.judge.cut import cut as tool_cut
from inspect_tui.metrology.judge.cut import tool_change
from inspect_tui.metrology.typed.show import MM, Style

Key = tuple[str, str, float, str]


@frozen
class Maker:
    """The tool that makes a part: part "core 4", label "box 4", kind as in the model ("core_box")."""

    part: str
    label: str
    kind: str


@frozen_by_name
class FaceCut:
    """One face of one tool: how far it must move along the axis (mm at the tool, + toward the axis), 95 % interval.

    `word` is cut, add or move (for a centre), `metal` what the casting gets there: on, off or "".
    """

    axis: str
    place_mm: float
    move_mm: float
    low: float
    high: float
    word: str
    metal: str
    balloons: tuple[str, ...]


@frozen_by_name
class ToolCut:
    """Work on one tool. `change_mm` is the largest movement (shift, face) or the change of the size, at the tool.

    `needed` marks the smallest set of tools that brings home what can be brought home by cutting. `sure` is False
    where the amount is right but the readings do not show at which face; then measure before cutting.
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


def _contraction_of(features: Sequence[Observed], axis: str) -> float:
    return next((o.contraction for o in features if o.axis == axis or axis == "all"), 0.0)


def seat_cut(
    f: Finding,
    features: Sequence[Observed],
    clearances: Sequence[Clearance],
    needed: bool,
    parting_axis: str,
    style: Style = MM,
) -> ToolCut:
    """A core that sits wrong: its seat, print or keys."""
    c = f.candidate
    core = c.parts[0]
    a = _contraction_of(features, c.axis)
    move, low, high = (tool_change(v, a) for v in (f.size.value, f.high, f.low))
    own = [k for k in clearances if k.part == core and (not k.axis or c.axis in k.axis)]
    own.sort(key=lambda k: (not k.out, k.name))
    fit = own[0] if own else None
    if c.axis == parting_axis:
        # heights hang on what the core bears on: it does not matter which side is slack
        place = fit.name if fit else "its keys or print"
        label = f"keys and seat of {core}"
        words = (
            f"{'cut' if move < 0 else 'add'} {amount(move, style)} where {core} bears ({place}), it comes "
            f"{'down' if move < 0 else 'up'}"
        )
    else:
        label = fit.seat if fit and fit.seat else f"seat of {core}"
        side = toward(f.size.value, c.axis)
        words = f"add {amount(move, style)} on the {side} side of the seat of {core}"
        if fit and fit.out and fit.upper is not None and fit.mm > fit.upper:
            has, most = style.length(fit.mm, unit=False), style.length(fit.upper, unit=False)
            words += f" ({fit.name} has {has}, at most {most} wanted)"
        else:
            words += f" and cut as much on the {toward(-f.size.value, c.axis)} side, so that its slack stays"
    riders = f" with {', '.join(c.parts[1:])}" if len(c.parts) > 1 else ""
    way = toward(-f.size.value, c.axis)
    moved = f"{core}{riders} comes {amount(f.size.value, style)} toward {way}; no size of it changes"
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
        needed=needed,
        sure=True,
    )


def _movement(c: Candidate, features: Sequence[Observed], o: Observed, face: Face) -> float:
    """How far a unit of this cause moves this face on the casting."""
    if c.axis not in (o.axis, "all"):
        return 0.0
    if c.kind == "contraction":
        return -face.coord_mm / (1 + o.contraction)
    if c.kind == "growth":
        return growth_move(c.parts[0])(face)
    own = next(p for p in features if p.balloon == c.balloon)
    here = face_key(o, face)
    if c.kind == "face":
        same = face.part == c.parts[0] and c.place_mm is not None and abs(face.coord_mm - c.place_mm) < 1e-6
        return 1.0 if same and here in {face_key(own, e) for e in own.faces} else 0.0
    if own.a is not None and here == face_key(own, own.a):
        return -0.5
    return 0.5 if here == face_key(own, own.b) else 0.0


def face_cuts(
    f: Finding,
    features: Sequence[Observed],
    by_part: dict[str, Maker],
    needed: bool,
    reference: str,
    style: Style = MM,
) -> list[ToolCut]:
    """One entry per tool with the faces that the cause has moved."""
    c = f.candidate
    moved: dict[str, dict[Key, tuple[float, Face, Observed]]] = {}
    ends: dict[Key, list[str]] = {}
    for o in features:
        for face in o.faces:
            key = face_key(o, face)
            unit = 0.0 if is_datum(face, reference) else _movement(c, features, o, face)
            if unit:
                moved.setdefault(face.part, {})[key] = (unit, face, o)
                ends.setdefault(key, []).append(o.balloon)
    out = []
    for part in sorted(moved):
        maker = by_part.get(part, Maker(part, f"tool of {part}", "other"))
        faces = []
        for key, (unit, face, o) in sorted(moved[part].items(), key=lambda kv: (kv[0][1], kv[0][2])):
            move, low, high = (tool_change(unit * v, o.contraction) for v in (f.size.value, f.low, f.high))
            how = tool_cut(
                maker.kind,
                "face",
                0.0,
                move,
                a=o.contraction,
                axis=o.axis,
                facing=face.facing or None,
                resolution_mm=0.001,
            )
            faces.append(
                FaceCut(
                    axis=o.axis,
                    place_mm=face.coord_mm,
                    move_mm=move,
                    low=min(low, high),
                    high=max(low, high),
                    word=how.word,
                    metal=how.metal,
                    balloons=tuple(ends[key]),
                )
            )
        out.append(_tool_cut(f, maker, tuple(faces), features, needed, style))
    return out


def _tool_cut(
    f: Finding, maker: Maker, faces: tuple[FaceCut, ...], features: Sequence[Observed], needed: bool, style: Style
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
        needed=needed,
        sure=sure,
    )


def _place(face: FaceCut, style: Style) -> str:
    return f"{face.axis.upper()} {style.given(face.place_mm, unit=False)}"


def _word(faces: Sequence[FaceCut]) -> str:
    return "/".join(dict.fromkeys(v.word for v in faces))


def off_target(o: Observed) -> bool:
    """Whether the tool, as it was measured, makes this size clearly off its target (both ends on that tool)."""
    if o.target_mm is None or o.a is None or o.a.part != o.b.part or not o.tool_known:
        return False
    return abs(o.predicted_mm - o.target_mm) > max(2.0 * o.u_predicted, 0.02)


def measured_cut(o: Observed, maker: Maker, reference: str, style: Style = MM) -> ToolCut:
    """A tool that was measured off its target: the change of that size, at both ends where neither is the datum.

    Which of two ends is off a size alone does not show: half at each, and to be measured before cutting.
    """
    ends = [(f, s) for f, s in ((o.a, -1.0), (o.b, 1.0)) if f is not None and not is_datum(f, reference)]
    error = o.predicted_mm - (o.target_mm if o.target_mm is not None else o.predicted_mm)
    change, spread = tool_change(error, o.contraction), 1.96 * o.u_predicted * (1 + o.contraction)
    faces = []
    for face, sign in ends:
        share = sign / len(ends)
        how = tool_cut(
            maker.kind,
            "face",
            0.0,
            share * change,
            a=o.contraction,
            axis=o.axis,
            facing=face.facing or None,
            resolution_mm=0.001,
        )
        low, high = sorted((share * (change - spread), share * (change + spread)))
        faces.append(
            FaceCut(
                axis=o.axis,
                place_mm=face.coord_mm,
                move_mm=share * change,
                low=low,
                high=high,
                word=how.word,
                metal=how.metal,
                balloons=(o.balloon,),
            )
        )
    words = f"{o.balloon}: {_word(faces)} {amount(change, style)}, the tool itself measures off its target"
    if len(ends) > 1:
        words += "; see which end it is before cutting"
    casting = "; ".join(dict.fromkeys(f"metal {v.metal}" for v in faces if v.metal)) or "the place moves"
    return ToolCut(
        tool=maker.label,
        part=maker.part,
        cause="tool as measured",
        axis=o.axis,
        change_mm=change,
        low=change - spread,
        high=change + spread,
        faces=tuple(faces),
        words=words,
        casting_words=casting,
        needed=True,
        sure=len(ends) == 1,
    )
