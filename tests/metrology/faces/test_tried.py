"""A wall with its thickness as it was taken in the mould, against a worked example and drawn assemblies."""

from __future__ import annotations

from math import sqrt
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_tui.metrology.faces.stacks import Link, Term, as_measured, chance
from inspect_tui.metrology.faces.tried import TRIAL, wall_with
from inspect_tui.model.words import Estimate


def size(mm: float, u: float, unknown: str = "") -> Term:
    link = Link(name="size", a="a", b="b", size=mm, plus=0.0, minus=0.0, tool="box", measured=Estimate(mm, u))
    return Term(Link(**{**{n: getattr(link, n) for n in link.__match_args__}, "unknown": unknown}), 1.0)


def play(half: float, sense: float = 1.0) -> Term:
    return Term(Link(name="play", a="b", b="c", size=0.0, plus=half, minus=half, kind="fit", shape="uniform"), sense)


def test_play_of_the_trial_is_taken_off_and_stays() -> None:
    # by hand: size 7.0 +- 0.4, play half sqrt(3) * 0.3 so that its u is 0.3; taken 7.5 with u 0.4: of the size this says
    # 7.5 with u sqrt(0.4^2 + 0.3^2) = 0.5; weights 1/0.16 = 6.25 and 1/0.25 = 4: (43.75 + 30) / 10.25 = 7.1951, u 0.31235
    terms, apart = wall_with("F1", [size(7.0, 0.4), play(0.3 * sqrt(3))], Estimate(7.5, 0.4))
    link = terms[0].link
    assert link.measured == (pytest.approx(7.19512, abs=1e-5), pytest.approx(0.31235, abs=1e-5))
    assert link.tool == TRIAL and link.kind == "trial" and len(terms) == 2
    assert apart == pytest.approx(0.5 / sqrt(0.41))
    now, _ = as_measured(terms)
    assert now.u == pytest.approx(sqrt(0.31235**2 + 0.3**2), abs=1e-5)  # the next casting plays anew


def test_one_sided_play_is_taken_off_with_its_middle() -> None:
    rise = Term(Link(name="lift", a="b", b="c", size=0.0, plus=0.6, minus=0.0, kind="fit", shape="uniform"), -1.0)
    terms, _ = wall_with("F1", [size(7.0, 1e6), rise], Estimate(6.5, 0.001))
    # nothing was known of the size: it is what was taken, and the 0.3 mm that the lift took off in the middle
    assert terms[0].link.measured is not None
    assert terms[0].link.measured.value == pytest.approx(6.8, abs=1e-6)


def test_contraction_is_no_error_of_what_was_taken_in_the_mould() -> None:
    shrink = Term(
        Link(
            name="contraction along x", a="mould", b="casting", size=0.0, plus=0.0045, minus=0.0045, kind="contraction"
        ),
        -100.0,
    )
    terms, _ = wall_with("F1", [size(100.0, 0.5), shrink], Estimate(100.2, 0.1))
    before, after = as_measured([size(100.0, 0.5), shrink])[0], as_measured(terms)[0]
    assert shrink in terms and before.u == pytest.approx(sqrt(0.5**2 + 0.15**2))
    assert after.u == pytest.approx(sqrt(1 / (1 / 0.25 + 1 / 0.01) + 0.15**2))


def test_what_nobody_said_is_still_named() -> None:
    terms, _ = wall_with("F1", [size(7.0, 0.4, "how far core 1 can rise")], Estimate(7.1, 0.2))
    assert terms[0].link.unknown == "how far core 1 can rise"


def test_it_is_what_a_thousand_drawn_assemblies_say() -> None:
    """Sizes and plays drawn; of those assemblies that were taken near a reading, the mean of the size is the answer."""
    draw = Random(4)
    half, seen = 0.5, 7.6
    taken, kept = [], []
    for _ in range(60_000):
        mm, p = draw.gauss(7.0, 0.4), draw.uniform(-half, half)
        if abs(mm + p + draw.gauss(0.0, 0.3) - seen) < 0.02:
            kept.append(mm)
            taken.append(mm + draw.uniform(-half, half))
    terms, _ = wall_with("F1", [size(7.0, 0.4), play(half)], Estimate(seen, 0.3))
    mean = sum(kept) / len(kept)
    assert terms[0].link.measured is not None
    assert terms[0].link.measured.value == pytest.approx(mean, abs=4 * 0.35 / sqrt(len(kept)))
    within = sum(6.6 <= mm <= 7.9 for mm in taken) / len(taken)
    assert chance(terms, 6.6, 7.9) == pytest.approx(within, abs=0.04)


@given(st.floats(3, 12), st.floats(0.01, 1), st.floats(0, 1), st.floats(3, 12), st.floats(0.01, 1))
def test_the_wall_moves_toward_what_was_taken(mm: float, u: float, half: float, seen: float, u_seen: float) -> None:
    known = [size(mm, u), play(half)]
    terms, apart = wall_with("F1", known, Estimate(seen, u_seen))
    before, after = as_measured(known)[0], as_measured(terms)[0]
    assert min(before.value, seen) - 1e-9 <= after.value <= max(before.value, seen) + 1e-9
    if apart <= 1.0:
        assert after.u <= before.u + 1e-9
