"""A trial is written down or put right: what was typed becomes its lines, or every mistake in it is told."""

from __future__ import annotations

import re
from datetime import date
from typing import TYPE_CHECKING

from inspect_tui.errors import DataError, NotFound
from inspect_tui.frozen import frozen_by_name, replace
from inspect_tui.metrology.judge import in_mould as ways
from inspect_tui.metrology.sizes import chain
from inspect_tui.metrology.typed import fields
from inspect_tui.metrology.typed.fields import Wrong
from inspect_tui.metrology.typed.show import MM, Style, count, day_of
from inspect_tui.model.proving import INSIDE, Proving, ProvingLine
from inspect_tui.model.words import LIMIT_SLACK_MM, NO_ID
from inspect_tui.record.chain.ids import uuid7
from inspect_tui.shop.common import find
from inspect_tui.shop.common.sizes import quantity_of, range_mm
from inspect_tui.shop.kit.proving import found
from inspect_tui.shop.kit.tried import words

if TYPE_CHECKING:
    from collections.abc import Mapping

    from inspect_tui.model.kit import Fit
    from inspect_tui.model.measuring import Instrument
    from inspect_tui.model.words import Id
    from inspect_tui.model.work import Core, Feature, Tool
    from inspect_tui.record.store import Record
    from inspect_tui.shop.kit.facts import KitFacts
    from inspect_tui.shop.kit.tried.trials import Trial

FAR_MM, FAR_SHARE = 3.0, 0.5  # a thickness further from its size than both is asked about: common practice, no source
CLOSING, REMARK = "closing", "remark"
NOTHING = "Nothing was written."
NONE_SAID = ("", "-", "--")  # a line with nothing to say, or one that is taken out


@frozen_by_name
class Draft:
    """A trial as it was typed; `found` are the lines of the checklist by what they are of: core 3, K6-3, F48."""

    sort: str = ""
    inside: str = ""
    mould: str = ""
    place: str = ""
    who: str = ""
    day: str = ""
    order: str = ""  # empty, yes, or the cores as they went in
    cores: str = ""  # which were in the mould, beside those of which something is said
    way: str = ""  # how sizes were taken that do not say
    gauge: str = ""
    unit: str = "mm"
    edition: str = ""
    note: str = ""
    found: tuple[tuple[str, str], ...] = ()


@frozen_by_name
class Checked:
    """A trial that was read: `wrong` is to be put right, `asked` to be answered, before it is written."""

    proving: Proving | None
    lines: tuple[ProvingLine, ...]
    wrong: tuple[str, ...]
    asked: tuple[str, ...]

    @property
    def sentence(self) -> str:
        """`trying in of 2026-03-02: 7 cores, 12 answers`."""
        if self.proving is None:
            return "no trial"
        cores = sum(line.sort == "core" for line in self.lines)
        said = sum(_says(line) for line in self.lines)
        return f"{words.name_of(self.proving)}: {count(cores, 'core')}, {count(said, 'answer')}"


def read(
    record: Record,
    facts: KitFacts,
    draft: Draft,
    today: str = "",
    old: Trial | None = None,
    style: Style = MM,
) -> Checked:
    """A trial from what was typed, with all that is wrong in it.

    `old`: the version that it takes the place of; lines that are typed as they were stay exactly what they were.
    """
    return _Reading(record, facts, draft, today or date.today().isoformat(), old, style).whole()


def refuse_wrong(checked: Checked, keep: bool = False) -> None:
    """DataError with what is wrong; and, unless it is kept as it stands, with what is asked."""
    if checked.wrong:
        raise DataError(f"{' '.join(f'{told}.' for told in checked.wrong)} {NOTHING}")
    if checked.asked and not keep:
        raise DataError(f"{' '.join(checked.asked)} {NOTHING}")


def write(record: Record, checked: Checked, by: Id | None) -> Proving:
    """Write a trial that was read."""
    refuse_wrong(checked, keep=True)
    assert checked.proving is not None  # else something was wrong
    stored: Proving = record.add_all([checked.proving, *checked.lines], by)[0]
    return stored


def draft_of(facts: KitFacts, trial: Trial) -> Draft:
    """A trial that is there, as it can be typed again."""
    proving, lines = trial.proving, trial.lines
    tool = facts.tool.get(proving.tool_of_id or b"")
    gauges = {line.instrument_of_id for line in lines if line.instrument_of_id}
    bare = [facts.number(line.core_of_id) for line in lines if line.sort == "core" and not _says(line)]
    return Draft(
        sort=words.SORTS[proving.sort],
        inside=proving.inside,
        mould=tool.label if tool is not None else proving.mould or "",
        place=proving.place or "",
        who=proving.who,
        day=proving.on_date,
        order=proving.order_said or proving.order_followed or "",
        cores=" ".join(bare),
        gauge=facts.record.instrument(gauges.pop()).label if len(gauges) == 1 else "",
        edition=proving.edition or "",
        note=proving.note or "",
        found=tuple((item, found.text_of(line)) for item, line in zip(trial.items, lines, strict=True) if _says(line)),
    )


def _says(line: ProvingLine) -> bool:
    return bool(line.result or line.value is not None or line.words)


def merged(old: Draft, new: Mapping[str, str], lines: Mapping[str, str]) -> Draft:
    """A draft with some of its heads and lines said otherwise; a line that is said to be nothing is taken out."""
    kept = {item.casefold(): (item, text) for item, text in old.found}
    for item, text in lines.items():
        kept[item.casefold()] = (item, text)
    return replace(
        old, found=tuple((item, text) for item, text in kept.values() if text.strip() not in NONE_SAID), **new
    )


# ------------------------------------------------------------------------------ reading it
class _Reading:
    """One trial on its way into the record."""

    def __init__(
        self,
        record: Record,
        facts: KitFacts,
        draft: Draft,
        today: str,
        old: Trial | None,
        style: Style,
    ) -> None:
        self.record, self.facts, self.draft, self.today, self.style = record, facts, draft, today, style
        self.old = old.proving if old is not None else None
        pairs = zip(old.items, old.lines, strict=True) if old is not None else ()
        self.kept = {item.casefold(): (found.text_of(line), line) for item, line in pairs}
        self.wrong: list[str] = []
        self.asked: list[str] = []
        self.fits: dict[str, Fit] = {fit.name.casefold(): fit for fit in facts.fits}
        self.cores: dict[str, Core] = {str(core.number): core for core in facts.cores}
        self.gauge: Instrument | None = None
        self.inside = ""

    def whole(self) -> Checked:
        draft = self.draft
        called = self._choice(draft.sort, list(words.SORTS.values()), "what it was")
        sort = next((sort for sort, name in words.SORTS.items() if name == called), "")
        self.inside = self._choice(
            draft.inside or ("cores" if sort == "trial_closing" else ""), INSIDE, "what was in it"
        )
        who = self._taken(fields.words(draft.who, 80, "say who tried it"), "who")
        day = self._taken(fields.day(draft.day or self.today, self.today, past=True), "day")
        tool, mould = self._mould(sort)
        self._gauge()
        if draft.way:
            self._choice(draft.way, [way.name for way in ways.ways()], "how it was taken")
        lines = self._lines(day)
        followed, said = self._order()
        if not lines and not self.wrong:
            self.wrong.append("nothing is filled in: say at least which cores were in the mould")
        if self.wrong:
            return Checked(proving=None, lines=(), wrong=tuple(self.wrong), asked=tuple(self.asked))
        self._before(day, lines, tool)
        made = uuid7()
        proving = Proving(
            id=made,
            of_id=self.old.of_id if self.old is not None else made,
            replaces_id=self.old.id if self.old is not None else None,
            job_of_id=self.facts.job.of_id,
            sort=sort,
            inside=self.inside,
            tool_of_id=tool.of_id if tool is not None else None,
            mould=mould or None,
            place=draft.place.strip()[:120] or None,
            who=who,
            on_date=day,
            order_followed=followed or None,
            order_said=said or None,
            edition=draft.edition.strip()[:20] or None,
            note=draft.note.strip()[:1000] or None,
        )
        named = tuple(replace(line, proving_id=made, ord=n) for n, line in enumerate(lines, start=1))
        return Checked(proving=proving, lines=named, wrong=(), asked=tuple(self.asked))

    def _taken(self, answer: str | Wrong, what: str) -> str:
        if isinstance(answer, Wrong):
            self.wrong.append(f"{what}: {answer}")
            return ""
        return answer

    def _choice(self, text: str, known: tuple[str, ...] | list[str], what: str) -> str:
        return self._taken(fields.choice(text, known, what), what)

    # ---------------------------------------------------------------- heads
    def _mould(self, sort: str) -> tuple[Tool | None, str]:
        """The tool that was the mould, or what the foundry calls its own."""
        text = " ".join(self.draft.mould.split())
        tool = next((t for t in self.facts.tools if t.label.casefold() == text.casefold()), None)
        if tool is not None or not text:
            return tool, ""
        if len(text) > 40:
            self.wrong.append(f"mould: '{text[:24]}…' is no mark of a mould: 40 letters are the most")
        elif sort == "trying_in":
            close = find.get_close_matches(text.casefold(), [t.label.casefold() for t in self.facts.tools], 1, 0.6)
            near = f"; nearest: {close[0]}" if close else ""
            self.asked.append(f"mould: {text} is no tool of job {self.facts.job.number}{near}: is it meant?")
        return None, text

    def _gauge(self) -> None:
        if not self.draft.gauge.strip():
            return
        try:
            self.gauge = find.pick(self.draft.gauge, self.record.instruments(), lambda g: g.label, "instrument")
        except NotFound as problem:
            self.wrong.append(f"with: {str(problem).rstrip('.')}")

    def _order(self) -> tuple[str, str]:
        """Whether the order was followed, and how they went in where it was not."""
        text = " ".join(self.draft.order.split())
        if not text:
            return "", ""
        answer = fields.yes(text)
        if not isinstance(answer, Wrong):
            return ("yes" if answer else "no"), ""
        numbers = re.findall(r"\d+", text)
        if strange := [number for number in numbers if str(int(number)) not in self.cores]:
            self.wrong.append(self._no_core("order", strange))
        elif not numbers or re.search(r"[A-Za-z]", text.casefold().replace("core", "").replace("s", "")):
            self.wrong.append(f"order: '{text[:40]}' is no order: type yes, no, or the cores as they went in: 1 2 7 3")
        return "no", " ".join(str(int(number)) for number in numbers)

    def _no_core(self, at: str, strange: list[str]) -> str:
        there = ", ".join(sorted(self.cores, key=int)) or "none yet"
        return f"{at}: job {self.facts.job.number} has no core {strange[0]}; there are: {there}"

    # ---------------------------------------------------------------- lines
    def _lines(self, day: str) -> list[ProvingLine]:
        of_cores: dict[str, ProvingLine] = {}
        others: list[ProvingLine] = []
        for number in self._listed():
            of_cores[number] = self._line("core", core_of_id=self.cores[number].of_id)
        for item, text in self.draft.found:
            if text.strip() in NONE_SAID:
                continue
            line = self._one(" ".join(item.split()), text)
            if line is None:
                continue
            if line.sort == "core":
                of_cores[self.facts.number(line.core_of_id)] = line
            else:
                others.append(line)
        for line in others:  # a core whose seat was looked at was in the mould
            for number in self._were_in(line):
                of_cores.setdefault(number, self._line("core", core_of_id=self.cores[number].of_id))
        return [*(of_cores[number] for number in sorted(of_cores, key=int)), *others]

    def _were_in(self, line: ProvingLine) -> list[str]:
        fit = next((f for f in self.facts.fits if f.of_id == line.fit_of_id), None)
        both = (fit.inner_core_id, fit.outer_core_id) if fit is not None else ()
        return [number for core in both if core and (number := self.facts.number(core)) != "?"]

    def _listed(self) -> list[str]:
        """The cores that are said to have been in it: 1-9, 1 2 7, all."""
        text = " ".join(self.draft.cores.casefold().replace("cores", "").replace("core", "").split())
        if not text:
            return []
        if text == "all":
            return list(self.cores)
        numbers: list[str] = []
        for part in re.split(r"[\s,;]+(?!to\b)", text.replace("–", "-").replace(" to ", "-")):
            ends = re.fullmatch(r"(\d{1,3})(?:-(\d{1,3}))?", part)
            if ends is None:
                self.wrong.append(f"cores: '{part[:20]}' is no core: type them such as 1-9, or 1 2 7, or all")
                return []
            numbers += [str(n) for n in range(int(ends[1]), int(ends[2] or ends[1]) + 1)]
        if strange := [number for number in numbers if number not in self.cores]:
            self.wrong.append(self._no_core("cores", strange))
        return [number for number in dict.fromkeys(numbers) if number in self.cores]

    def _line(self, sort: str, **more: object) -> ProvingLine:
        if sort == "core":
            of_id = self.facts.core_of[more["core_of_id"]]  # type: ignore[index]
            tool = self.facts.stick(of_id) if self.inside == "sticks" else self.facts.box(of_id)
            _, before = self.kept.get(f"core {self.facts.number(of_id)}", ("", None))
            if before is not None and self.old is not None and self.old.inside == self.inside:
                tool = self.facts.tool.get(before.tool_of_id or b"", tool)
            more["tool_of_id"] = tool.of_id if tool is not None else None
        return ProvingLine(proving_id=b"", ord=1, sort=sort, **more)  # type: ignore[arg-type]

    def _about(self, item: str) -> tuple[str, dict[str, object], Feature | None] | None:
        """Sort of a line and what it is of; None where the job has nothing of that name, which is said."""
        word = item.casefold()
        if word in (CLOSING, REMARK):
            return word, {}, None
        if match := re.fullmatch(r"(?:core )?0*(\d+)", word):
            core = self.cores.get(match[1])
            if core is None:
                self.wrong.append(self._no_core(item, [match[1]]))
                return None
            return "core", {"core_of_id": core.of_id}, None
        if (fit := self.fits.get(word)) is not None:
            return "fit", {"fit_of_id": fit.of_id}, None
        try:
            feature = find.feature(self.facts.features, item)
        except NotFound:
            names = [*self.fits, *(f.balloon.casefold() for f in self.facts.features)]
            close = find.get_close_matches(word, names, 1, 0.6)
            near = f"nearest: {close[0].upper()}" if close else "a line is of a core, a seat, a wall, closing or remark"
            self.wrong.append(f"{item[:24]}: job {self.facts.job.number} has nothing of that name; {near}")
            return None
        if feature.scale == "tool" or feature.axis not in ("x", "y", "z"):
            self.wrong.append(f"{item}: {feature.balloon} {feature.name} is no wall of the casting")
            return None
        return "wall", {"feature_id": feature.id}, feature

    def _one(self, item: str, text: str) -> ProvingLine | None:
        typed, line = self.kept.get(item.casefold(), ("", None))
        if line is not None and typed == text.strip() and line.sort != "core":
            return replace(line, id=NO_ID)
        about = self._about(item)
        if about is None:
            return None
        sort, of, feature = about
        unit = fields.unit_of(self.draft.unit or "mm", "length")
        said = unit if isinstance(unit, Wrong) else found.read(text, sort, unit, self.draft.way.strip().casefold())
        if isinstance(said, Wrong):
            self.wrong.append(f"{item}: {said}")
            return None
        if said.value is not None and not self.wrong:
            self._doubt(item, said, feature)
        gauge = self.gauge if said.value is not None and said.way in ("gauge", "clay", "wax", "lead") else None
        if sort == CLOSING:
            of = {"what": words.STAY_APART}
        return self._line(
            sort,
            **of,
            result=said.result,
            value=said.value,
            typed=said.typed,
            typed_unit=said.unit if said.value is not None else None,
            u_mm=said.u_mm,
            way=said.way if said.value is not None else None,
            instrument_of_id=gauge.of_id if gauge is not None else None,
            words=said.words,
        )

    def _doubt(self, item: str, said: found.Found, feature: Feature | None) -> None:
        """Ask about a size that its way does not reach, that the gauge does not, or that is far from the wall's."""
        assert said.value is not None
        size = self.style.length(said.value)
        way = ways.way(said.way or "gauge")
        if said.value > 0.0 and not way.reaches(said.value):
            reach = self.style.pair(way.over_mm, way.up_to_mm)
            self.asked.append(f"{item}: {size} is beyond what {way.name} takes ({reach}): is it right?")
        elif self.gauge is not None and quantity_of(self.gauge) == "length":
            low, high = range_mm(self.gauge)
            if not low - LIMIT_SLACK_MM <= said.value <= high + LIMIT_SLACK_MM:
                ends = f"{self.style.figures(self.gauge.range_lo)} to {self.style.figures(self.gauge.range_hi)}"
                self.asked.append(
                    f"{item}: {size} is beyond the range of {self.gauge.label} ({ends} {self.gauge.unit}): is it right?"
                )
        if feature is not None:
            wanted = chain.cast_wanted(feature) * self.facts.mould_scale[feature.axis]
            if abs(said.value - wanted) > max(FAR_MM, FAR_SHARE * abs(wanted)):
                at = self.style.length(wanted)
                self.asked.append(f"{item}: {size} for {feature.balloon}, which is to be {at} there: is it right?")

    # ---------------------------------------------------------------- was it there
    def _before(self, day: str, lines: list[ProvingLine], mould: Tool | None) -> None:
        """Ask about tools that came into the record after the day, and about cores without stick or box."""
        tools = [t for line in lines if (t := self.facts.tool.get(line.tool_of_id or b"")) is not None]
        tools += [mould] if mould is not None else []
        times = self.record.entry_times(tool.of_id for tool in tools)
        young: dict[str, list[str]] = {}
        for tool in {tool.of_id: tool for tool in tools}.values():
            at_us, tz_min = times[tool.of_id]
            read_at = [s.at_us for (on, _), states in self.facts.states.items() if on == tool.of_id for s in states]
            first = day_of(min([at_us, *read_at]), tz_min)
            if day < first:
                young.setdefault(first, []).append(tool.label)
        for first, labels in young.items():
            named = f"{labels[0]} is" if len(labels) == 1 else f"{', '.join(labels)} are"
            it = "it" if len(labels) == 1 else "all of it"
            self.asked.append(f"{named} in the record since {first} only: was {it} tried on {day}?")
        bare = [self.facts.number(line.core_of_id) for line in lines if line.sort == "core" and line.tool_of_id is None]
        if bare:
            what = "stick" if self.inside == "sticks" else "box"
            have = "have" if len(bare) > 1 else "has"
            self.asked.append(f"{words.cores(bare)} {have} no {what} in the record: is it meant?")
