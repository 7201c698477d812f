"""Tests of: the forms of taking a file in."""

from __future__ import annotations

import asyncio
from pathlib import Path
from threading import Event

import pytest
from textual.widgets import Input, OptionList

from inspect_tui.shop.bench import memory
from inspect_tui.shop.common import find
from inspect_tui.shop.intake import take_in as imports
from inspect_tui.shop.intake.rows import ImportRefused, Options
from inspect_tui.tui.files.forms import AtWork, Columns, FileForm, Look, completed, near
from inspect_tui.tui.first_article.grid import CastingGrid
from inspect_tui.tui.panel import Panel
from inspect_tui.tui.question import Chooser
from tests.conftest import SmallShop
from tests.tui.first_article.test_load import (
    GOOD,
    ODD,
    at_first_article,
    at_rest,
    enter,
    file,
    load,
    rows_of,
    said,
    shown,
    value,
)


def test_a_file_is_looked_over_written_and_shown_in_the_grid(shop: SmallShop) -> None:
    path = file(shop, GOOD)

    async def script(pilot, app, screen) -> None:
        before = rows_of(shop.record)
        await load(pilot, path)
        assert isinstance(app.screen, Look)
        assert "4 readings of 2 features on 2 castings, into S1 of SV-12" in shown(app, "#body")
        assert "by AB, with caliper 1" in shown(app, "#body")
        assert rows_of(shop.record) == before  # nothing is written before Enter
        await enter(pilot)
        assert app.screen is screen
        assert said(app) == "logged 4 readings from r1.csv on 2 castings (S1)"
        grid = screen.query_one(CastingGrid)
        lines = ["".join(s.text for s in grid.render_line(y)) for y in range(grid.size.height)]
        assert any("40.10 ✓" in line and "40.20 ✓" in line for line in lines)

    at_first_article(shop, script)
    assert value(shop.record, "C2", "F3") == pytest.approx(210.3)


def test_escape_on_the_summary_writes_nothing(shop: SmallShop) -> None:
    path = file(shop, GOOD)

    async def script(pilot, app, screen) -> None:
        before = rows_of(shop.record)
        await load(pilot, path)
        await pilot.press("escape")
        await pilot.pause()
        assert app.screen is screen
        assert said(app).startswith("Nothing was taken in from r1.csv")
        assert rows_of(shop.record) == before

    at_first_article(shop, script)


def test_an_enter_that_bounces_does_not_answer_the_summary(shop: SmallShop) -> None:
    path = file(shop, GOOD)

    async def script(pilot, app, screen) -> None:
        await load(pilot, path)
        look = app.screen
        look.since += 100.0  # as if it had just come up
        await pilot.press("enter")
        await pilot.pause()
        assert app.screen is look
        assert shop.record.counts()["reading"] == 0

    at_first_article(shop, script)


def test_castings_of_a_new_sampling_come_with_the_file_and_it_is_opened(shop: SmallShop) -> None:
    path = file(shop, "Casting;F2\nD1;40,1\nC-1;40,2\n")

    async def script(pilot, app, screen) -> None:
        await load(pilot, path, label="S2", poured="2026-03-01")
        assert "all of them: added to a new sampling" in shown(app, "#body")
        await enter(pilot)
        assert "S2 · 2 castings" in screen.query_one("#head", Panel).plain
        assert said(app) == "logged 2 readings from r1.csv on 2 castings, 2 of them new (S2)"

    at_first_article(shop, script)
    assert value(shop.record, "D1", "F2", "S2") == pytest.approx(40.1)


def test_a_job_without_castings_gets_them_from_the_file(shop: SmallShop) -> None:
    path = file(shop, GOOD)

    async def script(pilot, app, screen) -> None:
        assert "Ctrl+L takes a file in" in said(app)
        await load(pilot, path, by="AB", **{"with": "caliper 1"})
        await enter(pilot)
        assert "S1 · 2 castings" in screen.query_one("#head", Panel).plain

    at_first_article(shop, script, serials=())
    assert value(shop.record, "C1", "F2") == pytest.approx(40.1)


def test_the_last_file_is_offered_again_and_a_home_folder_is_meant_by_its_sign(
    shop: SmallShop, monkeypatch: pytest.MonkeyPatch
) -> None:
    file(shop, GOOD)
    monkeypatch.setenv("HOME", str(shop.path.parent))

    async def script(pilot, app, screen) -> None:
        await load(pilot, "~/r1.csv")
        assert isinstance(app.screen, Look)
        await pilot.press("escape")
        await pilot.press("ctrl+l")
        await pilot.pause()
        assert app.screen.query_one("#field-file", Input).value == "~/r1.csv"

    at_first_article(shop, script)
    assert memory.last_file(shop.record) == "~/r1.csv"


def test_unknown_columns_are_said_once_and_remembered(shop: SmallShop) -> None:
    first, second = file(shop, ODD), file(shop, "Ofen;Breite A1;Gussteil\nx;210.4;C2\n", "r2.csv")

    async def script(pilot, app, screen) -> None:
        await load(pilot, first)
        assert isinstance(app.screen, Columns)
        assert "No line of r1.csv names a feature" in shown(app, "#wrong")
        for what in ("serial", "F3"):
            await pilot.press("enter")  # the first column that nobody knows is the current one
            await pilot.pause()
            assert isinstance(app.screen, Chooser)
            await pilot.press(*what, "enter")
            await pilot.pause()
        await pilot.press("ctrl+s")
        await at_rest(pilot)
        assert "Gussteil is serial, Breite A1 is F3" in shown(app, "#body")
        assert "Ofen" in shown(app, "#body")  # left out, and said so
        await enter(pilot)
        await load(pilot, second)
        assert isinstance(app.screen, Look)  # nothing is asked again
        await enter(pilot)

    at_first_article(shop, script)
    assert value(shop.record, "C1", "F3") == pytest.approx(210.2)
    assert value(shop.record, "C2", "F3") == pytest.approx(210.4)
    # the command line goes by the same memory
    third = file(shop, "Gussteil;Ofen;Breite A1\nC3;x;210.1\n", "r3.csv")
    options = Options(by="AB", instrument="caliper 1")
    assert imports.take_in(shop.record, find.job(shop.record, None), third, "S1", options).readings == 1


def test_columns_that_are_not_said_write_nothing_and_the_form_comes_back(shop: SmallShop) -> None:
    path = file(shop, ODD)

    async def script(pilot, app, screen) -> None:
        await load(pilot, path, by="IN")
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert "Say what one of them is" in shown(app, "#wrong")
        await pilot.press("escape")
        await pilot.pause()
        assert isinstance(app.screen, FileForm)
        assert app.screen.query_one("#field-by", Input).value == "IN"  # nothing typed is lost
        assert "nothing was added" in shown(app, "#wrong")

    at_first_article(shop, script)
    assert shop.record.counts()["import_mapping"] == 0


@pytest.mark.parametrize(("answer", "wanted"), [("inches", 8.268 * 25.4), ("mm", 8.268)])
def test_figures_that_fit_in_inches_are_asked_about(shop: SmallShop, answer: str, wanted: float) -> None:
    path = file(shop, "Casting,F1,F2,F3\nC1,2.323,1.575,8.268\n")

    async def script(pilot, app, screen) -> None:
        await load(pilot, path)
        assert isinstance(app.screen, Chooser)
        assert "do not look like mm but like inches" in app.screen.question
        await pilot.press(*answer, "enter")
        await at_rest(pilot)
        assert f"sizes in {answer}" in shown(app, "#body")
        await enter(pilot)

    at_first_article(shop, script)
    assert value(shop.record, "C1", "F3") == pytest.approx(wanted)


def test_one_column_in_inches_is_asked_about_alone(shop: SmallShop) -> None:
    path = file(shop, "Casting,F2,F3\nC1,40.1,8.268\nC2,40.2,8.270\nC3,40.1,8.271\n")

    async def script(pilot, app, screen) -> None:
        await load(pilot, path)
        assert app.screen.rows[0][1] == "inches in F3; the others as they are"
        await pilot.press(*"inches", "enter")
        await at_rest(pilot)
        assert "F3 in inches" in shown(app, "#body")
        await enter(pilot)

    at_first_article(shop, script)
    assert value(shop.record, "C1", "F3") == pytest.approx(8.268 * 25.4)
    assert value(shop.record, "C1", "F2") == pytest.approx(40.1)


def test_a_spreadsheet_with_several_sheets_is_asked_about(shop: SmallShop, tmp_path: Path) -> None:
    import openpyxl

    book = openpyxl.Workbook()
    book.active.append(["notes"])
    book.create_sheet("May").append(["Casting", "F2"])
    book["May"].append(["C1", 40.3])
    book.save(tmp_path / "r.xlsx")

    async def script(pilot, app, screen) -> None:
        await load(pilot, tmp_path / "r.xlsx")
        assert isinstance(app.screen, Chooser)
        await pilot.press(*"May", "enter")
        await at_rest(pilot)
        await enter(pilot)

    at_first_article(shop, script)
    assert value(shop.record, "C1", "F2") == pytest.approx(40.3)


def test_a_refused_file_is_told_line_by_line_and_leaves_the_record_alone(shop: SmallShop) -> None:
    path = file(shop, "serial,feature,value\nC1,F2,40.1\nC1,F99,3\nC1,F3,[red]x\nC2,,40\n")

    async def script(pilot, app, screen) -> None:
        before = rows_of(shop.record)
        await load(pilot, path)
        assert isinstance(app.screen, Look)
        assert "3 things are wrong. Nothing was added." in shown(app, "#title")
        body = shown(app, "#body")
        assert [line[:7] for line in body.split("\n")] == ["line 3:", "line 4,", "line 5:"]
        assert "[red]x is not a size" in body
        with pytest.raises(ImportRefused) as refused:  # the very sentences of the command line
            imports.take_in(
                shop.record, find.job(shop.record, None), path, "S1", Options(by="AB", instrument="caliper 1")
            )
        assert body == "\n".join(refused.value.lines)
        assert refused.value.sentence in shown(app, "#title")
        await pilot.press("escape")
        await pilot.pause()
        assert rows_of(shop.record) == before
        assert isinstance(app.screen, FileForm)  # with what was typed: put right in the file, it is read anew
        path.write_text("serial,feature,value\nC1,F2,40.1\n")
        await load(pilot, path)
        await enter(pilot)
        assert said(app).startswith("logged 1 reading from r1.csv")

    at_first_article(shop, script)


def test_hundreds_of_wrong_lines_scroll(shop: SmallShop) -> None:
    path = file(shop, "serial,feature,value\n" + "".join(f"C1,F2,bad{n}\n" for n in range(300)))

    async def script(pilot, app, screen) -> None:
        await load(pilot, path)
        assert "300 things are wrong" in shown(app, "#title")
        scroll = app.screen.query_one("VerticalScroll")
        await pilot.press("end")
        await pilot.pause()
        assert scroll.max_scroll_y > 200
        assert "line 301, value: bad299" in shown(app, "#body")

    at_first_article(shop, script)


def test_the_same_file_twice_is_said(shop: SmallShop) -> None:
    path = file(shop, GOOD)
    again = file(shop, GOOD, "copy.csv")

    async def script(pilot, app, screen) -> None:
        await load(pilot, path)
        await enter(pilot)
        await load(pilot, again)
        assert isinstance(app.screen, FileForm)
        assert "copy.csv was taken in already, as r1.csv" in shown(app, "#wrong")

    at_first_article(shop, script)
    assert shop.record.counts()["reading"] == 4


def test_cells_that_are_measured_already_are_counted_before(shop: SmallShop) -> None:
    first, second = file(shop, GOOD), file(shop, "Casting;F2;F3\nC1;40,1;210,9\nC2;;210,3\n", "r2.csv")

    async def script(pilot, app, screen) -> None:
        await load(pilot, first)
        await enter(pilot)
        await load(pilot, second)
        told = " ".join(shown(app, "#body").split())
        assert "2 readings are there from a file before: only what is new is taken in" in told
        assert "1 of 1 readings is for a cell measured before; both readings count" in told

    at_first_article(shop, script)


@pytest.mark.parametrize(
    ("content", "sentence"), [("", "is empty"), (b"\0\1\2", "no text and no workbook"), (None, "There is no file")]
)
def test_what_is_no_table_is_said_in_the_form(shop: SmallShop, content, sentence: str) -> None:
    path = file(shop, content) if content is not None else shop.path.parent / "none.csv"

    async def script(pilot, app, screen) -> None:
        await load(pilot, path)
        assert isinstance(app.screen, FileForm)
        assert sentence in shown(app, "#wrong")
        await pilot.press("escape")
        await pilot.pause()
        assert app.screen is screen

    at_first_article(shop, script)


@pytest.mark.parametrize(
    ("fields", "sentence"),
    [
        ({"file": ""}, "Name a CSV"),
        ({"unit": "ell"}, "no unit of length"),
        ({"c": "warm"}, "warm"),
        ({"heights": "perhaps"}, "yes or no"),
        ({"poured": "May"}, "May is no day"),
    ],
)
def test_a_field_that_is_wrong_keeps_the_form_open(shop: SmallShop, fields: dict[str, str], sentence: str) -> None:
    async def script(pilot, app, screen) -> None:
        await load(pilot, **{"path": "x.csv", **fields} if "file" not in fields else {"path": ""})
        assert isinstance(app.screen, FileForm)
        assert sentence in shown(app, "#wrong")

    at_first_article(shop, script)


def test_what_looks_odd_is_shown_and_taken_in_as_it_stands(shop: SmallShop) -> None:
    path = file(shop, "Casting,F1,F2,F3\nC-1,59,4010,210\nC2,59,210.1,40.2\n")

    async def script(pilot, app, screen) -> None:
        await load(pilot, path)
        body = " ".join(shown(app, "#body").split())
        assert "casting C-1 is new, and looks like C1" in body
        assert "line 2, F2 of casting C-1: 4010 or 40.10? Decimal point lost?" in body
        assert "F2 is +170.10 off and F3 -169.80; each fits the other. Are they swapped?" in body
        await enter(pilot)

    at_first_article(shop, script)
    assert value(shop.record, "C-1", "F2") == pytest.approx(4010.0)


def test_markup_and_escape_sequences_are_shown_as_text(shop: SmallShop) -> None:
    path = file(shop, "[b]Casting[/b];[/x]F2;serial\n[/zz];40,1;[red]C\x1b[2J9[/red]\n", "[bold]r1[b].csv")

    async def script(pilot, app, screen) -> None:
        await load(pilot, path)
        assert isinstance(app.screen, Columns)
        rows = app.screen.query_one("#rows", OptionList)
        assert "[/x]F2" in str(rows.get_option_at_index(1).prompt)
        await pilot.press("down", "enter") if rows.highlighted == 0 else await pilot.press("enter")
        await pilot.pause()
        assert "[/x]F2" in app.screen.question
        await pilot.press(*"F2", "enter")
        await pilot.pause()
        await pilot.press("ctrl+s")
        await at_rest(pilot)
        body = shown(app, "#body")
        assert "[red]C[2J9[/red]" in body
        assert "control characters were taken out of line 2" in " ".join(body.split())
        assert "\x1b" not in body
        await enter(pilot)
        assert "from [bold]r1[" in said(app)

    at_first_article(shop, script)
    assert value(shop.record, "[red]C[2J9[/red]", "F2") == pytest.approx(40.1)


def test_the_screen_lives_while_a_file_is_read_and_escape_leaves_it(
    shop: SmallShop, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = file(shop, GOOD)
    reached, go_on, ended = Event(), Event(), []
    real = imports.check

    def slow(*args, watch, **more):
        reached.set()
        go_on.wait(10)
        try:
            watch("checked", 2000, 100_000)
        except BaseException as problem:
            ended.append(type(problem).__name__)
            raise
        return real(*args, watch=watch, **more)

    monkeypatch.setattr(imports, "check", slow)

    async def script(pilot, app, screen) -> None:
        await pilot.press("ctrl+l")
        await pilot.pause()
        app.screen.query_one("#field-file", Input).value = str(path)
        await pilot.press("ctrl+s")
        for _ in range(200):
            await pilot.pause()
            if reached.is_set():
                break
            await asyncio.sleep(0.02)
        assert isinstance(app.screen, AtWork)
        assert "Esc leaves it" in shown(app, "#words")
        await pilot.press("escape")
        await pilot.pause()
        assert isinstance(app.screen, FileForm)
        assert "r1.csv was left; nothing was added" in shown(app, "#wrong")
        go_on.set()
        await app.workers.wait_for_complete()
        await pilot.pause()
        assert isinstance(app.screen, FileForm)  # the old answer does not come after all

    at_first_article(shop, script)
    assert ended == ["Left"]
    assert shop.record.counts()["reading"] == 0


def test_a_disk_that_says_no_is_told_and_nothing_is_said_to_be_logged(
    shop: SmallShop, monkeypatch: pytest.MonkeyPatch
) -> None:
    from inspect_tui.errors import DiskFull

    path = file(shop, GOOD)

    def full(*_: object) -> None:
        raise DiskFull("Not logged: the disk is full. Free space and try again.")

    monkeypatch.setattr(imports, "write", full)

    async def script(pilot, app, screen) -> None:
        await load(pilot, path)
        await enter(pilot)
        assert isinstance(app.screen, FileForm)
        assert "the disk is full" in shown(app, "#wrong")
        await pilot.press("escape")
        await pilot.pause()
        assert "logged 4" not in said(app)

    at_first_article(shop, script)


def test_a_fault_of_ours_is_a_sentence_and_no_traceback(shop: SmallShop, monkeypatch: pytest.MonkeyPatch) -> None:
    path = file(shop, GOOD)
    monkeypatch.setattr(imports, "check", lambda *_, **__: 1 / 0)

    async def script(pilot, app, screen) -> None:
        await load(pilot, path)
        assert "r1.csv could not be taken in (ZeroDivisionError" in shown(app, "#wrong")

    at_first_article(shop, script)


def test_a_path_is_completed_as_far_as_there_is_one_way(tmp_path: Path) -> None:
    for name in ("may-1.csv", "may-2.xlsx", "notes.doc", ".hidden.csv"):
        (tmp_path / name).write_text("x")
    (tmp_path / "lists").mkdir()
    assert completed(f"{tmp_path}/m") == f"{tmp_path}/may-"
    assert completed(f"{tmp_path}/may-2") == f"{tmp_path}/may-2.xlsx"
    assert completed(f"{tmp_path}/l") == f"{tmp_path}/lists/"
    assert completed(f"{tmp_path}/z") == f"{tmp_path}/z"
    assert completed("/no/such/folder/x") == "/no/such/folder/x"
    assert near(f"{tmp_path}/") == "Tab: lists/  may-1.csv  may-2.xlsx"
    assert near(f"{tmp_path}/may-1.csv") == ""
