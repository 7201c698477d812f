"""The chain of sizes against worked examples: stock, then contraction, then what the workshop takes off."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from inspect_tui.metrology.sizes import chain
from inspect_tui.model.work import ChainStep, End, Feature, Job, Tool
from tests.published.worked import example

CORE = b"core 1"


def job(a, **more):
    return Job(number="1", name="example", a_x=a, a_y=a, a_z=a, a_source="worked example", **more)


def outside(nominal, stock=0.0):
    """A length with metal between its ends, both in the drag, `stock` on each."""
    ends = tuple(End(which=w, half="drag", facing=f, stock_mm=stock) for w, f in (("A", -1), ("B", 1)))
    return Feature(balloon="1", name="length", nominal=nominal, ends=ends)


def bore(nominal, stock=0.0):
    """A diameter made by a core."""
    ends = tuple(End(which=w, core_id=CORE, facing=f, stock_mm=stock) for w, f in (("A", 1), ("B", -1)))
    return Feature(balloon="2", name="bore", quantity="diameter", axis="none", nominal=nominal, ends=ends)


PATTERN = Tool(job_of_id=b"j", kind="pattern_drag", label="drag")
BOX = Tool(job_of_id=b"j", kind="core_box", label="box 1", core_id=CORE)


def test_stock_before_contraction_then_rapping():
    we = example("WE05")
    got = []
    for size, rapping in zip(we.inputs["dims_mm"], we.inputs["rapping_mm"], strict=True):
        feature = outside(size, we.inputs["stock_per_face_mm"])
        steps = chain.plan_steps(feature, PATTERN, job(we.inputs["contraction_percent"] / 100))
        eased = ChainStep(ord=len(steps) + 1, kind="correction", offset_mm=-rapping, source="rapping")
        got.append(chain.forward(size, [*steps, eased]).value)
    we.says("pattern_mm", got)


def test_stock_makes_the_core_smaller_and_contraction_larger():
    we = example("WE10")
    a = float(Fraction(we.inputs["allowance_in_per_ft"]) / 12)
    bored, raw = bore(we.inputs["bore_mm"], we.inputs["stock_per_side_mm"]), bore(we.inputs["bore_mm"])
    we.says("core_machined_mm", chain.forward(bored.nominal, chain.plan_steps(bored, BOX, job(a))).value)
    we.says("core_as_cast_mm", chain.forward(raw.nominal, chain.plan_steps(raw, BOX, job(a))).value)


def test_master_of_a_metal_box():
    # arithmetic: 82 mm with 1.0 % and then 1.3 % is 83.90 on the master and 82.82 in the box (computed here)
    master = Tool(job_of_id=b"j", kind="master", label="master", core_id=CORE, second_a=0.013)
    assert chain.forward(82, chain.plan_steps(bore(82), master, job(0.01))).value == pytest.approx(83.8967, abs=1e-4)
    assert chain.forward(82, chain.plan_steps(bore(82), BOX, job(0.01))).value == pytest.approx(82.82, abs=1e-9)


def test_a_stick_is_larger_than_the_resin_box_cast_off_it():
    """s = 1 - box/stick (resin guidance, common practice): with 0.12 % a 125.24 stick gives a box of 125.09."""
    stick = Tool(job_of_id=b"j", kind="core_stick", label="stick", core_id=CORE, resin_r=0.0012)
    plain = replace(stick, resin_r=None)
    steps = chain.plan_steps(bore(124), stick, job(0.01))
    wanted = chain.forward(124, chain.plan_steps(bore(124), plain, job(0.01))).value
    made = chain.forward(124, steps).value
    assert wanted == pytest.approx(125.24, abs=1e-9)
    assert 1 - wanted / made == pytest.approx(0.0012, abs=1e-12)
    resin_only = [step for step in steps if step.kind == "resin"]
    assert chain.back(125.24, 0.0, resin_only).value == pytest.approx(125.09, abs=0.005)
