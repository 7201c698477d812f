"""Every reading of the record as one tidy row: as read, corrected, its uncertainty and verdict, and what it belongs to.

What is put right and what a reading is judged by come from where Bench, First article and Trends have them from.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime, timedelta
from functools import lru_cache
from itertools import chain
from typing import TYPE_CHECKING, Any, cast

from inspect_tui.errors import NotFound
from inspect_tui.frozen import frozen
from inspect_tui.metrology.typed.show import day_of, moment
from inspect_tui.model.changes import Withdrawal
from inspect_tui.model.first_article import Realigned
from inspect_tui.model.words import Id
from inspect_tui.model.work import DrawingRevision, Feature, Item, Tool, ToolFeature
from inspect_tui.record.ask.trends import ItemOf
from inspect_tui.record.chain.ids import uuid_text
from inspect_tui.shop.bench.worklist import on_sand_core
from inspect_tui.shop.common import judging
from inspect_tui.shop.common.corrections import Corrected
from inspect_tui.shop.common.evidence import Evidence
from inspect_tui.shop.common.find import Subject
from inspect_tui.shop.common.gauges_then import GaugesThen
from inspect_tui.shop.common.sizes import RAW, Sizes, is_machined, sizes, unit_of
from inspect_tui.shop.common.standing import Standing
from inspect_tui.shop.first_article.castings.rounds import NO_LOT, Round
from inspect_tui.shop.first_article.castings.sampling import Sampling
from inspect_tui.shop.jobs.export_columns import NAMES
from inspect_tui.shop.trends.job_view import JobView

if TYPE_CHECKING:
    from inspect_tui.record.ask.readings import LoggedReading
    from inspect_tui.record.read import Reader

MOST_KEPT = 5000  # castings, setups and the like that are held at a time
DAY_US = 86_400_000_000
FIRST_DAY = 719_163  # the ordinal of 1970-01-01
EPOCH = datetime(1970, 1, 1)


def rows(reader: Reader) -> Iterator[tuple[Any, ...]]:
    """Every reading in the order it was logged, as `export_columns` lists it; nothing is held but what many rows share.

    Lengths mm, angles degrees. Read within `reader.one_state()` so that all rows tell of one state of the record.
    """
    table = _Rows(reader)
    for line in lines(chain.from_iterable(reader.every_reading())):
        yield from table.rows_of(line)


def notes(reader: Reader) -> Iterator[tuple[Any, ...]]:
    """Every note: its id, what it is about (in words), the reading's id where it is one, time UTC, initials, text."""
    for note in reader.every_note():
        reading = uuid_text(note.about_id) if note.about == "reading" else None
        yield uuid_text(note.id), note.about, reading, _utc(note.at_us), note.by, note.text


def lines(readings: Iterable[LoggedReading]) -> Iterator[list[LoggedReading]]:
    """What was typed in one go together: repeats 1, 2, 3 ... of one feature on one piece in one setup."""
    line: list[LoggedReading] = []
    for logged in readings:
        if line and not _goes_on(line[-1], logged):
            yield line
            line = []
        line.append(logged)
    if line:
        yield line


def _goes_on(before: LoggedReading, after: LoggedReading) -> bool:
    a, b = before.reading, after.reading
    same = (a.setup_id, a.feature_id, a.tool_id, a.item_id) == (b.setup_id, b.feature_id, b.tool_id, b.item_id)
    return same and b.rep == a.rep + 1


class _Job:
    """What the rows of one job share."""

    def __init__(self, reader: Reader, view: JobView) -> None:
        self.view, self.job = view, view.job
        self.core_number = {core.of_id: core.number for core in reader.cores(self.job.of_id)}
        self.in_question = dict(_doubts(reader, view))
        self.sent = sorted((s.done_on, s.to_whom) for s, _ in reader.shipments(self.job.of_id) if s.way == "out")

    def foundry_at(self, day: str) -> str | None:
        """Where the kit was sent last before a day (ISO)."""
        return next((to for sent, to in reversed(self.sent) if sent <= day), None)

    def number_of(self, core_id: Id | None) -> int | None:
        return self.core_number.get(self.view.core_of(core_id) or b"")


def _doubts(reader: Reader, view: JobView) -> Iterator[tuple[Id, str]]:
    """The readings on castings that are in question, each with the sentence; lot by lot, as First article sees them."""
    sampling: Sampling | None = None  # what all lots share is read once
    for lot in [*view.lots.values(), None]:
        castings = tuple(reader.castings(view.job.of_id, lot.id if lot else None))
        if not castings:
            continue
        try:
            sampling = Sampling(reader, view.job, Round(lot.label if lot else NO_LOT, lot, castings), beside=sampling)
        except NotFound:  # no drawing yet: nothing can have been read
            continue
        for item in castings:
            for feature, state in sampling.requirements:
                taken = sampling.taken(feature, item, state)
                doubt = sampling.doubted(feature, item, state) if taken else None
                if doubt is not None:
                    about = [doubt.reading] if doubt.reading is not None else taken
                    yield from ((reading.id, doubt.sentence) for reading in about)


@frozen
class _Place:
    """What a line was measured on: the subject, the sizes it is judged by, and what its row says of it."""

    job: _Job
    subject: Subject
    sizes: Sizes
    turns: Sequence[Realigned]
    said: dict[str, Any]


class _Rows:
    """Makes rows of lines; what rows share is looked up once, and what is not asked for again soon is forgotten."""

    def __init__(self, reader: Reader) -> None:
        self.gone, self.gauges = reader.withdrawals(), GaugesThen(reader)
        self.reader = reader = reader.with_withdrawn()
        self.evidence = Evidence(reader, self.gauges)
        self._jobs: dict[Id, _Job] = {}
        self._revisions: dict[Id, DrawingRevision] = {}
        self._sizes: dict[tuple[Id | str | None, ...], Sizes] = {}
        self.feature = lru_cache(MOST_KEPT)(reader.feature)
        self.tool_feature = lru_cache(MOST_KEPT)(reader.tool_feature)
        self.item = lru_cache(MOST_KEPT)(reader.item)
        self.turns = lru_cache(MOST_KEPT)(lambda item_id: tuple(reader.realigned([item_id]).get(item_id, ())))

    # ---------------------------------------------------------------- what lines share
    def job(self, job_of_id: Id) -> _Job:
        if job_of_id not in self._jobs:
            self._jobs[job_of_id] = _Job(self.reader, JobView(self.reader, self.reader.job(job_of_id)))
        return self._jobs[job_of_id]

    def revision(self, feature: Feature) -> DrawingRevision:
        if feature.revision_id not in self._revisions:
            self._revisions[feature.revision_id] = self.reader.revision(feature.revision_id)
        return self._revisions[feature.revision_id]

    def place(self, logged: LoggedReading) -> _Place:
        reading = logged.reading
        feature = self.feature(reading.feature_id)
        job = self.job(self.revision(feature).job_of_id)
        feature = self.feature(job.view.kit.lines.put_right(feature.id))
        if reading.tool_id is not None:
            tool = job.view.kit.tool[job.view.kit.tool_of[reading.tool_id]]
            subject = Subject(tool.label, tool=tool)
            on_tool = self._sizes_of(job, feature, subject, reading.tool_feature_id)
            return _Place(job, subject, on_tool, (), self._on_tool(job, tool, logged.at_us))
        item = self.item(cast("Id", reading.item_id))
        subject = Subject(f"{item.kind} {item.serial}", item=item)
        state = logged.setup.state if item.kind == "casting" and is_machined(feature) else RAW
        on_item = self._on_item(job, item, logged.at_us)
        on_item["casting_state"] = state if item.kind == "casting" else None
        sizes_of = self._sizes_of(job, feature, subject, state=state)
        return _Place(job, subject, sizes_of, self.turns(item.id), on_item)

    def _sizes_of(
        self, job: _Job, feature: Feature, subject: Subject, tool_feature_id: Id | None = None, state: str = RAW
    ) -> Sizes:
        item = subject.item
        sand = item if item is not None and item.kind == "core" else None
        key = (feature.id, tool_feature_id, job.view.core_of(sand.core_id) if sand else None, state)
        if key not in self._sizes:
            on_tool: ToolFeature | None = self.tool_feature(tool_feature_id) if tool_feature_id else None
            if on_tool is not None and on_tool.feature_id != feature.id:  # its typing errors were put right since
                tool = job.view.kit.tool_of[on_tool.tool_id]
                on_tool = job.view.kit.lines.versions(self.reader.tool_features(tool, old=True))[on_tool.id]
            if sand is not None:
                drawn = job.view.kit.feature.get(job.view.kit.root.get(feature.id, b""))
                now = drawn if drawn and feature.id in job.view.kit.lines.line(drawn.id) else feature
                sand_sizes = on_sand_core(self.reader, job.job, sand, {now.id: now})
                on_tool = sand_sizes[0][1] if sand_sizes else None
            self._sizes[key] = sizes(job.job, feature, subject, on_tool, state)
        return self._sizes[key]

    # ---------------------------------------------------------------- what was taken out as a whole
    def gone_of(self, place: _Place) -> Withdrawal | None:
        """That what a line was measured on is withdrawn: the tool or casting, its sampling, its job."""
        subject = place.subject
        lot = subject.item.lot_id if subject.item else None
        said = (self.gone.get(of) for of in (subject.key, lot or b"", place.job.job.of_id))
        return next((gone for gone in said if gone is not None and gone.state == "withdrawn"), None)

    def _withdrawn(self, logged: LoggedReading, gone: Withdrawal) -> dict[str, Any]:
        at_us, _, by = self.reader.entered_by([gone.id])[gone.id]
        return _standing(logged, None) | {
            "counts": False,
            "state": "withdrawn",
            "struck_reason": "withdrawn",
            "struck_why": gone.why,
            "struck_by": by,
            "struck_at_utc": _utc(at_us),
        }

    # ---------------------------------------------------------------- what it was measured on
    def _on_tool(self, job: _Job, tool: Tool, at_us: int) -> dict[str, Any]:
        counter = job.view.counter(tool)
        return {
            "measured_on": "tool",
            "tool": tool.label,
            "tool_kind": tool.kind,
            "tool_material": tool.material,
            "serial": None,
            "casting_state": None,
            "core": job.number_of(tool.core_id),
            "cavity": None,
            "lot": None,
            "heat": None,
            "poured_on": None,
            **_count(counter.at(_ordinal(at_us)), f"{counter.word} of {tool.label}"),
        }

    def _on_item(self, job: _Job, item: Item, at_us: int) -> dict[str, Any]:
        view = job.view
        lot = view.lots.get(item.lot_id) if item.lot_id else None
        box = view.box_of_item(_for_trends(item)) if item.kind == "core" else None
        counter = view.counter(box) if box else view.castings_made
        what = f"{counter.word} of {box.label}" if box else "castings"
        made = None
        if box is not None or item.kind == "casting":
            day = view.lot_day.get(lot.id, _ordinal(at_us)) if lot else _ordinal(at_us)
            made = counter.lots.get(lot.id, counter.at(day)) if lot else counter.at(day)
        return {
            "measured_on": "sand core" if item.kind == "core" else "casting",
            "tool": None,
            "tool_kind": None,
            "tool_material": None,
            "serial": item.serial,
            "core": job.number_of(item.core_id),
            "cavity": item.cavity,
            "lot": lot.label if lot else None,
            "heat": lot.heat if lot else None,
            "poured_on": lot.poured_on if lot else None,
            **_count(made, what),
        }

    # ---------------------------------------------------------------- rows
    def rows_of(self, line: list[LoggedReading]) -> Iterator[tuple[Any, ...]]:
        """The rows of one line."""
        first = line[0]
        place = self.place(first)
        feature, job = place.sizes.feature, place.job.job
        revision = self.revision(feature)
        setup = first.setup
        means = self.gauges.fed(setup, day_of(first.at_us, first.tz_min), feature)

        def judged(part: Sequence[LoggedReading]) -> tuple[judging.Judged, Corrected]:
            return self.evidence.judged(job, place.subject, place.sizes, part, place.turns)

        each = [judged([logged]) for logged in line]
        gone = self.gone_of(place)
        counted = [logged for logged in line if not logged.out and gone is None]
        whole = (each if len(line) == 1 else [judged(counted)])[0][0] if counted else None
        asked = [place.job.in_question.get(logged.reading.id) for logged in line]
        if whole is not None and whole.question:  # repeats that disagree: all of them, whichever is the wrong one
            asked = [why or (None if logged.out else whole.question) for logged, why in zip(line, asked, strict=True)]
        doubted = any(why for logged, why in zip(line, asked, strict=True) if not logged.out)
        band = place.sizes.band
        limits = band.lower is not None or band.upper is not None
        verdict = None
        if whole is not None:
            verdict = (Standing.IN_QUESTION if doubted else whole.standing).value
        shared = {
            "line": uuid_text(first.reading.id),
            "job": job.number,
            "job_name": job.name,
            "alloy": job.alloy,
            "foundry": place.job.foundry_at(day_of(first.at_us, first.tz_min)),
            "drawing": revision.number,
            "revision": revision.rev,
            "feature": feature.balloon,
            "feature_name": feature.name,
            "quantity": feature.quantity,
            "axis": feature.axis,
            "unit": unit_of(feature),
            **place.said,
            "clock_doubt": setup.clock_doubt,
            "person": first.by,
            "gauge": first.instrument,
            "gauge_kind": means.instrument.kind,
            "certificate": means.calibration.reference if means.calibration else None,
            "known_bias": means.bias.bias_mm if means.bias else None,
            "work_c": setup.work_c,
            "gauge_c": setup.instrument_c,
            "moisture": setup.moisture,
            "nominal": feature.nominal,
            "target": place.sizes.target,
            "lower": band.lower,
            "upper": band.upper,
            "line_n": len(counted),
            "line_mean": whole.value if whole else None,
            "line_u": whole.budget.u if whole else None,
            "line_u95": whole.budget.U if whole else None,
            "p_conform": whole.verdict.p_conform if whole and limits and not doubted else None,
        }
        for logged, (alone, made), why in zip(line, each, asked, strict=True):
            since = logged.reading.id in self.evidence.reworked(job)
            row = {
                **shared,
                "id": uuid_text(logged.reading.id),
                "repeat": logged.reading.rep,
                "day": day_of(logged.at_us, logged.tz_min),
                "at": moment(logged.at_us, logged.tz_min),
                "at_utc": _utc(logged.at_us),
                "typed": logged.reading.typed,
                "typed_unit": logged.reading.typed_unit,
                "as_read": logged.reading.value,
                "corrected": alone.value,
                "correction": "; ".join(made.said) or None,
                "u": alone.budget.u,
                "deviation": alone.value - place.sizes.target,
                "verdict": None if logged.out else verdict,
                "asked": logged.reading.slip,
                "note": "\n".join(note.text for note in logged.notes) or None,
                **(_standing(logged, why, since) if gone is None or logged.out else self._withdrawn(logged, gone)),
            }
            yield tuple(row[name] for name in NAMES)


def _standing(logged: LoggedReading, doubt: str | None, reworked: bool = False) -> dict[str, Any]:
    """Whether a reading counts; if not, who struck it and why."""
    answer = logged.supersede
    state = "in question" if doubt else "reworked" if reworked else "counts"
    if logged.out:
        state = "struck" if answer is not None and not logged.contested else "contested"
    return {
        "counts": not logged.out,
        "state": state,
        "in_question": None if logged.out else doubt,
        "struck_reason": answer.reason if answer else None,
        "struck_why": answer.why if answer else None,
        "struck_by": logged.superseded_by,
        "struck_at_utc": None if logged.superseded_at_us is None else _utc(logged.superseded_at_us),
        "replaced_by": uuid_text(answer.replacement_id) if answer and answer.replacement_id else None,
        "replaces": uuid_text(logged.replaces_id) if logged.replaces_id else None,
    }


def _for_trends(item: Item) -> ItemOf:
    return ItemOf(kind=item.kind, serial=item.serial, lot_id=item.lot_id, core_id=item.core_id, cavity=item.cavity)


def _count(made: float | None, what: str) -> dict[str, Any]:
    return {"count": made, "count_of": None if made is None else what}


def _ordinal(at_us: int) -> int:
    """The day in UTC, as Trends counts it."""
    return at_us // DAY_US + FIRST_DAY


def _utc(at_us: int) -> str:
    return (EPOCH + timedelta(microseconds=at_us)).isoformat(timespec="microseconds") + "Z"
