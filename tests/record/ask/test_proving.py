"""Trials as the record gives them: the version that holds with its lines, by day; seats with their whole history."""

from __future__ import annotations

from inspect_tui.record.store import Record
from inspect_tui.shop.changes import things, withdraw
from inspect_tui.shop.kit import edit
from tests.shop.kit.test_check import proven, record  # noqa: F401  a fixture
from tests.worlds.trials import tried


def test_trials_come_by_day_with_their_lines_in_order(record: Record) -> None:
    made = proven(record)
    late = tried(made, {"K2": "rubs"}, day="2026-11-05")
    early = tried(made, {"F1": "8.1"}, day="2026-11-02")
    told = record.provings(made.job.of_id)
    assert [proving.id for proving, _ in told] == [early.proving.id, late.proving.id]
    assert [[line.sort for line in lines] for _, lines in told] == [["core", "core", "wall"], ["core", "core", "fit"]]
    assert [line.ord for line in told[0][1]] == [1, 2, 3]


def test_what_is_withdrawn_or_does_not_hold_is_left_out(record: Record) -> None:
    made = proven(record)
    tried(made, day="2026-11-02")
    second = tried(made, day="2026-11-03")
    thing = things.named(record, things.sort_of("trial"), "trying in of 2026-11-02", made.job)
    assert withdraw.depends(record, thing) == ()
    withdraw.withdraw(record, thing, "another job's", made.person)
    assert [p.id for p, _ in record.provings(made.job.of_id)] == [second.proving.id]
    record.revise(second.proving, made.person.id, holds=False)
    assert record.provings(made.job.of_id) == []
    withdraw.back(record, thing, "it was this job's", made.person)
    assert len(record.provings(made.job.of_id)) == 1


def test_a_tool_tells_of_its_trials_before_it_goes(record: Record) -> None:
    made = proven(record)
    tried(made)
    tried(made)
    thing = things.named(record, things.sort_of("tool"), "stick 1", made.job)
    assert "2 trials" in withdraw.depends(record, thing)
    fit = things.named(record, things.sort_of("fit"), "K2", made.job)
    assert withdraw.depends(record, fit) == ()


def test_the_history_of_a_seat_has_every_version(record: Record) -> None:
    made = proven(record)
    edit.change_fit(record, made.job, made.fit["K1"], lift_mm=0.3)
    edit.drop_fit(record, next(f for f in record.fits(made.job.of_id) if f.label == "K1"))
    mine = [fit for fit in record.fit_history(made.job.of_id) if fit.of_id == made.fit["K1"].of_id]
    assert [(fit.lift_mm, fit.active) for fit in mine] == [(None, True), (0.3, True), (0.3, False)]
