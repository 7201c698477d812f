"""Kit: the place where it is seen whether cores, sticks, boxes and prints go together without us."""

from __future__ import annotations

from collections.abc import Iterable
from typing import ClassVar

from rich.text import Text
from textual import on
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.widget import Widget
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from inspect_tui.errors import InspectError
from inspect_tui.metrology.typed.show import count
from inspect_tui.model.words import Id
from inspect_tui.model.work import Core, Job
from inspect_tui.record import kinds
from inspect_tui.report.term import kit as term_kit
from inspect_tui.report.term import kit_pages
from inspect_tui.report.term.kit_pages import ListRow
from inspect_tui.shop.common.find import Subject
from inspect_tui.shop.kit import edit
from inspect_tui.shop.kit.facts import KitFacts
from inspect_tui.shop.kit.fits import FitLine
from inspect_tui.shop.pictures.owners import Owner
from inspect_tui.shop.together.marks import Mark, nearest
from inspect_tui.tui import todo
from inspect_tui.tui.kit import forms, from_foundry, pages, sample_plan, trial, work
from inspect_tui.tui.kit.work import Loaded
from inspect_tui.tui.pictures import forms as pictures
from inspect_tui.tui.pictures.screen import look
from inspect_tui.tui.place import Place
from inspect_tui.tui.question import Listed, choose

TITLES = {
    "kit": "cores",
    "fits": "fits",
    "order": "setting order",
    "mould": "the mould with its cores",
    "walls": "walls and stacks",
    "passages": "passages",
    "sizes": "sizes on stick, box and sand",
    "life": "life stories",
    "shipping": "where things are",
    "proving": "trials in the mould",
    "sample": "sizes of a sample casting",
    "plan": "measuring plan of the sample casting",
    "book": "contraction book",
}
WORDS = """
Kit
  ✓ every fit and pitch of the core is proven by readings on both sides  ✗ something does not hold  ? open  · not read
  print: the projection that carries a core; seat: the impression that takes it; key: what lets it in one way only.
  Clearances are at tooling scale: sand does not contract. Walls are at casting scale.
  as drawn: from the drawing's sizes and tolerances; as measured: from what was read on boxes, sticks and patterns.
  worst case: every contributor at its limit at once; root-sum-square: as they come together likely.
  The mould (v): █ the chosen core, ░ cores that are set before it, dashed: about, from its sizes.
  The measuring plan (r): · on the list, + not on it yet (e puts it there), ? worth taking besides.
  Trials (z): sticks tried in the mould off the pattern, cores in the closed tool, a trial closing at the foundry; what
  was found there counts until a tool, size or seat is changed. n writes one down, h the checklist, e puts it right.
  pitch: how far prints of a core stand apart. A core goes in when all its prints find their seats at once; a
  size with its ends at two of them, read on the box and on what has the seats, tells.
  look-alike: a core that goes in where it should not, by all its prints, in one of the 24 ways to turn it; its
  body, where one is given (e on the page of the mould) or known about, may stop it. Blocked: the body, swept
  along its way in, meets a core already set. Wrong hand: a tool made as its mirror image.
"""


class KitScreen(Place):
    """Cores on the left as a tree of who sits in whom; on the right one page about them."""

    DEFAULT_CSS = """
    KitScreen #cores { width: 30; border: none; height: 1fr; padding: 0; }
    KitScreen #right { width: 1fr; padding: 0 0 0 1; border-left: solid $primary; }
    KitScreen #rows { height: auto; max-height: 40%; border: none; padding: 0; border-bottom: dashed $primary; }
    KitScreen #scroll { height: 1fr; }
    KitScreen #detail { height: auto; }
    KitScreen.-wide #cores { width: 48; }
    """
    NAME = "Kit"
    FOOT = "f fits  o order  v mould  w walls  p passages  z trials  m measure  F1 keys  F10"
    WORDS = WORDS
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (120, "-wide")]  # noqa: RUF012
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("k", "look('kit')", "The kit, and the chosen core", id="kit.kit"),
        Binding("f", "look('fits')", "Fits: prints, keys and seats", id="kit.fits"),
        Binding("o", "look('order')", "Setting order, with the cores seen from the side", id="kit.order"),
        Binding("v", "look('mould')", "The mould with its cores: plan, sections, exploded stack", id="kit.mould"),
        Binding("w", "look('walls')", "Walls and stacks", id="kit.walls"),
        Binding("p", "look('passages')", "Passages and capacity", id="kit.passages"),
        Binding("i", "look('sizes')", "Sizes of the core on stick, box and sand", id="kit.sizes"),
        Binding("l", "look('life')", "Life story of a dimension", id="kit.life"),
        Binding("s", "look('shipping')", "Where things are; life story of a tool", id="kit.shipping"),
        Binding("z", "look('proving')", "Trials in the mould: trying in, trial closing", id="kit.proving"),
        Binding("t", "look('sample')", "Sizes taken off a sample casting", id="kit.sample"),
        Binding("r", "look('plan')", "What to read next on a sample casting: the measuring plan", id="kit.plan"),
        Binding("b", "look('book')", "The contraction book", id="kit.book"),
        Binding("m", "measure", "Measure at the Bench what would take away most doubt", id="kit.measure"),
        Binding("u", "move(-1)", "Set the chosen core earlier", id="kit.up"),
        Binding("d", "move(1)", "Set the chosen core later", id="kit.down"),
        Binding(
            "n",
            "new",
            "A new fit; on its page a loop, passage, shipment, trial, face or drawing of a sample",
            id="kit.new",
        ),
        Binding(
            "e",
            "change",
            "Change the fit, core or trial; walls: of two faces; where things are: came back; mould: a body; "
            "sample: worn; plan: enter its sizes",
            id="kit.change",
        ),
        Binding("x", "drop", "Take the chosen fit out of the kit; a trial out of the record", id="kit.drop"),
        Binding("a", "picture", "Attach pictures to the chosen fit or core", id="kit.picture"),
        Binding("c", "pictures", "See the pictures of the chosen fit or core, or of the whole job", id="kit.pictures"),
        Binding("h", "sheet", "Write the sheet of the measuring plan, or the checklist of a trial", id="kit.sheet"),
        Binding("g", "parting", "Say where the parting lies, with its steps", id="kit.parting"),
        Binding("y", "foundry", "What came back from the foundry; sand cores", id="kit.foundry"),
        Binding("j", "job", "Another job", id="kit.job"),
        Binding("tab", "swap", "Cores and page in turn", id="kit.swap", priority=True),
        Binding("pageup", "leaf(-1)", "A page up", id="kit.pageup", priority=True),
        Binding("pagedown", "leaf(1)", "A page down", id="kit.pagedown", priority=True),
    ]

    def __init__(self) -> None:
        super().__init__()
        self.job: Job | None = None
        self.page_name = "kit"
        self.loaded: Loaded | None = None
        self.wrong = ""
        self.core_rows: list[tuple[str, Text]] = []
        self.page_rows: list[ListRow] = []
        self._core = ""  # key of the row that is chosen in the tree
        self._key = ""  # ... and on the page
        self._wanted: tuple[str, str] | None = None  # page and row that more was asked about last

    # ---------------------------------------------------------------- arriving and drawing
    def body(self) -> Iterable[Widget]:
        """Tree of cores; rows of the page, and all about the chosen row."""
        with Horizontal():
            yield Listed(id="cores")
            with Vertical(id="right"):
                rows = Listed(id="rows")
                rows.display = False
                yield rows
                with VerticalScroll(id="scroll", can_focus=False):
                    yield Static(id="detail")

    def arrive(self) -> None:
        """The job at the Bench, else the first one: its kit is checked again, beside the screen."""
        jobs = self.record.jobs()
        if self.job is None and self.app.bench is not None:
            self.job = self.app.bench.job
        self.job = next((j for j in jobs if self.job and j.of_id == self.job.of_id), jobs[0] if jobs else None)
        self.forget("more")
        self._wanted = None
        if self.job is None:
            self.say("There is no job yet: F10 goes to the jobs.")
        else:
            job, style = self.job, self.app.written
            self.ask(
                "kit", lambda reader, answer: answer(loaded=work.load(reader, job, style)), self._loaded, self._cannot
            )
        self.show()

    def _loaded(self, loaded: Loaded) -> None:
        self.loaded, self.wrong = loaded, ""
        self.show()

    def _cannot(self, sentence: str) -> None:
        self.wrong = sentence
        self.say(sentence, "bold red")
        self.show()

    def draw(self, width: int, height: int) -> None:
        """Tree, rows and detail, to the width at hand."""
        if self.loaded is None:
            self.put("#detail", Text(self.wrong or "reading the record ...", style="dim"))
            return
        self._fill_tree(self.loaded, 30 if width < 120 else 48)
        self._fill_rows(self.loaded)
        self._ask_more(self.loaded)
        self._detail(self.loaded)

    @property
    def room(self) -> int:
        """How wide the right side is."""
        width = self.size.width
        return width - (30 if width < 120 else 48) - 4

    def heading(self) -> tuple[str, str]:
        """The job and how its kit stands; the page."""
        text = self.NAME + (f" · {self.job.number}" if self.job is not None else "")
        if self.loaded is not None:
            check = self.loaded.check
            revision = check.facts.revision
            text += f" · rev {revision.rev}" if revision else ""
            text += f" · {count(len(check.facts.cores), 'core')}"
            text += f" · ✗ {len(check.against)}" if check.against else " · nothing against it"
            text += f" · ? {len(check.doubts)}" if check.doubts else ""
        return text, TITLES[self.page_name]

    def apart(self) -> list[Mark]:
        """Of what is chosen on the page or in the tree, then of the whole job."""
        marks = self.app.together.marks
        at_hand = marks.at(*self._ids(self._key), *self._ids(self._core)) if self.loaded is not None else None
        return nearest(at_hand, marks.of_job(self.job.of_id if self.job is not None else None))

    def _ids(self, key: str) -> list[Id]:
        """What a row of the tree or of the page shows: its core with stick and box, its fit, its trial, its tool."""
        assert self.loaded is not None
        check = self.loaded.check
        if (line := pages.fit_of(self.loaded, key)) is not None:
            return [line.fit.of_id]
        ids = [core.of_id for core in check.facts.cores if str(core.number) == key]
        ids += [tool.of_id for tool in check.facts.tools if tool.label == key]
        return [*ids, *(each.proving.of_id for each in [trial.at_hand(check, key)] if each is not None)]

    def _fill_tree(self, loaded: Loaded, width: int) -> None:
        listed = self.query_one("#cores", OptionList)
        self.core_rows = [("kit", term_kit.whole(loaded.check)), *term_kit.tree(loaded.check, width - 1)]
        keys = [key for key, _ in self.core_rows]
        if self._core not in keys:
            self._core = "kit"
        self._fill(listed, [self._marked(key, line, width - 1) for key, line in self.core_rows], keys, self._core)

    def _fill_rows(self, loaded: Loaded) -> None:
        listed = self.query_one("#rows", OptionList)
        self.page_rows = pages.rows(loaded, self.page_name, self._core, self.room)
        keys = [key for key, _ in self.page_rows]
        listed.display = self.page_name != "kit"
        if self._key not in keys:
            self._key = keys[0] if keys else ""
        self._fill(listed, [self._marked(key, line, self.room) for key, line in self.page_rows], keys, self._key)

    def _marked(self, key: str, line: Text, room: int) -> Text:
        """A row, with the sign behind it where it is of something that two benches said apart."""
        if not (sign := self.app.together.marks.sign(*self._ids(key))):
            return line
        line = line.copy()
        line.truncate(max(room - 2, 1), overflow="ellipsis")
        return line.append(f" {sign}", style="bold yellow")

    def _fill(self, listed: OptionList, lines: list[Text], keys: list[str], chosen: str) -> None:
        with self.prevent(OptionList.OptionHighlighted):
            listed.clear_options()
            listed.add_options([Option(line) for line in lines])
            if keys:
                listed.highlighted = keys.index(chosen)

    def _ask_more(self, loaded: Loaded) -> None:
        page, key = self.page_name, self._key
        if self._wanted != (page, key) and work.wanting(loaded, page, key):
            self._wanted = (page, key)
            self.ask(
                "more",
                lambda reader, answer: answer(loaded=work.more(reader, loaded, page, key)),
                self._loaded,
                self._cannot,
            )

    def _detail(self, loaded: Loaded) -> None:
        text = pages.about(loaded, self.page_name, self._core, self._key, self.room)
        self.put("#detail", text if text.plain.strip() else Text("nothing here yet", style="dim"))

    # ---------------------------------------------------------------- moving about
    @on(OptionList.OptionHighlighted, "#cores")
    def _core_chosen(self, event: OptionList.OptionHighlighted) -> None:
        key = self.core_rows[event.option_index][0] if event.option_index < len(self.core_rows) else ""
        if key != self._core and self.loaded is not None:
            self._core = key
            self._after_choice()

    @on(OptionList.OptionHighlighted, "#rows")
    def _row_chosen(self, event: OptionList.OptionHighlighted) -> None:
        key = self.page_rows[event.option_index][0] if event.option_index < len(self.page_rows) else ""
        if key != self._key:
            self._key = key
            if self.page_name == "order":
                self._core = key
            self._after_choice(rows=False)

    def _after_choice(self, rows: bool = True) -> None:
        """Show what was chosen; `rows` too, where it was chosen in the tree."""

        def draw() -> None:
            assert self.loaded is not None
            if rows:
                self._fill_rows(self.loaded)
            self._ask_more(self.loaded)
            self._detail(self.loaded)
            self.draw_head()

        self.guarded(draw)
        self.query_one("#scroll", VerticalScroll).scroll_home(animate=False)
        self.say("")

    def action_look(self, page: str) -> None:
        """Show another page; its rows get the keyboard."""
        self.page_name = page
        if page == "sizes" and not self._core.isdigit():  # sizes are a core's: the first one's until one is chosen
            self._core = next((key for key, _ in self.core_rows if key.isdigit()), self._core)
        self._key = self._core if page == "order" else ""
        self.say("")
        self.show()
        self.query_one("#scroll", VerticalScroll).scroll_home(animate=False)
        self.query_one("#cores" if page == "kit" or not self.page_rows else "#rows").focus()

    def action_swap(self) -> None:
        """The keyboard goes to the cores, or back to the page."""
        cores, rows = self.query_one("#cores"), self.query_one("#rows")
        (rows if cores.has_focus and rows.display else cores).focus()

    def action_leaf(self, by: int) -> None:
        """Scroll what is shown about the chosen row."""
        scroll = self.query_one("#scroll", VerticalScroll)
        scroll.scroll_relative(y=by * max(scroll.size.height - 1, 1), animate=False)

    def action_job(self) -> None:
        """Look at the kit of another job."""

        def chosen(job: Job) -> None:
            self.job, self.loaded, self._core, self._key = job, None, "", ""
            self.visit()

        choose(self, "Which job?", [(job, f"{job.number:<12} {job.name}") for job in self.record.jobs()], chosen)

    # ---------------------------------------------------------------- what is chosen
    @property
    def fit_line(self) -> FitLine | None:
        """The fit that is chosen on the page of fits."""
        if self.loaded is None or self.page_name != "fits":
            return None
        return pages.fit_of(self.loaded, self._key)

    @property
    def core(self) -> Core | None:
        """The core that is chosen in the tree."""
        cores = self.loaded.check.facts.cores if self.loaded is not None else []
        return next((core for core in cores if str(core.number) == self._core), None)

    def _facts(self) -> KitFacts | None:
        """The facts as they were read; what a form still asks of the record goes by this thread's connection."""
        if self.loaded is None or self.job is None:
            return None
        return self.loaded.check.facts.through(self.record)

    # ---------------------------------------------------------------- measuring and writing
    def action_measure(self) -> None:
        """Go to the Bench with the tool and size that would take away most doubt."""
        if self.loaded is None or self.job is None:
            return
        if self.page_name == "plan":
            if self._key:
                sample_plan.go_and_read(self, self.job, self._key)
            return
        following = self.loaded.check.next
        line = self.fit_line
        if line is not None:
            names = {s.feature.balloon for s in (line.print, line.seat) if s.feature}
            following = tuple(n for n in following if n.balloon in names) or following
        if not following:
            self.say("Nothing that was written down is in doubt: read what the boxes still lack.")
            return
        next_reading = following[0]
        tool = next((t for t in self.loaded.check.facts.tools if t.label == next_reading.tool), None)
        if tool is None:
            return
        self.app.open_bench(self.job.of_id, Subject(tool.label, tool=tool))
        bench = self.app.bench
        if bench is not None and bench.subject.tool is not None and bench.subject.tool.of_id == tool.of_id:
            try:
                bench.goto(next_reading.balloon)
            except InspectError as problem:
                self.say(todo.said(problem))

    def action_move(self, by: int) -> None:
        """Set the chosen core earlier or later; a seat that forbids it is named."""
        job, core = self.job, self.core
        if job is None or core is None:
            self.say("Choose a core first.")
            return

        def act() -> str:
            return f"set in the order {', '.join(edit.move_core(self.record, job, core.number, by, self.by))}"

        self.attempt(act, "")

    def action_new(self) -> None:
        """Write down a fit; on other pages a loop, a passage, what leaves the shop, or a drawing made of a sample."""
        facts = self._facts()
        if facts is None or self.loaded is None:
            return
        if self.page_name == "sample":
            if self.loaded.sample is not None and self.loaded.sample.sizes:
                forms.adopt_sample(self, facts, self.loaded.sample)
            return
        if self.page_name == "plan":
            sample_plan.name_face(self, facts.job)
            return
        if self.page_name == "proving":
            trial.new_trial(self, self.loaded.check)
            return
        write = {"shipping": forms.ship, "passages": forms.new_passage, "walls": forms.new_loop}
        write.get(self.page_name, forms.new_fit)(self, facts)

    def action_sheet(self) -> None:
        """Write the sheet of the measuring plan; elsewhere say where it is."""
        facts = self._facts()
        if facts is not None and self.loaded is not None and self.page_name == "proving":
            trial.write_sheet(self, self.loaded.check)
            return
        if facts is None or self.loaded is None or self.loaded.plan is None or self.page_name != "plan":
            self.say("A sheet is written on the page of the measuring plan (r), a checklist on that of trials (z).")
            return
        sample_plan.write_sheet(self, facts.job, self.loaded.plan)

    def action_change(self) -> None:
        """Change the chosen fit, mark a size of a sample, say what came back, or more about the chosen core."""
        facts = self._facts()
        if facts is None or self.loaded is None:
            return
        line, taken = self.fit_line, self.loaded.sample
        if self.page_name == "proving":
            tried = trial.at_hand(self.loaded.check, self._key)
            if tried is not None:
                trial.change_trial(self, self.loaded.check, tried)
            return
        if self.page_name == "plan":
            if self.loaded.plan is not None:
                sample_plan.enter(self, facts.job, self.loaded.plan)
            return
        if self.page_name == "sample":
            size = next((s for s in taken.sizes if s.feature.balloon == self._key), None) if taken else None
            if size is not None:
                forms.mark_sample(self, size)
        elif self.page_name == "shipping":
            forms.came_back(self, facts)
        elif self.page_name == "walls":
            style = self.loaded.check.style
            forms.wall_between(
                self,
                facts,
                self.loaded.check,
                lambda wall: self.put("#detail", kit_pages.about_wall(wall, self.room, style)),
            )
        elif self.page_name == "mould" and self.core is not None:
            forms.core_body(self, facts, self.core)
        elif line is not None:
            forms.change_fit(self, facts, line.fit)
        elif self.core is not None:
            forms.core_detail(self, facts, self.core)
        else:
            self.say("Choose a core or, on the page of fits, a fit.")

    def action_drop(self) -> None:
        """Take the chosen fit out of the kit, once asked; on its page a trial, with why."""
        if self.page_name == "proving" and self.loaded is not None:
            tried = trial.at_hand(self.loaded.check, self._key)
            if tried is not None:
                trial.drop(self, self.loaded.check, tried)
            return
        line = self.fit_line
        if line is None:
            self.say("Choose a fit on the page of fits (f) first.")
            return
        rows = [(False, f"keep {line.name}"), (True, f"take {line.name} out of the kit; it stays in the record")]

        def chosen(yes: bool) -> None:
            if yes:
                self.attempt(lambda: f"{edit.drop_fit(self.record, line.fit, self.by).name} is out of the kit", "")

        choose(self, f"{line.name}: {line.inner} in {line.outer}", rows, chosen)

    def action_parting(self) -> None:
        """Say at which heights the parting lies: which ends are the cope's and which the drag's."""
        facts = self._facts()
        if facts is not None:
            forms.parting(self, facts)

    def action_foundry(self) -> None:
        """Take in what came back from the foundry, open sand cores, see what was said of them."""
        if self.job is not None:
            cores = {str(core.number): core for core in self.record.cores(self.job.of_id)}
            from_foundry.ask(self, self.job, cores.get(self._core))

    def action_picture(self) -> None:
        """Attach picture files to the chosen fit or core."""
        owners = self._at_hand()
        if owners:
            pictures.add(self, self.record, owners[:1], self.by, self.changed)
        else:
            self.say("Choose a core first.")

    def action_pictures(self) -> None:
        """See the pictures of the chosen fit or core with its tools; of the whole job where none is chosen."""
        if self.job is None:
            return
        owners = self._at_hand()
        if owners:
            look(self, self.job, owners)
        else:
            look(self, self.job, [Owner("job", kinds.JOB, self.job.of_id)], None)

    def _at_hand(self) -> list[Owner]:
        """The chosen trial or fit; else the chosen core, then its sticks and boxes."""
        line, core = self.fit_line, self.core
        tried = trial.at_hand(self.loaded.check, self._key) if self.loaded and self.page_name == "proving" else None
        if tried is not None:
            return [Owner(tried.name, kinds.PROVING, tried.proving.of_id)]
        if line is not None:
            return [Owner(line.fit.name, kinds.FIT, line.fit.of_id)]
        if core is None or self.loaded is None:
            return []
        tools = self.loaded.check.facts.tools_of(core.of_id)
        return [
            Owner(f"core {core.number}", kinds.CORE, core.of_id),
            *(Owner(tool.label, kinds.TOOL, tool.of_id) for tool in tools),
        ]
