"""What a stranger with a telephone needs to set the cores: one core a step, where it goes, how, and what comes later.

It holds nothing of the shop's own doubts. Sizes are mm in the mould (tooling scale), places casting mm as drawn; a
field that is None is not known.
"""

from __future__ import annotations

from inspect_tui.frozen import frozen, frozen_by_name
from inspect_tui.metrology.kit import buoyancy
from inspect_tui.metrology.kit.bodies import AXES, Box
from inspect_tui.metrology.sizes.place import Place, place
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.kit import CoreDetail, Fit
from inspect_tui.model.work import Core, Job
from inspect_tui.record.store import Record
from inspect_tui.shop.kit import check as kit
from inspect_tui.shop.kit.check import KitCheck
from inspect_tui.shop.kit.facts import KitFacts
from inspect_tui.shop.kit.paper.come_back import ComeBack, come_back
from inspect_tui.shop.kit.paper.papers import CAUTIONS, SheetPhoto, gentle
from inspect_tui.shop.kit.paper.setting_sheet import SettingSheet, SheetStep, setting_sheet
from inspect_tui.shop.kit.sketch.scene import Scene
from inspect_tui.shop.kit.together import alike as kit_alike


@frozen_by_name
class GuideKey:
    """One print or key of the core and where it goes; `gentle` is how it is to feel, a phrase of the guide."""

    name: str
    kind: str  # print, key, joint
    into: str  # core 4, drag, cope
    mark: str | None
    count: int
    gentle: str
    clearance_mm: float
    way: str  # z-: the direction in which it goes into its seat
    at: tuple[float | None, float | None, float | None]


@frozen_by_name
class GuideSize:
    """A size of the sand core that may be read at the foundry."""

    balloon: str
    name: str
    lower_mm: float | None
    upper_mm: float | None


@frozen_by_name
class GuideEnd:
    """What an end of the core is called and toward where it lies: `x low` is the low end along x."""

    name: str
    toward: str


@frozen_by_name
class GuideStep:
    """One core going in. `way`: the direction it moves in; `later`: the cores that come into it afterwards.

    `gauge`: where the size of the check is taken, and so where its gauge is put. `turned`: its prints let it in turned,
    too. `lift_kgf`: the push once the metal is in, its own weight taken off, and `held_by` what takes it.
    """

    step: int
    number: int
    name: str
    only_locates: bool
    way: str | None
    keys: tuple[GuideKey, ...]
    rests_in: tuple[str, ...]
    later: tuple[str, ...]
    ends: tuple[GuideEnd, ...]
    boxes: tuple[Box, ...]  # where it stands, as far as that is known
    check: str | None
    template: str | None
    lower_mm: float | None
    upper_mm: float | None
    gauge: Place | None
    sizes: tuple[GuideSize, ...]
    alike: tuple[str, ...]  # numbers of cores that it could be taken for
    turned: bool
    weight_kg: float | None
    lift_kgf: float | None
    held_by: tuple[str, ...]  # core 5, the cope, 2 chaplets, a print by its name
    lift_points: str | None
    chaplets: str | None
    vents: str | None
    caution: str | None
    photos: tuple[SheetPhoto, ...]


@frozen
class GuideAlike:
    """Two cores that are taken for each other, and the marks by which they are told apart, by number of the core.

    Twice the same: its prints let it in turned, too.
    """

    core: str
    other: str
    apart: tuple[tuple[str, str], ...]


@frozen_by_name
class Guide:
    """The whole guide; `edition` is the mark that the answer file carries back, `ask` whom to ask.

    `not_proven` says of how many things the shop has to see to it first; none of them is the foundry's to read.
    """

    job: str
    name: str
    rev: str | None
    edition: str
    unit: str
    steps: tuple[GuideStep, ...]
    alike: tuple[GuideAlike, ...]
    colours: tuple[tuple[str, str], ...]
    photos: tuple[SheetPhoto, ...]
    cautions: tuple[str, ...]
    ask: str
    scene: Scene | None
    heads: tuple[str, ...]
    not_proven: int = 0


def guide(record: Record, job: Job, *, ask: str = "", style: Style = MM) -> Guide:
    """The guide of a job as its kit stands. `ask`: whom to ask, as one line."""
    check = kit.check(record, job, style=style)
    sheet = setting_sheet(record, job, check, style)
    back = come_back(record, job, check)
    return Guide(
        job=job.number,
        name=job.name,
        rev=sheet.rev,
        edition=back.edition,
        unit=style.word,
        steps=tuple(_step(check, sheet, back, step) for step in sheet.steps),
        alike=_alike(check),
        colours=sheet.colour_key,
        photos=sheet.photos,
        cautions=CAUTIONS,
        ask=ask,
        scene=sheet.scene,
        heads=sheet.heads,
        not_proven=len(sheet.not_proven),
    )


def _step(check: KitCheck, sheet: SettingSheet, back: ComeBack, step: SheetStep) -> GuideStep:
    facts = check.facts
    core = next(core for core in facts.cores if core.number == step.number)
    detail = facts.details.get(core.of_id)
    mine = [f for f in facts.fits if f.inner_core_id and facts.core_of.get(f.inner_core_id) == core.of_id]
    keys = tuple(_key(check, fit) for fit in mine if fit.kind in ("print", "key", "joint"))
    number = str(core.number)
    held = check.held.get(number)
    drawn = sheet.scene.core(number) if sheet.scene is not None else None
    chaplets = f"{step.chaplets}" if step.chaplets is not None else ""
    return GuideStep(
        step=step.step,
        number=step.number,
        name=step.name,
        only_locates=step.only_locates,
        way=drawn.way_in if drawn is not None else (keys[0].way if keys else None),
        keys=keys,
        rests_in=tuple(dict.fromkeys(key.into for key in keys)),
        later=_later(check, core),
        ends=_ends(detail),
        boxes=tuple(drawn.body.boxes) if drawn is not None else (),
        check=step.check.what if step.check else None,
        template=step.check.template if step.check else None,
        lower_mm=step.check.lower_mm if step.check else None,
        upper_mm=step.check.upper_mm if step.check else None,
        sizes=tuple(
            GuideSize(balloon=row.balloon or "", name=row.what, lower_mm=row.lower_mm, upper_mm=row.upper_mm)
            for row in back.rows
            if row.kind == "core size" and row.core == core.number
        ),
        gauge=_gauge(facts, detail),
        alike=tuple(
            sorted({other for pair in _real(check) if number in pair for other in pair} - {number}, key=_by_number)
        ),
        turned=(number, number) in _real(check),
        weight_kg=step.weight_kg,
        lift_kgf=held.up / buoyancy.G if held is not None and held.up > 0 else None,
        held_by=tuple(by for by, _, _ in held.stresses) if held is not None and held.up > 0 else (),
        lift_points=step.lift_points,
        chaplets=", ".join(x for x in (chaplets, step.chaplet_note) if x) or None,
        vents=step.vents,
        caution=step.caution,
        photos=step.photos,
    )


def _by_number(text: str) -> tuple[int, str]:
    return (int(text) if text.isdigit() else 0, text)


def _key(check: KitCheck, fit: Fit) -> GuideKey:
    clear = check.verdict_of(fit).clearance.value
    return GuideKey(
        name=fit.name,
        kind=fit.kind,
        into=check.part(fit, "outer"),
        mark=fit.mark,
        count=fit.count,
        gentle=gentle(clear),
        clearance_mm=clear,
        way=fit.way_in,
        at=(fit.at_x, fit.at_y, fit.at_z),
    )


def _later(check: KitCheck, core: Core) -> tuple[str, ...]:
    facts = check.facts
    later = {
        str(facts.number(fit.inner_core_id))
        for fit in facts.fits
        if fit.outer_core_id and fit.inner_core_id and facts.core_of.get(fit.outer_core_id) == core.of_id
    }
    return tuple(sorted(later, key=_by_number))


def _ends(detail: CoreDetail | None) -> tuple[GuideEnd, ...]:
    if detail is None or detail.ends_axis not in AXES:
        return ()
    ends = ((detail.low_end, "low"), (detail.high_end, "high"))
    return tuple(GuideEnd(name=name, toward=f"{detail.ends_axis} {side}") for name, side in ends if name)


def _gauge(facts: KitFacts, detail: CoreDetail | None) -> Place | None:
    """Where the size of a check is taken, in the mould as drawn; None for a check that is no size with ends."""
    feature = facts.feature.get(facts.drawn.get(detail.check_feature_id or b"", b"")) if detail is not None else None
    taken = (
        place(feature, {version: facts.number(version) for version in facts.core_of}) if feature is not None else None
    )
    return taken if taken is not None and any(taken.makers) else None


def _real(check: KitCheck) -> list[tuple[str, str]]:
    """Core and whose seats it goes into, the likeliest first; what is only not ruled out is the shop's doubt."""
    real = kit_alike.sure(check.facts, check.lines, check.look_alikes)
    return [(a.core, a.seats_of) for a in sorted(real, key=lambda a: -a.rank)]


def _alike(check: KitCheck) -> tuple[GuideAlike, ...]:
    """Pairs that are really taken for each other, each once, with the marks that tell them apart."""
    told: dict[frozenset[str], GuideAlike] = {}
    marks: dict[str, list[str]] = {}
    for fit in check.facts.fits:
        if fit.mark and fit.inner_core_id:
            marks.setdefault(str(check.facts.number(fit.inner_core_id)), []).append(f"{fit.name} {fit.mark}")
    for pair in _real(check):
        both = sorted(pair, key=_by_number)
        apart = tuple((number, ", ".join(marks[number])) for number in dict.fromkeys(both) if number in marks)
        told.setdefault(frozenset(both), GuideAlike(both[0], both[1], apart))
    return tuple(told.values())
