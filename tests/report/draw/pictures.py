"""One of each picture, painted in cells and in SVG: what the tests of the painters are held to, byte for byte.

`python -m tests.report.draw.pictures` writes them anew into `pictures/`. The SVG files open in any browser.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from inspect_tui.metrology.kit.bodies import Body, Box, body_from_faces, given_body
from inspect_tui.metrology.sizes.place import Place
from inspect_tui.report.draw import chart as kinds
from inspect_tui.report.draw.band import Lane, band
from inspect_tui.report.draw.cells import band_cells, chart_cells, histogram_cells
from inspect_tui.report.draw.chart import Break, Chart, Fan, Level, Series
from inspect_tui.report.draw.mould import VIEWS, Wanted, sketch
from inspect_tui.report.draw.sketch_cells import sketch_cells
from inspect_tui.report.draw.sketch_svg import sketch_svg
from inspect_tui.report.draw.svg import (
    band_svg,
    chart_svg,
    check_svg,
    fit_svg,
    overview_svg,
    sign_svg,
    stock_svg,
)
from inspect_tui.shop.kit.sketch.scene import PartingStep, Scene, SceneCore

FOLDER = Path(__file__).with_name("pictures")

BAND = band(
    59.44,
    59.74,
    59.59,
    [Lane(59.66, 0.03, others=(59.5, 59.62)), Lane(59.78, 0.02, bad=True), Lane(60.4, 0.02, bad=True, others=(58.0,))],
)
AWAY = band(59.44, 59.74, 61.0, [Lane(others=(50.0, 59.6, 70.0))])
OPEN = band(6.0, None, 7.0, [Lane(6.4, 0.3)])

XS = [float(x) for x in range(0, 1000, 40)]
YS = [80.8 + 0.0003 * x + (0.03 if n % 3 else -0.04) for n, x in enumerate(XS)]
YS[20], YS[22] = 95.0, 8.1
CHART = Chart(
    readings=Series(XS, YS),
    across="cores made",
    title="W width",
    of="box 1",
    said="W width on box 1: 2 400 cores left",
    beside=(
        Series([100.0, 500.0, 900.0], [80.95, 81.0, 81.2], kinds.CASTING, "castings", 1),
        Series([300.0, 700.0], [80.7, 81.05], kinds.CHECK, "checks of box 1"),
    ),
    levels=(
        Level(80.2, "lower 80.20", kinds.LIMIT, False, "lower limit 80.20"),
        Level(81.41, "limit 81.41", kinds.LIMIT, True, "upper limit 81.41"),
        Level(80.8, "target 80.80", kinds.TARGET),
    ),
    ground=(80.2, 81.41),
    breaks=(Break(420.0, "repair", 1, "lined"), Break(5000.0, "jump", 2)),
    fan=Fan(
        xs=(440.0, 960.0, 1400.0, 1900.0),
        middle=(80.93, 81.09, 81.22, 81.37),
        low=(80.93, 81.09, 81.16, 81.2),
        high=(80.93, 81.09, 81.28, 81.54),
        now=960.0,
        label="wear",
    ),
    signals=((480.0, YS[12]),),
    signal="not fitted",
    low=80.76,
    high=81.12,
    above=1,
    below=1,
)
CURVED = Chart(
    readings=Series([1, 2, 3, 4, 5, 6], [5.0, 5.4, 4.9, 5.2, 5.6, 5.1]),
    beside=(
        Series([1.0, 2.0, 3.0, 4.0, 5.0, 6.0], [5.6, 5.7, 5.8, 5.8, 5.85, 5.9], kinds.CONTROL),
        Series([1.0, 6.0], [5.1, 5.3], kinds.FIT),
    ),
    levels=(Level(5.2, "centre 5.20", kinds.CENTRE), Level(6.0, "band 6.00", kinds.BAND)),
)


def core(
    number: str, name: str, step: int | None, *boxes: tuple[float, ...], way: str = "z-", body: Body | None = None
) -> SceneCore:
    """A core whose boxes were given, or with another body."""
    return SceneCore(number=number, name=name, body=body or given_body(number, boxes), step=step, way_in=way)


PIPE = Scene(  # a pipe with a jacket: a flat parting, everything given
    job="PIPE",
    cores=(
        core("1", "lower jacket", 1, (20, 180, 10, 20, 10, 40), (20, 180, 60, 70, 10, 40), (20, 180, 20, 60, 10, 20)),
        core("2", "bore", 2, (-20, 220, 30, 50, 30, 50)),
        core("3", "upper jacket", 3, (20, 180, 10, 70, 40, 70)),
    ),
    outline=Box(*(0, 200, 0, 80, 0, 80)),
    outline_given=True,
    parting=(PartingStep(40.0),),
)
ELBOW = Scene(  # an elbow with a stepped parting, a core that goes in from the side, one beside the cut
    job="ELBOW",
    cores=(
        core("1", "long leg", 1, (10, 120, 40, 70, 15, 45)),
        core("2", "short leg", 2, (90, 120, 70, 130, 15, 45), way="y-"),
        core("12", "key", 3, (122, 130, 50, 60, 25, 35), way="x-"),
    ),
    outline=Box(*(0, 140, 30, 140, 5, 55)),
    outline_given=True,
    parting=(PartingStep(30.0, "x", 0.0, 80.0), PartingStep(45.0, "x", 80.0, 140.0)),
)
SAMPLE = Scene(  # known from sizes alone: bodies about, a core known as a line, one as a mark, one not at all
    job="SAMPLE",
    cores=(
        core("1", "body", 1, body=body_from_faces("1", {"x": [10, 150], "y": [10, 50], "z": [12, 44]})),
        core(
            "2",
            "outlet",
            2,
            body=Body(core="2", boxes=(), open=("x",), known={"x": (160, 160), "y": (20, 40), "z": (15, 40)}),
        ),
        core("3", "boss", None, body=Body(core="3", boxes=(), open=("x", "y", "z"), known={"x": (80, 80)})),
        core("4", "locator", None, body=Body(core="4", boxes=(), open=("x", "y", "z"))),
    ),
    outline=Box(*(0, 170, 0, 60, 0, 60)),
)
SKETCHES = {
    "pipe": (PIPE, Wanted(hand="3", views=VIEWS)),
    "elbow": (ELBOW, Wanted(hand="2", views=VIEWS, so_far=False)),
    "sample": (
        SAMPLE,
        Wanted(
            views=VIEWS, size=Place(balloon="F3", axis="y", makers=("core 1", "core 1"), ends=(10, 50), at={"x": 40})
        ),
    ),
}


def pictures() -> Iterator[tuple[str, str]]:
    """File name and content of each."""
    for name, made in (("band", BAND), ("band_away", AWAY), ("band_open", OPEN)):
        yield f"{name}.svg", band_svg(made)
        for width in (30, 72):
            yield f"{name}_{width}.txt", band_cells(made, width).plain
    yield "fit.svg", fit_svg(0.45, 0.3, 0.7, u95=0.1)
    yield "check.svg", check_svg(6.2, 8.0)
    yield "stock.svg", stock_svg(1.0, 0.7, 1.4, 0.2, 3.0)
    points = [(f"F{n}", ((n * 37) % 41 - 20) / 13, ("good", "plain", "bad", "doubt")[n % 4]) for n in range(40)]
    yield "overview.svg", overview_svg(points)
    yield "sign.svg", sign_svg()
    for name, chart in (("chart", CHART), ("curved", CURVED)):
        yield f"{name}.svg", chart_svg(chart)
        for width, height in ((60, 12), (100, 24)):
            yield f"{name}_{width}.txt", chart_cells(chart, width, height, cursor=chart.readings.xs[3]).plain
    counts, edges = [1, 0, 7, 12, 5, 2, 1], [0.0, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7]
    yield "histogram.txt", histogram_cells(counts, edges, lower=0.1, upper=0.6, target=0.35, title="width").plain

    for name, (scene, wanted) in SKETCHES.items():
        made = sketch(scene, wanted)
        yield f"sketch_{name}.svg", sketch_svg(made)
        for width in (46, 100):
            yield f"sketch_{name}_{width}.txt", sketch_cells(made, width).plain.rstrip("\n")


def write() -> None:
    """Every picture into its file."""
    FOLDER.mkdir(exist_ok=True)
    for name, content in pictures():
        (FOLDER / name).write_text(content + "\n", encoding="utf-8")


if __name__ == "__main__":
    write()
