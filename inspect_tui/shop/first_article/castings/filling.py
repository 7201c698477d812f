"""Filling a sampling by hand: each casting has its own stay at the bench, the list goes by feature or by casting."""

from __future__ import annotations

from math import inf

from inspect_tui.frozen import replace
from inspect_tui.metrology.typed import fields
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.measuring import Instrument, Person
from inspect_tui.model.words import Id
from inspect_tui.model.work import Feature, Item
from inspect_tui.record.store import Record
from inspect_tui.shop.bench.line import BURST_S, Bench
from inspect_tui.shop.bench.outcomes import Logged, Outcome, Refused
from inspect_tui.shop.common.find import Subject
from inspect_tui.shop.common.sizes import bare_unit
from inspect_tui.shop.first_article.castings.sampling import Requirement, Sampling

MOST_BENCHES = 64  # stays kept open; older ones are closed, nothing of them is lost


class Filling:
    """Who fills a sampling with what, and in which order.

    `style` is how it says figures, `typed_in` the unit of lengths that are typed without one.
    """

    style: Style = MM
    typed_in: str = "mm"

    def __init__(
        self, record: Record, sampling: Sampling, person: Person | None = None, instrument: Instrument | None = None
    ) -> None:
        self.record, self.sampling = record, sampling
        self.person, self.instrument = person, instrument
        self.by_casting = True
        self.work_c: float | None = None
        self.instrument_c: float | None = None
        self.table_zero: float | None = None  # height of the datum over the marking-off table, mm
        self.asked: tuple[Requirement, Item] | None = None  # the cell whose reading is being asked about
        self._benches: dict[Id, Bench] = {}
        self._lines: list[Item] = []

    # ---------------------------------------------------------------- who, with what
    def set_person(self, person: Person) -> None:
        """Who measures from now on."""
        self.person = person
        for bench in self._benches.values():
            bench.set_person(person)

    def set_instrument(self, instrument: Instrument) -> None:
        """What is measured with from now on."""
        self.instrument = instrument
        for bench in self._benches.values():
            bench.set_instrument(instrument)

    def set_temperature(self, work_c: float | None, instrument_c: float | None = None) -> None:
        """How warm castings and instrument are from now on, degC; None is not known (the instrument: as the work)."""
        self.work_c, self.instrument_c = work_c, instrument_c
        for bench in self._benches.values():
            bench.set_conditions(work_c, None, instrument_c)

    def bench(self, item: Item) -> Bench:
        """The stay on a casting, opened when it is first needed."""
        if item.id not in self._benches:
            if len(self._benches) >= MOST_BENCHES:
                oldest = next(iter(self._benches))
                if self.asked is None or self.asked[1].id != oldest:
                    del self._benches[oldest]
            bench = Bench(
                self.record,
                self.sampling.job,
                Subject(f"casting {item.serial}", item=item),
                self.person,
                self.instrument,
            )
            bench.style = self.style
            bench.typed_in = self.typed_in
            if self.work_c is not None:
                bench.set_conditions(self.work_c, None, self.instrument_c)
            self._benches[item.id] = bench
        return self._benches[item.id]

    # ---------------------------------------------------------------- one line
    def take(self, row: Requirement, item: Item, text: str, gap_s: float = inf) -> Outcome:
        """One line for a cell; while a question stands the line is its answer, wherever the cursor is by then.

        A line that comes faster than a person answers is the next reading: the one asked about is kept as typed.
        """
        if self.asked is not None and gap_s < BURST_S and text.strip():
            before = self.asked
            self.settle()
            row, item = self._after(*before)
        if self.asked is not None:
            row, item = self.asked
        bench = self.bench(item)
        if bench.pending is None:
            bench.set_state(row.state)
            bench.goto(row.feature.balloon)
        over_table = self._over_table(row.feature, text) if bench.pending is None else None
        if isinstance(over_table, Refused):
            return over_table
        outcome = bench.take(over_table or text, gap_s)
        self.asked = (row, item) if bench.pending is not None else None
        if isinstance(outcome, Logged):
            self._lines.append(item)
            if over_table:
                bench.note(f"{text.strip()} over the table, datum at {MM.given(self.table_zero, unit=False)}")
            self.sampling.refresh_casting(item)
        return outcome

    def _after(self, row: Requirement, item: Item) -> tuple[Requirement, Item]:
        """The next cell to measure after one that was just logged."""
        at = self.sampling.requirements.index(row)
        column = next(n for n, i in enumerate(self.sampling.castings) if i.id == item.id)
        following = self.next_open(at, column) or (at, column)
        return self.sampling.requirements[following[0]], self.sampling.castings[following[1]]

    def _over_table(self, feature: Feature, text: str) -> str | Refused | None:
        """The size from a height over the table; None where the feature is no height or no zero was set."""
        if self.table_zero is None or feature.axis != "z" or not text.strip() or feature.quantity == "angle":
            return None
        unit = bare_unit(feature, self.instrument, self.typed_in)
        height = fields.size(text, unit, signed=True)
        if isinstance(height, fields.Wrong):
            return Refused(text, f"one height at a time: {height}")
        return MM.length(abs(height - self.table_zero), 3, unit=unit == "in")

    def settle(self) -> Outcome | None:
        """Keep a reading that is still being asked about, as typed."""
        if self.asked is None:
            return None
        (_, item), self.asked = self.asked, None
        kept = self.bench(item).keep_pending()
        if kept is not None:
            self._lines.append(item)
            self.sampling.refresh_casting(item)
        return kept

    def void_last(self) -> tuple[Item, Requirement] | None:
        """Take back the newest line of this filling; the casting and the row it was on."""
        if not self._lines:
            return None
        item = self._lines.pop()
        taken = self.bench(item).void_last("taken back at the first article")
        self.sampling.refresh_casting(item)
        return (item, Requirement(taken[0].feature, taken[0].sizes.state)) if taken else None

    # ---------------------------------------------------------------- the order
    def next_open(self, row: int, column: int) -> tuple[int, int] | None:
        """The next cell to measure after this one, by casting (down) or by feature (across); None when all is done."""
        required, castings = self.sampling.requirements, self.sampling.castings
        rows, columns = len(required), len(castings)
        total = rows * columns
        start = column * rows + row if self.by_casting else row * columns + column
        for step in range(1, total + 1):
            at = (start + step) % total
            r, c = (at % rows, at // rows) if self.by_casting else (at // columns, at % columns)
            feature, state = required[r]
            if self.sampling.is_open(feature, castings[c], state):
                return r, c
        return None


def with_casting(sampling: Sampling) -> Sampling:
    """The same round read again, with castings that were added meanwhile."""
    castings = sampling.record.castings(sampling.job.of_id, sampling.round.lot_id)
    return Sampling(sampling.record, sampling.job, replace(sampling.round, castings=tuple(castings)), sampling.style)
