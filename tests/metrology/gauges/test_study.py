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
    crossed = [crossed_study(study(s, people=people, part_sd=0.0)) for s in range(40)]
    assert any(f.anova.part.value == 0.0 for f in crossed)
    assert all((f.anova.part.value or 0) >= 0 and (f.anova.reproducibility.value or 0) >= 0 for f in crossed)
    flat = next(f for f in crossed if f.anova.part.value == 0.0)
    assert flat.anova.distinct_categories == 0
    assert isclose(flat.anova.percent_of_total or 0, 100.0)


@given(st.integers(0, 2**32 - 1), st.integers(2, 6), st.integers(2, 4), st.integers(2, 4))
@settings(max_examples=40, deadline=None)
def test_components_add_up_and_lie_in_their_intervals(seed: int, parts: int, people: int, trials: int) -> None:
    who = tuple((f"p{i}", 0.02 * i, 0.05) for i in range(people))
    crossed = crossed_study(study(seed, parts, who, trials))
    for c in (crossed.anova, crossed.range):
        assert c is not None
        r, p, g = (c.repeatability.value or 0, c.reproducibility.value or 0, c.combined.value or 0)
        assert isclose(r * r + p * p, g * g, rel_tol=1e-9)
        assert isclose(g * g + (c.part.value or 0) ** 2, (c.total.value or 0) ** 2, rel_tol=1e-9)
    for sd in (crossed.anova.repeatability, crossed.anova.reproducibility, crossed.anova.combined, crossed.anova.part):
        assert sd.lower is not None
        assert sd.upper is not None
        assert sd.lower <= (sd.value or 0) + 1e-12
        assert (sd.value or 0) <= sd.upper + 1e-12
    parts_of_total = sum(r.ss for r in crossed.table if r.source not in ("total", "pooled"))
    assert isclose(parts_of_total, crossed.table[-1].ss, rel_tol=1e-9)


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
        crossed = crossed_study(study(s, people=people, places=None))
        assert crossed.range is not None
        ratios.append((crossed.range.combined.value or 0) / (crossed.anova.combined.value or 1))
    assert np.mean(ratios) == pytest.approx(1.0, abs=0.05)


# ------------------------------------------------------------------------------ verdict
def test_the_share_of_the_band_and_the_words() -> None:
    crossed = crossed_study(study(4), band=1.0)
    assert crossed.anova.share_of_band == pytest.approx(6 * (crossed.anova.combined.value or 0))
    assert "of the band" in crossed.verdict
    assert "of the total spread" in crossed_study(study(4)).verdict
    assert fitness(0.1) == "good"
    assert fitness(0.101) == fitness(0.3) == "usable with care"
    assert fitness(0.301) == "not good enough"
    for bad in (0.0, -1.0, nan, inf):
        with pytest.raises(DataError, match="band"):
            crossed_study(study(4), band=bad)


def test_figures_have_the_names_of_the_table() -> None:
    crossed = crossed_study(study(4), band=1.0)
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
    assert list(crossed.anova.figures()) == names
    a = crossed.anova
    assert a.figures()["percent_of_total"] == pytest.approx(100 * (a.combined.value or 0) / (a.total.value or 1))
    assert a.distinct_categories == int(1.41 * (a.part.value or 0) / (a.combined.value or 1))


# ------------------------------------------------------------------------------ odd studies
def test_one_person_gives_repeatability_only() -> None:
    crossed = crossed_study([r for r in study(6) if r[1] == "bench 1"])
    assert crossed.anova.reproducibility.value is None
    assert crossed.range is not None
    assert crossed.range.reproducibility.value is None
    assert crossed.anova.combined.value == crossed.anova.repeatability.value == pytest.approx(0.03, rel=0.5)
    assert crossed.anova.part.value == pytest.approx(0.2, rel=0.7)
    assert any("only bench 1 measured" in s for s in crossed.sentences)
    y = np.array([v for *_, v in study(6)]).reshape(10, 3, 3)[:, 0]
    ms_part = 3 * y.mean(axis=1).var(ddof=1)
    ms_e = y.var(axis=1, ddof=1).mean()
    assert isclose(crossed.anova.part.value or 0, sqrt((ms_part - ms_e) / 3), rel_tol=1e-6)


def test_one_part_tells_nothing_of_parts() -> None:
    crossed = crossed_study([r for r in study(6) if r[0] == 1])
    assert crossed.anova.part.value is None
    assert crossed.anova.total.value is None
    assert crossed.anova.percent_of_total is None
    assert crossed.anova.distinct_categories is None
    assert crossed.anova.reproducibility.value is not None
    assert crossed.range is not None
    assert crossed.range.figures()["total"] is None
    assert any("only part 1 was measured" in s for s in crossed.sentences)
    assert "no verdict" in crossed.verdict


def test_one_reading_each_holds_the_interaction_in_the_repeatability() -> None:
    crossed = crossed_study(study(6, trials=1))
    assert crossed.range is None
    assert crossed.spreads == ()
    assert crossed.anova.interaction is None
    assert any("read once" in s for s in crossed.sentences)
    table = {r.source: r for r in crossed.table}
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
    with pytest.raises(DataError, match=r"part 1 by bench 2 \(2 of 3\)"):
        crossed_study([r for r in rows if not (r[0] <= 5 and r[1] == "bench 2" and r[2] == 1)])
    with pytest.raises(DataError, match=r"part 10 by inspector \(0 of 3\)"):
        crossed_study([r for r in rows if not (r[0] == 10 and r[1] == "inspector")])
    with pytest.raises(DataError, match="and 6 more"):
        crossed_study([r for r in rows if not (r[1] == "inspector" and r[2] == 1)])


def test_equal_readings_are_answered() -> None:
    crossed = crossed_study([(p, o, t, 5.0) for p in (1, 2) for o in ("a", "b") for t in (1, 2)], band=1.0)
    assert crossed.anova.combined.value == 0.0
    assert crossed.anova.percent_of_total is None
    assert crossed.anova.distinct_categories is None
    assert any("too coarse" in s for s in crossed.sentences)
    assert crossed.verdict.startswith("no verdict")  # and not 0 % of the band
    coarse = crossed_study([(p, o, t, 5.0 + p) for p in (1, 2, 3) for o in ("a", "b") for t in (1, 2)])
    assert coarse.anova.part.value == pytest.approx(1.0)
    assert coarse.anova.repeatability.value == pytest.approx(1 / sqrt(12))  # steps of 1 hide no less
    assert coarse.range is not None
    assert coarse.range.repeatability.value == pytest.approx(1 / sqrt(12))


# ------------------------------------------------------------------------------ steps, gaps, interaction
def test_steps_of_the_gauge_are_the_least_repeatability() -> None:
    """step / sqrt(12): standard deviation of rounding, GUM (JCGM 100:2008) F.2.2.1."""
    rows = [(p, o, t, 52.0 + 0.1 * p) for p in range(1, 13) for o in ("a", "b") for t in (1, 2, 3)]
    seen = crossed_study(rows, band=1.0)
    assert seen.step == pytest.approx(0.1)
    assert seen.floored
    assert seen.anova.combined.value == pytest.approx(0.1 / sqrt(12))
    assert seen.anova.share_of_band == pytest.approx(6 * 0.1 / sqrt(12))
    assert any("nothing below 0.029 can be seen" in s for s in seen.sentences)
    stated = crossed_study(rows, band=1.0, step=0.02)
    assert stated.anova.combined.value == pytest.approx(0.02 / sqrt(12))
    assert "of the band" in stated.verdict
    fine = crossed_study(study(4), step=0.01)
    assert not fine.floored
    assert fine.anova.repeatability.value == crossed_study(study(4), step=1e-6).anova.repeatability.value


def test_steps_as_wide_as_the_band_allow_no_verdict() -> None:
    rows = [(p, o, t, 52.0 + 0.5 * (p % 4)) for p in range(1, 9) for o in ("a", "b") for t in (1, 2)]
    for step in (None, 0.5):
        coarse = crossed_study(rows, band=0.5, step=step)
        assert coarse.verdict.startswith("no verdict: the gauge reads in steps of 0.5, and the band is 0.5 wide")
        assert coarse.anova.share_of_band is None
        assert coarse.range is not None
        assert coarse.range.share_of_band is None
    assert not crossed_study(rows, band=0.6, step=0.5).verdict.startswith("no verdict")


@pytest.mark.parametrize(
    ("values", "step"),
    [
        ([5.0 + 0.05 * i for i in range(12)], 0.05),  # two decimals, but steps of five of them
        ([5.0, 5.1, 5.25], 0.01),  # few readings: the last decimal place
        ([10.0, 20.0], 10.0),
    ],
)
def test_what_the_readings_come_in(values: list[float], step: float) -> None:
    rows = [(p, o, t, round(v, 6)) for p, v in enumerate(values) for o in "ab" for t in (1, 2)]
    assert crossed_study(rows).step == pytest.approx(step)
    assert crossed_study(study(1, places=None)).step is None


def test_one_reading_of_72_that_lacks_changes_next_to_nothing() -> None:
    rows = study(11, parts=8, inter=0.05, places=3)
    assert len(rows) == 72
    whole = crossed_study(rows)
    for gone in (0, 17, 40, 71):
        short = crossed_study(rows[:gone] + rows[gone + 1 :])
        assert short.lacking == 1
        assert short.range is None
        assert short.table[-1].dof == 70
        for name in ("repeatability", "reproducibility", "combined", "part", "total"):
            one, two = getattr(whole.anova, name), getattr(short.anova, name)
            assert two.value == pytest.approx(one.value, rel=0.12)
            assert two.lower <= two.value <= two.upper
        assert any("1 of 72 readings lacks" in s for s in short.sentences)
        assert len(short.spreads) == len(short.biases) == 3
        assert sorted(s.n for s in short.spreads) == [23, 24, 24]


def test_components_of_a_study_with_gaps_are_right_on_average() -> None:
    """Computed here: 300 studies of 6 x 3 x 3 with two readings gone; Henderson III is unbiased for variances."""
    people = tuple((f"p{i}", 0.0, 0.05) for i in range(3))
    got = []
    for seed in range(300):
        rows = study(seed, parts=6, people=people, inter=0.06, places=None)
        del rows[seed % 50], rows[(7 * seed + 3) % 50]
        squares = crossed_study(rows, pool_above=1.0).anova
        got.append([squares.repeatability.value or 0, squares.part.value or 0, squares.interaction or 0])
    rms = np.sqrt((np.array(got) ** 2).mean(axis=0))
    assert rms[0] == pytest.approx(0.05, rel=0.04)
    assert rms[1] == pytest.approx(0.2, rel=0.08)
    assert rms[2] == pytest.approx(0.06, rel=0.08)


def test_an_interaction_is_spoken_of_with_the_place_where_it_is_largest() -> None:
    rows = [(p, o, t, v + (0.4 if (p, o) == (4, "bench 2") else 0.0)) for p, o, t, v in study(8)]
    seen = crossed_study(rows)
    assert seen.interaction_p is not None
    assert seen.interaction_p < 0.001
    assert any("people differ from part to part" in s and "part 4, where bench 2 is +0." in s for s in seen.sentences)
    assert not any("people differ from part" in s for s in crossed_study(study(8)).sentences)


# ------------------------------------------------------------------------------ bias, linearity, stability


def check_piece(seed: int) -> list[float]:
    """A hundred weekly checks of a 50.000 piece: 0.05 high until week 45, then adjusted; spread 0.012."""
    rng = np.random.default_rng(seed)
    return [round(float(rng.normal(50.05 if week < 45 else 50.0, 0.012)), 3) for week in range(100)]
