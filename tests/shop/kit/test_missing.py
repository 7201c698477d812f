"""What is missing before a kit is shipped, where each core stands, and what is worth reading next."""

from __future__ import annotations

from inspect_tui.record.store import Record
from inspect_tui.shop.kit import missing
from tests.shop.kit.test_check import (
    checked,
    record,  # noqa: F401  a fixture
)
from tests.worlds.kit_jobs import two_cores


def test_the_next_reading_is_the_one_that_takes_away_most_doubt(record: Record) -> None:
    made = two_cores(record)
    made.read("drag pattern", {"K1-S": 60.32})  # hardly any room left for the print
    made.read("box 1", {"K2-S": 40.5})
    first = checked(made).next[0]
    assert first.balloon == "K1-P"
    assert "K1 rubs or floats" in first.sentence
    made.read("box 1", {"K1-P": 59.9})
    assert checked(made).next[0].balloon == "K2-P"


def test_a_weak_wall_asks_for_the_size_on_the_box_that_makes_its_face(record: Record) -> None:
    made = two_cores(record)
    made.add_feature("F2", "x", 8.0, (1, -1, 40.0), (2, 1, 48.0), (), 7.9, 8.1, quantity="wall")
    made.add_feature("W1", "x", 40.0, (1, 1, 0.0), (1, -1, 40.0), ("box 1",), 39.0, 41.0)
    made.read("box 1", {"K1-P": 60.0, "K2-S": 40.31})
    made.read("box 2", {"K2-P": 40.0})
    made.read("drag pattern", {"K1-S": 60.5})
    asked = {n.balloon: n for n in checked(made).next}
    assert asked["W1"].sentence == "read W1 on box 1: it makes a face of wall F2"
    made.read("box 1", {"W1": 40.4})
    assert "W1" not in {n.balloon for n in checked(made).next}


def test_an_undecided_fit_read_on_both_sides_asks_for_a_finer_instrument(record: Record) -> None:
    made = two_cores(record)
    made.read("box 1", {"K1-P": 60.0, "K2-S": 40.5})
    made.read("box 2", {"K2-P": 40.0})
    made.read("drag pattern", {"K1-S": 60.31})  # 0.31 of room where 0.30 is the least
    check = checked(made)
    assert {n.balloon for n in check.next} == {"K1-P", "K1-S"}
    assert check.next[0].sentence.endswith("K1 is undecided: again, with a finer instrument")


def test_what_is_missing_is_listed_and_gets_shorter(record: Record) -> None:
    before = checked(two_cores(record)).missing
    assert any("2 fits are not read on both sides: K1, K2" in text for text in before)
    assert any("cores have no picture" in text for text in before)


def test_states_follow_what_was_read_and_shipped(record: Record) -> None:
    from inspect_tui.shop.kit import shipping
    from inspect_tui.shop.kit.shipping import Parcel

    made = two_cores(record)

    def state() -> str:
        return checked(made).states[made.core[2].of_id].state

    assert state() == "not made"
    made.read("stick 2", {"K2-P": 40.0})
    assert state() == "stick measured"
    made.read("box 2", {"K2-P": 40.0})
    assert state() == "box measured"
    made.read("box 1", {"K2-S": 40.5})
    assert state() == "fits proven"
    out = shipping.ship(record, made.job, "a foundry", "2026-03-01", [Parcel("box 2", 1, 0)])
    assert state() == "shipped"
    shipping.came_back(record, made.job, out, "2026-04-01", [Parcel("box 2", 1, 0)])
    assert state() == "fits proven"
    assert all(s.state in missing.STATES for s in checked(made).states.values())
