"""The keys of the Feature place, its cursor on the chart and in the list, and the one sentence above the foot."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, ClassVar

from rich.text import Text
from textual.app import SystemCommand
from textual.binding import Binding, BindingType
from textual.screen import Screen
from textual.widgets import Static

from inspect_tui.record.store import Record
from inspect_tui.shop.feature.material import EVERYTHING, Only, Pick
from inspect_tui.tui.feature import text as feature_text
from inspect_tui.tui.feature.figures import Figures
from inspect_tui.tui.feature.text import CHART, READINGS

if TYPE_CHECKING:
    from inspect_tui.tui.program import Program

FAR = 1_000_000_000


class FeatureKeys(Screen[None]):
    """What is looked at, where the cursor stands, and how it moves; `FeatureScreen` fills it with figures."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f1,question_mark", "help", "Keys", id="feature.help"),
        Binding("f2", "app.command_palette", "All commands", id="feature.palette"),
        *(
            Binding(str(i + 1), f"page({i})", f"Page: {name}", id=f"feature.page{i + 1}")
            for i, name in enumerate(feature_text.PAGES)
        ),
        Binding("tab", "next_page(1)", "Next page", show=False),
        Binding("shift+tab", "next_page(-1)", "Page before", show=False),
        Binding("left", "step(-1)", "Reading before", id="feature.left"),
        Binding("right", "step(1)", "Next reading", id="feature.right"),
        Binding("home", f"step(-{FAR})", "First reading", show=False),
        Binding("end", f"step({FAR})", "Newest reading", show=False),
        Binding("up", "up(-1)", "Up", show=False),
        Binding("down", "up(1)", "Down", show=False),
        Binding("pageup", "up(-15)", "A page up", show=False),
        Binding("pagedown", "up(15)", "A page down", show=False),
        Binding("n", "signal(1)", "Next signal", id="feature.signal"),
        Binding("p", "signal(-1)", "Signal before", id="feature.signal_before"),
        Binding("k", "kind", "Another kind of chart", id="feature.kind"),
        Binding("u", "group", "Subgroups of the means", id="feature.group"),
        Binding("m", "median", "Limits that wild readings do not widen", id="feature.median"),
        Binding("b", "band", "Show or hide the band in the chart", id="feature.band"),
        Binding("f,ctrl+g", "feature", "Another feature", id="feature.feature"),
        Binding("o,ctrl+o", "subject", "Another tool or casting, or all castings", id="feature.subject"),
        Binding("w", "only", "Only one person, instrument, lot or casting", id="feature.only"),
        Binding("r", "revisions", "With or without older drawings", id="feature.revisions"),
        Binding("i", "instrument", "Budget with another instrument", id="feature.instrument"),
        Binding("v,f9", "void", "Take the marked reading out of count", id="feature.void"),
        Binding("escape", "back", "Back to the Bench", id="feature.back"),
        Binding("f10", "app.places", "Places", id="feature.places"),
    ]

    app: Program

    def __init__(self) -> None:
        super().__init__()
        self.pick: Pick | None = None
        self.only: Only = EVERYTHING
        self.kind, self.median, self.revisions = "individuals", False, True
        self.group: int | str = 5
        self.show_band = True
        self.page = CHART
        self.scroll = 0
        self.at: int | None = None  # point of the chart under the cursor
        self.row = 0  # raw reading under the cursor, 0 is the newest
        self.figures = Figures()

    @property
    def record(self) -> Record:
        """The record that is open."""
        return self.app.record

    def say(self, text: str, style: str = "") -> None:
        """A sentence above the foot."""
        self.query_one("#say", Static).update(Text(text, style=style))

    def show(self) -> None:
        """Draw what is known."""
        raise NotImplementedError

    def action_page(self, page: int) -> None:
        """Open a page."""
        raise NotImplementedError

    def marked_id(self) -> bytes | None:
        """The reading that the chart's cursor stands on, else the list's; the newest to begin with."""
        if self.at is not None:
            return self.figures.id_at(self.at)
        newest = self.figures.newest
        return newest[min(self.row, len(newest) - 1)] if newest else None

    # ---------------------------------------------------------------- moving
    def action_next_page(self, by: int) -> None:
        """The page beside this one."""
        self.action_page((self.page + by) % len(feature_text.PAGES))

    def action_step(self, by: int) -> None:
        """Move the cursor along the chart and read the value there."""
        view = self.figures.view
        if self.page != CHART or view is None or not view.chart.points:
            return
        last = len(view.chart.points) - 1
        start = (last + 1 if by < 0 else -1) if self.at is None else self.at
        self.at = min(max(start + by, 0), last)
        self.show()
        self.say_point()

    def action_up(self, by: int) -> None:
        """Move in the list of readings or scroll; on the chart, one reading or a tenth of them."""
        view = self.figures.view
        if self.page == CHART and view is not None:
            step = max(len(view.chart.points) // 10, 1) if abs(by) > 1 else 1
            self.action_step(step if by > 0 else -step)
            return
        if self.page == READINGS:
            self.row += by
        else:
            self.scroll += by
        self.show()

    def action_signal(self, by: int) -> None:
        """Put the cursor on the next point that the chart marks."""
        view = self.figures.view
        firsts = sorted({s.index for s in view.chart.signals}) if view else []
        if view is None or not firsts:
            self.say("No signal on this chart.")
            return
        here = self.at if self.at is not None else (-1 if by > 0 else len(view.chart.points))
        beyond = [i for i in firsts if i > here] if by > 0 else [i for i in reversed(firsts) if i < here]
        self.page, self.at = CHART, (beyond or firsts[:: 1 if by > 0 else -1])[0]
        self.show()
        self.say_point()

    def say_point(self) -> None:
        """Say what the point under the cursor is."""
        view = self.figures.view
        if self.page != CHART or view is None or self.at is None:
            self.say("")
            return
        if self.at >= len(view.chart.points):
            self.at = None
            return
        found = self.figures.id_at(self.at)
        logged = self.record.reading(found) if found else None
        self.say(feature_text.point_words(view, self.at, logged, feature_text.today_of()), "bold")

    # ---------------------------------------------------------------- the palette
    def commands(self) -> Iterable[SystemCommand]:
        """The keys of this place as commands of the palette."""
        for binding in self.BINDINGS:
            if not isinstance(binding, Binding) or not binding.show or binding.action.startswith("app."):
                continue
            name, _, argument = binding.action.rstrip(")").partition("(")
            method = getattr(self, f"action_{name}")
            values = (int(argument),) if argument else ()
            about = (method.__doc__ or "").strip()
            yield SystemCommand(binding.description, about, lambda m=method, a=values: m(*a))
