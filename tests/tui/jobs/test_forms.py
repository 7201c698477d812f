"""The forms of the Jobs place: a job, what changes about it, a feature with its sizes showing."""

from __future__ import annotations

from textual.pilot import Pilot
from textual.widgets import Input

from inspect_tui.shop.common import find
from inspect_tui.tui.app import InspectApp
from tests.conftest import SmallShop
from tests.tui.jobs.test_screen import (
    fill,
    run,
    text_of,
)


def test_a_job_is_added_with_a_contraction_per_axis(shop: SmallShop) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        await pilot.press("n")
        await pilot.pause()
        await fill(pilot, app, {"number": "T-1", "alloy": "ductile iron", "contraction": "0.8 % 1.0 % 0.9 %"})
        said = text_of(app, "#follows")
        assert "handbook: 1.21 % (u 0.62 %): 0.8 to 2.0 %, ductile iron, not annealed: EN 12890:2000" in said
        assert "9 printed values may apply, 0.00 to 2.04 % of the casting" in said and "http" not in said
        await pilot.press("ctrl+s")
        await pilot.pause()

    run(shop, script)
    job = find.job(shop.record, "T-1")
    assert (round(job.a_x, 6), round(job.a_y, 6), round(job.a_z, 6)) == (0.008, 0.01, 0.009)


def test_what_is_wrong_in_a_form_is_said_and_nothing_typed_is_lost(shop: SmallShop) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        await pilot.press("n")
        await pilot.pause()
        await fill(pilot, app, {"number": "T-2", "contraction": "10"})
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert "1000 %" in text_of(app, "#wrong")
        assert app.screen.query_one("#field-number", Input).value == "T-2"

    run(shop, script)


def test_a_feature_shows_its_tool_sizes_while_it_is_typed(shop: SmallShop) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        await pilot.press("f")
        await pilot.pause()
        await fill(
            pilot,
            app,
            {
                "balloon": "F9",
                "quantity": "width",
                "axis": "y",
                "nominal": "20",
                "limits": "±0.3",
                "a": "core 1",
                "b": "core 1",
                "between": "space",
            },
        )
        assert "stick 1: stick 20.20" in text_of(app, "#follows")
        await pilot.press("ctrl+s")
        await pilot.pause()

    run(shop, script)
    assert "F9" in [t.feature.balloon for t in shop.bench().tasks]


def test_a_feature_shows_what_the_handbook_says_of_stock_until_some_is_typed(shop: SmallShop) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        await pilot.press("f")
        await pilot.pause()
        typed = {"balloon": "F9", "nominal": "62", "limits": "±0.3", "a": "drag", "b": "drag", "stock": "0"}
        await fill(pilot, app, typed)
        hint = "handbook: stock 2.4 to 3.0 mm a machined face, 5.5 mm where cast uppermost"
        assert hint in text_of(app, "#follows")
        await fill(pilot, app, {"stock": "0 3"})
        assert "handbook: stock" not in text_of(app, "#follows")

    run(shop, script)


async def change_f1(pilot: Pilot[int], app: InspectApp, values: dict[str, str]) -> None:
    await pilot.press("e")
    await pilot.pause()
    await pilot.press(*"F1 ", "enter")
    await pilot.pause()
    await pilot.pause()
    await fill(pilot, app, values)
    await pilot.press("ctrl+s")
    await pilot.pause()


def test_raw_limits_wider_than_the_stock_are_asked_about_in_the_form(shop: SmallShop) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        await change_f1(pilot, app, {"rev": "B", "limits_raw": "±4"})
        assert "the raw size may grow to 63.00 where 62.80 is to be left" in text_of(app, "#wrong")
        assert revisions(shop) == ["A"]  # asked once, what was typed stands
        await pilot.press("ctrl+s")
        await pilot.pause()

    run(shop, script)
    assert revisions(shop) == ["A", "B"]
    wide = next(t.feature for t in shop.bench().tasks if t.feature.balloon == "F1")
    assert (wide.raw_lower, wide.raw_upper) == (55.0, 63.0)


def revisions(shop: SmallShop) -> list[str]:
    return [r.rev for r in shop.record.revisions(find.job(shop.record, "SV-12").of_id)]


def test_a_feature_that_was_read_is_changed_by_a_new_revision_or_a_reason(shop: SmallShop) -> None:
    bench = shop.bench()
    bench.goto("F1")
    bench.take("59.60")

    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        await change_f1(pilot, app, {"nominal": "63"})
        assert "F1 was read" in text_of(app, "#wrong")  # and what was typed is still there
        assert app.screen.query_one("#field-nominal", Input).value == "63"
        assert revisions(shop) == ["A"]
        await fill(pilot, app, {"why": "63 read as 62"})
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert "F1 put right on revision A" in text_of(app, "#say")
        assert app.bench and app.bench.revision.corrects_id is not None  # what is open takes it up
        about = " ".join(text_of(app, "#about").split())
        assert "rev A" in about and "by AB: 63 read as 62" in about
        await change_f1(pilot, app, {"nominal": "64", "rev": "B"})
        assert "Revision B" in text_of(app, "#say")
        assert app.bench.revision.rev == "B"
        assert [t.feature.nominal for t in app.bench.tasks if t.feature.balloon == "F1"] == [64.0]

    run(shop, script)
    assert revisions(shop) == ["A", "A", "B"]
    made = shop.record.revisions(find.job(shop.record, "SV-12").of_id)
    assert (made[1].corrects_id, made[1].why) == (made[0].id, "63 read as 62")


def test_a_feature_that_nobody_changed_is_not_written(shop: SmallShop) -> None:
    written = shop.record.frontier()

    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        await change_f1(pilot, app, {})
        assert "F1 is as it was" in text_of(app, "#say")
        await change_f1(pilot, app, {"rev": "B", "why": "nothing"})
        assert "F1 is as it was" in text_of(app, "#say")

    run(shop, script)
    assert shop.record.frontier() == written


def test_a_job_that_nobody_changed_is_not_written(shop: SmallShop) -> None:
    written = shop.record.frontier()

    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        await pilot.press("j")
        await pilot.pause()
        await pilot.press("ctrl+s")
        await pilot.pause()

    run(shop, script)
    assert shop.record.frontier() == written


def test_a_job_is_changed_and_what_is_open_follows_its_rule(shop: SmallShop) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        await pilot.press("j")
        await pilot.pause()
        await fill(pilot, app, {"rule": "surely", "tool_share": "0,5"})
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert "decision rule is one of proof95" in str(app.screen.query_one("#wrong").render())
        await fill(pilot, app, {"rule": "full_u", "tool_share": "2"})
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert "between 0.01 and 1" in str(app.screen.query_one("#wrong").render())
        await fill(pilot, app, {"name": "stove [b]", "tool_share": "0,5"})
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert "changed" in text_of(app, "#say")
        assert app.bench and app.bench.job.rule == "full_u"

    run(shop, script)
    job = find.job(shop.record, "SV-12")
    assert (job.rule, job.tool_share, job.name) == ("full_u", 0.5, "stove [b]")
    assert len(shop.record.job_history(job.of_id)) == 2
    assert shop.bench().job.rule == "full_u"


def test_a_contraction_far_from_the_handbooks_is_asked_about_once(shop: SmallShop) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        await pilot.press("n")
        await pilot.pause()
        await fill(pilot, app, {"number": "T-9", "alloy": "ductile iron", "contraction": "9.5 %"})
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert "A contraction of 9.5 % beside the handbook's 1.21 %?" in text_of(app, "#wrong")
        await pilot.press("ctrl+s")
        await pilot.pause()

    run(shop, script)
    assert find.job(shop.record, "T-9").a_x == 0.095
