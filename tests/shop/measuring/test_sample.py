"""The measuring plan of a sample casting: order, means, what the drawing gives, what stays free. Worked by hand."""

from __future__ import annotations

import pytest

from inspect_tui.errors import NotFound
from inspect_tui.frozen import replace
from inspect_tui.model.words import NO_ID
from inspect_tui.model.work import Feature, Job
from inspect_tui.record.store import Record
from inspect_tui.shop.common import find
from inspect_tui.shop.jobs import jobs, sample_casting
from inspect_tui.shop.measuring.faces import FaceSaid, enter, name_faces
from inspect_tui.shop.measuring.faces import of_sample as of_names
from inspect_tui.shop.measuring.sample import SamplePlan, means_of, of_sample
from tests.worlds.sample_faces import named, read


def sizes(plan: SamplePlan) -> list[tuple[str, str]]:
    return [(line.size, line.means) for line in plan.lines]


def entered(record: Record) -> tuple[Job, SamplePlan]:
    job, _ = named(record)
    enter(record, job, of_sample(record, job).to_enter)
    return job, of_sample(record, job)


def test_every_face_is_pinned_from_the_datum_with_the_least_work(record: Record) -> None:
    job, _ = named(record)
    plan = of_sample(record, job)
    assert sizes(plan) == [("S2", "reach"), ("S3", "reach"), ("S3-S4", "ultrasonic"), ("S5", "section")]
    assert plan.lines[2].sentence == (
        "S3-S4 wall, end wall outside to jacket near end: from end wall outside (S3) to jacket near end (S4), through "
        "the wall, with ultrasonic thickness"
    )
    assert [line.from_datum for line in plan.lines] == [True, True, False, True]
    assert [line.entered for line in plan.lines] == [True, True, False, True] and all(line.tied for line in plan.lines)
    assert plan.lines[0].start == "flange face (S1)" and plan.lines[0].pins == "far end (S2)"
    assert (plan.pinned, plan.faces, plan.free, plan.cut_up) == (("drag face x 0",), 5, (), True)
    assert [c.size for c in plan.checks] == ["S4-S5"] and plan.checks[0].over == ("S3-S4", "S3", "S5")
    assert plan.templates == (("R1", "bend"),)
    assert sorted(f.balloon for f in plan.to_enter) == ["S3-S4", "S4-S5"]
    assert plan.sentence.startswith(
        "1 of 5 faces is pinned; 4 sizes more, about 1 h 41 min, with a casting cut up, pin"
    )
    assert "Next: S2 far end" in plan.sentence and plan.places == () and plan.slips == ()


def test_sizes_between_faces_are_put_on_the_list_and_then_read(record: Record) -> None:
    job, plan = entered(record)
    assert plan.to_enter == () and all(line.entered for line in plan.lines)
    read(record, job, {"S2": 620.4, "S3": 14.1, "S3-S4": 7.2})
    plan = of_sample(record, job)
    assert sizes(plan) == [("S5", "section")] and plan.minutes == pytest.approx(94.0)
    assert plan.sentence.startswith(
        "4 of 5 faces are pinned; 1 size more, about 1 h 34 min, with a casting cut up, pins all"
    )
    assert plan.given == (("S2", "read"), ("S3", "read"), ("S3-S4", "read"))
    at = {place.face: place for place in plan.places}
    assert (
        at["jacket near end (S4)"].mm == pytest.approx(21.3)
        and at["jacket near end (S4)"].from_face == "flange face (S1)"
    )
    assert at["jacket near end (S4)"].u_mm > at["far end (S2)"].u_mm > 0.02
    read(record, job, {"S4-S5": 484.5})  # another one than was asked for: what it pins is not asked for again
    plan = of_sample(record, job)
    assert plan.lines == () and plan.sentence == "5 of 5 faces are pinned: nothing is left to take."
    assert not plan.cut_up and [c.size for c in plan.checks] == ["S5"]


def test_the_newest_edition_counts_and_what_was_read_on_the_one_before(record: Record) -> None:
    job, _ = entered(record)
    read(record, job, {"S2": 620.4, "S3": 14.1})
    sample_casting.adopt(record, job, "SB-7-01", "A1", {"S2": 620.0})
    plan = of_sample(record, job)
    assert plan.revision == "A1" and plan.given == (("S2", "read"), ("S3", "read"))
    assert [face.balloon for face in of_names(record, job)] == ["S1", "S3", "S4", "S5"]


def test_a_reading_that_the_others_contradict_is_named(record: Record) -> None:
    job, _ = entered(record)
    read(record, job, {"S2": 620.4, "S3": 14.1, "S3-S4": 7.2, "S4-S5": 484.5, "S5": 508.8})
    slips = of_sample(record, job).slips
    assert len(slips) == 4 and "S5 stands 3.00 mm above what the others give" in " ".join(slips)
    assert all(slip.endswith("read it again") for slip in slips)
    read(record, job, {"S5": 505.8}, "17")
    assert of_sample(record, job).slips != slips


DRAWN = """
[job]
number = "D1"
contraction = "1.0 %"
[[core]]
number = 1
[[feature]]
balloon = "F1"
nominal = 100
a = "drag"
b = "drag"
at = [0, 104]
stock = [0, 4]
[[feature]]
balloon = "F2"
quantity = "wall"
nominal = 7
a = "drag"
b = "core 1"
at = [10, 17]
[[feature]]
balloon = "F3"
quantity = "wall"
nominal = 4
a = "core 1"
b = "drag"
at = [96, 104]
stock = [0, 4]
limits_raw = "clean up"
[[feature]]
balloon = "F4"
nominal = 30
a = "core 1"
b = "core 1"
between = "space"
at = [200, 230]
note = "on the casting cut up"
[[feature]]
balloon = "F5"
quantity = "diameter"
axis = "y"
nominal = 48
a = "core 1"
b = "core 1"
between = "space"
"""


def drawn(record: Record) -> SamplePlan:
    jobs.add_from_file(record, DRAWN)
    return of_sample(record, find.job(record, "D1"))


def test_what_the_drawings_machined_faces_give_is_not_taken(record: Record) -> None:
    plan = drawn(record)
    assert plan.given == (("F1", "drawing"),)  # F3 ends on a raw face of the core: no drawing of the part has it
    assert plan.pinned == ("drag face x 0", "drag face x 104")
    tied = [line for line in plan.lines if line.tied]
    assert [(line.size, line.means, line.start) for line in tied] == [("F3", "ultrasonic", "drag's face at x 104")]


def test_machined_sizes_of_a_sample_are_no_drawing(record: Record) -> None:
    jobs.add_from_file(record, DRAWN.replace("[[core]]", '[drawing]\nrev = "sample"\n[[core]]', 1))
    job = find.job(record, "D1")
    assert of_sample(record, job).given == ()
    sample_casting.adopt(record, job, "D1-01", "A", {"F1": 100.0})
    assert of_sample(record, job).given == (("F1", "drawing"),)


def test_what_stays_free_is_said_with_what_would_pin_it(record: Record) -> None:
    plan = drawn(record)
    loose = {free.sizes: free for free in plan.free}
    assert loose[("F2",)].faces == ("drag's face at x 10", "core 1's face at x 17")
    assert loose[("F2",)].why == "hang on F2 alone: a size from the datum of x to one of them pins them"
    assert loose[("F5",)].why == "nobody said where the ends of F5 stand: say their places, or name the faces"
    assert loose[("F4",)].faces == ("core 1's face at x 200", "core 1's face at x 230")
    hung = [line.size for line in plan.lines if not line.tied]
    assert hung == ["F5", "F2", "F4"] and "no size leads there from the datum yet" in plan.lines[-1].sentence
    assert "pin all that can be pinned; 6 faces would still be free. Next: F3" in plan.sentence
    assert plan.asked == ("no walls, no stock, no sketch for F5: say where the ends stand along their axis",)


def test_along_an_axis_without_a_datum_a_datum_is_asked_for(record: Record) -> None:
    job, _ = named(record)
    name_faces(record, job, [FaceSaid(name="pad", by="drag", axis="z", metal="+")])
    plan = of_sample(record, job)
    assert [line.start for line in plan.lines if line.size == "S6"] == ["the datum of z"]
    assert plan.asked == ("nobody said from which face places along z are counted: name the datum of z",)
    name_faces(record, job, [FaceSaid(name="feet", by="drag", axis="z", metal="+", datum=True)])
    assert of_sample(record, job).asked == ()


@pytest.mark.parametrize(
    ("quantity", "note", "cored", "means"),
    [
        ("length", None, [True, True], "reach"),
        ("length", "only on the sectioned casting", [False, False], "section"),
        ("wall", None, [True, False], "ultrasonic"),
        ("wall", None, [True, True], "section"),
        ("wall", None, [False, False], "reach"),
        ("radius", None, [False], "template"),
        ("angle", None, [], "template"),
    ],
)
def test_each_size_has_its_means(quantity: str, note: str | None, cored: list[bool], means: str) -> None:
    assert means_of(Feature(balloon="F", name="f", quantity=quantity, nominal=5.0, note=note), cored) == means


def test_without_sizes_or_lengths_faces_are_asked_for(record: Record) -> None:
    jobs.add_from_file(
        record,
        '[job]\nnumber = "E"\ncontraction = "1 %"\n[[feature]]\nballoon = "R"\nquantity = "radius"\nnominal = 3\n',
    )
    with pytest.raises(NotFound, match="no length between two faces yet: name the faces"):
        of_sample(record, find.job(record, "E"))


def test_a_casting_that_stands_apart_from_all_others_is_left_out_and_named(record: Record) -> None:
    job, _ = named(record)
    item = next(i for i in record.items(job.of_id) if i.serial == "17")
    for serial in ("18", "19", "20"):
        record.add(replace(item, id=NO_ID, serial=serial))
    for serial, mm in (("17", 620.4), ("18", 620.6), ("19", 24.43)):
        read(record, job, {"S2": mm}, serial)
    three = of_sample(record, job)
    assert three.slips == () and three.places[0].mm == pytest.approx((620.4 + 620.6 + 24.43) / 3)
    read(record, job, {"S2": 620.5}, "20")
    plan = of_sample(record, job)
    assert plan.slips == ("casting 19 stands apart from the others and is left out with S2 24.43 mm: look at it again",)
    assert plan.places[0].mm == pytest.approx(620.5)
