"""The invented shop with three samplings, copied for each test that writes; and screens painted when they are left."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
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
