"""At the Bench a picture may be of the tool, the size, the reading just logged, or the core of the tool."""

from __future__ import annotations

from inspect_tui.record import kinds
from inspect_tui.shop.bench.outcomes import Logged
from inspect_tui.shop.common import find
from inspect_tui.tui.pictures import at_hand
from tests.conftest import SmallShop


def test_what_is_at_hand_the_nearest_first(shop: SmallShop) -> None:
    bench = shop.bench("box 1")
    bench.goto("F3")
    task = bench.task
    bench.take("212.0")
    logged = bench.keep_pending() if bench.pending else None
    if logged is None:
        bench.goto("F3")
        logged = bench.take("212.0")
    assert isinstance(logged, Logged) and task is not None
    made = at_hand.owners(shop.record, bench.subject, task.feature, logged)
    assert [(owner.name, owner.kind) for owner in made] == [
        ("box 1", kinds.TOOL),
        ("F3", kinds.FEATURE),
        ("last reading of F3", kinds.READING),
        ("core 1", kinds.CORE),
    ]
    assert made[2].of_id == logged.readings[-1].id
    also = at_hand.also(bench, task)
    assert task.feature.id in also and made[2].of_id in also and at_hand.also(bench, None) == []


def test_a_casting_has_no_core(shop: SmallShop) -> None:
    from inspect_tui.model.work import Item

    job = shop.record.job("SV-12")
    item = shop.record.add(Item(job_of_id=job.of_id, kind="casting", serial="S1-1"))
    subject = find.subject(shop.record, job, "casting S1-1")
    made = at_hand.owners(shop.record, subject, None)
    assert [(owner.name, owner.kind, owner.of_id) for owner in made] == [("casting S1-1", kinds.ITEM, item.id)]
