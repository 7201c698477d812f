"""Every command that writes a paper sets it on the sheet, in the unit and with the decimal mark that are asked for.

Options and settings that say the same give the same bytes. A command that learns to write a paper is found by its
options and has to come into the table here.
"""

from __future__ import annotations

import csv
import io
import re
import shutil
from collections.abc import Callable, Iterator
from html import unescape
from pathlib import Path
from zipfile import ZipFile

import openpyxl
import pytest

from inspect_tui.cli import main, parser
from inspect_tui.record.store import Record
from inspect_tui.shop.kit import edit
from inspect_tui.shop.measuring.faces import enter
from inspect_tui.shop.measuring.sample import of_sample
from inspect_tui.shop.settings import write as settings
from tests.shop.kit.paper.test_capacity_page import port
from tests.worlds.kit_random import give_body
from tests.worlds.sample_faces import named
from tests.worlds.sampled_shop import AFTER_S1, kept_shop
from tests.worlds.worn_box import WornBox

OPTIONS = ("--paper", "letter", "--show", "in", "--decimal-mark", ",")
SETTINGS = {"paper.size": "Letter", "show.style": "inch", "show.decimal_mark": ","}
SHEET, FIGURES = "sheet", "figures"  # what there is to see: the size of the page, the unit and the decimal mark
TODAY = ("--today", "2024-08-01")

# command -> record, how it is asked for, where {} is the file, and what its paper has
PAPERS: dict[str, tuple[str, tuple[str, ...], str, tuple[str, ...]]] = {
    "kit sheet": ("kit", ("--edition", "shop", "--to", "{}"), ".html", (SHEET, FIGURES)),
    "kit list": ("kit", ("--to", "{}"), ".html", (SHEET,)),
    "kit labels": ("kit", ("--to", "{}"), ".html", (SHEET,)),
    "kit come-back": ("kit", ("--to", "{}"), ".html", (SHEET, FIGURES)),
    "kit capacity": ("kit", ("--to", "{}"), ".html", (SHEET, FIGURES)),
    "kit guide": (
        "kit",
        ("--to", "{}"),
        ".html",
        (FIGURES,),
    ),  # for a telephone; its PDF is held to the sheet elsewhere
    "kit look": ("kit", ("--core", "2", "--to", "{}"), ".svg", (FIGURES,)),
    "kit trial sheet": ("kit", ("trying in", "--to", "{}"), ".html", (SHEET, FIGURES)),
    "measure sheet": ("kit", ("--on", "box 1", "--to", "{}"), ".html", (SHEET, FIGURES)),
    "measure plan": ("sample", ("--to", "{}"), ".html", (SHEET,)),  # nothing that is expected stands on it
    "wear": ("worn", (*TODAY, "--sheet", "{}"), ".html", (SHEET, FIGURES)),
    "wear wall": ("worn", (*TODAY, "--wall", "{}"), ".html", (SHEET,)),  # sizes stand in what is to be done alone
    "trend": ("worn", ("W", "--on", "box 1", *TODAY, "--to", "{}"), ".html", (SHEET, FIGURES)),
    "due": ("worn", (*TODAY, "--to", "{}"), ".xlsx", (SHEET,)),
    "first-article": ("given out", ("--again", "--to", "{}"), ".html", (SHEET, FIGURES)),
}


def a_kit(path: Path, factory: pytest.TempPathFactory) -> None:
    with Record.open(path, create=True) as record:
        kit = port(record)
        edit.set_core_detail(record, kit.job, kit.core[2], template="T-1", check_lower=7.5, check_upper=8.5)
        give_body(kit, 1, (0.0, 60.3), (0.0, 40.0), (0.0, 50.0))
        give_body(kit, 2, (10.0, 50.3), (0.0, 40.0), (50.0, 70.0))


def a_sample(path: Path, factory: pytest.TempPathFactory) -> None:
    with Record.open(path, create=True) as record:
        job, _ = named(record)
        enter(record, job, of_sample(record, job).to_enter)


def a_worn_box(path: Path, factory: pytest.TempPathFactory) -> None:
    made = WornBox(path)
    made.wear(12)
    made.record.close()


def given_out(path: Path, factory: pytest.TempPathFactory) -> None:
    shutil.copyfile(kept_shop(factory, AFTER_S1), path)
    assert main(["first-article", "--round", "S1", "--to", str(path.with_suffix(".csv")), "--record", str(path)]) == 0


RECORDS: dict[str, Callable[[Path, pytest.TempPathFactory], None]] = {
    "kit": a_kit,
    "sample": a_sample,
    "worn": a_worn_box,
    "given out": given_out,
}


@pytest.fixture(scope="module")
def records(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Callable[[str], Path]]:
    """The record of a name, made when it is first asked for."""
    folder = tmp_path_factory.mktemp("papers")

    def record(name: str) -> Path:
        path = folder / f"{name}.db"
        if not path.exists():
            RECORDS[name](path, tmp_path_factory)
        return path

    yield record


def asked(words: str, record: Path, target: Path, *more: str) -> list[str]:
    command = words.removesuffix(" wall").split()
    return [*command, *(part.format(target) for part in PAPERS[words][1]), "--force", *more, "--record", str(record)]


def text_of(content: bytes, ending: str) -> str:
    if ending == ".xlsx":
        return ZipFile(io.BytesIO(content)).read("xl/worksheets/sheet1.xml").decode()
    text = re.sub(r"(?s)<style>.*?</style>|<script.*?</script>", " ", content.decode())
    return unescape(re.sub(r"<[^>]+>", " ", text))


@pytest.mark.parametrize("words", PAPERS)
def test_a_paper_is_as_it_is_asked_for_by_option_and_by_setting(
    words: str, records: Callable[[str], Path], tmp_path: Path
) -> None:
    name, _, ending, has = PAPERS[words]
    record = records(name)
    by_option, by_setting = tmp_path / f"option{ending}", tmp_path / f"setting{ending}"
    options = OPTIONS[2:] if words == "kit look" else OPTIONS  # a drawing lies on no sheet
    assert main(asked(words, record, by_option, *options)) in (0, 1)
    for key, value in SETTINGS.items():
        settings.put(key, value)
    assert main(asked(words, record, by_setting)) in (0, 1)
    content = by_option.read_bytes()
    # what was given out stays as it went out, whatever is set since: only an option asks for it otherwise
    assert (content == by_setting.read_bytes()) is ("--again" not in PAPERS[words][1])
    text = re.sub(r"[\d.]+ mm or [\d.]+ in\?", "", text_of(content, ending))  # asked about as it was typed
    if SHEET in has:
        assert 'paperSize="1"' in text if ending == ".xlsx" else b"size: Letter" in content
    if FIGURES in has:
        assert re.search(r"\d,\d", text), "no figure has the decimal mark"
        assert not re.findall(r".{20}\d mm\b.{5}", text), "lengths are in mm"
        assert not re.findall(r".{20}\d\.\d+\s?(?:in|kg|kgf)\b.{5}", text), "figures have another mark"


# command -> record, how it is asked for, a column of numbers that is filled somewhere
TABLES: dict[str, tuple[str, tuple[str, ...], str]] = {
    "kit list": ("kit", ("--to", "{}"), "core"),
    "kit labels": ("kit", ("--to", "{}"), "core"),
    "kit come-back": ("kit", ("--to", "{}"), "lower_mm"),
    "wear": ("worn", (*TODAY, "--to", "{}"), "limit"),
    "due": ("worn", (*TODAY, "--to", "{}"), "days late"),
    "measure sheet": ("kit", ("--on", "box 1", "--to", "{}"), "wanted"),
    "measure plan": ("sample", ("--to", "{}"), "in order"),
}


@pytest.mark.parametrize("words", TABLES)
def test_a_list_is_a_workbook_one_page_wide_with_heads_in_words_and_figures_as_figures(
    words: str, records: Callable[[str], Path], tmp_path: Path
) -> None:
    name, how, figures = TABLES[words]
    record, target = records(name), tmp_path / "list.xlsx"
    argv = [*words.split(), *(part.format(target) for part in how), "--record", str(record)]
    assert main(argv) in (0, 1)
    page = openpyxl.load_workbook(target).active
    assert page.sheet_properties.pageSetUpPr.fitToPage and page.page_setup.orientation == "landscape"
    assert page.page_setup.fitToWidth in (None, 1)  # 1 where it is not said: ECMA-376, Part 1, 18.3.1.63
    assert (page.page_setup.fitToHeight, page.page_setup.paperSize) == (0, 9)
    assert page.print_title_rows == "$1:$1" and page.freeze_panes == "A2"
    heads = [cell.value for cell in page[1]]
    assert all(isinstance(head, str) and re.match(r"[a-z]", head) for head in heads)
    assert words == "kit come-back" or not any("_" in head for head in heads)  # its heads are those that come back
    column = [row[heads.index(figures)] for row in page.iter_rows(min_row=2, values_only=True)]
    filled = [value for value in column if value is not None]
    assert filled and all(isinstance(value, int | float) for value in filled)
    argv[argv.index(str(target))] = str(tmp_path / "list.csv")
    assert main(argv) in (0, 1)
    rows = list(csv.DictReader(io.StringIO((tmp_path / "list.csv").read_text("utf-8"))))
    assert len(rows) == page.max_row - 1 and set(rows[0]) <= set(heads)


def test_every_command_that_writes_a_paper_is_held_to_it() -> None:
    found = set()
    for words, command in every(parser()):
        ways = {option for action in command._actions for option in action.option_strings}
        if "--decimal-mark" in ways or any(writes(action) for action in command._actions):
            found.add(words)
    assert found == {words.removesuffix(" wall") for words in PAPERS}


def writes(action: object) -> bool:
    """Whether an option names a file that is a paper by its ending."""
    names = set(getattr(action, "option_strings", ())) & {"--to", "--sheet", "--wall"}
    return bool(names) and bool(re.search(r"\.(pdf|html|svg|png|xlsx)\b", str(getattr(action, "help", "")), re.I))


def every(command, words: str = ""):  # type: ignore[no-untyped-def]
    """Every command with its words, those of others too."""
    yield words, command
    for action in command._actions:
        if hasattr(action, "choices") and isinstance(action.choices, dict):
            for name, inner in action.choices.items():
                yield from every(inner, f"{words} {name}".strip())
