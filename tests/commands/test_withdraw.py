"""`withdraw`: what depends on a thing is told and asked, who and why is kept, and it comes back."""

from __future__ import annotations

import json
from collections.abc import Callable

import pytest

from inspect_tui.commands.withdraw import KINDS
from inspect_tui.shop.changes import changed, things
from tests.commands.conftest import Ran, Run
from tests.conftest import SmallShop

Command = Callable[..., Ran]


@pytest.fixture
def withdraw(cli: Run, shop: SmallShop) -> Command:
    path = str(shop.record.path)

    def run(*words: str, stdin: str = "") -> Ran:
        return cli("withdraw", *words, "--record", path, stdin=stdin)

    return run


def _log(shop: SmallShop) -> None:
    bench = shop.bench("stick 1")
    bench.goto("F3")
    bench.take("212.10")
    bench.keep_pending()


def test_a_tool_with_readings_is_asked_about_and_its_readings_stay(withdraw: Command, shop: SmallShop) -> None:
    _log(shop)
    asked = withdraw("tool", "stick 1", "--why", "never made", "--by", "AB")
    assert asked.status == 1 and "1 reading: it stays in the record and counts no longer" in asked.err
    assert "1 tool made from it" in asked.err and "with --yes it is" in asked.err
    done = withdraw("tool", "stick 1", "--why", "never made", "--by", "AB", "--yes")
    assert done.status == 0 and done.out.startswith("the tool stick 1 of job SV-12 is withdrawn")
    job = shop.record.job("SV-12")
    assert [tool.label for tool in shop.record.tools(job.of_id)] == ["box 1", "drag pattern"]
    assert shop.record.counts()["reading"] == 1
    (row,) = json.loads(withdraw("--list", "--json").out)
    assert row["kind"] == "tool" and row["name"] == "stick 1" and row["job"] == "SV-12"
    assert row["by"] == "AB" and row["why"] == "never made" and row["at"].startswith("20")
    assert "never made" in withdraw("--list", "--job", "SV-12").out
    assert "is withdrawn already, because: never made" in withdraw("tool", "stick 1", "--why", "x", "--by", "AB").err
    back = withdraw("tool", "stick 1", "--back", "--why", "it was", "--by", "AB")
    assert back.out == "the tool stick 1 of job SV-12 is back\n"
    assert len(shop.record.tools(job.of_id)) == 3
    assert withdraw("--list").err == "nothing is withdrawn\n"
    assert "is not withdrawn" in withdraw("tool", "stick 1", "--back", "--why", "x", "--by", "AB").err


def test_a_feature_leaves_the_drawing_and_comes_back_with_its_readings(withdraw: Command, shop: SmallShop) -> None:
    _log(shop)
    record = shop.record
    job = record.job("SV-12")
    assert withdraw("feature", "f3", "--why", "of another drawing", "--by", "AB", "--yes").status == 0
    newest = record.revisions(job.of_id)[-1]
    assert "F3" not in {f.balloon for f in record.features(newest.id)} and newest.why == "of another drawing"
    assert withdraw("feature", "F3", "--back", "--why", "it is ours", "--by", "AB").status == 0
    told = [change.how for change in changed.changes(record)]
    assert "corrected: F3 taken off" in told and "corrected: F3 added" in told
    (again,) = [f for f in record.features(record.revisions(job.of_id)[-1].id) if f.balloon == "F3"]
    assert len(record.readings(feature_id=record.feature_lineage(again.id))) == 1
    assert [on.feature_id for on in record.tool_features(shop.bench("stick 1").subject.key)].count(again.id) == 1
    assert withdraw("--list").err == "nothing is withdrawn\n"


def test_a_core_that_is_named_stays(withdraw: Command) -> None:
    ran = withdraw("core", "core 1", "--why", "drawn twice", "--by", "AB", "--yes")
    assert ran.status == 2 and ran.err == (
        "inspect-tui: core 1 cannot go while it is named: 2 tools, 5 sizes of the drawing. Withdraw these first.\n"
    )


def test_a_person_and_a_gauge_are_offered_no_more_and_what_they_read_counts(withdraw: Command, shop: SmallShop) -> None:
    _log(shop)
    gauge = shop.bench().means
    assert gauge is not None
    for kind, name in (("gauge", gauge.instrument.label), ("person", "AB")):
        ran = withdraw(kind, name, "--why", "sold", "--by", "AB", "--yes")
        assert ran.status == 0 and "1 reading: it stays and counts as it did" in ran.err
    assert gauge.instrument.label not in {i.label for i in shop.record.instruments()}
    job = shop.record.job("SV-12")
    assert len(shop.record.tool_readings(job.of_id)) == 1


def test_what_is_typed_wrong_is_told_with_the_nearest_and_nothing_is_written(
    withdraw: Command, shop: SmallShop
) -> None:
    before = shop.record.heads()
    assert "nearest: tool" in withdraw("tol", "stick 1", "--why", "x", "--by", "AB").err
    assert "nearest: stick 1" in withdraw("tool", "stik 1", "--why", "x", "--by", "AB").err
    assert "Say who does it" in withdraw("tool", "stick 1", "--why", "x").err
    assert "Say why" in withdraw("tool", "stick 1", "--by", "AB").err
    assert "There is no withdrawn tool" in withdraw("tool", "stick 9", "--back", "--why", "x", "--by", "AB").err
    assert "its kind and its name" in withdraw("tool").err
    assert shop.record.heads() == before


def test_a_name_that_was_given_again_is_in_the_way_of_coming_back(withdraw: Command, shop: SmallShop) -> None:
    assert withdraw("tool", "drag pattern", "--why", "scrapped", "--by", "AB", "--yes").status == 0
    job = shop.record.job("SV-12")
    from inspect_tui.shop.jobs import jobs

    jobs.add_tool(shop.record, job, "drag pattern", "pattern_drag", None, "wood")
    ran = withdraw("tool", "drag pattern", "--back", "--why", "found", "--by", "AB")
    assert ran.status == 2 and "another tool drag pattern of job SV-12 by now" in ran.err


def test_help_names_every_kind() -> None:
    assert ", ".join(things.WORDS) == KINDS
