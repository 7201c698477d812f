"""The bench: one person logs readings on one tool or casting, and hears at once what each one means."""

from __future__ import annotations

from collections.abc import Sequence
from math import inf, sqrt
from time import strftime

from inspect_tui.frozen import frozen, replace
from inspect_tui.metrology import quantity, slips
from inspect_tui.model import (
    DrawingRevision,
    Feature,
    Id,
    Instrument,
    Job,
    Note,
    Person,
    Reading,
    Session,
    Setup,
    Supersede,
    ToolFeature,
)  # fmt: skip
from inspect_tui.record import Record
from inspect_tui.record.kinds import kind_of
from inspect_tui.record.readings import LastLine, LoggedReading
from inspect_tui.shop import find, gauge_feed, judging
from inspect_tui.shop.find import Subject
from inspect_tui.shop.judging import Judged, Means
from inspect_tui.shop.sizes import Sizes, of_sand, sizes, unit_of

BURST_S = 0.25  # a line that follows a question faster than a person can read it is the next reading, not an answer
SAND_FROM = ("core_box", "production_pattern", "core_stick", "master")  # what a sand core is judged by, best first
AXIS_ORDER = {"x": 0, "y": 1, "z": 2, "oblique": 3, "none": 4}
TAKE_SUGGESTION = "="
TOO_COARSE = ("template", "thermometer", "rule", "tape")  # never what settles a doubt


@frozen
class Task:
    """One line of the list of what to measure, with its state."""

    sizes: Sizes
    state: str = "to measure"  # to measure, conforms, does not conform, undecided
    n: int = 0
    last: float | None = None
    mean: float = 0.0  # of the n readings that count
    s: float = 0.0  # their standard deviation, 0 below two
    mark: str = ""  # "again" when asked to be measured again, "skipped" when passed over

    @property
    def feature(self) -> Feature:
        """The feature of this task."""
        return self.sizes.feature

    @property
    def open(self) -> bool:
        """Still to be measured."""
        return self.state == "to measure" or self.mark == "again"


@frozen
class Logged:
    """A line that is on the disk, and what it means."""

    task: Task
    readings: tuple[Reading, ...]
    judged: Judged
    remarks: tuple[str, ...] = ()


@frozen
class Asked:
    """A line that may be a slip: not written yet, kept, asked once."""

    text: str
    sentence: str
    suggestion: str | None
    task: Task
    balloon: str | None = None  # the feature that it fits, when it was perhaps meant for another one


@frozen
class Refused:
    """A line that is no reading: nothing was logged, the text is given back."""

    text: str
    sentence: str


Outcome = Logged | Asked | Refused


@frozen
class _Pending:
    asked: Asked
    entry: quantity.Entry
    index: int


class Bench:
    """The state of one stay at the bench; every reading is one durable commit before it is spoken of."""

    def __init__(
        self, record: Record, job: Job, subject: Subject, person: Person | None = None,
        instrument: Instrument | None = None, *, today: str | None = None, states: bool = True,
    ) -> None:  # fmt: skip
        self.record, self.job, self.subject = record, job, subject
        self.person = person
        self.revision: DrawingRevision = find.latest_revision(record, job)
        self.today = today or strftime("%Y-%m-%d")
        self.work_c: float | None = None
        self.moisture: float | None = None
        self.means: Means | None = None
        self.index = 0
        self.pending: _Pending | None = None
        self._session: Session | None = None
        self._setup: Setup | None = None
        self._lines: list[tuple[int, tuple[Reading, ...]]] = []
        self._means: dict[Id, Means] = {}
        self._feeds: dict[Id, tuple[gauge_feed.Feed, ...]] = {}
        if instrument is not None:
            self.set_instrument(instrument)
        self.tasks = self._load_tasks(states)
        self.index = self._next_open(-1) or 0

    # ---------------------------------------------------------------- the list of what to measure
    def _load_tasks(self, states: bool = True) -> list[Task]:
        """The list; without `states` each feature's earlier verdict is left out, which `log` does not show."""
        features = {f.id: f for f in self.record.features(self.revision.id)}
        if self.subject.tool is not None:
            pairs: list[tuple[Feature, ToolFeature | None]] = []
            for on_tool in self.record.tool_features(self.subject.tool.of_id):
                if on_tool.feature_id in features:
                    pairs.append((features[on_tool.feature_id], on_tool))
            summaries = self.record.summaries(tool_of_id=self.subject.tool.of_id)
            lines = self.record.last_lines(tool_of_id=self.subject.tool.of_id) if summaries and states else {}
        else:
            assert self.subject.item
            pairs = self._on_sand_core(features) or [(f, None) for f in features.values() if f.scale == "cast"]
            summaries = self.record.summaries(item_id=self.subject.item.id)
            lines = self.record.last_lines(item_id=self.subject.item.id) if summaries and states else {}
        pairs.sort(key=lambda pair: (pair[0].scale, AXIS_ORDER[pair[0].axis], pair[0].ord))
        tasks = []
        for feature, tool_feature in pairs:
            task = Task(sizes(self.job, feature, self.subject, tool_feature))
            summary = summaries.get(feature.id)
            if summary is not None and summary.n:
                s = sqrt(summary.m2 / (summary.n - 1)) if summary.n > 1 else 0.0
                if states:
                    task = self._with_state(task, lines.get(feature.id), summary.last_value, summary.n)
                task = replace(task, n=summary.n, mean=summary.mean, s=s)
            tasks.append(task)
        return tasks

    def refresh(self) -> None:
        """The states anew from the record, for readings were taken out of count elsewhere; marks stay."""
        marks = {task.feature.id: task.mark for task in self.tasks}
        self.tasks = [replace(task, mark=marks.get(task.feature.id, "")) for task in self._load_tasks()]

    def _on_sand_core(self, features: dict[Id, Feature]) -> list[tuple[Feature, ToolFeature | None]]:
        """What is measured on a sand core: the sizes of its newest box, else stick; nothing for a casting."""
        item = self.subject.item
        if item is None or item.kind != "core" or item.core_id is None:
            return []
        core = self.record.core(item.core_id).of_id
        tools = [
            t for t in self.record.tools(self.job.of_id)
            if t.kind in SAND_FROM and t.core_id and self.record.core(t.core_id).of_id == core
        ]  # fmt: skip
        for tool in sorted(reversed(tools), key=lambda t: SAND_FROM.index(t.kind)):
            found: list[tuple[Feature, ToolFeature | None]] = [
                (features[on.feature_id], of_sand(on, tool.kind))
                for on in self.record.tool_features(tool.of_id) if on.feature_id in features
            ]  # fmt: skip
            if found:
                return found
        return []

    def _with_state(self, task: Task, line: LastLine | None, value: float, n: int) -> Task:
        """State from the newest line, judged with what it was read with.

        Without a line so many readings came after it that it was not looked up; its last value is known.
        """
        values = line.values if line else (value,)
        means = self.means_for(task, self._means_then(line), line.person_of_id) if line else self.means_for(task)
        work_c = line.work_c if line else None
        judged = judging.judge(self.job, self.subject, task.sizes, values, means, work_c=work_c)
        return replace(task, state=judged.verdict.answer.value, n=n, last=values[-1], mark="")

    def _means_then(self, line: LastLine) -> Means:
        """The instrument that a line was read with, and the certificate that was in force."""
        key = line.instrument_id + (line.calibration_id or b"")
        if key not in self._means:
            instrument = next(i for i in self.record.instruments(old=True) if i.id == line.instrument_id)
            in_force = [c for c in self.record.calibrations(instrument.of_id) if c.id == line.calibration_id]
            self._means[key] = Means(instrument, in_force[0] if in_force else None)
        return self._means[key]

    @property
    def task(self) -> Task | None:
        """What is to be measured now."""
        return self.tasks[self.index] if self.tasks else None

    @property
    def to_do(self) -> int:
        """How many are still to be measured."""
        return sum(task.open for task in self.tasks)

    def _next_open(self, after: int) -> int | None:
        count = len(self.tasks)
        for step in range(1, count + 1):
            index = (after + step) % count
            if self.tasks[index].open and self.tasks[index].mark != "skipped":
                return index
        return next((i for i, task in enumerate(self.tasks) if task.open), None)

    def move(self, by: int) -> None:
        """Go up or down the list."""
        if self.tasks:
            self.index = min(max(self.index + by, 0), len(self.tasks) - 1)

    def goto(self, balloon: str) -> None:
        """Go to a feature by balloon; raises NotFound with the nearest."""
        wanted = find.feature([t.feature for t in self.tasks], balloon, self.revision.rev)
        self.index = next(i for i, t in enumerate(self.tasks) if t.feature.id == wanted.id)

    def skip(self) -> None:
        """Pass over the current feature; it stays to be measured."""
        if self.task is not None:
            self.tasks[self.index] = replace(self.tasks[self.index], mark="skipped")
            self.index = (self.index + 1) % len(self.tasks)

    def mark_again(self) -> bool:
        """Put the current feature on (or off) the list to measure again; returns whether it is on it now."""
        if self.task is None:
            return False
        on = self.task.mark != "again"
        self.tasks[self.index] = replace(self.task, mark="again" if on else "")
        return on

    # ---------------------------------------------------------------- who, with what
    def set_person(self, person: Person) -> None:
        """Who measures from now on."""
        self.person, self._setup = person, None

    def set_instrument(self, instrument: Instrument) -> None:
        """What is measured with from now on."""
        self.means, self._setup = self._means_of(instrument), None

    def set_conditions(self, work_c: float | None, moisture: float | None = None) -> None:
        """Temperature (degC) and moisture (fraction) of the work from now on; None is not known."""
        self.work_c, self.moisture, self._setup = work_c, moisture, None

    def _means_of(self, instrument: Instrument) -> Means:
        if instrument.id not in self._means:
            calibrations = self.record.calibrations(instrument.of_id)
            biases = self.record.biases(instrument.of_id)
            self._means[instrument.id] = judging.means(instrument, calibrations, self.today, biases)
        return self._means[instrument.id]

    def forget_gauges(self) -> None:
        """Look certificates, biases and studies up again: something about an instrument was written elsewhere."""
        self._means.clear()
        self._feeds.clear()
        if self.means is not None:
            self.set_instrument(self.means.instrument)

    def means_for(self, task: Task, means: Means | None = None, who: Id | None = None) -> Means:
        """The instrument at hand (or `means`, in the hands of `who`) with the gauge study of this kind of feature."""
        if means is None:
            means, who = self.means, self.person.of_id if self.person else None
        if means is None:
            return judging.means(Instrument(label="?"), (), self.today)
        instrument = means.instrument
        if instrument.id not in self._feeds:
            self._feeds[instrument.id] = gauge_feed.feeds(self.record, instrument)
        return gauge_feed.fed(means, self._feeds[instrument.id], task.feature, who)

    def _that_could_settle(self) -> list[Means]:
        """Instruments on the list that read sizes like the one at hand; looked up only when there is a doubt."""
        assert self.means
        angle = self.means.instrument.unit == "deg"
        return [
            self._means_of(instrument)
            for instrument in self.record.instruments()
            if (instrument.unit == "deg") == angle and instrument.kind not in TOO_COARSE
        ]

    def _setup_id(self) -> Id:
        assert self.person and self.means
        if self._session is None:
            self._session = self.record.add(
                Session(kind=self.subject.kind, job_of_id=self.job.of_id, revision_id=self.revision.id),
                by=self.person.id,
            )
        if self._setup is None:
            calibration = self.means.calibration
            self._setup = self.record.add(
                Setup(
                    session_id=self._session.id, person_id=self.person.id, instrument_id=self.means.instrument.id,
                    calibration_id=calibration.id if calibration else None, work_c=self.work_c,
                    moisture=self.moisture,
                ),
                by=self.person.id,
            )  # fmt: skip
        return self._setup.id

    # ---------------------------------------------------------------- one line
    def take(self, text: str, gap_s: float = inf) -> Outcome:
        """One line from the entry. `gap_s`: seconds since the line before it.

        While a question stands, an empty line keeps the reading as typed, `=` takes the suggestion, and a new
        reading replaces it, unless it came faster than a person answers: then the first is kept and this one is next.
        """
        if self.pending is not None:
            return self._answer(text, gap_s)
        return self._take(text, ask=True)

    def keep_pending(self) -> Logged | None:
        """Log a reading that is still being asked about as typed; nothing typed is dropped."""
        if self.pending is None:
            return None
        pending, self.pending = self.pending, None
        self.index = pending.index
        return self._log(pending.entry, "asked_kept")

    def _answer(self, text: str, gap_s: float) -> Outcome:
        pending = self.pending
        assert pending
        if not text.strip():
            kept = self.keep_pending()
            assert kept
            return kept
        if gap_s < BURST_S:
            self.keep_pending()
            return self._take(text, ask=True)
        if text.strip() == TAKE_SUGGESTION:
            if pending.asked.balloon is not None:
                return self._log_on_other(pending)
            if pending.asked.suggestion is None:
                return Refused(text, "There is nothing to take over: Enter keeps it, or type the reading again.")
            text = pending.asked.suggestion
        self.index = pending.index
        task = self.task
        assert task and self.means
        parsed = self._parse(text, task)
        if not isinstance(parsed, quantity.Entry):
            return self._not_a_size(parsed, text)
        self.pending = None
        if [s.mm for s in parsed.sizes] == [s.mm for s in pending.entry.sizes]:
            return self._log(parsed, "asked_kept")
        return self._log(parsed, "none", instead_of=pending.entry)

    def _log_on_other(self, pending: _Pending) -> Logged:
        """The reading was meant for another feature: log it there, and come back to the one that was asked about."""
        assert pending.asked.balloon
        self.pending = None
        self.goto(pending.asked.balloon)
        logged = self._log(pending.entry, "none")
        self.index = pending.index
        return logged

    def _take(self, text: str, ask: bool) -> Outcome:
        task = self.task
        if task is None:
            return Refused(text, "There is nothing to measure here yet: add features to this tool on the Jobs screen.")
        if not text.strip():
            return Refused("", "Nothing typed, nothing logged.")
        if self.person is None:
            return Refused(text, "Say who measures first (F3).")
        if self.means is None:
            return Refused(text, "Choose an instrument first (F4).")
        parsed = self._parse(text, task)
        if not isinstance(parsed, quantity.Entry):
            return self._not_a_size(parsed, text)
        question = self._question(task, parsed) if ask else None
        if question is not None:
            suggestion = None if question.balloon else question.suggested_text
            asked = Asked(text, question.sentence, suggestion, task, question.balloon)
            self.pending = _Pending(asked, parsed, self.index)
            return asked
        return self._log(parsed, "none")

    def _parse(self, text: str, task: Task) -> quantity.Entry | quantity.Ambiguous | quantity.Unreadable:
        assert self.means
        instrument = self.means.instrument
        unit = unit_of(task.feature, instrument.unit if instrument.unit in ("mm", "in") else "mm")
        return quantity.parse_line(text, unit, instrument.rule_scale, task.feature.quantity)

    @staticmethod
    def _not_a_size(parsed: quantity.Ambiguous | quantity.Unreadable, text: str) -> Refused:
        return Refused(text, parsed.sentence)

    def _question(self, task: Task, entry: quantity.Entry) -> slips.Question | None:
        assert self.means
        if task.feature.quantity == "attribute":
            return None
        u = self.means.u95() / 2.0
        others = [_expected(other, u) for other in self.tasks if other is not task and _same_kind(other, task)]
        expected = _expected(task, u)
        instrument = self.means.instrument
        inside = task.sizes.sense == "space"
        for size in entry.sizes:
            question = slips.check(
                size, expected, others, jaw_mm=instrument.jaw_mm if inside else None,
                rule_scale=instrument.rule_scale,
                rule_scales=slips.USUAL_SCALES if instrument.kind in ("rule", "contraction_rule") else (),
                resolution_mm=self.means.resolution_mm,
            )  # fmt: skip
            if question is not None:
                return question
        return None

    def _log(self, entry: quantity.Entry, slip: str, instead_of: quantity.Entry | None = None) -> Logged:
        """Write the readings of one line, then judge them; raises RecordError when they are not on the disk."""
        task = self.task
        assert task and self.means and self.person
        setup = self._setup_id()
        new = self._readings(task, setup, entry, slip)
        if instead_of is not None:
            logged = self._write_retyped(self._readings(task, setup, instead_of, "asked_retyped"), new)
        elif len(new) == 1:
            logged = [self.record.append_reading(new[0])]
        else:
            logged = self.record.append_readings(new)
        judged = judging.judge(
            self.job, self.subject, task.sizes, [r.value for r in logged], self.means_for(task), work_c=self.work_c,
            others=self._that_could_settle,
        )  # fmt: skip
        done = _grown(task, [reading.value for reading in logged], judged.verdict.answer.value)
        self.tasks[self.index] = done
        self._lines.append((self.index, tuple(logged)))
        following = self._next_open(self.index)
        if following is not None:
            self.index = following
        return Logged(done, tuple(logged), judged, entry.remarks)

    def _write_retyped(self, first: list[Reading], new: list[Reading]) -> list[Reading]:
        """Both in one commit: what was typed first, struck out by what was typed when asked."""
        assert self.person
        first = [replace(reading, id=self.record.new_id()) for reading in first]
        new = [replace(reading, id=self.record.new_id()) for reading in new]
        struck = [
            Supersede(
                target_id=old.id, replacement_id=new[min(i, len(new) - 1)].id, reason="misread",
                why="typed again when asked at the bench",
            )
            for i, old in enumerate(first)
        ]  # fmt: skip
        written = self.record.add_all([*first, *new, *struck], by=self.person.id)
        return written[len(first) : len(first) + len(new)]

    def _readings(self, task: Task, setup: Id, entry: quantity.Entry, slip: str) -> list[Reading]:
        tool_feature = task.sizes.tool_feature
        return [
            Reading(
                setup_id=setup, feature_id=task.feature.id,
                item_id=self.subject.item.id if self.subject.item else None,
                tool_id=self.subject.tool.id if self.subject.tool else None,
                tool_feature_id=tool_feature.id if tool_feature and self.subject.tool else None,
                rep=rep, value=size.mm, typed=size.typed, typed_unit=size.unit, slip=slip,
            )
            for rep, size in enumerate(entry.sizes, start=1)
        ]  # fmt: skip

    # ---------------------------------------------------------------- taking back, notes, looking back
    def void_last(self, why: str = "taken back at the bench") -> tuple[Task, tuple[Reading, ...]] | None:
        """Void the newest line of this stay (further ones on repeated calls); None when there is none."""
        if not self._lines or self.person is None:
            return None
        index, readings = self._lines.pop()
        voids = [Supersede(target_id=reading.id, reason="misread", why=why) for reading in readings]
        self.record.add_all(voids, by=self.person.id)
        task = self.tasks[index]
        self.tasks[index] = self._again_from_record(task)
        self.index = index
        return self.tasks[index], readings

    def _again_from_record(self, task: Task) -> Task:
        """The task as the readings that still count leave it."""
        tool, item = (self.subject.key, None) if self.subject.tool else (None, self.subject.key)
        summary = self.record.summaries(tool, item).get(task.feature.id)
        fresh = Task(task.sizes)
        if summary is None or not summary.n:
            return fresh
        line = self.record.last_lines(tool, item).get(task.feature.id)
        s = sqrt(summary.m2 / (summary.n - 1)) if summary.n > 1 else 0.0
        return replace(self._with_state(fresh, line, summary.last_value, summary.n), mean=summary.mean, s=s)

    def note(self, text: str) -> bool:
        """Add a note to the newest reading of this stay; False when there is none."""
        if not self._lines or self.person is None:
            return False
        reading = self._lines[-1][1][-1]
        self.record.add(
            Note(about_kind=kind_of(Reading).number, about_id=reading.id, text=text), by=self.person.id
        )
        return True

    def readings_of(self, task: Task, limit: int = 8, voided: bool = True) -> list[LoggedReading]:
        """The newest readings of a task's feature on this subject, newest first."""
        return self.record.readings(
            feature_id=task.feature.id,
            tool_of_id=self.subject.tool.of_id if self.subject.tool else None,
            item_id=self.subject.item.id if self.subject.item else None,
            limit=limit, newest_first=True, include_void=voided,
        )  # fmt: skip

    def judge_values(self, task: Task, values: Sequence[float]) -> Judged:
        """Judge given values of a task with the instrument at hand, without logging."""
        return judging.judge(self.job, self.subject, task.sizes, values, self.means_for(task), work_c=self.work_c)


def _grown(task: Task, values: Sequence[float], state: str) -> Task:
    """The task after further readings: its summary moves by one merge a reading, as the record's does."""
    n, mean, m2 = task.n, task.mean, task.s**2 * max(task.n - 1, 0)
    for value in values:
        n += 1
        step = value - mean
        mean += step / n
        m2 += step * (value - mean)
    s = sqrt(m2 / (n - 1)) if n > 1 else 0.0
    return replace(task, state=state, n=n, last=values[-1], mean=mean, s=s, mark="")


def _expected(task: Task, u: float) -> slips.Expectation:
    """Where an honest reading of this task lies, and how widely: from the drawing and from what was read before."""
    one = task.sizes
    return slips.expectation_from_history(
        task.n, task.mean, task.s, one.target, one.band.width, u=u, balloon=one.feature.balloon
    )


def _same_kind(one: Task, other: Task) -> bool:
    """Angles are not mistaken for lengths."""
    kinds = {task.feature.quantity for task in (one, other)} & {"angle", "attribute", "temperature"}
    return not kinds
