"""Earlier readings of the tool or casting at hand, in a list at the Bench: taken back, typed right, or moved."""

from __future__ import annotations

from functools import partial
from typing import Any

from inspect_tui.metrology.typed.show import when
from inspect_tui.model.measuring import Person
from inspect_tui.record.ask.readings import LoggedReading
from inspect_tui.shop.bench import earlier
from inspect_tui.shop.bench.line import Bench
from inspect_tui.tui import choosers
from inspect_tui.tui.place import Place
from inspect_tui.tui.question import choose


def rows(bench: Bench, blind: bool) -> list[tuple[Any, str]]:
    """The readings of the tool or casting at hand, newest first, each as a row of a list."""
    return [((balloon, row), _row(bench, balloon, row)) for balloon, row in _readings(bench, blind)]


def _readings(bench: Bench, blind: bool) -> list[tuple[str, LoggedReading]]:
    """In a blind round nothing is shown that was read before it."""
    listed = earlier.readings(bench)
    if not blind:
        return listed
    here = {task.feature.balloon for task in bench.tasks if not task.due}
    seen: set[str] = set()
    newest = []
    for balloon, row in listed:
        if balloon in here and balloon not in seen:
            seen.add(balloon)
            newest.append((balloon, row))
    return newest


def _row(bench: Bench, balloon: str, row: LoggedReading) -> str:
    out = "  struck out" if row.out else ""
    at = when(row.at_us, row.tz_min, bench.today)
    return f"{balloon:<6} {row.reading.typed[:14]:<14} {row.reading.typed_unit:<4} {row.by:<4} {at}{out}"


def ask(place: Place, bench: Bench, balloon: str, row: LoggedReading) -> None:
    """What is wrong with a reading of that balloon? Then it is put right."""
    typed = row.reading.typed
    ways: list[tuple[Any, str]] = [
        ("right", "It should read otherwise: type it right"),
        ("move", "It was meant for another size"),
        ("back", "Take it back: it does not count any more"),
    ]

    def chosen(what: str) -> None:
        place.with_person(partial(_do, place, bench, what, balloon, row))

    choose(place, f"{balloon} {typed}", ways, chosen)


def _do(place: Place, bench: Bench, what: str, balloon: str, row: LoggedReading, by: Person) -> None:
    typed = row.reading.typed

    def right(text: str | None) -> None:
        if text:
            place.attempt(lambda: _right(bench, balloon, row, text, by))

    def back(why: str | None) -> None:
        if why:
            place.attempt(lambda: _back(bench, balloon, row, why, by))

    def move(to: str | None) -> None:
        if to is not None:
            place.attempt(lambda: _moved(bench, balloon, row, to, by))

    if what == "right":
        choosers.ask_text(place.app, f"{balloon}: what it should read instead of {typed}", right)
    elif what == "back":
        choosers.ask_text(place.app, f"{balloon} {typed} is taken back: why", back)
    else:
        choosers.feature(place.app, [task.feature for task in bench.tasks], move)


def _right(bench: Bench, balloon: str, row: LoggedReading, text: str, by: Person) -> str:
    earlier.put_right(bench, row, text, by)
    return f"{balloon}: {row.reading.typed} struck out, {text} stands"


def _back(bench: Bench, balloon: str, row: LoggedReading, why: str, by: Person) -> str:
    earlier.take_back(bench, row, why, by)
    return f"taken back  {balloon} {row.reading.typed}: struck out, not counted"


def _moved(bench: Bench, balloon: str, row: LoggedReading, to: str, by: Person) -> str:
    earlier.move(bench, row, to, by)
    return f"{row.reading.typed} stands on {to} now, not on {balloon}"
