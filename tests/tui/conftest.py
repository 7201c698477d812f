"""The invented shop with three samplings, copied for each test that writes; screens painted when they are left; and
a program that is waited for till nothing in it is left to do."""

from __future__ import annotations

import asyncio
import shutil
from collections.abc import Iterator
from pathlib import Path
from time import monotonic, process_time

import pytest
import textual.app
import textual.pilot
from textual._context import active_app
from textual.app import App
from textual.css.model import RuleSet
from textual.css.stylesheet import Stylesheet
from textual.screen import Screen

from inspect_tui.record.store import Record

REFRESH, SUSPEND, SHUTDOWN = Screen._compositor_refresh, Screen._on_screen_suspend, App._shutdown
PARSE = Stylesheet._parse_rules
RULES: dict[tuple[object, ...], list[RuleSet]] = {}


@pytest.fixture
def opened(sampled: Path, tmp_path: Path) -> Iterator[Record]:
    shutil.copy(sampled, tmp_path / "copy.db")
    with Record.open(tmp_path / "copy.db") as record:
        yield record


def _refreshed(screen: Screen[object]) -> None:
    if screen is not screen.app.screen:
        REFRESH(screen)
        return
    screen._compositor._dirty_regions.clear()
    screen._dirty_widgets.clear()
    screen.app._update_mouse_over(screen)


def _suspended(screen: Screen[object]) -> None:
    screen._compositor.render_strips()
    SUSPEND(screen)


async def _shut_down(app: App[object]) -> None:
    try:
        if app._exception is None and app.screen_stack:
            app.screen._compositor.render_strips()
    finally:
        await SHUTDOWN(app)


def _rules(
    sheet: Stylesheet,
    css: str,
    read_from: object,
    is_default_rules: bool = False,
    tie_breaker: int = 0,
    scope: str = "",
) -> list[RuleSet]:
    key = (css, read_from, is_default_rules, tie_breaker, scope, frozenset(sheet._variables.items()))
    if key not in RULES:
        RULES[key] = PARSE(sheet, css, read_from, is_default_rules, tie_breaker, scope)
    return RULES[key]


@pytest.fixture(scope="session", autouse=True)
def _styles_are_read_once() -> Iterator[None]:
    """Each program of a test has the same style sheets: what a program reads once is read once for all of them."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Stylesheet, "_parse_rules", _rules)
        yield


@pytest.fixture(autouse=True)
def _painted_when_left(monkeypatch: pytest.MonkeyPatch) -> None:
    """No terminal shows a screen of a test from key to key: it is painted as it is left, whole, and when looked at."""
    monkeypatch.setattr(Screen, "_compositor_refresh", _refreshed)
    monkeypatch.setattr(Screen, "_on_screen_suspend", _suspended)
    monkeypatch.setattr(App, "_shutdown", _shut_down)


BREATH_S = 0.002  # so long a thread is left to work before it is asked again
IDLE_S = 0.02  # a thread that does nothing for so long waits for somebody: so long Textual's own hands wait for a key


async def _till_quiet(min_sleep: float = 0.0, max_sleep: float = 10.0) -> None:
    """Until no message, no painting and no thread of the program is left, instead of until the processor is idle.

    Textual sleeps 20 ms and looks whether the process worked meanwhile, twice a key: most of the time of a test.
    """
    loop, app = asyncio.get_running_loop(), active_app.get()
    until, busy, looked = monotonic() + max_sleep, process_time(), monotonic()
    while monotonic() < until:
        await asyncio.sleep(0)
        if loop._ready:  # type: ignore[attr-defined]
            continue
        if app.screen_stack and app.screen._update_timer._active.is_set():
            app.screen._on_timer_update()
            continue
        if not any(worker.is_running for worker in app.workers):
            break
        await asyncio.sleep(BREATH_S)
        now, cpu = monotonic(), process_time()
        if now - looked >= IDLE_S:
            if cpu - busy < (now - looked) / 20:
                break
            busy, looked = cpu, now


async def _there(pilot: textual.pilot.Pilot[object], timeout: float = 30.0) -> bool:
    """No widget has to be asked whether it is through: what follows waits till no message is left anywhere."""
    return True


@pytest.fixture(scope="session", autouse=True)
def _waited_for_what_there_is() -> Iterator[None]:
    with pytest.MonkeyPatch.context() as patch:
        for module in (textual.app, textual.pilot):
            patch.setattr(module, "wait_for_idle", _till_quiet)
        patch.setattr(textual.pilot.Pilot, "_wait_for_screen", _there)
        yield
