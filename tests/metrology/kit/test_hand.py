"""A hand reversed is named from sizes that read each other's targets; sizes that are merely wrong are not."""

from __future__ import annotations

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from inspect_tui.metrology.kit.hand import MadeSize, wrong_hand
from inspect_tui.metrology.typed.show import Style
from inspect_tui.model.words import Estimate

U = 0.02


def size(name: str, target: float, reading: float, axis: str = "x", **more: float) -> MadeSize:
    return MadeSize(name=name, axis=axis, target=target, reading=Estimate(reading, U), **more)


def test_two_offsets_changed_over_are_the_wrong_hand() -> None:
    made = wrong_hand("box 4", [size("F3", 30.3, 50.48), size("F4", 50.5, 30.29), size("F5", 80.8, 80.8)])
    assert made is not None and made.pairs == (("F3", "F4"),) and not made.of_whole
    assert made.sentence == (
        "box 4 may be the wrong hand along x: F3 reads 50.48 where 30.30 is wanted and F4 reads 30.29 where 50.50 is "
        "wanted, each what the other should be; or the two readings are changed over: measure them again"
    )


def test_offsets_along_two_axes_may_be_changed_over_too() -> None:
    made = wrong_hand("box 4", [size("F3", 30.3, 50.5), size("F4", 50.5, 30.3, axis="y"), size("F5", 9.0, 9.0)])
    assert made is not None and "along x and y" in made.sentence


def test_the_wider_of_two_limits_says_how_near_a_target_is() -> None:
    assert wrong_hand("box 4", [size("F3", 30.0, 50.3, half_band=0.5), size("F4", 50.0, 30.0)]) is not None
    assert wrong_hand("box 4", [size("F3", 30.0, 50.0), size("F4", 50.0, 30.3, half_band=0.5)]) is not None


def test_more_pairs_are_counted() -> None:
    sizes = [size("A", 30, 50), size("B", 50, 30), size("C", 10, 22), size("D", 22, 10)]
    made = wrong_hand("box 4", sizes)
    assert made is not None and len(made.pairs) == 2 and "(and 1 more such pair)" in made.sentence


def test_one_offset_that_reads_what_is_left_of_the_whole() -> None:
    whole = size("F1", 80.0, 80.02, low=100, high=180)
    made = wrong_hand("stick 4", [whole, size("F2", 30.0, 50.01, low=100, high=130)])
    assert made is not None and made.of_whole and made.pairs == (("F2", "F1"),)
    assert made.sentence == (
        "stick 4 may be the wrong hand along x: F2 reads 50.01 where 30.00 is wanted, and 50.00 is what is left of F1; "
        "see from which end it was read"
    )
    inch = wrong_hand("stick 4", [whole, size("F2", 30.0, 50.01, low=150, high=180)], Style("in"))
    assert inch is not None and "1.9689 where 1.1811 is wanted" in inch.sentence


@pytest.mark.parametrize(
    "sizes",
    [
        [],
        [size("F1", 30, 30), size("F2", 50, 50)],  # right
        [size("F1", 30, 50)],  # wrong, with nobody to change with
        [size("F1", 30, 50), size("F2", 50, 50)],  # only one reads the other's
        [size("F1", 30, 30.4), size("F2", 30.4, 30)],  # too near each other to see
        [size("F1", 30, 50.4), size("F2", 50, 30)],  # one does not match
        [size("F1", 30, 50, half_band=8), size("F2", 50, 30, half_band=8)],  # limits as wide as the difference
        # the whole is wrong too; a size between two inner places; one over everything; no places
        [size("F1", 80, 84, low=0, high=80), size("F2", 30, 50, low=0, high=30)],
        [size("F1", 80, 80, low=0, high=80), size("F2", 30, 50, low=20, high=50)],
        [size("F1", 80, 80, low=0, high=80), size("F2", 30, 50, low=0)],
        [size("F1", 80, 80, low=0, high=80), size("F2", 30, 50, axis="y", low=0, high=30)],
        [size("F1", 80, 80, low=0, high=80), size("F2", 30, 50.4, low=0, high=30)],
        [size("F1", 80, 80, low=0, high=80), size("F2", 40.1, 39.9, low=0, high=40.1)],  # half of the whole
        [size("F1", 60, 60, low=0, high=60), size("F2", 30, 50, low=30, high=80)],  # nobody read the whole
    ],
)
def test_what_is_right_or_merely_wrong_is_not_called_a_hand(sizes: list[MadeSize]) -> None:
    assert wrong_hand("box 4", sizes) is None


targets = st.lists(st.floats(8, 300), min_size=2, max_size=10, unique=True)


@given(targets, st.data())
def test_a_planted_hand_is_always_named_and_a_tool_made_right_never(wanted: list[float], data: st.DataObject) -> None:
    errors = [data.draw(st.floats(-0.12, 0.12)) for _ in wanted]
    right = [size(f"F{n}", t, t + e) for n, (t, e) in enumerate(zip(wanted, errors, strict=True))]
    assert wrong_hand("box 4", right) is None
    i, j = data.draw(st.permutations(range(len(wanted))))[:2]
    assume(abs(wanted[i] - wanted[j]) > 1.0)
    made = list(wanted)
    made[i], made[j] = wanted[j], wanted[i]
    swapped = [size(f"F{n}", t, m + e) for n, (t, m, e) in enumerate(zip(wanted, made, errors, strict=True))]
    found = wrong_hand("box 4", swapped)
    assert found is not None and {f"F{i}", f"F{j}"} in [set(pair) for pair in found.pairs]
