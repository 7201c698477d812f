"""One feature as text: its pictures fit their room, and what is far off, curved or outside is drawn and said."""

from __future__ import annotations

from array import array
from random import Random
from typing import Any

import pytest

from inspect_tui.model.words import Band
from inspect_tui.report.term import feature as paint
from inspect_tui.shop.feature import findings
from inspect_tui.shop.feature.material import Material
from inspect_tui.shop.feature.view import CHARTS, FeatureView, view

BRAILLE = {chr(code) for code in range(0x2801, 0x2900)}


def readings(n: int = 40, seed: int = 3) -> list[float]:
    draw = Random(seed)
    return [round(draw.gauss(59.6, 0.04), 2) for _ in range(n)]


def material(values: list[float], **more: Any) -> Material:
    band = Band(59.44, 59.74, "drawing")
    return Material(title="width", where="here", unit="mm", values=array("d", values), band=band, target=59.59, **more)


def seen(values: list[float], kind: str = "individuals", **more: Any) -> FeatureView:
    return view(material(values, **more), kind)


def rows(view_of: FeatureView, width: int = 78, height: int = 16, **more: Any) -> list[str]:
    return paint.chart_picture(view_of, width, height, **more).plain.split("\n")


@pytest.mark.parametrize("kind", CHARTS)
@pytest.mark.parametrize(("width", "height"), [(60, 10), (80, 18), (160, 40)])
def test_every_kind_of_chart_fits_its_room(kind: str, width: int, height: int) -> None:
    lines = rows(seen(readings(), kind), width, height, companion=True, cursor=4)
    assert len(lines) <= height and all(len(line) <= width for line in lines)
    assert BRAILLE & set("".join(lines)) and "▲" in "".join(lines)


def test_straight_limits_and_the_centre_are_named_with_their_figures() -> None:
    text = "\n".join(rows(seen(readings())))
    chart = seen(readings()).chart
    assert f"centre {chart.centre[0]:.3f}" in text and f"limit {chart.upper[0]:.3f}" in text
    assert "┄" in text and "─" in text and "band 59.440" in text and "┼" in text
    assert "band" not in "\n".join(rows(seen(readings()), show_band=False))


def test_limits_that_change_are_drawn_in_steps_to_their_end() -> None:
    lines = rows(seen(readings(), "ewma"))
    assert sum("┄" in line for line in lines) >= 2 and any("limit" in line for line in lines)


def test_a_reading_far_out_is_an_arrow_at_the_edge_and_told_in_the_title() -> None:
    values = readings()
    values[7] = 596.0
    lines = rows(seen(values))
    assert "1 far out, drawn at the edge: 596" in lines[0]
    assert "▲" in lines[1] and "".join(lines).count("▲") == 1 and "◆" not in "".join(lines[1:3])


def test_signals_are_marked_and_said_in_words() -> None:
    values = [*readings(30), 59.9, *readings(5, seed=9)]
    of = seen(values)
    assert "◆" in "".join(rows(of))
    said = paint.chart_words(of, 78).plain
    assert said.startswith("◆ ") and all(len(line) <= 78 for line in said.splitlines())
    assert paint.chart_words(seen([59.6, 59.62] * 15), 78).plain.startswith("No signal")


@pytest.mark.parametrize("n", [0, 1, 2])
def test_hardly_any_readings_give_a_picture_or_say_so(n: int) -> None:
    of = seen(readings(n))
    assert rows(of)
    assert f"n {n}" in paint.summary_text(of, 78).plain


def test_the_histogram_says_what_lies_outside() -> None:
    values = [*readings(), 60.4, 60.5]
    of = material(values)
    text = paint.histogram_picture(of, findings.histogram(of), 78).plain
    assert text.splitlines()[0] == "2 above the upper limit, of 42 readings" and "target 59.590" in text
    assert all(len(line) <= 78 for line in text.splitlines())


def test_every_line_that_likeness_of_neighbours_spoils_says_so() -> None:
    values = [10 + 0.1 * ((i // 12) % 2) + 0.01 * ((i * 7) % 5) for i in range(96)]
    found = findings.findings(material(values), u=0.001)
    text = paint.findings_text(found, 2, "mm", 110).plain
    flat = " ".join(text.split())
    assert flat.count("does not hold, " + paint.ORDER) == 5
    assert flat.count("do not rely on it") == 4  # normality, outliers, heaps, judged wrongly
    assert "judged wrongly" in flat
    assert "P_pm" in flat
    assert "unfit for an index: neighbouring readings resemble" in flat.replace("the readings drift", "")


def test_shares_outside_are_plain_percents() -> None:
    def outside(shift: float) -> str:
        found = findings.findings(material([value + shift for value in readings()]), u=0.001)
        text = " ".join(paint.findings_text(found, 2, "mm", 110).plain.split())
        return text.partition("expected outside ")[2].partition(" judged")[0]

    assert outside(1.0) == "100 %, at most 100 %"
    assert outside(0.14) == "41 %, at most 100 %"


def test_two_heaps_are_said_over_the_histogram() -> None:
    values = [10.0 + 0.001 * i for i in range(40)] + [10.4 + 0.001 * i for i in range(40)]
    made = material(values)
    text = " ".join(paint.histogram_picture(made, findings.histogram(made), 78).plain.split())
    assert "Two heaps: 40 about 10.0" in text
    one = material([10 + 0.01 * ((i * 7) % 11) for i in range(80)])
    assert "heaps" not in paint.histogram_picture(one, findings.histogram(one), 78).plain
