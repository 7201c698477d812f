"""Tests of: the answer of the search for causes in sentences a patternmaker would say"""

from __future__ import annotations

from dataclasses import replace

import pytest

from inspect_tui.metrology.causes.explain import explain
from inspect_tui.metrology.causes.sentences import OnTool, say, say_all, say_unclear, tell_on_tools, to_measure
from inspect_tui.metrology.typed.show import Style
from tests.worlds.casting_manifold import CARRIERS, FEET, FIRST, sampling
from tests.worlds.cuts_by_hand import size, told
from tests.worlds.ends import End


def test_a_wild_reading_is_set_aside_by_name_and_the_causes_stay():
    features = sampling(FIRST, 11)
    k = next(i for i, o in enumerate(features) if o.balloon == "F39")
    read = features[k].readings["1"]
    features[k] = replace(features[k], readings={**features[k].readings, "1": replace(read, mm=read.mm + 3.0)})
    answer = explain(features, carriers=CARRIERS, datums=(FEET,))
    off = {(o.balloon, o.serial): o.off_mm for o in answer.odd}
    assert off["F39", "1"] == pytest.approx(3.0, abs=0.5)
    assert answer.named("core 4 y").size.value == pytest.approx(0.70, abs=0.25)
    assert any("F39 on casting 1 stands alone" in t.text for t in say_all(answer))


# ------------------------------------------------------------------------------ word for word
DRAG = End("drag", 0.0, -1)
HEIGHTS = [
    size("H1", "z", DRAG, End("core 1", 50.0), station_mm=100.0),
    size("H2", "z", DRAG, End("core 1", 50.0), station_mm=400.0),
    size("K", "z", DRAG, End("core 2", 30.0, 1)),
    size("P", "z", End("core 2", 30.0, 1), End("core 2", 80.0, -1)),
    size("U", "z", DRAG, End("cope", 90.0, 1)),
    size("W", "y", DRAG, End("core 2", 40.0, 1)),
    size("V", "y", End("core 2", 70.0, -1), End("cope", 80.0, 1)),
]


def spoken(name: str, value: float, u: float = 0.05, **more) -> str:
    return say(told(HEIGHTS, {name: (value, u)}, **more).findings[0]).text


def test_cores_that_the_metal_lifts_are_held_down_and_not_cut_for():
    said = spoken("all cores lifted z", 0.40)
    assert said.startswith("All cores sit 0.40 toward +Z (0.30 to 0.50): the metal lifts them.")
    assert said.endswith(
        "Do not cut: cores are lighter than the metal; check chaplets, prints and what holds them down."
    )
    down = spoken("all cores lifted z", -0.40)
    assert down.startswith("All cores sit 0.40 toward -Z (0.30 to 0.50).") and "lifts" not in down
    assert down.endswith("check whether prints and chaplets give way under the cores, and sand on the seats.")
    one = spoken("all cores lifted z on casting 2", 0.40)
    assert one.startswith("Casting 2 only: all cores sit 0.40") and one.endswith("One mould, not the tooling.")


def test_a_turned_core_says_which_end_goes_which_way():
    said = spoken("core 1 turned z", -0.50)
    assert said.startswith(
        "Core 1 lies turned: at station 400 it sits 0.50 toward -Z (0.40 to 0.60), at the other end as much the other way."
    )
    assert "Look at its print and seat first." in said


def test_a_core_that_moved_says_what_goes_with_it():
    keyed = {"core 2": ["core 1"]}
    said = spoken("core 1 with core 2 z", 0.70, carriers=keyed)
    assert said.startswith("Core 1 sits 0.70 toward +Z (0.60 to 0.80); core 2, which sits in it, goes with it. ")
    one = spoken("core 1 with core 2 z on casting 2", 0.70, carriers=keyed)
    assert one.startswith(
        "Casting 2 only: Core 1 sits 0.70 toward +Z (0.60 to 0.80); core 2, which sits in it, goes with"
    )
    assert one.endswith("One mould, not the tooling.") and "Do not cut" in one
    riders = {"core 2": ["core 1"], "core 3": ["core 2"]}
    more = [*HEIGHTS, size("T", "z", DRAG, End("core 3", 60.0, 1))]
    both = say(told(more, {"core 1 with core 2, core 3 z": (0.70, 0.05)}, carriers=riders).findings[0]).text
    assert "; core 2 and core 3, which sit in it, go with it. " in both


def test_what_is_held_back_inside_says_so_in_percent():
    said = spoken("inside held back z", 0.002, 0.0002)
    assert said.startswith(
        "Inside, the metal contracts 0.20 % less in Z than planned (0.16 % to 0.24 %): the cores hold it back; "
        "what the cores make comes out large."
    )
    more = spoken("inside held back z", -0.002, 0.0002)
    assert "contracts 0.20 % more in Z" in more and "comes out small" in more and "hold it back" not in more


def test_what_hangs_in_the_cope_is_named_with_it():
    said = spoken("cope with core 2 y", 0.60, carriers={"core 2": ["cope"]})
    assert said.startswith("The cope with core 2 is closed 0.60 toward +Y against the drag (0.50 to 0.70).")


def test_a_doubtful_contraction_is_written_in_percent_with_its_interval():
    found = told(HEIGHTS, {"contraction z": (0.0012, 0.0007)}, cannot_tell=["contraction z"])
    below = replace(found.cannot_tell[0], status="below scatter")
    said = say_unclear(below, found).text
    assert said.startswith(
        "Contraction in Z: perhaps 0.12 % (-0.02 % to 0.26 %), but that is inside the seating scatter"
    )
    inch = say_unclear(below, found, Style("in")).text
    assert "perhaps 0.12 % (-0.02 % to 0.26 %)" in inch


def unclear(name: str, others: list[str], value: float = 0.8, **more) -> str:
    found = told(HEIGHTS, {name: (value, 0.05)}, alike={name: others}, cannot_tell=[name])
    return say_unclear(replace(found.cannot_tell[0], **more), found).text


def test_what_cannot_be_told_apart_is_listed_with_the_faces_to_measure():
    said = unclear("core 2 y", ["cope face y 80", "core 2 face y 70"], left_out=("V",))
    assert said == (
        "Core 2 shifted in Y (0.80 toward +Y), the cope's face at Y 80, or core 2's face at Y 70: these features cannot "
        "tell them apart. Only V says so. Do not cut. Measure another casting next, or the face at Y 80 on the cope "
        "pattern and the face at Y 70 on the tool of core 2."
    )
    two = unclear("cope face y 80", ["core 2 face y 70"])
    assert two.startswith("The cope's face at Y 80 (0.80 toward +Y), or core 2's face at Y 70: these features cannot")
    assert two.endswith("or the face at Y 80 on the cope pattern.")  # of two faces one is enough
    shifted = unclear("core 2 y", ["core 2 growth"])
    assert shifted.endswith("Do not cut. Measure another casting next.")


def test_which_faces_and_sizes_of_tools_would_tell():
    def tells(name: str, others: list[str]) -> list[tuple[str, float | None, str]]:
        found = told(HEIGHTS, {name: (0.8, 0.05)}, alike={name: others}, cannot_tell=[name]).cannot_tell[0]
        return [(m.part, m.place_mm, m.balloon) for m in tell_on_tools(found)]

    assert tells("core 2 face y 70", ["cope face y 80"]) == [("cope", 80.0, "")]
    assert tells("core 2 y", ["core 2 face y 70", "cope face y 80"]) == [("cope", 80.0, ""), ("core 2", 70.0, "")]
    assert tells("size P", ["core 2 face z 30"]) == [("core 2", 30.0, "")]
    assert tells("size P", ["core 2 growth"]) == [("core 2", None, "P")]
    assert to_measure(OnTool("core 2", "z", None, "P")) == "P on the tool of core 2"
    assert to_measure(OnTool("drag", "z", 25.4, ""), Style("in")) == "the face at Z 1 on the drag pattern"
    assert tells("core 2 y", ["cope y"]) == []
