"""On the Jobs place a thing is withdrawn with why and comes back; what was changed is searched in one list."""

from __future__ import annotations

from textual.pilot import Pilot
from textual.widgets import Input, OptionList, Static

from inspect_tui.shop.first_article.castings import put_right
from inspect_tui.tui.app import InspectApp
from inspect_tui.tui.jobs.changes import ChangesScreen
from tests.conftest import SmallShop
from tests.tui.jobs.test_screen import fill, run, text_of


async def _settle(pilot: Pilot[int]) -> None:
    for _ in range(4):
        await pilot.pause()


async def _narrow(pilot: Pilot[int], app: InspectApp, words: str) -> None:
    app.screen.query_one("#narrow", Input).value = words
    await _settle(pilot)
    await pilot.press("enter")
    await _settle(pilot)


def test_a_tool_is_withdrawn_the_bench_leaves_it_and_it_comes_back(shop: SmallShop) -> None:
    job = shop.record.job("SV-12")

    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        await pilot.press("w")
        await _settle(pilot)
        await _narrow(pilot, app, "tool")
        await _narrow(pilot, app, "stick 1")
        assert "1 tool made from it" in text_of(app, "#wrong")
        await pilot.press("ctrl+s")
        await _settle(pilot)
        assert "say why" in text_of(app, "#wrong")
        await fill(pilot, app, {"why": "never made"})
        await pilot.press("ctrl+s")
        await _settle(pilot)
        assert "tool stick 1 of job SV-12 is withdrawn" in text_of(app, "#say")
        assert [tool.label for tool in shop.record.tools(job.of_id)] == ["box 1", "drag pattern"]
        rows = [str(o.prompt) for o in app.screen.query_one("#subjects", OptionList).options]
        assert not any("stick 1" in row for row in rows)
        assert app.bench is not None and app.bench.subject.label == "box 1"
        await pilot.press("b")
        await _settle(pilot)
        (row,) = [str(o.prompt) for o in app.screen.query_one("#rows", OptionList).options]
        assert row.startswith("tool stick 1 of job SV-12") and row.endswith("AB: never made")
        await pilot.press("enter")
        await _settle(pilot)
        await fill(pilot, app, {"why": "it was"})
        await pilot.press("ctrl+s")
        await _settle(pilot)
        assert len(shop.record.tools(job.of_id)) == 3
        await pilot.press("b")
        await _settle(pilot)
        assert "Nothing is withdrawn." in text_of(app, "#say")

    run(shop, script)
    withdrawn, back = list(shop.record.with_withdrawn().withdrawals().values()), shop.record.withdrawals()
    assert withdrawn == list(back.values()) and withdrawn[0].why == "it was"


def test_a_casting_and_a_sampling_are_called_otherwise_from_the_jobs_place(shop: SmallShop) -> None:
    record, job = shop.record, shop.record.job("SV-12")
    lot = put_right.open_round(record, job, "S7", ["S7-1"], by=shop.ab.id)

    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        await pilot.press("r")
        await _settle(pilot)
        await _narrow(pilot, app, "casting")
        await _narrow(pilot, app, "S7-1")
        await fill(pilot, app, {"name": "S7-4", "why": "marked so"})
        await pilot.press("ctrl+s")
        await _settle(pilot)
        assert "is put right" in text_of(app, "#say")
        await pilot.press("r")
        await _settle(pilot)
        await _narrow(pilot, app, "sampling")
        await _narrow(pilot, app, "S7")
        await fill(pilot, app, {"poured": "2099-01-01", "why": "read wrongly"})
        await pilot.press("ctrl+s")
        await _settle(pilot)
        assert "poured:" in text_of(app, "#wrong")
        await fill(pilot, app, {"poured": "2026-02-01", "heat": "H7"})
        await pilot.press("ctrl+s")
        await _settle(pilot)

    run(shop, script)
    assert "S7-4" in {item.serial for item in record.items(job.of_id)}
    made = next(one for one in record.lots(job.of_id) if one.id == lot.id)
    assert (made.label, made.poured_on, made.heat) == ("S7", "2026-02-01", "H7")


def test_what_was_changed_is_looked_through_by_words(shop: SmallShop) -> None:
    record = shop.record
    job = record.job("SV-12")
    for tool, material in zip(record.tools(job.of_id), ("beech", "resin", "ash"), strict=True):
        record.revise(tool, shop.ab.id, material=material)
    record.revise(job, shop.ab.id, name="a name as long as the drawing says it, with all that belongs to it, in full")

    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        await pilot.press("h")
        for _ in range(50):
            await pilot.pause(0.02)
            if isinstance(app.screen, ChangesScreen):
                break
        listed = app.screen.query_one("#changes", OptionList)
        assert len(listed.options) == 4 and "drag pattern" in str(listed.options[1].prompt)
        assert all(len(str(option.prompt)) <= 72 for option in listed.options)
        await pilot.press("down")
        await pilot.press("down")
        await _settle(pilot)
        whole = str(app.screen.query_one("#whole", Static).render())
        assert "tool box 1: material not stated → resin" in whole and "AB  job SV-12" in whole
        await pilot.press(*"beech")
        await _settle(pilot)
        assert len(listed.options) == 1 and "stick 1" in str(listed.options[0].prompt)
        await pilot.press(*"zz")
        await _settle(pilot)
        assert "holds these words" in str(app.screen.query_one("#whole", Static).render())
        assert all(len(str(line)) <= 80 for line in str(app.screen.query_one("#whole", Static).render()).splitlines())
        await pilot.press("escape")
        await _settle(pilot)
        assert not isinstance(app.screen, ChangesScreen)

    run(shop, script)


def test_the_list_is_a_command_of_every_place(shop: SmallShop) -> None:
    shop.record.revise(shop.ab, shop.ab.id, name="A. B.")

    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        app.go("gauges")
        await _settle(pilot)
        titles = [command.title for command in app.get_system_commands(app.screen)]
        assert titles.count("What was changed") == 1
        app.action_command_palette()
        await _settle(pilot)
        await _narrow(pilot, app, "what was changed over")
        for _ in range(50):
            await pilot.pause(0.02)
            if isinstance(app.screen, ChangesScreen):
                break
        assert "name nothing → A. B." in str(app.screen.query_one("#whole", Static).render())

    run(shop, script)


def test_the_contraction_is_put_right_with_what_follows_said_while_typing(shop: SmallShop) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        await pilot.press("a")
        await _settle(pilot)
        await fill(pilot, app, {"contraction": "1.2 %"})
        assert "3 tools get other sizes" in text_of(app, "#follows")
        await fill(pilot, app, {"contraction": "much"})
        assert "contraction: " in text_of(app, "#follows")
        await fill(pilot, app, {"contraction": "1.2 %", "why": "misread"})
        await pilot.press("ctrl+s")
        await _settle(pilot)
        assert "is put right" in text_of(app, "#say") and "X Y Z 1.20 %" in text_of(app, "#about")

    run(shop, script)
    assert shop.record.jobs()[0].a_y == 0.012
