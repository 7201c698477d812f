"""Sand cores that are measured, each of a core of the job: opened, listed, with what was said of them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import TYPE_CHECKING

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen_by_name
from inspect_tui.model.work import Core, Item, Lot
from inspect_tui.shop.common import find

if TYPE_CHECKING:
    from inspect_tui.model.foundry import SettingAnswer
    from inspect_tui.model.words import Id
    from inspect_tui.model.work import Job
    from inspect_tui.record.read import Reader
    from inspect_tui.record.store import Record

MOST = 500  # opened at once


@frozen_by_name
class SandCore:
    """One sand core: how many of its sizes have readings that count, and what came back from the foundry about it."""

    item: Item
    core: Core
    lot: str | None
    sizes: int
    readings: int
    said: tuple[SettingAnswer, ...]


def serial_of(mould: str, core: int) -> str:
    """What the sand core of a setting is called: `S4-1-C3` is core 3 of the casting S4-1."""
    return f"{mould.strip()}-C{core}"


def core_named(reader: Reader, job: Job, words: str) -> Core:
    """The core that people mean by `core 3`, `3` or its name. NotFound with the nearest."""
    cores = reader.cores(job.of_id)
    number = words.strip().casefold().removeprefix("core").strip()
    for core in cores:
        if number.isdecimal() and core.number == int(number):
            return core
    return find.pick(words, cores, lambda core: f"core {core.number} {core.name}", "core", f" in job {job.number}")


def opened(
    reader: Reader, job: Job, core: Core, serials: Sequence[str], lot: Lot | None = None, cavity: str | None = None
) -> list[Item]:
    """New sand cores, not written yet; DataError for none, doubles, and those that are there already."""
    wanted = [" ".join(serial.split()) for serial in serials if serial.strip()]
    if not wanted:
        raise DataError("Name at least one sand core by what stands on it, such as S4-1-C3.")
    if len(wanted) > MOST:
        raise DataError(f"{len(wanted)} sand cores at once are too many; {MOST} are the most.")
    long = next((serial for serial in wanted if len(serial) > 40), None)
    if long is not None:
        raise DataError(f"{long[:24]}… is too long: 40 letters are the most.")
    if cavity is not None and len(cavity) > 20:
        raise DataError("A cavity has at most 20 letters, such as 2 or left.")
    counted = Counter(serial.casefold() for serial in wanted)
    if twice := sorted(serial for serial, n in counted.items() if n > 1):
        raise DataError(f"{', '.join(twice[:6])}: named twice; every sand core has a mark of its own.")
    there = {item.serial.casefold() for item in reader.items(job.of_id) if item.kind == "core"}
    if known := [serial for serial in wanted if serial.casefold() in there]:
        raise DataError(f"Sand core {', '.join(known[:6])} is there already in job {job.number}.")
    return [
        Item(
            job_of_id=job.of_id,
            kind="core",
            serial=serial,
            core_id=core.id,
            lot_id=lot.id if lot else None,
            cavity=cavity or None,
        )
        for serial in wanted
    ]


def open_new(
    record: Record,
    job: Job,
    core: Core,
    serials: Sequence[str],
    lot: Lot | None = None,
    cavity: str | None = None,
    by: Id | None = None,
) -> list[Item]:
    """Open sand cores to be measured, all or none. Errors: as `opened`."""
    made: list[Item] = record.add_all(opened(record, job, core, serials, lot, cavity), by)
    return made


def listed(reader: Reader, job: Job, core: Core | None = None) -> list[SandCore]:
    """The sand cores of a job, or of one of its cores, by core and then as they were opened."""
    cores = {c.of_id: c for c in reader.cores(job.of_id)}
    versions = reader.core_versions(job.of_id)
    lots = {lot.id: lot.label for lot in reader.lots(job.of_id)}
    read: dict[Id, list[Id]] = {}
    for item_id, feature_id, _ in reader.read_on_sand(job.of_id):
        read.setdefault(item_id, []).append(feature_id)
    said: dict[Id | None, list[SettingAnswer]] = {}
    for answer in reader.setting_answers(job.of_id):
        said.setdefault(answer.item_id, []).append(answer)
    made = []
    for item in reader.items(job.of_id):
        of = cores.get(versions.get(item.core_id or b"", b""))
        if item.kind != "core" or of is None or (core is not None and of.of_id != core.of_id):
            continue
        features = read.get(item.id, [])
        made.append(
            SandCore(
                item=item,
                core=of,
                lot=lots.get(item.lot_id) if item.lot_id else None,
                sizes=len(set(features)),
                readings=len(features),
                said=tuple(said.get(item.id, ())),
            )
        )
    return sorted(made, key=lambda sand: sand.core.number)
