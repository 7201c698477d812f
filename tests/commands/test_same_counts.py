"""What was entered twice and is one counts as one: every command says what it says of a record with one entry of each."""

from __future__ import annotations

import json
import shutil
from collections.abc import Sequence
from itertools import cycle
from pathlib import Path
from typing import Any

import pytest

from inspect_tui.frozen import replace
from inspect_tui.model.gauges import InstrumentBias
from inspect_tui.model.trends import ToolCount
from inspect_tui.model.work import Item, Lot, Tool
from inspect_tui.record.store import Record
from inspect_tui.shop.bench.line import Bench
from inspect_tui.shop.bench.outcomes import Logged
from inspect_tui.shop.changes import same, things
from inspect_tui.shop.common import find
from inspect_tui.shop.common.find import Subject
from tests.commands.conftest import Run
from tests.commands.test_one_value import EVERY, STICK
from tests.commands.test_one_value import same as differing
from tests.conftest import SmallShop

BOX = [59.50, 59.51, 59.52, 59.53, 59.54, 59.55]
CAST = [59.10, 59.12, 59.14, 59.16, 59.18, 59.20]
SORTS = ("person", "gauge", "tool", "sampling", "casting")
ALL = (
    *EVERY,
    ("stats", "F1", "--on", "casting C1"),
    ("stats", "F1", "--on", "castings", "--by-person", "AB"),
    ("stats", "F1", "--on", "box 1", "--with-instrument", "caliper 1"),
    ("stats", "F1", "--on", "castings", "--lot", "S1"),
    ("chart", "F1", "--on", "castings"),
    ("trend", "F1", "--on", "castings", "--by", "AB"),
    ("budget", "F1", "--on", "casting C1", "--with", "caliper 1", "--by", "AB"),
    ("due",),
    ("gauge", "daily"),
    ("gauge", "trace", "caliper 1", "--bias", "0.1"),
    ("sampling", "list"),
    ("person", "list"),
    ("tool", "list"),
    ("count", "list"),
)


def things_twice(record: Record) -> dict[str, list[Any]]:
    """Person, gauge, box, sampling and casting of the shop; where `twice` says so, each entered once more."""
    job = find.job(record, "SV-12")
    people = [p for p in record.each_apart().people() if p.initials == "AB"]
    gauges = [i for i in record.each_apart().instruments() if i.label == "caliper 1"]
    boxes = [t for t in record.each_apart().tools(job.of_id) if t.label == "box 1"]
    castings = [i for i in record.each_apart().items(job.of_id) if i.serial == "C1"]
    return {"person": people, "gauge": gauges, "tool": boxes, "casting": castings}


def enter(record: Record, twice: bool) -> None:
    """The sampling with a casting, the bias and a count; `twice`: each thing once more, as another bench enters it."""
    job = find.job(record, "SV-12")
    ab = record.people()[0]
    for _ in range(2 if twice else 1):
        lot = record.add(Lot(job_of_id=job.of_id, label="S1", heat="M1", poured_on="2026-02-01"), ab.id)
        record.add(Item(job_of_id=job.of_id, kind="casting", serial="C1", lot_id=lot.id), ab.id)
    found = things_twice(record)
    if twice:
        record.add(replace(found["person"][0], id=b"", of_id=b""))
        record.add(replace(found["gauge"][0], id=b"", of_id=b""), ab.id)
        (box,) = found["tool"]
        again: Tool = record.add(replace(box, id=b"", of_id=b""), ab.id)
        for size in record.tool_features(box.of_id):
            steps = tuple(replace(step, id=b"", tool_feature_id=b"") for step in size.steps)
            record.add(replace(size, id=b"", of_id=b"", tool_id=again.id, steps=steps), ab.id)
    bias = {"bias_mm": 0.06, "u_mm": 0.0, "from_on": "2000-01-01", "why": "seen", "found_from": "a check"}
    record.add(InstrumentBias(instrument_of_id=found["gauge"][0].of_id, **bias), ab.id)
    for n, tool in zip((100, 240), cycle(things_twice(record)["tool"]), strict=False):
        record.add(ToolCount(tool_of_id=tool.of_id, count=n, on_date=f"2026-0{n // 100}-01"), ab.id)


def measure(record: Record) -> None:
    """F1 on the stick, and on box and casting, where there are two entries turn about, as the gauge and the person."""
    job = find.job(record, "SV-12")
    entered = things_twice(record)
    (stick,) = [t for t in record.tools(job.of_id) if t.label == "stick 1"]
    turns = zip(cycle(entered["person"]), cycle(entered["gauge"]), strict=False)
    on: list[tuple[list[float], list[Subject]]] = [
        (STICK, [Subject("stick 1", tool=stick)]),
        (BOX, [Subject("box 1", tool=tool) for tool in entered["tool"]]),
        (CAST, [Subject("casting C1", item=item) for item in entered["casting"]]),
    ]
    for values, subjects in on:
        for value, subject in zip(values, cycle(subjects), strict=False):
            person, gauge = next(turns)
            bench = Bench(record, job, subject, person, gauge, today="2026-03-10")
            bench.goto("F1")
            outcome = bench.take(f"{value:.2f}")
            if not isinstance(outcome, Logged):
                outcome = bench.take(f"{value:.2f}")
            assert isinstance(outcome, Logged), outcome


def say(record: Record, state: str) -> None:
    job, by = find.job(record, "SV-12"), record.people()[-1]
    for word, name in zip(SORTS, ("AB", "caliper 1", "box 1", "S1", "C1"), strict=True):
        sort = things.sort_of(word)
        this, that = same.two(record, sort, name, name, job if sort.of_job else None)
        same.say(record, this, that, state, "entered at both benches", by)


@pytest.fixture(scope="module")
def files(_small: tuple[Path, SmallShop], tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """A record with one entry of each, and one with two of each, of which nobody said anything yet."""
    folder = tmp_path_factory.mktemp("twice")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("INSPECT_TUI_STATE", str(folder / "state"))
        made = (folder / "once.db", folder / "twice.db")
        for path, twice in zip(made, (False, True), strict=True):
            shutil.copy(_small[1].path, path)
            with Record.open(path) as record:
                enter(record, twice)
                measure(record)
    return made


@pytest.fixture
def twice(files: tuple[Path, Path], tmp_path: Path) -> Path:
    return Path(shutil.copy(files[1], tmp_path / "twice.db"))


FEW = (("show",), ("show", "--readings"), ("person", "list"), ("tool", "list"), ("first-article",), ("wear",))


def asked(cli: Run, path: Path, commands: Sequence[tuple[str, ...]] = ALL) -> list[Any]:
    answers = []
    for argv in commands:
        ran = cli("--record", str(path), *argv, "--json")
        answers.append(json.loads(ran.out) if ran.out else ran.err)
    return answers


def test_every_command_counts_both_entries_as_one_until_they_are_two_again(
    files: tuple[Path, Path], twice: Path, cli: Run
) -> None:
    two = asked(cli, twice, FEW)
    with Record.open(twice) as record:
        say(record, "same")
    for argv, expected, answer in zip(ALL, asked(cli, files[0]), asked(cli, twice), strict=True):
        assert not isinstance(expected, str), (argv, expected)
        assert list(differing(expected, answer)) == [], argv
    one = asked(cli, twice, FEW)
    with Record.open(twice) as record:
        say(record, "apart")
    for argv, apart, after, before in zip(FEW, two, asked(cli, twice, FEW), one, strict=True):
        assert list(differing(apart, after)) == [], argv
        assert list(differing(apart, before)), argv  # each of these sees that there are two
