"""Feature: the place where one feature is looked at whole; figures are made beside the screen, which never waits."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING, Any, ClassVar

from rich.text import Text
from textual.app import ComposeResult, SystemCommand
from textual.binding import Binding, BindingType
from textual.message import Message
from textual.screen import Screen
from textual.widgets import Static
from textual.worker import Worker, WorkerState, get_current_worker

from inspect_tui.errors import InspectError
from inspect_tui.model import SUPERSEDE_REASONS, Instrument, Person
from inspect_tui.record import Record, series
from inspect_tui.shop import feature_data
from inspect_tui.shop.feature_data import EVERYTHING, Only, Pick
from inspect_tui.tui import feature_text
from inspect_tui.tui.choosers import Chooser, ask_text

if TYPE_CHECKING:
    from inspect_tui.record.read import Reader
    from inspect_tui.record.readings import LoggedReading
    from inspect_tui.shop.feature_budget import BudgetView
    from inspect_tui.shop.feature_data import Material
    from inspect_tui.shop.feature_findings import Breakdown, Findings, Histogram
    from inspect_tui.shop.feature_view import FeatureView
    from inspect_tui.tui.app import InspectApp

CHART, HISTOGRAM, WHO, READINGS, BUDGET, TELLS = range(6)
FOOT = "1-6 pages  ←→ reading  k chart  f feature  o tool  w only  F1 keys  F10 places"


class Found(Message):
    """Figures that a thread has made, for the question of that number."""

    def __init__(self, asked: int, found: dict[str, Any]) -> None:
        super().__init__()
        self.asked, self.found = asked, found


class FeatureScreen(Screen[None]):
    """Summary, chart, histogram, who measured, raw readings and budget of one feature on a tool or on castings."""

    DEFAULT_CSS = """
    FeatureScreen { layout: vertical; }
    FeatureScreen #head { height: 1; }
    FeatureScreen #tabs { height: 1; }
    FeatureScreen #body { height: 1fr; }
    FeatureScreen #say { height: 2; }
    FeatureScreen #foot { height: 1; background: $panel; }
    """
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
        Binding("home", "step(-1000000000)", "First reading", show=False),
        Binding("end", "step(1000000000)", "Newest reading", show=False),
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

    app: InspectApp

    def __init__(self) -> None:
        super().__init__()
        self.pick: Pick | None = None
        self.only: Only = EVERYTHING
        self.page = CHART
        self.kind = "individuals"
        self.group: int | str = 5
        self.median = False
        self.show_band = True
        self.revisions = True
        self.scroll = 0
        self.at: int | None = None  # point of the chart under the cursor
        self.row = 0  # raw reading under the cursor, 0 is the newest
        self.wrong = ""
        self._asked = 0  # number of the newest question put to the record; older answers are dropped
        self._forget()

    def _forget(self) -> None:
        self.view: FeatureView | None = None
        self.histogram: Histogram | None = None
        self.material: Material | None = None  # with who, with what and the ids
        self.splits: list[Breakdown] | None = None
        self.findings: Findings | None = None
        self.budget: BudgetView | None = None
        self.rows: list[LoggedReading] = []
        self._rows_at = -1
        self._newest: list[bytes] = []  # every reading, the newest first
        self._counted: list[bytes] = []  # those that count, the oldest first: the points of a chart of readings
        self._marked: frozenset[bytes] = frozenset()  # those that a signal names
        self._items: dict[bytes, str] = {}

    @property
    def record(self) -> Record:
        """The record that is open."""
        return self.app.record

    # ---------------------------------------------------------------- arriving and drawing
    def compose(self) -> ComposeResult:
        """Head, pages, the page itself, one sentence, foot."""
        yield Static(id="head")
        yield Static(id="tabs")
        yield Static(id="body")
        yield Static(id="say")
        yield Static(FOOT, id="foot")

    def on_mount(self) -> None:
        """The first frame shows what is asked for; the figures follow."""
        self.arrive()

    def on_screen_resume(self) -> None:
        """Back from another place: readings may have come, or another feature was asked for."""
        if self.is_mounted:
            self.arrive()

    def on_resize(self) -> None:
        """Everything is drawn to the size at hand."""
        self.show()

    def arrive(self) -> None:
        """Look at what the Bench asked for, or at its current feature; else at what was looked at before."""
        asked, self.app.look_at = self.app.look_at, None
        if asked is not None:
            self.only, self.page = EVERYTHING, CHART
            self.look(asked)
        elif self.pick is not None:
            self.look(self.pick)
        elif self.app.bench is not None and self.app.bench.task is not None:
            self.look(feature_data.of_bench(self.app.bench.job, self.app.bench.task.feature, self.app.bench.subject))
        else:
            self.say("Choose what to look at: o a tool or all castings, f a feature.")
            self.show()

    def look(self, pick: Pick) -> None:
        """Show this feature; everything is read again."""
        same = self.pick is not None and (self.pick.feature.id, self.pick.subject.label) == (
            pick.feature.id, pick.subject.label,
        )  # fmt: skip
        self.pick, self.wrong = pick, ""
        if not same:
            self.at, self.row, self.scroll = None, 0, 0
        self._forget()
        self.show()
        self._load()

    def say(self, text: str, style: str = "") -> None:
        """One sentence above the foot."""
        self.query_one("#say", Static).update(Text(text, style=style))

    def show(self) -> None:
        """Draw what is known; nothing is computed here but the drawing."""
        width, height = self.size
        if not width or not self.is_mounted:
            return
        self.query_one("#head", Static).update(
            feature_text.head(self.pick, self.only, width, self.record.read_only)
        )  # fmt: skip
        self.query_one("#tabs", Static).update(feature_text.tabs(self.page, width))
        self.query_one("#body", Static).update(self._body(width, max(height - 5, 4)))

    def _body(self, width: int, height: int) -> Text:
        if self.pick is None:
            return Text("nothing chosen yet", style="dim")
        if self.wrong:
            return Text(self.wrong, style="bold red")
        waiting = Text("reading the record …", style="dim")
        if self.view is None:
            return waiting
        places = feature_text.paint.places_of(self.view.summary)
        if self.page == CHART:
            return feature_text.chart_page(self.view, width, height, self.at, self.show_band)
        if self.page == HISTOGRAM:
            if self.histogram is None:
                return waiting
            text = feature_text.paint.histogram_picture(self.view.material, self.histogram, width)
        elif self.page == READINGS:
            return self._readings(width, height) if self.material is not None else waiting
        elif self.page == BUDGET:
            if self.budget is None:
                return waiting
            text = feature_text.paint.budget_table(self.budget, width)
        elif self.page == WHO:
            if self.splits is None:
                return waiting
            text = feature_text.who_page(self.splits, places, width)
        else:
            if self.findings is None:
                return waiting
            text = feature_text.paint.findings_text(self.findings, places, self.view.material.unit, width)
            text.append("\n")
            text.append_text(feature_text.paint.chart_words(self.view, width, most=60))
        shown, self.scroll = feature_text.window(text, self.scroll, height)
        return shown

    def _readings(self, width: int, height: int) -> Text:
        assert self.material is not None and self.pick is not None
        room = max(height - 1, 1)
        total = len(self._newest)
        self.row = min(max(self.row, 0), max(total - 1, 0))
        top = self.row // room * room
        if self._rows_at != top or (not self.rows and total):
            self.rows = list(reversed(series.page(self.record, self._newest[top : top + room])))
            self._rows_at = top
        text = feature_text.readings_head(self.material, top, len(self.rows), width)
        chosen = self._newest[self.row] if total else None
        text.append_text(
            feature_text.reading_rows(
                self.rows, chosen, self._items, width, feature_text.today_of(), self._marked
            )
        )
        return text

    # ---------------------------------------------------------------- figures, made beside the screen
    def _load(self) -> None:
        """Ask the record in a thread; answers to older questions are dropped."""
        pick, only, revisions = self.pick, self.only, self.revisions
        if pick is None:
            return
        self._asked += 1
        kind, group, median = self.kind, self.group, self.median
        need_labels = bool(only.words) or (isinstance(group, str) and kind.startswith("means"))

        def work(reader: Reader, answer: Callable[..., bool]) -> None:
            from inspect_tui.shop import feature_findings
            from inspect_tui.shop.feature_view import view

            made = feature_data.material(reader, pick, only, revisions=revisions, with_labels=need_labels)
            seen = view(made, kind, group=group, median=median)
            if not answer(view=seen):
                return
            if not answer(histogram=feature_findings.histogram(made)):
                return
            full = made
            if made.labels is None:
                full = feature_data.material(reader, pick, only, revisions=revisions, with_labels=True)
            counted = [one for one in full.ids if one not in full.out]
            points = [] if seen.names else [i for s in seen.chart.signals for i in range(s.index, s.last + 1)]
            items = {} if pick.subject.tool else {i.id: i.serial for i in reader.items(pick.job.of_id)}
            if not answer(
                material=full, _newest=list(reversed(full.ids)), _counted=counted, _items=items,
                _marked=frozenset(counted[i] for i in points if i < len(counted)),
            ):  # fmt: skip
                return
            by = ("person", "instrument") if pick.subject.tool else ("person", "instrument", "lot", "casting")
            if answer(splits=[feature_findings.breakdown(full, one) for one in by]):
                answer(findings=feature_findings.findings(made))

        self._ask(work)
        if self.page == BUDGET:
            self._load_budget()

    def _ask(self, work: Callable[[Reader, Callable[..., bool]], None]) -> None:
        asked = self._asked

        def run() -> None:
            worker = get_current_worker()

            def answer(**found: Any) -> bool:
                if worker.is_cancelled or asked != self._asked:
                    return False
                return self.post_message(Found(asked, found))

            try:
                with self.record.reader() as reader:
                    work(reader, answer)
            except InspectError as problem:
                answer(wrong=str(problem))

        self.run_worker(run, thread=True, exit_on_error=False, group="figures")

    def on_worker_state_changed(self, event: Worker.StateChanged) -> None:
        """Say it when figures could not be made; the screen stays usable."""
        if event.state is WorkerState.ERROR:
            self.wrong = f"These figures could not be made ({event.worker.error}). The readings are not touched."
            self.show()

    def on_found(self, message: Found) -> None:
        """Figures came: keep and show them, unless something else was asked for meanwhile."""
        if message.asked != self._asked:
            return
        for name, value in message.found.items():
            setattr(self, name, value)
        if "material" in message.found:
            self._rows_at = -1
            if self.page == BUDGET and self.budget is None:
                self._load_budget()
        self.show()
        if self.at is not None:
            self._say_point()

    def _load_budget(self, instrument: Instrument | None = None) -> None:
        """The budget of the reading under the cursor, or of one to be taken with the instrument at hand."""
        pick = self.pick
        if pick is None:
            return
        bench = self.app.bench
        at_hand = instrument or (bench.means.instrument if bench and bench.means else None)
        person = bench.person if bench else None
        chosen = None if instrument else self._chosen_id()
        today = feature_text.today_of()

        def work(reader: Reader, answer: Callable[..., bool]) -> None:
            from inspect_tui.shop import feature_budget

            if chosen is not None:
                logged = reader.reading(chosen)
                if logged is not None:
                    answer(budget=feature_budget.of_reading(reader, pick, logged))
            else:
                with_what = at_hand or feature_budget.instrument_for(reader, None)
                answer(budget=feature_budget.planned(reader, pick, with_what, person, today))

        if chosen is not None or self.material is not None or instrument is not None:
            self._ask(work)

    def _chosen_id(self) -> bytes | None:
        """The reading that the chart's cursor or the list's stands on; the newest when there is none."""
        if not self._newest:
            return None
        if self.at is not None and self.page != READINGS:
            return self._id_at(self.at)
        return self._newest[min(self.row, len(self._newest) - 1)]

    def _id_at(self, at: int) -> bytes | None:
        """The id of a point of the chart, once the ids are known and where points are readings."""
        if self.view is None or self.view.names or at >= len(self._counted):
            return None
        return self._counted[at]

    # ---------------------------------------------------------------- moving
    def action_page(self, page: int) -> None:
        """Open a page."""
        if page == BUDGET and self.page in (READINGS, CHART):
            self.budget = None
        chosen_from, self.page, self.scroll = self.page, page, 0
        if chosen_from == READINGS and page == BUDGET:
            self.at = None  # the list's cursor counts
        if page == BUDGET and self.budget is None:
            self._load_budget()
        self.show()
        self._say_point()

    def action_next_page(self, by: int) -> None:
        """The page beside this one."""
        self.action_page((self.page + by) % len(feature_text.PAGES))

    def action_step(self, by: int) -> None:
        """Move the cursor along the chart and read the value there."""
        if self.page != CHART or self.view is None or not self.view.chart.points:
            return
        last = len(self.view.chart.points) - 1
        start = (last + 1 if by < 0 else -1) if self.at is None else self.at
        self.at = min(max(start + by, 0), last)
        self.show()
        self._say_point()

    def action_up(self, by: int) -> None:
        """Move in the list of readings, or scroll; on the chart, a tenth of it."""
        if self.page == CHART and self.view is not None:
            step = max(len(self.view.chart.points) // 10, 1) if abs(by) > 1 else 1
            self.action_step(step if by > 0 else -step)
            return
        if self.page == READINGS:
            self.row += by
        else:
            self.scroll += by
        self.show()

    def action_signal(self, by: int) -> None:
        """Put the cursor on the next point that the chart marks."""
        if self.view is None:
            return
        firsts = [s.index for s in self.view.chart.signals]
        if not firsts:
            self.say("No signal on this chart.")
            return
        here = self.at if self.at is not None else (-1 if by > 0 else len(self.view.chart.points))
        beyond = [i for i in firsts if i > here] if by > 0 else [i for i in reversed(firsts) if i < here]
        self.page, self.at = CHART, (beyond or (firsts if by > 0 else firsts[::-1]))[0]
        self.show()
        self._say_point()

    def _say_point(self) -> None:
        if self.page != CHART or self.view is None or self.at is None:
            self.say("")
            return
        if self.at >= len(self.view.chart.points):
            self.at = None
            return
        found = self._id_at(self.at)
        logged = self.record.reading(found) if found else None
        self.say(feature_text.point_words(self.view, self.at, logged, feature_text.today_of()), "bold")

    # ---------------------------------------------------------------- choosing
    def action_kind(self) -> None:
        """Choose the kind of chart."""
        from inspect_tui.shop.feature_view import CHARTS

        self.app.push_screen(
            Chooser("Which chart?", [(key, f"{key:<12} {what}") for key, what in CHARTS.items()]), self._set_kind
        )

    def _set_kind(self, kind: str | None) -> None:
        if kind is not None:
            self.kind, self.page, self.at = kind, CHART, None
            self._again()

    def action_group(self) -> None:
        """Choose what makes a subgroup of the means."""
        rows: list[tuple[Any, str]] = [(n, f"{n} consecutive readings") for n in (2, 3, 4, 5, 6, 8, 10)]
        rows += [(by, f"by {by}") for by in feature_data.BY]

        def chosen(group: int | str | None) -> None:
            if group is not None:
                self.group = group
                self._set_kind(self.kind if self.kind.startswith("means") else "means")

        self.app.push_screen(Chooser("Subgroups of what?", rows), chosen)

    def action_median(self) -> None:
        """Take the limits from the median moving range, or from the mean again."""
        self.median = not self.median
        self.say("Limits from the median moving range." if self.median else "Limits from the mean moving range.")
        self._again()

    def action_band(self) -> None:
        """Show or hide the limits of the band in the chart."""
        self.show_band = not self.show_band
        self.show()

    def action_revisions(self) -> None:
        """With the readings on older drawings, or without."""
        self.revisions = not self.revisions
        self.say("With older drawings." if self.revisions else "Only the newest drawing.")
        self._again()

    def _again(self) -> None:
        if self.pick is not None:
            self.look(self.pick)

    def action_feature(self) -> None:
        """Choose another feature of this tool or of the castings."""
        if self.pick is None:
            self.action_subject()
            return
        pick = self.pick
        there = feature_data.features_on(self.record, pick)
        rows = [(f, f"{f.balloon:<6} {f.name}") for f in there]

        def chosen(feature: Any) -> None:
            if feature is not None:
                self.look(Pick(pick.job, feature, pick.subject, pick.kind))

        self.app.push_screen(Chooser("Which feature?", rows), chosen)

    def action_subject(self) -> None:
        """Choose another tool or casting, or all castings of the job."""
        bench = self.app.bench
        job = self.pick.job if self.pick else (bench.job if bench else None)
        if job is None:
            jobs = self.record.jobs()
            if not jobs:
                self.say("There is no job in this record yet: make one on the Jobs screen (F10).")
                return
            job = jobs[-1]
        subjects = feature_data.subjects(self.record, job)
        rows = [((s, kind), f"{s.label:<24} {what}") for s, kind, what in subjects]

        def chosen(what: Any) -> None:
            if what is None:
                return
            subject, kind = what
            self.only = EVERYTHING
            try:
                self.look(feature_data.same_on(self.record, job, subject, kind, self.pick))
            except InspectError as problem:
                self.say(str(problem), "bold red")

        self.app.push_screen(Chooser("Measured on what?", rows), chosen)

    def action_only(self) -> None:
        """Look only at one person, instrument, lot or casting; or at all again."""
        if self.splits is None:
            self.say("Still reading the record; press w again in a moment.")
            return
        rows: list[tuple[Any, str]] = [(EVERYTHING, "all readings")]
        for split in self.splits:
            for group in split.groups:
                rows.append((Only(**{split.by: group.name}), f"{split.by:<11} {group.name}  (n {group.summary.n})"))

        def chosen(only: Only | None) -> None:
            if only is not None:
                self.only, self.at, self.row = only, None, 0
                self._again()

        self.app.push_screen(Chooser("Only which readings?", rows), chosen)

    def action_instrument(self) -> None:
        """The budget of a reading to be taken with another instrument."""
        rows = [(i, i.label) for i in self.record.instruments()]

        def chosen(instrument: Instrument | None) -> None:
            if instrument is not None:
                self.page, self.budget = BUDGET, None
                self.show()
                self._load_budget(instrument)

        self.app.push_screen(Chooser("With what?", rows), chosen)

    # ---------------------------------------------------------------- taking a reading out of count
    def action_void(self) -> None:
        """Take the reading under the cursor out of count; it stays, struck, with who, when and why."""
        target = self._chosen_id()
        logged = self.record.reading(target) if target and (self.page == READINGS or self.at is not None) else None
        if logged is None:
            self.say("Mark a reading first: page 4 with the arrows, or the cursor on the chart.")
            return
        if logged.out:
            self.say("That reading is out of count already.", "bold yellow")
            return
        if self.record.read_only:
            self.say(self.record.read_only_why, "bold red")
            return
        bench = self.app.bench
        if bench is not None and bench.person is not None:
            self._ask_reason(logged, bench.person)
        else:
            from inspect_tui.tui import choosers

            choosers.person(self.app, self.record, lambda person: self._ask_reason(logged, person))

    def _ask_reason(self, logged: LoggedReading, person: Person) -> None:
        value = f"{logged.reading.value:g}, typed {logged.reading.typed}"
        rows = [(reason, reason.replace("_", " ")) for reason in SUPERSEDE_REASONS]

        def why(reason: str | None) -> None:
            if reason is not None:
                ask_text(
                    self.app, f"Why is {value} taken out ({reason.replace('_', ' ')})?",
                    lambda words: self._void(logged, person, reason, words),
                )  # fmt: skip

        self.app.push_screen(Chooser(f"Take out {value} by {logged.by}: what was wrong?", rows), why)

    def _void(self, logged: LoggedReading, person: Person, reason: str, words: str | None) -> None:
        if not words:
            self.say("Nothing was taken out.")
            return
        try:
            self.record.void(logged.reading.id, reason, words, by=person.id)
        except InspectError as problem:
            self.say(f"Not taken out: {problem}", "bold red")
            return
        if self.app.bench is not None:
            self.app.bench.refresh()
        self.at = None
        self._again()
        self.say(f"taken out  {logged.reading.value:g}: struck, not counted ({person.initials}: {words})", "bold")

    # ---------------------------------------------------------------- leaving, help
    def action_back(self) -> None:
        """Back to the Bench, or to the list of places where none is open."""
        if self.app.bench is not None:
            self.app.go("bench")
        else:
            self.app.action_places()

    def action_help(self) -> None:
        """All keys of this place."""
        from inspect_tui.tui.help import HelpScreen

        self.app.push_screen(HelpScreen("Feature", self.BINDINGS))

    def leave(self) -> None:
        """Answers that are still on their way are not waited for."""
        self._asked += 1

    def commands(self) -> Iterable[SystemCommand]:
        """The keys of this place as commands of the palette."""
        for binding in self.BINDINGS:
            if not isinstance(binding, Binding) or not binding.show or binding.action.startswith("app."):
                continue
            name, _, argument = binding.action.rstrip(")").partition("(")
            method = getattr(self, f"action_{name}")
            values = (int(argument),) if argument else ()
            yield SystemCommand(
                binding.description, (method.__doc__ or "").strip(), lambda m=method, a=values: m(*a)
            )  # fmt: skip
