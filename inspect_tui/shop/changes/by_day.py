"""Who did what on which day, over the whole shop: readings, corrections, what was decided, papers given out."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from inspect_tui.frozen import frozen_by_name
from inspect_tui.record import kinds
from inspect_tui.shop.changes.changed import Changed, day_us

if TYPE_CHECKING:
    from inspect_tui.record.read import Reader

_COUNTED_AS = {
    kinds.READING.number: "readings",
    kinds.GAUGE_CHECK.number: "readings",
    kinds.GAUGE_TRIAL.number: "readings",
    kinds.SUPERSEDE.number: "struck",
    kinds.WITHDRAWAL.number: "decided",
    kinds.SAME_THING.number: "decided",
    kinds.INSTRUMENT_BIAS.number: "decided",
    kinds.WEAR_LIMIT.number: "decided",
    kinds.PUT_ASIDE.number: "decided",
    kinds.REPORT_SNAPSHOT.number: "given_out",
    kinds.SHIPMENT.number: "given_out",
}
# what comes with something else of the same person
_SILENT = (kinds.DEVICE.number, kinds.SESSION.number, kinds.SETUP.number, kinds.SHOP_ADOPTED.number)


@frozen_by_name
class PersonDay:
    """One line: what a person (initials; None: nobody was named) wrote on a day (ISO, by the clock of the bench).

    Readings with those of checks and studies; `struck`: corrections of readings; `decided`: withdrawals, things said to
    be one, biases, wear limits, editions kept; `given_out`: papers and shipments; `else_`: all other rows.
    """

    day: str
    by: str | None
    readings: int = 0
    struck: int = 0
    decided: int = 0
    given_out: int = 0
    else_: int = 0

    @property
    def words(self) -> str:
        """`480 readings, 3 readings put right, 1 decision`; nothing where there is none."""
        told = (
            (self.readings, "reading", "readings"),
            (self.struck, "reading put right", "readings put right"),
            (self.decided, "decision", "decisions"),
            (self.given_out, "paper or shipment given out", "papers or shipments given out"),
            (self.else_, "other entry", "other entries"),
        )
        return ", ".join(f"{n} {one if n == 1 else many}" for n, one, many in told if n)


def by_day(reader: Reader, since: str | None = None, until: str | None = None) -> list[PersonDay]:
    """Every person on every day from `since` to `until` (ISO dates, both included; None: no end), the newest first."""
    made: dict[tuple[str, str | None], dict[str, int]] = {}
    start = day_us(since)[0] if since else 0
    end = day_us(until)[1] if until else 1 << 62
    for day, by, kind, n in reader.written_by_day(start, end):
        if kind in _SILENT or (since and day < since) or (until and day > until):
            continue
        what = _COUNTED_AS.get(kind, "else_")
        counts = made.setdefault((day, by), {})
        counts[what] = counts.get(what, 0) + n
    lines = [PersonDay(day=day, by=by, **counts) for (day, by), counts in made.items()]
    return sorted(sorted(lines, key=lambda line: line.by or "~"), key=lambda line: line.day, reverse=True)


def of(listed: Sequence[Changed], by: str | None = None, day: str | None = None) -> list[Changed]:
    """Of the list of changes those of a person (initials) and of a day (ISO date)."""
    return [
        change
        for change in listed
        if (by is None or (change.by or "").casefold() == by.casefold()) and (day is None or change.at[:10] == day)
    ]
