from __future__ import annotations

import random
from dataclasses import replace
from math import cos, degrees, isclose, radians, sin, sqrt, tan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_tui.errors import ChainError
from inspect_tui.metrology.sizes import chain
from inspect_tui.model.work import ChainStep, End, Feature, Job, Tool

CORE, OTHER = b"core 3", b"core 5"


def job(**more):
    given = {"a_x": 0.010, "a_y": 0.008, "a_z": 0.012, "ua_x": 0.0015, "ua_y": 0.0015, "ua_z": 0.0015}
    return Job(number="1", name="manifold", a_source="plan", **{**given, **more})


def end(which, facing, made_by="drag", **more):
    maker = {"half": made_by} if isinstance(made_by, str) else {"core_id": made_by}
    return End(which=which, facing=facing, **maker, **more)


def feature(nominal=62.0, ends=(), **more):
    return Feature(balloon="F14", name="port bore", nominal=nominal, ends=tuple(ends), **more)


def space(core=CORE, **more):
    """Both ends on one core: the casting has a space between them."""
    return (end("A", 1, core, **more), end("B", -1, core, **more))


def metal(made_by="drag", **more):
    return (end("A", -1, made_by, **more), end("B", 1, made_by, **more))


def tool(kind, core=None, **more):
    return Tool(job_of_id=b"j", kind=kind, label=kind, core_id=core, **more)


STICK, BOX = tool("core_stick", CORE), tool("core_box", CORE)
DRAG, COPE = tool("pattern_drag"), tool("pattern_cope")


# ------------------------------------------------------------------------------ drawing to casting
def test_stock_grows_metal_and_narrows_a_space():
    assert chain.as_cast(feature(62.0, metal(stock_mm=1.5))) == pytest.approx(65.0)
    assert chain.as_cast(feature(62.0, space(stock_mm=1.5))) == pytest.approx(59.0)


def test_stock_on_ends_facing_the_same_way_is_a_difference():
    both_up = (end("A", 1, stock_mm=4.0), end("B", 1, stock_mm=3.0))
    assert chain.as_cast(feature(186.0, both_up)) == pytest.approx(185.0)  # stock B - stock A
    both_down = (end("A", -1, stock_mm=4.0), end("B", -1, stock_mm=3.0))
    assert chain.as_cast(feature(186.0, both_down)) == pytest.approx(187.0)


facings = st.sampled_from([-1, 1])
stocks = st.floats(0.0, 10.0)


@given(facings, facings, stocks, stocks, st.floats(20.0, 600.0))
def test_as_cast_is_what_the_moved_surfaces_measure(f_a, f_b, s_a, s_b, nominal):
    """Each surface moves along its own outward normal; measure between them again."""
    place_a, place_b = 0.0 + f_a * s_a, nominal + f_b * s_b
    got = chain.as_cast(feature(nominal, (end("A", f_a, stock_mm=s_a), end("B", f_b, stock_mm=s_b))))
    assert got == pytest.approx(place_b - place_a, abs=1e-9)


def raw(nominal, ends, lower=None, upper=None, **more):
    band = chain.cast_band(feature(nominal, ends, lower=lower, upper=upper, band_source="drawing", **more))
    return band.lower, band.upper, band.source


CLEAN = "must clean up"


@pytest.mark.parametrize(
    "nominal, ends, lower, upper, limits",
    [
        # a plate of 620 +-0.05 with 4 on one face: 619.95 is the least that is still good, so as much must be there
        (620.0, (end("A", -1), end("B", 1, stock_mm=4.0)), 619.95, 620.05, (619.95, None)),
        (620.0, metal(stock_mm=2.0), 619.95, 620.05, (619.95, None)),
        # a bore of 62 +-0.02 with 1.5 a side: 62.02 is the most, so no more may be open
        (62.0, space(stock_mm=1.5), 61.98, 62.02, (None, 62.02)),
        # a machined face from a raw datum that faces the same way: metal may only be taken off its far side
        (186.0, (end("A", 1), end("B", 1, stock_mm=3.0)), 185.5, 186.5, (185.5, None)),
        (186.0, (end("A", 1, stock_mm=3.0), end("B", 1)), 185.5, 186.5, (None, 186.5)),
        (186.0, (end("A", -1, stock_mm=3.0), end("B", -1)), 185.5, 186.5, (185.5, None)),
        # both faces machined and facing the same way: they move together, whatever their stock
        (186.0, (end("A", 1, stock_mm=3.0), end("B", 1, stock_mm=3.0)), 185.5, 186.5, (None, None)),
        (186.0, (end("A", 1, stock_mm=3.0), end("B", 1, stock_mm=4.0)), 185.5, 186.5, (None, None)),
        # without limits the drawing's own size is to be left; against the other limit alone nothing is said
        (620.0, metal(stock_mm=2.0), None, None, (620.0, None)),
        (62.0, space(stock_mm=1.5), None, None, (None, 62.0)),
        (620.0, metal(stock_mm=2.0), None, 620.05, (None, None)),
        (62.0, space(stock_mm=1.5), 61.98, None, (None, None)),
    ],
)
def test_a_machined_size_must_clean_up(nominal, ends, lower, upper, limits):
    """By hand: what is left after the last cut that is allowed has to be there before it."""
    assert raw(nominal, ends, lower, upper) == (*limits, CLEAN)


def test_draft_moves_what_must_clean_up_to_where_it_is_measured():
    wide = 2 * 40 * tan(radians(1.0))  # 1.396 mm over 40 mm of height, both sides
    lower, upper, _ = raw(620.0, metal(stock_mm=2.0), 619.95, 620.05, draft_deg=1.0, draft_h_mm=40.0)
    assert (lower, upper) == (pytest.approx(619.95 + wide), None)


def test_stated_limits_of_the_raw_size_bind_before_all():
    ends = (end("A", -1), end("B", 1, stock_mm=4.0))
    stated = {"raw_lower": 622.5, "raw_upper": 625.5, "raw_source": "ISO 8062-3 DCTG 9"}
    assert raw(620.0, ends, 619.95, 620.05, **stated) == (622.5, 625.5, "ISO 8062-3 DCTG 9")
    assert raw(620.0, ends, 619.95, 620.05, raw_lower=622.5) == (622.5, None, "drawing, as cast")
    assert raw(620.0, ends, 619.95, 620.05, raw_upper=625.5)[:2] == (None, 625.5)
    finished = chain.finished_band(feature(620.0, ends, lower=619.95, upper=620.05, **stated))
    assert (finished.lower, finished.upper, finished.source) == (619.95, 620.05, "drawing")


def test_without_stock_the_casting_has_the_drawings_limits_where_it_is_measured():
    assert raw(62.0, metal(), 61.2, 62.8) == (61.2, 62.8, "drawing")
    wide = 2 * 40 * tan(radians(1.0))
    assert raw(62.0, metal(), 61.2, 62.8, draft_deg=1.0, draft_h_mm=40.0)[:2] == pytest.approx(
        (61.2 + wide, 62.8 + wide)
    )
    assert raw(7.0, metal(), 6.0, None, quantity="wall")[:2] == (6.0, None)


@given(facings, facings, st.floats(0.01, 10.0), st.floats(0.0, 10.0), st.floats(0.0, 0.5))
def test_a_casting_that_keeps_its_raw_limits_can_be_made_good(f_a, f_b, s_a, s_b, half):
    """Face by face: at the raw limit each machined face can go inward to some size within the finished limits."""
    one = feature(100.0, (end("A", f_a, stock_mm=s_a), end("B", f_b, stock_mm=s_b)), lower=100 - half, upper=100 + half)
    band = chain.cast_band(one)
    # inward of A changes the size by +f_a, inward of B by -f_b, each as often as there is stock
    ways = {f_a} | ({-f_b} if s_b > 0 else set())
    if band.lower is not None:
        assert ways == {-1} and one.lower <= band.lower <= one.upper
    if band.upper is not None:
        assert ways == {1} and one.lower <= band.upper <= one.upper
    if band.lower is None and band.upper is None:
        assert len(ways) == 2


def test_angles_and_tool_sizes_are_never_stocked_or_scaled():
    drafted = {"draft_deg": 2.0, "draft_h_mm": 30.0}
    angle = feature(75.0, metal(stock_mm=4.0), quantity="angle", axis="none", lower=74.0, upper=76.0, **drafted)
    assert chain.as_cast(angle) == 75.0 and chain.cast_band(angle).upper == 76.0
    assert chain.plan_steps(angle, DRAG, job()) == ()
    seat = feature(60.6, metal(stock_mm=4.0), scale="tool", lower=60.4, upper=60.8)
    assert chain.as_cast(seat) == 60.6 and chain.cast_band(seat).lower == 60.4
    assert chain.plan_steps(seat, DRAG, job()) == ()


def test_draft_is_twice_the_height_times_the_tangent():
    for deg, h in [(0.1, 0.1), (0.1, 50.0), (5.0, 0.1)]:
        slight = feature(62.0, metal(), draft_deg=deg, draft_h_mm=h)
        assert chain.as_cast(slight) - 62 == pytest.approx(2 * h * tan(radians(deg)), abs=1e-9)
    grown = 2 * 20 * tan(radians(1.5))
    drafted = {"draft_deg": 1.5, "draft_h_mm": 20.0}
    assert chain.as_cast(feature(62.0, metal(), **drafted)) == pytest.approx(62 + grown)
    assert chain.as_cast(feature(62.0, space(), **drafted)) == pytest.approx(62 - grown)
    assert chain.as_cast(feature(62.0, (), **drafted)) == pytest.approx(62 + grown)
    assert chain.as_cast(feature(62.0, (), quantity="radius", **drafted)) == pytest.approx(62 + grown / 2)
    assert chain.as_cast(feature(62.0, metal(), draft_deg=1.5, draft_h_mm=-20.0)) == pytest.approx(62 - grown)


def test_draft_of_a_place_moves_the_drafted_face_alone():
    for facing in (1, -1):
        place = feature(90.0, (end("A", facing), end("B", facing)), draft_deg=1.5, draft_h_mm=20.0)
        assert chain.as_cast(place) == pytest.approx(90 + facing * 20 * tan(radians(1.5)))


# ------------------------------------------------------------------------------ the plan
def test_from_drawing_to_stick_in_the_written_order():
    bore = feature(62.0, space(stock_mm=1.5, coat_mm=0.2), axis="x", draft_deg=1.0, draft_h_mm=10.0)
    stick = replace(STICK, resin_r=0.0012, resin_u=0.0003)
    steps = chain.plan_steps(bore, stick, job())
    assert [step.kind for step in steps] == ["stock", "draft", "contraction", "coat", "resin"]
    assert [step.ord for step in steps] == [1, 2, 3, 4, 5]
    cast = 62.0 - 3.0 - 2 * 10 * tan(radians(1.0))
    target = chain.forward(bore.nominal, steps)
    assert target.value == pytest.approx((cast * 1.01 - 0.4) / (1 - 0.0012))
    assert target.u == pytest.approx(sqrt((cast * 0.0015) ** 2 + ((cast * 1.01 - 0.4) * 0.0003) ** 2), rel=2e-3)
    assert all(step.source != "not stated" for step in steps)
    assert "plan" in steps[2].source and steps[2].u == 0.0015


def test_the_stick_of_a_62_bore():
    # our own example: 62.00 with 1.5 stock a side is cast 59.00, and 59.59 on the stick at 1.0 % in x
    steps = chain.plan_steps(feature(62.0, space(stock_mm=1.5), axis="x"), STICK, job())
    assert chain.forward(62.0, steps).value == pytest.approx(59.59)
    assert chain.back(59.66, 0.0, steps).value == pytest.approx(59.66 / 1.01)


def test_only_steps_that_do_something_are_there():
    assert chain.plan_steps(feature(62.0, metal()), DRAG, Job(number="1", name="as drawn")) == ()
    unsure = chain.plan_steps(feature(62.0, metal()), DRAG, Job(number="1", name="x", ua_x=0.0015))
    assert [(step.kind, step.scale, step.u) for step in unsure] == [("contraction", 1.0, 0.0015)]


def test_a_feature_s_own_contraction_comes_before_the_job_s():
    restrained = feature(62.0, metal(), axis="x", a=0.006, ua=0.0005)
    (step,) = chain.plan_steps(restrained, DRAG, job())
    assert (step.scale, step.u) == (pytest.approx(1.006), 0.0005) and "this feature" in step.source
    (step,) = chain.plan_steps(replace(restrained, ua=None), DRAG, job())
    assert step.u == 0.0015  # what the job says of that axis
    slanted = replace(restrained, axis="oblique", ua=None)  # no direction needed then
    (step,) = chain.plan_steps(slanted, DRAG, job(ua_z=0.003))
    assert step.scale == pytest.approx(1.006) and step.u == pytest.approx(0.002)


def test_every_step_says_what_it_is_and_where_it_comes_from():
    bore = feature(62.0, space(stock_mm=1.5, coat_mm=0.2), axis="x", draft_deg=1.0, draft_h_mm=10.0)
    master = tool("master", CORE, resin_r=0.0012, resin_u=0.0003, second_a=0.013, second_u=0.001)
    assert [step.source for step in chain.plan_steps(bore, master, job())] == [
        "stock on ends A 1.5 mm, B 1.5 mm",
        "1° over 10 mm",
        "1.000 % in x: plan",
        "wash on ends A 0.2 mm, B 0.2 mm",
        "resin contraction 0.12 % of the master",
        "contraction 1.3 % of the metal cast from the master",
    ]
    (step,) = chain.plan_steps(feature(62.0, axis="none"), DRAG, job(a_x=0.01, a_y=0.01, a_z=0.01))
    assert step.source == "1.000 % in all directions: plan"


def test_every_axis_has_its_own_contraction():
    scales = [chain.plan_steps(feature(62.0, metal(), axis=axis), DRAG, job())[0].scale for axis in "xyz"]
    assert scales == pytest.approx([1.010, 1.008, 1.012])


def test_a_diameter_takes_the_mean_of_the_axes_and_their_spread():
    (step,) = chain.plan_steps(feature(48.0, quantity="diameter", axis="none"), STICK, job())
    assert step.scale == pytest.approx(1.010)
    assert step.u == pytest.approx(sqrt(0.0015**2 + (0.004**2) / 12)) and "mean of x, y, z" in step.source
    (step,) = chain.plan_steps(feature(48.0, axis="none"), STICK, job(a_x=0.01, a_y=0.01, a_z=0.01))
    assert step.u == pytest.approx(0.0015)  # one source: three axes do not make it surer


def test_wash_makes_the_bare_core_smaller_where_it_fills_a_space():
    assert chain.forward(60.0, chain.plan_steps(feature(60.0, space(coat_mm=0.2)), BOX, job(a_x=0, ua_x=0))).value == (
        pytest.approx(59.6)
    )
    rib = feature(60.0, metal(CORE, coat_mm=0.2))  # a rib cast in a slot of the core: the slot is cut wider
    assert chain.forward(60.0, chain.plan_steps(rib, BOX, job(a_x=0, ua_x=0))).value == pytest.approx(60.4)


def test_wash_counts_only_on_ends_of_this_tool_s_core():
    two_cores = feature(14.0, (end("A", 1, CORE, coat_mm=0.2), end("B", -1, OTHER, coat_mm=0.3)))
    steps = chain.plan_steps(two_cores, BOX, job())
    assert [step.offset_mm for step in steps if step.kind == "coat"] == [pytest.approx(-0.2)]
    moulded = feature(60.0, metal("drag", coat_mm=0.2))
    assert [step.kind for step in chain.plan_steps(moulded, DRAG, job())] == ["contraction"]


def test_resin_is_for_what_a_box_is_cast_off_and_second_contraction_for_masters():
    for kind, kinds in [
        ("core_stick", ["resin"]),
        ("core_box", []),
        ("pattern_drag", []),
        ("production_pattern", []),
        ("master", ["resin", "second_contraction"]),
    ]:
        made = tool(kind, CORE, resin_r=0.002, second_a=0.013)
        steps = chain.plan_steps(feature(60.6, space(), scale="tool"), made, job())
        assert [step.kind for step in steps] == kinds
        assert all("not stated" in step.source and step.u == 0.0 for step in steps)
    master = chain.plan_steps(feature(82.0, space()), tool("master", CORE, second_a=0.013, second_u=0.001), job())
    assert [(s.kind, s.scale, s.u) for s in master][1:] == [("second_contraction", pytest.approx(1.013), 0.001)]


def test_a_mould_off_the_pattern_is_its_other_side_and_moves_as_it_sets():
    # worked by hand: 100.00 on the drawing at 1 % is 101.00 on the pattern; plaster that grows by 0.25 % makes 101.2525
    # of it, a resin that shrinks by 0.12 % 100.8788; back again it is the casting's 100.00
    size = feature(100.0, metal("drag"), axis="x")
    plaster = tool("mould", resin_r=-0.0025, resin_u=0.0005)
    steps = chain.plan_steps(size, plaster, job(a_x=0.01, ua_x=0.0))
    assert chain.forward(100.0, steps).value == pytest.approx(101.2525)
    assert chain.forward(100.0, steps).u == pytest.approx(101.0 * 0.0005)
    assert chain.back(101.2525, 0.0, steps).value == pytest.approx(100.0)
    assert steps[-1].source == "the mould sets 0.25 % larger than its pattern"
    resin = chain.plan_steps(size, tool("mould", resin_r=0.0012, resin_u=0.0), job(a_x=0.01))
    assert chain.forward(100.0, resin).value == pytest.approx(100.8788)
    assert "0.12 % smaller" in resin[-1].source
    # a print of 40.00 on the pattern is a seat of 40.10 in the plaster: tooling scale knows no contraction
    seat = chain.plan_steps(feature(40.0, metal("drag"), scale="tool"), plaster, job())
    assert [step.kind for step in seat] == ["resin"] and chain.forward(40.0, seat).value == pytest.approx(40.1)
    assert [s.kind for s in chain.plan_steps(size, tool("mould"), job())] == [
        "contraction"
    ]  # as the pattern, where nobody said


def test_a_mould_has_space_where_its_pattern_has_metal():
    mould = tool("mould")
    for scale in ("cast", "tool"):
        for ends, on_pattern, in_mould in ((metal("drag"), "metal", "space"), (space("drag"), "space", "metal")):
            one = feature(40.0, ends, scale=scale)
            assert (chain.sense_on(one, DRAG), chain.sense_on(one, mould)) == (on_pattern, in_mould)
        round_ = feature(48.0, quantity="diameter", axis="none", scale=scale)
        assert (chain.sense_on(round_, DRAG), chain.sense_on(round_, mould)) == ("metal", "space")
    step = feature(40.0, (end("A", 1, "drag"), end("B", 1, "drag")))
    assert chain.sense_on(step, mould) == "face"
    assert chain.measurable_on(feature(40.0, metal("drag")), mould)
    assert not chain.measurable_on(feature(40.0, metal(CORE)), mould)  # what a core makes is not in it


def test_a_plan_that_cannot_be_undone_is_refused():
    for r in (1.0, 1.2):
        with pytest.raises(ChainError, match=r"0\.2 % is 0\.002"):
            chain.plan_steps(feature(60.0, space()), replace(STICK, resin_r=r), job())
    with pytest.raises(ChainError, match="not believable"):
        chain.plan_steps(feature(60.0, space()), STICK, job(a_x=1.5))
    with pytest.raises(ChainError, match="direction in x, y and z"):
        chain.plan_steps(feature(60.0, metal(), axis="oblique", dir_x=1.0), DRAG, job())
    with pytest.raises(ChainError, match="not all zero"):
        chain.plan_steps(feature(60.0, metal(), axis="oblique", dir_x=0.0, dir_y=0.0, dir_z=0.0), DRAG, job())


# ------------------------------------------------------------------------------ both ways
step_lists = st.lists(
    st.one_of(
        st.builds(lambda s, u: {"scale": s, "u": u}, st.floats(0.9, 1.1), st.floats(0.0, 0.01)),
        st.builds(lambda o, u: {"offset_mm": o, "u": u}, st.floats(-10.0, 10.0), st.floats(0.0, 0.5)),
    ),
    max_size=7,
).map(lambda specs: [ChainStep(ord=i, kind="correction", **spec) for i, spec in enumerate(specs, 1)])


@given(st.floats(-1000.0, 1000.0), step_lists, st.randoms())
def test_there_and_back_is_the_same_size(size, steps, chance):
    shuffled = list(steps)
    chance.shuffle(shuffled)  # the order is in the steps, not in the list
    there = chain.forward(size, shuffled)
    assert chain.back(there.value, 0.0, shuffled, to="finished").value == pytest.approx(size, abs=1e-9)
    here = chain.back(size, 0.0, steps)
    assert chain.forward(here.value, steps).value == pytest.approx(size, abs=1e-9)


@given(
    st.floats(20.0, 600.0),
    facings,
    facings,
    stocks,
    st.floats(0.0, 0.5),
    st.floats(-3.0, 3.0),
    st.floats(-30, 30),
    st.sampled_from(["x", "y", "z", "none", "oblique"]),
    st.sampled_from(["core_stick", "core_box", "master"]),
)
def test_a_target_s_casting_is_the_as_cast_size_and_its_drawing_size_the_nominal(
    nominal, f_a, f_b, stock, coat, draft_deg, draft_h, axis, kind
):
    ends = (end("A", f_a, CORE, stock_mm=stock, coat_mm=coat), end("B", f_b, CORE, stock_mm=stock / 2, coat_mm=coat))
    one = feature(nominal, ends, axis=axis, draft_deg=draft_deg, draft_h_mm=draft_h, dir_x=0.6, dir_y=0.0, dir_z=0.8)
    steps = chain.plan_steps(one, tool(kind, CORE, resin_r=0.002, second_a=0.013), job())
    target = chain.forward(nominal, steps).value
    assert chain.back(target, 0.0, steps, to="cast").value == pytest.approx(chain.as_cast(one), abs=1e-9)
    assert chain.back(target, 0.0, steps, to="finished").value == pytest.approx(nominal, abs=1e-9)


@given(st.floats(5.0, 800.0), st.floats(0.0, 0.5), step_lists)
def test_uncertainty_is_what_moving_each_step_by_its_u_does(size, u, steps):
    """First-order propagation against finite differences of the walk itself."""

    def moved(step, by):
        if step.scale is not None:
            return replace(step, scale=step.scale + by)
        return replace(step, offset_mm=step.offset_mm + by)

    tiny = 1e-6
    got = chain.back(size, u, steps, to="finished")
    base = got.value
    total = ((chain.back(size + tiny, 0, steps, to="finished").value - base) / tiny * u) ** 2
    ahead = 0.0
    for i, step in enumerate(steps):
        other = [*steps[:i], moved(step, tiny), *steps[i + 1 :]]
        total += ((chain.back(size, 0, other, to="finished").value - base) / tiny * step.u) ** 2
        ahead += ((chain.forward(size, other).value - chain.forward(size, steps).value) / tiny * step.u) ** 2
    assert got.u == pytest.approx(sqrt(total), rel=1e-4, abs=1e-6)
    assert chain.forward(size, steps).u == pytest.approx(sqrt(ahead), rel=1e-4, abs=1e-6)


def test_uncertainty_agrees_with_drawing_at_random():
    """20,000 draws of reading and contraction; the spread of the predicted casting is u (within 2 %)."""
    chance = random.Random(3)
    steps = [
        ChainStep(ord=1, kind="contraction", scale=1.01, u=0.0015),
        ChainStep(ord=2, kind="coat", offset_mm=-0.4, u=0.05),
    ]
    drawn = [(chance.gauss(420, 0.1) + chance.gauss(0.4, 0.05)) / chance.gauss(1.01, 0.0015) for _ in range(20000)]
    mean = sum(drawn) / len(drawn)
    spread = sqrt(sum((d - mean) ** 2 for d in drawn) / (len(drawn) - 1))
    got = chain.back(420.0, 0.1, steps)
    assert got.u == pytest.approx(spread, rel=0.02)
    assert got.value == pytest.approx(mean, abs=0.02)


def test_back_to_the_casting_leaves_stock_and_draft_on():
    steps = chain.plan_steps(feature(62.0, space(stock_mm=1.5), axis="x"), STICK, job())
    assert chain.back(59.59, 0.02, steps, to="cast").value == pytest.approx(59.0)
    assert chain.back(59.59, 0.02, steps, to="finished").value == pytest.approx(62.0)
    with pytest.raises(ChainError, match="cast or finished"):
        chain.back(59.59, 0.02, steps, to="drawing")


def test_a_correction_moves_the_target_and_is_undone_on_the_way_back():
    steps = [
        *chain.plan_steps(feature(62.0, metal(), axis="x"), DRAG, job()),
        ChainStep(ord=9, kind="correction", offset_mm=0.30, source="first sample"),
    ]
    assert chain.forward(62.0, steps).value == pytest.approx(62.62 + 0.30)
    assert chain.back(62.92, 0.0, steps).value == pytest.approx(62.0)


def test_no_steps_change_nothing_and_nonsense_is_refused():
    assert chain.forward(62.0, []) == (62.0, 0.0) and chain.back(62.0, 0.03, []) == (62.0, 0.03)
    for bad in (float("nan"), float("inf")):
        with pytest.raises(ChainError, match="not a size"):
            chain.forward(bad, [])
        with pytest.raises(ChainError, match="not a size"):
            chain.back(bad, 0.0, [])


def test_the_scale_of_steps_is_the_product_of_their_factors():
    steps = chain.plan_steps(feature(82.0, space()), tool("master", CORE, resin_r=0.002, second_a=0.013), job())
    assert chain.scale_of(steps) == pytest.approx(1.01 / 0.998 * 1.013)
    assert chain.scale_of(steps, ("contraction", "second_contraction")) == pytest.approx(1.01 * 1.013)
    assert chain.scale_of([]) == 1.0


# ------------------------------------------------------------------------------ oblique lengths and angles
directions = st.tuples(*[st.floats(-1.0, 1.0)] * 3).filter(lambda d: sum(c * c for c in d) > 1e-3)
contractions = st.tuples(*[st.floats(0.0, 0.03)] * 3)


@given(directions, contractions)
def test_an_oblique_factor_is_the_length_of_the_stretched_direction(direction, a):
    """Stretch a vector of 100 mm axis by axis and measure it."""
    norm = sqrt(sum(c * c for c in direction))
    stretched = [100 * c / norm * (1 + ai) for c, ai in zip(direction, a, strict=True)]
    factor = chain.oblique(direction, a).value
    assert factor == pytest.approx(sqrt(sum(c * c for c in stretched)) / 100, rel=1e-12)
    assert chain.oblique(direction, a).u == 0.0
    assert 1 + min(a) - 1e-12 <= factor <= 1 + max(a) + 1e-12


@given(contractions)
def test_along_an_axis_the_oblique_factor_is_that_axis_alone(a):
    for i, axis in enumerate([(1, 0, 0), (0, -2, 0), (0, 0, 0.5)]):
        got = chain.oblique(axis, a, (0.001, 0.002, 0.003))
        assert got.value == pytest.approx(1 + a[i]) and got.u == pytest.approx((i + 1) * 0.001)


@given(directions, directions, st.floats(0.0, 0.03))
def test_an_angle_does_not_change_when_all_axes_contract_alike(one, two, a):
    plain = chain.angle_on_tool(one, two, (0, 0, 0))
    assert chain.angle_on_tool(one, two, (a, a, a)) == pytest.approx(plain, abs=1e-5)


@given(st.floats(5.0, 85.0), st.floats(0.0, 0.03), st.floats(0.0, 0.03))
def test_an_angle_in_the_plane_changes_as_its_tangent_does(angle, a_x, a_y):
    one, two = (1.0, 0.0, 0.0), (cos(radians(angle)), sin(radians(angle)), 0.0)
    got = chain.angle_on_tool(one, two, (a_x, a_y, 0.0))
    assert tan(radians(got)) == pytest.approx(tan(radians(angle)) * (1 + a_y) / (1 + a_x), rel=1e-6)


def test_a_right_angle_between_oblique_edges_opens_by_minutes():
    # 45 degrees either side of x, 1.0 % in x and 0 in y: 90 becomes 2 atan(1/1.01), about 34 minutes less
    got = chain.angle_on_tool((1, 1, 0), (1, -1, 0), (0.01, 0.0, 0.0))
    assert (90 - got) * 60 == pytest.approx(34.2, abs=0.1)
    assert isclose(got, 2 * degrees(radians(45)) - 34.2 / 60, abs_tol=0.002)


# ------------------------------------------------------------------------------ which tool, and what is there
@pytest.mark.parametrize(
    ("ends", "good"),
    [
        (space(CORE), {"core_stick", "core_box", "loose_piece", "master", "production_pattern"}),
        (metal(CORE), {"core_stick", "core_box", "loose_piece", "master", "production_pattern"}),
        (space(OTHER), set()),
        ((end("A", 1, CORE), end("B", -1, OTHER)), set()),
        ((end("A", -1, "drag"), end("B", 1, CORE)), set()),
        (metal("drag"), {"pattern_drag", "plain master", "plain production", "plain piece"}),
        (metal("cope"), {"pattern_cope", "plain master", "plain production", "plain piece"}),
        ((end("A", -1, "drag"), end("B", 1, "cope")), {"plain master", "plain production", "plain piece"}),
        (
            (),
            {
                "core_stick",
                "core_box",
                "loose_piece",
                "master",
                "production_pattern",
                "pattern_drag",
                "pattern_cope",
                "plain master",
                "plain production",
                "plain piece",
                "stick of no core",
            },
        ),
    ],
)
def test_a_tool_is_measured_only_for_what_it_makes(ends, good):
    tools = {
        kind: tool(kind, CORE) for kind in ("core_stick", "core_box", "loose_piece", "master", "production_pattern")
    }
    tools |= {
        "pattern_drag": DRAG,
        "pattern_cope": COPE,
        "plain master": tool("master"),
        "plain production": tool("production_pattern"),
        "plain piece": tool("loose_piece"),
        "stick of no core": tool("core_stick"),
    }
    one = feature(62.0, ends)
    assert {name for name, made in tools.items() if chain.measurable_on(one, made)} == good
    assert chain.measurable_on(one, tool("gauge_template"))


@pytest.mark.parametrize(
    ("ends", "scale", "senses"),
    [  # stick, box, pattern drag
        (space(), "cast", ("metal", "space", "space")),
        (metal(CORE), "cast", ("space", "metal", "metal")),
        ((end("A", 1, CORE), end("B", 1, CORE)), "cast", ("face", "face", "face")),
        (metal(CORE), "tool", ("metal", "space", "metal")),
        (space(), "tool", ("space", "metal", "space")),
        ((end("A", -1, CORE), end("B", -1, CORE)), "tool", ("face", "face", "face")),
        ((), "cast", ("metal", "space", "metal")),
        ((end("B", -1, CORE),), "cast", ("metal", "space", "metal")),
        ((), "tool", ("metal", "space", "metal")),
    ],
)
def test_what_lies_between_the_ends_on_a_stick_a_box_and_a_pattern(ends, scale, senses):
    one = feature(48.0, ends, quantity="diameter", axis="none", scale=scale)
    assert tuple(chain.sense_on(one, made) for made in (STICK, BOX, DRAG)) == senses


def test_a_place_with_one_end_is_a_face():
    place = feature(90.0, (end("B", 1),), quantity="position")
    assert chain.sense_on(place, DRAG) == "face"


def test_masters_and_pieces_have_the_form_of_what_they_belong_to():
    bore = feature(82.0, space())
    assert chain.sense_on(bore, tool("loose_piece", CORE)) == "space"  # lies in the box
    assert chain.sense_on(bore, tool("production_pattern", CORE)) == "space"
    assert chain.sense_on(bore, tool("master", CORE, second_a=0.013)) == "space"  # a metal box is cast from it
    assert chain.sense_on(bore, tool("master", CORE)) == "metal"  # a resin box is cast off it
    length = feature(624.0, metal())
    for made in (tool("master"), tool("production_pattern"), tool("loose_piece"), tool("gauge_template")):
        assert chain.sense_on(length, made) == "metal"


# ------------------------------------------------------------------------------ temperature


# ------------------------------------------------------------------------------ moisture
moistures = st.floats(0.0, 0.30)


@given(nominal=st.floats(1.0, 500.0), low=st.floats(-2.0, 2.0), wide=st.floats(0.0, 2.0))
def test_the_size_to_make_is_the_drawings_or_the_middle_of_its_limits(nominal, low, wide):
    lower, upper = nominal + low, nominal + low + wide
    both = Feature(balloon="F1", name="size", nominal=nominal, lower=lower, upper=upper)
    got = chain.wanted(both)
    assert lower - 1e-6 <= got <= upper + 1e-6
    if lower <= nominal <= upper:
        assert got == nominal
    elif not lower - 1e-5 <= nominal <= upper + 1e-5:
        assert got == pytest.approx((lower + upper) / 2)
    assert chain.wanted(replace(both, lower=None)) == (nominal if nominal <= upper else pytest.approx(upper, abs=1e-6))
    assert chain.wanted(replace(both, lower=None, upper=None)) == nominal
