"""The committed demo.db is what its generator gives, and the record in it is whole and full of work."""

import sqlite3
from collections import Counter
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from inspect_tui.demo import workshop as shop
from inspect_tui.demo.__main__ import main
from inspect_tui.demo.sheets import generate
from inspect_tui.record.store import Record
from tests.worlds.demo_record import OTHER_SEED, demo_record
from tests.worlds.sampled_shop import AFTER_S1, shop_until

COMMITTED = Path(__file__).parents[2] / "demo.db"
AGAIN = "write it again with `python -m inspect_tui.demo`"


def contents(path: Path) -> dict[str, list[tuple[object, ...]]]:
    """Every row of every table, and what the file says of itself; the file is not touched."""
    con = sqlite3.connect(f"file:{path}?mode=ro&immutable=1", uri=True)
    try:
        tables = [name for (name,) in con.execute("SELECT name FROM sqlite_schema WHERE type = 'table' ORDER BY name")]
        found = {table: sorted(con.execute(f"SELECT * FROM {table}"), key=repr) for table in tables}
        found["version"] = con.execute("PRAGMA user_version").fetchall()
        found["schema"] = con.execute("SELECT type, name, sql FROM sqlite_schema ORDER BY type, name").fetchall()
        return found
    finally:
        con.close()


def test_the_committed_file_holds_exactly_what_the_generator_gives(made: Path) -> None:
    assert COMMITTED.is_file(), f"demo.db is not there: {AGAIN}"
    there, fresh = contents(COMMITTED), contents(made)
    assert there.keys() == fresh.keys(), AGAIN
    for table, rows in fresh.items():
        assert len(there[table]) == len(rows), f"{table}: {AGAIN}"
        assert there[table] == rows, f"{table}: {AGAIN}"


def test_the_committed_file_is_one_small_file_without_a_log_beside_it() -> None:
    assert COMMITTED.stat().st_size < 8_000_000
    assert not COMMITTED.with_name("demo.db-wal").exists() or not COMMITTED.with_name("demo.db-wal").stat().st_size


def test_writing_leaves_nothing_beside_the_file(made: Path) -> None:
    assert [path.name for path in made.parent.iterdir()] == ["demo.db"]


def test_writing_twice_gives_the_same_bytes_and_another_seed_others(
    made: Path, tmp_path: Path, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """The first year twice; the whole story against the committed file above."""
    once, again = (tmp_path / name for name in ("once", "again"))
    for folder in (once, again):
        folder.mkdir()
        shop_until(folder / "shop.db", AFTER_S1)[0].close()
    assert (once / "shop.db").read_bytes() == (again / "shop.db").read_bytes()
    assert contents(demo_record(tmp_path_factory, OTHER_SEED))["reading"] != contents(made)["reading"]


def test_the_chain_is_whole(record: Record) -> None:
    checked = record.verify()
    assert checked.ok, checked.problems


def test_every_line_of_every_sheet_is_a_reading_and_blanks_are_none(record: Record) -> None:
    sheets = generate()
    lines = [*sheets.tooling, *sheets.sampling, *sheets.rework, *sheets.production]
    read = [line for line in lines if line.value is not None]
    assert len(lines) - len(read) == 3
    assert record.counts()["reading"] == len(read) + len(shop.STICK_3_READINGS)
    typed = Counter(r.reading.typed for r in record.readings(include_void=True, limit=10_000))
    expected = Counter([line.typed for line in read] + [typed for _, typed, _ in shop.STICK_3_READINGS])
    assert typed == expected
    assert not typed["0"] and not typed["0.00"]


def test_every_check_and_every_reading_of_the_gauge_study_is_there(record: Record) -> None:
    sheets = generate()
    label = {one.label.split("(")[1].rstrip(")"): one for one in record.instruments()}
    checks = [row for name in ("CAL1", "CAL2") for row in record.gauge_checks(label[name].of_id)]
    assert Counter(row.check.typed for row in checks) == Counter(row.typed for row in sheets.checks)
    (study,) = record.gauge_studies()
    trials = record.gauge_trials(study.id)
    part = {one.id: one.label for one in record.gauge_parts(study.id)}
    told = {(row.on, row.person, row.rep): row.typed for row in sheets.study}
    assert {(part[one.trial.part_id], one.by, one.trial.trial): one.trial.typed for one in trials} == told
    assert record.counts()["gauge_trial"] == len(told) == 90


def test_one_lot_file_that_came_twice_is_there_once(record: Record) -> None:
    job = record.jobs()[0]
    serials = Counter(item.serial for item in record.items(job.of_id))
    assert serials.most_common(1)[0][1] == 1
    assert len(serials) == 11 + 800


def test_the_drawing_went_from_a_to_b_and_the_contraction_from_1_to_08_percent(record: Record) -> None:
    (job,) = record.jobs()
    assert [version.a_x for version in record.job_history(job.of_id)] == [0.010, 0.008]
    a, b = record.revisions(job.of_id)
    assert (a.rev, b.rev) == ("A", "B")
    before, after = ({f.balloon: f for f in record.features(revision.id)} for revision in (a, b))
    changed = [x for x in after if (before[x].lower, before[x].upper) != (after[x].lower, after[x].upper)]
    assert changed == ["F41", "F55"]
    assert all(after[x].same_as_id == before[x].id for x in after)


def test_slipped_digits_on_stick_4_are_superseded_by_the_next_day(record: Record) -> None:
    (job,) = record.jobs()
    stick = next(tool for tool in record.tools(job.of_id) if tool.label == "stick 4")
    feature = next(f for f in record.features(record.revisions(job.of_id)[-1].id) if f.balloon == "F41")
    both = record.readings(feature_id=feature.id, tool_of_id=stick.of_id, include_void=True)
    counted = record.readings(feature_id=feature.id, tool_of_id=stick.of_id, include_void=False)
    assert sorted(r.reading.typed for r in both) == ["70.07", "70.70"]
    assert [r.reading.typed for r in counted] == ["70.70"]


def test_stick_3_has_a_dozen_sizes_of_which_five_are_measured(record: Record) -> None:
    (job,) = record.jobs()
    stick = next(tool for tool in record.tools(job.of_id) if tool.label == "stick 3")
    current = {f.id: f.balloon for f in record.features(record.revisions(job.of_id)[-1].id)}
    listed = [current[t.feature_id] for t in record.tool_features(stick.of_id) if t.feature_id in current]
    assert listed == [
        "F08",
        "F09",
        "F10",
        "F11",
        "F29",
        "F47",
        "F61",
        "F63",
        "K3-P1",
        "K3-P2",
        "K3-P3",
        "K3-P4",
        "K5-S",
    ]
    measured = [current[f] for f, s in record.summaries(tool_of_id=stick.of_id).items() if f in current and s.n]
    assert sorted(measured) == ["F08", "F09", "F10", "F29", "K3-P1"]


def test_everything_happened_in_order_and_in_working_hours() -> None:
    con = sqlite3.connect(f"file:{COMMITTED}?mode=ro&immutable=1", uri=True)
    entries = con.execute("SELECT at_us, tz_min, id FROM entry ORDER BY device_id, seq").fetchall()
    con.close()
    times = [at for at, _, _ in entries]
    assert times == sorted(times)
    for at, tz, _ in entries:
        local = datetime.fromtimestamp(at / 1e6, UTC) + timedelta(minutes=tz)
        assert local.weekday() < 5 and 6 <= local.hour < 18, local
    assert datetime.fromtimestamp(times[-1] / 1e6, UTC).date().isoformat() == shop.STICK_3_DAY


def test_the_command_says_what_is_wrong_with_where_it_is_told_to_write(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main([str(tmp_path / "no" / "such" / "x.db")]) == 2
    assert "was not written" in capsys.readouterr().err
    assert main(["a", "b"]) == 2
    assert "Say which file" in capsys.readouterr().err
