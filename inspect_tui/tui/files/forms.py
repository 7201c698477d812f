"""The forms of taking a file in: which file, what its columns hold, what is wrong line by line, what would be added."""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from itertools import islice, takewhile
from pathlib import Path
from time import monotonic
from typing import Any

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.containers import Vertical, VerticalScroll
from textual.widgets import Input, OptionList, Static
from textual.widgets.option_list import Option

from inspect_tui.model.work import Feature
from inspect_tui.shop.intake.columns import HeadShown
from inspect_tui.tui.forms import Field, Form
from inspect_tui.tui.question import Chooser, Listed, Question

TABLES = (".csv", ".xlsx", ".xlsm", ".ods", ".xls", ".txt", ".tsv", ".tab", ".json")
COLUMNS = "columns"  # what a sheet answers when somebody wants to say what its columns hold
MOST_NAMES = 5_000  # of a folder that are looked through while somebody types
BOUNCE_S = 0.2  # an Enter so soon after the question is the one that brought it up
WHAT = (
    ("ignore", "nothing: leave it out"),
    ("serial", "serial: which casting"),
    ("feature", "feature: its balloon"),
    ("value", "value: the reading"),
    ("unit", "unit: of the reading beside it"),
    ("instrument", "instrument: measured with what"),
    ("by", "by: who measured"),
    ("temperature", "temperature: of the casting in °C"),
    ("repeat", "repeat: 1, 2, 3 of the same feature"),
)


class FileForm(Form):
    """A form whose first field is the path of a file; Tab completes it, and the files that are near are listed."""

    BINDINGS = [("tab", "complete", "Complete")]  # noqa: RUF012

    def __init__(
        self, title: str, asked: Sequence[Field], read: Callable[[dict[str, Any]], Any], wrong: str = ""
    ) -> None:
        """`wrong` stands under the fields from the beginning: why the form is asked for again."""
        super().__init__(title, asked, read, watch=lambda texts: near(texts["file"]), wrong=wrong)
        self.taken: dict[str, str] = {}  # what was typed, when it was taken

    def finish(self, result: Any) -> None:
        """Keep the texts too: the form comes back with them."""
        self.taken = self.values()
        super().finish(result)

    def action_complete(self) -> None:
        """Complete the path as far as only one goes on; in the other fields, or where nothing is left, the next one."""
        field = self.query_one("#field-file", Input)
        whole = completed(field.value) if self.focused is field else field.value
        if whole == field.value:
            self.focus_next(Input)
        else:
            field.value = whole
            field.cursor_position = len(whole)


def _beside(text: str) -> tuple[str, list[str]]:
    """What is typed of a folder, and the names of folders and tables in it that begin as the rest does."""
    head, _, rest = text.rpartition("/")
    folder = Path(f"{head}/" if "/" in text else ".").expanduser()
    names = []
    try:
        with os.scandir(folder) as entries:
            for entry in islice(entries, MOST_NAMES):
                if not entry.name.casefold().startswith(rest.casefold()) or not entry.name.isprintable():
                    continue
                if entry.name.startswith(".") and not rest.startswith("."):
                    continue
                if entry.is_dir():
                    names.append(f"{entry.name}/")
                elif entry.name.casefold().endswith(TABLES):
                    names.append(entry.name)
    except (OSError, ValueError):
        return head, []
    return (f"{head}/" if "/" in text else ""), sorted(names)


def near(text: str) -> str:
    """The files that the path may go on to; empty when it names one."""
    if not text or Path(text).name == "~":
        return ""
    _, names = _beside(text)
    if not names or names == [Path(text).name]:
        return ""
    return "Tab: " + "  ".join(names[:8]) + (f"  and {len(names) - 8} more" if len(names) > 8 else "")


def completed(text: str) -> str:
    """The path as far as there is only one way to go on."""
    folder, names = _beside(text)
    if not names:
        return text
    alike = takewhile(lambda pair: pair[0] == pair[1], zip(names[0], names[-1], strict=False))  # they are sorted
    whole = folder + "".join(letter for letter, _ in alike)
    return whole if len(whole) > len(text) or len(names) == 1 else text


class AtWork(Question[Any]):
    """Stands while a thread reads or writes; `done` closes it with the answer, Esc leaves it where that may be."""

    DEFAULT_CSS = """
    AtWork { align: center middle; }
    AtWork Static { width: 60; max-width: 96%; height: auto; background: $surface; border: round $primary;
        padding: 0 1; }
    """
    BINDINGS = [("escape", "leave", "Leave it")]  # noqa: RUF012

    def __init__(self, words: str, begin: Callable[[AtWork], None], may_leave: bool) -> None:
        super().__init__()
        self.words, self.begin, self.may_leave = words, begin, may_leave
        self.far = ""  # set by the thread, shown by the clock
        self.left = False

    def compose(self) -> ComposeResult:
        """What is done, and how far."""
        yield Static(id="words")

    def on_mount(self) -> None:
        """Begin once it stands."""
        self._show()
        self.set_interval(0.2, self._show)
        self.begin(self)

    def _show(self) -> None:
        esc = "Esc leaves it, nothing is added" if self.may_leave else "all of it or nothing"
        self.query_one("#words", Static).update(Text(f"{self.words} … {self.far}\n{esc}"))

    def action_leave(self) -> None:
        """Leave the reading; what is being written is not left half way."""
        if self.may_leave:
            self.left = True
            self.dismiss(None)

    def done(self, answer: Any) -> None:
        """Close with what the thread found."""
        if not self.left:
            self.dismiss((answer,))


class Columns(Question[dict[str, str]]):
    """What each column of a file holds; gives back those that were said here, head -> what it is."""

    DEFAULT_CSS = """
    Columns { align: center middle; }
    Columns Vertical { width: 79; max-width: 100%; height: auto; max-height: 100%; background: $surface;
        border: round $primary; padding: 0 1; }
    Columns OptionList, Columns OptionList:focus { height: auto; max-height: 12; border: none; padding: 0; }
    Columns #wrong { height: auto; max-height: 6; }
    """
    BINDINGS = [("escape", "dismiss", "Leave it"), ("ctrl+s", "done", "Done")]  # noqa: RUF012

    def __init__(
        self,
        why: str,
        columns: Sequence[HeadShown],
        features: Sequence[Feature],
        what: Sequence[tuple[str, str]] | None = None,
    ) -> None:
        """`what`: (role, what it means) of a column that holds no feature; without it those of castings."""
        super().__init__()
        self.why, self.columns, self.features, self.what = why, list(columns), features, what or WHAT
        self.filled: dict[str, str] = {}

    def compose(self) -> ComposeResult:
        """A column a line: its head, what stands in it, what it is."""
        with Vertical():
            yield Static(Text("What do the columns hold?  (Enter says it, Ctrl+S done, Esc leaves)", style="bold"))
            yield Listed(*self._options(), id="rows")
            yield Static(Text(self.why, style="bold yellow"), id="wrong")

    def on_mount(self) -> None:
        """Start on the first that is not known."""
        self.query_one("#rows", OptionList).focus()
        self._to_next(-1)

    def _what(self, column: HeadShown) -> str:
        return self.filled.get(column.head, column.what)

    def _options(self) -> list[Option]:
        return [Option(self._row(column)) for column in self.columns]

    def _row(self, column: HeadShown) -> Text:
        what = self._what(column)
        row = Text(no_wrap=True)
        row.append(column.head[:18].ljust(20), style="bold")
        row.append("  ".join(column.samples)[:30].ljust(32), style="dim")
        row.append("left out" if what == "ignore" else what or "?", style="" if what else "bold yellow")
        return row

    def _to_next(self, row: int) -> None:
        rows = self.query_one("#rows", OptionList)
        order = [*range(row + 1, len(self.columns)), *range(row + 1)]
        rows.highlighted = next((n for n in order if not self._what(self.columns[n])), max(row, 0))

    @on(OptionList.OptionSelected)
    def _selected(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        at = event.option_index
        column = self.columns[at]
        rows: list[tuple[Any, str]] = [*self.what, *((f.balloon, f"{f.balloon:<6} {f.name}") for f in self.features)]

        def use(what: str | None) -> None:
            if what is not None:
                self.filled[column.head] = what
                self.query_one("#rows", OptionList).replace_option_prompt_at_index(at, self._row(column))
                self._to_next(at)

        self.app.push_screen(Chooser(f"What does {column.head} hold?", rows), use)

    def action_done(self) -> None:
        """Go on with what was said."""
        if self.filled:
            self.dismiss(self.filled)
        else:
            self.query_one("#wrong", Static).update(Text(f"Say what one of them is. {self.why}", style="bold red"))


class Look(Question[bool | str]):
    """A sheet to look over: Enter says yes where that is asked, Esc no; c, where there are some, asks for columns."""

    DEFAULT_CSS = """
    Look { align: center middle; }
    Look > Vertical { width: 96%; max-width: 120; height: auto; max-height: 100%; background: $surface;
        border: round $primary; padding: 0 1; }
    Look #title { height: auto; max-height: 6; }
    Look VerticalScroll { height: auto; max-height: 15; }
    Look.-tall VerticalScroll { max-height: 38; }
    """
    VERTICAL_BREAKPOINTS = [(0, "-short"), (46, "-tall")]  # noqa: RUF012
    BINDINGS = [  # noqa: RUF012
        ("escape", "answer(False)", "Leave it"),
        ("enter", "answer(True)", "Take it"),
        ("c", "columns", "Columns"),
    ]

    def __init__(self, title: Text, body: Text, columns: bool = False) -> None:
        super().__init__()
        self.title_text, self.body, self.has_columns = title, body, columns
        self.since = 0.0

    def compose(self) -> ComposeResult:
        """The title stays, the body scrolls."""
        with Vertical():
            yield Static(self.title_text, id="title")
            with VerticalScroll():
                yield Static(self.body, id="body")

    def on_mount(self) -> None:
        """The body has the keyboard: arrows scroll."""
        self.since = monotonic()
        self.query_one(VerticalScroll).focus()

    def action_answer(self, yes: bool) -> None:
        """Close; an Enter that bounced does not answer."""
        if not yes or monotonic() - self.since >= BOUNCE_S:
            self.dismiss(yes)

    def action_columns(self) -> None:
        """Say otherwise what the columns hold."""
        if self.has_columns:
            self.dismiss(COLUMNS)
