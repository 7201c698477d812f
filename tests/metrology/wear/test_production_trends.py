"""Planted truths of an invented production, several seeds and other plants: wear, lining, seat, foundry.

Bands as a test may demand them: rate 0.030 ± 0.006 per 1000, lining at lot 225 ± 8, next limit at core 17,000 to
20,000; a lasting alarm of the worn seat first in lots 251 to 290 and none after 305; the foundry's step at lot 310 ± 5,
-0.42 ± 0.08. Computed here from a simulation; held in 95 % of seeds or more.
"""

from __future__ import annotations

import numpy as np
import pytest

from inspect_tui.metrology.wear.change import surprises
from inspect_tui.metrology.wear.change_causes import FOUNDRY, SEAT, WEAR, SeriesChange, who_moved
from inspect_tui.metrology.wear.line import WearFit, fit_wear, since_repair
from inspect_tui.metrology.wear.steps import best_split, sustained, unlogged_repair
from inspect_tui.model.words import Estimate
from tests.worlds.production_simulator import Plants, Production, produce

SEEDS = range(30)


def wear_of(made: Production, name: str, lined_after: int = 225) -> tuple[WearFit, np.ndarray]:
    since, segments = since_repair(list(made.cores), [40.0 * lined_after])
    fit = fit_wear(since, made.series[name], segments)
    line = np.array([a.value for a in fit.afters if a is not None])[segments] + fit.rate.value * np.array(since)
    return fit, made.series[name] - line


def difference(y: np.ndarray, before: slice, after: slice) -> Estimate:
    a, b = y[before], y[after]
    a, b = a[np.isfinite(a)], b[np.isfinite(b)]
    return Estimate(
        float(b.mean() - a.mean()), float(np.hypot(a.std(ddof=1) / len(a) ** 0.5, b.std(ddof=1) / len(b) ** 0.5))
    )


def on_casting(name: str, kind: str, change: Estimate, length: float, *, same_core: bool = False) -> SeriesChange:
    """A size or place of the castings; most are no business of the core in question."""
    return SeriesChange(name=name, of="casting", kind=kind, change=change, length=length, same_core=same_core)


def share(held: list[bool]) -> float:
    return float(np.mean(held))


def test_another_box_with_another_life_is_recovered_too() -> None:
    plants = Plants(rate=0.045 / 1000, lined_after=150, residual=0.05, contraction_from=390)
    rates, linings = [], []
    for seed in SEEDS:
        made = produce(1000 + seed, plants)
        fit, _ = wear_of(made, "H", 150)
        rates.append(abs(fit.rate.value * 1000 - 0.045) <= 0.006)
        gap = unlogged_repair(list(made.cores), made.series["H"])
        linings.append(gap is not None and abs(gap.at - 150) <= 8)
    assert share(rates) >= 0.95 and share(linings) >= 0.95


def test_the_worn_seat_alarms_in_time_and_is_quiet_after_its_repair() -> None:
    first, after = [], []
    for seed in range(60):
        alarms = sustained(produce(seed).series["F38"], restarts=[300])
        first.append(bool(alarms) and 251 <= alarms[0][0] + 1 <= 290)
        after.append(not any(stop > 305 for _, stop, _ in alarms))
    assert share(first) >= 0.95 and share(after) >= 0.95


def test_the_foundrys_step_its_lot_and_its_size() -> None:
    lots, sizes = [], []
    for seed in SEEDS:
        split = best_split(produce(seed).series["F09"])
        lots.append(abs(split.before + 1 - 310) <= 5)
        sizes.append(abs(split.mean_after - split.mean_before + 0.42) <= 0.08)
    assert share(lots) >= 0.95 and share(sizes) >= 0.95


def test_wear_foundry_and_seat_are_told_apart() -> None:
    verdicts: dict[str, list[bool]] = {WEAR: [], FOUNDRY: [], SEAT: []}
    for seed in SEEDS:
        made = produce(seed)
        s = made.series
        _, port = wear_of(made, "P")
        early, late = slice(0, 40), slice(180, 225)  # before the lining: the core grew by 0.030 x 6.9
        worn = [
            SeriesChange(name="core W", of="core", kind="size", change=difference(s["W"], early, late), length=82.8),
            on_casting("F29", "size", difference(s["F29"], slice(0, 100), slice(125, 225)), 82.0, same_core=True),
            on_casting("F38", "position", difference(s["F38"], early, late), 88.0),
            on_casting("F09", "size", difference(s["F09"], early, late), 420.0),
        ]
        early, late = slice(271, 309), slice(309, 400)
        poured = [
            on_casting("F09", "size", difference(s["F09"], early, late), 420.0),
            SeriesChange(name="core P", of="core", kind="size", change=difference(port, early, late), length=52.5),
        ]
        early, late = slice(200, 250), slice(280, 300)
        seated = [
            on_casting("F38", "position", difference(s["F38"], early, late), 88.0, same_core=True),
            on_casting("F41", "size", difference(s["F41"], early, late), 70.0, same_core=True),
            on_casting("F09", "size", difference(s["F09"], early, late), 420.0),
        ]
        for cause, changes in ((WEAR, worn), (FOUNDRY, poured), (SEAT, seated)):
            verdicts[cause].append(who_moved(changes).verdict == cause)
    for cause, held in verdicts.items():
        assert share(held) >= 0.9, cause


@pytest.mark.parametrize("seed", [1, 2, 3, 4])
def test_the_months_surprises_are_the_planted_ones(seed: int) -> None:
    made = produce(seed)
    _, port = wear_of(made, "P")
    _, width = wear_of(made, "W")
    names = ["F09", "F38", "F41", "F50", "F51", "core P", "core W"]
    rows = [made.series[n][250:400] for n in names[:5]] + [port[250:400], width[250:400]]
    found = surprises(rows, names)
    assert {s.index for s in found.changes} == {0, 1}
    assert "F09" in next(s.sentence for s in found.changes if s.index == 0)
