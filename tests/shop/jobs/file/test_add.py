"""A whole job goes into the record in one go; people, gauges and pictures that are there stay as they are."""

from __future__ import annotations

from pathlib import Path

import pytest

from inspect_tui.errors import InspectError, JobFileError
from inspect_tui.record.store import Record
from inspect_tui.shop.jobs import jobfile
from inspect_tui.shop.jobs.file import add
from tests.worlds.job_files import HEAD, SIZE, picture, plan

GAUGE = '[[gauge]]\nlabel = "caliper 1"\ncalibrated = 2026-01-10\nU = 0.04\n'
PEOPLE = '[[person]]\ninitials = "KT"\n'


@pytest.fixture
def record(tmp_path: Path):
    with Record.open(tmp_path / "r.db", create=True) as opened:
        yield opened


def renumbered(text: str) -> str:
    return text.replace('"T-1"', '"T-2"')


def test_what_the_shop_has_already_is_kept_and_new_certificates_are_added(record: Record) -> None:
    assert add.add(record, plan(HEAD + SIZE + GAUGE + PEOPLE)) == ()
    assert add.add(record, plan(renumbered(HEAD) + SIZE + GAUGE + PEOPLE)) == ()
    assert len(record.people()) == len(record.instruments()) == 1
    other = GAUGE.replace("2026", "2027") + "range = [0, 150]\n" + PEOPLE.lower().replace('"kt"', '"kt"\nrole = "lead"')
    remarks = add.add(record, plan(HEAD.replace("T-1", "T-3") + SIZE + other))
    assert remarks == (
        "KT is in the record already and stays as it is",
        "caliper 1 is in the record already and stays as it is",
        "a certificate of 2027-01-10 was added to caliper 1",
    )
    (gauge,) = record.instruments()
    assert [said.done_on for said in record.calibrations(gauge.of_id)] == ["2026-01-10", "2027-01-10"]
    assert record.people()[0].role == "maker" and record.verify().ok


def test_pictures_are_kept_once_and_shown_where_the_file_says(record: Record, tmp_path: Path) -> None:
    picture(tmp_path)
    text = (
        HEAD + SIZE + '[[picture]]\nfile = "box.png"\non = "core 1"\n[[picture]]\nfile = "box.png"\ncaption = "all"\n'
    )
    add.add(record, jobfile.read(text, folder=tmp_path))
    job = record.job("T-1")
    core = record.cores(job.of_id)[0]
    shown = record.pictures([job.of_id, core.of_id])
    assert [p.use.caption for p in shown[job.of_id]] == ["all"] and len(shown[core.of_id]) == 1
    assert len(record.attachments()) == 1


def test_a_picture_that_is_none_adds_nothing(record: Record, tmp_path: Path) -> None:
    picture(tmp_path).write_bytes(b"MZ no picture")
    made = jobfile.read(HEAD + SIZE + '[[picture]]\nfile = "box.png"\n', folder=tmp_path)
    with pytest.raises(InspectError, match="That is no picture"):
        add.add(record, made)
    assert record.jobs() == [] and not (tmp_path / "att").exists()


def test_a_number_that_is_taken_adds_nothing(record: Record) -> None:
    add.add(record, plan(HEAD + SIZE))
    before = record.counts()
    with pytest.raises(JobFileError, match="Job t-1 is in this record already"):
        add.add(record, plan(HEAD.lower() + SIZE + PEOPLE))
    assert record.counts() == before
