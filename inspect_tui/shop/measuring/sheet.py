"""The sheet to measure castings by, a sample or a sampling: sizes in order with boxes to fill in, beside a sketch.

It comes back as a table: the same rows as CSV, with the heads that files of readings have.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

from inspect_tui.frozen import frozen_by_name
from inspect_tui.metrology.faces.plan import MEANS
from inspect_tui.model.work import Job
from inspect_tui.record.read import Reader
from inspect_tui.shop.kit.sketch.scene import Scene, read
from inspect_tui.shop.measuring.castings import RoundPlan
from inspect_tui.shop.measuring.sample import SamplePlan

CUT_UP_CAUTION = (
    "Cutting a casting up: clamp it, mind its weight; sand left in it gives silica dust: extraction, wet methods and "
    "respirators by local rules."
)
CAUTIONS = ("Castings are heavy and badly balanced: set them down so that they cannot tip while they are measured.",)


@frozen_by_name
class SheetRow:
    """One line to fill in. `words` say from where to where; nothing that is expected stands on the sheet.

    `serial` is that of its casting where the sheet is for several.
    """

    number: str
    size: str
    what: str
    words: str
    entered: bool = True
    serial: str | None = None


@frozen_by_name
class SheetGroup:
    """The lines that are taken with the same means."""

    title: str
    rows: tuple[SheetRow, ...]


@frozen_by_name
class MeasuringSheet:
    """The whole sheet. `scene` is None where nothing of the mould has a place: then there is room to draw it."""

    of: str  # sample casting, or sampling S1
    job: str
    name: str
    revision: str
    serial: str | None  # of the casting, where there is one
    groups: tuple[SheetGroup, ...]
    free: tuple[str, ...]  # faces that nothing pins; of a sampling what is to be measured on its tools
    sentence: str
    scene: Scene | None
    cautions: tuple[str, ...]
    heads: tuple[str, ...]  # ends of the record's chains, for the foot of the paper

    @property
    def not_entered(self) -> tuple[str, ...]:
        """Sizes that are not on the list yet: a file with them is not taken in before they are."""
        return tuple(row.size for group in self.groups for row in group.rows if not row.entered)


def sheet(record: Reader, job: Job, plan: SamplePlan) -> MeasuringSheet:
    """The sheet of a plan as it stands."""
    groups = [
        SheetGroup(
            title=MEANS[means].words + ("" if tied else "; nothing ties them to the datum yet"),
            rows=tuple(
                SheetRow(
                    number=str(line.number),
                    size=line.size,
                    what=line.what,
                    words=f"from {line.start} to {line.pins}",
                    entered=line.entered,
                )
                for line in lines
            ),
        )
        for (means, tied), lines in groupby(plan.lines, key=lambda line: (line.means, line.tied))
    ]
    checks = tuple(
        SheetRow(
            number="",
            size=check.size,
            what=check.what,
            words=f"{MEANS[check.means].words}; shows slips in {', '.join(check.over)}",
            entered=check.size not in {f.balloon for f in plan.to_enter},
        )
        for check in plan.checks
    )
    shapes = tuple(SheetRow(number="", size=size, what=what, words="its shape") for size, what in plan.templates)
    groups += [
        SheetGroup(title="worth taking besides", rows=checks),
        SheetGroup(title="shapes, with templates", rows=shapes),
    ]
    castings = [item.serial for item in record.items(job.of_id) if item.kind == "casting"]
    free = tuple(f"{', '.join(free.faces)}: {free.why}" for free in plan.free)
    return _sheet(record, job, "sample casting", plan.revision, castings, groups, free, plan.sentence, plan.cut_up)


def of_round(record: Reader, job: Job, plan: RoundPlan) -> MeasuringSheet:
    """The sheet of the plan that tells the causes of a sampling apart, casting by casting."""
    serials = list(dict.fromkeys(serial for line in plan.lines for serial in line.castings))
    groups = [
        SheetGroup(
            title=f"casting {serial}",
            rows=tuple(
                SheetRow(
                    number=str(line.number),
                    size=line.size,
                    what=line.what,
                    words=MEANS[line.means].words,
                    serial=serial,
                )
                for line in plan.lines
                if serial in line.castings
            ),
        )
        for serial in serials
    ]
    on_tools = tuple(f"on the tools: {words}" for words in plan.on_tools)
    revision = record.revisions(job.of_id)[-1].rev
    return _sheet(
        record, job, f"sampling {plan.round}", revision, serials, groups, on_tools, plan.sentence, plan.cut_up
    )


def _sheet(
    record: Reader,
    job: Job,
    of: str,
    revision: str,
    castings: Sequence[str],
    groups: Sequence[SheetGroup],
    free: tuple[str, ...],
    sentence: str,
    cut_up: bool,
) -> MeasuringSheet:
    mould = read(record, job)
    return MeasuringSheet(
        of=of,
        job=job.number,
        name=job.name,
        revision=revision,
        serial=castings[0] if len(castings) == 1 else None,
        groups=tuple(group for group in groups if group.rows),
        free=free,
        sentence=sentence,
        scene=mould if mould.placed else None,
        cautions=(*CAUTIONS, CUT_UP_CAUTION) if cut_up else CAUTIONS,
        heads=tuple(record.heads()),
    )
