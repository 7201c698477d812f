"""A count entered at the bench: what is wrong with it, what is to be confirmed first, or the count to write."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import TYPE_CHECKING

from inspect_tui.errors import InspectError
from inspect_tui.frozen import frozen
from inspect_tui.metrology.typed import fields
from inspect_tui.metrology.typed.show import number
from inspect_tui.model.trends import COUNT_WAYS, ToolCount
from inspect_tui.model.work import Job, Tool
from inspect_tui.shop.common import find
from inspect_tui.shop.trends.counts.counter import walk
from inspect_tui.shop.trends.counts.tools_in_use import opened_on

if TYPE_CHECKING:
    from inspect_tui.record.read import Reader


TOO_MANY = 5.0
FEWEST = 50  # below, a counter has hardly begun, and nothing is expected of it
COUNT_FIELDS = (
    ("count", "count: what the counter shows, such as 9000"),
    ("way", "it is: total, made (so many more) or restart (a new counter)"),
    ("on_date", "day: on which it was read"),
    ("lot", "lot: they were made for; may be left out"),
    ("note", "note: may be left out"),
)


@frozen
class EnteredCount:
    """Something that was entered: the thing, or why it cannot be kept (`wrong`), or what to confirm first (`asks`).

    `already`: it is wrong because the very same count is there.
    """

    thing: ToolCount | None = None
    wrong: str = ""
    asks: tuple[str, ...] = ()
    already: bool = False
    digit: bool = False  # it asks whether there is a figure too many


def check(new: ToolCount, before: Sequence[ToolCount], label: str, today: str, opened: str | None) -> EnteredCount:
    """A new count against those of the tool that are there; `opened` is the day the tool came into the record."""
    if new.count < 0:
        return EnteredCount(wrong=f"{label}: a count of {new.count} cannot be: it starts at 0.")
    if new.on_date > today:
        return EnteredCount(
            wrong=f"{label}: {new.on_date} is still to come; give the day on which the counter was read."
        )
    asks: list[str] = []
    slip = ""
    same = [c for c in before if (c.way, c.on_date, c.lot_id) == (new.way, new.on_date, new.lot_id)]
    if any(c.count == new.count for c in same):
        there = f"{label}: that count is there already ({number(new.count)} on {new.on_date})."
        return EnteredCount(wrong=there, already=True)
    if new.way == "total":
        slip = digit_too_many(new, before, label)
        asks += [slip] if slip else _runs_back(new, before, label)
        if same and not asks:
            asks.append(
                f"{label} has a count of {number(same[-1].count)} for {new.on_date} already: keep both, the later one "
                "counts?"
            )
    if opened and new.on_date < opened:
        asks.append(
            f"{label} came into the record on {opened}, after {new.on_date}: is the day right? Keep it if the tool is "
            "older."
        )
    return EnteredCount(new, asks=tuple(asks), digit=bool(slip))


def _runs_back(new: ToolCount, before: Sequence[ToolCount], label: str) -> list[str]:
    restart = max((c.on_date for c in before if c.way == "restart" and c.on_date <= new.on_date), default="")
    end = min((c.on_date for c in before if c.way == "restart" and c.on_date > new.on_date), default="9999-12-31")
    totals = [c for c in before if c.way == "total" and restart <= c.on_date < end]
    until = [c for c in before if restart <= c.on_date <= new.on_date]
    later = [c for c in totals if c.on_date > new.on_date]
    walked = walk(until, [])
    highest = max([walked.made - walked.base, *(c.count for c in until if c.way == "total")])
    if until and highest > new.count:
        return [
            f"the count of {label} would go back from {number(highest)} ({until[-1].on_date}) to {number(new.count)}. "
            "Was the counter changed? Then enter it as a restart. Kept as it is, the count that fits least is left out."
        ]
    if later and min(c.count for c in later) < new.count:
        low = min(later, key=lambda c: c.count)
        return [
            f"{label} had only {number(low.count)} on {low.on_date}, later than {new.on_date}: is {number(new.count)} "
            "right? Kept as it is, the count that fits least is left out."
        ]
    return []


def digit_too_many(new: ToolCount, others: Sequence[ToolCount], label: str) -> str:
    """A sentence where a total fits its neighbours only with one of its figures left out; "" where it does not.

    `others` are the counts of the tool, those of the same file too. Common practice, no source: five times what the
    rate so far leads to is asked about.
    """
    if new.way != "total":
        return ""
    restart = max((c.on_date for c in others if c.way == "restart" and c.on_date <= new.on_date), default="")
    end = min((c.on_date for c in others if c.way == "restart" and c.on_date > new.on_date), default="9999-12-31")
    totals = sorted((c.on_date, c.count) for c in others if c.way == "total" and restart <= c.on_date < end)
    before = [(day, count) for day, count in totals if day < new.on_date]
    after = [count for day, count in totals if day > new.on_date]
    shorter = {int(text[:n] + text[n + 1 :] or 0) for text in [str(new.count)] for n in range(len(text))}
    low = max((count for _, count in before), default=0)
    if after and after[0] >= low:
        high = float(after[0])
        likely = (low + high) / 2.0
        odd = new.count > 2.0 * high
    else:
        likely = _expected(before, new.on_date)
        high = TOO_MANY * likely
        odd = bool(before) and low >= FEWEST and new.count > high
    fitting = sorted((abs(count - likely), count) for count in shorter if low <= count <= high)
    if not odd or not fitting:
        return ""
    was = f" after {number(low)}" if before else ""
    return f"{label}: {number(new.count)} on {new.on_date}{was}: a figure too many, {number(fitting[0][1])}?"


def _expected(before: Sequence[tuple[str, int]], day: str) -> float:
    """What a counter shows on a day at its rate so far; what it showed last where there is no rate."""
    if not before:
        return 0.0
    days = [date.fromisoformat(on).toordinal() for on, _ in before]
    last = before[-1][1]
    if days[-1] == days[0]:
        return float(last)
    rate: float = (last - before[0][1]) / (days[-1] - days[0])
    return last + max(rate, 0.0) * (date.fromisoformat(day).toordinal() - days[-1])


def read_count(
    reader: Reader, job: Job, tool: Tool, values: Mapping[str, str], today: str | None = None
) -> EnteredCount:
    """A count as typed: the thing to write, or a sentence, with what is to be confirmed first."""
    today = today or date.today().isoformat()
    shows = fields.count(values.get("count"))
    way = fields.choice(values.get("way") or "total", COUNT_WAYS, "what it is")
    day = fields.day(values.get("on_date") or today, today)
    for field, answer in (("count", shows), ("it is", way), ("day", day)):
        if isinstance(answer, fields.Wrong):
            return EnteredCount(wrong=f"{field}: {answer}.")
    assert isinstance(shows, int) and isinstance(way, str) and isinstance(day, str)
    lot = None
    if values.get("lot"):
        try:
            where = f" in job {job.number}"
            lot = find.pick(values["lot"], reader.lots(job.of_id), lambda lot: lot.label, "lot", where)
        except InspectError as problem:
            return EnteredCount(wrong=str(problem))
    read = ToolCount(
        tool_of_id=tool.of_id,
        way=way,
        count=shows,
        on_date=day,
        lot_id=lot.id if lot else None,
        note=(values.get("note") or "").strip() or None,
    )
    return check(read, reader.tool_counts(tool.of_id), tool.label, today, opened_on(reader, tool))
