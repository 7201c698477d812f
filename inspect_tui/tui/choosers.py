"""Small questions over the screen: choose one of a list, type a line, fill in a few fields."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from typing import Any

from textual.app import App

from inspect_tui.metrology.typed import fields
from inspect_tui.metrology.typed.fields import Wrong
from inspect_tui.metrology.typed.show import MM
from inspect_tui.model.measuring import Instrument, Person
from inspect_tui.model.words import INSTRUMENT_KINDS, PERSON_ROLES
from inspect_tui.model.work import Feature, Job
from inspect_tui.record.store import Record
from inspect_tui.shop.common import find
from inspect_tui.shop.common.find import Subject
from inspect_tui.tui import forms
from inspect_tui.tui.forms import Field, Texts
from inspect_tui.tui.question import NEW, Secret, choose


def ask_text(app: App[Any], title: str, use: Callable[[str | None], Any], first: str = "") -> None:
    """Ask for one line of text; None when it is left."""
    line = Field("text", "text: a few words", first, partial(fields.words, most=forms.LONGEST))
    form = forms.Form(title, [line], lambda values: values["text"])
    app.push_screen(form, lambda answer: use(answer[0] if answer is not None else None))


def pin(app: App[Any], record: Record, who: Person, then: Callable[[], Any], wrong: Callable[[str], Any]) -> None:
    """Ask for the PIN of somebody who decides with one, then go on; what was wrong is told."""

    def given(text: str | None) -> None:
        if text is None:
            return
        if record.unlock(who, text):
            then()
        else:
            wrong(f"That is not the PIN of {who.initials}: nothing was changed.")

    app.push_screen(Secret(f"PIN of {who.initials}"), given)


UNITS = (("mm", "millimetres"), ("in", "inches"), ("deg", "degrees of angle"), ("C", "degrees of temperature"))


# ------------------------------------------------------------------------------ who, with what
def person(app: App[Any], record: Record, use: Callable[[Person], Any]) -> None:
    """Choose a person or add one by initials."""
    rows: list[tuple[Any, str]] = [
        (p, f"{p.initials:<8} {p.name or ''}  ({p.role})") for p in record.people() if p.active
    ]
    rows.append((NEW, "+ someone new"))
    choose(app, "Who measures?", rows, lambda what: _new_person(app, record, use) if what == NEW else use(what))


def _new_person(app: App[Any], record: Record, use: Callable[[Person], Any]) -> None:
    lines = [
        Field("initials", "initials: up to 8 letters", "", partial(fields.words, most=8, ask="type 1 to 8 letters")),
        Field("name", "name: may be left out"),
        Field("role", "role: what they do here", "maker", partial(fields.choice, words=PERSON_ROLES), PERSON_ROLES),
    ]

    def read(values: dict[str, Any]) -> Person | Wrong:
        initials = values["initials"]
        if any(p.initials.casefold() == initials.casefold() for p in record.people()):
            return Wrong(f"{initials} is there already: choose it from the list.")
        return Person(initials=initials, name=values["name"] or None, role=values["role"])

    forms.ask(app, "Someone new", lines, read, record.add, then=use)


def instrument(app: App[Any], record: Record, use: Callable[[Instrument], Any], by: Person | None) -> None:
    """Choose an instrument or add one."""
    known = find.instruments_in_use(record)
    wide = max((len(i.label) for i in known), default=0)
    rows: list[tuple[Any, str]] = [
        (
            i,
            f"{i.label:<{wide}}  {i.kind:<16} {MM.figures(i.range_lo)} to {MM.figures(i.range_hi)} {i.unit}, "
            f"reads {MM.figures(i.resolution)}" + (f", scale {MM.percent(i.rule_scale, 3)}" if i.rule_scale else ""),
        )
        for i in known
    ]
    rows.append((NEW, "+ a new instrument"))

    def chosen(what: Any) -> None:
        if what == NEW:
            new_instrument(app, record, use, by)
        else:
            use(what)

    choose(app, "Measured with what?", rows, chosen)


def new_instrument(app: App[Any], record: Record, use: Callable[[Instrument], Any], by: Person | None) -> None:
    """The form of a new instrument; its step and range are in its own unit."""
    lines = [
        Field("label", "called: what people say, such as caliper 2"),
        Field("kind", "kind: what it is", "caliper", None, INSTRUMENT_KINDS),
        Field("unit", "reads: mm, in, deg or C", "mm", None, UNITS),
        Field("resolution", "step: the smallest it shows, such as 0.01 or 1/64 in", "0.01"),
        Field("range", "range: such as 0 to 150", "0 to 150"),
        Field("scale", "scale: contraction rules only, such as 5/32 in/ft or 1.3 %"),
    ]

    def read(texts: Texts) -> Instrument | Wrong:
        made = instrument_from(texts)
        if isinstance(made, str):
            return Wrong(made)
        there = any(i.label.casefold() == made.label.casefold() for i in record.instruments())
        return Wrong(f"{made.label} is there already.") if there else made

    def add(made: Instrument) -> Instrument:
        added: Instrument = record.add(made, by=by.id if by else None)
        return added

    forms.ask(app, "A new instrument", lines, read, add, then=use)


def instrument_from(values: dict[str, str]) -> Instrument | str:
    """The instrument that the fields describe, its step and range in its own unit; or what is wrong with them."""
    from inspect_tui.shop.gauges.instruments import read_instrument

    return read_instrument(values)


# ------------------------------------------------------------------------------ measured on what, and which size
def subject(app: App[Any], record: Record, job: Job, use: Callable[[Subject], Any]) -> None:
    """Choose a tool or casting of a job."""
    choose(app, "Which tool or casting?", [(s, f"{s.label:<24} {s.kind}") for s in find.subjects(record, job)], use)


def feature(app: App[Any], features: Sequence[Feature], use: Callable[[str], Any]) -> None:
    """Choose a feature by balloon or name."""
    choose(app, "Which feature?", [(f.balloon, f"{f.balloon:<6} {f.name}") for f in features], use)
