"""The bench: one person logs readings on one tool or casting, and hears at once what each one means."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from contextlib import suppress
from math import inf, sqrt

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen, replace
from inspect_tui.metrology.typed import quantity, slips
from inspect_tui.metrology.typed.parsed import Ambiguous, TypedLine, Unreadable
from inspect_tui.model.measuring import Instrument, Note, Person, Reading, Supersede
from inspect_tui.model.words import Id
from inspect_tui.model.work import Feature, Job
from inspect_tui.record.ask.readings import LoggedReading
from inspect_tui.record.kinds import kind_of
from inspect_tui.record.store import Record
from inspect_tui.shop.bench.outcomes import Asked, Logged, Outcome, Refused, Task
from inspect_tui.shop.bench.worklist import Worklist
from inspect_tui.shop.common import judging
from inspect_tui.shop.common.evidence import Evidence
from inspect_tui.shop.common.find import Subject
from inspect_tui.shop.common.gauges_then import read_badly
from inspect_tui.shop.common.judging import Judged
from inspect_tui.shop.common.sizes import unit_of
from inspect_tui.shop.common.standing import Standing
from inspect_tui.todo import Todo

BURST_S = 0.25  # a line that follows a question faster than a person can read it is the next reading, not an answer
TAKE_SUGGESTION = "="
LENGTHS_ONLY = ("caliper", "height_gauge", "depth", "micrometer", "tape", "rule", "contraction_rule", "ultrasonic")


@frozen
class _Pending:
    asked: Asked
    entry: TypedLine
    index: int


class Bench(Worklist):
    """The state of one stay at the bench; every reading is one durable commit before it is spoken of."""

    def __init__(
        self,
        record: Record,
        job: Job,
        subject: Subject,
        person: Person | None = None,
        instrument: Instrument | None = None,
        *,
        today: str | None = None,
        states: bool = True,
        features: Sequence[Feature] | None = None,
        evidence: Evidence | None = None,
        same: Mapping[Id, tuple[Id, ...]] | None = None,
    ) -> None:
        """As a `Worklist` is begun."""
        super().__init__(
            record,
            job,
            subject,
            person,
            instrument,
            today=today,
            states=states,
            features=features,
            evidence=evidence,
            same=same,
        )
        self.pending: _Pending | None = None
        self.kept: Logged | None = None  # kept as typed because the next line came too fast to be an answer
        self._lines: list[tuple[str, str, tuple[Reading, ...]]] = []  # state, balloon, readings

    # ---------------------------------------------------------------- one line
    def take(self, text: str, gap_s: float = inf) -> Outcome:
        """One line from the entry. `gap_s`: seconds since the line before it.

        While a question stands, an empty line keeps the reading as typed, `=` takes the suggestion, and a new
        reading replaces it, unless it came faster than a person answers: then the first is kept and this one is next.
        """
        if self.pending is not None:
            return self._answer(text, gap_s)
        return self._take(text, ask=True)

    def keep_pending(self, answered: bool = False) -> Logged | None:
        """Log a reading that is still being asked about as typed; nothing typed is dropped.

        Repeats that disagree stay in question unless somebody `answered` that they are to be kept.
        """
        if self.pending is None:
            return None
        pending, self.pending = self.pending, None
        self.index = pending.index
        disagree = not answered and self._apart(pending.asked.task, pending.entry) is not None
        return self._log(pending.entry, "none" if disagree else "asked_kept")

    def _answer(self, text: str, gap_s: float) -> Outcome:
        pending = self.pending
        assert pending
        if not text.strip():
            kept = self.keep_pending(answered=True)
            assert kept
            return kept
        if gap_s < BURST_S:
            self.kept = self.keep_pending()
            return self._take(text, ask=True)
        if text.strip() == TAKE_SUGGESTION:
            if pending.asked.balloon is not None:
                return self._log_on_other(pending)
            if pending.asked.suggestion is None:
                return Refused(text, "There is nothing to take over.", Todo.KEEP_OR_RETYPE)
            text = pending.asked.suggestion
        self.index = pending.index
        task = self.task
        assert task and self.means
        parsed = self._parse(text, task)
        if not isinstance(parsed, TypedLine):
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
            return Refused(text, "There is nothing to measure here yet.", Todo.ADD_FEATURES)
        if not text.strip():
            return Refused("", "Nothing typed, nothing logged.")
        if self.person is None:
            return Refused(text, "Nobody measures yet.", Todo.SAY_WHO)
        if self.means is None:
            return Refused(text, "There is no instrument in hand yet.", Todo.SAY_WITH_WHAT)
        if self.means.out_of_use is not None:
            sentence = f"{self.means.instrument.label} {self.means.out_of_use}."
            return Refused(text, sentence, Todo.TAKE_ANOTHER_INSTRUMENT)
        if (wrong := _cannot_read(self.means.instrument, task)) is not None:
            return Refused(text, wrong, Todo.TAKE_ANOTHER_INSTRUMENT)
        parsed = self._parse(text, task)
        if not isinstance(parsed, TypedLine):
            return self._not_a_size(parsed, text)
        asked = self._asked(text, task, parsed) if ask else None
        if asked is not None:
            self.pending = _Pending(asked, parsed, self.index)
            return asked
        return self._log(parsed, "none")

    def _asked(self, text: str, task: Task, entry: TypedLine) -> Asked | None:
        """What is to be asked about a line before it is written: a slip, or repeats that disagree."""
        question = self._question(task, entry)
        if question is not None:
            suggestion = None if question.balloon else question.suggested_text
            return Asked(
                text=text,
                sentence=question.sentence,
                suggestion=suggestion,
                task=task,
                balloon=question.balloon,
                reason=question.reason,
                todo=question.todo,
                about=question.about,
            )
        disagree = self._apart(task, entry)
        if disagree is None:
            return None
        return Asked(text=text, sentence=f"{disagree}. One of them misread?", suggestion=None, task=task)

    def _apart(self, task: Task, entry: TypedLine) -> str | None:
        """A sentence when the repeats of a line lie further apart than the instrument at hand explains."""
        piece = self.subject.tool or self.subject.item
        values = [size.mm for size in entry.sizes]
        gap = judging.repeats_apart(task.sizes, piece, values, self.means_for(task), self.style)
        return gap[1] if gap else None

    def _parse(self, text: str, task: Task) -> TypedLine | Ambiguous | Unreadable:
        assert self.means
        instrument = self.means.instrument
        unit = unit_of(task.feature, instrument.unit if instrument.unit in ("mm", "in") else "mm")
        return quantity.parse_line(text, unit, instrument.rule_scale, task.feature.quantity)

    @staticmethod
    def _not_a_size(parsed: Ambiguous | Unreadable, text: str) -> Refused:
        return Refused(text, parsed.sentence)

    def _question(self, task: Task, entry: TypedLine) -> slips.SlipQuestion | None:
        assert self.means
        if task.feature.quantity == "attribute" or not (task.feature.nominal_known or task.n):
            return None  # of a size that nobody knows yet nothing is expected before it was read once
        u = self.means.u95(judging.what_kind(task.feature)) / 2.0
        beside = [other for other in self.tasks if other is not task and (other.feature.nominal_known or other.n)]
        others = [_expected(other, u) for other in beside if _same_kind(other, task)]
        expected = _expected(task, u)
        instrument = self.means.instrument
        inside = task.sizes.sense == "space"
        for size in entry.sizes:
            question = slips.check(
                size,
                expected,
                others,
                jaw_mm=instrument.jaw_mm if inside else None,
                rule_scale=instrument.rule_scale,
                rule_scales=slips.USUAL_SCALES if instrument.kind in ("rule", "contraction_rule") else (),
                resolution_mm=self.means.resolution_mm,
                style=self.style,
            )
            if question is not None:
                return question
        return None

    def _log(self, entry: TypedLine, slip: str, instead_of: TypedLine | None = None) -> Logged:
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
            self.job,
            self.subject,
            task.sizes,
            [r.value for r in logged],
            self.means_for(task),
            work_c=self.work_c,
            instrument_c=self.instrument_c,
            others=self._that_could_settle,
            kept=slip == "asked_kept",
            turns=self.turns,
            style=self.style,
        )
        done = _grown(task, judged.corrected, judged.standing)
        self.tasks[self.index] = done
        self._lines.append((self.state, task.feature.balloon, tuple(logged)))
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
                target_id=old.id,
                replacement_id=new[min(i, len(new) - 1)].id,
                reason="misread",
                why="typed again when asked at the bench",
            )
            for i, old in enumerate(first)
        ]
        written = self.record.add_all([*first, *new, *struck], by=self.person.id)
        return written[len(first) : len(first) + len(new)]

    def _readings(self, task: Task, setup: Id, entry: TypedLine, slip: str) -> list[Reading]:
        tool_feature = task.sizes.tool_feature
        return [
            Reading(
                setup_id=setup,
                feature_id=task.feature.id,
                item_id=self.subject.item.id if self.subject.item else None,
                tool_id=self.subject.tool.id if self.subject.tool else None,
                tool_feature_id=tool_feature.id if tool_feature and self.subject.tool else None,
                rep=rep,
                value=size.mm,
                typed=size.typed,
                typed_unit=size.unit,
                slip=slip,
            )
            for rep, size in enumerate(entry.sizes, start=1)
        ]

    # ---------------------------------------------------------------- taking back, notes, looking back
    def void_last(self, why: str = "taken back at the bench") -> tuple[Task, tuple[Reading, ...]] | None:
        """Void the newest line of this stay (further ones on repeated calls); None when there is none.

        A reading that is still being asked about is the newest: it is logged as typed, and taken back.
        """
        self.keep_pending()
        if not self._lines or self.person is None:
            return None
        state, balloon, readings = self._lines.pop()
        with suppress(DataError):  # on a drawing that wants nothing machined any more the list stays that of raw sizes
            self.set_state(state)
        voids = [Supersede(target_id=reading.id, reason="misread", why=why) for reading in readings]
        self.record.add_all(voids, by=self.person.id)
        index = next((n for n, task in enumerate(self.tasks) if task.feature.balloon == balloon), self.index)
        self.tasks[index] = self._again_from_record(self.tasks[index])
        self.index = index
        return self.tasks[index], readings

    def take_up_drawing(self) -> None:
        """Go on with the job and the drawing as they are now, at the same feature.

        A reading that is still being asked about was read for the drawing before: it is logged there as typed.
        """
        at = self.task.feature.balloon if self.task else ""
        self.keep_pending()
        marks = {task.feature.balloon: task.mark for task in self.tasks}
        self.renew()
        self.tasks = [replace(task, mark=marks.get(task.feature.balloon, "")) for task in self.tasks]
        same = next((n for n, task in enumerate(self.tasks) if task.feature.balloon == at), None)
        self.index = same if same is not None else self._next_open(-1) or 0

    def _again_from_record(self, task: Task) -> Task:
        """The task as the readings that still count leave it."""
        return self._measured([Task(sizes=task.sizes)])[0]

    @property
    def can_note(self) -> bool:
        """Whether there is a reading in this stay to put a note to."""
        return bool(self._lines or self.pending)

    def pop_kept(self) -> Logged | None:
        """A reading that was kept as typed by the last `take` before its own outcome, once."""
        kept, self.kept = self.kept, None
        return kept

    def note(self, text: str) -> bool:
        """Add a note to the newest reading of this stay; False when there is none."""
        if not self._lines or self.person is None:
            return False
        reading = self._lines[-1][2][-1]
        self.record.add(Note(about_kind=kind_of(Reading).number, about_id=reading.id, text=text), by=self.person.id)
        return True

    def readings_of(self, task: Task, limit: int = 8, voided: bool = True) -> list[LoggedReading]:
        """The newest readings of a task's size here, newest first; on older drawings too, where unchanged."""
        return self.record.readings(
            feature_id=self._same.get(task.feature.id, (task.feature.id,)),
            tool_of_id=self.subject.tool.of_id if self.subject.tool else None,
            item_id=self.subject.item.id if self.subject.item else None,
            state=self.state if self.subject.item else None,
            limit=limit,
            newest_first=True,
            include_void=voided,
        )

    def read_with_bad_gauge(self, readings: Sequence[LoggedReading]) -> frozenset[Id]:
        """Which of these readings were made with a gauge that had failed by then, or was out of use."""
        self.evidence.setups(logged.setup_id for logged in readings)  # whoever came meanwhile is read too
        return read_badly(self.evidence.gauges, readings)

    def judge_values(self, task: Task, values: Sequence[float]) -> Judged:
        """Judge given values of a task with the instrument at hand, without logging."""
        return judging.judge(
            self.job,
            self.subject,
            task.sizes,
            values,
            self.means_for(task),
            work_c=self.work_c,
            instrument_c=self.instrument_c,
            turns=self.turns,
            style=self.style,
        )


def _cannot_read(instrument: Instrument, task: Task) -> str | None:
    """A sentence when this instrument cannot read this kind of feature at all."""
    angle, balloon = unit_of(task.feature) == "deg", task.feature.balloon
    if angle and instrument.unit != "deg" and instrument.kind in LENGTHS_ONLY:
        return f"{balloon} is an angle and {instrument.label} reads {instrument.unit}."
    if instrument.unit == "deg" and not angle and task.feature.quantity != "attribute":
        return f"{balloon} is a length and {instrument.label} reads degrees."
    return None


def _grown(task: Task, values: Sequence[float], state: Standing) -> Task:
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
    sizes = task.sizes
    target = sizes.target if sizes.feature.nominal_known else task.mean
    return slips.expectation_from_history(
        task.n, task.mean, task.s, target, sizes.band.width, u=u, balloon=sizes.feature.balloon
    )


def _same_kind(first: Task, other: Task) -> bool:
    """Angles are not mistaken for lengths."""
    kinds = {task.feature.quantity for task in (first, other)} & {"angle", "attribute", "temperature"}
    return not kinds
