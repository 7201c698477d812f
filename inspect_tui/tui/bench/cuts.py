"""Cuts that were taken over, at the Bench: what is still to be made on the tool at hand, and saying that it is done."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, Any

from rich.text import Text

from inspect_tui.model.measuring import Person
from inspect_tui.model.work import Job, Tool
from inspect_tui.shop.bench import own_cut
from inspect_tui.shop.bench.line import Bench
from inspect_tui.shop.bench.outcomes import Logged
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


def ask(place: Place, bench: Bench, tool: Tool, works: tuple[CutWork, ...], advice: Logged | None = None) -> None:
    """Which cut is done? Then the repair of the tool that says so. What the last reading advises becomes work here."""
    rows: list[tuple[Any, str]] = [(work, f"done: {work.words}  ({work.round}, {work.day})") for work in works]
    if advice is not None and advice.judged.cut is not None:
        rows.insert(0, (advice, f"take over as work: {advice.judged.cut.words}"))

    def chosen(work: CutWork | Logged) -> None:
        if isinstance(work, Logged):
            place.with_person(lambda by: place.attempt(lambda: _taken(bench, work, by)))
        else:
            place.with_person(lambda by: _done(place, bench.job, tool, work, by))

    if len(rows) == 1 and works:
        chosen(works[0])
    else:
        choose(place, "Which cut?" if works else "What the last reading advises", rows, chosen)


def _taken(bench: Bench, advice: Logged, by: Person) -> str:
    work = own_cut.take_over(bench, advice, by)
    return f"taken over as work  {work.tool}: {work.words}. {KEY} says when it is done."


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
