"""What the invented shop typed: its tables say the job of the scenario, and each certificate is what its form takes."""

from __future__ import annotations

import pytest

from inspect_tui.demo import scenario, things
from inspect_tui.demo import workshop as shop
from inspect_tui.metrology.sizes.tolerance import iso8062_3
from inspect_tui.shop.jobs.file.plan import JobPlan

EXPANSION = {"aluminium": 23e-6, "resin": 50e-6, "hardwood": 5e-6}


@pytest.fixture(scope="module")
def told() -> JobPlan:
    return things.read_job()


def test_the_order_is_opened_with_the_first_plan(told: JobPlan) -> None:
    job = told.job
    assert (job.number, job.alloy, job.rule) == (scenario.NUMBER, scenario.ALLOY, scenario.RULE)
    assert (job.a_x, job.a_y, job.a_z) == tuple(scenario.PLAN_FIRST[axis] for axis in "xyz")
    assert job.ua_x == job.ua_y == job.ua_z == scenario.U_PLAN
    assert (told.revision.number, told.revision.rev) == (scenario.DRAWING, "A") and told.questions == ()


def test_people_and_instruments_are_those_of_the_shop(told: JobPlan) -> None:
    assert tuple((person.initials, person.name, person.role) for person in told.people) == shop.PEOPLE
    said = [(g.serial, g.label, g.kind, g.range_lo, g.range_hi, g.resolution) for g in told.gauges]
    assert said == [(i.number, i.label, i.kind, i.low, i.high, i.resolution) for i in shop.INSTRUMENTS]


def test_every_core_of_the_scenario_is_there_in_the_order_of_its_number(told: JobPlan) -> None:
    facts = sorted(scenario.CORES, key=lambda core: core.number)
    said = [(core.number, core.name, core.set_order, core.volume_dm3, core.makes_surface) for core in told.cores]
    assert said == [(c.number, c.name, c.order, c.volume, c.makes_surface) for c in facts]


def test_a_box_comes_from_its_stick_or_master_and_box_2_from_neither(told: JobPlan) -> None:
    made = {tool.label: tool for tool in told.tools}
    label = {tool.id: tool.label for tool in told.tools}
    assert {"drag pattern", "cope pattern", "master 3", "trial assembly"} < set(made)
    assert made["master 3"].second_a == scenario.SECOND_A and made["stick 3"].second_a is None
    for core in told.cores:
        box = made[f"box {core.number}"]
        assert box.kind == "core_box" and box.core_id == core.id
        assert box.expansion_per_c == pytest.approx(EXPANSION[box.material], rel=0.2)
        source = {2: None, 3: "master 3"}.get(core.number, f"stick {core.number}")
        assert label.get(box.made_from_id or b"") == source


def test_limits_stand_as_on_the_first_drawing_and_say_where_a_size_can_be_seen(told: JobPlan) -> None:
    features = {feature.balloon: feature for feature in told.features}
    assert list(features) == [fact.balloon for fact in scenario.ALL_FEATURES]
    for fact in scenario.ALL_FEATURES:
        made = features[fact.balloon]
        assert (made.name, made.quantity, made.axis, made.scale) == (fact.name, fact.quantity, fact.axis, fact.scale)
        assert made.nominal == pytest.approx(fact.finished, abs=1e-9)
        if fact.band_source == scenario.DEFAULT_BAND:
            band = iso8062_3(fact.size, 9)
            assert (made.lower, made.upper) == (band.lower, band.upper)
            continue
        minus, plus = scenario.REVISION_A_LIMITS.get(fact.balloon, (fact.minus, fact.plus))
        limits = (round(fact.finished + minus, 6), round(fact.finished + plus, 6))
        assert (made.lower, made.upper) == pytest.approx(limits, abs=1e-6), fact.balloon
        if fact.cut:
            assert made.note == "only on the sectioned casting"
        elif fact.station is not None:
            assert made.note == f"taken at x = {fact.station:g}"


def test_both_ends_name_who_makes_them_and_carry_their_stock(told: JobPlan) -> None:
    features = {feature.balloon: feature for feature in told.features}
    number = {core.id: core.number for core in told.cores}
    for fact in scenario.ALL_FEATURES:
        ends = features[fact.balloon].ends
        if not fact.a.part:
            assert ends == ()
            continue
        assert [end.which for end in ends] == ["A", "B"]
        assert [end.stock_mm for end in ends] == [fact.stock_a, fact.stock_b]
        assert tuple(end.facing for end in ends) == fact.facing
        for end, face in zip(ends, (fact.a, fact.b), strict=True):
            assert end.coord_mm == face.coord
            maker = {"drag": "D", "cope": "U"}[end.half] if end.half else f"c{number[end.core_id or b'']}"
            assert maker == face.part


def test_sizes_are_measured_where_they_can_be(told: JobPlan) -> None:
    label = {tool.id: tool.label for tool in told.tools}
    balloon = {feature.id: feature.balloon for feature in told.features}
    on: dict[str, set[str]] = {}
    for made in told.tool_features:
        on.setdefault(label[made.tool_id], set()).add(balloon[made.feature_id])
    assert on["trial assembly"] == {"K10-G"}
    assert all("K10-G" not in of for tool, of in on.items() if tool != "trial assembly")
    assert on["master 3"] < on["stick 3"]  # a master has no prints


def test_certificates_stand_by_date_and_those_before_the_order_came_with_it(told: JobPlan) -> None:
    said = things.certificates()
    assert [c.done for c in said] == sorted(c.done for c in said)
    assert len(said) == sum(len(i.certificates) for i in shop.INSTRUMENTS)
    ut1 = next(c for c in said if c.instrument == "UT1")
    assert ut1.texts["reference"] == f"{things.REFERENCE['UT1']} UT1/{ut1.done[:4]}"
    serial = {gauge.of_id: gauge.serial for gauge in told.gauges}
    came = {(serial[c.instrument_of_id], c.done_on, c.reference) for c in told.certificates}
    assert came == {(c.instrument, c.done, c.texts["reference"]) for c in said if c.done <= "2023-06-05"}
