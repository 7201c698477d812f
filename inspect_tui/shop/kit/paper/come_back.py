"""What the foundry fills in and sends back: core sizes, checks in the mould and remarks, in setting order.

Sizes are mm in the mould. A field that is None is not known.
"""

from __future__ import annotations

from inspect_tui.frozen import frozen_by_name
from inspect_tui.model.work import Job
from inspect_tui.record.store import Record
from inspect_tui.shop.kit import check as kit
from inspect_tui.shop.kit.check import KitCheck


@frozen_by_name
class ComeBackRow:
    """One line for the foundry to fill in: a core size, a check in the mould, or a remark."""

    kind: str  # core size, check, remark
    step: int | None
    core: int | None
    core_name: str | None
    what: str
    balloon: str | None
    wanted_mm: float | None
    lower_mm: float | None
    upper_mm: float | None


@frozen_by_name
class ComeBack:
    """What comes back from the foundry, by hand or as a small CSV with these columns."""

    job: str
    name: str
    drawing: str | None
    rev: str | None
    rows: tuple[ComeBackRow, ...]
    columns: tuple[str, ...] = (
        "job",
        "rev",
        "kind",
        "core",
        "what",
        "balloon",
        "wanted_mm",
        "lower_mm",
        "upper_mm",
        "casting",
        "read_mm",
        "by",
        "remark",
    )


def come_back(record: Record, job: Job, checked: KitCheck | None = None) -> ComeBack:
    """Core sizes, checks in the mould and remarks for the foundry to fill in, in setting order."""
    check = checked or kit.check(record, job)
    facts = check.facts
    rows: list[ComeBackRow] = []
    place = {str(core.number): core for core in facts.cores}
    for at, number in enumerate(check.sequence, start=1):
        core = place[number]
        box = facts.box(core.of_id)
        for root in facts.listed.get(box.of_id, ()) if box else ():
            feature = facts.feature[root]
            sizes = facts.sizes_on(box, root) if box else None
            if sizes is None or feature.quantity in ("angle", "attribute", "temperature", "radius"):
                continue
            rows.append(
                ComeBackRow(
                    kind="core size",
                    step=at,
                    core=core.number,
                    core_name=core.name,
                    what=feature.name,
                    balloon=feature.balloon,
                    wanted_mm=sizes.target,
                    lower_mm=sizes.band.lower,
                    upper_mm=sizes.band.upper,
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
    revision = facts.revision
    return ComeBack(
        job=job.number,
        name=job.name,
        drawing=revision.number if revision else None,
        rev=revision.rev if revision else None,
        rows=tuple(rows),
    )
