"""Look-alikes: cores that go into each other's seats, or into their own turned over, and the key that would stop it.

Judged from print and seat sizes and places at tooling scale alone; the body of a core may stop it even where its
prints do not, so the answer says what the prints allow.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from math import hypot, inf, prod

from inspect_tui.frozen import frozen, frozen_by_name, replace
from inspect_tui.metrology.judge.verdict import below
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.words import Estimate

# proper turns of a box onto itself: how each takes (x, y, z); the sign pattern of a half turn about one axis,
# and quarter turns about z, which swap the x and y sizes
TURNED: dict[str, tuple[tuple[int, int, int], tuple[int, int, int]]] = {
    "as drawn": ((0, 1, 2), (1, 1, 1)),
    "turned end for end (180 about z)": ((0, 1, 2), (-1, -1, 1)),
    "upside down, turned about x": ((0, 1, 2), (1, -1, -1)),
    "upside down, turned about y": ((0, 1, 2), (-1, 1, -1)),
    "turned a quarter (90 about z)": ((1, 0, 2), (-1, 1, 1)),
    "turned three quarters (270 about z)": ((1, 0, 2), (1, -1, 1)),
}
STOP_MM = 2.0  # common practice, no source: sand gives way to less


@frozen
class Print:
    """One print or key of a core and its seat, in the core's own frame (mm, tooling scale).

    `size` and `seat` are (x, y, z) sizes; None where a direction is open (the print may be any length there). `points`
    is the direction in which the print stands out of the core, (0, 0, -1) for down: turned over it points up and finds
    no seat below. (0, 0, 0) leaves that open.
    """

    name: str
    at: tuple[float, float, float]
    size: tuple[Estimate | None, Estimate | None, Estimate | None]
    seat: tuple[Estimate | None, Estimate | None, Estimate | None]
    points: tuple[int, int, int] = (0, 0, 0)


@frozen_by_name
class Remedy:
    """What would stop it, tried out on the numbers: a print and its seat made `larger` or `moved`, or a "key" added."""

    core: str
    print_name: str
    how: str  # larger, moved, key
    axis: str
    by_mm: float
    sentence: str


@frozen_by_name
class LookAlike:
    """`core` goes into the seats of `seats_of` in this way, with the probability that every clearance lets it."""

    core: str
    seats_of: str
    turned: str
    p: float
    pairs: tuple[tuple[str, str], ...]  # print of the core, seat it finds
    remedy: Remedy | None
    sentence: str


Kit = Mapping[str, Sequence[Print]]
Pairs = list[tuple[Print, Print]]


def look_alikes(
    cores: Kit, p_least: float = 0.05, stop_mm: float = STOP_MM, remedies: int = 20, style: Style = MM
) -> list[LookAlike]:
    """Every wrong way in: each core into every other core's seats in all turns, and into its own turned.

    A core goes in when each of its prints finds its own seat: places agree within the play, sizes clear. Reported when
    that is likelier than `p_least`, most likely first, the first `remedies` of them with what would stop it.
    """
    rooms = {core: [_room(p) for p in prints] for core, prints in cores.items()}
    alike = []
    for core, prints in cores.items():
        turns = {t: [_turn(p, t) for p in prints] for t in TURNED}
        needs = {t: [_need(p) for p in moved] for t, moved in turns.items()}
        for other in cores:
            possible = {t: turns[t] for t in TURNED if _all_pass(needs[t], rooms[other])}
            if possible:
                for turned, p, pairs in _ways_in(possible, cores[other], core == other, p_least):
                    names = tuple((a.name, b.name) for a, b in pairs)
                    alike.append(
                        LookAlike(core=core, seats_of=other, turned=turned, p=p, pairs=names, remedy=None, sentence="")
                    )
    alike.sort(key=lambda f: (-round(f.p, 3), f.core == f.seats_of, f.turned != "as drawn"))
    return [
        _with_sentence(
            f, key_that_stops(cores, f.core, f.seats_of, p_least, stop_mm, style) if i < remedies else None, style
        )
        for i, f in enumerate(alike)
    ]


def _ways_in(
    turns: Mapping[str, Sequence[Print]], seats: Sequence[Print], own: bool, p_least: float
) -> list[tuple[str, float, Pairs]]:
    ways = []
    for turned, moved in turns.items():
        if (own and turned == "as drawn") or not moved or len(moved) > len(seats):
            continue  # right, or one print too many to find a seat for
        best = _goes_in(moved, seats)
        if best is not None and best[0] >= p_least:
            ways.append((turned, *best))
    return ways


def _pair_goes_in(cores: Kit, core: str, other: str, p_least: float) -> bool:
    turns = {t: [_turn(p, t) for p in cores[core]] for t in TURNED}
    return bool(_ways_in(turns, cores[other], core == other, p_least))


def key_that_stops(
    cores: Kit, core: str, other: str, p_least: float = 0.05, stop_mm: float = STOP_MM, style: Style = MM
) -> Remedy:
    """The smallest single change of `core` after which neither goes into the other's seats in any wrong way.

    Tried in turn: one print and its seat larger along one axis, one print and its seat moved along one axis; each by
    what it takes to interfere by `stop_mm` (common practice, no source). Where no single change does it, a key.
    """
    play = max(
        (
            room.value - size.value
            for s in cores[other]
            for p in cores[core]
            for room, size in zip(s.seat, p.size, strict=True)
            if room is not None and size is not None and 0 <= room.value - size.value < 10.0
        ),
        default=0.0,
    )
    by = play + stop_mm
    shown = style.length(by, 1, unit=False)
    for how in ("larger", "moved"):
        for k, print_ in enumerate(cores[core]):
            for i, axis in enumerate("xyz"):
                if how == "larger" and (print_.size[i] is None or print_.seat[i] is None):
                    continue
                tried = dict(cores)
                tried[core] = [*cores[core][:k], _changed(print_, how, i, by), *cores[core][k + 1 :]]
                if not _pair_goes_in(tried, core, other, p_least) and not _pair_goes_in(tried, other, core, p_least):
                    text = f"make {print_.name} of core {core} and its seat {shown} larger along {axis}"
                    if how == "moved":
                        text = f"move {print_.name} of core {core} and its seat {shown} along {axis}"
                    return Remedy(core=core, print_name=print_.name, how=how, axis=axis, by_mm=by, sentence=text)
    text = f"give core {core} a key of its own, at least {shown} off the middle, and the seat for it"
    return Remedy(core=core, print_name="", how="key", axis="", by_mm=by, sentence=text)


def _changed(print_: Print, how: str, i: int, by: float) -> Print:
    if how == "moved":
        at = list(print_.at)
        at[i] += by
        return replace(print_, at=(at[0], at[1], at[2]))
    size, seat = list(print_.size), list(print_.seat)
    old, room = size[i], seat[i]
    if old is not None and room is not None:
        size[i], seat[i] = Estimate(old.value + by, old.u), Estimate(room.value + by, room.u)
    return replace(print_, size=(size[0], size[1], size[2]), seat=(seat[0], seat[1], seat[2]))


def _turn(print_: Print, turned: str) -> Print:
    swap, sign = TURNED[turned]
    at = (print_.at[swap[0]] * sign[0], print_.at[swap[1]] * sign[1], print_.at[swap[2]] * sign[2])
    size = (print_.size[swap[0]], print_.size[swap[1]], print_.size[swap[2]])
    way = (print_.points[swap[0]] * sign[0], print_.points[swap[1]] * sign[1], print_.points[swap[2]] * sign[2])
    return Print(print_.name, at, size, print_.seat, way)


def _goes_in(moved: Sequence[Print], seats: Sequence[Print]) -> tuple[float, Pairs] | None:
    """Best placing of the prints on the seats: put the first print on each seat in turn, then match the rest."""
    best: tuple[float, Pairs] | None = None
    for anchor in seats:
        if not _clears(moved[0], anchor):
            continue
        shift = [anchor.at[i] - moved[0].at[i] for i in range(3)]
        free, pairs = [s for s in seats if s is not anchor], [(moved[0], anchor, [0.0, 0.0, 0.0])]
        for p in moved[1:]:
            near = min(free, key=lambda s: sum((s.at[i] - p.at[i] - shift[i]) ** 2 for i in range(3)))
            if not _clears(p, near):
                break
            pairs.append((p, near, [near.at[i] - p.at[i] - shift[i] for i in range(3)]))
            free.remove(near)
        else:
            p_all = prod(_p_clears(pairs, i) for i in range(3))
            if p_all > 0 and (best is None or p_all > best[0]):
                best = (p_all, [(p, s) for p, s, _ in pairs])
    return best


PrintSizes = tuple[float, float, float]


def _need(print_: Print) -> PrintSizes:
    """The least room that this print may need, beyond doubt."""
    x, y, z = (-inf if size is None else size.value - 5 * size.u for size in print_.size)
    return x, y, z


def _room(seat: Print) -> PrintSizes:
    x, y, z = (inf if room is None else room.value + 5 * room.u + 1e-9 for room in seat.seat)
    return x, y, z


def _all_pass(needs: Sequence[PrintSizes], rooms: Sequence[PrintSizes]) -> bool:
    """Quick look: for every print there is a seat with room for it, wherever it may be."""
    for x, y, z in needs:
        for a, b, c in rooms:
            if x <= a and y <= b and z <= c:
                break
        else:
            return False
    return bool(needs)


def _clears(print_: Print, seat: Print) -> bool:
    """Could this print pass this seat at all: it points the seat's way and no size is too large beyond doubt."""
    for room, size in zip(seat.seat, print_.size, strict=True):
        if room is not None and size is not None and room.value - size.value < -5 * (room.u + size.u) - 1e-9:
            return False
    return print_.points == seat.points or not any(print_.points) or not any(seat.points)


def _p_clears(pairs: Iterable[tuple[Print, Print, list[float]]], i: int) -> float:
    """Probability that along axis i one shift of the whole core puts every print inside its seat."""
    rooms = []
    for print_, seat, off in pairs:
        room, size = seat.seat[i], print_.size[i]
        if room is not None and size is not None:
            half, u = (room.value - size.value) / 2, hypot(room.u, size.u) / 2
            rooms.append((off[i] - half, off[i] + half, u))
    # a common shift exists when every print's lowest shift lies under every other's highest
    p = 1.0
    for j, (low, _, u_low) in enumerate(rooms):
        for k, (_, high, u_high) in enumerate(rooms):
            u = u_low + u_high if j == k else hypot(u_low, u_high)  # one print's two ends move together
            p = min(p, 1.0 - below(Estimate(high - low, u), 0.0))
    return p


def _with_sentence(f: LookAlike, remedy: Remedy | None, style: Style) -> LookAlike:
    whose = "its own seats" if f.core == f.seats_of else f"the seats of core {f.seats_of}"
    way = "" if f.turned == "as drawn" else f", {f.turned}"
    text = f"core {f.core} goes into {whose}{way} by its prints ({style.percent(f.p)})"
    if remedy is not None:
        text += f": {remedy.sentence}"
    return replace(f, remedy=remedy, sentence=text)
