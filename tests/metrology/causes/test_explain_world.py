"""The demo's own world told under other seeds: its planted truths are named within their bands, and nothing else.

Rates over 300 seeds are in inspect_tui/metrology/causes/causes.md (python -m tests.benchmarks.causes_world); here a few seeds
in a row run, none chosen, with room for one unlucky draw of seats.
"""

from __future__ import annotations

import pytest

from tests.amounts import some
from tests.benchmarks.causes_world import PLANTED, judged

SEEDS = range(40, 40 + some(2, 20))


@pytest.fixture(scope="module")
def answers():
    return [answer for seed in SEEDS for answer in judged(seed)]


def test_the_planted_truths_are_named_within_their_bands(answers):
    plants = [p for a in answers for p in a.plants]
    assert len(plants) == len(SEEDS) * len(PLANTED)
    missed = [(p.round, p.name) for p, _, in_band, _ in plants if not in_band]
    assert len(missed) <= max(1, len(plants) // 20), missed


def test_their_intervals_hold_the_planted_sizes(answers):
    holds = [holds for a in answers for _, named, _, holds in a.plants if named]
    assert sum(holds) / len(holds) >= 0.85


def test_nothing_is_named_that_is_not_there(answers):
    assert len([a.round for a in answers if a.false]) <= max(1, len(answers) // 20), [
        a.false for a in answers if a.false
    ]


def test_contraction_is_within_its_band_on_every_axis(answers):
    outside = [(a.round, axis) for a in answers for axis, in_band, _ in a.contraction if not in_band]
    assert outside == []


def test_slips_are_asked_about(answers):
    assert [name for a in answers for name, asked in a.asked if not asked] == []


def test_where_no_fault_was_planted_no_tool_is_blamed():
    answers = judged(40, planted=False)
    assert [a.false for a in answers if a.false] == []
