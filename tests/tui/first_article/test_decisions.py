"""First article on the screen: decided, looked at, checked and released, as a person types it."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from textual.pilot import Pilot
from textual.widgets import Static

from inspect_tui.record.store import Record
from inspect_tui.tui.app import InspectApp
from inspect_tui.tui.first_article.screen import FirstArticleScreen
from inspect_tui.tui.forms import Form
from tests.tui.first_article.test_screen import found, run, sheet, text
from tests.worlds.signed_shop import GOOD, made, sampling


@pytest.fixture
def record(tmp_path: Path) -> Iterator[Record]:
    with made(tmp_path / "d.db", {"C1": {**GOOD, "F2": 50.9}}) as record:
        yield record


def wrong(app: InspectApp) -> str:
    return str(app.screen.query_one("#wrong", Static).render())


async def filled(pilot: Pilot[int], app: InspectApp, **values: str) -> None:
    assert isinstance(app.screen, Form)
    for key, value in values.items():
        app.screen.query_one(f"#field-{key}").value = value  # type: ignore[attr-defined]
    await pilot.press("ctrl+s")
    await pilot.pause()


async def chosen(pilot: Pilot[int], key: str, *words: str) -> None:
    """A key, and what is chosen in the lists that come one after the other."""
    await pilot.press(key)
    await pilot.pause()
    for word in words:
        await pilot.press(*word, "enter")
        await pilot.pause()


async def as_person(pilot: Pilot[int], initials: str) -> None:
    await chosen(pilot, "f3", initials)


def test_what_does_not_conform_is_decided_about_and_the_article_released(record: Record) -> None:
    async def script(pilot: Pilot[int], app: Any, screen: FirstArticleScreen) -> None:
        await as_person(pilot, "LE")
        screen.grid.go(screen.grid.row_of("F2"), 0)
        await chosen(pilot, "shift+f11", "checked")
        await filled(pilot, app)
        assert "checked by LE" in text(app, "#say")
        await chosen(pilot, "shift+f11", "released")
        await filled(pilot, app)
        assert "nothing was decided about F2 on C1" in wrong(app)
        await pilot.press("escape")
        await pilot.pause()
        await pilot.press("shift+f8")
        await pilot.pause()
        assert app.screen.query_one("#field-feature").value == "F2"  # the cell at hand
        assert app.screen.query_one("#field-casting").value == "C1"
        await filled(pilot, app, decision="concession", until="2020-01-01", quantity="2", why="fits")
        assert "2020-01-01 has been already" in wrong(app)
        await filled(pilot, app, until="2999-01-01", quantity="11")
        assert "more than the 10 of the order" in wrong(app)
        await filled(pilot, app, quantity="2")
        assert "Decided: F2 on C1" in text(app, "#say")
        await chosen(pilot, "shift+f8", "new")
        await filled(pilot, app, feature="G1", casting="", decision="scrap", why="with it")
        assert "Decided: G1 on every casting: scrap" in text(app, "#say")
        for act in ("checked", "released"):
            await chosen(pilot, "shift+f11", act)
            await filled(pilot, app)
        assert "released by LE" in text(app, "#say")
        for _ in range(5):
            await pilot.press("ctrl+u")
        await found(pilot, screen)
        assert "released by LE" in sheet(screen) and "F2 on C1" in sheet(screen)

    run(record, script)
    job = sampling(record).job
    assert {said.decision for said in record.dispositions(job.of_id)} == {"concession", "scrap"}


def test_a_decision_is_taken_back_in_its_form(record: Record) -> None:
    async def script(pilot: Pilot[int], app: Any, screen: FirstArticleScreen) -> None:
        await as_person(pilot, "LE")
        await pilot.press("shift+f8")
        await pilot.pause()
        await filled(pilot, app, feature="F2", casting="C1", decision="scrap", why="cracked")
        await chosen(pilot, "shift+f8", "F2")
        assert app.screen.query_one("#field-why").value == "cracked"
        await filled(pilot, app, holds="no")
        assert "Taken back: F2 on C1: scrap" in text(app, "#say")

    run(record, script)
    assert record.dispositions(sampling(record).job.of_id) == []


def test_a_geometrical_tolerance_is_looked_at_changed_and_taken_off(record: Record) -> None:
    async def script(pilot: Pilot[int], app: Any, screen: FirstArticleScreen) -> None:
        await as_person(pilot, "IN")
        await chosen(pilot, "shift+f9", "G3", "say")
        await filled(pilot, app, accepted="yes", method="")
        assert "say how it was looked at" in wrong(app)
        await filled(pilot, app, method="square")
        assert "G3 on C1: accepted (square)." in text(app, "#say")
        await chosen(pilot, "shift+f9", "G2", "change")
        assert app.screen.query_one("#field-sizes").value == "F11 F12 F13 F14"
        await filled(pilot, app, tolerance="0.6")
        assert "tolerance 0.5 → 0.6" in text(app, "#say")
        await chosen(pilot, "shift+f9", "G2", "change")
        await filled(pilot, app, drop="no")
        assert "withdrawn" in text(app, "#say")

    run(record, script)
    job = sampling(record).job
    assert [one.balloon for one in record.geometries(job.of_id)] == ["G1", "G3", "G4", "G5"]
    assert [one.accepted for one in record.geometry_checks(job.of_id)] == [True]


def test_the_foundry_is_told_that_it_may_not(record: Record) -> None:
    async def script(pilot: Pilot[int], app: Any, screen: FirstArticleScreen) -> None:
        await as_person(pilot, "FO")
        await pilot.press("shift+f8")
        await pilot.pause()
        await filled(pilot, app, feature="F2", casting="C1", decision="scrap", why="cracked")
        assert "FO is here as foundry" in wrong(app)
        assert app.screen.query_one("#field-why").value == "cracked"

    run(record, script)
