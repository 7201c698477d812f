"""The feature view: which readings, where segments start, which chart, and that the kept summary is watched."""

from __future__ import annotations

import random
from array import array
from datetime import UTC, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_tui.errors import DataError
from inspect_tui.metrology.spread.charts import Break
from inspect_tui.metrology.spread.statistics import from_values
from inspect_tui.model.trends import ToolRepair
from inspect_tui.record.chain.ids import IdMaker, now
from inspect_tui.shop.common import find
from inspect_tui.shop.feature import material as feature_data
from inspect_tui.shop.feature.material import Material, segments
from inspect_tui.shop.feature.view import CHARTS, STALE, same_summary, subgroups, view
from tests.conftest import SmallShop
from tests.worlds.measured import Measured

DRAW = random.Random(7)
TWENTY = [round(DRAW.gauss(59.6, 0.05), 2) for _ in range(20)]


@pytest.fixture
def measured(shop: SmallShop) -> Measured:
    return Measured(shop)


def plain(values: list[float], **more: object) -> Material:
    return Material(title="width", where="here", unit="mm", values=array("d", values), **more)  # type: ignore[arg-type]


def load(m: Measured, on: str = "stick 1", **how: object) -> Material:
    return feature_data.material(m.record, m.pick(on), **how)  # type: ignore[arg-type]


# ------------------------------------------------------------------------------ which readings
def test_the_summary_is_that_of_the_readings_that_count(measured: Measured) -> None:
    logged = measured.on_tool([59.60, 95.60, 59.62])
    measured.void(logged[1])
    seen = view(load(measured))
    assert seen.summary == from_values([59.60, 59.62])
    assert seen.material.n_out == 1 and seen.kept_agrees is True
    assert seen.material.kept is not None and seen.material.kept.n == 2


def test_band_and_target_are_those_of_the_subject(measured: Measured) -> None:
    """F1 is 62 with stock 1.5 a side on an inside size: 59 as cast; times 1.01 on the stick."""
    on_tool, on_castings = load(measured), load(measured, "castings")
    assert on_castings.target == pytest.approx(59.0) and on_tool.target == pytest.approx(59.59)
    assert on_castings.band is not None and on_castings.band.upper == pytest.approx(59.8)


def later(m: Measured, days: int) -> str:
    """The bench's clock goes on by days; the day it is then."""
    at_us = now()[0] + days * 86_400_000_000
    m.record._clock = lambda: (at_us, 0)
    m.record._ids = IdMaker(m.record._clock)
    return datetime.fromtimestamp(at_us / 1e6, UTC).date().isoformat()


@pytest.mark.parametrize("on", ["stick 1", "castings"])
@pytest.mark.parametrize("labels", [False, True])
def test_a_repair_starts_a_segment(measured: Measured, on: str, labels: bool) -> None:
    write = measured.on_tool if on == "stick 1" else measured.on_castings
    write(TWENTY[:6])
    day = later(measured, 2)
    tool = measured.pick("stick 1").subject.tool
    assert tool

    def repaired(feature: bytes | None) -> None:
        measured.record.add(
            ToolRepair(tool_of_id=tool.of_id, feature_id=feature, action="line", done_on=day, what="lined"),
            by=measured.shop.ab.id,
        )

    repaired(measured.feature.id)
    repaired(find.feature(measured.record.features(measured.feature.revision_id), "F2").id)
    write(TWENTY[6:8])
    assert load(measured, on, with_labels=labels).breaks == (Break(6, f"stick 1 line {day}"),)
    assert load(measured, "box 1").breaks == ()
    later(measured, 4)
    repaired(None)  # of the whole tool, on the same day: one segment, both said
    seen = view(load(measured, on, with_labels=labels))
    assert [(p.start, p.reason) for p in seen.chart.segments[1:]] == [(6, f"stick 1 line {day}; stick 1 line {day}")]


def test_a_few_readings_with_another_instrument_make_no_segment(measured: Measured) -> None:
    measured.on_tool(TWENTY)
    measured.on_tool(TWENTY[:4], instrument="caliper 2")
    assert load(measured).breaks == ()
    measured.on_tool(TWENTY[:1], instrument="caliper 2")
    assert [b.index for b in load(measured).breaks] == [20]


def test_a_new_drawing_is_always_a_segment() -> None:
    assert segments([Break(2, "drawing B")], [], 4) == (Break(2, "drawing B"),)
    assert segments([Break(0, "drawing B"), Break(4, "drawing C")], [Break(0, "x")], 4) == ()


# ------------------------------------------------------------------------------ the chart
@pytest.mark.parametrize("kind", list(CHARTS))
@pytest.mark.parametrize("values", [[], [59.6], [59.6, 59.61], [59.6] * 9], ids=["0", "1", "2", "all equal"])
def test_every_chart_of_too_little_says_so(kind: str, values: list[float]) -> None:
    seen = view(plain(values), kind)
    assert seen.summary.n == len(values)
    assert seen.chart.signals == ()
    if len(set(values)) < 2:
        assert seen.lag1 is None
        said = (seen.chart.sentence, *(part.sentence for part in seen.chart.segments), seen.summary.sentence)
        assert any("no points" in s or "no limits" in s or "equal" in s for s in said)


def test_the_individuals_chart_is_about_the_mean_moving_range() -> None:
    """Limits at mean +- 3 MR / 1.128 (ISO 7870-2, individuals; d2 for two)."""
    values = [10.0, 10.2, 10.1, 10.4, 10.2]
    chart = view(plain(values)).chart
    moving = (0.2 + 0.1 + 0.3 + 0.2) / 4
    assert chart.centre[0] == pytest.approx(10.18)
    assert chart.upper[0] == pytest.approx(10.18 + 3 * moving / 1.128379, rel=1e-5)


def test_segments_have_their_own_centre() -> None:
    values = [10.0, 10.1] * 5 + [20.0, 20.1] * 5
    material = plain(values, breaks=(Break(10, "drawing B"),))
    seen = view(material)
    assert [s.centre for s in seen.chart.segments] == pytest.approx([10.05, 20.05]) and seen.chart.signals == ()
    assert view(material, segments=False).chart.signals != ()


def test_wild_readings_do_not_widen_limits_from_the_median() -> None:
    values = [*TWENTY, 5.96, *TWENTY]
    wide, narrow = view(plain(values)).chart, view(plain(values), median=True).chart
    assert wide.upper[0] is not None and narrow.upper[0] is not None
    assert narrow.upper[0] - (narrow.centre[0] or 0) < 0.1 * (wide.upper[0] - (wide.centre[0] or 0))


def test_an_unknown_chart_and_an_unknown_test_are_refused() -> None:
    with pytest.raises(DataError, match="There is no chart called pie; there are: individuals"):
        view(plain(TWENTY), "pie")
    with pytest.raises(DataError, match="no test is called"):
        view(plain(TWENTY), tests=("astrology",))


def test_a_kept_summary_that_differs_is_told(measured: Measured) -> None:
    measured.on_tool([59.60, 59.70, 59.62])
    measured.record._con.execute("UPDATE cache_summary SET mean = mean + 0.001")
    seen = view(load(measured))
    assert seen.kept_agrees is False and STALE in seen.remarks
    assert seen.summary == from_values([59.60, 59.70, 59.62])


@pytest.mark.parametrize(
    ("change", "same"),
    [({}, True), ({"n": 19}, False), ({"max": 70.0}, False), ({"m2": 1.0}, False), ({"mean": 59.7}, False)],
)
def test_what_counts_as_the_same_summary(change: dict[str, float], same: bool) -> None:
    from dataclasses import replace as changed

    made = from_values(TWENTY)
    assert same_summary(made, changed(made, **change)) is same


# ------------------------------------------------------------------------------ subgroups
def test_consecutive_subgroups_stay_within_their_segment() -> None:
    material = plain([float(i) for i in range(12)], breaks=(Break(7, "drawing B"),))
    made = subgroups(material, 3, material.breaks)
    assert [list(g) for g in made.groups] == [[0, 1, 2], [3, 4, 5], [7, 8, 9]]
    assert made.names == ("1 to 3", "4 to 6", "8 to 10")
    assert [b.index for b in made.breaks] == [2]
    assert made.remark == "subgroups of 3: 3 readings left over"


def test_subgroups_by_lot_take_what_carries_the_label() -> None:
    labels: dict[str, list[str | None]] = {"lot": ["a", "b", "a", None, "b", "c"]}
    made = subgroups(plain([1, 2, 3, 4, 5, 6], labels=labels), "lot")
    assert [list(g) for g in made.groups] == [[1, 3], [2, 5]] and made.names == ("a", "b")
    assert made.remark == "subgroups by lot: 2 readings left over"


def test_subgroups_that_cannot_be_are_refused() -> None:
    with pytest.raises(DataError, match="Subgroups of 1 readings cannot be charted"):
        subgroups(plain(TWENTY), 1)
    with pytest.raises(DataError, match="nothing called heat to make subgroups by; there is: a number only"):
        subgroups(plain(TWENTY), "heat")


@given(
    st.lists(st.floats(-1e3, 1e3), max_size=60),
    st.integers(2, 9),
    st.lists(st.integers(0, 60), max_size=3, unique=True),
)
def test_no_reading_is_lost_or_used_twice(values: list[float], size: int, cuts: list[int]) -> None:
    material = plain(values)
    breaks = [Break(i, "x") for i in sorted(cuts) if 0 < i < len(values)]
    made = subgroups(material, size, breaks)
    used = sum(len(g) for g in made.groups)
    left = int(made.remark.split(": ")[1].split()[0]) if made.remark else 0
    assert used + left == len(values) and all(len(g) == size for g in made.groups)


def test_means_of_the_record_by_lot(measured: Measured) -> None:
    for i in range(5):
        measured.on_castings(TWENTY[3 * i : 3 * i + 3], lot=measured.lot(f"L{i}"))
    seen = view(load(measured, "castings", with_labels=True), "means", group="lot")
    assert seen.names == ("L0", "L1", "L2", "L3", "L4") and len(seen.chart.points) == 5
    assert seen.chart.points[0] == pytest.approx(sum(TWENTY[:3]) / 3)
