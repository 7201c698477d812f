"""A report that was given out in an earlier format is printed as it was, to the byte.

given/version-10.db.gz is the invented shop after its first sampling, with one report: written by the program of that
day, with schema 10, before geometrical tolerances and signatures were told. given/version-12.db.gz is the signed bracket
with decisions and names, its report in inches with a comma on Letter, before the sheets with numbers and before figures
of sentences were kept. The hashes are those of the papers that the program of that day made of each.
"""

from __future__ import annotations

import gzip
from collections.abc import Iterator
from contextlib import ExitStack
from hashlib import sha256
from io import BytesIO
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from inspect_tui.record.store import Record
from inspect_tui.report.first_article.forms import make
from inspect_tui.report.first_article.signed import is_first
from inspect_tui.shop.common import find
from inspect_tui.shop.first_article.snapshot import Again, _computed, again, find_snapshot, fix
from tests.worlds.paper_readers import pdf_text

GIVEN = Path(__file__).with_name("given")
BYTES = {  # version, form, with the annex -> SHA-256 of the file
    (10, "html", True): "26893b8256f4afd6edb91cf27e68e63841a5095d6d6563bf23f2e1c3bc2c7fb3",
    (10, "html", False): "b51c772e63a6ad4044b0e88e8f0334aba793502f113ebd9b39c1c0ff1bb36d47",
    (10, "csv", True): "ee4294a9e34443581be97dd04451552d94b609d2dab52cd3df314550a95971c2",
    (10, "csv", False): "ee4294a9e34443581be97dd04451552d94b609d2dab52cd3df314550a95971c2",
    (10, "json", True): "ec189c8bcfb6be2b9d03eaf38c21f7dd727da55d90a390da8c16349cae8a0e9f",
    (10, "json", False): "35443c3e10d2f7eea52d3d82a59bde9a6bac7266fe2013b110916e49c8201c76",
    (10, "qif", True): "03ed685c73a2e7ffa968e4332e807ae33f6cd4e071593eda49671cf3db67fb52",
    (10, "qif", False): "4adebbd5b47a87946663512445fd2da1b29674204cf33ee3ce13331bf49e75b0",
    (12, "html", True): "2851274741817a353976ab911694981a6e2c94f2881fa76efca8a5b7059baee4",
    (12, "html", False): "1d80323eefa889a8e39a48ac6ee90cac4fcbaddf44777b66bb58a2b3594fe3ee",
    (12, "csv", True): "1c9f4d94bdb8e09a1a8386c1419110be6f5a6ffacb77bca3eaf8fb36b4b81686",
    (12, "csv", False): "1c9f4d94bdb8e09a1a8386c1419110be6f5a6ffacb77bca3eaf8fb36b4b81686",
    (12, "json", True): "40feb2354a836182e07ee3e86a23b29af68f6b8b4d9adab6784226bdcf444bc0",
    (12, "json", False): "9a22440f20d0d14149d3c505f84d583cc0f86a9a84fc1285489706095e21417c",
    (12, "qif", True): "1a5897ec94ab2b6da9d164b5a8d6c0ee07855a37ce59f90e39dfe026322b7628",
    (12, "qif", False): "6607557cb9a40470c6c1190b984c3ee16222d70bdcf33184b5b986d3019ff9d1",
}
# of PDF and XLSX what stands in them: their bytes are also those of the libraries that set and pack them
WORDS = {
    (10, "pdf", True): "79c726ff237643082327d58c4dfe8de361d3a7c2e8eb4c8392d7e5055ec06d24",
    (10, "pdf", False): "7e70498a5fb172980ebe8a6df0c2abc1930af6f6591bc90a9cff53d64b68d46d",
    (10, "xlsx", True): "95acb3c19acc222e5258d296a8f0930ef0467d8a6b2de8639bdafe8d4b59defe",
    (10, "xlsx", False): "02537e92eb48fd2127c92472e744dde4e6db6531fec372f727f12150534d38d1",
    (12, "pdf", True): "6c9c3e78fb1d47f3c2bd6368922d5305fa26f50973299420d77682434c2366d2",
    (12, "pdf", False): "4793c7fde4a302d82d8730d7798ef2657adf73b4d183aa0ae782d2b3dedf8dee",
    (12, "xlsx", True): "fdd113159a6dd96c7ca7c0f2ac4d082817981aa2c6955e68ff3bd9c6249bf258",
    (12, "xlsx", False): "8a6e63fd44626b964471132f84730d7da16b35dcd3327c28aceeb6884a55ad18",
}


@pytest.fixture(scope="module")
def records(tmp_path_factory: pytest.TempPathFactory) -> Iterator[dict[int, Record]]:
    made = {}
    with ExitStack() as opened:
        for version in (10, 12):
            folder = tmp_path_factory.mktemp("given")
            packed = (GIVEN / f"version-{version}.db.gz").read_bytes()
            (folder / "shop.db").write_bytes(gzip.decompress(packed))
            made[version] = opened.enter_context(Record.open(folder / "shop.db", state_dir=folder / "state"))
        yield made


@pytest.fixture(scope="module")
def given(records: dict[int, Record]) -> dict[int, Again]:
    return {
        version: again(record, find_snapshot(record, find.job(record, None))) for version, record in records.items()
    }


def test_its_content_is_given_again_to_the_byte_in_its_own_form(given: dict[int, Again]) -> None:
    """Computed anew its last digits may differ: another machine, other libraries. What went out stays."""
    assert is_first(given[10].plain) and given[10].annex and given[10].dress == {}
    assert given[12].plain["format"] == "first_article/2" and given[12].dress["unit"] == "in"
    for version, told in given.items():
        assert sha256(told.text.encode()).hexdigest() == BYTES[version, "json", True]


@pytest.mark.parametrize("version", [10, 12])
def test_computed_anew_it_says_the_same_in_that_form(
    records: dict[int, Record], given: dict[int, Again], version: int
) -> None:
    def rounded(value: Any) -> Any:
        if isinstance(value, float):
            return f"{value:.9g}" if abs(value) > 1e-9 else "0"
        if isinstance(value, dict):
            return {key: rounded(part) for key, part in value.items()}
        return [rounded(part) for part in value] if isinstance(value, list) else value

    told = given[version]
    plain, _ = _computed(records[version], told.snapshot, told.plain["format"])
    for known_better in ("causes", "cuts", "questions"):  # how sure a cause is has been worked out more closely since
        assert type(plain.pop(known_better)) is type(told.plain[known_better])
    then = {key: told.plain[key] for key in plain}
    promised = ("predicted", "u_predicted", "predicted_from")  # and so has what the tools promise of a wall
    for one in (plain, then):
        one["features"] = [{key: part for key, part in f.items() if key not in promised} for f in one["features"]]
    assert rounded(plain) == rounded(then)


def papers(told: Again, form: str, annex: bool) -> bytes:
    return make(told.plain, form, annex=annex, style=told.style, size=told.dress.get("paper"), files=told.files)


@pytest.mark.parametrize(("version", "form", "annex"), BYTES)
def test_papers_are_the_bytes_that_went_out(given: dict[int, Again], version: int, form: str, annex: bool) -> None:
    assert sha256(papers(given[version], form, annex)).hexdigest() == BYTES[version, form, annex]


def words_of(form: str, content: bytes) -> str:
    """Everything that stands in a PDF or a workbook."""
    if form == "pdf":
        return "".join(pdf_text(content).split())
    book = openpyxl.load_workbook(BytesIO(content))
    return repr([(sheet.title, list(sheet.iter_rows(values_only=True))) for sheet in book.worksheets])


@pytest.mark.parametrize(("version", "form", "annex"), WORDS)
def test_what_stands_in_a_pdf_and_a_workbook_is_what_went_out(
    given: dict[int, Again], version: int, form: str, annex: bool
) -> None:
    said = words_of(form, papers(given[version], form, annex))
    assert sha256(said.encode()).hexdigest() == WORDS[version, form, annex]


def test_a_report_that_is_given_out_now_has_the_form_of_now(records: dict[int, Record]) -> None:
    record = records[10]
    now = fix(record, find.job(record, None), "S1", annex=False, dress={"unit": "in"})
    page = make(now.plain, "html", annex=False, style=now.style)
    assert not is_first(now.plain) and b"What this report does not cover" in page and b"Where the numbers stand" in page
    later = again(record, now.snapshot)
    assert later.same and later.text == now.text
    assert (later.annex, later.dress) == (False, {"unit": "in"})
