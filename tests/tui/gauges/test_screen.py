"""The Gauges place as people use it: states, checks, certificates, a bias."""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable

import pytest
from textual import events
from textual.pilot import Pilot
from textual.widgets import Input, Static

from inspect_tui.frozen import replace
from inspect_tui.model.measuring import Calibration
from inspect_tui.shop.common import find
from inspect_tui.shop.gauges import instruments as gauges
from inspect_tui.tui.app import InspectApp
from inspect_tui.tui.gauges.screen import GaugesScreen
from tests.conftest import SmallShop
from tests.tui.hands import begun_at

Script = Callable[[Pilot[int], InspectApp], Awaitable[None]]


def run(shop: SmallShop, script: Script, size: tuple[int, int] = (80, 24)) -> InspectApp:
    async def go() -> InspectApp:
        app = begun_at("gauges", InspectApp(shop.record, shop.bench()))
        async with app.run_test(size=size) as pilot:
            await pilot.pause()
            await pilot.pause()
            await script(pilot, app)
        return app

    return asyncio.run(go())


def text_of(app: InspectApp, widget: str) -> str:
    return str(app.screen.query_one(widget, Static).render())


def screen_lines(app: InspectApp) -> list[str]:
    """The screen as it stands, line by line."""
    strips = app.screen._compositor.render_strips()
    return ["".join(segment.text for segment in strip).rstrip() for strip in strips]


async def until(pilot: Pilot[int], holds: Callable[[], bool], most: float = 10.0) -> None:
    for _ in range(int(most / 0.05)):
        if holds():
            return
        await pilot.pause(0.05)
    raise AssertionError("it never came")


async def burst(pilot: Pilot[int], *keys: str) -> None:
    """Keys sent without waiting for anything between them, as a gauge sends them."""
    driver = pilot.app._driver
    assert driver is not None
    for key in keys:
        event = events.Key({".": "full_stop", ",": "comma"}.get(key, key), key if len(key) == 1 else None)
        event.set_sender(pilot.app)
        driver.send_message(event)
    await pilot.pause()


async def typed(pilot: Pilot[int], *lines: str) -> None:
    for line in lines:
        await burst(pilot, *line, "enter")


def fill(app: InspectApp, **fields: str) -> None:
    """Texts into the fields of a form."""
    for key, text in fields.items():
        app.screen.query_one(f"#field-{key}", Input).value = text


async def choose(pilot: Pilot[int], app: InspectApp, label: str) -> None:
    screen = app.screen
    assert isinstance(screen, GaugesScreen)
    screen.reload(find.instrument(app.record, label).of_id)
    await pilot.pause()


# ------------------------------------------------------------------------------ looking
@pytest.mark.parametrize("size", [(80, 24), (160, 48)])
def test_the_list_says_the_states_in_words_and_symbols(shop: SmallShop, size: tuple[int, int]) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        assert isinstance(app.screen, GaugesScreen)
        lines = screen_lines(app)
        assert "3 need a certificate" in lines[0]
        assert any("? caliper 2" in line and "never" in line for line in lines)
        assert any("✓ caliper 1" in line for line in lines)
        assert "caliper 1: calibrated 2026-01-05" in " ".join(text_of(app, "#body").split())  # the Bench's is chosen
        assert len(lines) == size[1] and lines[-1].startswith("k check"), lines
        assert all(len(line) <= size[0] for line in lines)

    run(shop, script, size)


def test_good_for_ranks_the_open_tool_and_then_the_castings(shop: SmallShop) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        await pilot.press("g")
        await pilot.pause()
        first = text_of(app, "#body")
        assert "SV-12, stick 1, in AB's hands" in first and " %" in first
        await pilot.press("g")
        await pilot.pause()
        assert "as-cast sizes and fits" in text_of(app, "#body")

    run(shop, script, (160, 48))


@pytest.mark.parametrize(("known", "say"), [(0, "3 need a certificate"), (2, "1 needs a certificate"), (3, "")])
def test_the_title_counts_those_that_need_a_certificate(shop: SmallShop, known: int, say: str) -> None:
    without = [one for one in gauges.lines(shop.record) if one.means.calibration is None]
    for one in without[:known]:
        shop.record.add(
            Calibration(instrument_of_id=one.instrument.of_id, done_on="2026-01-05", result="pass", u95_mm=0.02),
            shop.ab.id,
        )

    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        title = screen_lines(app)[0]
        assert say in title and ("certificate" in title) is bool(say)

    run(shop, script)


# ------------------------------------------------------------------------------ doing


@pytest.mark.parametrize(("reading", "colour"), [("25.00", "green"), ("25.30", "red")])
def test_a_check_is_judged_by_its_figures_whatever_the_piece_is_called(
    shop: SmallShop, reading: str, colour: str
) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        await pilot.press("k")
        await pilot.pause()
        fill(app, name="NOTCH 25", size="25.000")
        await pilot.press("ctrl+s")
        await pilot.pause()
        await typed(pilot, reading)
        await pilot.press("escape")
        await pilot.pause()
        said = app.screen.query_one("#say", Static).render()
        assert "NOTCH 25" in str(said) and colour in str(getattr(said, "spans", said))

    run(shop, script)


def test_lines_of_a_gauge_that_types_by_itself_are_all_checks(shop: SmallShop) -> None:
    """Lines pressed without a pause between them: each is taken whole."""

    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        await pilot.press("k")
        await pilot.pause()
        fill(app, size="25.000")
        await pilot.press("ctrl+s")
        await pilot.pause()
        keys = [key for n in range(15) for key in (*f"25.0{n % 4}", "enter")]
        await burst(pilot, *keys)
        await until(pilot, lambda: len(shop.record.gauge_checks(shop.caliper.of_id)) == 15)
        await pilot.press("escape")

    run(shop, script)
    values = [c.check.value for c in shop.record.gauge_checks(shop.caliper.of_id)]
    assert values == [25.0 + n % 4 / 100 for n in range(15)]


def test_a_question_in_a_check_is_kept_when_the_place_is_left(shop: SmallShop) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        await pilot.press("k")
        await pilot.pause()
        fill(app, size="25.000")
        await pilot.press("ctrl+s")
        await pilot.pause()
        await typed(pilot, "52.000")
        assert "Not logged yet" in text_of(app, "#say")
        await pilot.press("ctrl+q")
        await pilot.pause()

    run(shop, script)
    assert [c.check.value for c in shop.record.gauge_checks(shop.caliper.of_id)] == [52.0]


def test_a_bias_is_shown_traced_and_recorded_by_y_only(shop: SmallShop) -> None:
    bench = shop.bench()
    bench.goto("F2")
    bench.take("40.59")
    shop.record.add(
        Calibration(
            instrument_of_id=shop.caliper.of_id, done_on="2026-03-01", result="adjusted", u95_mm=0.02, error_mm=0.05
        ),
        shop.ab.id,
    )

    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        await pilot.press("y")
        await pilot.pause()
        assert "b shows a bias first" in text_of(app, "#say")
        await pilot.press("b")
        await until(pilot, lambda: "readings" in text_of(app, "#body") and "bias +0.050" in text_of(app, "#body"))
        assert "as found 0.05 high on 2026-03-01" in " ".join(text_of(app, "#body").split())
        assert shop.record.biases(shop.caliper.of_id) == []
        await pilot.press("y")
        await pilot.pause()
        assert "The readings stay as they are" in " ".join(text_of(app, "#say").split())
        await pilot.press("b")
        await until(pilot, lambda: "no bias that is not on record" in " ".join(text_of(app, "#body").split()))

    run(shop, script, (160, 48))
    (bias,) = shop.record.biases(shop.caliper.of_id)
    assert (bias.bias_mm, bias.from_on, bias.to_on) == (0.05, "2026-01-05", "2026-03-01")


def test_every_key_has_an_id_and_every_command_can_be_found(shop: SmallShop) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        screen = app.screen
        assert isinstance(screen, GaugesScreen)
        assert all(binding.id for binding in screen.BINDINGS)  # type: ignore[union-attr]
        assert {"Add a certificate", "Plan a gauge study"} <= {command.title for command in screen.commands()}

    run(shop, script)


def test_an_instrument_without_range_for_the_bench_is_still_listed(shop: SmallShop) -> None:
    shop.record.add(replace(shop.caliper, id=b"", of_id=b"", label="[red]odd[/red]"), shop.ab.id)

    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        await choose(pilot, app, "[red]odd[/red]")
        assert "[red]odd" in text_of(app, "#body")  # what people type is text, not markup

    run(shop, script)


def test_a_gauge_is_taken_out_of_use_and_back(shop: SmallShop) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        await choose(pilot, app, "caliper 1")
        await pilot.press("o")
        fill(app, since="2026-03-02", why="jaws bent")
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert "caliper 1 is out of use from 2026-03-02 on: jaws bent" in text_of(app, "#say")
        assert "✗ caliper 1 is out of use since 2026-03-02: jaws bent." in text_of(app, "#body")
        await pilot.press("o")
        fill(app, since="2026-03-05", why="new jaws")
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert "caliper 1 is in use again from 2026-03-05 on: new jaws" in text_of(app, "#say")

    run(shop, script)
    assert [state.state for state in shop.record.instrument_states(shop.caliper.of_id)] == ["out_of_use", "in_use"]


def test_d_says_what_everyday_readings_say_over_all_sizes(shop: SmallShop) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        await pilot.press("d")
        await until(pilot, lambda: "nothing can be compared" in text_of(app, "#body"))
        body = text_of(app, "#body")
        assert "over all sizes of tools and castings" in body and "size by size in the open job" in body

    run(shop, script)
