"""Jobs: list and open them, add one from a file or a form, add tools and features, issue a new drawing revision."""

from __future__ import annotations

from collections.abc import Sequence
from importlib.resources import files

from inspect_tui.errors import ChainError, JobFileError
from inspect_tui.frozen import frozen, replace
from inspect_tui.metrology.sizes import chain, contraction
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.measuring import Person
from inspect_tui.model.words import Id
from inspect_tui.model.work import Core, DrawingRevision, End, Feature, Item, Job, JobState, Tool, ToolFeature
from inspect_tui.record.chain.ids import uuid7
from inspect_tui.record.store import Record
from inspect_tui.shop.common import find, materials
from inspect_tui.shop.common.find import Subject
from inspect_tui.shop.common.sizes import Sizes, sizes
from inspect_tui.shop.jobs import jobfile


@frozen
class JobLine:
    """One job of the list."""

    job: Job
    revision: DrawingRevision | None
    tools: int
    castings: int


def overview(record: Record) -> list[JobLine]:
    """Every job with its newest revision and how many tools and castings it has."""
    lines = []
    for job in record.jobs():
        revisions = record.revisions(job.of_id)
        items = record.items(job.of_id)
        lines.append(JobLine(job, revisions[-1] if revisions else None, len(record.tools(job.of_id)), len(items)))
    return lines


def example() -> str:
    """A commented job file."""
    return files("inspect_tui.shop.jobs").joinpath("job_example.toml").read_text("utf-8")


def plan_from_file(text: str, style: Style = MM) -> jobfile.JobPlan:
    """The plan that a job file describes; raises JobFileError."""
    return jobfile.read(text, style)


def add_plan(record: Record, plan: jobfile.JobPlan, by: Id | None = None) -> None:
    """Write a whole job in one go, or nothing."""
    _refuse_twice(record, plan.job.number)
    record.add_all(plan.rows(), by=by)


def add_from_file(record: Record, text: str, by: Id | None = None) -> jobfile.JobPlan:
    """Read a job file and write the whole job in one go, or nothing."""
    plan = plan_from_file(text)
    add_plan(record, plan, by)
    return plan


def new_job(
    record: Record,
    number: str,
    name: str,
    alloy: str | None,
    construction: str | None,
    a: tuple[float, float, float] | None,
    drawing: str,
    rev: str,
    by: Id | None = None,
    book: bool = False,
) -> Job:
    """A job without features yet; `a` None takes the handbook's contraction for the alloy, `book` the shop's own."""
    _refuse_twice(record, number)
    if book:
        return _job_by_the_book(record, number, name, alloy, construction, drawing, rev, by)
    u, source = jobfile.PLAN_U, "stated by the shop"
    if a is None:
        if not alloy:
            raise JobFileError("Say the contraction, or an alloy to look one up for.")
        plan = contraction.plan(alloy, None, construction)
        a, u, source = (plan.a, plan.a, plan.a), plan.u, plan.said[:200]
    made = uuid7()
    job = Job(
        id=made,
        of_id=made,
        number=number,
        name=name or number,
        alloy=alloy,
        construction=construction,
        a_x=a[0],
        a_y=a[1],
        a_z=a[2],
        ua_x=u,
        ua_y=u,
        ua_z=u,
        a_source=source,
    )
    revision = DrawingRevision(job_of_id=made, number=drawing or number, rev=rev or "A")
    record.add_all([job, JobState(job_id=made, state="open"), revision], by=by)
    return job


def _job_by_the_book(
    record: Record,
    number: str,
    name: str,
    alloy: str | None,
    construction: str | None,
    drawing: str,
    rev: str,
    by: Id | None,
) -> Job:
    """A job that plans with what this shop's own jobs have shown, axis by axis, and how sure that is."""
    from inspect_tui.shop.jobs import contraction_book

    rows = contraction_book.offer(record, alloy, construction)
    said = [row.posterior for row in rows if row.posterior is not None]
    if len(said) < 3:
        raise JobFileError(f"This shop's jobs have shown nothing yet for {alloy or 'no alloy'}: type a contraction.")
    made = uuid7()
    x, y, z = said
    source = contraction_book.offer_words(rows)
    job = Job(
        id=made,
        of_id=made,
        number=number,
        name=name or number,
        alloy=alloy,
        construction=construction,
        a_x=x.a,
        a_y=y.a,
        a_z=z.a,
        ua_x=x.u_next,
        ua_y=y.u_next,
        ua_z=z.u_next,
        a_source=source[:200],
    )
    revision = DrawingRevision(job_of_id=made, number=drawing or number, rev=rev or "A")
    record.add_all([job, JobState(job_id=made, state="open"), revision], by=by)
    return job


def _refuse_twice(record: Record, number: str) -> None:
    if any(job.number.casefold() == number.casefold() for job in record.jobs()):
        raise JobFileError(f"Job {number} is in this record already; nothing was added.")


# ------------------------------------------------------------------------------ tools, cores, castings
def add_tool(
    record: Record, job: Job, label: str, kind: str, core_number: int | None, material: str, by: Id | None = None
) -> Tool:
    """A new tool, with every feature of the newest revision that can be measured on it."""
    if any(t.label.casefold() == label.casefold() for t in record.tools(job.of_id)):
        raise JobFileError(f"{label} is there already in job {job.number}.")
    rows: list[object] = []
    core = None
    if core_number is not None:
        core = next((c for c in record.cores(job.of_id) if c.number == core_number), None)
        if core is None:
            made = uuid7()
            core = Core(id=made, of_id=made, job_of_id=job.of_id, number=core_number, name=f"core {core_number}")
            rows.append(core)
    made = uuid7()
    tool = Tool(
        id=made,
        of_id=made,
        job_of_id=job.of_id,
        kind=kind,
        label=label,
        core_id=core.id if core else None,
        material=material or "not stated",
        expansion_per_c=materials.expansion(material),
    )
    rows.append(tool)
    for feature in record.features(find.latest_revision(record, job).id):
        if feature.ends and chain.measurable_on(feature, tool):
            rows.append(jobfile.tool_feature(job, feature, tool))
    record.add_all(rows, by=by)
    return tool


def add_casting(record: Record, job: Job, serial: str, by: Id | None = None) -> Item:
    """A new casting by serial."""
    if any(i.serial == serial and i.kind == "casting" for i in record.items(job.of_id)):
        raise JobFileError(f"Casting {serial} is there already in job {job.number}.")
    from inspect_tui.shop.first_article.castings.put_right import castings

    (item,) = castings(record, job, [serial])
    written: Item = record.add(item, by=by)
    return written


# ------------------------------------------------------------------------------ features and revisions
def derived(job: Job, feature: Feature, tools: Sequence[Tool]) -> list[tuple[Tool, Sizes]]:
    """The sizes a feature gets on each tool that it can be measured on, without writing anything."""
    on_tools = []
    for tool in tools:
        try:
            if feature.ends and chain.measurable_on(feature, tool):
                made = jobfile.tool_feature(job, feature, tool)
                on_tools.append((tool, sizes(job, feature, Subject(tool.label, tool=tool), made)))
        except ChainError:
            continue
    return on_tools


def end_from_words(record: Record, job: Job, which: str, words: str, facing: int, stock: float) -> End:
    """An end from what people type: cope, drag or core N."""
    parts = words.casefold().split()
    if parts in (["cope"], ["drag"]):
        return End(id=uuid7(), which=which, half=parts[0], facing=facing, stock_mm=stock)
    if len(parts) == 2 and parts[0] == "core" and parts[1].isdigit():
        core = next((c for c in record.cores(job.of_id) if c.number == int(parts[1])), None)
        if core is None:
            raise JobFileError(f"There is no core {parts[1]} in job {job.number} yet: add its stick or box first.")
        return End(id=uuid7(), which=which, core_id=core.id, facing=facing, stock_mm=stock)
    raise JobFileError(f"End {which} is made by cope, drag or core N, not '{words}'.")


def add_feature(record: Record, job: Job, feature: Feature, by: Id | None = None) -> Feature:
    """A further feature on the newest revision; it joins every tool it can be measured on."""
    revision = find.latest_revision(record, job)
    present = record.features(revision.id)
    if any(find.balloon_key(f.balloon) == find.balloon_key(feature.balloon) for f in present):
        raise JobFileError(
            f"{feature.balloon} is there already (leading zeros do not count); change it as a new revision."
        )
    feature = replace(feature, id=uuid7(), revision_id=revision.id, ord=len(present) + 1)
    rows: list[object] = [feature]
    for tool in record.tools(job.of_id):
        if feature.ends and chain.measurable_on(feature, tool):
            rows.append(jobfile.tool_feature(job, feature, tool))
    record.add_all(rows, by=by)
    return feature


def revise(
    record: Record, job: Job, rev: str, changed: Sequence[Feature], why: str | None = None, by: Person | None = None
) -> DrawingRevision:
    """A new edition of the drawing with `changed` features (by balloon); what was judged before stays as it was.

    Every feature is carried into the new revision with `same_as_id` pointing back, and every tool gets its sizes
    anew from the new drawing; readings keep naming the old revision's features.
    """
    old = find.latest_revision(record, job)
    if rev.casefold() in {r.rev.casefold() for r in record.revisions(job.of_id)}:
        raise JobFileError(f"Revision {rev} is there already; the newest is {old.rev}.")
    by_balloon = {f.balloon.casefold(): f for f in changed}
    revision = replace(old, id=uuid7(), rev=rev, issued_on=None)
    rows: list[object] = [revision]
    renewed: dict[Id, Feature] = {}
    for feature in record.features(old.id):
        source = by_balloon.pop(feature.balloon.casefold(), feature)
        ends = tuple(replace(end, id=uuid7(), feature_id=b"") for end in source.ends)
        renewed[feature.id] = replace(
            source, id=uuid7(), revision_id=revision.id, same_as_id=feature.id, ends=ends, ord=feature.ord
        )
    if by_balloon:
        raise JobFileError(f"{next(iter(by_balloon.values())).balloon} is not on revision {old.rev}.")
    rows += renewed.values()
    for tool in record.tools(job.of_id):
        for before in record.tool_features(tool.of_id):
            new = renewed.get(before.feature_id)
            if new is not None:
                rows.append(_renewed_tool_feature(job, new, tool, before))
    record.add_all(rows, by=by.id if by else None)
    return revision


def _renewed_tool_feature(job: Job, feature: Feature, tool: Tool, before: ToolFeature) -> ToolFeature:
    """The tool's size from the new drawing; what was corrected after castings stays corrected."""
    made = jobfile.tool_feature(job, feature, tool)
    corrections = [step for step in before.steps if step.kind == "correction"]
    steps = (
        *made.steps,
        *(
            replace(step, id=b"", tool_feature_id=b"", ord=len(made.steps) + n)
            for n, step in enumerate(corrections, start=1)
        ),
    )
    return replace(made, of_id=before.of_id, replaces_id=before.id, steps=steps)


def next_rev(rev: str) -> str:
    """The letter or number after this one: A -> B, Z -> AA, 2 -> 3."""
    if rev.isdigit():
        return str(int(rev) + 1)
    if len(rev) == 1 and rev.upper() != "Z" and rev.isalpha():
        return chr(ord(rev) + 1)
    return rev + ("A" if rev.isalpha() else "-1")
