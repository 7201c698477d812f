"""The geometry of a job out of its record: networks, what has to be asked, what hangs on nothing. Worked by hand."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from inspect_tui.errors import NotFound
from inspect_tui.frozen import replace
from inspect_tui.metrology.faces.face import Asked
from inspect_tui.model.kit import Fit
from inspect_tui.model.work import Job
from inspect_tui.record.store import Record
from inspect_tui.shop.common import parting
from inspect_tui.shop.common.geometry.job import JobGeometry, core_numbers, doubts, of_features, of_job
from inspect_tui.shop.jobs import jobfile

TEXT = """
[job]
number = "G1"
contraction = { x = "1.0 %", y = "0.8 %", z = "1.2 %" }
[[core]]
number = 1
[[core]]
number = 2
[[feature]]
balloon = "F1"
nominal = 100
a = "drag"
b = "drag"
at = [0, 100]
[[feature]]
balloon = "F2"
nominal = 30
a = "drag"
b = "core 1"
at = [0, 30]
[[feature]]
balloon = "F3"
nominal = 20
a = "core 2"
b = "core 2"
between = "space"
at = [40, 60]
[[feature]]
balloon = "F4"
quantity = "diameter"
axis = "y"
nominal = 48
a = "core 1"
b = "core 1"
between = "space"
contraction = "0.5 %"
[[feature]]
balloon = "K1"
nominal = 50
scale = "tool"
a = "core 1"
b = "core 1"
between = "metal"
[[feature]]
balloon = "F9"
quantity = "angle"
nominal = 45
a = "drag"
b = "drag"
"""


def plan(text: str = TEXT) -> jobfile.JobPlan:
    return jobfile.read(text)


def geometry(text: str = TEXT) -> JobGeometry:
    made = plan(text)
    return of_features(made.job, made.features, {core.id: core.number for core in made.cores})


def test_casting_and_tooling_scale_have_a_network_each() -> None:
    made = geometry()
    assert made.cast is not None and made.tools is not None
    assert [s.name for s in made.cast.sizes] == ["F1", "F2", "F3", "F4"]
    assert [s.name for s in made.tools.sizes] == ["K1"]
    assert made.without == (("F9", "angle is no distance of two faces"),)
    assert {s.name: s.contraction for s in made.cast.sizes} == pytest.approx(
        {"F1": 0.010, "F2": 0.010, "F3": 0.010, "F4": 0.005}
    )
    assert (made.cast.reference, made.cast.parting_axis) == ("drag", "z")


def test_sizes_without_a_place_and_those_that_hang_on_nothing_are_told() -> None:
    made = geometry()
    (asked,) = made.asked
    assert (asked.kind, asked.sizes) == ("no place", ("F4",))
    assert asked.text == "no walls, no stock, no sketch for F4: say where the ends stand along their axis"
    (loose,) = made.loose
    assert (loose.kind, loose.sizes) == ("hangs on nothing", ("F3",))
    assert loose.text.startswith("F3 hangs on nothing: no size leads from core 2's face at x 40 to the datum")
    pair = geometry(
        TEXT.replace(
            '[[feature]]\nballoon = "F4"',
            '[[feature]]\nballoon = "F5"\nnominal = 5\na = "core 2"\nb = "core 2"\nbetween = "metal"\nat = [60, 65]\n[[feature]]\nballoon = "F4"',
        )
    )
    assert any(q.text.startswith("F3 and F5 hang on nothing but each other") for q in pair.loose)


def test_many_are_counted() -> None:
    bores = "".join(
        f'[[feature]]\nballoon = "B{n}"\nquantity = "diameter"\naxis = "y"\nnominal = 48\na = "core 1"\nb = "core 1"\n'
        'between = "space"\n'
        for n in range(8)
    )
    (asked,) = geometry(TEXT.replace('[[feature]]\nballoon = "K1"', bores + '[[feature]]\nballoon = "K1"')).asked
    assert "F4, B0, B1, B2, B3, B4 and 3 more" in asked.text and len(asked.sizes) == 9


def test_a_size_along_no_axis_takes_the_mean_contraction_and_its_own_where_it_has_one() -> None:
    none = TEXT.replace('axis = "y"\nnominal = 48', 'axis = "none"\nnominal = 48')
    made = geometry(none.replace('contraction = "0.5 %"\n', ""))
    assert made.cast is not None and made.cast.size("F4").contraction == pytest.approx((0.010 + 0.008 + 0.012) / 3)
    assert made.asked == () and made.loose != ()  # no axis: no place is asked for


def test_nothing_at_all_has_no_network() -> None:
    made = plan()
    empty = of_features(made.job, [f for f in made.features if f.quantity == "angle"], {})
    assert empty.cast is None and empty.tools is None and empty.asked == () and empty.loose == ()


@pytest.fixture
def record(tmp_path: Path) -> Iterator[Record]:
    with Record.open(tmp_path / "g.db", create=True, state_dir=tmp_path) as opened:
        yield opened


def test_the_geometry_of_a_record(record: Record) -> None:
    made = plan()
    record.add_all(made.rows())
    fits = [(made.cores[1], made.cores[0]), (made.cores[0], made.cores[1])]
    for n, (inner, outer) in enumerate(fits):
        record.add(
            Fit(
                job_of_id=made.job.of_id,
                label=f"K{n}",
                inner_core_id=inner.of_id,
                outer_core_id=outer.of_id,
                clear_min_mm=0.2,
                clear_max_mm=0.6,
            )
        )
    parting.say(record, made.job, "at y 40")
    newer = record.revise(made.cores[1], number=7)
    assert core_numbers(record, made.job) == {made.cores[0].id: 1, made.cores[1].id: 7, newer.id: 7}
    got = of_job(record, made.job)
    assert got.cast is not None and got.tools is not None
    assert got.cast.parting_axis == "y" and "core 7 face x 40" in got.cast.number
    rings = [q for q in got.asked if q.kind == "ring"]
    assert len(rings) == 1 and "core 1 in core 7, core 7 in core 1" in rings[0].text
    empty = Job(id=record.new_id(), of_id=b"", number="G2", name="nothing")
    empty = record.add(replace(empty, of_id=empty.id))
    with pytest.raises(NotFound, match="Job G2 has no drawing yet"):
        of_job(record, empty)


def test_doubts_are_everything_but_places_that_nobody_said_yet() -> None:
    told = JobGeometry(
        cast=None,
        tools=None,
        without=(),
        asked=(Asked("place", ("F1",), "apart"), Asked("no place", ("F2",), "no walls"), Asked("ring", (), "a ring")),
        loose=(Asked("hangs on nothing", ("F3",), "on nothing"), Asked("hangs on nothing", ("F4",), "on nothing")),
    )
    assert doubts(told) == ("apart", "a ring", "on nothing")
