"""What the foundry leaves open in sizes: against the network's own covariance, carried cores, faces that contradict."""

from __future__ import annotations

from collections.abc import Iterator
from math import fsum
from pathlib import Path

import numpy as np
import pytest

from inspect_tui.metrology.faces.adjust import Priors, adjust
from inspect_tui.record.store import Record
from inspect_tui.shop.common.geometry.faces import core_numbers
from inspect_tui.shop.common.geometry.job import of_features
from inspect_tui.shop.kit.facts import KitFacts
from inspect_tui.shop.kit.foundry import KIND, doubts_of
from tests.worlds.kit_jobs import Kit, two_cores


@pytest.fixture
def record(tmp_path: Path) -> Iterator[Record]:
    with Record.open(tmp_path / "t.db", create=True) as made:
        yield made


def together(one, other) -> float:
    """Covariance of two sizes by the errors that they share."""
    by_key = {doubt.key: doubt.u for doubt in other}
    return fsum(doubt.u * by_key.get(doubt.key, 0.0) for doubt in one)


def widths(made: Kit) -> dict:
    facts = KitFacts(made.record, made.job)
    return doubts_of(made.job, facts.features, core_numbers(made.record, made.job), facts.fits)


def test_the_covariance_is_that_of_the_next_casting_without_tools_and_plan(record: Record) -> None:
    made = two_cores(record)
    made.add_feature("W1", "x", 20.0, (1, 1, 0.0), (1, -1, 20.0), ("box 1",), 19.0, 21.0)
    made.add_feature("W2", "x", 20.0, (2, 1, 28.0), (2, -1, 48.0), ("box 2",), 19.0, 21.0)
    doubts = widths(made)
    facts = KitFacts(record, made.job)
    network = of_features(made.job, facts.features, core_numbers(record, made.job), facts.fits).cast
    whole = adjust(network, (), Priors(tool_face=0.0, contraction=0.0, growth=0.0))
    names = ("F1", "W1", "W2")
    pairs = [(network.size(name).a, network.size(name).b) for name in names]
    _, cov = whole.joint(pairs, "next")
    ours = [[together(doubts[a], doubts[b]) for b in names] for a in names]
    assert np.array(ours) == pytest.approx(cov, abs=1e-9)
    assert {doubt.kind for doubt in doubts["W1"]} == {KIND}
    assert not any(doubt.measured for doubt in doubts["W1"])


def test_a_core_that_is_carried_moves_with_what_carries_it(record: Record) -> None:
    """Core 2 sits in core 1: how core 1 sits moves both and not the wall between them; core 2's own seat moves it."""
    made = two_cores(record)
    made.add_feature("P1", "x", 20.0, ("drag", -1, 0.0), (1, 1, 20.0), (), 19.0, 21.0)
    made.add_feature("P2", "x", 28.0, ("drag", -1, 0.0), (2, 1, 28.0), (), 27.0, 29.0)
    doubts = widths(made)
    first, second, wall = (doubts[name] for name in ("P1", "P2", "F1"))
    both = together(first, second)
    assert both > 0.05  # 0.25 where its seat puts it and 0.08 from casting to casting: 0.069 of the two in common
    assert together(wall, wall) < together(second, second)


def test_faces_that_contradict_each_other_leave_the_network_out(record: Record) -> None:
    made = two_cores(record)
    facts = KitFacts(record, made.job)
    twice = [*facts.features, facts.balloon["F1"]]
    assert doubts_of(made.job, twice, core_numbers(record, made.job), facts.fits) == {}
    assert doubts_of(made.job, [], {}, ()) == {}
