"""Sand cores: opened by what stands on them, listed by core, measured at the Bench as tools are."""

from __future__ import annotations

import pytest

from inspect_tui.errors import DataError, NotFound
from inspect_tui.shop.answers import sand_cores
from inspect_tui.shop.bench.line import Bench
from inspect_tui.shop.bench.outcomes import Asked, Logged
from inspect_tui.shop.common import find
from tests.worlds.kit_jobs import Kit


def test_they_are_opened_listed_and_measured_like_a_tool(kit: Kit) -> None:
    core = sand_cores.core_named(kit.record, kit.job, "core 1")
    lot = kit.record.lots(kit.job.of_id)[0]
    sand_cores.open_new(kit.record, kit.job, core, ["A-7", " A-8 "], lot, "left", kit.person.id)
    sand_cores.open_new(kit.record, kit.job, sand_cores.core_named(kit.record, kit.job, "2"), ["B-1"])
    listed = sand_cores.listed(kit.record, kit.job)
    assert [(s.item.serial, s.core.number, s.lot, s.item.cavity, s.sizes) for s in listed] == [
        ("A-7", 1, "S4", "left", 0),
        ("A-8", 1, "S4", "left", 0),
        ("B-1", 2, None, None, 0),
    ]
    bench = Bench(kit.record, kit.job, find.subject(kit.record, kit.job, "core A-7"), kit.person, kit.caliper)
    assert {task.feature.balloon: task.sizes.target for task in bench.tasks}["W"] == pytest.approx(101.0)
    bench.goto("W")
    assert isinstance(bench.take("101.02"), Logged)
    bench.goto("W")
    asked = bench.take("100.02")
    assert isinstance(asked, Asked)
    assert (
        asked.sentence == "100.02: the casting's size (100.00 mm), not its sand core's (101.00 mm). Is it the core's?"
    )
    bench.goto("K1-P")
    assert isinstance(bench.take("60.02"), Logged)  # a print has one size on both
    assert [s.sizes for s in sand_cores.listed(kit.record, kit.job, core)] == [2, 0]


def test_what_cannot_be_opened_is_a_sentence(kit: Kit) -> None:
    core = sand_cores.core_named(kit.record, kit.job, "core 1")
    sand_cores.open_new(kit.record, kit.job, core, ["A-7"])
    for serials, words in (
        ([" "], "Name at least one"),
        (["A-9", "a-9"], "a-9: named twice"),
        (["a-7"], "Sand core a-7 is there already in job TK-1"),
        (["x" * 41], "too long: 40 letters"),
        ([str(n) for n in range(501)], "too many; 500"),
    ):
        with pytest.raises(DataError, match=words):
            sand_cores.opened(kit.record, kit.job, core, serials)
    with pytest.raises(DataError, match="at most 20 letters"):
        sand_cores.opened(kit.record, kit.job, core, ["A-9"], None, "x" * 21)
    with pytest.raises(NotFound, match="no core 'core 9'"):
        sand_cores.core_named(kit.record, kit.job, "core 9")
    assert sand_cores.serial_of(" S4-1 ", 3) == "S4-1-C3"
