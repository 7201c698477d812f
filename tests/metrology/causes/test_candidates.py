"""Causes as movements of faces: columns worked out by hand, who is carried along, how likely each is."""

from __future__ import annotations

from dataclasses import replace

import pytest

from inspect_tui.metrology.causes.candidates import candidates
from inspect_tui.metrology.causes.explain import explain
from inspect_tui.metrology.causes.problem import Datum
from inspect_tui.metrology.faces.observed import Observed, Read
from tests.worlds.casting_manifold import Truth, sampling
from tests.worlds.ends import End, at_station, observed


def test_the_datums_may_lie_on_the_cope():
    """Seen from the cope the drag is the one that lies off, the other way round; the cause is the same."""
    swap = {"drag": "cope", "cope": "drag"}
    features = []
    for o in sampling(Truth(real={"x": 0.01, "y": 0.01, "z": 0.01}, shifts={("cope", "x"): -0.9}), 7):
        a, b = (replace(f, maker=swap.get(f.maker, f.maker)) for f in o.faces)
        features.append(replace(o, a=a, b=b))
    cause = explain(features, reference="cope").named("cope x")
    assert cause is not None
    assert cause.low <= 0.9 <= cause.high


def size(balloon: str, axis: str, a: End | None, b: End, **more: object) -> Observed:
    length = b.place_mm - (a.place_mm if a else 0.0)
    readings = {s: Read(length, 0.03) for s in "12"}
    return observed(
        balloon=balloon, axis=axis, a=a, b=b, predicted_mm=length, cast_size_mm=length, readings=readings, **more
    )


# a passage 30 to 70 in a body of 100, all along x: the metal looks into the passage, and out of the body
WALL = size("W", "x", End("drag", 0.0, -1), End("core 1", 30.0, 1))
PASSAGE = size("P", "x", End("core 1", 30.0, 1), End("core 1", 70.0, -1))
BODY = size("B", "x", End("drag", 0.0, -1), End("drag", 100.0, 1))
ACROSS = size("Y", "y", End("drag", 0.0, -1), End("core 1", 30.0, 1))


def columns(features, **more) -> dict[str, dict[str, float]]:
    return {c.name: dict(c.column) for c in candidates(features, **more)}


def test_a_feature_changes_by_the_movement_of_its_far_end_less_that_of_its_near_one():
    assert columns([WALL, PASSAGE, BODY, ACROSS])["core 1 x"] == {"W": 1.0}  # both ends of the passage go along
    assert columns([size("D", "x", None, End("core 1", 30.0))])["core 1 x"] == {"D": 1.0}


def test_a_core_that_grows_makes_its_passage_larger_and_the_walls_thinner():
    grown = columns([WALL, PASSAGE, BODY])
    assert grown["core 1 growth"] == {"W": -1.0, "P": 2.0}
    assert grown["drag growth"] == {"W": 1.0, "B": 2.0}  # a pattern, the other way


def test_contraction_acts_on_the_size_and_against_the_layout():
    """More contraction than the tool was made for gives a smaller casting: size / (1 + a) for each unit of it."""
    found = columns([WALL, replace(BODY, contraction=0.01)])
    assert found["contraction x"] == pytest.approx({"W": -30.0, "B": -100.0 / 1.01})


def test_what_a_core_holds_back_is_its_own_size_about_its_own_middle():
    """The passage of 40 comes out larger by its length, each wall beside it thinner by half of that."""
    assert columns([WALL, PASSAGE, BODY])["inside held back x"] == pytest.approx({"W": -20.0, "P": 40.0})


def test_whatever_is_keyed_in_is_carried_along():
    keyed = columns([WALL, PASSAGE], carriers={"core 2": ["core 1"]})
    assert "core 1 x" in keyed and "core 1 with core 2 x" in keyed
    mate = size("G", "x", End("core 2", 80.0, -1), End("core 1", 90.0, 1))
    deep = columns([WALL, mate], carriers={"core 2": ["core 3"], "core 3": ["core 1"]})
    assert deep["core 1 x"] == {"W": 1.0, "G": 1.0}
    assert deep["core 1 with core 2, core 3 x"] == {"W": 1.0}  # both ends of the gap go along
    assert deep["core 3 with core 2 x"] == {"G": -1.0}


def test_what_hangs_in_the_cope_goes_with_it():
    hung = size("H", "x", End("cope", 0.0, 1), End("core 2", 50.0, -1))
    told = columns([WALL, hung], carriers={"core 2": ["cope"]})
    assert told["cope x"] == {"H": -1.0}
    assert "cope with core 2 x" not in told  # both ends go along: nothing shows it
    seen = size("S", "x", End("drag", 10.0, 1), End("core 2", 50.0, -1))
    assert columns([hung, seen], carriers={"core 2": ["cope"]})["cope with core 2 x"] == {"S": 1.0}


def test_every_single_face_of_every_tool_may_be_off_also_where_only_a_wall_sees_it():
    told = columns([WALL, PASSAGE, BODY])
    assert told["core 1 face x 30"] == {"W": 1.0, "P": -1.0}
    assert told["core 1 face x 70"] == {"P": 1.0}
    assert told["drag face x 100"] == {"B": 1.0}
    assert "drag face x 0" not in told  # the datum
    wall = size("N", "x", End("core 14", 249.0, -1), End("cope", 256.0, 1))
    only = columns([BODY, wall])
    assert only["cope face x 256"] == {"N": 1.0}
    assert only["core 14 face x 249"] == {"N": -1.0}


def test_a_face_that_is_the_whole_of_a_size_is_as_likely_as_a_size():
    told = {c.name: c for c in candidates([WALL, PASSAGE, BODY])}
    assert told["drag face x 100"].prior == told["size P"].prior == pytest.approx(0.012)
    assert told["core 1 face x 30"].prior == pytest.approx(0.002)
    unknown = {c.name: c for c in candidates([replace(PASSAGE, tool_known=False), WALL])}
    assert unknown["size P"].prior == pytest.approx(0.036)  # three times as likely where nobody measured the tool
    assert unknown["core 1 face x 70"].prior == pytest.approx(0.006)
    assert unknown["core 1 face x 30"].prior == pytest.approx(0.002)  # the wall's tools were measured


def test_single_faces_may_be_left_out():
    told = columns([WALL, PASSAGE, BODY], faces=False)
    assert "core 1 face x 30" not in told and "size P" in told
    assert "drag face x 100" in told  # the whole of a size


HIGH, LOW = (size(f"{at:g}", "z", End("drag", 0.0, -1), End("core 1", 50.0), station_mm=at) for at in (400.0, 100.0))


def test_all_cores_are_lifted_together_along_the_parting():
    other = size("K", "z", End("drag", 0.0, -1), End("core 2", 30.0, 1))
    assert columns([HIGH, LOW, other])["all cores lifted z"] == {"400": 1.0, "100": 1.0, "K": 1.0}
    assert "all cores lifted z" not in columns([HIGH, LOW])  # one core alone is lifted: that is its shift
    assert "all cores lifted z" not in columns([HIGH, LOW, other], parting_axis="y")


def test_a_turned_core_goes_up_at_one_end_and_down_at_the_other():
    middle = at_station(HIGH, 300.0, balloon="300")
    found = {c.name: c for c in candidates([HIGH, LOW, middle])}["core 1 turned z"]
    assert found.column == pytest.approx({"400": 1.0, "100": -1.0, "300": 1.0 / 3.0})
    assert found.place_mm == 400.0
    assert "core 1 turned z" not in columns([HIGH, at_station(LOW, 400.0)])


def test_a_core_that_lies_turned_turns_what_sits_in_it_about_its_own_stations():
    """Stations 100 and 400 of core 1: 1 mm at each; what sits in it is half way at 250, at 550 it moves twice as far."""
    rider = End("core 2", 60.0, 1)
    riding = [at_station(size(f"R{mm:g}", "z", End("drag", 0.0, -1), rider), mm) for mm in (250.0, 550.0)]
    found = {c.name: c for c in candidates([HIGH, LOW, *riding], carriers={"core 2": ["core 1"]})}
    assert found["core 1 with core 2 turned z"].column == pytest.approx({"400": 1.0, "100": -1.0, "R550": 2.0})
    assert found["core 1 with core 2 turned z"].parts == ("core 1", "core 2")
    assert found["core 1 turned z"].column == pytest.approx({"400": 1.0, "100": -1.0})
    flat = size("R", "z", End("drag", 0.0, -1), rider)  # taken nowhere in particular: it does not show the turn
    assert "core 1 with core 2 turned z" not in columns([HIGH, LOW, flat], carriers={"core 2": ["core 1"]})


def test_the_mould_may_part_along_any_axis():
    high = size("U", "x", End("drag", 0.0, -1), End("cope", 80.0, 1))
    assert columns([high, BODY], parting_axis="x")["parting x"] == {"U": 1.0}
    assert columns([high, BODY])["cope x"] == {"U": 1.0}


def test_each_casting_may_have_its_own_shift_lift_and_turn():
    other = size("K", "z", End("drag", 0.0, -1), End("core 2", 30.0, 1))
    one = {c.name: c for c in candidates([HIGH, LOW, other])}
    for name in ("core 1 z", "all cores lifted z", "core 1 turned z"):
        assert one[f"{name} on casting 2"].column == one[name].column
        assert one[f"{name} on casting 2"].serial == "2"
        assert one[f"{name} on casting 2"].prior < one[name].prior
    assert "core 2 z on casting 1" not in one  # one reading alone is a reading error until another says the same


def test_in_one_mould_too_a_core_may_take_along_what_sits_in_it():
    other = size("K", "z", End("drag", 0.0, -1), End("core 2", 30.0, 1))
    one = {c.name: c for c in candidates([HIGH, LOW, other], carriers={"core 2": ["core 1"]})}
    carried = one["core 1 with core 2 z on casting 2"]
    assert carried.column == {"400": 1.0, "100": 1.0, "K": 1.0} and carried.serial == "2"
    assert carried.parts == ("core 1", "core 2") and carried.process
    # alone, or with what sits in it: the second is the rarer, two cores off by as much each for itself rarer still
    assert one["core 1 z on casting 2"].prior ** 2 < carried.prior < one["core 1 z on casting 2"].prior


def test_the_datum_never_moves_and_heights_at_two_stations_are_two_places():
    told = columns([HIGH, LOW])
    assert told["core 1 face z 50 st 400"] == {"400": 1.0}
    assert told["core 1 face z 50 st 100"] == {"100": 1.0}
    assert not any(name.startswith("drag face") for name in told)


def test_a_tilted_datum_moves_heights_in_proportion_to_the_distance_from_the_other_row():
    rows = Datum(axis="z", near_mm=100.0, far_mm=600.0, near="A1", far="A2")
    single = [replace(o, readings={"1": Read(50.0, 0.03)}) for o in (HIGH, LOW)]
    told = columns(single, datums=(rows,))
    # far one low: three fifths of the way; seen from the far one, what stands at the near row itself
    assert told.get("tilt at A2") is None  # one height alone is no tilt
    assert told["tilt at A1"] == pytest.approx({"400": 0.4, "100": 1.0})


def test_an_instrument_that_is_off_changes_all_that_is_read_with_it():
    with_it = replace(WALL, readings={"1": Read(30.0, 0.03, "HG1")})
    assert columns([with_it, PASSAGE])["HG1 bias"] == {"W": 1.0}


def test_one_casting_alone_has_no_causes_of_its_own():
    single = [replace(o, readings={"1": Read(o.predicted_mm, 0.03)}) for o in (WALL, PASSAGE, BODY)]
    assert not [c.name for c in candidates(single) if c.serial]
    assert [c.name for c in candidates([WALL, PASSAGE, BODY]) if c.serial == "2"] == ["scale on casting 2"]
