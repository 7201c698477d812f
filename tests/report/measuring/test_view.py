"""The view of the measuring sheet: a sketch where the mould has places, else room to draw; hostile words stay words."""

from __future__ import annotations

from pathlib import Path

from inspect_tui.frozen import replace
from inspect_tui.record.store import Record
from inspect_tui.report.measuring.view import measuring_sheet, measuring_table
from inspect_tui.shop.measuring.sample import of_sample
from inspect_tui.shop.measuring.sheet import SheetGroup, SheetRow, sheet
from tests.worlds.kit_jobs import two_cores
from tests.worlds.sample_faces import named


def test_a_mould_whose_cores_have_places_is_sketched(tmp_path: Path) -> None:
    with Record.open(tmp_path / "k.db", create=True, state_dir=tmp_path) as record:
        job, _ = named(record)
        bare = sheet(record, job, of_sample(record, job))
    assert measuring_sheet(bare)["sketch"] is None
    with Record.open(tmp_path / "t.db", create=True, state_dir=tmp_path) as record:
        made = two_cores(record)
        placed = sheet(record, made.job, of_sample(record, made.job))
    shown = measuring_sheet(placed)
    assert (shown["sketch"] is None) == (placed.scene is None)
    if placed.scene is not None:
        assert shown["sketch"].startswith("<svg")
    assert shown["facts"][1][0] == "Casting" and shown["short"].startswith(f"{made.job.number} · drawing rev.")


def test_words_that_a_spreadsheet_would_run_are_guarded(tmp_path: Path) -> None:
    with Record.open(tmp_path / "k.db", create=True, state_dir=tmp_path) as record:
        job, _ = named(record)
        made = sheet(record, job, of_sample(record, job))
    row = SheetRow(number="1", size="S2", what="=1+1", words="\x1b[31m")
    hostile = replace(made, groups=(SheetGroup(title="reach", rows=(row,)),))
    assert b"'=1+1" in measuring_table(hostile, "csv")
    assert "\x1b" not in str(measuring_sheet(hostile)["groups"])
