"""Bundles of strangers: names, sizes, ratios, hashes and rows are looked at, and nothing of a bad one is used."""

from __future__ import annotations

import json
import zipfile
from collections.abc import Callable
from contextlib import closing
from hashlib import sha256
from pathlib import Path

import pytest

from inspect_tui.errors import DataError
from inspect_tui.record.merge import bundle as bundle_module
from inspect_tui.record.merge.bundle import Bundle
from inspect_tui.record.merge.folder import bundles_in
from inspect_tui.record.merge.take_in import take_in
from tests.record.merge.conftest import Station

Make = Callable[[str], Station]


@pytest.fixture
def good(stations: Make, share: Path) -> Path:
    """A bundle of a bench with a few readings."""
    a = stations("bench a")
    a.furnish()
    a.log(59.1)
    a.log(59.2)
    a.sync(share)
    return bundles_in(share)[0].path


def remade(good: Path, to: Path, change: Callable[[dict[str, bytes]], None], rehash: bool = True) -> Path:
    """The same bundle with its members changed; `rehash` makes the manifest fit again."""
    with zipfile.ZipFile(good) as archive:
        members = {name: archive.read(name) for name in archive.namelist()}
    change(members)
    if rehash and "manifest.json" in members:
        manifest = json.loads(members["manifest.json"])
        manifest["members"] = {
            name: sha256(data).hexdigest() for name, data in members.items() if name != "manifest.json"
        }
        members["manifest.json"] = json.dumps(manifest).encode()
    with zipfile.ZipFile(to, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in members.items():
            archive.writestr(name, data)
    return to


def taken(stations: Make, path: Path) -> tuple[str, Station]:
    """What a bare bench says of it, in a folder of its own; it must have taken nothing."""
    b = stations("bench b")
    folder = path.parent / "in"
    folder.mkdir(exist_ok=True)
    with zipfile.ZipFile(path) if zipfile.is_zipfile(path) else closing(path.open("rb")):
        pass
    (folder / f"{'1' * 32}-1-99.itui").write_bytes(path.read_bytes())
    done = b.sync(folder)
    assert done.came.rows == 0 and b.values() == [] and b.record.verify().ok
    return " ".join(done.came.wrong + done.came.waiting), b


def test_a_good_one_is_whole(good: Path) -> None:
    bundle = Bundle(good)
    bundle.prove()
    assert bundle.manifest.bench == "bench a" and list(bundle.manifest.members) == ["rows.jsonl"]
    (until,) = bundle.manifest.until.values()
    assert sum(1 for _ in bundle.lines()) == until


@pytest.mark.parametrize("name", ["../evil", "/etc/x", "att/../x", "att/" + "A" * 64, "rows.jsonl.py", "att\\x", "x"])
def test_names_that_do_not_belong_are_refused(good: Path, tmp_path: Path, stations: Make, name: str) -> None:
    bad = remade(good, tmp_path / "bad.itui", lambda members: members.update({name: b"x"}))
    said, _ = taken(stations, bad)
    assert "a file that does not belong in one" in said
    assert not (tmp_path / "evil").exists()


def flipped(members: dict[str, bytes]) -> None:
    rows = bytearray(members["rows.jsonl"])
    rows[len(rows) // 2] ^= 1
    members["rows.jsonl"] = bytes(rows)


def other_value(members: dict[str, bytes]) -> None:
    old = (59.1).hex().encode()
    assert old in members["rows.jsonl"]
    members["rows.jsonl"] = members["rows.jsonl"].replace(old, (59.3).hex().encode())


def without_a_line(members: dict[str, bytes]) -> None:
    rows = members["rows.jsonl"].splitlines(keepends=True)
    members["rows.jsonl"] = b"".join(rows[:5] + rows[6:])


def without_the_end(members: dict[str, bytes]) -> None:
    members["rows.jsonl"] = b"".join(members["rows.jsonl"].splitlines(keepends=True)[:-1])


def cut_off(members: dict[str, bytes]) -> None:
    members["rows.jsonl"] = members["rows.jsonl"][:-1]


def long_line(members: dict[str, bytes]) -> None:
    members["rows.jsonl"] += b"x" * (70 << 10) + b"\n"


def other_form(members: dict[str, bytes]) -> None:
    members["manifest.json"] = members["manifest.json"].replace(b"itui-bundle-1", b"itui-bundle-9")


def no_manifest(members: dict[str, bytes]) -> None:
    members["manifest.json"] = b"[1, 2]"


def manifest_gone(members: dict[str, bytes]) -> None:
    del members["manifest.json"]


@pytest.mark.parametrize(
    ("change", "rehash", "says"),
    [
        (flipped, False, "is not what the manifest says"),
        (other_value, True, "is not what was written"),
        (without_a_line, True, "entry 6 of device"),
        (without_the_end, True, "that its manifest names are missing"),
        (cut_off, True, "its last line is cut off"),
        (long_line, True, "a line that is too long"),
        (other_form, True, "its form is 'itui-bundle-9'"),
        (no_manifest, False, "its manifest is not one"),
        (manifest_gone, False, "manifest.json cannot be read"),
    ],
)
def test_whatever_was_changed_is_found(good, tmp_path, stations, change, rehash, says) -> None:
    said, _ = taken(stations, remade(good, tmp_path / "bad.itui", change, rehash))
    assert says in said


def test_sizes_are_counted_and_not_believed(good: Path, tmp_path: Path, stations: Make, monkeypatch) -> None:
    bomb = remade(good, tmp_path / "bomb.itui", lambda members: members.update({"rows.jsonl": b"\0" * 20_000_000}))
    said, b = taken(stations, bomb)
    assert "bytes would become" in said
    monkeypatch.setattr(bundle_module, "MOST_RATIO", 10**9)
    monkeypatch.setattr(bundle_module, "MOST_BYTES", 1_000)
    with pytest.raises(DataError, match="would become"):
        Bundle(good)
    monkeypatch.setattr(bundle_module, "MOST_MEMBERS", 1)
    with pytest.raises(DataError, match="holds 2 files"):
        Bundle(good)
    assert b.values() == []


def test_a_header_that_lies_about_its_size_is_found_while_reading(good: Path, monkeypatch) -> None:
    bundle = Bundle(good)
    monkeypatch.setattr(bundle_module, "MOST_BYTES", 100)
    with pytest.raises(DataError, match=r"rows\.jsonl is longer than it may be"):
        list(bundle.lines())


def test_a_picture_that_is_not_its_name_is_refused(good: Path, tmp_path: Path, stations: Make) -> None:
    bad = remade(good, tmp_path / "bad.itui", lambda members: members.update({f"att/{'a' * 64}": b"no picture"}))
    said, b = taken(stations, bad)
    assert "is not what the manifest says" in said and not (b.folder / "att").exists()


def test_what_is_no_bundle_or_only_half_there_is_left_for_next_time(good: Path, tmp_path: Path, stations: Make) -> None:
    half = tmp_path / "half.itui"
    half.write_bytes(good.read_bytes()[:-200])
    said, _ = taken(stations, half)
    assert "is no bundle, or not all of it is there yet" in said


def line_twice(members: dict[str, bytes]) -> None:
    rows = members["rows.jsonl"].splitlines(keepends=True)
    members["rows.jsonl"] = b"".join([*rows[:-1], rows[-2], rows[-1]])


def test_of_a_broken_one_nothing_comes_in_with_the_good_one(good: Path, tmp_path: Path, stations: Make) -> None:
    """All at once, as files that are given by hand: rows of the broken one were read before its fault was."""
    c = stations("bench c")
    c.furnish()
    c.sync(tmp_path)
    bad = remade(good, tmp_path / "bad.itui", other_value)
    b = stations("bench b")
    done = take_in(b.record, [Bundle(bad), *map(Bundle, [named.path for named in bundles_in(tmp_path)])], "bench c")
    assert len(done.wrong) == 1 and "is not what was written" in done.wrong[0]
    other = stations("bench d")
    take_in(other.record, [Bundle(remade(good, tmp_path / "twice.itui", line_twice))])  # one line of it twice
    assert other.values() == [59.1, 59.2] and other.record.verify().ok and b.record.verify().ok
    entries = b.record.connection.execute("SELECT count(*) FROM entry WHERE device_id = ?", (c.record.device_id,))
    assert entries.fetchone() == (done.rows,) and b.values() == []
