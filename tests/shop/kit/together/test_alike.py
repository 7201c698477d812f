"""Wrong ways into the seats of a kit, from its record: what speaks against it, what stays a doubt."""

from __future__ import annotations

from inspect_tui.record.store import Record
from tests.shop.kit.test_check import (
    checked,
    proven,
    record,  # noqa: F401  a fixture
)
from tests.worlds.kit_jobs import begin, with_patterns


def test_cores_that_go_into_each_others_seats_are_named_with_what_would_stop_it(record: Record) -> None:
    made = with_patterns(begin(record))
    for number in (1, 2):
        made.add_core(number)
        made.add_tool(f"box {number}", "core_box", number)
        place = 100.0 * number
        made.print_and_seat(f"K{number}", number, "drag", 40.0, 40.5, at_x=place, at_y=0.0, at_z=0.0)
        made.read(f"box {number}", {f"K{number}-P": 40.0})
        made.read("drag pattern", {f"K{number}-S": 40.5})
    check = checked(made)
    assert {(a.core, a.seats_of) for a in check.look_alikes} >= {("1", "2"), ("2", "1")}
    assert any("core 1 goes into the seats of core 2" in t and "give core 1 a key" in t for t in check.against)


def test_a_core_with_equal_prints_at_its_ends_goes_in_turned_until_one_of_them_is_changed(record: Record) -> None:
    made = with_patterns(begin(record))
    made.add_core(1)
    for place, at in (("1", -100.0), ("2", 100.0)):
        made.print_and_seat(f"K{place}", 1, "drag", 40.0, 40.5, at_x=at, at_y=0.0, at_z=0.0)
    check = checked(made)
    assert "turned end for end" in check.look_alikes[0].sentence
    assert check.look_alikes[0].sentence in check.against
    other = with_patterns(begin(record, "TK-2"))
    other.add_core(1)
    for place, at, size in (("1", -100.0, 40.0), ("2", 100.0, 46.0)):
        other.print_and_seat(f"K{place}", 1, "drag", size, size + 0.5, at_x=at, at_y=0.0, at_z=0.0)
    assert checked(other).look_alikes == ()


def test_a_core_with_a_single_print_that_may_be_turned_is_a_doubt_not_an_answer(record: Record) -> None:
    check = checked(proven(record))
    assert {a.core for a in check.look_alikes} == {"1", "2"}
    assert all(any(text.startswith(a.sentence) for text in check.doubts) for a in check.look_alikes)
    assert check.against == ()
    assert any(text.endswith("of some of its prints no place is known") for text in check.doubts)  # core 2 in the cope


def test_a_print_clearly_smaller_than_another_seat_is_no_look_alike(record: Record) -> None:
    made = with_patterns(begin(record))
    for number, size in ((1, 40.0), (2, 52.0)):
        made.add_core(number)
        made.print_and_seat(f"K{number}", number, "drag", size, size + 0.5, at_x=100.0 * number, at_y=0.0, at_z=0.0)
    assert all(a.core == a.seats_of for a in checked(made).look_alikes)
