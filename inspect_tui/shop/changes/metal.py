"""A job's alloy or contraction was said wrongly: it is put right, and its tools are laid out by what holds now."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen, replace
from inspect_tui.metrology.typed import fields
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.measuring import Note
from inspect_tui.record import kinds
from inspect_tui.shop.jobs.file import change, heads, of_record, plan

if TYPE_CHECKING:
    from inspect_tui.model.measuring import Person
    from inspect_tui.model.work import Job
    from inspect_tui.record.store import Record

# what is asked, as the form calls it
FIELDS = (
    ("alloy", "alloy: such as ductile iron"),
    ("construction", "construction: open, cored, free, restrained; may be left out"),
    ("contraction", "contraction: 1.0 %, or X Y Z each, of the casting"),
    ("source", "from: where it comes from, such as the first sampling"),
)
PUT_RIGHT = "stated by the shop, put right"


@frozen
class Metal:
    """A job as it would be, what that means for its tools, whether it moves their sizes, and what is asked first."""

    job: Job
    sentence: str
    moves: bool
    asks: str = ""


def shown(job: Job, style: Style = MM) -> dict[str, str]:
    """What stands in the fields first."""
    a = [style.percent(value, 3) for value in (job.a_x, job.a_y, job.a_z)]
    return {
        "alloy": job.alloy or "",
        "construction": job.construction or "",
        "contraction": a[0] if len(set(a)) == 1 else " ".join(a),
        "source": job.a_source,
    }


def read(record: Record, job: Job, values: Mapping[str, str], style: Style = MM) -> Metal:
    """The job with what is typed over of `FIELDS`; DataError with what is wrong. Nothing is written."""
    first = shown(job, style)
    typed = {name: text.strip() for name, text in values.items() if text.strip() != first[name]}
    made = replace(
        job,
        alloy=(typed["alloy"] or None) if "alloy" in typed else job.alloy,
        construction=(typed["construction"] or None) if "construction" in typed else job.construction,
    )
    told, asks = "its tools stay as they are laid out", ""
    if "contraction" in typed:
        a = fields.contractions(typed["contraction"])
        if isinstance(a, fields.Wrong):
            raise DataError(f"contraction: {a}.")
        asks = heads.doubtful(dict(zip("xyz", a, strict=True)), made.alloy, made.construction, style)
        u = plan.PLAN_U
        made = replace(made, a_x=a[0], a_y=a[1], a_z=a[2], ua_x=u, ua_y=u, ua_z=u, a_source=PUT_RIGHT)
        tools = len(record.tools(job.of_id))
        told = f"{tools} tools get other sizes; what was read on them is judged by those that held then"
    if typed.get("source"):
        made = replace(made, a_source=typed["source"][:200])
    return Metal(made, told, "contraction" in typed, asks)


def write(record: Record, job: Job, metal: Metal, why: str, by: Person) -> None:
    """Put it right; with another contraction every size on a tool is laid out anew, in one go.

    DataError without a reason, or where nothing is another than it was.
    """
    if not why.strip():
        raise DataError("Say why: it stands beside the job from now on.")
    if metal.job == job:
        raise DataError("Nothing is another than it was.")
    if record.revisions(job.of_id):
        old = of_record.plan_of(record, job)
        names = ("alloy", "construction", "a_x", "a_y", "a_z", "ua_x", "ua_y", "ua_z", "a_source")
        new = replace(old, job=replace(old.job, **{name: getattr(metal.job, name) for name in names}))
        change.write_changes(record, change.propose(record, job, new), why, by.id)
    else:
        record.add(replace(metal.job, id=b"", replaces_id=job.id), by.id)
    now = record.job(job.of_id)
    record.add(Note(about_kind=kinds.JOB.number, about_id=now.id, text=why.strip()[:400]), by.id)
