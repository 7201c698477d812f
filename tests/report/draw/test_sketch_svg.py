"""The sketch as a drawing: well-formed, every core named, and the pixels of one where a hand would put them."""

from __future__ import annotations

import io
import re
from pathlib import Path
from xml.etree import ElementTree

import pytest

from inspect_tui.metrology.kit.bodies import Body, Box, given_body
from inspect_tui.metrology.sizes.place import Place
from inspect_tui.report.draw import sketch as s
from inspect_tui.report.draw.mould import VIEWS, Wanted, sketch
from inspect_tui.report.draw.sketch import Sketch, View, Way
from inspect_tui.report.draw.sketch_svg import paint, paint_svg, sketch_svg, view_svg
from inspect_tui.shop.kit.sketch.scene import PartingStep, Scene, SceneCore
from tests.report.draw.pictures import SKETCHES
from tests.report.draw.test_sketch_cells import core, outline

SVG = "{http://www.w3.org/2000/svg}"


def texts(svg: str) -> list[str]:
    return [element.text or "" for element in ElementTree.fromstring(svg).iter(f"{SVG}text")]


def scene(count: int = 3) -> Scene:
    cores = [
        SceneCore(
            number=str(n),
            name=f"<b>{n}</b>",
            body=given_body(str(n), [(10 * n, 10 * n + 30, 5, 25, 4 * n, 4 * n + 4)]),
            step=n,
            way_in="z-",
        )
        for n in range(1, count + 1)
    ]
    cores.append(
        SceneCore(number="90", name="key", body=Body(core="90", boxes=(), known={"x": (50.0, 50.0)}), step=count + 1)
    )
    return Scene(
        job="J & Co",
        cores=tuple(cores),
        outline=Box(*(0, 10 * count + 40, 0, 30, 0, 4 * count + 10)),
        parting=(PartingStep(8.0),),
    )


def test_it_is_well_formed_escaped_and_names_every_core() -> None:
    size = Place(balloon="F<1>", axis="x", makers=("core 1", "core 1"), ends=(10.0, 40.0))
    drawn = sketch_svg(sketch(scene(), Wanted(hand="3", views=VIEWS, size=size)))
    root = ElementTree.fromstring(drawn)
    assert root.tag == f"{SVG}svg" and root.find(f"{SVG}title") is not None
    words = " ".join(texts(drawn))
    for thing in ("core 1", "core 2", "core 3", "core 90", "F<1> is measured here", "mould of J & Co", "<b>3</b>"):
        assert thing in words
    assert "<b>" not in drawn


def test_nothing_stands_outside_the_drawing() -> None:
    drawn = sketch_svg(sketch(scene(14), Wanted(hand="9", views=VIEWS, so_far=False)))
    root = ElementTree.fromstring(drawn)
    _, _, width, height = (float(part) for part in root.attrib["viewBox"].split())
    for element in root.iter():
        for key, most in (("x", width), ("y", height), ("cx", width), ("cy", height)):
            if key in element.attrib:
                assert -0.01 <= float(element.attrib[key]) <= most + 0.01
        if element.tag == f"{SVG}rect":
            assert float(element.attrib["x"]) + float(element.attrib["width"]) <= width + 0.01
    for path in (element.attrib["d"] for element in root.iter(f"{SVG}path")):
        for x, y in re.findall(r"[ML](-?[\d.]+) (-?[\d.]+)", path):
            assert -0.01 <= float(x) <= width + 0.01 and -0.01 <= float(y) <= height + 0.01


def test_names_do_not_lie_on_each_other() -> None:
    drawn = sketch_svg(sketch(scene(14), Wanted(views=VIEWS)))
    boxes = []
    for element in ElementTree.fromstring(drawn).iter(f"{SVG}text"):
        size, words = float(element.attrib["font-size"]), element.text or ""
        wide, x, y = 0.45 * size * len(words), float(element.attrib["x"]), float(element.attrib["y"])
        x -= {"start": 0.0, "middle": wide / 2, "end": wide}[element.attrib["text-anchor"]]
        boxes.append((x, x + wide, y - 0.6 * size, y))
    for i, (a0, a1, b0, b1) in enumerate(boxes):
        for c0, c1, d0, d1 in boxes[i + 1 :]:
            assert a1 <= c0 or c1 <= a0 or b1 <= d0 or d1 <= b0


def test_without_a_view_the_sentence_stands_alone() -> None:
    drawn = sketch_svg(Sketch(title="mould of J-1", views=(), said=("Nothing can be drawn: no size says where.",)))
    assert texts(drawn) == ["mould of J-1", "Nothing can be drawn: no size says where."]
    title = ElementTree.fromstring(drawn).find(f"{SVG}title")
    assert title is not None and title.text == "mould of J-1. Nothing can be drawn: no size says where."


@pytest.mark.parametrize(("dx", "dy"), [(1, 1), (1, -1), (-1, 1), (-1, -1)])
def test_an_oblique_way_in_is_as_long_as_a_straight_one_and_points_where_it_goes(dx: int, dy: int) -> None:
    shown = View(title="t", across="x", up="z", x0=0.0, x1=40.0, y0=0.0, y1=40.0, ways=(Way(20.0, 20.0, dx, dy),))
    text = view_svg(shown, 300)
    (shaft,) = re.findall(r'd="M[-\d.]+ [-\d.]+l(-?[\d.]+) (-?[\d.]+)" stroke="#fff"', text)
    across, down = map(float, shaft)
    assert (across * across + down * down) ** 0.5 == pytest.approx(15.0, abs=0.02)  # from its tip back to its tail
    assert across * dx < 0 and down * dy > 0 and abs(across) == pytest.approx(abs(down))
    x, y, *corners = map(float, re.findall(r"-?[\d.]+", re.findall(r'd="(M[^"]*L[^"]*)z"', text)[-1]))
    (ax, ay), (bx, by) = (corners[0] - x, corners[1] - y), (corners[2] - x, corners[3] - y)
    assert ((ax + bx) / 2 * dx, (ay + by) / 2 * -dy) == (pytest.approx(-4.95, abs=0.02), pytest.approx(-4.95, abs=0.02))
    assert ((ax - bx) ** 2 + (ay - by) ** 2) ** 0.5 == pytest.approx(6.4, abs=0.02)
    assert (ax - bx) * dx - (ay - by) * dy == pytest.approx(0.0, abs=0.05)  # its base stands across it


def test_each_sign_of_the_legend_has_a_swatch() -> None:
    made = Sketch(title="t", views=(), legend=tuple((sign, f"words {sign}") for sign in s.SIGNS))
    assert texts(sketch_svg(made))[1:] == [f"words {sign}" for sign in s.SIGNS]


def test_the_extent_is_said_where_it_has_room() -> None:
    view = View(title="plan", extent="x 0 to 40", across="x", up="y", x0=0.0, x1=40.0, y0=0.0, y1=16.0)
    assert texts(view_svg(view, 200.0))[0] == "plan; x 0 to 40"
    assert texts(view_svg(view, 60.0))[0] == "plan"
    assert 'font-size="6.5"' in view_svg(view, 200.0, title=6.5)


# ------------------------------------------------------------------------------ pixels
DRAWN = View(
    title="t",
    across="x",
    up="z",
    x0=0.0,
    x1=40.0,
    y0=0.0,
    y1=16.0,
    areas=(core(3, 33, 38, 2, 14, s.BESIDE), core(1, 4, 30, 2, 6), core(2, 10, 24, 6, 14, s.HAND)),
    lines=(outline(),),
)


@pytest.fixture(scope="module")
def pixels(tmp_path_factory: pytest.TempPathFactory):
    """Grey of a place of the drawing in mm: 0 black, 255 white. The library that makes the papers draws it."""
    import typst
    from PIL import Image

    folder: Path = tmp_path_factory.mktemp("sketch")
    (folder / "view.svg").write_text(view_svg(DRAWN, 404.0), encoding="utf-8")
    paper = '#set page(width: 404pt, height: auto, margin: 0pt)\n#image("view.svg", width: 404pt)'
    (folder / "view.typ").write_text(paper, encoding="utf-8")
    made = typst.compile(folder / "view.typ", format="png", ppi=72.0)
    image = Image.open(io.BytesIO(made)).convert("L")
    top = 9.0 * 1.25 + 4.0

    def grey(x: float, z: float) -> int:
        """At 10 points a mm, 2 points from the left."""
        return int(image.getpixel((round(2 + 10 * x), round(top + 10 * (16 - z)))))

    return grey


def test_the_pixels_are_where_a_hand_would_put_them(pixels) -> None:
    """The truth is the three boxes: black, grey and white, each with its edge, and blank paper round them."""
    for x in range(1, 40, 2):
        for z in range(1, 16, 2):
            if 4 < x < 30 and z in (3,) and not 11 < x < 22:  # the name stands between
                assert 180 <= pixels(x, z) <= 230, (x, z)
            elif 10 < x < 24 and 6 < z < 14 and z not in (9, 11):
                assert pixels(x, z) <= 40, (x, z)
            elif (not (4 <= x <= 30 and 2 <= z <= 14) and not 33 <= x <= 38) or (33 < x < 38 and z in (3, 13)):
                assert pixels(x, z) >= 250, (x, z)
    for x, z in ((4, 4), (30, 4), (33, 4), (38, 4), (20, 2), (35, 14)):  # edges
        assert min(pixels(x + dx, z + dz) for dx in (-0.1, 0, 0.1) for dz in (-0.1, 0, 0.1)) <= 150, (x, z)


# Three small moulds by hand: what is seen of each from above and from the side, back to front: grey (0 the core at hand,
# 205 a core that is set, 255 one beside the cut) and the box in mm. The places are those that the moulds were given.
TRUTH = {
    "pipe plan": [
        (205, (20, 180, 10, 20)),
        (205, (20, 180, 60, 70)),
        (205, (20, 180, 20, 60)),
        (205, (-20, 220, 30, 50)),
        (0, (20, 180, 10, 70)),
    ],
    "pipe section": [(205, (20, 180, 10, 20)), (205, (-20, 220, 30, 50)), (0, (20, 180, 40, 70))],
    "elbow plan": [(205, (10, 120, 40, 70)), (205, (122, 130, 50, 60)), (0, (90, 120, 70, 130))],
    "elbow section": [(255, (10, 120, 15, 45)), (255, (122, 130, 25, 35)), (0, (90, 120, 15, 45))],
    "sample plan": [(205, (10, 150, 10, 50))],
    "sample section": [(205, (10, 150, 12, 44))],
}


def test_three_moulds_have_the_pixels_that_a_hand_would_draw(tmp_path: Path) -> None:
    """All but names, arrows and the lines of edges and parting: at most 1 % of the pixels beside the lines."""
    import typst
    from PIL import Image, ImageDraw

    views = {
        f"{name} {view}": one
        for name, (mould, wanted) in SKETCHES.items()
        for view, one in zip(("plan", "section"), sketch(mould, wanted).views, strict=False)
    }
    assert set(views) == set(TRUTH)
    pages = []
    for n, one in enumerate(views.values()):
        (tmp_path / f"{n}.svg").write_text(view_svg(one, 404.0), encoding="utf-8")
        pages.append(f'#image("{n}.svg", width: 404pt)')
    head = "#set page(width: 404pt, height: auto, margin: 0pt)\n"
    (tmp_path / "views.typ").write_text(head + "\n#pagebreak()\n".join(pages), encoding="utf-8")
    for (name, one), made in zip(
        views.items(), typst.compile(tmp_path / "views.typ", format="png", ppi=72.0), strict=True
    ):
        scale = min(400.0 / (one.x1 - one.x0), 300.0 / (one.y1 - one.y0))
        wide, tall = round(scale * (one.x1 - one.x0)), round(scale * (one.y1 - one.y0))
        truth, edges = Image.new("L", (wide, tall), 255), Image.new("L", (wide, tall), 0)
        for line in one.lines:
            points = [(scale * (x - one.x0), scale * (one.y1 - y)) for x, y in line.points]
            ImageDraw.Draw(edges).line(points, fill=255, width=7)
        for grey, (x0, x1, y0, y1) in TRUTH[name]:
            corners = [scale * (x0 - one.x0), scale * (one.y1 - y1), scale * (x1 - one.x0), scale * (one.y1 - y0)]
            ImageDraw.Draw(truth).rectangle(corners, fill=grey)
            ImageDraw.Draw(edges).rectangle(
                [corners[0] - 3, corners[1] - 3, corners[2] + 3, corners[3] + 3], outline=255, width=7
            )
        drawn = Image.open(io.BytesIO(made)).convert("L").crop((2, 15, 2 + wide, 15 + tall))
        beside = [(a, b) for a, b, e in zip(truth.tobytes(), drawn.tobytes(), edges.tobytes(), strict=True) if not e]
        apart = sum(abs(a - b) > 40 for a, b in beside)
        assert apart <= 0.01 * len(beside), (name, apart / len(beside))


def test_a_hidden_body_has_no_name_beside_the_one_that_hides_it() -> None:
    hidden = View(
        title="t",
        across="x",
        up="z",
        x0=0.0,
        x1=40.0,
        y0=0.0,
        y1=16.0,
        areas=(core(1, 12, 20, 8, 10), core(2, 10, 24, 6, 14)),
    )
    assert texts(view_svg(hidden, 404.0)) == ["t", "core 2", "Hidden in this view: core 1."]


# ------------------------------------------------------------------------------ prints, keys and ends of the core at hand
KEYED = View(
    title="t",
    across="x",
    up="z",
    x0=0.0,
    x1=40.0,
    y0=0.0,
    y1=16.0,
    areas=(core(2, 4, 36, 2, 14, s.HAND),),
    keys=(s.Key("K6-1", "yellow, two dots", 10.0, 4.0), s.Key("K6-2", "two dots", 30.0, 12.0)),
    ends=(("left", "inlet"), ("right", "outlet"), ("down", "foot"), ("up", "x" * 40)),
)


def test_keys_stand_in_their_paint_where_they_are_and_ends_on_their_side() -> None:
    drawn = view_svg(KEYED, 404.0)
    top = 9.0 * 1.25 + 4.0
    places = [(2 + 10 * key.x, top + 10 * (16 - key.y)) for key in KEYED.keys]
    for (x, y), colour in zip(places, ("#f2c500", "#ffffff"), strict=True):
        assert f'd="M{x:.2f} {y - 5:.2f}l5 5l-5 5l-5 -5z" fill="{colour}"' in drawn
    words = texts(drawn)
    assert {"K6-1", "K6-2", "core 2", "← inlet", "outlet →", "↓ foot"} <= set(words)
    assert f"↑ {'x' * 23}…" in words
    where = {
        e.text: (float(e.attrib["x"]), float(e.attrib["y"])) for e in ElementTree.fromstring(drawn).iter(f"{SVG}text")
    }
    assert where["← inlet"][0] == 2.0 and where["outlet →"][0] == 402.0
    assert where["← inlet"][1] > top + 160  # below the picture
    assert where["K6-1"][0] == pytest.approx(places[0][0] + 6.0)


@pytest.mark.parametrize(
    ("mark", "colour"),
    [("red", "#c8102e"), ("Rot", "#c8102e"), ("dark-green", "#1d8a3a"), ("two dots", ""), ("7", ""), ("reddish", "")],
)
def test_a_mark_is_painted_where_it_names_a_colour(mark: str, colour: str) -> None:
    assert paint(mark) == colour
    assert (f'fill="{colour}"' in paint_svg(mark)) if colour else paint_svg(mark) == ""


def test_what_a_drawing_does_not_name_is_left_to_who_asks() -> None:
    view = View(
        title="t", across="x", up="z", x0=0.0, x1=40.0, y0=0.0, y1=16.0,
        areas=(core(1, 12, 20, 8, 10), core(2, 10, 24, 6, 14)),
    )  # fmt: skip
    assert texts(view_svg(view, 404.0, missing=False)) == ["t", "core 2"]
