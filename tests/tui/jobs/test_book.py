"""A new job on the Jobs screen is offered what this shop's own jobs have shown, and can take it."""

from __future__ import annotations

import asyncio
from pathlib import Path

from textual.widgets import Input, Static

from inspect_tui.record.store import Record
from inspect_tui.tui.app import InspectApp
from inspect_tui.tui.forms import Form
from tests.shop.jobs.test_contraction_book import cast


def test_the_book_shows_beside_the_handbook_and_typing_book_takes_it(tmp_path: Path) -> None:
    with Record.open(tmp_path / "book.db", create=True) as record:
        cast(record, "J1", 0.0080)

        async def go() -> None:
            app = InspectApp(record, None)
            async with app.run_test(size=(80, 24)) as pilot:
                await pilot.pause()
                await pilot.press("n")
                await pilot.pause()
                form = app.screen
                assert isinstance(form, Form)
                follows, wrong = (form.query_one(f"#{name}", Static) for name in ("follows", "wrong"))
                form.query_one("#field-number", Input).value = "J2"
                form.query_one("#field-contraction", Input).value = "book"
                await pilot.press("ctrl+s")
                await pilot.pause()
                assert "Say the alloy" in str(wrong.render())
                form.query_one("#field-alloy", Input).value = "grey iron"
                await pilot.pause()
                said = " ".join(str(follows.render()).split())
                assert "handbook:" in said and "this shop's jobs (J1): X 0." in said
                await pilot.press("ctrl+s")
                await pilot.pause()
                assert app.screen is not form

        asyncio.run(go())
        job = record.job("J2")
        assert job.a_source.startswith("this shop's jobs (J1)")
        assert job.a_x < 0.0095


def test_an_alloy_the_shop_never_cast_is_offered_the_handbook_only(tmp_path: Path) -> None:
    with Record.open(tmp_path / "none.db", create=True) as record:

        async def go() -> None:
            app = InspectApp(record, None)
            async with app.run_test(size=(80, 24)) as pilot:
                await pilot.press("n")
                await pilot.pause()
                form = app.screen
                form.query_one("#field-number", Input).value = "J1"
                form.query_one("#field-alloy", Input).value = "grey iron"
                form.query_one("#field-contraction", Input).value = "book"
                await pilot.pause()
                assert "this shop's jobs" not in str(form.query_one("#follows", Static).render())
                await pilot.press("ctrl+s")
                await pilot.pause()
                assert app.screen is form  # refused: everything typed stays
                said = " ".join(str(form.query_one("#wrong", Static).render()).split())
                assert "have shown nothing yet for grey iron" in said

        asyncio.run(go())
        assert record.jobs() == []
