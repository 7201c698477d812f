"""Filling a sampling: each casting has its own stay, the order is by casting or by feature, answers find their cell."""

from __future__ import annotations

import pytest

from inspect_tui.shop.bench.outcomes import Asked, Logged, Refused
from inspect_tui.shop.common import find
from inspect_tui.shop.first_article.castings.filling import MOST_BENCHES, Filling
from inspect_tui.shop.first_article.castings.put_right import open_round
from inspect_tui.shop.first_article.castings.rounds import pick_round
from inspect_tui.shop.first_article.castings.sampling import Requirement, Sampling
from tests.conftest import SmallShop


def filling(shop: SmallShop, *serials: str) -> Filling:
    job = find.job(shop.record, "SV-12")
    open_round(shop.record, job, "S1", serials or ("C1", "C2"))
    return Filling(shop.record, Sampling(shop.record, job, pick_round(shop.record, job, "S1")), shop.ab, shop.caliper)


def take(here: Filling, balloon: str, serial: str, text: str, gap_s: float = 10.0):
    return here.take(Requirement(here.sampling.feature(balloon)), here.sampling.casting(serial), text, gap_s)


def value(here: Filling, balloon: str, serial: str) -> float | None:
    return here.sampling.cell(here.sampling.feature(balloon), here.sampling.casting(serial)).value


@pytest.mark.parametrize(("by_casting", "then"), [(True, ("F2", "C1")), (False, ("F1", "C2"))])
def test_a_line_faster_than_an_answer_keeps_the_first_and_goes_to_the_next_cell(
    shop: SmallShop, by_casting: bool, then: tuple[str, str]
) -> None:
    here = filling(shop)
    here.by_casting = by_casting
    assert isinstance(take(here, "F1", "C1", "2.323"), Asked)
    done = take(here, "F1", "C1", "40.1" if by_casting else "59.1", gap_s=0.05)
    assert isinstance(done, Logged)
    assert value(here, "F1", "C1") == pytest.approx(2.323)  # kept as typed
    assert value(here, *then) == pytest.approx(40.1 if by_casting else 59.1)


def test_an_answer_belongs_to_the_cell_it_was_asked_for_wherever_the_cursor_is(shop: SmallShop) -> None:
    here = filling(shop)
    take(here, "F1", "C1", "2.323")
    assert isinstance(take(here, "F3", "C2", "="), Logged)
    assert value(here, "F1", "C1") == pytest.approx(2.323 * 25.4)
    assert value(here, "F3", "C2") is None


def test_the_order_goes_round_and_ends_when_all_is_measured(shop: SmallShop) -> None:
    here = filling(shop)
    rows, columns = len(here.sampling.features), len(here.sampling.castings)
    assert here.next_open(rows - 1, 0) == (0, 1)
    here.by_casting = False
    assert here.next_open(0, columns - 1) == (1, 0)
    for balloon, size in (("F1", "59"), ("F2", "40"), ("F3", "210"), ("F4", "243"), ("F5", "8")):
        for serial in ("C1", "C2"):
            assert isinstance(take(here, balloon, serial, size), Logged)
    assert here.next_open(0, 0) is None


def test_each_casting_has_a_session_of_its_own_and_few_are_kept_open(shop: SmallShop) -> None:
    serials = [f"C{n}" for n in range(MOST_BENCHES + 5)]
    here = filling(shop, *serials)
    for serial in serials:
        take(here, "F2", serial, "40.0")
    assert len(here._benches) == MOST_BENCHES
    assert shop.record.counts()["session"] == len(serials)
    assert {value(here, "F2", serial) for serial in serials} == {40.0}


def test_a_height_that_is_no_height_is_refused_and_nothing_is_logged(shop: SmallShop) -> None:
    here = filling(shop)
    here.table_zero = 20.0
    assert isinstance(take(here, "F2", "C1", "abc"), Refused)
    assert isinstance(take(here, "F2", "C1", "60.0 60.1"), Refused)
    assert isinstance(take(here, "F2", "C1", "60.0"), Logged)
    assert value(here, "F2", "C1") == pytest.approx(40.0)
    assert isinstance(take(here, "F3", "C1", "210.0"), Logged)  # along x: no height
    assert value(here, "F3", "C1") == pytest.approx(210.0)


def test_heights_of_an_inch_instrument_are_inches_until_a_unit_is_typed(shop: SmallShop) -> None:
    here = filling(shop)
    here.set_instrument(next(one for one in shop.record.instruments() if one.label == "inch caliper"))
    here.table_zero = 20.0
    assert isinstance(take(here, "F2", "C1", "2.362"), Logged | Asked)  # 59.995 mm over the table
    here.settle()
    assert value(here, "F2", "C1") == pytest.approx(39.995, abs=5e-4)
    assert isinstance(take(here, "F2", "C2", "60 mm"), Logged | Asked)
    here.settle()
    assert value(here, "F2", "C2") == pytest.approx(40.0, abs=5e-4)


# ------------------------------------------------------------------------------ machined castings
def machined(shop: SmallShop) -> Filling:
    """C1 measured raw, and F1 of it finished; C2 raw only."""
    here = filling(shop)
    for balloon, size in (("F1", "59"), ("F2", "40"), ("F3", "210"), ("F4", "243"), ("F5", "8")):
        for serial in ("C1", "C2"):
            take(here, balloon, serial, size)
    assert [row.state for row in here.sampling.requirements] == ["raw"] * 5
    bench = here.bench(here.sampling.casting("C1"))
    bench.set_state("finished")
    bench.goto("F1")
    bench.take("62.0")
    here.sampling.reload()
    return here


def test_a_machined_casting_has_rows_of_its_own_to_fill(shop: SmallShop) -> None:
    here = machined(shop)
    rows = [(row.feature.balloon, row.state) for row in here.sampling.requirements]
    assert rows == [
        ("F1", "raw"),
        ("F1", "finished"),
        ("F2", "raw"),
        ("F3", "raw"),
        ("F4", "raw"),
        ("F4", "finished"),
        ("F5", "raw"),
    ]
    assert here.next_open(0, 0) == (5, 0)  # F4 finished on C1; C2 is not machined yet
    c1 = here.sampling.casting("C1")
    done = here.take(here.sampling.requirements[5], c1, "240.1")
    assert isinstance(done, Logged) and (done.task.sizes.state, done.judged.value) == ("finished", 240.1)
    assert here.sampling.cell(here.sampling.feature("F4"), c1, "finished").value == 240.1
    assert value(here, "F4", "C1") == 243.0
    assert here.next_open(0, 0) is None
    raw = take(here, "F2", "C1", "40.02")  # and back again
    assert isinstance(raw, Logged) and raw.task.sizes.state == "raw"
    assert here.void_last() is not None
    taken = here.void_last()
    assert taken and (taken[1].feature.balloon, taken[1].state) == ("F4", "finished")
    assert here.next_open(0, 0) == (5, 0)


def test_the_question_about_a_finished_reading_keeps_its_row(shop: SmallShop) -> None:
    here = machined(shop)
    c1 = here.sampling.casting("C1")
    row = here.sampling.requirements[5]
    assert isinstance(here.take(row, c1, "204.1"), Asked)
    assert here.asked == (row, c1)
    assert isinstance(take(here, "F2", "C2", "="), Logged)
    assert here.sampling.cell(row.feature, c1, "finished").value == pytest.approx(240.1)
