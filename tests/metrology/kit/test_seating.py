"""Seating: all prints of a core against all their seats; a pitch beyond its play is named, a right kit never refused.

On demand 2,000 cores of each: no right one refused, every pitch beyond its play named; so with 2,000 hands, blocks and
orders (exactly where there is no ring) in the tests beside this one.
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_tui.metrology.faces.adjust import Priors, Reading, adjust
from inspect_tui.metrology.faces.face import Face, Size
from inspect_tui.metrology.faces.network import Network
from inspect_tui.metrology.kit.seating import Fate, GoesIn, Meeting, Pitch, Places, adjusted, goes_in
from inspect_tui.metrology.typed.show import Style
from inspect_tui.model.words import Estimate
from tests.amounts import some

U = 0.02
NOWHERE = adjusted({}, (), 0.05)


def meeting(name: str, clearance: float = 0.6, into: str = "7", at: float = 0.0, toward: int = 0) -> Meeting:
    return Meeting(name=name, into=into, clearance=Estimate(clearance, U), toward=toward, at=at)


def two(print_apart: float | None, seat_apart: float | None, clearance: float = 0.6) -> GoesIn:
    """Core 6 with two prints 160 apart in core 7, read or not."""
    drawn = {"K7-1": 10.0, "K7-2": 170.0}

    def read(apart: float | None, on: str) -> Places:
        return adjusted(drawn, [] if apart is None else [Pitch("K7-1", "K7-2", Estimate(apart, U), on)], 0.05)

    at = [meeting(n, clearance, at=drawn[n]) for n in drawn]
    made = goes_in("6", "x", at, read(print_apart, "box 6"), {"7": read(seat_apart, "box 7")})
    assert made is not None
    return made


# ------------------------------------------------------------------------------ places from readings
def test_two_prints_stand_to_each_other_as_read_and_together_as_drawn() -> None:
    places = adjusted({"a": 0.0, "b": 100.0, "c": 50.0}, [Pitch("a", "b", Estimate(101.6, U), "box 4")], 0.05)
    assert places.between("a", "b") == pytest.approx((1.6, U), abs=1e-6)
    assert places.off == pytest.approx((-0.8, 0.8, 0.0), abs=1e-6)
    # what nobody read stands as drawn, known as well as a drawn place; so does the pair as a whole
    assert places.between("a", "c").u == pytest.approx((2 * 0.05**2 + (U / 2) ** 2) ** 0.5, rel=1e-3)
    assert places.read("a", "b") and not places.read("a", "c") and not places.read("c", "c") and places.on == ("box 4",)


def test_pitches_round_a_loop_are_adjusted_as_least_squares_adjusts_them() -> None:
    # three readings of two differences; reference: numpy.linalg.lstsq of the weighted equations
    apart = [(0, 1, 100.30, 0.02), (1, 2, 50.10, 0.01), (0, 2, 150.70, 0.04)]
    drawn = {"a": 0.0, "b": 100.0, "c": 150.0}
    names = list(drawn)
    places = adjusted(drawn, [Pitch(names[i], names[j], Estimate(v, u)) for i, j, v, u in apart], 0.05)
    rows = np.array([[-(k == i) + (k == j) for k in (1, 2)] for i, j, _, _ in apart], float)
    weight = np.array([1 / u for *_, u in apart])
    wanted = np.array([v for _, _, v, _ in apart])
    found = np.linalg.lstsq(rows * weight[:, None], wanted * weight, rcond=None)[0]
    cov = np.linalg.inv((rows * weight[:, None]).T @ (rows * weight[:, None]))
    assert 100.0 + places.between("a", "b").value == pytest.approx(found[0], abs=1e-6)
    assert 150.0 + places.between("a", "c").value == pytest.approx(found[1], abs=1e-6)
    assert places.between("a", "b").u == pytest.approx(cov[0, 0] ** 0.5, rel=1e-4)
    # as a whole they stand as drawn, known as well as one place: the mean of all three has that variance
    assert sum(places.off) == pytest.approx(0.0, abs=1e-6)
    assert [sum(row) for row in places.cov] == pytest.approx([3 * 0.05**2] * 3, rel=1e-6)
    assert places.between("b", "c").u == pytest.approx((cov[0, 0] + cov[1, 1] - 2 * cov[0, 1]) ** 0.5, rel=1e-3)


def test_pitches_of_names_that_are_not_there_say_nothing() -> None:
    places = adjusted({"a": 0.0}, [Pitch("a", "q", Estimate(5.0, U), "box 4"), Pitch("a", "a", Estimate(1.0, U))], 0.05)
    assert places.off == (0.0,) and places.on == () and places.cov == ((0.05**2,),)
    assert places.between("a", "q") == (0.0, 0.0)


def test_the_same_exact_reading_twice_is_no_contradiction() -> None:
    exact = Pitch("a", "b", Estimate(10.5, 0.0))
    assert adjusted({"a": 0.0, "b": 10.0}, [exact, exact], 0.05).between("a", "b") == pytest.approx((0.5, 0.0))


# ------------------------------------------------------------------------------ one axis
def test_two_keys_off_pitch_do_not_go_in_and_both_tools_are_named() -> None:
    made = two(160.01, 161.60)
    assert made.fate is Fate.NOT and made.as_read and made.p < 1e-6
    assert made.sentence == (
        "core 6 does not go in along x: K7-1 and K7-2 are 160.01 apart in box 6 and 161.60 mm on box 7; "
        "their play takes 0.60 of the 1.59"
    )
    assert made.play is not None and made.play.value == pytest.approx(0.60 - 1.59)


def test_what_nobody_read_is_as_drawn_and_said_so() -> None:
    made = two(161.60, None)
    assert made.fate is Fate.NOT and not made.as_read
    assert "161.60 apart in box 6 and 160.00 mm as drawn" in made.sentence
    assert two(None, None).fate is Fate.IN and not two(None, None).as_read and two(None, None).sentence == ""


def test_a_pitch_counts_as_read_only_where_all_prints_in_one_part_are_tied() -> None:
    drawn = {"a": 0.0, "b": 100.0, "c": 200.0}
    ab, bc = Pitch("a", "b", Estimate(100.0, U), "box 6"), Pitch("b", "c", Estimate(100.0, U), "box 6")
    at = [meeting("a", 0.2), meeting("b", 2.0), meeting("c", 2.0)]  # the close one decides by itself

    def read(mine: list[Pitch], theirs: list[Pitch]) -> tuple[bool, tuple[str, str]]:
        made = goes_in("6", "x", at, adjusted(drawn, mine, 0.05), {"7": adjusted(drawn, theirs, 0.05)})
        assert made is not None and made.names == ("a", "b", "c")
        return made.as_read, made.tight

    assert read([ab, bc], [ab, bc]) == (True, ("a", "a"))
    assert read([ab, bc], [ab]) == read([ab], [ab, bc]) == read([], []) == (False, ("a", "a"))
    one_each = [meeting("a", into="7"), meeting("b", into="8")]
    made = goes_in("6", "x", one_each, adjusted(drawn, [], 0.05), {})
    assert made is not None and made.as_read  # the two parts stand to each other as they may


def test_where_only_one_place_is_known_they_are_told_from_where_they_should_be() -> None:
    drawn = {"K7-1": 0.0, "K7-2": 0.0}
    off = adjusted(drawn, [Pitch("K7-1", "K7-2", Estimate(1.6, U), "box 7")], 0.05)
    at = [meeting("K7-1", at=10.0), Meeting(name="K7-2", into="7", clearance=Estimate(0.6, U))]
    made = goes_in("6", "x", at, NOWHERE, {"7": off})
    assert made is not None and "are 0.00 apart as drawn and 1.60 mm on box 7" in made.sentence


def test_the_play_is_what_the_prints_have_in_common() -> None:
    made = two(160.0, 160.2)
    assert made.fate is Fate.IN and made.as_read and made.sentence == ""
    assert made.play == pytest.approx((0.4, (2 * U**2 + 2 * (U / 2) ** 2) ** 0.5), abs=1e-6)
    assert made.low is not None and made.high is not None
    assert made.high.value - made.low.value == pytest.approx(0.4)


def test_near_the_edge_it_may_not_go_in() -> None:
    made = two(160.0, 160.61)
    assert made.fate is Fate.UNDECIDED and 0.05 < made.p < 0.95
    assert made.sentence.startswith("core 6 may not go in along x (") and "that it does)" in made.sentence


def test_a_print_too_large_for_its_seat_is_left_to_its_fit() -> None:
    made = goes_in("6", "x", [meeting("K7", -0.1)], NOWHERE, {})
    assert made is not None and made.fate is Fate.NOT and made.sentence == "" and made.tight == ("K7", "K7")


def test_a_face_stops_one_way_only() -> None:
    against = meeting("K10", 0.3, into="2", toward=1)
    made = goes_in("7", "x", [against], NOWHERE, {})
    assert made is not None and made.play is None and made.low is None and made.high == (0.3, U)
    made = goes_in("7", "x", [meeting("K10", 0.4, into="2", toward=1), meeting("K9", 0.6, into="2")], NOWHERE, {})
    assert made is not None and made.play is not None
    assert made.play.value == pytest.approx(0.6) and made.high == (0.3, U / 2)  # half of 0.6, as far as the face
    back = goes_in("7", "x", [meeting("K10", -0.5, into="2", toward=-1), meeting("K9", 0.6, into="2")], NOWHERE, {})
    assert back is not None and back.fate is Fate.NOT and back.tight == ("K9", "K10")


def test_nothing_that_stops_it_is_no_answer() -> None:
    assert goes_in("7", "x", [], NOWHERE, {}) is None


def test_seats_in_two_parts_may_give_way_as_far_as_those_may_stand_off() -> None:
    seats = {"2": adjusted({"K4": 0.0, "S2": 50.0}, [Pitch("K4", "S2", Estimate(47.0, U), "box 2")], 0.05)}
    at = [meeting("K4", 0.5, into="2"), meeting("K5", 0.3, into="3")]
    stiff = {"2": (0.0, 0.0), "3": (0.0, 0.0)}
    made = goes_in("4", "y", at, NOWHERE, seats, stiff)
    assert made is not None and made.fate is Fate.NOT
    assert made.sentence == (
        "core 4 does not go in along y: K4 in core 2 and K5 in core 3 stand 1.50 mm out of line; their play takes 0.40"
    )
    made = goes_in("4", "y", at, NOWHERE, seats, {"2": (-1.0, 1.0), "3": (-0.6, 0.6)})
    assert made is not None and made.fate is Fate.IN
    assert goes_in("4", "y", at, NOWHERE, seats).fate is Fate.IN  # type: ignore[union-attr]  nothing holds those parts


def test_sentences_keep_to_the_style() -> None:
    drawn = {"a": 0.0, "b": 160.0}
    off = adjusted(drawn, [Pitch("a", "b", Estimate(165.08, U), "box 7")], 0.05)
    at = [meeting(n, at=drawn[n]) for n in drawn]
    made = goes_in("6", "x", at, adjusted(drawn, (), 0.05), {"7": off}, style=Style("in"))
    assert made is not None and "6.4992 in on box 7" in made.sentence and "6.2992 apart as drawn" in made.sentence


# ------------------------------------------------------------------------------ any kit
sizes = st.floats(0.2, 1.2)


@settings(max_examples=some(60, 2000))
@given(st.lists(sizes, min_size=1, max_size=6), st.randoms(use_true_random=False))
def test_a_core_built_right_is_never_refused(clearances: list[float], random: object) -> None:
    """Every pitch read on both sides within what the play takes: errors of a third of the least play."""
    drawn = {f"K{i}": 70.0 * i for i in range(len(clearances))}
    least = min(clearances)

    def read(on: str) -> Places:
        at = {n: d + random.uniform(-least / 8, least / 8) for n, d in drawn.items()}  # type: ignore[attr-defined]
        names = list(at)
        pitches = [Pitch(a, b, Estimate(at[b] - at[a], 0.01), on) for a, b in pairwise(names)]
        return adjusted(drawn, pitches, 0.05)

    at = [Meeting(name=n, into="7", clearance=Estimate(c, 0.01)) for n, c in zip(drawn, clearances, strict=True)]
    made = goes_in("6", "x", at, read("box 6"), {"7": read("box 7")})
    assert made is not None and made.fate is not Fate.NOT and (made.p > 0.5 or least < 0.25)
    assert made.play is not None and made.play.value <= least + 1e-9


@settings(max_examples=some(60, 2000))
@given(st.lists(sizes, min_size=2, max_size=6), st.data())
def test_a_planted_pitch_beyond_its_clearance_is_always_named(clearances: list[float], data: st.DataObject) -> None:
    """One print off by more than it and any other take together."""
    drawn = {f"K{i}": 70.0 * i for i in range(len(clearances))}
    wrong = data.draw(st.sampled_from(sorted(drawn)))
    others = [c for n, c in zip(drawn, clearances, strict=True) if n != wrong]
    beyond = (clearances[list(drawn).index(wrong)] + max(others)) / 2 + data.draw(st.floats(0.2, 3.0))
    sign = data.draw(st.sampled_from([-1, 1]))
    at = {n: d + (sign * beyond if n == wrong else 0.0) for n, d in drawn.items()}
    names = list(at)
    pitches = [Pitch(a, b, Estimate(at[b] - at[a], 0.01), "box 6") for a, b in pairwise(names)]
    meetings = [
        Meeting(name=n, into="7", clearance=Estimate(c, 0.01), at=drawn[n])
        for n, c in zip(drawn, clearances, strict=True)
    ]
    made = goes_in("6", "x", meetings, adjusted(drawn, pitches, 0.05), {"7": adjusted(drawn, (), 0.02)})
    assert made is not None and made.fate is Fate.NOT
    assert wrong in made.tight and wrong in made.sentence and "box 6" in made.sentence


# ------------------------------------------------------------------------------ faces among them
def drag_with_three_sizes() -> tuple[Network, dict[str, float], list[Pitch], list[Reading]]:
    """Faces at 0 (the datum), 30, 70 and 100 of the drag, read as three sizes of which two share a face."""
    at = {"face x 0": 0.0, "face x 30": 30.0, "face x 70": 70.0, "face x 100": 100.0}
    faces = {
        name: Face(maker="drag", axis="x", place_mm=place, facing=1 if place in (30.0, 100.0) else -1)
        for name, place in at.items()
    }
    ends = (("face x 0", "face x 30", 30.2), ("face x 30", "face x 100", 70.1), ("face x 0", "face x 70", 69.95))
    sizes = [Size(name=f"F{n}", a=faces[a], b=faces[b], mm=at[b] - at[a]) for n, (a, b, _) in enumerate(ends, 1)]
    pitches = [Pitch(a, b, Estimate(mm, U), "pattern", f"F{n}") for n, (a, b, mm) in enumerate(ends, 1)]
    return Network(sizes), at, pitches, [Reading(size=f"F{n}", mm=mm, u=U) for n, (*_, mm) in enumerate(ends, 1)]


def test_faces_of_a_tool_are_adjusted_as_the_network_of_all_faces_adjusts_them() -> None:
    """Sizes nobody measured, with their covariance, against `adjust` with tools of which nothing is believed before."""
    network, at, pitches, readings = drag_with_three_sizes()
    places = adjusted(at, pitches, 0.05, frozenset(("face x 0",)), frozenset(at))
    free = Priors(tool_face=100.0, contraction=1e-9, held_back=1e-9, growth=1e-9, mismatch=1e-9, parting=1e-9)
    whole = adjust(network, readings, free)
    named = {name: f"drag {name}" for name in at}
    for a, b in (("face x 30", "face x 70"), ("face x 70", "face x 100"), ("face x 0", "face x 100")):
        told = whole.between(named[a], named[b])
        assert at[b] - at[a] + places.between(a, b).value == pytest.approx(told.mm, abs=1e-5)
        assert places.between(a, b).u == pytest.approx(told.u, rel=1e-3)
    order = list(at)
    one = np.array(
        [
            [places.cov[i][j] - places.cov[0][j] - places.cov[i][0] + places.cov[0][0] for j in range(4)]
            for i in range(4)
        ]
    )
    cov = whole.covariance([named[name] for name in order])
    rows = np.eye(4) - np.eye(4)[0]
    assert one == pytest.approx(rows @ cov @ rows.T, abs=2e-6)
    assert places.off[0] == pytest.approx(0.0, abs=1e-6)  # the datum is where everything is counted from
    assert [places.cov[i][i] for i in (0, 1)] == pytest.approx([0.05**2, 0.05**2 + U**2], rel=1e-3)


def test_the_errors_of_places_make_up_their_covariance() -> None:
    _, at, pitches, _ = drag_with_three_sizes()
    places = adjusted(at, pitches, 0.05, faces=frozenset(at))
    rows = np.array([[cause.get(name, 0.0) for cause in places.causes()] for name in at])
    assert rows @ rows.T == pytest.approx(np.array(places.cov), abs=1e-9)
    assert adjusted(at, [], 0.05).causes() == ()


def test_which_of_its_ends_is_off_a_size_does_not_tell() -> None:
    """One size 0.6 too large: each end by half, either may have any share of it (even over 0.6: 0.6 / sqrt 12)."""
    drawn, read = {"face x 0": 0.0, "face x 50": 50.0, "K1": 20.0}, [Pitch("face x 0", "face x 50", Estimate(50.6, U))]
    places = adjusted(drawn, read, 0.05, faces=frozenset(("face x 0", "face x 50")))
    assert places.off == pytest.approx((-0.3, 0.3, 0.0), abs=1e-6)
    share = 0.6**2 / 12
    assert places.between("K1", "face x 50").u ** 2 == pytest.approx(2 * 0.05**2 + share + (U / 2) ** 2, rel=1e-3)
    assert places.between("face x 0", "face x 50").u == pytest.approx(U, rel=1e-4)


def test_the_way_from_a_face_to_a_print_is_the_shortest_through_what_was_read() -> None:
    read = [
        Pitch(a, b, Estimate(10.0, U), "box 1", by)
        for a, b, by in (("a", "b", "F1"), ("b", "c", "F2"), ("a", "c", "F3"), ("c", "d", "F4"))
    ]
    places = adjusted({"a": 0.0, "b": 10.0, "c": 20.0, "d": 30.0, "e": 40.0}, read, 0.05)
    assert places.way("a", "d") == ("F3", "F4") and places.way("d", "b") == ("F4", "F2")
    assert places.way("a", "e") == () and places.way("a", "a") == ()
