"""What notes of features say about places, in whatever unit they were typed."""

from __future__ import annotations

import pytest

from inspect_tui.model.work import Feature
from inspect_tui.shop.common import drawing_notes


@pytest.mark.parametrize(
    "note, places",
    [
        ("taken at x = 455, z = 140", {"x": 455.0, "z": 140.0}),
        ("at x=455,z=140", {"x": 455.0, "z": 140.0}),
        ("at z = -4.5 mm", {"z": -4.5}),
        ("at x = 12,5 and y = 1 000 z = 3 in", {"x": 12.5, "y": 1000.0, "z": 76.2}),
        ("at X = 12 1/2 in", {"x": 317.5}),
        ("at x = 300 innermost rib", {"x": 300.0}),
        ("at x = 1 and at x = 2", {"x": 1.0}),
        ("on the casting cut up", {}),
        (None, {}),
    ],
)
def test_places_of_a_note_by_axis(note: str | None, places: dict[str, float]) -> None:
    feature = Feature(
        balloon="F1",
        name="F1",
        quantity="width",
        axis="x",
        nominal=10.0,
        lower=None,
        upper=None,
        band_source="none stated",
        note=note,
    )
    assert drawing_notes.places_of(feature) == places
    first = next(iter(places.items()), None)
    assert drawing_notes.station_of(feature) == first


def test_a_place_that_was_entered_stands_above_the_note() -> None:
    entered = Feature(balloon="F1", name="F1", nominal=1.0, axis="z", note="at x = 300", at_x=310.0, at_y=20.0)
    assert drawing_notes.places_of(entered) == {"x": 310.0, "y": 20.0}
    assert drawing_notes.station_of(entered) == ("x", 310.0)
    silent = Feature(balloon="F1", name="F1", nominal=1.0, axis="z", at_y=0.0)
    assert drawing_notes.station_of(silent) == ("y", 0.0)
