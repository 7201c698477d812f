"""Kit: the place where it is seen whether cores, sticks, boxes and prints go together without us."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING, Any, ClassVar

from rich.text import Text
from textual import on
from textual.app import ComposeResult, SystemCommand
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from inspect_tui.errors import InspectError
from inspect_tui.model.work import Job
from inspect_tui.report.term import kit as term_kit
from inspect_tui.report.term.kit_pages import Row
from inspect_tui.tui import todo
from inspect_tui.tui.choosers import Chooser
from inspect_tui.tui.kit import pages as kit_pages
from inspect_tui.tui.kit import work as kit_work
from inspect_tui.tui.kit.actions import KitActions
from inspect_tui.tui.kit.work import Found, Loaded

if TYPE_CHECKING:
    from inspect_tui.tui.app import InspectApp

FOOT = "f fits  o order  w walls  p passages  l life  m measure next  F1 keys  F10"
TITLES = {
    "kit": "cores",
    "fits": "fits",
    "order": "setting order",
    "walls": "walls and stacks",
    "passages": "passages",
    "sizes": "sizes on stick, box and sand",
    "life": "life stories",
    "shipping": "where things are",
    "sample": "sizes of a sample casting",
    "book": "contraction book",
}
WORDS = """
Kit
  ✓ every fit of the core is proven by readings on both sides   ✗ something does not hold   ? open   · nothing known
  print: the projection that carries a core; seat: the impression that takes it; key: what lets it in one way only.
  Clearances are at tooling scale: sand does not contract. Walls are at casting scale.
  as drawn: from the drawing's sizes and tolerances; as measured: from what was read on boxes, sticks and patterns.
  worst case: every contributor at its limit at once; root-sum-square: as they come together likely.
  A look-alike goes by its prints into a seat that is not its own; the core's body may still stop it.
"""


class KitScreen(KitActions):
    """Cores on the left as a tree of who sits in whom; on the right one page about them."""

    DEFAULT_CSS = """
    KitScreen { layout: vertical; }
    KitScreen #head { height: 1; }
    KitScreen #cores { width: 30; border: none; height: 1fr; padding: 0; }
    KitScreen #right { width: 1fr; padding: 0 0 0 1; border-left: solid $primary; }
    KitScreen #rows { height: auto; max-height: 40%; border: none; padding: 0; border-bottom: dashed $primary; }
    KitScreen #scroll { height: 1fr; }
    KitScreen #detail { height: auto; }
    KitScreen #say { height: auto; max-height: 3; }
    KitScreen #foot { height: 1; background: $panel; }
    KitScreen.-wide #cores { width: 48; }
    """
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (120, "-wide")]  # noqa: RUF012
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f1,question_mark", "help", "Keys", id="kit.help"),
        Binding("f2", "app.command_palette", "All commands", id="kit.palette"),
        Binding("k", "look('kit')", "The kit, and the chosen core", id="kit.kit"),
        Binding("f", "look('fits')", "Fits: prints, keys and seats", id="kit.fits"),
        Binding("o", "look('order')", "Setting order, with the cores seen from the side", id="kit.order"),
        Binding("w", "look('walls')", "Walls and stacks", id="kit.walls"),
        Binding("p", "look('passages')", "Passages and capacity", id="kit.passages"),
        Binding("i", "look('sizes')", "Sizes of the core on stick, box and sand", id="kit.sizes"),
        Binding("l", "look('life')", "Life story of a dimension", id="kit.life"),
        Binding("s", "look('shipping')", "Where things are; life story of a tool", id="kit.shipping"),
        Binding("t", "look('sample')", "Sizes taken off a sample casting", id="kit.sample"),
        Binding("b", "look('book')", "The contraction book", id="kit.book"),
        Binding("m", "measure", "Measure at the Bench what would take away most doubt", id="kit.measure"),
        Binding("u", "move(-1)", "Set the chosen core earlier", id="kit.up"),
        Binding("d", "move(1)", "Set the chosen core later", id="kit.down"),
        Binding("n", "new", "A new fit; on its page a loop, passage, shipment, drawing of a sample", id="kit.new"),
        Binding("e", "change", "Change the fit or core; where things are: came back; sample: worn", id="kit.change"),
        Binding("x", "drop", "Take the chosen fit out of the kit", id="kit.drop"),
        Binding("a", "picture", "Attach a picture to the chosen core", id="kit.picture"),
        Binding("g", "parting", "Say where the parting lies, with its steps", id="kit.parting"),
        Binding("j", "job", "Another job", id="kit.job"),
        Binding("tab", "swap", "Cores and page in turn", id="kit.swap", priority=True),
        Binding("pageup", "page(-1)", "A page up", id="kit.pageup", priority=True),
        Binding("pagedown", "page(1)", "A page down", id="kit.pagedown", priority=True),
        Binding("f10,escape", "app.places", "Places", id="kit.places"),
    ]

    app: InspectApp

    def __init__(self) -> None:
        super().__init__()
        self.job: Job | None = None
        self.page_name = "kit"
        self.loaded: Loaded | None = None
        self.wrong = ""
        self.core_rows: list[tuple[str, Text]] = []
        self.page_rows: list[Row] = []
        self._asked = 0
        self._core = ""
        self._key = ""

    # ---------------------------------------------------------------- drawing
    def compose(self) -> ComposeResult:
        """Tree of cores; rows of the page, and all about the chosen row."""
        yield Static(id="head")
        with Horizontal():
            yield OptionList(id="cores")
            with Vertical(id="right"):
                yield OptionList(id="rows")
                with VerticalScroll(id="scroll", can_focus=False):
                    yield Static(id="detail")
                yield Static(id="say")
        yield Static(FOOT, id="foot")

    def on_mount(self) -> None:
        """The job at the Bench, else the first one."""
        self.query_one("#rows").display = False
        self.query_one("#cores").focus()
        self.reload()

    def on_screen_resume(self) -> None:
        """Back from another place: what was measured there counts here."""
        if self.is_mounted and self.loaded is not None:
            self.reload()

    def on_resize(self) -> None:
        """Everything is drawn to the width at hand."""
        self.call_after_refresh(self.show)

    def reload(self) -> None:
        """Check the kit again, beside the screen."""
        jobs = self.record.jobs()
        bench = self.app.bench
        if self.job is None and bench is not None:
            self.job = bench.job
        self.job = next((j for j in jobs if self.job and j.of_id == self.job.of_id), jobs[0] if jobs else None)
        if self.job is None:
            self.say("There is no job yet: F10 goes to the jobs.")
            self.show()
            return
        job = self.job
        self._ask(lambda reader: kit_work.load(reader, job))
        self.show()

    def _ask(self, work: Callable[[Any], Loaded]) -> None:
        self._asked += 1
        asked, reader = self._asked, self.record.reader

        def run() -> None:
            try:
                with reader() as opened:
                    loaded = work(opened)
            except InspectError as problem:
                self.post_message(Found(asked, None, todo.said(problem)))
            else:
                self.post_message(Found(asked, loaded))

        self.run_worker(run, thread=True, exclusive=False, group="kit")

    @on(Found)
    def _take(self, message: Found) -> None:
        if message.asked != self._asked:
            return
        self.wrong = message.wrong
        if message.loaded is not None:
            self.loaded = message.loaded
        self.show()

    def show(self) -> None:
        """Draw what is known; nothing is computed here."""
        width = self.size.width
        if not width:
            return
        self._head(width)
        loaded = self.loaded
        if loaded is None:
            self.query_one("#detail", Static).update(Text(self.wrong or "reading the record ...", style="dim"))
            return
        self._fill_tree(30 if width < 120 else 48)
        self._fill_rows(self._room(width))
        self._ask_more()
        self._detail(self._room(width))
        if self.wrong:
            self.say(self.wrong, "bold red")

    @staticmethod
    def _room(width: int) -> int:
        return width - (30 if width < 120 else 48) - 4

    def _head(self, width: int) -> None:
        job, loaded = self.job, self.loaded
        text = " Kit"
        if job is not None:
            text += f" · {job.number}"
        if loaded is not None:
            check = loaded.check
            revision = check.data.revision
            text += f" · rev {revision.rev}" if revision else ""
            text += f" · {len(check.data.cores)} cores"
            text += f" · ✗ {len(check.against)}" if check.against else " · nothing against it"
            text += f" · ? {len(check.doubts)}" if check.doubts else ""
        right = TITLES[self.page_name] + ("  READ ONLY " if self.record.read_only else " ")
        text = text.ljust(width - len(right))[: width - len(right)] + right
        self.query_one("#head", Static).update(Text(text, style="reverse", no_wrap=True))

    def _fill_tree(self, width: int) -> None:
        assert self.loaded
        listed = self.query_one("#cores", OptionList)
        self.core_rows = [("kit", term_kit.whole(self.loaded.check)), *term_kit.tree(self.loaded.check, width - 1)]
        keys = [key for key, _ in self.core_rows]
        if self._core not in keys:
            self._core = "kit"
        with self.prevent(OptionList.OptionHighlighted):
            listed.clear_options()
            listed.add_options([Option(line) for _, line in self.core_rows])
            if keys:
                listed.highlighted = keys.index(self._core)

    def _fill_rows(self, room: int) -> None:
        listed = self.query_one("#rows", OptionList)
        assert self.loaded
        self.page_rows = kit_pages.rows(self.loaded, self.page_name, self._core, room)
        keys = [key for key, _ in self.page_rows]
        listed.display = self.page_name != "kit"
        if self._key not in keys:
            self._key = keys[0] if keys else ""
        with self.prevent(OptionList.OptionHighlighted):
            listed.clear_options()
            listed.add_options([Option(line) for _, line in self.page_rows])
            if keys:
                listed.highlighted = keys.index(self._key)

    def _ask_more(self) -> None:
        assert self.loaded
        loaded, page, key = self.loaded, self.page_name, self._key
        if kit_work.wanting(loaded, page, key):
            self._ask(lambda reader: kit_work.more(reader, loaded, page, key))

    def _detail(self, room: int) -> None:
        assert self.loaded
        text = kit_pages.about(self.loaded, self.page_name, self._core, self._key, room)
        self.query_one("#detail", Static).update(text if text.plain.strip() else Text("nothing here yet", style="dim"))

    # ---------------------------------------------------------------- moving about
    @on(OptionList.OptionHighlighted, "#cores")
    def _core_chosen(self, event: OptionList.OptionHighlighted) -> None:
        key = self.core_rows[event.option_index][0] if event.option_index < len(self.core_rows) else ""
        if key != self._core and self.loaded is not None:
            self._core = key
            self._fill_rows(self._room(self.size.width))
            self._after_choice()

    @on(OptionList.OptionHighlighted, "#rows")
    def _row_chosen(self, event: OptionList.OptionHighlighted) -> None:
        key = self.page_rows[event.option_index][0] if event.option_index < len(self.page_rows) else ""
        if key != self._key:
            self._key = key
            if self.page_name == "order":
                self._core = key
            self._after_choice()

    def _after_choice(self) -> None:
        self._ask_more()
        self._detail(self._room(self.size.width))
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

    def action_page(self, by: int) -> None:
        """Scroll what is shown about the chosen row."""
        scroll = self.query_one("#scroll", VerticalScroll)
        scroll.scroll_relative(y=by * max(scroll.size.height - 1, 1), animate=False)

    def action_help(self) -> None:
        """All keys, and the words."""
        from inspect_tui.tui.help import HelpScreen

        self.app.push_screen(HelpScreen("Kit", self.BINDINGS, WORDS))

    def action_job(self) -> None:
        """Look at the kit of another job."""
        rows = [(job, f"{job.number:<12} {job.name}") for job in self.record.jobs()]

        def chosen(job: Job | None) -> None:
            if job is not None:
                self.job, self.loaded, self._core, self._key = job, None, "", ""
                self.reload()

        self.app.push_screen(Chooser("Which job?", rows), chosen)

    def commands(self) -> Iterable[SystemCommand]:
        """Every key of this place as a command of the palette."""
        for binding in self.BINDINGS:
            if isinstance(binding, Binding) and "." not in binding.action:
                name, _, inside = binding.action.partition("(")
                method = getattr(self, f"action_{name}")
                given = inside.rstrip(")").strip("'")
                call = (lambda m=method, g=given: m(int(g) if g.lstrip("-").isdigit() else g)) if given else method
                yield SystemCommand(binding.description, (method.__doc__ or "").strip(), call)
