"""Writes what the foundry sent back into the record: all that is new of it in one transaction, or nothing."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from inspect_tui.errors import DataError, NoTable
from inspect_tui.frozen import replace
from inspect_tui.model.kit import AttachmentUse
from inspect_tui.model.measuring import Reading
from inspect_tui.model.work import Item
from inspect_tui.record import attachments, kinds
from inspect_tui.shop.answers import checklist, guide_file, sheet
from inspect_tui.shop.answers.brought import brought
from inspect_tui.shop.common.tables import file as table_file
from inspect_tui.shop.common.tables.file import nobody_waits
from inspect_tui.shop.gauges.stays import Stays
from inspect_tui.shop.intake.columns import NOTHING
from inspect_tui.shop.intake.rows import ImportRefused

if TYPE_CHECKING:
    from inspect_tui.model.words import Id
    from inspect_tui.record.store import Record
    from inspect_tui.shop.answers.check import CheckedAnswers
    from inspect_tui.shop.answers.checklist import FilledIn
    from inspect_tui.shop.answers.said import Answers
    from inspect_tui.shop.common.tables.workbook_apart import Watch


def read(path: str | Path, page: str | None = None, watch: Watch = nobody_waits) -> Answers | FilledIn:
    """What a come-back sheet, the checklist of a trial or an answer file of the guide says; DataError for others."""
    if guide_file.is_guide_file(Path(path)):
        return guide_file.read(path)
    try:
        grid = table_file.read(path, page, watch)
    except NoTable as problem:
        raise DataError(problem.told(NOTHING)) from None
    if checklist.is_checklist(grid):
        return checklist.read(grid)
    if not sheet.is_sheet(grid):
        first = ", ".join(grid.rows[0][:8])
        raise DataError(
            f"{grid.name} is no come-back sheet: no line of it has the heads kind, core and read_mm, nor the heads "
            f"trial, item and found of a checklist; its first line reads: {first[:200]}. {NOTHING}"
        )
    return sheet.read(grid)


def write(record: Record, checked: CheckedAnswers) -> None:
    """Write what is new. ImportRefused where nothing is."""
    if checked.nothing_new:
        raise ImportRefused(f"All of {checked.answers.name} is in the record already. {NOTHING}")
    answers, readings = checked.answers, len(checked.readings)
    file, session = brought(record, answers.name, answers.sha256, checked.job.of_id, readings, checked.revision_id)
    things: list[Any] = [file]
    items: dict[str, Id] = {serial: item.id for serial, item in checked.items.items()}
    for serial, core, lot in checked.new_cores:
        items[serial] = record.new_id()
        things.append(
            Item(id=items[serial], job_of_id=checked.job.of_id, kind="core", serial=serial, core_id=core.id, lot_id=lot)
        )
    things += [
        replace(answer, item_id=items[serial] if serial is not None else None) for serial, answer in checked.said
    ]
    things += _pictures(record, checked, items)
    things.append(session)
    things += _readings(record, checked, session.id, items)
    record.add_all(things, by=checked.by.id)


def _pictures(record: Record, checked: CheckedAnswers, items: dict[str, Id]) -> list[Any]:
    """The pictures' bytes go beside the record first: a row never names bytes that are not there."""
    things: list[Any] = []
    made: dict[str, Id] = {}
    places: dict[Id, int] = {}
    for picture in checked.pictures:
        kept, known = attachments.put(record, picture.content, picture.name)
        about = items[picture.serial] if picture.serial is not None else checked.job.of_id
        if not known and kept.sha256 not in made:
            made[kept.sha256] = kept.id
            things.append(kept)
        if about not in places:
            shown = record.pictures([about]).get(about, [])
            places[about] = max((seen.use.ord for seen in shown), default=0)
        places[about] += 1
        things.append(
            AttachmentUse(
                attachment_id=made.get(kept.sha256, kept.id),
                about_kind=(kinds.ITEM if picture.serial is not None else kinds.JOB).number,
                about_id=about,
                caption=picture.caption,
                ord=places[about],
            )
        )
    return things


def _readings(record: Record, checked: CheckedAnswers, session_id: Id, items: dict[str, Id]) -> list[Any]:
    stays = Stays(record, session_id, checked.today)
    things: list[Any] = []
    for row in sorted(checked.readings, key=lambda row: row.day):  # ids go on with time: older readings first
        setup_id = stays.at(checked.people[row.by], checked.instruments[row.instrument], row.day)
        things += stays.begun()
        things.append(
            Reading(
                setup_id=setup_id,
                feature_id=row.feature.id,
                item_id=items[row.serial],
                rep=row.rep,
                value=row.value,
                typed=row.typed,
                typed_unit=row.unit,
            )
        )
    return things
