"""Seating: does a core go in with all its prints at once, and how far may it then stand off; one axis at a time.

A core goes in along an axis when one shift of the whole core puts every print inside its seat: the shifts that each
pair allows meet. The width of what they have in common is the core's play; where they have nothing in common the two
places that contradict each other are named. Lengths in mm at tooling scale. Source: own derivation; the places of
prints are adjusted by least squares (Gauss), one reading after the other.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from enum import StrEnum
from math import hypot, inf, isinf, sqrt

from inspect_tui.frozen import NamedTuple, frozen, frozen_by_name, replace
from inspect_tui.metrology.judge.verdict import below
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.words import Estimate

SHARE = 1.0 / 3.0  # of how far two ends are off: either may have any share of it, the one as likely as the other
LEAST_MM2 = 1e-12  # of a variance: below this it is nothing
FREE_MM = 100.0  # standard uncertainty of a place that only readings tie to others
SURE = 0.95  # probability from which a core is said to go in, or not to


class Pitch(NamedTuple):
    """How far `b` stands from `a` on one part, as read on the tool that makes it (`on`); mm, + toward the axis.

    `by` is the name of the size that was read.
    """

    a: str
    b: str
    apart: Estimate
    on: str = ""
    by: str = ""


@frozen_by_name
class Places:
    """How far each print, seat or face of a part stands from its drawn place along an axis, mm, with covariance (mm2).

    Only differences between those of one part count. `tied`: names -> the cluster that readings tie together.
    """

    names: tuple[str, ...]
    off: tuple[float, ...]
    cov: tuple[tuple[float, ...], ...]
    tied: Mapping[str, int]
    on: tuple[str, ...]  # tools on which pitches were read
    pitches: tuple[Pitch, ...] = ()  # what was read

    def between(self, a: str, b: str) -> Estimate:
        """Off b minus off a, mm; nothing and no doubt for names that are not there."""
        if a == b or a not in self.names or b not in self.names:
            return Estimate(0.0, 0.0)
        i, j = self.names.index(a), self.names.index(b)
        variance = self.cov[i][i] + self.cov[j][j] - 2 * self.cov[i][j]
        return Estimate(self.off[j] - self.off[i], sqrt(max(variance, 0.0)))

    def read(self, a: str, b: str) -> bool:
        """Whether readings tie these two together."""
        return a in self.tied and self.tied.get(a) == self.tied.get(b)

    def way(self, a: str, b: str) -> tuple[str, ...]:
        """The fewest sizes that lead from one to the other, by name; none where they are not tied, or the same."""
        via: dict[str, tuple[str, str]] = {a: ("", "")}
        front = [a] if self.read(a, b) else []
        while front and b not in via:
            steps = [(here, p) for here in front for p in self.pitches if here in (p.a, p.b)]
            front = []
            for here, p in steps:
                there = p.b if here == p.a else p.a
                if there not in via:
                    via[there] = here, p.by
                    front.append(there)
        names: list[str] = []
        while b != a and b in via:
            b, name = via[b]
            names.append(name)
        return tuple(reversed(names))

    def causes(self) -> tuple[dict[str, float], ...]:
        """Errors independent of each other, of standard deviation 1, that make up the doubt of all that is tied.

        Each as the mm by which it moves every name.
        """
        rows = [self.names.index(name) for name in self.tied]
        left = {(i, j): self.cov[i][j] for i in rows for j in rows}
        made: list[dict[str, float]] = []
        for k in rows:  # Cholesky's factors, one column after the other
            if left[k, k] <= LEAST_MM2:
                continue
            root = sqrt(left[k, k])
            column = {i: left[i, k] / root for i in rows}
            for i in rows:
                for j in rows:
                    left[i, j] -= column[i] * column[j]
            made.append({self.names[i]: mm for i, mm in column.items() if mm})
        return tuple(made)


def adjusted(
    drawn: Mapping[str, float],
    pitches: Sequence[Pitch],
    u_place: float,
    datums: frozenset[str] = frozenset(),
    faces: frozenset[str] = frozenset(),
) -> Places:
    """Places of a part's prints, seats and faces from the sizes that were read between them.

    `drawn` are their drawn places (mm), `u_place` how far a place that nobody read is believed to stand off (mm).
    What readings tie together stands to each other as read; a cluster as a whole, and what nobody read, as drawn: with
    one of `faces` in it no surer than its places are right, as a size does not tell which of its ends is off. With one
    of `datums` in it everything is counted from that. Pitches of names that are not drawn are left out.
    """
    names = tuple(drawn)
    n, at = len(names), {name: i for i, name in enumerate(names)}
    known = [p for p in pitches if p.a in at and p.b in at and p.a != p.b]
    off = [0.0] * n
    cluster = list(range(n))
    for p in known:
        a, b = cluster[at[p.a]], cluster[at[p.b]]
        cluster = [min(a, b) if c in (a, b) else c for c in cluster]
    free = [FREE_MM if known and name not in datums else u_place for name in names]
    cov = [[free[i] ** 2 if i == j else 0.0 for j in range(n)] for i in range(n)]
    counted = {cluster[at[name]] for name in datums if name in at}  # clusters counted from a datum
    for p in known:
        i, j = at[p.a], at[p.b]
        wanted = p.apart.value - (drawn[p.b] - drawn[p.a])
        gain = [cov[k][j] - cov[k][i] for k in range(n)]
        variance = gain[j] - gain[i] + p.apart.u**2
        if variance <= 0.0:
            continue  # said already, and exactly
        missed = wanted - (off[j] - off[i])
        off = [off[k] + gain[k] * missed / variance for k in range(n)]
        cov = [[cov[k][m] - gain[k] * gain[m] / variance for m in range(n)] for k in range(n)]
    if known:  # readings say nothing of where a cluster stands as a whole: as drawn, known as well as a single place
        size = [cluster.count(c) for c in cluster]
        wrong = dict.fromkeys(cluster, 0.0)
        for c in {cluster[at[name]] for name in faces if name in at}:
            wrong[c] = SHARE * sum(v * v for v, of in zip(off, cluster, strict=True) if of == c) / cluster.count(c)
        for k in range(n):
            for m in range(n):
                if cluster[k] == cluster[m] and cluster[k] not in counted:
                    cov[k][m] += u_place**2 + wrong[cluster[k]] - FREE_MM**2 / size[k]
    return Places(
        names=names,
        off=tuple(off),
        cov=tuple(map(tuple, cov)),
        tied={name: cluster[at[name]] for p in known for name in (p.a, p.b)},
        on=tuple(dict.fromkeys(p.on for p in known if p.on)),
        pitches=tuple(known),
    )


@frozen_by_name
class Meeting:
    """A print of the core in its seat, along the axis that is asked about.

    `clearance` is seat minus print (mm, both sides together). `toward` +1 or -1: a face that only stops the core that
    way, the clearance being its gap; 0: a print with a wall on either side.
    """

    name: str
    into: str
    clearance: Estimate
    toward: int = 0
    at: float | None = None  # its drawn place, mm; only to say how far two stand apart


class Fate(StrEnum):
    """Whether a core goes in."""

    IN = "goes in"
    NOT = "does not go in"
    TURNED = "goes in only turned"
    UNDECIDED = "may not go in"


@frozen_by_name
class GoesIn:
    """How a core goes in along one axis. `low` and `high`: how far it may stand off its drawn place, mm."""

    core: str
    axis: str
    fate: Fate
    p: float  # that it goes in
    play: Estimate | None  # None where only one side stops it
    low: Estimate | None
    high: Estimate | None
    tight: tuple[str, str]  # the print that bounds it above and the one below
    parts: tuple[str, ...]  # that their seats are in
    names: tuple[str, ...]  # every print that stops it along this axis
    as_read: bool  # how far its prints stand apart is read on both sides wherever they have seats in one part
    sentence: str


@frozen
class _Bound:
    meeting: Meeting
    value: float
    u: float


def goes_in(
    core: str,
    axis: str,
    meetings: Iterable[Meeting],
    prints: Places,
    seats: Mapping[str, Places],
    reach: Mapping[str, tuple[float, float]] | None = None,
    style: Style = MM,
) -> GoesIn | None:
    """Whether all prints of a core find their seats along one axis; None where none of them stops it there.

    `seats` are the places by the part that the seats are in. `reach`: how far each of these parts may itself stand
    off, lowest and highest (mm): two parts that may give way to each other are no contradiction.
    """
    meetings = list(meetings)
    low, high = _bounds(meetings, prints, seats)
    if not low and not high:
        return None
    pairs: list[tuple[float, float, float, Meeting, Meeting]] = []  # p, width, u
    for above in high:
        for under in low:
            width, u = _between(above, under, prints, seats, reach or {})
            pairs.append((1.0 - below(Estimate(width, u), 0.0), width, u, above.meeting, under.meeting))
    lowest = max(low, key=lambda b: b.value, default=None)
    highest = min(high, key=lambda b: b.value, default=None)
    bounds = [None if b is None else Estimate(b.value, b.u) for b in (lowest, highest)]
    if not pairs:
        only = next(b.meeting for b in (lowest, highest) if b is not None)
        return GoesIn(
            core=core,
            axis=axis,
            fate=Fate.IN,
            p=1.0,
            play=None,
            low=bounds[0],
            high=bounds[1],
            tight=(only.name, only.name),
            parts=(only.into,),
            names=tuple(dict.fromkeys(m.name for m in meetings)),
            as_read=True,
            sentence="",
        )
    p, _, _, upper, lower = min(pairs, key=lambda pair: pair[:2])
    _, width, u, _, _ = min(pairs, key=lambda pair: pair[1])
    fate = Fate.IN if p >= SURE else Fate.NOT if p <= 1.0 - SURE else Fate.UNDECIDED
    made = GoesIn(
        core=core,
        axis=axis,
        fate=fate,
        p=p,
        play=None if isinf(width) else Estimate(width, u),
        low=bounds[0],
        high=bounds[1],
        tight=(upper.name, lower.name),
        parts=tuple(dict.fromkeys((upper.into, lower.into))),
        names=tuple(dict.fromkeys(m.name for m in meetings)),
        as_read=_all_read(meetings, prints, seats),
        sentence="",
    )
    if fate is Fate.IN or upper.name == lower.name:
        return made  # a print too large for its own seat is said by its fit
    return replace(made, sentence=_sentence(made, lower, upper, prints, seats, style))


def _sentence(found: GoesIn, a: Meeting, b: Meeting, prints: Places, seats: Mapping[str, Places], style: Style) -> str:
    """What contradicts what: `core 6 does not go in along x: K7-1 and K7-2 are 160.01 apart in box 4 and ...`."""
    chance = "" if found.fate is Fate.NOT else f" ({style.chance(found.p)} that it does)"
    head = f"core {found.core} {found.fate} along {found.axis}{chance}"
    takes = (_room(a) + _room(b)) / 2
    if a.into != b.into:
        off = abs(takes - (found.play.value if found.play else 0.0))  # what is left of it after both parts gave way
        where = f"{a.name} in {_part_word(a.into)} and {b.name} in {_part_word(b.into)}"
        return f"{head}: {where} stand {style.length(off)} out of line; their play takes {_take(takes, style)}"
    if a.at is not None and b.at is not None and b.at < a.at:
        a, b = b, a
    drawn = 0.0 if a.at is None or b.at is None else b.at - a.at
    place = seats.get(a.into)
    mine = drawn + prints.between(a.name, b.name).value
    theirs = drawn + (place.between(a.name, b.name).value if place else 0.0)
    there = f"{style.length(abs(mine), unit=False)} apart {_on(prints, a, b, 'in')}"
    here = f"{style.length(abs(theirs))} {_on(place, a, b, 'on') if place else 'as drawn'}"
    apart = style.length(abs(theirs - mine), unit=False)
    return (
        f"{head}: {a.name} and {b.name} are {there} and {here}; their play takes {_take(takes, style)} of the {apart}"
    )


def _take(mm: float, style: Style) -> str:
    return style.length(max(mm, 0.0), unit=False) if mm > 0 else "nothing"


def _room(m: Meeting) -> float:
    return 2 * m.clearance.value if m.toward else m.clearance.value


def _on(places: Places, a: Meeting, b: Meeting, word: str) -> str:
    return f"{word} {' and '.join(places.on)}" if places.read(a.name, b.name) and places.on else "as drawn"


def _part_word(part: str) -> str:
    """core 7, the drag or the cope."""
    return f"core {part}" if part.isdigit() else f"the {part}"


def _all_read(meetings: Sequence[Meeting], prints: Places, seats: Mapping[str, Places]) -> bool:
    """Whether readings tie all prints together that have their seats in the same part, on both sides."""
    first: dict[str, str] = {}
    for m in meetings:
        if m.toward:
            continue
        other = first.setdefault(m.into, m.name)
        place = seats.get(m.into)
        if other != m.name and not (prints.read(other, m.name) and place is not None and place.read(other, m.name)):
            return False
    return True


def _bounds(
    meetings: Sequence[Meeting], prints: Places, seats: Mapping[str, Places]
) -> tuple[list[_Bound], list[_Bound]]:
    """The least and greatest shifts that each pair allows, against the core's place as drawn."""
    low, high = [], []
    for m in meetings:
        at, u_at = _off(m, prints, seats)
        half = m.clearance.value if m.toward else m.clearance.value / 2
        u = hypot(u_at, m.clearance.u if m.toward else m.clearance.u / 2)
        if m.toward >= 0:
            high.append(_Bound(m, at + half, u))
        if m.toward <= 0:
            low.append(_Bound(m, at - half, u))
    return low, high


def _off(m: Meeting, prints: Places, seats: Mapping[str, Places]) -> tuple[float, float]:
    """How far the seat stands from where its print is."""
    off, variance = 0.0, 0.0
    for places, sign in ((seats.get(m.into), 1.0), (prints, -1.0)):
        if places is not None and m.name in places.names:
            i = places.names.index(m.name)
            off += sign * places.off[i]
            variance += places.cov[i][i]
    return off, sqrt(variance)


def _between(
    above: _Bound, under: _Bound, prints: Places, seats: Mapping[str, Places], reach: Mapping[str, tuple[float, float]]
) -> tuple[float, float]:
    """From the lowest shift that one pair allows to the highest that another does, and its standard uncertainty."""
    a, b = above.meeting, under.meeting
    width, u_c = above.value - under.value, hypot(*(m.clearance.u / (1 if m.toward else 2) for m in (a, b)))
    if a is b:
        return width, a.clearance.u
    u_prints = prints.between(a.name, b.name).u
    place = seats.get(a.into)
    if a.into == b.into:
        return width, hypot(u_c, u_prints, place.between(a.name, b.name).u if place else 0.0)
    low, high = reach.get(b.into, (-inf, inf))[0], reach.get(a.into, (-inf, inf))[1]
    return width + high - low, hypot(u_c, u_prints, _u_off(a, seats), _u_off(b, seats))


def _u_off(m: Meeting, seats: Mapping[str, Places]) -> float:
    places = seats.get(m.into)
    if places is None or m.name not in places.names:
        return 0.0
    i = places.names.index(m.name)
    return sqrt(places.cov[i][i])
