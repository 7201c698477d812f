"""Cuts that were taken over, at the Bench: what is still to be made on the tool at hand, and saying that it is done."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, Any

from rich.text import Text

from inspect_tui.model.measuring import Person
from inspect_tui.shop.trends import repairs
from inspect_tui.tui.choosers import Chooser
from inspect_tui.tui.enter import fill_in, with_person

if TYPE_CHECKING:
    from inspect_tui.shop.first_article.taken_over import Work
    from inspect_tui.tui.bench.keys import BenchKeys

KEY = "Ctrl+N"
ACTIONS = ("cut", "add", "line")


def line(works: tuple[Work, ...], width: int) -> Text:
    """One line over the list: the first cut to be made on this tool, and how many more there are."""
    more = f" and {len(works) - 1} more" if len(works) > 1 else ""
    end = f"{more}  {KEY} "
    said = f" ▸ to do: {works[0].words}"
    room = width - len(end)
    shown = said if len(said) <= room else said[: max(room - 1, 0)] + "…"
    return Text(shown.ljust(room) + end, style="bold yellow", no_wrap=True)


def ask(screen: BenchKeys, works: tuple[Work, ...]) -> None:
    """Which cut is done? Then the repair of the tool that says so."""
    rows: list[tuple[Any, str]] = [(one, f"{one.round}, {one.day}  {one.words}") for one in works]

    def chosen(one: Work | None) -> None:
        if one is not None:
            with_person(screen, lambda by: _done(screen, one, by))

    if len(rows) == 1:
        chosen(works[0])
    else:
        screen.app.push_screen(Chooser("Which cut is done?", rows), chosen)


def _done(screen: BenchKeys, one: Work, by: Person) -> None:
    record, job, tool = screen.record, screen.bench.job, screen.bench.subject.tool
    if tool is None:
        return
    first = {
        "what": one.words,
        "action": next((word for word in ACTIONS if word in one.words.split()), "other"),
        "amount": f"{abs(one.change_mm):.2f}",
        "done_on": date.today().isoformat(),
        "who": by.initials,
    }
    fill_in(
        screen,
        by,
        f"Done on {tool.label}: {one.cause}, {one.round}",
        repairs.REPAIR_FIELDS,
        first,
        lambda values: repairs.read_repair(record, job, tool, values),
        lambda _: f"entered  {tool.label}: {one.words}, done. Measure it again where it can be.",
    )
