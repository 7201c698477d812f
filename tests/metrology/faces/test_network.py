"""The network of faces: incidence, what rides with what, and the column of every movement, worked by hand.

The little mould: drag from x 0 to 100, core 1 from 30 to 70 in it, core 2 from 40 to 60 keyed into core 1.
Agreement with the causes' own columns of the same movements stands at the end.
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_tui.errors import DataError
from inspect_tui.metrology.causes.candidates import candidates
from inspect_tui.metrology.faces.face import Face, Size
from inspect_tui.metrology.faces.network import Carry, Column, Network, rings_asked
from inspect_tui.metrology.faces.observed import of_observed
from tests.worlds.casting_manifold import CARRIERS, Truth, sampling

A = 0.01  # contraction of every tool here


def face(maker: str, place: float | None, facing: int = 0, axis: str = "x") -> Face:
    return Face(maker=maker, axis=axis, place_mm=place, facing=facing)


def size(name: str, a: Face | None, b: Face, mm: float | None = None) -> Size:
    apart = (b.place_mm or 0.0) - ((a.place_mm or 0.0) if a else 0.0)
    return Size(name=name, a=a, b=b, mm=apart if mm is None else mm, contraction=A)


DATUM, END = face("drag", 0.0, -1), face("drag", 100.0, 1)
LOW, HIGH = face("core 1", 30.0, 1), face("core 1", 70.0, -1)
LOW2, HIGH2 = face("core 2", 40.0, 1), face("core 2", 60.0, -1)
BODY, WALL = size("body", DATUM, END), size("wall", DATUM, LOW)
PASSAGE, INNER, FAR = size("passage", LOW, HIGH), size("inner", LOW2, HIGH2), size("far", HIGH, END)
KEYED = (Carry("core 1", "drag"), Carry("core 2", "core 1"))


def little(*more: Size, carries: tuple[Carry, ...] = KEYED, reference: str = "drag") -> Network:
    return Network([BODY, WALL, PASSAGE, INNER, FAR, *more], carries, reference)


def column(network: Network, name: str) -> Column:
    return next(c for c in network.columns() if c.name == name)


def loads(network: Network, name: str) -> dict[str, float]:
    return dict(column(network, name).loads)


def test_a_size_is_its_end_b_minus_its_end_a() -> None:
    network = little(size("place", None, HIGH2))
    matrix = network.incidence()
    assert matrix.shape == (6, 6)
    assert [f.name for f in network.faces][:2] == ["drag face x 0", "core 1 face x 30"]
    assert dict(zip(network.number, matrix[1], strict=True)) == {
        "drag face x 0": -1.0,
        "core 1 face x 30": 1.0,
        "core 2 face x 40": 0.0,
        "core 2 face x 60": 0.0,
        "core 1 face x 70": 0.0,
        "drag face x 100": 0.0,
    }
    assert matrix[5].sum() == 1.0 and (matrix[:5].sum(axis=1) == 0.0).all()
    assert network.loads({"core 1 face x 30": 2.0, "core 2 face x 60": 0.5}) == {
        "wall": 2.0,
        "passage": -2.0,
        "inner": 0.5,
        "place": 0.5,
    }


def test_a_core_alone_and_with_what_sits_in_it() -> None:
    network = little()
    assert loads(network, "core 1 x") == {"wall": 1.0, "far": -1.0}
    assert loads(network, "core 1 with core 2 x") == {"wall": 1.0, "far": -1.0}
    gap = size("gap", LOW, LOW2)
    network = little(gap)
    assert loads(network, "core 1 x") == {"wall": 1.0, "far": -1.0, "gap": -1.0}
    assert "gap" not in loads(network, "core 1 with core 2 x")
    assert loads(network, "core 2 x") == {"gap": 1.0}
    assert column(network, "core 1 with core 2 x").makers == ("core 1", "core 2")
    assert "drag x" not in [c.name for c in network.columns()]


def test_a_core_rides_only_along_the_axes_that_its_seat_holds() -> None:
    network = little(size("gap", LOW, LOW2), carries=(Carry("core 2", "core 1", "yz"),))
    assert network.rides_with("core 1", "y") == ("core 1", "core 2")
    assert network.rides_with("core 1", "x") == ("core 1",)
    assert "core 1 with core 2 x" not in [c.name for c in network.columns()]


def test_what_hangs_in_the_cope_moves_with_it() -> None:
    top, hung = face("cope", 100.0, 1), face("core 9", 80.0, 1)
    sizes = [size("upper", DATUM, top), size("hung", DATUM, hung), BODY]
    network = Network(sizes, [Carry("core 9", "cope", hangs=True)])
    assert loads(network, "cope x") == {"upper": 1.0}
    assert loads(network, "cope with core 9 x") == {"upper": 1.0, "hung": 1.0}
    set_in = Network(sizes, [Carry("core 9", "cope")])  # only its top print goes into the cope when it is closed
    assert set_in.hangs_in("cope", "x") == () and "cope with core 9 x" not in [c.name for c in set_in.columns()]
    flat = Network(sizes, [Carry("core 9", "cope", hangs=True)], parting_axis="x")
    assert [(c.name, c.kind) for c in flat.columns() if "parting" in c.name] == [
        ("parting x", "parting"),
        ("parting with core 9 x", "parting"),
    ]


def test_from_a_datum_on_the_cope_the_drag_lies_the_other_way_with_what_sits_in_it() -> None:
    top = face("cope", 0.0, -1)
    network = Network([size("body", top, END), size("core", top, LOW)], [Carry("core 1", "drag")], "cope")
    assert loads(network, "cope x") == {"body": -1.0}
    assert loads(network, "cope with core 1 x") == {"body": -1.0, "core": -1.0}


def test_from_a_datum_on_a_core_everything_else_lies_the_other_way() -> None:
    network = Network(
        [size("out", face("core 1", 0.0, -1), END), size("in", face("core 1", 0.0, -1), LOW)], (), "core 1"
    )
    assert loads(network, "core 1 x") == {"out": -1.0}


def test_contraction_makes_every_size_smaller_as_its_tool_contracts() -> None:
    network = little(size("across", face("drag", 0.0, -1, "y"), face("drag", 50.0, 1, "y")))
    assert loads(network, "contraction x") == pytest.approx(
        {"body": -100 / 1.01, "wall": -30 / 1.01, "passage": -40 / 1.01, "inner": -20 / 1.01, "far": -30 / 1.01}
    )
    assert loads(network, "contraction y") == pytest.approx({"across": -50 / 1.01})
    assert loads(network, "contraction") == loads(network, "contraction x") | loads(network, "contraction y")
    assert column(network, "contraction x").moves["core 1 face x 70"] == pytest.approx(-70 / 1.01)
    assert column(network, "contraction x").unit == "1" and column(network, "core 1 x").unit == "mm"


def test_inside_a_core_the_metal_is_held_back_about_the_cores_middle() -> None:
    network = little(size("centre", DATUM, face("core 1", 50.0, 0)))
    held = column(network, "inside held back x")
    assert held.loads == pytest.approx(
        {"passage": 40 / 1.01, "inner": 20 / 1.01, "wall": -20 / 1.01, "far": -20 / 1.01}
    )
    assert held.makers == ("core 1", "core 2")
    assert column(network, "inside held back x").moves["core 1 face x 30"] == pytest.approx(-20 / 1.01)


def test_a_core_that_makes_an_outside_holds_nothing_back() -> None:
    neck = size("neck", face("core 7", 46.0, -1), face("core 7", 130.0, 1))
    assert "inside held back x" not in [c.name for c in Network([neck]).columns()]


def test_a_bore_without_a_place_is_held_back_as_a_whole() -> None:
    bore = size("bore", face("core 6", None, 1), face("core 6", None, -1), 48.0)
    network = Network([bore])
    assert loads(network, "inside held back x") == pytest.approx({"bore": 48 / 1.01})
    assert loads(network, "core 6 growth") == {"bore": 2.0}
    assert loads(network, "contraction x") == pytest.approx({"bore": -48 / 1.01})


def test_all_cores_are_lifted_together_along_the_parting_axis() -> None:
    network = Network(list(little().sizes), KEYED, parting_axis="x")
    assert loads(network, "all cores lifted x") == {"wall": 1.0, "far": -1.0}
    assert column(network, "all cores lifted x").makers == ("core 1", "core 2")
    assert "all cores lifted z" not in [c.name for c in little().columns()]
    assert "lifted" not in [c.kind for c in Network([WALL, PASSAGE], parting_axis="x").columns()]


def test_a_core_that_grows_takes_metal_and_a_pattern_that_grows_gives_it() -> None:
    assert loads(little(), "core 1 growth") == {"wall": -1.0, "passage": 2.0, "far": -1.0}
    assert loads(little(), "drag growth") == {"body": 2.0, "wall": 1.0, "far": 1.0}


def test_every_face_of_every_tool_but_the_datum_has_a_column() -> None:
    names = [c.face for c in little().columns(("face",))]
    assert names == ["core 1 face x 30", "core 2 face x 40", "core 2 face x 60", "core 1 face x 70", "drag face x 100"]
    assert loads(little(), "core 1 face x 70") == {"passage": 1.0, "far": -1.0}
    only_walls = Network([WALL, BODY])  # no size lies on core 1 alone
    assert loads(only_walls, "core 1 face x 30") == {"wall": 1.0}


def test_a_size_of_one_tool_is_wrong_by_half_at_each_end() -> None:
    network = little()
    assert loads(network, "size passage") == {"wall": -0.5, "passage": 1.0, "far": -0.5}
    assert column(network, "size passage").size == "passage"
    names = [c.name for c in network.columns(("size",))]
    assert names == ["size passage", "size inner"]  # body starts at the datum: it is a face, far has two makers


def test_faces_hang_together_through_what_was_read() -> None:
    network = little(size("place", None, HIGH2))
    assert network.pieces(["wall", "passage", "inner"]) == (
        frozenset({"drag face x 0", "core 1 face x 30", "core 1 face x 70"}),
        frozenset({"core 2 face x 40", "core 2 face x 60"}),
    )
    assert len(network.pieces(["inner", "place", "wall"])) == 1
    assert network.path("core 1 face x 70", "drag face x 100", ["body", "wall", "passage"]) == (
        "passage",
        "wall",
        "body",
    )
    assert network.path("core 1 face x 70", "core 2 face x 40", ["body", "wall", "inner"]) is None
    assert network.path("core 1 face x 30", "core 1 face x 30", []) == ()


def test_a_face_without_a_place_lies_where_its_size_leads_from_a_placed_one() -> None:
    half = size("half", LOW, face("core 1", None, -1), 12.0)
    low = size("low", face("core 1", None, 1), END, 15.0)
    alone = size("alone", face("core 1", None, 1), face("core 1", None, -1), 8.0)
    height = size("height", None, face("cope", None, 1), 33.0)
    network = Network([half, low, alone, height])
    at = {name: (network.place[name], network.frame[name]) for name in network.number}
    assert at["core 1 face x half B"] == (42.0, "x") and at["core 1 face x low A"] == (85.0, "x")
    assert at["core 1 face x alone A"] == (-4.0, "alone") and at["core 1 face x alone B"] == (4.0, "alone")
    assert at["cope face x height B"] == (33.0, "x")


def test_fits_in_a_ring_are_asked_about_in_words() -> None:
    ring = (Carry("core 2", "core 1"), Carry("core 1", "core 3"), Carry("core 3", "core 2"), Carry("core 1", "drag"))
    network = little(carries=ring)
    (asked,) = [a for a in network.asked if a.kind == "ring"]
    assert "core 1 in core 3, core 3 in core 2, core 2 in core 1" in asked.text
    assert network.rides_with("core 1", "x") == ("core 1", "core 2", "core 3")
    assert rings_asked(ring) == [asked] and not rings_asked(ring[1:])


@pytest.mark.parametrize(
    ("sizes", "words"),
    [
        ([], "no size to make faces of"),
        ([size("F1", DATUM, END, float("nan"))], "F1: not a number"),
        ([size("F1", DATUM, face("drag", float("inf"), 1), 3.0)], "F1: not a number"),
        (
            [
                BODY,
                size(
                    "K1",
                    Face(maker="core 1", axis="x", scale="tool"),
                    Face(maker="core 1", axis="x", scale="tool"),
                    30.0,
                ),
            ],
            "tooling scale",
        ),
    ],
)
def test_what_is_no_network_is_refused_in_words(sizes: list[Size], words: str) -> None:
    with pytest.raises(DataError, match=words):
        Network(sizes)


def test_what_is_not_there_is_named() -> None:
    with pytest.raises(DataError, match="no size ends on cope face x 3"):
        little().face("cope face x 3")
    with pytest.raises(DataError, match="F99 is no size"):
        little().size("F99")
    assert little().face("core 1 face x 30").facing == 1 and little().size("wall").mm == 30.0


def test_the_columns_are_those_of_the_causes_for_the_same_movements() -> None:
    features = sampling(Truth(), 1)
    network = Network(of_observed(features), [Carry(i, o) for i, seats in CARRIERS.items() for o in seats])
    own = {c.name: dict(c.loads) for c in network.columns()}
    for cause in candidates(features, carriers=CARRIERS, one_casting=False):
        if cause.kind in ("contraction", "shift", "carried", "mismatch", "parting", "growth", "size", "face"):
            told = dict(cause.column)
            if cause.name == "drag growth":  # F25 says for sure that the datum in y has its metal below
                told |= dict.fromkeys(("F37", "F38", "F42"), -1.0)
            assert own[cause.name] == pytest.approx(told), cause.name


places = st.lists(st.integers(1, 500), min_size=2, max_size=8, unique=True)


@settings(max_examples=40, deadline=None)
@given(places, st.data())
def test_moving_everything_changes_no_size_and_moves_add_up(at: list[int], draw: st.DataObject) -> None:
    faces = [face(draw.draw(st.sampled_from(["drag", "cope", "core 1", "core 2"])), float(mm)) for mm in sorted(at)]
    sizes = [size(f"F{n}", a, b) for n, (a, b) in enumerate(pairwise(faces))]
    network = Network(sizes)
    together = {f.name: 0.7 for f in network.faces}
    assert network.loads(together) == {}
    single = [network.loads({f.name: 0.7}) for f in network.faces]
    assert all(abs(sum(part.get(s.name, 0.0) for part in single)) < 1e-12 for s in network.sizes)
    moves = {f.name: draw.draw(st.floats(-1, 1)) for f in network.faces}
    by_matrix = network.incidence() @ np.array([moves[name] for name in network.number])
    by_loads = network.loads(moves)
    assert np.allclose(by_matrix, [by_loads.get(s.name, 0.0) for s in network.sizes])
