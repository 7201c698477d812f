"""Tests of: where things are: what was shipped to whom and when, counted; and what came back in what condition."""

from __future__ import annotations

import pytest

from inspect_tui.errors import JobFileError
from inspect_tui.model.measuring import Note
from inspect_tui.record.kinds import TOOL
from inspect_tui.record.store import Record
from inspect_tui.shop.kit import edit, life_story, shipping
from inspect_tui.shop.kit.shipping import Parcel
from tests.shop.kit.paper.test_papers import made  # noqa: F401  a fixture
from tests.shop.kit.test_check_demo import at
from tests.shop.kit.test_check_demo import record as demo  # noqa: F401  a fixture
from tests.shop.kit.test_cores import core_job
from tests.shop.kit.test_life_story import (
    data,
    record,  # noqa: F401  a fixture
)


def test_where_the_tools_are(demo: Record) -> None:
    places = {p.tool.label: p for p in shipping.places(at(demo, None))}
    assert places["stick 5"].where == "here"
    assert places["box 3"].where == "at a foundry two days away since 2023-08-31"
    assert places["box 3"].last_loose == 4
    assert all(p.where == "here" for p in shipping.places(at(demo, "2023-08-01")))


def test_the_life_of_a_tool_tells_readings_notes_and_journeys(record: Record) -> None:
    made = core_job(record)
    made.read("box 1", {"W": 103.0, "H": 60.6})
    record.add(Note(about_kind=TOOL.number, about_id=made.tool["box 1"].id, text="joint dressed"))
    parcels = [Parcel("box 1", 1, 3, "clean")]
    with pytest.raises(shipping.StillOpen, match="1 thing speaks against the kit: W size W on box 1") as asked:
        shipping.ship(record, made.job, "a foundry", "2026-03-01", parcels, why_open="  ")
    assert len(asked.value.points) == 1 and str(asked.value).endswith("Say why it is shipped all the same.")
    assert not record.shipments(made.job.of_id)
    out = shipping.ship(record, made.job, "a foundry", "2026-03-01", parcels, why_open=" for a first trial ")
    assert out.why_open == "for a first trial"
    place = next(p for p in shipping.places(data(made)) if p.tool.label == "box 1")
    assert place.sentence.endswith("; shipped with points still open: for a first trial")
    shipping.came_back(record, made.job, out, "2026-05-01", [Parcel("box 1", 1, 2, "one piece broken")])
    told = [event.what for event in life_story.tool_story(data(made), made.tool["box 1"])]
    assert told == [
        "box opened, tooling resin",
        "2 sizes read by TK (W, H); off target by more than its band: W",
        "noted: joint dressed",
        "shipped to a foundry, 3 loose pieces, with points still open (for a first trial): clean",
        "back from a foundry, 2 loose pieces: one piece broken",
    ]


def test_a_kit_that_nothing_speaks_against_needs_no_word(record: Record) -> None:
    made = core_job(record)
    out = shipping.ship(record, made.job, "a foundry", "2026-03-01", [Parcel("box 1")], why_open="to be sure")
    assert out.why_open is None
    assert shipping.still_open(["a", "b"]) == "2 things speak against the kit: a."


def test_what_came_back_short_is_said(record: Record) -> None:
    made = core_job(record)
    edit.set_tool_detail(record, made.job, made.tool["box 1"], loose_pieces=3, owner="the customer")
    out = shipping.ship(
        record,
        made.job,
        "a foundry",
        "2026-03-01",
        [Parcel("box 1", 1, 3), Parcel("drag pattern"), Parcel("setting sheet", 2)],
    )
    place = next(p for p in shipping.places(data(made)) if p.tool.label == "box 1")
    assert (place.where, place.owner) == ("at a foundry since 2026-03-01", "the customer")
    _, said = shipping.came_back(
        record, made.job, out, "2026-05-01", [Parcel("box 1", 1, 2), Parcel("setting sheet", 1)]
    )
    assert said == (
        "box 1: 2 of 3 loose pieces came back",
        "drag pattern did not come back",
        "setting sheet: 1 of 2 came back",
    )
    by_label = {p.tool.label: p for p in shipping.places(data(made))}
    assert "1 of its 3 loose pieces missing" in by_label["box 1"].sentence
    assert by_label["drag pattern"].where == "at a foundry since 2026-03-01"
    assert by_label["box 1"].where == "here since 2026-05-01"


def test_what_is_proposed_to_ship_is_what_belongs_to_the_kit_and_is_here(record: Record) -> None:
    made = core_job(record)
    assert [p.what for p in shipping.proposal(data(made))] == ["drag pattern", "cope pattern", "box 1"]
    shipping.ship(record, made.job, "a foundry", "2026-03-01", [Parcel("box 1")])
    assert [p.what for p in shipping.proposal(data(made))] == ["drag pattern", "cope pattern"]


@pytest.mark.parametrize(
    ("to", "day", "parcels", "words"),
    [
        ("  ", "2026-03-01", [Parcel("box 1")], "Say to whom"),
        ("a foundry", "soon", [Parcel("box 1")], "no date"),
        ("a foundry", "2026-03-01", [], "Nothing is on the list"),
        ("a foundry", "2026-03-01", [Parcel("box 1", -1)], "not below 0"),
    ],
)
def test_a_shipment_that_cannot_be_is_refused_and_nothing_is_written(
    record: Record, to: str, day: str, parcels: list[Parcel], words: str
) -> None:
    made = core_job(record)
    before = record.counts()
    with pytest.raises(JobFileError, match=words):
        shipping.ship(record, made.job, to, day, parcels)
    assert record.counts() == before


def test_nothing_comes_back_before_it_left_or_from_a_return(record: Record) -> None:
    made = core_job(record)
    out = shipping.ship(record, made.job, "a foundry", "2026-03-01", [Parcel("box 1")])
    with pytest.raises(JobFileError, match="before it left"):
        shipping.came_back(record, made.job, out, "2026-02-01", [Parcel("box 1")])
    back, _ = shipping.came_back(record, made.job, out, "2026-04-01", [Parcel("box 1")])
    with pytest.raises(JobFileError, match="from a shipment that left"):
        shipping.came_back(record, made.job, back, "2026-05-01", [Parcel("box 1")])
