"""A bias that came to light, traced back over every reading since the last good check, with the verdicts it changes.

Readings stay as they are: the bias is recorded as a fact of its own once a person has confirmed it.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from itertools import groupby

from inspect_tui.errors import DataError, InspectError
from inspect_tui.frozen import frozen_by_name, replace
from inspect_tui.metrology.judge.uncertainty import BudgetLine
from inspect_tui.metrology.judge.verdict import Answer
from inspect_tui.metrology.typed import show
from inspect_tui.metrology.typed.show import MM, Style, day_of
from inspect_tui.model.gauges import InstrumentBias
from inspect_tui.model.measuring import Instrument, Person
from inspect_tui.model.work import Job, ToolFeature
from inspect_tui.record.ask.readings import LoggedReading
from inspect_tui.record.read import Reader
from inspect_tui.record.store import Record
from inspect_tui.shop.common import judging
from inspect_tui.shop.common.find import Subject
from inspect_tui.shop.common.sizes import Sizes, sizes
from inspect_tui.shop.gauges.findings import BiasFinding, same_as
from inspect_tui.shop.gauges.instruments import amount


@frozen_by_name
class Change:
    """A line of readings whose verdict the bias changes; `value` as judged then, `corrected` with the bias off."""

    readings: tuple[LoggedReading, ...]
    sizes: Sizes
    on: str
    value: float
    corrected: float
    before: Answer
    after: Answer


@frozen_by_name
class Trace:
    """What a bias does to the readings of its days. `worse` counts verdicts that no longer say *conforms*."""

    instrument: Instrument
    finding: BiasFinding
    readings: int
    lines: int
    subjects: int
    changes: tuple[Change, ...]
    sentence: str

    @property
    def worse(self) -> int:
        """How many said *conforms* and no longer do."""
        return sum(change.before == Answer.CONFORMS for change in self.changes)


# ------------------------------------------------------------------------------ over the readings
def trace(
    record: Reader, instrument: Instrument, finding: BiasFinding, today: str | None = None, style: Style = MM
) -> Trace:
    """Judge every line of readings of those days again with the bias taken off; nothing is written.

    Each line is judged by the certificate of its setup, its own drawing revision and the job's rule; repeats of one
    line as their mean. The uncertainty of the bias joins the budget.
    """
    if not abs(finding.bias) < 1e5 or finding.bias == 0:
        raise DataError("A bias of 0 changes nothing: say by how much it reads high (+) or low (-), such as +0.05.")
    if finding.to_on is not None and finding.to_on < finding.from_on:
        raise DataError(f"It cannot end ({finding.to_on}) before it began ({finding.from_on}).")
    judge = _Again(record, instrument, finding, today or date.today().isoformat())
    logged = record.readings_with(instrument.of_id, finding.from_on, finding.to_on)
    judge.load(logged)
    changes = []
    count, subjects = 0, set()
    for line in _lines(logged):
        count += 1
        subjects.add(line[0].reading.item_id or judge.tool_of[line[0].reading.tool_id or b""].of_id)
        change = judge.change(line)
        if change is not None:
            changes.append(change)
    made = Trace(
        instrument=instrument,
        finding=finding,
        readings=len(logged),
        lines=count,
        subjects=len(subjects),
        changes=tuple(changes),
        sentence="",
    )
    said = [_sentence(made, style), _before_it_was(record, instrument, finding, logged)]
    return replace(made, sentence=" ".join(sentence for sentence in said if sentence))


def _before_it_was(
    record: Reader, instrument: Instrument, finding: BiasFinding, logged: Sequence[LoggedReading]
) -> str | None:
    """A question where a bias is said to have begun before there was a trace of the instrument."""
    days = [certificate.done_on for certificate in record.calibrations(instrument.of_id)]
    days += [day_of(*record.entry_times([instrument.of_id])[instrument.of_id])]
    days += [day_of(first.at_us, first.tz_min) for first in logged[:1]]
    if not "0001-01-01" < finding.from_on < min(days):
        return None
    return f"Nothing is known of {instrument.label} before {min(days)}: is {finding.from_on} right?"


def _sentence(t: Trace, style: Style) -> str:
    f = t.finding
    days = f"from {f.from_on}" if f.from_on > "0001-01-01" else "from the beginning"
    days += f" to {f.to_on}" if f.to_on else " until today"
    if not t.readings:
        return f"No reading was taken with {t.instrument.label} {days}: nothing has to be looked at."
    way = "high" if f.bias > 0 else "low"
    say = (
        f"{t.instrument.label} read {amount(t.instrument, abs(f.bias), style)} {way} {days}: "
        f"{show.count(t.readings, 'reading')} on {show.count(t.subjects, 'tool or casting', 'tools and castings')}. "
    )
    if not t.changes:
        return say + "No verdict changes."
    many = len(t.changes) > 1
    worse = f"{t.worse} of them no longer say conforms" if many else "it no longer says conforms"
    fine = "none of them said conforms" if many else "it did not say conforms"
    verdicts = f"{len(t.changes)} verdicts change" if many else "1 verdict changes"
    return say + f"{verdicts}; {worse if t.worse else fine}."


def _lines(readings: Sequence[LoggedReading]) -> list[list[LoggedReading]]:
    """Readings as they were judged together: the repeats that were typed in one line."""
    lines: list[list[LoggedReading]] = []
    for logged in readings:
        r = logged.reading
        same = (
            lines
            and r.rep > 1
            and (r.setup_id, r.feature_id, r.item_id, r.tool_id)
            == ((p := lines[-1][-1].reading).setup_id, p.feature_id, p.item_id, p.tool_id)
        )
        if same and r.rep == lines[-1][-1].reading.rep + 1:
            lines[-1].append(logged)
        else:
            lines.append([logged])
    return lines


class _Again:
    """Judges lines of readings as they were judged, and with a bias taken off."""

    def __init__(self, record: Reader, instrument: Instrument, finding: BiasFinding, today: str) -> None:
        self.record, self.instrument, self.finding, self.today = record, instrument, finding, today
        self.calibrations = {c.id: c for c in record.calibrations(instrument.of_id)}
        how = f"{MM.significant(finding.bias, unit=False, signed=True)} from {finding.found_from}"
        self.correction = BudgetLine(name="correction of the bias", u=finding.u, how=how)
        self.of: dict[bytes, Subject] = {}
        self.jobs: dict[bytes, Job] = {}
        self.sizes: dict[tuple[bytes, bytes | None, bytes | None], Sizes] = {}

    def load(self, readings: Sequence[LoggedReading]) -> None:
        """Everything that the readings name, in a few questions."""
        self.features = self.record.features_by_id({logged.reading.feature_id for logged in readings})
        self.items = self.record.items_by_id({logged.reading.item_id for logged in readings if logged.reading.item_id})
        tool_ids = {logged.reading.tool_id for logged in readings if logged.reading.tool_id}
        self.tool_of = {id_: self.record.tool(id_) for id_ in tool_ids}
        target_ids = {logged.reading.tool_feature_id for logged in readings if logged.reading.tool_feature_id}
        self.targets: dict[bytes, ToolFeature] = {id_: self.record.tool_feature(id_) for id_ in target_ids}

    def change(self, line: Sequence[LoggedReading]) -> Change | None:
        """The line with both verdicts when they differ."""
        first = line[0].reading
        subject, job = self._subject(line[0])
        size = self._sizes(line[0], subject, job)
        if (size.band.lower is None and size.band.upper is None) or size.feature.quantity in (
            "attribute",
            "temperature",
        ):
            return None
        calibration = self.calibrations.get(line[0].setup.calibration_id or b"")
        means = judging.Means(instrument=self.instrument, calibration=calibration)
        values = [r.reading.value for r in line]
        warm, gauge = line[0].setup.work_c, line[0].setup.instrument_c
        before = judging.judge(job, subject, size, values, means, work_c=warm, instrument_c=gauge)
        better = replace(means, lines=(self.correction,))
        less = [v - self.finding.bias for v in values]
        after = judging.judge(job, subject, size, less, better, work_c=warm, instrument_c=gauge)
        old, new = before.verdict.answer, after.verdict.answer
        if old == new:
            return None
        assert first.id
        return Change(
            readings=tuple(line),
            sizes=size,
            on=subject.label,
            value=before.value,
            corrected=after.value,
            before=old,
            after=new,
        )

    def _subject(self, logged: LoggedReading) -> tuple[Subject, Job]:
        r = logged.reading
        key = r.item_id or r.tool_id or b""
        if key not in self.of:
            if r.item_id:
                item = self.items[r.item_id]
                self.of[key] = Subject(f"{item.kind} {item.serial}", item=item)
            else:
                self.of[key] = Subject(self.tool_of[key].label, tool=self.tool_of[key])
        subject = self.of[key]
        of_job = subject.item.job_of_id if subject.item else (subject.tool.job_of_id if subject.tool else b"")
        if of_job not in self.jobs:
            self.jobs[of_job] = self.record.job(of_job)
        return subject, self.jobs[of_job]

    def _sizes(self, logged: LoggedReading, subject: Subject, job: Job) -> Sizes:
        r = logged.reading
        key = (r.feature_id, r.tool_feature_id, subject.key if subject.tool else None)
        if key not in self.sizes:
            target = self.targets[r.tool_feature_id] if r.tool_feature_id else None
            self.sizes[key] = sizes(job, self.features[r.feature_id], subject, target)
        return self.sizes[key]


# ------------------------------------------------------------------------------ confirming
def confirm(
    record: Record, person: Person, instrument: Instrument, finding: BiasFinding, style: Style = MM
) -> InstrumentBias:
    """Record the bias as a fact; the readings stay as they are."""
    if any(same_as(finding, known) for known in record.biases(instrument.of_id)):
        off = style.significant(finding.bias, unit=False, signed=True)
        raise InspectError(f"A bias of {off} of {instrument.label} is on record for those days already.")
    bias: InstrumentBias = record.add(
        InstrumentBias(
            instrument_of_id=instrument.of_id,
            from_on=finding.from_on,
            to_on=finding.to_on,
            bias_mm=finding.bias,
            u_mm=finding.u,
            why=finding.why[:400],
            found_from=finding.found_from[:120],
        ),
        by=person.id,
    )
    return bias


def by_subject(t: Trace) -> list[tuple[str, list[Change]]]:
    """The changes in the order of what was measured, grouped."""
    ordered = sorted(t.changes, key=lambda change: (change.on, change.sizes.feature.ord))
    return [(on, list(rows)) for on, rows in groupby(ordered, key=lambda change: change.on)]
