"""The passage of a sampling: its least section as the readings give it, and that it is no flow test."""

from __future__ import annotations

import math
import statistics

import pytest

from inspect_tui.metrology.kit.doubts import Doubt, Doubted
from inspect_tui.metrology.kit.passage import Formula, parse
from inspect_tui.shop.first_article.passages import mean_of
from inspect_tui.shop.first_article.result import to_plain


def test_the_passage_of_the_first_sampling_misses_its_minimum_and_says_it_is_no_flow_test(articles) -> None:
    (mean,) = [line for line in articles["S1"].passages if line.serial is None]
    # scenario section 7: 44.3 of 46.0 with the throat as planted, minimum 45.0
    assert abs(mean.capacity - 44.3) < 0.35
    assert mean.level == "under by a few percent"
    assert "below the minimum" in mean.sentence
    assert "no flow test" in mean.caveat
    (later,) = [line for line in articles["S2"].passages if line.serial is None]
    assert abs(later.capacity - 46.1) < 0.35


# ------------------------------------------------------------------------------ covariance of castings and of their mean
def area() -> Formula:
    parsed = parse("W * H", {"W": 1, "H": 1})
    assert isinstance(parsed, Formula)
    return parsed


def casting(w: float, h: float, serial: str, own: float = 0.03, gauge: float = 0.02) -> dict[str, Doubted]:
    shared = Doubt("gauge caliper 1", "gauge", gauge, True)
    return {
        name: Doubted(value, (Doubt(f"reading of {name} on {serial}", "readings", own, True), shared))
        for name, value in (("W", w), ("H", h))
    }


def test_a_gauge_is_no_surer_for_reading_many_castings_alike() -> None:
    castings = [casting(20.0, 10.0, str(n)) for n in range(4)]
    mean = mean_of(area(), castings)
    gauge, own = 0.02 * 30.0, 0.03 * math.hypot(20.0, 10.0) / 2.0
    by_kind = {share.kind: share.u for share in mean.shares}
    assert by_kind == pytest.approx({"gauge": gauge, "readings": own})
    assert mean.value == pytest.approx(200.0) and mean.u == pytest.approx(math.hypot(gauge, own))


def test_castings_that_are_large_both_ways_scatter_in_the_area_by_both() -> None:
    """Sizes that grow together: s of the areas themselves, statistics.stdev over the root of their number."""
    sizes = [(20.0, 10.0), (20.4, 10.2), (19.6, 9.8), (20.2, 10.1)]
    mean = mean_of(area(), [casting(w, h, str(n), own=0.001, gauge=0.0) for n, (w, h) in enumerate(sizes)])
    want = statistics.stdev(w * h for w, h in sizes) / 2.0
    assert mean.u == pytest.approx(want)
    apart = math.hypot(
        *(statistics.stdev(s) * by / 2.0 for s, by in zip(zip(*sizes, strict=False), (10.05, 20.05), strict=False))
    )
    assert mean.u > 1.3 * apart  # what a sum of squares of the two sizes would have said


def test_the_passages_of_a_first_article_say_how_and_in_which_units(articles) -> None:
    (mean,) = [line for line in articles["S1"].passages if line.serial is None]
    assert mean.how == "in proportion to the area: assumed"
    assert mean.u_assumed == 0.0 and mean.u_measured == pytest.approx(mean.u_capacity)
    assert dict(mean.in_units)["m3/h"] == pytest.approx(60 * mean.capacity)
    plain = to_plain(articles["S1"])["passages"]
    assert dict(plain[-1]["in_units"])["l/s"] == pytest.approx(mean.capacity / 0.06)


def test_a_casting_read_with_one_gauge_has_its_certificate_once(articles) -> None:
    article = articles["S1"]
    line = next(line for line in article.passages if line.serial == "S1-1")
    w, h = (article.cell(balloon, "S1-1") for balloon in ("F41", "F55"))
    assert w.instrument == h.instrument
    gauge = next(gauge for gauge in article.instruments if gauge.label == w.instrument)
    shared = gauge.u95_mm / gauge.k
    slopes = math.pi / 4 * h.value, math.pi / 4 * w.value
    own = math.hypot(*(slope * math.sqrt(c.u**2 - shared**2) for slope, c in zip(slopes, (w, h), strict=True)))
    assert line.u == pytest.approx(math.hypot(own, sum(slopes) * shared), rel=1e-3)  # temperature adds a trifle
    assert line.u > 1.02 * math.hypot(slopes[0] * w.u, slopes[1] * h.u)  # what two gauges would leave open
