"""What a geometrical tolerance may say."""

from __future__ import annotations

import pytest

from inspect_tui.model.signed import GEOMETRIES, Geometry
from inspect_tui.shop.common.geometry.tolerances import WORDS, balloons, wrong


def asked(what: str, **said: object) -> Geometry:
    return Geometry(job_of_id=bytes(16), balloon="G1", name="n", what=what, tolerance_mm=0.5, **said)  # type: ignore[arg-type]


def test_each_has_a_word() -> None:
    assert set(WORDS) == set(GEOMETRIES)


def test_balloons_are_parted_by_anything_that_parts_words() -> None:
    assert balloons("F1, F2;F3  F4") == ["F1", "F2", "F3", "F4"] and balloons(None) == []


@pytest.mark.parametrize("what", [what for what in GEOMETRIES if what not in ("parallelism", "perpendicularity")])
def test_without_sizes_it_is_looked_at(what: str) -> None:
    assert wrong(asked(what)) is None
    assert (wrong(asked(what, sizes="F1")) is None) == (what in ("position", "line_profile", "surface_profile"))


@pytest.mark.parametrize(
    ("what", "said", "why"),
    [
        ("straightness", {"sizes": "F1 F2"}, "at least 3 sizes, not from 2"),
        ("position", {"sizes": "F1 F2"}, "round zone"),
        ("parallelism", {}, "about a datum"),
        ("perpendicularity", {"datums": "A", "sizes": "F1 F2", "round": True}, "is not computed from sizes"),
        ("surface_profile", {"round": True}, "is no diameter"),
        ("flatness", {"sizes": "F1 F2 F3 F4", "datum_sizes": "F5 F6 F7"}, "go with parallelism"),
        ("parallelism", {"datums": "A", "sizes": "F1 F2", "datum_sizes": "F5 F6"}, "three sizes or more"),
    ],
)
def test_what_cannot_stand_says_why(what: str, said: dict[str, object], why: str) -> None:
    assert why in str(wrong(asked(what, **said)))


def test_what_is_round_and_what_is_about_a_datum_may_stand() -> None:
    assert wrong(asked("position", sizes="F1 F2", round=True)) is None
    assert wrong(asked("perpendicularity", datums="A", round=True)) is None
    assert wrong(asked("parallelism", datums="A", sizes="F1 F2", datum_sizes="F5 F6 F7")) is None
