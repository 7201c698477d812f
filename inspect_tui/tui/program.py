"""What every screen may ask of the program: the open record and stay, going elsewhere, keeping what was typed."""

from __future__ import annotations

import os
import select
import threading
import time
from contextlib import suppress
from typing import TYPE_CHECKING, Any

from rich.terminal_theme import TerminalTheme
from rich.text import Text
from textual.screen import Screen
from textual.theme import Theme

from inspect_tui.errors import InspectError
from inspect_tui.metrology.typed.show import MM
from inspect_tui.record.store import Record
from inspect_tui.shop.bench import apart, memory
from inspect_tui.shop.bench.line import Bench
from inspect_tui.shop.common.find import Subject
from inspect_tui.shop.settings import file
from inspect_tui.shop.settings.choices import NEXT_STYLE, in_style
from inspect_tui.shop.together.beside import Beside, Face
from inspect_tui.tui import hearing, todo
from inspect_tui.tui.entry import Entry
from inspect_tui.tui.settings import colours
from inspect_tui.tui.typed_ahead import TypedAhead

if TYPE_CHECKING:
    from collections.abc import Callable

    from inspect_tui.model.gauges import InstrumentProfile
    from inspect_tui.shop.feature.material import Pick
    from inspect_tui.shop.speech.wire import Wire


WORDS = {"mm": "mm", "in": "inches", "fraction": "1/64 in with the rest in thou"}


def end_with_terminal(fd: int = 0, patience_s: float = 10.0) -> None:
    """Watch a terminal beside the work, for nothing: once it is gone, the program is given time to leave by itself.

    The library writes through a queue of its own; when the terminal takes nothing more, whoever writes waits there for
    ever, and with it the way out. What was acknowledged is on the disk.
    """

    def watch() -> None:
        gone = select.poll()
        gone.register(fd, 0)  # a hang-up is told without being asked for
        gone.poll()
        time.sleep(patience_s)
        os._exit(1)

    if hasattr(select, "poll") and os.isatty(fd):
        threading.Thread(target=watch, name="terminal", daemon=True).start()


class Program(TypedAhead[int]):
    """The program without its places, which it knows by name only."""

    def __init__(self, record: Record, bench: Bench | None) -> None:
        self._colours: dict[str, Theme] = {}
        self.place = "bench" if bench else "jobs"
        self.DEFAULT_MODE = self.place  # type: ignore[misc]
        super().__init__()
        self.record = record
        with suppress(InspectError):  # what is wrong with the record is said where it is read or written
            record.written_elsewhere()  # what is written from now on is seen
        self.bench = bench
        self.look_at: Pick | None = None  # what the Feature place is asked to show when it is gone to
        self.settings = file.read()
        self.chosen_keys: dict[str, str] = {}  # id of a command -> the keys that somebody chose for it
        self._set_keys: dict[str, str] = {}  # those of the settings among them
        self._foot: dict[str, str] = {}  # what each key of the foot switch of the gauge in hand does
        self._bell_on = self.settings.bell
        self.together = Beside(record.path, Face(self._on_screen, self._marked, self._come_in))
        self._wire: Wire | None = None  # the line of the gauge in hand
        self._heard: InstrumentProfile | None = None  # what that line was opened for
        self._profiles: dict[bytes, InstrumentProfile] | None = None
        self._unit: str | None = None  # the unit of lengths that was switched to by key, for this stay
        self.written = MM  # how figures are written for whoever sits here
        self.today: str | None = None  # the day that forecasts are made for, where it is not that of this machine
        self.restyle()
        if bench is not None:
            apart.attend(bench)
        self._ending = False

    # ---------------------------------------------------------------- how somebody wants it
    @property
    def bell_on(self) -> bool:
        """Whether the bell rings; kept in the settings when it is turned on or off."""
        return self._bell_on

    @bell_on.setter
    def bell_on(self, on: bool) -> None:
        self._bell_on = on
        self.keep_setting("show.bell", "true" if on else "false")

    def bell_if_on(self) -> None:
        """Ring, unless it was turned off."""
        if self.bell_on:
            self.bell()

    @property
    def available_themes(self) -> dict[str, Theme]:
        """The colours in which everything is read; the library asks for them with every line that it draws."""
        if not self._colours:
            self._colours = {name: made for name, made in super().available_themes.items() if name in colours.SHIPPED}
        return self._colours

    @property
    def ansi_theme(self) -> TerminalTheme:
        """What red, green, yellow ... are in the colours of now."""
        theme = self.current_theme
        return super().ansi_theme if theme.ansi else colours.terminal(theme)

    def keep_setting(self, key: str, text: str) -> None:
        """Write a setting; where that cannot be, say so: it holds until the program ends."""
        from inspect_tui.shop.settings import write

        try:
            write.put(key, text)
        except InspectError as problem:
            self.notify(todo.said(problem), severity="warning", markup=False)
        else:
            self.settings = file.read()

    def restyle(self) -> None:
        """Write figures as whoever sits at the Bench wants them, at this job."""
        bench, self._profiles = self.bench, None
        person = bench.person.initials if bench is not None and bench.person is not None else ""
        style = self.settings.style_for(person, bench.job.number if bench is not None else "")
        self.written = in_style(style, self._unit) if self._unit else style
        if bench is not None:
            bench.style = self.written
            bench.typed_in = self.typed_in

    def profiles(self) -> dict[bytes, InstrumentProfile]:
        """How gauges speak, by instrument; read once until somebody else sits here or takes another gauge."""
        if self._profiles is None:
            self._profiles = self.record.instrument_profiles()
        return self._profiles

    # ---------------------------------------------------------------- a gauge on a line of its own
    def attend_gauge(self) -> None:
        """Listen to the gauge in hand where it has a line of its own; what cannot be is said, and typing goes on."""
        gauge = hearing.instrument_of(self.screen)
        profile = self.profiles().get(gauge.of_id) if gauge is not None else None
        wanted = profile if profile is not None and profile.port else None
        if wanted == self._heard:
            return
        self.hang_up()
        self._heard = wanted
        if wanted is None or gauge is None:
            return
        from inspect_tui.shop.speech.profile import speech
        from inspect_tui.shop.speech.wire import Wire

        try:
            self._wire = Wire(
                wanted,
                speech(wanted, gauge),
                lambda text: self.call_from_thread(self._came, text),
                lambda sentence: self.call_from_thread(self._gauge_says, sentence),
            )
        except InspectError as problem:
            self._gauge_says(todo.said(problem))

    def hang_up(self) -> None:
        """Listen to no gauge any more."""
        wire, self._wire, self._heard = self._wire, None, None
        if wire is not None:
            wire.close()

    def _came(self, text: str) -> None:
        """A reading over the gauge's line: it goes where readings are typed, or is said and lost."""
        entry = self.screen.query(Entry).first() if self.screen.query(Entry) else None
        gauge = hearing.instrument_of(self.screen)
        if entry is None or gauge is None or self._heard is None or gauge.of_id != self._heard.instrument_of_id:
            self._gauge_says(f"{text} came from the gauge while nothing was being measured with it: not logged.")
            return
        entry.receive(text)

    def _gauge_says(self, sentence: str) -> None:
        self.bell_if_on()
        self.notify(sentence, severity="warning", timeout=20, markup=False)

    def action_ask_gauge(self) -> None:
        """Ask the gauge in hand for a reading, over its line."""
        self.attend_gauge()
        if self._wire is None:
            self._gauge_says("The gauge in hand has no line of its own; Gauges (p) says how it speaks.")
            return
        try:
            self._wire.ask()
        except InspectError as problem:
            self._gauge_says(todo.said(problem))

    @property
    def typed_in(self) -> str:
        """The unit of lengths that are typed without one, mm or in."""
        return self.written.word

    def action_units(self) -> None:
        """Lengths in mm, in decimal inches, in 1/64 in with the rest in thou; the next of them."""
        self._unit = NEXT_STYLE[self.written.unit]
        self.restyle()
        self._arrive()
        if callable(say := getattr(self.screen, "say", None)):
            say(f"Lengths are written in {WORDS[self.written.unit]}, and figures typed without a unit are that.")

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

    def _on_screen(self, use: Callable[[], None]) -> None:
        """Do on the screen's side what a thread has to say, unless the program is being left."""
        if self.is_running and not self._ending:
            self.call_from_thread(use)

    def _marked(self) -> None:
        """Other things are to be decided: the place that is looked at shows it; one that is being left does not."""
        if self.screen_stack:
            self._arrive()

    def _come_in(self, said: str) -> None:
        """What came from the other benches is said over whatever is looked at, but where it stands already."""
        if self.screen_stack and getattr(self.screen, "beside", None) is not self.together:
            self.notify(said, timeout=10, markup=False)

    def to_places(self) -> None:
        """Ask where to go."""
        self.call_later(self.run_action, "app.places")

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

    def action_leave(self) -> None:
        """Keep what is pending, then quit."""
        self.together.stop()
        self._leave_place()
        self.hang_up()
        self.exit(0)

    def open_subject(self, subject: Subject | None) -> None:
        """Measure another tool or casting of the same job, by the same person with the same instrument."""
        if subject is None or self.bench is None:
            return
        self.open_bench(self.bench.job.of_id, subject)

    def open_bench(self, job_of_id: bytes, subject: Subject) -> None:
        """Go to the Bench for this subject."""
        before = self.bench
        if before is not None:
            self.leave_tool(before)
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
        memory.go_on_with_round(self.record, self.bench)
        apart.attend(self.bench)
        self.remember(self.bench)
        self.call_later(self.go, "bench")

    def leave_tool(self, bench: Bench) -> None:
        """What is asked about on the tool that is left is kept as typed; what cannot be written goes on waiting."""
        try:
            doubted = bench.part()
        except InspectError as problem:
            self.notify(todo.not_logged(problem), severity="error", markup=False)
        else:
            if doubted:
                said = f"{bench.subject.label}: its last size was not read, and {', '.join(doubted)} are like it."
                self.notify(f"{said} One may have been passed over: they are marked.", markup=False)

    def job_changed(self, job_of_id: bytes) -> None:
        """A job or its drawing was changed: the stay that is open on it goes on with what holds now."""
        if self.bench is not None and self.bench.job.of_id == job_of_id:
            self.bench.take_up_drawing()

    # ---------------------------------------------------------------- what is kept outside the record
    def remember(self, bench: Bench) -> None:
        """Come back to this tool, person and instrument next time; whoever sits here now reads figures as they like."""
        self.restyle()
        self.call_later(self.attend_gauge)
        memory.remember(self.record, bench)

    def remember_unlogged(self, lines: list[str]) -> None:
        """Lines that stood in the entry or waited behind it when the Bench was left."""
        if self.bench is not None:
            for line in lines:
                self.bench.set_aside(line)

    def keep_form(self, title: str, texts: dict[str, str]) -> None:
        """Keep what was typed into a form that was never entered."""
        memory.remember_form(self.record, title, texts)

    def kept_form(self, title: str) -> dict[str, str]:
        """What was typed into this form when the program ended under it."""
        return memory.kept_form(self.record, title)

    def drop_form(self, title: str) -> None:
        """It was entered, or left: nothing of it is kept."""
        memory.drop_form(self.record, title)

    # ---------------------------------------------------------------- when something goes wrong
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
