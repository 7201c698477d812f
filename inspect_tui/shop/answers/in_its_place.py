"""Whether a casting was measured in its sand core's place: sizes that are the casting's and not the core's."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from inspect_tui.metrology.typed import show
from inspect_tui.shop.bench.worklist import on_sand_core
from inspect_tui.shop.common import find, lineage
from inspect_tui.shop.common.sizes import Sizes, is_the_castings, sizes

if TYPE_CHECKING:
    from inspect_tui.model.work import Item, Job
    from inspect_tui.record.read import Reader
    from inspect_tui.record.store import Record


def sizes_of(record: Reader, job: Job, item: Item) -> dict[str, Sizes]:
    """The sizes that a sand core has, by balloon of the newest drawing."""
    revisions = record.revisions(job.of_id)
    features = {feature.id: feature for feature in record.features(revisions[-1].id)} if revisions else {}
    subject = find.Subject("sand core", item=item)
    return {
        feature.balloon: sizes(job, feature, subject, on) for feature, on in on_sand_core(record, job, item, features)
    }


def of_the_casting(read: Sequence[tuple[float, Sizes]]) -> list[int]:
    """Which of these readings (mm, with the core's sizes) are the casting's; none unless most that can tell are."""
    told = {n: is_the_castings(value, wanted) for n, (value, wanted) in enumerate(read)}
    like = [n for n, casting in told.items() if casting]
    can_tell = sum(casting is not None for casting in told.values())
    return like if 2 * len(like) > can_tell else []


def question(count: int, of: int, serial: str, typed: str, balloon: str) -> str:
    """What is asked: `2 of 3 sizes of sand core S4-1-C3 are those of the casting ...`."""
    place = "was the casting measured in the sand core's place?"
    if of == 1:
        return f"the one size that was read of sand core {serial} is the casting's, {typed} for {balloon}: {place}"
    told = f"{count} of {show.count(of, 'size')} of sand core {serial} are those of the casting"
    return f"{told}, such as {typed} for {balloon}: {place}"


def asked_of(record: Record, job: Job, item: Item) -> str:
    """The question about a sand core that was measured, "" where its sizes are its own."""
    wanted = sizes_of(record, job, item)
    same = lineage.same_rows(record, job, [s.feature for s in wanted.values()])
    balloon = {row: s.feature.balloon for s in wanted.values() for row in same.get(s.feature.id, (s.feature.id,))}
    logged = [r for r in record.readings(item_id=item.id, include_void=False) if r.reading.feature_id in balloon]
    read = [(r.value, wanted[balloon[r.reading.feature_id]]) for r in logged]
    like = of_the_casting(read)
    if not like:
        return ""
    first = logged[like[0]].reading
    return question(len(like), len(read), item.serial, first.typed, balloon[first.feature_id])
