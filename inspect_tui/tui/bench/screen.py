"""Bench: the place where readings are logged; a one-line entry owns the keyboard, function keys do the rest."""

from __future__ import annotations

from time import monotonic

from rich.text import Text
from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical

from inspect_tui.errors import InspectError
from inspect_tui.shop.bench import memory
from inspect_tui.shop.bench.line import Bench
from inspect_tui.shop.bench.outcomes import Asked, Logged, Outcome, Refused
from inspect_tui.shop.common.judging import shown
from inspect_tui.shop.common.sizes import unit_of
from inspect_tui.tui import todo
from inspect_tui.tui.bench import text as bench_text
from inspect_tui.tui.bench.keys import BenchKeys
from inspect_tui.tui.entry import Entry
from inspect_tui.tui.panel import Panel

PROMPT = 14
PAINT_S = 0.03
FOOT = "F1 keys  F3 who  F4 with  F7 back  F8 skip  F9 take back  F10 places"


class BenchScreen(BenchKeys):
    """Log readings on one tool or casting."""

    DEFAULT_CSS = """
    BenchScreen { layout: vertical; }
    BenchScreen #head { height: 1; }
    BenchScreen #work { height: 1; display: none; }
    BenchScreen #middle { height: 1fr; }
    BenchScreen #list { width: 28; padding: 0 1 0 0; }
    BenchScreen #right { width: 1fr; padding: 0 1; border-left: solid $primary; }
    BenchScreen #now { height: 5; }
    BenchScreen #line { height: 1; }
    BenchScreen #prompt { width: 14; height: 1; text-style: bold; }
    BenchScreen #say { height: 3; }
    BenchScreen #below { height: 1fr; }
    BenchScreen #foot { height: 1; background: $panel; }
    BenchScreen.-wide #list { width: 46; }
    """
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (120, "-wide")]  # noqa: RUF012

    def __init__(self) -> None:
        super().__init__()
        self.show_target = True
        self.show_budget = False
        self.outcome: Logged | None = None
        self.voided = False
        self._shown: Bench | None = None
        self._below = Text()
        self._looking_back = False
        self._look_for_cuts = True
        self._painted = 0.0
        self.left_over: list[str] = []

    # ---------------------------------------------------------------- what is on the screen
    def compose(self) -> ComposeResult:
        """Head, list, the feature to measure, the entry, the last line, earlier readings, foot."""
        yield Panel(id="head")
        yield Panel(id="work")
        with Horizontal(id="middle"):
            yield Panel(id="list")
            with Vertical(id="right"):
                yield Panel(id="now")
                with Horizontal(id="line"):
                    yield Panel(id="prompt")
                    yield Entry(self.take, on_empty_key=self._empty_key, id="entry")
                yield Panel(id="say")
                yield Panel(id="below")
        yield Panel(FOOT, id="foot")

    def on_mount(self) -> None:
        """The entry owns the keyboard; the first frame shows everything."""
        entry = self.query_one("#entry", Entry)
        entry.focus()
        self.left_over = memory.unlogged(self.app.record)
        if self.left_over:
            entry.value, entry.cursor_position = self.left_over[0][:1024], len(self.left_over[0])
            entry.waiting.extend(self.left_over[1:])

    def arrive(self) -> None:
        """Show the stay that is open now; on another tool nothing is left of the one before."""
        if not self.size.width:
            return  # not laid out yet; the resize that follows brings us here again
        if self._shown is not self.bench:
            self._shown = self.bench
            self.outcome = None
            self.show_target = self.bench.subject.tool is not None
            self.say(self._welcome())
        self.look_for_cuts()

    def on_resize(self) -> None:
        """Everything is drawn to the width at hand."""
        self.arrive()

    def on_screen_resume(self) -> None:
        """Back from another place: another tool may be open, the list may have changed."""
        if self._shown is not None:
            self.arrive()

    def _welcome(self) -> str:
        if self.left_over:
            n = len(self.left_over)
            if n == 1:
                return "1 line was not logged last time; it stands in the field (Esc drops it)."
            return f"{n} lines were not logged last time; the first stands in the field (Esc drops them)."
        left = self.bench.to_do
        return f"{left} to measure. Type a reading and press Enter." if left else "Everything here is measured."

    def say(self, text: str, style: str = "") -> None:
        """One sentence under the entry; a question that stands stays in sight beside it."""
        question = self.question()
        said = Text(text, style=style)
        if question and question not in text:
            said.append(f"  {question}", style="bold yellow")
        self._put("#say", said)

    def _put(self, panel: str, text: Text) -> None:
        self.query_one(panel, Panel).put(text)

    def show(self) -> None:
        """Draw what the bench knows; nothing is computed here but the drawing."""
        bench = self.bench
        width, height = self.size
        if not width:
            return
        wide = width >= 120
        list_width = 45 if wide else 27
        room = max(width - list_width - 4, 20)
        rows = height - 3 if self.query_one("#work", Panel).display else height - 2
        self._put("#head", bench_text.header(bench, width))
        self._put("#list", bench_text.worklist(bench, list_width, rows, blind=not self.show_target))
        self._put("#now", bench_text.now(bench, room, self.show_target, ()))
        self._put("#prompt", Text(self._prompt()))
        below = Text()
        if self.outcome is not None:
            below.append("╌" * room + "\n", style="dim")
            below.append_text(bench_text.last(self.outcome, room, self.voided))
            if (wide or self.show_budget) and not self.voided:
                below.append_text(bench_text.budget_table(self.outcome, room))
        self._below = below
        self._put("#below", below)
        if not self._looking_back:
            self._looking_back = True
            self.call_after_refresh(self._look_back, room)

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
        readings = bench.readings_of(task)
        if self.show_target:
            earlier = [r.reading.value for r in readings if not r.out]
            self._put("#now", bench_text.now(bench, room, True, earlier))
        if self.show_target or self.outcome:
            text = self._below.copy()
            text.append("╌" * room + "\n", style="dim")
            text.append_text(bench_text.recent(readings, task, room, 8, bench.today))
            self._put("#below", text)

    def look_for_cuts(self) -> None:
        """Look again, once the screen stands."""
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
            from inspect_tui.tui.bench import cuts as bench_cuts

            panel.put(bench_cuts.line(works, self.size.width))

    def _prompt(self) -> str:
        task = self.bench.task
        unit = "mm"
        if task is not None:
            instrument = self.bench.means.instrument if self.bench.means else None
            unit = unit_of(task.feature, instrument.unit if instrument else "mm")
        balloon = task.feature.balloon if task else ""
        return f"{balloon} {unit} ▏"[-20:].ljust(PROMPT)

    # ---------------------------------------------------------------- one line
    def take(self, text: str, gap_s: float) -> str | None:
        """Log one line; what could not be used goes back into the field."""
        try:
            outcome: Outcome | InspectError = self.bench.take(text, gap_s)
        except InspectError as problem:
            outcome = problem
        if (kept := self.bench.pop_kept()) is not None:
            self.logged(kept)
        before = f"{kept.task.feature.balloon} was kept as typed. " if kept else ""
        if isinstance(outcome, InspectError):
            self.say(before + todo.not_logged(outcome), "bold red")
            self.app.bell_if_on()
            return text
        if isinstance(outcome, Refused):
            waiting = len(self.query_one("#entry", Entry).waiting)
            behind = f"({waiting} lines wait; Esc drops them) " if waiting else ""
            self.say(f"{before}{behind}Not logged: {todo.said(outcome)}", "bold red" if outcome.text else "dim")
            return outcome.text
        if isinstance(outcome, Asked):
            self.say(before + self.question(), "bold yellow")
            self.app.bell_if_on()
            return None
        self.logged(outcome)
        return None

    def question(self) -> str:
        """The question that stands, with what can be answered."""
        pending = self.bench.pending
        if pending is None:
            return ""
        asked = pending.asked
        other = f"; = logs it on {asked.balloon}" if asked.balloon else ""
        take_over = f"; = takes {asked.suggestion}" if asked.suggestion else other
        return f"Not logged yet: {todo.said(asked)} Or type it again{take_over}."

    def logged(self, outcome: Logged) -> None:
        """Show a line that is on the disk: said in words, the verdict big, a bell when it is out of its band."""
        self.outcome, self.voided = outcome, False
        answer = outcome.judged.verdict.answer.value
        values = " ".join(shown(outcome.judged.sizes, r.value) for r in outcome.readings)
        kept = "  (kept as typed)" if outcome.readings[0].slip == "asked_kept" else ""
        count = f"  ({outcome.task.n} on this {outcome.task.sizes.kind_word} so far)" if outcome.task.n > 1 else ""
        self.say(f"logged  {outcome.task.feature.balloon} {values}{kept}{count}", "bold green")
        if answer == "does not conform":
            self.app.bell_if_on()
        self._look_for_cuts = self.query_one("#work", Panel).display  # a reading may show that a cut was made
        self.show()
        self._paint_at_once()

    def _paint_at_once(self) -> None:
        """Bring the verdict to the screen with the key that asked for it, not with the frame timer's next tick.

        A tick may be 17 ms away when the first digit has just had one (measured: p95 19 ms against 8). In a burst from
        a gauge the ticks are good enough. Textual has no public call for this; its version is pinned.
        """
        now = monotonic()
        if now - self._painted > PAINT_S:
            self._dirty_widgets.update(self.query(Panel))
            self._on_timer_update()
        self._painted = now

    def _empty_key(self, character: str) -> bool:
        if character == "?":
            self.action_help()
            return True
        if character == "=" and self.bench.pending is not None:
            self.take("=", 1.0)
            return True
        return False
