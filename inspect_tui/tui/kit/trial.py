"""Trials in the mould at the Kit place: the checklist as a form, a line an item; put right, taken out, printed."""

from __future__ import annotations

from datetime import date
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from inspect_tui.frozen import replace
from inspect_tui.metrology.typed import fields
from inspect_tui.metrology.typed.fields import Wrong
from inspect_tui.model.proving import INSIDE
from inspect_tui.report.words import roomy
from inspect_tui.shop.kit.facts import KitFacts
from inspect_tui.shop.kit.proving import enter, found
from inspect_tui.shop.kit.proving.checklist import ChecklistRow, checklist, rows_of
from inspect_tui.shop.kit.proving.enter import Draft
from inspect_tui.shop.kit.tried import words
from inspect_tui.tui.forms import Doubt, Field, Texts, ask
from inspect_tui.tui.question import choose

if TYPE_CHECKING:
    from collections.abc import Callable

    from inspect_tui.metrology.typed.show import Style
    from inspect_tui.model.measuring import Person
    from inspect_tui.record.read import Reader
    from inspect_tui.shop.kit.check import KitCheck
    from inspect_tui.shop.kit.tried.trials import Trial
    from inspect_tui.tui.place import Place

GOES = "+ goes, t tight, r rubs, l loose, s stops"
SORTS = {
    "trying in": "trying in: sticks in the mould off the pattern, or cores in the closed tool",
    "trial closing": "trial closing: cores set and the mould closed at the foundry, before metal",
}
HINTS = {  # GOES stands under the form
    "core": "",
    "fit": "or its clearance, both sides together",
    "wall": "by clay, or 5.2 plug",
    "closing": "0, or 0.4 feeler",
    "remark": "",
}
ROOM = 57  # columns that a hint has in a window of 80


def new_trial(place: Place, check: KitCheck) -> None:
    """Write down a trying in or a trial closing."""

    def chosen(sort: str) -> None:
        def go_on(person: Person) -> None:
            _form(place, check, Draft(sort=sort, who=person.name or person.initials), None, person)

        place.with_person(go_on)

    choose(place, "What was tried?", list(SORTS.items()), chosen)


def change_trial(place: Place, check: KitCheck, trial: Trial) -> None:
    """Put a trial right; the version before stays in the record."""
    draft = enter.draft_of(check.facts.through(place.record), trial)
    place.with_person(lambda person: _form(place, check, draft, trial, person))


def _form(
    place: Place,
    check: KitCheck,
    draft: Draft,
    old: Trial | None,
    person: Person,
) -> None:
    style, record = place.app.written, place.record
    facts = check.facts.through(record)
    rows = _rows(check, draft)
    unit = "in" if place.app.typed_in == "in" else "mm"
    there = {item.casefold(): text for item, text in draft.found}
    heads = _heads(place, facts, draft)
    lines = [
        *heads,
        *(
            Field(
                f"line{n}",
                f"{row.item}: {_hint(row, style)}",
                there.get(row.item.casefold(), ""),
                partial(_one_line, sort=row.sort, unit=unit),
            )
            for n, row in enumerate(rows)
        ),
    ]

    def read(values: dict[str, Any]) -> enter.Checked | Doubt | Wrong:
        said = replace(
            draft,
            **{head.key: values[head.key] for head in heads},
            unit=unit,
            found=tuple((row.item, values[f"line{n}"]) for n, row in enumerate(rows) if values[f"line{n}"]),
        )
        checked = enter.read(record, KitFacts(record, facts.job), said, old=old, style=style)
        if checked.wrong:
            more = f" (and {len(checked.wrong) - 2} more)" if len(checked.wrong) > 2 else ""
            return Wrong(". ".join(checked.wrong[:2]) + more)
        return Doubt(checked, checked.asked) if checked.asked else checked

    def use(checked: enter.Checked) -> str:
        enter.write(record, checked, person.id)
        return checked.sentence

    title = f"{draft.sort} of {facts.job.number}" if old is None else f"Put right: {old.name}"
    ask(place, title[:1].upper() + title[1:], lines, read, use, then=place.changed, watch=partial(_follows, rows))


def _heads(place: Place, facts: KitFacts, draft: Draft) -> list[Field]:
    today = date.today().isoformat()
    moulds = [(tool.label, "taken off the pattern") for tool in facts.tools if tool.kind == "mould"]
    moulds += [(tool.label, "") for tool in facts.tools if tool.kind in ("pattern_drag", "pattern_cope", "core_box")]
    gauges = [gauge.label for gauge in place.record.instruments()]
    inside = draft.inside or ("cores" if draft.sort == "trial closing" else "sticks")
    every = draft.cores or ("" if draft.found else f"1-{max((core.number for core in facts.cores), default=1)}")
    return [
        Field("day", "day: such as 2026-03-31", draft.day or today, partial(fields.day, today=today, past=True)),
        Field("who", "who: tried it", draft.who),
        Field("mould", "mould: off the pattern, the closed tool, or a foundry's mark", draft.mould, None, moulds),
        Field("inside", "inside: sticks or cores", inside, None, INSIDE),
        Field("cores", "cores: which were in it, such as 1-9, or 1 2 7", every),
        Field("place", "at: a foundry; empty: here", draft.place),
        Field("order", "order: yes as planned, else how they went in: 1 2 7 3", draft.order),
        Field("gauge", "with: the gauge that clay was read with; may be left out", draft.gauge, None, gauges),
        Field("note", "note: may be left out", draft.note),
    ]


def _rows(check: KitCheck, draft: Draft) -> list[ChecklistRow]:
    """The lines of the checklist; behind them what a trial says of things that are not on it any more."""
    rows = list(rows_of(check))
    known = {row.item.casefold() for row in rows}
    gone = [item for item, _ in draft.found if item.casefold() not in known]
    return rows + [ChecklistRow(item=item, sort="remark", what="") for item in gone]


def _one_line(text: str, sort: str, unit: str) -> str | Wrong:
    """What was typed, once it can be read."""
    said = found.read(text, sort, unit) if text.strip() not in enter.NONE_SAID else text
    return said if isinstance(said, Wrong) else text


def _hint(row: ChecklistRow, style: Style) -> str:
    limits = style.band(row.lower_mm, row.upper_mm) if row.lower_mm is not None or row.upper_mm is not None else ""
    said = [(row.what, limits, HINTS[row.sort]), (row.what, limits), (limits, HINTS[row.sort])]
    return roomy(["; ".join(filter(None, parts)) for parts in said], ROOM)


def _follows(rows: list[ChecklistRow], texts: Texts) -> str:
    """How many lines say something, how many of them are bad, and the letters that they are said with."""
    said = [texts[f"line{n}"].strip() for n in range(len(rows))]
    filled = sum(bool(text) for text in said)
    bad = sum(found.how(text)[0] in words.RUBS for text in said)
    said_so_far = f"{filled} of {len(rows)} lines filled in" + (f", {bad} rub or stop" if bad else "")
    return f"{said_so_far}. {GOES}, a fit also its clearance; then words"


# ------------------------------------------------------------------------------ one that is there
def at_hand(check: KitCheck, key: str) -> Trial | None:
    """The trial that a row of the page stands for."""
    return next((each.trial for each in check.proven if each.trial.proving.of_id.hex() == key), None)


def drop(place: Place, check: KitCheck, trial: Trial) -> None:
    """Take a trial out, with why."""
    from inspect_tui.shop.changes import things, withdraw

    there = things.standing(place.record, things.sort_of("trial"), check.facts.job)
    thing = next((each for each in there if each.of_id == trial.proving.of_id), None)
    if thing is None:
        place.say("It is not in the record any more.")
        return

    def go_on(person: Person) -> None:
        def use(values: dict[str, Any]) -> str:
            withdraw.withdraw(place.record, thing, values["why"], person)
            return f"the {thing.name} is withdrawn; at the Jobs place it comes back"

        why = Field("why", "why: it stands beside it from now on", "", partial(fields.words, ask="say why"))
        ask(place, f"Withdraw the {thing.name}", [why], use=use, then=place.changed)

    place.with_person(go_on)


def write_sheet(place: Place, check: KitCheck) -> None:
    """The checklist, to print and fill in, or to fill in as a file and take in again."""

    def chosen(sort: str) -> None:
        def read(values: dict[str, Any]) -> str:
            from inspect_tui.report.kit import checklist as dressed
            from inspect_tui.report.paper.file import form_of

            form_of(Path(values["path"]), dressed.ENDINGS)
            return str(values["path"])

        def use(path: str) -> None:
            style = replace(place.app.written, printed=True)

            def work(reader: Reader, answer: Callable[..., bool]) -> None:
                from inspect_tui.report.kit import checklist as dressed
                from inspect_tui.report.paper import file as paper_file

                where = paper_file.target(Path(path).expanduser(), force=False)
                made = checklist(reader, check, sort)
                content = dressed.make(made, paper_file.form_of(where, dressed.ENDINGS), style)
                answer(wrote=f"written: {paper_file.write_bytes(where, content, force=False)}")

            place.say("writing …")
            place.ask("sheet", work, lambda wrote: place.say(wrote, "bold"), always=True)

        lines = [Field("path", "file: .pdf or .html to print, .csv or .xlsx to fill in")]
        ask(place, f"Write the checklist of a {sort}", lines, read, then=use)

    choose(place, "The checklist of what?", list(SORTS.items()), chosen)
