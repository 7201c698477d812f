"""Each place shows what another program, or the exchange, wrote to the record while it is looked at."""

from __future__ import annotations

import asyncio
from collections.abc import Callable

import pytest
from textual.widgets import OptionList

from inspect_tui.frozen import replace
from inspect_tui.record.store import Record
from inspect_tui.shop.common import find
from inspect_tui.shop.first_article.castings.put_right import open_round
from inspect_tui.tui import place
from inspect_tui.tui.app import InspectApp
from inspect_tui.tui.feature.screen import FeatureScreen
from inspect_tui.tui.first_article.screen import FirstArticleScreen
from inspect_tui.tui.trends.screen import TrendsScreen
from inspect_tui.tui.trends.text import CHART, LOG
from inspect_tui.tui.trends.work import TrendWish
from tests.conftest import SmallShop
from tests.tui.hands import begun_at, settled
from tests.tui.together.test_screen import till
from tests.worlds.measured import Measured

SOON_S = 0.02


@pytest.fixture(autouse=True)
def _looked_at_often(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(place, "LOOK_S", SOON_S)


def seen(
    shop: SmallShop,
    at: str,
    prepare: Callable[[InspectApp], None],
    write: Callable[[Record], None],
    shown: Callable[[InspectApp], object],
) -> None:
    """Whether a place shows what somebody else wrote, and did not before."""

    async def go() -> None:
        app = begun_at(at, InspectApp(shop.record, shop.bench("box 1")))
        async with app.run_test(size=(120, 40)) as pilot:
            await settled(pilot)
            prepare(app)
            await settled(pilot)
            assert not shown(app)
            with Record.open(shop.path) as beside:
                write(beside)
            await till(pilot, lambda: shown(app))

    asyncio.run(go())


def rows(app: InspectApp, listed: str) -> str:
    return " ".join(str(option.prompt) for option in app.screen.query_one(listed, OptionList).options)


def nothing(app: InspectApp) -> None:
    """What the place comes up with is enough."""


def again(shop: SmallShop) -> Callable[[Record], None]:
    """Write one more reading of F1 on box 1, as another program."""
    made = Measured(shop)

    def write(beside: Record) -> None:
        (last, *_) = beside.readings()
        beside.append_reading(replace(last.reading, id=b"", value=62.9, typed="62.9"))

    made.on_tool([62.6, 62.7], on="box 1")
    return write


def test_the_gauges_and_the_kit(shop: SmallShop) -> None:
    seen(shop, "gauges", nothing, lambda beside: beside.add(replace(shop.caliper, id=b"", of_id=b"", label="new one")),
         lambda app: "new one" in rows(app, "#gauges"))  # fmt: skip
    job = find.job(shop.record, "SV-12")

    def renamed(beside: Record) -> None:
        core = beside.cores(job.of_id)[0]
        beside.add(replace(core, id=b"", of_id=b"", number=7, name="another"))

    seen(shop, "kit", nothing, renamed, lambda app: "core 7" in rows(app, "#cores"))


def test_a_feature(shop: SmallShop) -> None:
    def readings(app: InspectApp) -> int:
        assert isinstance(app.screen, FeatureScreen)
        known = app.screen.figures.material
        return len(known.values) if known is not None else 0

    def measured(app: InspectApp) -> None:
        assert app.bench is not None and isinstance(app.screen, FeatureScreen)
        app.bench.goto("F1")
        app.screen.pick = None
        app.screen.visit()

    write = again(shop)
    seen(shop, "feature", measured, write, lambda app: readings(app) == 3)


def test_the_chart_of_a_trend_and_its_counts(shop: SmallShop) -> None:
    write = again(shop)
    job = find.job(shop.record, "SV-12")
    box = find.subject(shop.record, job, "box 1").tool
    assert box is not None

    def here(app: InspectApp) -> TrendsScreen:
        assert isinstance(app.screen, TrendsScreen)
        return app.screen

    def points(app: InspectApp) -> int:
        trend = here(app).trend
        return len(trend.main) if trend is not None and here(app).page == CHART else 0

    wish = TrendWish(job.of_id, box.of_id, Measured(shop).feature.id)
    seen(shop, "trends", lambda app: here(app).look(wish), write, lambda app: points(app) == 3)

    def page(app: InspectApp) -> None:
        here(app).look(wish)
        here(app).action_page(LOG)

    def counted(beside: Record) -> None:
        from inspect_tui.model.trends import ToolCount

        beside.add(ToolCount(tool_of_id=box.of_id, count=777, on_date="2026-01-10"))

    seen(shop, "trends", page, counted, lambda app: "777" in app.screen.query_one("#body").render().plain)  # type: ignore[attr-defined]


def test_a_first_article_that_has_no_sampling_yet_and_one_that_has(shop: SmallShop) -> None:
    job = find.job(shop.record, "SV-12")

    def castings(app: InspectApp) -> list[str]:
        assert isinstance(app.screen, FirstArticleScreen)
        return [item.serial for item in app.screen.grid.castings]

    seen(shop, "first", nothing, lambda beside: open_round(beside, job, "S1", ["C1"]) and None,
         lambda app: castings(app) == ["C1"])  # fmt: skip
