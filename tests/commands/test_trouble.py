"""Whatever goes wrong ends in one sentence on stderr and status 2: the program is run as a shell runs it."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from inspect_tui.shop.jobs import jobs
from tests.commands.conftest import Run
from tests.conftest import SmallShop

HERE = Path(sys.executable)
LOG = "log --on 'stick 1' --by AB --with 'caliper 1'"


def shell(line: str, at: Path, **environment: str) -> tuple[int, str, str]:
    """Status, stdout and stderr of the program with `line` behind its name, run by a shell in the folder `at`."""
    done = subprocess.run(
        ["/bin/bash", "-c", f"set -o pipefail; {HERE} -m inspect_tui {line}"],
        cwd=at,
        env={
            **{k: v for k, v in os.environ.items() if k not in ("PYTHONUNBUFFERED", "COLUMNS", "LINES")},
            **environment,
        },
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        timeout=60,
    )
    return done.returncode, done.stdout, done.stderr


def one_sentence(done: tuple[int, str, str], *words: str) -> None:
    status, out, err = done
    assert (status, out) == (2, ""), err
    assert err.startswith("inspect-tui: ") and err.count("\n") == 1, err
    for word in words:
        assert word in err


@pytest.fixture
def there(shop: SmallShop, tmp_path: Path) -> Path:
    """A folder with a record `shop.db`, which nothing has open, and an example of a job file."""
    shop.record.close()
    (tmp_path / "job.toml").write_text(jobs.example(), "utf-8")
    return tmp_path


def test_columns_that_are_no_number(there: Path) -> None:
    for line in ("--record shop.db show", "--help", f"--record shop.db {LOG}"):
        one_sentence(shell(line, there, COLUMNS="abc"), "COLUMNS is 'abc'", "80")
    one_sentence(shell("--record shop.db show", there, COLUMNS="-5"), "COLUMNS is '-5'")
    assert shell("--record shop.db show", there, COLUMNS="0")[0] == 0


@pytest.mark.parametrize("line", ["--version", "--help", "job example", "--record shop.db show", "export --help"])
def test_a_full_disk_behind_the_output(there: Path, line: str) -> None:
    one_sentence(shell(f"{line} > /dev/full", there), "the disk is full")


def test_a_reading_that_could_not_be_acknowledged_is_said(there: Path) -> None:
    one_sentence(shell(f"--record shop.db {LOG} <<< 'F1 59.60' > /dev/full", there), "could not be written")


def test_errors_that_cannot_be_said_still_end_with_their_status(there: Path) -> None:
    assert shell("--record none.db show 2> /dev/full", there) == (2, "", "")


def test_a_closed_input_is_said_where_it_is_read_and_nowhere_else(there: Path) -> None:
    one_sentence(shell(f"--record shop.db {LOG} <&-", there), "Standard input is closed")
    one_sentence(shell("<&-", there), "Standard input is closed")
    status, out, err = shell("--record shop.db show <&-", there)
    assert (status, err) == (0, "") and "SV-12" in out


def test_a_closed_output_stops_before_anything_is_done(there: Path) -> None:
    one_sentence(shell(f"--record shop.db {LOG} <<< 'F1 59.60' >&-", there), "Standard output is closed")
    assert shell("--record shop.db show --readings --json", there)[1].strip() == "[]"


def test_closed_messages_do_not_end_up_in_the_data(there: Path) -> None:
    status, out, _ = shell("--record none.db show 2>&-", there)
    assert (status, out) == (2, "")


@pytest.mark.parametrize("line", ["show", "job add job.toml"])
def test_a_record_with_a_name_of_300_letters(there: Path, line: str) -> None:
    one_sentence(shell(f"--record {'n' * 300} {line}", there), "name too long")


def test_a_data_folder_that_cannot_be_made(there: Path) -> None:
    (there / "file").write_text("")
    one_sentence(
        shell("job add job.toml", there, XDG_DATA_HOME=str(there / "file"), HOME=str(there / "file")),
        "cannot be read or written",
        "file",
    )


def test_a_job_file_that_is_nested_too_deeply(there: Path) -> None:
    (there / "deep.toml").write_text(f"a = {'[' * 50_000}{']' * 50_000}")
    one_sentence(shell("--record new.db job add deep.toml", there), "nested too deeply")
    assert not (there / "new.db").exists()


@pytest.mark.parametrize(
    "line",
    [
        "--record new.db job add /dev/zero",
        "stats --csv /dev/zero --column width",
        "gauge study /dev/zero",
        "--record shop.db count import /dev/zero --by AB",
        "--record shop.db import readings /dev/zero --round S1 --by AB --with 'caliper 1'",
        f"--record shop.db {LOG} < /dev/zero",
    ],
)
def test_a_file_without_an_end(there: Path, line: str) -> None:
    status, out, err = shell(line, there)
    assert (status, out) == (2, ""), err
    assert err.startswith("inspect-tui: ") and "Traceback" not in err
    assert not (there / "new.db").exists()


@pytest.mark.parametrize("line", ["show", "job add job.toml", "verify", LOG])
def test_a_record_that_is_a_pipe_is_not_touched(there: Path, line: str) -> None:
    os.mkfifo(there / "pipe.db")  # never a device: a program that takes it for a new file would replace it
    one_sentence(shell(f"--record pipe.db {line}", there), "a device or a pipe", "not touched")
    assert (there / "pipe.db").is_fifo()


def test_a_device_is_no_record(there: Path) -> None:
    one_sentence(shell("--record /dev/zero show", there), "a device or a pipe")


def test_a_reader_that_goes_away_is_no_failure(there: Path) -> None:
    assert shell("--help | head -n 1", there)[0] == 0
    assert shell("--record shop.db show | true", there)[0] == 0


def test_a_fault_of_our_own_is_called_so_and_shows_where(cli: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("inspect_tui.shop.jobs.jobs.example", lambda: 1 // 0)
    ran = cli("job", "example")
    assert ran.status == 2
    assert "ZeroDivisionError" in ran.err and "fault of the program" in ran.err.splitlines()[-1]


def test_input_that_is_no_text(there: Path) -> None:
    (there / "bytes.toml").write_bytes(b"\xff\xfe\x00")
    one_sentence(shell("--record new.db job add bytes.toml", there), "not text in UTF-8", "0xff")
