"""Planted truths of the demo that the feature view shows by itself: P23, P26, and cores kept apart from castings."""

from __future__ import annotations

from inspect_tui.record.store import Record
from inspect_tui.shop.common import find
from inspect_tui.shop.feature import material as feature_data
from inspect_tui.shop.feature.findings import findings
from inspect_tui.shop.feature.material import Material
from inspect_tui.shop.feature.view import view


def material(record: Record, on: str, balloon: str, labels: bool = False) -> Material:
    chosen = feature_data.pick(record, find.job(record, "EXM-4"), on, balloon)
    return feature_data.material(record, chosen, with_labels=labels)


def test_p23_a_seat_that_wears_until_it_is_lined_again(record: Record) -> None:
    """Lots 251 to 300 drift and scatter: the EWMA speaks from lots 251 to 290 on, and not after 305."""
    lots = material(record, "castings", "F38", labels=True)
    assert lots.labels is not None
    chart = view(lots, "ewma").chart
    told = [lots.labels["lot"][i] for s in chart.signals for i in range(s.index, s.last + 1)]
    late = sorted(int(lot[1:]) for lot in told if lot and lot.startswith("L") and int(lot[1:]) > 200)
    assert 251 <= late[0] <= 290 and late[-1] <= 305


def test_p26_an_inch_reading_is_flagged_and_still_counted(record: Record) -> None:
    """2.051 for 52.10 at lot 266."""
    widths = material(record, "castings", "F10")
    found = findings(widths)
    assert 2.051 in {widths.values[i] for i in found.outliers.index}
    assert len(widths.values) == view(widths).summary.n and found.capability is not None
    assert found.capability.holds is False


def test_castings_and_sample_cores_of_one_feature_stay_apart(record: Record) -> None:
    castings, cores = material(record, "castings", "F10"), material(record, "sand cores", "F10")
    assert len(castings.values) > 400 and len(cores.values) == 400
    middle = sorted(cores.values)[200] - sorted(castings.values)[len(castings.values) // 2]
    assert 0.3 < middle < 0.7  # a core is larger by the contraction, 0.8 % of 52
