"""The sheet to measure one tool or casting by on paper: its sizes with targets and limits, and boxes to write in.

It comes back as a table: the same rows as CSV, with the heads that files of readings have.
"""

from __future__ import annotations

from inspect_tui.frozen import frozen_by_name
from inspect_tui.metrology.sizes.place import place, where
from inspect_tui.metrology.typed.show import INCH, MM, Style
from inspect_tui.model.work import Job
from inspect_tui.record.store import Record
from inspect_tui.shop.bench.line import Bench
from inspect_tui.shop.common import find
from inspect_tui.shop.common.find import Subject
from inspect_tui.shop.common.sizes import bare_unit
from inspect_tui.shop.kit.sketch.scene import Scene, read

DECIMALS = 6  # of a figure in a table: a nanometre, or the same in inches
CAUTIONS = ("Heavy tools and castings are set down so that they cannot tip while they are measured.",)


@frozen_by_name
class BenchRow:
    """One size to read: what it is, the size wanted, its limits, where it is taken; `unit` is the reader's.

    `target`, `lower` and `upper` are the same as figures in that unit; None where there is none or none is to be shown.
    """

    balloon: str
    name: str
    wanted: str
    limits: str
    where: str
    unit: str
    target: float | None = None
    lower: float | None = None
    upper: float | None = None


@frozen_by_name
class BenchSheet:
    """The whole sheet. `scene` is None where nothing of the mould has a place; `hand` the core whose tool it is."""

    job: str
    name: str
    revision: str
    subject: str
    kind: str  # tool or casting
    state: str
    rows: tuple[BenchRow, ...]
    scene: Scene | None
    hand: str
    heads: tuple[str, ...]  # ends of the record's chains, for the foot of the paper


def sheet(record: Record, job: Job, on: Subject, style: Style = MM, *, blind: bool = False) -> BenchSheet:
    """The sheet of a tool or casting in the style of who measures; `blind` without what is expected."""
    bench = Bench(record, job, on)
    numbers = find.core_numbers(record, job)
    lengths = "mm" if style.unit == "mm" else "in"
    rows = []
    for task in bench.tasks:
        feature, own = task.feature, style.of(task.feature.quantity)
        band = task.sizes.band
        taken = place(feature, numbers)
        said = (where(taken, style, figures=not blind) if taken else "", feature.note or "")
        open_ = band.lower is None and band.upper is None
        known = feature.nominal_known and not blind
        unit = bare_unit(feature, None, lengths)
        by = INCH if unit == "in" else 1.0
        target, lower, upper = (
            None if size is None or not known else round(size / by, DECIMALS)
            for size in (task.sizes.target, band.lower, band.upper)
        )
        rows.append(
            BenchRow(
                balloon=feature.balloon,
                name=feature.name,
                wanted=own.size(task.sizes.target, feature.quantity) if known else "",
                limits="" if open_ or not known else own.band(band.lower, band.upper, unit=False),
                where="; ".join(part for part in said if part),
                unit=unit,
                target=target,
                lower=lower,
                upper=upper,
            )
        )
    mould = read(record, job)
    tool = on.tool
    return BenchSheet(
        job=job.number,
        name=job.name,
        revision=bench.revision.rev,
        subject=on.label,
        kind=on.kind,
        state=bench.state,
        rows=tuple(rows),
        scene=mould if mould.placed else None,
        hand=numbers.get(tool.core_id, "") if tool is not None and tool.core_id is not None else "",
        heads=tuple(record.heads()),
    )
