"""What is said of a job, its castings, and of two things that are one: state, weights, wall area, sameness."""

from __future__ import annotations

from functools import partial
from typing import Any

from inspect_tui.metrology.typed import fields
from inspect_tui.model.measuring import Person
from inspect_tui.model.work import Job
from inspect_tui.shop.changes import same, things
from inspect_tui.shop.changes.things import Sort, Thing
from inspect_tui.shop.jobs import states
from inspect_tui.shop.trends.counts import weights
from inspect_tui.tui.forms import Field, ask
from inspect_tui.tui.place import Place
from inspect_tui.tui.question import choose

STATE_WORDS = {
    "open": "it is worked on",
    "waiting": "for a drawing, a decision, the foundry",
    "closed": "nothing is to be done any more; it stays in the record",
}


def _why(ask_: str = "say why") -> Field:
    return Field("why", "why: a few words; they stand beside it", "", partial(fields.words, ask=ask_))


def state(place: Place, job: Job) -> None:
    """Say that a job waits, is closed, or goes on."""

    def go_on(by: Person) -> None:
        said = states.state_of(place.record, job)
        first = "open" if said is not None and said.state in ("waiting", "closed") else "closed"
        words = [(word, about) for word, about in STATE_WORDS.items()]
        line = Field("state", "state: open, waiting or closed", first, partial(fields.choice, words=STATE_WORDS), words)

        def write(values: dict[str, Any]) -> str:
            made = states.say(place.record, job, values["state"], values["why"], by)
            return f"Job {job.number} is {made.state}."

        ask(place, f"Job {job.number}: state", [line, _why()], None, write, then=place.changed)

    place.with_person(go_on)


def weigh(place: Place, job: Job) -> None:
    """What a casting or sand core weighs; one after the other."""

    def go_on(by: Person) -> None:
        record = place.record

        def castings() -> list[tuple[str, str]]:
            known = record.item_weights(job.of_id)
            return [
                (
                    f"{item.kind} {item.serial}",
                    f"{place.app.written.figures(known[item.id].weight_kg)} kg" if item.id in known else "",
                )
                for item in reversed(record.items(job.of_id))
            ]

        first, *others = weights.WEIGHT_FIELDS
        lines = [Field(*first, "", None, castings), *(Field(*line) for line in others)]

        def write(values: dict[str, Any]) -> str:
            made = record.add(weights.read_weight(record, job, values), by.id)
            return f"{values['casting']}: {place.app.written.figures(made.weight_kg)} kg"

        ask(place, f"A weight of {job.number}", lines, None, write, then=place.changed, again=True)

    place.with_person(go_on)


def wall_area(place: Place, job: Job) -> None:
    """The wall area of the casting, by which a change of weight becomes one of the walls."""

    def go_on(by: Person) -> None:
        first = weights.shown_wall(place.record, job)
        lines = [Field(key, label, first.get(key, "")) for key, label in weights.WALL_FIELDS]

        def write(values: dict[str, Any]) -> str:
            made = place.record.add(weights.read_wall(place.record, job, values), by.id)
            return f"Job {job.number}: wall area {place.app.written.figures(made.area_m2)} m²"

        ask(place, f"The wall area of the casting of {job.number}", lines, None, write, then=place.changed)

    place.with_person(go_on)


def weight(place: Place, job: Job) -> None:
    """Choose which of the two is entered."""
    rows = [(weigh, "what a casting or sand core weighs"), (wall_area, "the wall area of the casting")]
    choose(place, "What is entered?", rows, lambda form: form(place, job))


def one_and_the_same(place: Place, job: Job) -> None:
    """Two things that were entered twice and are one, or after all are not."""

    def of_sort(sort: Sort) -> None:
        listed = things.standing(place.record, sort, job if sort.of_job else None)
        rows = [(thing, thing.name) for thing in listed]
        if len(rows) < 2:
            place.say(f"There are no two of the sort {sort.word}.")
            return
        choose(place, f"Which {sort.word}?", rows, partial(second, rows))

    def second(rows: list[tuple[Thing, str]], this: Thing) -> None:
        others = [(thing, name) for thing, name in rows if thing.of_id != this.of_id]
        choose(place, f"{this.name} is the same as which?", others, partial(say, this))

    def say(this: Thing, that: Thing) -> None:
        pair = {this.of_id, that.of_id}
        known = next(
            (x for x in place.record.same_things(this.sort.kind.number) if {x.this_id, x.that_id} == pair), None
        )
        apart = known is not None and known.state == "same"
        told = f"{this.name} and {that.name} are {'two after all' if apart else 'one'}"

        def go_on(by: Person) -> None:
            def write(values: dict[str, Any]) -> str:
                same.say(place.record, this, that, "apart" if apart else "same", values["why"], by)
                return f"{told}: it stands in what was changed."

            ask(place, told, [_why()], None, write, then=place.changed)

        place.with_person(go_on)

    choose(place, "Two of which sort?", [(sort, sort.word) for sort in things.SORTS], of_sort)
