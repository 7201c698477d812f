"""What pictures at the Bench and of a feature are of: the tool or casting, its core, the size, the last reading."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inspect_tui.model.words import Id
from inspect_tui.record import kinds
from inspect_tui.shop.pictures.owners import Owner

if TYPE_CHECKING:
    from inspect_tui.model.work import Feature
    from inspect_tui.record.store import Record
    from inspect_tui.shop.bench.line import Bench
    from inspect_tui.shop.bench.outcomes import Logged, Task
    from inspect_tui.shop.common.find import Subject

MOST_READINGS = 200  # of one size, whose pictures are looked for


def owners(record: Record, subject: Subject, feature: Feature | None, logged: Logged | None = None) -> list[Owner]:
    """What a picture that is taken now may be of, the nearest first."""
    made: list[Owner] = []
    tool, item = subject.tool, subject.item
    if tool is not None:
        made.append(Owner(subject.label, kinds.TOOL, tool.of_id))
    elif item is not None:
        made.append(Owner(subject.label, kinds.ITEM, item.id))
    if feature is not None:
        made.append(Owner(feature.balloon, kinds.FEATURE, feature.id))
    if logged is not None:
        balloon = logged.task.feature.balloon
        made.append(Owner(f"last reading of {balloon}", kinds.READING, logged.readings[-1].id))
    core_id = tool.core_id if tool is not None else item.core_id if item is not None else None
    if core_id is not None:
        core = record.core(core_id)
        made.append(Owner(f"core {core.number}", kinds.CORE, core.of_id))
    return made


def also(bench: Bench, task: Task | None) -> list[Id]:
    """Whose pictures are looked for besides: the size on older drawings, and its readings here."""
    if task is None:
        return []
    readings = bench.readings_of(task, MOST_READINGS)
    return [*bench.record.feature_lineage(task.feature.id), *(logged.id for logged in readings)]
