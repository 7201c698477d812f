"""Lists and small forms: narrowing by what is typed, someone new, a new instrument."""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable
from typing import Any

import pytest
from textual.pilot import Pilot
from textual.widgets import Input, Static

from inspect_tui.errors import DiskFull
from inspect_tui.tui import choosers
from inspect_tui.tui.app import InspectApp
from inspect_tui.tui.question import NEW, Chooser
from tests.conftest import SmallShop
from tests.tui.hands import burst, settled


def offered(shop: SmallShop, typed: str, rows: list[tuple[Any, str]] | None = None) -> list[Any]:
    """What the list of places (or of these rows) holds when so much is typed, the marked one first."""
    seen: list[Any] = []

    async def go() -> None:
        app = InspectApp(shop.record, shop.bench())
        async with app.run_test(size=(80, 24)) as pilot:
            await pilot.pause()
            if rows is None:
                app.action_places()
            else:
                app.push_screen(Chooser("Which?", rows))
            await pilot.pause()
            assert isinstance(app.screen, Chooser)
            app.screen._fill(typed)
            seen.extend(app.screen.shown)

    asyncio.run(go())
    return seen


def test_the_place_of_that_name_comes_before_one_that_mentions_it(shop: SmallShop) -> None:
    found = offered(shop, "feature")
    assert found[0] == "feature" and "jobs" in found  # Jobs tells of features


def test_without_words_the_order_is_as_given(shop: SmallShop) -> None:
    assert offered(shop, "")[:2] == ["bench", "jobs"]


def test_several_words_are_matched_word_by_word_and_adding_one_stays_last(shop: SmallShop) -> None:
    rows: list[tuple[Any, str]] = [(1, "old caliper 2"), (2, "block"), (3, "Caliper 21 in"), (NEW, "+ a new one")]
    assert offered(shop, "cal 2", rows) == [3, 1, NEW]


# What a new instrument is, from its form: a range of 0 to 1 000 was 0 to 1, a step of 1/64 in of a mm gauge 0.0156.
@pytest.mark.parametrize(
    "unit, step, span, made",
    [
        ("mm", "0,01", "0 to 1 000", (0.01, 0.0, 1000.0)),
        ("mm", "1/64 in", "0–150", (0.396875, 0.0, 150.0)),
        ("mm", "0.0005 in", "0 to 6 in", (0.0127, 0.0, 152.4)),
        ("in", "1/64", "0 to 24", (0.015625, 0.0, 24.0)),
        ("in", "0.0005", "0 to 150 mm", (0.0005, 0.0, pytest.approx(150 / 25.4))),
        ("deg", "0.1", "0 to 360", (0.1, 0.0, 360.0)),
        ("C", "0.1", "-40 to 200", (0.1, -40.0, 200.0)),
    ],
)
def test_step_and_range_of_a_new_instrument_are_in_its_unit(unit: str, step: str, span: str, made: object) -> None:
    values = {"label": "x", "kind": "caliper", "unit": unit, "resolution": step, "range": span, "scale": ""}
    found = choosers.instrument_from(values)
    assert not isinstance(found, str), found
    assert (found.resolution, found.range_lo, found.range_hi) == made


@pytest.mark.parametrize(
    "key, typed, said",
    [
        ("resolution", "1/64", "Step: 1/64 of what: type 1/64 in"),
        ("resolution", "0", "Step: a step of 0 is none"),
        ("range", "150", "Range: 150 is no range: type it such as 0 to 150"),
        ("range", "150 to 0", "Range: 150 to 0 does not go from low to high"),
        ("kind", "calliper", "Kind: 'calliper' is not among them"),
        ("unit", "furlong", "Reads: 'furlong' is not among them"),
        ("scale", "5", "Scale: 5 is 500 %"),
        ("label", "", "Give it a name"),
    ],
)
def test_what_is_wrong_with_a_new_instrument_is_said(key: str, typed: str, said: str) -> None:
    values = {"label": "x", "kind": "caliper", "unit": "mm", "resolution": "0.01", "range": "0 to 150", "scale": ""}
    found = choosers.instrument_from(values | {key: typed})
    assert isinstance(found, str) and found.startswith(said), found
    assert found.endswith(".")


# ------------------------------------------------------------------------------ someone or something new
def run(shop: SmallShop, script: Callable[[Pilot[int], InspectApp], Awaitable[None]]) -> None:
    async def go() -> None:
        app = InspectApp(shop.record, shop.bench())
        async with app.run_test(size=(80, 24)) as pilot:
            await pilot.pause()
            await script(pilot, app)

    asyncio.run(go())


def test_someone_new_is_typed_in_one_go_and_measures(shop: SmallShop) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        burst(app, "f3", "someone", "enter")
        await settled(pilot)
        burst(app, "AB", "enter", "enter", "enter")
        await settled(pilot)
        assert "AB is there already" in str(app.screen.query_one("#wrong", Static).render())
        app.screen.query_one("#field-initials", Input).value = "ZZ"
        app.screen.query_one("#field-role", Input).value = "Inspector"
        burst(app, "ctrl+s")
        await settled(pilot)
        assert app.bench and app.bench.person and app.bench.person.initials == "ZZ"

    run(shop, script)
    assert [(p.initials, p.role) for p in shop.record.people() if p.initials == "ZZ"] == [("ZZ", "inspector")]


def test_someone_who_could_not_be_written_stays_in_the_form(shop: SmallShop, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*_: Any, **__: Any) -> Any:
        raise DiskFull("The disk is full.")

    monkeypatch.setattr(shop.record, "add", full)

    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        burst(app, "f3", "someone", "enter")
        await settled(pilot)
        burst(app, "ZZ", "ctrl+s")
        await settled(pilot)
        assert "disk is full" in str(app.screen.query_one("#wrong", Static).render())
        assert app.screen.query_one("#field-initials", Input).value == "ZZ"

    run(shop, script)


def test_a_long_list_is_paged(shop: SmallShop) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        taken: list[int] = []
        choosers.choose(app, "Which?", [(n, f"row {n}") for n in range(1, 100)], taken.append)
        burst(app, "pagedown", "enter")
        await settled(pilot)
        choosers.choose(app, "Which?", [(n, f"row {n}") for n in range(1, 100)], taken.append)
        burst(app, "pagedown", "pageup", "enter")
        await settled(pilot)
        assert taken[0] > 10 and taken[1] == 1

    run(shop, script)
