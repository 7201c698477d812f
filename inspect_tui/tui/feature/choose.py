"""The questions of the Feature place: which chart, feature, tool, people; and why a reading is taken out of count."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from inspect_tui.errors import InspectError
from inspect_tui.model.measuring import Person
from inspect_tui.model.words import SUPERSEDE_REASONS
from inspect_tui.shop.feature import material as feature_data
from inspect_tui.shop.feature.material import EVERYTHING, Only, Pick
from inspect_tui.tui import choosers, todo
from inspect_tui.tui.choosers import Chooser, ask_text

if TYPE_CHECKING:
    from inspect_tui.record.ask.readings import LoggedReading
    from inspect_tui.tui.feature.screen import FeatureScreen

SIZES = (2, 3, 4, 5, 6, 8, 10)  # of subgroups


def kind(screen: FeatureScreen) -> None:
    """Which chart."""
    from inspect_tui.shop.feature.view import CHARTS

    rows = [(key, f"{key:<12} {what}") for key, what in CHARTS.items()]
    screen.app.push_screen(Chooser("Which chart?", rows), lambda key: screen.chart_as(key) if key else None)


def group(screen: FeatureScreen) -> None:
    """What makes a subgroup of the means."""
    rows: list[tuple[Any, str]] = [(n, f"{n} consecutive readings") for n in SIZES]
    rows += [(by, f"by {by}") for by in feature_data.BY]

    def chosen(what: int | str | None) -> None:
        if what is not None:
            screen.chart_as(screen.kind if screen.kind.startswith("means") else "means", what)

    screen.app.push_screen(Chooser("Subgroups of what?", rows), chosen)


def feature(screen: FeatureScreen) -> None:
    """Another feature of this tool or of the castings."""
    pick = screen.pick
    if pick is None:
        subject(screen)
        return
    rows = [(f, f"{f.balloon:<6} {f.name}") for f in feature_data.features_on(screen.record, pick)]

    def chosen(one: Any) -> None:
        if one is not None:
            screen.look(Pick(pick.job, one, pick.subject, pick.kind))

    screen.app.push_screen(Chooser("Which feature?", rows), chosen)


def subject(screen: FeatureScreen) -> None:
    """Another tool or casting, or all castings of the job."""
    bench = screen.app.bench
    job = screen.pick.job if screen.pick else (bench.job if bench else None)
    if job is None:
        jobs = screen.record.jobs()
        if not jobs:
            screen.say("There is no job in this record yet: make one on the Jobs screen (F10).")
            return
        job = jobs[-1]
    rows = [((s, kind), f"{s.label:<24} {what}") for s, kind, what in feature_data.subjects(screen.record, job)]

    def chosen(what: Any) -> None:
        if what is None:
            return
        chosen_subject, kind = what
        try:
            pick = feature_data.same_on(screen.record, job, chosen_subject, kind, screen.pick)
        except InspectError as problem:
            screen.say(todo.said(problem), "bold red")
            return
        screen.only = EVERYTHING
        screen.look(pick)

    screen.app.push_screen(Chooser("Measured on what?", rows), chosen)


def only(screen: FeatureScreen) -> None:
    """Only one person, instrument, lot or casting; or all again."""
    splits = screen.figures.splits
    if splits is None:
        screen.say("Still reading the record; press w again in a moment.")
        return
    rows: list[tuple[Any, str]] = [(EVERYTHING, "all readings")]
    for split in splits:
        for one in split.groups:
            rows.append((Only(**{split.by: one.name}), f"{split.by:<11} {one.name}  (n {one.summary.n})"))

    def chosen(what: Only | None) -> None:
        if what is not None:
            screen.only, screen.at, screen.row = what, None, 0
            screen.again()

    screen.app.push_screen(Chooser("Only which readings?", rows), chosen)


def instrument(screen: FeatureScreen) -> None:
    """Another instrument for the budget of a reading to be taken."""
    rows = [(i, i.label) for i in screen.record.instruments()]
    screen.app.push_screen(Chooser("With what?", rows), lambda one: screen.plan_with(one) if one else None)


# ------------------------------------------------------------------------------ out of count
def void(screen: FeatureScreen, logged: LoggedReading) -> None:
    """Ask who (unless the Bench knows), what was wrong and why; then take the reading out of count."""
    bench = screen.app.bench
    if bench is not None and bench.person is not None:
        _reason(screen, logged, bench.person)
    else:
        choosers.person(screen.app, screen.record, lambda person: _reason(screen, logged, person))


def _reason(screen: FeatureScreen, logged: LoggedReading, person: Person) -> None:
    value = f"{logged.reading.value:g} (typed {logged.reading.typed})"
    rows = [(reason, reason.replace("_", " ")) for reason in SUPERSEDE_REASONS]

    def why(reason: str | None) -> None:
        if reason is not None:
            question = f"Why is {value} taken out ({reason.replace('_', ' ')})?"
            ask_text(screen.app, question, lambda words: screen.void(logged, person, reason, words))

    screen.app.push_screen(Chooser(f"Take out {value} by {logged.by}: what was wrong?", rows), why)
