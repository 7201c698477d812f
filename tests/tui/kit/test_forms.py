"""Forms of the Kit place: what came back is counted, a passage needs a formula it understands, a loop its members."""

from __future__ import annotations

from pathlib import Path

from textual.pilot import Pilot

from inspect_tui.shop.kit import shipping
from inspect_tui.shop.kit.facts import KitFacts
from inspect_tui.tui.app import InspectApp
from inspect_tui.tui.kit.screen import KitScreen
from tests.tui.kit.test_screen import filled, made, run, text_of  # noqa: F401  (made is a fixture)
from tests.worlds.kit_jobs import Kit


def test_what_came_back_is_counted_against_what_went_out(made: Kit) -> None:
    tool = made.record.tools(made.job.of_id)[0].label
    parcels = [shipping.Parcel(tool, loose_pieces=4), shipping.Parcel("setting sheet")]
    shipping.ship(made.record, made.job, "the foundry", "2026-03-01", parcels)

    async def script(pilot: Pilot[int], app: InspectApp, screen: KitScreen) -> None:
        await pilot.press("s", "e")
        await pilot.pause()
        await filled(pilot, app, on="2026-02-01")
        assert "before that" in str(app.screen.query_one("#wrong").render())  # type: ignore[attr-defined]
        await filled(pilot, app, on="2026-04-01", what=f"{tool}:3", condition="joint worn")
        await pilot.pause()
        said = text_of(screen, "#say")
        assert "3 of 4 loose pieces" in said and "setting sheet did not come back" in said

    run(made, script)
    ways = [shipment.way for shipment, _ in KitFacts(made.record, made.job).shipments]
    assert sorted(ways) == ["back", "out"]


def test_a_passage_with_a_name_that_does_not_exist_stays_in_the_form(made: Kit) -> None:
    feature = next(f.balloon for f in KitFacts(made.record, made.job).features if f.scale == "cast")

    async def script(pilot: Pilot[int], app: InspectApp, screen: KitScreen) -> None:
        await pilot.press("p", "n")
        await pilot.pause()
        await filled(pilot, app, label="A1", formula="pi/4*F999*F998")
        assert "F999" in str(app.screen.query_one("#wrong").render())  # type: ignore[attr-defined]
        await filled(pilot, app, formula="__import__('os')")
        assert str(app.screen.query_one("#wrong").render())  # type: ignore[attr-defined]
        await filled(pilot, app, formula=f"pi/4*{feature}*{feature}", rated="46", unit="m3/min", minimum="45")
        await pilot.pause()
        assert "A1 added" in text_of(screen, "#say")

    run(made, script)
    assert [p.label for p in made.record.passages(made.job.of_id)] == ["A1"]


def test_a_loop_by_hand_says_which_member_it_does_not_understand(made: Kit, tmp_path: Path) -> None:
    async def script(pilot: Pilot[int], app: InspectApp, screen: KitScreen) -> None:
        await pilot.press("w", "n")
        await pilot.pause()
        await filled(pilot, app, label="ST9", members="+ wall 7 ±0.2; seven")
        assert "'seven' is no member" in str(app.screen.query_one("#wrong").render())  # type: ignore[attr-defined]
        await filled(pilot, app, members="+ wall 7 ±0.2; - lift 0,25 ±0.25", limits="6 8")
        await pilot.pause()

    run(made, script)
    ((stack, members),) = made.record.stacks(made.job.of_id)
    assert stack.label == "ST9" and (stack.lower, stack.upper) == (6.0, 8.0)
    assert [(m.sense, m.size_mm, m.plus_mm) for m in members] == [(1, 7.0, 0.2), (-1, 0.25, 0.25)]
