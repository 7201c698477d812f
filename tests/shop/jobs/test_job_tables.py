"""A job as tables: laid out and read again it is the same job; what is wrong in a cell is told with its place."""

from __future__ import annotations

from pathlib import Path

import pytest
from openpyxl import Workbook

from inspect_tui.errors import JobFileError
from inspect_tui.report.export import job_workbook
from inspect_tui.shop.jobs import job_tables
from inspect_tui.shop.jobs.file import write
from inspect_tui.shop.jobs.file.plan import JobPlan
from tests.worlds.job_files import any_job, example, plan

JOB = "what,value\nnumber,T-1\ncontraction x,1 %\ncontraction y,1 %\ncontraction z,1 %\n"
CORES = "number,name\n1,flue\n2,block\n"
FEATURES = "balloon,nominal (mm),a,b,between,limits\nF1,62,core 1,core 1,space,±0.8\n"


def laid(folder: Path, **sheets: str) -> JobPlan:
    """The plan of a folder with these CSV files."""
    for name, text in {"job": JOB, "cores": CORES, "features": FEATURES, **sheets}.items():
        if text:
            (folder / f"{name}.csv").write_text(text, "utf-8")
    return job_tables.read([folder])


@pytest.mark.parametrize("seed", range(6))
def test_through_tables_any_job_is_the_same(seed: int, tmp_path: Path) -> None:
    rows = write.rows(plan(any_job(seed, sizes=6, seats=4)))
    job_workbook.folder(tmp_path / "job", job_tables.lay_out(rows))
    assert write.rows(job_tables.read([tmp_path / "job"])) == rows


def test_through_a_workbook_the_example_is_the_same(tmp_path: Path) -> None:
    rows = write.rows(plan(example()))
    job_workbook.workbook(tmp_path / "job.xlsx", job_tables.lay_out(rows))
    assert write.rows(job_tables.read([tmp_path / "job.xlsx"])) == rows


def test_a_unit_in_the_head_holds_for_bare_figures_and_ditto_for_the_cell_above(tmp_path: Path) -> None:
    made = laid(
        tmp_path,
        features="Balloon;NOMINAL [in];a;b;between;stock A (mm);Stock_B\nF1;2,5;core 1;core 1;space;1/16 in;\n"
        'F2;50 mm;"""";"""";"""";;0,5\n',
    )
    one, two = made.features
    assert (one.nominal, two.nominal) == (63.5, 50.0)
    assert [end.stock_mm for end in one.ends] == [1.5875, 0.0] and [end.stock_mm for end in two.ends] == [0.0, 0.5]
    assert {end.core_id for end in two.ends} == {made.cores[0].id} and two.ends[0].facing == 1


def test_signs_that_a_spreadsheet_would_compute_come_back_as_they_were(tmp_path: Path) -> None:
    made = laid(
        tmp_path,
        features=FEATURES.replace("±0.8", "'+0.7/-0.3"),
        job=JOB + "mould x,'-5 to 10\nmould y,0 to 9\nmould z,0 to 9\n",
    )
    assert (made.features[0].upper, made.features[0].lower) == (62.7, 61.7)
    assert made.outline is not None and made.outline.x0 == -5.0


def test_loops_go_on_below_and_bodies_find_their_cores(tmp_path: Path) -> None:
    made = laid(
        tmp_path,
        loops="label,limit least,part name,plus (mm)\nW1,6,a,0.1\n,,b,0.2\nW2,,c,0.3\n",
        bodies="core,x,y,z\n2,0 to 40,0 to 20,5 to 60\ncore 2,40 to 50,0 to 20,5 to 60\n",
    )
    assert [(stack.label, stack.lower, len(members)) for stack, members in made.loops] == [
        ("W1", 6.0, 2),
        ("W2", None, 1),
    ]
    assert [(body.x0, body.x1) for body in made.bodies] == [(0.0, 40.0), (40.0, 50.0)]


@pytest.mark.parametrize(
    ("sheets", "said"),
    [
        (
            {"features": FEATURES.replace("62", "wide")},
            "The table, features, row 2, column B: feature F1 nominal: wide is not a size",
        ),
        (
            {"features": FEATURES.replace("nominal (mm)", "nominl")},
            "features, row 1, column B: there is no column 'nominl'; perhaps 'nominal'",
        ),
        ({"features": FEATURES.replace("limits", "balloon")}, "features, row 1, column F: 'balloon' stands twice"),
        (
            {"features": FEATURES.replace("limits", "")},
            "features, row 2, column F: it stands under no head that is known",
        ),
        ({"cores": CORES.replace("2,", "1,")}, "there are two of core '1'"),
        ({"job": JOB + "nmae,x\n"}, "job, row 6, column A: 'nmae' is nothing that is said of a job; perhaps 'name'"),
        ({"job": JOB + "parting,there\n"}, "job, row 6, column B: parting: "),
        ({"bodies": "core,x,y,z\n7,0 to 1,0 to 1,0 to 1\n"}, "there is no core 7 in the table cores"),
        ({"job": ""}, "There is no table job"),
        ({"walls": "a,b\n1,2\n"}, "'walls.csv' is no table of a job"),
        ({"cores": "\x00\x01"}, "Nothing was taken"),
    ],
)
def test_what_is_wrong_is_told_with_its_place(sheets: dict[str, str], said: str, tmp_path: Path) -> None:
    with pytest.raises(JobFileError) as told:
        laid(tmp_path, **sheets)
    assert said in str(told.value)


def test_wrong_sheets_merged_heads_and_cells_are_told_at_once_and_each_once(tmp_path: Path) -> None:
    book = Workbook()
    sheet = book.active
    sheet.title = "job"
    for line in (("number", "W-1"), ("contraction x", "1.0 %"), ("nmae", "x")):
        sheet.append(line)
    sizes = book.create_sheet("features")
    sizes.append(["balloon", "name", "axis", "nominal [mm]", "a", "stok a"])
    sizes.append(["F1", "w", "x", "abc", "core 9", "1/16 in"])
    sizes.append(["F2", "w", "x", -3, "drag", "2"])
    sizes.merge_cells("B1:C1")
    book.create_sheet("seets").append(["label"])
    book.save(tmp_path / "w.xlsx")
    with pytest.raises(JobFileError) as told:
        job_tables.read([tmp_path / "w.xlsx"])
    assert [line.rpartition(". `")[0] or line for line in str(told.value).splitlines()[1:]] == [
        "features, row 1, column B: cells B1 to C1 are merged: give each column a head.",
        "features, row 1, column F: there is no column 'stok a'; perhaps 'stock a' is meant.",
        "features, row 2, column D: feature F1 nominal: abc is not a size: type a number such as 59.66 or 12 3/16 in.",
        "features, row 2, column E: feature F1 a: end a names core 9, which this file does not have.",
        "features, row 3, column D: feature F2 nominal: -3 is below 0: type it without the minus.",
        "job, row 3, column A: 'nmae' is nothing that is said of a job; perhaps 'name' is meant.",
        "seets, row 1, column A: 'seets' is no table of a job; perhaps 'seats' is meant.",
    ]


def test_what_is_a_table() -> None:
    assert job_tables.is_table(Path("a.XLSX")) and job_tables.is_table(Path(__file__).parent)
    assert not job_tables.is_table(Path("a.toml"))


def test_a_size_that_is_measured_on_no_tool_stays_so_through_tables(tmp_path: Path) -> None:
    rows = write.rows(plan(example()))
    rows["feature"][0]["tools"] = []
    job_workbook.folder(tmp_path / "job", job_tables.lay_out(rows))
    again = write.rows(job_tables.read([tmp_path / "job"]))
    assert again["feature"][0]["tools"] == [] and again == rows
