"""The full-screen program: opens the record, shows one place at a time, remembers where work stood."""

from __future__ import annotations

import asyncio
import gc
import signal
from collections.abc import Iterable
from contextlib import suppress
from datetime import datetime
from functools import partial
from importlib import import_module
from typing import Any, ClassVar

from textual import work
from textual.app import SystemCommand
from textual.binding import Binding, BindingType
from textual.screen import Screen

from inspect_tui.errors import InspectError
from inspect_tui.model.measuring import Person
from inspect_tui.record.store import Record
from inspect_tui.shop.bench import clock
from inspect_tui.shop.bench.line import Bench
from inspect_tui.shop.settings.choices import STYLES
from inspect_tui.shop.together.beside import AFTER_START_S
from inspect_tui.tui import todo
from inspect_tui.tui.place import NoPlace, Place
from inspect_tui.tui.program import WORDS, Program, end_with_terminal

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
BESIDE = (  # screens with keys of their own that open over a place
    ("", "", "gauges.check_screen", "CheckScreen"),
    ("", "", "gauges.study_screen", "StudyScreen"),
)

BACKUP_LOOKED_FOR_S = 300.0  # between two looks at whether an hour has gone
CLOCK_LOOKED_AT_S = 30.0  # between two looks at whether the clock jumped


def make_place(name: str) -> Screen[Any]:
    """The screen of a place; its module is imported at the first visit. One that cannot be made says so."""
    title, _, module, screen = PLACES[name]
    try:
        made: Screen[Any] = getattr(import_module(f"inspect_tui.tui.{module}"), screen)()
    except Exception as error:
        return NoPlace(title, error)
    return made


def every_binding() -> dict[str, Binding]:
    """Every command of the program by the id of its key; every place is imported for it."""
    known: dict[str, Binding] = {}
    classes: list[type] = [InspectApp, Place]
    for _, _, module, screen in (*PLACES.values(), *BESIDE):
        classes += getattr(import_module(f"inspect_tui.tui.{module}"), screen).__mro__
    for cls in classes:
        for binding in cls.__dict__.get("BINDINGS", ()):
            if isinstance(binding, Binding) and binding.id and cls.__module__.startswith("inspect_tui."):
                known.setdefault(binding.id, binding)
    return known


def _changes(place: Place) -> None:
    """The list of what was changed, over whatever place."""
    from inspect_tui.tui.jobs import changes

    changes.show(place)


def _collect_again() -> None:
    """The first frame is up: what was loaded for it stays, and is not looked through again and again."""
    gc.freeze()
    gc.enable()


class InspectApp(Program):
    """Places named by the work; the Bench comes up first."""

    TITLE = "inspect_tui"
    ENABLE_COMMAND_PALETTE = False  # F2 has a list of ours; the library's key for its own is that of the other benches
    clock_said = False  # that the clock cannot be believed
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("ctrl+q", "leave", "Quit", id="app.quit", priority=True),
        Binding("f10", "places", "Places", id="app.places"),
    ]

    def get_default_screen(self) -> Screen[Any]:
        """The Bench where work stood; the jobs when there is nothing to measure yet."""
        return make_place(self.place)

    def on_mount(self) -> None:
        """Name the places; the first one is up already: made as a mode it would cost a second reading of all styles."""
        for name in PLACES:
            self.add_mode(name, partial(make_place, name))
        self._as_set()
        self.call_after_refresh(self.attend_gauge)
        self.call_after_refresh(_collect_again)
        if not self.is_headless:
            self.set_timer(1.0, end_with_terminal)
        self.set_timer(1.0, self.look_for_damage)  # once the first frame is up and looked at
        self.set_interval(BACKUP_LOOKED_FOR_S, self.back_up_when_due)
        self.set_timer(AFTER_START_S, self.begin_together)
        self.set_timer(1.0, self.look_at_clock)
        self.set_interval(CLOCK_LOOKED_AT_S, self.look_at_clock)
        for name in ("SIGTERM", "SIGHUP"):  # the terminal was closed: keep what is pending, as on quitting
            if hasattr(signal, name):
                with suppress(NotImplementedError, RuntimeError, ValueError):
                    asyncio.get_running_loop().add_signal_handler(getattr(signal, name), self.action_leave)

    # ---------------------------------------------------------------- settings
    def _as_set(self) -> None:
        """Take up colours and keys; what the settings say wrong is said, and stops nothing."""
        wrong = list(self.settings.wrong)
        if self.settings.theme in self.available_themes:
            self.theme = self.settings.theme
        elif self.settings.theme:
            wrong.append(f"show.theme is {self.settings.theme!r}, which are no colours known here; they stay.")
        for sentence in wrong:
            self.notify(sentence, severity="warning", timeout=20, markup=False)
        if self.settings.keys:
            self.take_up_keys()

    @work(thread=True, exit_on_error=False)
    def take_up_keys(self) -> None:
        """Look the chosen keys up beside the screen: every place is imported for it."""
        from inspect_tui.tui.settings.keys import chosen

        good, wrong = chosen(self.settings.keys, every_binding())
        self.call_from_thread(self._keys_are, good, wrong)

    def _keys_are(self, good: dict[str, str], wrong: list[str]) -> None:
        self._set_keys = good
        self._keys_follow()
        for sentence in wrong:
            self.notify(sentence, severity="warning", timeout=20, markup=False)

    def attend_gauge(self) -> None:
        """Its foot switch and its line, where it has them."""
        self._take_up_foot()
        super().attend_gauge()

    def _take_up_foot(self) -> None:
        """What the keys of the foot switch do at the Bench is said of the gauge in hand there."""
        means = self.bench.means if self.bench is not None else None
        profile = self.profiles().get(means.instrument.of_id) if means is not None else None
        said: dict[str, str] = {}
        if profile is not None and profile.foot:
            from inspect_tui.shop.speech.profile import deeds

            said = deeds(profile)
        if said != self._foot:
            self._foot = said
            self._keys_follow()

    def _keys_follow(self) -> None:
        """Keys as the settings want them, and over them those of a foot switch."""
        self.chosen_keys = self._set_keys
        if self._foot:
            from inspect_tui.tui.bench.foot import keys

            self.chosen_keys = keys(self._foot, self._set_keys)
        self.set_keymap(self.chosen_keys)
        for screen in self.screen_stack:
            if isinstance(screen, Place) and screen.query("#foot"):
                screen.put("#foot", screen.foot())

    def action_places(self) -> None:
        """Choose where to go."""
        from inspect_tui.tui.question import Chooser

        rows = [(key, f"{title:<14} {what}") for key, (title, what, _, _) in PLACES.items()]

        def chosen(key: str | None) -> None:
            if key is not None:
                self.call_later(self.go, key)  # once the list has closed: it belongs to the place that is left

        self.push_screen(Chooser("Where to?", rows), chosen)

    @work(thread=True, exit_on_error=False)
    def look_for_damage(self) -> None:
        """Check the pages of the file beside the work; damage stops the writing, not the looking."""
        if self.record.opening_said:
            self.call_from_thread(self.notify, self.record.opening_said, severity="warning", timeout=60, markup=False)
        with self.record.reader() as reader:
            wrong = reader.damage()
        if wrong:
            self.call_from_thread(self._damaged, wrong)
            return
        from inspect_tui.record.care import backup_words, backups

        with suppress(InspectError):  # what is wrong with a backup is said when one is made
            standing = backups.standing(self.record.path, now := datetime.now())
            if standing.old and not self.record.read_only and self.today is None:  # nothing is kept of a played day
                said = backup_words.words(standing, now)
                self.call_from_thread(self.notify, said, severity="error", timeout=30, markup=False)

    @work(thread=True, exit_on_error=False, group="backup", exclusive=True)
    def back_up_when_due(self) -> None:
        """A backup an hour while readings come, beside the work."""
        from inspect_tui.record.care import backups

        if self.record.read_only:
            return
        try:
            made = backups.when_due(self.record.path, datetime.now(), self.settings.second_backup)
            if made is not None and made.wrong:
                self.call_from_thread(self.notify, made.wrong, severity="warning", timeout=30, markup=False)
        except InspectError as wrong:
            said = f"{wrong} Everything logged is in the record itself."
            self.call_from_thread(self.notify, said, severity="error", timeout=60, markup=False)

    def look_at_clock(self) -> None:
        """Say once at whatever place that the clock cannot be believed; the Bench says it beside its entry as well."""
        if self.today is not None:  # a played day
            return
        try:
            wrong = clock.wrong(self.record.clock_doubt(), self.bench.on_date if self.bench else None)
        except InspectError:  # what is wrong with the record is said where it is read or written
            return
        if wrong is not None and not self.clock_said:
            self.notify(todo.said(wrong), severity="error", timeout=60, markup=False)
        self.clock_said = wrong is not None

    def begin_together(self) -> None:
        """Look how it stands with the other benches, and exchange at the pace that is set."""
        self.together.where = self.settings.share_with
        if self.settings.share_with and self.settings.share_every_min and not self.record.read_only:
            self.set_interval(60.0 * self.settings.share_every_min, self.together.exchange)
            self.together.exchange()
        else:
            self.together.look()

    def _damaged(self, wrong: str) -> None:
        self.record.stop_writing(wrong)
        self.notify(todo.only_read(self.record), severity="error", timeout=60, markup=False)
        self._arrive()

    # ---------------------------------------------------------------- commands
    def action_together(self) -> None:
        """How it stands with the other benches, an exchange now; what is to be decided, the nearest at hand first."""
        from inspect_tui.tui.together.screen import show

        if isinstance(here := self.screen, Place):
            show(here, next((mark.clash for mark in here.apart()), None))

    def action_command_palette(self) -> None:
        """All commands of the place, the places, the colours, quitting."""
        from inspect_tui.tui.question import Chooser

        rows = [(command, f"{command.title:<34}  {command.help}") for command in self.get_system_commands(self.screen)]

        def chosen(command: SystemCommand | None) -> None:
            if command is not None:
                self.call_later(command.callback)  # once the list has closed

        self.push_screen(Chooser("Do what?", rows), chosen)

    def search_themes(self) -> None:
        """Choose the colours."""
        from inspect_tui.tui.question import Chooser

        def chosen(name: str | None) -> None:
            if name is not None:
                self.theme = name
                self.keep_setting("show.theme", name)

        self.push_screen(Chooser("Which colours?", [(name, name) for name in sorted(self.available_themes)]), chosen)

    def keep_unit(self) -> None:
        """The unit that lengths are written in now is that of who sits at the Bench, from now on."""
        word = next(word for word, unit in STYLES.items() if unit == self.written.unit)
        who = self.bench.person.initials if self.bench and self.bench.person else ""
        self.keep_setting(f"people.{who}" if who else "show.style", word)
        self.notify(f"{who or 'Everybody'} reads lengths in {WORDS[self.written.unit]} from now on.", markup=False)

    def _give_pin(self, person: Person) -> None:
        from inspect_tui.tui import choosers

        def told(sentence: str) -> None:
            self.notify(sentence, markup=False)

        said = f"{person.initials} may decide until the program is left."
        choosers.pin(self, self.record, person, lambda: told(said), told)

    def get_system_commands(self, screen: Screen[Any]) -> Iterable[SystemCommand]:
        """Every command of the place, the places, and quitting."""
        if callable(commands := getattr(screen, "commands", None)):
            yield from commands()
        for key, (title, what, _, _) in PLACES.items():
            yield SystemCommand(f"Go to {title}", what, lambda key=key: self.call_later(self.go, key))
        if isinstance(screen, Place) and not hasattr(screen, "action_what_changed"):  # Jobs has a key for it
            yield SystemCommand("What was changed", "over the whole shop: who, when, why", partial(_changes, screen))
        yield SystemCommand("The other benches", "exchange with them; what is to be decided", self.action_together)
        yield SystemCommand("Ask the gauge for a reading", "over its own line", self.action_ask_gauge)
        yield SystemCommand("Lengths in another unit", "mm, inches, 1/64 in: the next one", self.action_units)
        yield SystemCommand("Keep this unit of lengths", "for who sits here, else for everybody", self.keep_unit)
        for person in self.record.people():
            if self.record.locked(person):
                ask = partial(self._give_pin, person)
                yield SystemCommand(f"PIN of {person.initials}", "to be given before something is decided", ask)
        yield SystemCommand("Change the colours", "dark, light, or the terminal's own", self.action_change_theme)
        yield SystemCommand("Quit", "everything logged is on the disk", self.action_leave)


def run(record: Record, bench: Bench | None, today: str | None = None) -> int:
    """Run the program on an open record; returns the exit status. `today`: the day that forecasts are made for."""
    app = InspectApp(record, bench)
    app.today = today
    status = app.run()
    return (app.return_code or 1) if status is None else status
