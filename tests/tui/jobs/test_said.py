"""On the Jobs place a job is closed, castings are weighed, and two entries are said to be one."""

from __future__ import annotations

from textual.pilot import Pilot
from textual.widgets import OptionList

from inspect_tui.model.measuring import Person
from inspect_tui.shop.first_article.castings import put_right
from inspect_tui.tui.app import InspectApp
from tests.conftest import SmallShop
from tests.tui.jobs.test_changes import _narrow, _settle
from tests.tui.jobs.test_screen import fill, run, text_of


def test_what_is_said_of_a_job_its_castings_and_two_entries(shop: SmallShop) -> None:
    record, job = shop.record, shop.record.job("SV-12")
    put_right.open_round(record, job, "S1", ["C1", "C2"], by=shop.ab.id)
    record.add(Person(initials="A.B", role="maker"), shop.ab.id)

    async def enter(pilot: Pilot[int], app: InspectApp, texts: dict[str, str]) -> None:
        await fill(pilot, app, texts)
        await pilot.press("ctrl+s")
        await _settle(pilot)

    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        await pilot.press("g")
        await _settle(pilot)
        await _narrow(pilot, app, "weighs")
        await enter(pilot, app, {"casting": "casting C1", "weight": "heavy"})
        assert "weight: " in text_of(app, "#wrong")
        await enter(pilot, app, {"weight": "41.35"})
        assert "casting C1: 41.35 kg" in text_of(app, "#say")
        await pilot.press("g")
        await _settle(pilot)
        await _narrow(pilot, app, "area")
        await enter(pilot, app, {"area": "1.85", "why": "the model"})
        await pilot.press("s")
        await _settle(pilot)
        for words in ("person", "AB", "A.B"):
            await _narrow(pilot, app, words)
        await enter(pilot, app, {"why": "entered twice"})
        assert "AB and A.B are one" in text_of(app, "#say")
        await pilot.press("o")
        await _settle(pilot)
        await enter(pilot, app, {"state": "closed", "why": "delivered"})
        assert "Job SV-12 is closed" in text_of(app, "#say")
        assert "(closed)" in str(app.screen.query_one("#jobs", OptionList).options[0].prompt)
        assert "closed: delivered" in text_of(app, "#about")

    run(shop, script)
    assert [kept.weight_kg for kept in record.item_weights(job.of_id).values()] == [41.35]
    area = record.wall_area(job.of_id)
    assert area is not None and area.area_m2 == 1.85
    assert [pair.state for pair in record.same_things()] == ["same"]
    assert record.job_states()[job.of_id].state == "closed"
