"""`changes`: one list over the whole shop, since a day, with the words that are asked for."""

from __future__ import annotations

import json
from collections.abc import Callable

import pytest

from inspect_tui.model.changes import SameThing, Withdrawal
from inspect_tui.model.gauges import InstrumentState
from inspect_tui.model.trends import ToolState
from inspect_tui.record import kinds
from inspect_tui.shop.jobs import drawing_changes, jobs
from tests.commands.conftest import Ran, Run
from tests.conftest import SmallShop

Command = Callable[..., Ran]


@pytest.fixture
def changes(cli: Run, shop: SmallShop) -> Command:
    return lambda *words: cli("changes", *words, "--record", str(shop.record.path))


def _change_everything(shop: SmallShop) -> None:
    record, by = shop.record, shop.ab.id
    job = record.job("SV-12")
    tool = record.tools(job.of_id)[0]
    record.revise(tool, by, label="stick 1a", material="beech")
    record.revise(job, by, a_x=0.012)
    jobs.correct(record, job, drawing_changes.changed(record, job, ["F1", "nominal=63"]), "63 read as 62", shop.ab)
    jobs.revise(record, job, "B", [], "issued anew", shop.ab)
    bench = shop.bench("box 1")
    bench.goto("F3")
    bench.take("212.10")
    bench.keep_pending()
    reading = record.readings()[-1]
    record.void(reading.id, "misread", "dropped the caliper", by)
    record.add(Withdrawal(about_kind=kinds.TOOL.number, about_id=tool.of_id, why="never made"), by)
    record.add(ToolState(tool_of_id=tool.of_id, state="retired", since_on="2026-03-01", why="split"), by)
    gauge = record.instruments()[0]
    record.add(InstrumentState(instrument_of_id=gauge.of_id, state="out_of_use", since_on="2026-03-01", why="bent"), by)
    a, b = record.people()[:2]
    record.add(SameThing(about_kind=kinds.PERSON.number, this_id=a.of_id, that_id=b.of_id, why="married"), by)


def test_everything_that_was_changed_is_in_one_list(changes: Command, shop: SmallShop) -> None:
    assert changes().err == "nothing was changed\n"
    _change_everything(shop)
    rows = json.loads(changes("--json").out)
    told = {(row["what"], row["change"], row["why"]) for row in rows}
    label = shop.record.instruments()[0].label
    people = [person.initials for person in shop.record.each_apart().people()[:2]]
    assert {
        ("tool stick 1", "label stick 1 → stick 1a; material not stated → beech", None),
        ("job SV-12", "contraction x 1.00 % → 1.20 %", None),
        ("drawing SV-12-01 rev A", "corrected: F1", "63 read as 62"),
        ("drawing SV-12-01 rev B", "new revision: no size", "issued anew"),
        ("reading of F3 on tool box 1", "212.10 mm struck", "dropped the caliper"),
        ("tool stick 1a", "withdrawn", "never made"),
        ("tool stick 1a", "retired", "split"),
        (f"gauge {label}", "out of use since 2026-03-01", "bent"),
        (f"person {people[0]} and person {people[1]}", "one and the same", "married"),
    } <= told
    assert {row["by"] for row in rows} == {"IN"}  # who married is called so from then on, in every line
    assert rows == sorted(rows, key=lambda row: row["at"], reverse=True)
    assert {row["job"] for row in rows if row["what"].startswith(("tool", "job", "drawing", "reading"))} == {"SV-12"}


def test_it_is_searched_by_words_job_and_day(changes: Command, shop: SmallShop) -> None:
    _change_everything(shop)
    found = json.loads(changes("caliper", "DROPPED", "--json").out)
    assert [row["what"] for row in found] == ["reading of F3 on tool box 1"]
    assert all(row["job"] == "SV-12" for row in json.loads(changes("--job", "SV-12", "--json").out))
    day = json.loads(changes("--json").out)[0]["at"][:10]
    assert json.loads(changes("--since", day, "--json").out) == json.loads(changes("--json").out)
    assert changes("--since", "2199-01-01").err.endswith("nothing was changed since 2199-01-01\n")
    table = changes("stick", "1a").out
    assert table.splitlines()[0].split() == ["when", "by", "job", "what", "from,", "to", "(why)"]
    assert "withdrawn (never made)" in table


def test_what_one_person_did_on_one_day_and_a_line_a_person_and_day(cli: Run, shop: SmallShop) -> None:
    at = ("--record", str(shop.record.path))
    bench = shop.bench()
    bench.goto("F1")
    bench.take("59.60")
    shop.record.void(shop.record.readings()[0].id, "misread", "slipped", shop.ab.id)
    (line,) = [
        row for row in json.loads(cli("changes", "--by-day", "--by", "ab", "--json", *at).out) if row["readings"]
    ]
    assert (line["by"], line["readings"], line["put_right"]) == ("AB", 1, 1)
    day = line["day"]
    assert "1 reading, 1 reading put right" in cli("changes", "--by-day", "--day", day, *at).out
    assert cli("changes", "--by-day", "--day", "1999-01-01", *at).err == "nothing was written then\n"
    (change,) = json.loads(cli("changes", "--by", "AB", "--day", day, "--json", *at).out)
    assert change["why"] == "slipped"
    assert cli("changes", "--by", "IN", *at).err == "nothing was changed by IN\n"
    assert cli("changes", "--by", "AB", "--day", "1999-01-01", *at).err == "nothing was changed on 1999-01-01 by AB\n"
    assert cli("changes", "--by", "QQ", *at).status == 2
