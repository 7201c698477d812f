"""Tests of: finds jobs, tools, castings, features, people and instruments by what people call them."""

from __future__ import annotations

from pathlib import Path

from inspect_tui.record.store import Record
from inspect_tui.shop.common import find
from inspect_tui.shop.first_article.castings import put_right as desk
from inspect_tui.shop.jobs import jobs
from tests.conftest import SmallShop
from tests.worlds.kit_jobs import begin


def test_further_castings_take_what_was_stated_before(shop: SmallShop) -> None:
    job = find.job(shop.record, "SV-12")
    lot = desk.open_round(shop.record, job, "S1", ["C1"], expansion_per_c=12.5e-6)
    desk.add_castings(shop.record, job, lot, ["C2"])
    jobs.add_casting(shop.record, job, "C3")
    assert {i.serial: i.expansion_per_c for i in shop.record.items(job.of_id)} == {
        "C1": 12.5e-6,
        "C2": 12.5e-6,
        "C3": 12.5e-6,
    }


def test_the_number_of_every_version_of_a_core(tmp_path: Path) -> None:
    with Record.open(tmp_path / "cores.db", create=True) as record:
        kit = begin(record)
        first = kit.add_core(3)
        second = record.revise(first, name="another name")
        assert find.core_numbers(record, kit.job) == {first.id: "3", second.id: "3"}
