"""Pooled offsets: planted ones come out with their values, nothing comes out of nothing, what cannot be told is said."""

from __future__ import annotations

from math import inf, isclose, nan, sqrt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_tui.errors import DataError
from inspect_tui.metrology.gauges.offsets import Offsets, Party, Row, offsets
from tests.amounts import some

PERSON, GAUGE = "person", "gauge"


def shop(
    seed: int,
    gauge: float = 0.0,
    person: float = 0.0,
    *,
    sizes: int = 30,
    visits: int = 8,
    days: int = 24,
    s: float = 0.03,
    s_day: float = 0.004,
    blocks: bool = False,
    wear: float = 0.002,
) -> list[Row]:
    """Invented: every size read on some days by six people with five gauges; G0 and P1 are the ones that may be off."""
    rng = np.random.default_rng(seed)
    of_day, shift_of = rng.normal(0, s_day, days), rng.integers(0, 6, days)
    rows: list[Row] = []
    for size in range(sizes):
        level, slope, wide = rng.uniform(10, 500), abs(rng.normal(0, wear)), rng.uniform(0.6, 1.6)
        for day in np.sort(rng.choice(days, visits, replace=False)).tolist():
            p = int(shift_of[day]) if rng.random() < 0.5 else int(rng.integers(0, 6))
            g = day * 5 // days if blocks else (p % 5 if rng.random() < 0.3 else int(rng.integers(0, 5)))
            value = level + slope * day + rng.normal(0, s * wide) + of_day[day]
            value += gauge * (g == 0) + person * (p == 1)
            rows.append((f"S{size}", float(day), f"G{g}", f"P{p}", round(float(value), 3), 0.03))
    return rows


def names(found: Offsets) -> list[str]:
    return [o.party.name for o in found.named]


# ------------------------------------------------------------------------------ by hand
def paired(differences: list[float], u: float = 0.01) -> list[Row]:
    """One size a day, read with A and with B by the same person: the difference is what there is to know."""
    rows: list[Row] = []
    for i, d in enumerate(differences):
        rows += [(i, float(i), "A", "p", 50.0 + 10 * i, u), (i, float(i), "B", "p", 50.0 + 10 * i + d, u)]
    return rows


def test_pairs_come_to_the_mean_difference_and_the_uncertainty_of_the_textbook() -> None:
    # mean 0.05; s^2 = 8 * 0.01^2 / 7; u = s / sqrt(8) (paired differences, any textbook)
    (only,) = offsets(paired([0.06, 0.04] * 4)).named
    assert only.party == Party(GAUGE, "A")
    assert only.estimate.value == pytest.approx(-0.05, abs=1e-12)
    assert only.estimate.u == pytest.approx(sqrt(8 * 0.01**2 / 7 / 8), rel=1e-6)
    assert only.dof == pytest.approx(6.0)  # 8 days less a level and a drift
    half = 2.446911851 * only.estimate.u  # t(0.975, 6), any table
    assert (only.lower, only.upper) == pytest.approx((-0.05 - half, -0.05 + half), rel=1e-6)
    assert (only.readings, only.sizes, only.days) == (8, 8, 8)
    assert only.p_all == only.p  # A and B are one question


def test_without_any_scatter_u_of_the_readings_is_believed() -> None:
    (only,) = offsets(paired([0.05] * 8, u=0.02)).named
    assert only.estimate.value == pytest.approx(-0.05, abs=1e-12)
    assert only.estimate.u == pytest.approx(0.02 * sqrt(2) / sqrt(8), rel=1e-9)


def test_level_and_straight_drift_of_every_size_are_taken_out_exactly() -> None:
    rows: list[Row] = []
    for size in range(6):
        for day in range(9):
            gauge = "B" if (day + size) % 3 == 0 else ("C" if (day + size) % 3 == 1 else "A")
            value = 100.0 * size + 0.07 * (size - 2) * day + (0.04 if gauge == "B" else 0.0)
            rows.append((size, float(day), gauge, "p", value, 0.01))
    (only,) = offsets(rows).named
    assert only.party.name == "B"
    assert only.estimate.value == pytest.approx(0.04, abs=1e-10)


# ------------------------------------------------------------------------------ planted
def test_a_caliper_and_a_person_who_are_off_are_found_over_948_readings() -> None:
    rows = shop(1, 0.048, 0.033, sizes=79, visits=12, days=60, s=0.024, s_day=0.002)
    assert len(rows) == 948
    pooled = offsets(rows)
    assert names(pooled) == ["G0", "P1"]
    for offset, planted in zip(pooled.named, (0.048, 0.033), strict=True):
        assert offset.lower < planted < offset.upper
        assert offset.estimate.value == pytest.approx(planted, abs=0.006)
        assert offset.estimate.value / offset.estimate.u > 12
        assert offset.stands_out
        assert not offset.or_else
    assert "G0 reads 0.0" in pooled.sentence
    assert "higher than the others" in pooled.sentence
    assert pooled.looked_at == 11
    assert len(pooled.rest) == 9


def test_intervals_hold_what_was_planted_and_both_are_found_nearly_always() -> None:
    held = found = 0
    for seed in range(60):
        for offset in offsets(shop(seed, 0.06, -0.05)).named:
            planted = {"G0": 0.06, "P1": -0.05}.get(offset.party.name)
            if planted is not None:
                found += 1
                held += offset.lower <= planted <= offset.upper
    assert found >= 100
    assert held / found >= 0.90


@pytest.mark.parametrize(
    "world", [{"s_day": 0.03}, {"blocks": True, "s_day": 0.02}, {"sizes": 10, "visits": 6}, {"wear": 0.05}]
)
def test_nobody_is_accused_where_all_read_alike(world: dict[str, float]) -> None:
    shops = some(40, 300)
    accused = sum(bool(offsets(shop(seed, **world)).named) for seed in range(shops))  # type: ignore[arg-type]
    assert accused <= 0.02 * shops + 4 * sqrt(0.02 * 0.98 * shops)


def test_slips_neither_make_nor_hide_an_offset() -> None:
    rng = np.random.default_rng(5)
    clean = shop(5, 0.06)
    wild = [(*row[:4], row[4] + (18.0 if rng.random() < 0.02 else 0.0), row[5]) for row in clean]
    pooled = offsets(wild)
    assert names(pooled) == ["G0"]
    assert pooled.named[0].estimate.value == pytest.approx(0.06, abs=0.015)
    assert not offsets([(*row[:4], row[4] + (18.0 if rng.random() < 0.02 else 0.0), row[5]) for row in shop(6)]).named


# ------------------------------------------------------------------------------ what cannot be told
def test_a_gauge_and_a_person_always_together_are_told_as_one() -> None:
    rows = [
        (s, d, g, "only hand" if g == "G0" else ("P1" if p == "only hand" else p), v, u)
        for s, d, g, p, v, u in shop(2, 0.08)
    ]
    (both,) = offsets(rows).named
    assert {both.party, *both.with_it} == {Party(GAUGE, "G0"), Party(PERSON, "only hand")}
    assert "so it may be either" in both.sentence
    assert offsets(rows).looked_at == 11  # five gauges and seven people, and those two are one


def test_of_two_in_turn_either_may_be_the_one_that_is_off() -> None:
    rows = [(s, d, "A" if g == "G0" else "B", "p", v, u) for s, d, g, _, v, u in shop(3, 0.08)]
    (either,) = offsets(rows).named
    assert either.party.name == "A"
    assert either.against_it == (Party(GAUGE, "B"),)
    assert "than B" in either.sentence
    assert "either may be the one that is off" in either.sentence


def test_what_explains_the_readings_nearly_as_well_is_named_beside_it() -> None:
    rng = np.random.default_rng(4)
    rows = []
    for s, d, g, p, v, u in shop(4, 0.05):
        person = "X" if (g == "G0") != (rng.random() < 0.01) else ("P2" if p == "X" else p)
        rows.append((s, d, g, person, v, u))
    pooled = offsets(rows)
    assert len(pooled.named) == 1
    assert {pooled.named[0].party.name, *(o.name for o in pooled.named[0].or_else)} == {"G0", "X"}
    assert "nearly as well" in pooled.sentence


def test_too_few_days_are_no_ground_for_a_name() -> None:
    rows = [(s, 0.0 if g == "G0" else 1.0 + d, g, p, v, u) for s, d, g, p, v, u in shop(7, 0.0)]
    rows = [(s, d, g, p, v + (0.3 if d == 0.0 else 0.0), u) for s, d, g, p, v, u in rows]
    pooled = offsets(rows)  # all G0 readings are of one day: a hot day would do as well
    assert "G0" not in names(pooled)


def test_who_shares_no_size_with_anybody_is_said_to_be_untold() -> None:
    alone: list[Row] = [(f"T{i}", float(d), "lone", "hermit", 5.0 + d % 2, 0.01) for i in range(4) for d in range(5)]
    pooled = offsets([*shop(8), *alone])
    assert set(pooled.untold) == {Party(GAUGE, "lone"), Party(PERSON, "hermit")}
    assert offsets(alone).looked_at == 0
    assert "nothing can be compared" in offsets(alone).sentence
    assert offsets([]).sentence == "no readings to look at"


# ------------------------------------------------------------------------------ properties
@given(st.integers(0, 1000), st.floats(-5, 5), st.floats(-0.2, 0.2), st.floats(0.1, 10))
@settings(max_examples=15, deadline=None)
def test_moving_tilting_or_scaling_the_sizes_changes_nothing_but_the_scale(
    seed: int, move: float, tilt: float, scale: float
) -> None:
    rows = shop(seed, 0.1, sizes=12)
    other = [(s, d, g, p, scale * (v + move * len(str(s)) + tilt * d), scale * u) for s, d, g, p, v, u in rows]
    one, two = offsets(rows), offsets(other)
    assert names(one) == names(two)
    for a, b in zip(one.named, two.named, strict=True):
        assert isclose(b.estimate.value, scale * a.estimate.value, rel_tol=1e-3)
        assert isclose(b.estimate.u, scale * a.estimate.u, rel_tol=1e-3)  # weights are found by rounds


@given(st.integers(0, 1000), st.randoms())
@settings(max_examples=10, deadline=None)
def test_the_order_of_the_rows_does_not_matter(seed: int, random: object) -> None:
    rows = shop(seed, 0.1, sizes=12)
    mixed = list(rows)
    random.shuffle(mixed)  # type: ignore[attr-defined]
    one, two = offsets(rows), offsets(mixed)
    assert names(one) == names(two)
    assert [a.estimate.value for a in one.named] == pytest.approx([b.estimate.value for b in two.named], rel=1e-6)


@pytest.mark.parametrize("bad", [(nan, 0.01), (inf, 0.01), (5.0, 0.0), (5.0, -1.0), (5.0, nan)])
def test_what_is_no_reading_is_refused(bad: tuple[float, float]) -> None:
    with pytest.raises(DataError, match="is no reading"):
        offsets([("S", 1.0, "G", "P", *bad)])


def test_a_visit_is_one_size_on_one_day() -> None:
    from inspect_tui.metrology.gauges.offsets import _Table

    rows = shop(1, sizes=20, visits=6)
    assert int(_Table([*rows, *rows]).visit.max()) + 1 == len({(size, day) for size, day, *_ in rows}) == 120
