"""Bodies of cores about from the ends of their sizes, and over their prints."""

from __future__ import annotations

from inspect_tui.metrology.kit.bodies import Box
from inspect_tui.model.mould import CoreBody
from inspect_tui.record.store import Record
from inspect_tui.shop.kit.bodies import bodies
from inspect_tui.shop.kit.facts import KitFacts
from tests.shop.kit.test_check import record  # noqa: F401  a fixture
from tests.worlds.kit_jobs import begin, with_patterns


def a_box(*places: float) -> Box:
    """x from and to, y from and to, z from and to."""
    return Box(*places)


def test_a_body_reaches_from_face_to_face_and_over_its_prints(record: Record) -> None:
    made = with_patterns(begin(record))
    for number in (1, 2):
        made.add_core(number)
    made.add_feature("F1", "x", 80.0, (1, 1, 10.0), (1, -1, 90.0), ())
    made.add_feature("F2", "y", 7.0, ("drag", 1, 0.0), (1, -1, 7.0), ())
    made.add_feature("F3", "z", 30.0, (1, 1, 20.0), (1, -1, 50.0), ())
    made.size("K0", 1, 40.0, ())  # a print's own size stands at no place
    at = {"at_x": 202.0, "at_y": 60.6, "at_z": 5.0}  # tooling scale: 1 % of contraction
    made.add_fit("K1", 1, "drag", **at)
    made.add_fit("K2", 2, 1, at_x=0.0)
    found = bodies(KitFacts(made.record, made.job))
    assert list(found) == ["1", "2"]
    assert found["1"].boxes == (a_box(10, 200, 7, 60, 20, 50),)  # along its way in a print adds nothing
    assert not found["1"].given and found["2"].open == ("x", "y", "z") and found["2"].boxes == ()


def test_a_body_that_was_given_counts_before_what_sizes_say(record: Record) -> None:
    made = with_patterns(begin(record))
    made.add_core(1)
    made.add_feature("F1", "x", 80.0, (1, 1, 10.0), (1, -1, 90.0), ())
    for n, x in enumerate((0.0, 50.0)):
        made.record.add(
            CoreBody(core_of_id=made.core[1].of_id, ord=n, x0=x, x1=x + 20.0, y0=1.0, y1=2.0, z0=3.0, z1=4.0)
        )
    body = bodies(KitFacts(made.record, made.job))["1"]
    assert body.given and body.boxes == (a_box(0, 20, 1, 2, 3, 4), a_box(50, 70, 1, 2, 3, 4))
