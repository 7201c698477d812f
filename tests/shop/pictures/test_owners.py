"""What a picture is of is found by what people call it, readings and steps of the setting too."""

from __future__ import annotations

from pathlib import Path

import pytest

from inspect_tui.errors import DataError, NotFound, Several
from inspect_tui.model.trends import ToolRepair
from inspect_tui.record import kinds
from inspect_tui.record.store import Record
from inspect_tui.shop.pictures import owners
from tests.conftest import SmallShop
from tests.worlds.kit_jobs import two_cores


def test_each_sort_is_found_by_its_words(shop: SmallShop) -> None:
    bench = shop.bench("box 1")
    bench.goto("F3")
    for text in ("212.0", "212.1", "212.2"):
        bench.take(text)
        bench.keep_pending()
        bench.goto("F3")
    bench.void_last()  # what does not count is not shown
    record, job = shop.record, shop.record.job("SV-12")
    box = next(tool for tool in record.tools(job.of_id) if tool.label == "box 1")
    repair = record.add(ToolRepair(tool_of_id=box.of_id, action="line", done_on="2026-03-02", what="lined"))
    (core,) = record.cores(job.of_id)
    f3 = next(f for f in record.features(record.revisions(job.of_id)[-1].id) if f.balloon == "F3")
    newest = record.readings(f3.id, tool_of_id=box.of_id, newest_first=True)[1]
    for words, kind, of_id in (
        ("job", kinds.JOB, job.of_id),
        ("sv-12", kinds.JOB, job.of_id),
        ("Box 1", kinds.TOOL, box.of_id),
        ("core 1", kinds.CORE, core.of_id),
        ("f03", kinds.FEATURE, f3.id),
        ("repair of box 1", kinds.TOOL_REPAIR, repair.of_id),
        ("reading F3 of box 1", kinds.READING, newest.id),
        ("step 1", kinds.CORE, core.of_id),
    ):
        owner = owners.named(record, job, words)
        assert (owner.kind, owner.of_id) == (kind, of_id), words
        assert owner.kind.number in owners.ALLOWED
    assert newest.value == 212.1


def test_what_is_not_there_is_said_with_what_could_be_meant(shop: SmallShop) -> None:
    record, job = shop.record, shop.record.job("SV-12")
    for words, wrong, said in (
        ("box 7", NotFound, "nearest: .*A picture is of one of these: job, core 3"),
        ("reading F3 of box 1", NotFound, "F3 was not read on box 1 yet"),
        ("reading F99 of box 1", NotFound, "F99 is not on revision A"),
        ("step 2", DataError, "has 1 steps: there is no step 2"),
        ("step 0", DataError, "there is no step 0"),
        ("1", Several, "fits several"),
    ):
        with pytest.raises(wrong, match=said):
            owners.named(record, job, words)


def test_steps_are_those_of_the_setting(tmp_path: Path) -> None:
    with Record.open(tmp_path / "kit.db", create=True) as record:
        made = two_cores(record)
        made.add_core(3, set_order=0)
        made.add_fit("K3", 3, "drag", holds="x,y,z,rx,ry,rz")
        assert [owners.named(record, made.job, f"step {n}").name for n in (1, 2, 3)] == ["core 3", "core 1", "core 2"]
        assert owners.named(record, made.job, "K3").kind is kinds.FIT
