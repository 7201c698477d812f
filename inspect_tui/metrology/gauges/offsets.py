"""Which gauge or person reads high or low, looked for over all sizes at once: pooled offsets from daily readings.

One size tells little; the same offset on sixty sizes tells much. Every size has a level and a straight drift of its
own, which are taken out; what is left over is shared among the gauges and people. Few of them are off: one at a time is
named, the largest first, and all named ones are compared with the same others.

How often the 95 % intervals hold, in invented shops of five gauges and six people of whom one gauge reads 0.08 high and
one person 0.07 low (`tests/metrology/gauges/test_offsets.py`, 150 shops each; one standard error is 1.3 % of those
named, 0.6 % of the others). In brackets how many of the two are named; where few are, days or sizes are few.

                                            named         others
    30 sizes, 8 visits, 24 days             95.6 % (91)   95.3 %
    what a day adds as large as the noise   94.0 % (77)   93.0 %
    each gauge in one block of days         94.4 % (84)   93.8 %
    60 sizes, 60 days                       93.0 % (100)  94.1 %
    10 sizes, 6 visits                      97.9 % (16)   96.8 %
    13 days                                 95.7 % (54)   93.5 %
    wear of 0.05 a day                      95.6 % (91)   95.4 %
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import inf, isfinite, sqrt
from typing import TYPE_CHECKING

from inspect_tui.errors import DataError
from inspect_tui.frozen import NamedTuple, frozen, frozen_by_name, replace
from inspect_tui.metrology.gauges.everyday import HUBER, MEDIAN_OF_NORMAL
from inspect_tui.metrology.typed import show
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.metrology.typed.words import called
from inspect_tui.model.words import Estimate

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

# Risk of naming anybody although all read alike, shared out over all who were looked at (Bonferroni). Asked for
# sharper than the 2 % that are claimed, for the uncertainty is itself estimated; simulated, 400 to 1000 worlds each:
# 0.0 to 1.9 % (day effects, AR(1) of 0.7, heavy tails, bent drift, 13 days, 8 sizes, each gauge in one block of days).
RISK = 0.01
FEWEST_DOF = 2.0  # days and sizes worth fewer than three of a kind: a bad day would do as well
ALIKE = 1e-6  # share of a column that is left once another is taken out: less than this is rounding
AS_GOOD = 6.908  # half a chi-squared: only an answer 1000 times likelier rules the other out, for one reading may lie
OWN_SPREAD_DOF = 5.0  # how much the common spread weighs against a size's own, as degrees of freedom
LEAST_COMMON = 0.7  # share of a variance over days that one thing in common is taken to make at least
NO_SPREAD = 1e-12  # of u squared: less is rounding
FAR = 6.0  # spreads beyond which a reading is a slip and left aside
ASIDE = 1e-9  # what it still weighs, so that nothing is divided by 0
ROUNDS = 10  # of weighing again what lies far out


class Party(NamedTuple):
    """A gauge or a person: `kind` is "gauge" or "person"."""

    kind: str
    name: str

    @property
    def said(self) -> str:
        """As a sentence calls it."""
        return called(self.kind, self.name)


@frozen_by_name
class Offset:
    """How much higher a gauge or a person reads than all that are not named, over all sizes (unit of the readings).

    `p` is two-sided and for this one alone, `p_all` counts how many were looked at. `with_it` are always used together
    with it, `against_it` are in use exactly when it is not (its offset may as well be theirs with the sign turned);
    `or_else` explain the readings nearly as well. `readings`, `sizes` and `days` are those that tell of it.
    """

    party: Party
    estimate: Estimate
    dof: float
    lower: float
    upper: float
    p: float
    p_all: float
    readings: int
    sizes: int
    days: int
    stands_out: bool
    with_it: tuple[Party, ...]
    against_it: tuple[Party, ...]
    or_else: tuple[Party, ...]
    sentence: str


@frozen
class Offsets:
    """Those that stand out first, largest first, then all others looked at; `untold` cannot be told from anything.

    `looked_at` counts what could be told apart (a gauge and a person always together are one).
    """

    named: tuple[Offset, ...]
    rest: tuple[Offset, ...]
    untold: tuple[Party, ...]
    looked_at: int
    sentence: str


Row = tuple[object, float, object, object, float, float]


def offsets(readings: Iterable[Row], level: float = 0.95, style: Style = MM) -> Offsets:
    """Offsets of gauges and people from rows (size, day, gauge, person, value, u).

    `size` is whatever has one true value with at most a straight drift: a size of a tool between two repairs, a size of
    the castings of one lot. `day` counts days; values and u (standard, above 0) in one unit. Weighted least squares
    with a level and a slope for every size, readings far out weigh less (Huber 1964). The uncertainty counts whole days
    and whole sizes, for readings of one day share its temperature and readings of one size its wear (two-way clusters:
    Cameron, Gelbach and Miller 2011; each left out in turn: MacKinnon, Nielsen and Webb 2023). Errors: DataError for
    values that are not finite and u that are not above 0.
    """
    table = _Table(readings)
    if not table.parties:
        return Offsets((), (), (), 0, "no readings to look at")
    return _search(table, level, style)


class _Table:
    """The readings as arrays; sizes, days and their crossings as whole numbers; a 0/1 column for each party."""

    def __init__(self, readings: Iterable[Row]) -> None:
        import numpy as np

        size_of: dict[object, int] = {}
        party_of: dict[Party, int] = {}
        rows = []
        for size, day, gauge, person, value, u in readings:
            if not (isfinite(value) and isfinite(day) and isfinite(u) and u > 0):
                raise DataError(f"{size}, day {day}: {value} with u {u} is no reading; void it or leave it out")
            parties = (Party("gauge", str(gauge)), Party("person", str(person)))
            whose = [party_of.setdefault(party, len(party_of)) for party in parties]
            rows.append((size_of.setdefault(size, len(size_of)), *whose, day, value, u))
        self.parties = tuple(party_of)
        table = np.array(rows, dtype=np.float64).reshape(-1, 6)
        self.size = table[:, 0].astype(np.intp)
        self.time, self.y, self.u = table[:, 3], table[:, 4], table[:, 5]
        self.day = np.unique(self.time, return_inverse=True)[1]
        self.visit = np.unique(self.size * (self.day.max(initial=0) + 1) + self.day, return_inverse=True)[1]
        self.x = np.zeros((len(rows), len(party_of)))
        for column in (1, 2):
            self.x[np.arange(len(rows)), table[:, column].astype(np.intp)] = 1.0

    def without_size(self, columns: NDArray[np.float64], w: NDArray[np.float64]) -> NDArray[np.float64]:
        """The columns less the level and the straight drift of every size, by least squares with weights w."""
        import numpy as np

        def totals(v: NDArray[np.float64]) -> NDArray[np.float64]:
            return np.bincount(self.size, v).astype(np.float64)

        heavy = totals(w)

        def centred(v: NDArray[np.float64]) -> NDArray[np.float64]:
            v = v - v[0]  # leading digits in common would cost digits of the difference
            return v - (totals(w * v) / heavy)[self.size]

        t = centred(self.time)
        spread = totals(w * t * t)
        moves = spread > 1e-12 * heavy
        out = np.empty_like(columns)
        for j in range(columns.shape[1]):
            v = centred(columns[:, j])
            slope = np.where(moves, totals(w * t * v) / np.where(moves, spread, 1.0), 0.0)
            out[:, j] = v - slope[self.size] * t
        return out

    def free(self) -> NDArray[np.float64]:
        """Degrees of freedom that every size keeps beside its level and drift."""
        import numpy as np

        return np.maximum(np.bincount(self.size) - np.minimum(self.days_of_size(), 2), 0).astype(np.float64)

    def days_of_size(self) -> NDArray[np.intp]:
        """On how many days every size was read."""
        import numpy as np

        return np.bincount(np.unique(np.stack([self.size, self.day]), axis=1)[0]).astype(np.intp)

    def weights(self) -> tuple[NDArray[np.float64], bool]:
        """1 / variance of every reading: u times what its size is seen to spread, and less for what lies far out.

        False beside it where no spread is seen at all; then u alone is believed.
        """
        import numpy as np

        w, own = 1.0 / self.u**2, self.free()
        counts = own[self.size] > 0  # a size without freedom leaves nothing over, whatever its spread
        if not counts.any():
            return w, False
        for round_ in range(ROUNDS):
            root = np.sqrt(w)[:, None]
            flat = self.without_size(np.column_stack([self.x, self.y]), w)
            fit = np.linalg.lstsq(root * flat[:, :-1], root[:, 0] * flat[:, -1], rcond=1e-9)[0]
            r = (flat[:, -1] - flat[:, :-1] @ fit) / self.u
            share = counts.sum() / max(own.sum() - self.x.shape[1], 1.0)
            common = (float(np.median(np.abs(r[counts]))) / MEDIAN_OF_NORMAL) ** 2 * share
            common = common if common > NO_SPREAD else float(np.mean(r[counts] ** 2)) * share
            if common <= NO_SPREAD:
                return 1.0 / self.u**2, False
            near = np.minimum(r**2, 9.0 * common)
            v = (OWN_SPREAD_DOF * common + np.bincount(self.size, near)) / (OWN_SPREAD_DOF + own)
            far = np.abs(r) / np.sqrt(v[self.size])
            # first pulled in, so that a slip does not bend its whole size; in the end left aside where it was one
            keep = np.minimum(1.0, HUBER / np.maximum(far, 1e-12))
            w = np.where((far > FAR) & (round_ >= ROUNDS - 2), ASIDE, keep) / (self.u**2 * v[self.size])
        return w, True


@frozen_by_name
class _Look:
    """One column looked at beside those already named: its offset, variance, freedom, p and what it explains."""

    b: float
    variance: float
    plain: float
    dof: float
    p: float
    gain: float


class _Net:
    """The weighted columns without sizes, and the questions put to them."""

    def __init__(self, table: _Table) -> None:
        import numpy as np

        self.table = table
        self.w, self.spreads = table.weights()
        root = np.sqrt(self.w)
        flat = table.without_size(np.column_stack([table.x, table.y]), self.w) * root[:, None]
        self.x, self.y = flat[:, :-1], flat[:, -1]
        length2 = np.square(self.x).sum(axis=0)
        tells = length2 > ALIKE * (self.w[:, None] * table.x).sum(axis=0)
        # a level and a drift of a size take their share of what a whole day had in common, where they span several days
        several = table.days_of_size() > 1
        lost = 2.0 * several[np.bincount(table.size) > 2].sum()
        self.lost = table.y.size / max(table.y.size - lost, 1.0)
        self.freedom = float(table.free().sum())
        self.untold = tuple(table.parties[j] for j in np.flatnonzero(~tells))
        unit = self.x / np.sqrt(np.where(tells, length2, 1.0))
        alike = unit.T @ unit
        self.kin: dict[int, list[tuple[int, int]]] = {}  # of the first of its kind: (column, +1 same or -1 opposite)
        for j in np.flatnonzero(tells).tolist():
            for first, kin in self.kin.items():
                if abs(alike[first, j]) > 1.0 - ALIKE:
                    kin.append((j, 1 if alike[first, j] > 0 else -1))
                    break
            else:
                self.kin[j] = [(j, 1)]

    def off(self, v: NDArray[np.float64], named: Sequence[int]) -> NDArray[np.float64]:
        """A column less what the named ones explain of it."""
        import numpy as np

        if not named:
            return v
        base = self.x[:, list(named)]
        return np.asarray(v - base @ np.linalg.lstsq(base, v, rcond=1e-9)[0])

    def look(self, j: int, named: Sequence[int]) -> _Look | None:
        """Column j beside the named ones; None where these leave nothing of it."""
        import numpy as np
        from scipy.special import stdtr

        z = self.off(self.x[:, j], named)
        weight = float(z @ z)
        if weight <= ALIKE * float(self.x[:, j] @ self.x[:, j]):
            return None
        b = float(z @ self.y) / weight
        rest = self.off(self.y, named) - b * z
        score = z * rest

        def of(group: NDArray[np.intp]) -> float:
            """Variance of the offset, from leaving out one group after another."""
            share = np.bincount(group, z * z)
            kept = weight - share
            count = int((share > 0).sum())
            moved = np.bincount(group, score) / np.where(kept > ALIKE * weight, kept, inf)
            return float(moved @ moved) * (count - 1) / count

        days, visits = of(self.table.day) * self.lost, of(self.table.visit) * self.lost
        sizes = of(self.table.size)
        freedom = max(self.freedom - len(named) - 1.0, 1.0)
        plain = (float(rest @ rest) / freedom if self.spreads else 1.0) / weight
        variance = max(days + sizes - visits, days, sizes, plain)
        # what days and sizes count for: by the readings they hold, and days by what one thing in common would do;
        # a level is taken off, and of the days a drift as well
        by_day, by_size = np.bincount(self.table.day, z * z), np.bincount(self.table.size, z * z)
        pushes = np.bincount(self.table.day, z * np.sqrt(self.w)) ** 2
        if pushes.sum() > ALIKE * float(by_day @ np.bincount(self.table.day, self.w)):
            common = min(max(1.0 - visits / days, LEAST_COMMON), 1.0) if days > 0 else 1.0
            by_day = (1.0 - common) * by_day / weight + common * pushes / pushes.sum()
        dof = min(float(s.sum()) ** 2 / float(s @ s) - off for s, off in ((by_day, 2), (by_size, 1)))
        p = 2.0 * float(stdtr(dof, -abs(b) / sqrt(variance))) if dof >= FEWEST_DOF else 1.0
        return _Look(b=b, variance=variance, plain=plain, dof=dof, p=p, gain=b * b * weight)

    def left(self, named: Sequence[int]) -> float:
        """What the named ones leave unexplained (weighted sum of squares)."""
        rest = self.off(self.y, named)
        return float(rest @ rest)


def _search(table: _Table, level: float, style: Style) -> Offsets:
    net = _Net(table)
    looked = len(net.kin)
    named: list[int] = []
    tried: set[tuple[int, ...]] = set()
    while True:
        looks = {j: look for j in net.kin if j not in named and (look := net.look(j, named)) is not None}
        clear = [j for j, look in looks.items() if look.p * looked < RISK]
        if not clear:
            break
        named.append(max(clear, key=lambda j: looks[j].gain))
        for j in list(named[:-1]):  # the newcomer may explain what an earlier one was named for
            again = net.look(j, [i for i in named if i != j])
            if again is None or again.p * looked >= RISK:
                named.remove(j)
        state = tuple(sorted(named))
        if state in tried:
            break
        tried.add(state)
    out = [_offset(net, j, named, looked, level, style) for j in net.kin]
    ranked = sorted((o for o in out if o.stands_out), key=lambda o: -abs(o.estimate.value))
    rest = tuple(o for o in out if not o.stands_out)
    if ranked:
        say = "; ".join(o.sentence for o in ranked)
    elif looked:
        say = f"none of {looked} gauges and people stands out"
    else:
        say = "no size was read with two gauges or by two people: nothing can be compared"
    return Offsets(tuple(ranked), rest, net.untold, looked, say)


def _offset(net: _Net, j: int, named: Sequence[int], looked: int, level: float, style: Style) -> Offset:
    import numpy as np
    from scipy.special import stdtrit

    table = net.table
    others = [i for i in named if i != j]
    look = net.look(j, others)
    stands = j in named
    kin = net.kin[j]
    # of a pair that is used turn about, the one that fewer readings were taken with is the one to speak of
    at, sign = min(kin, key=lambda k: (float(table.x[:, k[0]].sum()), k[0]))
    telling = net.x[:, j] ** 2 > ALIKE * net.w
    own = telling & (table.x[:, at] > 0)
    readings, sizes, days = int(own.sum()), np.unique(table.size[own]).size, np.unique(table.day[own]).size
    party = table.parties[at]
    if look is None:
        b, u, dof, p = 0.0, inf, 0.0, 1.0
    else:
        b, u, dof, p = sign * look.b, sqrt(look.variance), look.dof, look.p
    half = float(stdtrit(dof, 0.5 + level / 2)) * u if dof >= 1.0 else inf
    or_else: list[Party] = []
    if stands and look is not None:
        full, shrink = net.left(named), look.plain / look.variance
        for i in net.kin:
            if i not in named and (net.left([*others, i]) - full) * shrink < 2.0 * AS_GOOD:
                or_else.append(table.parties[i])
    with_it = tuple(table.parties[i] for i, s in kin if i != at and s == sign)
    against_it = tuple(table.parties[i] for i, s in kin if i != at and s != sign)
    offset = Offset(
        party=party,
        estimate=Estimate(b, u),
        dof=dof,
        lower=b - half,
        upper=b + half,
        p=p,
        p_all=min(1.0, p * looked),
        readings=readings,
        sizes=int(sizes),
        days=int(days),
        stands_out=stands,
        with_it=with_it,
        against_it=against_it,
        or_else=tuple(or_else),
        sentence="",
    )
    return replace(offset, sentence=said(offset, style))


def said(offset: Offset, style: Style = MM, *, short: bool = False) -> str:
    """An offset in one sentence, which blames nobody; `short` leaves the interval and the counts out."""
    party, b = offset.party, offset.estimate.value
    who, others = party.said, " and ".join(other.said for other in offset.against_it) or "the others"
    count = f"{show.count(offset.readings, 'reading')} on {show.count(offset.days, 'day')}"
    over = show.count(offset.sizes, "size")
    if not isfinite(offset.lower):
        return f"{who}: {count} of {over} are too few to tell an offset"
    low, high = (style.significant(mm, 2, unit=False, signed=True) for mm in (offset.lower, offset.upper))
    if not offset.stands_out:
        return f"no offset of {who} is shown ({low} to {high}, {count} of {over})"
    way = ("more", "less") if party.kind == "person" else ("higher", "lower")
    amount = style.significant(abs(b), 2, unit=False)
    say = f"{who} reads {amount} {way[0] if b > 0 else way[1]} than {others}, over {over}"
    if not short:
        say += f" ({low} to {high}, {count})"
    if offset.with_it:
        together = " and ".join(other.said for other in offset.with_it)
        say += f"; {together} was always there with {who}, so it may be either"
    if offset.against_it:
        say += "; one was in use when the other was not, so either may be the one that is off"
    if offset.or_else:
        say += f"; {' or '.join(other.said for other in offset.or_else)} would explain it nearly as well"
    return say
