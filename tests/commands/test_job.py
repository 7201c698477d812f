"""`job`: the example is a job, and a file with a mistake adds nothing."""

from __future__ import annotations

from pathlib import Path

import pytest

from inspect_tui.shop.jobs import jobfile
from tests.commands.conftest import Run
from tests.conftest import JOB


def test_the_example_job_is_a_job(cli: Run, tmp_path_factory: pytest.TempPathFactory) -> None:
    folder = tmp_path_factory.mktemp("job")
    text = cli("job", "example").out
    assert jobfile.read(text).job.number == "SV-12"
    file = folder / "job.toml"
    file.write_text(text, "utf-8")
    record = str(folder / "new.db")
    ran = cli("--record", record, "job", "add", str(file))
    assert ran.status == 0 and "job SV-12 added" in ran.out
    again = cli("--record", record, "job", "add", str(file))
    assert again.status == 2 and "already" in again.err


def test_a_job_file_with_a_mistake_adds_nothing(cli: Run, tmp_path_factory: pytest.TempPathFactory) -> None:
    folder = tmp_path_factory.mktemp("job")
    file = folder / "job.toml"
    file.write_text(JOB.replace('limits = "±0.8"', 'limits = "about right"', 1), "utf-8")
    ran = cli("--record", str(folder / "new.db"), "job", "add", str(file))
    assert ran.status == 2 and "F1" in ran.err
    assert not (folder / "new.db").exists()


def test_a_job_file_that_is_not_there(cli: Run, tmp_path_factory: pytest.TempPathFactory) -> None:
    folder = tmp_path_factory.mktemp("job")
    ran = cli("--record", str(folder / "new.db"), "job", "add", str(folder / "none.toml"))
    assert ran.status == 2 and "cannot be read" in ran.err
    assert not Path(folder / "new.db").exists()


def test_a_job_file_with_a_mistake_begins_no_record(cli: Run, tmp_path_factory: pytest.TempPathFactory) -> None:
    folder = tmp_path_factory.mktemp("job")
    (folder / "job.toml").write_text("[job]\n", "utf-8")
    assert cli("--record", str(folder / "new.db"), "job", "add", str(folder / "job.toml")).status == 2
    assert not (folder / "new.db").exists()
