"""A tool measured before is measured again as a round, at the Bench: begun, gone on with, ended, and what is due."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any

from rich.text import Text

from inspect_tui.report.words import clipped
from inspect_tui.shop.bench.line import Bench
from inspect_tui.shop.bench.outcomes import Task
from inspect_tui.shop.common.judging import shown
from inspect_tui.tui.place import Place

if TYPE_CHECKING:
    from inspect_tui.shop.measuring.due import Due


def ask(place: Place, bench: Bench, begun: Callable[[], None]) -> None:
    """Begin a round, and call `begun`; where one is walked, ask whether to end it."""
    if bench.round is None:
        _begin(place, bench, begun)
        return
    from inspect_tui.tui.question import choose

    rows: list[tuple[Any, str]] = [
        ("on", f"Go on with the round of {bench.round}: {len(bench.left_in_round)} left"),
        ("end", "End it; what it has not read is not asked for any more"),
        ("new", "End it, and begin another round"),
    ]

    def chosen(what: str) -> None:
        if what != "on":
            bench.end_round()
            place.app.remember(bench)
            place.say("The round is ended.")
        if what == "new":
            _begin(place, bench, begun)
        place.show()

    choose(place, f"Round of {bench.round}", rows, chosen)


def _begin(place: Place, bench: Bench, begun: Callable[[], None]) -> None:
    if not bench.tasks:
        place.say("There is nothing to measure here yet.")
        return
    bench.begin_round()
    place.app.remember(bench)
    begun()
    place.say(said(bench), "bold")
    place.show()


def said(bench: Bench) -> str:
    """How a round stands."""
    left = len(bench.left_in_round)
    return f"Round of {bench.round}: {left} of {len(bench.tasks)} to measure. Type a reading and press Enter."


def how_far(bench: Bench) -> str:
    """What is left of a round, behind what was logged."""
    left = len(bench.left_in_round)
    return f"  ({left} left in the round)" if left else f"  The round of {bench.round} is complete."


def look_for_due(place: Place, bench: Bench, keep: Callable[[dict[str, Due]], None]) -> None:
    """Have worked out beside the screen what is due by wear and by count, and say what is to be read first."""
    from inspect_tui.shop.measuring import due

    tool, today = bench.subject.tool, place.app.today
    if tool is None:
        return

    def use(found: dict[str, Due]) -> None:
        keep(found)
        worn = due.first(found)
        if worn:
            listed = ", ".join(worn[:5]) + (" ..." if len(worn) > 5 else "")
            place.say(f"{said(bench)} Due by wear: {listed}.", "bold")
        place.show()

    place.ask("due", lambda reader, answer: answer(found=due.due(reader, tool, today)), use, lambda _: None)


def line(bench: Bench, task: Task, due: Mapping[str, Due], width: int, blind: bool) -> Text:
    """What is known of a size that is measured again: last time's value, unless it is read blind, and what is due."""
    words = []
    if bench.round is not None and task.last is not None and not blind:
        words.append(f"last time {shown(task.sizes, task.last, bench.style)}")
    if bench.round is not None and task.feature.balloon in due:
        words.append(due[task.feature.balloon].words)
    return Text(clipped("; ".join(words), width) + "\n", style="bold") if words else Text()
