"""Will every machined face clean up: stock on each face of each casting from its readings, and how to set it up.

The casting may be shifted along an axis only where machined faces look both ways along it: otherwise the datums hold
it. It is turned only where shifts alone leave it in doubt, and only as the places in the features' notes can answer
for; the turn is told as what the datum targets are raised by, and what is held still is said. Where no datum is known
along an axis, what is there is shared between the faces themselves.
"""

from __future__ import annotations

from functools import cache
from math import degrees
from typing import TYPE_CHECKING

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen, replace
from inspect_tui.model.first_article import DatumTarget
from inspect_tui.model.work import Item
from inspect_tui.shop.first_article.castings.sampling import Sampling
from inspect_tui.shop.first_article.findings import Stock, StockFace, StockLine
from inspect_tui.shop.first_article.stock_faces import AXES, StockFaces, adjusted, standing, stock_faces

if TYPE_CHECKING:
    from inspect_tui.metrology.faces.stock import SetUp, SetUpLimits, StockPoint
    from inspect_tui.shop.first_article.castings.tools_then import ToolLog
    from inspect_tui.shop.first_article.stock_faces import Standing

REQUIRED_MM = 1.0  # least stock that cleans a cast face up in one cut: common practice, no source

TURN_WORTH = 0.05  # mm that a turn has to gain: shims are set no closer than that. Chosen here, no source


@frozen
class HeldBy:
    """What holds the casting: its datum targets, the axis of the primary datum (the one with most), their middles."""

    targets: tuple[DatumTarget, ...]
    primary: str | None
    middles: tuple[tuple[float | None, ...] | None, ...]  # along x, y, z: of the targets that hold that axis


def held_by(sampling: Sampling) -> HeldBy:
    """The datum targets of the job, as far as their places are recorded."""
    targets = sampling.facts.datum_targets
    rows = [[t for t in targets if t.axis == axis] for axis in AXES]
    most = max(len(row) for row in rows)
    primary = next(
        (t.axis for t in sorted(targets, key=lambda t: t.label) if len(rows[AXES.index(t.axis)]) == most), None
    )
    return HeldBy(tuple(targets), primary, tuple(_middle(row) if row else None for row in rows))


def _place(target: DatumTarget) -> tuple[float | None, float | None, float | None]:
    return target.x_mm, target.y_mm, target.z_mm


def _middle(row: list[DatumTarget]) -> tuple[float | None, ...]:
    columns = zip(*(_place(target) for target in row), strict=True)
    return tuple(None if None in column else sum(c or 0.0 for c in column) / len(row) for column in columns)


def stock(sampling: Sampling, required: float = REQUIRED_MM, log: ToolLog | None = None) -> Stock:
    """Stock and set-up of every casting; faces that were not measured are named, not guessed.

    `log` are the tools as they stood when the castings were poured, where they were looked up already.
    """
    faces = stock_faces(sampling)
    told = [*faces.told, *_unplaced(faces)]
    if not faces.machined:
        return Stock((), tuple(told) or ("No feature has machining stock.",))
    lines, still = [], {}
    held, network = held_by(sampling), cache(lambda: adjusted(sampling, faces, log))
    for item in sampling.castings:
        line, missing, turns = _casting(sampling, item, standing(sampling, faces, item, required, network), held)
        told += missing
        if line is not None:
            lines.append(line)
            still[item.serial] = turns
    return Stock(tuple(lines), (*dict.fromkeys(told), *_still(still)))


def _unplaced(faces: StockFaces) -> list[str]:
    """What it costs that the drawing does not say where the ends of sizes with stock stand."""
    names = [face.feature.balloon for face in faces.machined if not face.is_placed and face.feature.axis in AXES]
    return [
        f"{balloon} against the other faces: its stock counts by itself, and without places there are no walls and no "
        f"sketch of it either. Say where its ends stand"
        for balloon in dict.fromkeys(names)
    ]


def _still(by_casting: dict[str, list[str]]) -> list[str]:
    """Why castings are not turned; what is true of all of them is said once."""
    on: dict[str, list[str]] = {}
    for serial, words in by_casting.items():
        for said in words:
            on.setdefault(said, []).append(serial)
    return [
        said if len(serials) == len(by_casting) else f"{', '.join(serials)}: {said}" for said, serials in on.items()
    ]


def _casting(
    sampling: Sampling, item: Item, now: Standing, held: HeldBy
) -> tuple[StockLine | None, list[str], list[str]]:
    """One casting; beside it what was not measured, and, where it is in doubt, which turns are held still and why."""
    from inspect_tui.metrology.faces.stock import SURE, together

    missing, told = list(now.missing), []
    if not now.points and not now.loose:
        return None, missing, []
    try:
        body = _set_up(now, held) if now.points else None
        alone = [_alone(group) for group in now.loose]
    except DataError as problem:
        return None, [*missing, f"{item.serial}: {problem}"], []
    set_up = together(body.set_up if body else None, alone)
    if body and body.set_up.p_cleans_up < SURE:
        told = body.told
    targets, unplaced = _targets(sampling, item, set_up, held)
    if unplaced:
        missing.append(f"{item.serial}: how much to raise {', '.join(unplaced)}, as its place is not recorded")
    words = _words(sampling, item, now, body, set_up, targets, held)
    u = {p.name: p.u_mm for p in (*now.points, *(p for group, _ in now.loose for p in group))}
    return (
        StockLine(
            serial=item.serial,
            cleans_up=set_up.cleans_up,
            spare=set_up.spare_mm,
            spare_as_it_stands=set_up.spare_before_mm,
            u=set_up.u_mm,
            p_cleans_up=set_up.p_cleans_up,
            binding=set_up.binding,
            shift_mm=set_up.shift_mm,
            turn_rad=set_up.turn_rad,
            sentence=f"Casting {item.serial}: {words}",
            faces=tuple(
                StockFace(
                    name=f.name,
                    before=f.before_mm,
                    after=f.after_mm,
                    required=f.required_mm,
                    share=f.share,
                    u=u[f.name],
                    face=now.face[f.name],
                )
                for f in set_up.faces
            ),
            targets=targets,
        ),
        missing,
        told,
    )


@frozen
class _Body:
    """The set-up of what hangs together, the same without a turn, what was free, and why turns are held still."""

    set_up: SetUp
    shifted: SetUp
    limits: SetUpLimits
    told: list[str]


def _set_up(now: Standing, held: HeldBy) -> _Body:
    from inspect_tui.metrology.faces.stock import SURE, SetUpLimits, best_set_up
    from inspect_tui.metrology.faces.stock_turns import free_turns, held_words

    points = now.points
    shift: list[tuple[float, float] | None] = []
    shared = []
    for n in range(3):
        ways = {p.normal[n] > 0 for p in points if p.normal[n]}
        shift.append(None if len(ways) == 2 else (0.0, 0.0))
        tied = all(on for p, on in zip(points, now.tied, strict=True) if p.normal[n])
        shared.append(len(ways) == 2 and not (held.middles[n] is not None and tied))
    share = (shared[0], shared[1], shared[2])
    limits = SetUpLimits(tuple(shift), ((0.0, 0.0),) * 3, shared=share)
    set_up = shifted = best_set_up(points, limits, now.cov)
    told = []
    if shifted.p_cleans_up < SURE:  # a turn takes the casting off its datum: not looked for where shifts will do
        free, still = free_turns(points, shift, held.middles)
        free = replace(free, shared=share)
        turned = best_set_up(points, free, now.cov)
        if turned.spare_mm >= shifted.spare_mm + TURN_WORTH and turned.p_cleans_up > shifted.p_cleans_up:
            set_up = turned
        limits = free
        told = held_words(tuple(replace(turn, names=tuple(name.split()[0] for name in turn.names)) for turn in still))
    return _Body(set_up, shifted, limits, told)


def _alone(group: tuple[tuple[StockPoint, ...], tuple[tuple[float, ...], ...]]) -> SetUp:
    """Faces whose place nobody said: both sides of a size share what is there; one side stands on the other."""
    from inspect_tui.metrology.faces.stock import SetUpLimits, best_set_up

    points, cov = group
    both = len({p.normal for p in points}) > 1
    still: tuple[tuple[float, float] | None, ...] = ((0.0, 0.0),) * 3
    free = tuple(None if both and any(p.normal[n] for p in points) else (0.0, 0.0) for n in range(3))
    return best_set_up(points, SetUpLimits(free, still, shared=(both, both, both)), cov)


def _targets(
    sampling: Sampling, item: Item, set_up: SetUp, held: HeldBy
) -> tuple[tuple[tuple[str, float], ...], list[str]]:
    """By how much each target of the primary datum is raised, re-aligning included; and those nobody can tell of."""
    told, unplaced = [], []
    for target in held.targets:
        if target.axis != held.primary:
            continue
        n, place = AXES.index(target.axis), _place(target)
        arms = [k for k in range(3) if k != n and abs(set_up.turn_rad[3 - k - n]) > 0.0]
        # a casting that was turned back has its stock told as it then stands: the targets must come along
        turned = [turn for turn in sampling.realigned(item) if turn.axis == target.axis]
        arms += [AXES.index(turn.along) for turn in turned]
        if any(place[k] is None for k in arms):
            unplaced.append(target.label)
            continue
        x, y, z = (c or 0.0 for c in place)
        mm = set_up.moved((x, y, z))[n]
        mm -= sum(turn.slope * ((x, y, z)[AXES.index(turn.along)] - turn.pivot_mm) for turn in turned)
        told.append((target.label, mm + 0.0))
    return tuple(told), unplaced


def _words(
    sampling: Sampling,
    item: Item,
    now: Standing,
    body: _Body | None,
    set_up: SetUp,
    targets: tuple[tuple[str, float], ...],
    held: HeldBy,
) -> str:
    """What the machinist is told of one casting."""
    from inspect_tui.metrology.faces.stock_turns import set_up_words, shared_words

    style = sampling.style
    text = set_up.verdict(style)
    turned = sampling.realigned(item)
    if body is None:
        return text
    shared = shared_words(now.points, body.set_up, body.limits)
    if body.set_up.helps or shared or any(turn.axis == held.primary for turn in turned):
        spans = []
        for k in range(3):
            places = [_place(t)[k] for t in held.targets] + [p.at[k] for p in now.points if AXES[k] in p.known]
            known = [mm for mm in places if mm is not None]
            spans.append(max(known) - min(known) if known else 0.0)
        primary = held.primary if targets else None
        words = set_up_words(body.set_up, body.limits, targets, primary, spans, style)
        text += f" Set up: {', '.join([words, *shared] if words or not shared else shared)}."
    if turned:
        text += f" Its heights count as re-aligned ({turned[-1].why}): what that takes is in the set-up."
    if body.set_up is not body.shifted:
        lean = body.shifted.spare_mm
        by = style.length(lean if lean >= 0.005 else max(-lean, 0.0), unit=False)
        without = f"only {by} would be to spare" if lean >= 0.005 else f"{by} would be lacking"
        text += f" Not turned, {without}."
        most = max(pair[1] for pair in body.limits.turn if pair)
        if any(abs(abs(w) - most) < 1e-7 for w in body.set_up.turn_rad):
            text += (
                f" It is turned by {style.figure(degrees(most))} deg, as far as a set-up is reckoned here: turned "
                "further, more stock would be left."
            )
    return text
