"""Uncertainty budgets after the GUM: lines a person can follow, combined, with effective degrees of freedom.

A budget is for one result: a reading, or the mean of its repeats. All figures in the unit of the result (mm).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import fsum, inf, isfinite, sqrt

from inspect_tui.errors import DataError
from inspect_tui.frozen import NamedTuple, frozen_by_name, replace
from inspect_tui.metrology.judge._dist import TWO_U, f_tail, t_quantile, whole_dof
from inspect_tui.metrology.typed.show import MM, Style

ROOT3 = sqrt(3.0)
# k = 2 for many degrees of freedom: certificates say so, verdicts by "full U" guard by it (JCGM 100:2008, table G.2)
K2_COVERAGE = 2.0 * TWO_U - 1.0
OTHER_SCATTER = 0.01  # repeats whose scatter would come up more seldom than this don't belong to the gauge study


@frozen_by_name
class BudgetLine:
    """One line of a budget: its standard uncertainty with the sensitivity folded in, in the unit of the result.

    `u` may carry the sign of its sensitivity, which only matters where lines are correlated. `kind` is A (from
    repeats) or B (from anything else), `how` one sentence. `shrinks` marks what a mean of more repeats makes smaller.
    """

    name: str
    u: float
    dof: float = inf
    kind: str = "B"
    how: str = ""
    shrinks: bool = False

    def __post_init__(self) -> None:
        if not isfinite(self.u):
            raise DataError(f"{self.name}: an uncertainty of {self.u} cannot be worked with; give a finite one")
        if not self.dof > 0.0:
            raise DataError(f"{self.name}: {self.dof} degrees of freedom; there must be more than 0")


@frozen_by_name
class Budget:
    """Lines and what they come to.

    `u` combined standard uncertainty, `dof` effective degrees of freedom (not rounded), `k` coverage factor,
    `U` = k u for the `coverage`, `n` how many readings the result is the mean of.
    """

    lines: tuple[BudgetLine, ...]
    u: float
    dof: float
    k: float
    U: float
    coverage: float = 0.95
    n: int = 1

    @property
    def u_random(self) -> float:
        """The part of `u` of a SINGLE reading that more repeats make smaller: a mean of n has u_random / sqrt(n).

        In mm.
        """
        return sqrt(self.n * fsum(line.u**2 for line in self.lines if line.shrinks))

    @property
    def u_bias(self) -> float:
        """The part of `u` that stays however often the reading is repeated. In mm."""
        return sqrt(max(0.0, self.u**2 - self.u_random**2 / self.n))


class BudgetRow(NamedTuple):
    """A budget line for a table; `share` of the variance, all shares together being 1."""

    name: str
    kind: str
    u: float
    dof: float
    share: float
    how: str


class KnownSpread(NamedTuple):
    """Standard deviation of single readings and its degrees of freedom."""

    s: float
    dof: float


class Study(NamedTuple):
    """Pooled standard deviation of single readings from a gauge study, and which study."""

    s: float
    dof: float
    label: str = "the gauge study"


class Temperature(NamedTuple):
    """What a size measured away from 20 degC depends on; coefficients per degC, `delta_c` = work - 20 degC.

    `u_c` is the standard uncertainty of that temperature, `u_difference_c` of the difference between work and
    instrument, `share` the half-width of each coefficient as a share of it (10 %: common practice).
    """

    alpha_work: float
    alpha_instrument: float
    delta_c: float
    u_c: float
    length_mm: float
    u_difference_c: float = 0.0
    share: float = 0.1


Correlations = Mapping[tuple[int | str, int | str], float] | Sequence[Sequence[float]]


# ------------------------------------------------------------------------------ combining
def combine(lines: Sequence[BudgetLine], correlations: Correlations | None = None, coverage: float = 0.95) -> Budget:
    """Combined standard uncertainty, effective degrees of freedom, coverage factor and U of these lines.

    `correlations`: a full matrix, or {(i, j): r} where i and j are places or names of lines; missing pairs are 0.
    Degrees of freedom by Welch-Satterthwaite (JCGM 100:2008, G.2b), cut down to a whole number before the
    t-quantile (G.4.1). The formula holds for independent lines, so correlated ones count there as one line with the
    smallest degrees of freedom among them: our convention, on the cautious side; exact where all were read together.
    Errors: DataError for a coverage outside 0..1 and for correlations that cannot exist together.
    """
    if not 0.0 < coverage < 1.0:
        raise DataError(f"a coverage of {coverage} cannot be reached: give one between 0 and 1, such as 0.95")
    lines = tuple(lines)
    pairs = _pairs(lines, correlations) if correlations else {}
    group = list(range(len(lines)))
    for i, j in pairs:
        keep, drop = group[i], group[j]
        group = [keep if g == drop else g for g in group]
    variance: dict[int, float] = {}
    dof: dict[int, float] = {}
    for g, line in zip(group, lines, strict=True):
        variance[g] = variance.get(g, 0.0) + line.u**2
        dof[g] = min(dof.get(g, inf), line.dof)
    for (i, j), r in pairs.items():
        variance[group[i]] += 2.0 * r * lines[i].u * lines[j].u
    together = max(0.0, fsum(variance.values()))
    doubt = fsum((v / together) ** 2 / dof[g] for g, v in variance.items()) if together > 0.0 else 0.0
    effective = 1.0 / doubt if doubt > 1e-300 else inf
    u = sqrt(together)
    k = t_quantile(0.5 + 0.5 * coverage, whole_dof(effective))
    return Budget(lines=lines, u=u, dof=effective, k=k, U=k * u, coverage=coverage)


def _pairs(lines: Sequence[BudgetLine], correlations: Correlations) -> dict[tuple[int, int], float]:
    """{(i, j): r} with i < j and r != 0, checked."""
    n = len(lines)
    names = {line.name: i for i, line in enumerate(lines)}
    given: list[tuple[int | str, int | str, float]]
    if isinstance(correlations, Mapping):
        given = [(a, b, r) for (a, b), r in correlations.items()]
    else:
        if len(correlations) != n or any(len(row) != n for row in correlations):
            raise DataError(f"the correlation matrix must have {n} rows of {n}, one for each line")
        given = [(i, j, correlations[i][j]) for i in range(n) for j in range(n)]
    pairs: dict[tuple[int, int], float] = {}
    for a, b, r in given:
        i, j = (names.get(end, -1) if isinstance(end, str) else end for end in (a, b))
        if not (0 <= i < n and 0 <= j < n):
            raise DataError(f"a correlation is given between {a} and {b}, but the budget has no such lines")
        # Correlations computed from readings come out as 1.0000000000000002.
        if not abs(r) <= 1.0 + 1e-9 or (i == j and abs(r - 1.0) > 1e-9):
            raise DataError(f"the correlation of {lines[i].name} and {lines[j].name} cannot be {r}")
        r = max(-1.0, min(1.0, r))
        if i != j and abs(pairs.setdefault((min(i, j), max(i, j)), r) - r) > 1e-12:
            raise DataError(f"two different correlations are given for {lines[i].name} and {lines[j].name}")
    pairs = {ends: r for ends, r in pairs.items() if r != 0.0}
    _possible(n, pairs)
    return pairs


def _possible(n: int, pairs: dict[tuple[int, int], float]) -> None:
    """DataError unless the correlations can exist together (Cholesky without square roots of negatives)."""
    lower = [[0.0] * n for _ in range(n)]
    for i in range(n):
        for j in range(i + 1):
            r = 1.0 if i == j else pairs.get((j, i), 0.0)
            rest = r - fsum(lower[i][m] * lower[j][m] for m in range(j))
            if i == j:
                if rest < -1e-9:
                    raise DataError("these correlations cannot exist together: check their signs and sizes")
                lower[i][i] = sqrt(max(0.0, rest))
            elif lower[j][j] > 1e-7:
                lower[i][j] = rest / lower[j][j]
            elif abs(rest) > 1e-7:
                raise DataError("these correlations cannot exist together: check their signs and sizes")


def rows(budget: Budget) -> list[BudgetRow]:
    """The budget as table rows; where lines are correlated a last row holds what that adds or takes away."""
    total = budget.u**2
    table = [
        BudgetRow(
            name=line.name,
            kind=line.kind,
            u=abs(line.u),
            dof=line.dof,
            share=line.u**2 / total if total else 0.0,
            how=line.how,
        )
        for line in budget.lines
    ]
    rest = total - fsum(line.u**2 for line in budget.lines)
    if abs(rest) > 1e-9 * max(total, 1e-30):
        sign = "adds to" if rest > 0.0 else "takes from"
        how = f"lines that vary together: {sign} the variance"
        table.append(
            BudgetRow(
                name="correlation", kind="", u=sqrt(abs(rest)), dof=inf, share=rest / total if total else 0.0, how=how
            )
        )
    return table


# ------------------------------------------------------------------------------ the budget of a reading
def reading_budget(
    u95_cal: float,
    k_cal: float = 2.0,
    resolution: float = 0.0,
    repeats: Sequence[float] | KnownSpread | None = None,
    *,
    n: int | None = None,
    study: Study | None = None,
    temperature: Temperature | None = None,
    work_movement: float | None = None,
    process: float | None = None,
    others: Sequence[BudgetLine] = (),
    coverage: float = K2_COVERAGE,
    style: Style = MM,
) -> Budget:
    """Budget of a reading, or of the mean of its repeats, in mm.

    `u95_cal` / `k_cal`: expanded uncertainty and coverage factor of the certificate. `resolution`: one step of the
    display. `repeats`: the readings themselves, or their Spread; `n`: how many readings the result is the mean of
    (default: as many as there are repeats). `work_movement`, `process`: standard uncertainties, added as they are.
    Resolution: half a step over sqrt(3) (JCGM 100:2008, F.2.2.1). It is already inside the scatter of repeats, so the
    larger of the two counts and the line says so. Repeats and study are pooled (JCGM 100, 4.2.4) unless the repeats
    scatter more than the study can explain (F test, 1 %): then the repeats speak for themselves.
    Errors: DataError for figures that are not finite or negative.
    """
    for name, value in [("calibration", u95_cal), ("resolution", resolution)]:
        if not 0.0 <= value < inf:
            raise DataError(f"{name}: {value} is no uncertainty; it must be 0 or more")
    if not 0.0 < k_cal < inf:
        raise DataError(f"a coverage factor of {k_cal} cannot be used: certificates give 2 or so")

    def fine(mm: float, figures: int) -> str:
        return style.significant(mm, figures, unit=False)

    lines = [
        BudgetLine(
            name="calibration",
            u=u95_cal / k_cal,
            how=f"U {fine(u95_cal, 4)} of the certificate over k = {style.figures(k_cal, 4)}",
        )
    ]
    spread, count, origin = _scatter(repeats, n, study, style)
    half = 0.5 * resolution
    u_steps = half / ROOT3
    steps_how = f"half a step of the display, {fine(half, 4)}, over the root of 3"
    u_mean = spread.s / sqrt(count) if spread else 0.0
    if spread and u_mean >= u_steps:
        mean = f" over the root of {count} readings" if count > 1 else ""
        inside = f"; the display's steps ({fine(u_steps, 2)}) are already inside it" if u_steps else ""
        lines.append(
            BudgetLine(
                name="repeatability",
                u=u_mean,
                dof=spread.dof,
                kind="A",
                how=f"s = {fine(spread.s, 3)} {origin}{mean}{inside}",
                shrinks=True,
            )
        )
    elif u_steps:
        why = (
            f"larger than the repeatability ({fine(u_mean, 2)}) {origin}, which lies inside it"
            if spread
            else "how well readings repeat is not in this budget: no repeats, no gauge study"
        )
        lines.append(BudgetLine(name="resolution", u=u_steps, how=f"{steps_how}; {why}"))
    if temperature is not None:
        lines += temperature_lines(Temperature(*temperature), style)
    for name, u, how in [
        ("work's own movement", work_movement, "wood, resin or springing of the work between cutting and measuring"),
        ("process", process, "spread of the process from one casting to the next"),
    ]:
        if u is not None:
            if not u >= 0.0:
                raise DataError(f"{name}: {u} is no uncertainty; it must be 0 or more")
            lines.append(BudgetLine(name=name, u=u, how=how))
    return replace(combine([*lines, *others], coverage=coverage), n=count)


def _scatter(
    repeats: Sequence[float] | KnownSpread | None, n: int | None, study: Study | None, style: Style
) -> tuple[KnownSpread | None, int, str]:
    """Standard deviation of a single reading with its dof, readings in the mean, and where that comes from."""
    own: KnownSpread | None = None
    if isinstance(repeats, KnownSpread):
        own = repeats
        count = n or 1
    else:
        values = [float(x) for x in repeats or ()]
        if not all(map(isfinite, values)):
            raise DataError("a repeat is not a finite number: leave it out and say why")
        count = n or max(1, len(values))
        if len(values) > 1:
            mean = fsum(values) / len(values)
            own = KnownSpread(sqrt(fsum((x - mean) ** 2 for x in values) / (len(values) - 1)), len(values) - 1)
    if count < 1:
        raise DataError(f"a mean of {count} readings: there must be at least 1")
    for s, dof in (spread[:2] for spread in (own, study) if spread):
        if not (0.0 <= s < inf and dof > 0.0):
            raise DataError(f"a standard deviation of {s} with {dof} degrees of freedom cannot be used")
    if own is None:
        return (KnownSpread(study.s, study.dof), count, f"from {study.label}") if study else (None, count, "")
    if study is None:
        degrees = f"{style.figures(own.dof, 4)} degree{'s' if own.dof != 1 else ''} of freedom"
        return own, count, f"of the repeats ({degrees})"
    if own.s > 0.0 and (study.s == 0.0 or f_tail((own.s / study.s) ** 2, own.dof, study.dof) < OTHER_SCATTER):
        known = f"{study.label} (s = {style.significant(study.s, 3, unit=False)})"
        return own, count, f"of the repeats, which scatter more than {known} explains"
    if study.dof == inf:
        return KnownSpread(study.s, inf), count, f"from {study.label}"
    dof = own.dof + study.dof
    s = sqrt((own.dof * own.s**2 + study.dof * study.s**2) / dof)
    return KnownSpread(s, dof), count, f"from {study.label} and the repeats together"


def temperature_lines(t: Temperature, style: Style = MM) -> list[BudgetLine]:
    """Lines of the correction to 20 degC (ISO 1), size * (alpha_work - alpha_instrument) * delta (as GUM H.1).

    Sizes in mm, coefficients per kelvin. DataError for values that are not finite, and for uncertainties below 0.
    """
    if not all(map(isfinite, t)) or t.u_c < 0.0 or t.u_difference_c < 0.0 or t.share < 0.0:
        raise DataError("temperature: give finite coefficients, temperatures and sizes, uncertainties of 0 or more")
    length = abs(t.length_mm)
    both = abs(t.alpha_work - t.alpha_instrument)
    u_alpha = t.share / ROOT3 * sqrt(t.alpha_work**2 + t.alpha_instrument**2)
    lines = [
        BudgetLine(
            name="temperature",
            u=length * both * t.u_c,
            how=f"{style.figures(t.u_c, 2)} degC on {style.significant(length, 5)}, work against instrument",
        ),
        # delta and its own doubt: at 20 degC the product of the two doubts is all that is left (GUM H.1.7)
        BudgetLine(
            name="expansion",
            u=length * u_alpha * sqrt(t.delta_c**2 + t.u_c**2),
            how=f"coefficients known to {style.figures(100 * t.share, 3)} %, "
            f"work {style.figures(t.delta_c, 3, signed=True)} degC from 20 degC",
        ),
    ]
    if t.u_difference_c:
        u = length * abs(t.alpha_instrument) * t.u_difference_c
        lines.append(
            BudgetLine(
                name="temperature difference",
                u=u,
                how=f"work and instrument alike to {style.figures(t.u_difference_c, 2)} degC",
            )
        )
    return lines
