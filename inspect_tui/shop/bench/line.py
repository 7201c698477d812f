"""The bench: one person logs readings on one tool or casting, and hears at once what each one means."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from functools import partial
from math import inf, sqrt
from os import urandom

from inspect_tui.errors import DataError, InspectError, not_logged
from inspect_tui.frozen import replace
from inspect_tui.metrology.typed import quantity, slips
from inspect_tui.metrology.typed.parsed import Ambiguous, TypedLine, Unreadable
from inspect_tui.model.measuring import Instrument, Note, Person, Reading, Supersede
from inspect_tui.model.words import Id
from inspect_tui.model.work import Feature, Job
from inspect_tui.record.ask.readings import LoggedReading
from inspect_tui.record.chain.ids import written_ms
from inspect_tui.record.kinds import kind_of
from inspect_tui.shop.bench import walk
from inspect_tui.shop.bench.outcomes import Asked, Logged, Outcome, Refused, Task, Waiting
from inspect_tui.shop.bench.worklist import Worklist, odd_among, without
from inspect_tui.shop.common import judging
from inspect_tui.shop.common.evidence import Evidence
from inspect_tui.shop.common.find import Subject
from inspect_tui.shop.common.gauges_then import read_badly
from inspect_tui.shop.common.judging import Judged
from inspect_tui.shop.common.sizes import bare_unit, is_the_castings, unit_of
from inspect_tui.shop.common.standing import Standing
from inspect_tui.todo import Todo

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import Any

    from inspect_tui.metrology.typed.parsed import Size
    from inspect_tui.record.store import Record

BURST_S = 0.25  # a line that follows a question faster than a person can read it is the next reading, not an answer
TAKE_SUGGESTION = "="
UNKNOWN_PER_MM = 1e-3  # density of readings of a size that nobody knows: anything up to a metre
WALK_MS = 16 * 3600 * 1000  # a walk down a list, with its breaks, is of one day
MOST_LEFT = 2  # sizes at the end of a list that somebody may have missed by passing others over
OVER_RANGE = 0.05  # gauges read a little beyond the range they are sold for: common practice, no source
LENGTHS_ONLY = ("caliper", "height_gauge", "depth", "micrometer", "tape", "rule", "contraction_rule", "ultrasonic")


class Bench(Worklist):
    """The state of one stay at the bench; every reading is one durable commit before it is spoken of.

    A line that is asked about or refused waits; the lines behind it go on. `on_waiting` is told whenever that changes.
    """

    typed_in = "mm"  # the unit of lengths that are typed without one, where the instrument has none of its own

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
        self.waiting: list[Waiting] = []
        self.on_waiting: Callable[[Bench], None] | None = None
        self._fork: int | None = None  # where a line went that was typed for the size at hand
        self._fresh = False  # whether the newest line that waits is what was typed last
        self._kept: list[Logged] = []  # kept as typed because the next line came too fast to be an answer
        self._lines: list[tuple[str, str, tuple[Reading, ...]]] = []  # state, balloon, readings
        self._doubted: set[Id] = set()

    # ---------------------------------------------------------------- lines that wait
    @property
    def pending(self) -> Waiting | None:
        """The line that is asked about: one that may stand in place of another that waits, else the oldest."""
        typed_for = {line.balloon for line in self.waiting}
        asked = [line for line in self.waiting if line.asked]
        again = (line for line in reversed(asked) if line.asked and line.asked.balloon in typed_for)
        return next(again, asked[0] if asked else None)

    @property
    def front(self) -> Waiting | None:
        """The line that Enter answers: the oldest that is asked about, else the oldest that waits."""
        return self.pending or (self.waiting[0] if self.waiting else None)

    def drop(self, line: Waiting) -> None:
        """Forget a line that waits; it was never logged."""
        self._wait_no_more(line)

    def wait(self, balloon: str, text: str, why: str = "it was not logged last time.") -> None:
        """A line that was typed here and never logged waits, with the reason as a sentence."""
        refused = Refused(text, f"{text[:40]}: {why}", Todo.TAKE_UP, balloon)
        self.waiting.append(Waiting(key=urandom(8).hex(), text=text, balloon=balloon, refused=refused))

    def set_aside(self, text: str, why: str = "it was not entered.") -> None:
        """What stands in the entry when it is left waits for the size at hand, so that nothing is typed behind it."""
        if text.strip():
            self.wait(self.task.feature.balloon if self.task else "", text, why)
            self._tell()

    def take_up(self, line: Waiting) -> Outcome:
        """Try a line that waits again for the size it was typed for: what is asked about is kept as typed."""
        return self._enter(line)

    def take_up_on(self, line: Waiting, balloon: str) -> Outcome:
        """A line that waits was meant for another size; raises NotFound with the nearest."""
        self.goto(balloon)
        task = self.tasks[self.index]
        if (refused := self._refused(line.text, task)) is not None:
            return refused
        entry = self._parse(line.text, task)
        if not isinstance(entry, TypedLine):
            return replace(self._not_a_size(entry, line.text), todo=Todo.RETYPE_OR_DROP)
        self.waiting = [replace(w, balloon=task.feature.balloon, entry=None) if w is line else w for w in self.waiting]
        moved = next(w for w in self.waiting if w.key == line.key)
        return self._ask_or_log(self.index, line.text, entry, moved)

    def take_to_mend(self, line: Waiting) -> str:
        """The text of a line that waits, to be typed on; it waits no more, and its size is at hand."""
        index = self.index_of(line.balloon)
        self.index = self.index if index is None else index
        self._wait_no_more(line)
        return line.text

    def _set_apart(self, index: int, **what: Any) -> None:
        task = self.tasks[index]
        self.waiting.append(Waiting(key=urandom(8).hex(), balloon=task.feature.balloon, **what))
        self._fresh, self.index, self._fork = True, index, None
        self._tell()

    def _wait_no_more(self, line: Waiting) -> None:
        self.waiting = [other for other in self.waiting if other.key != line.key]
        self._tell()

    def _tell(self) -> None:
        if self.on_waiting is not None:
            self.on_waiting(self)

    def index_of(self, balloon: str | None) -> int | None:
        """Where a size stands in the list; None where it does not."""
        return next((n for n, task in enumerate(self.tasks) if task.feature.balloon == balloon), None)

    # ---------------------------------------------------------------- one line
    def take(self, text: str, gap_s: float = inf) -> Outcome:
        """One line from the entry. `gap_s`: seconds since the line before it.

        While lines wait, an empty line answers the first of them: what is asked about is kept as typed, what was
        refused is tried again; `=` takes what is suggested. Any other line goes where it fits: to the next size, or in
        place of one that waits. Where a line comes faster than a person answers, what is asked about is kept as typed.
        """
        words = text.strip()
        if self.front is not None and not words:
            return self._enter(self.front)
        if self.waiting and words == TAKE_SUGGESTION:
            return self._take_over()
        if not words:
            return Refused("", "Nothing typed, nothing logged.")
        if gap_s < BURST_S:
            self._keep_all()
        return self._place(text)

    def take_named(self, text: str) -> Outcome:
        """One line for the size at hand, whatever else it would fit; what is refused does not wait."""
        task = self.task
        if task is None:
            return Refused(text, "There is nothing to measure here yet.", Todo.ADD_FEATURES)
        if not text.strip():
            return Refused("", "Nothing typed, nothing logged.")
        if (refused := self._refused(text, task)) is not None:
            return refused
        entry = self._parse(text, task)
        if not isinstance(entry, TypedLine):
            return self._not_a_size(entry, text)
        return self._ask_or_log(self.index, text, entry)

    def keep_pending(self, answered: bool = False) -> Logged | None:
        """Log every reading that is still being asked about as typed; nothing typed is dropped. Returns the last.

        Repeats that disagree stay in question unless somebody `answered` that they are to be kept.
        """
        kept = None
        while (line := self.pending) is not None:
            kept = self._keep(line, answered)
        return kept

    def _keep_all(self) -> None:
        while (line := self.pending) is not None:
            self._kept.append(self._keep(line, answered=False))

    def _keep(self, line: Waiting, answered: bool) -> Logged:
        index = self._index(line)
        assert line.entry and line.asked
        disagree = not answered and self._apart(self.tasks[index], line.entry) is not None
        kept = self._log(index, line.entry, "none" if disagree else "asked_kept", instead_of=line)
        return kept if answered else self._doubting(index, kept)

    def _index(self, line: Waiting) -> int:
        index = self.index_of(line.balloon)
        if index is None:  # on another drawing, or of a casting in another state: it was typed for what is not there
            raise DataError(f"{line.text[:40]} was typed for {line.balloon}, which is not on this list.")
        return index

    def _enter(self, line: Waiting) -> Outcome:
        """An empty line: the question is answered with yes, or what was refused is tried again."""
        if line.asked is not None:
            return self._keep(line, answered=True)
        index = self._index(line)
        task = self.tasks[index]
        if (refused := self._refused(line.text, task)) is not None:
            return refused
        entry = self._parse(line.text, task)
        if not isinstance(entry, TypedLine):
            return replace(self._not_a_size(entry, line.text), todo=Todo.RETYPE_OR_DROP)
        return self._ask_or_log(index, line.text, entry, line)

    def _take_over(self) -> Outcome:
        """The suggestion is taken, or the size that the line was perhaps meant for."""
        line = self.pending
        asked = line.asked if line else None
        if line is None or asked is None or (asked.balloon is None and asked.suggestion is None):
            return Refused("", "There is nothing to take over.", Todo.KEEP_OR_RETYPE)
        index = self._index(line)
        if asked.balloon is None:
            assert asked.suggestion
            entry = self._parse(asked.suggestion, self.tasks[index])
            if not isinstance(entry, TypedLine):
                return self._not_a_size(entry, asked.suggestion)
            return self._log(index, entry, "none", instead_of=line)
        other = self.index_of(asked.balloon)
        if other is None:
            raise DataError(f"{asked.balloon} is not on this list.")
        entry = self._parse(line.text, self.tasks[other])
        if not isinstance(entry, TypedLine):
            return self._not_a_size(entry, line.text)
        there = next((w for w in self.waiting if w.balloon == asked.balloon), None)
        at = self.index
        logged = self._log(other, entry, "none", instead_of=there)
        self._wait_no_more(line)
        if at == index and there is None:  # it was another size's: this one is still to be read, if it is gone back to
            self.index, self._fork = index, other
        return self._doubting(index, logged) if other > index else logged

    def _place(self, text: str) -> Outcome:
        """Where a line goes: to the size that is next, in place of one that waits, or it is asked about."""
        if not self.tasks:
            return Refused(text, "There is nothing to measure here yet.", Todo.ADD_FEATURES)
        among = bool(self.waiting) or self._fork is not None
        onward = walk.next_stop(self._walk()) if among else self.index
        task = self.tasks[onward]
        refused = self._refused(text, task)
        entry = None if refused else self._parse(text, task)
        if refused is None and isinstance(entry, TypedLine) and not among:
            return self._ask_or_log(onward, text, entry)
        again = None
        if refused is None and self.waiting:
            again = self._same_again(entry)
        if again is not None and isinstance(entry, TypedLine):
            return self._log(self._index(again), entry, "asked_kept", instead_of=again)
        parsed = _Parsed(self, text)
        if refused is None and among and any(parsed.at(n) for n in range(len(self.tasks))):
            return self._weighed(text, parsed)
        if refused is None:
            assert entry is not None and not isinstance(entry, TypedLine)
            refused = self._not_a_size(entry, text)
        self._set_apart(onward, text=text, refused=refused)
        return refused

    def _same_again(self, entry: object) -> Waiting | None:
        """The line that was just asked about, when the same is typed again: then it was right."""
        line = self.waiting[-1]
        if not self._fresh or line.asked is None or line.entry is None or not isinstance(entry, TypedLine):
            return None
        same = [s.mm for s in entry.sizes] == [s.mm for s in line.entry.sizes]
        onward = walk.next_stop(self._walk())
        return line if same and (onward == self.index or not self._fits(onward, entry)) else None

    def _weighed(self, text: str, parsed: _Parsed) -> Outcome:
        """A line that came while others wait."""
        standing = self._walk()
        place = walk.decide(standing, walk.weigh(standing, lambda stop: self._likelihood(stop, parsed)))
        index = place.stop.index
        entry = parsed.at(index)
        if entry is None:  # it cannot be read there: then it was meant for where it can
            index = next(n for n in range(len(self.tasks)) if parsed.at(n))
            entry = parsed.at(index)
            assert entry
        balloon = self.tasks[index].feature.balloon
        waits = next((w for w in self.waiting if w.balloon == balloon and self._gives_way(w, text)), None)
        if place.instead is not None and parsed.at(place.instead.index):
            return self._ask_which(index, place.instead, text, entry)
        if standing.fresh and standing.other is not None and place.stop.way is walk.Way.NEXT:
            self._confirm(standing, index)
        return self._ask_or_log(index, text, entry, waits)

    @staticmethod
    def _gives_way(line: Waiting, text: str) -> bool:
        """Whether a line that waits is done with once its size was typed again: not a figure that was refused."""
        return line.asked is not None or line.text.strip() == text.strip() or not any(c.isdigit() for c in line.text)

    def _ask_which(self, index: int, instead: walk.Stop, text: str, entry: TypedLine) -> Asked:
        task, other = self.tasks[index], self.tasks[instead.index].feature.balloon
        again = " typed again" if instead.way is walk.Way.AGAIN else " instead"
        asked = Asked(
            text=text,
            sentence=f"{text[:40]}: is this {other}{again}?",
            suggestion=None,
            task=task,
            balloon=other,
            todo=Todo.KEEP_ON,
            about=task.feature.balloon,
        )
        self._set_apart(index, text=text, entry=entry, asked=asked)
        return asked

    def _confirm(self, standing: walk.Standing, index: int) -> None:
        """The line after one that fits a later size belongs after that: then a size was passed over before it."""
        if standing.other is None or not standing.waiting:
            return
        before = standing.waiting[-1]
        if standing.other > before and index == walk.following(standing.other, standing.open, standing.waiting):
            self._doubt(before)

    def _walk(self) -> walk.Standing:
        indexes = [index for line in self.waiting if (index := self.index_of(line.balloon)) is not None]
        asked = self.waiting[-1].asked if self.waiting and self._fresh else None
        return walk.Standing(
            at=self.index,
            open=self.to_read,
            waiting=indexes,
            fresh=self._fork is not None or (bool(indexes) and self._fresh),
            other=self.index_of(asked.balloon) if asked else self._fork,
        )

    def _likelihood(self, stop: walk.Stop, parsed: _Parsed) -> float:
        """How likely such a line is for a size, per mm; slips are looked for where it most often belongs."""
        entry, task = parsed.at(stop.index), self.tasks[stop.index]
        if entry is None or not self.means:
            return 0.0
        if task.feature.quantity == "attribute":
            return 1.0
        expected = self._expected(task)
        if expected is None:
            return UNKNOWN_PER_MM
        slips_too = stop.way in (walk.Way.NEXT, walk.Way.AGAIN)
        lowest = inf
        for size in entry.sizes:
            if slips_too:
                weighed = slips.weigh(size, expected, **self._slip_terms(task))
            else:
                z = (size.mm - expected.centre_mm) / expected.spread_mm
                weighed = slips.Weighed(z, slips.honest_density(z), 0.0)
            lowest = min(lowest, weighed.per_mm(expected.spread_mm))
        return lowest

    def _fits(self, index: int, entry: TypedLine) -> bool:
        """Whether a line could be an honest one of a size."""
        expected = self._expected(self.tasks[index])
        if expected is None:
            return False
        return all(
            abs(size.mm - expected.centre_mm) <= slips.SPREADS_NEEDED * expected.spread_mm for size in entry.sizes
        )

    def _ask_or_log(self, index: int, text: str, entry: TypedLine, line: Waiting | None = None) -> Outcome:
        """Log a line for a size, in place of `line` where one waits there, unless there is something to ask first."""
        asked = self._asked(text, self.tasks[index], entry)
        if asked is None:
            return self._log(index, entry, "none", text=text, instead_of=line)
        before: tuple[TypedLine, ...] = ()
        if line is not None:
            same = line.entry is not None and line.text == text
            before = line.before if line.entry is None or same else (*line.before, line.entry)
            self.waiting = [other for other in self.waiting if other.key != line.key]
        at = self.index
        self._set_apart(index, text=text, entry=entry, asked=asked, before=before)
        if line is not None:
            self.index = at
        return asked

    def _refused(self, text: str, task: Task) -> Refused | None:
        """Why nothing can be read now, whatever was typed."""
        if self.person is None:
            return Refused(text, "Nobody measures yet.", Todo.SAY_WHO)
        if self.means is None:
            return Refused(text, "There is no instrument in hand yet.", Todo.SAY_WITH_WHAT)
        if self.means.out_of_use is not None:
            sentence = f"{self.means.instrument.label} {self.means.out_of_use}."
            return Refused(text, sentence, Todo.TAKE_ANOTHER_INSTRUMENT)
        if (wrong := _cannot_read(self.means.instrument, task)) is not None:
            return Refused(text, wrong, Todo.TAKE_ANOTHER_INSTRUMENT)
        return None

    def _asked(self, text: str, task: Task, entry: TypedLine) -> Asked | None:
        """What is to be asked about a line before it is written: a slip, or repeats that disagree."""
        question = self._question(task, entry)
        if question is not None:
            suggestion = None if question.balloon or question.kind == "gross" else question.suggested_text
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
        sentence = f"{disagree}. One of them misread?" if disagree else self._out_of_range(entry, task)
        return Asked(text=text, sentence=sentence, suggestion=None, task=task) if sentence else None

    def _out_of_range(self, entry: TypedLine, task: Task) -> str | None:
        """A sentence when the instrument at hand cannot have shown such a size."""
        assert self.means
        instrument = self.means.instrument
        if task.feature.quantity == "attribute" or (instrument.unit == "deg") != (unit_of(task.feature) == "deg"):
            return None
        factor = 25.4 if instrument.unit == "in" else 1.0
        low, high = instrument.range_lo * factor, instrument.range_hi * factor
        for size in entry.sizes:
            shown_mm = abs(size.mm) / (1.0 + instrument.rule_scale)
            if not low * (1.0 - OVER_RANGE) <= shown_mm <= high * (1.0 + OVER_RANGE):
                style = self.style.of(task.feature.quantity)
                reach = f"{style.given(low)} to {style.given(high)}"
                return f"{size.typed}: {instrument.label} reads from {reach}. Is it right?"
        return None

    def _apart(self, task: Task, entry: TypedLine) -> str | None:
        """A sentence when the repeats of a line lie further apart than the instrument at hand explains."""
        piece = self.subject.tool or self.subject.item
        values = [size.mm for size in entry.sizes]
        gap = judging.repeats_apart(task.sizes, piece, values, self.means_for(task), self.style)
        return gap[1] if gap else None

    def _parse(self, text: str, task: Task) -> TypedLine | Ambiguous | Unreadable:
        assert self.means
        instrument = self.means.instrument
        unit = bare_unit(task.feature, instrument, self.typed_in)
        return quantity.parse_line(text, unit, instrument.rule_scale, task.feature.quantity)

    @staticmethod
    def _not_a_size(parsed: Ambiguous | Unreadable, text: str) -> Refused:
        return Refused(text, parsed.sentence)

    def _expected(self, task: Task) -> slips.Expectation | None:
        """Where an honest reading of a task lies; None of a size that nobody knows before it was read once."""
        assert self.means
        if task.feature.quantity == "attribute" or not (task.feature.nominal_known or task.n):
            return None
        return _expected(task, self.means.u95(judging.what_kind(task.feature)) / 2.0)

    def _slip_terms(self, task: Task) -> dict[str, Any]:
        """What a slip with the instrument at hand can be."""
        assert self.means
        instrument = self.means.instrument
        return {
            "jaw_mm": instrument.jaw_mm if task.sizes.sense == "space" else None,
            "rule_scale": instrument.rule_scale,
            "rule_scales": slips.USUAL_SCALES if instrument.kind in ("rule", "contraction_rule") else (),
            "resolution_mm": self.means.resolution_mm,
            "style": self.style,
        }

    def _question(self, task: Task, entry: TypedLine) -> slips.SlipQuestion | None:
        assert self.means
        expected = self._expected(task)
        if expected is None:
            return None
        near = slips.SPREADS_NEEDED * expected.spread_mm
        if all(abs(size.mm - expected.centre_mm) <= near for size in entry.sizes):
            return None
        if self.subject.kind == "core":
            for size in entry.sizes:
                if is_the_castings(size.mm, task.sizes):
                    return self._in_the_cores_place(task, size)
        u = self.means.u95(judging.what_kind(task.feature)) / 2.0
        beside = [other for other in self.tasks if other is not task and (other.feature.nominal_known or other.n)]
        others = [_expected(other, u) for other in beside if _same_kind(other, task)]
        for size in entry.sizes:
            question = slips.check(size, expected, others, **self._slip_terms(task)) or slips.gross(size, expected)
            if question is not None:
                return question
        return None

    def _in_the_cores_place(self, task: Task, size: Size) -> slips.SlipQuestion:
        """A size of the casting, typed for its sand core."""
        cast, core = (self.style.length(mm) for mm in (task.sizes.as_cast, task.sizes.target))
        return slips.SlipQuestion(
            kind="casting",
            suggested_mm=size.mm,
            suggested_text=size.typed,
            sentence=f"{size.typed}: the casting's size ({cast}), not its sand core's ({core}). Is it the core's?",
            odds=0.0,
        )

    def _log(
        self, index: int, entry: TypedLine, slip: str, text: str = "", instead_of: Waiting | None = None
    ) -> Logged:
        """Write the readings of one line, then judge them; raises RecordError when they are not on the disk.

        `instead_of` is the line that waited there: what was typed for it first is struck out.
        """
        task = self.tasks[index]
        struck = self._struck(entry, instead_of)
        try:
            logged = self._write(task, entry, slip, struck)
        except InspectError as problem:
            if instead_of is None and text:
                todo = getattr(problem, "todo", None) or Todo.TRY_AGAIN
                self._set_apart(index, text=text, refused=Refused(text, not_logged(problem), todo))
            raise
        judge = partial(
            judging.judge,
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
        )
        judged = judge(style=self.style)
        done = _grown(task, judged.corrected, judged.standing, odd=slip == "asked_kept")
        self.tasks[index] = done
        self._lines.append((self.state, task.feature.balloon, tuple(logged)))
        self._fresh, self._fork = False, None
        newest = index == self.index or instead_of is None
        if instead_of is not None:
            self._wait_no_more(instead_of)
        if newest:
            self._go_on(index)
        struck_texts = tuple(" ".join(size.typed for size in line.sizes) for line in struck)
        return Logged(
            task=done,
            readings=tuple(logged),
            judged=judged,
            judge=judge,
            remarks=entry.remarks,
            struck=struck_texts,
        )

    def _struck(self, entry: TypedLine, instead_of: Waiting | None) -> list[TypedLine]:
        if instead_of is None:
            return []
        typed = [*instead_of.before, *([instead_of.entry] if instead_of.entry else [])]
        return [line for line in typed if [s.mm for s in line.sizes] != [s.mm for s in entry.sizes]]

    def _go_on(self, index: int) -> None:
        """To the next size that is still to be read."""
        waiting = [n for line in self.waiting if (n := self.index_of(line.balloon)) is not None]
        onward = walk.following(index, self.to_read, waiting)
        if onward is None:
            onward = self._next_open(index)
        if onward is not None:
            self.index = onward

    def _write(self, task: Task, entry: TypedLine, slip: str, struck: Sequence[TypedLine]) -> list[Reading]:
        """In one commit: the stay where it begins, the readings, and what strikes those that were typed first."""
        assert self.person
        begins, setup = self._stay()
        first = [reading for line in struck for reading in self._readings(task, setup, line, "asked_retyped")]
        new = self._readings(task, setup, entry, slip)
        if first:
            first, new = self._with_ids(first), self._with_ids(new)
        out = [
            Supersede(
                target_id=old.id,
                replacement_id=new[min(i, len(new) - 1)].id,
                reason="misread",
                why="typed again when asked at the bench",
            )
            for i, old in enumerate(first)
        ]
        written = self.record.add_all([*begins, *first, *new, *out], by=self.person.id)
        self._began(written[: len(begins)])
        at = len(begins) + len(first)
        return written[at : at + len(new)]

    def _with_ids(self, readings: list[Reading]) -> list[Reading]:
        return [replace(reading, id=self.record.new_id()) for reading in readings]

    def part(self) -> tuple[str, ...]:
        """The tool is left: what is asked about is kept as typed, and what may stand one place off is marked.

        That is so where the last size of the list, or the last two, were never read and those before are like them:
        whoever passed one over was done early, and nothing else can show it. Returns the balloons of marked readings.
        """
        self.keep_pending()
        here = {balloon for _, balloon, _ in self._lines}
        first = len(self.tasks)
        while first > 0 and self.to_read[first - 1]:
            first -= 1
        left = len(self.tasks) - first
        if not first or not 0 < left <= MOST_LEFT or self.tasks[first - 1].feature.balloon not in here:
            return ()
        return self._doubt(first)[1] if self.person is not None and self.means is not None else ()

    def _doubt(self, index: int) -> tuple[str, tuple[str, ...]]:
        """A size was passed over at or before `index`: mark the readings before it that may stand one place off.

        A reading that fits the size after its own may be that one's, and so may one that fits neither well; the first
        that fits its own alone ends the row. Returns a sentence and the balloons.
        """
        doubted: list[str] = []
        notes: list[Note] = []
        now_ms = written_ms(self.record.new_id())
        for before in range(index - 1, -1, -1):
            task = self.tasks[before]
            newest = self.readings_of(task, limit=1, voided=False) if task.read else []
            lately = bool(newest) and now_ms - written_ms(newest[0].id) < WALK_MS
            if not lately or newest[0].slip != "none":  # it waits, was passed over itself, or is marked already
                continue
            off_own, off_next = self._off(task.last, before), self._off(task.last, before + 1)
            if off_next > (slips.SPREADS_NEEDED if off_own <= slips.SPREADS_NEEDED else slips.REACH):
                break
            doubted.insert(0, task.feature.balloon)
            if newest[0].id in self._doubted:
                continue
            self._doubted.add(newest[0].id)
            text = f"may be that of {self.tasks[before + 1].feature.balloon}: a size was passed over about here"
            notes.append(Note(about_kind=kind_of(Reading).number, about_id=newest[0].id, text=text))
            self.tasks[before] = replace(task, mark="again")
        if notes and self.person is not None:
            self.record.add_all(notes, by=self.person.id)
        remark = f"{', '.join(doubted)}: may stand one place off, for a size was passed over; measure them again"
        return remark if doubted else "", tuple(doubted)

    def _off(self, value: float | None, index: int) -> float:
        """How many spreads a value lies from what is expected of a size; its only reading is no witness for itself."""
        task = self.tasks[index]
        expected = self._expected(without(task, [task.mean]) if task.n == 1 else task)
        if value is None or expected is None:
            return inf
        return abs(value - expected.centre_mm) / expected.spread_mm

    def _doubting(self, index: int, logged: Logged) -> Logged:
        remark, _ = self._doubt(index)
        return replace(logged, remarks=(*logged.remarks, remark)) if remark else logged

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
        newest = next((line for line in reversed(self.waiting) if line.asked), None)
        if newest is not None:
            self._keep(newest, answered=False)
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
        return self._in_round(self._measured([Task(sizes=task.sizes)]))[0]

    @property
    def can_note(self) -> bool:
        """Whether there is a reading in this stay to put a note to."""
        return bool(self._lines)

    def pop_kept(self) -> Logged | None:
        """A reading that was kept as typed by the last `take` before its own outcome, each once, oldest first."""
        return self._kept.pop(0) if self._kept else None

    def note(self, text: str) -> bool:
        """Add a note to the newest reading of this stay; False when there is none."""
        if not self._lines or self.person is None:
            return False
        reading = self._lines[-1][2][-1]
        self.record.add(Note(about_kind=kind_of(Reading).number, about_id=reading.id, text=text), by=self.person.id)
        return True

    def forget_line(self, reading_id: Id) -> None:
        """A reading of this stay was put right elsewhere: it is not what is taken back next."""
        self._lines = [line for line in self._lines if all(reading.id != reading_id for reading in line[2])]

    def rows_of(self, task: Task) -> tuple[Id, ...]:
        """The rows of a task's size, on older drawings too, where unchanged."""
        return self._same.get(task.feature.id, (task.feature.id,))

    def readings_of(self, task: Task, limit: int = 8, voided: bool = True) -> list[LoggedReading]:
        """The newest readings of a task's size here, newest first; on older drawings too, where unchanged."""
        return self.record.readings(
            feature_id=self.rows_of(task),
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


class _Parsed:
    """A line as it is read for each size of the list; each sort of size reads it once."""

    def __init__(self, bench: Bench, text: str) -> None:
        self._bench, self._text = bench, text
        self._read: dict[str, TypedLine | None] = {}

    def at(self, index: int) -> TypedLine | None:
        """The line as a reading of that size; None where it is none, or the instrument cannot read it."""
        task = self._bench.tasks[index]
        quantity = task.feature.quantity
        if quantity not in self._read:
            fit = self._bench.means is not None and _cannot_read(self._bench.means.instrument, task) is None
            parsed = self._bench._parse(self._text, task) if fit else None
            self._read[quantity] = parsed if isinstance(parsed, TypedLine) else None
        return self._read[quantity]


def _grown(task: Task, values: Sequence[float], state: Standing, odd: bool = False) -> Task:
    """The task after further readings: its summary moves by one merge a reading, as the record's does.

    `odd`: they were asked about and kept; nothing is expected from them unless another such reading bears them out.
    """
    if odd:
        asked = [*task.odd, *values]
        alone = odd_among(task, asked)
        task = replace(task, odd=tuple(alone), last=values[-1])
        values = [value for value in asked if value not in alone]
        if not values:
            return replace(task, state=state, mark="", due=False)
        last = task.last
        return replace(_grown(task, values, state), last=last, odd=tuple(alone))
    n, mean, m2 = task.n, task.mean, task.s**2 * max(task.n - 1, 0)
    for value in values:
        n += 1
        step = value - mean
        mean += step / n
        m2 += step * (value - mean)
    s = sqrt(m2 / (n - 1)) if n > 1 else 0.0
    return replace(task, state=state, n=n, last=values[-1], mean=mean, s=s, mark="", due=False)


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
