"""Where the uncertainty of one reading comes from, as a table: of a logged reading, of one to be taken, or of a file.

The lines of a file have the columns `name` and one of `u`, `half_width` (with `distribution`) or `expanded` (with `k`);
`sensitivity`, `dof`, `kind` and `how` may stand beside them.
"""

from __future__ import annotations

from math import inf, sqrt
from typing import TYPE_CHECKING

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen_by_name, replace
from inspect_tui.metrology.judge import uncertainty
from inspect_tui.metrology.judge.uncertainty import Budget, BudgetLine, BudgetRow
from inspect_tui.metrology.judge.verdict import Verdict
from inspect_tui.metrology.typed import fields
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.measuring import Instrument, Person
from inspect_tui.model.work import Item
from inspect_tui.record.ask import series
from inspect_tui.shop.common import faces_touched, find, judging, lineage, study_feed, trusted
from inspect_tui.shop.common.evidence import Evidence
from inspect_tui.shop.common.find import Subject
from inspect_tui.shop.common.sizes import FINISHED, RAW, is_machined, quantity_of, range_mm, sizes, unit_of
from inspect_tui.shop.common.tables import columns as table_columns
from inspect_tui.shop.feature.material import Pick, sizes_of
from inspect_tui.todo import Todo

if TYPE_CHECKING:
    from inspect_tui.record.ask.readings import LoggedReading
    from inspect_tui.record.read import Reader

# half-width over this is the standard uncertainty (JCGM 100:2008, 4.3.7 and 4.3.9; JCGM 101:2008, table 1)
DIVISORS = {"rectangular": sqrt(3.0), "triangular": sqrt(6.0), "arcsine": sqrt(2.0)}

TEMPERATURE = ("temperature", "expansion", "temperature difference")  # lines that a warm piece adds
OF_ONE_READING = ("calibration", "repeatability", "resolution")  # made anew for a mean; all others stay as they are


@frozen_by_name
class BudgetView:
    """A budget with what it is for; `value` is the mean of `n` readings, None when none was taken yet."""

    title: str
    where: str
    instrument: str
    unit: str
    value: float | None
    budget: Budget
    rows: tuple[BudgetRow, ...]
    verdict: Verdict | None
    remarks: tuple[str, ...]


def of_reading(reader: Reader, chosen: Pick, logged: LoggedReading, style: Style = MM) -> BudgetView:
    """The budget of a logged reading, with the repeats of its line, by its own drawing and what was known that day."""
    reading = logged.reading
    lines = lineage.of_job(reader, chosen.job)
    feature = reader.feature(lines.put_right(reading.feature_id))
    subject, on_tool = chosen.subject, None
    if reading.item_id is not None:
        item = reader.item(reading.item_id)
        subject = Subject(f"{item.kind} {item.serial}", item=item)
    elif reading.tool_feature_id is not None:
        on_tool = reader.tool_feature(reading.tool_feature_id)
        if on_tool.feature_id != feature.id:  # its typing errors were put right since
            tool = reader.tool(on_tool.tool_id)
            on_tool = lines.versions(reader.tool_features(tool.of_id, old=True))[on_tool.id]
    finished = logged.setup.state == FINISHED and is_machined(feature)
    size = sizes(chosen.job, feature, subject, on_tool, FINISHED if finished else RAW)
    line = series.line_of(reader, reading)
    out = series.out_of_count(
        reader, series.Which(job_of_id=chosen.job.of_id, feature_ids=(reading.feature_id,)), anywhere=True
    )
    counted = series.page(reader, [r.id for r in line if r.id not in out or r.id == reading.id])
    instrument = next(i for i in reader.instruments(old=True) if i.id == logged.setup.instrument_id)
    evidence = Evidence(reader)
    judged, _ = evidence.judged(chosen.job, subject, size, counted, evidence.turns(subject.item), style)
    remarks = list(judged.told)
    if len(counted) > 1:
        remarks.append(f"mean of {len(counted)} readings typed in one line")
    if logged.out:
        remarks.append("this reading does not count: it was taken out of the record's count")
    return BudgetView(
        title=f"{feature.balloon} {feature.name}",
        where=subject.label,
        instrument=instrument.label,
        unit=unit_of(feature),
        value=judged.value,
        budget=judged.budget,
        rows=tuple(uncertainty.rows(judged.budget)),
        verdict=judged.verdict,
        remarks=tuple(remarks),
    )


def planned(
    reader: Reader,
    chosen: Pick,
    instrument: Instrument,
    person: Person | None,
    today: str,
    *,
    n: int = 1,
    work_c: float | None = None,
    style: Style = MM,
) -> BudgetView:
    """The budget of a mean of `n` readings that would be taken with this instrument, at the size wanted."""
    if not 1 <= n <= 999:
        raise DataError(f"A mean of {n} readings cannot be planned: give 1 to 999.")
    size = sizes_of(reader, chosen)
    with_what = means_of(reader, chosen, instrument, person, today)
    subject = chosen.subject
    if subject.tool is None and subject.item is None:  # all of them: one like another
        subject = Subject(
            subject.label, item=Item(job_of_id=chosen.job.of_id, kind=chosen.kind or "casting", serial="any")
        )
    judged = judging.judge(chosen.job, subject, size, [size.target], with_what, work_c=work_c, style=style)
    remark = with_what.remark(style)
    budget, remarks = judged.budget, [remark] if remark else []
    if n > 1:
        others = [line for line in budget.lines if line.name not in OF_ONE_READING]
        kind = judging.what_kind(chosen.feature)
        budget = uncertainty.reading_budget(
            with_what.u95(kind),
            with_what.k(kind),
            with_what.step(kind),
            n=n,
            study=with_what.study if kind == quantity_of(instrument) else None,
            others=others,
            style=style,
        )
        if with_what.study is None:
            remarks.append("no gauge study tells how this instrument repeats: more readings do not make U smaller here")
    tool = chosen.subject.tool
    if tool is not None and judging.what_kind(chosen.feature) == "length" and faces_touched.surface(tool) is None:
        remarks.append(f"what {tool.label} is made of is not stated, or not known here: its roughness is not in U")
    low, high = range_mm(instrument)
    if quantity_of(instrument) == "length" and not low <= size.target <= high:
        remarks.append(f"{style.length(size.target, unit=False)} is outside the range of {instrument.label}")
    if work_c is not None and not any(x.name in TEMPERATURE for x in budget.lines):
        remarks.append("the material's expansion is not known: temperature is not in this budget")
    return BudgetView(
        title=chosen.title,
        where=chosen.where,
        instrument=instrument.label,
        unit=unit_of(chosen.feature),
        value=None,
        budget=budget,
        rows=tuple(uncertainty.rows(budget)),
        verdict=None,
        remarks=tuple(remarks),
    )


def means_of(reader: Reader, chosen: Pick, instrument: Instrument, person: Person | None, day: str) -> judging.Means:
    """The instrument with its certificate, known bias and gauge study as they stood on a day."""
    with_what = trusted.history(reader, instrument).means(day)
    studies = study_feed.feeds(reader, instrument)
    return study_feed.fed(with_what, studies, chosen.feature, person.of_id if person else None)


def instrument_for(reader: Reader, name: str | None) -> Instrument:
    """The instrument of that name; the only one when none is named."""
    if name is not None:
        return find.pick(name, reader.instruments(), lambda i: i.label, "instrument")
    there = reader.instruments()
    if len(there) == 1:
        return there[0]
    labels = ", ".join(i.label for i in there[:8])
    if not there:
        raise DataError("There is no instrument yet.", todo=Todo.ADD_INSTRUMENTS)
    raise DataError(f"There are several instruments: {labels}.", todo=Todo.SAY_WITH_WHAT)


# ------------------------------------------------------------------------------ from a file
def of_repeats(
    column: table_columns.Column,
    where: str,
    *,
    u95: float,
    k: float,
    resolution: float,
    coverage: float = 0.95,
    style: Style = MM,
) -> BudgetView:
    """The budget of the mean of repeats in a column, with a certificate's U and k and the display's step.

    DataError when nothing of it is above 0: no budget is better than one that says U = 0.
    """
    values = list(column.values)
    if not values:
        raise DataError(f"column {column.name} of {where} has no readings: all {column.missing} cells are empty.")
    budget = uncertainty.reading_budget(
        u95, k, resolution, repeats=values, coverage=coverage, style=style.readings_in(column.unit)[0]
    )
    if not budget.u > 0.0:
        why = "one reading does not" if len(values) == 1 else f"{len(values)} equal readings do not"
        raise DataError(
            f"Nothing is known of the uncertainty of column {column.name} of {where}: {why} show how it repeats.",
            todo=Todo.SAY_HOW_IT_REPEATS,
        )
    if not u95:  # no certificate, no line: 0 would read as known
        budget = replace(budget, lines=tuple(line for line in budget.lines if line.name != "calibration"))
    remarks = list(column.remarks)
    if not u95:
        remarks.append("no certificate was given: calibration is not in this budget")
    if len(values) == 1:
        remarks.append("one reading: how well it repeats is not in this budget")
    return BudgetView(
        title=column.name,
        where=where,
        instrument="",
        unit=column.unit,
        value=sum(values) / len(values),
        budget=budget,
        rows=tuple(uncertainty.rows(budget)),
        verdict=None,
        remarks=tuple(remarks),
    )


def of_lines(table: table_columns.Table, coverage: float = 0.95, style: Style = MM) -> BudgetView:
    """The budget whose lines stand in a file, combined; its figures have no unit that is known."""
    lines = [_line(table, row, style) for row in range(len(table.rows))]
    if not lines:
        raise DataError(f"{table.name} has no lines under its headings: nothing to combine.")
    budget = uncertainty.combine(lines, coverage=coverage)
    return BudgetView(
        title="budget",
        where=table.name,
        instrument="",
        unit="",
        value=None,
        budget=budget,
        rows=tuple(uncertainty.rows(budget)),
        verdict=None,
        remarks=(),
    )


def _line(table: table_columns.Table, row: int, style: Style) -> BudgetLine:
    """One line of a file's budget; DataError names the line of the file and what is wrong with it."""
    where = f"line {table.lines[row]} of {table.name}"
    name = _cell(table, row, "name") or f"line {row + 1}"
    given = [way for way in ("u", "half_width", "expanded") if _cell(table, row, way)]
    if len(given) != 1:
        raise DataError(
            f"{where}: give the uncertainty of {name} one way, as u, as half_width with its distribution, or as "
            f"expanded with its k; {'none is' if not given else ' and '.join(given) + ' are'} given."
        )
    figure = _figure(table, row, given[0], where)
    how = _cell(table, row, "how")
    if given[0] == "half_width":
        shape = fields.choice(
            _cell(table, row, "distribution") or "rectangular", DIVISORS, "the distribution of a half-width"
        )
        if isinstance(shape, fields.Wrong):
            raise DataError(f"{where}: {shape}.")
        u, how = figure / DIVISORS[shape], how or f"half-width {style.figures(figure, 4)}, {shape}"
    elif given[0] == "expanded":
        k = _figure(table, row, "k", where) if _cell(table, row, "k") else 2.0
        if k <= 0:
            raise DataError(
                f"{where}: a coverage factor of {style.figures(k)} cannot be used: certificates give 2 or so."
            )
        u, how = figure / k, how or f"U {style.figures(figure, 4)} over k = {style.figures(k, 4)}"
    else:
        u = figure
    if u < 0:
        raise DataError(
            f"{where}: an uncertainty of {style.figures(figure)} is below 0; signs belong to the sensitivity."
        )
    factor = _figure(table, row, "sensitivity", where) if _cell(table, row, "sensitivity") else 1.0
    dof_text = _cell(table, row, "dof").casefold()
    dof = inf if dof_text in ("", "inf", "infinite", "∞") else _figure(table, row, "dof", where)
    kind = (_cell(table, row, "kind") or ("A" if dof < inf else "B")).upper()
    if kind not in ("A", "B"):
        raise DataError(f"{where}: the kind of a line is A (from repeats) or B (from anything else), not {kind}.")
    if not dof > 0:
        given_dof = style.figures(dof)
        raise DataError(f"{where}: {given_dof} degrees of freedom; there must be more than 0, or leave the cell empty.")
    return BudgetLine(name=name, u=u * factor, dof=dof, kind=kind, how=how)


def _cell(table: table_columns.Table, row: int, name: str) -> str:
    place = next((i for i, h in enumerate(table.headings) if h.strip().casefold() == name), None)
    if place is None and name == "name":
        table_columns.find_column(table, name)  # says which columns there are
    return "" if place is None or place >= len(table.rows[row]) else table.rows[row][place]


def _figure(table: table_columns.Table, row: int, name: str, where: str) -> float:
    read = fields.figure(_cell(table, row, name))
    if isinstance(read, fields.Wrong):
        raise DataError(f"{where}, under {name}: {read}.")
    return read
