"""The readings of one feature on a tool, a casting or all castings, ready for statistics: from the record, or given.

Readings that do not count (voided, corrected) are counted apart and never computed with. Values are what the readings
stand for: at 20 degC, without the known bias of their gauge. Segments start where something was changed on purpose.
"""

from __future__ import annotations

from array import array
from bisect import bisect_left
from collections.abc import Callable, Collection, Mapping, Sequence
from datetime import UTC, datetime
from itertools import pairwise
from math import fsum
from typing import TYPE_CHECKING

from inspect_tui.errors import NotFound
from inspect_tui.frozen import frozen, frozen_by_name, replace
from inspect_tui.metrology.spread.charts import Break
from inspect_tui.metrology.spread.statistics import Summary
from inspect_tui.model.words import Band
from inspect_tui.model.work import Feature, Job
from inspect_tui.record.ask import series, series_uses
from inspect_tui.record.ask.evidence import measured_on
from inspect_tui.record.ask.series import Columns, Which
from inspect_tui.record.ask.series_uses import State, Use
from inspect_tui.shop.common import find, lineage
from inspect_tui.shop.common.corrections import NOTHING, Correction
from inspect_tui.shop.common.evidence import Evidence
from inspect_tui.shop.common.find import Subject
from inspect_tui.shop.common.sizes import FINISHED, RAW, Sizes, is_machined, sizes, unit_of
from inspect_tui.todo import Todo

if TYPE_CHECKING:
    from inspect_tui.record.read import Reader
    from inspect_tui.record.store import Record

ALL_CASTINGS = "castings"
ALL_CORES = "sand cores"
FEWEST = 5  # readings before and after a change of instrument that make it a new segment
BY = ("person", "instrument", "lot", "casting")


@frozen
class Pick:
    """A feature and what it was measured on; `subject` without tool and item stands for all items of `kind`."""

    job: Job
    feature: Feature
    subject: Subject
    kind: str = "casting"
    state: str = RAW  # of castings

    @property
    def where(self) -> str:
        """The subject, and that its castings are machined where they are."""
        return f"{self.subject.label}, {FINISHED}" if self.state == FINISHED else self.subject.label

    @property
    def title(self) -> str:
        """Balloon and name."""
        return f"{self.feature.balloon} {self.feature.name}"


@frozen
class Only:
    """Leave out what is not of this person, instrument, lot or casting; None takes all."""

    person: str | None = None
    instrument: str | None = None
    lot: str | None = None
    casting: str | None = None

    @property
    def words(self) -> str:
        """`only by AB, with caliper 1`; empty when nothing is left out."""
        named = (("by", self.person), ("with", self.instrument), ("lot", self.lot), ("casting", self.casting))
        said = [f"{word} {value}" for word, value in named if value is not None]
        return "only " + ", ".join(said) if said else ""


EVERYTHING = Only()


@frozen_by_name
class Material:
    """Readings that count, in order, and what they are judged by; all in `unit`, mm when they are lengths."""

    title: str
    where: str
    unit: str
    values: array[float]
    band: Band | None = None
    target: float | None = None
    breaks: tuple[Break, ...] = ()
    read: array[float] | None = None  # the values as they were read, where any of them was put right
    kept: Summary | None = None  # the running summary of the record; None when there is none for this choice
    n_out: int = 0  # readings that do not count
    n_missing: int = 0  # cells of a file without a reading
    remarks: tuple[str, ...] = ()
    labels: dict[str, list[str | None]] | None = None  # person, instrument, lot, casting, or columns of a file
    ids: tuple[bytes, ...] = ()  # with labels, from the record: every reading, those that do not count included
    out: frozenset[bytes] = frozenset()  # those of them that do not count
    made: Mapping[bytes, Correction] | None = None  # how readings are put right, by id; None where all stand as read


# ------------------------------------------------------------------------------ what to look at
def subject_of(record: Record, job: Job, name: str) -> tuple[Subject, str]:
    """A subject by name and the kind of its items: `castings` and `sand cores` stand for all of the job."""
    word = " ".join(name.casefold().split())
    if word in (ALL_CASTINGS, "all castings"):
        return Subject(ALL_CASTINGS), "casting"
    if word in (ALL_CORES, "all sand cores"):
        return Subject(ALL_CORES), "core"
    where = f" in job {job.number} (castings means all of them)"
    subject = find.pick(name, find.subjects(record, job), lambda s: s.label, "tool or casting", where)
    return subject, "core" if subject.kind == "core" else "casting"


def pick(record: Record, job: Job, name: str, balloon: str, state: str = RAW) -> Pick:
    """What the command line names: a tool or casting (or `castings`) and a feature of the newest drawing."""
    subject, kind = subject_of(record, job, name)
    revision = find.latest_revision(record, job)
    feature = find.feature(record.features(revision.id), balloon, revision.rev)
    return Pick(job, feature, subject, kind, state)


def of_bench(job: Job, feature: Feature, subject: Subject, state: str = RAW) -> Pick:
    """What a stay at the bench is about: its tool; of a casting or core all of the job, for one has few readings."""
    if subject.kind == "core":
        return Pick(job, feature, Subject(ALL_CORES), "core")
    return Pick(job, feature, subject if subject.tool else Subject(ALL_CASTINGS), "casting", state)


def subjects(record: Record, job: Job) -> list[tuple[Subject, str, str]]:
    """What a feature may be looked at on: (subject, kind of its items, what it is); all castings first."""
    one_by_one = find.subjects(record, job)
    choices = [(Subject(ALL_CASTINGS), "casting", "all castings of the job")]
    if any(s.kind == "core" for s in one_by_one):
        choices.append((Subject(ALL_CORES), "core", "all sand cores of the job"))
    return choices + [(s, "core" if s.kind == "core" else "casting", s.kind) for s in one_by_one]


def features_on(record: Record, chosen: Pick) -> list[Feature]:
    """The features of the newest drawing that the subject of a pick has."""
    features = record.features(find.latest_revision(record, chosen.job).id)
    if chosen.subject.tool is None:
        return [f for f in features if f.scale == "cast" and (chosen.state == RAW or is_machined(f))]
    there = {t.feature_id for t in record.tool_features(chosen.subject.tool.of_id)}
    return [f for f in features if f.id in there]


def same_on(record: Record, job: Job, subject: Subject, kind: str, before: Pick | None) -> Pick:
    """The feature looked at before on another subject, or the first one there where it has not got that."""
    features = record.features(find.latest_revision(record, job).id)
    if not features:
        raise NotFound(f"Job {job.number} has no features yet.", todo=Todo.ADD_FEATURES)
    there = features_on(record, Pick(job, features[0], subject, kind))
    if not there:
        raise NotFound(f"Nothing is measured on {subject.label}: it makes no feature of the newest drawing.")
    same = next((f for f in there if before is not None and f.id == before.feature.id), there[0])
    return Pick(job, same, subject, kind)


def which(reader: Reader, chosen: Pick, revisions: bool = True) -> Which:
    """Which rows of the record a pick means; with `revisions` the same size on older (and newer) drawings too."""
    rows = reader.feature_lineage(chosen.feature.id) if revisions else [chosen.feature.id]
    if len(rows) > 1:
        lines = lineage.of_job(reader, chosen.job)
        size = lines.first(chosen.feature.id, limits=False)
        rows = [row for row in rows if lines.first(row, limits=False) == size]
    tool, item = chosen.subject.tool, chosen.subject.item
    return Which(
        job_of_id=chosen.job.of_id,
        feature_ids=tuple(rows),
        tool_of_id=tool.of_id if tool else None,
        item_id=item.id if item else None,
        kind=chosen.kind,
        state=chosen.state,
    )


def of_another_size(reader: Reader, chosen: Pick, rows: Which) -> tuple[str, ...]:
    """A remark where the feature was read on older drawings that asked for another size."""
    others = set(reader.feature_lineage(chosen.feature.id)) - set(rows.feature_ids)
    if not others or not reader.anything_read(others):
        return ()
    return (f"{_drawing(reader, min(rows.feature_ids))} asks for another size: what was read before is left out",)


def sizes_of(reader: Reader, chosen: Pick) -> Sizes:
    """Target and band of the feature on its subject, by the newest drawing."""
    on_tool = None
    if chosen.subject.tool is not None:
        there = reader.tool_features(chosen.subject.tool.of_id)
        on_tool = next((t for t in there if t.feature_id == chosen.feature.id), None)
        if on_tool is None:
            raise NotFound(
                f"{chosen.feature.balloon} is not measured on {chosen.subject.label}: another tool makes that surface."
            )
    return sizes(chosen.job, chosen.feature, chosen.subject, on_tool, chosen.state)


def material(
    reader: Reader, chosen: Pick, only: Only = EVERYTHING, *, revisions: bool = True, with_labels: bool = False
) -> Material:
    """The readings of a pick from the record.

    Without `only` and `with_labels` the values come straight off the index; else every row is read.
    Segments start at a new revision of the drawing, at a repair, and where another instrument (or one newly adjusted)
    takes over.
    Errors: NotFound where the tool does not make the feature; RecordError.
    """
    rows = which(reader, chosen, revisions)
    size = sizes_of(reader, chosen)
    open_band = size.band.lower is None and size.band.upper is None
    base = Material(
        title=chosen.title,
        where=chosen.where + (f", {only.words}" if only.words else ""),
        unit=unit_of(chosen.feature),
        values=array("d"),
        band=None if open_band else size.band,
        target=size.target,
        remarks=of_another_size(reader, chosen, rows) if revisions else (),
    )
    evidence = Evidence(reader)
    made = evidence.corrections(rows.feature_ids)
    said = measured_on(reader, rows.feature_ids)
    all_of_them = chosen.subject.tool is None and chosen.subject.item is None
    reworked = evidence.reworked(chosen.job) if all_of_them else frozenset[bytes]()
    uses = None if made or said or reworked or only.words or with_labels else series_uses.uses(reader, rows)
    if uses is None:
        return _with_labels(reader, chosen, rows, only, base, made, said, reworked)
    kept, changed = series.values(reader, rows), _changes(reader, chosen.job)
    on_purpose = [
        Break(at, _drawing(reader, feature))
        for (before, _), (feature, at) in pairwise(kept.revisions)
        if changed(before, feature)
    ]
    on_purpose += [Break(series.index_of(reader, rows, first), why) for first, why in _repairs(reader, chosen, rows)]
    gauges = [Break(series.index_of(reader, rows, use.first_id), _took_over(use.state)) for use in taking_over(uses)]
    return replace(
        base,
        values=kept.value,
        breaks=segments(on_purpose, gauges, len(kept.value)),
        n_out=kept.n_out,
        kept=_kept(reader, rows),
    )


def _with_labels(
    reader: Reader,
    chosen: Pick,
    rows: Which,
    only: Only,
    base: Material,
    made: Mapping[bytes, Correction],
    said: Mapping[bytes, str],
    reworked: Collection[bytes] = (),
) -> Material:
    """The same from every row, with who, with what and on which casting beside the values.

    `said`: readings of another day than they were logged on, which stand among those of their day (ISO date).
    `reworked`: readings of castings that were reworked; no tool made what they say, and they are left out.
    """
    every = _by_day(series.columns(reader, rows), said)
    left_out = 0
    if reworked:
        kept_at = [i for i, id_ in enumerate(every.id) if id_ not in reworked]
        left_out = len(every.id) - len(kept_at)
        every = every.at(kept_at)
    states = series_uses.states(reader, rows.job_of_id)
    called = [
        _took_over(state) if (state := states.get(setup)) else name
        for setup, name in zip(every.setup_id, every.instrument, strict=True)
    ]
    wanted = [
        only.person in (None, person)
        and only.instrument in (None, instrument, words)
        and only.lot in (None, lot)
        and only.casting in (None, item)
        for person, instrument, words, lot, item in zip(
            every.person, every.instrument, called, every.lot, every.item, strict=True
        )
    ]
    counted = [here and not out for here, out in zip(wanted, every.out, strict=True)]
    kept, with_what = every.take(counted), [words for words, take in zip(called, counted, strict=True) if take]
    changed = _changes(reader, chosen.job)
    on_purpose = [
        Break(i, _drawing(reader, kept.feature_id[i]))
        for i in changeovers(kept.feature_id)
        if changed(kept.feature_id[i - 1], kept.feature_id[i])
    ]
    on_purpose += [
        Break(bisect_left(kept.at_us, series.at_us(first)), why) for first, why in _repairs(reader, chosen, rows)
    ]
    gauges = [Break(i, with_what[i]) for i in changeovers(with_what)]
    values = array("d", (made.get(id_, NOTHING).of(value) for id_, value in zip(kept.id, kept.value, strict=True)))
    put_right = values != kept.value
    return replace(
        base,
        values=values,
        read=kept.value if put_right else None,
        breaks=segments(on_purpose, gauges, len(kept)),
        n_out=sum(here and out for here, out in zip(wanted, every.out, strict=True)),
        kept=None if only.words else _summary(values) if put_right or left_out else _kept(reader, rows),
        labels={
            "person": list(kept.person),
            "instrument": list(with_what),
            "lot": kept.lot,
            "casting": kept.item,
        },
        ids=tuple(id_ for id_, here in zip(every.id, wanted, strict=True) if here),
        out=frozenset(id_ for id_, out in zip(every.id, every.out, strict=True) if out),
        made=made or None,
        remarks=(*base.remarks, *_left_out(left_out)),
    )


def _left_out(readings: int) -> list[str]:
    """That readings of reworked castings are left out."""
    if not readings:
        return []
    of = "reading of a reworked casting is" if readings == 1 else "readings of reworked castings are"
    return [f"{readings} {of} left out: no tool made what was read there"]


def _by_day(every: Columns, said: Mapping[bytes, str]) -> Columns:
    """The columns in the order of the days measured; who said the day gave no time, and stands at its noon (UTC)."""
    if not any(id_ in said for id_ in every.id):
        return every
    moment = [_noon_us(said[id_]) if id_ in said else at for id_, at in zip(every.id, every.at_us, strict=True)]
    order = sorted(range(len(moment)), key=lambda i: (moment[i], every.id[i]))
    return replace(every.at(order), at_us=array("q", [moment[i] for i in order]))


def _noon_us(day: str) -> int:
    return int(datetime.fromisoformat(day).replace(hour=12, tzinfo=UTC).timestamp()) * 1_000_000


def _kept(reader: Reader, rows: Which) -> Summary | None:
    cached = series.kept(reader, rows)
    return None if cached is None else Summary(cached.n, cached.mean, cached.m2, cached.min, cached.max)


def _summary(values: array[float]) -> Summary | None:
    """The summary of values that were put right; the kept one knows them as they were read."""
    if not values:
        return None
    mean = fsum(values) / len(values)
    return Summary(len(values), mean, fsum((value - mean) ** 2 for value in values), min(values), max(values))


# ------------------------------------------------------------------------------ where segments start
def changeovers(keys: Sequence[object]) -> list[int]:
    """Where one thing ends for good and another begins: nothing from before the place comes again after it.

    Two instruments used in turn are no changeover.
    """
    last = {key: i for i, key in enumerate(keys)}
    breaks, reach = [], -1
    for i, key in enumerate(keys):
        if i and reach < i:
            breaks.append(i)
        reach = max(reach, last[key])
    return breaks


def taking_over(uses: Sequence[Use]) -> list[Use]:
    """The same from the first and last readings of each use, given in the order of the first ones."""
    breaks, reach = [], b""
    for use in uses:
        if reach and use.first_id > reach:
            breaks.append(use)
        reach = max(reach, use.last_id)
    return breaks


def _took_over(state: State) -> str:
    """An instrument that was adjusted goes by the date: before and after are not to be mixed."""
    return f"{state.label}, adjusted {state.adjusted_on}" if state.adjusted_on else state.label


def _repairs(reader: Reader, chosen: Pick, rows: Which) -> list[tuple[bytes, str]]:
    """Repairs that can have changed this size: from which id on (the start of their day, UTC), and what was done.

    On a tool its own; on castings those of every tool of the job that makes the feature.
    """
    breaks = []
    tools = {t.of_id: t for t in reader.tools(chosen.job.of_id)}
    for repair in reader.tool_repairs(rows.tool_of_id):
        tool = tools.get(repair.tool_of_id)
        if tool is None or repair.feature_id not in (None, *rows.feature_ids):
            continue
        if repair.feature_id is None and rows.tool_of_id is None:
            made = {t.feature_id for t in reader.tool_features(tool.of_id, old=True)}
            if made.isdisjoint(rows.feature_ids):
                continue
        day = datetime.fromisoformat(repair.done_on).replace(tzinfo=UTC)
        first = (int(day.timestamp() * 1000) << 80).to_bytes(16, "big")
        breaks.append((first, f"{tool.label} {repair.action.replace('_', ' ')} {repair.done_on}"))
    return breaks


def _changes(reader: Reader, job: Job) -> Callable[[bytes, bytes], bool]:
    """Whether a later row of a feature asks for another size: the same size on a new drawing starts no segment."""
    lines: list[lineage.Lines] = []  # read where a feature has several rows

    def changed(before: bytes, after: bytes) -> bool:
        if not lines:
            lines.append(lineage.of_job(reader, job))
        return before not in lines[0].line(after)

    return changed


def _drawing(reader: Reader, feature_id: bytes) -> str:
    return f"drawing {reader.revision(reader.feature(feature_id).revision_id).rev}"


def segments(on_purpose: Sequence[Break], gauges: Sequence[Break], n: int) -> tuple[Break, ...]:
    """Breaks in order. A few readings with another instrument make no segment of their own: no limits could be drawn
    for them, and a wild one among them would go unseen. A new drawing and a repair always do.
    """
    kept = [b for b in on_purpose if 0 < b.index < n]
    for b in gauges:
        edges = [0, n, *(other.index for other in (*kept, *gauges) if other.index != b.index)]
        before = b.index - max(edge for edge in edges if edge < b.index) if b.index else 0
        after = min((edge for edge in edges if edge > b.index), default=n) - b.index
        if before >= FEWEST and after >= FEWEST:
            kept.append(b)
    return tuple(sorted(kept, key=lambda b: b.index))
