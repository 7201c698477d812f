"""Counts: the running total from totals, additions, restarts and lots; what is asked on entry; files; repairs typed."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_tui.model.trends import ToolCount
from inspect_tui.model.work import Lot, Tool
from inspect_tui.shop.trends.counts import entry as counts_entry
from inspect_tui.shop.trends.counts import file as counts_file
from inspect_tui.shop.trends.counts import repairs
from inspect_tui.shop.trends.counts.counter import STALE_DAYS, Counter, counter, longest_rising
from tests.worlds.worn_box import WornBox

BOX = Tool(job_of_id=b"j" * 16, kind="core_box", label="box 3", core_id=b"c" * 16)
TODAY = "2025-06-30"
serial = iter(range(1, 10**6))


def count(number: int, on: str, way: str = "total", lot: bytes | None = None, source: str = "typed") -> ToolCount:
    return ToolCount(
        of_id=next(serial).to_bytes(16, "big"),
        tool_of_id=b"t" * 16,
        way=way,
        count=number,
        on_date=on,
        lot_id=lot,
        source=source,
    )


def lot(label: str, on: str | None, quantity: int | None = 40) -> Lot:
    return Lot(id=label.encode().ljust(16), job_of_id=b"j" * 16, label=label, poured_on=on, quantity=quantity)


def day(text: str) -> int:
    return date.fromisoformat(text).toordinal()


# ------------------------------------------------------------------------------ the running count
def test_totals_are_joined_straight_and_hold_for_a_month_after_the_last() -> None:
    made = counter(BOX, [count(0, "2025-01-01"), count(1000, "2025-01-11")], [])
    assert made.at(day("2025-01-06")) == pytest.approx(500.0)
    assert made.at(day("2024-12-01")) == 0.0  # it began at nothing
    assert made.at(day("2025-01-11") + STALE_DAYS) == 1000.0
    assert made.at(day("2025-01-11") + STALE_DAYS + 1) is None
    assert made.word == "cores" and made.how == "typed"


def test_before_a_first_total_above_nothing_the_count_is_not_known() -> None:
    assert counter(BOX, [count(5000, "2025-01-01")], []).at(day("2024-12-31")) is None


def test_additions_add_up_and_a_total_puts_them_right() -> None:
    made = counter(BOX, [count(40, "2025-01-02", "made"), count(40, "2025-01-03", "made"), count(95, "2025-01-04")], [])
    assert made.cum == (40.0, 80.0, 95.0)


def test_a_new_counter_goes_on_where_the_old_one_stopped() -> None:
    made = counter(BOX, [count(9000, "2025-01-01"), count(100, "2025-02-01", "restart"), count(600, "2025-03-01")], [])
    assert made.now == 9500.0 and not made.remarks


def test_lots_tell_where_nothing_was_counted_and_add_what_came_after_the_last_count() -> None:
    lots = [lot("L1", "2025-01-02"), lot("L2", "2025-01-05"), lot("L3", None), lot("L4", "2025-01-09", None)]
    made = counter(BOX, [], lots)
    assert made.now == 80.0 and made.lots[lots[1].id] == 80.0 and made.how == "taken from the lots"
    made = counter(BOX, [count(500, "2025-01-03")], lots)
    assert made.now == 540.0 and made.how == "typed, then from the lots"


def test_a_lot_that_was_counted_is_not_counted_twice() -> None:
    lots = [lot("L1", "2025-01-02"), lot("L2", "2025-01-05")]
    own = [count(40, "2025-01-02", "made", lots[0].id), count(38, "2025-01-05", "made", lots[1].id)]
    assert counter(BOX, own, lots).now == 78.0


def test_a_stick_takes_nothing_from_the_lots() -> None:
    stick = Tool(job_of_id=b"j" * 16, kind="core_stick", label="stick 3", core_id=b"c" * 16)
    assert counter(stick, [], [lot("L1", "2025-01-02")]).now is None


def test_cores_a_week_are_those_of_the_last_twelve_weeks() -> None:
    made = counter(BOX, [count(0, "2024-01-01"), count(10_000, "2025-01-01"), count(10_120, "2025-03-26")], [])
    assert made.per_week == pytest.approx(120 / 84 * 7)
    assert counter(BOX, [count(5, "2025-01-01")], []).per_week is None
    assert Counter(word="cores", how="").per_week is None


def test_the_day_of_a_count_is_found_again() -> None:
    made = counter(BOX, [count(0, "2025-01-01"), count(1000, "2025-01-11")], [])
    assert made.day_of(500.0) == pytest.approx(day("2025-01-06"))
    assert made.day_of(1001.0) is None


@given(st.lists(st.integers(0, 50), max_size=12))
def test_the_counts_that_are_kept_never_fall_and_are_as_many_as_can_be(values: list[int]) -> None:
    kept = sorted(longest_rising([float(v) for v in values]))
    picked = [values[i] for i in kept]
    assert picked == sorted(picked)
    best = [0] * len(values)  # by dynamic programming, the slow and plain way
    for i, value in enumerate(values):
        best[i] = 1 + max((best[j] for j in range(i) if values[j] <= value), default=0)
    assert len(kept) == max(best, default=0)


@given(
    st.lists(
        st.tuples(st.integers(0, 400), st.sampled_from(["total", "made", "restart"]), st.integers(0, 5000)),
        min_size=1,
        max_size=15,
    )
)
def test_whatever_is_entered_the_running_count_never_falls(rows: list[tuple[int, str, int]]) -> None:
    start = day("2024-01-01")
    entries = [count(n, date.fromordinal(start + d).isoformat(), way) for d, way, n in sorted(rows)]
    made = counter(BOX, entries, [])
    assert list(made.cum) == sorted(made.cum)
    assert list(made.day) == sorted(made.day)
    seen = [made.at(d) for d in range(start - 5, start + 410, 7)]
    known = [x for x in seen if x is not None]
    assert known == sorted(known)


# ------------------------------------------------------------------------------ what is asked on entry
def test_a_count_that_goes_back_is_asked_about_and_names_the_restart() -> None:
    before = [count(9000, "2025-06-01")]
    checked = counts_entry.check(count(8000, "2025-06-08"), before, "box 3", TODAY, "2024-01-01")
    assert checked.thing is not None and not checked.wrong
    assert checked.asks == (
        "the count of box 3 would go back from 9 000 (2025-06-01) to 8 000. Was the counter changed? Then enter it as a "
        "restart. Kept as it is, the count that fits least is left out.",
    )
    assert not counts_entry.check(count(8000, "2025-06-08", "restart"), before, "box 3", TODAY, None).asks


def test_a_total_below_what_was_made_lot_by_lot_is_asked_about_and_left_out() -> None:
    before = [count(40, f"2025-06-{d:02}", "made") for d in range(1, 11)]
    assert "go back from 400" in counts_entry.check(count(300, "2025-06-12"), before, "box 3", TODAY, None).asks[0]
    made = counter(BOX, [*before, count(300, "2025-06-12")], [])
    assert made.now == 400.0
    assert made.remarks == ("the count of 300 on 2025-06-12 is below the 400 made by then: left out",)


def test_a_count_above_a_later_one_is_asked_about() -> None:
    checked = counts_entry.check(count(9500, "2025-05-01"), [count(9000, "2025-06-01")], "box 3", TODAY, None)
    assert checked.asks[0].startswith("box 3 had only 9 000 on 2025-06-01, later than 2025-05-01: is 9 500 right?")


def test_a_count_before_the_tool_came_into_the_record_is_asked_about() -> None:
    checked = counts_entry.check(count(10, "2024-05-01"), [], "box 3", TODAY, "2024-06-01")
    assert checked.asks == (
        "box 3 came into the record on 2024-06-01, after 2024-05-01: is the day right? Keep it if the tool is older.",
    )


@pytest.mark.parametrize(
    ("one", "sentence"),
    [
        (count(-1, "2025-01-01"), "a count of -1 cannot be"),
        (count(1, "2025-07-01"), "2025-07-01 is still to come"),
        (count(9000, "2025-06-01"), "that count is there already"),
    ],
)
def test_what_cannot_be_a_count_is_refused_with_a_sentence(one: ToolCount, sentence: str) -> None:
    assert sentence in counts_entry.check(one, [count(9000, "2025-06-01")], "box 3", TODAY, None).wrong


# ------------------------------------------------------------------------------ in the record
@pytest.fixture
def worn(tmp_path: Path) -> Iterator[WornBox]:
    made = WornBox(tmp_path / "worn.db")
    yield made
    made.record.close()


def bring(worn: WornBox, text: str, tmp_path: Path, **more: bool) -> counts_file.CountsTaken:
    file = tmp_path / "counts.csv"
    file.write_text(text, "utf-8")
    return counts_file.bring_in(worn.record, worn.job, file, worn.ab, today="2025-06-30", **more)


# ------------------------------------------------------------------------------ repairs, states, limits as typed
def repair(worn: WornBox, **values: str) -> repairs.EnteredUpkeep:
    return repairs.read_repair(worn.record, worn.job, worn.box, {"what": "lined", **values}, TODAY)
