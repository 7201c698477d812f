"""A file of counts is taken once; lines that are not right are named."""

from __future__ import annotations

from pathlib import Path

import pytest

from inspect_tui.errors import DataError
from inspect_tui.record import kinds
from inspect_tui.shop.trends.counts import counter
from inspect_tui.shop.trends.counts.file import AsWritten, ColumnsMissing
from tests.shop.trends.counts.test_counter import (
    bring,
    worn,  # noqa: F401  a fixture
)
from tests.worlds.worn_box import WornBox


def test_a_file_of_counts_is_taken_once(worn: WornBox, tmp_path: Path) -> None:
    text = "tool;date;count\nbox 1;2025-01-06;200\nbox 1;2025-01-13;400\ndrag pattern;2025-01-13;390\n"
    assert bring(worn, text, tmp_path).sentence == "3 counts taken."
    assert bring(worn, text, tmp_path).sentence == "0 counts taken, 3 were there already."
    assert counter.counter_of(worn.record, worn.job, worn.box).now == 400.0
    assert counter.counter_of(worn.record, worn.job, worn.drag).word == "moulds"


def test_lines_that_are_not_right_are_named_and_nothing_is_taken_unless_asked(worn: WornBox, tmp_path: Path) -> None:
    text = (
        "Box,Day,made,lot\nbox 1,2025-01-06,40,\nbox 9,2025-01-07,40,\nbox 1,yesterday,40,\nbox 1,2025-01-08,forty,\n"
        "box 1,2026-01-01,40,\nbox 1,2025-01-09,40,L7\n\nbox 1,2025-01-10,-4,\n"
    )
    brought = bring(worn, text, tmp_path)
    assert brought.added == 0 and brought.sentence == "Nothing was taken: 6 lines are not right."
    said = "\n".join(brought.wrong)
    for words in (
        "line 3: There is no tool 'box 9'",
        "line 4: date: yesterday is no day",
        "line 5: made: forty is no whole number",
        "line 6: box 1: 2026-01-01 is still to come",
        "line 7: There is no lot",
        "line 9: made: -4 is below 0",
    ):
        assert words in said, words
    assert not worn.record.tool_counts(worn.box.of_id)
    assert bring(worn, text, tmp_path, good_lines=True).sentence == "1 count taken, 6 lines left out."


def test_counts_that_run_back_in_a_file_are_taken_said_and_left_out_of_the_line(worn: WornBox, tmp_path: Path) -> None:
    text = "tool,date,count\n" + "".join(
        f"box 1,2025-01-{d:02},{n}\n" for d, n in ((3, 700), (6, 900), (13, 90), (20, 1100))
    )
    brought = bring(worn, text, tmp_path)
    assert brought.added == 4 and "line 4: the count of box 1 would go back from 900" in brought.doubts[0]
    made = counter.counter_of(worn.record, worn.job, worn.box)
    assert made.now == 1100.0 and "90 on 2025-01-13 does not fit" in made.remarks[0]


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("tool,count\nbox 1,3\n", "no column date"),
        ("tool,date\nbox 1,2025-01-01\n", "no column of counts"),
        ("", "is empty"),
    ],
)
def test_a_file_without_the_columns_is_refused_with_a_sentence(
    worn: WornBox, tmp_path: Path, text: str, sentence: str
) -> None:
    with pytest.raises(DataError, match=sentence):
        bring(worn, text, tmp_path)


def test_columns_that_are_not_there_are_told_with_those_that_are(worn: WornBox, tmp_path: Path) -> None:
    with pytest.raises(ColumnsMissing, match="no column date") as told:
        bring(worn, "box;Stichtag;Stand\nbox 1;31.12.2024;5000\nbox 1;31.1.2025;5100\n", tmp_path)
    assert told.value.heads == (
        ("box", ("box 1", "box 1"), "tool"),
        ("Stichtag", ("31.12.2024", "31.1.2025"), "ignore"),
        ("Stand", ("5000", "5100"), "ignore"),
    )
    with pytest.raises(ColumnsMissing, match="no column of counts"):
        bring(worn, "box;date\nbox 1;31.12.2024\n", tmp_path)


def test_a_table_of_counts_goes_as_a_whole(worn: WornBox, tmp_path: Path) -> None:
    bring(worn, "tool;date;count\nbox 1;2025-01-06;200\nbox 1;2025-01-13;400\n", tmp_path)
    (file,) = worn.record.import_files(worn.job.of_id)
    brought = [kind for kind, _ in worn.record.brought_by(file)]
    assert (file.shown_name, file.readings) == ("counts.csv", 0)
    assert brought.count(kinds.TOOL_COUNT.number) == 2 and brought[-1] == kinds.SESSION.number


def test_columns_that_were_said_once_are_those_of_the_next_file_with_these_heads(worn: WornBox, tmp_path: Path) -> None:
    said = AsWritten((("tool", "Kiste"), ("date", "Am"), ("total", "Stand")))
    first, second = "Kiste;Am;Stand\nbox 1;2025-01-06;200\n", "Stand;Kiste;Am\n400;box 1;2025-01-13\n"
    with pytest.raises(ColumnsMissing):
        bring(worn, first, tmp_path)
    assert bring(worn, first, tmp_path, as_written=said, check_only=True).added == 1
    with pytest.raises(ColumnsMissing):  # nothing was written, and nothing is remembered
        bring(worn, first, tmp_path)
    bring(worn, first, tmp_path, as_written=said)
    taken = bring(worn, second, tmp_path)
    assert taken.sentence == "1 count taken."
    assert "columns as somebody said them before: Am is date, Kiste is tool, Stand is total" in taken.doubts
    assert counter.counter_of(worn.record, worn.job, worn.box).now == 400.0
    again = bring(worn, "Kiste;Am;Stand\nbox 1;2025-01-20;50\n", tmp_path, as_written=AsWritten((("made", "Stand"),)))
    assert again.added == 1 and counter.counter_of(worn.record, worn.job, worn.box).now == 450.0
    assert len(worn.record.import_mappings(worn.job.of_id)) == 2
    with pytest.raises(ColumnsMissing):
        bring(worn, "Kiste;Am;Zahl\nbox 1;2025-01-27;500\n", tmp_path)
