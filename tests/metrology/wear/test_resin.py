"""Stick and box: resin contraction from their pairs, and which of the two to change."""

from __future__ import annotations

import random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_tui.errors import DataError
from inspect_tui.metrology.wear.resin import StickAndBox, advise, learn_resin
from inspect_tui.model.words import Estimate

STICK_5 = {"width": 125.24, "length": 488.84, "height": 60.60}


def cast_up(r: float, noise: float = 0.0, seed: int = 0) -> list[StickAndBox]:
    rng = random.Random(seed)
    return [
        StickAndBox(n, Estimate(s + rng.gauss(0, noise), 0.03), Estimate(s * (1 - r) + rng.gauss(0, noise), 0.03), s)
        for n, s in STICK_5.items()
    ]


def test_the_resin_box_cast_off_its_stick_is_recovered() -> None:
    # planted: box 5 cast in resin, 0.12 % smaller: 125.09 / 488.25 / 60.53
    pairs = [
        StickAndBox(n, Estimate(s, 0.03), Estimate(b, 0.03), s)
        for (n, s), b in zip(STICK_5.items(), (125.09, 488.25, 60.53), strict=True)
    ]
    found = learn_resin(pairs)
    assert found.r == pytest.approx(0.0012, abs=0.0003)
    assert dict(found.open_by) == {
        "width": pytest.approx(0.15),
        "length": pytest.approx(0.59),
        "height": pytest.approx(0.07),
    }
    assert "0.12" in found.sentence and "resin contraction" in found.sentence and "length cut 0.59" in found.sentence


def test_the_interval_for_r_covers_what_was_planted() -> None:
    inside = 0
    for seed in range(400):
        found = learn_resin(cast_up(0.0015, 0.03, seed))
        inside += abs(found.r - 0.0015) <= 2 * found.u
    assert inside / 400 == pytest.approx(0.955, abs=0.035)


@given(st.floats(-0.002, 0.004))
def test_r_is_found_exactly_without_noise(r: float) -> None:
    found = learn_resin(cast_up(r))
    assert found.r == pytest.approx(r, abs=1e-12)
    assert found.p_same == pytest.approx(1.0, abs=1e-6)
    assert all(abs(rest) < 1e-9 for _, rest in found.residuals)


def test_one_size_that_does_not_follow_is_named_and_widens_the_doubt() -> None:
    pairs = cast_up(0.0012)
    off = StickAndBox("height", pairs[2].stick, Estimate(pairs[2].box.value - 0.40, 0.03))
    found = learn_resin([*pairs[:2], off])
    assert "not alike everywhere: height" in found.sentence and found.u > learn_resin(pairs).u


def test_what_was_known_before_counts_by_its_weight() -> None:
    alone = learn_resin(cast_up(0.0012))
    tight = learn_resin(cast_up(0.0012), Estimate(0.0020, 1e-9))
    loose = learn_resin(cast_up(0.0012), Estimate(0.0020, 1.0))
    assert tight.r == pytest.approx(0.0020) and loose.r == pytest.approx(alone.r, abs=1e-9)
    assert learn_resin(cast_up(0.0), None).sentence.startswith("no resin contraction")


@pytest.mark.parametrize(
    "pairs",
    [
        [],
        [StickAndBox("a", Estimate(0, 0.1), Estimate(1, 0.1))],
        [StickAndBox("a", Estimate(1, 0.0), Estimate(1, 0.0))],
    ],
)
def test_pairs_have_to_be_pairs(pairs: list[StickAndBox]) -> None:
    with pytest.raises(DataError):
        learn_resin(pairs)


RESIN = Estimate(0.0012, 0.0001)


def pair(stick_off: float, box_off: float) -> StickAndBox:
    target = 100.0
    stick = target / (1 - RESIN.value) + stick_off
    return StickAndBox("width", Estimate(stick, 0.03), Estimate(target + box_off, 0.03), target)


@pytest.mark.parametrize(
    "stick_off, box_off, change, words",
    [
        (0.0, 0.0, "none", "inside their limits"),
        (0.0, -0.40, "box", "cut 0.40 in the box; the stick is right"),
        (0.0, 0.40, "box", "add 0.40 in the box"),
        (0.40, 0.0, "stick", "cut 0.40 on the stick before another box"),
        (-0.40, 0.0, "stick", "add 0.40 on the stick"),
        (-0.40, -0.40, "both", "the box follows its stick"),
        (-0.40, 0.40, "measure", "measure both again"),
    ],
)
def test_which_of_stick_and_box_to_change(stick_off: float, box_off: float, change: str, words: str) -> None:
    found = advise(pair(stick_off, box_off), RESIN, limit=0.15)
    assert found.change == change and words in found.sentence
    if change in ("box", "both"):
        assert found.box_by == pytest.approx(-box_off)
    if change in ("stick", "both"):
        assert found.stick_by == pytest.approx(-stick_off)


@given(st.floats(-1, 1), st.floats(-1, 1))
def test_after_the_change_both_are_right(stick_off: float, box_off: float) -> None:
    first = advise(pair(stick_off, box_off), RESIN, limit=0.15)
    assert advise(pair(stick_off + first.stick_by, box_off + first.box_by), RESIN, limit=0.15).change == "none"


def test_a_pair_without_a_wanted_size_gives_no_advice() -> None:
    with pytest.raises(DataError, match="wanted cavity"):
        advise(StickAndBox("a", Estimate(1, 0.1), Estimate(1, 0.1)), RESIN, 0.1)
    with pytest.raises(DataError, match="below 0"):
        advise(pair(0, 0), RESIN, -0.1)
