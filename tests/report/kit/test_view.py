"""What the papers for the foundry show: a stranger can follow them, and nothing unknown is a nought."""

from __future__ import annotations

import csv
import io
import re
from pathlib import Path

import pytest

from inspect_tui.frozen import replace
from inspect_tui.metrology.kit.bodies import Body, Box, given_body
from inspect_tui.report.kit.forms import make
from inspect_tui.shop.kit.paper.kit_list import Labels
from inspect_tui.shop.kit.paper.papers import SheetPhoto
from inspect_tui.shop.kit.sketch.scene import Scene, SceneCore
from tests.worlds import kit_samples as samples
from tests.worlds.paper_readers import Page, pdf_text


def words(content: bytes) -> str:
    return re.sub(r"\s+", " ", " ".join(Page(content).texts))


def test_each_step_says_number_picture_keys_check_and_caution() -> None:
    sheet = samples.setting_sheet()
    said = words(make(sheet, "html"))
    printed = re.sub(r"\s+", " ", pdf_text(make(sheet, "pdf")))
    for step in sheet.steps:
        for text in (f"Core {step.number}", step.name, *(fit.sentence for fit in step.fits), step.caution or ""):
            assert text in said and text in printed, text
    assert "check neck wall with template T4: goes at 6.2 to 8.0 mm" in said
    assert "Not proven yet" in said and "K6-3: measured clearance is -0.10" in printed
    assert "only locates other cores" in said and "lifts 9.7 kgf" in said and "2 chaplets, outboard" in said
    assert make(sheet, "html").count(b"<svg") >= 2 * len(sheet.steps)


def test_each_step_has_the_mould_in_section_where_it_can_be_drawn() -> None:
    sheet = samples.setting_sheet(3)
    numbers = [step.number for step in sheet.steps]
    drawn = [
        SceneCore(number=str(n), name="", body=given_body(str(n), [(0, 90, 0, 40, 20 * at, 20 * at + 20)]), step=at + 1)
        for at, n in enumerate(numbers[:2])
    ]
    unknown = SceneCore(number=str(numbers[2]), name="", body=Body(core=str(numbers[2]), boxes=()), step=3)
    mould = Scene(job=sheet.job, cores=(*drawn, unknown), outline=Box(-5, 95, -5, 45, -5, 70))
    without, made = (make(replace(sheet, scene=scene), "html") for scene in (None, mould))
    assert made.count(b"<svg") == without.count(b"<svg") + 3 and made.count(b"section along x") == 2 * 3
    assert f"core {numbers[1]}".encode() in made
    said = words(made)
    assert "In the pictures of the mould this core is black" in said and "In the pictures" not in words(without)
    assert said.count("is not drawn as a body") == 1
    assert f"Core {numbers[2]} is not drawn as a body: nothing tells how far it reaches." in said
    assert "section along x" in pdf_text(make(replace(sheet, scene=mould), "pdf"))
    nowhere = make(replace(sheet, scene=Scene(job=sheet.job, cores=(unknown,))), "html")
    assert nowhere.count(b"<svg") == without.count(b"<svg") and "not drawn as a body" not in words(nowhere)


def test_what_is_not_known_is_left_out_and_never_a_nought() -> None:
    sheet = samples.setting_sheet(1)
    bare = replace(
        sheet.steps[0],
        box=None,
        stick=None,
        fits=(),
        check=None,
        chaplets=None,
        chaplet_note=None,
        vents=None,
        weight_kg=None,
        lift_kgf=None,
        lift_sentence=None,
        caution=None,
        remarks=(),
    )
    said = words(make(replace(sheet, steps=(bare,), not_proven=()), "html"))
    for word in ("Weight", "Lift", "Chaplets", "Vents", "Made in", "None", "0.0", "Not proven"):
        assert word not in said
    assert make(replace(sheet, steps=(bare,)), "pdf").startswith(b"%PDF-")


def test_the_kit_list_counts_and_weighs_and_says_what_was_not() -> None:
    said = words(make(samples.kit_list(), "html"))
    assert "9 things, 11 loose pieces, 203 kg of those weighed" in said
    assert "Not weighed: box 4." in said and "Loose pieces not counted: box 3 and box 6." in said
    page = Page(make(samples.kit_list(), "html"))
    assert page.tags.count("tr") == 10


def test_the_come_back_sheet_has_room_for_every_size_in_csv_html_and_pdf() -> None:
    sheet = samples.come_back()
    rows = list(csv.DictReader(io.StringIO(make(sheet, "csv").decode("utf-8"), newline="")))
    assert len(rows) == len(sheet.rows) and tuple(rows[0]) == sheet.columns
    for row, asked in zip(rows, sheet.rows, strict=True):
        assert row["what"] == asked.what and row["read_mm"] == row["casting"] == row["by"] == row["remark"] == ""
        assert row["wanted_mm"] == ("" if asked.wanted_mm is None else repr(asked.wanted_mm))
    printed = pdf_text(make(sheet, "pdf"))
    assert "F10" in printed and "82.50 to 83.10" in printed and "rubbed, forced, broken?" in printed
    assert "82.50 to 83.10" in words(make(sheet, "html"))


def test_no_kit_paper_says_what_only_people_may_say() -> None:
    for paper in (samples.setting_sheet(), samples.kit_list(), Labels(samples.labels()), samples.come_back()):
        said = make(paper, "html").decode().casefold()
        assert not re.search(r"approved|certified|accredited|guarantee|\bsafe\b", said)


def test_every_label_names_its_tool() -> None:
    page = Page(make(Labels(samples.labels()), "html"))
    for label in samples.labels():
        assert label.label in page.isolated
    assert make(Labels(samples.labels()), "html").count(b"mark for a camera") == 14


@pytest.mark.parametrize("content", [b"", b"not a picture", b"\xff\xd8\xff\xe0 broken", b"%PDF-1.7", b"<svg/>"])
def test_what_is_no_picture_is_named_in_its_place(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "a.jpg"
    path.write_bytes(content)
    photo = SheetPhoto(
        sha256="0" * 64,
        media="image/jpeg",
        path=path,
        width_px=10,
        height_px=10,
        caption="core 1",
        shown_name="IMG 1.jpg",
    )
    gone = replace(photo, path=None, shown_name="../../<b>IMG 2.jpg")
    said = words(make(samples.setting_sheet(2, (photo, gone)), "html"))
    assert "Picture IMG 1.jpg is not beside the record." in said
    assert "Picture ../../<b>IMG 2.jpg is not beside the record." in said
    assert make(samples.setting_sheet(2, (photo, gone)), "pdf").startswith(b"%PDF-")
