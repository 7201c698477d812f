"""The list of what to measure on a tool or casting, in a sensible order and with its state; who measures, with what."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from math import sqrt
from time import strftime

from inspect_tui.errors import DataError, NotFound
from inspect_tui.frozen import replace
from inspect_tui.metrology.typed.show import MM, Style, day_of
from inspect_tui.model.measuring import Instrument, Person, Session, Setup
from inspect_tui.model.words import Id
from inspect_tui.model.work import DrawingRevision, Feature, Item, Job, ToolFeature
from inspect_tui.record.ask.readings import KeptSummary, LastLine, LoggedReading, day_and_id, merged
from inspect_tui.record.read import Reader
from inspect_tui.shop.bench import clock
from inspect_tui.shop.bench.outcomes import Task
from inspect_tui.shop.bench.walk import following
from inspect_tui.shop.common import find, judging, lineage
from inspect_tui.shop.common.corrections import Correction
from inspect_tui.shop.common.evidence import Evidence
from inspect_tui.shop.common.find import Subject
from inspect_tui.shop.common.judging import Means
from inspect_tui.shop.common.sizes import FINISHED, RAW, is_datum_face, is_machined, of_sand, sizes

TYPE_CHECKING = False
if TYPE_CHECKING:
    from inspect_tui.model.first_article import Realigned
    from inspect_tui.record.store import Record

SAND_FROM = ("core_box", "production_pattern", "core_stick", "master")  # what a sand core is judged by, best first
AXIS_ORDER = {"x": 0, "y": 1, "z": 2, "oblique": 3, "none": 4}
TOO_COARSE = ("template", "thermometer", "rule", "tape")  # never what settles a doubt


class Worklist:
    """What is to be measured on one tool or casting, in order and with its state; who measures, and with what.

    `style` is how it says figures: the face that shows it hands its own down.
    """

    style: Style = MM

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
        """`features` of the newest drawing, `evidence` and `same` (`lineage.same_rows`) where the caller has them."""
        self.record, self.job, self.subject = record, job, subject
        self.person = person
        self.revision: DrawingRevision = find.latest_revision(record, job)
        self.today = today or clock.believed_day(record) or strftime("%Y-%m-%d")
        self.opened_on = self.today
        self.work_c: float | None = None
        self.instrument_c: float | None = None
        self.moisture: float | None = None
        self.state = RAW  # of the casting at hand, until somebody says that it was machined
        self.on_date: str | None = None  # the day (ISO) on which it was measured, where that is not today
        self.means: Means | None = None
        self.index = 0
        self.round: str | None = None  # the name of the round that is walked: the day it was begun on
        self._evidence = evidence
        self._same_known = same
        self._same: Mapping[Id, tuple[Id, ...]] = {}  # feature -> its rows in older drawings that ask for the same
        self._session: Session | None = None
        self._setup: Setup | None = None
        if instrument is not None:
            self.set_instrument(instrument)
        self._features = features  # of the newest revision, where the caller has them at hand
        self.tasks = self._load_tasks(states)
        self.index = self._next_open(-1) or 0

    # ---------------------------------------------------------------- the list of what to measure
    def _load_tasks(self, states: bool = True) -> list[Task]:
        """The list; without `states` each feature's earlier verdict is left out, which `log` does not show."""
        pairs: list[tuple[Feature, ToolFeature | None]] = []
        known: Iterable[Feature] | None = self._features
        if self.subject.tool is not None:
            on_tools = self.record.tool_features(self.subject.tool.of_id)
            if known is None:
                known = self.record.features_by_id({on_tool.feature_id for on_tool in on_tools}).values()
            features = {f.id: f for f in known}
            for on_tool in on_tools:
                feature = features.get(on_tool.feature_id)
                if feature is not None and feature.revision_id == self.revision.id:
                    pairs.append((feature, on_tool))
        else:
            assert self.subject.item
            known = self.record.features(self.revision.id) if known is None else known
            features = {f.id: f for f in known}
            on_core = on_sand_core(self.record, self.job, self.subject.item, features)
            pairs = on_core or [(f, None) for f in features.values() if f.scale == "cast" and self._in_state(f)]
        pairs.sort(key=lambda pair: (pair[0].scale, AXIS_ORDER[pair[0].axis], pair[0].ord))
        self._same = self._same_known or lineage.same_rows(
            self.record, self.job, [feature for feature, _ in pairs], features.values()
        )
        tasks = [Task(sizes=sizes(self.job, feature, self.subject, on_tool, self.state)) for feature, on_tool in pairs]
        return self._in_round(self._measured(tasks, states))

    # ---------------------------------------------------------------- measured again as a round
    def begin_round(self, name: str | None = None) -> str:
        """Walk the whole list anew, or go on with the round of that name; returns its name.

        A round is named by the day on which it was begun, a second one of a day with a number behind it. What was read
        in it stands in the record with its name, so that it keeps its place whatever happens to the program.
        """
        self.round = name or self._new_round()
        self._session = self._setup = None
        self.tasks = self._in_round([replace(task, mark="") for task in self.tasks])
        self.index = self._next_open(self._last_read() if name else -1) or 0
        return self.round

    def _last_read(self) -> int:
        """Where in the list the newest reading on this tool or item stands; -1 where there is none."""
        tool, item = self.subject_ids
        newest = self.record.readings(tool_of_id=tool, item_id=item, limit=1, newest_first=True, include_void=False)
        ids = {reading.reading.feature_id for reading in newest}
        rows = [self._same.get(task.feature.id, (task.feature.id,)) for task in self.tasks]
        return next((n for n, of in enumerate(rows) if not ids.isdisjoint(of)), -1)

    def end_round(self) -> None:
        """Go on without the round; what it has not read is not asked for any more."""
        self.round = self._session = self._setup = None
        self.tasks = self._in_round(self.tasks)

    @property
    def left_in_round(self) -> list[str]:
        """The balloons that the round has still to read."""
        return [task.feature.balloon for task in self.tasks if task.due]

    def _new_round(self) -> str:
        day, number = self.today, 1
        while self.record.read_in_round(*self.subject_ids, _title(_nth(day, number))):
            number += 1
        return _nth(day, number)

    def _in_round(self, tasks: list[Task]) -> list[Task]:
        """The tasks with what the round has still to read of them."""
        if self.round is None:
            return [replace(task, due=False) if task.due else task for task in tasks]
        read = self.record.read_in_round(*self.subject_ids, _title(self.round))
        return [
            replace(task, due=read.isdisjoint(self._same.get(task.feature.id, (task.feature.id,)))) for task in tasks
        ]

    def _in_state(self, feature: Feature) -> bool:
        return (self.state == RAW or is_machined(feature)) and not is_datum_face(feature)

    def _measured(self, tasks: list[Task], states: bool = True) -> list[Task]:
        """The tasks with what was measured of them, on older drawings too where they asked for the same."""
        on = self.subject_ids
        summaries = self.record.summaries(*on, state=self.state)
        if not summaries:
            return tasks
        lines = self.record.last_lines(*on, state=self.state)
        walked = [reading for line in lines.values() for reading in line.walked]
        self.evidence.expect(walked, self.subject.tool or self.subject.item)
        return [self._with_history(task, summaries, lines, states) for task in tasks]

    def _with_history(
        self, task: Task, summaries: dict[Id, KeptSummary], lines: dict[Id, LastLine], states: bool
    ) -> Task:
        ids = self._same.get(task.feature.id, (task.feature.id,))
        kept = [summaries[row] for row in ids if row in summaries and summaries[row].n]
        summary = merged(kept)
        if summary is None:
            return task
        of_feature = [lines[row] for row in ids if row in lines]
        if states:
            line = max(of_feature, key=day_and_id, default=None)
            task = self._with_state(task, line, summary.last_value, summary.n)
        walked = sorted((reading for line in of_feature for reading in line.walked), reverse=True)
        summary = self.evidence.summary(summary, walked, task.feature, self.subject.tool or self.subject.item)
        task = replace(task, n=summary.n, mean=summary.mean, s=_scatter(summary.n, summary.m2))
        asked = [reading.value for reading in walked if reading.slip == "asked_kept"]
        return without(task, odd_among(task, asked)) if asked else task

    @property
    def subject_ids(self) -> tuple[Id | None, Id | None]:
        """The tool (its first version) or the item that is measured, as the record is asked for it."""
        return (self.subject.key, None) if self.subject.tool else (None, self.subject.key)

    @property
    def evidence(self) -> Evidence:
        """What puts logged readings right; read when the first of them is looked at."""
        if self._evidence is None:
            self._evidence = Evidence(self.record)
        return self._evidence

    @property
    def turns(self) -> Sequence[Realigned]:
        """How the raw casting that is measured was re-aligned."""
        return self.evidence.turns(self.subject.item) if self.subject.item and self.state == RAW else ()

    def renew(self) -> None:
        """The list of the newest drawing, of the job as it now is; a new session begins, for a session has one."""
        self.job = self.record.job(self.job.of_id)
        self.revision = find.latest_revision(self.record, self.job)
        self._features = self._same_known = None
        self._session = self._setup = None
        self.tasks = self._load_tasks()

    def refresh(self) -> None:
        """The states anew from the record, for readings were taken out of count elsewhere; marks stay.

        What is measured on, and who measures, may have been said to be one with what another bench entered.
        """
        self._as_one()
        marks = {task.feature.id: task.mark for task in self.tasks}
        self.tasks = [replace(task, mark=marks.get(task.feature.id, "")) for task in self._load_tasks()]

    def _as_one(self) -> None:
        record = self.record
        if record.all_apart:
            return
        if record.first_of(self.job.of_id) != self.job.of_id:
            self.job = record.job(self.job.of_id)
            self.revision = find.latest_revision(record, self.job)
            self._features = self._same_known = None
            self._session = self._setup = None
        if record.first_of(self.subject.key) != self.subject.key:
            listed = find.subjects(record, self.job)
            one = record.first_of(self.subject.key)
            self.subject = next((subject for subject in listed if subject.key == one), self.subject)
        if self.person is not None and record.first_of(self.person.of_id) != self.person.of_id:
            one = record.first_of(self.person.of_id)
            self.person = next((person for person in record.people() if person.of_id == one), self.person)

    def _with_state(self, task: Task, line: LastLine | None, value: float, n: int) -> Task:
        """State from the newest line, judged with what it was read with.

        Without a line so many readings came after it that it was not looked up; its last value is known.
        """
        if line is None:
            stands: judging.Stands | judging.Judged = judging.judge(
                self.job, self.subject, task.sizes, [value], self.means_for(task), turns=self.turns
            )
        else:
            stands = self.evidence.stands(self.job, self.subject, task.sizes, line.readings, self.turns)
        return replace(task, state=stands.standing, n=n, last=stands.corrected[-1], mark="")

    def corrections_of(self, task: Task, readings: Sequence[LoggedReading]) -> dict[Id, Correction]:
        """How readings of a task are put right, by reading; those that stand as they were read are not in it."""
        piece, turns = self.subject.tool or self.subject.item, self.turns
        setups = self.evidence.setups(reading.setup_id for reading in readings)
        made = {
            r.id: self.evidence.correction(setups[r.setup_id], day_of(r.at_us, r.tz_min), task.feature, piece, turns)
            for r in readings
        }
        return {id_: correction for id_, correction in made.items() if not correction.nothing}

    @property
    def task(self) -> Task | None:
        """What is to be measured now."""
        return self.tasks[self.index] if self.tasks else None

    @property
    def to_do(self) -> int:
        """How many are still to be measured."""
        return sum(task.open for task in self.tasks)

    def _next_open(self, after: int) -> int | None:
        onward = following(after, self.to_read)
        return next((i for i, task in enumerate(self.tasks) if task.open), None) if onward is None else onward

    @property
    def to_read(self) -> list[bool]:
        """Of each line of the list, whether the walk stops there: still to be measured, and not passed over."""
        return [task.open and task.mark != "skipped" for task in self.tasks]

    def move(self, by: int) -> None:
        """Go up or down the list."""
        if self.tasks:
            self.index = min(max(self.index + by, 0), len(self.tasks) - 1)

    def goto(self, balloon: str) -> None:
        """Go to a feature by balloon; raises NotFound with the nearest."""
        listed = [t.feature for t in self.tasks]
        try:
            wanted = find.feature(listed, balloon, self.revision.rev)
        except NotFound:
            drawn = find.feature(self.record.features(self.revision.id), balloon, self.revision.rev)
            if self.state == FINISHED and not is_machined(drawn):
                sizes(self.job, drawn, self.subject, state=FINISHED)  # says why not
            there = ", ".join(f.balloon for f in listed[:6]) + (" ..." if len(listed) > 6 else "")
            raise NotFound(
                f"{drawn.balloon} is not measured on {self.subject.label}; measured there: {there or 'nothing yet'}."
            ) from None
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

    def set_conditions(
        self, work_c: float | None, moisture: float | None = None, instrument_c: float | None = None
    ) -> None:
        """Temperatures (degC) of work and instrument, moisture (fraction) of the work from now on; None: not known."""
        self.work_c, self.instrument_c, self.moisture, self._setup = work_c, instrument_c, moisture, None

    def set_state(self, state: str) -> None:
        """In which state the casting at hand is from now on: raw, or finished by machining; the list follows.

        Errors: DataError for *finished* on a tool or sand core, and where the drawing wants nothing machined.
        """
        if state == self.state:
            return
        if state == FINISHED:
            if self.subject.item is None or self.subject.item.kind != "casting":
                raise DataError(f"{self.subject.label} is no casting: only castings are measured finished.")
            if not any(is_machined(feature) for feature in self.record.features(self.revision.id)):
                raise DataError(f"Nothing on drawing {self.revision.number} is machined: no end carries stock.")
        at = self.task.feature.id if self.task else None
        self.state, self._setup = state, None
        self.tasks = self._load_tasks()
        same = next((n for n, task in enumerate(self.tasks) if task.feature.id == at), None)
        self.index = same if same is not None else self._next_open(-1) or 0

    def set_day(self, day: str | None, today: str) -> None:
        """On which day (ISO; None: today) was measured what is logged from now on; gauges are taken as they stood then.

        While the clock is in doubt the day of the clock makes it right, and a later one is believed.
        Errors: DataError for a day after `today`, on which nothing can have been measured.
        """
        doubted = self.record.clock_doubt()
        said, day = day, day or today
        if day > today and not (doubted and day <= clock.latest_day(doubted)):
            raise DataError(f"{day} is still to come: a reading has the day on which it was measured.")
        self.on_date = None if day == today and doubted is None else said
        self.today, self._setup = day, None
        self.forget_gauges()

    @property
    def clock_wrong(self) -> clock.ClockWrong | None:
        """What is said while the clock of this machine cannot be believed; None while it can."""
        return clock.wrong(self.record.clock_doubt(), self.on_date)

    def _means_of(self, instrument: Instrument) -> Means:
        return self.evidence.gauges.at_hand(instrument, self.today, self.style)

    def forget_gauges(self) -> None:
        """Look certificates, biases and studies up again: something about an instrument was written elsewhere."""
        self._evidence = None
        if self.means is not None:
            self.set_instrument(self.means.instrument)

    def means_for(self, task: Task, means: Means | None = None, who: Id | None = None) -> Means:
        """The instrument at hand (or `means`, in the hands of `who`) with the gauge study of this kind of feature."""
        if means is None:
            means, who = self.means, self.person.of_id if self.person else None
        if means is None:
            return judging.means(Instrument(label="?"), (), self.today)
        return self.evidence.gauges.with_study(means, task.feature, who)

    def _that_could_settle(self) -> list[Means]:
        """Instruments on the list that read sizes like the one at hand; looked up only when there is a doubt."""
        assert self.means
        angle = self.means.instrument.unit == "deg"
        like = [
            self._means_of(instrument)
            for instrument in self.record.instruments()
            if (instrument.unit == "deg") == angle and instrument.kind not in TOO_COARSE
        ]
        return [means for means in like if not means.bad]

    def _stay(self) -> tuple[list[Session | Setup], Id]:
        """What stands before a reading and is not in the record yet, and the setup of the reading.

        The first reading of a stay is written in one commit with them: `_began` is told once that is done.
        """
        assert self.person and self.means
        doubted = self.record.clock_doubt() is not None  # asked first: no id goes where a wrong clock is
        if self._setup is not None and self._setup.clock_doubt != doubted:
            self._setup = None  # the clock jumped meanwhile, or was put right
        if self._session is not None and self._setup is not None:
            return [], self._setup.id
        session = self._session or Session(
            id=self.record.new_id(),
            kind=self.subject.kind,
            job_of_id=self.job.of_id,
            revision_id=self.revision.id,
            title=_title(self.round) if self.round else None,
        )
        calibration = self.means.calibration
        setup = Setup(
            id=self.record.new_id(),
            session_id=session.id,
            person_id=self.person.id,
            instrument_id=self.means.instrument.id,
            calibration_id=calibration.id if calibration else None,
            work_c=self.work_c,
            instrument_c=self.instrument_c,
            moisture=self.moisture,
            on_date=self.on_date,
            state=self.state,
        )
        return [setup] if self._session else [session, setup], setup.id

    def _began(self, written: Sequence[Session | Setup]) -> None:
        """These are in the record now."""
        for thing in written:
            if isinstance(thing, Setup):
                self._setup = thing
            else:
                self._session = thing


def _nth(day: str, number: int) -> str:
    return day if number == 1 else f"{day} ({number})"


def _title(name: str) -> str:
    """The title of the stays that belong to a round."""
    return f"round {name}"


def _scatter(n: int, m2: float) -> float:
    return sqrt(max(m2, 0.0) / (n - 1)) if n > 1 else 0.0


def odd_among(task: Task, asked: Sequence[float]) -> list[float]:
    """Which of the readings that were kept although they were asked about bear nobody out, and are borne out by none.

    Two of them within half the tolerance of each other are what the tool is now, and are expected from then on. Nor is
    one odd that lies within half the tolerance of the target: the drawing was wrong when it was asked about.
    """
    width = task.sizes.band.width or max(1.0, 0.01 * abs(task.sizes.target))
    near, target = width / 2.0, task.sizes.target
    alone = [v for i, v in enumerate(asked) if all(abs(v - w) > near for j, w in enumerate(asked) if i != j)]
    return [v for v in alone if abs(v - target) > near]


def without(task: Task, odd: Sequence[float]) -> Task:
    """The task with some of its readings taken out of what is expected of the next one."""
    n, mean, m2 = task.n, task.mean, task.s**2 * max(task.n - 1, 0)
    for value in odd:
        n -= 1
        if n <= 0:
            return replace(task, n=0, mean=0.0, s=0.0, odd=tuple(odd))
        before, mean = mean, mean + (mean - value) / n
        m2 -= (value - before) * (value - mean)
    return replace(task, n=n, mean=mean, s=_scatter(n, m2), odd=tuple(odd))


def on_sand_core(
    record: Reader, job: Job, item: Item, features: dict[Id, Feature]
) -> list[tuple[Feature, ToolFeature | None]]:
    """What is measured on a sand core: the sizes of its newest box, else stick; nothing for a casting."""
    if item.kind != "core" or item.core_id is None:
        return []
    core = record.core(item.core_id).of_id
    tools = [
        t for t in record.tools(job.of_id) if t.kind in SAND_FROM and t.core_id and record.core(t.core_id).of_id == core
    ]
    for tool in sorted(reversed(tools), key=lambda t: SAND_FROM.index(t.kind)):
        measured: list[tuple[Feature, ToolFeature | None]] = [
            (features[on.feature_id], of_sand(on, tool.kind))
            for on in record.tool_features(tool.of_id)
            if on.feature_id in features
        ]
        if measured:
            return measured
    return []
