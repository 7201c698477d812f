"""What a change goes with (person, instrument, lot), and whether tooling or foundry made it."""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence
from math import exp, log

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen_by_name
from inspect_tui.metrology.judge._dist import f_tail
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.words import Estimate

WEAR, FOUNDRY, SEAT, NOTHING, UNKNOWN = "wear", "foundry", "print, seat or dowel", "nothing", "cannot tell"
SURE = 0.9  # below this probability the answer is "cannot tell"
SLAB_MM = 0.3  # how large a wear or a shift may well be (mm), and a change of contraction (fraction): common practice
SLAB_SCALE = 0.0015
FLOOR_MM = 0.01  # nobody's two series are compared better than this


@frozen_by_name
class GoesWith:
    """A level of a factor that explains a change at least as well as its date does.

    `how`: "came in with it" (its readings differ from all others, before and after) or "only its readings since".
    """

    factor: str
    level: str
    how: str
    difference: Estimate
    p: float
    sentence: str


@frozen_by_name
class LevelSpread:
    """How much the readings of one level scatter, against the median of the other levels; p of Brown and Forsythe."""

    factor: str
    level: str
    sd: float
    others: float
    n: int
    p: float


@frozen_by_name
class SeriesChange:
    """How one series changed over the same stretch: `of` is "box", "core" or "casting", `kind` "size" or "position".

    `change` in mm on its own scale; `length` is the size itself (for a position its distance from the datum), from
    which a change of contraction is worked out; `same_core` says that the core in question makes or carries it.
    `per_mm` is what 1 mm of growth of that core does to a size: 1 for its own size, -0.5 for a wall on one side of it.
    """

    name: str
    of: str
    kind: str
    change: Estimate
    length: float
    same_core: bool = True
    per_mm: float = 1.0


@frozen_by_name
class WhoMoved:
    """Wear, foundry, seat or nothing, with the odds of each; `amount` is the wear or shift (mm) or the contraction."""

    verdict: str
    probability: float
    amount: Estimate | None
    odds: dict[str, float]
    measure: str
    sentence: str


def goes_with(
    values: Sequence[float],
    factors: Mapping[str, Sequence[Hashable]],
    at: int,
    alpha: float = 0.01,
    style: Style = MM,
) -> list[GoesWith]:
    """Which person, instrument or lot a step at reading `at` goes with, best first; empty when it concerns all alike.

    Each level is tried two ways: it explains the step instead of the date, or the step is in its readings alone. It is
    named when that leaves no larger sum of squares than the date does and is significant after all that was tried
    (Bonferroni). Factors with one level throughout can't be told from the date and are not named. Unit of the
    readings. DataError for fewer than two readings on a side, or for entries that do not match.
    """
    import numpy as np

    y = np.asarray(values, dtype=float)
    n = len(y)
    after = np.arange(n) >= at
    if not 1 < at < n - 1 or n < 6:
        raise DataError("give at least two readings on either side of the change")

    def squares(flag: np.ndarray) -> float:
        return float(sum(((y[g] - y[g].mean()) ** 2).sum() for g in (flag, ~flag) if g.any()))

    whole, by_date = float(((y - y.mean()) ** 2).sum()), squares(after)
    tried: list[tuple[float, str, str, str, np.ndarray]] = []
    for factor, labels in factors.items():
        if len(labels) != n:
            raise DataError(f"{factor}: {len(labels)} entries for {n} readings")
        for level in dict.fromkeys(labels):
            here = np.array([label == level for label in labels], dtype=bool)
            for how, flag in (("came in with it", here), ("only its readings since", here & after)):
                # the same readings as the date's own split say nothing; a handful of readings says little
                if 2 < flag.sum() < n - 2 and not (how == "only its readings since" and (flag == after).all()):
                    tried.append((squares(flag), factor, str(level), how, flag))
    explained = []
    for rss, factor, name, how, flag in tried:
        if rss > by_date * (1 + 1e-9) or rss <= 0:
            continue
        p = min(1.0, f_tail((whole - rss) / (rss / (n - 2)), 1, n - 2) * len(tried))
        if p > alpha:
            continue
        d = float(y[flag].mean() - y[~flag].mean())
        u = float((rss / (n - 2) * (1 / flag.sum() + 1 / (~flag).sum())) ** 0.5)
        by = style.plus_minus(d, 2 * u, 3, unit=False, signed=True)
        text = f"goes with {factor} {name} ({how}): {by} against the others"
        explained.append(
            (rss, GoesWith(factor=factor, level=name, how=how, difference=Estimate(d, u), p=p, sentence=text))
        )
    return [g for _, g in sorted(explained, key=lambda f: f[0])]


def spread_by(values: Sequence[float], factor: str, labels: Sequence[Hashable]) -> list[LevelSpread]:
    """Scatter of each level's readings about its own median, most scattered first (levels with 5 readings or more).

    Brown and Forsythe (1974): F test of the absolute deviations from the median, one level against the rest. Unit
    of the readings.
    """
    import numpy as np

    y = np.asarray(values, dtype=float)
    groups: dict[Hashable, np.ndarray] = {}
    for level in dict.fromkeys(labels):
        own = y[np.array([label == level for label in labels], dtype=bool)]
        if len(own) >= 5:
            groups[level] = own
    spreads = []
    for level, own in groups.items():
        rest = [g for other, g in groups.items() if other != level]
        if not rest:
            continue
        a = np.abs(own - np.median(own))
        b = np.concatenate([np.abs(g - np.median(g)) for g in rest])
        n, dof = len(a) + len(b), len(a) + len(b) - 2
        within = float(((a - a.mean()) ** 2).sum() + ((b - b.mean()) ** 2).sum())
        between = float(len(a) * len(b) / n * (a.mean() - b.mean()) ** 2)
        p = f_tail(between / (within / dof), 1, dof) if within > 0 else 1.0
        others = float(np.median([g.std(ddof=1) for g in rest]))
        spreads.append(
            LevelSpread(factor=factor, level=str(level), sd=float(own.std(ddof=1)), others=others, n=len(own), p=p)
        )
    return sorted(spreads, key=lambda s: -s.sd)


def who_moved(moved: Sequence[SeriesChange], a: float = 0.0, style: Style = MM) -> WhoMoved:
    """Tooling or foundry: set the changes of box, sample core and casting side by side.

    Box and core grew and the casting with them: wear. Castings changed in proportion to length and cores did not:
    contraction or moulding at the foundry. Only positions moved: print, seat or dowel. Each is one number that has to
    explain all changes; probabilities by marginal likelihood with equal odds beforehand. `a` is the planned
    contraction. Where two remain the answer is "cannot tell", with what to measure. mm; `a` is a share of the
    casting. DataError without a change, or for one of another thing.
    """
    if not moved:
        raise DataError("nothing to compare: give the change of a box, a core or a casting")
    for m in moved:
        if m.of not in ("box", "core", "casting") or m.kind not in ("size", "position"):
            raise DataError(f"{m.name}: say box, core or casting, and size or position")
    columns = {
        WEAR: [_wear_effect(m, a) for m in moved],
        FOUNDRY: [-m.length if m.of == "casting" else 0.0 for m in moved],
        SEAT: [1.0 if m.of == "casting" and m.kind == "position" and m.same_core else 0.0 for m in moved],
    }
    slabs = {WEAR: SLAB_MM, FOUNDRY: SLAB_SCALE, SEAT: SLAB_MM}
    evidence: dict[str, float] = {NOTHING: 0.0}
    amounts: dict[str, Estimate] = {}
    for cause, column in columns.items():
        if any(column):
            evidence[cause], amounts[cause] = _explain(moved, column, slabs[cause])
    if WEAR in amounts:
        evidence[WEAR] += log(2.0) if amounts[WEAR].value > 0 else -20.0  # wear only takes material away
    top = max(evidence.values())
    total = sum(exp(e - top) for e in evidence.values())
    odds = {cause: exp(e - top) / total for cause, e in sorted(evidence.items(), key=lambda item: -item[1])}
    best = next(iter(odds))
    verdict, measure, amount = best, "", amounts.get(best)
    if odds[best] < SURE and best != NOTHING:  # to say that nothing can be seen takes no proof
        verdict, measure, amount = UNKNOWN, _ask(moved, list(odds)[:2]), None
    else:
        left = _left_over(moved, columns.get(best), amount)
        if left is not None:
            verdict, amount, measure = UNKNOWN, None, f"more than one thing moved, {left.name} fits none of them alone"
    return WhoMoved(
        verdict=verdict,
        probability=odds[best],
        amount=amount,
        odds=odds,
        measure=measure,
        sentence=_who_sentence(verdict, amount, moved, odds, measure, style),
    )


def _wear_effect(m: SeriesChange, a: float) -> float:
    """What 1 mm of wear in the core box does: the core grows by it, the casting's cored size by it less contraction."""
    if m.kind == "position" or not m.same_core:
        return 0.0
    return m.per_mm if m.of != "casting" else m.per_mm / (1.0 + a)


def _explain(moved: Sequence[SeriesChange], column: Sequence[float], slab: float) -> tuple[float, Estimate]:
    """Log marginal likelihood of one cause against none, and its size with standard uncertainty."""
    weights = [1 / (m.change.u**2 + FLOOR_MM**2) for m in moved]
    information = sum(w * c * c for w, c in zip(weights, column, strict=True)) + 1 / slab**2
    pull = sum(w * c * m.change.value for w, c, m in zip(weights, column, moved, strict=True))
    gain = 0.5 * pull * pull / information - 0.5 * log(information * slab**2)
    return gain, Estimate(pull / information, information**-0.5)


def _left_over(
    moved: Sequence[SeriesChange], column: Sequence[float] | None, amount: Estimate | None
) -> SeriesChange | None:
    """The series that the best single cause leaves unexplained, when it leaves more than chance would."""
    size = amount.value if amount is not None else 0.0
    rest = [
        ((m.change.value - size * c) / (m.change.u**2 + FLOOR_MM**2) ** 0.5, m)
        for c, m in zip(column or [0.0] * len(moved), moved, strict=True)
    ]
    dof = max(len(moved) - (amount is not None), 1)
    if f_tail(sum(r * r for r, _ in rest) / dof, dof, 1e9) > 0.001:
        return None
    return max(rest, key=lambda item: abs(item[0]))[1]


def _ask(moved: Sequence[SeriesChange], open_causes: Sequence[str]) -> str:
    has = {m.of for m in moved}
    if not has & {"box", "core"}:
        return "measure the box or a sample core of the same size"
    if "casting" not in has:
        return "measure the same size on castings of before and after"
    if SEAT in open_causes and not any(m.kind == "size" and m.of == "casting" for m in moved):
        return "measure a size made by this core on the castings, not only its position"
    return "measure a longer size on the castings, and the core again"


def _who_sentence(
    verdict: str,
    amount: Estimate | None,
    moved: Sequence[SeriesChange],
    odds: Mapping[str, float],
    measure: str,
    style: Style,
) -> str:
    if measure.startswith("more than one"):
        return f"cannot tell: {measure}"
    if verdict == NOTHING:
        return "nothing moved beyond what the readings allow"
    if verdict == UNKNOWN or amount is None:
        two = " or ".join(list(odds)[:2])
        return f"cannot tell yet ({two}): {measure}"
    if verdict == WEAR:
        seen = " and ".join(dict.fromkeys(m.of for m in moved if m.kind == "size" and m.same_core))
        return f"wear: {seen} grew alike by {style.plus_minus(amount.value, 2 * amount.u)}"
    if verdict == FOUNDRY:
        way = "more" if amount.value > 0 else "less"
        return (
            "foundry: castings changed in proportion to length and cores did not, "
            f"{style.figure(100 * abs(amount.value))} ± {style.percent(2 * amount.u, 2)} {way} contraction; "
            "leave the box alone, ask what changed in iron, sand or moulding"
        )
    return (
        f"print, seat or dowel: positions moved by {style.plus_minus(amount.value, 2 * amount.u, signed=True)} and "
        "sizes did not; measure the fit"
    )


def wall_from_weight(change_kg: float, area_mm2: float, density: float = 7100.0) -> float:
    """Mean change of all walls (mm) that a change of casting weight means over `area_mm2` of wall; kg/m3.

    Source: dm = density x area x dt; 1 mm on 0.1 m2 of iron is 0.7 kg. A cheap cross-check of all walls at once.
    DataError for an area or a density not above 0.
    """
    if area_mm2 <= 0 or density <= 0:
        raise DataError("a wall from weight needs an area and a density above 0")
    return change_kg / (density * area_mm2 * 1e-6) * 1000.0
