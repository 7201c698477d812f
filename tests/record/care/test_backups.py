"""Backups come by the clock, are proved, and the right ones stay."""

from __future__ import annotations

from datetime import datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_tui.errors import RecordError
from inspect_tui.record import attachments
from inspect_tui.record.care import backups
from inspect_tui.record.care.backups import Backup
from inspect_tui.record.store import Record
from tests.record.care.test_whole import DOT

NOW = datetime(2026, 3, 10, 16, 30)


def names(folder: Path) -> list[str]:
    return sorted(file.name for file in folder.iterdir() if file.suffix == ".db")


# ---------------------------------------------------------------- which ones stay
def every(step: timedelta, count: int) -> list[Backup]:
    return [Backup(NOW - n * step, Path(str(n))) for n in range(count)]


def test_of_a_year_of_hourly_backups_24_and_14_and_12_stay() -> None:
    stay = backups.to_keep(every(timedelta(hours=1), 24 * 365))
    at = sorted(NOW - timedelta(hours=int(path.name)) for path in stay)
    assert at[-24:] == [NOW - timedelta(hours=n) for n in range(23, -1, -1)]
    days = sorted({day.date() for day in at})
    assert days[-14:] == [(NOW - timedelta(days=n)).date() for n in range(13, -1, -1)]
    assert len({(day.year, day.month) for day in at}) == 12
    assert len(stay) <= 24 + 14 + 12


def test_days_without_work_take_no_place() -> None:
    weekly = every(timedelta(days=7), 20)
    assert {path.name for path in backups.to_keep(weekly)} >= {str(n) for n in range(14)}


@given(st.lists(st.integers(0, 400 * 24 * 60), max_size=60, unique=True))
def test_the_newest_stays_and_rotating_again_changes_nothing(minutes: list[int]) -> None:
    made = [Backup(NOW - timedelta(minutes=n), Path(str(n))) for n in minutes]
    stay = backups.to_keep(made)
    assert not made or max(made).path in stay
    assert backups.to_keep([backup for backup in made if backup.path in stay]) == stay


# ---------------------------------------------------------------- made
def test_a_backup_holds_readings_and_pictures_and_the_oldest_go(bench) -> None:
    bench.log(59.1)
    kept = attachments.keep(bench.record, DOT, "seat.png", bench.person.id)
    path = bench.record.path
    made = backups.make(path, NOW)
    assert made.path.name == "bench-20260310-163000.db" and made.path.parent == path.parent / "backups"
    assert (made.path.parent / "att" / kept.sha256[:2] / kept.sha256).read_bytes() == DOT
    old = made.path.with_name("bench-20260309-080000.db")
    older = made.path.with_name("bench-20260309-070000.db")
    other = made.path.with_name("bench-20200101-000000-version-6.db")
    for file in (old, older, other, made.path.with_name("benchmark-20200101-000000.db")):
        file.write_bytes(made.path.read_bytes())
    for n in range(24):
        made = backups.make(path, NOW + timedelta(hours=n + 1))
    assert older in made.gone or not older.exists()
    assert old.exists() and other.exists()  # the newest of its day; one with a word is for ever
    assert "benchmark-20200101-000000.db" in names(path.parent / "backups")
    with Record.open(made.path, read_only=True) as copy:
        assert [logged.reading.value for logged in copy.readings()] == [59.1]


def test_a_second_place_that_is_away_is_told_and_the_first_is_there(bench, tmp_path: Path) -> None:
    bench.log(59.1)
    stick = tmp_path / "stick"
    made = backups.make(bench.record.path, NOW, second=stick)
    assert made.second is not None and names(stick) == [made.path.name] and made.wrong == ""
    blocked = tmp_path / "blocked"
    blocked.write_text("a file")
    made = backups.make(bench.record.path, NOW + timedelta(hours=1), second=blocked / "in")
    assert made.second is None and made.wrong.startswith("There is no second backup: No backup")
    assert made.path.exists()


def test_what_an_earlier_backup_of_the_week_proved_is_not_walked_again(bench, monkeypatch) -> None:
    walked: list[object] = []
    real = backups.back_up
    monkeypatch.setattr(backups, "back_up", lambda *given: walked.append(given[-1]) or real(*given))
    bench.log(59.1)
    (head,) = bench.record.heads()
    backups.make(bench.record.path, NOW)
    bench.log(59.2)
    backups.make(bench.record.path, NOW + timedelta(hours=1))
    backups.make(bench.record.path, NOW + timedelta(days=5))  # the Sunday of that week
    backups.make(bench.record.path, NOW + timedelta(days=6))  # Monday
    device, seq, _ = head.split("·")
    one, two = ({bytes.fromhex(device): int(seq) + more} for more in (0, 1))
    assert walked == [{}, one, two, {}]
    newest = max((bench.record.path.parent / "backups").glob("*.db"))
    newest.write_bytes(b"no record any more")
    backups.make(bench.record.path, NOW + timedelta(days=6, minutes=1))
    assert walked[-1] == {}


def test_a_record_that_is_not_whole_has_no_new_backup_and_keeps_the_old(bench) -> None:
    bench.log(59.1)
    good = backups.make(bench.record.path, NOW).path
    bench.record.close()
    import sqlite3

    con = sqlite3.connect(bench.record.path, isolation_level=None)
    con.execute("DROP TRIGGER reading_no_update")
    con.execute("UPDATE reading SET value = 59.9")
    con.close()
    with pytest.raises(RecordError, match="does not verify"):
        backups.make(bench.record.path, NOW + timedelta(days=1))
    assert names(good.parent) == [good.name]


def test_of_two_in_the_same_second_the_second_is_the_newer(bench) -> None:
    for _ in range(3):
        bench.log(59.1)
        made = backups.make(bench.record.path, NOW)
        assert made.path.exists() and backups.standing(bench.record.path, NOW).complete
    assert made.path.name == "bench-20260310-163000-3.db" and made.gone == ()


# ---------------------------------------------------------------- when, and how it stands
def test_hourly_while_readings_come_and_not_else(bench) -> None:
    path = bench.record.path
    now = datetime.now()
    assert not backups.due(path, now)  # begun this minute
    assert backups.due(path, now + timedelta(hours=1, minutes=1))
    bench.log(59.1)
    backups.make(path, now)
    assert not backups.due(path, now + timedelta(hours=3))  # nothing since
    bench.log(59.2)
    assert not backups.due(path, now + timedelta(minutes=59))
    assert backups.due(path, now + timedelta(minutes=61))
    assert backups.due(path, now - timedelta(days=1))  # the clock was set back


def test_the_standing_is_red_a_day_after_work_without_a_backup(bench) -> None:
    path = bench.record.path
    now = datetime.now().replace(microsecond=0)
    bench.log(59.1)
    bare = backups.standing(path, now)
    assert (bare.newest, bare.complete, bare.old) == (None, False, False)
    made = backups.make(path, now)
    done = backups.standing(path, now + timedelta(days=9))
    assert done.newest == Backup(now.replace(microsecond=1), made.path) and done.complete and not done.old
    bench.log(59.2)
    assert not backups.standing(path, now + timedelta(hours=23)).old
    late = backups.standing(path, now + timedelta(hours=25))
    assert late.old and not late.complete
