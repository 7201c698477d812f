"""Feature: the place where one feature is looked at whole; figures are made beside the screen, which never waits."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, Any, ClassVar

from rich.text import Text
from textual.binding import Binding, BindingType

from inspect_tui.errors import InspectError
from inspect_tui.frozen import replace
from inspect_tui.model.measuring import Instrument, Person
from inspect_tui.model.words import SUPERSEDE_REASONS
from inspect_tui.record.ask import series
from inspect_tui.shop.common.find import Subject
from inspect_tui.shop.common.gauges_then import GaugesThen, read_badly
from inspect_tui.shop.feature import material
from inspect_tui.shop.feature.material import EVERYTHING, Only, Pick
from inspect_tui.shop.together.marks import Mark, nearest, on
from inspect_tui.tui import todo
from inspect_tui.tui.choosers import ask_text
from inspect_tui.tui.feature import figures, text
from inspect_tui.tui.feature.figures import Figures, Wish
from inspect_tui.tui.feature.text import BUDGET, CHART, PAGES, READINGS
from inspect_tui.tui.place import Place, page_keys
from inspect_tui.tui.question import choose

if TYPE_CHECKING:
    from inspect_tui.record.ask.readings import LoggedReading

FAR = 1_000_000_000
SIZES = (2, 3, 4, 5, 6, 8, 10)  # of subgroups


class FeatureScreen(Place):
    """Summary, chart, histogram, who measured, raw readings and budget of one feature on a tool or on castings."""

    DEFAULT_CSS = """
    FeatureScreen #body { height: 1fr; }
    """
    NAME = "Feature"
    FOOT = "1-6 pages  ←→ reading  k chart  f feature  o tool  w only  F1 keys  F10 places"
    TABS = PAGES
    BINDINGS: ClassVar[list[BindingType]] = [
        *page_keys("feature", PAGES),
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
        Binding("t", "shape", "Straight, flat or round? From readings typed now", id="feature.shape"),
        Binding("c", "pictures", "Pictures of this feature, and of what it was measured on", id="feature.pictures"),
        Binding("v,f9", "void", "Take the marked reading out of count", id="feature.void"),
        Binding("escape", "back", "Back to the Bench", id="feature.back"),
    ]

    def __init__(self) -> None:
        super().__init__()
        self.pick: Pick | None = None
        self.only: Only = EVERYTHING
        self.kind, self.median, self.revisions = "individuals", False, True
        self.group: int | str = 5
        self.show_band = True
        self.at: int | None = None  # point of the chart under the cursor
        self.row = 0  # raw reading under the cursor, 0 is the newest
        self.figures = Figures()

    # ---------------------------------------------------------------- arriving and drawing
    def arrive(self) -> None:
        """Look at what the Bench asked for, or at its current feature; else at what was looked at before."""
        asked, self.app.look_at = self.app.look_at, None
        bench = self.app.bench
        if asked is not None:
            self.only, self.page = EVERYTHING, CHART
            self.look(asked)
        elif self.pick is not None:
            self.look(self.pick)
        elif bench is not None and bench.task is not None:
            self.look(material.of_bench(bench.job, bench.task.feature, bench.subject, bench.state))
        else:
            self.say("Choose what to look at: o a tool or all castings, f a feature.")
            self.show()

    def look(self, pick: Pick) -> None:
        """Show this feature; everything is read again."""
        before = (self.pick.feature.id, self.pick.where) if self.pick else None
        if before != (pick.feature.id, pick.where):
            self.at, self.row, self.scroll_row = None, 0, 0
        self.pick, self.figures = pick, Figures()
        self.forget("budget")
        written = self.app.written
        wish = Wish(
            pick=pick,
            only=self.only,
            revisions=self.revisions,
            kind=self.kind,
            group=self.group,
            median=self.median,
        )
        self.ask(
            "figures", lambda reader, answer: figures.gather(reader, wish, answer, written), self._take, self._cannot
        )
        self.show()

    def again(self) -> None:
        """Read everything again."""
        if self.pick is not None:
            self.look(self.pick)

    def heading(self) -> tuple[str, str]:
        """Job, feature and what it was measured on; what is left out, on the right."""
        if self.pick is None:
            return self.NAME, ""
        return f"{self.pick.job.number} · {self.pick.title} · {self.pick.where}", self.only.words

    def apart(self) -> list[Mark]:
        """Of this size and of what it was measured on, then of the whole job."""
        marks, pick = self.app.together.marks, self.pick
        if pick is None:
            return marks.of_job(None)
        piece = pick.subject.key if pick.subject.tool or pick.subject.item else b""
        return nearest(marks.at(on(piece, pick.feature.id), pick.feature.id, piece), marks.of_job(pick.job.of_id))

    def draw(self, width: int, height: int) -> None:
        """The page that is open, of what is known."""
        self.put("#body", self._body(width, height))

    def _body(self, width: int, height: int) -> Text:
        known = self.figures
        if self.pick is None:
            return Text("nothing chosen yet", style="dim")
        if known.wrong:
            return Text(known.wrong, style="bold red")
        if self.page == CHART and known.view is not None:
            return text.chart_page(known.view, width, height, self.at, self.show_band, self.app.written)
        if self.page == READINGS and known.material is not None:
            return self._readings(width, height)
        return self.scrolled(text.page(self.page, known, width, self.app.written), height)

    def _readings(self, width: int, height: int) -> Text:
        known, room = self.figures, max(height - 1, 1)
        assert known.material is not None
        self.row = min(max(self.row, 0), max(len(known.newest) - 1, 0))
        top = self.row // room * room
        if known.rows_from != top:  # a screenful, by their ids
            known.rows = series.page(self.record, known.newest[top : top + room])[::-1]
            known.rows_from = top
            known.bad = read_badly(GaugesThen(self.record), known.rows)
        out = text.readings_head(known.material, top, len(known.rows), width)
        chosen = known.newest[self.row] if known.newest else None
        own, made = self.app.written.readings_in(known.material.unit)[0], known.material.made
        return out.append_text(
            text.reading_rows(known.rows, chosen, known.items, width, today(), known.marked, own, made, known.bad)
        )

    # ---------------------------------------------------------------- figures, made beside the screen
    def _take(self, **found: Any) -> None:
        for name, value in found.items():
            setattr(self.figures, name, value)
        if "material" in found and self.page == BUDGET:
            self._ask_budget()
        self.show()
        if self.at is not None:
            self.say_point()

    def _cannot(self, sentence: str) -> None:
        self._take(wrong=sentence)

    def _ask_budget(self, instrument: Instrument | None = None) -> None:
        """The budget of the reading under the cursor, or of one to be taken with the instrument at hand."""
        pick, bench = self.pick, self.app.bench
        if pick is None or (instrument is None and self.figures.material is None):
            return
        with_what = instrument or (bench.means.instrument if bench and bench.means else None)
        person, reading = self.person, None if instrument else self.marked_id()
        self.figures.budget, self.figures.no_budget = None, ""
        written = self.app.written
        self.ask(
            "budget",
            lambda reader, answer: figures.gather_budget(
                reader, pick, reading, with_what, person, today(), answer, written
            ),
            self._take,
            lambda sentence: self._take(no_budget=sentence),
        )

    def action_page(self, page: int) -> None:
        """Open a page."""
        if self.page == READINGS and page == BUDGET:
            self.at = None  # the cursor of the list counts
        self.page, self.scroll_row = page, 0
        if page == BUDGET:
            self._ask_budget()
        self.show()
        self.say_point()

    def marked_id(self) -> bytes | None:
        """The reading that the chart's cursor stands on, else the list's; the newest to begin with."""
        if self.at is not None:
            return self.figures.id_at(self.at)
        newest = self.figures.newest
        return newest[min(self.row, len(newest) - 1)] if newest else None

    # ---------------------------------------------------------------- moving
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
            self.scroll_row += by
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
        reading = self.figures.id_at(self.at)
        logged = self.record.reading(reading) if reading else None
        made = self.figures.material.made if self.figures.material else None
        self.say(text.point_words(view, self.at, logged, today(), self.app.written, made), "bold")

    # ---------------------------------------------------------------- choosing
    def action_kind(self) -> None:
        """Choose the kind of chart."""
        from inspect_tui.shop.feature.view import CHARTS

        choose(self, "Which chart?", [(key, f"{key:<12} {what}") for key, what in CHARTS.items()], self.chart_as)

    def action_group(self) -> None:
        """Choose what makes a subgroup of the means."""
        rows: list[tuple[Any, str]] = [(n, f"{n} consecutive readings") for n in SIZES]
        rows += [(by, f"by {by}") for by in material.BY]

        def chosen(what: int | str) -> None:
            self.chart_as(self.kind if self.kind.startswith("means") else "means", what)

        choose(self, "Subgroups of what?", rows, chosen)

    def chart_as(self, kind: str, group: int | str | None = None) -> None:
        """Draw another kind of chart, or other subgroups."""
        self.kind, self.page, self.at = kind, CHART, None
        self.group = self.group if group is None else group
        self.again()

    def action_median(self) -> None:
        """Take the limits from the median moving range, or from the mean again."""
        self.median = not self.median
        self.again()
        self.say(f"Limits from the {'median' if self.median else 'mean'} moving range.")

    def action_band(self) -> None:
        """Show or hide the limits of the band in the chart."""
        self.show_band = not self.show_band
        self.show()

    def action_revisions(self) -> None:
        """With the readings on older drawings, or without."""
        self.revisions = not self.revisions
        self.again()
        self.say("With readings on older drawings." if self.revisions else "Only readings on the newest drawing.")

    def action_pictures(self) -> None:
        """See and add pictures of the feature and of the tool or casting."""
        from inspect_tui.tui.pictures import at_hand
        from inspect_tui.tui.pictures.screen import look

        pick = self.pick
        if pick is None:
            self.say("Choose what to look at: o a tool or all castings, f a feature.")
            return
        owners = at_hand.owners(self.record, pick.subject, pick.feature)
        look(self, pick.job, owners, self.record.feature_lineage(pick.feature.id))

    def action_shape(self) -> None:
        """Work out straightness, flatness or roundness of readings that are typed for it."""
        from inspect_tui.tui.feature import shape

        shape.ask(self, self.app.written, self.say)

    def action_feature(self) -> None:
        """Choose another feature of this tool or of the castings."""
        pick = self.pick
        if pick is None:
            self.action_subject()
            return
        there = material.features_on(self.record, pick)
        rows = [(feature, f"{feature.balloon:<6} {feature.name}") for feature in there]
        choose(self, "Which feature?", rows, lambda chosen: self.look(replace(pick, feature=chosen)))

    def action_subject(self) -> None:
        """Choose another tool or casting, or all castings of the job."""
        job = self.pick.job if self.pick else (self.app.bench.job if self.app.bench else None)
        if job is None:
            jobs = self.record.jobs()
            if not jobs:
                self.say("There is no job in this record yet: make one at the Jobs place (F10).")
                return
            job = jobs[-1]

        def chosen(what: tuple[Subject, str]) -> None:
            try:
                pick = material.same_on(self.record, job, *what, self.pick)
            except InspectError as problem:
                self.say(todo.said(problem), "bold red")
                return
            self.only = EVERYTHING
            self.look(pick)

        there = material.subjects(self.record, job)
        choose(self, "Measured on what?", [((on, of), f"{on.label:<24} {what}") for on, of, what in there], chosen)

    def action_only(self) -> None:
        """Look only at one person, instrument, lot or casting; or at all again."""
        splits = self.figures.splits
        if splits is None:
            self.say("Still reading the record; press w again in a moment.")
            return
        rows: list[tuple[Any, str]] = [(EVERYTHING, "all readings")]
        for split in splits:
            for group in split.groups:
                rows.append((Only(**{split.by: group.name}), f"{split.by:<11} {group.name}  (n {group.summary.n})"))

        def chosen(what: Only) -> None:
            self.only, self.at, self.row = what, None, 0
            self.again()

        choose(self, "Only which readings?", rows, chosen)

    def action_instrument(self) -> None:
        """The budget of a reading to be taken with another instrument."""
        choose(self, "With what?", [(gauge, gauge.label) for gauge in self.record.instruments()], self.plan_with)

    def plan_with(self, instrument: Instrument) -> None:
        """Show the budget of a reading to be taken with this instrument."""
        self.page = BUDGET
        self._ask_budget(instrument)
        self.show()

    # ---------------------------------------------------------------- taking a reading out of count
    def action_void(self) -> None:
        """Take the reading under the cursor out of count; it stays, struck, with who, when and why."""
        marked = self.marked_id() if self.page == READINGS or self.at is not None else None
        if self.page == READINGS and self.figures.newest:
            marked = self.figures.newest[self.row]
        logged = self.record.reading(marked) if marked else None
        if logged is None:
            self.say("Mark a reading first: page 4 with the arrows, or the cursor on the chart of single readings.")
        elif logged.out:
            self.say("That reading is out of count already.", "bold yellow")
        else:
            self.with_person(lambda person: self._ask_why(logged, person))

    def _ask_why(self, logged: LoggedReading, person: Person) -> None:
        """What was wrong, and why the reading is taken out of count."""
        value = f"{self.app.written.given(logged.reading.value, unit=False)} (typed {logged.reading.typed})"
        rows = [(reason, reason.replace("_", " ")) for reason in SUPERSEDE_REASONS]

        def why(reason: str) -> None:
            question = f"Why is {value} taken out ({reason.replace('_', ' ')})?"
            ask_text(self.app, question, lambda words: self.void(logged, person, reason, words))

        choose(self, f"Take out {value} by {logged.by}: what was wrong?", rows, why)

    def void(self, logged: LoggedReading, person: Person, reason: str, why: str | None) -> None:
        """Write that the reading does not count; `why` None leaves it as it is."""
        if not why:
            self.say("Nothing was taken out.")
            return
        try:
            self.record.void(logged.reading.id, reason, why, by=person.id)
        except InspectError as problem:
            self.say(f"Not taken out: {todo.said(problem)}", "bold red")
            return
        if self.app.bench is not None:
            self.app.bench.refresh()
        self.at = None
        self.again()
        value = self.app.written.given(logged.reading.value, unit=False)
        self.say(f"taken out  {value}: struck, not counted ({person.initials}: {why})", "bold")

    # ---------------------------------------------------------------- leaving
    def action_back(self) -> None:
        """Back to the Bench, or to the list of places where none is open."""
        if self.app.bench is not None:
            self.app.go("bench")
        else:
            self.app.to_places()


def today() -> str:
    """Today on this bench's calendar, ISO."""
    return date.today().isoformat()
