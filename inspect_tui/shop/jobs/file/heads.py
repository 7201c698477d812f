"""[job], [drawing], [parting], [mould], [[target]], [[sampling]], [[picture]]: what frames a job, read and written."""

from __future__ import annotations

from collections.abc import Iterable
from math import inf
from pathlib import Path
from typing import Any

from inspect_tui.errors import InspectError
from inspect_tui.metrology.sizes import contraction, tolerance
from inspect_tui.metrology.typed import fields
from inspect_tui.metrology.typed.fields import Wrong
from inspect_tui.metrology.typed.show import Style
from inspect_tui.model.first_article import DatumTarget
from inspect_tui.model.mould import MouldOutline
from inspect_tui.model.words import RULES
from inspect_tui.model.work import DrawingRevision, Item, Job, Lot
from inspect_tui.record.chain.ids import uuid7
from inspect_tui.shop.common import materials, parting
from inspect_tui.shop.common.parting import Parting, Step
from inspect_tui.shop.jobs import datum_targets
from inspect_tui.shop.jobs.file import values
from inspect_tui.shop.jobs.file.mistakes import Row, a_text
from inspect_tui.shop.jobs.file.plan import PLAN_U, sample_edition
from inspect_tui.shop.pictures import balloons

JOB = (
    "number",
    "name",
    "alloy",
    "construction",
    "customer_ref",
    "customer",
    "part_no",
    "order",
    "quantity",
    "foundry",
    "contraction",
    "contraction_u",
    "contraction_source",
    "rule",
    "tool_share",
    "tool_band",
    "picture",
)
DRAWING = ("number", "rev", "issued", "general")
PARTING = ("axis", "along", "at", "steps")
MOULD = ("x", "y", "z")
TARGET = ("label", "axis", "at", "name")
SAMPLING = ("label", "heat", "poured", "quantity", "castings")
PICTURE = ("file", "on", "caption", "name", "balloons")
STATED = "stated in the job file"
MOST_PARTS = 0.02  # and those above 2 %, where the alloy is not known: a judgement, no source


# ------------------------------------------------------------------------------ job and drawing
def job(row: Row, remarks: list[str], questions: list[str], style: Style) -> Job:
    """The [job]; without a contraction the handbook's for its alloy."""
    if "number" not in row:
        row.lacks("[job] needs a number", "number")
    number = row.text("number", 40) or "?"
    alloy, construction = row.words("alloy", 60), row.words("construction", 60)
    made = uuid7()
    if "contraction" in row:
        a = _each_axis(row, "contraction", 0.0)
        u, source = _each_axis(row, "contraction_u", PLAN_U), row.text("contraction_source", 200, STATED)
        if doubt := doubtful(a, alloy, construction, style):
            questions.append(doubt)
    else:
        a, u, source = _by_the_handbook(row, alloy, construction, remarks, style)
    return Job(
        id=made,
        of_id=made,
        number=number,
        name=row.text("name", 120, number) or number,
        alloy=alloy,
        construction=construction,
        customer_ref=row.words("customer_ref", 80),
        rule=row.take("rule", lambda v: fields.choice(v, RULES, "the rule"), "proof95"),
        a_x=a["x"],
        a_y=a["y"],
        a_z=a["z"],
        ua_x=u["x"],
        ua_y=u["y"],
        ua_z=u["z"],
        a_source=source or STATED,
        tool_share=row.take("tool_share", fields.share, 1 / 3),
        tool_band=row.maybe("tool_band", _tool_band),
        customer=row.words("customer", 120),
        part_no=row.words("part_no", 60),
        order_no=row.words("order", 60),
        order_quantity=row.maybe("quantity", lambda v: fields.count(v, 1)),
        foundry=row.words("foundry", 120),
    )


def _each_axis(row: Row, key: str, default: float) -> dict[str, float]:
    """One contraction for all axes, or { x = ..., y = ..., z = ... }."""
    if key not in row:
        return dict.fromkeys("xyz", default)
    if not isinstance(row[key], dict):
        return dict.fromkeys("xyz", row.take(key, fields.contraction, default))
    parts = row.parts(key, "xyz")
    return {axis: _or(row.part(key, axis, fields.contraction, parts.get(axis, "0 %")), default) for axis in "xyz"}


def _or(value: float | None, default: float) -> float:
    return default if value is None else value


def _by_the_handbook(
    row: Row, alloy: str | None, construction: str | None, remarks: list[str], style: Style
) -> tuple[dict[str, float], dict[str, float], str]:
    nothing = dict.fromkeys("xyz", 0.0), dict.fromkeys("xyz", PLAN_U), STATED
    if not alloy:
        if not row.broken & {"contraction", "alloy"}:
            row.lacks("[job] needs a contraction, or an alloy to look one up for")
        return nothing
    try:
        plan = contraction.plan(alloy, None, construction)
    except InspectError as problem:
        row.wrong("alloy", str(problem))
        return nothing
    known = f"{style.percent(plan.a, 2)} ± {style.percent(2 * plan.u, 2)}"
    remarks.append(f"contraction {known} from {plan.rests_on}")
    return dict.fromkeys("xyz", plan.a), dict.fromkeys("xyz", plan.u), plan.said[:200]


def doubtful(a: dict[str, float], alloy: str | None, construction: str | None, style: Style) -> str:
    """Why a stated contraction is asked about: far from the handbook's, or large where no handbook knows the alloy."""
    most = max(a.values(), key=abs)
    try:
        plan = contraction.plan(alloy, None, construction) if alloy else None
    except InspectError:
        plan = None
    if plan is None:
        if most <= MOST_PARTS and most >= 0.0:
            return ""
        return f"a contraction of {style.percent(most, None)} is unusual, and no handbook's stands beside it"
    far = {axis: value for axis, value in a.items() if not _near(value, plan.a, plan.u)}
    if not far:
        return ""
    axis, value = next(iter(far.items()))
    along = "" if len(far) == 3 else f" along {axis}"
    return f"a contraction of {style.percent(value, None)}{along} beside the handbook's {style.percent(plan.a, 2)}"


def _near(a: float, book: float, u: float) -> bool:
    """Within three times the handbook's value either way, or within 4 u of it; restrained axes may hardly contract."""
    return abs(a - book) <= max(4.0 * u, 0.75 * book) and a >= 0.0


def _tool_band(text: Any) -> str | Wrong:
    """An EN 12890 class such as H2 that the shipped table has figures for."""
    name = str(text).upper().removeprefix("EN 12890").strip()
    if name not in tolerance.EN12890_CLASSES:
        known = ", ".join(tolerance.EN12890_CLASSES)
        return Wrong(f"it is an EN 12890 class with figures ({known}), not '{text}'")
    return name


def job_row(job: Job) -> dict[str, Any]:
    """The [job], written."""
    a, u = (job.a_x, job.a_y, job.a_z), (job.ua_x, job.ua_y, job.ua_z)
    return values.filled(
        number=job.number,
        name=job.name,
        alloy=job.alloy,
        construction=job.construction,
        customer_ref=job.customer_ref,
        customer=job.customer,
        part_no=job.part_no,
        order=job.order_no,
        quantity=job.order_quantity,
        foundry=job.foundry,
        contraction=_axes_again(a),
        contraction_u=None if u == (PLAN_U, PLAN_U, PLAN_U) else _axes_again(u),
        contraction_source=None if job.a_source == STATED else job.a_source,
        rule=job.rule,
        tool_share=None if job.tool_share == 1 / 3 else job.tool_share,
        tool_band=job.tool_band,
    )


def _axes_again(of: tuple[float, float, float]) -> Any:
    words = [values.percent(one) for one in of]
    return words[0] if len(set(of)) == 1 else dict(zip("xyz", words, strict=True))


def drawing(row: Row, job: Job, today: str, sample: bool) -> DrawingRevision:
    """The [drawing]; where there is none the job's number and A, or what stands for one of a `sample` casting."""
    number, rev = sample_edition(job) if sample else (job.number, "A")
    return DrawingRevision(
        id=uuid7(),
        job_of_id=job.of_id,
        number=row.text("number", 60, number) or number,
        rev=row.text("rev", 20, rev) or rev,
        issued_on=row.maybe("issued", lambda v: fields.day(v, today)),
        default_band=row.words("general", 60),
    )


def drawing_row(drawing: DrawingRevision) -> dict[str, Any]:
    """The [drawing], written."""
    return values.filled(
        number=drawing.number, rev=drawing.rev, issued=values.day(drawing.issued_on), general=drawing.default_band
    )


# ------------------------------------------------------------------------------ the mould
def parting_of(row: Row) -> Parting | None:
    """The [parting]: `at` where it is flat, or steps of from, to and place along another axis."""
    row.who = "[parting]"
    axis = row.take("axis", lambda v: fields.choice(v, "xyz", "the axis"), "z")
    along = row.take("along", lambda v: fields.choice(v, "xyz", "the axis of the steps"), "y" if axis == "x" else "x")
    if ("at" in row) == ("steps" in row):
        if not row.broken:
            row.lacks("[parting] says where it lies: at = 90, or steps = [[0, 520, 90], [520, 624, 118]]")
        return None
    steps: list[Step] = []
    if "at" in row:
        at = row.maybe("at", lambda v: fields.size(v, signed=True))
        steps = [] if at is None else [Step(-inf, inf, at)]
    for given in row["steps"] if isinstance(row.values.get("steps"), list) else []:
        figures = given if isinstance(given, list) else [given]
        read = [fields.size(figure, signed=True) for figure in figures]
        wrong = next((answer for answer in read if isinstance(answer, Wrong)), None)
        if wrong is not None or len(read) != 3:
            row.wrong("steps", str(wrong or "each step is [from, to, place]"))
            return None
        steps.append(Step(*read))  # type: ignore[arg-type]
    try:
        return parting.of_steps(steps, axis, along) if steps else None
    except InspectError as problem:
        row.wrong("steps", str(problem))
        return None


def parting_row(said: Parting) -> dict[str, Any]:
    """The [parting], written."""
    if len(said.steps) == 1 and said.steps[0].everywhere:
        return values.filled(axis=said.axis, at=values.figure(said.steps[0].z))
    steps = [[values.figure(mm) for mm in (step.from_x, step.to_x, step.z)] for step in said.steps]
    return values.filled(axis=said.axis, along=said.along, steps=steps)


def mould(row: Row, job: Job) -> MouldOutline | None:
    """The [mould]: the box round the casting in it."""
    row.who = "[mould]"
    read: Any = values.box(row.values)
    if isinstance(read, Wrong):
        row.lacks(f"[mould]: {read}")
        return None
    made = uuid7()
    return MouldOutline(id=made, of_id=made, job_of_id=job.of_id, **read)


# ------------------------------------------------------------------------------ targets, samplings, pictures
def target(row: Row, job: Job) -> DatumTarget | None:
    """A [[target]]."""
    label = row.text("label", 20)
    row.who = f"target {label}" if label else row.who
    before = len(row.mistakes)
    at = row.maybe("at", values.place) or {}
    texts = {key: str(row[key]) for key in ("label", "axis", "name") if key in row}
    made = datum_targets.read(job, texts | {axis: f"{mm!r} mm" for axis, mm in at.items()})
    if isinstance(made, str):
        if "at" not in row.broken and len(row.mistakes) == before:
            row.lacks(f"[[target]] {made}")
        return None
    return made


def target_row(target: DatumTarget) -> dict[str, Any]:
    """A [[target]], written."""
    at = values.axes(target.x_mm, target.y_mm, target.z_mm)
    return values.filled(label=target.label, axis=target.axis, at=at, name=target.name)


def sampling(row: Row, job: Job, today: str) -> tuple[Lot, list[Item]]:
    """A [[sampling]] with the castings that are named."""
    label = row.text("label", 60)
    row.who = f"sampling {label}" if label else row.who
    if not label:
        row.lacks('[[sampling]] needs a label, such as "S1"', "label")
    lot = Lot(
        id=uuid7(),
        job_of_id=job.of_id,
        label=label or "?",
        heat=row.words("heat", 40),
        poured_on=row.maybe("poured", lambda v: fields.day(v, today)),
        quantity=row.maybe("quantity", fields.count),
    )
    castings, alpha = [], materials.expansion(job.alloy)
    for value in row.each("castings"):
        serial = a_text(value, 40)
        if isinstance(serial, Wrong) or not serial:
            row.wrong("castings", f"{serial or 'a serial is empty'}")
            continue
        castings.append(
            Item(
                id=uuid7(),
                job_of_id=job.of_id,
                serial=serial,
                lot_id=lot.id,
                material=job.alloy,
                expansion_per_c=alpha,
            )
        )
    return lot, castings


def sampling_row(lot: Lot, castings: Iterable[Item]) -> dict[str, Any]:
    """A [[sampling]], written with its castings."""
    return values.filled(
        label=lot.label,
        heat=lot.heat,
        poured=values.day(lot.poured_on),
        quantity=lot.quantity,
        castings=[item.serial for item in castings if item.lot_id == lot.id],
    )


def picture(row: Row, folder: Path, known: Iterable[str]) -> tuple[Path, str, str | None, str | None] | None:
    """File, shown name, caption and numbers of a [[picture]]; a file name is looked for beside the job file."""
    typed = row.text("file", 1000)
    if not typed:
        row.lacks('[[picture]] needs a file, such as file = "box-3.jpg"', "file")
        return None
    path = folder / Path(typed).expanduser()
    if not path.is_file():
        row.wrong("file", f"there is no file {typed}")
        return None
    marks = balloons.read(row.text("balloons", balloons.LONGEST), known)
    if isinstance(marks, Wrong):
        row.wrong("balloons", marks.sentence)
        return None
    numbers = balloons.written(marks) or None
    return path, row.text("name", 120, path.name) or path.name, row.words("caption", 120), numbers
