"""Writes the facts of a kit: fits, order, details, loops, passages; never what contradicts itself."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from math import isfinite
from typing import Any, TypeVar

from inspect_tui.errors import DataError, InspectError, JobFileError, NotFound
from inspect_tui.frozen import replace
from inspect_tui.metrology.faces.network import rings_asked
from inspect_tui.metrology.kit import fits as fits_
from inspect_tui.metrology.kit.bodies import given_body
from inspect_tui.metrology.kit.setting import DIRECTIONS, TURNS, check_order
from inspect_tui.metrology.typed import fields
from inspect_tui.metrology.typed.fields import Wrong
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.kit import CoreDetail, Fit, Passage, Stack, StackMember, ToolDetail
from inspect_tui.model.mould import CoreBody
from inspect_tui.model.words import FIT_AXES, FIT_KINDS, HALVES, WAYS_IN, Id
from inspect_tui.model.work import Core, Feature, Job, Tool
from inspect_tui.record.chain.ids import uuid7
from inspect_tui.record.store import Record
from inspect_tui.shop.common import find
from inspect_tui.shop.common.geometry import meaning
from inspect_tui.shop.common.geometry.carried import carries
from inspect_tui.shop.common.geometry.faces import core_numbers
from inspect_tui.shop.kit import bodies, fits, passages
from inspect_tui.shop.kit import order as kit_order
from inspect_tui.shop.kit.facts import KitFacts
from inspect_tui.shop.kit.together import blocking

Value = TypeVar("Value")

# fields of the form in which people say a fit: name, what is asked, what stands there
FIT_FIELDS = [
    ("label", "called: such as K6", ""),
    ("place", "place: which of several alike; may be left out", ""),
    ("kind", "kind: what it is", "print"),
    ("inner", "goes in: core N (or cope, drag of a joint)", ""),
    ("outer", "into: core N, drag or cope", "drag"),
    ("print", "print: balloon of its size at tooling scale; may be left out", ""),
    ("seat", "seat: balloon of its size at tooling scale; may be left out", ""),
    ("axis", "axis: of the clearance: x, y, z or round", "x"),
    ("way_in", "goes in: along which axis, z- is downwards", "z-"),
    ("clearance", "clearance: least and most in mm: 0.30 0.70; empty: by practice", ""),
    ("holds", "stops: x y z x+ z- rx ry rz; empty: its axis", ""),
    ("lift", "can rise: mm; may be left out", ""),
    ("at", "stands at: x y z in mm; may be left out", ""),
    ("mark", "mark: paint or number; may be left out", ""),
]


# what each of these fields says of a fit
OF_FIELD = {
    "inner": ("inner_core_id", "inner_half"),
    "outer": ("outer_core_id", "outer_half"),
    "print": ("inner_feature_id",),
    "seat": ("outer_feature_id",),
    "clearance": ("clear_min_mm", "clear_max_mm", "band_source"),
    "lift": ("lift_mm",),
    "at": ("at_x", "at_y", "at_z"),
}


def part(facts: KitFacts, words: str) -> tuple[Id | None, str | None]:
    """(core, half) from what people type: cope, drag or core N. Raises NotFound."""
    text = " ".join(words.casefold().split())
    if text in HALVES:
        return None, text
    match = re.fullmatch(r"(?:core )?(\d+)", text)
    if not match:
        raise NotFound(f"'{words}' is neither cope nor drag nor core N.")
    core = next((c for c in facts.cores if c.number == int(match[1])), None)
    if core is None:
        raise NotFound(f"There is no core {match[1]} in job {facts.job.number}.")
    return core.of_id, None


# ------------------------------------------------------------------------------ fits
def fields_of(facts: KitFacts, fit: Fit) -> list[tuple[str, str, str]]:
    """The form's fields filled in from a fit; sizes in mm, which is what a bare figure typed there means."""

    def balloon(feature_id: Id | None) -> str:
        feature = facts.feature.get(facts.drawn.get(feature_id or b"", b""))
        return feature.balloon if feature else ""

    at = "" if fit.at_x is None else " ".join(_typed(mm) for mm in (fit.at_x, fit.at_y, fit.at_z))
    values = {
        "label": fit.label,
        "place": fit.place or "",
        "kind": fit.kind,
        "inner": fits.part_word(facts, fit.inner_core_id, fit.inner_half),
        "outer": fits.part_word(facts, fit.outer_core_id, fit.outer_half),
        "print": balloon(fit.inner_feature_id),
        "seat": balloon(fit.outer_feature_id),
        "axis": fit.axis,
        "way_in": fit.way_in,
        "clearance": f"{_typed(fit.clear_min_mm)} {_typed(fit.clear_max_mm)}",
        "holds": fit.holds or "",
        "lift": _typed(fit.lift_mm),
        "at": at,
        "mark": fit.mark or "",
    }
    return [(key, label, values[key]) for key, label, _ in FIT_FIELDS]


def _typed(mm: float | None) -> str:
    return MM.given(mm, unit=False)


def follows(facts: KitFacts, values: Mapping[str, str], style: Style = MM) -> str:
    """What a fit that is being typed comes to: its clearance as drawn, or what is wrong with it."""
    try:
        fit = read_fit(facts, values)
    except InspectError as problem:
        return str(problem)
    return "\n".join([*_meanings(facts, fit), fits.one_line(facts, fit, style).verdict.sentence])


def _meanings(facts: KitFacts, fit: Fit) -> list[str]:
    """What the sizes of print and seat are, and which tool is cut or built up where one is too large."""
    numbers = {core.id: core.number for core in facts.cores} | {core.of_id: core.number for core in facts.cores}
    told = []
    for side, feature_id in (("print", fit.inner_feature_id), ("seat", fit.outer_feature_id)):
        feature = facts.feature.get(facts.drawn.get(feature_id or b"", b""))
        if feature is not None and (means := meaning.of_feature(feature, facts.tools, numbers)):
            told.append(f"{side} {feature.balloon}: {means}")
    return told


def read_fit(facts: KitFacts, values: Mapping[str, str]) -> Fit:
    """A fit from the fields of `FIT_FIELDS`; raises JobFileError or NotFound with a sentence."""
    label = values.get("label", "").strip()
    if not label:
        raise JobFileError("Give the fit a name, such as K6.")
    if not values.get("inner", "").strip():
        raise JobFileError(f"{label}: say which core goes in.")
    inner_core, inner_half = part(facts, values["inner"])
    outer_core, outer_half = part(facts, values["outer"]) if values.get("outer", "").strip() else (None, None)
    print_, seat = (_tool_size(facts, label, values.get(side, "")) for side in ("print", "seat"))
    kind = _taken(fields.choice(values.get("kind") or "print", FIT_KINDS, "the kind"), label)
    axis = _taken(fields.choice(values.get("axis") or "x", FIT_AXES, "the axis"), label)
    way_in = _taken(fields.choice(values.get("way_in") or "z-", WAYS_IN, "the way in"), label)
    low, high, source = _clearance(label, values, print_, seat)
    at = _taken(fields.optional(fields.sizes)(values.get("at"), 3, signed=True), f"{label}, the place x y z")
    lift = _taken(fields.optional(fields.size)(values.get("lift"), zero=True), f"{label}, how far it can rise")
    x, y, z = at or (None, None, None)
    return Fit(
        job_of_id=facts.job.of_id,
        label=label,
        place=values.get("place", "").strip() or None,
        kind=kind,
        inner_core_id=inner_core,
        inner_half=inner_half,
        outer_core_id=outer_core,
        outer_half=outer_half,
        inner_feature_id=print_.id if print_ else None,
        outer_feature_id=seat.id if seat else None,
        axis=axis,
        way_in=way_in,
        clear_min_mm=low,
        clear_max_mm=high,
        band_source=source,
        holds=values.get("holds", "").strip() or None,
        lift_mm=lift,
        at_x=x,
        at_y=y,
        at_z=z,
        mark=values.get("mark", "").strip() or None,
    )


def read_changed_fit(facts: KitFacts, values: Mapping[str, str], old: Fit) -> Fit:
    """A fit from the fields of `FIT_FIELDS` that were filled in with another one; what was not typed over stays exact.

    Raises as `read_fit`.
    """
    made = read_fit(facts, values)
    as_shown = [key for key, _, first in fields_of(facts, old) if values.get(key, "").strip() == first.strip()]
    kept = {name: getattr(old, name) for key in as_shown for name in OF_FIELD.get(key, (key,))}
    if (kept.get("clear_min_mm") is None) and (made.clear_min_mm, made.clear_max_mm) == (
        old.clear_min_mm,
        old.clear_max_mm,
    ):
        kept["band_source"] = old.band_source  # typed again as it was
    return replace(made, **kept)


def _tool_size(facts: KitFacts, label: str, balloon: str) -> Feature | None:
    if not balloon.strip():
        return None
    feature = find.feature(facts.features, balloon, facts.revision.rev if facts.revision else "")
    if feature.scale != "tool":
        raise JobFileError(f"{label}: {feature.balloon} is a size of the casting, not of a print or seat.")
    return feature


def _taken(answer: Value | fields.Wrong, where: str) -> Value:
    if isinstance(answer, fields.Wrong):
        raise JobFileError(f"{where}: {answer}.")
    return answer


def _clearance(
    label: str, values: Mapping[str, str], print_: Feature | None, seat: Feature | None
) -> tuple[float, float, str]:
    read = fields.optional(fields.span)
    said = _taken(read(values.get("clearance"), equal=True, example="0.30 0.70"), f"{label}, clearance")
    if said is not None:
        return *said, "stated by the shop"
    size = print_ or seat
    if size is None:
        raise JobFileError(f"{label}: give the clearance, or the size that one by practice can be looked up for.")
    kind = "key" if values.get("kind") == "key" else "cope print" if values.get("outer") == "cope" else "print"
    band = fits_.clearance_band(size.nominal, kind)
    assert band.lower is not None and band.upper is not None
    return band.lower, band.upper, band.source[:200]


def wrong_fit(facts: KitFacts, fit: Fit, style: Style = MM) -> str | None:
    """What is wrong with a fit, as a sentence; None when it can be written."""
    name = fit.name
    if fit.kind not in FIT_KINDS:
        return f"{name}: the kind is one of {', '.join(FIT_KINDS)}, not '{fit.kind}'."
    if fit.axis not in FIT_AXES or fit.way_in not in WAYS_IN:
        return f"{name}: the axis is one of {', '.join(FIT_AXES)}, the way in one of {', '.join(WAYS_IN)}."
    if not (isfinite(fit.clear_min_mm) and isfinite(fit.clear_max_mm)):
        return f"{name}: the clearance is not a size."
    if fit.clear_min_mm <= 0 or fit.clear_max_mm <= 0:
        low = style.given(min(fit.clear_min_mm, fit.clear_max_mm))
        return f"{name}: a clearance of {low} leaves no room: sand would rub or not go in; give one above 0."
    if fit.clear_min_mm > fit.clear_max_mm:
        low, high = (style.given(mm, unit=False) for mm in (fit.clear_min_mm, fit.clear_max_mm))
        return f"{name}: the limits contradict each other: {low} is above {high}."
    if fit.inner_core_id and fit.inner_core_id == fit.outer_core_id:
        return f"{name}: core {facts.number(fit.inner_core_id)} cannot sit in itself; say what it sits in."
    if fit.inner_half and fit.inner_half == fit.outer_half:
        return f"{name}: the {fit.inner_half} cannot sit in itself."
    if fit.outer_core_id is None and fit.outer_half is None:
        return f"{name}: a print without a seat; say what it goes into (core N, drag or cope)."
    bad = [word for word in kit_order.holds_of(fit) if word not in (*DIRECTIONS, *TURNS, "x", "y", "z")]
    if bad:
        return f"{name}: '{bad[0]}' is no direction; use x, y+, z-, rx and so on."
    for other in facts.fits:
        if other.of_id == fit.of_id:
            continue
        if other.label == fit.label and other.place == fit.place:
            return f"{name} is there already; give this one another name or place."
        if fit.outer_feature_id and _same(facts, fit.outer_feature_id, other.outer_feature_id):
            into = facts.feature[facts.drawn[fit.outer_feature_id]].balloon
            return f"{name}: seat {into} is claimed by {other.name} already ({who_into_whom(facts, other)})."
    return None


def who_into_whom(facts: KitFacts, fit: Fit) -> str:
    """`core 5 into core 1`."""
    inner = fits.part_word(facts, fit.inner_core_id, fit.inner_half)
    return f"{inner} into {fits.part_word(facts, fit.outer_core_id, fit.outer_half) or 'nothing yet'}"


def _same(facts: KitFacts, feature_id: Id, other: Id | None) -> bool:
    return other is not None and facts.drawn.get(feature_id) == facts.drawn.get(other)


def add_fit(record: Record, job: Job, fit: Fit, by: Id | None = None, style: Style = MM) -> Fit:
    """Write a fit; raises JobFileError with what is wrong, and nothing is written then."""
    wrong = wrong_fit(KitFacts(record, job), fit, style)
    if wrong:
        raise JobFileError(wrong)
    made: Fit = record.add(fit, by)
    return made


def change_fit(record: Record, job: Job, old: Fit, by: Id | None = None, style: Style = MM, **changes: Any) -> Fit:
    """A new version of a fit; the old one stays in the record."""
    wrong = wrong_fit(KitFacts(record, job), replace(old, **changes), style)
    if wrong:
        raise JobFileError(wrong)
    made: Fit = record.revise(old, by, **changes)
    return made


def asked_now(record: Record, job: Job) -> str:
    """What the fits of a kit leave to ask, after a semicolon: cores that sit in each other in a ring; else nothing."""
    held = carries(record.fits(job.of_id), core_numbers(record, job))
    return "".join(f"; {question.text}" for question in rings_asked(held))


def drop_fit(record: Record, fit: Fit, by: Id | None = None) -> Fit:
    """Take a fit out of the kit; it stays in the record."""
    made: Fit = record.revise(fit, by, active=False)
    return made


# ------------------------------------------------------------------------------ order and details
def move_core(record: Record, job: Job, number: int, by_places: int, by: Id | None = None) -> tuple[str, ...]:
    """Move a core up (-1) or down (+1) the setting order; returns the new order.

    Raises JobFileError with the seat that forbids it; nothing is written then.
    """
    facts = KitFacts(record, job)
    lines, _, _ = fits.lines(facts, ())
    seats = kit_order.sits(facts, lines)
    in_the_way = blocking.in_the_way(facts, seats, bodies.bodies(facts))
    order = list(kit_order.check_order(facts, seats, in_the_way.demands).sequence or kit_order.given_order(facts))
    if str(number) not in order:
        raise NotFound(f"There is no core {number} in job {job.number}.")
    at = order.index(str(number))
    to = at + by_places
    if not 0 <= to < len(order):
        raise JobFileError(f"Core {number} is set {'first' if to < 0 else 'last'} already.")
    order.insert(to, order.pop(at))
    wrong = check_order(order, order, seats, in_the_way.demands)
    if wrong:
        raise JobFileError(f"Core {number} stays where it is: {wrong[0].sentence}.")
    return set_order(record, facts, order, by)


def set_order(record: Record, facts: KitFacts, order: Sequence[str], by: Id | None = None) -> tuple[str, ...]:
    """Write a whole setting order: only the places that change."""
    place = {number: n for n, number in enumerate(order, start=1)}
    rows = []
    for core in facts.cores:
        wanted = place.get(str(core.number))
        if wanted != kit_order.wanted_place(facts, core):
            rows.append(_detail(facts, core, {"set_order": wanted}))
    if rows:
        record.add_all(rows, by)
    return tuple(order)


def _detail(facts: KitFacts, core: Core, changes: Mapping[str, Any]) -> CoreDetail:
    old = facts.details.get(core.of_id)
    if old is None:
        return CoreDetail(core_of_id=core.of_id, **changes)
    return replace(old, **changes, id=b"", replaces_id=old.id)


def body_words(facts: KitFacts, core: Core) -> str:
    """The boxes that were given for a core as they are typed: six figures a box, mm."""
    boxes = facts.core_bodies.get(core.of_id, ())
    return "; ".join(" ".join(_typed(mm) for mm in (b.x0, b.x1, b.y0, b.y1, b.z0, b.z1)) for b in boxes)


def set_body(record: Record, facts: KitFacts, core: Core, text: str, by: Id | None = None) -> int:
    """Give a core the boxes of its body in place of those before; nothing typed takes them back. How many there are.

    Six figures a box, as drawn: x from and to, y from and to, z from and to; boxes parted by `;`. Raises JobFileError
    with what is wrong, such as a box of no height; nothing is written then.
    """
    boxes: list[tuple[float, ...]] = []
    for part in (part.strip() for part in text.split(";")):
        figures = fields.sizes(part, 6, signed=True) if part else ()
        if isinstance(figures, Wrong):
            raise JobFileError(f"core {core.number}: '{part}' is no box: six figures, x y z from and to. {figures}.")
        boxes += [figures] if part else []
    try:
        made = given_body(str(core.number), boxes).boxes if boxes else ()
    except DataError as wrong:
        raise JobFileError(f"{wrong}.") from None
    before = facts.core_bodies.get(core.of_id, ())
    rows = []
    for n, box in enumerate(made):
        old = before[n] if n < len(before) else None
        row = CoreBody(core_of_id=core.of_id, ord=n + 1, **box._asdict())
        if old is None:
            rows.append(row)
        elif (old.x0, old.x1, old.y0, old.y1, old.z0, old.z1) != tuple(box):
            rows.append(replace(row, of_id=old.of_id, replaces_id=old.id, note=old.note))
    rows += [replace(old, id=b"", replaces_id=old.id, active=False) for old in before[len(made) :]]
    if rows:
        record.add_all(rows, by)
    return len(made)


def set_core_detail(
    record: Record, job: Job, core: Core, by: Id | None = None, style: Style = MM, **changes: Any
) -> CoreDetail:
    """Say more about a core: volume in metal, chaplets, vents, lift points, tolerance, template and so on."""
    low, high = changes.get("check_lower"), changes.get("check_upper")
    if low is not None and high is not None and low > high:
        no_go, go = style.given(low, unit=False), style.given(high, unit=False)
        raise JobFileError(f"Core {core.number}: the check contradicts itself: no-go {no_go} is above go {go}.")
    facts = KitFacts(record, job)
    old = facts.details.get(core.of_id)
    if old is not None and replace(old, **changes) == old:
        return old
    made: CoreDetail = record.add(_detail(facts, core, changes), by)
    return made


def set_tool_detail(record: Record, job: Job, tool: Tool, by: Id | None = None, **changes: Any) -> ToolDetail:
    """Say more about a tool: loose pieces, dowels, weight, mark, owner, grain."""
    old = record.tool_details(job.of_id).get(tool.of_id)
    new = ToolDetail(tool_of_id=tool.of_id, **changes)
    if old is not None:
        if replace(old, **changes) == old:
            return old
        new = replace(old, **changes, id=b"", replaces_id=old.id)
    made: ToolDetail = record.add(new, by)
    return made


# ------------------------------------------------------------------------------ loops, passages
def add_stack(record: Record, stack: Stack, members: Sequence[StackMember], by: Id | None = None) -> Stack:
    """Write a loop with its members in their order, in one transaction."""
    if not members:
        raise JobFileError(f"{stack.label}: a loop needs at least one contributor.")
    made = uuid7()
    stack = replace(stack, id=made, of_id=made)
    rows = [stack, *(replace(m, stack_id=made, ord=n) for n, m in enumerate(members, start=1))]
    stored: Stack = record.add_all(rows, by)[0]
    return stored


def add_passage(record: Record, job: Job, passage: Passage, by: Id | None = None) -> Passage:
    """Write a derived characteristic; raises JobFileError with what its formula does not say, nothing written then."""
    formula = passages.read(KitFacts(record, job), passage.formula, passage.label)
    if isinstance(formula, str):
        raise JobFileError(f"{passage.label}: {formula}")
    unit = passages.rating_unit(passage.unit or "")
    if isinstance(unit, Wrong):
        raise JobFileError(f"{passage.label}: {unit}")
    rated, least = passage.rated is not None, passage.minimum is not None
    if (said := passages.wrong(formula, rated, least, passage.exponent)) is not None:
        raise JobFileError(f"{passage.label}: {said}")
    made: Passage = record.add(passage, by)
    return made
