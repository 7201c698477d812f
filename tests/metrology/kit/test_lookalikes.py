"""Look-alikes: a core in another's seats or in its own turned over is found, and the key named really stops it."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_tui.metrology.kit.lookalikes import Print, look_alikes
from inspect_tui.model.words import Estimate
from tests.operations import calls


def a_print(name: str, at: tuple[float, float, float], size: tuple[float, float, float], c: float = 0.5) -> Print:
    def known(v: float) -> Estimate:
        return Estimate(v, 0.03)

    return Print(
        name,
        at,
        (known(size[0]), known(size[1]), known(size[2])),
        (known(size[0] + c), known(size[1] + c), known(size[2] + c)),
    )


LEFT = [a_print("a", (0, 0, 0), (40, 30, 20)), a_print("b", (100, 0, 0), (40, 50, 20))]
RIGHT = [a_print("c", (0, 0, 0), (40, 30, 20)), a_print("d", (100, 0, 0), (40, 50, 20))]
OTHER = [a_print("e", (0, 0, 0), (70, 30, 20)), a_print("f", (150, 0, 0), (40, 30, 20))]


def test_two_cores_with_the_same_prints_go_into_each_others_seats() -> None:
    alike = look_alikes({"1": LEFT, "2": RIGHT, "3": OTHER})
    pairs = {(f.core, f.seats_of) for f in alike if f.turned == "as drawn"}
    assert pairs == {("1", "2"), ("2", "1")}
    assert alike[0].p > 0.99 and "core 1 goes into the seats of core 2" in alike[0].sentence


def test_the_key_that_is_named_stops_both_from_going_into_the_other() -> None:
    cores = {"1": LEFT, "2": RIGHT}
    first = next(f for f in look_alikes(cores) if f.turned == "as drawn")
    assert first.remedy is not None and first.remedy.how == "moved"
    assert first.remedy.by_mm == 0.5 + 2.0  # the play, and what sand does not give way to
    i = "xyz".index(first.remedy.axis)

    def cured(p: Print) -> Print:
        if p.name != first.remedy.print_name:  # type: ignore[union-attr]
            return p
        at = list(p.at)
        at[i] += first.remedy.by_mm  # type: ignore[union-attr]
        return replace(p, at=(at[0], at[1], at[2]))

    after = {**cores, first.core: [cured(p) for p in cores[first.core]]}
    assert not [f for f in look_alikes(after) if f.core != f.seats_of]


def test_a_core_with_two_equal_prints_goes_in_turned_end_for_end() -> None:
    even = [a_print("a", (0, 0, 0), (40, 30, 20)), a_print("b", (100, 0, 0), (40, 30, 20))]
    turned = {f.turned for f in look_alikes({"5": even})}
    assert "turned end for end (180 about z)" in turned
    odd = [even[0], a_print("b", (100, 0, 0), (40, 36, 20))]
    assert not {f.turned for f in look_alikes({"5": odd})} & {"turned end for end (180 about z)"}


def test_symmetric_keys_go_in_upside_down_and_a_shifted_one_does_not() -> None:
    four = [
        a_print(f"k{i}", at, (30, 30, 15))
        for i, at in enumerate([(0.0, 0.0, 0.0), (120.0, 0.0, 0.0), (0.0, 80.0, 0.0), (120.0, 80.0, 0.0)])
    ]
    alike = look_alikes({"5": four})
    assert {f.turned for f in alike} >= {"upside down, turned about x", "upside down, turned about y"}
    assert all(f.remedy is not None for f in alike)
    keyed = [replace(four[0], at=(8.0, 3.0, 0.0)), *four[1:]]
    assert look_alikes({"5": keyed}) == []


def test_prints_that_point_down_cannot_go_in_upside_down() -> None:
    four = [
        replace(a_print(f"k{i}", at, (30, 30, 15)), points=(0, 0, -1))
        for i, at in enumerate([(0.0, 0.0, 0.0), (120.0, 0.0, 0.0), (0.0, 80.0, 0.0), (120.0, 80.0, 0.0)])
    ]
    assert {f.turned for f in look_alikes({"5": four})} == {"turned end for end (180 about z)"}


def test_prints_at_the_ends_point_the_other_way_when_turned() -> None:
    ends = [
        replace(a_print("a", (0, 0, 0), (40, 30, 20)), points=(-1, 0, 0)),
        replace(a_print("b", (100, 0, 0), (40, 30, 20)), points=(1, 0, 0)),
    ]
    assert "turned end for end (180 about z)" in {f.turned for f in look_alikes({"5": ends})}
    assert not look_alikes({"5": ends[:1]}) or all("z" not in f.turned for f in look_alikes({"5": ends[:1]}))


def test_a_quarter_turn_swaps_the_sizes() -> None:
    square = [a_print("a", (0, 0, 0), (40, 40, 20))]
    oblong = [a_print("a", (0, 0, 0), (40, 60, 20))]
    assert "turned a quarter (90 about z)" in {f.turned for f in look_alikes({"1": square})}
    assert "turned a quarter (90 about z)" not in {f.turned for f in look_alikes({"1": oblong})}


def test_one_round_print_alone_asks_for_a_key() -> None:
    alike = look_alikes({"1": [a_print("a", (0, 0, 0), (40, 40, 40))]})
    assert alike and all(f.remedy is not None and f.remedy.how in ("larger", "key") for f in alike)


def test_a_smaller_core_in_a_larger_seat_is_found_though_not_the_other_way() -> None:
    small = [a_print("s", (0, 0, 0), (20, 22, 24))]
    large = [a_print("l", (0, 0, 0), (50, 55, 60))]
    alike = {(f.core, f.seats_of) for f in look_alikes({"1": small, "2": large}) if f.core != f.seats_of}
    assert alike == {("1", "2")}


def test_the_chance_follows_the_measured_sizes() -> None:
    exact = [a_print("a", (0, 0, 0), (40, 40, 20), c=0.0)]
    other = [a_print("b", (0, 0, 0), (40.02, 60, 20), c=0.0)]
    alike = [f for f in look_alikes({"1": exact, "2": other}) if (f.core, f.turned) == ("1", "as drawn")]
    assert alike and 0.3 < alike[0].p < 0.8  # 0.02 of room in x, none in z, u 0.04


@settings(max_examples=40)
@given(
    st.lists(st.tuples(st.floats(10, 90), st.floats(10, 90), st.floats(10, 90)), min_size=1, max_size=4),
    st.integers(0, 3),
)
def test_a_copy_of_a_core_always_goes_into_its_seats(sizes: list[tuple[float, float, float]], shift: int) -> None:
    prints = [a_print(f"p{i}", (i * 150.0, i * i * 40.0, 0.0), s) for i, s in enumerate(sizes)]
    moved = [replace(p, at=(p.at[0] + shift, p.at[1] - 7.0 * shift, p.at[2] + 3.0)) for p in prints]
    alike = {(f.core, f.seats_of, f.turned) for f in look_alikes({"1": prints, "2": moved}, remedies=0)}
    assert {("1", "2", "as drawn"), ("2", "1", "as drawn")} <= alike


def test_a_hundred_cores_are_compared_with_few_calls() -> None:
    import random

    random.seed(3)
    cores = {
        str(i): [
            a_print(
                f"{i}{k}",
                (k * 100.0 + random.uniform(0, 30), random.uniform(0, 50), 0.0),
                (random.uniform(20, 90), random.uniform(20, 90), random.uniform(20, 60)),
            )
            for k in range(2)
        ]
        for i in range(100)
    }
    assert calls(lambda: look_alikes(cores)) < 1_200_000  # 583,000: some 59 for each of 9,900 pairs
