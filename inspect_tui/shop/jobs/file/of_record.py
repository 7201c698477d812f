"""What the record holds of a job, as the plan that a file of it would describe."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from inspect_tui.errors import NotFound
from inspect_tui.frozen import fields, replace
from inspect_tui.metrology.typed import show
from inspect_tui.model.kit import CoreDetail, Fit
from inspect_tui.model.words import Id
from inspect_tui.model.work import Core, Feature, Item, Job, Lot, Tool
from inspect_tui.record import kinds
from inspect_tui.record.attachments import stored_at
from inspect_tui.record.read import Reader
from inspect_tui.shop.common import parting
from inspect_tui.shop.jobs.file.plan import JobPlan, PictureOf

OWNERS = (kinds.JOB, kinds.CORE, kinds.TOOL, kinds.FIT, kinds.FEATURE)  # what a job file can show pictures of


def plan_of(record: Reader, job: Job) -> JobPlan:
    """The job as it stands: its newest drawing, what is in use, everybody who measures and every gauge.

    What is withdrawn is left out. Ends name the cores as they are now; the order of setting stands with the core.
    """
    of = job.of_id
    gone = record.withdrawn()
    cores = [core for core in record.cores(of) if core.of_id not in gone]
    now = {core.of_id: core for core in cores}
    versions = record.core_versions(of)
    details = record.core_details(of)
    cores = [_ordered(core, details.get(core.of_id)) for core in cores]
    revisions = record.revisions(of)
    if not revisions:
        raise NotFound(f"Job {job.number} has no drawing yet: add features first.")
    revision = revisions[-1]
    tools = [tool for tool in record.tools(of) if tool.of_id not in gone]
    tool_versions, tool_now = record.tool_versions(of), {tool.of_id: tool.id for tool in tools}
    current = {versions[core]: now[versions[core]].id for core in versions if versions[core] in now}
    features = [_with_cores(f, versions, current) for f in record.features(revision.id)]
    by_id = {f.id: f for f in features}
    newest = _newest(record.job_features(of), by_id)
    tool_features = [
        replace(on, tool_id=tool_now[tool_versions[on.tool_id]])
        for tool in tools
        for on in record.tool_features(tool.of_id)
        if on.feature_id in by_id and on.of_id not in gone
    ]
    tools = [
        replace(
            tool,
            core_id=current.get(versions.get(tool.core_id or b"", b""), tool.core_id),
            made_from_id=tool_now.get(tool_versions.get(tool.made_from_id or b"", b""), tool.made_from_id),
        )
        for tool in tools
    ]
    fits = [_renamed(fit, newest) for fit in record.fits(of) if fit.of_id not in gone]
    fit_of = {version: fit.id for fit in fits for version in record.fit_versions(fit.of_id)}
    passages = [passage for passage in record.passages(of) if passage.of_id not in gone]
    points = record.passage_points(passage.id for passage in passages)
    gauges = [gauge for gauge in record.instruments() if gauge.of_id not in gone]
    lots = [lot for lot in record.lots(of) if lot.id not in gone]
    return JobPlan(
        job=job,
        revision=revision,
        cores=tuple(cores),
        tools=tuple(tools),
        features=tuple(features),
        tool_features=tuple(tool_features),
        targets=tuple(target for target in record.datum_targets(of) if target.holds),
        geometries=tuple(record.geometries(of)),
        people=tuple(person for person in record.people() if person.of_id not in gone),
        gauges=tuple(gauges),
        certificates=tuple(said for gauge in gauges for said in record.calibrations(gauge.of_id)),
        core_details=tuple(
            _renamed(said, newest)
            for core in cores
            if (said := details.get(core.of_id)) and says_something(replace(said, set_order=None))
        ),
        bodies=tuple(body for boxes in record.core_bodies(of).values() for body in boxes),
        tool_details=tuple(said for tool_of, said in record.tool_details(of).items() if tool_of not in gone),
        outline=record.mould_outline(of),
        parting=parting.of_job(record, job),
        fits=tuple(fits),
        loops=tuple(
            (_renamed(stack, newest), tuple(_at_fit(_renamed(member, newest), fit_of) for member in members))
            for stack, members in record.stacks(of)
            if stack.of_id not in gone
        ),
        passages=tuple((passage, points.get(passage.id, ())) for passage in passages),
        lots=tuple(lots),
        castings=tuple(item for item in record.items(of) if _of_a_lot(item, lots) and item.id not in gone),
        pictures=tuple(_pictures(record, job, cores, tools, fits, features)),
    )


def _newest(every: list[Feature], now: dict[Id, Feature]) -> dict[Id, Id]:
    """Each edition of a feature -> the one of the newest drawing."""
    before = {feature.id: feature.same_as_id for feature in every}
    newest: dict[Id, Id] = {}
    for row_id in now:
        at: Id | None = row_id
        while at is not None and at not in newest:
            newest[at] = row_id
            at = before.get(at)
    return newest


def _renamed(thing: Any, newest: dict[Id, Id]) -> Any:
    """A thing that names features by those of the newest drawing."""
    names = [name for name in fields(thing) if name.endswith("feature_id")]
    changes = {name: newest.get(getattr(thing, name) or b"", getattr(thing, name)) for name in names}
    return replace(thing, **changes) if any(getattr(thing, name) != changes[name] for name in names) else thing


def _at_fit(member: Any, fit_of: dict[Id, Id]) -> Any:
    """A part of a loop that names its fit by the version that holds now."""
    return replace(member, fit_id=fit_of.get(member.fit_id, member.fit_id)) if member.fit_id else member


def says_something(detail: CoreDetail) -> bool:
    """Whether anything of a core's detail is said."""
    plain = CoreDetail(id=detail.id, of_id=detail.of_id, replaces_id=detail.replaces_id, core_of_id=detail.core_of_id)
    return detail != plain


def _ordered(core: Core, detail: CoreDetail | None) -> Core:
    """A core with the place in the order of setting that holds now."""
    return core if detail is None or detail.set_order is None else replace(core, set_order=detail.set_order)


def _with_cores(feature: Feature, versions: dict[Id, Id], current: dict[Id, Id]) -> Feature:
    """A feature whose ends name the current versions of their cores, where these are still there."""
    ends = tuple(
        replace(end, core_id=current.get(versions[end.core_id], end.core_id)) if end.core_id in versions else end
        for end in feature.ends
    )
    return feature if ends == feature.ends else replace(feature, ends=ends)


def _of_a_lot(item: Item, lots: Sequence[Lot]) -> bool:
    return item.kind == "casting" and item.lot_id in {lot.id for lot in lots}


def stays(record: Reader, job: Job) -> list[str]:
    """What was done with a job and is in no job file: readings, trials in the mould, shipments, decisions, answers.

    A job file says what a job is, so that it can be begun elsewhere, or as another; events go with a bundle, which
    keeps who wrote them and when.
    """
    features = [feature.id for feature in record.job_features(job.of_id)]
    counted = (
        (len(record.provings(job.of_id)), "trial in the mould", "trials in the mould"),
        (len(record.shipments(job.of_id)), "shipment", None),
        (len(record.setting_answers(job.of_id)), "answer of the foundry", "answers of the foundry"),
        (len(record.geometry_checks(job.of_id)), "look at a geometrical tolerance", "looks at geometrical tolerances"),
        (
            len(record.dispositions(job.of_id)),
            "decision about a non-conformity",
            "decisions about non-conformities",
        ),
    )
    return [
        *(["readings"] if record.anything_read(features) else []),
        *(show.count(n, one, many) for n, one, many in counted if n),
    ]


def _pictures(
    record: Reader, job: Job, cores: list[Core], tools: list[Tool], fits: list[Fit], features: list[Feature]
) -> list[PictureOf]:
    on: dict[Id, str] = {job.of_id: "job"}
    on |= {core.of_id: f"core {core.number}" for core in cores}
    on |= {tool.of_id: tool.label for tool in tools}
    on |= {fit.of_id: fit.name for fit in fits}
    on |= {feature.id: feature.balloon for feature in features}
    numbers = {kind.number for kind in OWNERS}
    return [
        PictureOf(
            path=stored_at(record.path, shown.attachment.sha256),
            shown_name=shown.attachment.shown_name,
            about_kind=shown.use.about_kind,
            about_id=about_id,
            on=on[about_id],
            caption=shown.use.caption,
            balloons=shown.use.balloons,
        )
        for about_id, pictures in record.pictures(on).items()
        for shown in pictures
        if shown.use.about_kind in numbers
    ]
