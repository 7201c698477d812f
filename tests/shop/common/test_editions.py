"""Who entered an edition of the drawing and when, what it changed, and what was put right in it and why."""

from __future__ import annotations

from inspect_tui.frozen import replace
from inspect_tui.model.work import Feature
from inspect_tui.shop.common import editions, find
from inspect_tui.shop.jobs import jobs
from tests.conftest import SmallShop

DAY_US = 86_400_000_000


def test_every_edition_says_when_by_whom_what_and_why(shop: SmallShop) -> None:
    job = find.job(shop.record, None)

    def now() -> dict[str, Feature]:
        return {f.balloon: f for f in shop.record.features(find.latest_revision(shop.record, job).id)}

    day = 1_790_000_000_000_000  # 2026-09-21
    shop.record._clock = lambda: (day, 60)
    jobs.correct(shop.record, job, [replace(now()["F3"], nominal=212.0)], "212 read as 210", shop.ab)
    shop.record._clock = lambda: (day + DAY_US, 60)
    jobs.correct(shop.record, job, [replace(now()["F2"], note="at x = 5"), replace(now()["F3"], upper=213.0)], "more")
    made = editions.editions(shop.record, job, shop.record.job_features(job.of_id))
    assert [edition.revision.rev for edition in made] == ["A", "A", "A"]
    assert [edition.correction for edition in made] == [False, True, True]
    assert [edition.changed for edition in made] == [(), ("F3",), ("F2", "F3")]
    assert made[1].words == "corrected 2026-09-21 by AB: 212 read as 210"
    assert made[2].words == "corrected 2026-09-22: more"
    assert made[0].words.startswith("entered ")
    newest = find.latest_revision(shop.record, job)
    assert [edition.revision.id for edition in editions.corrections(shop.record, job, newest)] == [
        made[2].revision.id,
        made[1].revision.id,
    ]
    jobs.revise(shop.record, job, "B", [])
    assert editions.corrections(shop.record, job, find.latest_revision(shop.record, job)) == []
