"""Jobs: the list of jobs, their tools and castings with how far each is measured, and forms to add to them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, ClassVar

from rich.text import Text
from textual import on
from textual.app import ComposeResult, SystemCommand
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.screen import Screen
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from inspect_tui.errors import InspectError
from inspect_tui.model.words import TOOL_KINDS
from inspect_tui.model.work import Feature, Job
from inspect_tui.record.store import Record
from inspect_tui.shop.bench.line import Bench
from inspect_tui.shop.common import find
from inspect_tui.shop.common.find import Subject
from inspect_tui.shop.jobs import feature_form as featureform
from inspect_tui.shop.jobs import jobs
from inspect_tui.tui.choosers import Chooser, Form
from inspect_tui.tui.jobs.words import book_follows, by_the_book, contractions, job_follows, job_wrong, tool_band

if TYPE_CHECKING:
    from collections.abc import Iterable

    from inspect_tui.tui.app import InspectApp

FOOT = "Enter measure  n job  j rule  t tool  c casting  f feature  e change  F1  F10"


class JobsScreen(Screen[None]):
    """What the shop is working on."""

    DEFAULT_CSS = """
    JobsScreen #head { height: 1; }
    JobsScreen #jobs { width: 27; border: none; height: 1fr; }
    JobsScreen #right { width: 1fr; padding: 0 1; border-left: solid $primary; }
    JobsScreen #about { height: auto; max-height: 8; }
    JobsScreen #subjects { height: 1fr; border: none; border-top: dashed $primary; }
    JobsScreen #say { height: auto; max-height: 3; }
    JobsScreen #foot { height: 1; background: $panel; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f1,question_mark", "help", "Keys", id="jobs.help"),
        Binding("f2", "app.command_palette", "All commands", id="jobs.palette"),
        Binding("n", "new_job", "New job", id="jobs.new"),
        Binding("j", "change_job", "Change the job: name, reference, rule, tooling share", id="jobs.change_job"),
        Binding("t", "new_tool", "New tool", id="jobs.tool"),
        Binding("c", "new_casting", "New casting", id="jobs.casting"),
        Binding("f", "new_feature", "New feature", id="jobs.feature"),
        Binding("e", "change_feature", "Change a feature: a new drawing revision", id="jobs.change"),
        Binding("tab", "app.focus_next", "Jobs list and tools list in turn", id="jobs.next"),
        Binding("f10,escape", "app.places", "Places", id="jobs.places"),
    ]

    app: InspectApp

    def __init__(self) -> None:
        super().__init__()
        self.lines: list[jobs.JobLine] = []
        self.subjects: list[Subject] = []
        self.made: Job | None = None  # a job just added: it becomes the chosen one

    @property
    def record(self) -> Record:
        """The record that is open."""
        return self.app.record

    def compose(self) -> ComposeResult:
        """Jobs on the left, the chosen one on the right."""
        yield Static(id="head")
        with Horizontal():
            yield OptionList(id="jobs")
            with Vertical(id="right"):
                yield Static(id="about")
                yield OptionList(id="subjects")
                yield Static(id="say")
        yield Static(FOOT, id="foot")

    def on_mount(self) -> None:
        """Load and show."""
        self.reload(self.app.bench.job if self.app.bench else None)
        self.query_one("#subjects" if self.subjects else "#jobs").focus()

    def on_screen_resume(self) -> None:
        """Back from another place: what was measured there shows here."""
        if self.is_mounted and self.lines:
            self.reload(self.line.job if self.line else None)

    def reload(self, wanted: Job | None = None) -> None:
        """Read the jobs again; `wanted` becomes the chosen one."""
        self.lines = jobs.overview(self.record)
        read_only = "  READ ONLY" if self.record.read_only else ""
        self.query_one("#head", Static).update(
            Text(f" Jobs · {self.record.path.name}{read_only}".ljust(200), style="reverse", no_wrap=True)
        )
        listed = self.query_one("#jobs", OptionList)
        listed.clear_options()
        listed.add_options([Option(Text(f"{line.job.number}  {line.job.name}", no_wrap=True)) for line in self.lines])
        at = next((i for i, line in enumerate(self.lines) if wanted and line.job.of_id == wanted.of_id), 0)
        if self.lines:
            listed.highlighted = at
        else:
            self.say("No jobs yet. n makes one here, or in a shell: inspect-tui job add FILE.toml")
        self.show_job()

    @property
    def line(self) -> jobs.JobLine | None:
        """The chosen job."""
        at = self.query_one("#jobs", OptionList).highlighted
        return self.lines[at] if at is not None and at < len(self.lines) else None

    @on(OptionList.OptionHighlighted, "#jobs")
    def show_job(self) -> None:
        """Everything about the chosen job."""
        line = self.line
        about, listed = self.query_one("#about", Static), self.query_one("#subjects", OptionList)
        listed.clear_options()
        self.subjects = []
        if line is None:
            about.update("")
            return
        about.update(self._about(line))
        self.subjects = find.subjects(self.record, line.job)
        rows = [Option(Text(self._row(line, subject), no_wrap=True)) for subject in self.subjects]
        listed.add_options(rows)
        if rows:
            listed.highlighted = 0

    def _about(self, line: jobs.JobLine) -> Text:
        job = line.job
        out = Text()
        out.append(f"{job.number}  {job.name}\n", style="bold")
        rev = f"drawing {line.revision.number} rev {line.revision.rev}" if line.revision else "no drawing yet"
        out.append(f"{rev} · {job.alloy or 'alloy not stated'}\n")
        out.append(
            f"contraction, of the casting: X {100 * job.a_x:.2f} %  Y {100 * job.a_y:.2f} %  Z {100 * job.a_z:.2f} %\n"
        )
        out.append(f"from {job.a_source}\n", style="italic")
        rule = {"proof95": "proof at 95 %", "full_u": "full U", "plain": "plain limits"}[job.rule]
        out.append(f"verdict by {rule}; tooling band {tool_band(job)}\n")
        out.append(f"{line.tools} tools, {line.castings} castings and cores: Enter measures one", style="bold")
        return out

    def _row(self, line: jobs.JobLine, subject: Subject) -> str:
        if subject.tool is None or line.revision is None:
            return subject.label
        tasks = Bench(self.record, line.job, subject).tasks
        done = sum(not task.open for task in tasks)
        out = sum(task.state == "does not conform" for task in tasks)
        state = f"{done} of {len(tasks)} measured" if tasks else "nothing to measure on it"
        return f"{subject.label:<22} {state}" + (f", {out} ✗ out" if out else "")

    def say(self, text: str, style: str = "") -> None:
        """One sentence at the foot."""
        self.query_one("#say", Static).update(Text(text, style=style))

    @on(OptionList.OptionSelected, "#subjects")
    def _measure(self, event: OptionList.OptionSelected) -> None:
        line = self.line
        if line is not None:
            self.app.open_bench(line.job.of_id, self.subjects[event.option_index])

    @on(OptionList.OptionSelected, "#jobs")
    def _to_tools(self) -> None:
        self.query_one("#subjects").focus()

    # ---------------------------------------------------------------- adding
    def _done(self, what: str, job: Job | None) -> None:
        self.reload(job)
        self.say(what, "bold green")

    def attempt(self, act: Any, job: Job | None) -> None:
        """Do it and say what was done, or why nothing was."""
        self.made = None
        try:
            said = act()
            self._done(said, self.made or job)
        except InspectError as problem:
            self.say(f"Nothing was added: {problem}", "bold red")

    def action_help(self) -> None:
        """All keys."""
        from inspect_tui.tui.help import HelpScreen

        self.app.push_screen(HelpScreen("Jobs", self.BINDINGS))

    def action_new_job(self) -> None:
        """A new job with alloy and contraction per axis."""
        fields = [
            ("number", "job number: what people call it", ""),
            ("name", "name: what it is", ""),
            ("alloy", "alloy: such as ductile iron", ""),
            ("construction", "construction: open, cored, free, restrained; may be left out", ""),
            ("contraction", "contraction: 1.0 %, or X Y Z each; empty: the handbook's; book: our own jobs'", ""),
            ("drawing", "drawing: its number", ""),
            ("rev", "revision: of the drawing", "A"),
        ]
        offers: dict[tuple[str, str], str] = {}

        def follows(values: dict[str, str]) -> str:
            return "\n".join(x for x in (job_follows(values), book_follows(self.record, values, offers)) if x)

        form = Form("A new job", fields, job_wrong, watch=follows)

        def add(values: dict[str, str] | None) -> None:
            if values is None:
                return

            def act() -> str:
                job = jobs.new_job(
                    self.record,
                    values["number"],
                    values["name"],
                    values["alloy"] or None,
                    values["construction"] or None,
                    None if by_the_book(values) else contractions(values["contraction"]),
                    values["drawing"],
                    values["rev"],
                    book=by_the_book(values),
                )
                self.made = job
                return f"Job {job.number} added. t adds a tool, f a feature."

            self.attempt(act, None)

        self.app.push_screen(form, add)

    def action_change_job(self) -> None:
        """Change the job: name, customer's reference, decision rule, tooling share. What was given out stays."""
        if (line := self.line) is None:
            return

        from inspect_tui.tui.jobs import change as jobs_change

        jobs_change.ask(self, line.job)

    def action_new_tool(self) -> None:
        """A new tool of the chosen job."""
        if (line := self.line) is None:
            return
        fields = [
            ("label", "called: such as stick 3", ""),
            ("kind", "kind: " + ", ".join(TOOL_KINDS), "core_stick"),
            ("core", "core: its number; empty for patterns", ""),
            ("material", "material: may be left out", ""),
        ]

        def wrong(values: dict[str, str]) -> str | None:
            if not values["label"]:
                return "Give it a name."
            if values["kind"] not in TOOL_KINDS:
                return f"The kind is one of {', '.join(TOOL_KINDS)}."
            if values["core"] and not (values["core"].isdigit() and 1 <= int(values["core"]) <= 999):
                return "The core's number is 1 to 999."
            if values["kind"] in ("core_stick", "core_box") and not values["core"]:
                return "A stick or box belongs to a core: give its number."
            return None

        def add(values: dict[str, str] | None) -> None:
            if values is not None:
                core = int(values["core"]) if values["core"] else None
                self.attempt(
                    lambda: (
                        "Added "
                        + jobs.add_tool(
                            self.record, line.job, values["label"], values["kind"], core, values["material"]
                        ).label
                    ),
                    line.job,
                )

        self.app.push_screen(Form(f"A new tool of {line.job.number}", fields, wrong), add)

    def action_new_casting(self) -> None:
        """A new casting of the chosen job, by serial."""
        if (line := self.line) is None:
            return
        fields = [("serial", "serial: as it is marked", "")]
        form = Form("A new casting", fields, lambda v: None if v["serial"] else "Type a serial.")
        self.app.push_screen(
            form,
            lambda v: (
                self.attempt(
                    lambda: "Added casting " + jobs.add_casting(self.record, line.job, v["serial"]).serial, line.job
                )
                if v
                else None
            ),
        )

    def action_new_feature(self) -> None:
        """A further feature of the newest revision, its tool sizes showing while typing."""
        if (line := self.line) is None or line.revision is None:
            return
        self._feature_form(line, f"A new feature of {line.job.number}", list(featureform.FIELDS), None)

    def action_change_feature(self) -> None:
        """Change a feature: the drawing gets a new revision, what was judged before stays."""
        if (line := self.line) is None or line.revision is None:
            return
        features = self.record.features(line.revision.id)
        cores = {core.id: core.number for core in self.record.cores(line.job.of_id)}

        def chosen(feature: Feature | None) -> None:
            if feature is not None and line.revision is not None:
                fields = [("rev", "new revision: of the drawing", jobs.next_rev(line.revision.rev))]
                fields += featureform.fields_of(feature, cores)
                self._feature_form(line, f"Change {feature.balloon}", fields, feature)

        self.app.push_screen(
            Chooser("Which feature changes?", [(f, f"{f.balloon:<6} {f.name}") for f in features]), chosen
        )

    def _feature_form(
        self, line: jobs.JobLine, title: str, fields: list[tuple[str, str, str]], old: Feature | None
    ) -> None:
        band = line.revision.default_band if line.revision else None
        tools = self.record.tools(line.job.of_id)

        def read(values: dict[str, str]) -> Feature | str:
            return featureform.read(self.record, line.job, values, band, old)

        def wrong(values: dict[str, str]) -> str | None:
            made = read(values)
            return made if isinstance(made, str) else None

        def add(values: dict[str, str] | None) -> None:
            made = read(values) if values else ""
            if not values or isinstance(made, str):
                return

            def act() -> str:
                if old is None:
                    return f"Added {jobs.add_feature(self.record, line.job, made).balloon}."
                revision = jobs.revise(self.record, line.job, values["rev"], [made])
                return f"Revision {revision.rev} begun; readings on {old.balloon} keep their verdicts on the old one."

            self.attempt(act, line.job)

        form = Form(title, fields, wrong, watch=lambda values: featureform.follows(line.job, read(values), tools))
        self.app.push_screen(form, add)

    def commands(self) -> Iterable[SystemCommand]:
        """Every key of this place as a command of the palette."""
        for binding in self.BINDINGS:
            if isinstance(binding, Binding) and "." not in binding.action:
                method = getattr(self, f"action_{binding.action}")
                yield SystemCommand(binding.description, (method.__doc__ or "").strip(), method)
