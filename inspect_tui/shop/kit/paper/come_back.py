"""What the foundry fills in and sends back: core sizes, checks in the mould and remarks, in setting order.

Sizes are mm in the mould. A field that is None is not known. The sheet carries the mark of its edition: what comes back
tells by it whether it is of the kit as it stands, of an older one, or was changed.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import partial
from hashlib import sha256

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
    balloon: str | None = None
    wanted_mm: float | None = None
    lower_mm: float | None = None
    upper_mm: float | None = None


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
        "edition",
    )

    @property
    def edition(self) -> str:
        """The mark of this edition of the kit."""
        return edition_of(
            self.job,
            (line_of(r.kind, r.core, r.what, r.balloon, r.wanted_mm, r.lower_mm, r.upper_mm) for r in self.rows),
        )


def line_of(
    kind: str,
    core: int | None,
    what: str,
    balloon: str | None,
    wanted: float | None,
    lower: float | None,
    upper: float | None,
) -> str:
    """What the mark is made of in one line of the sheet; sizes in mm, to the thousandth as spreadsheets keep them."""
    words = (" ".join(str(word).split()).casefold() for word in (kind, core or "", what, balloon or ""))
    sizes = ("" if size is None else f"{round(size, 3) + 0.0:.3f}" for size in (wanted, lower, upper))
    return "|".join((*words, *sizes))


def edition_of(job: str, lines: Iterable[str]) -> str:
    """The mark of a sheet with these lines, in their order: a letter and twelve figures of a hash."""
    text = "\n".join((" ".join(job.split()).casefold(), *lines))
    return f"K{sha256(text.encode()).hexdigest()[:12]}"


def come_back(record: Record, job: Job, checked: KitCheck | None = None) -> ComeBack:
    """Core sizes, checks in the mould and remarks for the foundry to fill in, in setting order."""
    check = checked or kit.check(record, job)
    facts = check.facts
    rows: list[ComeBackRow] = []
    place = {str(core.number): core for core in facts.cores}
    for at, number in enumerate(check.sequence, start=1):
        core = place[number]
        box = facts.box(core.of_id)
        told = partial(ComeBackRow, step=at, core=core.number, core_name=core.name)
        for root in facts.listed.get(box.of_id, ()) if box else ():
            feature = facts.feature[root]
            sizes = facts.sizes_on(box, root) if box else None
            if sizes is None or feature.quantity in ("angle", "attribute", "temperature", "radius"):
                continue
            rows.append(
                told(
                    kind="core size",
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
            rows.append(
                told(kind="check", what=f"{what} ({template})" if template else what, lower_mm=lower, upper_mm=upper)
            )
        rows.append(told(kind="remark", what="rubbed, forced, broken?"))
    revision = facts.revision
    return ComeBack(
        job=job.number,
        name=job.name,
        drawing=revision.number if revision else None,
        rev=facts.rev,
        rows=tuple(rows),
    )
