"""The papers for the foundry from the record: setting sheet, kit list, labels, come-back sheet."""

from __future__ import annotations

from inspect_tui.metrology.kit import buoyancy
from inspect_tui.model.kit import Fit
from inspect_tui.model.words import Id
from inspect_tui.model.work import Core, Job, Tool
from inspect_tui.record import kinds
from inspect_tui.record.ask.kit import Picture
from inspect_tui.record.chain.ids import uuid_text
from inspect_tui.record.file.attachments import stored_at
from inspect_tui.record.store import Record
from inspect_tui.shop.common.sizes import KIND_WORDS
from inspect_tui.shop.kit import check as kit
from inspect_tui.shop.kit.check import KitCheck
from inspect_tui.shop.kit.papers_said import (
    ComeBack,
    ComeBackRow,
    KitLine,
    KitList,
    LabelData,
    SettingSheet,
    SheetCheck,
    SheetFit,
    SheetPhoto,
    SheetStep,
)

CAUTIONS = (
    "Silica dust from sand, cores and knocking out damages lungs: keep it down and out; follow local rules.",
    "Resins and binders (isocyanates, epoxies) sensitise: follow the safety data sheets.",
    "Cores, boxes and castings are heavy and badly balanced: lift by the points shown, mind the weights.",
    buoyancy.CAUTION,
    "A dimensional verdict is not a pressure test, a material test or a non-destructive examination.",
)


def setting_sheet(record: Record, job: Job, checked: KitCheck | None = None) -> SettingSheet:
    """The setting sheet of a job as its kit stands; `checked` saves a second kit check."""
    check = checked or kit.check(record, job)
    data = check.data
    photos = _photos(record, [job.of_id, *(c.of_id for c in data.cores), *(f.of_id for f in data.fits)])
    steps = []
    place = {str(core.number): core for core in data.cores}
    for at, number in enumerate(check.sequence, start=1):
        steps.append(_step(check, at, place[number], photos))
    marks = {f.mark: _carries(check, f.mark) for f in data.fits if f.mark}
    revision = data.revision
    return SettingSheet(
        job=job.number,
        name=job.name,
        customer_ref=job.customer_ref,
        drawing=revision.number if revision else None,
        rev=revision.rev if revision else None,
        alloy=job.alloy,
        order_sentence=check.order_sentence,
        steps=tuple(steps),
        colour_key=tuple((mark, text) for mark, text in marks.items()),
        photos=photos.get(job.of_id, ()),
        not_proven=check.against,
        cautions=CAUTIONS,
        heads=tuple(record.heads()),
    )


def _carries(check: KitCheck, mark: str) -> str:
    return ", ".join(
        f"{f.name} ({check.part(f, 'inner')} into {check.part(f, 'outer')})" for f in check.data.fits if f.mark == mark
    )


def _step(check: KitCheck, at: int, core: Core, photos: dict[Id, tuple[SheetPhoto, ...]]) -> SheetStep:
    data = check.data
    detail = data.details.get(core.of_id)
    mine = [f for f in data.fits if f.inner_core_id and data.core_of.get(f.inner_core_id) == core.of_id]
    box, stick = data.box(core.of_id), data.stick(core.of_id)
    held = check.held.get(str(core.number))
    shown = photos.get(core.of_id, ()) + tuple(p for f in mine for p in photos.get(f.of_id, ()))
    remarks = [one.sentence for one in check.remarks_of(str(core.number))]
    if core.number and not core.makes_surface:
        remarks.insert(0, "only locates other cores: it makes no surface of the casting")
    weight = buoyancy.CORE_SAND / 1000.0 * core.volume_dm3 if core.volume_dm3 else None
    return SheetStep(
        step=at,
        number=core.number,
        name=core.name,
        only_locates=not core.makes_surface,
        box=box.label if box else None,
        stick=stick.label if stick else None,
        fits=tuple(_fit(check, f) for f in mine),
        check=_check(check, core),
        chaplets=detail.chaplets if detail else None,
        chaplet_note=detail.chaplet_note if detail else None,
        vents=detail.vents if detail else None,
        weight_kg=weight,
        lift_kgf=held.lift.kgf if held else None,
        lift_sentence=held.sentence if held else None,
        lift_points=detail.lift_points if detail else None,
        caution=detail.caution if detail else None,
        photos=shown,
        remarks=tuple(remarks),
    )


def _fit(check: KitCheck, fit: Fit) -> SheetFit:
    verdict = check.verdict_of(fit)
    into = check.part(fit, "outer")
    clear = verdict.clearance.value
    count = f"{fit.count} × " if fit.count > 1 else ""
    mark = f", marked {fit.mark}" if fit.mark else ""
    text = (
        f"{count}{fit.kind} {fit.name} into {into}{mark}: do not force, {clear:.2f} mm clearance "
        f"({fit.clear_min_mm:.2f} to {fit.clear_max_mm:.2f})"
    )
    return SheetFit(
        name=fit.name,
        kind=fit.kind,
        into=into,
        mark=fit.mark,
        count=fit.count,
        axis=fit.axis,
        clearance_mm=clear,
        clear_min_mm=fit.clear_min_mm,
        clear_max_mm=fit.clear_max_mm,
        measured=verdict.measured != "none",
        state=verdict.state,
        sentence=text,
    )


def _check(check: KitCheck, core: Core) -> SheetCheck | None:
    found = check.mould_check(core)
    if found is None:
        return None
    what, template, lower, upper = found
    sentence = f"check {what}" + (f" with template {template}" if template else "")
    if lower is not None or upper is not None:
        limits = " to ".join("any" if x is None else f"{x:.1f}" for x in (lower, upper))
        sentence += f": goes at {limits} mm"
    return SheetCheck(what, template, lower, upper, sentence)


def kit_list(record: Record, job: Job, checked: KitCheck | None = None) -> KitList:
    """Everything of the kit with counts of loose pieces, weights and marks; and where it is."""
    check = checked or kit.check(record, job)
    data = check.data
    photos = _photos(record, [t.of_id for t in data.tools])
    lines = tuple(_line(check, tool, photos) for tool in _travels(check))
    said = [line.weight_kg for line in lines if line.weight_kg is not None]
    revision = data.revision
    return KitList(
        job=job.number,
        name=job.name,
        customer_ref=job.customer_ref,
        drawing=revision.number if revision else None,
        rev=revision.rev if revision else None,
        lines=lines,
        loose_pieces=sum(line.loose_pieces or 0 for line in lines),
        weight_kg=sum(said) if said else None,
        not_weighed=tuple(line.label for line in lines if line.weight_kg is None),
        not_counted=tuple(line.label for line in lines if line.loose_pieces is None and line.kind == "box"),
        cautions=CAUTIONS,
        heads=tuple(record.heads()),
    )


def _travels(check: KitCheck) -> list[Tool]:
    """What goes to a foundry: patterns, boxes, loose pieces, templates; sticks and masters stay at the shop."""
    stay = ("core_stick", "master", "other")
    order = ("pattern_drag", "pattern_cope", "production_pattern", "core_box", "loose_piece", "gauge_template")
    reference = [t for t in check.data.tools if t.kind == "gauge_template" and t.of_id in check.data.listed]
    going = [t for t in check.data.tools if t.kind not in stay and t not in reference]
    number = {t.of_id: int(check.data.number(t.core_id)) if t.core_id else 0 for t in going}
    return sorted(going, key=lambda t: (order.index(t.kind) if t.kind in order else 9, number[t.of_id], t.label))


def _line(check: KitCheck, tool: Tool, photos: dict[Id, tuple[SheetPhoto, ...]]) -> KitLine:
    data = check.data
    detail = data.tool_details.get(tool.of_id)
    core = data.core.get(data.core_of.get(tool.core_id, b"")) if tool.core_id else None
    return KitLine(
        kind=KIND_WORDS.get(tool.kind, "tool"),
        label=tool.label,
        core=core.number if core else None,
        core_name=core.name if core else None,
        count=1,
        loose_pieces=detail.loose_pieces if detail else None,
        dowels=detail.dowels if detail else None,
        weight_kg=detail.weight_kg if detail else None,
        mark=detail.mark if detail else None,
        material=tool.material,
        owner=detail.owner if detail else None,
        lift_points=detail.lift_points if detail else None,
        note=detail.note if detail else None,
        where=check.where(tool),
        photos=photos.get(tool.of_id, ()),
    )


def labels(record: Record, job: Job, checked: KitCheck | None = None) -> tuple[LabelData, ...]:
    """A label for every tool that travels and every stick and master that stays."""
    check = checked or kit.check(record, job)
    data, rev = check.data, check.data.revision
    found = []
    travels = _travels(check)
    stays = [t for t in data.tools if t.kind in ("core_stick", "master")]
    for tool in (*travels, *stays):
        line = _line(check, tool, {})
        found.append(
            LabelData(
                job=job.number,
                name=job.name,
                label=tool.label,
                kind=line.kind,
                core=line.core,
                core_name=line.core_name,
                mark=line.mark,
                loose_pieces=line.loose_pieces,
                weight_kg=line.weight_kg,
                owner=line.owner,
                rev=rev.rev if rev else None,
                code=f"{job.number} | {tool.label} | {uuid_text(tool.of_id)}",
            )
        )
    return tuple(found)


def come_back(record: Record, job: Job, checked: KitCheck | None = None) -> ComeBack:
    """Core sizes, checks in the mould and remarks for the foundry to fill in, in setting order."""
    check = checked or kit.check(record, job)
    data = check.data
    rows: list[ComeBackRow] = []
    place = {str(core.number): core for core in data.cores}
    for at, number in enumerate(check.sequence, start=1):
        core = place[number]
        box = data.box(core.of_id)
        for root in data.listed.get(box.of_id, ()) if box else ():
            feature = data.feature[root]
            one = data.sizes_on(box, root) if box else None
            if one is None or feature.quantity in ("angle", "attribute", "temperature", "radius"):
                continue
            rows.append(
                ComeBackRow(
                    kind="core size",
                    step=at,
                    core=core.number,
                    core_name=core.name,
                    what=feature.name,
                    balloon=feature.balloon,
                    wanted_mm=one.target,
                    lower_mm=one.band.lower,
                    upper_mm=one.band.upper,
                )
            )
        proof = check.mould_check(core)
        if proof:
            what, template, lower, upper = proof
            words = f"{what} ({template})" if template else what
            rows.append(
                ComeBackRow(
                    kind="check",
                    step=at,
                    core=core.number,
                    core_name=core.name,
                    what=words,
                    balloon=None,
                    wanted_mm=None,
                    lower_mm=lower,
                    upper_mm=upper,
                )
            )
        words = "rubbed, forced, broken?"
        rows.append(
            ComeBackRow(
                kind="remark",
                step=at,
                core=core.number,
                core_name=core.name,
                what=words,
                balloon=None,
                wanted_mm=None,
                lower_mm=None,
                upper_mm=None,
            )
        )
    revision = data.revision
    return ComeBack(
        job=job.number,
        name=job.name,
        drawing=revision.number if revision else None,
        rev=revision.rev if revision else None,
        rows=tuple(rows),
    )


def _photos(record: Record, about: list[Id]) -> dict[Id, tuple[SheetPhoto, ...]]:
    return {
        thing: tuple(_photo(record, picture) for picture in pictures)
        for thing, pictures in record.pictures(about).items()
    }


def _photo(record: Record, picture: Picture) -> SheetPhoto:
    one = picture.attachment
    path = stored_at(record.path, one.sha256)
    return SheetPhoto(
        sha256=one.sha256,
        media=one.media,
        path=path if path.is_file() else None,
        width_px=one.width_px,
        height_px=one.height_px,
        caption=picture.use.caption or one.shown_name,
        shown_name=one.shown_name,
    )


CORE_KIND = kinds.CORE.number  # what `about_kind` of a picture of a core is
