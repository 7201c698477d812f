"""Tests of: what the Feature place asks of the record, in a thread of its own with a connection of its own."""

from __future__ import annotations

from threading import Event

import pytest
from textual.pilot import Pilot

from inspect_tui.shop.feature import findings, material
from inspect_tui.tui.app import InspectApp
from inspect_tui.tui.feature import figures as feature_figures
from inspect_tui.tui.feature.screen import FeatureScreen
from tests.tui.feature.test_screen import (
    bench_on_f1,
    choose,
    measured,  # noqa: F401  a fixture
    ready,
    run,
    text_of,
)
from tests.worlds.measured import Measured


def test_the_first_frame_does_not_wait_for_figures(measured: Measured, monkeypatch: pytest.MonkeyPatch) -> None:
    go_on = Event()
    gather = feature_figures.gather
    monkeypatch.setattr(feature_figures, "gather", lambda *a: (go_on.wait(10), gather(*a)))

    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        await pilot.press("ctrl+f")
        await pilot.pause(0.1)
        assert "F1 passage width" in text_of(app, "#head") and "reading the record" in text_of(app)
        assert text_of(app, "#foot") == FeatureScreen.FOOT
        go_on.set()
        await ready(pilot, app)
        assert "n 31" in text_of(app)

    run(bench_on_f1(measured), measured.shop, script)


def test_an_answer_to_an_older_question_is_dropped(measured: Measured, monkeypatch: pytest.MonkeyPatch) -> None:
    gather, hold, held = feature_figures.gather, Event(), []

    def slow(reader: object, wish: object, answer: object, style: object) -> None:
        if not held:
            held.append(True)
            hold.wait(10)
        gather(reader, wish, answer)  # type: ignore[arg-type]

    monkeypatch.setattr(feature_figures, "gather", slow)

    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        await pilot.press("ctrl+f")
        await pilot.pause(0.1)
        await choose(pilot, "o", "castings")
        screen = await ready(pilot, app)
        assert "n 5" in text_of(app)
        hold.set()
        await pilot.pause(0.3)
        assert "n 5" in text_of(app) and screen.figures.view is not None and screen.figures.view.summary.n == 5

    run(bench_on_f1(measured), measured.shop, script)


def test_figures_that_fail_leave_the_screen_usable(measured: Measured, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_: object) -> None:
        raise ZeroDivisionError("nothing to divide")

    monkeypatch.setattr(feature_figures, "gather", broken)

    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        await pilot.press("ctrl+f")
        await ready(pilot, app)
        assert "could not be worked out" in text_of(app) and "is touched" in text_of(app)
        await pilot.press("escape")
        await pilot.pause()
        assert app.place == "bench"

    run(bench_on_f1(measured), measured.shop, script)


def test_what_the_readings_tell_holds_the_risks_of_the_newest_readings_gauge(measured: Measured) -> None:
    measured.on_tool([59.5 + 0.2 * ((i * i) % 97) / 97 for i in range(60)])
    pick = material.pick(measured.record, measured.job, "stick 1", "F1")
    answers: dict[str, object] = {}
    feature_figures.gather(
        measured.record, feature_figures.Wish(pick=pick), lambda **more: answers.update(more) or True
    )
    told = answers["findings"]
    assert isinstance(told, findings.Findings)
    assert told.risks is not None
    assert 0.005 < told.risks.u < 0.1
    assert feature_figures._u_of_newest(measured.record, pick, []) is None
