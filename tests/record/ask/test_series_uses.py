"""With what a feature was measured: from when to when each instrument was used, and when that needs every row."""

from __future__ import annotations

import pytest

from inspect_tui.model.measuring import Calibration
from inspect_tui.record.ask import series, series_uses
from inspect_tui.shop.feature import material as feature_data
from tests.record.ask.test_series import (
    measured,  # noqa: F401
    which,
)
from tests.worlds.measured import Measured


def test_uses_tell_from_when_to_when_an_instrument_measured(measured: Measured) -> None:
    a = measured.on_tool([59.60, 59.61])
    b = measured.on_tool([59.62, 59.63], instrument="caliper 2")
    measured.adjusted("caliper 2", "2026-02-01")
    c = measured.on_tool([59.64], instrument="caliper 2")
    found = series_uses.uses(measured.record, which(measured))
    assert found is not None
    assert [(u.state.label, u.state.adjusted_on, u.first_id, u.last_id) for u in found] == [
        ("caliper 1", None, a[0].id, a[-1].id),
        ("caliper 2", None, b[0].id, b[-1].id),
        ("caliper 2", "2026-02-01", c[0].id, c[0].id),
    ]
    assert series.index_of(measured.record, which(measured), b[0].id) == 2


def test_a_new_certificate_without_adjusting_is_no_other_instrument(measured: Measured) -> None:
    first = measured.on_tool([59.60])
    measured.record.add(
        Calibration(
            instrument_of_id=measured.shop.caliper.of_id,
            done_on="2026-02-01",
            u95_mm=0.04,
        ),
        by=measured.shop.ab.id,
    )
    last = measured.on_tool([59.61])
    found = series_uses.uses(measured.record, which(measured))
    assert found is not None and [(u.first_id, u.last_id) for u in found] == [(first[0].id, last[0].id)]


def test_an_instrument_that_never_measured_it_is_no_use(measured: Measured) -> None:
    measured.on_tool([59.60])
    measured.balloon = "F2"
    measured.on_tool([40.2], instrument="caliper 2")
    measured.balloon = "F1"
    found = series_uses.uses(measured.record, which(measured))
    assert found is not None and [u.state.label for u in found] == ["caliper 1"]


def test_too_many_setups_without_the_feature_say_that_the_rows_are_needed(
    measured: Measured, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(series_uses, "MOST_LOOKS", 2)
    measured.on_tool([59.60])
    measured.balloon = "F2"
    for _ in range(3):
        measured.on_tool([40.2], instrument="caliper 2")
    measured.balloon = "F1"
    assert series_uses.uses(measured.record, which(measured)) is None
    assert list(feature_data.material(measured.record, measured.pick()).values) == [59.60]
