"""Crossed study of a gauge: every person measures every part several times; how much of the spread is the measuring?

Repeatability and reproducibility as ISO 5725 and the VIM name them, once by analysis of variance and once by averages
and ranges. Where the answer cannot be had (one person, one part, one reading each) it is None, with a sentence.
"""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal
from math import gcd, isfinite, sqrt
from typing import TYPE_CHECKING, Any

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen_by_name, replace
from inspect_tui.metrology.gauges.people import PersonBias, PersonSpread, study_biases, study_spreads
from inspect_tui.metrology.gauges.squares import Squares, squares_of
from inspect_tui.metrology.gauges.variance_components import UNKNOWN, Sd, Square, component
from inspect_tui.metrology.spread.chart_constants import d2, d2_star
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.metrology.typed.words import called

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

POOL_ABOVE = 0.25  # an interaction with a larger p-value is pooled with the repeatability (numbers: common practice)
GOOD, WITH_CARE = 0.10, 0.30  # shares of the band or of the total spread: widespread practice, no standard
SHOWN = 0.05  # an interaction rarer than this is spoken of
MOST_LACKING = 0.05  # share of the readings that may lack: beyond it the approximate intervals are not vouched for
MOST_PLACES = 8  # of decimals in which steps are looked for; what was typed has fewer
MANY_VALUES = (
    4  # so many different readings have a common step that is not the gauge's own once in six, mostly twice it
)
MANY_RANGES = 15  # with more ranges than this the mean range is divided by d2 itself: published practice


@frozen_by_name
class AnovaRow:
    """One line of the analysis of variance; f and p are None where the line is not tested."""

    source: str
    ss: float
    dof: int
    ms: float
    f: float | None = None
    p: float | None = None


@frozen_by_name
class Components:
    """Standard deviations in the unit of the readings: what the measuring adds and what the parts themselves vary.

    `combined` is repeatability and reproducibility together, `total` all of it. `share_of_band` is 6 combined / band.
    """

    method: str
    repeatability: Sd
    reproducibility: Sd
    combined: Sd
    part: Sd
    total: Sd
    interaction: float | None = None
    share_of_band: float | None = None

    @property
    def percent_of_total(self) -> float | None:
        """100 combined / total (of standard deviations); None where the parts' spread is not known."""
        if self.combined.value is None or not self.total.value:
            return None
        return 100.0 * self.combined.value / self.total.value

    @property
    def distinct_categories(self) -> int | None:
        """How many groups of parts this measuring can tell apart: 1.41 part / combined, rounded down."""
        if self.part.value is None or not self.combined.value:
            return None
        return int(1.41 * self.part.value / self.combined.value)

    def figures(self) -> dict[str, Any]:
        """The figures by name, as a table or a JSON object shows them."""
        names = ("repeatability", "reproducibility", "combined", "part", "total")
        out: dict[str, Any] = {name: getattr(self, name).value for name in names}
        out["percent_of_total"] = self.percent_of_total
        out["distinct_categories"] = self.distinct_categories
        out["share_of_band"] = self.share_of_band
        return out


@frozen_by_name
class CrossedStudy:
    """The whole answer of a crossed study; `range` is None where there are no repeats or where readings lack.

    `step` is what the gauge reads in, as given or as the readings show it; None where they do not. `lacking` readings
    are not there. `interaction_p` is the chance of people differing from part to part as much as this by their repeats.
    """

    parts: tuple[str, ...]
    people: tuple[str, ...]
    trials: int
    table: tuple[AnovaRow, ...]
    pooled: bool
    anova: Components
    range: Components | None
    spreads: tuple[PersonSpread, ...]
    biases: tuple[PersonBias, ...]
    verdict: str
    assumptions: tuple[str, ...]
    sentences: tuple[str, ...]
    step: float | None = None
    floored: bool = False
    lacking: int = 0
    interaction_p: float | None = None


def crossed_study(
    readings: Iterable[tuple[object, object, object, float]],
    band: float | None = None,
    level: float = 0.95,
    pool_above: float = POOL_ABOVE,
    style: Style = MM,
    step: float | None = None,
) -> CrossedStudy:
    """Evaluate (part, person, trial, value) rows; every person has read every part equally often, but for a few.

    `band` is the width of the tolerance in the unit of the readings, `step` what the gauge reads in (where it is None
    the readings are looked at): no repeatability below step / sqrt(12), what rounding alone spreads (GUM F.2.2.1), can
    be shown. DataError with the cells that lack readings where more than one in twenty lacks, or all of a cell.
    """
    if band is not None and not (isfinite(band) and band > 0):
        raise DataError(
            f"a band {style.given(band, unit=False)} wide cannot be; give the upper limit less the lower one"
        )
    import numpy as np

    parts, people, y = _cells(readings)
    p, o, r = y.shape
    lacking = int(np.isnan(y).sum())
    squares = squares_of(y)
    table, pooled, rows = _table(squares, pool_above)
    step = _step(y) if step is None else step
    floor = (step or 0.0) / sqrt(12.0)
    anova = _components(rows, squares, y.shape, pooled, level, floor)
    by_range = _by_range(y, floor) if r > 1 and not lacking else None
    floored = rows["pooled" if pooled else "repeatability"].ms < floor * floor
    too_coarse = band is not None and step is not None and step >= band * (1.0 - 1e-9)
    if not too_coarse:
        anova, by_range = _with_band(anova, band), None if by_range is None else _with_band(by_range, band)
    spreads = study_spreads(people, y, level, style)
    biases = study_biases(people, y, level, style)
    say = []
    if o == 1:
        only = called("person", people[0])
        say.append(f"only {only} measured: repeatability is known, differences between people are not")
    if p == 1:
        say.append(f"only part {parts[0]} was measured: what parts vary, and so any share of the total, is not known")
    if r == 1:
        say.append("every part was read once by each: repeatability holds any interaction too; no ranges")
    if not rows["repeatability"].ms:
        say.append("all repeats are equal: the instrument's steps are too coarse to show its repeatability")
    if floored:
        steps, least = style.given(step or 0.0, unit=False), style.significant(floor, 2, unit=False)
        say.append(f"repeats agree within steps of {steps}: nothing below {least} can be seen, so it counts as that")
    if lacking:
        say.append(
            f"{lacking} of {y.size} readings {'lacks' if lacking == 1 else 'lack'}: components by Henderson's method "
            "III, their intervals approximate, no ranges"
        )
    between = rows.get("interaction")
    interaction_p = None if between is None else between.p
    if interaction_p is not None and interaction_p < SHOWN:
        say.append(_interaction(y, parts, people, anova.interaction or 0.0, interaction_p, style))
    say += [x.sentence for x in spreads if x.stands_out] + [x.sentence for x in biases if x.stands_out]
    if too_coarse and band is not None and step is not None:
        verdict = f"no verdict: the gauge reads in steps of {style.given(step, unit=False)}, and the band is "
        verdict += f"{style.given(band, unit=False)} wide; take one that reads finer"
    else:
        verdict = _verdict(anova, style)
    assumptions = ("normal readings of one repeatability", "people and parts drawn at random", "blind, random order")
    return CrossedStudy(
        parts=parts,
        people=people,
        trials=r,
        table=table,
        pooled=pooled,
        anova=anova,
        range=by_range,
        spreads=spreads,
        biases=biases,
        verdict=verdict,
        assumptions=assumptions,
        sentences=tuple(say),
        step=step,
        floored=floored,
        lacking=lacking,
        interaction_p=interaction_p,
    )


def _step(y: NDArray[np.float64]) -> float | None:
    """What the readings come in: of many different ones their greatest common step, of few the last decimal place.

    None where all are equal, or where they show no steps.
    """
    import numpy as np

    values = [Decimal(repr(v)) for v in np.unique(y[np.isfinite(y)]).tolist()]
    places = max(-int(v.normalize().as_tuple().exponent) for v in values)
    if len(values) < 2 or places > MOST_PLACES:
        return None
    whole = [int((v - values[0]).scaleb(places)) for v in values]
    return float(Decimal(gcd(*whole) if len(whole) >= MANY_VALUES else 1).scaleb(-places))


def _interaction(
    y: NDArray[np.float64], parts: tuple[str, ...], people: tuple[str, ...], sd: float, p: float, style: Style
) -> str:
    """In words that people differ from part to part, and where most."""
    import numpy as np

    cell = np.nanmean(y, axis=2)
    off = cell - cell.mean(axis=1, keepdims=True) - cell.mean(axis=0) + cell.mean()
    part, person = np.unravel_index(int(np.argmax(np.abs(off))), off.shape)
    most = style.significant(float(off[part, person]), 2, unit=False, signed=True)
    return (
        f"people differ from part to part (interaction, p = {style.figures(p, 1)}), s = "
        f"{style.significant(sd, 2, unit=False)}; most on {called('part', parts[part])}, where "
        f"{called('person', people[person])} is {most} off what the part and the person come to elsewhere"
    )


# ------------------------------------------------------------------------------ reading the rows
def _cells(
    readings: Iterable[tuple[object, object, object, float]],
) -> tuple[tuple[str, ...], tuple[str, ...], NDArray[np.float64]]:
    """Parts, people and the readings as an array parts x people x trials."""
    import numpy as np

    cells: dict[tuple[str, str], dict[str, float]] = {}
    for part, person, trial, value in readings:
        whose = f"part {part}, {called('person', str(person))}"
        try:
            number = float(value)
        except (TypeError, ValueError):
            number = float("nan")
        if not isfinite(number):
            raise DataError(f"{whose}, trial {trial}: {value!r} is not a size; read it again")
        cell = cells.setdefault((str(part), str(person)), {})
        if str(trial) in cell:
            raise DataError(f"{whose}: trial {trial} stands there twice; number the repeats")
        cell[str(trial)] = number
    if not cells:
        raise DataError("the study has no readings")
    parts = tuple(dict.fromkeys(part for part, _ in cells))
    people = tuple(dict.fromkeys(person for _, person in cells))
    counts = {(part, person): len(cells.get((part, person), {})) for part in parts for person in people}
    most = max(counts.values())
    short = [f"part {a} by {called('person', b)} ({n} of {most})" for (a, b), n in counts.items() if n < most]
    planned = len(counts) * most
    if 0 in counts.values() or planned - sum(counts.values()) > MOST_LACKING * planned:
        named = ", ".join(short[:4]) + (f" and {len(short) - 4} more" if len(short) > 4 else "")
        raise DataError(
            f"the study is not balanced: readings lack for {named}. Its mean squares would mix people and parts; "
            "take the missing readings, or leave those parts out for everybody"
        )
    if planned < 2 or (most == 1 and (len(parts) == 1 or len(people) == 1)):
        raise DataError("nothing was measured twice by one person: repeatability cannot be known; repeat the readings")
    y = np.full((len(parts), len(people), most), np.nan)
    for i, part in enumerate(parts):
        for j, person in enumerate(people):
            values = list(cells[part, person].values())
            y[i, j, : len(values)] = values
    return parts, people, y


# ------------------------------------------------------------------------------ analysis of variance
def _table(squares: Squares, pool_above: float) -> tuple[tuple[AnovaRow, ...], bool, dict[str, AnovaRow]]:
    """The analysis-of-variance table, whether the interaction was pooled, and the mean squares by name."""
    from scipy.special import fdtrc

    sums = {name: (square.ss, square.dof) for name, square in squares.by.items()}
    ms = {name: ss / dof for name, (ss, dof) in sums.items() if dof}

    def tested(name: str, against: str) -> AnovaRow:
        ss, dof = sums[name]
        if ms[against] <= 0:
            return AnovaRow(source=name, ss=ss, dof=dof, ms=ms[name])
        f = ms[name] / ms[against]
        return AnovaRow(source=name, ss=ss, dof=dof, ms=ms[name], f=f, p=float(fdtrc(dof, sums[against][1], f)))

    rows = {}
    error = "repeatability"
    if "interaction" in ms:
        rows["interaction"] = tested("interaction", error)
    look = rows.get("interaction")
    pooled = look is not None and (look.p > pool_above if look.p is not None else look.ss <= 0)
    if look is not None and pooled:
        ss, dof = look.ss + sums[error][0], look.dof + sums[error][1]
        sums["pooled"], ms["pooled"] = (ss, dof), ss / dof
    against = "pooled" if pooled else ("interaction" if look is not None else error)
    for name in ("part", "person"):
        if name in ms:
            rows[name] = tested(name, against)
    ss, dof = sums[error]
    rows[error] = AnovaRow(source=error, ss=ss, dof=dof, ms=ms[error])
    if pooled:
        ss, dof = sums["pooled"]
        rows["pooled"] = AnovaRow(source="pooled", ss=ss, dof=dof, ms=ms["pooled"])
    order = [rows[name] for name in ("part", "person", "interaction", "repeatability", "pooled") if name in rows]
    total = AnovaRow(source="total", ss=squares.total, dof=squares.total_dof, ms=squares.total / squares.total_dof)
    return (*order, total), pooled, rows


def _components(
    rows: dict[str, AnovaRow], squares: Squares, shape: tuple[int, ...], pooled: bool, level: float, floor: float
) -> Components:
    """Variance components from the expected mean squares of the random model; negative ones count as 0.

    Each is a sum of mean squares with factors; the repeatability is no smaller than `floor`, what the steps hide.
    """
    p, o, r = shape
    error = rows["pooled" if pooled else "repeatability"]
    mixed = rows["interaction"] if "interaction" in rows and not pooled else error
    has_inter = mixed is not error
    by = squares.by
    k_inter = by["interaction"].k_own if has_inter else 1.0

    def factors(name: str) -> dict[str, float]:
        """Of the mean squares in the estimate of one component."""
        if name == "repeatability":
            return {"error": 1.0}
        if name == "interaction":
            return {"mixed": 1.0 / k_inter, "error": -1.0 / k_inter} if has_inter else {}
        k, taken = by[name].k_own, by[name].k_interaction / k_inter if has_inter else 0.0
        return {name: 1.0 / k, "mixed": -taken / k, "error": -(1.0 - taken) / k}

    source = {**rows, "mixed": mixed, "error": error}

    def terms(*names: str) -> list[Square]:
        sums: dict[str, float] = {}
        for name in names:
            for square, factor in factors(name).items():
                sums[square] = sums.get(square, 0.0) + factor
        if not has_inter:
            sums["error"] = sums.pop("mixed", 0.0) + sums.get("error", 0.0)
        return [Square(f, source[square].ms, source[square].dof) for square, f in sums.items() if abs(f) > 1e-12]

    def variance(name: str) -> float:
        return max(0.0, sum(square.factor * square.mean for square in terms(name)))

    v_e = max(error.ms, floor * floor)
    v_inter = variance("interaction") if has_inter else 0.0
    v_person = variance("person") if o > 1 else 0.0
    v_part = variance("part") if p > 1 else 0.0
    between = [name for name in ("person", "interaction") if name in rows and (name != "interaction" or has_inter)]
    gauge, parts = v_person + v_inter + v_e, ["part"] if p > 1 else []
    return Components(
        method="analysis of variance",
        repeatability=component(terms("repeatability"), v_e, level),
        reproducibility=component(terms(*between), v_person + v_inter, level) if o > 1 else UNKNOWN,
        combined=component(terms(*between, "repeatability"), gauge, level),
        part=component(terms(*parts), v_part, level) if p > 1 else UNKNOWN,
        total=component(terms(*parts, *between, "repeatability"), gauge + v_part, level) if p > 1 else UNKNOWN,
        interaction=sqrt(v_inter) if o > 1 and p > 1 and r > 1 else None,
    )


def _by_range(y: NDArray[np.float64], floor: float) -> Components:
    """Averages and ranges: mean range within cells, range of the people's means, range of the parts' means."""
    import numpy as np

    p, o, r = y.shape
    cells = p * o
    divisor = d2(r) if cells > MANY_RANGES else d2_star(r, cells)
    ev = max(float(np.ptp(y, axis=2).mean()) / divisor, floor)
    av = pv = None
    if o > 1:
        between = float(np.ptp(y.mean(axis=(0, 2)))) / d2_star(o, 1)
        av = sqrt(max(0.0, between**2 - ev**2 / (p * r)))
    if p > 1:
        pv = float(np.ptp(y.mean(axis=(1, 2)))) / d2_star(p, 1)
    gauge = sqrt(ev**2 + (av or 0.0) ** 2)
    total = None if pv is None else sqrt(gauge**2 + pv**2)
    return Components(
        method="averages and ranges",
        repeatability=Sd(ev),
        reproducibility=Sd(av),
        combined=Sd(gauge),
        part=Sd(pv),
        total=Sd(total),
    )


# ------------------------------------------------------------------------------ verdict
def _with_band(c: Components, band: float | None) -> Components:
    if band is None or c.combined.value is None:
        return c
    return replace(c, share_of_band=6.0 * c.combined.value / band)


def _verdict(c: Components, style: Style) -> str:
    """In words: of the band where one was given, otherwise of the total spread."""
    if c.combined.value == 0.0:
        return "no verdict: all readings are equal, and what the gauge's steps hide is not known; give its step"
    if c.share_of_band is not None:
        return f"6 x combined is {style.percent(c.share_of_band)} of the band: {fitness(c.share_of_band)}"
    percent = c.percent_of_total
    if percent is None or not c.combined.value:
        return "no verdict: give the width of the band, or measure several parts"
    return f"the measuring makes {style.percent(percent / 100)} of the total spread: {fitness(percent / 100)}"


def fitness(share: float) -> str:
    """Words for a share of the band or of the total spread: good to 10 %, with care to 30 % (widespread practice)."""
    if share <= GOOD:
        return "good"
    return "usable with care" if share <= WITH_CARE else "not good enough"
