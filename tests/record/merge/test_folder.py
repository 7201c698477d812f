"""Benches that share a folder end with one record each, the same at all, in any order and however often."""

from __future__ import annotations

import random
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from inspect_tui.errors import RecordError
from inspect_tui.frozen import replace
from inspect_tui.record import attachments
from inspect_tui.record.merge import folder as folder_module
from inspect_tui.record.merge.folder import MOST_ENTRIES, Named, bundles_in, covered
from tests.record.care.test_whole import DOT
from tests.record.merge.conftest import Station

Make = Callable[[str], Station]


def use_what_came(station: Station, of: Station) -> None:
    """Measure with the things of another bench, once they came in."""
    assert of.things is not None
    station.things = of.things


def test_what_one_wrote_is_at_the_other_with_its_pictures(stations: Make, share: Path) -> None:
    a, b = stations("bench a"), stations("bench b")
    a.furnish()
    kept = attachments.keep(a.record, DOT, "seat.png", a.things.person.id)
    a.log(59.1)
    first = a.sync(share)
    assert first.came.rows == 0 and len(first.written) == 1
    done = b.sync(share)  # nothing was entered here yet: it joins that shop
    assert done.came.counts["reading"] == 1 and done.came.wrong == () and done.came.waiting == ()
    assert attachments.stored_at(b.record.path, kept.sha256).read_bytes() == DOT
    use_what_came(b, a)
    b.log(59.2)
    b.sync(share)
    a.sync(share)
    assert a.values() == b.values() == [59.1, 59.2] and a.content() == b.content()
    summary = a.record.summaries(a.things.tool.of_id)
    assert [s.n for s in summary.values()] == [2] if isinstance(summary, dict) else [s.n for s in summary] == [2]


def test_done_again_it_changes_nothing(stations: Make, share: Path) -> None:
    a, b = stations("bench a"), stations("bench b")
    a.furnish()
    a.log(59.1)
    for _ in range(3):
        a.sync(share), b.sync(share)
    files = {path.name: path.read_bytes() for path in share.iterdir()}
    before = a.content(), b.content()
    for _ in range(2):
        done = a.sync(share)
        assert done.came.rows == 0 and done.written == ()
        b.sync(share)
    assert {path.name: path.read_bytes() for path in share.iterdir()} == files
    assert (a.content(), b.content()) == before


@pytest.mark.parametrize("seed", range(4))
def test_in_any_order_all_benches_end_the_same(stations: Make, share: Path, seed: int, monkeypatch) -> None:
    monkeypatch.setattr(folder_module, "MOST_ENTRIES", 7)
    rng = random.Random(seed)
    benches = [stations(f"bench {n}") for n in range(4)]
    benches[0].furnish()
    benches[0].sync(share)
    for bench in benches[1:]:
        bench.sync(share)
        use_what_came(bench, benches[0])
    logged = []
    for step in range(40):
        bench = rng.choice(benches)
        if rng.random() < 0.3:
            bench.sync(share)
        else:
            logged.append(59 + step / 1000)
            bench.log(logged[-1])
    for _ in range(2):
        for bench in rng.sample(benches, len(benches)):
            bench.sync(share)
    assert all(bench.values() == logged for bench in benches)
    assert all(bench.content() == benches[0].content() for bench in benches)


def test_what_rests_on_bundles_that_are_not_there_yet_waits(stations: Make, share: Path, tmp_path: Path) -> None:
    a, b, c = stations("bench a"), stations("bench b"), stations("bench c")
    a.furnish()
    a.sync(share)
    b.sync(share)
    use_what_came(b, a)
    b.log(59.2)
    b.sync(share)
    late = tmp_path / "late"
    late.mkdir()
    (a_bundle,) = [one.path for one in bundles_in(share) if one.device == a.record.device_id]
    for one in bundles_in(share):
        if one.path != a_bundle:
            shutil.copy(one.path, late)
    done = c.sync(late)
    assert len(done.came.waiting) == len(list(late.glob("*.itui"))) - len(done.written)
    assert "waits for entries 1 to" in done.came.waiting[0] and c.values() == []
    shutil.copy(a_bundle, late)
    assert c.sync(late).came.waiting == () and c.values() == [59.2]


def test_another_shop_is_refused_until_it_is_adopted_by_name(stations: Make, share: Path) -> None:
    a, b = stations("bench a"), stations("Bench B")
    a.furnish()
    b.furnish()
    a.log(59.1)
    b.log(59.2)
    a.sync(share)
    done = b.sync(share)
    assert done.came.rows == 0 and "comes from the bench “bench a” of another shop" in done.came.wrong[0]
    assert b.sync(share, adopt="bench x").came.rows == 0
    assert b.sync(share, adopt="BENCH A").came.counts["reading"] == 1
    assert a.sync(share).came.counts["reading"] == 1  # the bundle says that it took this shop for its own
    b.sync(share)
    assert a.values() == b.values() == [59.1, 59.2] and a.content() == b.content()


def test_a_device_that_was_written_twice_is_refused_and_the_others_come(stations: Make, share: Path) -> None:
    a, b, c = stations("bench a"), stations("bench b"), stations("bench c")
    a.furnish()
    a.log(59.1)
    a.record.close()
    clone = b.folder / "shop.db"
    b.record.close()
    for end in ("", "-wal"):
        Path(f"{clone}{end}").unlink(missing_ok=True)
    shutil.copy(a.folder / "shop.db", clone)
    shutil.rmtree(b.folder / "state")
    shutil.copytree(a.folder / "state", b.folder / "state")  # a whole machine was copied
    for file in (b.folder / "state" / "devices").iterdir():
        file.write_text(file.read_text().replace(str(a.folder), str(b.folder)))
    a.record, b.record = a.open(), b.open()
    b.things = a.things
    a.log(59.2)
    b.log(59.3)
    a.sync(share)
    done = b.sync(share)
    assert b.values() == [59.1, 59.3]
    assert done.came.wrong == () or "was written twice" in done.came.wrong[0]
    other = b.folder / "other"
    other.mkdir()
    b.sync(other)
    for one in bundles_in(other):
        shutil.copy(one.path, share / one.path.name.replace("-1-", "-1-9"))
    done = a.sync(share)
    assert any("was written twice" in said for said in done.came.wrong)
    assert c.sync(share).came.rows > 0  # one of the two
    assert c.content()


def test_two_versions_made_apart_are_both_kept_until_one_is_saved(stations: Make, share: Path) -> None:
    a, b = stations("bench a"), stations("bench b")
    a.furnish()
    a.sync(share)
    b.sync(share)
    use_what_came(b, a)
    tool, job = a.things.tool, a.things.job.of_id
    a.record.revise(tool, a.things.person.id, label="stick one")
    b.record.revise(tool, a.things.person.id, label="stick 1b")
    for bench in (a, b, a):
        bench.sync(share)
    (shown,) = a.record.tools(job)
    assert shown == b.record.tools(job)[0] and a.content() == b.content()
    b.record.revise(shown, a.things.person.id, label="stick 1 after all")
    b.sync(share)
    a.sync(share)
    assert [t.label for t in a.record.tools(job)] == ["stick 1 after all"]


def test_one_balloon_from_two_benches_comes_in_twice(stations: Make, share: Path) -> None:
    a, b = stations("bench a"), stations("bench b")
    a.furnish()
    a.sync(share)
    b.sync(share)
    use_what_came(b, a)
    new = replace(a.things.features[0], id=b"", balloon="F99", ends=())
    a.record.add(new, a.things.person.id)
    b.record.add(replace(new, name="another"), a.things.person.id)
    for bench in (a, b, a):
        bench.sync(share)
    same = [f.name for f in a.record.features(a.things.revision.id) if f.balloon == "F99"]
    assert sorted(same) == sorted([new.name, "another"]) and a.content() == b.content()


def test_a_restored_bench_goes_on_as_a_new_device_and_gets_back_what_it_lacks(stations: Make, share: Path) -> None:
    a = stations("bench a")
    a.furnish()
    a.log(59.1)
    backup = a.record.backup()
    a.log(59.2)
    a.sync(share)
    a.record.close()
    shutil.copy(backup, a.folder / "shop.db")
    a.record = a.open()
    assert a.values() == [59.1]
    a.sync(share)
    assert a.values() == [59.1, 59.2]
    a.log(59.3)
    a.sync(share)
    b = stations("bench b")
    b.sync(share)
    a.sync(share)
    assert a.values() == b.values() == [59.1, 59.2, 59.3] and a.content() == b.content()


def test_a_copied_record_sends_its_older_chain_and_its_new_one_at_once(stations: Make, share: Path) -> None:
    """Each of the two bundles rests on the other: what was written before the copy, and the device that began then."""
    a, b, c = stations("bench a"), stations("bench b"), stations("bench c")
    a.furnish()
    a.log(59.1)
    a.record.close()
    b.record.close()
    shutil.copy(a.folder / "shop.db", b.folder / "shop.db")
    b.record, b.things = b.open(), a.things
    b.log(59.2)
    assert len(b.sync(share).written) == 2
    done = c.sync(share)
    assert done.came.waiting == () and done.came.wrong == () and c.values() == [59.1, 59.2]
    b.sync(share)
    assert b.content() == c.content()


def test_names_of_bundles_and_what_they_cover(share: Path, tmp_path: Path) -> None:
    device = b"\x11" * 16
    (share / f"{device.hex()}-1-7.itui").write_text("")
    (share / f".{device.hex()}-8-9.itui.77").write_text("")
    (share / "notes.txt").write_text("")
    assert bundles_in(share) == [Named(device, 1, 7, share / f"{device.hex()}-1-7.itui")]
    named = [Named(device, first, last, share) for first, last in ((1, 7), (5, 9), (12, 20), (10, 11), (30, 40))]
    assert covered(named) == 20 and covered([]) == 0 and covered(named[2:]) == 0
    with pytest.raises(RecordError, match="cannot be read"):
        bundles_in(tmp_path / "none")
    assert MOST_ENTRIES >= 10_000


def test_no_folder_and_a_record_that_may_only_be_read(stations: Make, share: Path, tmp_path: Path) -> None:
    a = stations("bench a")
    with pytest.raises(RecordError, match="There is no folder"):
        a.sync(tmp_path / "stick")
    a.record.stop_writing("It is damaged.")
    with pytest.raises(RecordError):
        a.sync(share)
