"""What the Trends place asks for: a count, a repair, in or out of use, a limit, what to look at, where to write."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date
from typing import TYPE_CHECKING, Any

from inspect_tui.errors import InspectError
from inspect_tui.model.measuring import Person
from inspect_tui.model.work import Job, Tool
from inspect_tui.record.ask.trend_rows import KeptTrend
from inspect_tui.shop.trends import counts_entry, repairs
from inspect_tui.shop.trends.tracks import EVERYTHING, Only
from inspect_tui.tui import todo
from inspect_tui.tui.choosers import Chooser, Form
from inspect_tui.tui.enter import Asks, fill_in, with_person, write

if TYPE_CHECKING:
    from inspect_tui.tui.trends.keys import TrendsKeys


# ------------------------------------------------------------------------------ counts and repairs
def count(screen: TrendsKeys, job: Job, tool: Tool) -> None:
    """Enter what the counter of a tool shows, or how many more it made."""
    record = screen.record
    first = {"way": "total", "on_date": date.today().isoformat()}
    fields = [(key, label, first.get(key, "")) for key, label in counts_entry.COUNT_FIELDS]

    def read(values: dict[str, str]) -> tuple[str, Sequence[str]]:
        made = counts_entry.read_count(record, job, tool, values)
        return made.wrong, made.asks

    def done(values: dict[str, str] | None, by: Person) -> None:
        made = counts_entry.read_count(record, job, tool, values) if values else None
        if made is not None and made.thing is not None:
            write(screen, made.thing, by, f"entered  {tool.label}: {made.thing.way} {made.thing.count}")

    with_person(
        screen,
        lambda by: screen.app.push_screen(
            Form(f"A count of {tool.label}", fields, Asks(read)), lambda values: done(values, by)
        ),
    )


def repair(screen: TrendsKeys, job: Job, tool: Tool, balloon: str) -> None:
    """Enter a repair of a tool."""
    first = {"action": "line", "feature": balloon, "done_on": date.today().isoformat()}
    with_person(
        screen,
        lambda by: fill_in(
            screen,
            by,
            f"A repair of {tool.label}",
            repairs.REPAIR_FIELDS,
            first,
            lambda values: repairs.read_repair(screen.record, job, tool, values),
            lambda values: f"entered  {tool.label}: {values['what']}; its wear line starts again",
        ),
    )


def state(screen: TrendsKeys, tool: Tool) -> None:
    """Take a tool out of use, or back into it."""
    states = screen.record.tool_states().get(tool.of_id, [])
    out = bool(states) and states[-1].state == "retired"
    first = {"state": "revived" if out else "retired", "since_on": date.today().isoformat()}
    with_person(
        screen,
        lambda by: fill_in(
            screen,
            by,
            f"{tool.label}: in or out of use",
            repairs.STATE_FIELDS,
            first,
            lambda values: repairs.read_state(screen.record, tool, values),
            lambda values: f"entered  {tool.label}: {values['state']} since {values['since_on']}",
        ),
    )


def limit(screen: TrendsKeys, job: Job, tool: Tool, balloon: str) -> None:
    """Enter an agreed limit of wear; it takes the place of the one from the chain."""
    with_person(
        screen,
        lambda by: fill_in(
            screen,
            by,
            f"An agreed limit of wear on {tool.label}",
            repairs.LIMIT_FIELDS,
            {"feature": balloon},
            lambda values: repairs.read_limit(screen.record, job, tool, values),
            lambda values: f"entered  limit of {values['feature']} on {tool.label}",
        ),
    )


# ------------------------------------------------------------------------------ what to look at
def size(screen: TrendsKeys, rows: Sequence[KeptTrend], use: Callable[[KeptTrend], None], question: str) -> None:
    """Choose a size of a tool or of the castings."""
    listed = sorted(rows, key=lambda k: (k.source == "casting", k.label, k.balloon))
    shown = [(k, f"{k.label:<16} {k.balloon:<7} {k.name}  (n {k.n})") for k in listed]
    if not shown:
        screen.say("Nothing was measured yet.")
        return
    screen.app.push_screen(Chooser(question, shown), lambda row: use(row) if row is not None else None)


def only(screen: TrendsKeys, people: Sequence[str], lots: Sequence[str], use: Callable[[Only], None]) -> None:
    """Only one person's readings, or one lot; or all again."""
    rows: list[tuple[Any, str]] = [(EVERYTHING, "all readings")]
    rows += [(Only(person=person), f"person  {person}") for person in people]
    rows += [(Only(lot=lot), f"lot     {lot}") for lot in lots]
    screen.app.push_screen(Chooser("Only which readings?", rows), lambda what: use(what) if what is not None else None)


def narrow(screen: TrendsKeys, now: str, use: Callable[[str], None]) -> None:
    """Words that a line of the list must have: tool, core, size, job."""
    form = Form(
        "Narrow the list", [("words", "words: such as box 3, core 3, F29; empty: everything", now)], lambda _: None
    )
    screen.app.push_screen(form, lambda values: use(values["words"]) if values is not None else None)


def paper(screen: TrendsKeys, chart: bool, use: Callable[[str], None]) -> None:
    """Where a paper is to be written."""
    endings = ".svg, .png or .html" if chart else ".html or .pdf"
    title = "Write this chart" if chart else "Write the month's sheet"

    def wrong(values: dict[str, str]) -> str | None:
        from pathlib import Path

        from inspect_tui.report.trends import forms

        try:
            forms.form_of(Path(values["path"]), forms.CHART_FORMS if chart else forms.SHEET_FORMS)
        except InspectError as problem:
            return todo.said(problem)
        return None

    form = Form(title, [("path", f"file: its ending says the form, {endings}", "")], wrong)
    screen.app.push_screen(form, lambda values: use(values["path"]) if values is not None else None)
