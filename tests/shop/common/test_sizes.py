"""The sizes of a feature on a tool, on sand and on a casting: the chain by hand, its band, and the line that tells it."""

from __future__ import annotations

import pytest

from inspect_tui.errors import DataError
from inspect_tui.frozen import replace
from inspect_tui.metrology.typed.show import Style
from inspect_tui.model.work import Feature, Job, Tool, ToolFeature
from inspect_tui.shop.common import find
from inspect_tui.shop.common.sizes import (
    Sizes,
    bare_unit,
    chain_words,
    gauge_unit,
    is_machined,
    of_sand,
    quantity_of,
    range_mm,
    said_range,
    sizes,
    unit_of,
)
from tests.conftest import SmallShop


def on(shop: SmallShop, balloon: str, tool: str = "stick 1") -> Sizes:
    return next(task.sizes for task in shop.bench(tool).tasks if task.feature.balloon == balloon)


def of_tool(shop: SmallShop, balloon: str, tool: str = "stick 1") -> ToolFeature:
    found = on(shop, balloon, tool).tool_feature
    assert found
    return found


def test_a_casting_is_judged_by_the_drawing_less_its_stock(shop: SmallShop) -> None:
    stick = on(shop, "F1")
    job = find.job(shop.record, "SV-12")
    cast = sizes(job, stick.feature, find.Subject("casting C1"))
    # 62.0 +-0.8, 1.5 a side on an inside size: 59.0 +-0.8 as cast; no chain, no sense, nothing to be cast from it
    assert (cast.target, cast.u_target, cast.contraction, cast.sense) == (59.0, 0.0, 0.0, None)
    assert (cast.band.lower, cast.band.upper) == pytest.approx((58.2, 59.8))
    assert cast.kind_word == "casting" and cast.cast_from(59.0, 0.1) is None and cast.fit is None
    assert chain_words(cast) == "drawing 62.00 ±0.80 → cast 59.00 (stock 1.5 a side) ±0.80"
    unsaid = sizes(job, replace(stick.feature, raw_lower=None, raw_upper=None), find.Subject("casting C1"))
    assert (unsaid.band.lower, unsaid.band.upper, unsaid.target) == (None, pytest.approx(62.8), 59.0)
    assert chain_words(unsaid).endswith("→ cast 59.00 (stock 1.5 a side) max 62.80 (must clean up)")


def test_finished_it_is_judged_by_the_drawing(shop: SmallShop) -> None:
    stick = on(shop, "F1")
    job = find.job(shop.record, "SV-12")
    done = sizes(job, stick.feature, find.Subject("casting C1"), state="finished")
    assert (done.state, done.target, done.drawn, done.as_cast) == ("finished", 62.0, 62.0, 59.0)
    assert (done.band.lower, done.band.upper, done.band.source) == (61.2, 62.8, "drawing ±0.8")
    assert (done.cast_band.lower, done.cast_band.upper) == pytest.approx((58.2, 59.8))
    assert done.cast_from(62.0, 0.1) is None and done.tool_kind is None
    assert chain_words(done) == "cast 59.00 (stock 1.5 a side) → finished 62.00 ±0.80"


def test_the_raw_size_is_made_within_its_own_limits_too(shop: SmallShop) -> None:
    """62 finished is 59 as cast; where 57.6 to 58.4 is stated for the raw casting it is made 58, the stick 58.58."""
    stick = on(shop, "F1")
    job = find.job(shop.record, "SV-12")
    tight = replace(stick.feature, raw_lower=57.6, raw_upper=58.4)
    cast = sizes(job, tight, find.Subject("casting C1"))
    assert (cast.target, cast.drawn, cast.to_middle) == (pytest.approx(58.0), 59.0, "the middle of its limits")
    tool = sizes(job, tight, find.subject(shop.record, job, "stick 1"), stick.tool_feature)
    assert (tool.target, tool.drawn) == (pytest.approx(58.58), pytest.approx(59.59))
    assert (tool.band.lower, tool.band.upper) == pytest.approx((58.58 - 0.404 / 3, 58.58 + 0.404 / 3))
    assert sizes(job, tight, find.Subject("casting C1"), state="finished").target == 62.0


def test_only_what_is_machined_has_a_finished_size(shop: SmallShop) -> None:
    stick = on(shop, "F1")
    job = find.job(shop.record, "SV-12")
    height = on(shop, "F2").feature
    with pytest.raises(DataError, match="F2 is not machined: it has no stock"):
        sizes(job, height, find.Subject("casting C1"), state="finished")
    drilled = replace(height, machined=True)  # no stock is drawn: raw and finished ask for the same
    assert sizes(job, drilled, find.Subject("casting C1"), state="finished").band.upper == 40.6
    with pytest.raises(DataError, match="stick 1 is no casting"):
        sizes(job, stick.feature, find.subject(shop.record, job, "stick 1"), stick.tool_feature, "finished")
    assert is_machined(stick.feature) and not is_machined(on(shop, "P1").feature)


def test_the_tool_of_a_size_that_must_clean_up_has_a_share_of_what_may_go(shop: SmallShop) -> None:
    """3.8 of a raw bore of 59.00 may go to 62.80; a third of it at 1 %: 59.59 + 3.8 / 3 x 1.01, and no least size."""
    stick = on(shop, "F1")
    job = find.job(shop.record, "SV-12")
    unsaid = replace(stick.feature, raw_lower=None, raw_upper=None, raw_source=None)
    tool = sizes(job, unsaid, find.subject(shop.record, job, "stick 1"), stick.tool_feature)
    assert (tool.target, tool.band.lower) == (pytest.approx(59.59), None)
    assert tool.band.upper == pytest.approx(59.59 + 3.8 / 3 * 1.01)
    assert tool.band.source == "1/3 of the casting band (common practice): must clean up"


def test_what_a_tool_measures_says_what_the_casting_will(shop: SmallShop) -> None:
    stick = on(shop, "F1")
    assert stick.contraction == pytest.approx(0.01) and stick.kind_word == "stick"
    will = stick.cast_from(60.6, 0.0)
    assert will and will.value == pytest.approx(60.0)  # 60.6 / 1.01
    key = on(shop, "P1")
    assert key.cast_from(40.0, 0.1) is None  # a print is never cast
    assert (key.target, key.fit) == (40.0, "print") and on(shop, "P1", "box 1").fit == "seat"
    assert (key.band.lower, key.band.upper) == pytest.approx((39.8, 40.0))  # nor contracted


def test_a_class_of_the_job_takes_the_place_of_its_share(shop: SmallShop) -> None:
    stick = on(shop, "F2")
    job = replace(find.job(shop.record, "SV-12"), tool_band="H2")
    classed = sizes(job, stick.feature, find.subject(shop.record, job, "stick 1"), stick.tool_feature)
    assert "12890" in classed.band.source and classed.band != stick.band
    shared = stick.band
    assert shared.width == pytest.approx(2 * 0.6 / 3 * 1.01)  # a third of +-0.6 at tool scale


def test_sand_has_the_shape_of_its_stick_and_fills_its_box(shop: SmallShop) -> None:
    stick, box = of_tool(shop, "F1"), of_tool(shop, "F1", "box 1")
    assert (stick.sense, box.sense) == ("metal", "space")
    assert of_sand(stick, "core_stick").sense == "metal" == of_sand(box, "core_box").sense
    resin = replace(
        box,
        lower=59.4,
        upper=59.8,
        steps=(*box.steps, replace(box.steps[-1], ord=9, kind="resin", scale=1.0012, offset_mm=None)),
    )
    bare = of_sand(resin, "core_box")
    assert bare.steps == box.steps and (bare.lower, bare.upper) == (None, None)  # limits of the larger box are not it
    kept = of_sand(replace(box, lower=59.4, upper=59.8), "core_box")
    assert (kept.lower, kept.upper) == (59.4, 59.8)


def test_the_chain_in_one_line(shop: SmallShop) -> None:
    assert chain_words(on(shop, "F1")) == (
        "drawing 62.00 ±0.80 → cast 59.00 (stock 1.5 a side) → stick 59.59 (1.0 % in Y)"
    )
    assert chain_words(on(shop, "P1")) == "drawing 40.00 +0.00/-0.20  (tooling scale)"
    assert "(stock 0 + 3)" not in chain_words(on(shop, "F4", "drag pattern"))  # an end without stock is not told


def test_units_follow_what_is_measured(shop: SmallShop) -> None:
    width = on(shop, "F1").feature
    assert [unit_of(replace(width, quantity=q), "in") for q in ("width", "angle", "temperature")] == ["in", "deg", "C"]
    inch = find.instrument(shop.record, "inch caliper")
    assert range_mm(inch) == pytest.approx((0.0, 304.8)) and range_mm(shop.caliper) == (0.0, 300.0)
    assert [quantity_of(replace(inch, unit=u)) for u in ("in", "deg", "C")] == ["length", "angle", "temperature"]


def limited(one: Sizes, lower: float | None, upper: float | None) -> Sizes:
    """The same size with other limits on the drawing, on the same tool."""
    assert one.tool_feature
    job = Job(number="1", name="n")
    tool = Tool(job_of_id=b"", kind=one.tool_kind or "other", label="t")
    feature = replace(one.feature, lower=lower, upper=upper)
    return sizes(job, feature, find.Subject("t", tool=tool), one.tool_feature)


@pytest.mark.parametrize(
    "lower, upper, cast, middle",
    [
        (39.3, 39.7, 39.5, "the middle of its limits"),  # 40 -0.3/-0.7
        (40.1, 40.5, 40.3, "the middle of its limits"),
        (None, 39.5, 39.5, "its limit"),
        (40.2, None, 40.2, "its limit"),
        (39.3, 40.0, 40.0, ""),  # on a limit is inside
        (None, None, 40.0, ""),
    ],
)
def test_the_size_to_make_lies_within_its_own_limits(
    shop: SmallShop, lower: float | None, upper: float | None, cast: float, middle: str
) -> None:
    one = limited(on(shop, "F2"), lower, upper)
    assert one.target == pytest.approx(cast * 1.01)
    assert one.drawn == pytest.approx(40.0 * 1.01)
    assert one.to_middle == middle
    assert one.finished == 40.0  # what the drawing says stays what it says
    assert one.band.lower is None or one.band.lower <= one.target
    assert one.band.upper is None or one.target <= one.band.upper
    words = chain_words(one)
    assert (f"stick {one.target:.2f} (1.0 % in Z), {middle}: the drawing's own size" in words) == bool(middle)


def test_limits_of_the_tool_itself_bind_too(shop: SmallShop) -> None:
    stick = on(shop, "F2")
    assert stick.tool_feature
    own = replace(stick.tool_feature, lower=40.5, upper=40.7)
    job = find.job(shop.record, "SV-12")
    one = sizes(job, stick.feature, find.subject(shop.record, job, "stick 1"), own)
    assert (one.target, one.drawn) == (pytest.approx(40.6), pytest.approx(40.4))


def test_a_casting_is_wanted_within_its_limits_too(shop: SmallShop) -> None:
    """62 -0.3/-0.7 with 1.5 a side of an inside size: 61.5 finished, 58.5 as cast; the drawing's as-cast size is 59."""
    feature = replace(on(shop, "F1").feature, lower=61.3, upper=61.7)
    cast = sizes(find.job(shop.record, "SV-12"), feature, find.Subject("casting C1"))
    assert (cast.target, cast.as_cast) == (pytest.approx(58.5), pytest.approx(59.0))


def test_a_figure_without_a_unit_is_in_that_of_who_types_or_of_the_gauge(shop: SmallShop) -> None:
    width, angle = (
        Feature(balloon="F1", name="w", quantity=q, axis="x", nominal=1.0, ends=()) for q in ("width", "angle")
    )
    caliper, inches = shop.caliper, replace(shop.caliper, unit="in")
    assert [bare_unit(width, gauge, "in") for gauge in (caliper, inches, None)] == ["in", "in", "in"]
    assert [bare_unit(width, gauge) for gauge in (caliper, inches, None)] == ["mm", "in", "mm"]
    assert bare_unit(width, replace(caliper, kind="contraction_rule"), "in") == "mm"
    assert bare_unit(angle, caliper, "in") == "deg" and bare_unit(width, replace(caliper, unit="deg"), "in") == "mm"
    assert gauge_unit(replace(caliper, unit="deg"), "in") == "deg"


def test_what_a_gauge_reads_is_said_in_the_unit_of_the_reader(shop: SmallShop) -> None:
    assert said_range(shop.caliper) == ("0 to 300 mm", "0.01 mm")
    assert said_range(shop.caliper, Style("in")) == ("0 to 11.811 in", "0.0004 in")
    inches = replace(shop.caliper, unit="in", range_hi=6.0, resolution=0.0005)
    assert said_range(inches) == ("0 to 6 in", "0.0005 in") and said_range(inches, Style("in")) == (
        "0 to 6 in",
        "0.0005 in",
    )
    assert said_range(replace(shop.caliper, unit="deg", kind="other"), Style("in"))[0] == "0 to 300 deg"


def test_who_reads_inches_hears_the_contraction_as_on_a_rule_too(shop: SmallShop) -> None:
    size = shop.bench().tasks[0].sizes
    assert chain_words(size).endswith("(1.0 % in X)")
    assert chain_words(size, Style("in")).endswith("(1.0 %, about 1/8 in/ft in X)")
