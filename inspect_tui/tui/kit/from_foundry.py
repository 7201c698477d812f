"""What comes back from the foundry, at the Kit place: its sheet or answer file, sand cores, what was said of them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from rich.text import Text

from inspect_tui.metrology.typed import fields
from inspect_tui.tui import forms, todo
from inspect_tui.tui.files.forms import Look
from inspect_tui.tui.forms import Field
from inspect_tui.tui.question import choose

if TYPE_CHECKING:
    from inspect_tui.model.measuring import Person
    from inspect_tui.model.work import Core, Job
    from inspect_tui.tui.place import Place


MOST_ASKED = 40  # sand cores, the newest, of which it is looked whether their sizes are their own


def ask(place: Place, job: Job, core: Core | None) -> None:
    """Choose what is to be done; `core` is the one that is looked at."""
    rows: list[tuple[str, str]] = [
        ("answers", "take in what came back: the sheet, or the guide's answer file"),
        ("new", f"open sand cores to be measured{f': core {core.number}' if core else ''}"),
        ("right", "put one answer right that was written down wrong"),
        ("said", "sand cores of the job, and what the foundry said of them"),
    ]

    def use(what: str) -> None:
        if what == "answers":
            answers(place, job)
        elif what == "new":
            new_sand(place, job, core)
        elif what == "right":
            answer_right(place, job)
        else:
            said(place, job)

    choose(place, "From the foundry", rows, use)


def answers(place: Place, job: Job) -> None:
    """Take a sheet or an answer file in."""
    from inspect_tui.tui.files.answers import AnswersFile

    if place.record.read_only:
        place.say(f"Not logged. {todo.only_read(place.record)}", "bold red")
    else:
        AnswersFile(place, job).ask()


def new_sand(place: Place, job: Job, core: Core | None) -> None:
    """Open sand cores of a core, several by blanks between their marks; they are measured at the Bench."""
    from inspect_tui.shop.answers import sand_cores
    from inspect_tui.shop.common import find

    record = place.record

    def go_on(by: Person) -> None:
        def read(values: dict[str, Any]) -> Any:
            of = sand_cores.core_named(record, job, values["core"])
            lot = (
                find.pick(values["lot"], record.lots(job.of_id), lambda lot: lot.label, "lot")
                if values["lot"]
                else None
            )
            return of, values["marks"].split(), lot, values["cavity"] or None

        def use(found: Any) -> str:
            of, marks, lot, cavity = found
            made = sand_cores.open_new(record, job, of, marks, lot, cavity, by.id)
            opened = ", ".join(item.serial for item in made)
            return f"{opened} of core {of.number} opened: the Bench measures them as it measures tools."

        def cores() -> list[tuple[str, str]]:
            return [(str(each.number), each.name) for each in record.cores(job.of_id)]

        def lots() -> list[tuple[str, str]]:
            return [(lot.label, lot.poured_on or "") for lot in reversed(record.lots(job.of_id))]

        asked = [
            Field("core", "core: its number", str(core.number) if core else "", None, cores),
            Field("marks", "marks: S4-1-C3, as it stands on it; several with blanks", "", fields.words),
            Field("lot", "lot: the sampling they were made for; may be left out", "", None, lots),
            Field("cavity", "cavity: of the box, where it has several"),
        ]
        forms.ask(place, "Sand cores to be measured", asked, read, use, then=place.changed)

    place.with_person(go_on)


def said(place: Place, job: Job) -> None:
    """The sand cores of the job, each with what was said of it."""
    from inspect_tui.shop.answers import in_its_place, sand_cores, words

    # what came in last is looked for first
    listed = sorted(sand_cores.listed(place.record, job), key=lambda sand: sand.item.id, reverse=True)
    whole = [a for a in place.record.setting_answers(job.of_id) if a.core_of_id is None]
    if not listed and not whole:
        place.say("There are no sand cores yet; they are opened here, or come in with the foundry's sheet.")
        return
    style = place.app.written
    body = Text()
    for n, sand in enumerate(listed):
        body.append(f"{sand.item.serial:<14}", style="bold")
        body.append(f" core {sand.core.number} {sand.core.name}, {sand.sizes} sizes read\n")
        if sand.sizes and n < MOST_ASKED:
            asked = in_its_place.asked_of(place.record, job, sand.item)
            body.append(f"  {asked}\n" if asked else "", style="bold yellow")
        for answer in sand.said:
            body.append(f"  {answer.on_date}  {words.said(answer, style)}\n")
    if whole:
        body.append("the mould\n", style="bold")
        for answer in whole:
            body.append(f"  {answer.on_date}  {answer.mould or ''}  {words.said(answer, style)}\n")
    title = Text(f"Sand cores of {job.number}  (arrows scroll, Esc goes back)", style="bold")
    place.app.push_screen(Look(title, body))


def answer_right(place: Place, job: Job) -> None:
    """Choose an answer and put it right; the Jobs place takes one out altogether."""
    from datetime import date
    from functools import partial

    from inspect_tui.shop.answers import put_right, words
    from inspect_tui.shop.changes import things

    style = place.app.written
    answers = {answer.id: answer for answer in place.record.setting_answers(job.of_id)}
    listed = things.standing(place.record, things.sort_of("answer"), job)
    if not listed:
        place.say("The foundry said nothing yet: its sheet and answer file are taken in here.")
        return

    def chosen(thing: things.Thing) -> None:
        answer = answers[thing.of_id]

        def go_on(by: Person) -> None:
            def write(values: dict[str, Any]) -> str:
                why = values.pop("why")
                today = date.today().isoformat()
                made = put_right.correct(place.record, answer, values, why, by, today, style)
                return f"{thing.name} is put right: {words.said(made, style)}."

            why = Field("why", "why: what was wrong", "", partial(fields.words, ask="say why"))
            asked = [*forms.first(put_right.fields_of(answer, style), put_right.shown(answer, style)), why]
            forms.ask(place, f"{thing.name}: written down wrong", asked, None, write, then=place.changed)

        place.with_person(go_on)

    rows = [(thing, f"{thing.name}: {words.said(answers[thing.of_id], style)}") for thing in reversed(listed)]
    choose(place, "Which answer?", rows, chosen)
