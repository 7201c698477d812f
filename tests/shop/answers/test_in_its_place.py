"""A casting measured in its core's place: told by most sizes that can tell, never by prints or one odd reading."""

from __future__ import annotations

import pytest

from inspect_tui.model.work import Item
from inspect_tui.shop.answers import in_its_place, sand_cores
from tests.worlds.kit_jobs import Kit


@pytest.mark.parametrize(
    ("read", "like"),
    [
        ({"W": 100.1, "L": 59.95}, [0, 1]),
        ({"W": 100.1, "L": 60.6}, []),  # half of them do not tell
        ({"W": 101.0, "L": 60.58}, []),
        ({"W": 100.6, "L": 60.4}, []),  # worn, but nearer to neither
        ({"K1-P": 60.0, "W": 100.05}, [1]),  # a print has one size on both: it says nothing
        ({"K1-P": 60.0}, []),
        ({}, []),
    ],
)
def test_most_sizes_that_can_tell_decide(kit: Kit, read: dict[str, float], like: list[int]) -> None:
    sand = Item(job_of_id=kit.job.of_id, kind="core", serial="?", core_id=kit.core[1].id)
    wanted = in_its_place.sizes_of(kit.record, kit.job, sand)
    assert in_its_place.of_the_casting([(value, wanted[balloon]) for balloon, value in read.items()]) == like


def test_a_sand_core_that_was_measured_is_asked_about(kit: Kit) -> None:
    (sand,) = sand_cores.open_new(kit.record, kit.job, kit.core[1], ["A-1"])
    assert in_its_place.asked_of(kit.record, kit.job, sand) == ""
    kit.read(sand, {"W": 100.02, "L": 60.01})
    assert in_its_place.asked_of(kit.record, kit.job, sand) == (
        "2 of 2 sizes of sand core A-1 are those of the casting, such as 100.02 for W: was the casting measured in the "
        "sand core's place?"
    )
    assert in_its_place.question(1, 1, "A-1", "100.02", "W") == (
        "the one size that was read of sand core A-1 is the casting's, 100.02 for W: was the casting measured in the sand "
        "core's place?"
    )
    casting = kit.casting("C-1")
    kit.read(casting, {"W": 100.02})
    assert in_its_place.asked_of(kit.record, kit.job, casting) == ""
