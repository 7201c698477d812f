"""A small shop on a temporary disk: one job, two people, four instruments, no state kept between tests."""

from __future__ import annotations

import gc
import os
import sqlite3
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import count
from pathlib import Path
from shutil import copyfile

import pytest
from hypothesis import settings

from inspect_tui.frozen import replace
from inspect_tui.model.gauges import InstrumentBias
from inspect_tui.model.measuring import Calibration, Instrument, Person
from inspect_tui.record import commit, store
from inspect_tui.record.ask import trend_cache
from inspect_tui.record.chain import ids
from inspect_tui.record.file import create, schema
from inspect_tui.record.file.connect import connect_writer
from inspect_tui.record.store import Record
from inspect_tui.shop.bench.line import Bench
from inspect_tui.shop.common import find
from inspect_tui.shop.jobs import jobs
from inspect_tui.shop.trends.counts import today

TODAY = "2026-03-10"
LONG_AT_A_STRETCH = ("test_readme.py", "test_wheel.py")  # fifty programs one after the other; a wheel that is built

# Examples of a property where its test does not say how many: few at every run, many on demand.
settings.register_profile("ci", max_examples=30, deadline=None)
settings.register_profile("long", max_examples=2000, deadline=None)
settings.load_profile("ci")

JOB = """
[job]
number = "SV-12"
name = "stove box"
alloy = "grey iron"
contraction = "1.0 %"

[drawing]
number = "SV-12-01"
rev = "A"

[[core]]
number = 1
name = "flue passage"

[[tool]]
label = "stick 1"
kind = "core_stick"
core = 1

[[tool]]
label = "box 1"
kind = "core_box"
core = 1
made_from = "stick 1"

[[tool]]
label = "drag pattern"
kind = "pattern_drag"

[[feature]]
balloon = "F1"
name = "passage width"
quantity = "width"
axis = "y"
nominal = 62.0
limits = "±0.8"
a = "core 1"
b = "core 1"
between = "space"
stock = [1.5, 1.5]
limits_raw = "±0.8"

[[feature]]
balloon = "F2"
name = "passage height"
quantity = "length"
axis = "z"
nominal = 40.0
limits = "±0.6"
a = "core 1"
b = "core 1"
between = "space"

[[feature]]
balloon = "F3"
name = "passage length"
axis = "x"
nominal = 210.0
limits = "±0.8"
a = "core 1"
b = "core 1"
between = "space"

[[feature]]
balloon = "F4"
name = "overall length"
axis = "x"
nominal = 240
limits = "±1.2"
a = "drag"
b = "drag"
stock = [0, 3]
limits_raw = "±1.2"

[[feature]]
balloon = "F5"
name = "wall, drag to passage"
quantity = "wall"
axis = "y"
nominal = 8
limits = "+1.0/-0.8"
a = "drag"
b = "core 1"

[[feature]]
balloon = "P1"
name = "print diameter"
quantity = "diameter"
nominal = 40.0
limits = "+0/-0.2"
scale = "tool"
a = "core 1"
b = "core 1"
between = "metal"
"""


@dataclass
class SmallShop:
    """The record and the things in it that tests ask for most."""

    record: Record
    path: Path
    ab: Person
    caliper: Instrument

    def bench(self, on: str = "stick 1") -> Bench:
        """A fresh stay at the bench."""
        job = find.job(self.record, "SV-12")
        return Bench(self.record, job, find.subject(self.record, job, on), self.ab, self.caliper, today=TODAY)

    def bias(self, **changes: object) -> InstrumentBias:
        """The caliper is known to read 0.06 high since 2020, unless `changes` say otherwise."""
        known = InstrumentBias(
            instrument_of_id=self.caliper.of_id,
            from_on="2020-01-01",
            bias_mm=0.06,
            u_mm=0.01,
            why="seen",
            found_from="a check",
        )
        return self.record.add(replace(known, **changes), self.ab.id)


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_auto_num_workers() -> int:
    """As many workers as cores: nothing waits, and each more would read all modules and make all worlds once more."""
    return len(os.sched_getaffinity(0) if hasattr(os, "sched_getaffinity") else range(os.cpu_count() or 1))


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """What runs longest at a stretch comes first, so that no worker is left alone with it at the end."""
    items.sort(key=lambda item: item.path.name not in LONG_AT_A_STRETCH)


def pytest_collection_finish() -> None:
    """All tests are there till the end of the run: nobody looks through them for garbage again and again."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(5_000, 20, 20)


_LAY_OUT = create.lay_out


def _without_waiting(path: Path, busy_s: float) -> sqlite3.Connection:
    """As the program connects, and checks that it may rest on the disk; then nobody waits for the disk."""
    con = connect_writer(path, busy_s)
    con.execute("PRAGMA synchronous=OFF")
    return con


@pytest.fixture(scope="session", autouse=True)
def _disk_is_not_waited_for() -> Iterator[None]:
    """No record of a test has to outlive a power cut, and flushes would take half of the time of all tests."""
    with pytest.MonkeyPatch.context() as patch:
        for module in (commit, store, trend_cache):
            patch.setattr(module, "connect_writer", _without_waiting)
        patch.setattr(os, "fsync", lambda fd: None)
        yield


@pytest.fixture(scope="session", autouse=True)
def _tables_are_made_once(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """The schema files run once a worker; every other new record begins as a copy of the file that they made."""
    made: dict[tuple[schema.Step, ...], Path] = {}

    def copied(new: Path, steps: Sequence[schema.Step]) -> None:
        key = tuple(steps)  # a caller may hold them as a list
        if key not in made:
            template = tmp_path_factory.mktemp("tables") / "empty.db"
            _LAY_OUT(template, steps)
            made[key] = template
        copyfile(made[key], new)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(create, "lay_out", copied)
        yield


@pytest.fixture
def disk_is_waited_for(monkeypatch: pytest.MonkeyPatch) -> None:
    """For tests of how a record is made, and made durable."""
    monkeypatch.setattr(create, "lay_out", _LAY_OUT)
    for module in (commit, store, trend_cache):
        monkeypatch.setattr(module, "connect_writer", connect_writer)


@pytest.fixture(scope="session")
def _states(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """Folders of state that are not there yet, one after the other."""
    folder = tmp_path_factory.mktemp("states")
    return (folder / str(n) for n in count())


@pytest.fixture(autouse=True)
def _own_state(_states: Iterator[Path], monkeypatch: pytest.MonkeyPatch) -> None:
    """No test reads or leaves state of the person who runs it."""
    state = next(_states)
    monkeypatch.setenv("INSPECT_TUI_STATE", str(state))
    monkeypatch.setenv("INSPECT_TUI_CONFIG", str(state / "config"))
    monkeypatch.setattr(ids.uuid7, "_ms", -1)  # the clock of another test may have been years ahead
    monkeypatch.delenv("INSPECT_TUI_RECORD", raising=False)


@pytest.fixture(autouse=True)
def _long_ago(monkeypatch: pytest.MonkeyPatch) -> None:
    """Trends are forecast from their last count on: no day of this machine comes into a test that hands in none."""
    monkeypatch.setattr(today, "machine_day", lambda: "2001-01-01")


@pytest.fixture(scope="session")
def _small(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, SmallShop]:
    """The small shop, made once, and the folder of what this machine remembers of it."""
    folder = tmp_path_factory.mktemp("small")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("INSPECT_TUI_STATE", str(folder / "state"))
        made = small_shop(folder / "shop.db")
    made.record.close()
    return folder / "state", made


@pytest.fixture
def shop(_small: tuple[Path, SmallShop], tmp_path: Path) -> Iterator[SmallShop]:
    """A small shop at work: a copy that this machine takes for the original."""
    remembered, made = _small
    path = tmp_path / "shop.db"
    copyfile(made.path, path)
    (device,) = (remembered / "devices").iterdir()
    own = Path(os.environ["INSPECT_TUI_STATE"]) / "devices" / device.name
    own.parent.mkdir(parents=True, exist_ok=True)
    own.write_text(device.read_text("utf-8").replace(str(made.path), str(path)), "utf-8")
    with Record.open(path) as record:
        yield SmallShop(record, path, made.ab, made.caliper)


@pytest.fixture(scope="session")
def _said_apart(tmp_path_factory: pytest.TempPathFactory) -> Path:
    from tests.worlds import said_apart

    return said_apart.everything(tmp_path_factory.mktemp("apart"))


@pytest.fixture
def apart(_said_apart: Path, tmp_path: Path) -> Iterator[Record]:
    """A shop whose two benches said of everything something else, copied for each test."""
    copyfile(_said_apart, tmp_path / "apart.db")
    with Record.open(tmp_path / "apart.db") as record:
        yield record


@pytest.fixture(scope="session")
def sampled(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The invented shop with three samplings, made once a run: to be read, or copied by a test that writes."""
    from tests.worlds.sampled_shop import AFTER_S3, kept_shop

    return kept_shop(tmp_path_factory, AFTER_S3)


def small_shop(path: Path) -> SmallShop:
    """A job with six features, three tools, two people and four instruments; the record is the caller's to close."""
    record = Record.open(path, create=True)
    jobs.add_from_file(record, JOB)
    ab = record.add(Person(initials="AB", name=None))
    record.add(Person(initials="IN", role="inspector"))
    caliper = record.add(Instrument(label="caliper 1", unit="mm", resolution=0.01, range_hi=300.0, jaw_mm=10.0))
    record.add(
        Calibration(instrument_of_id=caliper.of_id, done_on="2026-01-05", due_on="2027-01-05", u95_mm=0.04, k=2.0)
    )
    record.add(Instrument(label="caliper 2", unit="mm", resolution=0.01, range_hi=300.0))
    record.add(Instrument(label="inch caliper", unit="in", resolution=0.0005, range_hi=12.0))
    rule = Instrument(label="rule 5/32", kind="contraction_rule", unit="in", resolution=1 / 64, rule_scale=5 / 32 / 12)
    record.add(rule)
    return SmallShop(record, path, ab, caliper)
