"""`due`: what is due by its day, with an exit status; also as table and calendar."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from inspect_tui.model.measuring import Calibration, Instrument
from tests.commands.conftest import Ran, Run
from tests.worlds.worn_box import WornBox


@pytest.fixture
def on(cli: Run, tmp_path: Path) -> Callable[..., Ran]:
    """The command line on a shop with an arm that is due on June 1st, 2024, and a rule without a certificate."""
    made = WornBox(tmp_path / "due.db")
    made.go("2024-03-05")
    arm = made.record.add(Instrument(label="arm"), made.ab.id)
    made.record.add(
        Calibration(instrument_of_id=arm.of_id, done_on="2023-06-01", due_on="2024-06-01", u95_mm=0.1), made.ab.id
    )
    made.record.add(Instrument(label="rule"), made.ab.id)
    made.record.close()
    return lambda *argv: cli("--record", str(made.record.path), "due", *argv)


def test_what_is_past_its_day_is_exit_status_one(on: Callable[..., Ran]) -> None:
    ran = on("--today", "2024-06-03")
    assert ran.status == 1 and "2024-06-01" in ran.out and "2 days" in ran.out and "arm: certify" in ran.out
    assert "no day" in ran.out and "2 things until 2024-09-02, 1 past the day; 1 without a day" in ran.err
    assert on("--today", "2024-06-02").out.count("1 day ") == 1
    ran = on("--today", "2024-06-01")
    assert ran.status == 0 and "arm: certify" in ran.out
    assert "arm: certify" in on("--today", "2024-05-20", "--weeks", "2").out
    assert "arm" not in on("--today", "2024-04-01", "--weeks", "2").out


def test_as_json(on: Callable[..., Ran]) -> None:
    said = json.loads(on("--today", "2024-06-03", "--json").out)
    assert (said["today"], said["until"], said["past"]) == ("2024-06-03", "2024-09-02", 1)
    first, last = said["due"]
    assert (first["day"], first["days_late"], first["sort"]) == ("2024-06-01", 2, "certificate")
    assert (last["day"], last["days_late"], last["what"]) == (None, None, "rule: certify")


def test_to_a_file(on: Callable[..., Ran], tmp_path: Path) -> None:
    to = tmp_path / "due.ics"
    ran = on("--today", "2024-06-03", "--to", str(to))
    assert ran.status == 1 and ran.out == "" and b"SUMMARY:arm: certify" in to.read_bytes()
    assert "1 without a day" in ran.err
    again = on("--today", "2024-06-03", "--to", str(to))
    assert again.status == 2 and "left as it is" in again.err
    assert on("--today", "2024-06-03", "--to", str(to), "--force").status == 1
    assert on("--to", str(tmp_path / "due.doc")).status == 2
    assert on("--weeks", "-1").status == 2
