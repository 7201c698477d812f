"""The full-screen program: opens the record, shows one place at a time, remembers where work stood."""

from __future__ import annotations

import asyncio
import gc
import signal
from collections.abc import Iterable
from contextlib import suppress
from functools import partial
from importlib import import_module
from typing import TYPE_CHECKING, Any, ClassVar

from rich.text import Text
from textual import work
from textual.app import SystemCommand
from textual.binding import Binding, BindingType
from textual.screen import Screen

from inspect_tui.errors import InspectError
from inspect_tui.record.store import Record
from inspect_tui.shop.bench import memory
from inspect_tui.shop.bench.line import Bench
from inspect_tui.shop.common.find import Subject
from inspect_tui.tui import todo
from inspect_tui.tui.entry import Entry
from inspect_tui.tui.place import NoPlace
from inspect_tui.tui.typed_ahead import TypedAhead

if TYPE_CHECKING:
    from inspect_tui.shop.feature.material import Pick

# place -> title, what it is for, module and class of its screen (made at the first visit, without arguments)
PLACES = {
    "bench": ("Bench", "log readings on one tool or casting", "bench.screen", "BenchScreen"),
    "jobs": ("Jobs", "jobs, features, tools and castings", "jobs.screen", "JobsScreen"),
    "feature": ("Feature", "one feature whole: chart, histogram, who, readings", "feature.screen", "FeatureScreen"),
    "first": (
        "First article",
        "castings against the drawing; causes, cuts, stock",
        "first_article.screen",
        "FirstArticleScreen",
    ),
    "kit": ("Kit", "cores, prints, keys, setting order, walls", "kit.screen", "KitScreen"),
    "gauges": ("Gauges", "instruments: certificates, checks, biases, studies", "gauges.screen", "GaugesScreen"),
    "trends": ("Trends", "wear, cores left, what changed, repairs and counts", "trends.screen", "TrendsScreen"),
}


def make_place(name: str) -> Screen[Any]:
    """The screen of a place; its module is imported at the first visit. One that cannot be made says so."""
    title, _, module, screen = PLACES[name]
    try:
        made: Screen[Any] = getattr(import_module(f"inspect_tui.tui.{module}"), screen)()
    except Exception as error:
        return NoPlace(title, error)
    return made


def _collect_again() -> None:
    """The first frame is up: what was loaded for it stays, and is not looked through again and again."""
    gc.freeze()
    gc.enable()


class InspectApp(TypedAhead[int]):
    """Places named by the work; the Bench comes up first."""

    TITLE = "inspect_tui"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("ctrl+q", "leave", "Quit", id="app.quit", priority=True),
        Binding("f10", "places", "Places", id="app.places"),
    ]

    def __init__(self, record: Record, bench: Bench | None) -> None:
        self.place = "bench" if bench else "jobs"
        self.DEFAULT_MODE = self.place  # type: ignore[misc]
        super().__init__()
        self.record = record
        self.bench = bench
        self.look_at: Pick | None = None  # what the Feature place is asked to show when it is gone to
        self.bell_on = True
        self._ending = False

    def get_default_screen(self) -> Screen[Any]:
        """The Bench where work stood; the jobs when there is nothing to measure yet."""
        return make_place(self.place)

    def on_mount(self) -> None:
        """Name the places; the first one is up already: made as a mode it would cost a second reading of all styles."""
        for name in PLACES:
            self.add_mode(name, partial(make_place, name))
        self.call_after_refresh(_collect_again)
        self.set_timer(1.0, self.look_for_damage)  # once the first frame is up and looked at
        for name in ("SIGTERM", "SIGHUP"):  # the terminal was closed: keep what is pending, as on quitting
            if hasattr(signal, name):
                with suppress(NotImplementedError, RuntimeError, ValueError):
                    asyncio.get_running_loop().add_signal_handler(getattr(signal, name), self.action_leave)

    def bell_if_on(self) -> None:
        """Ring, unless it was turned off."""
        if self.bell_on:
            self.bell()

    def open_subject(self, subject: Subject | None) -> None:
        """Measure another tool or casting of the same job, by the same person with the same instrument."""
        if subject is None or self.bench is None:
            return
        self.open_bench(self.bench.job.of_id, subject)

    def open_bench(self, job_of_id: bytes, subject: Subject) -> None:
        """Go to the Bench for this subject."""
        before = self.bench
        try:
            self.bench = Bench(
                self.record,
                self.record.job(job_of_id),
                subject,
                before.person if before else None,
                before.means.instrument if before and before.means else None,
            )
        except InspectError as problem:
            self.notify(todo.said(problem), severity="error", markup=False)
            return
        self.remember(self.bench)
        self.call_later(self.go, "bench")

    def go(self, name: str) -> None:
        """Leave this place for another; each keeps its state while the program runs."""
        if name == "bench" and self.bench is None:
            self.notify("Open a tool on the Jobs screen first.", markup=False)
            return
        if name == self.place:
            self._arrive()
            return
        self._leave_place()
        self.place = name
        self.switch_mode(name)

    def _arrive(self) -> None:
        """Have the place that is looked at brought up to date."""
        for name in ("visit", "arrive"):
            if callable(come := getattr(self.screen, name, None)):
                come()
                return

    def _leave_place(self) -> None:
        for screen in reversed(self.screen_stack):
            if callable(leave := getattr(screen, "leave", None)):
                leave()

    def action_places(self) -> None:
        """Choose where to go."""
        from inspect_tui.tui.choosers import Chooser

        rows = [(key, f"{title:<14} {what}") for key, (title, what, _, _) in PLACES.items()]

        def chosen(key: str | None) -> None:
            if key is not None:
                self.call_later(self.go, key)  # once the list has closed: it belongs to the place that is left

        self.push_screen(Chooser("Where to?", rows), chosen)

    def action_leave(self) -> None:
        """Keep what is pending, then quit."""
        self._leave_place()
        self.exit(0)

    @work(thread=True, exit_on_error=False)
    def look_for_damage(self) -> None:
        """Check the pages of the file beside the work; damage stops the writing, not the looking."""
        with self.record.reader() as reader:
            wrong = reader.damage()
        if wrong:
            self.call_from_thread(self._damaged, wrong)

    def _damaged(self, wrong: str) -> None:
        self.record.stop_writing(wrong)
        self.notify(self.record.read_only_why, severity="error", timeout=60, markup=False)
        self._arrive()

    def remember_unlogged(self, lines: list[str]) -> None:
        """Lines that stood in the entry or waited behind it when the Bench was left."""
        if self.bench is not None:
            memory.remember_unlogged(self.record, [line for line in lines if line.strip()])

    def remember(self, bench: Bench) -> None:
        """Come back to this tool, person and instrument next time."""
        memory.remember(self.record, bench)

    # ---------------------------------------------------------------- when something goes wrong
    def keep_form(self, title: str, texts: dict[str, str]) -> None:
        """Keep what was typed into a form that was never entered."""
        memory.remember_form(self.record, title, texts)

    def kept_form(self, title: str) -> dict[str, str]:
        """What was typed into this form when the program ended under it."""
        return memory.kept_form(self.record, title)

    def drop_form(self, title: str) -> None:
        """It was entered, or left: nothing of it is kept."""
        memory.drop_form(self.record, title)

    def note_trouble(self, error: BaseException) -> None:
        """Write down, for whoever mends the program, what went wrong where."""
        memory.note_trouble(error)

    def _handle_exception(self, error: Exception) -> None:
        """The program has to end: first what is pending and what was typed is kept."""
        if not self._ending:
            self._ending = True
            self.note_trouble(error)
            for screen in reversed(self.screen_stack):
                self._keep_typed(screen)
        super()._handle_exception(error)

    def _keep_typed(self, screen: Screen[Any]) -> None:
        try:
            if callable(leave := getattr(screen, "leave", None)):
                leave()
        except Exception as error:  # what is at fault must not take along what was typed
            self.note_trouble(error)
            lines = [line for entry in screen.query(Entry) for line in (entry.value, *entry.waiting)]
            if any(line.strip() for line in lines):
                self.remember_unlogged(lines)

    def _fatal_error(self) -> None:
        """What the person reads who stands before it; the traceback is written down for whoever mends it."""
        self.bell()
        said = "The screen had to close: a fault of this program. Everything logged is on the disk, what was typed and"
        said += (
            f" not logged is kept and stands there again at the next start. What went wrong: {memory.trouble_file()}"
        )
        self._exit_renderables.append(Text(said))
        self._close_messages_no_wait()

    # ---------------------------------------------------------------- commands
    def action_command_palette(self) -> None:
        """All commands of the place, the places, the colours, quitting."""
        from inspect_tui.tui.choosers import Chooser

        rows = [(one, f"{one.title:<34}  {one.help}") for one in self.get_system_commands(self.screen)]

        def chosen(one: SystemCommand | None) -> None:
            if one is not None:
                self.call_later(one.callback)  # once the list has closed

        self.push_screen(Chooser("Do what?", rows), chosen)

    def search_themes(self) -> None:
        """Choose the colours."""
        from inspect_tui.tui.choosers import Chooser

        def chosen(name: str | None) -> None:
            if name is not None:
                self.theme = name

        self.push_screen(Chooser("Which colours?", [(name, name) for name in sorted(self.available_themes)]), chosen)

    def get_system_commands(self, screen: Screen[Any]) -> Iterable[SystemCommand]:
        """Every command of the place, the places, and quitting."""
        if callable(commands := getattr(screen, "commands", None)):
            yield from commands()
        for key, (title, what, _, _) in PLACES.items():
            yield SystemCommand(f"Go to {title}", what, lambda key=key: self.call_later(self.go, key))
        yield SystemCommand("Change the colours", "dark, light, or the terminal's own", self.action_change_theme)
        yield SystemCommand("Quit", "everything logged is on the disk", self.action_leave)


def run(record: Record, bench: Bench | None) -> int:
    """Run the program on an open record; returns the exit status."""
    app = InspectApp(record, bench)
    status = app.run()
    return (app.return_code or 1) if status is None else status
