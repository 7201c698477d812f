"""What was changed over the whole shop: who, when, what and why, in one list, the newest first."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from datetime import UTC, date, datetime
from itertools import pairwise
from typing import TYPE_CHECKING, Any

from inspect_tui.frozen import frozen_by_name
from inspect_tui.metrology.typed.show import MM, Style, moment
from inspect_tui.model.words import Id
from inspect_tui.model.work import Feature
from inspect_tui.record import kinds
from inspect_tui.record.kinds import Kind
from inspect_tui.shop.changes import things
from inspect_tui.shop.common import lineage

if TYPE_CHECKING:
    from inspect_tui.record.ask.changes import Said, Version
    from inspect_tui.record.read import Reader

# what follows from something else that is listed
FOLLOWS = (kinds.TOOL_FEATURE,)
SILENT = frozenset({"id", "of_id", "replaces_id"})
WORDS: Mapping[str, str] = {
    "a_x": "contraction x",
    "a_y": "contraction y",
    "a_z": "contraction z",
    "a_source": "contraction from",
    "customer_ref": "customer's",
    "part_no": "part number",
    "order_no": "order",
    "order_quantity": "ordered",
    "until_on": "until",
    "geometry_of_id": "geometry",
    "person_of_id": "person",
    "clear_min_mm": "least clearance",
    "clear_max_mm": "most clearance",
    "range_lo": "range from",
    "range_hi": "range to",
    "core_id": "core",
    "pin_hash": "PIN",
}
SHARES = frozenset({"a_x", "a_y", "a_z", "ua_x", "ua_y", "ua_z", "second_a", "second_u", "rule_scale", "resin_r"})


@frozen_by_name
class Changed:
    """One line of the list: when (microseconds UTC, bench offset), by whom, what, from what to what, why."""

    at_us: int
    tz_min: int
    by: str | None
    job: str | None
    what: str
    how: str = ""
    why: str | None = None

    @property
    def at(self) -> str:
        """ISO date and time by the clock of its bench."""
        return moment(self.at_us, self.tz_min)

    @property
    def words(self) -> str:
        """All of it in a line, to search in."""
        return " ".join(text for text in (self.at[:16], self.by, self.job, self.what, self.how, self.why) if text)


def day_us(day: str) -> tuple[int, int]:
    """The moments (microseconds UTC) between which a day (ISO date) lies at every bench.

    Clocks of benches lie up to 14 hours from UTC.
    """
    begun = int(datetime.combine(date.fromisoformat(day), datetime.min.time(), UTC).timestamp())
    return (begun - 14 * 3600) * 1_000_000, (begun + (24 + 14) * 3600) * 1_000_000


def changes(reader: Reader, since: str | None = None, style: Style = MM) -> list[Changed]:
    """Everything that was changed, corrected, withdrawn or taken back since that day (ISO date; None: ever)."""
    start = 0 if since is None else day_us(since)[0]  # what is of the day before is left out below
    names = Names(reader)
    made = [
        *_versions(reader, start, names, style),
        *_editions(reader, start),
        *_readings(reader, start, names),
        *_said(reader, start, names),
    ]
    made = [change for change in made if since is None or change.at[:10] >= since]
    return sorted(made, key=lambda change: change.at_us, reverse=True)


def search(listed: Sequence[Changed], words: str) -> list[Changed]:
    """Those that hold every word, in any case."""
    wanted = words.casefold().split()
    return [change for change in listed if all(word in change.words.casefold() for word in wanted)]


# ------------------------------------------------------------------------------ what things are called
class Names:
    """What the things that rows name are called, looked up once."""

    def __init__(self, reader: Reader) -> None:
        self.reader = reader = reader.with_withdrawn().each_apart()  # a pair that is one has two names
        self.jobs = {job.of_id: job for job in reader.jobs()}
        self.job_of: dict[Id, Id] = {}
        self.name: dict[Id, str] = {}
        for gauge in reader.instruments():
            self.name[gauge.of_id] = f"gauge {gauge.label}"
        for person in reader.people():
            self.name[person.of_id] = f"person {person.initials}"
        for job in self.jobs.values():
            self._of(job.of_id, job.of_id, "job")
            for core in reader.cores(job.of_id):
                self._of(job.of_id, core.of_id, f"core {core.number}")
            for tool in reader.tools(job.of_id):
                self._of(job.of_id, tool.of_id, f"tool {tool.label}")
            for item in reader.items(job.of_id):
                self._of(job.of_id, item.id, f"{'casting' if item.kind == 'casting' else 'sand core'} {item.serial}")
            for version, of_id in (*reader.core_versions(job.of_id).items(), *reader.tool_versions(job.of_id).items()):
                self._of(job.of_id, version, self.name.get(of_id, "?"))

    def _of(self, job: Id, thing: Id, name: str) -> None:
        self.job_of[thing], self.name[thing] = job, name

    def job(self, *ids: Id | None) -> str | None:
        """The number of the job that one of these is of."""
        for thing in ids:
            if thing is not None and thing in self.job_of:
                return self.jobs[self.job_of[thing]].number
        return None

    def job_of_row(self, row: Any) -> str | None:
        """The number of the job that a row is of."""
        return self.job(*(getattr(row, name, None) for name in ("job_of_id", "tool_of_id", "core_of_id", "of_id")))

    def row(self, kind: Kind, row: Any) -> str:
        """What a row is called."""
        if kind is kinds.PROVING:  # it may name a mould, and is not of it
            return CALLED[kind.number](row)
        owner = next(
            (getattr(row, name) for name in ("tool_of_id", "core_of_id", "instrument_of_id") if hasattr(row, name)),
            None,
        )
        of = self.name.get(owner) if owner is not None else None
        if kind in (kinds.CORE_DETAIL, kinds.TOOL_DETAIL) and of:
            return of
        if of:
            feature = getattr(row, "feature_id", None)
            at = f", {self.reader.feature(feature).balloon}" if feature else ""
            return f"{OF_TOOL.get(kind.number, kind.what)} of {of}{at}"
        own = CALLED.get(kind.number)
        return own(row) if own is not None else self.name.get(row.of_id, kind.what)


OF_TOOL: Mapping[int, str] = {kinds.TOOL_COUNT.number: "count", kinds.TOOL_REPAIR.number: "repair"}
CALLED: Mapping[int, Callable[[Any], str]] = {
    kinds.JOB.number: lambda row: f"job {row.number}",
    kinds.CORE.number: lambda row: f"core {row.number}",
    kinds.TOOL.number: lambda row: f"tool {row.label}",
    kinds.PERSON.number: lambda row: f"person {row.initials}",
    kinds.INSTRUMENT.number: lambda row: f"gauge {row.label}",
    kinds.FIT.number: lambda row: f"fit {row.name}",
    kinds.STACK.number: lambda row: f"loop {row.label}",
    kinds.PASSAGE.number: lambda row: f"passage {row.label}",
    kinds.ATTACHMENT_USE.number: lambda row: f"picture{f' {row.caption}' if row.caption else ''}",
    kinds.WALL_AREA.number: lambda row: "wall area",
    kinds.GEOMETRY.number: lambda row: f"geometry {row.balloon}",
    kinds.DISPOSITION.number: lambda row: "decision on a non-conformity",
    kinds.PROVING.number: lambda row: f"trial {row.sort.replace('_', ' ')} of {row.on_date}",
}


# ------------------------------------------------------------------------------ versions
def _versions(reader: Reader, start: int, names: Names, style: Style) -> Iterator[Changed]:
    for kind in kinds.KINDS:
        if kind.versioned and kind not in FOLLOWS:
            versions = reader.versions_since(kind, start)
            notes = reader.notes_on(kind) if versions else {}
            for made in versions:
                yield Changed(
                    at_us=made.at_us,
                    tz_min=made.tz_min,
                    by=made.by,
                    job=names.job_of_row(made.now),
                    what=names.row(kind, made.before),
                    how=differences(kind, made, names, style) or ("its lines" if kind is kinds.PROVING else ""),
                    why=notes.get(made.now.id),
                )


def differences(kind: Kind, made: Version, names: Names, style: Style) -> str:
    """`label box 3 → box 3a; material wood → resin`."""
    told = []
    for name in kind.names:
        old, new = getattr(made.before, name), getattr(made.now, name)
        if name in SILENT or old == new:
            continue
        if name in ("active", "holds"):
            told.append("back" if new else "taken back" if name == "holds" else "no longer in use")
        elif name == "pin_hash":
            told.append("PIN changed")
        else:
            word = WORDS.get(name, name.removesuffix("_mm").removesuffix("_id").replace("_", " "))
            told.append(f"{word} {_shown(name, old, names, style)} → {_shown(name, new, names, style)}")
    return "; ".join(told)


def _shown(name: str, value: Any, names: Names, style: Style) -> str:
    if value is None or value == "":
        return "nothing"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, bytes):
        return names.name.get(value, "another")
    if isinstance(value, float):
        return style.percent(value, 2) if name in SHARES else style.figures(value)
    return str(value)


# ------------------------------------------------------------------------------ drawings
def _editions(reader: Reader, start: int) -> Iterator[Changed]:
    newest = {said.thing.id: said for said in reader.said_since(kinds.DRAWING_REVISION, start)}
    everything = reader.with_withdrawn()
    for job in everything.jobs() if newest else ():
        revisions = everything.revisions(job.of_id)
        if not any(revision.id in newest for revision in revisions[1:]):
            continue  # the first edition is no change
        features: dict[Id, dict[Id, Feature]] = {}
        for feature in everything.job_features(job.of_id):
            features.setdefault(feature.revision_id, {})[feature.id] = feature
        for before, revision in pairwise(revisions):
            said = newest.get(revision.id)
            if said is not None:
                told = _sizes(features.get(before.id, {}), features.get(revision.id, {}))
                yield Changed(
                    at_us=said.at_us,
                    tz_min=said.tz_min,
                    by=said.by,
                    job=job.number,
                    what=f"drawing {revision.number} rev {revision.rev}",
                    how=("corrected: " if revision.corrects_id else "new revision: ") + (told or "no size"),
                    why=revision.why,
                )


def _sizes(before: Mapping[Id, Feature], now: Mapping[Id, Feature]) -> str:
    """What an edition has otherwise than the one before: `F1, F21 → F12, F7 added, F3 taken off`."""
    told, kept = [], set()
    for feature in now.values():
        old = before.get(feature.same_as_id or b"")
        if old is None:
            told.append(f"{feature.balloon} added")
            continue
        kept.add(old.id)
        if old.balloon != feature.balloon:
            told.append(f"{old.balloon} → {feature.balloon}")
        elif not lineage.unchanged(feature, old):
            told.append(feature.balloon)
    return ", ".join([*told, *(f"{old.balloon} taken off" for old in before.values() if old.id not in kept)])


# ------------------------------------------------------------------------------ readings
def _readings(reader: Reader, start: int, names: Names) -> Iterator[Changed]:
    answers = reader.said_since(kinds.SUPERSEDE, start)
    wanted = {said.thing.target_id for said in answers}
    wanted |= {said.thing.replacement_id for said in answers if said.thing.replacement_id}
    named = reader.readings_named(sorted(wanted))
    for said in answers:
        target = named.get(said.thing.target_id)
        if target is None:
            continue
        balloon, tool, item, typed = target[1:]
        new = named.get(said.thing.replacement_id or b"")
        on = tool or item or b""
        yield Changed(
            at_us=said.at_us,
            tz_min=said.tz_min,
            by=said.by,
            job=names.job(on),
            what=f"reading of {balloon} on {names.name.get(on, 'something')}",
            how=f"{typed} → {new[4]}" if new is not None else f"{typed} struck",
            why=said.thing.why,
        )


# ------------------------------------------------------------------------------ what was said of things
def _said(reader: Reader, start: int, names: Names) -> Iterator[Changed]:
    called = {gone.of_id: gone for gone in _every(reader, names, start)}
    for said in reader.said_since(kinds.WITHDRAWAL, start):
        thing, row = called.get(said.thing.about_id), said.thing
        about = kinds.BY_NUMBER[row.about_kind]
        what = f"{thing.sort.word} {thing.name}" if thing else names.name.get(row.about_id, about.what)
        if thing is not None and thing.name.startswith(thing.sort.word):
            what = thing.name
        number = thing.job.number if thing and thing.job else names.job(row.about_id)
        yield _line(said, number, what, "back in use" if row.state == "back" else "withdrawn", row.why)
    for said in reader.said_since(kinds.SAME_THING, start):
        row = said.thing
        pair = " and ".join(
            names.name.get(of, kinds.BY_NUMBER[row.about_kind].what) for of in (row.this_id, row.that_id)
        )
        yield _line(
            said, names.job(row.this_id), pair, "one and the same" if row.state == "same" else "not the same", row.why
        )
    yield from _renamed(reader, start, names)
    for said in reader.said_since(kinds.TOOL_STATE, start):
        row = said.thing
        yield _line(said, names.job(row.tool_of_id), names.name.get(row.tool_of_id, "tool"), row.state, row.why)
    for said in reader.said_since(kinds.INSTRUMENT_STATE, start):
        row = said.thing
        state = row.state.replace("_", " ")
        yield _line(said, None, names.name.get(row.instrument_of_id, "gauge"), f"{state} since {row.since_on}", row.why)
    for said in reader.said_since(kinds.JOB_STATE, start):
        if said.thing.state != "open":  # how every job begins
            job = reader.job(said.thing.job_id)
            yield _line(said, job.number, f"job {job.number}", said.thing.state, said.thing.why)
    for said in reader.said_since(kinds.SHIPMENT, start):
        row = said.thing
        if row.why_open is not None:
            what = f"shipment {row.done_on} to {row.to_whom}"
            yield _line(said, names.job(row.job_of_id), what, "left with points open", row.why_open)
    for said in reader.said_since(kinds.INSTRUMENT_BIAS, start):
        row = said.thing
        gauge = names.name.get(row.instrument_of_id, "gauge")
        yield _line(said, None, f"bias of {gauge}", "another one holds" if row.instead_of_id else "recorded", row.why)


def _renamed(reader: Reader, start: int, names: Names) -> Iterator[Changed]:
    """What a sampling, a casting or a study was called before and from then on, and what else was said of it."""
    now: dict[Id, tuple[Any, ...]] = {}
    for said in reader.said_since(kinds.RENAMED, 0):
        row, kind = said.thing, kinds.BY_NUMBER[said.thing.about_kind]
        entered = reader.as_entered(kind, row.about_id)
        told = _of_name(row)
        before = now.get(row.about_id) or _of_name(entered)
        now[row.about_id] = told
        if said.at_us < start:
            continue
        how = "; ".join(
            (f"{word} " if word else "") + f"{was or 'nothing'} → {is_ or 'nothing'}"
            for word, was, is_ in zip(("", "melt", "poured", "castings"), before, told, strict=True)
            if was != is_ and (not word or kind is kinds.LOT)
        )
        job = names.job(row.about_id, getattr(entered, "job_of_id", None))
        word = "sampling" if kind is kinds.LOT else "study" if kind is kinds.GAUGE_STUDY else ""
        if not word:
            word = "casting" if entered.kind == "casting" else "sand core"
        yield _line(said, job, f"{word} {before[0]}", how, row.why)


def _of_name(row: Any) -> tuple[Any, ...]:
    """What a row calls a thing, with melt, day and number where it says them."""
    name = next(getattr(row, key) for key in ("name", "label", "serial", "title") if hasattr(row, key))
    return name, *(getattr(row, key, None) for key in ("heat", "poured_on", "quantity"))


def _line(said: Said, job: str | None, what: str, how: str, why: str | None) -> Changed:
    return Changed(at_us=said.at_us, tz_min=said.tz_min, by=said.by, job=job, what=what, how=how, why=why)


def _every(reader: Reader, names: Names, start: int) -> Iterator[things.Thing]:
    """The things of the sorts that something was said of, in every job, withdrawn or not."""
    said = {row.thing.about_kind for row in reader.said_since(kinds.WITHDRAWAL, start)}
    for sort in things.SORTS:
        if sort.kind.number in said:
            for job in names.jobs.values() if sort.of_job else [None]:
                yield from things.standing(reader.with_withdrawn(), sort, job)
                yield from things.withdrawn(reader, sort, job)
