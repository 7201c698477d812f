"""A trial as it is typed: what it becomes, everything that is wrong in it, what is asked first, how it is put right."""

from __future__ import annotations

import pytest

from inspect_tui.errors import DataError
from inspect_tui.frozen import replace
from inspect_tui.record.store import Record
from inspect_tui.shop.kit.facts import KitFacts
from inspect_tui.shop.kit.proving import enter
from inspect_tui.shop.kit.tried.trials import trials
from tests.shop.kit.test_check import proven, record  # noqa: F401  a fixture
from tests.worlds.kit_jobs import Kit
from tests.worlds.trials import mould, now, read, tried


@pytest.fixture
def made(record: Record) -> Kit:
    return proven(record)


def wrong(made: Kit, found: dict[str, str] | None = None, **heads: str) -> str:
    return " | ".join(read(made, found or {}, **heads).wrong)


def asked(made: Kit, found: dict[str, str] | None = None, **heads: str) -> str:
    checked = read(made, found or {}, **heads)
    assert checked.wrong == ()
    return " | ".join(checked.asked)


def test_a_trial_with_its_lines(made: Kit) -> None:
    mould(made)
    checked = read(
        made,
        {"K2": "rubs 0.12 feeler, neck", "f1": "8.1", "CLOSING": "0", "core 01": "t", "remark": "sand in the seat"},
        mould="MOULD 1",
        cores="1-2",
        order="2 1",
        day="2026-11-03",
        place="shop",
        note="cold day",
    )
    assert checked.wrong == () and checked.proving is not None
    proving = checked.proving
    assert (proving.sort, proving.inside, proving.mould, proving.on_date) == ("trying_in", "sticks", None, "2026-11-03")
    assert proving.tool_of_id == made.tool["mould 1"].of_id
    assert (proving.order_followed, proving.order_said) == ("no", "2 1")
    assert [(line.ord, line.sort, line.result, line.value, line.way) for line in checked.lines] == [
        (1, "core", "tight", None, None),
        (2, "core", None, None, None),
        (3, "fit", "rubs", 0.12, "feeler"),
        (4, "wall", None, 8.1, "clay"),
        (5, "closing", None, 0.0, "feeler"),
        (6, "remark", None, None, None),
    ]
    assert checked.sentence == "trying in of 2026-11-03: 2 cores, 5 answers"
    assert {line.proving_id for line in checked.lines} == {proving.id}


def test_a_core_whose_seat_was_looked_at_was_in_the_mould(made: Kit) -> None:
    checked = read(made, {"K2": "+"}, cores="")
    assert [made.core[n].of_id for n in (1, 2)] == [line.core_of_id for line in checked.lines if line.sort == "core"]
    assert [line.sort for line in read(made, {"K1": "+"}, cores="").lines] == ["core", "fit"]


def test_cores_that_the_kit_has_not_are_named_with_those_it_has(made: Kit) -> None:
    there = "job TK-1 has no core 3; there are: 1, 2"
    assert wrong(made, cores="1-3") == f"cores: {there}"
    assert wrong(made, {"core 3": "+"}) == f"core 3: {there}"
    assert wrong(made, order="1 3") == f"order: {there}"
    assert "no core" in wrong(made, cores="1, two")


def test_a_thickness_of_nothing_a_day_to_come_and_nobody_are_all_said_at_once(made: Kit) -> None:
    said = wrong(made, {"F1": "0", "K22": "+", "K2": "hm"}, day="2999-01-01", who=" ")
    for part in (
        "F1: a thickness of 0 is no wall",
        "K22: job TK-1 has nothing of that name; nearest: K2",
        "K2: 'hm' does not say how it goes",
        "2999-01-01 is still to come",
        "who: nothing typed: say who tried it",
    ):
        assert part in said
    assert made.record.provings(made.job.of_id) == []


def test_other_heads_that_are_none(made: Kit) -> None:
    assert "what it was" in wrong(made, sort="pouring")
    assert "what was in it" in wrong(made, inside="")
    assert "how it was taken" in wrong(made, {"F1": "8"}, way="putty")
    assert "order: 'as it came' is no order" in wrong(made, order="as it came")
    assert "nothing is filled in" in wrong(made, cores="")
    assert "40 letters are the most" in wrong(made, mould="m" * 41)
    assert "instrument" in wrong(made, gauge="micrometer 9")
    assert "bushel is no length" in wrong(made, {"F1": "8"}, unit="bushel")
    assert "K1-P: K1-P" in wrong(made, {"K1-P": "+"}) and "is no wall of the casting" in wrong(made, {"K1-P": "+"})


def test_a_closing_is_of_cores_where_nobody_says(made: Kit) -> None:
    checked = read(made, sort="trial closing", inside="", mould="A7")
    assert checked.wrong == () and checked.proving is not None
    assert (checked.proving.inside, checked.proving.mould) == ("cores", "A7") and checked.asked == ()
    assert checked.lines[0].tool_of_id == made.tool["box 1"].of_id


def test_a_size_beyond_what_its_way_or_gauge_takes_is_asked_about(made: Kit) -> None:
    assert asked(made, {"K2": "3.4"}) == "K2: 3.40 mm is beyond what feeler takes (0.02 to 3.00 mm): is it right?"
    made.record.add(replace(made.caliper, id=b"", of_id=b"", label="small", range_hi=5.0))
    assert asked(made, {"F1": "8.1 gauge"}, gauge="small") == (
        "F1: 8.10 mm is beyond the range of small (0 to 5 mm): is it right?"
    )
    assert asked(made, {"K2": "3.0", "F1": "8.1 gauge"}, gauge="caliper of TK-1") == ""


def test_a_thickness_far_from_the_walls_is_asked_about(made: Kit) -> None:
    # 8 mm of metal are 8.08 in the mould at 1 %; half of that, 4.04, may lie between
    assert asked(made, {"F1": "12.1"}) == ""
    assert asked(made, {"F1": "12.2"}) == "F1: 12.20 mm for F1, which is to be 8.08 mm there: is it right?"


def test_a_day_before_its_tools_were_there_is_asked_about(made: Kit) -> None:
    told = asked(made, day="2019-05-05", cores="1")
    assert told.startswith("stick 1 is in the record since ") and told.endswith("only: was it tried on 2019-05-05?")
    assert "stick 1, stick 2 are in the record" in asked(made, day="2019-05-05")
    assert asked(made, day="2019-05-05", inside="cores", cores="1").startswith("box 1 is in the record since")


def test_a_core_without_a_stick_is_asked_about(made: Kit) -> None:
    made.add_core(3)
    assert asked(made) == "core 3 has no stick in the record: is it meant?"
    assert asked(made, inside="cores") == "core 3 has no box in the record: is it meant?"


def test_a_mould_that_is_no_tool_is_asked_about(made: Kit) -> None:
    assert asked(made, mould="drag patern") == (
        "mould: drag patern is no tool of job TK-1; nearest: drag pattern: is it meant?"
    )


def test_what_is_asked_is_kept_only_when_it_is_meant(made: Kit) -> None:
    checked = read(made, {"K2": "3.4"})
    with pytest.raises(DataError, match="Nothing was written"):
        enter.refuse_wrong(checked)
    enter.refuse_wrong(checked, keep=True)
    with pytest.raises(DataError, match="say who tried it"):
        enter.write(made.record, read(made, who=""), None)


# ------------------------------------------------------------------------------ put right
def test_a_trial_that_is_typed_again_as_it_is_says_the_same(made: Kit) -> None:
    mould(made)
    lines = {"K2": "rubs 0.12 feeler, neck", "F1": "8.1 ±0.2 plug", "closing": "0.4", "core 1": "t", "remark": "sand"}
    first = tried(made, lines, mould="mould 1", order="2 1", note="cold", gauge="caliper of TK-1")
    draft = enter.draft_of(KitFacts(made.record, made.job), first)
    checked = enter.read(made.record, KitFacts(made.record, made.job), draft, old=first)
    assert checked.wrong == () and checked.proving is not None
    assert (checked.proving.of_id, checked.proving.replaces_id) == (first.proving.of_id, first.proving.id)
    bare = [replace(line, id=b"", proving_id=b"") for line in first.lines]
    assert [replace(line, id=b"", proving_id=b"") for line in checked.lines] == bare


def test_a_correction_takes_the_place_of_the_version_before(made: Kit) -> None:
    first = tried(made, {"K2": "rubs", "K1": "+"})
    facts = KitFacts(made.record, made.job)
    draft = enter.merged(enter.draft_of(facts, first), {"mould": "7", "day": "2026-11-01"}, {"k2": "tight", "K1": "-"})
    enter.write(made.record, enter.read(made.record, facts, draft, old=first), made.person.id)
    assert len(trials(KitFacts(made.record, made.job))) == 1
    assert [(item, line.result) for item, line in zip(now(made).items, now(made).lines, strict=True)] == [
        ("core 1", None),
        ("core 2", None),
        ("K2", "tight"),
    ]
    assert now(made).mould == "mould 7" and now(made).proving.on_date == "2026-11-01"


def test_a_correction_keeps_the_stick_that_was_tried(made: Kit) -> None:
    first = tried(made)
    made.add_tool("stick 1b", "core_stick", 1)
    facts = KitFacts(made.record, made.job)
    checked = enter.read(made.record, facts, enter.draft_of(facts, first), old=first)
    assert checked.lines[0].tool_of_id == made.tool["stick 1"].of_id
