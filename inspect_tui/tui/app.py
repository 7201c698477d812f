"""The full-screen program: opens the record, shows one place at a time, remembers where work stood."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, ClassVar

from textual.app import App, SystemCommand
from textual.binding import Binding, BindingType
from textual.screen import Screen

from inspect_tui.errors import InspectError
from inspect_tui.record import Record
from inspect_tui.shop import memory
from inspect_tui.shop.bench import Bench
from inspect_tui.shop.find import Subject

PLACES = {
    "bench": ("Bench", "log readings on one tool or casting"),
    "jobs": ("Jobs", "jobs, features, tools and castings"),
}


class InspectApp(App[int]):
    """Places named by the work; the Bench comes up first."""

    TITLE = "inspect_tui"
    ENABLE_COMMAND_PALETTE = True
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("ctrl+q", "leave", "Quit", id="app.quit", priority=True),
        Binding("f10", "places", "Places", id="app.places"),
    ]

    def __init__(self, record: Record, bench: Bench | None) -> None:
        super().__init__()
        self.record = record
        self.bench = bench
        self.bell_on = True
        self.problem: str | None = None

    def get_default_screen(self) -> Screen[None]:
        """The Bench where work stood; the jobs when there is nothing to measure yet."""
        return self._bench_screen() if self.bench else self._place("jobs")

    def _bench_screen(self) -> Screen[None]:
        from inspect_tui.tui.bench_screen import BenchScreen

        assert self.bench
        return BenchScreen(self.bench)

    def _place(self, name: str) -> Screen[None]:
        if name == "bench" and self.bench:
            return self._bench_screen()
        from inspect_tui.tui.jobs_screen import JobsScreen

        return JobsScreen(self.record, self.bench.job if self.bench else None)

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
                self.record, self.record.job(job_of_id), subject,
                before.person if before else None, before.means.instrument if before and before.means else None,
            )  # fmt: skip
        except InspectError as problem:
            self.notify(str(problem), severity="error", markup=False)
            return
        self.remember(self.bench)
        self.go("bench")

    def go(self, name: str) -> None:
        """Leave this place for another."""
        if isinstance(leave := getattr(self.screen, "leave", None), object) and callable(leave):
            leave()
        self.switch_screen(self._place(name))

    def action_places(self) -> None:
        """Choose where to go."""
        from inspect_tui.tui.choosers import Chooser

        rows = [(key, f"{name:<14} {what}") for key, (name, what) in PLACES.items()]

        def chosen(key: str | None) -> None:
            if key == "bench" and self.bench is None:
                self.notify("Open a tool on the Jobs screen first.", markup=False)
            elif key is not None:
                self.go(key)

        self.push_screen(Chooser("Where to?", rows), chosen)

    def action_leave(self) -> None:
        """Keep what is pending, then quit."""
        for screen in reversed(self.screen_stack):
            if callable(leave := getattr(screen, "leave", None)):
                leave()
        self.exit(0)

    def remember(self, bench: Bench) -> None:
        """Come back to this tool, person and instrument next time."""
        memory.remember(self.record, bench)

    def get_system_commands(self, screen: Screen[Any]) -> Iterable[SystemCommand]:
        """Every command of the place, the places, and quitting."""
        if callable(commands := getattr(screen, "commands", None)):
            yield from commands()
        for key, (name, what) in PLACES.items():
            yield SystemCommand(f"Go to {name}", what, lambda key=key: self.go(key))
        yield SystemCommand("Change the colours", "dark, light, or the terminal's own", self.action_change_theme)
        yield SystemCommand("Quit", "everything logged is on the disk", self.action_leave)


def run(record: Record, bench: Bench | None) -> int:
    """Run the program on an open record; returns the exit status."""
    app = InspectApp(record, bench)
    status = app.run()
    return status or 0
