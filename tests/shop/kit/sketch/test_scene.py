"""What there is to draw of a job: cores in the order in force, outline and parting."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from inspect_tui.frozen import replace
from inspect_tui.metrology.kit.bodies import Box
from inspect_tui.model.mould import CoreBody, MouldOutline
from inspect_tui.record.store import Record
from inspect_tui.shop.common import parting
from inspect_tui.shop.kit import edit
from inspect_tui.shop.kit.facts import KitFacts
from inspect_tui.shop.kit.sketch.scene import PartingStep, Scene, read, scene
from tests.worlds.kit_jobs import Kit, two_cores


@pytest.fixture
def made(tmp_path: Path) -> Iterator[Kit]:
    with Record.open(tmp_path / "kit.db", create=True) as record:
        yield two_cores(record)


def seen(kit: Kit, *sequence: str) -> Scene:
    return scene(KitFacts(kit.record, kit.job), sequence or ("1", "2"))


def faces(kit: Kit, part: str | int, **axes: tuple[float, float]) -> None:
    for axis, (low, high) in axes.items():
        kit.add_feature(f"{part}{axis}", axis, high - low, (part, -1, low), (part, 1, high))


def test_cores_come_in_setting_order_with_their_way_in(made: Kit) -> None:
    made.add_core(5, name="spare")
    cores = seen(made, "2", "1").cores
    assert [(core.number, core.step, core.way_in) for core in cores] == [
        ("2", 1, "z-"),
        ("1", 2, "z-"),
        ("5", None, None),
    ]
    assert seen(made).core("5").name == "spare" and seen(made).core("7") is None


def test_the_way_in_is_that_of_most_prints(made: Kit) -> None:
    for n in range(3):
        made.print_and_seat(f"K9-{n}", 2, 1, 10.0, 10.4, "y", way_in="x+")
    assert [core.way_in for core in seen(made).cores] == ["z-", "x+"]
    made.add_fit("J1", 2, 1, kind="joint", way_in="y-")
    made.add_fit("J2", 2, 1, kind="joint", way_in="y-")
    made.add_fit("J3", 2, 1, kind="joint", way_in="y-")
    made.add_fit("J4", 2, 1, kind="joint", way_in="y-")
    assert seen(made).cores[1].way_in == "x+"


def test_all_ways_in_and_what_a_core_sits_in(made: Kit) -> None:
    for n in range(2):
        made.print_and_seat(f"K9-{n}", 2, "drag", 10.0, 10.4, "y", way_in="x+")
    first, second = seen(made).cores
    assert (first.ways, first.into) == (("z-",), None)
    assert (second.ways, second.into) == (("x+", "z-"), None)  # more of its prints go into the drag
    for n in range(2):
        made.print_and_seat(f"K8-{n}", 2, 1, 10.0, 10.4, "y", way_in="x+")
    assert seen(made).cores[1].into == "1"
    made.add_core(5)
    assert (seen(made).core("5").ways, seen(made).core("5").into) == ((), None)


def test_bodies_about_and_given(made: Kit) -> None:
    faces(made, 1, x=(0, 50), y=(5, 25), z=(0, 10))
    core = seen(made).cores[0]
    assert not core.body.given and core.body.hull == Box(*(0, 50, 0, 25, 0, 10))  # over its print at y 0


def test_a_body_that_people_gave_has_its_boxes(made: Kit) -> None:
    for ord_, (x0, x1) in enumerate(((0, 9), (9, 20))):
        row = made.record.new_id()
        place = {"x0": x0, "x1": x1, "y0": 0, "y1": 8, "z0": 0, "z1": 7}
        made.record.add(CoreBody(id=row, of_id=row, core_of_id=made.core[1].of_id, ord=ord_, **place))
    body = seen(made).cores[0].body
    assert body.given and body.boxes == (Box(*(0, 9, 0, 8, 0, 7)), Box(*(9, 20, 0, 8, 0, 7)))


def test_the_outline_is_about_until_it_is_given(made: Kit) -> None:
    assert seen(made).outline is None and seen(made).placed  # F1 has places along x
    faces(made, "drag", x=(-10, 60), y=(0, 30))
    assert seen(made).outline is None
    faces(made, "cope", x=(-12, 55), z=(20, 44))
    faces(made, 2, z=(-99, 99))
    about = seen(made)
    assert about.outline == Box(*(-12, 60, 0, 30, 20, 44)) and not about.outline_given
    assert not Scene(job="J", cores=()).outline_given
    row = made.record.new_id()
    made.record.add(MouldOutline(id=row, of_id=row, job_of_id=made.job.of_id, x0=0, x1=9, y0=0, y1=8, z0=0, z1=7))
    given = seen(made)
    assert given.outline == Box(*(0, 9, 0, 8, 0, 7)) and given.outline_given


def test_prints_have_no_place_in_the_casting(made: Kit) -> None:
    made.add_feature("P1", "y", 9.0, ("drag", -1, 3.0), ("drag", 1, 12.0), scale="tool")
    made.add_feature("P2", "z", 9.0, ("drag", -1, 3.0), ("drag", 1, 12.0), scale="tool")
    made.add_feature("P3", "x", 9.0, ("drag", -1, 3.0), ("drag", 1, 12.0))
    assert seen(made).outline is None


def test_the_parting_with_its_steps_along_any_axis(made: Kit) -> None:
    assert (seen(made).parting, seen(made).parting_axis) == ((), "z")
    parting.say(made.record, made.job, "0 52 9; 52 62 11")
    assert seen(made).parting == (PartingStep(9.0, "x", 0.0, 52.0), PartingStep(11.0, "x", 52.0, 62.0))
    parting.say(made.record, made.job, "at y 40")
    assert (seen(made).parting, seen(made).parting_axis) == ((PartingStep(40.0),), "y")


def test_it_is_read_in_the_order_in_force(made: Kit) -> None:
    for number, at in ((1, 2), (2, 1)):  # core 2 sits in core 1: the order asked for cannot be
        made.detail(number, set_order=at)
    assert [core.number for core in read(made.record, made.job).cores] == ["1", "2"]
    assert read(made.record, made.job).job == "TK-1"


def test_keys_with_their_places_on_the_casting_and_the_names_of_the_ends(tmp_path: Path) -> None:
    with Record.open(tmp_path / "kit.db", create=True) as record:
        kit = two_cores(record)
        edit.change_fit(record, kit.job, kit.fit["K2"], mark="red", at_x=101.0, at_y=50.5, at_z=None)
        edit.set_core_detail(record, kit.job, kit.core[2], low_end="inlet", high_end="outlet", ends_axis="y")
        edit.set_core_detail(record, kit.job, kit.core[1], low_end="foot")  # along which axis was not said
        job = replace(kit.job, a_x=0.01, a_y=0.02, a_z=0.03)
        facts = KitFacts(record, kit.job)
        facts.job = job
        first, second = scene(facts, ("1", "2")).cores
    (key,) = second.keys
    assert (key.name, key.mark) == ("K2", "red")
    assert key.at == {"x": pytest.approx(100.0), "y": pytest.approx(50.5 / 1.02)}
    assert (second.ends_axis, second.low_end, second.high_end) == ("y", "inlet", "outlet")
    assert (first.ends_axis, first.low_end) == ("", "")
