"""The forms of tools, cores and the mould's outline: all that the job file says of them, with lists to choose from."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

from inspect_tui.metrology.typed.fields import Wrong
from inspect_tui.model.work import Job
from inspect_tui.shop.common.geometry.tolerances import WORDS
from inspect_tui.shop.jobs.by_row import row_form
from inspect_tui.shop.jobs.by_row.row_form import RowChange
from inspect_tui.tui.forms import Choices, Doubt, Field, Texts, ask
from inspect_tui.tui.place import Place
from inspect_tui.tui.question import NEW, choose

WHY = "why: where sizes of it were read or papers given out; else empty"
MOULD = "\0mould"


def new_tool(place: Place, job: Job) -> None:
    """A new tool of a job; a core that nobody named yet is named with its first stick or box."""
    _form(place, job, "tool", f"A new tool of {job.number}", {"kind": "core_stick"})


def change_tool(place: Place, job: Job) -> None:
    """Choose a tool and say more about it, or put right what was said."""
    tools = place.record.tools(job.of_id)
    if not tools:
        place.say("There is no tool yet.")
        return
    rows = [(tool.label, f"{tool.label:<18} {row_form.TOOL_KIND_WORDS[tool.kind]}") for tool in tools]
    choose(place, "Which tool?", rows, lambda name: _change(place, job, "tool", name))


def cores(place: Place, job: Job) -> None:
    """Choose a core to say more about, a new one, or the outline of the mould."""
    rows: list[tuple[Any, str]] = [
        (str(core.number), f"core {core.number:<4} {core.name}") for core in place.record.cores(job.of_id)
    ]
    rows += [(MOULD, "the outline of the mould: the box round the casting"), (NEW, "+ a new core")]

    def chosen(what: str) -> None:
        if what == NEW:
            _form(place, job, "core", f"A new core of {job.number}", {})
        elif what == MOULD:
            first = row_form.first(place.record, job, "mould")
            _form(place, job, "mould", f"The outline of the mould of {job.number}", first, "mould")
        else:
            _change(place, job, "core", what)

    choose(place, "Which core?", rows, chosen)


def geometries(place: Place, job: Job, use: Callable[[str], None] | None = None) -> None:
    """Choose a geometrical tolerance, or a new one; `use`: what is done with its balloon, else it is changed."""
    rows: list[tuple[Any, str]] = [
        (asked.balloon, f"{asked.balloon:<6} {WORDS[asked.what]:<20} {asked.name}")
        for asked in place.record.geometries(job.of_id)
    ]

    def chosen(balloon: str) -> None:
        if balloon == NEW:
            geometry(place, job)
        elif use is None:
            geometry(place, job, balloon)
        else:
            use(balloon)

    choose(place, "Which geometrical tolerance?", [*rows, (NEW, "+ a new one")], chosen)


def geometry(place: Place, job: Job, name: str = "") -> None:
    """A new geometrical tolerance, or one that is changed."""
    if name:
        _change(place, job, "geometry", name)
    else:
        _form(place, job, "geometry", f"A new geometrical tolerance of {job.number}", {"state": "raw"})


def _change(place: Place, job: Job, table: str, name: str) -> None:
    first = row_form.first(place.record, job, table, name)
    _form(place, job, table, f"Change {table} {name}", first, name)


def _form(place: Place, job: Job, table: str, title: str, first: dict[str, str], name: str = "") -> None:
    """The form of a row; `name` is the thing that it changes, empty for a new one."""
    record = place.record
    lines = [
        Field(key, label, first.get(key, ""), None, _choices(place, job, table, key))
        for key, label in row_form.FIELDS[table]
    ]
    if name and table == "geometry":
        lines.append(Field("drop", "on the drawing: yes, or no to take it off", "yes"))
    elif name:
        lines.append(Field("why", WHY))

    def read(texts: Texts) -> tuple[RowChange, str] | Wrong | Doubt:
        if texts.get("drop", "").strip().casefold() in ("no", "n"):
            return row_form.drop(record, job, table, name), ""
        made = row_form.read(record, job, table, texts, name if table in row_form.KEY else "", place.app.written)
        both = (made, texts.get("why", ""))
        return Doubt(both, [f"{asked}: is that right?" for asked in made.proposed.questions])

    def write(both: tuple[RowChange, str]) -> str:
        said = row_form.save(record, *both, place.by)
        place.app.job_changed(job.of_id)
        return f"{said[:1].upper()}{said[1:]}"

    like: Callable[[], Any] | None = None
    if not name and table in row_form.KEY:
        like = partial(row_form.all_first, record, job, table)
    numbered = ("core",) if table == "tool" else ()
    ask(place, title, lines, read, write, then=place.changed, like=like, again=like is not None, numbered=numbered)


def _choices(place: Place, job: Job, table: str, key: str) -> Choices:
    """What can stand in a field: words, or what the job has."""
    if key == "core":
        return lambda: [(str(core.number), core.name) for core in place.record.cores(job.of_id)]
    if key == "made_from":
        return lambda: [(tool.label, row_form.TOOL_KIND_WORDS[tool.kind]) for tool in place.record.tools(job.of_id)]
    if key == "material":
        from inspect_tui.shop.common import materials

        return materials.known
    if key in ("check", "sizes", "datum_sizes"):
        revisions = place.record.revisions(job.of_id)
        return lambda: [(f.balloon, f.name) for f in place.record.features(revisions[-1].id)] if revisions else []
    return row_form.CHOICES[table].get(key, ())
