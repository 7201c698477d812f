"""Look-alikes: cores that go into each other's seats, or into their own turned over, and the key that would stop it.

All prints of a core have to find a seat at once, in one of the 24 ways to turn it or as the mirror image of it, and its
body may neither leave the mould nor stand in another core. What a body that is not given would say stays a doubt.
Lengths in mm at tooling scale, bodies too.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from math import hypot, inf, prod

from inspect_tui.frozen import NamedTuple, frozen, frozen_by_name, replace
from inspect_tui.metrology.judge.verdict import below
from inspect_tui.metrology.kit.bodies import AXES, Body, Box, deepest, hull, overlap
from inspect_tui.metrology.kit.turns import Turn, turns
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.words import Estimate

STOP_MM = 2.0  # common practice, no source: sand gives way to less
OPEN_MM = 2.0  # by how much places may differ along an axis in which no size is known: a judgement, no source
U_OPEN = 0.05  # mm, standard uncertainty of a place there
ROUGH = 0.2  # share of its length by which a body about from its sizes may leave the mould before it surely does
SAME = 0.01  # share of its volume up to which a body stands as it should: harmless
FACE_MM = 1.0  # a face that would stand further off than this is another: more than play and what a shop keeps to
HARM = 0.65  # harm where the body is not given: between none and all of it, a judgement


@frozen
class Print:
    """One print or key of a core and its seat, as they stand in the mould (mm, tooling scale).

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
    """`core` goes into the seats of `seats_of` in this way, with the probability that every clearance lets it.

    `harm`: the share of its body that stands where it should not, None where the body is not given. `body`: what a
    body that is not given says against it.
    """

    core: str
    seats_of: str
    turned: str
    p: float
    pairs: tuple[tuple[str, str], ...]  # print of the core, seat it finds
    remedy: Remedy | None
    sentence: str
    mirrored: bool = False
    likely: float = 1.0
    harm: float | None = None
    body: str = ""

    @property
    def rank(self) -> float:
        """How likely and how harmful together, without unit, the greatest first."""
        return self.p * self.likely * (HARM if self.harm is None else 0.3 + 0.7 * self.harm)

    @property
    def harmless(self) -> bool:
        """As far as its body is given the core stands as it should."""
        return self.harm is not None and self.harm <= SAME


@frozen_by_name
class Mould:
    """What stops a core but its prints: bodies by core, the room of the mould, and which cores are set before which.

    `faces` tell a core from its mirror image where nobody gave its body.

    `before` lacks a core whose turn is not known: then every other counts as set.
    """

    bodies: Mapping[str, Body] = {}
    faces: Mapping[str, Mapping[str, Sequence[float]]] = {}  # places of a core's faces by axis
    room: Box | None = None
    before: Mapping[str, Collection[str]] = {}


Kit = Mapping[str, Sequence[Print]]
Off = tuple[float, float, float]
Widths = tuple[float, float, float]  # along x, y, z: the least that a print needs, or the most that a seat has
Sized = tuple[Print, Widths]
Turned = dict[str, list[Sized]]  # a core's prints by the name of the turn
Pair = tuple[Print, Print, Off]
NO_MOULD = Mould()


def look_alikes(
    cores: Kit,
    p_least: float = 0.05,
    stop_mm: float = STOP_MM,
    remedies: int = 20,
    style: Style = MM,
    mould: Mould = NO_MOULD,
    loosest: float = inf,
    every: bool = True,
) -> list[LookAlike]:
    """Every wrong way in: each core into every other core's seats in all turns, and into its own turned.

    A core goes in when each of its prints finds its own seat: places agree within the play, sizes clear by no more than
    `loosest` (mm) in at least one direction. Reported when that is likelier than `p_least`, by rank, the first
    `remedies` of them with what would stop it; unless `every` is asked for, only the first of each core and seats. A
    mirror image is told where no turn of the core itself goes in.
    """
    all_placings = _AllPlacings(cores, p_least, loosest)
    alike: list[LookAlike] = []
    for core, prints in cores.items():
        for other, seats in cores.items():
            if not all_placings.could(core, other):
                continue
            ways = _ways_in(core, prints, other, seats, all_placings.of(core, other, mirrored=False), mould)
            if not ways and (core != other or core in mould.bodies or core in mould.faces):
                ways = _ways_in(core, prints, other, seats, all_placings.of(core, other, mirrored=True), mould)
            alike += ways if every or not ways else [max(ways, key=lambda w: (w.body == "", w.rank))]
    alike.sort(key=lambda f: (f.core == f.seats_of, -round(f.rank, 3), -f.p, f.turned != "as drawn"))
    return [
        told(f, key_that_stops(cores, f.core, f.seats_of, p_least, stop_mm, style) if i < remedies else None, style)
        for i, f in enumerate(alike)
    ]


# ------------------------------------------------------------------------------ one core, one set of seats
class _Placing(NamedTuple):
    """One way in by prints alone: which print finds which seat, the first of them its anchor."""

    turn: Turn
    p: float
    seats: tuple[int, ...]  # of each print


class _AllPlacings:
    """The placings of each core in the seats of each, worked out once for cores whose prints are the same."""

    def __init__(self, cores: Kit, p_least: float, loosest: float) -> None:
        self.cores, self.p_least, self.loosest = cores, p_least, loosest
        self._needs = {core: [_known(p.size, -5.0) for p in prints] for core, prints in cores.items()}
        self._rooms = {core: [_known(p.seat, 5.0) for p in prints] for core, prints in cores.items()}
        self._seats = {core: _sized_seats(prints) for core, prints in cores.items()}
        self._shape = {core: _shape(prints) for core, prints in cores.items()}
        self._turned: dict[str, Turned] = {}
        self._placed: dict[tuple[object, ...], list[_Placing]] = {}

    def could(self, core: str, other: str) -> bool:
        """Quick look, asked of every two: are there prints, and seats enough with room for each of them."""
        needs, rooms = self._needs[core], self._rooms[other]
        return 0 < len(needs) <= len(rooms) and _could_be(needs, rooms, self.loosest)

    def of(self, core: str, other: str, mirrored: bool) -> list[_Placing]:
        """The turns (or mirror images) in which all prints of a core find a seat among those of the other."""
        prints, seats = self.cores[core], self._seats[other]
        key = self._shape[core], self._shape[other], mirrored
        if key not in self._placed:
            turned = self._turned.setdefault(core, {})
            self._placed[key] = _placings(prints, seats, mirrored, self.p_least, self.loosest, turned)
        return self._placed[key]


def _shape(prints: Sequence[Print]) -> tuple[object, ...]:
    """What two cores have in common whose prints and seats are the same, wherever they stand in the mould."""
    if not prints:
        return ()
    x, y, z = prints[0].at
    return tuple(
        (round(p.at[0] - x, 6), round(p.at[1] - y, 6), round(p.at[2] - z, 6), p.size, p.seat, p.points) for p in prints
    )


def _placings(
    prints: Sequence[Print],
    seats: Sequence[Sized],
    mirrored: bool,
    p_least: float,
    loosest: float,
    turned: Turned,
) -> list[_Placing]:
    placings = []
    point = {seat.points for seat, _ in seats}
    index = {id(seat): i for i, (seat, _) in enumerate(seats)}
    for turn in turns():
        if turn.mirrored != mirrored or ((0, 0, 0) not in point and not _point_alike(prints, point, turn)):
            continue
        if turn.name not in turned:
            turned[turn.name] = [_turned(p, turn) for p in prints]
        placed = _goes_in(turned[turn.name], seats, loosest)
        if placed is not None and placed[0] >= p_least:
            placings.append(_Placing(turn, placed[0], tuple(index[id(seat)] for _, seat, _ in placed[1])))
    return placings


def _ways_in(
    core: str,
    prints: Sequence[Print],
    other: str,
    seats: Sequence[Print],
    placings: Sequence[_Placing],
    mould: Mould,
) -> list[LookAlike]:
    """What the bodies leave of the ways that prints allow."""
    own = core == other
    ways: list[LookAlike] = []
    for turn, p, taken in placings:
        if own and turn.name == "as drawn":
            continue  # that is right
        came, at = turn.place(prints[0].at), seats[taken[0]].at
        shift = (at[0] - came[0], at[1] - came[1], at[2] - came[2])
        stands = _stands(core, other, turn, shift, mould)
        if stands is None or (turn.mirrored and own and _is_the_same(core, turn, shift, stands[0], mould)):
            continue  # its body cannot be there; or it is its own mirror image
        ways.append(
            LookAlike(
                core=core,
                seats_of=other,
                turned=turn.name,
                p=p,
                pairs=tuple((print_.name, seats[i].name) for print_, i in zip(prints, taken, strict=True)),
                remedy=None,
                sentence="",
                mirrored=turn.mirrored,
                likely=turn.likely,
                harm=stands[0],
                body=stands[1],
            )
        )
    return ways


def _is_the_same(core: str, turn: Turn, shift: Off, harm: float | None, mould: Mould) -> bool:
    """Whether a core that goes into its own seats so is the same there: by its body, else by where its faces stand.

    Where neither is known, nothing tells it from its mirror image.
    """
    if harm is not None:
        return harm <= SAME
    faces = mould.faces.get(core, {})
    for i, axis in enumerate(AXES):
        mine, came = faces.get(axis, ()), faces.get(AXES[turn.swap[i]], ())
        moved = [turn.sign[i] * place + shift[i] for place in came]
        if mine and moved and not all(min(abs(place - other) for other in mine) <= FACE_MM for place in moved):
            return False  # what is near one way is near the other: an image of an image is the thing
    return True


def _turned(print_: Print, turn: Turn) -> Sized:
    x, y, z = turn.place(print_.points)
    sizes = turn.each(print_.size)
    moved = Print(print_.name, turn.place(print_.at), sizes, print_.seat, (int(x), int(y), int(z)))
    a, b, c = (-inf if size is None else size.value - 5 * size.u - 1e-9 for size in sizes)
    return moved, (a, b, c)


def _sized_seats(prints: Sequence[Print]) -> list[Sized]:
    seats: list[Sized] = []
    for print_ in prints:
        a, b, c = (inf if room is None else room.value + 5 * room.u for room in print_.seat)
        seats.append((print_, (a, b, c)))
    return seats


def _point_alike(prints: Sequence[Print], ways: Collection[tuple[int, int, int]], turn: Turn) -> bool:
    """Quick look: every print points one of these ways."""
    return all(not any(p.points) or turn.place(p.points) in ways for p in prints)


def _known(widths: Sequence[Estimate | None], times: float) -> list[float]:
    """The widths that are known, each by so many standard uncertainties more, in order of size."""
    return sorted(width.value + times * width.u for width in widths if width is not None)


def _could_be(needs: Sequence[Sequence[float]], rooms: Sequence[Sequence[float]], loosest: float) -> bool:
    """Quick look: every print finds a seat with room for it, whichever way it is turned."""
    for need in needs:
        for room in rooms:
            if len(need) == len(room) == 3:  # turned or not, the n-th largest passes only an n-th largest
                if need[0] <= room[0] + 1e-9 and need[1] <= room[1] + 1e-9 and need[2] <= room[2] + 1e-9:
                    break
            elif not need or not room or any(-1e-9 <= r - n <= loosest + 1.0 for r in room for n in need):
                break
        else:
            return False
    return True


def _goes_in(moved: Sequence[Sized], seats: Sequence[Sized], loosest: float = inf) -> tuple[float, list[Pair]] | None:
    """Best placing of the prints on the seats: put the first print on each seat in turn, then match the rest."""
    best: tuple[float, list[Pair]] | None = None
    first, need = moved[0]
    for sized in seats:
        anchor, room = sized
        if need[0] > room[0] or need[1] > room[1] or need[2] > room[2] or not _clears(first, anchor, loosest):
            continue
        x, y, z = anchor.at[0] - first.at[0], anchor.at[1] - first.at[1], anchor.at[2] - first.at[2]
        pairs: list[Pair] = [(first, anchor, (0.0, 0.0, 0.0))]
        free = [s for s in seats if s is not sized] if len(moved) > 1 else []
        for p, needed in moved[1:]:
            off, near = _nearest((p.at[0] + x, p.at[1] + y, p.at[2] + z), free)
            seat, has = near
            if needed[0] > has[0] or needed[1] > has[1] or needed[2] > has[2] or not _clears(p, seat, loosest):
                break
            if not _near_enough(p, seat, off, first, anchor):
                break
            pairs.append((p, seat, off))
            free.remove(near)
        else:
            p_all = prod(_p_clears(pairs, i) for i in range(3))
            if p_all > 0 and (best is None or p_all > best[0]):
                best = (p_all, pairs)
    return best


def _nearest(at: Off, seats: Sequence[Sized]) -> tuple[Off, Sized]:
    """The seat that stands nearest to a place, and how far it stands off."""
    best, off, least = seats[0], at, inf
    for sized in seats:
        place = sized[0].at
        x, y, z = place[0] - at[0], place[1] - at[1], place[2] - at[2]
        far = x * x + y * y + z * z
        if far < least:
            best, off, least = sized, (x, y, z), far
    return off, best


def _clears(print_: Print, seat: Print, loosest: float) -> bool:
    """Does a print whose sizes pass point the seat's way, and is it close to it somewhere."""
    if print_.points != seat.points and any(print_.points) and any(seat.points):
        return False
    if loosest == inf:
        return True
    gaps = [r.value - s.value for r, s in zip(seat.seat, print_.size, strict=True) if r is not None and s is not None]
    return any(gap <= loosest for gap in gaps)


def _slack(print_: Print, seat: Print) -> float:
    """The loosest of its known clearances: what it is taken to have where no size is known."""
    gaps = [r.value - s.value for r, s in zip(seat.seat, print_.size, strict=True) if r is not None and s is not None]
    return max((gap for gap in gaps if gap < 10.0), default=0.0)


def _half(print_: Print, seat: Print, i: int) -> tuple[float, float]:
    """Half of the clearance along axis i, and its standard uncertainty."""
    room, size = seat.seat[i], print_.size[i]
    if room is None or size is None:
        return (max(_slack(print_, seat), 0.0) + OPEN_MM) / 2, U_OPEN
    return (room.value - size.value) / 2, hypot(room.u, size.u) / 2


def _near_enough(print_: Print, seat: Print, off: Off, first: Print, anchor: Print) -> bool:
    """Quick look: these two find a shift in common, as far as their clearances could ever go."""
    for i in range(3):
        (mine, u), (anchors, u_first) = _half(print_, seat, i), _half(first, anchor, i)
        if abs(off[i]) > mine + anchors + 6 * (u + u_first):
            return False
    return True


def _p_clears(pairs: Iterable[Pair], i: int) -> float:
    """Probability that along axis i one shift of the whole core puts every print inside its seat."""
    rooms = []
    for print_, seat, off in pairs:
        half, u = _half(print_, seat, i)
        rooms.append((off[i] - half, off[i] + half, u))
    # a common shift exists when every print's lowest shift lies under every other's highest
    p = 1.0
    for j, (low, _, u_low) in enumerate(rooms):
        for k, (_, high, u_high) in enumerate(rooms):
            u = u_low + u_high if j == k else hypot(u_low, u_high)  # one print's two ends move together
            p = min(p, 1.0 - below(Estimate(high - low, u), 0.0))
    return p


# ------------------------------------------------------------------------------ the body
def _stands(core: str, other: str, turn: Turn, shift: Off, mould: Mould) -> tuple[float | None, str] | None:
    """(harm, what speaks against it) of a body so turned and set; None where it cannot stand there."""
    mine = mould.bodies.get(core)
    if mine is None or not mine.boxes:
        return None, ""
    turned = [turn.box(box).moved(*shift) for box in mine.boxes]
    said = _out_of_the_mould(mine, turned, mould.room)
    if said is None:
        return None
    right = mould.bodies.get(other)
    around = hull(turned)
    doubts = [said] if said else []
    for name, body in mould.bodies.items():
        reach = body.hull
        if name in (core, other) or around is None or reach is None or overlap(around, reach) <= STOP_MM:
            continue
        depth = deepest(turned, body.boxes)
        if depth <= STOP_MM:
            continue
        if depth <= STOP_MM + max(deepest(right.boxes if right else (), body.boxes), 0.0):
            continue  # what belongs there stands in it as deep
        there = name in mould.before.get(core, (name,))
        if there and mine.given and body.given:
            return None
        doubts.append(f"core {name}")
    against = [d for d in doubts if d.startswith("core ")]
    text = "would reach out of the mould" if said else ""
    if against:
        text += (" and " if text else "would ") + f"stand in {' and '.join(against[:3])}"
    return (_harm(turned, right.boxes) if right and right.given and mine.given else None), text


def _out_of_the_mould(mine: Body, turned: Sequence[Box], room: Box | None) -> str | None:
    """out where it may reach out of the mould, empty where it does not, None where it surely does."""
    around = hull(turned)
    if room is None or around is None:
        return ""
    out = 0.0
    for axis in AXES:
        beyond = max(room.low(axis) - around.low(axis), around.high(axis) - room.high(axis))
        if beyond > (STOP_MM if mine.given else max(STOP_MM, ROUGH * around.size(axis))):
            return None
        out = max(out, beyond)
    return "out" if out > STOP_MM else ""


def _harm(turned: Sequence[Box], right: Sequence[Box]) -> float:
    """The share of a body that stands where it should not, 0 to 1."""
    shared = sum(prod(_common(a, b, axis) for axis in AXES) for a in turned for b in right)
    most = max(sum(prod(box.size(axis) for axis in AXES) for box in boxes) for boxes in (turned, right))
    return min(max(1.0 - shared / most, 0.0), 1.0) if most > 0 else 0.0


def _common(a: Box, b: Box, axis: str) -> float:
    return max(min(a.high(axis), b.high(axis)) - max(a.low(axis), b.low(axis)), 0.0)


# ------------------------------------------------------------------------------ what would stop it
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
    for how in ("larger", "moved"):
        for k, print_ in enumerate(cores[core]):
            for i, axis in enumerate(AXES):
                known = print_.size[i] is not None and print_.seat[i] is not None
                if how == "larger" and not known:
                    continue
                by = play + stop_mm + (0.0 if known else OPEN_MM)
                tried = dict(cores)
                tried[core] = [*cores[core][:k], _changed(print_, how, i, by), *cores[core][k + 1 :]]
                if not _pair_goes_in(tried, core, other, p_least) and not _pair_goes_in(tried, other, core, p_least):
                    shown = style.length(by, 1, unit=False)
                    text = f"make {print_.name} of core {core} and its seat {shown} larger along {axis}"
                    if how == "moved":
                        text = f"move {print_.name} of core {core} and its seat {shown} along {axis}"
                    return Remedy(core=core, print_name=print_.name, how=how, axis=axis, by_mm=by, sentence=text)
    by = play + stop_mm
    text = f"give core {core} a key of its own, at least {style.length(by, 1, unit=False)} off the middle, and the seat"
    return Remedy(core=core, print_name="", how="key", axis="", by_mm=by, sentence=f"{text} for it")


def _pair_goes_in(cores: Kit, core: str, other: str, p_least: float) -> bool:
    prints, seats = cores[core], cores[other]
    if len(prints) > len(seats):
        return False
    there, point = _sized_seats(seats), {seat.points for seat in seats}
    for turn in turns():
        if turn.mirrored or (core == other and turn.name == "as drawn"):
            continue
        if (0, 0, 0) not in point and not _point_alike(prints, point, turn):
            continue
        placed = _goes_in([_turned(p, turn) for p in prints], there)
        if placed is not None and placed[0] >= p_least:
            return True
    return False


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


def told(f: LookAlike, remedy: Remedy | None, style: Style = MM) -> LookAlike:
    """The same with its sentence, and what would stop it."""
    whose = "its own seats" if f.core == f.seats_of else f"the seats of core {f.seats_of}"
    way = "" if f.turned == "as drawn" else f", {f.turned}"
    prints = f"all {len(f.pairs)} prints find one" if len(f.pairs) > 1 else "its one print finds one"
    chance = f" with {style.chance(f.p)}" if f.p < 0.995 else ""
    if f.mirrored:
        text = f"core {f.core} made the wrong hand would go into {whose}{way}: {prints}{chance}"
    else:
        text = f"core {f.core} goes into {whose}{way}: {prints}{chance}"
    if f.harmless:
        text += ", and as far as its body is given it is the same so"
    if f.body:
        text += f", but its body, about, from its sizes, {f.body}: look"
    if remedy is not None:
        text += f"; {remedy.sentence}"
    return replace(f, remedy=remedy, sentence=text)
