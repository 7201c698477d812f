"""What a file from the foundry would add: whose sheet it is, each answer put to its core, and what is asked first.

Sizes become readings of sand cores; checks, rubs and remarks answers about them. Nothing becomes a casting's reading.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from datetime import date
from typing import TYPE_CHECKING

from inspect_tui.errors import DataError, InspectError, NotFound
from inspect_tui.frozen import frozen_by_name
from inspect_tui.metrology.typed import day_order, fields, show, units
from inspect_tui.metrology.typed.fields import Wrong
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.foundry import SettingAnswer
from inspect_tui.model.measuring import Instrument, Person
from inspect_tui.model.work import Item
from inspect_tui.record import attachments, kinds
from inspect_tui.record.heic import as_jpeg, is_heic
from inspect_tui.shop.answers import in_its_place, sand_cores, words
from inspect_tui.shop.answers.refusals import refused
from inspect_tui.shop.answers.said import Answers, Said
from inspect_tui.shop.common import find, lineage
from inspect_tui.shop.common.drawing_notes import is_angle
from inspect_tui.shop.common.sizes import Sizes
from inspect_tui.shop.intake.columns import NOTHING
from inspect_tui.shop.intake.rows import ImportRefused
from inspect_tui.shop.kit import check as kit
from inspect_tui.shop.kit.paper.come_back import ComeBack, come_back, edition_of, line_of
from inspect_tui.todo import Todo

if TYPE_CHECKING:
    from inspect_tui.model.words import Id
    from inspect_tui.model.work import Core, Feature, Job
    from inspect_tui.record.store import Record
    from inspect_tui.shop.answers.checklist import FilledIn

FAR_MM, FAR_SHARE = 5.0, 0.25  # a reading further from its size than both is asked about: common practice, no source
NOTHING_SAID = frozenset({"", "-", "--", "none", "nothing", "no", "n", "nil", "0"})  # to: rubbed, forced, broken?


@frozen_by_name
class AnswerOptions:
    """What a person says with a file from the foundry."""

    by: str | None = None  # who measured, where the file does not say
    instrument: str | None = None
    names: tuple[tuple[str, str], ...] = ()  # what the file calls a person or gauge -> what it is called here
    mould: str | None = None  # of which casting or mould, where no line says
    unit: str | None = None
    day: str | None = None  # on which it was measured, where the file does not say
    days: str | None = None  # the order of day, month and year in it
    keep: bool = False  # take in what was asked about as it stands


@frozen_by_name
class SandReading:
    """One size of a sand core, mm (degrees for angles) as it will be recorded."""

    at: str
    serial: str
    core: Core
    feature: Feature
    value: float
    typed: str
    unit: str
    rep: int
    by: str
    instrument: str
    day: str


@frozen_by_name
class PictureSaid:
    """A picture for a sand core, or for the job where it shows the whole mould."""

    serial: str | None
    name: str
    caption: str | None
    content: bytes


@frozen_by_name
class CheckedAnswers:
    """A file from the foundry that was understood whole: what would be written. `asked` is to be answered first."""

    answers: Answers
    job: Job
    readings: tuple[SandReading, ...]
    said: tuple[tuple[str | None, SettingAnswer], ...]  # with the sand core it is about
    pictures: tuple[PictureSaid, ...]
    new_cores: tuple[tuple[str, Core, Id | None], ...]  # serial, core, lot
    items: Mapping[str, Item]  # sand cores that are there, by serial
    already: int
    remarks: tuple[str, ...]
    asked: tuple[str, ...]
    people: Mapping[str, Person]
    instruments: Mapping[str, Instrument]
    by: Person
    revision_id: Id
    today: str

    @property
    def nothing_new(self) -> bool:
        """Whether all of it is in the record already."""
        return not (self.readings or self.said or self.pictures)

    @property
    def sand(self) -> tuple[str, ...]:
        """The sand cores that it has something new of."""
        about = [
            *(reading.serial for reading in self.readings),
            *(serial for serial, _ in self.said),
            *(picture.serial for picture in self.pictures),
        ]
        return tuple(dict.fromkeys(serial for serial in about if serial is not None))

    @property
    def sentence(self) -> str:
        """How much would come in, in one line."""
        counted = (len(self.readings), "size"), (len(self.said), "answer"), (len(self.pictures), "picture")
        new = ", ".join(show.count(n, what) for n, what in counted if n) or "nothing new"
        of = f" of {show.count(len(self.sand), 'sand core')}" if self.sand else ""
        there = f"; {show.count(self.already, 'thing')} {'is' if self.already == 1 else 'are'} there already"
        return f"{new}{of}, job {self.job.number}{there if self.already else ''}"

    def lines(self, style: Style = MM) -> list[tuple[str, str]]:
        """What would be written and what is asked, (what, words) a line."""
        new = {serial for serial, _, _ in self.new_cores}
        lines = []
        for serial in self.sand:
            sizes_read = [f"{r.feature.balloon} {r.typed}" for r in self.readings if r.serial == serial]
            about = [words.said(answer, style) for of, answer in self.said if of == serial]
            pictures = sum(picture.serial == serial for picture in self.pictures)
            said = [*([", ".join(sizes_read)] if sizes_read else []), *about]
            said += [show.count(pictures, "picture")] if pictures else []
            lines.append((f"{serial}{' (new)' if serial in new else ''}", "; ".join(said)))
        whole = [words.said(answer, style) for serial, answer in self.said if serial is None]
        pictures = sum(picture.serial is None for picture in self.pictures)
        whole += [show.count(pictures, "picture")] if pictures else []
        lines += [("the mould", "; ".join(whole))] if whole else []
        lines += [("note", remark) for remark in self.remarks]
        return lines + [("asked", sentence) for sentence in self.asked]


def job_of(record: Record, answers: Answers | FilledIn, number: str | None) -> Job:
    """The job that a file is for: the one that was said, else the one it names; refused where these differ."""
    there = {job.number.casefold(): job for job in record.jobs()}
    named = there.get(answers.job.casefold())
    if number is None:
        return named or find.job(record, None)
    job = find.job(record, number)
    if named is not None and named.of_id != job.of_id:
        raise ImportRefused(
            f"{answers.name} is a sheet of job {named.number}, not of {job.number}. {NOTHING}",
            todo=Todo.CHOOSE_JOB,
            about=named.number,
        )
    return job


def check(
    record: Record, job: Job, answers: Answers, options: AnswerOptions, today: str | None = None, style: Style = MM
) -> CheckedAnswers:
    """Everything the file says, put to the cores of the job. ImportRefused with all that is wrong."""
    return _Check(record, job, answers, options, today or date.today().isoformat(), style).whole()


class _Check:
    """One file on its way into a job."""

    def __init__(
        self, record: Record, job: Job, answers: Answers, options: AnswerOptions, today: str, style: Style
    ) -> None:
        self.record, self.job, self.answers, self.options = record, job, answers, options
        self.today, self.style = today, style
        self.wrong: list[str] = list(answers.wrong)
        self.asked: list[str] = []
        self.remarks: list[str] = list(answers.remarks)
        self.todo: tuple[Todo, str] | None = None
        self.kit = kit.check(record, job, style=style)
        self.sheet = come_back(record, job, self.kit)
        self.revision = find.latest_revision(record, job)
        self.features = {feature.id: feature for feature in record.features(self.revision.id)}
        self.cores = {core.number: core for core in record.cores(job.of_id)}
        every = record.items(job.of_id)
        self.items = {item.serial.casefold(): item for item in every if item.kind == "core"}
        self.castings = {item.serial.casefold(): item for item in every if item.kind == "casting"}
        self.on_core: dict[int, dict[str, Sizes]] = {}
        self.new_cores: dict[str, tuple[str, Core, Id | None]] = {}
        self.people: dict[str, Person] = {}
        self.instruments: dict[str, Instrument] = {}
        self.nameless: set[tuple[str, str]] = set()
        self.foreign: list[str] = []
        self.names = {called.strip().casefold(): name for called, name in options.names}

    def whole(self) -> CheckedAnswers:
        """The file put to the job; raises where anything is wrong in it."""
        self._options()
        self._whose()
        readings = [r for row in self.answers.rows if row.sort == "size" if (r := self._size(row)) is not None]
        said = [s for row in self.answers.rows if row.sort in ("check", "rub", "remark") for s in self._said(row)]
        pictures = [p for row in self.answers.rows if row.sort == "picture" if (p := self._picture(row)) is not None]
        by = self._enters(readings)
        if self.wrong or by is None:
            self._refuse()
        assert by is not None  # else something was wrong
        if not (readings or said or pictures):
            raise ImportRefused(f"{self.answers.name} holds no answers yet: nothing in it is filled in. {NOTHING}")
        new_readings, there = self._new_readings(readings)
        new_said, there_said = self._new_said(said)
        new_pictures, there_pictures = self._new_pictures(pictures)
        self._odd(new_readings)
        wanted = (
            {r.serial for r in new_readings}
            | {s for s, _ in new_said if s}
            | {p.serial for p in new_pictures if p.serial}
        )
        return CheckedAnswers(
            answers=self.answers,
            job=self.job,
            readings=tuple(new_readings),
            said=tuple(new_said),
            pictures=tuple(new_pictures),
            new_cores=tuple(made for made in self.new_cores.values() if made[0] in wanted),
            items={item.serial: item for item in self.items.values()},
            already=there + there_said + there_pictures,
            remarks=tuple(self.remarks),
            asked=() if self.options.keep else tuple(self.asked),
            people=self.people,
            instruments=self.instruments,
            by=by,
            revision_id=self.revision.id,
            today=self.today,
        )

    def _refuse(self) -> None:
        """What is wrong; a file of another job is told first, for all else follows from it."""
        raise refused(self.answers.name, [*self.foreign, *self.wrong], *(self.todo or ()))

    def _options(self) -> None:
        if self.options.unit is not None and isinstance(fields.unit_of(self.options.unit, "length"), Wrong):
            raise DataError(f"{self.options.unit} is no unit of length: give mm, cm, m, in or ft. {NOTHING}")
        if self.options.days is not None and self.options.days not in day_order.ORDERS:
            raise DataError(f"{self.options.days} is no order of a day: {', '.join(day_order.ORDERS)}. {NOTHING}")

    # ---------------------------------------------------------------- whose sheet it is
    def _whose(self) -> None:
        answers, sheet = self.answers, self.sheet
        if answers.job and answers.job.casefold() != self.job.number.casefold():
            self.foreign = [
                f"it says job {answers.job[:40]}, which is not in the record: is it a sheet of {self.job.number}?"
            ]
            self.asked += self.foreign
        if answers.changed:
            self.asked.append(
                "it was changed after it was made: its mark does not fit what it holds. Is it what was sent?"
            )
        if answers.lines:
            self._whose_table(answers, sheet)
        elif answers.edition != sheet.edition:
            self.asked.append(self._older())

    def _older(self) -> str:
        answers = self.answers
        rev = f" (revision {answers.rev[:20]})" if answers.rev and answers.rev != (self.sheet.rev or "") else ""
        if not answers.edition:
            return "it does not say of which edition of the kit it is: do its answers belong to the kit as it stands?"
        return (
            f"it was made from another edition of the kit, {answers.edition[:20]}{rev}; the kit as it stands is "
            f"{self.sheet.edition}: were the cores set by the other one?"
        )

    def _whose_table(self, answers: Answers, sheet: ComeBack) -> None:
        now = Counter(
            line_of(r.kind, r.core, r.what, r.balloon, r.wanted_mm, r.lower_mm, r.upper_mm) for r in sheet.rows
        )
        differ = [(at, line) for at, line in answers.lines if line not in now]
        own = edition_of(answers.job or self.job.number, [line for _, line in answers.lines])
        if answers.edition in ("", sheet.edition):
            if not answers.edition and (differ or not answers.lines):
                self.asked.append(self._older())
            self.asked += [self._differs(at, line, list(now), "the sheet was changed") for at, line in differ]
        else:
            cut = "" if own == answers.edition else "; lines of it were changed or cut out since"
            self.asked.append(self._older()[:-1] + f"{cut}?")
            self.asked += [self._differs(at, line, list(now), "by now") for at, line in differ[:20]]

    def _differs(self, at: str, line: str, now: Sequence[str], how: str) -> str:
        """What stands in a line of the sheet, and what stands there in the kit as it is."""
        kind, core, what, balloon, *figures = line.split("|")
        same = [other.split("|") for other in now if other.split("|")[:2] == [kind, core]]
        other = next((o for o in same if (o[3] == balloon if balloon else o[2] == what)), None)
        name = " ".join(filter(None, (f"core {core}" if core else "the mould", balloon.upper() or what)))
        if other is None:
            return f"{at}: {name} is not on the sheet of the kit as it stands"
        told = [
            f"{word} {self._shown(was)}, {how} {self._shown(is_)}"
            if how == "by now"
            else f"{word} {self._shown(was)} where the kit says {self._shown(is_)}"
            for word, was, is_ in zip(("wanted", "lower", "upper"), figures, other[4:], strict=True)
            if was != is_
        ]
        if not told:
            told = [f"called {what or 'nothing'} where the kit says {other[2]}"]
        return f"{at}: {name}: {', '.join(told)}"

    def _shown(self, figure: str) -> str:
        """A size of a line as people read it."""
        return self.style.length(float(figure)) if figure else "nothing"

    # ---------------------------------------------------------------- one answer
    def _core(self, row: Said) -> Core | None:
        assert row.core is not None
        core = self.cores.get(row.core)
        if core is None:
            there = ", ".join(str(number) for number in sorted(self.cores)[:20]) or "none yet"
            self.wrong.append(f"{row.at}: job {self.job.number} has no core {row.core}; there are: {there}")
        return core

    def _mould(self, row: Said) -> str | None:
        mould = " ".join((row.mould or self.options.mould or "").split())
        if not mould:
            self.wrong.append(f"{row.at}: it does not say which casting or mould the core was set for")
            self.todo = self.todo or (Todo.SAY_MOULD, "")
            return None
        if len(mould) > 34:
            self.wrong.append(f"{row.at}: {mould[:24]}… is no mark of a mould: 34 letters are the most")
            return None
        casting = self.castings.get(mould.casefold())
        return casting.serial if casting else mould

    def _sand(self, row: Said, core: Core, mould: str) -> str:
        """The serial of the sand core that an answer is about; a new one is noted."""
        serial = sand_cores.serial_of(mould, core.number)
        there = self.items.get(serial.casefold())
        if there is not None:
            return there.serial
        casting = self.castings.get(mould.casefold())
        return self.new_cores.setdefault(serial.casefold(), (serial, core, casting.lot_id if casting else None))[0]

    def _day(self, row: Said) -> str | None:
        text = row.day or self.options.day or ""
        if not text:
            return self.today
        day = day_order.day_in(text, self.options.days, self.today)
        if isinstance(day, Wrong):
            self.wrong.append(f"{row.at}: {day}")
            if self.options.days is None and day_order.may_be_two(text):
                self.todo = self.todo or (Todo.SAY_DAY_ORDER, "")
            return None
        if day > self.today:
            self.wrong.append(f"{row.at}: {day} is still to come: a reading has the day on which it was measured")
            return None
        return day

    def _sizes_of(self, core: Core) -> dict[str, Sizes]:
        """The sizes that a sand core of it has, by balloon."""
        if core.number not in self.on_core:
            sand = Item(job_of_id=self.job.of_id, kind="core", serial="?", core_id=core.id)
            self.on_core[core.number] = in_its_place.sizes_of(self.record, self.job, sand)
        return self.on_core[core.number]

    def _size(self, row: Said) -> SandReading | None:
        core, mould, day = self._core(row), self._mould(row), self._day(row)
        if core is None or mould is None or day is None:
            return None
        here = self._sizes_of(core)
        try:
            feature = find.feature([s.feature for s in here.values()], row.what)
        except NotFound:
            close = find.get_close_matches(row.what.upper(), list(here), n=2, cutoff=0.5)
            near = f"nearest: {', '.join(close)}" if close else f"measured there: {', '.join(here) or 'nothing yet'}"
            self.wrong.append(f"{row.at}: {row.what[:24]} is not measured on core {core.number}; {near}")
            return None
        value = self._value(row, feature)
        if value is None:
            return None
        by = self._person(row.who or self.options.by or "", row.at)
        gauge = self._gauge(row.gauge or self.options.instrument or "", row.at)
        if by is None or gauge is None:
            return None
        return SandReading(
            at=row.at,
            serial=self._sand(row, core, mould),
            core=core,
            feature=feature,
            value=value[0],
            typed=row.text[:64],
            unit=value[1],
            rep=1,
            by=by,
            instrument=gauge,
            day=day,
        )

    def _value(self, row: Said, feature: Feature | None) -> tuple[float, str] | None:
        """A reading in mm (degrees), and its unit."""
        angle = feature is not None and is_angle(feature)
        unit = "deg" if angle else fields.unit_of(row.unit or self.options.unit or "mm", "length")
        if isinstance(unit, Wrong):
            self.wrong.append(f"{row.at}: {unit}")
            return None
        if feature is None:  # a gap may be nought, or the cores may press
            size = fields.size(row.text, unit, signed=True, zero=True)
        else:
            size = fields.size(row.text, unit, quantity=feature.quantity)
        if isinstance(size, Wrong):
            self.wrong.append(f"{row.at}: {size}")
            return None
        return size, unit

    def _said(self, row: Said) -> list[tuple[str | None, SettingAnswer]]:
        if row.sort == "rub" and row.text.strip(" .!").casefold() in NOTHING_SAID:
            return []
        core = self._core(row) if row.core is not None else None
        mould, day = self._mould(row), self._day(row)
        result, value = "", None
        if row.sort == "check":
            result, value = self._result(row)
            if not result and value is None:
                return []
        if (row.core is not None and core is None) or mould is None or day is None:
            return []
        serial = self._sand(row, core, mould) if core is not None else None
        step = row.step
        if step is None and core is not None:
            step = next((r.step for r in self.sheet.rows if r.core == core.number), None)
        lower, upper = self._limits(row)
        answer = SettingAnswer(
            job_of_id=self.job.of_id,
            core_of_id=core.of_id if core else None,
            step=step,
            sort=row.sort,
            what=row.what,
            result=result or None,
            value=value,
            typed=row.text[:64] if value is not None else None,
            lower=lower,
            upper=upper,
            words=(row.text if row.sort != "check" else "") or None,
            mould=mould,
            who=row.who[:80] or None,
            on_date=day,
        )
        return [(serial, answer)]

    def _limits(self, row: Said) -> tuple[float | None, float | None]:
        """The limits of a check: those that the file gives, else those of the kit as it stands."""
        if row.sort == "check" and row.lower is None and row.upper is None:
            for there in self.sheet.rows:
                if there.kind == "check" and there.core == row.core and there.what.casefold() == row.what.casefold():
                    return there.lower_mm, there.upper_mm
        return row.lower, row.upper

    def _result(self, row: Said) -> tuple[str, float | None]:
        """Go or no-go, and the gap in mm, of a check; "" and None where it is neither, which is said."""
        typed = [" ".join(text.casefold().split()) for text in (row.result, row.text) if text]
        told = words.SAID
        result = next((told[text] for text in typed if text in told), "")
        if row.result and " ".join(row.result.casefold().split()) not in told:
            self.wrong.append(f"{row.at}: {row.result[:20]} is neither go nor no-go")
            return "", None
        if not row.text or " ".join(row.text.casefold().split()) in told:
            return result, None
        value = self._value(row, None)
        return ("", None) if value is None else (result, value[0])

    def _picture(self, row: Said) -> PictureSaid | None:
        core = self._core(row) if row.core is not None else None
        mould = self._mould(row)
        if (row.core is not None and core is None) or mould is None:
            return None
        try:
            content = as_jpeg(row.picture, row.what) if is_heic(row.picture) else row.picture
            if len(content) > attachments.MOST_BYTES:
                raise DataError("The picture is larger than 25 MB, the most that is kept: send it smaller.")
            attachments.look(content)
        except InspectError as problem:
            self.wrong.append(f"{row.at}: {problem}")
            return None
        step = f"step {row.step}, " if row.step else ""
        caption = row.text or f"{step}{mould}"
        return PictureSaid(
            serial=self._sand(row, core, mould) if core else None,
            name=row.what,
            caption=caption[:120],
            content=content,
        )

    # ---------------------------------------------------------------- who, with what
    def _person(self, name: str, at: str) -> str | None:
        """How the file calls a person who is known; None where nobody is, which is said once."""
        if name in self.people:
            return name
        known = self.record.people()
        by = {p.initials.casefold(): p for p in known} | {p.name.casefold(): p for p in known if p.name}
        person = by.get(self.names.get(name.strip().casefold(), name).strip().casefold())
        if person is None and not name and len(known) == 1:
            person = known[0]
        if person is not None:
            self.people[name] = person
            return name
        self._unknown("who", name, at, "who measured", list(by), ", ".join(p.initials for p in known), Todo.SAY_WHO)
        return None

    def _gauge(self, name: str, at: str) -> str | None:
        if name in self.instruments:
            return name
        gauges = self.record.instruments()
        try:
            if not name:
                raise NotFound("")
            called = self.names.get(name.strip().casefold(), name)
            self.instruments[name] = find.pick(called, gauges, lambda gauge: gauge.label, "instrument")
        except NotFound:
            labels = [gauge.label for gauge in gauges]
            there = ", ".join(labels[:8])
            self._unknown("gauge", name, at, "with what it was measured", labels, there, Todo.SAY_WITH_WHAT)
            return None
        return name

    def _unknown(
        self, sort: str, name: str, at: str, what: str, names: Sequence[str], there: str, unsaid: Todo
    ) -> None:
        if (sort, name) in self.nameless:
            return
        self.nameless.add((sort, name))
        if not name:
            self.wrong.append(f"{at}: it is not said {what}; in the record: {there or 'nothing yet'}")
            both = {Todo.SAY_WHO, Todo.SAY_WITH_WHAT} == {unsaid, self.todo[0] if self.todo else None}
            self.todo = (Todo.SAY_WHO_AND_WITH_WHAT, "") if both else self.todo or (unsaid, "")
            return
        close = find.get_close_matches(name.casefold(), [known.casefold() for known in names], n=2, cutoff=0.5)
        near = [known for known in names if known.casefold() in close]
        hint = f"nearest: {', '.join(near)}" if near else f"there are: {there or 'none yet'}"
        self.wrong.append(f"{at}: {name[:24]} is not known ({what}); {hint}")
        self.todo = (Todo.SAY_NAME, name)

    def _enters(self, readings: Sequence[SandReading]) -> Person | None:
        """Who stands beside the rows: who was said, else who measured."""
        if not self.options.by and any(row.sort == "size" for row in self.answers.rows):
            return self.people[readings[0].by] if readings else None
        name = self.options.by or ""
        if self._person(name, self.answers.name) is None:
            return None
        return self.people[name]

    # ---------------------------------------------------------------- what is there already
    def _new_readings(self, readings: Sequence[SandReading]) -> tuple[list[SandReading], int]:
        from inspect_tui.frozen import replace

        same = lineage.same_rows(self.record, self.job, list(self.features.values()))
        root = {row: feature for feature, line in same.items() for row in line}
        serial = {item.id: item.serial for item in self.items.values()}
        there: Counter[tuple[str, Id, float]] = Counter(
            (serial[item], root.get(feature, feature), round(value, 9))
            for item, feature, value in self.record.read_on_sand(self.job.of_id)
            if item in serial
        )
        new: list[SandReading] = []
        reps: Counter[tuple[str, Id]] = Counter()
        for reading in readings:
            key = (reading.serial, reading.feature.id, round(reading.value, 9))
            if there[key]:
                there[key] -= 1
            else:
                reps[key[:2]] += 1
                new.append(replace(reading, rep=reps[key[:2]]))
        return new, len(readings) - len(new)

    def _new_said(
        self, said: Sequence[tuple[str | None, SettingAnswer]]
    ) -> tuple[list[tuple[str | None, SettingAnswer]], int]:
        there = {_key(answer) for answer in self._answered()}
        new = []
        for serial, answer in said:
            if _key(answer) not in there:
                there.add(_key(answer))
                new.append((serial, answer))
        return new, len(said) - len(new)

    def _answered(self) -> list[SettingAnswer]:
        """All that was said, also what was put right or taken out by itself; not what went with its file."""
        everything = self.record.with_withdrawn()
        out = self.record.withdrawn(kinds.IMPORT_FILE.number)
        files = [file for file in everything.import_files(self.job.of_id) if file.id in out]
        with_files = {id_ for file in files for _, id_ in self.record.brought_by(file)}
        return [answer for answer in everything.setting_answers(self.job.of_id) if answer.id not in with_files]

    def _new_pictures(self, pictures: Sequence[PictureSaid]) -> tuple[list[PictureSaid], int]:
        from hashlib import sha256

        new = []
        for picture in pictures:
            item = self.items.get((picture.serial or "").casefold())
            about = self.job.of_id if picture.serial is None else item.id if item else None
            shown = self.record.pictures([about]).get(about, []) if about is not None else []
            digest = sha256(picture.content).hexdigest()
            if all(p.attachment.sha256 != digest for p in shown):
                new.append(picture)
        return new, len(pictures) - len(new)

    # ---------------------------------------------------------------- what looks odd
    def _odd(self, readings: Sequence[SandReading]) -> None:
        by_core: dict[str, list[SandReading]] = {}
        for reading in readings:
            by_core.setdefault(reading.serial, []).append(reading)
        for serial, own in by_core.items():
            like = in_its_place.of_the_casting([(reading.value, self._wanted(reading)) for reading in own])
            if like:
                first = own[like[0]]
                asked = in_its_place.question(len(like), len(own), serial, first.typed, first.feature.balloon)
                self.asked.append(f"{own[0].at}: {asked}")
                continue
            self.asked += [self._far(r) for r in own if self._is_far(r)]
        self.asked += self._beyond_reach(readings)

    def _wanted(self, reading: SandReading) -> Sizes:
        return self._sizes_of(reading.core)[reading.feature.balloon]

    def _is_far(self, reading: SandReading) -> bool:
        wanted = self._wanted(reading)
        if is_angle(reading.feature) or not reading.feature.nominal_known:
            return False
        return abs(reading.value - wanted.target) > max(FAR_MM, FAR_SHARE * abs(wanted.target))

    def _far(self, reading: SandReading) -> str:
        target = self.style.length(self._wanted(reading).target)
        return (
            f"{reading.at}: {reading.typed} for {reading.feature.balloon} of sand core {reading.serial}, which is to "
            f"be {target}: is it right?"
        )

    def _beyond_reach(self, readings: Sequence[SandReading]) -> list[str]:
        asked = []
        for name, gauge in self.instruments.items():
            unit = units.short_unit(gauge.unit, "length")
            if unit is None or unit.family != "length":
                continue
            low, high = (end * unit.num / unit.den for end in (gauge.range_lo, gauge.range_hi))
            out = [
                r
                for r in readings
                if r.instrument == name and not is_angle(r.feature) and not low <= abs(r.value) <= high * 1.001
            ]
            if out:
                ends = f"{self.style.figures(gauge.range_lo)} to {self.style.figures(gauge.range_hi)} {gauge.unit}"
                asked.append(
                    f"{out[0].at}: {show.count(len(out), 'reading')} beyond the range of {gauge.label} ({ends}), such "
                    f"as {out[0].typed}: was another one used?"
                )
        return asked


def _key(answer: SettingAnswer) -> tuple[object, ...]:
    """What makes two answers the same one, whoever wrote them down."""
    value = None if answer.value is None else round(answer.value, 6)
    core, mould = answer.core_of_id, (answer.mould or "").casefold()
    return core, mould, answer.sort, answer.what.casefold(), answer.result, value, answer.words
