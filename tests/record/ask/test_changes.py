"""What is withdrawn and what is one thing: the last word about each holds."""

from __future__ import annotations

import pytest

from inspect_tui.errors import RecordError
from inspect_tui.model.changes import SameThing, Withdrawal
from inspect_tui.record import kinds
from tests.record.conftest import Bench


def test_what_was_withdrawn_can_come_back_and_its_last_word_holds(bench: Bench) -> None:
    record, by = bench.record, bench.person.id
    tool, core = bench.tool.of_id, bench.core.of_id
    assert record.withdrawn() == set()
    record.add(Withdrawal(about_kind=kinds.TOOL.number, about_id=tool, why="never made"), by)
    record.add(Withdrawal(about_kind=kinds.CORE.number, about_id=core, why="drawn twice"), by)
    assert record.withdrawn() == {tool, core} and record.withdrawn(kinds.TOOL.number) == {tool}
    record.add(Withdrawal(about_kind=kinds.TOOL.number, about_id=tool, state="back", why="made after all"), by)
    assert record.withdrawn() == {core}
    assert record.withdrawals()[tool].why == "made after all"
    assert record.verify().ok


def test_a_withdrawal_says_why(bench: Bench) -> None:
    with pytest.raises(RecordError, match="why is empty"):
        bench.record.add(Withdrawal(about_kind=2, about_id=bench.job.of_id, why=" "), bench.person.id)


def test_two_things_are_one_until_somebody_says_they_are_not(bench: Bench) -> None:
    record, by = bench.record, bench.person.id
    this, that = bench.person.of_id, record.new_id()
    kind = kinds.PERSON.number
    record.add(SameThing(about_kind=kind, this_id=this, that_id=that), by)
    assert [said.state for said in record.same_things(kind)] == ["same"]
    record.add(SameThing(about_kind=kind, this_id=that, that_id=this, state="apart", why="two people"), by)
    assert [said.state for said in record.same_things()] == ["apart"]  # the pair has no order
    assert record.same_things(kinds.JOB.number) == []
