"""Bundles in any order, in any groups, overlapping and repeated: every record ends the same, and never with a gap."""

from __future__ import annotations

import random
import shutil
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_tui.record.care import whole
from inspect_tui.record.merge import folder as folder_module
from inspect_tui.record.merge.bundle import Bundle, frontier_of, pack
from inspect_tui.record.merge.folder import manifest_of
from inspect_tui.record.merge.take_in import TakenIn, take_in
from inspect_tui.record.store import Record
from tests.amounts import some
from tests.record.merge.conftest import Station

BENCHES = 3


@dataclass
class Written:
    """What three benches of a shop put into the world, and one entry of it that was written twice."""

    bundles: list[Path]
    whole: list[tuple[object, ...]]  # every entry, as each of them ends with it
    twice: tuple[Path, Path]


def entries(record: Record, but: bytes | None = None) -> list[tuple[object, ...]]:
    rows = record.connection.execute("SELECT device_id, seq, id, hash FROM entry ORDER BY device_id, seq")
    return [row for row in rows if row[0] != but]


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Written]:
    """Readings, corrections from both sides and versions made apart, in bundles of at most seven entries."""
    folder = tmp_path_factory.mktemp("orders")
    share = folder / "share"
    share.mkdir()
    dice = random.Random(20261129)
    benches = [Station(folder / f"bench-{n}", f"bench {n}") for n in range(BENCHES)]
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(folder_module, "MOST_ENTRIES", 7)
        things = benches[0].furnish()
        benches[0].log(59.0)
        for bench in benches:
            bench.sync(share)
            bench.things = things
        first = benches[0].record.readings()[0].reading.id
        for bench in benches[1:]:  # both answer the same reading, and name the tool anew
            bench.record.correct(first, things.reading(58.9), "misread", "drawn", things.person.id)
            bench.record.revise(things.tool, things.person.id, label=f"stick of {bench.name}")
        for step in range(24):
            bench = dice.choice(benches)
            bench.sync(share) if dice.random() < 0.35 else bench.log(59 + step / 100)
        for bench in benches * 2:
            bench.sync(share)
    assert len({str(entries(bench.record)) for bench in benches}) == 1
    bundles = sorted(share.glob("*.itui"))
    for n, bench in enumerate(benches):  # by hand besides: all that one knows, and the end of it
        record = bench.record
        here = frontier_of(record.connection)
        after = {device: seq // 2 for device, seq in here.items()} if n else {}
        to = folder / f"by-hand-{n}.itui"
        bundles.append(
            pack(
                record.connection,
                record.path,
                to,
                after,
                here,
                manifest_of(record, record.own_device(), after, here, {}),
            )
        )
    made = Written(bundles, entries(benches[0].record), _written_twice(folder, benches[0]))
    yield made
    for bench in benches:
        bench.record.close()


def _written_twice(folder: Path, bench: Station) -> tuple[Path, Path]:
    """The machine of a bench was copied, and both log their own next entry: a bundle of each."""
    bench.record.close()
    clone = Station(folder / "clone", "clone")
    clone.record.close()
    shutil.rmtree(clone.folder)
    shutil.copytree(bench.folder, clone.folder)
    for file in (clone.folder / "state" / "devices").iterdir():
        file.write_text(file.read_text().replace(str(bench.folder), str(clone.folder)))
    clone.things, made = bench.things, []
    for n, station in enumerate((bench, clone)):
        record = station.record = station.open()
        device = record.own_device()
        last = frontier_of(record.connection)[device]
        station.log(70.0 + n)
        until = {device: last + 1}
        manifest = manifest_of(record, device, {device: last}, until, {})
        to = folder / f"twice-{n}.itui"
        made.append(pack(record.connection, record.path, to, {device: last}, until, manifest))
    clone.record.close()
    return made[0], made[1]


def taken(record: Record, paths: list[Path]) -> TakenIn:
    return take_in(record, [Bundle(path) for path in paths])


@settings(max_examples=some(8, 300), deadline=None)
@given(seed=st.integers(0, 1 << 30), most=st.integers(1, 40))
def test_in_any_order_and_any_groups_with_repeats_the_end_is_the_same(written: Written, seed: int, most: int) -> None:
    dice = random.Random(seed)
    with tempfile.TemporaryDirectory() as kept:
        folder = Path(kept)
        with Record.open(folder / "shop.db", create=True, state_dir=folder, bench="new", program="test") as record:
            own = record.own_device()
            todo = dice.sample(written.bundles, len(written.bundles))
            todo += dice.choices(written.bundles, k=4)
            dice.shuffle(todo)
            while todo:
                group, todo = todo[:most], todo[most:]
                before = entries(record, own)
                done = taken(record, group)
                assert done.wrong == ()
                assert set(before) <= set(entries(record, own)) <= set(written.whole)  # only ever more, and only theirs
                for device, last in frontier_of(record.connection).items():
                    counted = record.connection.execute("SELECT count(*) FROM entry WHERE device_id = ?", (device,))
                    assert counted.fetchone() == (last,)  # never a gap
                waiting = {said.partition(" ")[0] for said in done.waiting}
                todo += [path for path in group if path.name in waiting]
                if waiting and done.rows == 0 and len(todo) == len(waiting):  # each alone waits for another of them
                    most = len(todo)
            assert entries(record, own) == written.whole
            checked = whole.check(record.connection, record.path, folder)
            assert checked.ok and checked.summaries_off == 0, checked
            again = taken(record, written.bundles)
            assert again.rows == 0 and again.waiting == () and again.wrong == ()


@pytest.mark.parametrize("first", [0, 1])
def test_of_an_entry_that_was_written_twice_the_one_that_came_first_stays(
    written: Written, tmp_path: Path, first: int
) -> None:
    with Record.open(tmp_path / "shop.db", create=True, state_dir=tmp_path, bench="new", program="test") as record:
        own = record.own_device()
        assert taken(record, written.bundles).wrong == ()
        assert taken(record, [written.twice[first]]).counts == {"reading": 1}
        there = entries(record, own)
        assert len(there) == len(written.whole) + 1
        done = taken(record, [written.twice[1 - first], *written.bundles])
        assert done.counts == {} and len(done.wrong) == 1 and "was written twice" in done.wrong[0]
        assert entries(record, own) == there and record.verify().ok
