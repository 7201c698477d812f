"""What the Trends place asks for: a count, a repair, in or out of use, a limit, what to look at, where to write."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date
from functools import partial
from pathlib import Path
from typing import Any

from inspect_tui.model.trends import REPAIR_ACTIONS
from inspect_tui.model.work import Job, Tool
from inspect_tui.record.ask.trend_rows import KeptTrend
from inspect_tui.shop.common import find
from inspect_tui.shop.common.geometry import meaning
from inspect_tui.shop.common.geometry.faces import core_numbers
from inspect_tui.shop.trends.counts import entry as counts_entry
from inspect_tui.shop.trends.counts import repairs
from inspect_tui.shop.trends.tracks import EVERYTHING, ReadingFilter
from inspect_tui.tui import todo
from inspect_tui.tui.enter import fill_in
from inspect_tui.tui.forms import Field, Texts, ask
from inspect_tui.tui.place import Place
from inspect_tui.tui.question import choose

WAYS = (
    ("total", "what the counter shows"),
    ("made", "so many more since the last"),
    ("restart", "a new counter begins at it"),
)
STATES = (("retired", "it is made in no more"), ("revived", "it is taken up again"), ("in_use", "it is made in"))


# ------------------------------------------------------------------------------ counts and repairs
def count(place: Place, job: Job, tool: Tool) -> None:
    """Enter what the counter of a tool shows, or how many more it made."""
    first = {"way": "total", "on_date": date.today().isoformat()}
    place.with_person(
        lambda by: fill_in(
            place,
            by,
            f"A count of {tool.label}",
            counts_entry.COUNT_FIELDS,
            first,
            lambda texts: counts_entry.read_count(place.record, job, tool, texts),
            lambda texts: f"entered  {tool.label}: {texts['way']} {texts['count']}",
            {"way": WAYS, "lot": lambda: [lot.label for lot in reversed(place.record.lots(job.of_id))]},
        )
    )


def file(place: Place) -> None:
    """Take in a file of readings of tools, or a table of counts; of several jobs, into which."""
    record = place.record
    if record.read_only:
        place.say(f"Not logged. {todo.only_read(record)}", "bold red")
        return
    jobs = record.jobs()

    def into(job: Job) -> None:
        rows = [
            ("tools", "readings of tools, with their counts: a row a reading, or features across"),
            ("counts", "counts only: a table of what counters showed, or how many were made"),
        ]
        choose(place, f"Which file for {job.number}?", rows, lambda what: _file(place, job, what))

    if len(jobs) == 1:
        into(jobs[0])
    elif jobs:
        choose(place, "Into which job?", [(job, f"{job.number}  {job.name}") for job in jobs], into)
    else:
        place.say("There is no job yet: the Jobs place (F10) makes one.")


def _file(place: Place, job: Job, what: str) -> None:
    if what == "tools":
        from inspect_tui.tui.files.tools import ToolsFile

        ToolsFile(place, job).ask()
    else:
        from inspect_tui.tui.files.counts import CountsFile

        place.with_person(lambda by: CountsFile(place, job, by).ask())


def repair(place: Place, job: Job, tool: Tool, balloon: str) -> None:
    """Enter a repair of a tool."""
    first, written = {"action": "line", "feature": balloon, "done_on": date.today().isoformat()}, place.app.written
    place.with_person(
        lambda by: fill_in(
            place,
            by,
            f"A repair of {tool.label}",
            repairs.repair_fields(written),
            first,
            lambda texts: repairs.read_repair(place.record, job, tool, texts, style=written),
            lambda texts: f"entered  {tool.label}: {texts['what']}; its wear line starts again",
            {"action": [(word, repairs.DONE[word]) for word in REPAIR_ACTIONS], "feature": sizes_of(place, tool)},
            partial(_means, place, job, tool),
        )
    )


def state(place: Place, tool: Tool) -> None:
    """Take a tool out of use, or back into it."""
    states = place.record.tool_states().get(tool.of_id, [])
    retired = bool(states) and states[-1].state == "retired"
    first = {"state": "revived" if retired else "retired", "since_on": date.today().isoformat()}
    place.with_person(
        lambda by: fill_in(
            place,
            by,
            f"{tool.label}: in or out of use",
            repairs.STATE_FIELDS,
            first,
            lambda texts: repairs.read_state(place.record, tool, texts),
            lambda texts: f"entered  {tool.label}: {texts['state']} since {texts['since_on']}",
            {"state": STATES},
        )
    )


def limit(place: Place, job: Job, tool: Tool, balloon: str) -> None:
    """Enter an agreed limit of wear; it takes the place of the one from the chain."""
    written = place.app.written
    place.with_person(
        lambda by: fill_in(
            place,
            by,
            f"An agreed limit of wear on {tool.label}",
            repairs.limit_fields(written),
            {"feature": balloon},
            lambda texts: repairs.read_limit(place.record, job, tool, texts, written),
            lambda texts: f"entered  limit of {texts['feature']} on {tool.label}",
            {"feature": sizes_of(place, tool)},
            partial(_means, place, job, tool),
        )
    )


def sizes_of(place: Place, tool: Tool) -> Callable[[], list[tuple[str, str]]]:
    """The sizes that are measured on a tool, as a list to choose from."""

    def listed() -> list[tuple[str, str]]:
        record = place.record
        features = [record.feature(on.feature_id) for on in record.tool_features(tool.of_id)]
        return [(feature.balloon, feature.name) for feature in features]

    return listed


def _means(place: Place, job: Job, tool: Tool, texts: Texts) -> str:
    """What the size is that is named: whose, and what is done to the tool where it is too large."""
    record, wanted = place.record, find.balloon_key(texts["feature"])
    features = (record.feature(on.feature_id) for on in record.tool_features(tool.of_id))
    feature = next((f for f in features if find.balloon_key(f.balloon) == wanted), None)
    return meaning.of_feature(feature, [tool], core_numbers(record, job)) if feature is not None else ""


# ------------------------------------------------------------------------------ what to look at
def size(place: Place, rows: Sequence[KeptTrend], use: Callable[[KeptTrend], None], question: str) -> None:
    """Choose a size of a tool or of the castings."""
    listed = sorted(rows, key=lambda k: (k.source == "casting", k.label, k.balloon))
    if listed:
        choose(place, question, [(k, f"{k.label:<16} {k.balloon:<7} {k.name}  (n {k.n})") for k in listed], use)
    else:
        place.say("Nothing was measured yet.")


def only(place: Place, people: Sequence[str], lots: Sequence[str], use: Callable[[ReadingFilter], None]) -> None:
    """Only one person's readings, or one lot; or all again."""
    rows: list[tuple[Any, str]] = [(EVERYTHING, "all readings")]
    rows += [(ReadingFilter(person=person), f"person  {person}") for person in people]
    rows += [(ReadingFilter(lot=lot), f"lot     {lot}") for lot in lots]
    choose(place, "Only which readings?", rows, use)


def narrow(place: Place, now: str, use: Callable[[str], None]) -> None:
    """Words that a line of the list must have: tool, core, size, job."""
    lines = [Field("words", "words: such as box 3, core 3, F29; empty: everything", now)]
    ask(place, "Narrow the list", lines, lambda values: values["words"], then=use)


def paper(place: Place, chart: bool, use: Callable[[str], None]) -> None:
    """Where a paper is to be written; the ending of its name says the form."""
    endings = ".svg, .png or .html" if chart else ".html or .pdf"

    def read(values: dict[str, Any]) -> str:
        from inspect_tui.report.paper.file import form_of
        from inspect_tui.report.trends import forms as papers

        path: str = values["path"]
        form_of(Path(path), papers.CHART_ENDINGS if chart else papers.SHEET_ENDINGS)
        return path

    lines = [Field("path", f"file: its ending says the form, {endings}")]
    ask(place, "Write this chart" if chart else "Write the month's sheet", lines, read, then=use)
