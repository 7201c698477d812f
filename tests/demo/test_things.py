"""The scenario as recorded things: cores and boxes belong together, limits move with revisions, certificates by date."""

from __future__ import annotations

import pytest

from inspect_tui.demo import scenario, things
from inspect_tui.demo import workshop as shop
from inspect_tui.frozen import replace
from inspect_tui.model.work import Core, Tool

JOB = b"job"
CORES = {core.number: replace(core, id=bytes([core.number])) for core in things.cores(JOB)}


def fact(balloon: str) -> scenario.Fact:
    return scenario.FACT[balloon]


def with_ids(tools: list[Tool]) -> dict[str, Tool]:
    return {tool.label: replace(tool, id=tool.label.encode()) for tool in tools}


def test_the_order_is_opened_with_the_first_plan() -> None:
    job = things.job()
    assert (job.number, job.alloy) == (scenario.NUMBER, scenario.ALLOY)
    assert (job.a_x, job.a_y, job.a_z) == tuple(scenario.PLAN_FIRST[axis] for axis in "xyz")
    assert job.ua_x == job.ua_y == job.ua_z == scenario.U_PLAN


def test_every_core_of_the_scenario_is_there_in_the_order_of_its_number() -> None:
    cores: list[Core] = things.cores(JOB)
    assert [core.number for core in cores] == sorted(c.number for c in scenario.CORES)
    order = {c.number: c.order for c in scenario.CORES}
    assert all(core.set_order == order[core.number] and core.job_of_id == JOB for core in cores)


def test_a_box_comes_from_its_stick_or_master_and_box_2_from_neither() -> None:
    made = with_ids(things.patterns_and_sticks(JOB, CORES))
    assert {"drag pattern", "cope pattern", "master 3", "trial assembly"} < set(made)
    assert made["master 3"].second_a == scenario.SECOND_A and made["stick 3"].second_a is None
    boxes = {box.label: box for box in things.boxes(JOB, CORES, made)}
    assert len(boxes) == len(CORES)
    for number, core in CORES.items():
        box = boxes[f"box {number}"]
        assert box.kind == "core_box" and box.core_id == core.id
        assert box.expansion_per_c == things.EXPANSION[box.material]
        source = {2: None, 3: b"master 3"}.get(number, f"stick {number}".encode())
        assert box.made_from_id == source


def test_limits_stand_as_sizes_and_revision_a_has_its_own() -> None:
    for balloon, (minus, plus) in scenario.REVISION_A_LIMITS.items():
        one = fact(balloon)
        a, b = (things.feature(one, b"r", rev, 1, CORES, None) for rev in "AB")
        assert (a.lower, a.upper) == (round(one.finished + minus, 6), round(one.finished + plus, 6))
        assert (b.lower, b.upper) == (round(one.finished + one.minus, 6), round(one.finished + one.plus, 6))
        assert (a.lower, a.upper) != (b.lower, b.upper)


def test_a_feature_follows_the_one_before_and_says_where_it_can_be_seen() -> None:
    cut = next(f for f in scenario.ALL_FEATURES if f.cut and f.band_source != scenario.DEFAULT_BAND)
    made = things.feature(cut, b"r", "B", 5, CORES, b"before")
    assert (made.same_as_id, made.ord, made.note) == (b"before", 5, "only on the sectioned casting")
    standing = next(f for f in scenario.ALL_FEATURES if f.station is not None)
    assert things.feature(standing, b"r", "B", 1, CORES, None).note == f"taken at x = {standing.station:g}"


def test_both_ends_name_who_makes_them_and_carry_their_stock() -> None:
    for one in scenario.ALL_FEATURES:
        ends = things.feature(one, b"r", "B", 1, CORES, None).ends
        if not one.a.part:
            assert ends == ()
            continue
        assert [end.which for end in ends] == ["A", "B"]
        assert [end.stock_mm for end in ends] == [one.stock_a, one.stock_b]
        assert tuple(end.facing for end in ends) == one.facing
        for end, face in zip(ends, (one.a, one.b), strict=True):
            assert end.coord_mm == face.coord
            if face.part in "DU":
                assert end.half == {"D": "drag", "U": "cope"}[face.part] and end.core_id is None
            else:
                assert end.core_id == CORES[int(face.part[1:])].id and end.half is None


def test_a_new_plan_gives_new_steps_only_where_contraction_counts() -> None:
    job, made = things.job(), with_ids(things.patterns_and_sticks(JOB, CORES))
    size, seat = (replace(things.feature(fact(b), b"r", "B", 1, CORES, None), id=b.encode()) for b in ("F09", "K3-P1"))
    old = {one.feature_id: one for one in things.tool_features([size, seat], [made["stick 3"]], job)}
    assert set(old) == {b"F09", b"K3-P1"}
    relaid = replace(job, a_x=0.008)
    fresh = things.replanned(old[b"F09"], size, made["stick 3"], relaid)
    assert fresh is not None and fresh.replaces_id == old[b"F09"].id and fresh.steps != old[b"F09"].steps
    assert things.replanned(old[b"F09"], size, made["stick 3"], job) is None
    assert things.replanned(old[b"K3-P1"], seat, made["stick 3"], relaid) is None  # a print is never contracted


def test_sizes_are_measured_where_they_can_be() -> None:
    job, made = things.job(), with_ids(things.patterns_and_sticks(JOB, CORES))
    features = [
        replace(things.feature(f, b"r", "B", n, CORES, None), id=f.balloon.encode())
        for n, f in enumerate(scenario.ALL_FEATURES)
    ]
    on: dict[bytes, set[bytes]] = {}
    for one in things.tool_features(features, [*made.values()], job):
        on.setdefault(one.tool_id, set()).add(one.feature_id)
        assert one.band_source and one.sense in ("metal", "space", "face")
    assert on[b"trial assembly"] == {b"K10-G"}
    assert b"K10-G" not in set().union(*(of for tool, of in on.items() if tool != b"trial assembly"))
    assert on[b"master 3"] < on[b"stick 3"]  # a master has no prints


def test_certificates_stand_by_date_and_say_their_reference() -> None:
    numbered = {
        fact.number: replace(made, id=b"i", of_id=b"i")
        for fact, made in zip(shop.INSTRUMENTS, things.instruments(), strict=True)
    }
    told = things.certificates(numbered)
    assert [c.done for c in told] == sorted(c.done for c in told)
    assert len(told) == sum(len(i.certificates) for i in shop.INSTRUMENTS)
    assert all(c.calibration.done_on == c.done and c.calibration.reference for c in told)
    ut1 = next(c for c in told if c.instrument == "UT1")
    assert ut1.calibration.reference == f"{things.REFERENCE['UT1']} UT1/{ut1.done[:4]}"


@pytest.mark.parametrize("person", things.people(), ids=lambda person: person.initials)
def test_people_are_their_initials_and_a_role(person) -> None:
    assert (person.initials, person.name, person.role) in shop.PEOPLE
