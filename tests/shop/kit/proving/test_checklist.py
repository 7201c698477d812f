"""The checklist: a line a core, seat and wall in setting order, with the mark of its edition."""

from __future__ import annotations

import pytest

from inspect_tui.errors import DataError
from inspect_tui.record.store import Record
from inspect_tui.shop.kit import edit
from inspect_tui.shop.kit.proving.checklist import HEADS, cells, checklist
from tests.shop.kit.test_check import checked, proven, record  # noqa: F401  a fixture
from tests.worlds.kit_jobs import begin
from tests.worlds.trials import tried


def test_it_goes_by_the_setting_order_then_walls_then_the_closing(record: Record) -> None:
    made = checklist(record, checked(proven(record)), "Trying in")
    assert made.sort == "trying in" and made.order == ("1", "2")
    assert [(row.item, row.step) for row in made.rows] == [
        ("core 1", 1),
        ("K1", 1),
        ("core 2", 2),
        ("K2", 2),
        ("K3", 2),
        ("F1", None),
        ("closing", None),
        ("remark", None),
    ]
    assert made.rows[1].what == "print into drag, along x"
    assert (made.rows[1].lower_mm, made.rows[1].upper_mm) == (0.3, 0.7)  # a clearance is never contracted
    # by hand: 7 to 9 mm of metal at 1 % are 7.07 to 9.09 in the mould
    assert (made.rows[5].lower_mm, made.rows[5].upper_mm) == (pytest.approx(7.07), pytest.approx(9.09))
    assert made.proven.startswith("not proven") and made.heads == tuple(record.heads())


def test_its_edition_is_of_what_is_asked_and_not_of_what_was_found(record: Record) -> None:
    kit = proven(record)
    first = checklist(record, checked(kit), "trying in").edition
    tried(kit, {"K2": "rubs 0.1", "F1": "8.1"})
    assert checklist(record, checked(kit), "trial closing").edition == first
    edit.change_fit(record, kit.job, kit.fit["K1"], clear_min_mm=0.35)
    assert checklist(record, checked(kit), "trying in").edition != first


def test_the_table_has_a_row_for_each_with_room_for_what_was_found(record: Record) -> None:
    made = checklist(record, checked(proven(record)), "trying in")
    rows = cells(made)
    assert [row[3] for row in rows[: len(HEADS)]] == [item for item, _, _ in HEADS]
    assert len(rows) == len(HEADS) + len(made.rows)
    assert all(row[7] is None and row[8] == made.edition and row[2] == "trying in" for row in rows)


def test_no_cores_and_no_such_trial_are_said(record: Record) -> None:
    with pytest.raises(DataError, match="nearest: trying in"):
        checklist(record, checked(proven(record)), "tryin in")
    with pytest.raises(DataError, match="has no cores"):
        checklist(record, checked(begin(record, "TK-2")), "trying in")
