"""`inspect-tui log`: what goes through a pipe is logged, acknowledged and judged as at the bench."""

from __future__ import annotations

import io
import json
import os
import subprocess
import sys
import time
from pathlib import Path
from types import SimpleNamespace

import pytest

from inspect_tui.errors import DiskFull
from inspect_tui.record.store import Record
from inspect_tui.shop.common import find
from inspect_tui.shop.jobs import jobs
from inspect_tui.todo import Todo
from tests.commands.conftest import Run
from tests.conftest import SmallShop

AT = ("--on", "stick 1", "--by", "AB", "--with", "caliper 1")


def test_one_ack_a_reading_with_id_feature_mm_and_verdict(on_shop: Run, shop: SmallShop) -> None:
    ran = on_shop("log", "--job", "SV-12", *AT, stdin="F1 59.60 59,62\nF2 40.70\n")
    assert ran.status == 0
    lines = [line.split(" ", 4) for line in ran.out.splitlines()]
    assert [(w[0], w[2], w[3], w[4]) for w in lines] == [
        ("ACK", "F1", "59.6", "conforms"),
        ("ACK", "F1", "59.62", "conforms"),
        ("ACK", "F2", "40.7", "does not conform"),
    ]
    with Record.open(shop.path) as record:
        tool = record.tools(record.jobs()[0].of_id)[0]
        ids = [str(__import__("uuid").UUID(bytes=r.reading.id)) for r in record.readings(tool_of_id=tool.of_id)]
    assert sorted(ids) == sorted(words[1] for words in lines)


def test_the_program_leaves_at_once_and_all_of_its_answers_are_there(shop: SmallShop) -> None:
    """As installed, into a pipe: every line, the talk, and the status of a run in which a line was no reading."""
    shop.record.close()
    call = [sys.executable, "-m", "inspect_tui", "--record", str(shop.path), "log", *AT]
    done = subprocess.run(call, input="F1 59.60\nF9 1\nF2 40.40\n", capture_output=True, text=True)
    assert done.returncode == 2 and "line 2" in done.stderr
    assert [line.split()[2] for line in done.stdout.splitlines()] == ["F1", "F2"]


def test_the_job_may_be_left_out_where_there_is_one(on_shop: Run) -> None:
    assert on_shop("log", *AT, stdin="f1 2.346 in\n").out.split()[3].startswith("59.588")


def test_json_carries_target_cut_and_casting(on_shop: Run) -> None:
    ran = on_shop("log", *AT, "--json", stdin="F1 59.75\n")
    row = json.loads(ran.out)[0]
    assert row["target_mm"] == pytest.approx(59.59)
    assert row["cut_mm"] == pytest.approx(-0.16)
    assert row["casting_mm"] == pytest.approx(59.75 / 1.01)


def test_a_bad_line_is_said_and_the_others_are_logged(on_shop: Run) -> None:
    ran = on_shop("log", *AT, stdin="F1 59.60\nF99 1\nF2 abc\nF2\n\n# a remark\nF2 40.40\n")
    assert ran.status == 2
    assert [line.split()[2] for line in ran.out.splitlines()] == ["F1", "F2"]
    assert "line 2" in ran.err and "F99 is not on revision A" in ran.err
    assert "line 3" in ran.err and "not a size" in ran.err
    assert "line 4" in ran.err


def test_a_likely_slip_is_logged_as_typed_and_asked_on_stderr(on_shop: Run) -> None:
    ran = on_shop("log", *AT, stdin="F1 95.59\n")
    assert ran.status == 0
    assert "95.59" in ran.out
    assert "59.59" in ran.err


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (("--on", "stick 9"), "no tool or casting 'stick 9'"),
        (("--by", "ABC"), "no person 'ABC'"),
        (("--with", "caliper 3"), "no instrument 'caliper 3'"),
        (("--job", "XX-1"), "no job 'XX-1'"),
    ],
)
def test_an_unknown_name_is_said_with_what_there_is(on_shop: Run, change: tuple[str, str], said: str) -> None:
    ran = on_shop("log", *AT, *change, stdin="F1 59.60\n")
    assert ran.status == 2
    assert said in ran.err
    assert "nearest" in ran.err or "there are" in ran.err
    assert ran.out == ""


def test_a_missing_record_is_said(cli: Run, tmp_path_factory: pytest.TempPathFactory) -> None:
    ran = cli("--record", str(tmp_path_factory.mktemp("x") / "no.db"), "log", *AT, stdin="F1 1\n")
    assert ran.status == 2
    assert "no record" in ran.err


def test_the_record_may_come_from_the_environment(cli: Run, shop: SmallShop, monkeypatch: pytest.MonkeyPatch) -> None:
    shop.record.close()
    monkeypatch.setenv("INSPECT_TUI_RECORD", str(shop.path))
    assert cli("show", "--json").status == 0


# ------------------------------------------------------------------------------ records that cannot be used
def test_a_text_file_is_not_a_record_and_stays_untouched(cli: Run, tmp_path_factory: pytest.TempPathFactory) -> None:
    file = tmp_path_factory.mktemp("x") / "notes.db"
    file.write_text("dear diary, " * 200)
    before = file.read_bytes()
    ran = cli("--record", str(file), "log", *AT, stdin="F1 59.60\n")
    assert ran.status == 2
    assert "not" in ran.err and "record" in ran.err
    assert file.read_bytes() == before


def test_a_newer_record_is_refused_naming_both_versions(on_shop: Run, shop: SmallShop) -> None:
    import sqlite3

    with sqlite3.connect(shop.path) as con:
        con.execute("PRAGMA user_version = 999")
    con.close()
    ran = on_shop("log", *AT, stdin="F1 59.60\n")
    assert ran.status == 2
    assert "999" in ran.err


def test_a_record_that_may_only_be_read_can_be_shown_but_not_written(
    on_shop: Run, shop: SmallShop, monkeypatch: pytest.MonkeyPatch
) -> None:
    original = Record.open

    def read_only(path: object, **how: object) -> Record:
        return original(path, **{**how, "read_only": True})  # type: ignore[arg-type]

    monkeypatch.setattr(Record, "open", read_only)
    assert on_shop("show", "--json").status == 0
    ran = on_shop("log", *AT, stdin="F1 59.60\n")
    assert ran.status == 2
    assert ran.out == ""
    assert "not logged" in ran.err.lower()


def test_a_fresh_record_takes_readings_from_a_script(cli: Run, tmp_path_factory: pytest.TempPathFactory) -> None:
    folder = tmp_path_factory.mktemp("fresh")
    (folder / "job.toml").write_text(cli("job", "example").out, "utf-8")
    record = str(folder / "new.db")
    assert cli("job", "add", str(folder / "job.toml"), "--record", record).status == 0
    ran = cli("log", "--record", record, "--on", "stick 1", "--by", "AB", "--with", "caliper 2", stdin="F1 59.66\n")
    assert ran.status == 0
    assert ran.out.startswith("ACK ") and "F1 59.66" in ran.out
    assert "AB is new here" in ran.err and "caliper 2 is new here" in ran.err
    again = cli("log", "--record", record, "--on", "stick 1", "--by", "AB", "--with", "caliper 2", stdin="F1 59.66\n")
    assert "new here" not in again.err


def test_what_was_taken_out_and_what_is_assumed_is_said_once(on_shop: Run) -> None:
    ran = on_shop("log", "--on", "stick 1", "--by", "AB", "--with", "caliper 2", stdin="F1 59.6\x1b[2J\nF1 59.61\n")
    assert ran.status == 0
    assert "taken out" in ran.err or "removed" in ran.err
    assert ran.err.count("no calibration on record") == 1


def test_a_temperature_nobody_works_at_is_refused(on_shop: Run) -> None:
    ran = on_shop("log", *AT, "--temperature", "400", stdin="F1 59.60\n")
    assert ran.status == 2 and "400" in ran.err and ran.out == ""


def test_when_the_record_cannot_be_written_one_sentence_says_how_many_lines_are_left(
    on_shop: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object, **__: object) -> None:
        raise DiskFull("Not logged: the disk is full (0.3 MB free).", todo=Todo.FREE_SPACE, tells_fate=True)

    monkeypatch.setattr(Record, "add_all", full)
    ran = on_shop("log", *AT, stdin="F1 59.60\nF2 40.40\nF3 212.1\n")
    assert ran.status == 2 and ran.out == ""
    assert ran.err.count("disk is full") == 1 and "3 lines were not logged" in ran.err and "Enter" not in ran.err


def test_a_reading_that_looks_like_another_features_is_logged_and_the_question_told_whole(on_shop: Run) -> None:
    ran = on_shop("log", *AT, stdin="F1 40.40\n")
    assert ran.status == 0 and ran.out.startswith("ACK ")
    assert "line 1: logged as typed, but: 40.40: is this F2 instead?\n" in ran.err


def test_a_feature_of_the_drawing_that_this_tool_does_not_make_is_said_to_be_elsewhere(on_shop: Run) -> None:
    ran = on_shop("log", *AT, stdin="F4 240.1\n")
    assert "F4 is not measured on stick 1; measured there: F3, F1, F2, P1." in ran.err
    assert "not on revision" not in ran.err
    assert ran.out == ""


def test_a_day_in_the_past_is_the_day_of_the_readings(on_shop: Run) -> None:
    words = ("log", "--job", "SV-12", "--on", "stick 1", "--by", "AB", "--with", "caliper 1")
    assert on_shop(*words, "--day", "2025-03-10", stdin="F1 59.61\n").status == 0
    assert on_shop(*words, stdin="F1 59.60\n").status == 0
    assert on_shop(*words, "--day", "2025-01-20", stdin="F1 59.62\n").status == 0
    (track,) = json.loads(on_shop("trend", "F1", "--on", "stick 1", "--json").out)["tracks"]
    assert [r["value"] for r in track["readings"]] == [59.62, 59.61, 59.60]
    assert [r["on"] for r in track["readings"]][:2] == ["2025-01-20", "2025-03-10"]


def test_a_day_to_come_is_refused_and_nothing_is_logged(on_shop: Run) -> None:
    words = ("log", "--job", "SV-12", "--on", "stick 1", "--by", "AB", "--with", "caliper 1")
    ran = on_shop(*words, "--day", "2199-01-01", stdin="F1 59.61\n")
    assert ran.status == 2 and "still to come" in ran.err and ran.out == ""
    words = ("log", "--job", "SV-12", "--on", "stick 1", "--by", "ZZ", "--with", "caliper 99")
    ran = on_shop(*words, "--day", "2199-01-01", stdin="F1 59.61\n")
    assert "new here" not in ran.err  # nobody is left behind who never measured
    assert "ZZ" not in on_shop("person", "list").out and "caliper 99" not in on_shop("gauge", "list").out


def test_repeats_that_disagree_are_in_question_with_a_u_within_them(on_shop: Run) -> None:
    words = ("log", "--job", "SV-12", "--on", "stick 1", "--by", "AB", "--with", "caliper 1")
    ran = on_shop(*words, "--json", stdin="F3 212.10 212.40\n")
    rows = json.loads(ran.out)
    assert [row["verdict"] for row in rows] == ["in question"] * 2
    assert [row["slip"] for row in rows] == ["none"] * 2
    assert all(row["U_mm"] < 0.3 and row["cut"] is None and row["p_conform"] is None for row in rows)
    assert "212.10 and 212.40 lie 0.30 mm apart" in rows[0]["question"] and "lie 0.30 mm apart" in ran.err
    shown = json.loads(on_shop("show", "--job", "SV-12", "--json").out)
    assert [r["verdict"] for r in shown if r["feature"] == "F3" and r["tool"] == "stick 1"] == ["in question"]


def test_the_u_that_is_printed_has_its_k(on_shop: Run) -> None:
    words = ("log", "--job", "SV-12", "--on", "stick 1", "--by", "AB", "--with", "caliper 1")
    (row,) = json.loads(on_shop(*words, "--json", stdin="F3 212.10\n").out)
    assert row["U_mm"] == pytest.approx(row["k"] * row["u_mm"]) and row["k"] == pytest.approx(2.0)


def test_a_clock_that_is_wrong_is_said_and_readings_are_marked(on_shop: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    on_shop("log", *AT, stdin="F1 59.60\n")
    now = time.time_ns()
    wall = SimpleNamespace(time_ns=lambda: now + 3653 * 86_400 * 10**9, localtime=time.localtime)
    monkeypatch.setattr("inspect_tui.record.chain.ids.time", wall)
    ran = on_shop("log", *AT, "--json", stdin="F1 59.61\n")
    assert ran.status == 0
    assert "set the clock right" in ran.err and "(--day)" in ran.err
    assert json.loads(ran.out)[0]["clock_doubt"] is True
    day = time.strftime("%Y-%m-%d", time.localtime(wall.time_ns() / 1e9))
    ran = on_shop("log", *AT, "--json", "--day", day, stdin="F1 59.62\n")  # it is that late
    assert "clock" not in ran.err
    assert json.loads(ran.out)[0]["clock_doubt"] is False


def test_a_machined_casting_is_logged_finished(on_shop: Run, shop: SmallShop) -> None:
    with Record.open(shop.path) as record:
        jobs.add_casting(record, find.job(record, None), "C1")
    at = ("--on", "casting C1", "--by", "AB", "--with", "caliper 1")
    raw = json.loads(on_shop("log", *at, "--json", stdin="F1 59.00\n").out)
    assert [(row["state"], row["verdict"], row["target_mm"]) for row in raw] == [("raw", "conforms", 59.0)]
    ran = on_shop("log", *at, "--state", "finished", "--json", stdin="F1 62.00\nF2 40\n")
    assert [(r["state"], r["verdict"], r["lower_mm"]) for r in json.loads(ran.out)] == [("finished", "conforms", 61.2)]
    assert ran.status == 2 and "line 2: F2 40: not logged: F2 is not machined: it has no stock" in ran.err
    shown = on_shop("show", "--on", "casting C1").out
    assert "casting C1, finished" in shown
    refused = on_shop("log", *AT, "--state", "finished", stdin="F1 59.00\n")
    assert refused.status != 0 and "stick 1 is no casting" in refused.err


def test_when_who_reads_the_answers_goes_away_the_rest_is_said_to_be_unlogged(
    on_shop: Run, shop: SmallShop, monkeypatch: pytest.MonkeyPatch
) -> None:
    written: list[str] = []

    class Head(io.TextIOBase):
        """Reads one line, as `head -1` does."""

        def write(self, text: str) -> int:
            if any("\n" in part for part in written):
                raise BrokenPipeError
            written.append(text)
            return len(text)

    monkeypatch.setattr("sys.stdout", Head())
    ran = on_shop("log", *AT, stdin="F1 59.60\n\nF1 59.61\nF1 59.62\nF2 40.7\n")
    assert ran.status == 2 and "".join(written).startswith("ACK ")
    assert "line 3: logged, but whoever read the answers has gone. 2 lines were not logged" in ran.err
    with Record.open(shop.path) as record:
        assert sorted(logged.reading.value for logged in record.readings()) == [59.60, 59.61]


def test_a_backup_is_made_after_an_hour_of_readings(on_shop: Run, shop: SmallShop) -> None:
    on_shop("log", *AT, stdin="F1 59.60\n")
    backups = shop.path.parent / "backups"
    assert not backups.exists()
    lock = Path(f"{shop.path}.lock")
    os.utime(lock, (time.time() - 3700,) * 2)
    assert on_shop("log", *AT, stdin="F1 59.61\n").err == ""
    (made,) = backups.glob("shop-*.db")
    on_shop("log", *AT, stdin="F1 59.62\n")
    assert list(backups.glob("*.db")) == [made]


def test_a_round_is_gone_on_with_by_its_day_and_says_what_is_left(on_shop: Run) -> None:
    def left(day: str, lines: str) -> str:
        return on_shop("log", *AT, "--round", day, stdin=lines).err.splitlines()[-1]

    assert left("2026-11-01", "F3 212.11\nF1 59.61\n").endswith("round of 2026-11-01: 2 of 4 read, 2 left: F2, P1.")
    assert left("2026-11-01", "F2 40.41\nP1 39.91\n").endswith("4 of 4 read, 0 left.")
    assert "1 of 4 read" in left("2026-11-02", "F2 40.41\n")
