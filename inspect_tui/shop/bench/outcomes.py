"""What the bench says: a line of the list with its state, and the three answers to a typed line."""

from __future__ import annotations

from inspect_tui.frozen import frozen, frozen_by_name, replace
from inspect_tui.metrology.typed.parsed import TypedLine
from inspect_tui.model.measuring import Reading
from inspect_tui.model.work import Feature
from inspect_tui.shop.common.judging import Judged
from inspect_tui.shop.common.sizes import Sizes
from inspect_tui.shop.common.standing import Standing
from inspect_tui.todo import Todo

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Callable

    from inspect_tui.metrology.typed.show import Style


@frozen_by_name
class Task:
    """One line of the list of what to measure, with its state."""

    sizes: Sizes
    state: Standing = Standing.TO_MEASURE
    n: int = 0
    last: float | None = None
    mean: float = 0.0  # of the n readings that count
    s: float = 0.0  # their standard deviation, 0 below two
    mark: str = ""  # "again" when asked to be measured again, "skipped" when passed over
    due: bool = False  # still to be read in the round that is walked
    odd: tuple[float, ...] = ()  # kept though they were asked about: nothing is expected from them, they count

    @property
    def feature(self) -> Feature:
        """The feature of this task."""
        return self.sizes.feature

    @property
    def open(self) -> bool:
        """Still to be measured."""
        return self.due or self.state == Standing.TO_MEASURE or self.mark == "again"

    @property
    def read(self) -> int:
        """How many readings count, the odd ones among them."""
        return self.n + len(self.odd)


@frozen_by_name
class Logged:
    """A line that is on the disk, and what it means; `judge` judges it once more as it was then, in another style."""

    task: Task
    readings: tuple[Reading, ...]
    judged: Judged
    judge: Callable[..., Judged]
    remarks: tuple[str, ...] = ()
    struck: tuple[str, ...] = ()  # what was typed first, and does not count any more

    def in_style(self, style: Style) -> Logged:
        """The same with its figures written otherwise."""
        return replace(self, judged=self.judge(style=style))


@frozen_by_name
class Asked:
    """A line that may be a slip: not written yet, kept, asked once, with what keeps it and why it is asked."""

    text: str
    sentence: str
    suggestion: str | None
    task: Task
    balloon: str | None = None  # the feature that it fits, when it was perhaps meant for another one
    reason: str = ""
    todo: Todo = Todo.KEEP_AS_TYPED
    about: str = ""


@frozen
class Refused:
    """A line that is no reading: nothing was logged, the text is given back."""

    text: str
    sentence: str
    todo: Todo | None = None
    about: str = ""


@frozen_by_name
class Waiting:
    """A line that waits: typed for a size, neither logged nor dropped yet, asked about or refused.

    `key` names it outside the program; `entry` is None where it is no size, or could not be read yet; `before` are
    the lines that were typed first for the same size, struck out once this one is logged.
    """

    key: str
    text: str
    balloon: str
    entry: TypedLine | None = None
    asked: Asked | None = None
    refused: Refused | None = None
    before: tuple[TypedLine, ...] = ()


Outcome = Logged | Asked | Refused
