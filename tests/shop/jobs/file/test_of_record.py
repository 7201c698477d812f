"""What the record holds of a job now: current versions, the newest drawing, nothing that was withdrawn."""

from __future__ import annotations

from pathlib import Path

import pytest

from inspect_tui.errors import NotFound
from inspect_tui.frozen import replace
from inspect_tui.model.changes import Withdrawal
from inspect_tui.model.work import Job
from inspect_tui.record import kinds
from inspect_tui.record.store import Record
from inspect_tui.shop.bench.outcomes import Logged
from inspect_tui.shop.common import find
from inspect_tui.shop.jobs import jobs
from inspect_tui.shop.jobs.file import of_record
from inspect_tui.shop.kit import edit
from tests.conftest import SmallShop
from tests.worlds.job_files import example, out_of, plan, stored
from tests.worlds.kit_jobs import two_cores
from tests.worlds.trials import tried


def test_what_was_done_with_a_job_stays_and_is_named(shop: SmallShop, tmp_path: Path) -> None:
    """A job file holds no trials and no readings: they go with a bundle, who wrote them and when with them."""
    job = find.job(shop.record, "SV-12")
    assert of_record.stays(shop.record, job) == []
    bench = shop.bench()
    bench.goto("F1")
    assert isinstance(bench.take("59.60"), Logged)
    with Record.open(tmp_path / "kit.db", create=True, state_dir=tmp_path / "state") as record:
        made = two_cores(record)
        tried(made, sort="trying in")
        assert of_record.stays(record, made.job) == ["1 trial in the mould"]
    assert of_record.stays(shop.record, job) == ["readings"]


def whole(shop: SmallShop) -> Job:
    return stored(shop.record, plan(example().replace("SV-12", "X-1")))


def test_later_versions_count_and_old_ones_are_followed_to_what_holds_now(shop: SmallShop) -> None:
    record, by = shop.record, shop.ab.id
    job = whole(shop)
    before = out_of(record, job)
    core, tool = record.cores(job.of_id)[0], record.tools(job.of_id)[0]
    record.revise(core, by, name="flue")
    record.revise(tool, by, material="board")
    now = out_of(record, job)
    assert now["core"][0]["name"] == "flue" and now["tool"][0]["material"] == "board"
    changed = {key for key in before if before[key] != now[key]}
    assert changed == {"core", "tool"}  # ends, seats and sizes on tools still name them


def test_a_new_edition_takes_fits_checks_and_loops_along(shop: SmallShop) -> None:
    job = whole(shop)
    record = shop.record
    before = out_of(record, job)
    feature = of_record.plan_of(record, job).features[0]
    jobs.revise(record, job, "B", [replace(feature, nominal=63.0, lower=62.2, upper=63.8)], "wider", shop.ab)
    now = out_of(record, job)
    assert now["drawing"]["rev"] == "B" and now["feature"][0]["nominal"] == 63
    assert {key for key in before if before[key] != now[key]} == {"drawing", "feature"}


def test_the_order_of_setting_stands_with_the_core(shop: SmallShop) -> None:
    record = shop.record
    job = whole(shop)
    core = record.cores(job.of_id)[1]
    edit.set_core_detail(record, job, core, shop.ab.id, set_order=7)
    made = of_record.plan_of(record, job)
    assert [c.set_order for c in made.cores] == [1, 7]
    assert {said.core_of_id for said in made.core_details} == {made.cores[0].of_id}  # of core 2 nothing else is said


def test_what_is_withdrawn_is_left_out_and_comes_back(shop: SmallShop) -> None:
    record, by = shop.record, shop.ab.id
    job = whole(shop)
    before = out_of(record, job)
    tool = next(t for t in record.tools(job.of_id) if t.label == "box 2")
    record.add(Withdrawal(about_kind=kinds.TOOL.number, about_id=tool.of_id, why="never made"), by)
    gone = out_of(record, job)
    assert "box 2" not in [row["label"] for row in gone["tool"]]
    record.add(Withdrawal(about_kind=kinds.TOOL.number, about_id=tool.of_id, state="back", why="made"), by)
    assert out_of(record, job) == before


def test_a_job_without_a_drawing_says_so(shop: SmallShop) -> None:
    job = shop.record.add(Job(number="E", name="empty"))
    with pytest.raises(NotFound, match="no drawing yet"):
        of_record.plan_of(shop.record, job)
