"""The papers that travel with the kit, as files: nothing in them loads or breaks anything, and they stay the same."""

from __future__ import annotations

import csv
import io
from base64 import b64decode
from pathlib import Path

import pytest
from pypdf import PdfReader

from inspect_tui.frozen import replace
from inspect_tui.report.kit.forms import ENDINGS, make, write
from inspect_tui.report.paper.file import PaperError
from inspect_tui.report.paper.table_csv import unguarded
from inspect_tui.shop.kit.paper.come_back import ComeBack
from inspect_tui.shop.kit.paper.kit_list import KitList, LabelData, Labels
from inspect_tui.shop.kit.paper.papers import SheetPhoto
from inspect_tui.shop.kit.paper.setting_sheet import SettingSheet
from tests.worlds import kit_samples as samples
from tests.worlds.hostile import STEERING, TEXTS
from tests.worlds.paper_readers import Page


@pytest.fixture(scope="module")
def photograph(tmp_path_factory: pytest.TempPathFactory) -> SheetPhoto:
    return samples.photograph(tmp_path_factory.mktemp("photos") / "core.jpg", 800, 600)


def test_labels_of_a_job_without_tools_are_a_sentence(tmp_path: Path) -> None:
    with pytest.raises(PaperError, match="nothing to label"):
        write(Labels(()), tmp_path / "labels.pdf")


def test_a_photograph_is_scaled_and_stands_inside_the_paper(photograph: SheetPhoto) -> None:
    sheet = samples.setting_sheet(2, (photograph, photograph))
    page = Page(make(sheet, "html"))
    assert len(page.loads) == 2 and all(load.startswith("data:image/jpeg;base64,") for load in page.loads)
    assert b64decode(page.loads[0].partition(",")[2]).startswith(b"\xff\xd8")
    assert len(make(sheet, "pdf")) > len(make(samples.setting_sheet(2), "pdf")) + 5000


def told(text: str) -> tuple[SettingSheet, KitList, Labels, ComeBack]:
    """Every paper with the text wherever a person can type one."""
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
    return sheet, kit, Labels((label,)), back


@pytest.mark.parametrize("text", (*TEXTS, *STEERING))
def test_hostile_text_is_text_on_every_paper(text: str) -> None:
    from inspect_tui.report.words import visible

    papers = told(text)
    for paper in papers:
        page = Page(make(paper, "html"))
        assert visible(text) in page.isolated
        assert "script" not in page.tags and "img" not in page.tags and page.loads == []
    back = papers[-1]
    rows = list(csv.DictReader(io.StringIO(make(back, "csv").decode("utf-8"), newline="")))
    assert {unguarded(row["what"]) for row in rows} == {text}


def test_a_pdf_is_set_whatever_the_texts_are() -> None:
    for paper in told(" ".join((*TEXTS, *STEERING))):
        assert make(paper, "pdf").startswith(b"%PDF-")


def test_two_runs_give_the_same_bytes(photograph: SheetPhoto) -> None:
    sheet = samples.setting_sheet(3, (photograph,))
    for form in ("html", "pdf"):
        assert make(sheet, form) == make(sheet, form)


@pytest.mark.parametrize("kind", [kind for kind in ENDINGS if kind != "guide"])
def test_every_paper_is_written_in_its_forms_and_in_no_other(tmp_path: Path, kind: str) -> None:
    paper = getattr(samples, kind)()
    if kind == "labels":
        paper = Labels(paper)
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
