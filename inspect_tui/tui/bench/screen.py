"""Bench: the place where readings are logged; a one-line entry owns the keyboard, function keys do the rest."""

from __future__ import annotations

from collections.abc import Callable
from time import monotonic
from typing import TYPE_CHECKING, Any, ClassVar

from rich.text import Text
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.geometry import Offset
from textual.widget import Widget
from textual.widgets import Static

from inspect_tui.errors import InspectError
from inspect_tui.metrology.judge.verdict import Answer
from inspect_tui.metrology.sizes.place import place
from inspect_tui.record.text import clean
from inspect_tui.shop.bench import own_cut
from inspect_tui.shop.bench.line import Bench
from inspect_tui.shop.bench.outcomes import Asked, Logged, Outcome, Refused, Waiting
from inspect_tui.shop.common import find
from inspect_tui.shop.common.corrections import NOTHING
from inspect_tui.shop.common.judging import shown
from inspect_tui.shop.common.sizes import FINISHED, RAW, bare_unit
from inspect_tui.shop.together.marks import Mark, on
from inspect_tui.tui import todo, where
from inspect_tui.tui.bench import rounds
from inspect_tui.tui.bench import text as bench_text
from inspect_tui.tui.entry import Entry
from inspect_tui.tui.panel import Beside, Over, Panel
from inspect_tui.tui.place import Place

if TYPE_CHECKING:
    from textual.timer import Timer

    from inspect_tui.model.words import Id
    from inspect_tui.shop.first_article.taken_over import CutWork
    from inspect_tui.shop.kit.sketch.scene import Scene
    from inspect_tui.shop.measuring.due import Due

PROMPT = 14
WIDE = 120  # columns from which there is room for more
PAINT_S = 0.03
SAY_LEAST, SAY_MOST = 3, 6  # lines under the entry


class BenchScreen(Place):
    """Log readings on one tool or casting."""

    DEFAULT_CSS = """
    BenchScreen #work { height: 1; display: none; }
    BenchScreen #middle { height: 1fr; }
    BenchScreen #left { width: 28; }
    BenchScreen #list { height: 1fr; padding: 0 1 0 0; }
    BenchScreen #where { height: 10; padding: 0 1 0 0; display: none; }
    BenchScreen #right { width: 1fr; padding: 0 1; border-left: solid $primary; }
    BenchScreen #now { height: 6; }
    BenchScreen #line { height: 1; }
    BenchScreen #prompt { width: 14; height: 1; text-style: bold; }
    BenchScreen #say { height: 3; }
    BenchScreen #below { height: 1fr; }
    BenchScreen #course { height: 8; display: none; }
    BenchScreen.-least #left { width: 20; }
    BenchScreen.-wide #left { width: 46; }
    BenchScreen.-widest #left { width: 64; }
    """
    HORIZONTAL_BREAKPOINTS = [(0, "-least"), (70, "-narrow"), (120, "-wide"), (160, "-widest")]  # noqa: RUF012
    NAME = "Bench"
    FOOT = "F1 keys  F3 who  F4 with  F7 back  F8 skip  F9 take back  F10 places"
    SAYS_INSIDE = True
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f3", "person", "Who measures", id="bench.person"),
        Binding("f4", "instrument", "With what", id="bench.instrument"),
        Binding("f5", "target", "Show or hide the target", id="bench.target"),
        Binding("f6", "note", "Note to the last reading", id="bench.note"),
        Binding("f7,up", "move(-1)", "Back", id="bench.back", priority=True),
        Binding("down", "move(1)", "Next in the list", id="bench.next", priority=True),
        Binding("pageup", "move(-10)", "Ten up", show=False, priority=True),
        Binding("pagedown", "move(10)", "Ten down", show=False, priority=True),
        Binding("f8", "skip", "Skip", id="bench.skip"),
        Binding("f9,ctrl+z", "void_last", "Take back the last line", id="bench.void"),
        Binding("ctrl+r", "again", "Measure this one again later", id="bench.again"),
        Binding("shift+f4", "retry", "Read the last size once more, blind", id="bench.retry", priority=True),
        Binding("ctrl+g", "goto", "Go to a feature", id="bench.goto"),
        Binding("ctrl+o", "subject", "Other tool or casting", id="bench.subject"),
        Binding("ctrl+f", "feature", "Look at this feature whole", id="bench.feature", priority=True),
        Binding(
            "ctrl+a", "pictures", "Pictures of tool or casting, size, last reading", id="bench.pictures", priority=True
        ),
        Binding("ctrl+n", "cuts", "Cuts to make on this tool; say one is done", id="bench.cuts"),
        Binding("ctrl+t", "conditions", "Temperature, moisture, day", id="bench.conditions"),
        Binding("ctrl+y", "state", "Casting raw or finished by machining", id="bench.state"),
        Binding("ctrl+e", "waiting", "Lines that wait, earlier readings: put right", id="bench.waiting", priority=True),
        Binding("ctrl+x", "round", "Measure all of it again, as a round", id="bench.round", priority=True),
        Binding("ctrl+s", "log", "Log what stands in the field", id="bench.log", priority=True),
        Binding("shift+f8", "app.ask_gauge", "Ask the gauge for a reading", id="bench.ask", priority=True),
        Binding("ctrl+b", "bell", "Bell on or off", id="bench.bell"),
        Binding("ctrl+u", "budget", "Where the uncertainty comes from", id="bench.budget"),
        Binding("escape", "clear", "Clear the entry", show=False),
    ]

    def __init__(self) -> None:
        super().__init__()
        self.show_target = True
        self._seen_again = False  # whether the target comes back with the next line: it was hidden for that alone
        self.show_budget = False
        self.outcome: Logged | None = None
        self.voided = False
        self._shown: Bench | None = None
        self._below = Text()
        self._looking_back = False
        self._look_for_cuts = True
        self._painted = 0.0
        self._numbers: tuple[Bench, dict[Id, str]] | None = None  # the number of every version of a core
        self._scene: tuple[Bench, Scene] | None = None  # the mould of the job at hand
        self._drawn: tuple[object, ...] = ()  # what the sketch was drawn for
        self._charted: tuple[object, ...] = ()  # what the chart was drawn for
        self._sketch_rows = 0
        self._say_rows = SAY_LEAST
        self._rows: bench_text.Rows = {}
        self._rest: Timer | None = None
        self._draws_soon = False
        self.due: tuple[Bench, dict[str, Due]] | None = None  # what is due in the round that is walked

    @property
    def bench(self) -> Bench:
        """The stay at the bench that the program has open."""
        assert self.app.bench
        return self.app.bench

    # ---------------------------------------------------------------- what is on the screen
    def compose(self) -> ComposeResult:
        """Head, list, the feature to measure, the entry, the last line, earlier readings, foot; all in panels.

        A panel repaints the lines that changed, where another widget would lay the whole screen out for each reading.
        The breadth at hand is known: given here, it is not found after all was laid out, and laid out again.
        """
        breadth = [name for least, name in self.HORIZONTAL_BREAKPOINTS if self.app.size.width >= least][-1]
        self.add_class(breadth, update=False)
        yield Panel(id="head")
        yield Panel(id="work")
        with Beside(id="middle"):
            with Over(id="left"):
                yield Panel(id="list")
                yield Panel(id="where")
            with Vertical(id="right"):
                yield Panel(id="now")
                with Beside(id="line"):
                    yield Panel(id="prompt")
                    yield Entry(self.take, on_empty_key=self._empty_key, on_empty_back=self._mend, id="entry")
                yield Panel(id="say")
                yield Panel(id="below")
                yield Panel(id="course")
        yield Static(id="trouble")
        yield Panel(self.foot(), id="foot")

    def on_mount(self) -> None:
        """The entry owns the keyboard."""
        self.query_one("#entry", Entry).focus()
        super().on_mount()

    def arrive(self) -> None:
        """Show the stay that is open now; on another tool nothing is left of the one before."""
        self._scene, self._drawn = None, ()
        if self._shown is not None:  # how the gauge speaks may have been said anew elsewhere
            self.app.call_later(self.app.attend_gauge)
        if self._shown is not self.bench:
            self._shown = self.bench
            self.outcome = None
            self.show_target, self._seen_again = self.bench.subject.tool is not None, False
            self.say(self._welcome())
        if self.bench.round is not None:
            self._look_for_due()
        self.look_for_cuts()

    def restyled(self) -> None:
        """What was said of the last line holds figures."""
        if self.outcome is not None:
            self.outcome = self.outcome.in_style(self.app.written)

    def look_elsewhere(self) -> None:
        """Where another program wrote to the record, bring the list up to date at once; asked twice a second."""
        if self.app.screen_stack and self.is_current and self.app.bench is not None:
            self._beside(self._look_elsewhere)

    def _beside(self, act: Callable[[], None]) -> None:
        """Do what readings can do without: where the record cannot be read now, the entry goes on taking lines."""
        try:
            act()
        except InspectError as problem:
            self._looking_back = False
            self.put("#below", Text(todo.said(problem), style="bold red"))

    def _look_elsewhere(self) -> None:
        bench = self.bench
        if not self.app.record.written_elsewhere():
            return
        self.app.together.look()
        before = [(task.feature.id, task.read, task.last) for task in bench.tasks]
        bench.forget_gauges()
        bench.refresh()
        if before != [(task.feature.id, task.read, task.last) for task in bench.tasks]:
            self.say("Somebody else wrote on this too: the list is up to date.")
        self.show()

    def returned(self) -> None:
        """A question was answered: the list may have changed."""
        self.look_for_cuts()

    def _welcome(self) -> str:
        if self.bench.waiting:
            n = len(self.bench.waiting)
            return f"{n} line{'s were' if n > 1 else ' was'} not logged last time and wait{'' if n > 1 else 's'}."
        if (wrong := self.bench.clock_wrong) is not None:
            return todo.said(wrong)
        if self.bench.round is not None:
            return rounds.said(self.bench)
        left = self.bench.to_do
        return f"{left} to measure. Type a reading and press Enter." if left else "Everything here is measured."

    def say(self, text: str, style: str = "") -> None:
        """One sentence under the entry; a question that stands, and lines that wait, stay in sight beside it."""
        question = self.question()
        said = Text(text, style=style)
        if question and question not in text:
            said.append(f"{'  ' if said else ''}{question}", style="bold yellow")
        if more := self._more(text):
            said.append(f"{'  ' if said else ''}{more}", style="yellow")
        self.put("#say", said)
        panel = self.query_one("#say", Panel)
        rows = min(max(panel.rows, SAY_LEAST), SAY_MOST)  # a question is worth nothing without its end
        if rows != self._say_rows:
            self._say_rows = panel.styles.height = rows

    def changed(self, said: str) -> None:
        """Something was entered about the tool at hand."""
        self.say(said, "bold")
        self.look_for_cuts()

    def clicked(self, widget: Widget, at: Offset) -> None:
        """A click on a line of the list goes to that feature."""
        if widget.id == "list":
            named = self.query_one("#list", Panel).line(at.y)
            task = next((task for task in self.bench.tasks if f" {task.feature.balloon} " in named[:24]), None)
            if task is not None:
                self._with(self.bench.goto, settle=False)(task.feature.balloon)

    def to_copy(self) -> str:
        """The cut that the last reading advises, else the size to make here."""
        judged = self.outcome.judged if self.outcome is not None and not self.voided else None
        if judged is not None and judged.cut:
            return judged.cut.words
        task = self.bench.task
        if task is None or not self.show_target or not task.feature.nominal_known:
            return ""
        return self.bench.style.size(task.sizes.target, task.feature.quantity, unit=True)

    def head(self, width: int) -> Text:
        """Job, tool or casting, gauge with what it can."""
        return bench_text.header(self.bench, width, self.apart_words())

    def apart(self) -> list[Mark]:
        """Of what is at hand: the size, the tool or casting, the gauge, the person, the job."""
        bench, marks = self.bench, self.app.together.marks
        piece, task = bench.subject.key, bench.task
        keys = [on(piece, task.feature.id), task.feature.id] if task is not None else []
        keys += [piece, *([bench.means.instrument.of_id] if bench.means is not None else [])]
        keys += [bench.person.of_id] if bench.person is not None else []
        found = (marks.at(key) for key in (*keys, bench.job.of_id))
        return list(dict.fromkeys(mark for mark in found if mark is not None))

    def draw(self, width: int, height: int) -> None:
        """Draw what the bench knows; nothing is computed here but the drawing."""
        bench = self.bench
        list_width, room = _columns(width)
        rows = height - 1 if self.query_one("#work", Panel).display else height
        rows -= self._room_for_sketch(width, rows)
        marks = self.app.together.marks
        listed = bench_text.worklist(bench, list_width, rows, not self.show_target, self._rows, marks)
        self.query_one("#list", Panel).put(listed)
        self.put("#now", bench_text.now(bench, room, self.show_target, (), self._where()))
        self.put("#prompt", self._prompt())
        self._put_last(room, wide=width >= WIDE)
        if width < WIDE:
            self._no_course()
        if not self._looking_back:
            self._looking_back = True
            self.call_after_refresh(self._beside, lambda: self._look_back(room))

    def _put_last(self, room: int, wide: bool) -> None:
        """The line that was logged last, with its verdict."""
        below = Text()
        if self.outcome is not None:
            below.append("╌" * room + "\n", style="dim")
            below.append_text(
                bench_text.last(self.outcome, room, self.voided, self.bench.style, self._where_of(self.outcome))
            )
            if (wide or self.show_budget) and not self.voided:
                below.append_text(bench_text.budget_table(self.outcome, room, self.bench.style))
        self._below = below
        self.put("#below", below)

    def _look_back(self, room: int) -> None:
        """Earlier readings of the feature at hand, once the verdict is on the screen."""
        self._looking_back = False
        bench, task = self.bench, self.bench.task
        if not self.is_current:
            return
        if self._look_for_cuts:
            self._show_cuts()
        if task is None:
            return
        if self._numbers is None or self._numbers[0] is not bench:
            self._numbers = bench, find.core_numbers(bench.record, bench.job)
        readings = bench.readings_of(task)
        made = bench.corrections_of(task, readings)
        earlier = [made.get(r.id, NOTHING).of(r.value) for r in readings if not r.out] if self.show_target else []
        self.put("#now", bench_text.now(bench, room, self.show_target, earlier, self._where()))
        if bench.round is not None or self.show_target:
            text = self._below.copy()
            text.append("╌" * room + "\n", style="dim")
            due = self.due[1] if self.due is not None and self.due[0] is bench else {}
            text.append_text(rounds.line(bench, task, due, room, blind=not self.show_target))
            if self.show_target:
                bad = bench.read_with_bad_gauge(readings)
                text.append_text(bench_text.recent(readings, task, room, 8, bench.today, bench.style, bad, made))
            self.put("#below", text)
        if self.size.width >= WIDE:
            if self._rest is not None:
                self._rest.stop()
            self._rest = self.set_timer(where.REST_S, lambda: self.guarded(self._rested))

    def _rested(self) -> None:
        """The hand rests: what there is room for beside the list, and what no reading waits for."""
        self._beside(self._course)
        if self._sketch_rows:
            self._sketch()

    def _course(self) -> None:
        """The chart of the size at hand in the lines that are left over."""
        from inspect_tui.tui.bench import course

        bench, task = self.bench, self.bench.task
        panel, below = self.query_one("#course", Panel), self.query_one("#below", Panel)
        if not self.is_current or task is None:
            return
        free = below.size.height + (panel.size.height if panel.display else 0) - below.rows
        rows = course.rows(free, task.n) if self.show_target and self.size.width >= WIDE else 0
        wanted = task, rows, panel.size.width, bench.style
        if wanted == self._charted:
            return
        self._charted, panel.display = wanted, bool(rows)
        if rows:
            readings = bench.readings_of(task, limit=course.READINGS, voided=False)[::-1]
            made = bench.corrections_of(task, readings)
            values = [made.get(reading.id, NOTHING).of(reading.value) for reading in readings]
            panel.styles.height = rows
            panel.put(course.picture(task, values, _columns(self.size.width)[1], rows, bench.style))

    def _no_course(self) -> None:
        self.query_one("#course", Panel).display, self._charted = False, ()

    # ---------------------------------------------------------------- where the size is taken
    def _where(self) -> str:
        """Where the size at hand is taken, in words."""
        return self._where_of(self.bench)

    def _where_of(self, of: Bench | Logged) -> str:
        """Where the size at hand, or the one that was logged, is taken."""
        task, known = of.task, self._numbers
        if task is None:
            return ""
        numbers = known[1] if known is not None and known[0] is self.bench else None
        return where.words(task.feature, numbers, self.bench.style, figures=self.show_target)

    def _room_for_sketch(self, width: int, height: int) -> int:
        """Lines of the sketch under the list; it is shown where it has room."""
        rows = where.rows(width, height)
        if rows != self._sketch_rows:
            panel = self.query_one("#where", Panel)
            self._sketch_rows, panel.display = rows, bool(rows)
            panel.styles.height = max(rows, 1)
        return rows

    def _sketch(self) -> None:
        """Draw where the size is taken; the mould is read beside the screen when it is drawn first."""
        bench, panel = self.bench, self.query_one("#where", Panel)
        task = bench.task
        if not self.is_current or task is None or self._numbers is None:
            return
        if self._scene is None or self._scene[0] is not bench:
            job = bench.job
            self.ask(
                "where",
                lambda reader, answer: answer(scene=where.read(reader, job)),
                lambda scene: self._mould(bench, scene),
                lambda _: None,
            )
            return
        tool = bench.subject.tool
        hand = self._numbers[1].get(tool.core_id, "") if tool is not None and tool.core_id is not None else ""
        wanted = self._scene[1], task.feature.id, hand, panel.size, self.show_target, bench.style
        if wanted == self._drawn:
            return
        self._drawn = wanted
        taken = place(task.feature, self._numbers[1])
        wide, high = panel.size.width - 1, panel.size.height
        panel.put(where.picture(self._scene[1], taken, hand, wide, high, bench.style, figures=self.show_target))

    def _mould(self, bench: Bench, scene: Scene) -> None:
        self._scene = bench, scene
        self._sketch()

    def look_for_cuts(self) -> None:
        """Something was done that may close a cut: look again which are to be made, once the screen stands."""
        self._look_for_cuts = True
        self.show()

    def _show_cuts(self) -> None:
        """A line under the head where a cut was taken over and is still to be made on this tool."""
        self._look_for_cuts = False
        works = self.to_make()
        panel = self.query_one("#work", Panel)
        changed = panel.display != bool(works)
        panel.display = bool(works)
        if changed:
            self.show()  # the list has a line less, or more
        if works:
            from inspect_tui.tui.bench import cuts

            panel.put(cuts.line(works, self.size.width))

    def _prompt(self) -> str:
        task = self.bench.task
        unit = "mm"
        if task is not None:
            instrument = self.bench.means.instrument if self.bench.means else None
            unit = bare_unit(task.feature, instrument, self.bench.typed_in)
        balloon = task.feature.balloon if task else ""
        return f"{balloon} {unit} ▏"[-20:].ljust(PROMPT)

    # ---------------------------------------------------------------- one line
    def take(self, text: str, gap_s: float) -> str | None:
        """Log one line; what could not be used goes back into the field."""
        try:
            outcome: Outcome | InspectError = self.bench.take(text, gap_s)
        except InspectError as problem:
            outcome = problem
        balloons = []
        while (kept := self.bench.pop_kept()) is not None:
            self.logged(kept)
            balloons.append(kept.task.feature.balloon)
        before = f"{', '.join(balloons)} {'were' if len(balloons) > 1 else 'was'} kept as typed. " if balloons else ""
        if isinstance(outcome, InspectError):
            self.say(before + todo.not_logged(outcome), "bold red")
            self.app.bell_if_on()
            self.show()
            return None
        if isinstance(outcome, Refused):
            apart = f"{outcome.text[:24]} set apart. " if outcome.text and self.bench.waiting else ""
            self.say(f"{before}{apart}Not logged: {todo.said(outcome)}", "bold red" if outcome.text else "dim")
            self.show()
            return None
        if isinstance(outcome, Asked):
            self.say(before + self.question(), "bold yellow")
            self.app.bell_if_on()
            self.show()
            return None
        self.logged(outcome)
        return None

    def question(self) -> str:
        """The question that stands, with what can be answered."""
        pending = self.bench.pending
        if pending is None:
            return ""
        asked = pending.asked
        assert asked
        other = f"; = logs it on {asked.balloon}" if asked.balloon else ""
        take_over = f"; = takes {asked.suggestion}" if asked.suggestion else other
        task = self.bench.task
        where = "" if task is not None and task.feature.balloon == pending.balloon else f"{pending.balloon} waits: "
        return f"{where or 'Not logged yet: '}{todo.said(asked)} Or type it again{take_over}."

    def _more(self, said: str) -> str:
        """The lines that wait besides the one that is asked about."""
        front = self.bench.pending
        rest = [line for line in self.bench.waiting if line is not front]
        if not rest:
            return ""
        listed = ", ".join(f"{line.balloon} {line.text[:12]}" for line in rest[:3]) + (" ..." if len(rest) > 3 else "")
        if front is None and rest[0].refused is not None and rest[0].text[:24] not in said:
            return f"Waiting: {listed} (Enter takes up the first, Esc drops it, Ctrl+E shows them)."
        return f"Waiting{'' if front is None else ' too'}: {listed} (Ctrl+E)."

    def logged(self, outcome: Logged) -> None:
        """Show a line that is on the disk: said in words, the verdict big, a bell when it is out of its band."""
        self.outcome, self.voided = outcome, False
        self._blind_no_more()
        values = " ".join(shown(outcome.judged.sizes, r.value, self.bench.style) for r in outcome.readings)
        kept = "  (kept as typed)" if outcome.readings[0].slip == "asked_kept" else ""
        read = outcome.task.read
        count = f"  ({read} on this {outcome.task.sizes.kind_word} so far)" if read > 1 else ""
        if outcome.struck:
            count = f"  {', '.join(outcome.struck)} struck out, {outcome.readings[0].typed} stands{count}"
        doubted = "  (the clock is in doubt: marked)" if self.bench.clock_wrong else ""
        if self.bench.round is not None:
            doubted += rounds.how_far(self.bench)
        self.say(f"logged  {outcome.task.feature.balloon} {values}{kept}{count}{doubted}", "bold green")
        if outcome.judged.verdict.answer is Answer.DOES_NOT_CONFORM:
            self.app.bell_if_on()
        self._look_for_cuts = self.query_one("#work", Panel).display  # a reading may show that a cut was made
        if not self._draws_soon:
            self._draws_soon = True
            self.call_later(self._draw_all)
        self._verdict_at_once()

    def _draw_all(self) -> None:
        """The list, the next size and what else follows from a reading, once its verdict is on the screen."""
        self._draws_soon = False
        self.show()

    def _verdict_at_once(self) -> None:
        """What was said and the verdict come first; in a burst from a gauge there is time for one after the last."""
        if not self.panels[0].size.width or self.away or self.trouble is not None:
            return
        now = monotonic()
        if now - self._painted > PAINT_S:
            width = self.size.width
            self.guarded(lambda: self._put_last(_columns(width)[1], wide=width >= WIDE))
            self._paint_at_once()
        self._painted = now

    def _paint_at_once(self) -> None:
        """Bring the verdict to the screen with the key that asked for it, not with the frame timer's next tick.

        A tick may be 17 ms away when the first digit has just had one (measured: p95 19 ms against 8). In a burst from
        a gauge the ticks are good enough. Textual has no public call for this; its version is pinned.
        """
        for panel in self.panels:  # one that is out of sight would have the whole screen laid out anew
            if panel.stale and panel.display:
                panel.stale = False
                self._dirty_widgets.add(panel)
        self._on_timer_update()

    def _empty_key(self, character: str) -> bool:
        if character == "?":
            self.action_help()
            return True
        if character == "=" and self.bench.pending is not None:
            self.take("=", 1.0)
            return True
        return False

    def _mend(self) -> bool:
        """The line that was refused last stands in the field again, to be typed on."""
        line = next((line for line in reversed(self.bench.waiting) if line.refused is not None), None)
        if line is None:
            return False
        self._to_mend(line)
        return True

    def _to_mend(self, line: Waiting) -> None:
        entry = self.query_one("#entry", Entry)
        entry.value = self.bench.take_to_mend(line)
        entry.cursor_position = len(entry.value)
        self.say(f"{line.text[:24]} stands in the field again: mend it and press Enter, Esc drops it.")
        self.show()

    def action_waiting(self) -> None:
        """Lines that wait are taken up, mended, moved or dropped; earlier readings taken back, typed right or moved."""
        from inspect_tui.tui.bench import earlier
        from inspect_tui.tui.question import choose

        rows: list[tuple[Any, str]] = [(line, self._waits(line)) for line in self.bench.waiting]
        rows += earlier.rows(self.bench, blind=not self.show_target)
        if not rows:
            self.say("No line waits, and nothing was read here yet.")
            return

        def chosen(line: Any) -> None:
            if isinstance(line, Waiting):
                self._with_line(line)
            else:
                earlier.ask(self, self.bench, *line)

        choose(self, "Which line?", rows, chosen)

    def _waits(self, line: Waiting) -> str:
        why = line.asked or line.refused
        return f"{line.balloon:<6} {line.text[:20]:<20}  {why.sentence if why else ''}"

    def _with_line(self, line: Waiting) -> None:
        from inspect_tui.tui import choosers
        from inspect_tui.tui.question import choose

        bench = self.bench
        rows: list[tuple[Any, str]] = [
            ("up", f"Log it on {line.balloon} as typed"),
            ("mend", "Put it into the field, to be typed on"),
            ("other", "It was meant for another size"),
            *([("note", "Keep it as a note to the last reading")] if bench.can_note else []),
            ("drop", "Drop it"),
        ]

        def chosen(what: str) -> None:
            if line.key not in {waits.key for waits in bench.waiting}:
                self.say("That line does not wait any more.")
            elif what == "up":
                self._outcome_of(lambda: bench.take_up(line))
            elif what == "mend":
                self._to_mend(line)
            elif what == "other":
                features = [task.feature for task in bench.tasks]
                choosers.feature(self.app, features, on_other)
            elif what == "note":
                self._as_note(line)
            else:
                bench.drop(line)
                self.say(f"Dropped: {line.text[:40]}.")
                self.show()

        def on_other(balloon: str | None) -> None:
            if balloon is not None:
                self._outcome_of(lambda: bench.take_up_on(line, balloon))

        choose(self, f"{line.balloon} {line.text[:30]}", rows, chosen)

    def _as_note(self, line: Waiting) -> None:
        if self.bench.note(line.text):
            self.bench.drop(line)
            self.say(f"Note kept: {line.text[:40]}.")
            self.show()

    def _is_number(self, text: str) -> bool:
        """Whether nothing but a figure was typed: what a gauge sends while a note is asked for."""
        return any(c.isdigit() for c in text) and not any(c.isalpha() for c in text)

    def _outcome_of(self, act: Callable[[], Outcome]) -> None:
        """Say what became of a line that was taken up."""
        try:
            outcome = act()
        except InspectError as problem:
            self.say(todo.not_logged(problem), "bold red")
            self.show()
            return
        if isinstance(outcome, Logged):
            self.logged(outcome)
        else:
            self.say(self.question() if isinstance(outcome, Asked) else f"Not logged: {todo.said(outcome)}", "bold red")
            self.show()

    # ---------------------------------------------------------------- actions
    def action_move(self, by: int) -> None:
        """Up or down the list; what is asked about goes on waiting."""
        self.bench.move(by)
        self._blind_no_more()
        self._left_in_the_field()
        self.show()

    def action_log(self) -> None:
        """Log what stands in the field, as Enter does: for a foot switch that types a key of its own."""
        self.query_one("#entry", Entry).take_line()

    def action_retry(self) -> None:
        """Back to the size that was read last, with nothing in sight of it until the next reading."""
        last = self.outcome.task.feature.balloon if self.outcome is not None else ""
        if not last or all(task.feature.balloon != last for task in self.bench.tasks):
            self.say("Nothing was read in this stay: there is no size to read once more.")
            return
        self.bench.goto(last)
        self.outcome, self._seen_again = None, self._seen_again or self.show_target
        self.show_target = False
        self._no_course()
        self.say(f"{last} once more, blind: read it as if it were the first time.", "bold")
        self._left_in_the_field()
        self.show()

    def _blind_no_more(self) -> None:
        """What was hidden for one reading is in sight again."""
        if self._seen_again:
            self.show_target, self._seen_again = True, False

    def action_skip(self) -> None:
        """Pass over this feature; it stays to be measured."""
        self.bench.skip()
        self._blind_no_more()
        self.say("Skipped; it stays on the list.")
        self._left_in_the_field()
        self.show()

    def _left_in_the_field(self) -> None:
        text, task = self.query_one("#entry", Entry).value, self.bench.task
        if text.strip() and task is not None:
            self.say(f"{text[:24]} still stands in the field: Enter logs it on {task.feature.balloon}, Esc clears it.")

    def action_again(self) -> None:
        """Mark or unmark this feature to be measured again."""
        on = self.bench.mark_again()
        self.say("On the list to measure again." if on else "Off the list to measure again.")
        self.show()

    def action_void_last(self) -> None:
        """Take back the last line: the readings stay in the record, struck out."""
        try:
            taken = self.bench.void_last()
        except InspectError as problem:
            self.say(f"Not taken back: {todo.said(problem)}", "bold red")
            return
        if taken is None:
            self.say("Nothing logged in this stay to take back. Older readings: Ctrl+F, page 4.")
            return
        task, readings = taken
        if self.outcome is not None and not {r.id for r in readings}.isdisjoint(r.id for r in self.outcome.readings):
            self.voided = True  # a reading that was asked about, or an older line, is none that stands below
        values = " ".join(shown(task.sizes, r.value, self.bench.style) for r in readings)
        self.say(f"taken back  {task.feature.balloon} {values}: struck out, not counted; measure it again", "bold")
        self.show()

    def action_target(self) -> None:
        """Show or hide the size wanted."""
        self.show_target, self._seen_again = not self.show_target, False
        self._no_course()  # blind means blind, at once
        self.show()

    def action_budget(self) -> None:
        """Show or hide where the uncertainty of the last line comes from."""
        self.show_budget = not self.show_budget
        self.show()

    def action_bell(self) -> None:
        """Bell on or off."""
        self.app.bell_on = not self.app.bell_on
        self.say(f"The bell is {'on' if self.app.bell_on else 'off'}.")

    def action_clear(self) -> None:
        """Clear the entry; when it is empty, keep what is asked about as typed, or drop the first line that waits."""
        entry, line = self.query_one("#entry", Entry), self.bench.front
        if entry.value:
            entry.value = ""
            self.say("Cleared.")
        elif line is not None and line.asked is not None:
            self._outcome_of(lambda: self.bench.take_up(line))
        elif line is not None:
            self.bench.drop(line)
            self.say(f"Dropped: {line.balloon} {line.text[:40]}.")
            self.show()

    def action_person(self) -> None:
        """Choose who measures, or add a person."""
        from inspect_tui.tui import choosers

        choosers.person(self.app, self.bench.record, self._with(self.bench.set_person))

    def action_instrument(self) -> None:
        """Choose what is measured with, or add an instrument."""
        from inspect_tui.tui import choosers

        choosers.instrument(self.app, self.bench.record, self._with(self.bench.set_instrument), self.bench.person)

    def action_subject(self) -> None:
        """Choose another tool or casting of this job."""
        from inspect_tui.tui import choosers

        self._settle()
        choosers.subject(self.app, self.bench.record, self.bench.job, self.app.open_subject)

    def action_goto(self) -> None:
        """Go to a feature by its balloon."""
        from inspect_tui.tui import choosers

        choosers.feature(self.app, [t.feature for t in self.bench.tasks], self._with(self.bench.goto, settle=False))

    def action_feature(self) -> None:
        """Look at this feature whole: chart, histogram, who measured it, every reading."""
        from inspect_tui.shop.feature.material import of_bench

        self._settle()
        if self.bench.task is not None:
            self.app.look_at = of_bench(self.bench.job, self.bench.task.feature, self.bench.subject, self.bench.state)
            self.app.go("feature")

    def action_pictures(self) -> None:
        """See and add pictures of the tool or casting, the size at hand, and the last reading."""
        from inspect_tui.tui.pictures import at_hand
        from inspect_tui.tui.pictures.screen import look

        self._settle()
        bench, task = self.bench, self.bench.task
        owners = at_hand.owners(
            bench.record,
            bench.subject,
            task.feature if task is not None else None,
            self.outcome if not self.voided else None,
        )
        look(self, bench.job, owners, at_hand.also(bench, task))

    def action_cuts(self) -> None:
        """The cuts that were taken over and are still to be made on this tool."""
        from inspect_tui.tui.bench import cuts

        works = self.to_make()
        tool = self.bench.subject.tool
        advice = self.outcome if not self.voided and own_cut.advised(self.bench, self.outcome) else None
        if tool is not None and (works or advice is not None):
            cuts.ask(self, self.bench, tool, works, advice)
        else:
            self.say(f"No cut is waiting to be made on {self.bench.subject.label}.")

    def to_make(self) -> tuple[CutWork, ...]:
        """The cuts that are still to be made on the tool at hand; none on a casting."""
        from inspect_tui.shop.first_article.taken_over import to_make

        tool = self.bench.subject.tool
        return to_make(self.bench.record, self.bench.job, tool) if tool is not None else ()

    def action_round(self) -> None:
        """Walk all sizes of this tool or casting anew; what was read in the round keeps its place over a restart."""
        rounds.ask(self, self.bench, self._round_begun)

    def _round_begun(self) -> None:
        self.outcome = None
        self._look_for_due()

    def _look_for_due(self) -> None:
        bench = self.bench

        def keep(found: dict[str, Due]) -> None:
            self.due = bench, found

        rounds.look_for_due(self, bench, keep)

    def action_note(self) -> None:
        """Write a note to the last reading."""
        from inspect_tui.tui import choosers

        def keep(text: str | None) -> None:
            if text and self._is_number(text):
                self.bench.set_aside(text, "a number alone is no note.")
                self.say(f"{text} is a number alone: a reading, or a note?")
                self.show()
            elif text and self.bench.note(text):
                cleaned = " Control characters were taken out of it." if clean(text) != text else ""
                self.say(f"Note kept.{cleaned}")
                self.show()

        if not self.bench.can_note:
            self.say("No reading in this stay to put a note to.")
            return
        choosers.ask_text(self.app, "Note to the last reading", keep)

    def action_conditions(self) -> None:
        """Say how warm (and a wooden tool: how moist) the work is."""
        from inspect_tui.tui.conditions import ask_conditions

        self._settle()
        ask_conditions(self, self.bench, self._conditions_noted)

    def action_state(self) -> None:
        """The casting at hand is measured finished from now on, or raw again; the list follows."""
        self._settle()
        to = FINISHED if self.bench.state == RAW else RAW
        try:
            self.bench.set_state(to)
        except InspectError as problem:
            self.say(todo.said(problem), "bold red")
            return
        self.outcome = None
        limits = "the drawing's own limits" if to == FINISHED else "the limits of the raw casting"
        self.say(f"{self.bench.subject.label} is measured {to} from now on: judged by {limits}.", "bold")
        self._left_in_the_field()
        self.show()

    def _conditions_noted(self) -> None:
        said = f" They are of {self.bench.on_date}." if self.bench.on_date else ""
        self.say(f"Conditions noted: the next readings are corrected to 20 °C where the material is known.{said}")
        self.show()

    def _with(self, use: Callable[[Any], None], settle: bool = True) -> Callable[[Any], None]:
        """What is done with an answer; `settle`: what is asked about was read by whom, and with what, was at hand."""

        def chosen(answer: Any) -> None:
            if answer is None:
                return
            if settle:
                self._settle()
            try:
                use(answer)
            except InspectError as problem:
                self.say(todo.said(problem), "bold red")
            else:
                if self.bench.waiting:
                    self.say("")  # what waits can be taken up now
            self.app.remember(self.bench)
            self.show()

        return chosen

    def _settle(self) -> None:
        """Keep a reading that is being asked about; nothing typed is dropped by walking away."""
        if self.bench.pending is None:
            return
        try:
            kept = self.bench.keep_pending()
        except InspectError as problem:
            self.say(todo.not_logged(problem), "bold red")
            return
        if kept:
            self.logged(kept)

    def leave(self) -> None:
        """Before this place or the program is left: what is asked about is kept, what is untyped remembered."""
        super().leave()
        self._settle()
        entry = self.query_one("#entry", Entry)
        text, entry.value = entry.value, ""
        self.bench.set_aside(text)
        self.app.leave_tool(self.bench)


def _columns(width: int) -> tuple[int, int]:
    """Of a screen so wide: the columns of the list, and of what stands beside it."""
    list_width = 63 if width >= 160 else 45 if width >= WIDE else 27 if width >= 70 else 19
    return list_width, max(width - list_width - 4, 20)
