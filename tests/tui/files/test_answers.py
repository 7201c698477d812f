"""What the foundry sent back, on the screen: the sheet is seen core by core before it is written."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.pilot import Pilot

from inspect_tui.tui.app import InspectApp
from inspect_tui.tui.files.forms import FileForm, Look
from inspect_tui.tui.kit.screen import KitScreen
from tests.shop.answers.conftest import FILLED, filled, prepared, saved
from tests.tui.files.test_tools import enter, shown
from tests.tui.first_article.test_load import at_rest
from tests.tui.kit.test_screen import filled as fill_in
from tests.tui.kit.test_screen import made, run, text_of, until  # noqa: F401  (made is a fixture)
from tests.worlds.kit_jobs import Kit


@pytest.mark.usefixtures("tmp_path")
def test_a_sheet_is_seen_core_by_core_and_written(made: Kit, tmp_path: Path) -> None:
    kit = prepared(made)
    file = saved(tmp_path / "back.csv", filled(kit, FILLED, casting=""))

    async def script(pilot: Pilot[int], app: InspectApp, screen: KitScreen) -> None:
        await pilot.press("y")
        await pilot.pause()
        await pilot.press("enter")
        await pilot.pause()
        assert isinstance(app.screen, FileForm)
        await fill_in(pilot, app, file=str(file), **{"with": "caliper of TK-1"}, day="2026-11-18")
        await at_rest(pilot)
        assert isinstance(app.screen, Look) and "Say it in the field mould." in shown(pilot, "#title")
        await pilot.press("escape")
        await pilot.pause()
        assert "was refused; nothing was added" in shown(pilot, "#wrong")
        await fill_in(pilot, app, mould="S4-1")
        await at_rest(pilot)
        assert "2 sizes, 2 answers of 1 sand core" in shown(pilot, "#body")
        assert "S4-1-C1 (new) W 101.3, L 60.58; check throat (T-1): 1.42 mm" in shown(pilot, "#body")
        assert kit.record.readings() == []
        await enter(pilot)
        await until(pilot, lambda: "taken in" in text_of(screen, "#say"))
        await pilot.press("y")
        await pilot.pause()
        await pilot.press("down", "down", "down", "enter")
        await pilot.pause()
        assert isinstance(app.screen, Look) and "rubbed, forced, broken?: key rubbed" in shown(pilot, "#body")

    run(kit, script)
    assert len(kit.record.readings()) == 2 and len(kit.record.setting_answers(kit.job.of_id)) == 2
