"""Reads a whole job from a TOML text: drawing sizes in, a plan with every tool size derived out."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any, TypeVar

from inspect_tui.errors import InspectError, JobFileError
from inspect_tui.frozen import frozen_by_name
from inspect_tui.metrology.sizes import chain, contraction, tolerance
from inspect_tui.metrology.sizes.tolerance_text import parse_band
from inspect_tui.metrology.typed import fields
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.first_article import DatumTarget
from inspect_tui.model.words import AXES, QUANTITIES, RULES, SCALES, TOOL_KINDS
from inspect_tui.model.work import Core, DrawingRevision, End, Feature, Job, JobState, Tool, ToolFeature
from inspect_tui.record.chain.ids import uuid7
from inspect_tui.shop.common import find, materials
from inspect_tui.shop.jobs import datum_targets, raw_limits
from inspect_tui.todo import Todo

PLAN_U = 0.0015  # standard uncertainty of a planned contraction, 0.15 %: a judgement, no source
BETWEEN = {"metal": (-1, 1), "space": (1, -1), "face": (1, 1)}

Value = TypeVar("Value")

KNOWN = {
    "": {"job", "drawing", "core", "tool", "target", "feature"},
    "job": {
        "number",
        "name",
        "alloy",
        "construction",
        "customer_ref",
        "contraction",
        "rule",
        "tool_share",
        "tool_band",
    },
    "drawing": {"number", "rev", "issued", "general"},
    "core": {"number", "name", "makes_surface", "set", "volume_dm3"},
    "tool": {"label", "kind", "core", "material", "made_from", "resin", "second_contraction", "expansion_per_c"},
    "target": {"label", "axis", "at", "name"},
    "feature": {
        "balloon",
        "name",
        "quantity",
        "axis",
        "direction",
        "nominal",
        "limits",
        "limits_raw",
        "a",
        "b",
        "between",
        "at",
        "stock",
        "coat",
        "draft",
        "contraction",
        "machined",
        "scale",
        "tools",
        "note",
    },
}


@frozen_by_name
class JobPlan:
    """Everything of a new job, ids filled in, ready to be written in one go."""

    job: Job
    revision: DrawingRevision
    cores: tuple[Core, ...]
    tools: tuple[Tool, ...]
    features: tuple[Feature, ...]
    tool_features: tuple[ToolFeature, ...]
    remarks: tuple[str, ...] = ()
    targets: tuple[DatumTarget, ...] = ()

    def rows(self) -> list[Any]:
        """In the order that keeps every reference pointing back."""
        opened = JobState(job_id=self.job.id, state="open")
        before = [self.job, opened, self.revision, *self.cores, *self.tools, *self.targets]
        return [*before, *self.features, *self.tool_features]


def read(text: str, style: Style = MM) -> JobPlan:
    """The plan that a TOML job file describes; raises JobFileError naming the place and what to do."""
    try:
        tables = tomllib.loads(text)
    except tomllib.TOMLDecodeError as problem:
        raise JobFileError(f"The job file is not TOML: {problem}.", todo=Todo.SEE_EXAMPLE) from None
    _known("", tables)
    for needed in ("job", "feature"):
        if needed not in tables:
            raise JobFileError(f"The job file has no [{needed}].", todo=Todo.SEE_EXAMPLE)
    remarks: list[str] = []
    job = _job(_table(tables, "job"), remarks, style)
    drawing = _table(tables, "drawing") if "drawing" in tables else {}
    revision = DrawingRevision(
        id=uuid7(),
        job_of_id=job.of_id,
        number=str(drawing.get("number", job.number)),
        rev=str(drawing.get("rev", "A")),
        issued_on=_taken(fields.day(drawing["issued"], _today()), "[drawing] issued") if "issued" in drawing else None,
        default_band=drawing.get("general"),
    )
    cores = _unique([_core(job, row) for row in _rows(tables, "core")], lambda c: str(c.number), "core")
    by_number = {core.number: core for core in cores}
    tools: list[Tool] = []
    for row in _rows(tables, "tool"):
        tools.append(_tool(job, row, by_number, tools))
    _unique(tools, lambda t: t.label.casefold(), "tool")
    features, wanted = [], []
    for order, row in enumerate(_rows(tables, "feature"), start=1):
        features.append(_feature(revision, row, by_number, order, style))
        if doubt := raw_limits.asks(features[-1], style):
            remarks.append(doubt)
        wanted.append(row.get("tools"))
    _unique(features, lambda f: find.balloon_key(f.balloon), "feature")
    tool_features = [
        made
        for feature, labels in zip(features, wanted, strict=True)
        for made in _tool_features(job, feature, labels, tools)
    ]
    targets = _unique([datum_targets.of_row(job, row) for row in _rows(tables, "target")], lambda t: t.label, "target")
    return JobPlan(
        job=job,
        revision=revision,
        cores=tuple(cores),
        tools=tuple(tools),
        features=tuple(features),
        tool_features=tuple(tool_features),
        remarks=tuple(remarks),
        targets=tuple(targets),
    )


def tool_feature(job: Job, feature: Feature, tool: Tool) -> ToolFeature:
    """A feature as it stands on a tool, with the steps that lead to its size there."""
    made = uuid7()
    return ToolFeature(
        id=made,
        of_id=made,
        tool_id=tool.id,
        feature_id=feature.id,
        sense=chain.sense_on(feature, tool),
        steps=chain.plan_steps(feature, tool, job),
    )


def _tool_features(job: Job, feature: Feature, labels: object, tools: Sequence[Tool]) -> list[ToolFeature]:
    if labels is None:
        return [
            tool_feature(job, feature, tool) for tool in tools if feature.ends and chain.measurable_on(feature, tool)
        ]
    chosen = []
    for label in labels if isinstance(labels, list) else [labels]:
        tool = next((t for t in tools if t.label.casefold() == str(label).casefold()), None)
        if tool is None:
            raise JobFileError(f"{feature.balloon}: there is no tool '{label}' in this file.")
        if feature.ends and not chain.measurable_on(feature, tool):
            raise JobFileError(
                f"{feature.balloon} cannot be measured on {tool.label}: not all its ends are made by that tool."
            )
        chosen.append(tool_feature(job, feature, tool))
    return chosen


# ------------------------------------------------------------------------------ one table each
def _job(row: Mapping[str, Any], remarks: list[str], style: Style) -> Job:
    if "number" not in row:
        raise JobFileError("[job] needs a number.")
    alloy, construction = row.get("alloy"), row.get("construction")
    given = row.get("contraction")
    made = uuid7()
    if given is None:
        if not alloy:
            raise JobFileError("[job] needs a contraction, or an alloy to look one up for.")
        plan = contraction.plan(alloy, None, construction)
        a, u, source = dict.fromkeys("xyz", plan.a), dict.fromkeys("xyz", plan.u), plan.said[:200]
        known = f"{style.percent(plan.a, 2)} ± {style.percent(2 * plan.u, 2)}"
        remarks.append(f"contraction {known} from {plan.rests_on}")
    else:
        each = given if isinstance(given, dict) else dict.fromkeys("xyz", given)
        a = {axis: _contraction(each.get(axis, "0 %"), f"[job] contraction {axis}") for axis in "xyz"}
        u, source = dict.fromkeys("xyz", PLAN_U), "stated in the job file"
    rule = _taken(fields.choice(row.get("rule", "proof95"), RULES, "the rule"), "[job] rule")
    return Job(
        id=made,
        of_id=made,
        number=str(row["number"]),
        name=str(row.get("name", row["number"])),
        alloy=alloy,
        construction=construction,
        customer_ref=row.get("customer_ref"),
        rule=rule,
        a_x=a["x"],
        a_y=a["y"],
        a_z=a["z"],
        ua_x=u["x"],
        ua_y=u["y"],
        ua_z=u["z"],
        a_source=source,
        tool_share=_taken(fields.share(row.get("tool_share", 1 / 3)), "[job] tool_share"),
        tool_band=_tool_band(row.get("tool_band")),
    )


def _tool_band(text: Any) -> str | None:
    """An EN 12890 class such as H2; JobFileError for one that the shipped table has no figures for."""
    if text is None:
        return None
    name = str(text).upper().removeprefix("EN 12890").strip()
    if name not in tolerance.EN12890_CLASSES:
        known = ", ".join(tolerance.EN12890_CLASSES)
        raise JobFileError(f"[job] tool_band is an EN 12890 class with figures ({known}), not '{text}'.")
    return name


def _core(job: Job, row: Mapping[str, Any]) -> Core:
    made = uuid7()
    if "number" not in row:
        raise JobFileError("[[core]] needs a number from 1 to 999.")
    number = _core_number(row["number"], "[[core]] number")
    where = f"core {number}"
    return Core(
        id=made,
        of_id=made,
        job_of_id=job.of_id,
        number=number,
        name=str(row.get("name", "")) or "core",
        makes_surface=_taken(fields.yes(row.get("makes_surface", True)), f"{where} makes_surface"),
        set_order=_taken(fields.count(row["set"], 1, 999), f"{where} set") if "set" in row else None,
        volume_dm3=_taken(fields.volume(row["volume_dm3"]), f"{where} volume_dm3") if "volume_dm3" in row else None,
    )


def _tool(job: Job, row: Mapping[str, Any], cores: Mapping[int, Core], before: Sequence[Tool]) -> Tool:
    label = str(row.get("label", "")).strip()
    if not label:
        raise JobFileError('[[tool]] needs a label, such as "stick 3".')
    kind = _taken(fields.choice(row.get("kind", "other"), TOOL_KINDS, "the kind"), f"tool '{label}' kind")
    core = None
    if "core" in row:
        core = cores.get(_core_number(row["core"], f"tool '{label}' core"))
        if core is None:
            raise JobFileError(f"tool '{label}': there is no [[core]] with number {row['core']}.")
    parent = None
    if "made_from" in row:
        parent = next((t for t in before if t.label.casefold() == str(row["made_from"]).casefold()), None)
        if parent is None:
            raise JobFileError(f"tool '{label}': made_from names '{row['made_from']}', which is not above it.")
    made = uuid7()
    resin, second = row.get("resin"), row.get("second_contraction")
    material = str(row.get("material", "not stated"))
    expansion = materials.expansion(material)
    if "expansion_per_c" in row:
        expansion = _taken(fields.figure(row["expansion_per_c"], example="0.000023"), f"tool '{label}' expansion_per_c")
    return Tool(
        id=made,
        of_id=made,
        job_of_id=job.of_id,
        kind=kind,
        label=label,
        core_id=core.id if core else None,
        material=material,
        expansion_per_c=expansion,
        made_from_id=parent.id if parent else None,
        resin_r=_contraction(resin, f"tool '{label}' resin") if resin else None,
        resin_u=0.0005 if resin else None,
        second_a=_contraction(second, f"tool '{label}' second_contraction") if second else None,
        second_u=PLAN_U if second else None,
    )


def _feature(
    revision: DrawingRevision, row: Mapping[str, Any], cores: Mapping[int, Core], order: int, style: Style
) -> Feature:
    balloon = str(row.get("balloon", "")).strip()
    if not balloon:
        raise JobFileError(f'[[feature]] number {order} needs a balloon, such as "F1".')
    where = f"feature {balloon}"
    measured = _taken(fields.choice(row.get("quantity", "length"), QUANTITIES, "the quantity"), f"{where} quantity")
    usual = "none" if measured in ("diameter", "radius", "angle") else "x"
    axis = _taken(fields.choice(row.get("axis", usual), AXES, "the axis"), f"{where} axis")
    if "nominal" not in row:
        raise JobFileError(f"{where} needs a nominal: the finished size on the drawing.")
    nominal = _nominal(row["nominal"], measured, where)
    limits = row.get("limits", revision.default_band)
    band = parse_band(str(limits), nominal, measured) if limits else None
    if isinstance(band, str):
        raise JobFileError(f"{where}: {band}")
    draft = row.get("draft", {})
    if not isinstance(draft, dict):
        raise JobFileError(f"{where}: draft is written as {{ deg = 2, height = 40 }}.")
    direction: list[float | None] = [None, None, None]
    if "direction" in row:
        if not isinstance(row["direction"], list) or len(row["direction"]) != 3:
            raise JobFileError(f"{where}: a direction is three figures, such as [0.6, 0.8, 0].")
        direction = [_taken(fields.figure(part), f"{where} direction") for part in row["direction"]]
    stock = _pair(row.get("stock", 0), f"{where} stock", zero=True)
    try:
        made = Feature(
            id=uuid7(),
            revision_id=revision.id,
            balloon=balloon,
            name=str(row.get("name", balloon)),
            quantity=measured,
            axis=axis,
            dir_x=direction[0],
            dir_y=direction[1],
            dir_z=direction[2],
            nominal=nominal,
            lower=band.lower if band else None,
            upper=band.upper if band else None,
            band_source=band.source if band else "none stated",
            scale=_taken(fields.choice(row.get("scale", "cast"), SCALES, "the scale"), f"{where} scale"),
            machined=_taken(fields.yes(row.get("machined", any(stock))), f"{where} machined"),
            draft_deg=_taken(fields.angle(draft.get("deg", 0.0)), f"{where} draft deg"),
            draft_h_mm=_taken(fields.size(draft.get("height", 0.0), zero=True), f"{where} draft height"),
            a=_contraction(row["contraction"], where) if "contraction" in row else None,
            ua=PLAN_U if "contraction" in row else None,
            note=row.get("note"),
            ord=order,
            ends=_ends(row, cores, where),
        )
        stated = raw_limits.with_limits(made, str(row.get("limits_raw", "")), style)
    except JobFileError:
        raise
    except InspectError as problem:
        raise JobFileError(f"{where}: {problem}") from None
    if isinstance(stated, str):
        raise JobFileError(f"{where} limits_raw: {stated}.")
    return stated


def _ends(row: Mapping[str, Any], cores: Mapping[int, Core], where: str) -> tuple[End, ...]:
    between = fields.choice(row.get("between", "metal"), BETWEEN, "what lies between the ends")
    facing = BETWEEN[_taken(between, f"{where} between")]
    at: tuple[float | None, float | None] = (None, None)
    if "at" in row:
        at = _pair(row["at"], f"{where} at", signed=True)
    stock, coat = (_pair(row.get(key, 0), f"{where} {key}", zero=True) for key in ("stock", "coat"))
    ends = []
    for index, which in enumerate("ab"):
        maker = row.get(which)
        if maker is None:
            continue
        words = str(maker).casefold().split()
        core, half = None, None
        if len(words) == 2 and words[0] == "core" and words[1].isdigit():
            core = cores.get(int(words[1]))
            if core is None:
                raise JobFileError(f"{where}: end {which} names core {words[1]}, which this file does not have.")
        elif words in (["cope"], ["drag"]):
            half = words[0]
        else:
            raise JobFileError(f"{where}: end {which} is made by cope, drag or core N, not '{maker}'.")
        ends.append(
            End(
                id=uuid7(),
                which=which.upper(),
                core_id=core.id if core else None,
                half=half,
                facing=facing[index],
                coord_mm=at[index],
                stock_mm=stock[index],
                coat_mm=coat[index],
            )
        )
    return tuple(ends)


# ------------------------------------------------------------------------------ values
def _known(table: str, row: Mapping[str, Any]) -> None:
    unknown = sorted(set(row) - KNOWN[table])
    if unknown:
        known = ", ".join(sorted(KNOWN[table]))
        raise JobFileError(f"[{table or 'the file'}] does not know '{unknown[0]}'; it knows {known}.")


def _table(tables: Mapping[str, Any], name: str) -> Mapping[str, Any]:
    row = tables[name]
    if not isinstance(row, dict):
        raise JobFileError(f"[{name}] is a table: write [{name}] above its lines.")
    _known(name, row)
    return row


def _rows(tables: Mapping[str, Any], name: str) -> list[Mapping[str, Any]]:
    rows = tables.get(name, [])
    if not isinstance(rows, list) or not all(isinstance(row, dict) for row in rows):
        raise JobFileError(f"[[{name}]] stands in double brackets, once for each.")
    for row in rows:
        _known(name, row)
    return rows


def _unique(rows: list[Any], key: Any, what: str) -> list[Any]:
    seen: set[str] = set()
    for row in rows:
        if key(row) in seen:
            raise JobFileError(f"there are two of {what} '{key(row)}': each needs a name of its own.")
        seen.add(key(row))
    return rows


def _taken(answer: Value | fields.Wrong, where: str) -> Value:
    """What a reader of `fields` gave; JobFileError with the place and what to write where it gave none."""
    if isinstance(answer, fields.Wrong):
        raise JobFileError(f"{where}: {answer}.")
    return answer


def _today() -> str:
    return date.today().isoformat()


def _pair(value: Any, where: str, *, zero: bool = False, signed: bool = False) -> tuple[float, float]:
    """Two sizes, one for each end, in mm; one counts for both."""
    each = value if isinstance(value, list) else [value, value]
    if len(each) != 2:
        raise JobFileError(f"{where}: give two values, one for each end, not {len(each)}.")
    a, b = (_taken(fields.size(size, zero=zero, signed=signed), where) for size in each)
    return a, b


def _nominal(value: Any, measured: str, where: str) -> float:
    """The drawing size, mm (degrees of an angle); of an attribute 1 for go and 0 for no-go."""
    if measured == "attribute" and not isinstance(value, str):
        return _taken(fields.figure(value, 0, 1), f"{where} nominal")
    if measured == "length":  # a face in the datum plane lies at 0
        return _taken(fields.size(value, zero=True), f"{where} nominal")
    return _taken(fields.size(value, quantity=measured), f"{where} nominal")


def _core_number(value: Any, where: str) -> int:
    return _taken(fields.count(value, 1, 999), where)


def _contraction(value: Any, where: str) -> float:
    return _taken(fields.contraction(value), where)
