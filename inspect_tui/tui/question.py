"""A screen over a place that is answered once: closing what is not on top, or has closed already, is nothing.

Left to the library a second Enter that is already on its way closes the screen below as well, and the program ends.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Generic, TypeVar

from textual.await_complete import AwaitComplete
from textual.screen import ModalScreen, Screen

if TYPE_CHECKING:
    from inspect_tui.tui.program import Program

Result = TypeVar("Result")


class OnTop(Screen[Result], Generic[Result]):
    """A screen that closes only while it is the one that is looked at."""

    app: Program

    def dismiss(self, result: Result | None = None) -> AwaitComplete:
        """Close and hand `result` on; nothing where another screen is on top or this one has closed."""
        if self.app.screen is not self:
            closed: AwaitComplete = AwaitComplete.nothing()  # type: ignore[no-untyped-call]
            return closed
        return super().dismiss(result)


class Question(OnTop[Result], ModalScreen[Result], Generic[Result]):
    """A small screen over a place, answered once; Esc leaves it without an answer."""

    BINDINGS = [("escape", "dismiss", "Leave it")]  # noqa: RUF012
