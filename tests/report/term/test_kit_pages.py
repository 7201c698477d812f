"""Pages of a kit as text: symbols and words stand beside the colours."""

from __future__ import annotations

from pathlib import Path

import pytest

from inspect_tui.model.kit import Passage
from inspect_tui.record.store import Record
from inspect_tui.report.term import kit_pages as term_kit_pages
from inspect_tui.shop.kit import check as kit
from inspect_tui.shop.kit import edit
from tests.worlds.kit_jobs import two_cores


@pytest.fixture
def record(tmp_path: Path):
    with Record.open(tmp_path / "kit.db", create=True) as opened:
        yield opened


def test_symbols_and_words_stand_beside_the_colours(record: Record) -> None:
    made = two_cores(record)
    made.read("box 1", {"K2-S": 39.0})
    made.read("box 2", {"K2-P": 40.0})
    check = kit.check(record, made.job)
    text = term_kit_pages.summary(check, 60).plain
    assert text.startswith("✗ 1 thing against the kit as it is")
    row = next(line.plain for key, line in term_kit_pages.fit_rows(check, 60) if "K2" in line.plain)
    assert row.startswith("✗ K2") and "does not go" in row


def test_a_passage_says_its_capacity_in_five_units_and_what_is_assumed(record: Record) -> None:
    made = two_cores(record)
    for balloon, axis, size in (("W1", "x", 20.0), ("H1", "y", 10.0)):
        made.add_feature(balloon, axis, size, (1, 1, 0.0), (1, -1, size), ("box 1",), size - 1, size + 1)
        made.read("box 1", {balloon: size * 1.01})
    rated = {"rated": 46.0, "unit": "m3/min"}
    edit.add_passage(
        record, made.job, Passage(job_of_id=made.job.of_id, label="A", name="port", formula="W1 * H1", **rated)
    )
    edit.add_passage(record, made.job, Passage(job_of_id=made.job.of_id, label="B", name="slot", formula="W1 * 2"))
    port, slot = kit.check(record, made.job).passages
    text = term_kit_pages.about_passage(port, 60).plain
    # NIST SP 811, appendix B.8: 46 m3/min are 766.7 L/s, 12 152 gal (US)/min, 1624 ft3/min
    assert "that is 2760 m³/h, 46.0 m³/min, 766.7 L/s, 12152 gal/min (US), 1624 ft³/min\n" in text
    assert "in proportion to the area: assumed\n" in text
    assert "± 0.3 m3/min assumed: contraction\n" in text and "m3/min measured: gauge\n" in text
    plain = term_kit_pages.about_passage(slot, 60).plain
    assert "that is" not in plain and "mm assumed: contraction\n" in plain
