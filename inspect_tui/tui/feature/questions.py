"""The questions of the Feature place: which chart, feature, tool, people; and why a reading is taken out of count."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from inspect_tui.errors import InspectError
from inspect_tui.model.measuring import Person
from inspect_tui.model.words import SUPERSEDE_REASONS
from inspect_tui.shop.common.find import Subject
from inspect_tui.shop.feature import material
from inspect_tui.shop.feature.material import EVERYTHING, Only, Pick
from inspect_tui.tui import todo
from inspect_tui.tui.choosers import ask_text, choose

if TYPE_CHECKING:
    from inspect_tui.record.ask.readings import LoggedReading
    from inspect_tui.tui.feature.screen import FeatureScreen

SIZES = (2, 3, 4, 5, 6, 8, 10)  # of subgroups


def kind(place: FeatureScreen) -> None:
    """Which chart."""
    from inspect_tui.shop.feature.view import CHARTS

    choose(place, "Which chart?", [(key, f"{key:<12} {what}") for key, what in CHARTS.items()], place.chart_as)


def group(place: FeatureScreen) -> None:
    """What makes a subgroup of the means."""
    rows: list[tuple[Any, str]] = [(n, f"{n} consecutive readings") for n in SIZES]
    rows += [(by, f"by {by}") for by in material.BY]

    def chosen(what: int | str) -> None:
        place.chart_as(place.kind if place.kind.startswith("means") else "means", what)

    choose(place, "Subgroups of what?", rows, chosen)


def feature(place: FeatureScreen) -> None:
    """Another feature of this tool or of the castings."""
    pick = place.pick
    if pick is None:
        subject(place)
        return
    rows = [(choice, f"{choice.balloon:<6} {choice.name}") for choice in material.features_on(place.record, pick)]
    choose(place, "Which feature?", rows, lambda choice: place.look(Pick(pick.job, choice, pick.subject, pick.kind)))


def subject(place: FeatureScreen) -> None:
    """Another tool or casting, or all castings of the job."""
    bench = place.app.bench
    job = place.pick.job if place.pick else (bench.job if bench else None)
    if job is None:
        jobs = place.record.jobs()
        if not jobs:
            place.say("There is no job in this record yet: make one at the Jobs place (F10).")
            return
        job = jobs[-1]

    def chosen(what: tuple[Subject, str]) -> None:
        try:
            pick = material.same_on(place.record, job, *what, place.pick)
        except InspectError as problem:
            place.say(todo.said(problem), "bold red")
            return
        place.only = EVERYTHING
        place.look(pick)

    rows = [((choice, of), f"{choice.label:<24} {words}") for choice, of, words in material.subjects(place.record, job)]
    choose(place, "Measured on what?", rows, chosen)


def only(place: FeatureScreen) -> None:
    """Only one person, instrument, lot or casting; or all again."""
    splits = place.figures.splits
    if splits is None:
        place.say("Still reading the record; press w again in a moment.")
        return
    rows: list[tuple[Any, str]] = [(EVERYTHING, "all readings")]
    for split in splits:
        for group in split.groups:
            rows.append((Only(**{split.by: group.name}), f"{split.by:<11} {group.name}  (n {group.summary.n})"))

    def chosen(what: Only) -> None:
        place.only, place.at, place.row = what, None, 0
        place.again()

    choose(place, "Only which readings?", rows, chosen)


def instrument(place: FeatureScreen) -> None:
    """Another instrument for the budget of a reading to be taken."""
    choose(place, "With what?", [(gauge, gauge.label) for gauge in place.record.instruments()], place.plan_with)


# ------------------------------------------------------------------------------ out of count
def void(place: FeatureScreen, logged: LoggedReading) -> None:
    """Ask who (unless the Bench knows), what was wrong and why; then take the reading out of count."""
    place.with_person(lambda person: _reason(place, logged, person))


def _reason(place: FeatureScreen, logged: LoggedReading, person: Person) -> None:
    value = f"{place.app.written.given(logged.reading.value, unit=False)} (typed {logged.reading.typed})"
    rows = [(reason, reason.replace("_", " ")) for reason in SUPERSEDE_REASONS]

    def why(reason: str) -> None:
        question = f"Why is {value} taken out ({reason.replace('_', ' ')})?"
        ask_text(place.app, question, lambda words: place.void(logged, person, reason, words))

    choose(place, f"Take out {value} by {logged.by}: what was wrong?", rows, why)
