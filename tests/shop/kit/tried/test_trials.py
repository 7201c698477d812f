"""A trial proves what was tried: it holds until a tool, a size or a seat of it has been changed, and says what was."""

from __future__ import annotations

import pytest

from inspect_tui.frozen import replace
from inspect_tui.model.measuring import Note
from inspect_tui.model.trends import ToolRepair
from inspect_tui.record.kinds import TOOL
from inspect_tui.record.store import Record
from inspect_tui.shop.changes import things, withdraw
from inspect_tui.shop.jobs import jobs
from inspect_tui.shop.kit import edit
from inspect_tui.shop.kit.facts import KitFacts, end_of_day
from inspect_tui.shop.kit.tried.trials import trials
from tests.shop.kit.test_check import proven, record  # noqa: F401  a fixture
from tests.worlds.kit_jobs import Kit
from tests.worlds.trials import mould, now, tried


@pytest.fixture
def made(record: Record) -> Kit:
    return proven(record)


def repair(made: Kit, tool: str, day: str = "2031-01-01", what: str = "seat eased") -> None:
    made.record.add(ToolRepair(tool_of_id=made.tool[tool].of_id, action="cut", done_on=day, what=what))


def test_a_trial_knows_its_cores_its_mould_and_what_its_lines_are_of(made: Kit) -> None:
    mould(made)
    trial = tried(made, {"K2": "rubs", "F1": "8.1 clay", "core 1": "t"}, mould="Mould 1")
    assert trial.cores == ("1", "2") and trial.mould == "mould 1"
    assert trial.items == ("core 1", "core 2", "K2", "F1")
    assert trial.bad == (("2", "rubbed at K2"),)
    assert [line.tool_of_id for line in trial.lines[:2]] == [made.tool[f"stick {n}"].of_id for n in (1, 2)]
    assert trial.whole == "" and trial.of_core == () and trial.of_fit == ()


def test_the_foundrys_mould_is_named_as_it_is_marked(made: Kit) -> None:
    assert tried(made, sort="trial closing", inside="cores", mould="A7").mould == "the foundry's mould A7"
    assert tried(made, mould="7").mould == "mould 7"


def test_a_core_that_does_not_go_in_is_not_proven(made: Kit) -> None:
    assert tried(made, {"core 2": "stops"}).bad == (("2", "did not go in"),)
    assert tried(made, {"core 2": "tight", "K1": "loose"}).bad == ()


def test_a_repaired_stick_takes_its_core_and_its_seats_along(made: Kit) -> None:
    tried(made)
    repair(made, "stick 2")
    trial = now(made)
    reason = "stick 2 was repaired on 2031-01-01: seat eased"
    assert trial.of_core == (("2", reason),)
    assert trial.since("1") == "" and trial.since("2") == reason
    fits = {fit.name: fit.of_id for fit in made.record.fits(made.job.of_id)}
    assert trial.since_of_fit(fits["K1"]) == "" and trial.since_of_fit(fits["K2"]) == reason


def test_a_repair_before_the_trial_is_no_change(made: Kit) -> None:
    repair(made, "stick 2", "2026-01-02")
    tried(made)
    assert now(made).of_core == ()


def test_a_repair_that_is_withdrawn_is_none(made: Kit) -> None:
    tried(made)
    repair(made, "stick 2")
    (done,) = made.record.tool_repairs(made.tool["stick 2"].of_id)
    made.record.revise(done, made.person.id, holds=False)
    assert now(made).of_core == ()


def test_a_box_says_nothing_of_a_trial_of_sticks(made: Kit) -> None:
    tried(made)
    repair(made, "box 2")
    assert now(made).of_core == ()
    tried(made, inside="cores")
    repair(made, "box 1")
    assert [core for core, _ in now(made).of_core] == ["1", "2"]  # box 2 was repaired in 2031, after the trial


def test_a_note_on_a_tool_is_a_change_that_came_after(made: Kit) -> None:
    made.record.add(Note(about_kind=TOOL.number, about_id=made.tool["stick 1"].id, text="varnished"))
    tried(made)
    assert now(made).of_core == ()
    made.record.add(Note(about_kind=TOOL.number, about_id=made.tool["stick 1"].id, text="print filed"))
    assert "stick 1 was noted on" in now(made).since("1") and "print filed" in now(made).since("1")


def test_another_stick_of_the_core_takes_its_place(made: Kit) -> None:
    tried(made)
    made.add_tool("stick 1b", "core_stick", 1)
    assert now(made).since("1") == "stick 1b has come in the place of stick 1"


def test_the_pattern_that_the_mould_was_taken_off_takes_all_along(made: Kit) -> None:
    mould(made)
    tried(made, mould="mould 1")
    repair(made, "cope pattern")
    assert now(made).whole == ""
    repair(made, "drag pattern")
    assert now(made).whole == "drag pattern was repaired on 2031-01-01: seat eased"
    assert now(made).since("1") == now(made).whole
    repair(made, "mould 1", what="dropped")
    assert now(made).whole == "mould 1 was repaired on 2031-01-01: dropped"


def test_a_closing_in_the_foundrys_mould_hangs_on_both_patterns(made: Kit) -> None:
    tried(made, sort="trial closing", inside="cores", mould="A7")
    repair(made, "cope pattern")
    assert "cope pattern was repaired" in now(made).whole


def test_a_seat_that_was_said_otherwise_takes_both_cores_along(made: Kit) -> None:
    tried(made)
    fit = made.fit["K2"]
    edit.change_fit(made.record, made.job, fit, mark="blue", note="painted")
    assert now(made).of_core == () and now(made).of_fit == ()  # paint is no other seat
    edit.change_fit(made.record, made.job, made.record.fits(made.job.of_id)[1], lift_mm=0.4)
    assert dict(now(made).of_core) == {"1": "K2 was said otherwise", "2": "K2 was said otherwise"}


def test_a_seat_that_came_or_went_is_a_change(made: Kit) -> None:
    tried(made)
    made.add_fit("K9", 2, "drag")
    assert now(made).of_core == (("2", "K9 has come to it"),)
    tried(made)
    edit.drop_fit(made.record, made.fit["K9"])
    assert now(made).of_core == (("2", "K9 was taken out"),)


def test_a_size_that_the_drawing_has_otherwise_is_a_change(made: Kit) -> None:
    tried(made)
    larger = replace(made.feature["K2-P"], nominal=40.3, lower=40.1, upper=40.5)
    jobs.revise(made.record, made.job, "B", [larger], by=made.person)
    assert dict(now(made).of_core) == {
        "1": "K2-P is another size on the drawing",
        "2": "K2-P is another size on the drawing",
    }


def test_a_tool_that_is_withdrawn_proves_nothing(made: Kit) -> None:
    tried(made)
    thing = things.named(made.record, things.sort_of("tool"), "stick 1", made.job)
    withdraw.withdraw(made.record, thing, "lost", made.person)
    assert now(made).since("1") == "the tool that it was tried with is withdrawn"


def test_the_past_knows_nothing_of_later_trials(made: Kit) -> None:
    tried(made)
    assert trials(KitFacts(made.record, made.job, end_of_day("2026-02-01"))) == []
    assert len(trials(KitFacts(made.record, made.job, end_of_day("2031-01-01")))) == 1


def test_facts_read_the_trials_once(made: Kit) -> None:
    tried(made)
    facts = KitFacts(made.record, made.job)
    assert trials(facts) is trials(facts)
