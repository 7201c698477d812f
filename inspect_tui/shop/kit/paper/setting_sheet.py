"""The sheet that a stranger sets the cores of a job by, from the record: one step a core, in setting order.

Sizes of fits and checks are mm in the mould (tooling scale: sand does not contract); weights kg, lifts kgf. A field
that is None is not known.
"""

from __future__ import annotations

from inspect_tui.frozen import frozen, frozen_by_name, replace
from inspect_tui.metrology.kit import buoyancy
from inspect_tui.metrology.kit.fits import FitState
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.kit import Fit
from inspect_tui.model.words import Id
from inspect_tui.model.work import Core, Job
from inspect_tui.record.store import Record
from inspect_tui.shop.kit import check as kit
from inspect_tui.shop.kit.check import KitCheck
from inspect_tui.shop.kit.paper.papers import CAUTIONS, SheetPhoto, gentle, photos_of
from inspect_tui.shop.kit.sketch.scene import Scene, scene

SHOP, FOUNDRY = "shop", "foundry"
SHOPS_OWN = ("size", "rule", "missing")  # findings about the shop's tools: nothing that a setter could look at


@frozen_by_name
class SheetFit:
    """One print or key of the core and the seat that takes it. `clearance_mm` is as measured, else as drawn."""

    name: str  # K6-3
    kind: str  # print, key
    into: str  # core 1, drag, cope
    mark: str | None  # paint or number on both
    count: int
    axis: str
    clearance_mm: float
    clear_min_mm: float
    clear_max_mm: float
    measured: bool
    state: FitState | None  # None on the foundry's copy
    sentence: str  # "key K5 into core 3: do not force, 0.30 mm clearance (0.20 to 0.50)"
    gentle: str = ""  # the same as the foundry reads it: how it is to feel instead of what it should be


@frozen
class SheetCheck:
    """What the setter can prove: go and no-go sizes in the mould, with the template that carries them."""

    what: str
    template: str | None
    lower_mm: float | None  # no-go below
    upper_mm: float | None  # no-go above
    sentence: str


@frozen_by_name
class SheetStep:
    """One core going in."""

    step: int  # 1, 2, 3 ...
    number: int  # of the core
    name: str
    only_locates: bool
    box: str | None
    stick: str | None
    fits: tuple[SheetFit, ...]
    check: SheetCheck | None
    chaplets: int | None
    chaplet_note: str | None
    vents: str | None
    weight_kg: float | None  # of the sand core
    lift_kgf: float | None  # net push of the liquid metal, its own weight taken off
    lift_sentence: str | None
    lift_words: str | None  # how much alone: 9.7 kgf
    lift_points: str | None
    caution: str | None
    photos: tuple[SheetPhoto, ...]
    remarks: tuple[str, ...]


@frozen_by_name
class SettingSheet:
    """The sheet that a stranger sets the cores by, one step a core; `edition`: the shop's copy or the foundry's."""

    job: str
    name: str
    customer_ref: str | None
    drawing: str | None
    rev: str | None
    alloy: str | None
    order_sentence: str
    steps: tuple[SheetStep, ...]
    colour_key: tuple[tuple[str, str], ...]  # mark, what carries it; printed on the sheet, never assumed
    photos: tuple[SheetPhoto, ...]  # of the whole job
    not_proven: tuple[str, ...]  # what stands against setting by this sheet as it is; empty: nothing known
    cautions: tuple[str, ...]
    heads: tuple[str, ...]  # ends of the record's chains, for the foot of the paper
    scene: Scene | None = None  # the mould, to be drawn
    edition: str = SHOP
    proven: str = ""  # which cores were proven together in a trial, or that they were not


def setting_sheet(record: Record, job: Job, checked: KitCheck | None = None, style: Style = MM) -> SettingSheet:
    """The setting sheet of a job as its kit stands; `checked` saves a second kit check, and writes in its own style."""
    check = checked or kit.check(record, job, style=style)
    facts = check.facts
    photos = photos_of(record, [job.of_id, *(c.of_id for c in facts.cores), *(f.of_id for f in facts.fits)])
    steps = []
    place = {str(core.number): core for core in facts.cores}
    for at, number in enumerate(check.sequence, start=1):
        steps.append(_step(check, at, place[number], photos))
    marks = {f.mark: _carries(check, f.mark) for f in facts.fits if f.mark}
    revision = facts.revision
    return SettingSheet(
        job=job.number,
        name=job.name,
        customer_ref=job.customer_ref,
        drawing=revision.number if revision else None,
        rev=facts.rev,
        alloy=job.alloy,
        order_sentence=check.order_sentence,
        steps=tuple(steps),
        colour_key=tuple((mark, text) for mark, text in marks.items()),
        photos=photos.get(job.of_id, ()),
        not_proven=tuple(trouble.sentence for trouble in check.found if trouble.kind not in SHOPS_OWN),
        cautions=CAUTIONS,
        heads=tuple(record.heads()),
        scene=scene(facts, check.sequence),
        proven=check.proven_sentence,
    )


def for_foundry(sheet: SettingSheet) -> SettingSheet:
    """The copy that goes out: what is to be done, and nothing of what the shop doubts or still has to prove."""

    def step(one: SheetStep) -> SheetStep:
        fits = tuple(replace(fit, state=None, sentence=fit.gentle) for fit in one.fits)
        lift = f"about {one.lift_words} once the metal is in" if one.lift_words else None
        return replace(one, fits=fits, remarks=(), lift_sentence=lift)

    return replace(sheet, edition=FOUNDRY, not_proven=(), steps=tuple(step(one) for one in sheet.steps))


def _carries(check: KitCheck, mark: str) -> str:
    return ", ".join(
        f"{f.name} ({check.part(f, 'inner')} into {check.part(f, 'outer')})" for f in check.facts.fits if f.mark == mark
    )


def _step(check: KitCheck, at: int, core: Core, photos: dict[Id, tuple[SheetPhoto, ...]]) -> SheetStep:
    facts = check.facts
    detail = facts.details.get(core.of_id)
    mine = [f for f in facts.fits if f.inner_core_id and facts.core_of.get(f.inner_core_id) == core.of_id]
    box, stick = facts.box(core.of_id), facts.stick(core.of_id)
    held = check.held.get(str(core.number))
    shown = photos.get(core.of_id, ()) + tuple(p for f in mine for p in photos.get(f.of_id, ()))
    remarks = [trouble.sentence for trouble in check.remarks_of(str(core.number))]
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
        lift_words=f"{check.style.figure(held.up / buoyancy.G, 1)} kgf" if held and held.up > 0 else None,
        lift_points=detail.lift_points if detail else None,
        caution=detail.caution if detail else None,
        photos=shown,
        remarks=tuple(remarks),
    )


def _fit(check: KitCheck, fit: Fit) -> SheetFit:
    style, verdict = check.style, check.verdict_of(fit)
    into = check.part(fit, "outer")
    clear = verdict.clearance.value
    count = f"{fit.count} × " if fit.count > 1 else ""
    mark = f", marked {fit.mark}" if fit.mark else ""
    head = f"{count}{fit.kind} {fit.name} into {into}{mark}"
    band = style.pair(fit.clear_min_mm, fit.clear_max_mm, unit=False)
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
        sentence=f"{head}: do not force, {style.length(clear)} clearance ({band})",
        gentle=f"{head}: do not force; {gentle(clear)}",
    )


def _check(check: KitCheck, core: Core) -> SheetCheck | None:
    proof = check.mould_check(core)
    if proof is None:
        return None
    what, template, lower, upper = proof
    sentence = f"check {what}" + (f" with template {template}" if template else "")
    if lower is not None or upper is not None:
        sentence += f": goes at {check.style.reach(lower, upper, 1)}"
    return SheetCheck(what, template, lower, upper, sentence)
