"""Which turns of the casting the machined points can answer for, and what the machinist is told: shims, not radians.

A turn is free only where every point that it moves has a known place and some of them lose stock by it, whichever
way it goes. Otherwise nothing would stop it but its bound, and the answer would be the bound.

Source: own derivation; the bounds were chosen here, no source.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import degrees, hypot, sqrt

from inspect_tui.frozen import frozen
from inspect_tui.metrology.faces.stock import SetUp, SetUpLimits, StockPoint, Vector, stops
from inspect_tui.metrology.typed.show import MM, Style

AXES = "xyz"
NO_TURN = ((0.0, 0.0),) * 3
SMALL_ANGLE_MM = 0.01  # what taking a turn for small may be wrong by at the farthest point: chosen here, no source
MOST_TURN = 0.02  # rad, 1.1 degrees: nobody sets a casting up more crooked: chosen here, no source
APART_MM = 1.0  # two places nearer than this are one: chosen here, no source
SHOWN = 0.005  # mm that show with two decimals

Place = Sequence[float | None]


@frozen
class HeldTurn:
    """A turn that is not used, and why.

    `why`: places (of the points named in `names` the place `along` is not said), datum (where the casting is held
    along `datum` is not known `along`), one place (all are at the same place), nothing stops (all gain by it).
    """

    axis: str
    why: str
    names: tuple[str, ...] = ()
    along: str = ""
    datum: str = ""


def most_turn(points: Sequence[StockPoint], pivot: Sequence[Vector], turns: int = 1) -> float:
    """The largest turn in radians about each of `turns` axes together.

    A point at the distance r from what it is turned about leaves the tangent by r w^2 / 2. That stays below
    SMALL_ANGLE_MM, so heights of targets may be added up as they are told; 0.33 degrees for a casting of 600 mm.
    """
    far = max(
        (hypot(*(p.at[k] - c[k] for k in range(3))) for p in points for i, c in enumerate(pivot) if p.normal[i]),
        default=0.0,
    )
    whole = sqrt(2.0 * SMALL_ANGLE_MM / far) if far > 0 else MOST_TURN
    return min(MOST_TURN, whole) / sqrt(max(turns, 1))


def free_turns(
    points: Sequence[StockPoint], shift: Sequence[tuple[float, float] | None], datums: Sequence[Place | None]
) -> tuple[SetUpLimits, tuple[HeldTurn, ...]]:
    """Limits with these shifts and every turn that the points answer for, and the turns that are held still.

    `datums[i]` is the middle of what holds the casting along axis i, as far as it is known: the casting turns about
    it. It must be known along the arm of a turn where the shift along i is held; where faces look both ways along i,
    they find the height themselves and the middle of the points does.
    """
    pivot = _pivots(points, datums)
    held, free = [], []
    for k in range(3):
        if not any(p.normal[i] for p in points for i in range(3) if i != k):
            continue  # it moves no face along its normal: nothing to gain, nothing to say
        why = _unknown(points, shift, datums, k) or _one_place(points, k)
        if not why and not stops(_moved(points, [k]), _lifted(shift, pivot, [k])):
            why = [HeldTurn(AXES[k], "nothing stops", tuple(p.name for p in _moved(points, [k])))]
        held += why
        if not why:
            free.append(k)
    while len(free) > 1 and not stops(_moved(points, free), _lifted(shift, pivot, free)):
        k = free.pop()  # two turns together can do what each alone cannot
        held.append(HeldTurn(AXES[k], "nothing stops", tuple(p.name for p in _moved(points, [k]))))
    most = most_turn(points, pivot, len(free))
    turn = tuple((-most, most) if k in free else (0.0, 0.0) for k in range(3))
    return SetUpLimits(tuple(shift), turn, pivot), tuple(held)


def _pivots(points: Sequence[StockPoint], datums: Sequence[Place | None]) -> tuple[Vector, Vector, Vector]:
    middle = []
    for k in range(3):
        known = [p.at[k] for p in points if AXES[k] in p.known]
        middle.append((min(known) + max(known)) / 2.0 if known else 0.0)
    out = []
    for datum in datums:
        at = [m if datum is None or (c := datum[k]) is None else c for k, m in enumerate(middle)]
        out.append((at[0], at[1], at[2]))
    return out[0], out[1], out[2]


def _moved(points: Sequence[StockPoint], turns: Iterable[int]) -> list[StockPoint]:
    """The points whose stock these turns change: those that do not look along the only axis of the turn."""
    turns = list(turns)
    return [p for p in points if any(p.normal[i] for k in turns for i in range(3) if i != k)]


def _lifted(
    shift: Sequence[tuple[float, float] | None], pivot: tuple[Vector, Vector, Vector], turns: Sequence[int]
) -> SetUpLimits:
    return SetUpLimits(tuple(shift), tuple(None if k in turns else (0.0, 0.0) for k in range(3)), pivot)


def _unknown(
    points: Sequence[StockPoint], shift: Sequence[tuple[float, float] | None], datums: Sequence[Place | None], k: int
) -> list[HeldTurn]:
    """What is not known of the arms of the points that a turn about axis k moves: of points first, then of datums."""
    of_points, of_datums = [], []
    for i in range(3):
        a = 3 - k - i  # the arm along `a` moves a point along `i`
        moved = [p for p in points if i != k and p.normal[i]]
        names = tuple(p.name for p in moved if AXES[a] not in p.known)
        if names:
            of_points.append(HeldTurn(AXES[k], "places", names, AXES[a]))
        datum = datums[i]
        if moved and shift[i] is not None and (datum is None or datum[a] is None):
            of_datums.append(HeldTurn(AXES[k], "datum", (), AXES[a], AXES[i]))
    return of_points or of_datums


def _one_place(points: Sequence[StockPoint], k: int) -> list[HeldTurn]:
    """Whether no two points of one way of looking stand at different places along the arm."""
    for i in range(3):
        if i != k:
            at = [p.at[3 - k - i] for p in points if p.normal[i]]
            if at and max(at) - min(at) > APART_MM:
                return []
    return [HeldTurn(AXES[k], "one place", tuple(p.name for p in _moved(points, [k])))]


# ------------------------------------------------------------------------------ words
def _and(words: Iterable[str]) -> str:
    told = list(dict.fromkeys(words))
    return told[0] if len(told) == 1 else f"{', '.join(told[:-1])} and {told[-1]}" if told else ""


def held_words(held: Sequence[HeldTurn]) -> list[str]:
    """What is not told because of the turns that are held still, a line a reason, with what would help."""
    out = []
    lacking: dict[str, set[str]] = {}
    for turn in held:
        for name in turn.names if turn.why == "places" else ():
            lacking.setdefault(name, set()).add(turn.along.upper())
    if lacking:
        alike: dict[str, list[str]] = {}
        for name, unsaid in lacking.items():
            alike.setdefault(_and(sorted(unsaid)), []).append(name)
        told = ", ".join(f"{_and(names)} (along {axes})" for axes, names in alike.items())
        was = "were" if len(lacking) > 1 else "was"
        out.append(
            f"{_whether(held, 'places')}: the drawing does not say where {told} {was} taken. A note to the feature, "
            'such as "at x = 455, z = 140", says it'
        )
    for along, axis in dict.fromkeys((turn.along.upper(), turn.datum.upper()) for turn in held if turn.why == "datum"):
        turns = [turn for turn in held if (turn.along.upper(), turn.datum.upper()) == (along, axis)]
        out.append(f"{_whether(turns)}: where along {along} the datum targets hold it along {axis} is not recorded")
    for why, because in (
        ("one place", "no machined face was measured at two places, so none shows a tilt ({})"),
        ("nothing stops", "all faces that it moves would gain by it, so nothing says where to stop ({})"),
    ):
        turns = [turn for turn in held if turn.why == why]
        if turns:
            names = _and(name for turn in turns for name in turn.names)
            out.append(f"{_whether(turns)}: {because.format(names)}")
    return out


def _whether(held: Sequence[HeldTurn], why: str = "") -> str:
    axes = list(dict.fromkeys(turn.axis.upper() for turn in held if why in ("", turn.why)))
    return f"whether a turn about {' or '.join(axes)} would help"


def target_words(targets: Sequence[tuple[str, float]], axis: str, style: Style = MM) -> str:
    """Which datum targets to raise (toward + along their axis) and which to lower; empty when all stay.

    mm, written in the unit of `style`.
    """
    alike: dict[float, list[str]] = {}
    for name, mm in targets:
        alike.setdefault(round(mm, 2) + 0.0, []).append(name)
    rows = [(mm, alike[mm]) for mm in sorted(alike, reverse=True)]
    up = [(mm, names) for mm, names in rows if mm >= SHOWN]
    down = [(-mm, names) for mm, names in reversed(rows) if mm <= -SHOWN]
    told: list[str] = []
    for word, some in (("raise", up), ("lower", down)):
        if some:  # what they are is said once
            what = "" if told else " datum targets" if len(some[0][1]) > 1 else " datum target"
            told.append(f"{word}{what} {_by(some, style)}")
    if not told:
        return ""
    text = ", ".join(told)
    if down and len(rows) > 1:
        least = down[0][0]
        shims = _by([(mm + least, names) for mm, names in rows[:-1]], style)
        zero = f"set zero {style.length(least)} toward +{axis.upper()}"
        text += f" (where nothing can be lowered: raise {shims} and {zero})"
    return text


def _by(rows: Sequence[tuple[float, list[str]]], style: Style) -> str:
    return _and(f"{_and(names)} by {style.length(mm)}" for mm, names in rows)


def set_up_words(
    set_up: SetUp,
    limits: SetUpLimits,
    targets: Sequence[tuple[str, float]],
    axis: str | None,
    spans: Sequence[float],
    style: Style = MM,
) -> str:
    """The whole set-up as the machinist does it.

    `axis` is that of the primary datum, whose `targets` tell the shift along it and the turns about the other two;
    None where no target tells them. `spans` is how far the places reach along x, y, z: a turn is told over that. mm
    and radians in, the unit of `style` out.
    """
    said = []
    words = target_words(targets, axis or "z", style)
    if words:
        said.append(words)
    primary = AXES.index(axis) if axis else None
    for i in range(3):
        mm = set_up.moved(limits.pivot[i])[i]
        if i != primary and abs(mm) >= SHOWN and not limits.shared[i]:
            said.append(f"{AXES[i].upper()} {style.signed(mm, unit=False)}")
    for k in range(3):
        if abs(set_up.turn_rad[k]) >= 5e-6 and primary in (None, k):
            said.append(_turn_words(k, set_up.turn_rad[k], spans, style))
    return ", ".join(said) or ("" if any(limits.shared) else "as it stands")


def shared_words(points: Sequence[StockPoint], set_up: SetUp, limits: SetUpLimits) -> list[str]:
    """Between which faces to share what is there, for each axis along which no datum tells where the casting stands."""
    spare = {f.name: f.spare_mm for f in set_up.faces}
    said = []
    for i in range(3):
        if not limits.shared[i]:
            continue
        low, high = (
            min((p.name for p in points if p.normal[i] * way > 0), key=lambda name: spare[name]) for way in (-1.0, 1.0)
        )
        of_low, of_high = low.split()[0], high.split()[0]
        between = f"both ends of {of_low}" if of_low == of_high else f"{low} and {high}"
        said.append(f"share what is there along {AXES[i].upper()} between {between}")
    return said


def _turn_words(k: int, turn: float, spans: Sequence[float], style: Style) -> str:
    # the end that goes, and where to: about z the +X end toward +Y, about y the +X end toward -Z, about x +Y toward +Z
    end, toward, sign = ((1, 2, 1.0), (0, 2, -1.0), (0, 1, 1.0))[k]
    span = max(spans[end], 1.0)
    way = "+" if turn * sign > 0 else "-"
    return (
        f"the +{AXES[end].upper()} end {style.length(abs(turn) * span)} toward {way}{AXES[toward].upper()} over "
        f"{style.length(span, 0)} ({style.figure(abs(degrees(turn)), 3)} deg)"
    )
