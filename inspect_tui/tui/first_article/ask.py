"""What the first-article place asks: who, with what, why not, which sampling, question, cuts and papers."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from inspect_tui.errors import DataError, InspectError
from inspect_tui.metrology.typed import quantity
from inspect_tui.metrology.typed.parsed import Ambiguous, Entry, Unreadable
from inspect_tui.shop.common import find
from inspect_tui.shop.first_article import put_right as desk
from inspect_tui.shop.first_article import rounds as rounds_of
from inspect_tui.tui import choosers, conditions, todo
from inspect_tui.tui.choosers import Chooser, Form

if TYPE_CHECKING:
    from collections.abc import Callable

    from inspect_tui.model.words import Id
    from inspect_tui.shop.first_article.findings import QuestionLine
    from inspect_tui.tui.first_article.keys import FirstArticleKeys
    from inspect_tui.tui.first_article.pages import Answer


def by_whom(screen: FirstArticleKeys) -> Id | None:
    """Who is at work here, for what is written."""
    person = screen.filling.person if screen.filling else None
    return person.id if person else None


def _try(screen: FirstArticleKeys, act: Callable[[], str]) -> None:
    try:
        said = act()
    except InspectError as problem:
        screen.say(f"Nothing was changed: {todo.said(problem)}", "bold red")
        return
    screen.changed(said)


def person(screen: FirstArticleKeys) -> None:
    """Who measures."""

    def use(chosen: Any) -> None:
        if chosen is not None and screen.filling is not None:
            screen.settle()
            screen.filling.set_person(chosen)
            screen.show()

    choosers.person(screen.app, screen.app.record, use)


def instrument(screen: FirstArticleKeys) -> None:
    """With what."""

    def use(chosen: Any) -> None:
        if chosen is not None and screen.filling is not None:
            screen.settle()
            screen.filling.set_instrument(chosen)
            screen.show()

    choosers.instrument(screen.app, screen.app.record, use, screen.filling.person if screen.filling else None)


def temperature(screen: FirstArticleKeys) -> None:
    """How warm the castings are."""
    filling = screen.filling
    if filling is None:
        return

    def wrong(values: dict[str, str]) -> str | None:
        return conditions.wrong_temperature(values["c"], values["g"])

    def use(values: dict[str, str] | None) -> None:
        if values is None:
            return
        filling.set_temperature(conditions.temperature(values["c"]), conditions.temperature(values["g"]))
        screen.say("Noted: further readings are corrected to 20 °C where the expansion is known.")
        screen.show()

    first = "" if filling.work_c is None else f"{filling.work_c:g}"
    gauge = "" if filling.instrument_c is None else f"{filling.instrument_c:g}"
    fields = [("c", "temperature: of the castings in °C; empty is not known", first), ("g", conditions.GAUGE_C, gauge)]
    screen.app.push_screen(Form("Temperature of the castings", fields, wrong), use)


def zero(screen: FirstArticleKeys) -> None:
    """Where the datum stands over the marking-off table."""
    filling = screen.filling
    if filling is None:
        return

    def wrong(values: dict[str, str]) -> str | None:
        parsed = quantity.parse_line(values["h"], "mm", 0.0, "length") if values["h"] else None
        return parsed.sentence if isinstance(parsed, Unreadable | Ambiguous) else None

    def use(values: dict[str, str] | None) -> None:
        if values is None:
            return
        parsed = quantity.parse_line(values["h"], "mm", 0.0, "length") if values["h"] else None
        filling.table_zero = parsed.sizes[0].mm if isinstance(parsed, Entry) else None
        screen.say(
            "Sizes along Z are typed as they are again."
            if filling.table_zero is None
            else f"Heights along Z count from {filling.table_zero:g} now: type what the height gauge shows."
        )
        screen.show()

    first = "" if filling.table_zero is None else f"{filling.table_zero:g}"
    fields = [("h", "height: of the datum over the table in mm; empty ends it", first)]
    screen.app.push_screen(Form("Heights over the marking-off table", fields, wrong), use)


def cannot(screen: FirstArticleKeys) -> None:
    """Why the current cell cannot be measured; or take that back."""
    sampling, feature, item = screen.sampling, screen.grid.feature, screen.grid.casting
    if sampling is None or feature is None or item is None:
        return
    record = screen.app.record
    if sampling.not_measurable(feature, item) is not None:
        _try(screen, lambda: desk.can_measure(record, feature, item, by_whom(screen)).sentence)
        return
    fields = [
        ("why", "why: such as beyond the reach of the gauge", ""),
        ("all", "on which: this casting, or all", "this"),
    ]

    def wrong(values: dict[str, str]) -> str | None:
        if not values["why"]:
            return "Say in a few words why it cannot be measured."
        return None if values["all"].casefold() in ("this", "all") else "Type this or all."

    def use(values: dict[str, str] | None) -> None:
        if values is not None:
            where = None if values["all"].casefold() == "all" else item
            _try(screen, lambda: desk.cannot_measure(record, [feature], where, values["why"], by_whom(screen)).sentence)

    screen.app.push_screen(Form(f"{feature.balloon} on {item.serial} cannot be measured", fields, wrong), use)


def another_round(screen: FirstArticleKeys) -> None:
    """Another sampling, of this job or another."""
    record = screen.app.record
    rows: list[tuple[Any, str]] = []
    for job in reversed(record.jobs()):
        for one in reversed(rounds_of.rounds(record, job)[-30:]):
            rows.append(((job, one.label), f"{job.number:<12} {one.label:<10} {len(one.castings)} castings"))
        if not rows or rows[-1][0][0].of_id != job.of_id:
            rows.append(((job, None), f"{job.number:<12} no sampling yet"))

    def use(chosen: Any) -> None:
        if chosen is not None:
            screen.settle()
            screen.open(*chosen)

    screen.app.push_screen(Chooser("Which sampling?", rows), use)


def new_round(screen: FirstArticleKeys) -> None:
    """A new sampling with its castings."""
    job = screen.job
    if job is None:
        screen.say("There is no job yet: the Jobs place (F10) makes one.")
        return
    record = screen.app.record
    labels = [one.label for one in rounds_of.rounds(record, job)]
    label = f"S{1 + sum(bool(rounds_of.SAMPLING.fullmatch(one)) for one in labels)}"
    fields = [
        ("label", "sampling: a new one, or one that is there to add to", label),
        ("serials", "castings: serials, parted by blanks or commas", " ".join(f"{label}-{n}" for n in (1, 2, 3))),
        ("poured", "poured on: date such as 2025-03-31; may be left out", ""),
        ("heat", "heat: may be left out", ""),
    ]

    def wrong(values: dict[str, str]) -> str | None:
        from inspect_tui.shop.gauges.instruments import read_day

        if not values["label"] or not values["serials"]:
            return "A sampling has a label and at least one casting."
        if values["poured"] and read_day(values["poured"]) is None:
            return f"{values['poured']} is no date such as 2025-03-31."
        return None

    def use(values: dict[str, str] | None) -> None:
        if values is None:
            return
        serials = values["serials"].replace(",", " ").split()
        label = values["label"].strip()
        known = next((lot for lot in record.lots(job.of_id) if lot.label.casefold() == label.casefold()), None)
        try:
            if known is not None:
                desk.add_castings(record, job, known, serials, by=by_whom(screen))
            lot = known or desk.open_round(
                record,
                job,
                label,
                serials,
                poured_on=values["poured"] or None,
                heat=values["heat"] or None,
                by=by_whom(screen),
            )
        except InspectError as problem:
            screen.say(f"Nothing was added: {todo.said(problem)}", "bold red")
            return
        screen.open(job, lot.label)

    screen.app.push_screen(Form(f"A new sampling of {job.number}", fields, wrong), use)


def put_right(screen: FirstArticleKeys, found: Answer) -> None:
    """Choose a reading in question and put it right."""
    assert found.article and screen.sampling
    rows: list[tuple[Any, str]] = [
        (one, one.sentence) for one in found.article.questions if one.kind in ("slip", "unit", "rows swapped")
    ]
    causes = found.article.causes
    tilts = [c for c in causes.found if c.kind == "tilt"] if causes else []
    rows += [(tilt, f"Align casting {tilt.serial} again: {tilt.words}") for tilt in tilts]
    rows += [
        (one.serial, f"Casting {one.serial}: judge it as read, without re-alignment") for one in found.article.realigned
    ]
    if not rows:
        screen.say("No reading is in question that could be put right here.")
        return
    record, sampling = screen.app.record, screen.sampling

    def act(chosen: Any) -> str:
        if isinstance(chosen, str):
            return desk.align_as_read(record, sampling, chosen, "taken back", by_whom(screen)).sentence
        if chosen in tilts:
            assert causes
            return desk.align(record, sampling, causes, chosen.serial or "", by_whom(screen)).sentence
        question: QuestionLine = chosen
        if question.kind == "unit":
            return desk.put_unit_right(record, sampling, question, by_whom(screen)).sentence
        if question.kind == "rows swapped":
            return desk.swap_back(record, sampling, question, by_whom(screen)).sentence
        return desk.take_suggestion(record, sampling, question.balloons[0], question.serial, by_whom(screen)).sentence

    def use(chosen: Any) -> None:
        if chosen is not None:
            _try(screen, lambda: act(chosen))

    screen.app.push_screen(Chooser("Put which right? As typed it stays, struck out", rows), use)


def accept(screen: FirstArticleKeys, found: Answer) -> None:
    """Which cuts become work; a tool that has to be measured first is opened on the Bench."""
    assert found.article and screen.sampling
    cuts = found.article.cuts
    if cuts is None or not cuts.cuts:
        screen.say("There is nothing to cut.")
        return
    open_ones = [str(c.number) for c in cuts.cuts if not c.accepted]
    fields = [("numbers", "cuts: their numbers, parted by blanks, or all", " ".join(open_ones))]

    def numbers(text: str) -> list[int] | None:
        words = text.replace(",", " ").split()
        if [word.casefold() for word in words] == ["all"]:
            return [int(n) for n in open_ones]
        return [int(word) for word in words] if words and all(word.isdigit() for word in words) else None

    def wrong(values: dict[str, str]) -> str | None:
        return None if numbers(values["numbers"]) else "Type the numbers of the list, such as 1 3 4, or all."

    def use(values: dict[str, str] | None) -> None:
        chosen = numbers(values["numbers"]) if values else None
        if chosen:
            _take_over(screen, found, chosen)

    screen.app.push_screen(Form("Take which cuts over?", fields, wrong), use)


def _take_over(screen: FirstArticleKeys, found: Answer, chosen: list[int]) -> None:
    from inspect_tui.shop.first_article.sampling import Sampling
    from inspect_tui.shop.first_article.screening import look
    from inspect_tui.shop.first_article.take_over import take_over, waiting

    assert found.article and found.article.causes and found.article.cuts and screen.sampling
    record = screen.app.record
    causes, cuts = found.article.causes, found.article.cuts
    try:
        sampling = Sampling(record, record.job(screen.sampling.job.of_id), screen.sampling.round)
        looked = look(sampling)
        first = waiting(sampling, looked, causes, cuts, chosen)
        if not first:
            done = take_over(record, sampling, looked, causes, cuts, chosen, by_whom(screen))
    except InspectError as problem:
        screen.say(f"Nothing was taken over: {todo.said(problem)}", "bold red")
        return
    if not first:
        screen.job = record.job(sampling.job.of_id)
        screen.open(screen.job, sampling.round.label)
        n = len(done.targets)
        moved = f"{n} target{'s' * (n != 1)} moved, and what is to be cut stands on the Bench of its tool"
        screen.say(f"{len(done.cuts)} cuts taken over: {moved} until it is done.", "bold green")
        return
    rest = [n for n in chosen if n not in {one.number for one in first}]
    rows: list[tuple[Any, str]] = [(one, f"To the Bench: {one.sentence}") for one in first]
    if rest:
        rows.append((rest, f"Take over the others now: {', '.join(map(str, rest))}"))

    def use(what: Any) -> None:
        if isinstance(what, list):
            _take_over(screen, found, what)
        elif what is not None:
            subject = find.subject(record, screen.sampling.job, what.tool)  # type: ignore[union-attr]
            screen.app.open_bench(screen.sampling.job.of_id, subject)  # type: ignore[union-attr]
            if screen.app.bench is not None:
                screen.app.bench.goto(what.balloon)

    screen.app.push_screen(Chooser("The tool is measured before it is cut", rows), use)


def report(screen: FirstArticleKeys) -> None:
    """Fix the content and write papers."""
    sampling = screen.sampling
    if sampling is None or not sampling.anything:
        screen.say("Nothing of this sampling has been measured yet: there is no report to give out.")
        return
    name = f"{sampling.job.number}-{sampling.round.label}".replace("/", "-")
    fields = [
        ("to", "files: the ending says the form (html pdf xlsx csv json qif)", f"~/{name}.html ~/{name}.pdf"),
        ("annex", "causes: yes puts causes and cuts in, no leaves them out", "yes"),
    ]

    def wrong(values: dict[str, str]) -> str | None:
        return None if values["to"] else "Name at least one file."

    def use(values: dict[str, str] | None) -> None:
        if values is None:
            return
        annex = values["annex"].casefold() not in ("no", "n")
        try:
            paths = _write(screen, values["to"].split(), annex)
        except InspectError as problem:
            screen.say(f"No report was given out: {todo.said(problem)}", "bold red")
            return
        screen.say("Written: " + ", ".join(map(str, paths)), "bold green")

    screen.app.push_screen(Form("Give the report out", fields, wrong), use)


def _write(screen: FirstArticleKeys, names: list[str], annex: bool) -> list[Path]:
    try:
        from inspect_tui.report.first_article import forms
        from inspect_tui.report.paper import file as paper_file
    except ImportError as problem:
        raise DataError(f"Papers need the extra 'report': {problem.name} is missing.") from None
    from inspect_tui.shop.first_article.snapshot import fix

    assert screen.sampling
    for name in names:
        forms.form_of(Path(name))
        paper_file.target(name)
    made = fix(screen.app.record, screen.sampling.job, screen.sampling.round, by_whom(screen), annex)
    return [forms.write(made.plain, name, annex=annex) for name in names]
