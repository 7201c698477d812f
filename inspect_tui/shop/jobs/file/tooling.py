"""[[core]] and [[tool]]: bodies, details and what each was made from, read and written."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from inspect_tui.metrology.typed import fields
from inspect_tui.metrology.typed.fields import Wrong
from inspect_tui.model.kit import CoreDetail, ToolDetail
from inspect_tui.model.mould import CoreBody
from inspect_tui.model.words import TOOL_KINDS
from inspect_tui.model.work import Core, Feature, Job, Tool
from inspect_tui.record.chain.ids import uuid7
from inspect_tui.shop.common import find, materials
from inspect_tui.shop.jobs.file import values
from inspect_tui.shop.jobs.file.mistakes import Row, a_text
from inspect_tui.shop.jobs.file.plan import PLAN_U, RESIN_U

CORE = (
    "number",
    "name",
    "makes_surface",
    "only_locates",
    "set",
    "volume_dm3",
    "in_metal_dm3",
    "print_area_mm2",
    "body",
    "ends",
    "chaplets",
    "chaplet_note",
    "vents",
    "lift",
    "tolerance",
    "template",
    "check",
    "check_name",
    "check_limits",
    "caution",
    "note",
    "picture",
)
TOOL = (
    "label",
    "kind",
    "core",
    "material",
    "made_from",
    "resin",
    "resin_u",
    "second_contraction",
    "second_u",
    "expansion_per_c",
    "loose_pieces",
    "dowels",
    "weight_kg",
    "mark",
    "owner",
    "grain",
    "lift",
    "note",
    "picture",
)


# ------------------------------------------------------------------------------ cores
def core(row: Row, job: Job) -> Core | None:
    """A [[core]]; None where its number is none."""
    if "number" not in row:
        row.lacks("[[core]] needs a number from 1 to 999", "number")
        return None
    number = row.take("number", core_number, 0)
    row.who = f"core {number}" if number else "[[core]]"
    makes = row.take("makes_surface", fields.yes, True)
    if "only_locates" in row:
        only = row.take("only_locates", fields.yes, False)
        if "makes_surface" in row and only == makes:
            row.wrong("only_locates", "makes_surface says the opposite: leave one of the two out")
        makes = not only
    name, made = row.text("name", 80) or "core", uuid7()
    place, volume = row.maybe("set", lambda v: fields.count(v, 1, 999)), row.maybe("volume_dm3", fields.volume)
    if not number:
        return None
    return Core(
        id=made,
        of_id=made,
        job_of_id=job.of_id,
        number=number,
        name=name,
        makes_surface=makes,
        set_order=place,
        volume_dm3=volume,
    )


def core_number(value: Any) -> int | Wrong:
    """The number of a core: 3 or "core 3"."""
    return fields.count(str(value).casefold().removeprefix("core").strip(), 1, 999)


def bodies(row: Row, core: Core) -> list[CoreBody]:
    """The boxes of a core's body."""
    read_bodies = []
    for n, value in enumerate(row.each("body"), start=1):
        read: Any = values.box(value)
        if isinstance(read, Wrong):
            row.wrong("body", str(read))
            continue
        made = uuid7()
        note = a_text(value["note"], 400) if "note" in value else None
        if isinstance(note, Wrong):
            row.wrong("body", str(note))
            note = None
        read_bodies.append(CoreBody(id=made, of_id=made, core_of_id=core.of_id, ord=n, note=note or None, **read))
    return read_bodies


def core_detail(row: Row, core: Core, features: Mapping[str, Feature | None]) -> CoreDetail | None:
    """What setting a core takes; None where nothing is said of it."""
    check = None
    if "check" in row:
        balloon = row.text("check", 20)
        check = features.get(find.balloon_key(balloon))
        if find.balloon_key(balloon) not in features:
            row.wrong("check", f"there is no feature {balloon} in this file")
    low_end, high_end, axis = _ends(row)
    limits = row.maybe("check_limits", values.limits) or (None, None)
    said = values.filled(
        in_metal_dm3=row.maybe("in_metal_dm3", _none_or_more),
        print_area_mm2=row.maybe("print_area_mm2", fields.area),
        chaplets=row.maybe("chaplets", lambda v: fields.count(v, 0, 999)),
        chaplet_note=row.words("chaplet_note", 200),
        vents=row.words("vents", 200),
        lift_points=row.words("lift", 200),
        tol_mm=row.maybe("tolerance", lambda v: fields.size(_plus_minus(v), zero=True)),
        template=row.words("template", 60),
        check_feature_id=check.id if check else None,
        check_name=row.words("check_name", 120),
        check_lower=limits[0],
        check_upper=limits[1],
        caution=row.words("caution", 200),
        note=row.words("note", 400),
        low_end=low_end,
        high_end=high_end,
        ends_axis=axis,
    )
    made = uuid7()
    return CoreDetail(id=made, of_id=made, core_of_id=core.of_id, **said) if said else None


def _none_or_more(value: Any) -> float | Wrong:
    """A volume; none of a core may lie in the metal."""
    return 0.0 if str(value).strip() in ("0", "0.0") else fields.volume(value)


def _plus_minus(value: Any) -> Any:
    return value.replace("±", "").strip() if isinstance(value, str) else value


def _ends(row: Row) -> tuple[str | None, str | None, str | None]:
    """What people call the two ends: ends = { x = ["inlet", "outlet"] }."""
    if "ends" not in row:
        return None, None, None
    value = row["ends"]
    if isinstance(value, dict) and len(value) == 1:
        axis, names = next(iter(value.items()))
        if axis in ("x", "y", "z") and isinstance(names, list) and len(names) == 2:
            low, high = (a_text(name, 40) for name in names)
            if not isinstance(low, Wrong) and not isinstance(high, Wrong):
                return low or None, high or None, axis
    row.wrong("ends", 'its ends are written as { x = ["inlet", "outlet"] }, the low one first')
    return None, None, None


def core_row(core: Core, detail: CoreDetail | None, boxes: Sequence[CoreBody], balloon: str | None) -> dict[str, Any]:
    """A [[core]], written."""
    made = values.filled(
        number=core.number,
        name=core.name,
        only_locates=None if core.makes_surface else True,
        set=core.set_order,
        volume_dm3=values.figure(core.volume_dm3),
    )
    if boxes:
        made["body"] = values.typed_list(
            [values.box_words(box) | ({"note": box.note} if box.note else {}) for box in boxes]
        )
    if detail is None:
        return made
    ends = {detail.ends_axis: [detail.low_end or "", detail.high_end or ""]} if detail.ends_axis else None
    return made | values.filled(
        in_metal_dm3=values.figure(detail.in_metal_dm3),
        print_area_mm2=values.figure(detail.print_area_mm2),
        ends=ends,
        chaplets=detail.chaplets,
        chaplet_note=detail.chaplet_note,
        vents=detail.vents,
        lift=detail.lift_points,
        tolerance=values.figure(detail.tol_mm),
        template=detail.template,
        check=balloon,
        check_name=detail.check_name,
        check_limits=values.limits_again(detail.check_lower, detail.check_upper),
        caution=detail.caution,
        note=detail.note,
    )


# ------------------------------------------------------------------------------ tools
def tool(row: Row, job: Job, cores: Mapping[int, Core | None], before: Sequence[Tool]) -> Tool | None:
    """A [[tool]]; None where it has no label."""
    label = row.text("label", 60)
    if not label:
        row.lacks('[[tool]] needs a label, such as "stick 3"', "label")
        return None
    row.who = f"tool '{label}'"
    core = core_named(row, "core", cores) if "core" in row else None
    parent = None
    if "made_from" in row:
        named = row.text("made_from", 60)
        parent = next((t for t in before if t.label.casefold() == named.casefold()), None)
        if parent is None:
            row.wrong("made_from", f"it names '{named}', which is not above it")
    made = uuid7()
    resin, second = row.maybe("resin", fields.contraction), row.maybe("second_contraction", fields.contraction)
    material = row.text("material", 60, "not stated") or "not stated"
    expansion = materials.expansion(material)
    if "expansion_per_c" in row:
        expansion = row.maybe("expansion_per_c", lambda v: fields.figure(v, example="0.000023"))
    return Tool(
        id=made,
        of_id=made,
        job_of_id=job.of_id,
        kind=row.take("kind", lambda v: fields.choice(v, TOOL_KINDS, "the kind"), "other"),
        label=label,
        core_id=core.id if core else None,
        material=material,
        expansion_per_c=expansion,
        made_from_id=parent.id if parent else None,
        resin_r=resin,
        resin_u=None if resin is None else row.take("resin_u", fields.contraction, RESIN_U),
        second_a=second,
        second_u=None if second is None else row.take("second_u", fields.contraction, PLAN_U),
    )


def core_named(row: Row, key: str, cores: Mapping[int, Core | None]) -> Core | None:
    """The core that a value names, 3 or "core 3"; a mistake where the file has none of that number."""
    number = row.maybe(key, core_number)
    if number is None:
        return None
    if number not in cores:
        row.wrong(key, f"there is no [[core]] with number {number}")
    return cores.get(number)


def tool_detail(row: Row, tool: Tool) -> ToolDetail | None:
    """What shipping and keeping a tool takes; None where nothing is said of it."""
    said = values.filled(
        loose_pieces=row.maybe("loose_pieces", lambda v: fields.count(v, 0, 999)),
        dowels=row.maybe("dowels", lambda v: fields.count(v, 0, 999)),
        weight_kg=row.maybe("weight_kg", fields.weight),
        mark=row.words("mark", 60),
        owner=row.words("owner", 80),
        grain=row.maybe("grain", lambda v: fields.choice(v, "xyz", "the grain")),
        lift_points=row.words("lift", 200),
        note=row.words("note", 400),
    )
    made = uuid7()
    return ToolDetail(id=made, of_id=made, tool_of_id=tool.of_id, **said) if said else None


def tool_row(tool: Tool, detail: ToolDetail | None, core: int | None, made_from: str | None) -> dict[str, Any]:
    """A [[tool]], written."""
    by_table = materials.expansion(tool.material)
    made = values.filled(
        label=tool.label,
        kind=tool.kind,
        core=core,
        material=None if tool.material == "not stated" else tool.material,
        made_from=made_from,
        resin=values.percent(tool.resin_r),
        resin_u=None if tool.resin_u in (None, RESIN_U) else values.percent(tool.resin_u),
        second_contraction=values.percent(tool.second_a),
        second_u=None if tool.second_u in (None, PLAN_U) else values.percent(tool.second_u),
        expansion_per_c=None if tool.expansion_per_c == by_table else tool.expansion_per_c,
    )
    if detail is None:
        return made
    return made | values.filled(
        loose_pieces=detail.loose_pieces,
        dowels=detail.dowels,
        weight_kg=values.figure(detail.weight_kg),
        mark=detail.mark,
        owner=detail.owner,
        grain=detail.grain,
        lift=detail.lift_points,
        note=detail.note,
    )
