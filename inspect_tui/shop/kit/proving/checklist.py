"""The checklist of a trial, to be filled in where the mould is: a line a core, seat and wall, in setting order.

Sizes are mm in the mould. It carries the mark of its edition, so that what comes back tells whether it is of the kit as
it stands, of an older one, or of another job.
"""

from __future__ import annotations

from collections.abc import Iterator

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen_by_name
from inspect_tui.metrology.typed import fields
from inspect_tui.metrology.typed.fields import Wrong
from inspect_tui.record.read import Reader
from inspect_tui.shop.kit.check import KitCheck
from inspect_tui.shop.kit.paper.come_back import edition_of, line_of
from inspect_tui.shop.kit.tried import words

COLUMNS = ("job", "rev", "trial", "item", "what", "least_mm", "most_mm", "found", "edition")
# what is asked about the whole trial: item, what, to be answered with
HEADS = (
    ("day", "the day of the trial", "such as 2026-03-31"),
    ("who", "who tried it", "name or initials"),
    ("place", "where", "shop or foundry"),
    ("mould", "the mould", "as it is marked"),
    ("inside", "what was put in", "sticks or cores"),
    ("cores", "which cores were in it", "such as 1-9, or all"),
    ("order", "was the order followed", "yes, or the cores as they went in"),
)
CAUTIONS = (
    "A raised half is propped before anybody reaches under it; hands off the parting while it is lowered.",
    "Lead wire: gloves, and wash hands before eating.",
    "A core that rubs is not forced: say where it rubs, and leave it.",
)


@frozen_by_name
class ChecklistRow:
    """One line to be filled in; limits mm in the mould, None where there are none."""

    item: str  # core 3, K6-3, F48, closing, remark
    sort: str  # as in the model: core, fit, wall, closing, remark
    what: str
    core: int | None = None  # whose line it is, and its step; None for one of the whole mould
    step: int | None = None
    lower_mm: float | None = None
    upper_mm: float | None = None


@frozen_by_name
class Checklist:
    """The sheet of one job for one sort of trial."""

    job: str
    name: str
    drawing: str | None
    rev: str | None
    sort: str  # trying in, trial closing
    order: tuple[str, ...]
    rows: tuple[ChecklistRow, ...]
    proven: str  # how the kit stands before it
    cautions: tuple[str, ...]
    heads: tuple[str, ...]

    @property
    def edition(self) -> str:
        """The mark of this edition."""
        return edition_of(self.job, (row_line(r.item, r.what, r.lower_mm, r.upper_mm) for r in self.rows))


def row_line(item: str, what: str, lower: float | None, upper: float | None) -> str:
    """What the mark is made of in one line."""
    return line_of("trial", None, what, item, None, lower, upper)


def checklist(record: Reader, check: KitCheck, sort: str) -> Checklist:
    """The checklist of a trying in or a trial closing; DataError for another sort, or a job without cores."""
    known = fields.choice(sort, words.SORTS.values(), "what it is")
    if isinstance(known, Wrong):
        raise DataError(f"{known}.")
    facts = check.facts.through(record)
    if not facts.cores:
        raise DataError(f"Job {facts.job.number} has no cores: there is nothing to try in a mould.")
    revision = facts.revision
    return Checklist(
        job=facts.job.number,
        name=facts.job.name,
        drawing=revision.number if revision else None,
        rev=facts.rev,
        sort=known,
        order=_order(check),
        rows=tuple(rows_of(check)),
        proven=check.proven_sentence,
        cautions=CAUTIONS,
        heads=tuple(record.heads()),
    )


def _order(check: KitCheck) -> tuple[str, ...]:
    return check.sequence or tuple(str(core.number) for core in sorted(check.facts.cores, key=lambda c: c.number))


def rows_of(check: KitCheck) -> Iterator[ChecklistRow]:
    """A line a core with its seats, in setting order; then the walls, the closing, and room for words."""
    facts = check.facts
    name = {str(core.number): core.name for core in facts.cores}
    for step, number in enumerate(_order(check), start=1):
        core = int(number)
        yield ChecklistRow(item=f"core {number}", sort="core", core=core, step=step, what=f"{name[number]} goes in")
        for line in check.lines:
            fit = line.fit
            if line.inner == f"core {number}" and fit.kind in ("print", "key"):
                into = line.outer or "a seat not said"
                mark = f", marked {fit.mark}" if fit.mark else ""
                yield ChecklistRow(
                    item=fit.name,
                    sort="fit",
                    core=core,
                    step=step,
                    what=f"{fit.kind} into {into}, along {fit.axis}{mark}",
                    lower_mm=fit.clear_min_mm,
                    upper_mm=fit.clear_max_mm,
                )
    yield from _walls(check)
    yield ChecklistRow(item="closing", sort="closing", what=words.STAY_APART)
    yield ChecklistRow(item="remark", sort="remark", what="rub marks, broken edges, what else")


def _walls(check: KitCheck) -> Iterator[ChecklistRow]:
    """The walls between two parts, as on the drawing: their thickness is taken by clay or plugs."""
    walls = [wall for wall in check.walls if wall.wall and not wall.written and wall.axis in ("x", "y", "z")]
    for wall in walls:
        scale = check.facts.mould_scale[wall.axis]
        low, high = wall.drawn.lower, wall.drawn.upper
        yield ChecklistRow(
            item=wall.label,
            sort="wall",
            what=f"{wall.name}, {wall.path[0]} to {wall.path[-1]}",
            lower_mm=None if low is None else low * scale,
            upper_mm=None if high is None else high * scale,
        )


def cells(made: Checklist) -> list[list[object]]:
    """The checklist as a table to fill in: `found` is empty."""
    rows: list[list[object]] = [
        [made.job, made.rev, made.sort, item, f"{what}: {how}", None, None, None, made.edition]
        for item, what, how in HEADS
    ]
    for row in made.rows:
        rows.append([made.job, made.rev, made.sort, row.item, row.what, row.lower_mm, row.upper_mm, None, made.edition])
    return rows
