"""Jobs: list and open them, add one from a file or a form, add tools and features, issue a new drawing revision."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from importlib.resources import files
from pathlib import Path

from inspect_tui.errors import ChainError, JobFileError
from inspect_tui.frozen import frozen_by_name, replace
from inspect_tui.metrology.sizes import chain, contraction
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.measuring import Person
from inspect_tui.model.words import Id
from inspect_tui.model.work import Core, DrawingRevision, End, Feature, Item, Job, JobState, Tool, ToolFeature
from inspect_tui.record.chain.ids import uuid7
from inspect_tui.record.store import Record
from inspect_tui.shop.common import find, lineage, materials
from inspect_tui.shop.common.find import Subject
from inspect_tui.shop.common.lineage import Edition, corrections, unchanged
from inspect_tui.shop.common.sizes import Sizes, sizes
from inspect_tui.shop.jobs import jobfile
from inspect_tui.shop.jobs.file import add as job_add
from inspect_tui.shop.jobs.file import plan as job_plan
from inspect_tui.shop.pictures import balloons as numbers_on_pictures
from inspect_tui.shop.pictures import listing


@frozen_by_name
class JobLine:
    """One job of the list."""

    job: Job
    revision: DrawingRevision | None
    tools: int
    castings: int
    corrections: tuple[Edition, ...] = ()  # typing errors of the newest revision that were put right, newest first
    state: str = "open"  # waiting, closed; open again is open
    why: str | None = None


def overview(record: Record) -> list[JobLine]:
    """Every job with its newest revision and how many tools and castings it has; closed ones last."""
    lines = []
    states = record.job_states()
    for job in record.jobs():
        revisions = record.revisions(job.of_id)
        newest = revisions[-1] if revisions else None
        put_right = tuple(corrections(record, job, newest)) if newest else ()
        items = record.items(job.of_id)
        said = states.get(job.of_id)
        state = "open" if said is None or said.state == "reopened" else said.state
        why = said.why if said else None
        lines.append(
            JobLine(
                job=job,
                revision=newest,
                tools=len(record.tools(job.of_id)),
                castings=len(items),
                corrections=put_right,
                state=state,
                why=why,
            )
        )
    return sorted(lines, key=lambda line: line.state == "closed")


def example() -> str:
    """A commented job file."""
    return files("inspect_tui.shop.jobs").joinpath("job_example.toml").read_text("utf-8")


def plan_from_file(text: str, style: Style = MM, folder: Path | None = None) -> job_plan.JobPlan:
    """The plan that a job file describes; raises JobFileError. Pictures are looked for in `folder`."""
    return jobfile.read(text, style, folder)


def add_from_file(record: Record, text: str, by: Id | None = None) -> job_plan.JobPlan:
    """Read a job file and write the whole job in one go, or nothing."""
    plan = plan_from_file(text)
    job_add.add(record, plan, by)
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
    u, source = job_plan.PLAN_U, "stated by the shop"
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
            rows.append(job_plan.tool_feature(job, feature, tool))
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
                made = job_plan.tool_feature(job, feature, tool)
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
            rows.append(job_plan.tool_feature(job, feature, tool))
    record.add_all(rows, by=by)
    return feature


def revise(
    record: Record, job: Job, rev: str, changed: Sequence[Feature], why: str | None = None, by: Person | None = None
) -> DrawingRevision:
    """A new edition of the drawing with `changed` features (by balloon); what was judged before stays as it was.

    Every feature is carried into the new revision with `same_as_id` pointing back; a size that changed gets its sizes
    on the tools anew. Readings keep naming the old revision's features, and count on for those that did not change.
    """
    old = find.latest_revision(record, job)
    if not rev.strip():
        raise JobFileError(f"A new revision has a letter or number of its own; the newest is {old.rev}.")
    if rev.casefold() in {r.rev.casefold() for r in record.revisions(job.of_id)}:
        raise JobFileError(f"Revision {rev} is there already; the newest is {old.rev}.")
    new = replace(old, id=uuid7(), rev=rev, issued_on=None, corrects_id=None, why=_why(why))
    return _edition(record, job, old, new, changed, by)


def correct(
    record: Record, job: Job, changed: Sequence[Feature], why: str, by: Person | None = None
) -> DrawingRevision:
    """Typing errors of the newest edition put right: the same letter, with `changed` features (by balloon) and why.

    What was read stays a reading of its size and is judged by the size as it was put right; papers that were given out
    stay as they were given. Raises JobFileError without a reason, or where nothing is another than it was.
    """
    old = find.latest_revision(record, job)
    if not why.strip():
        raise JobFileError("Say what was typed wrong: it stands beside the drawing from now on.")
    there = {find.balloon_key(f.balloon): f for f in record.features(old.id)}
    if changed and all(
        (before := there.get(find.balloon_key(f.balloon))) is not None and unchanged(f, before) for f in changed
    ):
        raise JobFileError("Nothing is another than it was, so there is nothing to put right.")
    new = replace(old, id=uuid7(), corrects_id=old.id, why=_why(why))
    return _edition(record, job, old, new, changed, by)


def without(
    record: Record, job: Job, balloon: str, why: str, by: Person | None = None, also: Sequence[object] = ()
) -> DrawingRevision:
    """A feature that is not on the drawing after all: the same letter without it, written together with `also`."""
    old = find.latest_revision(record, job)
    new = replace(old, id=uuid7(), corrects_id=old.id, why=_why(why))
    return _edition(record, job, old, new, [], by, left_out=find.balloon_key(balloon), also=also)


def again(
    record: Record, job: Job, feature: Feature, why: str, by: Person | None = None, also: Sequence[object] = ()
) -> DrawingRevision:
    """A feature of an older edition on the drawing again: the same letter with it, written together with `also`."""
    old = find.latest_revision(record, job)
    there = record.features(old.id)
    if any(find.balloon_key(f.balloon) == find.balloon_key(feature.balloon) for f in there):
        raise JobFileError(f"{feature.balloon} is on the drawing already.")
    new = replace(old, id=uuid7(), corrects_id=old.id, why=_why(why))
    ends = tuple(replace(end, id=uuid7(), feature_id=b"") for end in feature.ends)
    ordinal = max((f.ord for f in there), default=0) + 1
    back = replace(feature, id=uuid7(), revision_id=new.id, same_as_id=feature.id, ends=ends, ord=ordinal)
    rows: list[object] = [back]
    for tool in record.tools(job.of_id):
        before = next((on for on in record.tool_features(tool.of_id) if on.feature_id == feature.id), None)
        if before is not None:
            rows.append(_carried(before, back))
        elif back.ends and chain.measurable_on(back, tool):
            rows.append(job_plan.tool_feature(job, back, tool))
    return _edition(record, job, old, new, [], by, also=[*rows, *also])


def renamed(record: Record, job: Job, balloon: str, to: str, why: str, by: Person | None = None) -> DrawingRevision:
    """A wrong balloon put right: the same letter, the feature and what was read of it stay under the new one."""
    old = find.latest_revision(record, job)
    there = record.features(old.id)
    key = find.balloon_key(balloon)
    to = to.strip()
    if not to or len(to) > 20:
        raise JobFileError("A balloon has 1 to 20 letters and digits, such as F12.")
    if any(find.balloon_key(f.balloon) == find.balloon_key(to) for f in there if find.balloon_key(f.balloon) != key):
        raise JobFileError(f"{to} is on the drawing already: give that one another balloon first.")
    new = replace(old, id=uuid7(), corrects_id=old.id, why=_why(why))
    feature = find.feature(there, balloon, old.rev)
    pictures = [
        replace(use, id=record.new_id(), replaces_id=use.id, balloons=told)
        for use in (shown.use for shown in listing.of_job(record, job))
        if (told := numbers_on_pictures.renamed(use.balloons, balloon, to)) != use.balloons
    ]
    return _edition(record, job, old, new, [feature], by, balloons={key: to}, also=pictures)


def _why(why: str | None) -> str | None:
    return (why or "").strip()[:400] or None


def was_read(record: Record, job: Job, feature: Feature) -> bool:
    """Whether a feature was read in any edition of the drawing, or a paper of the job was given out."""
    if find.latest_revision(record, job).issued_on or record.report_snapshots(job.of_id):
        return True
    return record.anything_read([feature.id, *record.feature_lineage(feature.id)])


def change(
    record: Record, job: Job, feature: Feature, before: Feature, rev: str, why: str, by: Person | None = None
) -> DrawingRevision | None:
    """A feature changed in a form: in a new revision `rev` of the drawing, or a typing error put right because `why`.

    None where nothing is another than it was: then nothing is written. Before anything was read or given out no
    reason is asked for. Raises JobFileError where it has to be said which of the two it is.
    """
    if unchanged(feature, before):
        return None
    if rev.strip():
        return revise(record, job, rev.strip(), [feature], why, by)
    if not why.strip():
        if was_read(record, job, before):
            raise JobFileError(
                f"{before.balloon} was read or given out already. Did the drawing change? Then give the new revision, "
                f"such as {next_rev(find.latest_revision(record, job).rev)}. Was it typed wrong? Then say why."
            )
        why = "put right before it was read"
    return correct(record, job, [feature], why, by)


def _edition(
    record: Record,
    job: Job,
    old: DrawingRevision,
    new: DrawingRevision,
    changed: Sequence[Feature],
    by: Person | None,
    *,
    left_out: str = "",
    balloons: Mapping[str, str] | None = None,
    also: Sequence[object] = (),
) -> DrawingRevision:
    """Write an edition that carries every feature of the one before over, and the sizes on the tools with it.

    But for the one with the balloon `left_out`; `balloons` are new ones by old (both by `find.balloon_key`), and `also`
    is written with it.
    """
    by_balloon = {find.balloon_key(f.balloon): f for f in changed}
    renewed: dict[Id, Feature] = {}
    kept: set[Id] = set()  # rows that ask for the same on every tool
    other_limits: set[Id] = set()  # rows of the same size: the tools stay laid out as they are
    drawn_before: dict[Id, Feature] = {}
    for feature in record.features(old.id):
        key = find.balloon_key(feature.balloon)
        if key == left_out:
            continue
        drawn_before[feature.id] = feature
        source = by_balloon.pop(key, feature)
        source = replace(source, balloon=(balloons or {}).get(key, source.balloon))
        ends = tuple(replace(end, id=uuid7(), feature_id=b"") for end in source.ends)
        renewed[feature.id] = replace(
            source, id=uuid7(), revision_id=new.id, same_as_id=feature.id, ends=ends, ord=feature.ord
        )
        if lineage.same_size(source, feature):
            kept.add(feature.id)
        elif lineage.same_size(source, feature, limits=False):
            other_limits.add(feature.id)
    if by_balloon:
        raise JobFileError(f"{next(iter(by_balloon.values())).balloon} is not on revision {old.rev}.")
    rows: list[object] = [new, *renewed.values()]
    for tool in record.tools(job.of_id):
        on_tool = record.tool_features(tool.of_id)
        for before in on_tool:
            now = renewed.get(before.feature_id)
            if now is None:
                continue
            if before.feature_id in kept:
                rows.append(_carried(before, now))
            elif before.feature_id in other_limits:
                share = ToolFeature(tool_id=before.tool_id, feature_id=now.id, sense=before.sense)
                rows.append(replace(_carried(before, now), lower=None, upper=None, band_source=share.band_source))
            elif now.ends and chain.measurable_on(now, tool):
                rows.append(_renewed_tool_feature(job, now, tool, before))
        there = {before.feature_id for before in on_tool}
        for row_id, feature in renewed.items():
            if row_id in kept or row_id in there or not feature.ends or not chain.measurable_on(feature, tool):
                continue
            was = drawn_before[row_id]
            if was.ends and chain.measurable_on(was, tool):
                continue  # it could have been measured there before, and was not laid out there on purpose
            rows.append(job_plan.tool_feature(job, feature, tool))
    record.add_all([*rows, *also], by=by.id if by else None)
    return new


def _carried(before: ToolFeature, feature: Feature) -> ToolFeature:
    """A size on a tool as it was, under its feature in the new edition."""
    steps = tuple(replace(step, id=b"", tool_feature_id=b"") for step in before.steps)
    return replace(before, id=uuid7(), feature_id=feature.id, replaces_id=before.id, steps=steps)


def _renewed_tool_feature(job: Job, feature: Feature, tool: Tool, before: ToolFeature) -> ToolFeature:
    """The tool's size from the new drawing; what was corrected after castings stays corrected."""
    made = job_plan.tool_feature(job, feature, tool)
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
