"""Cuts that were taken over, at the Bench: what is still to be made on the tool at hand, and saying that it is done."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, Any

from rich.text import Text

from inspect_tui.model.measuring import Person
from inspect_tui.model.work import Job, Tool
from inspect_tui.shop.trends.counts import repairs
from inspect_tui.tui.enter import fill_in
from inspect_tui.tui.place import Place
from inspect_tui.tui.question import choose

if TYPE_CHECKING:
    from inspect_tui.shop.first_article.taken_over import CutWork

KEY = "Ctrl+N"
ACTIONS = ("cut", "add", "line")


def line(works: tuple[CutWork, ...], width: int) -> Text:
    """One line over the list: the first cut to be made on this tool, and how many more there are."""
    more = f" and {len(works) - 1} more" if len(works) > 1 else ""
    end = f"{more}  {KEY} "
    said = f" ▸ to do: {works[0].words}"
    room = width - len(end)
    shown = said if len(said) <= room else said[: max(room - 1, 0)] + "…"
    return Text(shown.ljust(room) + end, style="bold yellow", no_wrap=True)


def ask(place: Place, job: Job, tool: Tool, works: tuple[CutWork, ...]) -> None:
    """Which cut is done? Then the repair of the tool that says so."""
    rows: list[tuple[Any, str]] = [(work, f"{work.round}, {work.day}  {work.words}") for work in works]

    def chosen(work: CutWork | None) -> None:
        if work is not None:
            place.with_person(lambda by: _done(place, job, tool, work, by))

    if len(rows) == 1:
        chosen(works[0])
    else:
        choose(place, "Which cut is done?", rows, chosen)


def _done(place: Place, job: Job, tool: Tool, work: CutWork, by: Person) -> None:
    style = place.app.written
    first = {
        "what": work.words,
        "action": next((word for word in ACTIONS if word in work.words.split()), "other"),
        "amount": style.length(abs(work.change_mm), unit=False),
        "done_on": date.today().isoformat(),
        "who": by.initials,
    }
    fill_in(
        place,
        by,
        f"Done on {tool.label}: {work.cause}, {work.round}",
        repairs.repair_fields(style),
        first,
        lambda values: repairs.read_repair(place.record, job, tool, values, style=style),
        lambda _: f"entered  {tool.label}: {work.words}, done. Measure it again where it can be.",
    )
