"""The grid of a sampling: features down, castings across; only what is seen is judged and drawn, so size costs nothing.

Each cell has its value and a symbol, each feature a word. The word needs every casting: it is worked out a little at
a time between frames, and reads "…" until then.
"""

from __future__ import annotations

from collections.abc import Iterator
from time import perf_counter
from typing import ClassVar

from rich.segment import Segment
from rich.style import Style
from textual import events
from textual.geometry import Size
from textual.message import Message
from textual.strip import Strip
from textual.timer import Timer
from textual.widget import Widget

from inspect_tui.frozen import replace
from inspect_tui.metrology.typed.show import MM, count
from inspect_tui.metrology.typed.show import Style as Written
from inspect_tui.model.work import Feature, Item
from inspect_tui.report.words import clipped, fitted
from inspect_tui.shop.common.drawing_notes import is_sectioned
from inspect_tui.shop.common.sizes import FINISHED, RAW
from inspect_tui.shop.common.standing import Standing
from inspect_tui.shop.first_article.castings.sampling import SYMBOL, Requirement, Sampling
from inspect_tui.shop.first_article.result import Cell
from inspect_tui.shop.together.marks import Marks, on

WORD = {
    Standing.CONFORMS: "in",
    Standing.DOES_NOT_CONFORM: "out",
    Standing.UNDECIDED: "undecided",
    Standing.TO_MEASURE: "to do",
    Standing.NOT_MEASURABLE: "–",
    Standing.NO_LIMITS: "no limits",
    Standing.IN_QUESTION: "question",
}
STYLE = {
    Standing.CONFORMS: Style(color="green"),
    Standing.DOES_NOT_CONFORM: Style(color="red", bold=True),
    Standing.UNDECIDED: Style(color="yellow", bold=True),
    Standing.TO_MEASURE: Style(dim=True),
    Standing.NOT_MEASURABLE: Style(dim=True),
    Standing.NO_LIMITS: Style(),
    Standing.IN_QUESTION: Style(color="yellow", bold=True),
}
CELL = 11  # columns of a casting
WORD_WIDTH = 13
SLICE_S = 0.006  # how long the words are worked on between two frames


class CastingGrid(Widget):
    """A window on features and castings with one cell current; moving it is all it does itself."""

    can_focus = False
    DEFAULT_CSS = "CastingGrid { height: 1fr; width: 1fr; }"
    HEAD: ClassVar[int] = 1

    class Moved(Message):
        """The current cell is another one."""

    def __init__(self, id: str | None = None) -> None:
        super().__init__(id=id)
        self.sampling: Sampling | None = None
        self.marks = Marks()  # what two benches said apart
        self.rows: list[Requirement] = []
        self.castings: tuple[Item, ...] = ()
        self.row = self.column = 0
        self.top = self.left = 0
        self.words: dict[int, tuple[Standing, int]] = {}  # row -> the worst answer, and how many are still to do
        self._todo: Iterator[None] | None = None
        self._timer: Timer | None = None

    # ---------------------------------------------------------------- what is shown
    def show(self, sampling: Sampling | None) -> None:
        """Show a sampling from its beginning, or keep the place when it is the same round once more."""
        same = bool(self.sampling and sampling and self.sampling.round.label == sampling.round.label)
        self.sampling = sampling
        self.rows = sampling.requirements if sampling else []
        self.castings = sampling.castings if sampling else ()
        if not same:
            self.row = self.column = self.top = self.left = 0
        self.work_again()

    def work_again(self) -> None:
        """Forget the words and work them out again; the cells that are seen are drawn at once."""
        self.words.clear()
        self._todo = self._work()
        if self._timer is None and self.is_mounted:
            self._timer = self.set_interval(0.03, self._tick)
        self.refresh()

    def on_mount(self) -> None:
        """Work goes on between frames."""
        if self._timer is None:
            self._timer = self.set_interval(0.03, self._tick)

    def _work(self) -> Iterator[None]:
        sampling = self.sampling
        if sampling is None:
            return
        for row, (feature, state) in enumerate(self.rows):
            answers: dict[Standing, int] = {}
            for item in self.castings:
                answer = sampling.cell(feature, item, state).answer
                answers[answer] = answers.get(answer, 0) + 1
                yield
            self.words[row] = _word(answers)

    def _tick(self) -> None:
        if self._todo is None:
            if self._timer is not None:
                self._timer.stop()
                self._timer = None
            return
        until = perf_counter() + SLICE_S
        before = len(self.words)
        for _ in self._todo:
            if perf_counter() > until:
                break
        else:
            self._todo = None
        if len(self.words) != before:
            self.refresh()

    def changed(self, row: int) -> None:
        """A cell of this row was measured: its word is worked out again at once."""
        if self.sampling is None or row >= len(self.rows):
            return
        feature, state = self.rows[row]
        answers: dict[Standing, int] = {}
        for item in self.castings[:200]:
            answer = self.sampling.cell(feature, item, state).answer
            answers[answer] = answers.get(answer, 0) + 1
        self.words[row] = _word(answers)
        self.refresh()

    # ---------------------------------------------------------------- the current cell
    @property
    def required(self) -> Requirement | None:
        """The row of the current cell."""
        return self.rows[self.row] if self.row < len(self.rows) else None

    @property
    def feature(self) -> Feature | None:
        """The feature of the current cell."""
        return self.required.feature if self.required else None

    def row_of(self, balloon: str, state: str = RAW) -> int:
        """Where the row of a feature is; the first where there is none."""
        rows = ((feature.balloon, of) for feature, of in self.rows)
        return next((n for n, row in enumerate(rows) if row == (balloon, state)), 0)

    @property
    def casting(self) -> Item | None:
        """The casting of the current cell."""
        return self.castings[self.column] if self.column < len(self.castings) else None

    def move(self, rows: int = 0, columns: int = 0) -> None:
        """Go by so many rows and columns, as far as there are any."""
        self.go(self.row + rows, self.column + columns)

    def go(self, row: int, column: int) -> None:
        """Go to a cell and scroll until it is seen."""
        if not self.rows or not self.castings:
            return
        self.row = min(max(row, 0), len(self.rows) - 1)
        self.column = min(max(column, 0), len(self.castings) - 1)
        self._into_view()
        self.refresh()
        self.post_message(self.Moved())

    def _into_view(self) -> None:
        rows, columns = self.rows_seen, self.columns_seen
        self.top = min(self.top, self.row)
        self.top = max(self.top, self.row - rows + 1, 0)
        self.left = min(self.left, self.column)
        self.left = max(self.left, self.column - columns + 1, 0)

    @property
    def rows_seen(self) -> int:
        """How many features fit."""
        return max(self.size.height - self.HEAD, 1)

    @property
    def name_width(self) -> int:
        """Columns for balloon and name: what the castings leave, within reason."""
        wanted = self.size.width - WORD_WIDTH - CELL * max(min(len(self.castings), 3), 1)
        return min(max(wanted, 12), 46)

    @property
    def columns_seen(self) -> int:
        """How many castings fit."""
        return max((self.size.width - self.name_width - WORD_WIDTH) // CELL, 1)

    def on_click(self, event: events.Click) -> None:
        """Go to the cell under the mouse."""
        left, row = event.x - self.name_width - WORD_WIDTH, event.y - self.HEAD
        column = self.left + left // CELL if left >= 0 else self.column
        if 0 <= row < self.rows_seen and self.top + row < len(self.rows) and column < len(self.castings):
            self.go(self.top + row, column)

    def on_resize(self) -> None:
        """Keep the current cell in sight."""
        self._into_view()

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        """As high as there is room."""
        return container.height

    # ---------------------------------------------------------------- drawing
    def render_line(self, y: int) -> Strip:
        """One line: the serials, or a feature with its word and the castings that are seen."""
        width = self.size.width
        if not self.rows or not self.castings:
            return Strip.blank(width)
        segments = self._head() if y == 0 else self._feature_line(self.top + y - self.HEAD)
        return Strip(segments).adjust_cell_length(width)

    def _seen(self) -> range:
        return range(self.left, min(self.left + self.columns_seen, len(self.castings)))

    def _head(self) -> list[Segment]:
        seen, n = self._seen(), len(self.castings)
        which = f"castings {seen.start + 1} to {seen.stop} of {n}" if len(seen) < n else count(n, "casting")
        before, after = "◀" if seen.start else " ", "▶" if seen.stop < n else " "
        left = f"{self.row + 1}/{len(self.rows)}  {before} {which} {after}"
        out = [
            Segment(clipped(left, self.name_width - 1).ljust(self.name_width), Style(dim=True)),
            Segment(" feature".ljust(WORD_WIDTH), Style(bold=True)),
        ]
        for column in seen:
            style = Style(bold=True, reverse=column == self.column)
            item = self.castings[column]
            out.append(Segment(f"{clipped(self.marks.sign(item.id) + item.serial, CELL - 1):>{CELL - 1}}", style))
            out.append(Segment(" "))
        return out

    def _feature_line(self, row: int) -> list[Segment]:
        if row >= len(self.rows) or self.sampling is None:
            return []
        feature, state = self.rows[row]
        here = row == self.row
        mark = "▶" if here else " "
        section = "▧" if is_sectioned(feature) else " "
        finished = "finished " if state == FINISHED else ""
        before = f"{mark}{feature.balloon + self.marks.sign(feature.id):<5}{section}{finished}"
        name = before + fitted(feature.name, max(self.name_width - 1 - len(before), 4))
        out = [Segment(clipped(name, self.name_width - 1).ljust(self.name_width), Style(bold=here))]
        out.append(self._word_segment(row))
        for column in self._seen():
            item = self.castings[column]
            cell = self.sampling.cell(feature, item, state)
            said = cell_text(cell, CELL - 1, self.sampling.style.of(feature.quantity))
            said = self.marks.sign(on(item.id, feature.id)) + said
            current = Style(reverse=True) if here and column == self.column else Style()
            out.append(Segment(said, STYLE[cell.answer] + current))
            out.append(Segment(" " * (CELL - len(said))))
        return out

    def _word_segment(self, row: int) -> Segment:
        word = self.words.get(row)
        if word is None:
            return Segment(" …".ljust(WORD_WIDTH), Style(dim=True))
        answer, missing = word
        text = f"{SYMBOL[answer]} {WORD[answer]}" + (f" -{missing}" if missing else "")
        return Segment(" " + clipped(text, WORD_WIDTH - 2).ljust(WORD_WIDTH - 1), STYLE[answer])


def _word(answers: dict[Standing, int]) -> tuple[Standing, int]:
    """The worst answer, and how many are still to do beside it."""
    worst = next((answer for answer in Standing if answer in answers), Standing.TO_MEASURE)
    return worst, 0 if worst is Standing.TO_MEASURE else answers.get(Standing.TO_MEASURE, 0)


def cell_text(cell: Cell, width: int, written: Written = MM) -> str:
    """Value and symbol to the right; `!` behind a reading that is in question, `~` before a corrected one.

    `written` fits what is measured. Decimal inches stand for fractions, for which a cell has no room.
    """
    if cell.value is None:
        return f"{SYMBOL[cell.answer]:>{width}}"
    mark = "~" if cell.corrected else ""
    if written.unit == "fraction":
        written = replace(written, unit="in")
    return f"{mark}{written.size(cell.value)} {SYMBOL[cell.answer]}"[-width:].rjust(width)
