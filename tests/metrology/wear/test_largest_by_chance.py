"""p-values of a searched-for change are what they say: against plain simulation, and far in the tail by bounds."""

from __future__ import annotations

import math

import numpy as np
import pytest

from inspect_tui.errors import DataError
from inspect_tui.metrology.judge._dist import t_cdf
from inspect_tui.metrology.wear import largest_by_chance
from inspect_tui.metrology.wear.largest_by_chance import KINDS, contrasts, count, scan_p, single_log10


def unit(rows: np.ndarray, kind: str) -> np.ndarray:
    rows = rows - rows.mean(axis=1, keepdims=True)
    if kind == "step on a line":
        line = np.arange(rows.shape[1]) - (rows.shape[1] - 1) / 2
        rows = rows - (rows @ line)[:, None] * line / (line @ line)
    return np.asarray(rows / np.sqrt((rows**2).sum(axis=1))[:, None])


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("n", [12, 30, 100])
def test_stated_chances_are_met_by_simulated_series(kind: str, n: int) -> None:
    rng = np.random.default_rng(n)
    m = 12_000
    p = scan_p(np.abs(contrasts(unit(rng.standard_normal((m, n)), kind), kind)).max(axis=1), n, kind)
    for a in (0.2, 0.05, 0.01):
        # drawn ratios are good to a few percent, the simulation to its own error
        assert np.mean(p <= a) == pytest.approx(a, rel=0.12, abs=4 * math.sqrt(a / m))


@pytest.mark.parametrize("kind", KINDS)
def test_fast_sums_are_the_contrasts_written_out(kind: str) -> None:
    rows = unit(np.random.default_rng(1).standard_normal((5, 40)), kind)
    assert contrasts(rows, kind) == pytest.approx(rows @ largest_by_chance._units(40, kind).T, abs=1e-10)
    assert contrasts(rows, kind).shape[1] == count(40, kind)


def test_the_chance_lies_between_that_of_one_place_and_of_all_added_up() -> None:
    n = 80
    r = np.linspace(0.3, 0.95, 20)
    single = 10 ** single_log10(r, n - 1)
    for kind in ("step", "bend"):
        p = scan_p(r, n, kind)
        assert (p <= np.minimum(1.0, count(n, kind) * single) * 1.0001).all() and (p >= single * 0.9).all()
        assert (np.diff(p) <= 1e-12).all()


def test_the_single_chance_is_students() -> None:
    for r, dimension in ((0.2, 20), (0.6, 20), (0.9, 60)):
        t = r * math.sqrt(dimension - 1) / math.sqrt(1 - r * r)
        want = math.log10(2 * (1 - t_cdf(t, dimension - 1))) if t < 8 else None
        got = float(single_log10(np.array([r]), dimension)[0])
        if want is not None:
            assert got == pytest.approx(want, abs=1e-3)
        else:
            assert got < -12


def test_uneven_counts_are_taken_as_they_are() -> None:
    rng = np.random.default_rng(3)
    x = np.sort(rng.uniform(0, 100, 30))
    z = x - x.mean()
    row = rng.standard_normal(30)
    row = row - row.mean()
    row = row - (row @ z) * z / (z @ z)
    row = row / math.sqrt(row @ row)
    for k, got in zip(range(3, 28), contrasts(row[None, :], "step on a line", x)[0], strict=True):
        step = (np.arange(30) >= k).astype(float)
        step -= step.mean()
        step -= (step @ z) * z / (z @ z)
        assert got == pytest.approx(row @ step / math.sqrt(step @ step), abs=1e-10)


def test_too_short_series_are_refused() -> None:
    with pytest.raises(DataError, match="12 are the least"):
        scan_p(np.array([0.5]), 11, "step")
