"""What the Feature place asks of the record, in a thread of its own with a connection of its own.

Answers come piece by piece, the chart first. No Textual here: `answer` hands a piece to whoever asked and says whether
it is still wanted.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from inspect_tui.errors import InspectError
from inspect_tui.frozen import frozen_by_name
from inspect_tui.metrology.sizes.place import Place, place
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.shop.common import find
from inspect_tui.shop.feature import material
from inspect_tui.shop.feature.material import EVERYTHING, Only, Pick
from inspect_tui.tui import where

if TYPE_CHECKING:
    from inspect_tui.model.measuring import Instrument, Person
    from inspect_tui.record.ask.readings import LoggedReading
    from inspect_tui.record.read import Reader
    from inspect_tui.shop.feature.budget import BudgetView
    from inspect_tui.shop.feature.findings import Breakdown, Findings, Histogram
    from inspect_tui.shop.feature.material import Material
    from inspect_tui.shop.feature.view import FeatureView
    from inspect_tui.shop.kit.sketch.scene import Scene
    from inspect_tui.tui.place import Answer


@frozen_by_name
class Wish:
    """What to look at and how to chart it."""

    pick: Pick
    only: Only = EVERYTHING
    revisions: bool = True
    kind: str = "individuals"
    group: int | str = 5
    median: bool = False

    @property
    def needs_labels(self) -> bool:
        """Whether the values alone are not enough."""
        return bool(self.only.words) or (isinstance(self.group, str) and self.kind.startswith("means"))


class Figures:
    """What is known so far; None is still being read."""

    def __init__(self) -> None:
        self.view: FeatureView | None = None
        self.histogram: Histogram | None = None
        self.material: Material | None = None  # with who, with what and the ids
        self.splits: list[Breakdown] | None = None
        self.findings: Findings | None = None
        self.mould: Scene | None = None
        self.taken: Place | None = None  # where the size is taken
        self.where = ""  # ... in words
        self.budget: BudgetView | None = None
        self.no_budget = ""  # why there is none
        self.wrong = ""  # why there is nothing at all
        self.newest: list[bytes] = []  # every reading, the newest first
        self.counted: list[bytes] = []  # those that count, the oldest first: the points of a chart of readings
        self.marked: frozenset[bytes] = frozenset()  # those that a signal names
        self.items: dict[bytes, str] = {}  # serials of castings
        self.rows: list[LoggedReading] = []  # those on the screen
        self.bad: frozenset[bytes] = frozenset()  # of them, made with a gauge that was not to be measured with
        self.rows_from = -1

    def id_at(self, at: int) -> bytes | None:
        """The reading that a point of the chart is, once it is known and where points are readings."""
        if self.view is None or self.view.names or at >= len(self.counted):
            return None
        return self.counted[at]


def gather(reader: Reader, wish: Wish, answer: Answer, style: Style = MM) -> None:
    """Chart, histogram, everything about the readings, who and with what, what they tell: in this order."""
    from inspect_tui.shop.feature import findings
    from inspect_tui.shop.feature.view import view

    pick = wish.pick
    made = material.material(reader, pick, wish.only, revisions=wish.revisions, with_labels=wish.needs_labels)
    seen = view(made, wish.kind, group=wish.group, median=wish.median, style=style)
    if not answer(view=seen) or not answer(histogram=findings.histogram(made, style=style)):
        return
    full = made
    if made.labels is None:
        full = material.material(reader, pick, wish.only, revisions=wish.revisions, with_labels=True)
    counted = [reading for reading in full.ids if reading not in full.out]
    points = [] if seen.names else [i for s in seen.chart.signals for i in range(s.index, s.last + 1)]
    items = {} if pick.subject.tool else {i.id: i.serial for i in reader.items(pick.job.of_id)}
    marked = frozenset(counted[i] for i in points if i < len(counted))
    if not answer(material=full, newest=full.ids[::-1], counted=counted, items=items, marked=marked, rows_from=-1):
        return
    by = ("person", "instrument") if pick.subject.tool else material.BY
    if not answer(splits=[findings.breakdown(full, label, style) for label in by]):
        return
    if answer(findings=findings.findings(made, style, _u_of_newest(reader, pick, counted))):
        numbers = find.core_numbers(reader, pick.job)
        words = where.words(pick.feature, numbers, style)
        answer(where=words, taken=place(pick.feature, numbers), mould=where.read(reader, pick.job))


def _u_of_newest(reader: Reader, pick: Pick, counted: Sequence[bytes]) -> float | None:
    """The standard uncertainty of the newest reading, as it would be judged; None where nothing is known of it."""
    from inspect_tui.shop.feature import budget

    logged = reader.reading(counted[-1]) if counted else None
    if logged is None:
        return None
    try:
        return budget.of_reading(reader, pick, logged).budget.u or None
    except InspectError:
        return None


def gather_budget(
    reader: Reader,
    pick: Pick,
    reading: bytes | None,
    instrument: Instrument | None,
    person: Person | None,
    today: str,
    answer: Answer,
    style: Style = MM,
) -> None:
    """The budget of a reading; without one, of a reading to be taken with the instrument."""
    from inspect_tui.shop.feature import budget

    logged = reader.reading(reading) if reading else None
    if logged is not None:
        answer(budget=budget.of_reading(reader, pick, logged, style))
        return
    with_what = instrument or next(iter(reader.instruments()), None)
    if with_what is None or (instrument is None and len(reader.instruments()) > 1):
        answer(no_budget="No reading here yet. i chooses an instrument and shows the budget of a reading with it.")
        return
    answer(budget=budget.planned(reader, pick, with_what, person, today, style=style))
