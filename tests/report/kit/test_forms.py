"""The papers that travel with the kit: a stranger can follow them, nothing in them loads or breaks anything."""

from __future__ import annotations

import csv
import io
import re
from base64 import b64decode
from pathlib import Path
from xml.etree import ElementTree as Tree

import pytest
from pypdf import PdfReader

from inspect_tui.frozen import replace
from inspect_tui.report.kit.forms import ENDINGS, make, write
from inspect_tui.report.kit.pictures import order_svg, qr_svg, step_svg
from inspect_tui.report.paper import photos
from inspect_tui.report.paper.file import PaperError
from inspect_tui.report.paper.table_csv import unguarded
from inspect_tui.shop.kit.papers_said import LabelData, SheetPhoto
from tests.report.first_article.test_forms import Page, pdf_text
from tests.worlds import kit_samples as samples
from tests.worlds.hostile import STEERING, TEXTS


def words(content: bytes) -> str:
    return re.sub(r"\s+", " ", " ".join(Page(content).texts))


@pytest.fixture(scope="module")
def photograph(tmp_path_factory: pytest.TempPathFactory) -> SheetPhoto:
    return samples.photograph(tmp_path_factory.mktemp("photos") / "core.jpg", 800, 600)


# ------------------------------------------------------------------------------ what stands in them
def test_each_step_says_number_picture_keys_check_and_caution(tmp_path: Path) -> None:
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


def test_the_come_back_sheet_has_room_for_every_size_in_csv_html_and_pdf(tmp_path: Path) -> None:
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
    for paper in (samples.setting_sheet(), samples.kit_list(), samples.labels(), samples.come_back()):
        said = make(paper, "html").decode().casefold()
        assert not re.search(r"approved|certified|accredited|guarantee|\bsafe\b", said)


# ------------------------------------------------------------------------------ marks for a camera
def test_the_drawn_mark_is_the_mark_with_its_quiet_zone() -> None:
    import segno

    code = "EXM-4 | box 3 | 0192a1b2-7c3d-7e4f-8a5b-000000000003"
    matrix = [list(row) for row in segno.make(code, error="m", micro=False).matrix]
    path = next(Tree.fromstring(qr_svg(code)).iter("{http://www.w3.org/2000/svg}path"))
    drawn = [[0] * len(matrix) for _ in matrix]
    for x, y, run in re.findall(r"M(\d+) (\d+)h(\d+)v1h-\d+z", path.attrib["d"]):
        for step in range(int(run)):
            drawn[int(y) - 4][int(x) - 4 + step] = 1
    assert drawn == matrix
    size = float(re.search(r"scale\(([\d.]+)\)", path.attrib["transform"])[1])  # type: ignore[index]
    assert size * (len(matrix) + 8) == pytest.approx(116.0, abs=0.01)  # four modules free on every side


def test_every_label_names_its_tool() -> None:
    page = Page(make(samples.labels(), "html"))
    for label in samples.labels():
        assert label.label in page.isolated
    assert make(samples.labels(), "html").count(b"mark for a camera") == 14


def test_labels_of_a_job_without_tools_are_a_sentence(tmp_path: Path) -> None:
    with pytest.raises(PaperError, match="nothing to label"):
        write((), tmp_path / "labels.pdf")


# ------------------------------------------------------------------------------ photographs
def test_a_photograph_is_scaled_and_stands_inside_the_paper(photograph: SheetPhoto) -> None:
    sheet = samples.setting_sheet(2, (photograph, photograph))
    page = Page(make(sheet, "html"))
    assert len(page.loads) == 2 and all(load.startswith("data:image/jpeg;base64,") for load in page.loads)
    assert b64decode(page.loads[0].partition(",")[2]).startswith(b"\xff\xd8")
    assert len(make(sheet, "pdf")) > len(make(samples.setting_sheet(2), "pdf")) + 5000


def test_the_place_where_a_photograph_was_taken_does_not_go_out(tmp_path: Path) -> None:
    from PIL import Image

    path = tmp_path / "a.jpg"
    exif = Image.Exif()
    exif[0x0112] = 6  # turned by a quarter
    exif.get_ifd(0x8825)[1] = "N"
    exif[0x010F] = "a maker of cameras"
    Image.new("RGB", (60, 20), "grey").save(path, exif=exif)
    (made,) = photos.scaled([path])
    assert made is not None and b"a maker of cameras" not in made
    with Image.open(io.BytesIO(made)) as small:
        assert small.size == (20, 60)  # upright
        assert not small.getexif()


def test_a_clear_png_stands_on_white(tmp_path: Path) -> None:
    from PIL import Image

    Image.new("RGBA", (10, 10), (0, 0, 0, 0)).save(tmp_path / "a.png")
    (made,) = photos.scaled([tmp_path / "a.png"])
    with Image.open(io.BytesIO(made or b"")) as small:
        assert small.getpixel((5, 5)) == (255, 255, 255)


def test_many_photographs_stay_within_the_room_of_a_paper(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from PIL import Image

    monkeypatch.setattr(photos, "ALL_BYTES", 300_000)

    path = tmp_path / "noise.png"
    Image.effect_noise((900, 700), 90).save(path)
    made = photos.scaled([path] * 8)
    assert sum(len(one or b"") for one in made) <= photos.ALL_BYTES


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


# ------------------------------------------------------------------------------ hostile text
@pytest.mark.parametrize("text", (*TEXTS, *STEERING))
def test_hostile_text_is_text_on_every_paper(text: str) -> None:
    from inspect_tui.report.words import visible

    sheet = samples.setting_sheet(2)
    step = replace(
        sheet.steps[0],
        name=text,
        caution=text,
        remarks=(text,),
        vents=text,
        fits=(replace(sheet.steps[0].fits[0], sentence=text, into=text, name=text, mark=text),),
    )
    sheet = replace(sheet, name=text, job=text, steps=(step,), not_proven=(text,), colour_key=((text, text),))
    kit = samples.kit_list()
    kit = replace(kit, lines=(replace(kit.lines[0], label=text, note=text, owner=text, where=text),))
    label = LabelData(
        job=text,
        name=text,
        label=text,
        kind="box",
        core=1,
        core_name=text,
        mark=text,
        loose_pieces=1,
        weight_kg=1.0,
        owner=text,
        rev=text,
        code="code",
    )
    back = samples.come_back()
    back = replace(back, rows=tuple(replace(row, what=text) for row in back.rows))
    for paper in (sheet, kit, (label,), back):
        page = Page(make(paper, "html"))
        assert visible(text) in page.isolated
        assert "script" not in page.tags and "img" not in page.tags and page.loads == []
        assert make(paper, "pdf").startswith(b"%PDF-")
    rows = list(csv.DictReader(io.StringIO(make(back, "csv").decode("utf-8"), newline="")))
    assert {unguarded(row["what"]) for row in rows} == {text}


def test_drawings_of_the_kit_are_whole_for_any_names() -> None:
    for name in (*TEXTS, *STEERING, "", "x" * 300):
        Tree.fromstring(order_svg([("1", name), ("2", "b")]))
        Tree.fromstring(step_svg("1", name, [(name, name, name), ("K2", "drag", "")]))
    Tree.fromstring(step_svg("1", "lonely", []))


# ------------------------------------------------------------------------------ files
def test_two_runs_give_the_same_bytes(photograph: SheetPhoto) -> None:
    sheet = samples.setting_sheet(3, (photograph,))
    for form in ("html", "pdf"):
        assert make(sheet, form) == make(sheet, form)


@pytest.mark.parametrize("kind", ENDINGS)
def test_every_paper_is_written_in_its_forms_and_in_no_other(tmp_path: Path, kind: str) -> None:
    paper = getattr(samples, kind)()
    for ending in ENDINGS[kind]:
        assert write(paper, tmp_path / f"paper{ending}").stat().st_size > 300
    with pytest.raises(PaperError, match="the ending says the form"):
        write(paper, tmp_path / "paper.docx")
    with pytest.raises(PaperError, match="there already"):
        write(paper, tmp_path / f"paper{ENDINGS[kind][0]}")


def test_the_pdf_holds_the_scaled_photograph_once_as_jpeg(tmp_path: Path, photograph: SheetPhoto) -> None:
    path = write(samples.setting_sheet(1, (photograph,)), tmp_path / "a.pdf")
    pictures = {(i.name, i.data) for page in PdfReader(path).pages for i in page.images}
    assert [name.rpartition(".")[2] for name, _ in pictures] == ["jpg"]
