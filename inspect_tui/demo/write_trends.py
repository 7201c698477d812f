"""What the invented shop knows of its tools over time: cores of box 3 lot by lot, repairs, an agreed limit of wear.

Planted (P21 to P24 of the scenario): box 3 wears, is lined at core 9,000 and wears on; the seat of core 4 in box 2
wears in lots 251 to 300 and is lined before lot 301; the foundry changes its moulding from lot 310 on. The last is in
nobody's records: it has to be found. Other tools have no counts of their own: the lots tell.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, timedelta

from inspect_tui.demo import workshop as shop
from inspect_tui.frozen import frozen
from inspect_tui.metrology.typed.show import MM
from inspect_tui.model.words import Id
from inspect_tui.model.work import Job, Tool
from inspect_tui.record.store import Record
from inspect_tui.shop.trends.counts import repairs

POURED_BEFORE = timedelta(days=6)  # the bench sees a lot six days after it was poured
LINED_AT_COUNT = shop.LINED_AFTER_LOT * shop.CASTINGS_A_LOT
SEAT_LINED_BEFORE_LOT = 301
PRODUCTION_FROM = shop.production_day(1, 0)


def measured(lot: int) -> date:
    """The day on which the bench measured a lot."""
    return shop.production_day(shop.week_of_lot(lot), 1 + (lot - 1) % shop.LOTS_A_WEEK)


def poured(lot: int) -> date:
    """The day on which a lot was poured."""
    return measured(lot) - POURED_BEFORE


@frozen
class Ledger:
    """Where it is written, for which job, and its tools."""

    record: Record
    by: Id
    job: Job
    tool: Mapping[str, Tool]

    def _repair(self, box: str, day: date, **typed: str) -> None:
        """A repair as its form takes it, written down on its day."""
        texts = {"done_on": day.isoformat(), "who": "B1", **typed}
        today = (day + POURED_BEFORE + POURED_BEFORE).isoformat()
        entered = repairs.read_repair(self.record, self.job, self.tool[box], texts, today)
        assert entered.thing is not None, entered.wrong
        self.record.add_all([entered.thing], self.by)

    def agree(self) -> None:
        """Before production: how far the width of core 3 may grow until its box is lined."""
        upper = round(shop.SAMPLE_CORE["F29"] + shop.REFURBISH_GROWTH, 2)
        texts = {
            "feature": "F29",
            "upper": MM.figures(upper),
            "why": f"box 3 is lined when its width has grown by {MM.length(shop.REFURBISH_GROWTH, unit=False)}",
        }
        entered = repairs.read_limit(self.record, self.job, self.tool["box 3"], texts)
        assert entered.thing is not None, entered.wrong
        self.record.add_all([entered.thing], self.by)

    def opened(self, day: date) -> None:
        """Box 4 was opened in its height after the first sampling."""
        self._repair(
            "box 4", day, action="cut", what="throat height opened 1.35 per half", amount="2.70", feature="F55"
        )

    def seat(self, day: date, what: str, amount: str = "") -> None:
        """The seat of core 4 in box 2 was lined."""
        self._repair("box 2", day, action="line", what=what, feature="K4-S", amount=amount)

    def lined(self) -> None:
        """Box 3 was lined at core 9,000."""
        self._repair(
            "box 3",
            measured(shop.LINED_AFTER_LOT) - POURED_BEFORE,
            action="line",
            what="width, height and port width lined",
            at_count=str(LINED_AT_COUNT),
        )

    def seat_again(self) -> None:
        """The seat of core 4 was lined a second time, in production."""
        day = measured(SEAT_LINED_BEFORE_LOT) - POURED_BEFORE - timedelta(days=1)
        self.seat(day, "seat of core 4 lined again")
