"""Tests of: samplings side by side."""

from __future__ import annotations

from datetime import date

import pytest

from inspect_tui.frozen import replace
from inspect_tui.record.store import Record
from inspect_tui.shop.common import find
from inspect_tui.shop.first_article.castings.put_right import open_round
from inspect_tui.shop.first_article.castings.rounds import pick_round
from inspect_tui.shop.first_article.castings.sampling import Sampling
from inspect_tui.shop.first_article.side_by_side import promises, side_by_side
from inspect_tui.shop.jobs import jobs
from tests.worlds.cut_desk import Desk, measure


def test_samplings_stand_side_by_side(sampled: Record) -> None:
    labels, rows = side_by_side(sampled, sampled.jobs()[0])
    assert labels == ("S1", "S2", "S3")
    port = next(row for row in rows if row.balloon == "F07")
    assert port.rounds[0].deviation > 0.8 > 0.3 > abs(port.rounds[1].deviation)


def test_what_was_promised_after_the_first_sampling_came_with_the_second(sampled: Record) -> None:
    job = sampled.jobs()[0]
    found = promises(Sampling(sampled, job, pick_round(sampled, job, "S2")))
    by_balloon = {line.balloon: line for line in found}
    assert {"F01", "F07", "F38", "F55"} <= set(by_balloon)
    assert by_balloon["F55"].word == "as promised"
    assert sum(line.word == "as promised" for line in found) >= 0.8 * len(found)
    assert promises(Sampling(sampled, job, pick_round(sampled, job, "S1"))) == ()


def test_the_next_sampling_shows_promised_against_got(first: Desk) -> None:
    first.take(first.number("core 4 y"))
    job = find.job(first.record, None)
    open_round(first.record, job, "S2", ["S2-1", "S2-2"], poured_on=date(2023, 9, 10).isoformat())
    sampling = Sampling(first.record, job, pick_round(first.record, job, "S2"))
    waiting_for = {line.balloon: line.word for line in promises(sampling)}
    assert waiting_for == {"F38": "not measured yet", "F39": "not measured yet", "F40": "not measured yet"}
    for serial, value in (("S2-1", "88.05"), ("S2-2", "87.98")):
        measure(first, f"casting {serial}", "F38", value)
    for serial, value in (("S2-1", "8.1"), ("S2-2", "8.0")):
        measure(first, f"casting {serial}", "F39", value)
    sampling.reload()
    got = {line.balloon: line for line in promises(sampling)}
    assert got["F38"].word == "as promised"
    assert got["F39"].word == "not as promised"
    assert got["F38"].got == pytest.approx(88.015)
    f38 = next(f for f in first.record.features(find.latest_revision(first.record, job).id) if f.balloon == "F38")
    jobs.revise(first.record, job, "Q", [replace(f38, nominal=f38.nominal + 1.0)])
    measure(first, "casting S2-1", "F39", "8.1")  # the round goes on with the new drawing
    sampling.reload()
    assert "F38" not in {line.balloon for line in promises(sampling)}  # of another size than is wanted now
    assert "F39" in {line.balloon for line in promises(sampling)}


def test_a_mould_that_is_named_as_wrong_says_nothing_of_the_cuts(articles) -> None:
    """The cope of casting S2-3 was closed 0.95 off along x: F02 ends on it, F01 does not."""
    lines = {line.balloon: line for line in articles["S2"].promises}
    assert any(c.name == "cope x on casting S2-3" for c in articles["S2"].causes.found)
    assert lines["F02"].left_out == ("S2-3",) and lines["F01"].left_out == ()
    cells = {f.balloon: [c.value for c in f.cells] for f in articles["S2"].features if f.state == "raw"}
    assert lines["F02"].got == pytest.approx(sum(cells["F02"][:2]) / 2)
    assert lines["F01"].got == pytest.approx(sum(cells["F01"]) / 3)


def test_a_promise_says_how_far_off_it_may_come_out(articles) -> None:
    for line in articles["S2"].promises:
        assert line.allowed == pytest.approx(2.0 * (line.u_promised**2 + line.u_got**2) ** 0.5)
        assert (abs(line.got - line.promised) <= line.allowed) is (line.word == "as promised")
