"""How many cores a box has blown and how many moulds a pattern has made: typed, imported, or taken from the lots.

What was typed or imported counts; lots add only what was poured after the last count, one core (or mould) a casting,
and only where one tool makes them. A count that does not fit between its neighbours is left out and named, never lost.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Sequence
from datetime import date
from typing import TYPE_CHECKING

from inspect_tui.frozen import frozen_by_name
from inspect_tui.metrology.typed.show import number
from inspect_tui.metrology.wear.weeks import Making, making
from inspect_tui.model.trends import ToolCount
from inspect_tui.model.words import Id
from inspect_tui.model.work import Job, Lot, Tool
from inspect_tui.shop.trends.counts.tools_in_use import retired_tools, sole_maker

if TYPE_CHECKING:
    from inspect_tui.record.read import Reader


COUNTED = ("core_box", "pattern_cope", "pattern_drag", "production_pattern", "loose_piece")  # what wears by making
STALE_DAYS = 31  # a reading later than this after the last count has no count


@frozen_by_name
class Counter:
    """The running count of one tool: `cum` made at the end of each `day` (ordinals, ascending), and after each lot."""

    word: str  # cores or moulds
    how: str  # typed, imported, taken from the lots ...; empty when nothing is known
    day: tuple[int, ...] = ()
    cum: tuple[float, ...] = ()
    lots: dict[Id, float] = {}  # noqa: RUF012 - never changed
    from_zero: bool = True  # nothing had been made before the first day
    remarks: tuple[str, ...] = ()

    def at(self, day: float) -> float | None:
        """Made by the end of a day (an ordinal), straight between counts; None where no count reaches."""
        if not self.day:
            return None
        if day < self.day[0]:
            return 0.0 if self.from_zero else None
        if day >= self.day[-1]:
            return self.cum[-1] if day - self.day[-1] <= STALE_DAYS else None
        i = bisect_right(self.day, day)
        share = (day - self.day[i - 1]) / (self.day[i] - self.day[i - 1])
        return self.cum[i - 1] + share * (self.cum[i] - self.cum[i - 1])

    @property
    def now(self) -> float | None:
        """Made in all, by the last count."""
        return self.cum[-1] if self.cum else None

    @property
    def making(self) -> Making | None:
        """What is made in a week, over the last weeks that were counted; None before two counts a week apart."""
        return making(self.day, self.cum)

    @property
    def per_week(self) -> float | None:
        """Made in a week, over the last weeks that were counted; None before two counts a week apart."""
        lately = self.making
        return lately.per_week if lately else None

    def day_of(self, cum: float) -> float | None:
        """The day (ordinal) on which this many had been made; None outside the counts."""
        if not self.day or cum < (0.0 if self.from_zero else self.cum[0]) or cum > self.cum[-1]:
            return None
        for i, here in enumerate(self.cum):
            if here >= cum:
                if i == 0 or here == self.cum[i - 1]:
                    return float(self.day[i])
                share = (cum - self.cum[i - 1]) / (here - self.cum[i - 1])
                return self.day[i - 1] + share * (self.day[i] - self.day[i - 1])
        return None


def word_of(tool: Tool) -> str:
    """What a tool makes: cores, or moulds."""
    return "cores" if tool.core_id else "moulds"


def counter(tool: Tool, counts: Sequence[ToolCount], lots: Iterable[Lot], sole: bool = True) -> Counter:
    """The running count of a tool from its own counts (in order) and the lots of its job.

    `sole`: no other tool in use makes the same, so that every casting of a lot took one of it.
    """
    word = word_of(tool)
    own_lots = {entry.lot_id for entry in counts if entry.lot_id}
    last_own = counts[-1].on_date if counts else ""
    added = [
        lot for lot in lots if lot.poured_on and lot.quantity and lot.poured_on > last_own and lot.id not in own_lots
    ]
    remarks: list[str] = []
    if not counts and not sole and added:
        remarks.append(f"several tools make the same {word}: type or import how many each of them made")
    if not sole or tool.kind not in COUNTED:
        added = []
    anchors = walk(counts, remarks)
    anchors.add(added)
    sources = {entry.source for entry in counts}
    hows: list[str] = [name for name in ("typed", "imported") if name in sources]
    if added or "derived" in sources:
        hows.append("taken from the lots" if not hows else "then from the lots")
    first = counts[0] if counts else None
    from_zero = first is None or first.way != "total" or first.count == 0
    days = sorted(anchors.cum)
    return Counter(
        word=word,
        how=", ".join(hows),
        day=tuple(days),
        cum=tuple(anchors.cum[day] for day in days),
        lots=anchors.lots,
        from_zero=from_zero,
        remarks=tuple(remarks),
    )


def counter_of(reader: Reader, job: Job, tool: Tool) -> Counter:
    """The running count of one tool."""
    sole = sole_maker(tool, reader.tools(job.of_id), reader.core_versions(job.of_id), set(retired_tools(reader)))
    return counter(tool, reader.tool_counts(tool.of_id), reader.lots(job.of_id), sole)


class Anchors:
    """The count as it grows: at the end of each day, and after each lot."""

    def __init__(self) -> None:
        self.cum: dict[int, float] = {}
        self.lots: dict[Id, float] = {}
        self.made = 0.0
        self.base = 0.0  # what had been made when the counter now running showed 0

    def reach(self, day: int, made: float, lot: Id | None) -> None:
        """So many made by the end of that day."""
        self.made = made
        self.cum[day] = made
        if lot is not None:
            self.lots[lot] = made

    def add(self, lots: Iterable[Lot]) -> None:
        """What the lots took, in the order they were poured."""
        for lot in sorted(lots, key=lambda lot: (lot.poured_on or "", lot.id)):
            self.reach(_ordinal(lot.poured_on or ""), self.made + (lot.quantity or 0), lot.id)


def walk(counts: Sequence[ToolCount], remarks: list[str]) -> Anchors:
    """The counts of a tool one after the other, in order; what does not fit is left out and said in `remarks`."""
    anchors = Anchors()
    misfits = _misfits(counts)
    for entry in counts:
        day, shows = _ordinal(entry.on_date), anchors.made - anchors.base
        said = f"the count of {number(entry.count)} on {entry.on_date}"
        if entry.of_id in misfits:
            remarks.append(f"{said} does not fit those before and after it: left out")
        elif entry.way == "total" and entry.count < shows:
            remarks.append(f"{said} is below the {number(shows)} made by then: left out")
        elif entry.way == "restart":
            anchors.base = anchors.made - entry.count
            anchors.reach(day, anchors.made, entry.lot_id)
        elif entry.way == "made":
            anchors.reach(day, anchors.made + entry.count, entry.lot_id)
        else:
            anchors.reach(day, anchors.base + entry.count, entry.lot_id)
    return anchors


def _misfits(counts: Sequence[ToolCount]) -> set[Id]:
    """Totals to leave out so that the counter never runs back: as few as possible, counter by counter."""
    misfits: set[Id] = set()
    part: list[ToolCount] = []
    for entry in [*counts, None]:
        if entry is None or entry.way == "restart":
            keep = longest_rising([float(c.count) for c in part])
            misfits |= {c.of_id for i, c in enumerate(part) if i not in keep}
            part = []
        elif entry.way == "total":
            part.append(entry)
    return misfits


def longest_rising(values: Sequence[float]) -> set[int]:
    """Places of a longest run that never falls, others between left away (patience sorting); the later on ties."""
    tails: list[float] = []
    at: list[int] = []
    before: list[int] = [-1] * len(values)
    for i, value in enumerate(values):
        k = bisect_right(tails, value)
        before[i] = at[k - 1] if k else -1
        if k == len(tails):
            tails.append(value)
            at.append(i)
        else:
            tails[k], at[k] = value, i
    kept: set[int] = set()
    i = at[-1] if at else -1
    while i >= 0:
        kept.add(i)
        i = before[i]
    return kept


def _ordinal(day: str) -> int:
    return date.fromisoformat(day).toordinal()
