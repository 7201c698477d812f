"""Jobs: the list of jobs, their tools and castings with how far each is measured, and what can be added to them."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from typing import ClassVar

from rich.text import Text
from textual import on
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.widget import Widget
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from inspect_tui.metrology.typed.show import MM, as_rule, count
from inspect_tui.model.work import Job
from inspect_tui.record.care import backup_words, backups
from inspect_tui.report.words import roomy
from inspect_tui.shop.bench.line import Bench
from inspect_tui.shop.common import find
from inspect_tui.shop.common.find import Subject
from inspect_tui.shop.common.standing import Standing
from inspect_tui.shop.jobs import jobs
from inspect_tui.tui.jobs import changes, forms, said, tooling
from inspect_tui.tui.place import Place
from inspect_tui.tui.question import Listed
from inspect_tui.tui.together import screen as together

RULE_WORDS = {"proof95": "proof at 95 %", "full_u": "full U", "plain": "plain limits"}


class JobsScreen(Place):
    """What the shop is working on."""

    DEFAULT_CSS = """
    JobsScreen #jobs { width: 27; border: none; height: 1fr; }
    JobsScreen #right { width: 1fr; padding: 0 1; border-left: solid $primary; }
    JobsScreen #about { height: auto; max-height: 9; }
    JobsScreen #subjects { height: 1fr; border: none; border-top: dashed $primary; }
    JobsScreen #kept { height: auto; max-height: 3; }
    """
    NAME = "Jobs"
    FOOT = "Enter measure  n job  t tool  k core  f feature  c casting  e d change  F1  F10"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("n", "new_job", "New job", id="jobs.new"),
        Binding("j", "change_job", "Change the job: name, reference, rule, tooling share", id="jobs.change_job"),
        Binding("t", "new_tool", "New tool", id="jobs.tool"),
        Binding("d", "change_tool", "Details of a tool: made from, weight, loose pieces, mark ...", id="jobs.details"),
        Binding("k", "cores", "Cores: a new one, more about one; the outline of the mould", id="jobs.cores"),
        Binding("y", "geometries", "Geometrical tolerances: a new one, more about one", id="jobs.geometry"),
        Binding("c", "new_casting", "New casting", id="jobs.casting"),
        Binding("f", "new_feature", "New feature", id="jobs.feature"),
        Binding("e", "change_feature", "Change a feature: typed wrong, or a new drawing revision", id="jobs.change"),
        Binding("a", "metal", "Alloy and contraction of the job: put right", id="jobs.metal"),
        Binding("o", "state", "The job waits, is closed, or goes on", id="jobs.state"),
        Binding("g", "weight", "What a casting weighs; the wall area", id="jobs.weight"),
        Binding("s", "same", "Two things that were entered twice and are one", id="jobs.same"),
        Binding("r", "rename", "Another name for what is called wrongly; day and melt of a sampling", id="jobs.rename"),
        Binding("w", "withdraw", "Withdraw what is wrong or no more", id="jobs.withdraw"),
        Binding("b", "take_back", "What is withdrawn: take it back", id="jobs.back"),
        Binding(
            "x", "app.together", "The other benches: exchange with them; what is to be decided", id="jobs.together"
        ),
        Binding("h", "what_changed", "What was changed, over the whole shop", id="jobs.changed"),
        Binding("tab", "app.focus_next", "Jobs list and tools list in turn", id="jobs.next"),
    ]

    def __init__(self) -> None:
        super().__init__()
        self.lines: list[jobs.JobLine] = []
        self.subjects: list[Subject] = []
        self.chosen: bytes | None = None  # of_id of the job that is looked at
        self.backed_up: backups.Standing | None = None  # how it stands with the backups, once that is known

    # ---------------------------------------------------------------- arriving and drawing
    def body(self) -> Iterable[Widget]:
        """Jobs on the left, the chosen one on the right."""
        with Horizontal():
            yield Listed(id="jobs")
            with Vertical(id="right"):
                yield Static(id="about")
                yield Listed(id="subjects")
                yield Static(id="kept")

    def arrive(self) -> None:
        """Read the jobs again; the chosen one stays chosen, at first that of the Bench."""
        first_time = not self.lines
        if self.chosen is None and self.app.bench is not None:
            self.chosen = self.app.bench.job.of_id
        self.lines = jobs.overview(self.record)
        at = next((i for i, line in enumerate(self.lines) if line.job.of_id == self.chosen), 0)
        listed = self.query_one("#jobs", OptionList)
        with self.prevent(OptionList.OptionHighlighted):
            listed.clear_options()
            marks = self.app.together.marks
            listed.add_options([Option(_job_row(line, marks.said(line.job.of_id))) for line in self.lines])
            listed.highlighted = at if self.lines else None
        if not self.lines:
            self.say("No jobs yet. n makes one here, or in a shell: inspect-tui job add FILE.toml")
        self._list_subjects()
        path = self.record.path
        self.ask("backups", lambda _, hand_over: hand_over(backed_up=backups.standing(path, datetime.now())))
        if first_time:
            self.query_one("#subjects" if self.subjects else "#jobs").focus()
        self.show()

    @property
    def line(self) -> jobs.JobLine | None:
        """The chosen job."""
        at = self.query_one("#jobs", OptionList).highlighted
        return self.lines[at] if at is not None and at < len(self.lines) else None

    def _list_subjects(self) -> None:
        line, listed = self.line, self.query_one("#subjects", OptionList)
        before = self.subjects[listed.highlighted].key if listed.highlighted is not None and self.subjects else None
        self.chosen = line.job.of_id if line is not None else None
        self.subjects = find.subjects(self.record, line.job) if line is not None else []
        listed.clear_options()
        if line is not None and self.subjects:
            listed.add_options([Option(Text(self._row(line, subject), no_wrap=True)) for subject in self.subjects])
            at = (n for n, subject in enumerate(self.subjects) if subject.key == before)
            listed.highlighted = next(at, 0)

    def _row(self, line: jobs.JobLine, subject: Subject) -> str:
        marks = self.app.together.marks
        if subject.tool is None or line.revision is None:
            return f"{subject.label:<22} {marks.said(subject.key)}".rstrip()
        tasks = Bench(self.record, line.job, subject).tasks
        done = sum(not task.open for task in tasks)
        out = sum(task.state == Standing.DOES_NOT_CONFORM for task in tasks)
        state = f"{done} of {len(tasks)} measured" if tasks else "nothing to measure on it"
        short = state + (f", {out} ✗" if out else "")
        state = f"{short} out" if out else short
        said, sign = marks.said(subject.key), marks.sign(subject.key)
        room = self.app.size.width - 56  # beside the jobs and the label
        rows = ((said, state), (said, short), (sign, state), (sign, short))
        return f"{subject.label:<22} " + roomy([f"{mark} {told}".lstrip() for mark, told in rows], room)

    def draw(self, width: int, height: int) -> None:
        """Everything about the chosen job."""
        self.put("#about", _about(self.line) if self.line is not None else "")
        kept = Text(no_wrap=False)
        if self.backed_up is not None:
            said = backup_words.words(self.backed_up, datetime.now())
            kept.append(said, style="bold red" if self.backed_up.old else "dim")
        others, style = together.line(self.app.together)
        if others:
            kept.append(("\n" if kept else "") + others, style=style)
        self.put("#kept", kept)

    # ---------------------------------------------------------------- choosing
    @on(OptionList.OptionHighlighted, "#jobs")
    def _looked_at(self) -> None:
        if self.line is not None and self.line.job.of_id != self.chosen:
            self.guarded(self._list_subjects)
            self.show()

    @on(OptionList.OptionSelected, "#jobs")
    def _to_tools(self) -> None:
        self.query_one("#subjects").focus()

    @on(OptionList.OptionSelected, "#subjects")
    def _measure(self, event: OptionList.OptionSelected) -> None:
        if self.line is not None:
            self.app.open_bench(self.line.job.of_id, self.subjects[event.option_index])

    # ---------------------------------------------------------------- adding and changing
    def action_new_job(self) -> None:
        """A new job with alloy and contraction per axis."""

        def added(job: Job) -> None:
            self.chosen = job.of_id
            self.changed(f"Job {job.number} added. t adds a tool, f a feature.")

        forms.new_job(self, added)

    def action_change_job(self) -> None:
        """Change the job: name, customer's reference, decision rule, tooling share. What was given out stays."""
        if self.line is not None:
            forms.change_job(self, self.line.job)

    def action_new_tool(self) -> None:
        """A new tool of the chosen job."""
        if self.line is not None:
            tooling.new_tool(self, self.line.job)

    def action_change_tool(self) -> None:
        """More about a tool of the chosen job, or put right what was said of it."""
        if self.line is not None and self.line.revision is not None:
            tooling.change_tool(self, self.line.job)

    def action_cores(self) -> None:
        """The cores of the chosen job and the outline of its mould."""
        if self.line is not None and self.line.revision is not None:
            tooling.cores(self, self.line.job)

    def action_geometries(self) -> None:
        """Choose a geometrical tolerance of the drawing, or enter a new one."""
        if self.line is not None:
            tooling.geometries(self, self.line.job)

    def action_state(self) -> None:
        """The chosen job waits, is closed, or goes on."""
        if self.line is not None:
            said.state(self, self.line.job)

    def action_weight(self) -> None:
        """What a casting weighs, or the wall area of the castings."""
        if self.line is not None:
            said.weight(self, self.line.job)

    def action_same(self) -> None:
        """Two things that were entered twice and are one."""
        if self.line is not None:
            said.one_and_the_same(self, self.line.job)

    def action_new_casting(self) -> None:
        """A new casting of the chosen job, by serial."""
        if self.line is not None:
            forms.new_casting(self, self.line.job)

    def action_new_feature(self) -> None:
        """A further feature of the newest revision, its tool sizes showing while typing."""
        if self.line is not None and self.line.revision is not None:
            forms.new_feature(self, self.line.job, self.line.revision)

    def action_change_feature(self) -> None:
        """Change a feature: a typing error is put right, or the drawing gets a new revision."""
        if self.line is not None and self.line.revision is not None:
            forms.change_feature(self, self.line.job, self.line.revision)

    def action_metal(self) -> None:
        """Another alloy or contraction: its tools are laid out anew, what was read is judged by what held then."""
        if self.line is not None:
            changes.put_metal_right(self, self.line.job)

    def action_withdraw(self) -> None:
        """Take a job, tool, casting, feature, person, gauge, count ... out of every list; who and why is kept."""
        if self.line is not None:
            changes.take_out(self, self.line.job)

    def action_rename(self) -> None:
        """Another name for a casting, tool, feature, person, gauge ...; of a sampling its day, melt and number too."""
        if self.line is not None:
            changes.rename_thing(self, self.line.job)

    def action_take_back(self) -> None:
        """What is withdrawn, with who and why; the one that is chosen comes back."""
        changes.take_back(self)

    def action_what_changed(self) -> None:
        """Who changed what, when and why; type to search."""
        changes.show(self)


def _job_row(line: jobs.JobLine, mark: str = "") -> Text:
    """`SV-12  valve body`; what waits, is closed or was said apart (`mark`) says so, a closed one dimly."""
    said = ", ".join(filter(None, (mark, "" if line.state == "open" else line.state)))
    state = f" ({said})" if said else ""
    return Text(
        f"{line.job.number}{state}  {line.job.name}", style="dim" if line.state == "closed" else "", no_wrap=True
    )


def tool_band(job: Job) -> str:
    """What tools are judged by, in words."""
    return f"EN 12890 {job.tool_band}" if job.tool_band else f"{MM.figure(job.tool_share)} of the casting band"


def _rule(a: float) -> str:
    """The same as pattern shops with inch rules call it: (1/8 in/ft)."""
    return f" ({as_rule(a)})" if as_rule(a) else ""


def _about(line: jobs.JobLine) -> Text:
    job, out = line.job, Text()
    out.append(f"{job.number}  {job.name}\n", style="bold")
    rev = f"drawing {line.revision.number} rev {line.revision.rev}" if line.revision else "no drawing yet"
    out.append(f"{rev} · {job.alloy or 'alloy not stated'}\n")
    if line.corrections:
        out.append(f"{line.corrections[0].words}\n")
    axes: dict[float, str] = {}  # those that contract alike are said together
    for axis, a in zip("XYZ", (job.a_x, job.a_y, job.a_z), strict=True):
        axes[a] = f"{axes[a]} {axis}" if a in axes else axis
    if line.state != "open":
        out.append(f"{line.state}: {line.why or 'nobody said why'}\n")
    said = (f"{axis} {MM.percent(a, 2)}{_rule(a)}" for a, axis in axes.items())
    out.append(f"contraction, of the casting: {'  '.join(said)}\n")
    out.append(f"from {job.a_source}\n", style="italic")
    out.append(f"verdict by {RULE_WORDS[job.rule]}; tooling band {tool_band(job)}\n")
    cast = f"{count(line.castings, 'casting')} and cores" if line.castings != 1 else "1 casting or core"
    out.append(f"{count(line.tools, 'tool')}, {cast}: Enter measures one", style="bold")
    return out
