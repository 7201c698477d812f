"""A bias that came to light, traced back over every reading since the last good check, with the verdicts it changes.

Readings stay as they are: the bias is recorded as a fact of its own once a person has confirmed it.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, date, datetime, timedelta
from itertools import groupby
from math import sqrt

from inspect_tui.errors import DataError, InspectError
from inspect_tui.frozen import frozen, replace
from inspect_tui.metrology.uncertainty import Line
from inspect_tui.model import Calibration, Instrument, InstrumentBias, Job, Person, ToolFeature
from inspect_tui.record import Reader, Record
from inspect_tui.record.gauges import LoggedCheck
from inspect_tui.record.readings import LoggedReading
from inspect_tui.shop import gauge_checks, judging
from inspect_tui.shop.find import Subject
from inspect_tui.shop.sizes import Sizes, sizes

FEWEST_FOR_STEPS = 6  # checks on one piece; with fewer nothing can be said about when a bias began


@frozen
class Finding:
    """A bias that the checks or a certificate show, and the days it may have held. mm; `u` standard uncertainty."""

    bias: float
    u: float
    from_on: str
    to_on: str | None  # None: it still holds
    why: str
    found_from: str


@frozen
class Change:
    """A line of readings whose verdict the bias changes; `value` as judged then, `corrected` with the bias off."""

    readings: tuple[LoggedReading, ...]
    sizes: Sizes
    on: str
    value: float
    corrected: float
    before: str
    after: str


@frozen
class Trace:
    """What a bias does to the readings of its days. `worse` counts verdicts that no longer say *conforms*."""

    instrument: Instrument
    finding: Finding
    readings: int
    lines: int
    subjects: int
    changes: tuple[Change, ...]
    sentence: str

    @property
    def worse(self) -> int:
        """How many said *conforms* and no longer do."""
        return sum(change.before == "conforms" for change in self.changes)


# ------------------------------------------------------------------------------ what came to light
def findings(record: Reader, instrument: Instrument, today: str | None = None) -> list[Finding]:
    """Biases that checks and certificates show, the newest first; those already recorded are left out."""
    today = today or date.today().isoformat()
    calibrations = [c for c in record.calibrations(instrument.of_id) if c.done_on <= today]
    checks = record.gauge_checks(instrument.of_id)
    known = record.biases(instrument.of_id)
    found = from_checks(instrument, calibrations, checks) + from_certificates(instrument, calibrations, checks)
    found = [f for f in found if not any(_same(f, b) for b in known)]
    return sorted(_without_doubles(found), key=lambda f: f.from_on, reverse=True)


def from_certificates(
    instrument: Instrument, calibrations: Sequence[Calibration], checks: Sequence[LoggedCheck]
) -> list[Finding]:
    """As-found errors larger than the U of their certificate: they held since the last time that all was well."""
    found = []
    for one in calibrations:
        if one.error_mm is None or abs(one.error_mm) <= one.u95_mm:
            continue
        since, why = last_good(instrument, calibrations, checks, one.done_on, one.error_mm)
        ends = one.done_on if one.result == "adjusted" else None
        way = "high" if one.error_mm > 0 else "low"
        found.append(Finding(
            one.error_mm, one.u95_mm / one.k, since, ends,
            f"as found {abs(one.error_mm):g} {way} on {one.done_on}; {why}", f"calibration {one.done_on}",
        ))  # fmt: skip
    return found


def from_checks(
    instrument: Instrument, calibrations: Sequence[Calibration], checks: Sequence[LoggedCheck]
) -> list[Finding]:
    """Stretches of checks on one piece that read off; and the last one when it is not within and in no such stretch."""
    found: list[Finding] = []
    by_piece: dict[tuple[str, float], list[LoggedCheck]] = {}
    for one in checks:
        by_piece.setdefault((one.check.reference, one.check.reference_mm), []).append(one)
    for (name, size), logged in by_piece.items():
        lasting = []
        if len(logged) >= FEWEST_FOR_STEPS:
            lasting = _stretches(instrument, calibrations, name, size, logged)
        found += lasting
        if not any(one.to_on is None for one in lasting):
            found += _last_bad(instrument, calibrations, checks, name, logged)
    return found


def _stretches(
    instrument: Instrument, calibrations: Sequence[Calibration], name: str, size: float, logged: Sequence[LoggedCheck]
) -> list[Finding]:
    from inspect_tui.metrology.charts import Break
    from inspect_tui.metrology.gauge_study_bias import stability_study

    days = [day_of(one.at_us, one.tz_min) for one in logged]
    adjusted = sorted({c.done_on for c in calibrations if c.result == "adjusted"})
    places = {sum(day <= on for day in days): on for on in adjusted}
    breaks = [Break(i, f"adjusted {on}") for i, on in places.items() if 0 < i < len(days)]
    u_piece = max(one.check.u95_mm for one in logged) / 2.0
    study = stability_study([one.check.value for one in logged], size, u_piece, breaks)
    out = []
    for start, stop, bias in study.biases:
        means = judging.means(instrument, calibrations, days[start])
        if not bias.differs or abs(bias.bias) <= gauge_checks.allowed_mm(means, gauge_checks.Piece(name, size), bias.n):
            continue
        if start == 0:
            since, why = last_good(instrument, calibrations, (), days[0], bias.bias)
        else:
            since, why = days[start - 1], f"the check of {days[start - 1]} was the last before it"
        after = next((c.done_on for c in calibrations if c.result == "adjusted" and c.done_on >= days[stop - 1]), None)
        ends = days[stop] if stop < len(days) else None
        ends = min(filter(None, (after, ends)), default=None)
        way = "high" if bias.bias > 0 else "low"
        out.append(Finding(
            bias.bias, bias.u, since, ends,
            f"{bias.n} checks on {name} from {days[start]} to {days[stop - 1]} read {abs(bias.bias):.3f} {way}; {why}",
            f"checks on {name}",
        ))  # fmt: skip
    return out


def _last_bad(
    instrument: Instrument, calibrations: Sequence[Calibration], checks: Sequence[LoggedCheck], name: str,
    logged: Sequence[LoggedCheck],
) -> list[Finding]:  # fmt: skip
    newest = day_of(logged[-1].at_us, logged[-1].tz_min)
    last = [one for one in logged if day_of(one.at_us, one.tz_min) == newest]
    means = judging.means(instrument, calibrations, newest)
    c = last[-1].check
    piece = gauge_checks.Piece(c.reference, c.reference_mm, c.u95_mm)
    error, allowed, within, _ = gauge_checks.judge("", means, piece, [one.check.value for one in last])
    if within:
        return []
    put_right = min((k.done_on for k in calibrations if k.done_on >= newest and k.result == "adjusted"), default=None)
    since, why = last_good(instrument, calibrations, checks, newest, error)
    way = "high" if error > 0 else "low"
    count = f"{len(last)} readings" if len(last) > 1 else "one reading"
    return [Finding(
        error, allowed / 2.0, since, put_right, f"{count} on {name} on {newest}: {abs(error):.3f} {way}; {why}",
        f"check on {name} of {newest}",
    )]  # fmt: skip


def last_good(
    instrument: Instrument, calibrations: Sequence[Calibration], checks: Sequence[LoggedCheck], before: str, bias: float
) -> tuple[str, str]:
    """The last day before `before` on which a check or a certificate showed no such bias, and how that is known.

    A check counts as good when it is within what the certificate allows and nearer to the truth than to the bias.
    Where nothing is on record it is the first day of all, "0001-01-01".
    """
    good: list[tuple[str, str]] = []
    for one in calibrations:
        if one.done_on < before and one.result != "fail":
            clean = one.result == "adjusted" or abs(one.error_mm or 0.0) <= one.u95_mm
            good += [(one.done_on, f"the certificate of {one.done_on} was good")] if clean else []
    for logged in checks:
        day = day_of(logged.at_us, logged.tz_min)
        error = logged.check.value - logged.check.reference_mm
        means = judging.means(instrument, calibrations, day)
        if day < before and gauge_checks.within(logged, means) and abs(error) < abs(error - bias):
            good.append((day, f"the check of {day} was good"))
    return max(good, default=("0001-01-01", "no earlier check or certificate is on record"))


def _same(one: Finding, known: InstrumentBias) -> bool:
    start, stop = known.from_on, known.to_on or "9999"
    overlap = one.from_on < stop and start < (one.to_on or "9999")
    return overlap and abs(one.bias - known.bias_mm) <= max(2.0 * (one.u + known.u_mm), 0.005)


def _without_doubles(found: list[Finding]) -> list[Finding]:
    """A certificate and the checks often show the same bias: the one that is known better stays."""
    kept: list[Finding] = []
    for one in sorted(found, key=lambda f: f.u):
        if not any(
            one.from_on < (k.to_on or "9999") and k.from_on < (one.to_on or "9999") and one.bias * k.bias > 0
            and abs(one.bias - k.bias) <= max(3.0 * sqrt(one.u**2 + k.u**2), 0.005) for k in kept
        ):  # fmt: skip
            kept.append(one)
    return kept


# ------------------------------------------------------------------------------ over the readings
def trace(record: Reader, instrument: Instrument, finding: Finding, today: str | None = None) -> Trace:
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
    made = Trace(instrument, finding, len(logged), count, len(subjects), tuple(changes), "")
    return replace(made, sentence=_sentence(made))


def _sentence(t: Trace) -> str:
    f = t.finding
    days = f"from {f.from_on}" if f.from_on > "0001-01-01" else "from the beginning"
    days += f" to {f.to_on}" if f.to_on else " until today"
    if not t.readings:
        return f"No reading was taken with {t.instrument.label} {days}: nothing has to be looked at."
    way = "high" if f.bias > 0 else "low"
    say = (
        f"{t.instrument.label} read {abs(f.bias):.3g} mm {way} {days}: {t.readings} readings on {t.subjects} tools and "
        f"castings. "
    )
    if not t.changes:
        return say + "No verdict changes."
    many = len(t.changes) > 1
    worse = f"{t.worse} of them no longer say conforms" if many else "it no longer says conforms"
    fine = "none of them said conforms" if many else "it did not say conforms"
    counted = f"{len(t.changes)} verdicts change" if many else "1 verdict changes"
    return say + f"{counted}; {worse if t.worse else fine}."


def _lines(logged: Sequence[LoggedReading]) -> list[list[LoggedReading]]:
    """Readings as they were judged together: the repeats that were typed in one line."""
    lines: list[list[LoggedReading]] = []
    for one in logged:
        r = one.reading
        same = lines and r.rep > 1 and (r.setup_id, r.feature_id, r.item_id, r.tool_id) == (
            (p := lines[-1][-1].reading).setup_id, p.feature_id, p.item_id, p.tool_id
        )  # fmt: skip
        if same and r.rep == lines[-1][-1].reading.rep + 1:
            lines[-1].append(one)
        else:
            lines.append([one])
    return lines


class _Again:
    """Judges lines of readings as they were judged, and with a bias taken off."""

    def __init__(self, record: Reader, instrument: Instrument, finding: Finding, today: str) -> None:
        self.record, self.instrument, self.finding, self.today = record, instrument, finding, today
        self.calibrations = {c.id: c for c in record.calibrations(instrument.of_id)}
        how = f"{finding.bias:+.3g} from {finding.found_from}"
        self.correction = Line("correction of the bias", finding.u, how=how)
        self.of: dict[bytes, Subject] = {}
        self.jobs: dict[bytes, Job] = {}
        self.sizes: dict[tuple[bytes, bytes | None, bytes | None], Sizes] = {}

    def load(self, logged: Sequence[LoggedReading]) -> None:
        """Everything that the readings name, in a few questions."""
        self.features = self.record.features_by_id({one.reading.feature_id for one in logged})
        self.items = self.record.items_by_id({one.reading.item_id for one in logged if one.reading.item_id})
        tool_ids = {one.reading.tool_id for one in logged if one.reading.tool_id}
        self.tool_of = {id_: self.record.tool(id_) for id_ in tool_ids}
        target_ids = {one.reading.tool_feature_id for one in logged if one.reading.tool_feature_id}
        self.targets: dict[bytes, ToolFeature] = {id_: self.record.tool_feature(id_) for id_ in target_ids}

    def change(self, line: Sequence[LoggedReading]) -> Change | None:
        """The line with both verdicts when they differ."""
        first = line[0].reading
        subject, job = self._subject(line[0])
        one = self._sizes(line[0], subject, job)
        if (one.band.lower is None and one.band.upper is None) or one.feature.quantity in ("attribute", "temperature"):
            return None
        calibration = self.calibrations.get(line[0].setup.calibration_id or b"")
        means = judging.Means(self.instrument, calibration)
        values = [r.reading.value for r in line]
        warm = line[0].setup.work_c
        before = judging.judge(job, subject, one, values, means, work_c=warm)
        better = replace(means, lines=(self.correction,))
        after = judging.judge(job, subject, one, [v - self.finding.bias for v in values], better, work_c=warm)
        old, new = before.verdict.answer.value, after.verdict.answer.value
        if old == new:
            return None
        assert first.id
        return Change(tuple(line), one, subject.label, before.value, after.value, old, new)

    def _subject(self, one: LoggedReading) -> tuple[Subject, Job]:
        r = one.reading
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

    def _sizes(self, one: LoggedReading, subject: Subject, job: Job) -> Sizes:
        r = one.reading
        key = (r.feature_id, r.tool_feature_id, subject.key if subject.tool else None)
        if key not in self.sizes:
            target = self.targets[r.tool_feature_id] if r.tool_feature_id else None
            self.sizes[key] = sizes(job, self.features[r.feature_id], subject, target)
        return self.sizes[key]


# ------------------------------------------------------------------------------ confirming
def confirm(record: Record, person: Person, instrument: Instrument, finding: Finding) -> InstrumentBias:
    """Record the bias as a fact; the readings stay as they are."""
    if any(_same(finding, known) for known in record.biases(instrument.of_id)):
        raise InspectError(f"A bias of {finding.bias:+.3g} of {instrument.label} is on record for those days already.")
    bias: InstrumentBias = record.add(
        InstrumentBias(
            instrument_of_id=instrument.of_id, from_on=finding.from_on, to_on=finding.to_on, bias_mm=finding.bias,
            u_mm=finding.u, why=finding.why[:400], found_from=finding.found_from[:120],
        ), by=person.id,
    )  # fmt: skip
    return bias


def by_subject(t: Trace) -> list[tuple[str, list[Change]]]:
    """The changes in the order of what was measured, grouped."""
    ordered = sorted(t.changes, key=lambda change: (change.on, change.sizes.feature.ord))
    return [(on, list(rows)) for on, rows in groupby(ordered, key=lambda change: change.on)]


def day_of(at_us: int, tz_min: int) -> str:
    """The day on the clock of the bench that wrote it, ISO."""
    return (datetime.fromtimestamp(at_us / 1e6, UTC) + timedelta(minutes=tz_min)).date().isoformat()
