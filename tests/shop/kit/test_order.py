"""How cores can be set: the order that is in force, rings of seats, look-alikes, what nothing holds, lift."""

from __future__ import annotations

from pathlib import Path
from types import SimpleNamespace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_tui.record.store import Record
from inspect_tui.shop.kit import edit
from inspect_tui.shop.kit.order import lifts
from tests.amounts import some
from tests.shop.kit.test_check import (
    checked,
    proven,
    record,  # noqa: F401  a fixture
)
from tests.worlds.kit_jobs import begin, two_cores, with_patterns


# ------------------------------------------------------------------------------ order
def test_the_order_that_people_gave_is_in_force_where_it_can_be_set(record: Record) -> None:
    made = proven(record)
    check = checked(made)
    assert check.sequence == ("1", "2")
    assert check.order_sentence == "set in the order 1, 2: there is no other"


def test_an_order_that_a_seat_forbids_is_said_and_the_computed_one_counts(record: Record) -> None:
    made = two_cores(record)
    for number, place in ((1, 2), (2, 1)):
        made.detail(number, set_order=place)
    check = checked(made)
    assert check.sequence == ("1", "2")
    assert "core 2 cannot be set" in check.order_sentence
    assert any("core 2 cannot be set" in text for text in check.against)


def test_a_ring_of_seats_is_named_core_by_core(record: Record) -> None:
    made = proven(record)
    made.add_fit("K9", 1, 2)
    check = checked(made)
    assert check.sequence == ()
    assert "no setting order: 1 -> 2 -> 1" in check.order_sentence


@settings(max_examples=some(12, 100), deadline=None)
@given(st.data())
def test_an_order_exists_exactly_when_no_core_waits_for_itself_and_respects_every_seat(data: st.DataObject) -> None:
    from tempfile import TemporaryDirectory

    size = data.draw(st.integers(2, 7))
    pairs = data.draw(st.lists(st.tuples(st.integers(1, size), st.integers(0, size)), max_size=12))
    with (
        TemporaryDirectory() as folder,
        Record.open(Path(folder) / "k.db", create=True, state_dir=Path(folder)) as record,
    ):
        made = with_patterns(begin(record))
        for number in range(1, size + 1):
            made.add_core(number)
        seats = {(i, o) for i, o in pairs if i != o}
        for n, (inner, outer) in enumerate(sorted(seats)):
            made.add_fit(f"K{n}", inner, outer or "drag")
        check = checked(made)
        under = {i: {o for a, o in seats if a == i and o} for i in range(1, size + 1)}
        ring = any(_reaches(under, n, n) for n in under)
        assert bool(check.sequence) != ring
        place = {int(number): at for at, number in enumerate(check.sequence)}
        assert all(place[outer] < place[inner] for inner, outer in seats if outer and check.sequence)


def _reaches(under: dict[int, set[int]], start: int, wanted: int) -> bool:
    seen: set[int] = set()
    front = set(under[start])
    while front:
        if wanted in front:
            return True
        seen |= front
        front = {x for n in front for x in under[n]} - seen
    return False


def test_a_core_that_could_be_blocked_comes_before_its_blocker(record: Record) -> None:
    made = proven(record)
    made.add_core(3, set_order=0)
    made.add_fit("K9", 3, "drag", way_in="x-", holds="x,y,z,rx,ry,rz")
    edit.change_fit(record, made.job, made.fit["K2"], blocked_by="3")
    check = checked(made)
    assert check.sequence.index("3") > check.sequence.index("2")


# ------------------------------------------------------------------------------ held, lift
def test_a_core_that_nothing_holds_in_a_direction_is_named(record: Record) -> None:
    made = two_cores(record)
    made.add_core(3)
    made.add_fit("K9", 3, "drag", axis="x", holds="x")
    check = checked(made)
    assert any(text.startswith("core 3: ") and "free along y" in text for text in check.against)


def test_the_lift_goes_through_cores_that_stand_on_each_other_up_to_the_cope(record: Record) -> None:
    made = with_patterns(begin(record))
    for number, outer in ((1, "drag"), (2, 1)):
        made.add_core(number, set_order=number, volume_dm3=2.0)
        made.detail(number, in_metal_dm3=1.5)
        made.add_fit(f"K{number}", number, outer, holds="x,y,rx,ry,rz")
    loose = checked(made)
    assert any("core 2 lifts" in t and "nothing holds it down" in t for t in loose.against)
    made.add_fit("K3", 2, "cope", way_in="z+", holds="x,y")
    check = checked(made)
    # Archimedes: 7.0 kg/dm3 times 1.5 dm3 less 1.6 times 2.0 is 7.3 kgf a core; the upper one carries both
    assert check.held["1"].lift.kgf == pytest.approx(7.3)
    assert check.held["2"].up / 9.80665 == pytest.approx(14.6)
    assert check.held["2"].sentence == "core 2 lifts 14.6 kgf, 7.3 of it from cores below: held by the cope"


@pytest.mark.parametrize(
    ("alloy", "kg_dm3"),
    # as poured, the middle of the handbooks' range: aluminium bronze is no aluminium, and what is not known is iron
    [("ductile iron", 7.0), ("aluminium bronze", 7.05), ("aluminium", 2.4), ("cast steel", 7.0), (None, 7.0)],
)
def test_a_core_is_lifted_by_the_metal_of_its_job(alloy: str | None, kg_dm3: float) -> None:
    core = SimpleNamespace(of_id=b"c", number=1, volume_dm3=2.0)
    job, details = SimpleNamespace(alloy=alloy), {b"c": SimpleNamespace(in_metal_dm3=1.5)}
    lift = lifts(SimpleNamespace(job=job, cores=[core], details=details))["1"]  # type: ignore[arg-type]
    assert lift.kgf == pytest.approx(1.5 * kg_dm3 - 2.0 * 1.6)
