"""First article: what becomes of what does not conform, geometrical tolerances looked at, checked and released."""

from __future__ import annotations

from datetime import date
from typing import Any

from inspect_tui.metrology.typed import fields
from inspect_tui.metrology.typed.fields import Wrong
from inspect_tui.model.measuring import Person
from inspect_tui.model.signed import DECISIONS, Disposition
from inspect_tui.model.words import STATES_OF_WORK
from inspect_tui.shop.common.geometry.tolerances import WORDS as GEOMETRY_WORDS
from inspect_tui.shop.first_article.castings.sampling import Sampling
from inspect_tui.shop.first_article.signed import dispositions, looks
from inspect_tui.tui import forms
from inspect_tui.tui.first_article.open_sampling import OpenSampling
from inspect_tui.tui.forms import Choices, Field
from inspect_tui.tui.jobs import tooling
from inspect_tui.tui.question import NEW, choose

NOTHING = "There is no sampling open: Ctrl+O opens one."
LOOK, CHANGE = "\0look", "\0change"
Row = tuple[Any, str]


def decide(place: OpenSampling) -> None:
    """What was decided in this sampling, to decide otherwise or take back; and a new decision."""
    sampling = place.sampling
    if sampling is None:
        place.say(NOTHING)
        return
    said: list[Row] = [(one, _row(sampling, one)) for one in dispositions.of_sampling(sampling)]

    def chosen(what: Any) -> None:
        place.with_person(lambda person: _decide(place, sampling, person, None if what == NEW else what))

    if said:
        choose(place, "Which decision?", [(NEW, "+ a new one, about the size and casting at hand"), *said], chosen)
    else:
        chosen(NEW)


def _row(sampling: Sampling, said: Disposition) -> str:
    """`F07    all castings  concession    60 to 2027-12-31`: one line of the list."""
    serial = next((item.serial for item in sampling.castings if item.id == said.item_id), "all castings")
    bounds = f"{said.quantity} to {said.until_on}" if said.decision == "concession" else said.reference or ""
    balloon = dispositions.balloon_of(sampling, said)
    return f"{balloon:<6} {serial:<13} {said.decision.replace('_', ' '):<13} {bounds}".rstrip()


def _decide(place: OpenSampling, sampling: Sampling, person: Person, old: Disposition | None) -> None:
    record, today = place.record, date.today().isoformat()
    first = dispositions.first_values(sampling, old) if old else _at_hand(place)
    lines = forms.first(dispositions.FIELDS, first, _choices(sampling))
    if old is not None:
        lines.append(Field("holds", "holds: yes, or no to take it back", "yes", fields.yes))

    def read(texts: dict[str, Any]) -> Disposition | None:
        if texts.get("holds") is False:
            return None
        return dispositions.read(sampling, texts, person, today)

    def use(made: Disposition | None) -> str:
        if old is None:
            assert made is not None
            return dispositions.put(record, sampling, made, person)
        if made is None:
            return dispositions.take_back(record, sampling, old, person)
        return dispositions.change(record, sampling, old, made, person)

    title = "Decide otherwise" if old else "What becomes of what does not conform"
    forms.ask(place, title, lines, read, use, then=place.changed, again=old is None)


def _at_hand(place: OpenSampling) -> dict[str, str]:
    """The cell at hand, where somebody has to decide about it."""
    required, item = place.grid.required, place.grid.casting
    if required is None or item is None or place.sampling is None:
        return {"state": "raw"}
    cell = place.sampling.cell(required.feature, item, required.state)
    first = {"state": required.state}
    if cell.answer in dispositions.OPEN:
        first |= {"feature": required.feature.balloon, "casting": item.serial}
    return first


def _choices(sampling: Sampling) -> dict[str, Choices]:
    def what() -> list[tuple[str, str]]:
        listed = []
        for feature, state in sampling.requirements:
            answers = [sampling.cell(feature, item, state).answer for item in sampling.castings]
            bad = sum(answer in dispositions.OPEN for answer in answers)
            if bad:
                listed.append((feature.balloon, f"{feature.name}, on {bad} of {len(answers)}"))
        return listed + [(one.balloon, f"{GEOMETRY_WORDS[one.what]}, {one.name}") for one in sampling.geometries]

    return {
        "feature": what,
        "casting": lambda: [item.serial for item in sampling.castings],
        "state": STATES_OF_WORK,
        "decision": tuple((word, dispositions.WORDS[word]) for word in DECISIONS),
    }


# ------------------------------------------------------------------------------ geometrical tolerances
def geometries(place: OpenSampling) -> None:
    """The geometrical tolerances of the job: a new one, another one, or how one was looked at on a casting."""
    job, sampling = place.job, place.sampling
    if job is None:
        place.say("There is no job yet: the Jobs place (F10) makes one.")
        return
    if sampling is None:
        tooling.geometries(place, job)
        return

    def chosen(balloon: str) -> None:
        ways: list[Row] = [
            (LOOK, "say how it was looked at on a casting, and whether it was accepted"),
            (CHANGE, "change what the drawing asks, or take it off"),
        ]
        choose(place, f"{balloon}: what?", ways, lambda way: _one(place, sampling, balloon, way))

    tooling.geometries(place, job, chosen)


def _one(place: OpenSampling, sampling: Sampling, balloon: str, way: str) -> None:
    if way == CHANGE:
        tooling.geometry(place, sampling.job, balloon)
    else:
        place.with_person(lambda person: _look(place, sampling, balloon, person))


def _look(place: OpenSampling, sampling: Sampling, balloon: str, person: Person) -> None:
    item = place.grid.casting
    first = {"geometry": balloon, "casting": item.serial if item else ""}
    known: dict[str, Choices] = {
        "geometry": [(one.balloon, one.name) for one in sampling.geometries],
        "casting": [one.serial for one in sampling.castings],
        "accepted": ("yes", "no"),
    }
    today = date.today().isoformat()
    forms.ask(
        place,
        f"How {balloon} was looked at",
        forms.first(looks.FIELDS, first, known),
        lambda texts: looks.read(sampling, texts, person, today),
        lambda look: looks.put(place.record, sampling, look, person),
        then=place.changed,
        again=True,
    )


# ------------------------------------------------------------------------------ names
def sign(place: OpenSampling) -> None:
    """Check the first article, release it, or take that back."""
    sampling = place.sampling
    if sampling is None or not sampling.anything:
        place.say("Nothing of this sampling has been measured yet: there is nothing to check or release.")
        return
    there = place.record.article_signs(sampling.job.of_id, sampling.round.lot_id)
    rows: list[Row] = [
        (("checked", False), "checked: somebody looked it through"),
        (("released", False), "released: it may go out"),
    ]
    rows += [((act, True), f"no longer {act}") for act in there]

    def chosen(what: tuple[str, bool]) -> None:
        place.with_person(lambda person: _sign(place, sampling, person, *what))

    choose(place, f"{sampling.job.number} {sampling.round.label} is", rows, chosen)


def _sign(place: OpenSampling, sampling: Sampling, person: Person, act: str, back: bool) -> None:
    from inspect_tui.shop.first_article import sign as signing

    hint = "why: in a few words" if back else "words: that stand beside the name; may be left out"

    def read(texts: dict[str, str]) -> str | Wrong:
        return texts["words"]

    def use(words: str) -> str:
        if back:
            return signing.take_back(place.record, sampling, act, person, words)
        return signing.sign(place.record, sampling, act, person, date.today().isoformat(), words)

    title = f"No longer {act}" if back else f"{act.capitalize()} by {person.initials}"
    forms.ask(place, title, [Field("words", hint)], read, use, then=place.changed)
