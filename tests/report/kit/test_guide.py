"""The guide as a file: nothing loads, names stay text, its script makes an answer file that is read, and the same on paper."""

from __future__ import annotations

import csv
import io
import json
import re
from html import unescape
from pathlib import Path

import pytest
from py_mini_racer import MiniRacer
from pypdf import PdfReader

from inspect_tui.frozen import replace
from inspect_tui.metrology.kit.bodies import Body
from inspect_tui.metrology.typed.show import PAPER, Style
from inspect_tui.report.kit.guide import data_of, html, pdf
from inspect_tui.report.kit.phrases import Phrases, every, phrases
from inspect_tui.report.paper.html import TEMPLATES
from inspect_tui.shop.answers import guide_file
from inspect_tui.shop.kit.paper.guide import Guide
from inspect_tui.shop.kit.paper.papers import SheetPhoto
from inspect_tui.shop.settings.file import ask_paper
from tests.worlds import kit_samples as samples
from tests.worlds.hostile import TEXTS
from tests.worlds.paper_readers import Page

GUIDE = samples.guide()
STEP = GUIDE.steps[0]

STUBS = """
globalThis.window = globalThis; globalThis.scrollTo = () => {}; globalThis.location = { hash: "" };
globalThis.document = {
  getElementById: (id) => id === "guide-data" ? { textContent: DATA } : {},
  querySelectorAll: () => [], addEventListener: () => {}, body: { classList: { add: () => {} } },
};
globalThis.localStorage = { getItem: () => KEPT, setItem: () => {} };
globalThis.TextEncoder = class { encode(text) {
  return [...unescape(encodeURIComponent(text))].map((c) => c.charCodeAt(0)); } };
"""


def answered(values: dict[str, object], pictures: dict[str, object] | None = None, style: Style = PAPER) -> str:
    """The answer file that the guide's own script makes of what was entered."""
    kept = json.dumps({"at": 0, "values": values, "pictures": pictures or {}})
    racer = MiniRacer()
    racer.eval(f"var DATA = {json.dumps(json.dumps(data_of(GUIDE, style)))}; var KEPT = {json.dumps(kept)};" + STUBS)
    racer.eval((TEMPLATES / "guide.js").read_text("utf-8"))
    return str(racer.eval("settingAnswers()"))


def test_what_was_entered_comes_back_whole_and_unchanged(tmp_path: Path) -> None:
    text = answered(
        {
            "who": "HW",
            "mould": "S4-1",
            "s1.done": True,
            "s1.reading": "8,1",
            "s1.result": "go",
            "s1.rub": "lower end, größer",
            "s1.remark": "vents were closed",
            "s1.size.F12": "60.6",
            "s2.remark": " ",
            "closing.0": True,
            "closing.remark": "closed at once",
        },
        {"s1.pictures": [{"name": "a.jpg", "type": "image/jpeg", "data": "data:image/jpeg;base64,/9j/4AAQ"}]},
    )
    file = tmp_path / "answers.json"
    file.write_text(text, "utf-8")
    read = guide_file.read(file)
    assert read.wrong == () and not read.changed and (read.job, read.edition, read.rev) == ("EXM-4", GUIDE.edition, "B")
    said = [(row.sort, row.core, row.step, row.what, row.text, row.result) for row in read.rows]
    assert said == [
        ("check", 6, 1, guide_file.SET, "", "go"),
        ("size", 6, 1, "F12", "60.6", ""),
        ("check", 6, 1, "throat (T-1)", "8,1", "go"),
        ("rub", 6, 1, "rubbed", "lower end, größer", ""),
        ("remark", 6, 1, "remark", "vents were closed", ""),
        ("picture", 6, 1, "a.jpg", "", ""),
        ("check", None, None, "Every core of the list stands in its place", "", "go"),
        ("remark", None, None, "remark", "closed at once", ""),
    ]
    assert {(row.who, row.mould) for row in read.rows} == {("HW", "S4-1")}
    assert (
        read.rows[2].lower == 7.5 and read.rows[2].upper == 8.5 and read.rows[5].picture == b"\xff\xd8\xff\xe0\x00\x10"
    )
    file.write_text(text.replace("8,1", "8,4"), "utf-8")
    assert guide_file.read(file).changed  # edited on its way


def test_what_is_typed_into_a_guide_in_inches_comes_back_as_inches(tmp_path: Path) -> None:
    file = tmp_path / "answers.json"
    file.write_text(answered({"s1.reading": "0.31", "s1.size.F12": "2.39"}, style=Style("in")), "utf-8")
    size, check = guide_file.read(file).rows
    assert (size.text, size.unit, check.text, check.unit) == ("2.39", "in", "0.31", "in")
    assert (check.lower, check.upper) == (7.5, 8.5)  # limits are mm, as those of the kit


def test_nothing_entered_is_an_answer_file_that_says_nothing(tmp_path: Path) -> None:
    file = tmp_path / "answers.json"
    file.write_text(answered({}), "utf-8")
    read = guide_file.read(file)
    assert read.rows == () and read.wrong == () and not read.changed


def test_the_page_loads_nothing_and_says_all_of_it_without_a_script() -> None:
    content = html(GUIDE, phrases("fr"))
    page = Page(content)
    assert page.loads == [] and b"fetch(" not in content and b"XMLHttpRequest" not in content
    text = unescape(content.decode())
    for words in (
        "Noyau / Core", "K6-1", "Core 4", "the drag", "marked", "red", "easy by hand", "0.30 mm", "inlet", "sharp",
        "toward the low end of x", "throat", "T-1", "7.50", "8.50 mm", "the shop", "Silica", "K0123456789ab", "two hooks",
        "told apart by", "Core 6: K6-1 red", "This core cannot be drawn", "step-2", "1.8 kg",
    ):  # fmt: skip
        assert words in text, words
    assert "script-src 'sha256-" in text and "connect-src" not in text and "default-src 'none'" in text
    data = json.loads(re.search(r'id="guide-data">(.*?)</script>', content.decode(), re.S)[1])  # type: ignore[index]
    assert data == data_of(GUIDE)


@pytest.mark.parametrize(
    "text", [TEXTS[0], "</script><script>alert(1)</script>", "<img src=x onerror=1>", "{{ 7*7 }} ]]>"]
)
def test_names_are_text_whatever_they_are(text: str) -> None:
    content = html(replace(GUIDE, name=text, ask=text, steps=(replace(STEP, name=text, caution=text),)), phrases())
    assert content.count(b"<script") == 2 and b"<img" not in content
    assert Page(content).loads == []


def test_a_missing_picture_is_said_and_one_that_is_there_stands_inside(tmp_path: Path) -> None:
    there = samples.photograph(tmp_path / "core.jpg", 800, 600)
    gone: SheetPhoto = replace(there, path=None, shown_name="gone.jpg")
    content = html(replace(GUIDE, steps=(replace(STEP, photos=(there, gone)),)), phrases())
    assert (
        content.count(b"data:image/jpeg;base64,") == 2  # it, and small beside its number
        and b"The picture is missing" in content
        and b"gone.jpg" in content
    )


def test_on_paper_a_page_a_core_in_both_sizes_with_codes() -> None:
    ask_paper("Letter")
    try:
        pages = PdfReader(io.BytesIO(pdf(GUIDE, phrases("de"), at="https://x.example/g.html"))).pages
    finally:
        ask_paper()
    assert len(pages) == 4 and [round(float(x)) for x in pages[0].mediabox[2:]] == [612, 792]
    texts = [page.extract_text() for page in pages]
    assert "Alle Kerne ausgelegt" in texts[0] and "could be taken for" in texts[0]
    assert "water outlet elbow" in texts[1] and "6" in texts[1] and "leicht von Hand" in texts[1]
    assert "Closing the mould" in texts[3] and "the shop" in texts[3]
    a4 = PdfReader(io.BytesIO(pdf(GUIDE, phrases()))).pages[0]
    assert [round(float(x)) for x in a4.mediabox[2:]] == [595, 842]


# ------------------------------------------------------------------------------ every sentence in the foundry's language
TYPED = (  # names, figures, units and signs: they are as they were typed or the same everywhere
    "water outlet elbow", "manifold", "neck", "EXM-4", "K0123456789ab", "K6-1", "T-1", "F12", "throat", "width", "red",
    "inlet", "outlet", "two hooks", "both ends", "sharp", "the shop", "rev. B", "mm", "kgf", "kg", "core.jpg",
    "core 1 in its box", "x", "y", "z", "GO", "no-go",
)  # fmt: skip


def left_over(text: str) -> list[str]:
    """The words of a paper that are neither a phrase of the table (said as `◊n / the phrase`) nor typed by a person."""
    text = " ".join(text.split())
    for n, phrase in sorted(enumerate(every()), key=lambda pair: -len(pair[1])):
        text = re.sub(re.escape(f"◊{n} / {phrase}"), " ", text, flags=re.IGNORECASE)
    for words in sorted(TYPED, key=len, reverse=True):
        text = re.sub(rf"(?<![A-Za-z]){re.escape(words)}(?![A-Za-z])", " ", text)
    return re.findall(r"[A-Za-z◊]+", text)


@pytest.fixture(scope="module")
def strange(tmp_path_factory: pytest.TempPathFactory) -> Phrases:
    """A language in which every phrase is its number."""
    own = tmp_path_factory.mktemp("phrases") / "own.csv"
    with own.open("w", newline="", encoding="utf-8") as file:
        csv.writer(file).writerows([("en", "xx"), *((phrase, f"◊{n}") for n, phrase in enumerate(every()))])
    return phrases("xx", own)


def whole(tmp_path: Path) -> Guide:
    """A guide with everything that can stand in one: drawings, a picture that is there and one that is not."""
    there = samples.photograph(tmp_path / "core.jpg", 80, 60)
    drawn = samples.drawn_guide()
    first, second = drawn.steps
    return replace(
        drawn, steps=(replace(first, photos=(there,)), replace(second, photos=(replace(there, path=None),), way=None))
    )


def test_every_word_of_the_page_is_in_the_table(tmp_path: Path, strange: Phrases) -> None:
    content = html(whole(tmp_path), strange).decode()
    seen = re.sub(r"(?s)<style>.*?</style>|<script.*?</script>|<title>.*?</title>(?=\s*<style)", " ", content)
    assert left_over(unescape(re.sub(r"<[^>]+>", " ", seen))) == []


def test_every_word_of_the_paper_is_in_the_table(tmp_path: Path, strange: Phrases) -> None:
    content = pdf(whole(tmp_path), strange, at="https://x.example/g.html")
    pages = [page.extract_text() for page in PdfReader(io.BytesIO(content)).pages]
    bodies = [re.sub(r"\d+ of \d+\s*$", "", text.strip()) for text in pages]  # the foot: a page of so many
    assert left_over(" ".join(bodies)) == []


# ------------------------------------------------------------------------------ what a step shows
def test_the_sketch_shows_keys_in_their_paint_ends_and_where_the_gauge_goes() -> None:
    content = html(samples.drawn_guide(), phrases()).decode()
    step = content[content.index('id="step-1"') : content.index('id="step-2"')]
    plan, section = re.findall(r"<svg[^>]*>.*?</svg>", step[step.index('class="views"') :], re.S)[:2]
    for words in ("plan, from above", "← inlet", "outlet →", ">K6-1<", ">6<", 'fill="#c8102e"'):
        assert words in plan, words
    assert "section along x, the up side on top · y 30" in section and "← inlet" in section
    assert "#a5140f" in section and "#a5140f" not in plan  # the gauge goes along z, which the plan does not show
    assert ">7<" not in plan and "core 6" not in plan  # core 7 is set later; a number is read in every language
    for words in (
        "between Core 6 and the drag, along z", "red arrow: the gauge goes here", "goes at 7.50 to 8.50 mm",
        "no-go: < 7.50, > 8.50 mm", "diamond: a print or key, in its colour",
    ):  # fmt: skip
        assert words in unescape(re.sub(r"<[^>]+>", "", step)), words


def test_what_takes_the_lift_is_said_and_nothing_of_the_shops_doubts() -> None:
    text = unescape(re.sub(r"<[^>]+>", "", html(GUIDE, phrases()).decode()))
    assert "about 2.0 kgf, held by Core 4, Chaplets × 2, the cope" in text
    assert "N/mm2" not in text and "crushes" not in text
    assert "Core 7 also goes into its seat turned round" in text and "Look at the sketch" in text
    tight = replace(
        STEP, keys=(replace(STEP.keys[0], clearance_mm=-0.1, gentle="snug: let it find its place, never press"),)
    )
    assert "0.10 mm" not in html(replace(GUIDE, steps=(tight,)), phrases()).decode()


def test_a_size_from_face_to_face_of_one_core_is_across_it() -> None:
    gauge = replace(STEP.gauge, makers=("core 6", "core 6"), axis="x")
    text = html(replace(GUIDE, steps=(replace(STEP, gauge=gauge),)), phrases()).decode()
    assert "Put the gauge here: across Core 6, along x" in text


def test_readings_are_typed_in_the_unit_that_the_guide_is_written_in() -> None:
    inches = Style("in")
    assert data_of(GUIDE, inches)["unit"] == "in" and data_of(GUIDE)["unit"] == "mm"
    content = html(GUIDE, phrases(), inches).decode()
    assert "goes at 0.2953 to 0.3346 in" in content and "reads, in" in content and '"unit": "in"' in content


def test_a_code_opens_the_step_of_its_core() -> None:
    content = html(GUIDE, phrases()).decode()
    assert content.index('id="step-1"') < content.index('id="core-6"') < content.index('id="step-2"')
    assert "document.getElementById(location.hash.slice(1))" in content


def test_a_core_without_a_body_is_said_not_to_be_in_the_sketch() -> None:
    drawn = samples.drawn_guide()
    assert drawn.scene is not None
    first, second = drawn.scene.cores
    bare = replace(drawn.scene, cores=(replace(first, body=Body(core="6", boxes=())), second))
    told = replace(drawn, scene=bare, steps=(replace(drawn.steps[0], boxes=()), drawn.steps[1]))
    content = html(told, phrases()).decode()
    one, two = content[content.index('id="step-1"') :].split('id="step-2"')
    assert "This core cannot be drawn: nobody said where it stands" in one and "Not in the sketch" not in one
    assert "Not in the sketch: Core 6" in two and "cannot be drawn" not in two
    pages = [page.extract_text() for page in PdfReader(io.BytesIO(pdf(told, phrases()))).pages]
    assert "Not in the sketch: Core 6" in " ".join(pages[2].split()) and "cannot be drawn" in " ".join(pages[1].split())
    assert "Not in the sketch" not in html(drawn, phrases()).decode()
