"""The guide as a file: nothing loads, names stay text, its script makes an answer file that is read, and the same on paper."""

from __future__ import annotations

import io
import json
import re
from html import unescape
from pathlib import Path

import pytest
from py_mini_racer import MiniRacer
from pypdf import PdfReader

from inspect_tui.frozen import replace
from inspect_tui.report.kit.guide import data_of, html, pdf
from inspect_tui.report.kit.phrases import phrases
from inspect_tui.report.paper.html import TEMPLATES
from inspect_tui.shop.answers import guide_file
from inspect_tui.shop.kit.paper.guide import Guide, GuideAlike, GuideEnd, GuideKey, GuideSize, GuideStep
from inspect_tui.shop.kit.paper.papers import CAUTIONS, SheetPhoto
from tests.worlds import kit_samples as samples
from tests.worlds.hostile import TEXTS
from tests.worlds.paper_readers import Page

KEY = GuideKey(
    name="K6-1", kind="key", into="core 4", mark="red", count=2, gentle="easy by hand", clearance_mm=0.3, way="z-",
    at=(1.0, 2.0, 3.0),
)  # fmt: skip
STEP = GuideStep(
    step=1, number=6, name="water outlet elbow", only_locates=True, way="z-", keys=(KEY,), rests_in=("core 4", "drag"),
    later=("9", "11"), ends=(GuideEnd(name="inlet", toward="x low"),), boxes=(), check="throat", template="T-1",
    lower_mm=7.5, upper_mm=8.5, sizes=(GuideSize(balloon="F12", name="width", lower_mm=60.0, upper_mm=61.0),),
    alike=("7",), weight_kg=1.8, lift="core 6 lifts 2.0 kgf", lift_points="two hooks", chaplets="2", vents="both ends",
    caution="sharp", photos=(),
)  # fmt: skip
GUIDE = Guide(
    job="EXM-4", name="manifold", rev="B", edition="K0123456789ab", unit="mm",
    steps=(STEP, replace(STEP, step=2, number=7, sizes=(), check=None)),
    alike=(GuideAlike("6", "7", "", "core 6: K6-1 red"),), colours=(("red", "K6-1"),), photos=(), cautions=CAUTIONS,
    ask="the shop", scene=None, heads=(),
)  # fmt: skip

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


def answered(values: dict[str, object], pictures: dict[str, object] | None = None) -> str:
    """The answer file that the guide's own script makes of what was entered."""
    kept = json.dumps({"at": 0, "values": values, "pictures": pictures or {}})
    racer = MiniRacer()
    racer.eval(f"var DATA = {json.dumps(json.dumps(data_of(GUIDE)))}; var KEPT = {json.dumps(kept)};" + STUBS)
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
        "told apart by", "core 6: K6-1 red", "This core cannot be drawn", "step-2", "1.8 kg",
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
        content.count(b"data:image/jpeg;base64,") == 1
        and b"The picture is missing" in content
        and b"gone.jpg" in content
    )


def test_on_paper_a_page_a_core_in_both_sizes_with_codes() -> None:
    pages = PdfReader(io.BytesIO(pdf(GUIDE, phrases("de"), sheet="Letter", at="https://x.example/g.html"))).pages
    assert len(pages) == 4 and [round(float(x)) for x in pages[0].mediabox[2:]] == [612, 792]
    texts = [page.extract_text() for page in pages]
    assert "Alle Kerne ausgelegt" in texts[0] and "could be taken for" in texts[0]
    assert "water outlet elbow" in texts[1] and "6" in texts[1] and "leicht von Hand" in texts[1]
    assert "Closing the mould" in texts[3] and "the shop" in texts[3]
    a4 = PdfReader(io.BytesIO(pdf(GUIDE, phrases(), sheet="A4"))).pages[0]
    assert [round(float(x)) for x in a4.mediabox[2:]] == [595, 842]
