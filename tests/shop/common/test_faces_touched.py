"""Rough faces stand in the budget by default: a caliper on an as-cast face is not as good as on a gauge block."""

from __future__ import annotations

from math import sqrt

import pytest

from inspect_tui.frozen import replace
from inspect_tui.metrology.sizes import roughness
from inspect_tui.model.work import End, Feature, Item, Tool
from inspect_tui.shop.bench.line import Bench
from inspect_tui.shop.bench.outcomes import Logged
from inspect_tui.shop.common import faces_touched, find
from tests.conftest import TODAY, SmallShop

WIDTH = Feature(balloon="F1", name="width", nominal=62.0)
CASTING = Item(job_of_id=b"", serial="C1")
STICK = Tool(job_of_id=b"", kind="core_stick", label="stick 1", material="mahogany")


def test_a_size_lies_between_two_faces_and_a_place_has_one() -> None:
    (line,) = faces_touched.rough(WIDTH, CASTING)
    one = roughness.of_surface(roughness.AS_CAST).u_mm
    assert (line.name, line.kind, line.shrinks) == ("roughness", "B", False)
    assert line.u == pytest.approx(sqrt(2) * one)
    assert line.how.startswith("two faces, as-cast sand face, 0.094 from valleys to tops (Ra 12.5 to 25")
    (line,) = faces_touched.rough(replace(WIDTH, quantity="position"), CASTING)
    assert line.u == pytest.approx(one) and line.how.startswith("one face")


@pytest.mark.parametrize("quantity", ["angle", "temperature", "attribute"])
def test_what_is_no_size_has_no_rough_faces(quantity: str) -> None:
    assert faces_touched.rough(replace(WIDTH, quantity=quantity), CASTING) == ()


def test_a_tool_is_as_rough_as_its_material_and_an_unknown_one_says_nothing() -> None:
    (line,) = faces_touched.rough(WIDTH, STICK)
    assert "wood" in line.how and "common practice, no source" in line.how
    assert faces_touched.rough(WIDTH, replace(STICK, material="not stated")) == ()
    assert faces_touched.rough(WIDTH, None) == ()
    (core,) = faces_touched.rough(WIDTH, replace(CASTING, kind="core"))
    assert core.u == pytest.approx(sqrt(2) * roughness.of_surface(roughness.SAND_CORE).u_mm)


def test_a_caliper_on_an_as_cast_face(shop: SmallShop) -> None:
    """U 0.04 of the certificate, half a step over root 3, two as-cast faces: 0.087, not 0.04."""
    job = find.job(shop.record, "SV-12")
    item = shop.record.add(Item(job_of_id=job.of_id, serial="C1"))
    bench = Bench(shop.record, job, find.subject(shop.record, job, "casting C1"), shop.ab, shop.caliper, today=TODAY)
    assert bench.subject.item == item
    bench.goto("F4")
    logged = bench.take("243.02")
    assert isinstance(logged, Logged)
    budget = logged.judged.budget
    faces = sqrt(2) * roughness.of_surface(roughness.AS_CAST).u_mm
    assert budget.u == pytest.approx(sqrt(0.02**2 + 0.005**2 / 3 + faces**2))
    assert 0.085 < budget.U < 0.09
    assert [line.name for line in budget.lines] == ["calibration", "resolution", "roughness"]


@pytest.mark.parametrize(
    "stocks, machined, smooth", [((1.5, 1.5), False, 2), ((0.0, 3.0), False, 1), ((0.0, 0.0), True, 2), ((), True, 2)]
)
def test_faces_that_were_machined_are_smooth_when_the_casting_is_finished(
    stocks: tuple[float, ...], machined: bool, smooth: int
) -> None:
    ends = tuple(End(which=which, half="drag", stock_mm=mm) for which, mm in zip("AB", stocks, strict=False))
    feature = replace(WIDTH, ends=ends, machined=machined)
    rough, fine = (roughness.of_surface(name).u_mm ** 2 for name in (roughness.AS_CAST, roughness.MACHINED))
    (line,) = faces_touched.rough(feature, CASTING, finished=True)
    assert line.u == pytest.approx(sqrt((2 - smooth) * rough + smooth * fine))
    assert ("machined metal" in line.how, "as-cast" in line.how) == (True, smooth < 2)
    (raw,) = faces_touched.rough(feature, CASTING)
    assert raw.u == pytest.approx(sqrt(2 * rough)) and "machined" not in raw.how
    assert faces_touched.u_rough(feature, CASTING) == raw.u
