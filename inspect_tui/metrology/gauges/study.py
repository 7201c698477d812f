"""Crossed study of a gauge: every person measures every part several times; how much of the spread is the measuring?

Repeatability and reproducibility as ISO 5725 and the VIM name them, once by analysis of variance and once by averages
and ranges. Where the answer cannot be had (one person, one part, one reading each) it is None, with a sentence.
"""

from __future__ import annotations

from collections.abc import Iterable
from math import isfinite, sqrt
from typing import TYPE_CHECKING, Any

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen_by_name, replace
from inspect_tui.metrology.gauges.people import PersonBias, PersonSpread, study_biases, study_spreads
from inspect_tui.metrology.gauges.variance_components import UNKNOWN, Sd, Square, component
from inspect_tui.metrology.spread.chart_constants import d2, d2_star
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.metrology.typed.words import called

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

POOL_ABOVE = 0.25  # an interaction with a larger p-value is pooled with the repeatability (numbers: common practice)
GOOD, WITH_CARE = 0.10, 0.30  # shares of the band or of the total spread: widespread practice, no standard
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
    """The whole answer of a crossed study; `range` is None where there are no repeats."""

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


def crossed_study(
    readings: Iterable[tuple[object, object, object, float]],
    band: float | None = None,
    level: float = 0.95,
    pool_above: float = POOL_ABOVE,
    style: Style = MM,
) -> CrossedStudy:
    """Evaluate (part, person, trial, value) rows; every person must have read every part equally often.

    `band` is the width of the tolerance in the unit of the readings. Unbalanced rows are refused (DataError) with the
    cells that lack readings, for the mean squares of an unbalanced table do not separate the components.
    """
    if band is not None and not (isfinite(band) and band > 0):
        raise DataError(
            f"a band {style.given(band, unit=False)} wide cannot be; give the upper limit less the lower one"
        )
    parts, people, y = _cells(readings)
    p, o, r = y.shape
    table, pooled, squares = _table(y, pool_above)
    anova = _components(squares, y.shape, pooled, level)
    by_range = _by_range(y) if r > 1 else None
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
    if not anova.repeatability.value:
        say.append("all repeats are equal: the instrument's steps are too coarse to show its repeatability")
    say += [x.sentence for x in spreads if x.stands_out] + [x.sentence for x in biases if x.stands_out]
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
    if short:
        named = ", ".join(short[:4]) + (f" and {len(short) - 4} more" if len(short) > 4 else "")
        raise DataError(
            f"the study is not balanced: readings lack for {named}. Its mean squares would mix people and parts; "
            "take the missing readings, or leave those parts out for everybody"
        )
    if len(parts) * len(people) * most < 2 or (most == 1 and (len(parts) == 1 or len(people) == 1)):
        raise DataError("nothing was measured twice by one person: repeatability cannot be known; repeat the readings")
    rows = [[list(cells[part, person].values()) for person in people] for part in parts]
    return parts, people, np.array(rows, dtype=np.float64)


# ------------------------------------------------------------------------------ analysis of variance
def _table(y: NDArray[np.float64], pool_above: float) -> tuple[tuple[AnovaRow, ...], bool, dict[str, AnovaRow]]:
    """The analysis-of-variance table, whether the interaction was pooled, and the mean squares by name."""
    import numpy as np
    from scipy.special import fdtrc

    p, o, r = y.shape
    z = y - y.flat[0]  # constant leading digits would cost digits of the squares
    z = z - z.mean()
    cell, part, person = z.mean(axis=2), z.mean(axis=(1, 2)), z.mean(axis=(0, 2))
    sums = {
        "part": (o * r * float(part @ part), p - 1),
        "person": (p * r * float(person @ person), o - 1),
        "interaction": (r * float(np.square(cell - part[:, None] - person).sum()), (p - 1) * (o - 1)),
        "repeatability": (float(np.square(z - cell[:, :, None]).sum()), p * o * (r - 1)),
    }
    if r == 1:
        sums["repeatability"] = sums.pop("interaction")
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
    total = AnovaRow(
        source="total", ss=float(np.square(z).sum()), dof=y.size - 1, ms=float(np.square(z).sum()) / (y.size - 1)
    )
    return (*order, total), pooled, rows


def _components(squares: dict[str, AnovaRow], shape: tuple[int, ...], pooled: bool, level: float) -> Components:
    """Variance components from the expected mean squares of the random model; negative ones count as 0."""
    p, o, r = shape
    error = squares["pooled" if pooled else "repeatability"]
    mixed = squares["interaction"] if "interaction" in squares and not pooled else error
    has_inter = mixed is not error

    def terms(part: float = 0.0, person: float = 0.0, inter: float = 0.0, rest: float = 0.0) -> list[Square]:
        factors = {"part": part, "person": person}
        out = [Square(f, squares[name].ms, squares[name].dof) for name, f in factors.items() if f]
        if has_inter:
            return [*out, Square(inter, mixed.ms, mixed.dof), Square(rest, error.ms, error.dof)]
        return [*out, Square(inter + rest, error.ms, error.dof)]

    v_e = error.ms
    v_inter = max(0.0, (mixed.ms - error.ms) / r) if has_inter else 0.0
    v_person = max(0.0, (squares["person"].ms - mixed.ms) / (p * r)) if o > 1 else 0.0
    v_part = max(0.0, (squares["part"].ms - mixed.ms) / (o * r)) if p > 1 else 0.0
    a, b = (1.0 / (o * r) if p > 1 else 0.0), (1.0 / (p * r) if o > 1 else 0.0)
    c = 1.0 / r if has_inter else 0.0
    gauge = v_person + v_inter + v_e
    return Components(
        method="analysis of variance",
        repeatability=component(terms(rest=1.0), v_e, level),
        reproducibility=component(terms(0, b, c - b, -c), v_person + v_inter, level) if o > 1 else UNKNOWN,
        combined=component(terms(0, b, c - b, 1.0 - c), gauge, level),
        part=component(terms(a, 0, -a), v_part, level) if p > 1 else UNKNOWN,
        total=component(terms(a, b, c - a - b, 1.0 - c), gauge + v_part, level) if p > 1 else UNKNOWN,
        interaction=sqrt(v_inter) if o > 1 and p > 1 and r > 1 else None,
    )


def _by_range(y: NDArray[np.float64]) -> Components:
    """Averages and ranges: mean range within cells, range of the people's means, range of the parts' means."""
    import numpy as np

    p, o, r = y.shape
    cells = p * o
    divisor = d2(r) if cells > MANY_RANGES else d2_star(r, cells)
    ev = float(np.ptp(y, axis=2).mean()) / divisor
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
    if c.share_of_band is not None:
        return f"6 x combined is {style.percent(c.share_of_band)} of the band: {fitness(c.share_of_band)}"
    percent = c.percent_of_total
    if percent is None:
        return "no verdict: give the width of the band, or measure several parts"
    return f"the measuring makes {style.percent(percent / 100)} of the total spread: {fitness(percent / 100)}"


def fitness(share: float) -> str:
    """Words for a share of the band or of the total spread: good to 10 %, with care to 30 % (widespread practice)."""
    if share <= GOOD:
        return "good"
    return "usable with care" if share <= WITH_CARE else "not good enough"
