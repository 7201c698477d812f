"""What is due over the whole shop: certificates, quick checks, sizes to measure, counts, and work on tools.

Nothing is planned here: each day follows from what the record holds. A certificate says its own day; a gauge is checked
again at the pace it was checked at; a size is read again once half of what it had left at worst is made, or after a
repair; a count is old after six weeks; a tool comes to the bench before its limit does, at worst.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from datetime import date, timedelta
from itertools import pairwise
from math import isfinite
from statistics import median

from inspect_tui.frozen import frozen_by_name, replace
from inspect_tui.metrology.typed.show import MM, Style, about, count, day_of
from inspect_tui.metrology.wear.weeks import OLD_WEEKS
from inspect_tui.model.words import Id
from inspect_tui.record.ask.trend_rows import KeptTrend
from inspect_tui.record.read import Reader
from inspect_tui.shop.first_article import taken_over
from inspect_tui.shop.gauges import instruments
from inspect_tui.shop.measuring.due import DUE_AT
from inspect_tui.shop.trends import fleet, work_orders
from inspect_tui.shop.trends import kept as trend_kept
from inspect_tui.shop.trends.counts import makings
from inspect_tui.shop.trends.counts.today import machine_day
from inspect_tui.shop.trends.counts.tools_in_use import retired_tools
from inspect_tui.shop.trends.fleet import FleetLine

KINDS = ("certificate", "quick check", "measure", "count", "repair")
CERTIFICATE, CHECK, MEASURE, COUNT, REPAIR = KINDS
WITHIN_WEEKS = 13.0  # a quarter, as work orders look ahead
CHECK_DAYS = 30  # to the next quick check of a gauge that was checked on one day only: common practice, no source
NAMED = 4  # sizes of a tool that are named in a line


@frozen_by_name
class DueLine:
    """One thing that is due. `day`: ISO date, None where no day follows; `late`: days past it, 0 where not past.

    `about` is the first version of the gauge, tool or job and `part` what of it: with `kind` they name the line.
    """

    kind: str
    day: str | None
    what: str
    where: str
    why: str
    late: int
    about: Id
    part: str = ""


@frozen_by_name
class DueList:
    """The lines by day, those without a day last; `newest` is the day (ISO) until which the record goes."""

    today: str
    until: str
    newest: str
    lines: tuple[DueLine, ...]

    @property
    def past(self) -> int:
        """How many lines are past their day."""
        return sum(line.late > 0 for line in self.lines)

    @property
    def sentence(self) -> str:
        """`2 of 7 things are past their day; 1 has no day`."""
        if not self.lines:
            return f"nothing is due until {self.until}"
        bare = sum(line.day is None for line in self.lines)
        text = f"{count(len(self.lines), 'thing')} until {self.until}, {self.past or 'none'} past the day"
        return text + (f"; {bare} without a day" if bare else "")


def due_list(
    reader: Reader,
    today: str | None = None,
    style: Style = MM,
    within_weeks: float = WITHIN_WEEKS,
    progress: Callable[[str], bool] | None = None,
    summaries: Sequence[KeptTrend] | None = None,
) -> DueList:
    """All that is past its day or due within so many weeks of today (ISO date; of this machine where none is given).

    `summaries` of the trends where they are at hand, `progress` for when they are made.
    """
    today = today or machine_day()
    until = (date.fromisoformat(today) + timedelta(weeks=within_weeks)).isoformat()
    every = trend_kept.current(reader, progress)[0] if summaries is None else summaries
    out_of_use = retired_tools(reader)
    kept = [row for row in every if row.source != "casting" and row.tool_of_id not in out_of_use]
    listed = fleet.fleet(kept, {}, style=style, today=today, makings=makings.makings(reader, kept))
    where = _where(reader)
    gathered = [
        *_gauges(reader, today, style),
        *_to_measure(kept, listed.lines, _repaired(reader, kept), until, where),
        *_counts(kept, where),
        *_orders(reader, listed.lines, within_weeks, today, style, where),
        *_cuts(reader),
    ]
    lines = [_late(line, today) for line in gathered if line.day is None or line.day <= until]
    lines.sort(key=lambda line: (line.day is None, line.day or "", KINDS.index(line.kind), line.what))
    return DueList(today=today, until=until, newest=reader.newest_day() or today, lines=tuple(lines))


def _late(line: DueLine, today: str) -> DueLine:
    if line.day is None:
        return line
    return replace(line, late=max((date.fromisoformat(today) - date.fromisoformat(line.day)).days, 0))


def _where(reader: Reader) -> dict[Id, str]:
    """Of each tool the job, and who has it where it was sent out: `job SV-12, at foundry N since 2026-03-01`."""
    places: dict[Id, str] = {}
    for job in reader.jobs():
        for tool in reader.tools(job.of_id):
            places[tool.of_id] = f"job {job.number}"
        sent: dict[Id, str] = {}
        for shipment, lines in reader.shipments(job.of_id):
            for line in lines:
                if line.tool_of_id is not None:
                    out = shipment.way == "out"
                    sent[line.tool_of_id] = f", at {shipment.to_whom} since {shipment.done_on}" if out else ""
        for tool_of_id, away in sent.items():
            places[tool_of_id] = places.get(tool_of_id, "") + away
    return places


# ------------------------------------------------------------------------------ gauges
def _gauges(reader: Reader, today: str, style: Style) -> Iterator[DueLine]:
    for line in instruments.lines(reader, today, style):
        gauge = line.instrument
        where = f"serial {gauge.serial}" if gauge.serial else "gauge"
        if line.state == instruments.OUT_OF_USE:
            continue
        in_force = line.means.calibration
        if line.state == instruments.FAILED:
            failed = in_force.done_on if in_force is not None and in_force.result == "fail" else None
            day: str | None = failed or (_checked(reader, gauge.of_id) or [today])[-1]
        else:
            day = in_force.due_on if in_force is not None else None
        if day is not None or line.state in (instruments.NEVER, instruments.FUTURE):
            what = f"{gauge.label}: {'certify it before it is used' if line.state == instruments.FAILED else 'certify'}"
            yield DueLine(
                kind=CERTIFICATE, day=day, what=what, where=where, why=line.sentence, late=0, about=gauge.of_id
            )
        days = _checked(reader, gauge.of_id)
        again = next_check(days)
        if again is not None and line.state != instruments.FAILED:
            on, pace = again
            why = f"last checked {days[-1]}, {pace}"
            yield DueLine(
                kind=CHECK, day=on, what=f"{gauge.label}: quick check", where=where, why=why, late=0, about=gauge.of_id
            )


def _checked(reader: Reader, instrument_of_id: Id) -> list[str]:
    """The days (ISO) on which a gauge was checked, in order."""
    return sorted({day_of(check.at_us, check.tz_min) for check in reader.gauge_checks(instrument_of_id)})


def next_check(days: Sequence[str]) -> tuple[str, str] | None:
    """The day of the next quick check after these (ISO dates, in order), and the pace in words; None without any.

    The pace is the middle one of the gaps so far, `CHECK_DAYS` after a single day.
    """
    if not days:
        return None
    dates = [date.fromisoformat(day) for day in days]
    gaps = [(after - before).days for before, after in pairwise(dates)]
    pace = max(round(median(gaps)), 1) if gaps else CHECK_DAYS
    words = f"about every {count(pace, 'day')} so far" if gaps else f"once so far: again after {pace} days"
    return (dates[-1] + timedelta(days=pace)).isoformat(), words


# ------------------------------------------------------------------------------ sizes and counts
def read_again(row: KeptTrend) -> str | None:
    """The day (ISO) on which half of what a size had left at worst is made, at the rate made lately; None: no such."""
    if row.last_day is None or not row.per_week or row.low is None or not isfinite(row.low):
        return None
    days = DUE_AT * max(row.low, 0.0) / row.per_week * 7.0
    latest = (date.max - date.fromordinal(row.last_day)).days
    return None if days > latest else date.fromordinal(row.last_day + int(days)).isoformat()


def _repaired(reader: Reader, kept: Sequence[KeptTrend]) -> dict[tuple[Id, Id], str]:
    """Sizes that were not read since their tool was repaired: (tool, size) and the day of the repair."""
    rows: dict[Id, list[KeptTrend]] = {}
    for row in kept:
        rows.setdefault(row.tool_of_id, []).append(row)
    since: dict[tuple[Id, Id], str] = {}
    for repair in reader.tool_repairs():
        if repair.tool_of_id not in rows:
            continue
        at = repair.feature_id
        concerns = None if at is None else {at, *reader.feature_lineage(at)}
        for row in rows[repair.tool_of_id]:
            last = date.fromordinal(row.last_day).isoformat() if row.last_day is not None else ""
            if last < repair.done_on and (concerns is None or row.feature_id in concerns):
                since[row.tool_of_id, row.feature_id] = repair.done_on
    return since


def _to_measure(
    kept: Sequence[KeptTrend],
    lines: Sequence[FleetLine],
    repaired: Mapping[tuple[Id, Id], str],
    until: str,
    where: Mapping[Id, str],
) -> Iterator[DueLine]:
    """A line for each tool, on the day on which the first of its sizes is due, with all that are due by `until`."""
    passed = {(x.kept.tool_of_id, x.kept.feature_id): x.due for x in lines if x.passed and x.due is not None}
    of_tool: dict[Id, list[tuple[str, str, str]]] = {}
    labels = {row.tool_of_id: row.label for row in kept}
    for row in kept:
        size = (row.tool_of_id, row.feature_id)
        day, why = read_again(row), ""
        if size in repaired:
            day, why = repaired[size], "a repair came after its last reading"
        elif size in passed:
            day, why = passed[size], "its limit is passed by what was made since the last count"
        elif row.kind == "past":
            continue  # it was read past its limit: that is work, not another reading
        elif day is not None:
            last = date.fromordinal(row.last_day or 1).isoformat()
            rate = about(row.per_week or 0.0)
            why = f"read {last}; by then half of what was left at worst is made, at about {rate} a week"
        if day is not None and day <= until:
            name = f"{row.balloon} on a core" if row.source == "core" else row.balloon
            of_tool.setdefault(row.tool_of_id, []).append((day, name, why))
    for tool, sizes in of_tool.items():
        sizes.sort()
        names = [name for _, name, _ in sizes]
        more = f" and {len(names) - NAMED} more" if len(names) > NAMED else ""
        day, first, why = sizes[0]
        yield DueLine(
            kind=MEASURE,
            day=day,
            what=f"{labels[tool]}: measure {', '.join(names[:NAMED])}{more}",
            where=where.get(tool, ""),
            why=f"{first}: {why}" if len(names) > 1 else why,
            late=0,
            about=tool,
        )


def _counts(kept: Sequence[KeptTrend], where: Mapping[Id, str]) -> Iterator[DueLine]:
    """A line for each tool whose wear is followed by a count, on the day on which its last count is old."""
    counted = {row.tool_of_id: row for row in kept if row.count_day is not None}
    for tool, row in counted.items():
        last = date.fromordinal(row.count_day or 1)
        yield DueLine(
            kind=COUNT,
            day=(last + timedelta(weeks=OLD_WEEKS)).isoformat(),
            what=f"{row.label}: enter a count",
            where=where.get(tool, ""),
            why=f"last counted {last.isoformat()}; what it makes is guessed from then on",
            late=0,
            about=tool,
        )


# ------------------------------------------------------------------------------ work on tools
def _orders(
    reader: Reader,
    lines: Sequence[FleetLine],
    within_weeks: float,
    today: str,
    style: Style,
    where: Mapping[Id, str],
) -> Iterator[DueLine]:
    """A line for each work order, on the day its limit comes at worst, or was passed."""
    for order in work_orders.orders(reader, lines, within_weeks, style=style, today=today):
        line = order.line
        read = line.kept.last_day
        day = line.worst or line.due or (date.fromordinal(read).isoformat() if read is not None else today)
        yield DueLine(
            kind=REPAIR,
            day=day,
            what=order.task,
            where=where.get(line.kept.tool_of_id, ""),
            why=order.wait,
            late=0,
            about=line.kept.tool_of_id,
            part=line.kept.balloon,
        )


def _cuts(reader: Reader) -> Iterator[DueLine]:
    """Cuts that were taken over and are still to be made; nobody said by when."""
    for job in reader.jobs():
        if not reader.cuts_accepted(job.of_id):
            continue
        for place, cut in enumerate(taken_over.work(reader, job)):
            if not cut.done:
                yield DueLine(
                    kind=REPAIR,
                    day=None,
                    what=f"{cut.tool}: {cut.words}",
                    where=f"job {job.number}",
                    why=f"taken over {cut.day} from {cut.round}; nothing tells that it is made",
                    late=0,
                    about=job.of_id,
                    part=str(place),
                )
