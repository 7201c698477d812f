"""Tables of what forms ask: columns by their keys or their forms' names, every mistake at once, nothing twice."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from inspect_tui.errors import InspectError
from inspect_tui.shop.intake.entered import sorts, table
from inspect_tui.shop.intake.entered.table import AsWritten, Entered
from tests.conftest import SmallShop

TODAY = "2026-03-10"


def bring(shop: SmallShop, tmp_path: Path, word: str, text: str, **more: Any) -> Entered:
    path = tmp_path / f"{word}.csv"
    path.write_text(text, "utf-8")
    job = shop.record.job("SV-12")
    return table.bring_in(shop.record, job, sorts.sort_of(word), path, shop.ab, **{"today": TODAY, **more})


def test_every_mistake_is_said_with_its_line_and_nothing_is_written(shop: SmallShop, tmp_path: Path) -> None:
    before = shop.record.heads()
    text = "tool;day;done\nbox 1;2026-03-01;lined\nbox 9;2026-03-01;lined\nbox 1;soon;lined\n;2026-03-01;x\nbox 1;;\n"
    text += "box 1;2026-03-02;right\n"
    made = bring(shop, tmp_path, "repairs", text)
    assert [sentence.partition(": ")[0] for sentence in made.wrong] == ["line 3", "line 4", "line 5", "line 6"]
    assert "no tool 'box 9'" in made.wrong[0] and made.wrong[1].startswith("line 4: done_on: ")
    assert made.wrong[2:] == ("line 5: tool: nothing stands there.", "line 6: what: nothing stands there.")
    assert made.sentence == "Nothing was taken: 4 mistakes." and shop.record.heads() == before


def test_heads_by_key_name_or_map_with_units_and_the_days_of_the_file(shop: SmallShop, tmp_path: Path) -> None:
    text = "Kasten;wann;done;amount [in];Bemerkung\nbox 1;28/2/2026;lined;0,02;x\nbox 1;1/3/2026;again;;\n"
    mapped = AsWritten(mapping=(("tool", "Kasten"), ("day", "wann"), ("ignore", "Bemerkung")))
    made = bring(shop, tmp_path, "repairs", text, as_written=mapped, keep=True)
    assert (made.lines, made.wrong) == (2, ()) and made.remarks == (
        "days are read with the day first, as 28/2/2026 tells",
    )
    (of,) = [tool.of_id for tool in shop.record.tools(shop.record.job("SV-12").of_id) if tool.label == "box 1"]
    said = [(repair.done_on, repair.what, repair.amount_mm) for repair in shop.record.tool_repairs(of)]
    assert said == [("2026-02-28", "lined", pytest.approx(0.508)), ("2026-03-01", "again", None)]
    again = bring(shop, tmp_path, "repairs", text, as_written=mapped)
    assert (again.lines, again.already) == (0, 2) and again.sentence == "0 lines of repairs, 2 were there already."


def test_what_is_asked_waits_and_a_check_writes_nothing(shop: SmallShop, tmp_path: Path) -> None:
    before = shop.record.heads()
    text = "tool;day;done\nbox 1;2026-03-01;lined\nbox 1;2026-03-01;drilled\n"
    asked = bring(shop, tmp_path, "repairs", text)
    assert len(asked.asked) == 3 and "line 3: a repair is entered for box 1" in asked.asked[-1]
    bring(shop, tmp_path, "repairs", text, keep=True, check_only=True)
    assert shop.record.heads() == before
    bring(shop, tmp_path, "repairs", text, keep=True)
    assert shop.record.heads() != before


def test_a_line_that_stands_twice_in_a_file_is_taken_once(shop: SmallShop, tmp_path: Path) -> None:
    made = bring(shop, tmp_path, "states", "tool;state;day\nbox 1;retired;2026-03-01\nstick 1;retired;2026-03-01\n")
    assert made.lines == 2
    twice = "gauge;state;since;why\n" + "caliper 1;out;2026-03-01;bent\n" * 2
    made = bring(shop, tmp_path, "uses", twice)
    assert (made.lines, made.already) == (1, 1)
    assert len(shop.record.instrument_states(shop.caliper.of_id)) == 1


@pytest.mark.parametrize(
    ("word", "text", "why"),
    [
        ("repairs", "tool;doen;what\nbox 1;x;y\n", "nearest: done"),
        ("repairs", "tool;day\nbox 1;2026-03-01\n", "no column what"),
        ("repairs", "tool;done;what\nbox 1;x;y\n", "two columns of what"),
        ("walls", "area\n1.8\n1.9\n", "one wall area"),
        ("shipments", "day;way;to;what\n2026-03-01;back;Foundry;box 1\n", "Nothing left for Foundry"),
    ],
)
def test_a_table_that_cannot_be_read_is_refused_whole(
    shop: SmallShop, tmp_path: Path, word: str, text: str, why: str
) -> None:
    before = shop.record.heads()
    with pytest.raises(InspectError, match=why):
        bring(shop, tmp_path, word, text)
    assert shop.record.heads() == before


def test_a_mapping_names_a_column_of_the_table(shop: SmallShop, tmp_path: Path) -> None:
    with pytest.raises(InspectError, match="colour is no column of this table"):
        bring(shop, tmp_path, "walls", "area\n1.8\n", as_written=AsWritten(mapping=(("colour", "area"),)))
