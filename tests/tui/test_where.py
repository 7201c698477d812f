"""Where a size is taken: at the Bench the line of words at every width, the sketch where it has room; on the Feature place."""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable, Iterator
from pathlib import Path

import pytest
from textual.pilot import Pilot

from inspect_tui.frozen import replace
from inspect_tui.metrology.kit.bodies import Box, given_body
from inspect_tui.metrology.sizes.place import Place
from inspect_tui.metrology.typed.show import Style
from inspect_tui.model.work import End, Feature
from inspect_tui.record.store import Record
from inspect_tui.shop.bench.line import Bench
from inspect_tui.shop.common import find
from inspect_tui.shop.feature.material import Pick
from inspect_tui.shop.kit.sketch.scene import Scene, SceneCore
from inspect_tui.tui import where
from inspect_tui.tui.app import InspectApp
from inspect_tui.tui.bench.screen import BenchScreen
from inspect_tui.tui.feature.figures import Figures, Wish, gather
from inspect_tui.tui.feature.text import where_page
from inspect_tui.tui.panel import Panel
from tests.worlds.kit_jobs import Kit, two_cores

CORE = b"c" * 16
SCENE = Scene(
    job="J-1",
    cores=(
        SceneCore(number="1", name="", body=given_body("1", [(0, 100, 10, 50, 0, 20)]), step=1, way_in="z-"),
        SceneCore(number="2", name="", body=given_body("2", [(20, 80, 20, 40, 20, 35)]), step=2, way_in="z-"),
    ),
    outline=Box(-10, 110, 0, 60, -5, 45),
    outline_given=True,
)


def feature(**more: object) -> Feature:
    ends = (
        End(which="A", core_id=CORE, facing=1, coord_mm=10.0),
        End(which="B", core_id=CORE, facing=1, coord_mm=50.0),
    )
    return Feature(**{"balloon": "F7", "name": "n", "axis": "y", "nominal": 40.0, "ends": ends, **more})


def taken(axis: str, low: float, high: float) -> Place:
    return Place(balloon="F7", axis=axis, makers=("core 2", "core 2"), ends=(low, high))


# ------------------------------------------------------------------------------ words, room, picture
def test_the_words_are_the_place_and_the_note() -> None:
    assert where.words(feature(), {CORE: "3"}) == "where: core 3, y 10 to 50"
    assert where.words(feature(note="st 90"), {CORE: "3"}) == "where: core 3, y 10 to 50; st 90"
    assert where.words(feature(note="st 90"), {CORE: "3"}, figures=False) == "where: both faces core 3; st 90"
    assert where.words(feature(note="st 90", axis="none"), {CORE: "3"}) == "where: st 90"
    assert where.words(feature(axis="none"), {CORE: "3"}) == ""
    assert where.words(feature(note="st 90"), None) == "where: st 90"
    assert where.words(feature(), {CORE: "3"}, Style("in")) == "where: core 3, y 0.3937 to 1.9685"


@pytest.mark.parametrize(
    ("width", "height", "rows"),
    [(119, 48, 0), (120, 20, 0), (120, 21, 10), (120, 30, 12), (160, 45, 18), (200, 90, 20)],
)
def test_the_sketch_has_its_part_of_the_list(width: int, height: int, rows: int) -> None:
    assert where.rows(width, height) == rows


@pytest.mark.parametrize(
    ("axis", "view"), [("x", "section along x"), ("y", "section along y"), ("z", "section along y")]
)
def test_the_view_that_shows_the_size_best(axis: str, view: str) -> None:
    ends = {"x": (20, 80), "y": (20, 40), "z": (20, 35)}[axis]
    text = where.picture(SCENE, taken(axis, *ends), "2", 44, 14).plain
    assert text.startswith(view) and "◀━▶ F7 is measured here" in text
    assert ("▲" in text and "▼" in text) if axis == "z" else ("◀" in text.splitlines()[7] or "◀" in text)
    assert len(text.splitlines()) <= 14 and max(len(line) for line in text.splitlines()) <= 44


def test_nothing_of_setting_stands_in_it() -> None:
    inside = SceneCore(number="3", name="", body=given_body("3", [(30, 40, 25, 30, 22, 30)]), step=3, way_in="z-")
    text = where.picture(replace(SCENE, cores=(*SCENE.cores, inside)), taken("x", 20, 80), "2", 44, 14).plain
    assert "▼" not in text and "Hidden" not in text and "goes in" not in text and "core 1" in text


def test_the_core_at_hand_is_solid_and_about_is_said() -> None:
    assert "█" in where.picture(SCENE, taken("y", 20, 40), "2", 44, 14).plain
    assert "█" not in where.picture(SCENE, taken("y", 20, 40), "", 44, 14).plain
    assert "about" not in where.picture(SCENE, None, "", 44, 14).plain


def test_who_is_not_led_sees_no_figures() -> None:
    shown = where.picture(SCENE, taken("y", 20, 40), "2", 60, 14).plain
    assert "x 50" in shown
    hidden = where.picture(SCENE, taken("y", 20, 40), "2", 60, 14, figures=False).plain
    assert not any(
        digit in hidden.replace("core 1", "").replace("core 2", "").replace("F7", "") for digit in "0123456789"
    )


def test_a_size_without_a_place_shows_the_mould_alone_and_nothing_known_is_said() -> None:
    prints = Place(balloon="K1-P", axis="x", makers=("core 1", "core 1"), ends=(None, None), tool=True)
    text = where.picture(SCENE, prints, "1", 44, 14).plain
    assert "measured here" not in text and "core 1" in text and text.startswith("section along x")
    nothing = where.picture(Scene(job="J", cores=()), None, "", 44, 14).plain
    assert "Nothing can be drawn" in nothing and "Write down the places of the ends" in nothing.replace("\n", " ")


def test_the_feature_place_says_and_draws_it_below_what_the_readings_tell() -> None:
    figures = Figures()
    assert where_page(figures, 60).plain == ""
    figures.where = "where: core 2, x 20 to 80"
    assert where_page(figures, 60).plain == "\nwhere: core 2, x 20 to 80\n"
    figures.mould, figures.taken = SCENE, taken("x", 20, 80)
    assert where_page(figures, 60).plain.startswith("\nwhere: core 2, x 20 to 80\nsection along x")
    assert "F7 is measured here" in where_page(figures, 60).plain


def test_the_feature_place_reads_it_last(kit: Kit) -> None:
    answers: list[dict[str, object]] = []
    pick = Pick(kit.job, kit.feature["1y"], find.subject(kit.record, kit.job, "box 1"), "casting")
    gather(kit.record, Wish(pick=pick), lambda **found: answers.append(found) is None)
    assert set(answers[-1]) == {"where", "taken", "mould"}
    assert answers[-1]["where"] == "where: core 1, y 0 to 40; st 90"


# ------------------------------------------------------------------------------ on the screen
Script = Callable[[Pilot[int], BenchScreen], Awaitable[None]]


@pytest.fixture
def kit(tmp_path: Path) -> Iterator[Kit]:
    with Record.open(tmp_path / "kit.db", create=True) as record:
        made = two_cores(record)
        for part, box in ((1, (0, 60, 0, 40, 10, 30)), (2, (28, 50, 0, 40, 30, 50))):
            for n, axis in enumerate("xyz"):
                low, high = box[2 * n : 2 * n + 2]
                tools = (f"box {part}",)
                made.add_feature(
                    f"{part}{axis}", axis, high - low, (part, 1, low), (part, -1, high), tools, note="st 90"
                )
        yield made


def run(kit: Kit, script: Script, size: tuple[int, int]) -> None:
    async def go() -> None:
        record = kit.record
        bench = Bench(record, kit.job, find.subject(record, kit.job, "box 1"), kit.person, kit.caliper)
        app = InspectApp(record, bench)
        async with app.run_test(size=size) as pilot:
            await pilot.pause()
            assert isinstance(app.screen, BenchScreen)
            await script(pilot, app.screen)

    asyncio.run(go())


def text_of(screen: BenchScreen, widget: str) -> str:
    return screen.query_one(widget, Panel).plain


async def until(pilot: Pilot[int], holds: Callable[[], bool]) -> None:
    for _ in range(200):
        if holds():
            return
        await pilot.pause(0.05)
    raise AssertionError("it never came")


def test_at_80_by_24_the_line_of_words_is_in_sight_and_no_sketch(kit: Kit) -> None:
    async def script(pilot: Pilot[int], screen: BenchScreen) -> None:
        await pilot.press("ctrl+g")
        screen.app.screen.dismiss(None)
        screen.bench.goto("1y")
        screen.show()
        await pilot.pause()
        now = screen.query_one("#now", Panel)
        assert "where: core 1, y 0 to 40; st 90" in now.plain.splitlines()[-1]
        assert len(now._lines) <= now.size.height == 6
        assert not screen.query_one("#where", Panel).display
        await pilot.press("f5")
        await pilot.pause()
        assert "where: both faces core 1; st 90" in text_of(screen, "#now")
        assert "40" not in text_of(screen, "#now")

    run(kit, script, (80, 24))


def test_at_120_columns_the_sketch_stands_with_the_list_and_follows_the_hand(kit: Kit) -> None:
    async def script(pilot: Pilot[int], screen: BenchScreen) -> None:
        screen.bench.goto("1y")
        screen.show()
        await until(pilot, lambda: "1y is measured here" in text_of(screen, "#where"))
        panel, listed = screen.query_one("#where", Panel), screen.query_one("#list", Panel)
        assert panel.region.x == listed.region.x and panel.region.y == listed.region.bottom
        assert panel.region.bottom <= screen.query_one("#foot").region.y
        assert "at x 30" in panel.plain and "█" in panel.plain
        assert len(panel.plain.splitlines()) <= panel.size.height
        assert len(text_of(screen, "#list").splitlines()) <= listed.size.height
        await pilot.press("f5")
        await until(pilot, lambda: "at x 30" not in text_of(screen, "#where"))
        assert "1y is measured here" in text_of(screen, "#where")
        await pilot.press("down")
        await until(pilot, lambda: "1z is measured here" in text_of(screen, "#where"))

    run(kit, script, (120, 40))


def test_nothing_is_drawn_while_readings_come_fast(kit: Kit, monkeypatch: pytest.MonkeyPatch) -> None:
    drawn: list[str] = []
    real = where.picture

    def counted(*args: object, **more: object) -> object:
        drawn.append(args[1].balloon)
        return real(*args, **more)

    monkeypatch.setattr(where, "picture", counted)

    async def script(pilot: Pilot[int], screen: BenchScreen) -> None:
        screen.bench.goto("1x")
        screen.show()
        await until(pilot, lambda: drawn == ["1x"])
        for reading in ("60.6", "40.4", "20.2"):  # as fast as they can come
            assert screen.take(reading, 0.0) is None
        await until(pilot, lambda: len(drawn) > 1)
        assert len(drawn) == 2  # the sizes passed over were not drawn
        screen.show()
        await pilot.pause(2 * where.REST_S)
        assert len(drawn) == 2  # the same picture is not drawn again

    run(kit, script, (160, 48))
