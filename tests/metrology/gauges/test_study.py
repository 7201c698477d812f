"""Gauge studies: recovery of planted truths, agreement with an independent fit, odd and unbalanced studies, people."""

from __future__ import annotations

from math import inf, isclose, nan, sqrt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_tui.errors import DataError
from inspect_tui.metrology.gauges.study import crossed_study, fitness
from inspect_tui.metrology.spread.chart_constants import d2_star

Rows = list[tuple[int, str, int, float]]


PLANTED = (("bench 1", 0.0, 0.03), ("bench 2", 0.04, 0.09), ("inspector", 0.0, 0.03))


def study(
    seed: int,
    parts: int = 10,
    people: tuple[tuple[str, float, float], ...] = PLANTED,
    trials: int = 3,
    part_sd: float = 0.2,
    inter: float = 0.0,
    places: int | None = 2,
) -> Rows:
    """Invented study: (name, bias, repeatability) per person."""
    rng = np.random.default_rng(seed)
    true = 52 + rng.normal(0, part_sd, parts)
    rows = []
    for i in range(parts):
        for name, bias, s in people:
            own = rng.normal(0, inter) if inter else 0.0
            for t in range(trials):
                v = float(true[i] + bias + own + rng.normal(0, s))
                rows.append((i + 1, name, t + 1, v if places is None else round(v, places)))
    return rows


# ------------------------------------------------------------------------------ analysis of variance
def test_sums_of_squares_agree_with_statsmodels() -> None:
    import pandas as pd  # type: ignore[import-untyped]
    import statsmodels.formula.api as smf
    from statsmodels.stats.anova import anova_lm

    rows = study(3, inter=0.05)
    frame = pd.DataFrame(rows, columns=["part", "person", "trial", "value"])
    other = anova_lm(smf.ols("value ~ C(part) * C(person)", frame).fit())
    table = {r.source: r for r in crossed_study(rows).table}
    for ours, theirs in (
        ("part", "C(part)"),
        ("person", "C(person)"),
        ("interaction", "C(part):C(person)"),
        ("repeatability", "Residual"),
    ):
        assert isclose(table[ours].ss, other.loc[theirs, "sum_sq"], rel_tol=1e-8)
        assert table[ours].dof == other.loc[theirs, "df"]
    assert isclose(table["interaction"].p or 0, other.loc["C(part):C(person)", "PR(>F)"], rel_tol=1e-8)
    # parts and people are drawn at random: they are tested against the interaction, not the repeatability
    assert isclose(table["part"].f or 0, table["part"].ms / table["interaction"].ms, rel_tol=1e-12)


def test_an_interaction_that_is_not_there_is_pooled() -> None:
    pooled = [crossed_study(study(s)) for s in range(60)]
    for found in pooled:
        table = {r.source: r for r in found.table}
        assert found.pooled == ((table["interaction"].p or 0) > 0.25)
    share = sum(p.pooled for p in pooled) / 60
    assert 0.5 < share < 0.95  # three quarters of studies without interaction have p > 0.25
    one = next(p for p in pooled if p.pooled)
    rows = {r.source: r for r in one.table}
    assert rows["pooled"].dof == rows["interaction"].dof + rows["repeatability"].dof
    assert isclose(one.anova.repeatability.value or 0, sqrt(rows["pooled"].ms), rel_tol=1e-12)
    assert one.anova.interaction == 0.0
    assert isclose(rows["part"].f or 0, rows["part"].ms / rows["pooled"].ms)
    kept = next(p for p in pooled if not p.pooled)
    assert "pooled" not in {r.source for r in kept.table}
    assert not crossed_study(study(1), pool_above=1.0).pooled


def test_planted_components_are_recovered_on_average() -> None:
    """Computed here: 300 studies; variances are estimated without bias before negative ones are set to 0."""
    people = tuple((f"p{i}", 0.0, 0.05) for i in range(3))
    got = np.array(
        [
            [c.repeatability.value or 0, c.part.value or 0, c.interaction or 0]
            for c in (crossed_study(study(s, people=people, inter=0.06, places=None)).anova for s in range(300))
        ]
    )
    rms = np.sqrt((got**2).mean(axis=0))
    assert rms[0] == pytest.approx(0.05, rel=0.03)
    assert rms[1] == pytest.approx(0.2, rel=0.08)
    assert rms[2] == pytest.approx(0.06, rel=0.08)


def test_negative_components_count_as_zero() -> None:
    people = tuple((f"p{i}", 0.0, 0.1) for i in range(3))
    found = [crossed_study(study(s, people=people, part_sd=0.0)) for s in range(40)]
    assert any(f.anova.part.value == 0.0 for f in found)
    assert all((f.anova.part.value or 0) >= 0 and (f.anova.reproducibility.value or 0) >= 0 for f in found)
    flat = next(f for f in found if f.anova.part.value == 0.0)
    assert flat.anova.distinct_categories == 0
    assert isclose(flat.anova.percent_of_total or 0, 100.0)


@given(st.integers(0, 2**32 - 1), st.integers(2, 6), st.integers(2, 4), st.integers(2, 4))
@settings(max_examples=40, deadline=None)
def test_components_add_up_and_lie_in_their_intervals(seed: int, parts: int, people: int, trials: int) -> None:
    who = tuple((f"p{i}", 0.02 * i, 0.05) for i in range(people))
    found = crossed_study(study(seed, parts, who, trials))
    for c in (found.anova, found.range):
        assert c is not None
        r, p, g = (c.repeatability.value or 0, c.reproducibility.value or 0, c.combined.value or 0)
        assert isclose(r * r + p * p, g * g, rel_tol=1e-9)
        assert isclose(g * g + (c.part.value or 0) ** 2, (c.total.value or 0) ** 2, rel_tol=1e-9)
    for sd in (found.anova.repeatability, found.anova.reproducibility, found.anova.combined, found.anova.part):
        assert sd.lower is not None
        assert sd.upper is not None
        assert sd.lower <= (sd.value or 0) + 1e-12
        assert (sd.value or 0) <= sd.upper + 1e-12
    parts_of_total = sum(r.ss for r in found.table if r.source not in ("total", "pooled"))
    assert isclose(parts_of_total, found.table[-1].ss, rel_tol=1e-9)


@given(st.integers(0, 2**32 - 1), st.permutations(range(24)))
@settings(max_examples=20, deadline=None)
def test_the_order_of_the_rows_changes_nothing(seed: int, order: list[int]) -> None:
    rows = study(seed, 4, (("a", 0.0, 0.05), ("b", 0.0, 0.05)), 3)
    one, two = crossed_study(rows), crossed_study([rows[i] for i in order])
    for name in ("repeatability", "reproducibility", "combined", "part", "total"):
        a, b = getattr(one.anova, name).value, getattr(two.anova, name).value
        assert isclose(a, b, rel_tol=1e-6, abs_tol=1e-9)


def test_a_large_constant_costs_no_digits() -> None:
    rows = [(p, o, t, float(round(100 * v))) for p, o, t, v in study(5)]
    far = [(p, o, t, v + 2.0**52) for p, o, t, v in rows]  # still exact integers
    for one, two in zip(crossed_study(rows).table, crossed_study(far).table, strict=True):
        assert isclose(one.ss, two.ss, rel_tol=1e-9)


# ------------------------------------------------------------------------------ by range
def test_ranges_follow_the_published_practice_for_the_divisor() -> None:
    rows = study(2)
    y = np.array([v for *_, v in rows]).reshape(10, 3, 3)
    by_range = crossed_study(rows).range
    assert by_range is not None
    assert isclose(by_range.repeatability.value or 0, np.ptp(y, axis=2).mean() / 1.6925687506, rel_tol=1e-9)
    small = [r for r in rows if r[0] <= 5]  # 15 ranges: not many, so d2* takes the place of d2
    few = crossed_study(small).range
    assert few is not None
    assert isclose(few.repeatability.value or 0, np.ptp(y[:5], axis=2).mean() / d2_star(3, 15), rel_tol=1e-9)
    assert isclose(few.part.value or 0, np.ptp(y[:5].mean(axis=(1, 2))) / d2_star(5, 1), rel_tol=1e-9)


def test_both_methods_tell_the_same_story() -> None:
    people = tuple((f"p{i}", 0.0, 0.05) for i in range(3))
    ratios = []
    for s in range(80):
        found = crossed_study(study(s, people=people, places=None))
        assert found.range is not None
        ratios.append((found.range.combined.value or 0) / (found.anova.combined.value or 1))
    assert np.mean(ratios) == pytest.approx(1.0, abs=0.05)


# ------------------------------------------------------------------------------ verdict
def test_the_share_of_the_band_and_the_words() -> None:
    found = crossed_study(study(4), band=1.0)
    assert found.anova.share_of_band == pytest.approx(6 * (found.anova.combined.value or 0))
    assert "of the band" in found.verdict
    assert "of the total spread" in crossed_study(study(4)).verdict
    assert fitness(0.1) == "good"
    assert fitness(0.101) == fitness(0.3) == "usable with care"
    assert fitness(0.301) == "not good enough"
    for bad in (0.0, -1.0, nan, inf):
        with pytest.raises(DataError, match="band"):
            crossed_study(study(4), band=bad)


def test_figures_have_the_names_of_the_table() -> None:
    found = crossed_study(study(4), band=1.0)
    names = [
        "repeatability",
        "reproducibility",
        "combined",
        "part",
        "total",
        "percent_of_total",
        "distinct_categories",
        "share_of_band",
    ]
    assert list(found.anova.figures()) == names
    a = found.anova
    assert a.figures()["percent_of_total"] == pytest.approx(100 * (a.combined.value or 0) / (a.total.value or 1))
    assert a.distinct_categories == int(1.41 * (a.part.value or 0) / (a.combined.value or 1))


# ------------------------------------------------------------------------------ odd studies
def test_one_person_gives_repeatability_only() -> None:
    found = crossed_study([r for r in study(6) if r[1] == "bench 1"])
    assert found.anova.reproducibility.value is None
    assert found.range is not None
    assert found.range.reproducibility.value is None
    assert found.anova.combined.value == found.anova.repeatability.value == pytest.approx(0.03, rel=0.5)
    assert found.anova.part.value == pytest.approx(0.2, rel=0.7)
    assert any("only bench 1 measured" in s for s in found.sentences)
    y = np.array([v for *_, v in study(6)]).reshape(10, 3, 3)[:, 0]
    ms_part = 3 * y.mean(axis=1).var(ddof=1)
    ms_e = y.var(axis=1, ddof=1).mean()
    assert isclose(found.anova.part.value or 0, sqrt((ms_part - ms_e) / 3), rel_tol=1e-6)


def test_one_part_tells_nothing_of_parts() -> None:
    found = crossed_study([r for r in study(6) if r[0] == 1])
    assert found.anova.part.value is None
    assert found.anova.total.value is None
    assert found.anova.percent_of_total is None
    assert found.anova.distinct_categories is None
    assert found.anova.reproducibility.value is not None
    assert found.range is not None
    assert found.range.figures()["total"] is None
    assert any("only part 1 was measured" in s for s in found.sentences)
    assert "no verdict" in found.verdict


def test_one_reading_each_holds_the_interaction_in_the_repeatability() -> None:
    found = crossed_study(study(6, trials=1))
    assert found.range is None
    assert found.spreads == ()
    assert found.anova.interaction is None
    assert any("read once" in s for s in found.sentences)
    table = {r.source: r for r in found.table}
    assert table["repeatability"].dof == 18


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        ([], "no readings"),
        ([(1, "a", 1, 5.0)], "nothing was measured twice"),
        ([(1, "a", 1, 5.0), (1, "b", 1, 5.0)], "nothing was measured twice"),
        ([(1, "a", 1, 5.0), (2, "a", 1, 5.0)], "nothing was measured twice"),
        ([(1, "a", 1, 5.0), (1, "a", 1, 5.1)], "trial 1 stands there twice"),
        ([(1, "a", 1, nan), (1, "a", 2, 5.1)], "not a size"),
        ([(1, "a", 1, None), (1, "a", 2, 5.1)], "not a size"),
        ([(1, "a", 1, "5.x"), (1, "a", 2, 5.1)], "not a size"),
    ],
)
def test_what_cannot_be_evaluated_is_refused_with_the_reason(rows: Rows, words: str) -> None:
    with pytest.raises(DataError, match=words):
        crossed_study(rows)


def test_an_unbalanced_study_is_refused_with_the_cells_that_lack_readings() -> None:
    rows = study(7)
    with pytest.raises(DataError, match=r"part 3 by bench 2 \(2 of 3\)"):
        crossed_study([r for r in rows if not (r[0] == 3 and r[1] == "bench 2" and r[2] == 1)])
    with pytest.raises(DataError, match=r"part 10 by inspector \(0 of 3\)"):
        crossed_study([r for r in rows if not (r[0] == 10 and r[1] == "inspector")])
    with pytest.raises(DataError, match="and 6 more"):
        crossed_study([r for r in rows if not (r[1] == "inspector" and r[2] == 1)])


def test_equal_readings_are_answered() -> None:
    found = crossed_study([(p, o, t, 5.0) for p in (1, 2) for o in ("a", "b") for t in (1, 2)], band=1.0)
    assert found.anova.combined.value == 0.0
    assert found.anova.percent_of_total is None
    assert found.anova.distinct_categories is None
    assert any("too coarse" in s for s in found.sentences)
    coarse = crossed_study([(p, o, t, 5.0 + p) for p in (1, 2, 3) for o in ("a", "b") for t in (1, 2)])
    assert coarse.anova.part.value == pytest.approx(1.0)
    assert coarse.anova.percent_of_total == 0.0


# ------------------------------------------------------------------------------ bias, linearity, stability


def check_piece(seed: int) -> list[float]:
    """A hundred weekly checks of a 50.000 piece: 0.05 high until week 45, then adjusted; spread 0.012."""
    rng = np.random.default_rng(seed)
    return [round(float(rng.normal(50.05 if week < 45 else 50.0, 0.012)), 3) for week in range(100)]
