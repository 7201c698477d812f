"""Where a feature lies along the axis that the search for causes looks at, read from the notes of the drawing."""

from __future__ import annotations

import pytest

from inspect_tui.model.work import Feature
from inspect_tui.record.store import Record
from inspect_tui.shop.common.drawing_notes import places_of, station_of
from inspect_tui.shop.first_article.castings import evidence as observed
from inspect_tui.shop.first_article.castings.rounds import pick_round
from inspect_tui.shop.first_article.castings.sampling import Sampling
from tests.shop.first_article.test_stock import record  # noqa: F401  a fixture
from tests.worlds.stock_shop import bracket, feature, measured


def test_a_station_is_read_from_the_note() -> None:
    from inspect_tui.model.work import Feature

    assert station_of(Feature(balloon="F1", name="height", nominal=1.0, note="taken at x = 300")) == ("x", 300.0)
    assert station_of(Feature(balloon="F1", name="height", nominal=1.0, note="at Y=-12.5, top")) == ("y", -12.5)
    assert station_of(Feature(balloon="F1", name="height", nominal=1.0)) is None


@pytest.mark.parametrize(
    "note", ["taken at x = 300", "at Y=-12.5, top", "at x = 455, z = 140", "wall at z = 3 and y = 4"]
)
def test_the_station_stays_the_first_place_of_a_note(note: str) -> None:
    one = Feature(balloon="F1", name="height", nominal=1.0, note=note)
    first = next(iter(places_of(one).items()))
    assert station_of(one) == first


def test_the_search_for_a_tilt_takes_the_place_along_the_stations_only(record: Record) -> None:
    """Notes that name other places first, or none along x, must not become arms of a tilt along x."""
    notes = {"H1": "at y = 20, x = 50", "H2": "at y = 90", "H3": "at x = 550", "H4": "at x = 300, y = 20"}
    end = feature("E1", "at z = 40", at=(0.0, 600.0), axis="x")
    sampling = measured(record, bracket(record, notes, more=end), {"C1": dict.fromkeys(notes, 63.0)})
    (row,) = observed.datums(sampling)
    assert (row.near_mm, row.far_mm, row.near, row.far) == (50.0, 550.0, "A1 and A3", "A2")
    stations = {one.balloon: one.station_mm for one in observed.evidence(sampling).features}
    assert stations == {"H1": 50.0, "H2": None, "H3": 550.0, "H4": 300.0, "E1": 40.0}


def test_a_wall_is_promised_from_what_its_core_was_measured_to_be(sampled: Record) -> None:
    """Box 4 was opened by 0.10 in height (F55) after the first sampling: half of it at either wall, as far as is known."""
    sampling = Sampling(sampled, sampled.jobs()[0], pick_round(sampled, sampled.jobs()[0], "S2"))
    found = observed.evidence(sampling)
    over = next(o for o in found.features if o.balloon == "F55")
    for balloon in ("F56", "F57"):
        wall = next(o for o in found.features if o.balloon == balloon)
        less = wall.predicted_mm - wall.target_mm
        assert less == pytest.approx(-0.4 * (over.predicted_mm - over.target_mm), abs=0.02)
        promise = found.promises[balloon]
        assert (promise.mm, promise.u) == (wall.predicted_mm, wall.u_predicted)
        assert promise.words.endswith(f"; {less:+.2f} mm by what was measured of its faces")
