"""Causes as movements of faces: columns worked out by hand, and who is carried along."""

from __future__ import annotations

from dataclasses import replace

import pytest

from inspect_tui.metrology.causes.candidates import below, candidates, column, face_key, growth_move, is_datum
from inspect_tui.metrology.causes.explain import explain
from inspect_tui.metrology.faces.observed import Face, Observed, Read
from tests.worlds.casting_manifold import Truth, sampling


def test_the_datums_may_lie_on_the_cope():
    """Seen from the cope the drag is the one that lies off, the other way round; the cause is the same."""
    swap = {"drag": "cope", "cope": "drag"}
    features = []
    for o in sampling(Truth(real={"x": 0.01, "y": 0.01, "z": 0.01}, shifts={("cope", "x"): -0.9}), 7):
        a, b = (replace(f, part=swap.get(f.part, f.part)) for f in o.faces)
        features.append(replace(o, a=a, b=b))
    found = explain(features, reference="cope").named("cope x")
    assert found is not None
    assert found.low <= 0.9 <= found.high


def size(balloon: str, axis: str, a: Face | None, b: Face, **more: object) -> Observed:
    length = b.coord_mm - (a.coord_mm if a else 0.0)
    readings = {s: Read(length, 0.03) for s in "12"}
    return Observed(
        balloon=balloon, axis=axis, a=a, b=b, predicted_mm=length, cast_size_mm=length, readings=readings, **more
    )


# a passage 30 to 70 in a body of 100, all along x: the metal looks into the passage, and out of the body
WALL = size("W", "x", Face("drag", 0.0, -1), Face("core 1", 30.0, 1))
PASSAGE = size("P", "x", Face("core 1", 30.0, 1), Face("core 1", 70.0, -1))
BODY = size("B", "x", Face("drag", 0.0, -1), Face("drag", 100.0, 1))
ACROSS = size("Y", "y", Face("drag", 0.0, -1), Face("core 1", 30.0, 1))


def test_a_feature_changes_by_the_movement_of_its_far_end_less_that_of_its_near_one():
    shifted = column([WALL, PASSAGE, BODY, ACROSS], "x", lambda face: float(face.part == "core 1"))
    assert shifted == {"W": 1.0}  # both ends of the passage go along; y is another axis
    assert column([size("D", "x", None, Face("core 1", 30.0))], None, lambda face: 2.0) == {"D": 2.0}


def test_a_core_that_grows_makes_its_passage_larger_and_the_walls_thinner():
    assert column([WALL, PASSAGE, BODY], "x", growth_move("core 1")) == {"W": -1.0, "P": 2.0}
    assert column([WALL, PASSAGE, BODY], "x", growth_move("drag")) == {"W": 1.0, "B": 2.0}  # a pattern, the other way


def test_contraction_acts_on_the_size_and_against_the_layout():
    """More contraction than the tool was made for gives a smaller casting: size / (1 + a) for each unit of it."""
    found = {c.name: c for c in candidates([WALL, replace(BODY, contraction=0.01)])}
    assert found["contraction x"].column == pytest.approx({"W": -30.0, "B": -100.0 / 1.01})


def test_whatever_is_keyed_in_is_carried_along():
    carriers = {"core 2": ["core 1"], "core 3": ["core 2"], "core 4": ["drag"]}
    assert below(carriers, "core 1") == ("core 1", "core 2", "core 3")
    assert below(carriers, "core 4") == ("core 4",)
    assert below({"core 1": ["core 2"], "core 2": ["core 1"]}, "core 1") == ("core 1", "core 2")  # a ring ends
    names = {c.name for c in candidates([WALL, PASSAGE], carriers={"core 2": ["core 1"]})}
    assert "core 1 x" in names and "core 1 with core 2 x" in names


def test_the_datum_never_moves_and_heights_at_two_stations_are_two_places():
    assert is_datum(Face("drag", 0.0), "drag") and not is_datum(Face("drag", 10.0), "drag")
    one, other = (size("H", "z", None, Face("core 1", 50.0), station_mm=at) for at in (100.0, 400.0))
    assert face_key(one, one.b) != face_key(other, other.b)
    assert face_key(one, one.b) == face_key(replace(one, balloon="H2"), one.b)
    kinds = {c.name: c.kind for c in candidates([WALL])}
    assert not any(name.startswith("drag face") for name in kinds)


def test_one_casting_alone_has_no_causes_of_its_own():
    single = [replace(o, readings={"1": Read(o.predicted_mm, 0.03)}) for o in (WALL, PASSAGE, BODY)]
    assert not [c.name for c in candidates(single) if c.serial]
    assert [c.name for c in candidates([WALL, PASSAGE, BODY]) if c.serial == "2"] == ["scale on casting 2"]
