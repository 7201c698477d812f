"""Finds jobs, tools, castings, features, people and instruments by what people call them."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from time import strftime

from inspect_tui.errors import NotFound, Several
from inspect_tui.frozen import frozen
from inspect_tui.metrology.typed.show import MM
from inspect_tui.model.measuring import Instrument, Person
from inspect_tui.model.words import INSTRUMENT_KINDS, Id
from inspect_tui.model.work import DrawingRevision, Feature, Item, Job, Tool
from inspect_tui.record.read import Reader
from inspect_tui.todo import Todo

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import TypeVar

    from inspect_tui.record.store import Record

    Thing = TypeVar("Thing")


@frozen
class Subject:
    """What is being measured: a tool, a casting or a sand core."""

    label: str
    tool: Tool | None = None
    item: Item | None = None

    @property
    def kind(self) -> str:
        """tool, casting or core."""
        return "tool" if self.tool else (self.item.kind if self.item else "tool")

    @property
    def key(self) -> Id:
        """The id that readings, summaries and histories are grouped by."""
        if self.tool:
            return self.tool.of_id
        assert self.item
        return self.item.id


def _words(text: str) -> list[str]:
    return re.findall(r"[\w.+-]+", text.casefold())


def pick(name: str, things: Sequence[Thing], label: Callable[[Thing], str], what: str, where: str = "") -> Thing:
    """The thing called `name`: the exact label first, then the only one whose label has all its words.

    Raises NotFound with the nearest names when none or several fit.
    """
    exact = [thing for thing in things if label(thing).casefold() == name.strip().casefold()]
    if len(exact) == 1:
        return exact[0]
    asked = _words(name)
    near = [thing for thing in things if asked and set(asked) <= set(_words(label(thing)))]
    if len(near) == 1:
        return near[0]
    if len(near) > 1:
        raise Several(f"'{name}' fits several: {_listed(map(label, near))}. Say which{where}.")
    if not things:
        raise NotFound(f"There is no {what}{where} yet.")
    labels = [label(thing) for thing in things]
    close = get_close_matches(name.casefold(), [text.casefold() for text in labels], n=3, cutoff=0.4)
    nearest = [text for text in labels if text.casefold() in close]
    hint = f"nearest: {_listed(nearest)}" if nearest else f"there are: {_listed(labels)}"
    raise NotFound(f"There is no {what} '{name}'{where}; {hint}.")


def own_first(
    record: Record, name: str, things: Sequence[Thing], label: Callable[[Thing], str], what: str, where: str = ""
) -> Thing:
    """As `pick`; of several called alike, entered at several benches, the one of this bench, or by name and bench."""
    called: dict[str, list[Thing]] = {}
    for thing in things:
        called.setdefault(label(thing).casefold(), []).append(thing)
    asked = name.strip().casefold()
    alike = next((group for key, group in called.items() if len(group) > 1 and asked.startswith(key)), None)
    if alike is None or (asked in called and len(called[asked]) == 1):
        return pick(name, things, label, what, where)
    own, benches = record.entered_at([thing.of_id for thing in alike])  # type: ignore[attr-defined]
    here = [thing for thing in alike if thing.of_id in own]  # type: ignore[attr-defined]
    if label(alike[0]).casefold() == asked and len(here) == 1:
        return here[0]
    return pick(name, alike, lambda t: f"{label(t)} {benches[t.of_id]}", what, where)  # type: ignore[attr-defined]


def _by_any_name(
    record: Reader, listed: Callable[[Reader], Sequence[Thing]], name: str, label: Callable[[Thing], str]
) -> Thing | None:
    """Of what was entered twice and is one: the one of the list that was once entered under this name; else None."""
    asked = name.strip().casefold()
    if record.all_apart or any(label(thing).casefold() == asked for thing in listed(record)):
        return None
    once = {record.first_of(key(t)) for t in listed(record.each_apart()) if label(t).casefold() == asked}
    return next((thing for thing in listed(record) if key(thing) in once), None)


def key(thing: object) -> Id:
    """The id that a thing goes by: of its first version, its own where there are no versions."""
    found: Id = thing.key if isinstance(thing, Subject) else getattr(thing, "of_id", None) or thing.id  # type: ignore[attr-defined]
    return found


def _listed(labels: Iterable[str], most: int = 6) -> str:
    all_labels = list(labels)
    shown = ", ".join(all_labels[:most])
    return shown + (f" and {len(all_labels) - most} more" if len(all_labels) > most else "")


def job(record: Record, number: str | None) -> Job:
    """The job of that number; when `number` is None the only one, or the only one that is not closed."""
    jobs = record.jobs()
    if number is None:
        if len(jobs) > 1:
            states = record.job_states()
            jobs = [job for job in jobs if job.of_id not in states or states[job.of_id].state != "closed"] or jobs
        if len(jobs) == 1:
            return jobs[0]
        raise NotFound(
            f"Say which job: {_listed(j.number for j in jobs)}." if jobs else "There is no job in this record yet."
        )
    return _by_any_name(record, lambda r: r.jobs(), number, lambda j: j.number) or own_first(
        record, number, jobs, lambda j: j.number, "job"
    )


def latest_revision(record: Record, job: Job) -> DrawingRevision:
    """The newest edition of the job's drawing."""
    revisions = record.revisions(job.of_id)
    if not revisions:
        raise NotFound(f"Job {job.number} has no drawing yet: add features first.")
    return revisions[-1]


def subjects(record: Reader, job: Job) -> list[Subject]:
    """Tools first, then castings and sand cores, as the record gives them."""
    tools = [Subject(tool.label, tool=tool) for tool in record.tools(job.of_id)]
    items = [Subject(f"{item.kind} {item.serial}", item=item) for item in record.items(job.of_id)]
    return tools + items


def subject(record: Record, job: Job, name: str) -> Subject:
    """A tool, casting or core by its label, such as "stick 3" or "casting S1-2"."""
    for tool in record.tools(job.of_id):  # first among the few, before hundreds of castings are read
        if tool.label.casefold() == name.strip().casefold():
            return Subject(tool.label, tool=tool)
    return _by_any_name(record, lambda r: subjects(r, job), name, lambda s: s.label) or pick(
        name, subjects(record, job), lambda s: s.label, "tool or casting", f" in job {job.number}"
    )


def feature(features: Sequence[Feature], name: str, revision: str = "") -> Feature:
    """A feature by balloon, such as F29; spelled in any case, with or without leading zeros."""
    for known in features:
        if known.balloon == name.strip():
            return known
    wanted = balloon_key(name)
    for known in features:
        if balloon_key(known.balloon) == wanted:
            return known
    close = get_close_matches(name.upper(), [known.balloon for known in features], n=2, cutoff=0.5)
    on = f" on revision {revision}" if revision else " here"
    raise NotFound(f"{name} is not{on}" + (f"; nearest: {_listed(close)}." if close else "."))


def get_close_matches(word: str, names: list[str], n: int, cutoff: float) -> list[str]:
    """difflib's, imported when somebody has mistyped a name."""
    from difflib import get_close_matches as close

    return close(word, names, n=n, cutoff=cutoff)


def core_numbers(record: Reader, job: Job) -> dict[Id, str]:
    """The number of every version of the job's cores."""
    number = {core.of_id: str(core.number) for core in record.cores(job.of_id)}
    return {version: number[of] for version, of in record.core_versions(job.of_id).items() if of in number}


def balloon_key(name: str) -> str:
    """What a balloon is found by: any case, with or without leading zeros."""
    match = re.fullmatch(r"([A-Za-z]*)\s*0*(\d+)(.*)", name.strip())
    return "".join(match.groups()).casefold() if match else name.strip().casefold()


@frozen
class Added:
    """Something that was added because nothing was called like that: what is said of it, and what is left to do."""

    sentence: str
    todo: Todo | None = None


def person_or_new(record: Record, initials: str) -> tuple[Person, Added | None]:
    """A person by initials, added as a maker when nobody is called like that or nearly so; says so when added.

    Initials are a statement, not a login; a script on a fresh record must be able to name who measured.
    """
    try:
        return person(record, initials), None
    except NotFound:
        _refuse_withdrawn(initials, (p.initials for p in record.with_withdrawn().people()))
        people = [p.initials.casefold() for p in record.people()]
        if not 1 <= len(initials.strip()) <= 8 or get_close_matches(initials.casefold(), people, n=1, cutoff=0.6):
            raise
    made: Person = record.add(Person(initials=initials.strip()))
    return made, Added(f"{made.initials} is new here: added as a maker.")


def instrument_or_new(record: Record, label: str) -> tuple[Instrument, Added | None]:
    """An instrument by its label, added when none is called like that or nearly so; says as what it was added."""
    try:
        return instrument(record, label), None
    except Several:
        raise
    except NotFound:
        _refuse_withdrawn(label, (i.label for i in record.with_withdrawn().instruments()))
        there = [i.label.casefold() for i in record.instruments()]
        if get_close_matches(label.casefold(), there, n=1, cutoff=0.6):
            raise
    words = _words(label)
    kind = next((k for k in INSTRUMENT_KINDS if set(k.split("_")) <= set(words)), "caliper")
    made: Instrument = record.add(Instrument(label=label.strip(), kind=kind))
    return made, Added(
        f"{made.label} is new here: added as a {kind.replace('_', ' ')} that reads mm in steps of "
        f"{MM.given(made.resolution, unit=False)}, without a certificate.",
        Todo.DESCRIBE_INSTRUMENT,
    )


def _refuse_withdrawn(name: str, everything: Iterable[str]) -> None:
    """NotFound where nothing that stands is called so, but something withdrawn is: it is not made a second time."""
    for known in everything:
        if known.casefold() == name.strip().casefold():
            raise NotFound(f"{known} is withdrawn: take it back first, or say another.")


def person(record: Record, initials: str) -> Person:
    """A person by initials; of two benches that have one each, the one that was entered at this bench."""
    return _by_any_name(record, lambda r: r.people(), initials, lambda p: p.initials) or own_first(
        record, initials, record.people(), lambda p: p.initials, "person"
    )


def instruments_in_use(record: Record) -> list[Instrument]:
    """The instruments that are to be measured with: not those taken out of use."""
    out = {state.instrument_of_id for state in record.out_of_use(strftime("%Y-%m-%d"))}
    return [instrument for instrument in record.instruments() if instrument.of_id not in out]


def instrument(record: Record, label: str) -> Instrument:
    """An instrument by its label, such as "caliper 2"."""
    return _by_any_name(record, lambda r: r.instruments(), label, lambda i: i.label) or own_first(
        record, label, record.instruments(), lambda i: i.label, "instrument"
    )
