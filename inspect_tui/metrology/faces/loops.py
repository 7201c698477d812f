"""Closed loops of sizes: walls and gaps against the overall size, found from the faces, and which misread opens one.

Every feature is an edge between two faces. Where edges close a ring, the readings of one casting must sum to zero
but for reading errors: seats, contraction and wrong tools cancel, because each face is counted once from each side.
It is the cheapest detector of misreads. A loop is open where the network of the casting's readings, levelled, leaves
one of its readings a residual that is no accident: all loops that hang together are judged at once. Two rows that were
swapped keep a loop closed when both lie in it; the swap test (rows.py) stands apart.

Source: minimum cycle basis, J. D. Horton 1987; standardised residuals, W. Baarda 1968.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable, Sequence
from itertools import pairwise
from math import sqrt

from inspect_tui.frozen import frozen, frozen_by_name
from inspect_tui.metrology.faces.face import AXES, FaceKey
from inspect_tui.metrology.faces.observed import Observed, Read
from inspect_tui.metrology.spread.generalised import critical
from inspect_tui.metrology.typed.show import MM, Style

Node = FaceKey
OPEN_AT = critical()  # standardised residual from which a reading of a loop is no accident: 3.29, 0.1 % false alarms
SHUT = 2.0  # a loop that is open by less than so many standard uncertainties is held open by its neighbours alone
KEEP = 3  # explanations shown per open loop
# log odds of a slip that lands on the mark against an error of any size: with few ways to slip it is no accident,
# while one misread digit out of forty possible ones often is (judgement, no source)
SLIP_SCORE = {
    "": 0.0,
    "digits swapped": 4.0,
    "inch for mm": 4.0,
    "mm for inch": 4.0,
    "decimal point": 4.0,
    "one digit misread": 0.8,
}


@frozen
class Loop:
    """A ring of features: each with +1 or -1 as it is walked; `name` reads "F43 + F44 = F51"."""

    balloons: tuple[str, ...]
    signs: tuple[int, ...]

    @property
    def name(self) -> str:
        """Both sides written out, the shorter one (the overall size) on the right."""
        plus = [b for b, s in zip(self.balloons, self.signs, strict=True) if s > 0]
        minus = [b for b, s in zip(self.balloons, self.signs, strict=True) if s < 0]
        long, short = (plus, minus) if len(plus) >= len(minus) else (minus, plus)
        return f"{' + '.join(long)} = {' + '.join(short) or '0'}"


@frozen
class Blame:
    """One reading that would close the open loops if it had been `suggested_mm`; `slip` says how it came about.

    `score` is the log odds against an unexplained error of the same reading: the larger, the better.
    """

    balloon: str
    suggested_mm: float
    slip: str  # "digits swapped", "one digit misread", "decimal point", "inch for mm", "" when no slip gives it
    score: float


@frozen_by_name
class Closure:
    """A loop on one casting: what its readings sum to (longer side minus shorter), with u; who opened it."""

    loop: Loop
    serial: str
    gap_mm: float
    u: float
    open: bool
    blame: tuple[Blame, ...] = ()


def find_loops(features: Sequence[Observed], most: int = 40) -> tuple[Loop, ...]:
    """A smallest set of short loops from which all others follow (minimum cycle basis, Horton 1987).

    Features that were taken at different stations (heights along the casting) are never put in one loop. `most` is the
    largest number of features in a loop.
    """
    usable = [o for o in features if o.a is not None and o.axis in AXES and _node(o, 0) != _node(o, 1)]
    edges = [(_node(o, 0), _node(o, 1)) for o in usable]
    joined: dict[Node, list[int]] = {}
    for k, (a, b) in enumerate(edges):
        joined.setdefault(a, []).append(k)
        joined.setdefault(b, []).append(k)
    rings: dict[frozenset[int], None] = {}
    for start in joined:
        via = _tree(start, joined, edges)
        for k, (a, b) in enumerate(edges):
            if a not in via or b not in via:
                continue
            up, down = _path(via, a), _path(via, b)
            ring = frozenset(up) ^ frozenset(down) ^ frozenset((k,))
            if 2 <= len(ring) <= most and _is_ring(ring, edges):
                rings[ring] = None
    out: list[Loop] = []
    pivots: dict[int, int] = {}  # leading edge -> the ring as bits; a ring that reduces to nothing is a sum of others
    for ring in sorted(rings, key=lambda r: (len(r), sorted(r))):
        stations = {o.station_mm for k in ring if (o := usable[k]).station_mm is not None}
        if len(stations) > 1:
            continue
        bits = sum(1 << k for k in ring)
        while bits and (top := bits.bit_length() - 1) in pivots:
            bits ^= pivots[top]
        if bits:
            pivots[bits.bit_length() - 1] = bits
            out.append(_walk(ring, usable, edges))
    return tuple(out)


def _node(o: Observed, end: int) -> Node:
    face = o.faces[end]
    return face.key


def _tree(
    start: Node, joined: dict[Node, list[int]], edges: Sequence[tuple[Node, Node]]
) -> dict[Node, tuple[Node, int]]:
    """Breadth-first: each face reached, with the face before it and the edge between."""
    via: dict[Node, tuple[Node, int]] = {start: (start, -1)}
    queue = deque([start])
    while queue:
        here = queue.popleft()
        for k in joined[here]:
            a, b = edges[k]
            there = b if a == here else a
            if there not in via:
                via[there] = (here, k)
                queue.append(there)
    return via


def _path(via: dict[Node, tuple[Node, int]], node: Node) -> list[int]:
    out = []
    while via[node][1] >= 0:
        out.append(via[node][1])
        node = via[node][0]
    return out


def _is_ring(ring: Iterable[int], edges: Sequence[tuple[Node, Node]]) -> bool:
    count: dict[Node, int] = {}
    for k in ring:
        for node in edges[k]:
            count[node] = count.get(node, 0) + 1
    return all(n == 2 for n in count.values())


def _walk(ring: frozenset[int], usable: Sequence[Observed], edges: Sequence[tuple[Node, Node]]) -> Loop:
    """Once around, starting along the largest feature backwards, so that the parts stand on the plus side."""
    big = max(ring, key=lambda k: abs(usable[k].cast_size_mm))
    left = set(ring) - {big}
    signs = {big: -1}
    here = edges[big][0]  # the others lead from its A end to its B end
    while left:
        k = next(k for k in sorted(left) if here in edges[k])
        a, b = edges[k]
        signs[k] = 1 if a == here else -1
        here = b if a == here else a
        left.discard(k)
    order = sorted(ring)
    return Loop(tuple(usable[k].balloon for k in order), tuple(signs[k] for k in order))


def check_loops(
    features: Sequence[Observed], loops: Sequence[Loop] | None = None, *, spot_mm: float = 0.0, open_at: float = OPEN_AT
) -> tuple[Closure, ...]:
    """Whether each loop closes on each casting that has all its readings; open ones first, with who is to blame.

    The uncertainty is that of the readings alone, and `spot_mm` per reading where a surface is rough enough that two
    readings do not meet on the same spot. `open_at` is the standardised residual of a reading from which on the loops
    that it lies in are open, as far as they are.
    """
    by_name = {o.balloon: o for o in features}
    loops = find_loops(features) if loops is None else loops
    out = []
    for serial in sorted({s for o in features for s in o.readings}):
        here = [p for p in loops if all(serial in by_name[b].readings for b in p.balloons)]
        left = _residuals(here, by_name, serial, spot_mm)
        for loop in here:
            gap, u = _gap(loop, by_name, serial, spot_mm)
            wrong = max(left[b] for b in loop.balloons) > open_at and abs(gap) > max(SHUT * u, 1e-9)
            blame = _blame(loop, here, by_name, serial, spot_mm) if wrong else ()
            out.append(Closure(loop=loop, serial=serial, gap_mm=gap, u=u, open=wrong, blame=blame))
    return tuple(sorted(out, key=lambda c: (not c.open, -abs(c.gap_mm) / max(c.u, 1e-9))))


def _residuals(loops: Sequence[Loop], by_name: dict[str, Observed], serial: str, spot: float) -> dict[str, float]:
    """The standardised residual of each reading that lies in a loop, its size: the loops as conditions, adjusted.

    What no loop holds tells nothing of a misread. The same as the residuals of the levelled network (`adjust.level`),
    by the other of the two ways of geodesy: a condition a loop instead of a place a face.
    """
    import numpy as np

    names = sorted({b for loop in loops for b in loop.balloons})
    if not names:
        return {}
    reads = [by_name[b].readings[serial] for b in names]
    rows = np.zeros((len(loops), len(names)))
    for k, loop in enumerate(loops):
        for b, sign in zip(loop.balloons, loop.signs, strict=True):
            rows[k, names.index(b)] = sign
    variance = np.array([max(r.u**2 + spot**2, 1e-18) for r in reads])
    gaps = rows @ np.array([r.mm for r in reads])
    # loops that somebody gave may follow from each other
    weight = np.linalg.pinv((rows * variance) @ rows.T, hermitian=True)
    # v = Q B' W gap; of its own standard deviation q = Q B' W B Q only the diagonal is needed
    residual = variance * (rows.T @ weight @ gaps)
    spread = variance * np.sqrt(np.einsum("kn,kl,ln->n", rows, weight, rows))
    return {b: abs(float(v)) / float(s) for b, v, s in zip(names, residual, spread, strict=True)}


def _gap(loop: Loop, by_name: dict[str, Observed], serial: str, spot: float) -> tuple[float, float]:
    reads = [by_name[b].readings[serial] for b in loop.balloons]
    gap = sum(s * r.mm for s, r in zip(loop.signs, reads, strict=True))
    return gap, sqrt(sum(r.u**2 + spot**2 for r in reads))


def _blame(
    loop: Loop, loops: Sequence[Loop], by_name: dict[str, Observed], serial: str, spot: float
) -> tuple[Blame, ...]:
    """The readings of an open loop, by how well one wrong reading (and which slip) closes all loops it lies in."""
    blamed = []
    for balloon, sign in zip(loop.balloons, loop.signs, strict=True):
        read = by_name[balloon].readings[serial]
        gap, u = _gap(loop, by_name, serial, spot)
        due = read.mm - sign * gap  # what it must have been to close this loop
        options = [("", due)] + [(kind, mm) for kind, mm in slips_of(read) if abs(mm - due) < 3 * max(u, 0.02)]
        for slip, mm in options:
            score = SLIP_SCORE[slip]
            for other in loops:
                if balloon not in other.balloons:
                    continue
                g, v = _gap(other, by_name, serial, spot)
                s = other.signs[other.balloons.index(balloon)]
                score += 0.5 * (_bounded(g / v) - _bounded((g + s * (mm - read.mm)) / v))
            promised, wide = by_name[balloon].predicted_mm, 0.4  # a casting is rarely further from its tool than this
            score += 0.25 * (_bounded((read.mm - promised) / wide) - _bounded((mm - promised) / wide))
            blamed.append(Blame(balloon, mm, slip, score))
    best: dict[str, Blame] = {}
    for b in sorted(blamed, key=lambda b: -b.score):
        best.setdefault(b.balloon, b)
    return tuple(list(best.values())[:KEEP])


def _bounded(z: float) -> float:
    """Squared, but no more than 40: beyond that one loop has said all it can say."""
    return min(z * z, 40.0)


def slips_of(read: Read) -> list[tuple[str, float]]:
    """Sizes this reading could have been before a slip: digits swapped, one misread, point moved, inch for mm."""
    text = read.text or MM.length(read.mm, unit=False)
    digits = text.strip().replace(",", ".").lstrip("+")
    try:
        value = float(digits)
    except ValueError:
        return []
    scale = read.mm / value if value else 1.0  # the text may be in another unit than mm
    out: dict[float, str] = {}

    def add(kind: str, mm: float) -> None:
        if abs(mm - read.mm) > 1e-9:
            out.setdefault(round(mm, 6), kind)

    places = [i for i, c in enumerate(digits) if c.isdigit()]
    for i, j in pairwise(places):
        swapped = list(digits)
        swapped[i], swapped[j] = swapped[j], swapped[i]
        add("digits swapped", float("".join(swapped)) * scale)
    add("inch for mm", read.mm * 25.4)
    add("mm for inch", read.mm / 25.4)
    add("decimal point", read.mm * 10)
    add("decimal point", read.mm / 10)
    for i in places:
        for d in "0123456789":
            add("one digit misread", float(digits[:i] + d + digits[i + 1 :]) * scale)
    return [(kind, mm) for mm, kind in out.items()]


def say_open(closure: Closure, style: Style = MM) -> str:
    """One sentence about an open loop, with the likeliest misread."""
    gap, most = style.signed(closure.gap_mm, unit=False), style.uncertainty(2 * closure.u, unit=False)
    text = f"Casting {closure.serial}: {closure.loop.name} is open by {gap} ({most} at most)."
    if closure.blame:
        b = closure.blame[0]
        how = f" ({b.slip})" if b.slip else ""
        text += f" {b.balloon} at {style.length(b.suggested_mm, unit=False)}{how} would close it: measure it again."
    return text
