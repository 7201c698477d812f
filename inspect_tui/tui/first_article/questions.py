"""What the first-article place asks: who, with what, why not, which sampling, question, cuts and papers."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

from inspect_tui.errors import DataError, InspectError
from inspect_tui.frozen import replace
from inspect_tui.metrology.typed import fields
from inspect_tui.metrology.typed.fields import Wrong
from inspect_tui.metrology.typed.show import MM, count
from inspect_tui.shop.common import find
from inspect_tui.shop.first_article.castings import put_right as desk
from inspect_tui.shop.first_article.castings import rounds as rounds_of
from inspect_tui.shop.settings import file as settings
from inspect_tui.shop.settings.choices import PAPERS
from inspect_tui.tui import choosers, conditions, forms, todo
from inspect_tui.tui.first_article.open_sampling import OpenSampling
from inspect_tui.tui.forms import Field
from inspect_tui.tui.question import choose

if TYPE_CHECKING:
    from inspect_tui.shop.first_article.castings.sampling import Sampling
    from inspect_tui.shop.first_article.findings import QuestionLine
    from inspect_tui.tui.first_article.pages import Answer

EDITIONS = ("customer", "shop", "sheet")


def person(place: OpenSampling) -> None:
    """Who measures."""

    def use(chosen: Any) -> None:
        if chosen is not None and place.filling is not None:
            place.settle()
            place.filling.set_person(chosen)
            place.show()

    choosers.person(place.app, place.record, use)


def instrument(place: OpenSampling) -> None:
    """With what."""

    def use(chosen: Any) -> None:
        if chosen is not None and place.filling is not None:
            place.settle()
            place.filling.set_instrument(chosen)
            place.show()

    choosers.instrument(place.app, place.record, use, place.person)


def temperature(place: OpenSampling) -> None:
    """How warm the castings are."""
    filling = place.filling
    if filling is None:
        return

    def noted(_: object) -> None:
        place.say("Noted: further readings are corrected to 20 °C where the expansion is known.")
        place.show()

    label = "temperature: of the castings in °C; empty is not known"
    forms.ask(
        place,
        "Temperature of the castings",
        conditions.temperatures(label, filling.work_c, filling.instrument_c),
        read=conditions.together,
        use=lambda values: filling.set_temperature(values["c"], values["g"]),
        then=noted,
    )


def zero(place: OpenSampling) -> None:
    """Where the datum stands over the marking-off table."""
    filling = place.filling
    if filling is None:
        return

    def use(values: dict[str, float | None]) -> None:
        filling.table_zero = values["h"]

    def said(_: object) -> None:
        height = place.app.written.given(filling.table_zero, unit=False)
        place.say(
            f"Heights along Z count from {height} now: type what the height gauge shows."
            if height
            else "Sizes along Z are typed as they are again."
        )
        place.show()

    first = MM.given(filling.table_zero, unit=False)
    height = Field("h", "height: of the datum over the table in mm; empty ends it", first, fields.optional(fields.size))
    forms.ask(place, "Heights over the marking-off table", [height], use=use, then=said)


def cannot(place: OpenSampling) -> None:
    """Why the current cell cannot be measured; or take that back."""
    sampling, feature, item = place.sampling, place.grid.feature, place.grid.casting
    if sampling is None or feature is None or item is None:
        return
    record = place.record
    if sampling.not_measurable(feature, item) is not None:
        place.attempt(lambda: desk.can_measure(record, feature, item, place.by).sentence)
        return

    def why(text: str) -> str | Wrong:
        return text or Wrong("Say in a few words why it cannot be measured.")

    def use(values: dict[str, str]) -> str:
        where = None if values["all"] == "all" else item
        return desk.cannot_measure(record, [feature], where, values["why"], place.by).sentence

    forms.ask(
        place,
        f"{feature.balloon} on {item.serial} cannot be measured",
        [
            Field("why", "why: such as beyond the reach of the gauge", "", why),
            Field("all", "on which: this casting, or all", "this", lambda text: fields.choice(text, ("this", "all"))),
        ],
        use=use,
        then=place.changed,
    )


def another_round(place: OpenSampling) -> None:
    """Another sampling, of this job or another."""
    record = place.record
    rows: list[tuple[Any, str]] = []
    for job in reversed(record.jobs()):
        rounds = rounds_of.rounds(record, job)[-30:]
        for sampled in reversed(rounds):
            castings = f"{len(sampled.castings)} castings"
            rows.append(((job, sampled.label), f"{job.number:<12} {sampled.label:<10} {castings}"))
        if not rounds:
            rows.append(((job, None), f"{job.number:<12} no sampling yet"))

    def use(chosen: Any) -> None:
        place.settle()
        place.open(*chosen)

    choose(place, "Which sampling?", rows, use)


def new_round(place: OpenSampling) -> None:
    """A new sampling with its castings."""
    job = place.job
    if job is None:
        place.say("There is no job yet: the Jobs place (F10) makes one.")
        return
    record = place.record
    label = rounds_of.next_label(record, job)

    def read(values: dict[str, Any]) -> dict[str, Any] | Wrong:
        if not values["label"] or not values["serials"]:
            return Wrong("A sampling has a label and at least one casting.")
        return values

    def use(values: dict[str, Any]) -> str:
        serials = values["serials"].replace(",", " ").split()
        wanted = values["label"].casefold()
        known = next((lot for lot in record.lots(job.of_id) if lot.label.casefold() == wanted), None)
        if known is not None:
            desk.add_castings(record, job, known, serials, by=place.by)
            return known.label
        made = desk.open_round(
            record,
            job,
            values["label"],
            serials,
            poured_on=values["poured"],
            heat=values["heat"] or None,
            quantity=values["quantity"],
            by=place.by,
        )
        return made.label

    forms.ask(
        place,
        f"A new sampling of {job.number}",
        [
            Field("label", "sampling: a new one, or one that is there to add to", label),
            Field(
                "serials",
                "castings: serials, parted by blanks or commas",
                " ".join(f"{label}-{n}" for n in (1, 2, 3)),
            ),
            Field("poured", "poured on: date such as 2025-03-31; may be left out", "", fields.optional(day)),
            Field("heat", "heat: may be left out"),
            Field("quantity", "poured: how many castings; empty: those named", "", fields.optional(fields.count)),
        ],
        read=read,
        use=use,
        then=lambda opened: place.open(job, opened),
    )


def day(text: object) -> str | Wrong:
    """A day as its ISO date, on the calendar of this machine: what `today` means is today."""
    return fields.day(text, date.today().isoformat())


def put_right(place: OpenSampling, answer: Answer) -> None:
    """Choose a reading in question and put it right."""
    assert answer.article and answer.of_record and place.sampling
    rows: list[tuple[Any, str]] = [
        (question, question.sentence)
        for question in answer.article.questions
        if question.kind in ("slip", "unit", "rows swapped")
    ]
    causes = answer.article.causes
    tilts = [c for c in causes.found if c.kind == "tilt"] if causes else []
    rows += [(tilt, f"Align casting {tilt.serial} again: {tilt.words}") for tilt in tilts]
    rows += [
        (turned.serial, f"Casting {turned.serial}: judge it as read, without re-alignment")
        for turned in answer.article.realigned
    ]
    if not rows:
        place.say("No reading is in question that could be put right here.")
        return
    record, sampling = place.record, place.sampling
    kept = answer.of_record.causes

    def act(chosen: Any) -> str:
        if isinstance(chosen, str):
            return desk.align_as_read(record, sampling, chosen, "taken back", place.by).sentence
        if chosen in tilts:
            assert kept
            return desk.align(record, sampling, kept, chosen.serial or "", place.by).sentence
        question: QuestionLine = chosen
        if question.kind == "unit":
            return desk.put_unit_right(record, sampling, question, place.by).sentence
        if question.kind == "rows swapped":
            return desk.swap_back(record, sampling, question, place.by).sentence
        return desk.take_suggestion(record, sampling, question.balloons[0], question.serial, place.by).sentence

    def use(chosen: Any) -> None:
        place.attempt(lambda: act(chosen))

    choose(place, "Put which right? As typed it stays, struck out", rows, use)


def accept(place: OpenSampling, answer: Answer) -> None:
    """Which cuts become work; a tool that has to be measured first is opened on the Bench."""
    assert answer.article and place.sampling
    cuts = answer.article.cuts
    if cuts is None or not cuts.cuts:
        place.say("There is nothing to cut.")
        return
    waiting = [str(c.number) for c in cuts.cuts if not c.accepted]

    def numbers(text: str) -> list[int] | Wrong:
        words = text.replace(",", " ").split()
        if [word.casefold() for word in words] == ["all"]:
            return [int(n) for n in waiting]
        if words and all(word.isdigit() for word in words):
            return [int(word) for word in words]
        return Wrong("Type the numbers of the list, such as 1 3 4, or all.")

    def follows(texts: dict[str, str]) -> str:
        """What the next casting will be with the cuts that are typed."""
        from inspect_tui.report.term.first_article import forecast_words
        from inspect_tui.shop.first_article.cuts import ticked

        chosen = numbers(texts["numbers"])
        if isinstance(chosen, Wrong) or not set(chosen) <= {c.number for c in cuts.cuts}:
            return ""
        return forecast_words(ticked(cuts, chosen), place.app.written)

    forms.ask(
        place,
        "Take which cuts over?",
        [Field("numbers", "cuts: their numbers, parted by blanks, or all", " ".join(waiting), numbers)],
        watch=follows,
        then=lambda values: _take_over(place, answer, values["numbers"]),
    )


def _take_over(place: OpenSampling, answer: Answer, chosen: list[int]) -> None:
    from inspect_tui.shop.first_article.castings.sampling import Sampling
    from inspect_tui.shop.first_article.castings.screening import look
    from inspect_tui.shop.first_article.take_over import take_over, waiting

    assert answer.of_record and answer.of_record.causes and answer.of_record.cuts and place.sampling
    record = place.record
    causes, cuts = answer.of_record.causes, answer.of_record.cuts
    try:
        sampling = Sampling(record, record.job(place.sampling.job.of_id), place.sampling.round)
        looked = look(sampling)
        first = waiting(sampling, looked, causes, cuts, chosen, place.app.written)
        if not first:
            taken = take_over(record, sampling, looked, causes, cuts, chosen, place.by)
    except InspectError as problem:
        place.say(f"Nothing was taken over: {todo.said(problem)}", "bold red")
        return
    if not first:
        place.open(record.job(sampling.job.of_id), sampling.round.label)
        n = len(taken.targets)
        moved = f"{count(n, 'target')} moved, and what is to be cut stands on the Bench of its tool"
        place.say(f"{count(len(taken.cuts), 'cut')} taken over: {moved} until it is done.", "bold green")
        return
    rest = [n for n in chosen if n not in {needs.number for needs in first}]
    rows: list[tuple[Any, str]] = [(needs, f"To the Bench: {needs.sentence}") for needs in first]
    if rest:
        rows.append((rest, f"Take over the others now: {', '.join(map(str, rest))}"))

    def use(what: Any) -> None:
        if isinstance(what, list):
            _take_over(place, answer, what)
        else:
            place.app.open_bench(sampling.job.of_id, find.subject(record, sampling.job, what.tool))
            if place.app.bench is not None:
                place.app.bench.goto(what.balloon)

    choose(place, "The tool is measured before it is cut", rows, use)


def report(place: OpenSampling) -> None:
    """Fix the content and write papers."""
    sampling = place.sampling
    if sampling is None or not sampling.anything:
        place.say("Nothing of this sampling has been measured yet: there is no report to give out.")
        return
    name = f"{sampling.job.number}-{sampling.round.label}".replace("/", "-")

    def names(text: str) -> list[str] | Wrong:
        return text.split() or Wrong("Name at least one file.")

    def use(values: dict[str, Any]) -> list[Path] | Wrong:
        try:
            return _write(place, values)
        except InspectError as problem:
            return Wrong(f"No report was given out: {todo.said(problem)}")

    forms.ask(
        place,
        "Give the report out",
        [
            Field(
                "to",
                "files: the ending says the form (html pdf xlsx csv json qif)",
                f"~/{name}.html ~/{name}.pdf",
                names,
            ),
            Field(
                "edition",
                "edition: customer; shop: causes, cuts; sheet: what to read next",
                "customer",
                lambda text: fields.choice(text, EDITIONS, "the edition"),
                (
                    ("customer", "what goes out"),
                    ("shop", "with causes and cuts"),
                    ("sheet", "what to read next, with boxes to fill in: html pdf csv xlsx"),
                ),
            ),
            Field(
                "paper",
                "paper: A4 or Letter",
                settings.read().paper,
                lambda text: fields.choice(text, tuple(PAPERS), "the paper"),
                tuple(PAPERS),
            ),
        ],
        use=use,
        then=lambda paths: place.say("Written: " + ", ".join(map(str, paths)), "bold green"),
    )


def _write_sheet(place: OpenSampling, sampling: Sampling, names: Sequence[str]) -> list[Path]:
    """The sheet of what tells the causes of this sampling apart; nothing is fixed in the record."""
    from inspect_tui.report.measuring import forms as sheets
    from inspect_tui.shop.measuring.castings import of_round
    from inspect_tui.shop.measuring.sheet import of_round as sheet

    made = sheet(place.record, sampling.job, of_round(place.record, sampling.job, sampling.round.label))
    return [sheets.write(made, name, style=replace(place.app.written, printed=True)) for name in names]


def _write(place: OpenSampling, values: dict[str, Any]) -> list[Path]:
    try:
        from inspect_tui.report.first_article import forms as papers
        from inspect_tui.report.paper import file as paper_file
    except ImportError as problem:
        raise DataError(f"Papers need the extra 'report': {problem.name} is missing.") from None
    from inspect_tui.shop.first_article.snapshot import dress_of, fix

    assert place.sampling
    if values["edition"] == "sheet":
        return _write_sheet(place, place.sampling, values["to"])
    names, annex, size = values["to"], values["edition"] == "shop", values["paper"]
    for name in names:
        paper_file.form_of(Path(name), papers.ENDINGS)
        paper_file.target(name)
    style = replace(place.app.written, printed=True)
    made = fix(place.record, place.sampling.job, place.sampling.round, place.by, annex, dress_of(style, size))
    return [papers.write(made.plain, name, annex=annex, style=style, size=size, files=made.files) for name in names]
