"""Takes a file of tool readings, with the counts beside them, into the record: all that is new of it, or nothing."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from datetime import date
from itertools import pairwise
from typing import Any

from inspect_tui.errors import DataError, NotFound
from inspect_tui.frozen import frozen_by_name
from inspect_tui.metrology.typed import show, units
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.first_article import ImportFile, ImportMapping
from inspect_tui.model.measuring import Instrument, Person, Reading, Session
from inspect_tui.model.trends import ToolCount
from inspect_tui.model.words import Id
from inspect_tui.model.work import Feature, Job, Tool, ToolFeature
from inspect_tui.record.read import Reader
from inspect_tui.record.store import Record
from inspect_tui.shop.common import find, lineage
from inspect_tui.shop.common.drawing_notes import is_angle
from inspect_tui.shop.common.sizes import sizes
from inspect_tui.shop.common.tables.columns import signature
from inspect_tui.shop.common.tables.file import Grid, nobody_waits
from inspect_tui.shop.common.tables.workbook_apart import Watch
from inspect_tui.shop.gauges.stays import Stays
from inspect_tui.shop.intake.checks import refuse_merged
from inspect_tui.shop.intake.columns import (
    HEAD_ROWS,
    NOTHING,
    UNIT_NAMES,
    HeadShown,
    heads_shown,
    no_unit,
    unit_named,
)
from inspect_tui.shop.intake.rows import ImportRefused, Options, refuse_order, refused
from inspect_tui.shop.intake.tool_columns import ToolColumns
from inspect_tui.shop.intake.tool_rows import CountRead, ToolLineReader, ToolReading
from inspect_tui.shop.trends.counts import entry
from inspect_tui.todo import Todo

ENOUGH = 3  # readings of a tool from which its unit is judged
FAR_MM, FAR_SHARE = 5.0, 0.25  # a reading further from its size than both is asked about: common practice, no source


@frozen_by_name
class CheckedTools:
    """A file of tool readings that was understood whole: what would be written. `asked` is to be answered first."""

    grid: Grid
    readings: tuple[ToolReading, ...]
    counts: tuple[ToolCount, ...]
    already: int  # readings that are in the record
    counts_already: int
    remarks: tuple[str, ...]
    asked: tuple[str, ...]
    people: Mapping[str, Person]  # by what the file, or the person who takes it in, calls them
    instruments: Mapping[str, Instrument]
    mapping: ImportMapping | None  # a new one to be remembered
    revision_id: Id
    instrument_c: float | None
    today: str
    heads: tuple[HeadShown, ...] = ()

    @property
    def tools(self) -> tuple[str, ...]:
        """The labels of the tools it has something new of."""
        return tuple(dict.fromkeys(row.tool.label for row in self.readings))

    @property
    def said(self) -> str:
        """How much would come in, in one line."""
        days = sorted({row.day for row in self.readings})
        span = f", {' to '.join(dict.fromkeys((days[0], days[-1])))}" if days else ""
        counts = f", {show.count(len(self.counts), 'count')}" if self.counts else ""
        return f"{show.count(len(self.readings), 'reading')} on {show.count(len(self.tools), 'tool')}{span}{counts}"

    @property
    def there(self) -> str:
        """How much of it is in the record already, to be said behind that; empty where nothing is."""
        are = "is" if self.already == 1 else "are"
        return f"; {show.count(self.already, 'reading')} {are} there already" if self.already else ""


def check_tools(
    record: Reader,
    job: Job,
    grid: Grid,
    options: Options,
    today: str | None = None,
    watch: Watch = nobody_waits,
    style: Style = MM,
) -> CheckedTools:
    """Everything the file says, checked against the tools and the record.

    Errors: ImportRefused with all that is wrong, ColumnsUnclear for columns that are not understood.
    """
    today = today or date.today().isoformat()
    if options.unit is not None and unit_named(options.unit) is None:
        raise DataError(f"{no_unit(options.unit)}. {NOTHING}")
    refuse_order(options.days)
    revision = find.latest_revision(record, job)  # type: ignore[arg-type]
    tools = record.tools(job.of_id)
    features = {feature.id: feature for feature in record.features(revision.id)}
    on_tools = {tool.of_id: _measured_on(record, tool, features) for tool in tools}
    measured = list({f.id: f for places in on_tools.values() for f, _ in places.values()}.values())
    given = {head: what for what, head in options.mapping}
    kept, old = _remembered(record, job, grid)
    labels = [tool.label for tool in tools]
    layout = ToolColumns(grid, measured, {**kept, **given}, options.unit, options.tool is not None, labels).layout()
    refuse_merged(grid, layout)
    reader = ToolLineReader(grid, layout, options, tools, on_tools, today, watch)
    rows = reader.readings()
    people, instruments = _who_and_with_what(record, reader)
    if reader.wrong:
        raise _refused(grid, reader)
    if not rows and not reader.counts:
        raise ImportRefused(f"{grid.name} holds no readings under its heads. {NOTHING}")
    watch("compared", 0, len(rows))
    targets = _targets(job, rows)
    _refuse_other_unit(grid, rows, targets, style)
    new, already = _not_there_yet(record, job, rows, measured)
    counts, counts_already, slips, said = _counts(record, reader.counts, today)
    asked = () if options.keep else (*_beyond_reach(new, instruments, style), *_far_out(new, targets, style), *slips)
    roles = {c.head: c.of or c.role for c in layout.columns if c.head in given or c.head in kept}
    text = json.dumps({"roles": {**kept, **roles}, "unit": layout.unit}, ensure_ascii=True, sort_keys=True)
    mapping = ImportMapping(
        job_of_id=job.of_id, signature=layout.signature, title=f"as {grid.name}"[:120], settings=text
    )
    return CheckedTools(
        grid=grid,
        readings=tuple(new),
        counts=tuple(counts),
        already=already,
        counts_already=counts_already,
        remarks=(*grid.remarks, *reader.remarks, *said),
        asked=asked,
        people=people,
        instruments=instruments,
        mapping=mapping if given and text != old else None,
        revision_id=revision.id,
        instrument_c=options.instrument_c,
        today=today,
        heads=tuple(heads_shown(grid, layout)),
    )


# ------------------------------------------------------------------------------ what is known
def _measured_on(record: Reader, tool: Tool, features: Mapping[Id, Feature]) -> dict[str, tuple[Feature, ToolFeature]]:
    placed = [(features[on.feature_id], on) for on in record.tool_features(tool.of_id) if on.feature_id in features]
    return {feature.balloon: (feature, on) for feature, on in sorted(placed, key=lambda pair: pair[0].ord)}


def _remembered(record: Reader, job: Job, grid: Grid) -> tuple[dict[str, str], str]:
    """The roles of heads that were mapped before, found by the heads of one of the first lines."""
    for cells in grid.rows[:HEAD_ROWS]:
        mapping = record.import_mapping(signature(cells, ()), job.of_id)
        if mapping is not None:
            roles = json.loads(mapping.settings).get("roles") or {}
            return {str(head): str(what) for head, what in roles.items()}, mapping.settings
    return {}, ""


def _refused(grid: Grid, reader: ToolLineReader) -> ImportRefused:
    todo, about = None, ""
    if reader.unknown:
        todo, about = Todo.SAY_NAME, reader.unknown[0]
    elif reader.unclear_days:
        todo = Todo.SAY_DAY_ORDER
    refusal = refused(grid, list(dict.fromkeys(reader.wrong)), "Put it right in the file, or say it otherwise.", todo)
    refusal.about = about
    return refusal


def _who_and_with_what(record: Reader, reader: ToolLineReader) -> tuple[dict[str, Person], dict[str, Instrument]]:
    """People by initials or full name, gauges by label; who is not known is said once, with the nearest."""
    known = record.people()
    names = {p.initials.casefold(): p for p in known} | {p.name.casefold(): p for p in known if p.name}
    gauges = record.instruments()
    people: dict[str, Person] = {}
    instruments: dict[str, Instrument] = {}
    for by, line in reader.people.items():
        person = names.get(reader.called(by).strip().casefold())
        if person is not None:
            people[by] = person
        elif not by and len(known) == 1:
            people[by] = known[0]
        else:
            _ask(reader, line, by, "who measured", list(names), ", ".join(p.initials for p in known))
    for name, line in reader.gauges.items():
        try:
            if not name:
                raise NotFound("")
            instruments[name] = find.pick(reader.called(name), gauges, lambda gauge: gauge.label, "instrument")
        except NotFound:
            labels = [gauge.label for gauge in gauges]
            _ask(reader, line, name, "with what it was measured", labels, ", ".join(labels[:8]))
    return people, instruments


def _ask(reader: ToolLineReader, line: int, name: str, what: str, names: Sequence[str], there: str) -> None:
    if not name:
        reader.wrong.append(f"line {line}: no column says {what}; in the record: {there or 'nothing yet'}")
        return
    close = find.get_close_matches(name.casefold(), [known.casefold() for known in names], n=2, cutoff=0.5)
    near = [known for known in names if known.casefold() in close]
    hint = f"nearest: {', '.join(near)}" if near else f"there are: {there or 'none yet'}"
    reader.unknown.append(name)
    reader.wrong.append(f"line {line}: {name[:24]} is not known ({what}); {hint}")


def _targets(job: Job, rows: Sequence[ToolReading]) -> dict[tuple[Id, Id], float]:
    """What each size of each tool is to be, where that is known: lengths above 0 only."""
    targets: dict[tuple[Id, Id], float] = {}
    places = {(row.tool.of_id, row.feature.id): row for row in rows}
    for key, row in places.items():
        if row.feature.nominal_known and not is_angle(row.feature) and row.feature.quantity != "attribute":
            target = sizes(job, row.feature, find.Subject(row.tool.label, tool=row.tool), row.on_tool).target
            if target:
                targets[key] = target
    return targets


def _refuse_other_unit(
    grid: Grid, rows: Sequence[ToolReading], targets: Mapping[tuple[Id, Id], float], style: Style
) -> None:
    """Refuse a file whose figures only fit the tools in another unit, unless the unit was stated."""
    from inspect_tui.metrology.faces.rows import unit_of

    written: dict[str, dict[str, float]] = {}
    wanted: dict[str, dict[str, float]] = {}
    told: dict[str, str] = {}
    for n, row in enumerate(rows):
        target = targets.get((row.tool.of_id, row.feature.id))
        if row.stated or target is None or len(written.get(row.tool.label, ())) >= 200:
            continue
        scale = unit_named(row.unit) or units.MM
        written.setdefault(row.tool.label, {})[str(n)] = row.value * scale.den / scale.num
        wanted.setdefault(row.tool.label, {})[str(n)] = target
        told[row.tool.label] = row.unit
    said, meant = [], ""
    for label, own in written.items():
        unit, share = unit_of(own, wanted[label]) if len(own) >= ENOUGH else ("", 0.0)
        if unit and unit != told[label]:
            meant = unit
            said.append(f"{label}: {style.percent(share)} of {len(own)} figures fit it in {UNIT_NAMES.get(unit, unit)}")
    if said:
        raise ImportRefused(
            f"{grid.name} does not say its unit, and figures of it look like {UNIT_NAMES.get(meant, meant)}. {NOTHING}",
            said,
            todo=Todo.SAY_UNIT,
            about=meant,
        )


def _not_there_yet(
    record: Reader, job: Job, rows: Sequence[ToolReading], measured: Sequence[Feature]
) -> tuple[list[ToolReading], int]:
    """The readings that the record lacks: the same size of the same tool on the same day is there already."""
    line_of = {row: feature for feature, line in lineage.same_rows(record, job, measured).items() for row in line}
    there: Counter[tuple[Id, Id, str, float]] = Counter()
    for tool in {row.tool.of_id for row in rows}:
        for feature_id, day, value in record.read_on_days(tool):
            there[tool, line_of.get(feature_id, feature_id), day, round(value, 9)] += 1
    new = []
    for row in rows:
        key = (row.tool.of_id, row.feature.id, row.day, round(row.value, 9))
        if there[key]:
            there[key] -= 1
        else:
            new.append(row)
    return new, len(rows) - len(new)


def _counts(record: Reader, read: Sequence[CountRead], today: str) -> tuple[list[ToolCount], int, list[str], list[str]]:
    """The counts that are new, how many are there, those with a figure too many, and what else is to be said."""
    new: list[ToolCount] = []
    asked: list[str] = []
    said: list[str] = []
    already = 0
    by_tool: dict[Id, list[CountRead]] = {}
    for count in read:
        by_tool.setdefault(count.tool.of_id, []).append(count)
    for tool, own in by_tool.items():
        known = list(record.tool_counts(tool))
        there = {(c.way, c.on_date, c.count) for c in known}
        fresh: dict[ToolCount, CountRead] = {}
        for count in own:
            key = ("total", count.day, count.count)
            if key in there:
                already += key in {("total", c.on_date, c.count) for c in known}
                continue
            there.add(key)
            made = ToolCount(tool_of_id=tool, way="total", count=count.count, on_date=count.day, source="imported")
            fresh[made] = count
        everything = [*known, *fresh]
        for made, count in fresh.items():
            others = [c for c in everything if c is not made]
            slip = entry.digit_too_many(made, others, count.tool.label)
            if slip:
                asked.append(f"line {count.line}: {slip}")
        said += _back(list(everything), own[0].tool.label)
        new += fresh
    return new, already, asked, said


def _back(counts: Sequence[ToolCount], label: str) -> list[str]:
    """What is said where totals of a tool run back: the running count leaves out what fits least."""
    totals = sorted((c.on_date, c.count) for c in counts if c.way in ("total", "restart"))
    restarts = {c.on_date for c in counts if c.way == "restart"}
    for (day, count), (later, after) in pairwise(totals):
        if after < count and later not in restarts and later != day:
            return [
                f"the count of {label} goes back from {show.number(count)} ({day}) to {show.number(after)} ({later}): "
                "the one that fits least is left out; enter a restart where the counter was changed"
            ]
    return []


# ------------------------------------------------------------------------------ asked
def _beyond_reach(rows: Sequence[ToolReading], instruments: Mapping[str, Instrument], style: Style) -> list[str]:
    """Readings that the instrument named cannot have given."""
    beyond: dict[str, list[ToolReading]] = {}
    reach: dict[str, tuple[float, float] | None] = {}
    for name, gauge in instruments.items():
        unit = units.short_unit(gauge.unit, "length")
        is_length = unit is not None and unit.family == "length"
        ends = (gauge.range_lo, gauge.range_hi)
        reach[name] = (
            (ends[0] * unit.num / unit.den, ends[1] * unit.num / unit.den * 1.001) if unit and is_length else None
        )
    for row in rows:
        ends_mm = reach[row.instrument]
        if ends_mm and not ends_mm[0] <= abs(row.value) <= ends_mm[1] and not is_angle(row.feature):
            beyond.setdefault(row.instrument, []).append(row)
    return [
        f"line {out[0].line}: {show.count(len(out), 'reading')} beyond the range of {gauge.label} "
        f"({style.figures(gauge.range_lo)} to {style.figures(gauge.range_hi)} {gauge.unit}), such as {out[0].typed}: "
        "was another one used?"
        for name, out in beyond.items()
        for gauge in [instruments[name]]
    ]


def _far_out(rows: Sequence[ToolReading], targets: Mapping[tuple[Id, Id], float], style: Style) -> list[str]:
    """Readings so far from the size of the tool that they are in the wrong column, or lost their decimal point."""
    far = []
    for row in rows:
        target = targets.get((row.tool.of_id, row.feature.id))
        if target is not None and abs(row.value - target) > max(FAR_MM, FAR_SHARE * abs(target)):
            far.append(
                f"line {row.line}: {row.typed} for {row.feature.balloon} of {row.tool.label}, which is to be "
                f"{style.length(target)}: is it right?"
            )
    return far


# ------------------------------------------------------------------------------ writing
def write_tools(record: Record, job: Job, checked: CheckedTools, watch: Callable[[int, int], None] | None = None) -> Id:
    """Write what is new in one transaction, all or nothing; the id of the session.

    `watch` may raise, or be stopped, with nothing written. Errors: ImportRefused where nothing of the file is new.
    """
    if not checked.readings and not checked.counts:
        raise ImportRefused(f"All of {checked.grid.name} is in the record already. {NOTHING}")
    session = Session(
        id=record.new_id(),
        kind="tool",
        job_of_id=job.of_id,
        revision_id=checked.revision_id,
        title=f"taken in from {checked.grid.name}"[:120],
    )
    file = ImportFile(
        sha256=checked.grid.sha256,
        shown_name=checked.grid.name[:120] or "unnamed",
        job_of_id=job.of_id,
        session_id=session.id,
        readings=len(checked.readings),
    )
    things: list[Any] = [file]  # first: what follows up to the last of its session came with it, and goes with it
    things += [checked.mapping] if checked.mapping else []
    things += checked.counts
    things.append(session)
    things += _setups_and_readings(record, checked, session.id)
    record.add_all(things, by=next(iter(checked.people.values())).id, watch=watch)
    return session.id


def _setups_and_readings(record: Record, checked: CheckedTools, session_id: Id) -> list[Any]:
    stays = Stays(record, session_id, checked.today, checked.instrument_c)
    things: list[Any] = []
    for row in sorted(checked.readings, key=lambda row: row.day):  # ids go on with time: older readings first
        setup_id = stays.at(checked.people[row.by], checked.instruments[row.instrument], row.day, row.work_c)
        things += stays.begun()
        things.append(
            Reading(
                setup_id=setup_id,
                feature_id=row.feature.id,
                tool_id=row.tool.id,
                tool_feature_id=row.on_tool.id,
                rep=row.rep,
                value=row.value,
                typed=row.typed,
                typed_unit=row.unit,
            )
        )
    return things
