"""`kit sheet`, `kit list`, `kit labels`, `kit come-back`: arguments, refusals and files, on the small shop's record."""

from __future__ import annotations

import argparse
import sqlite3
from pathlib import Path

import pytest

from inspect_tui.commands import common, kit_papers
from inspect_tui.errors import InspectError
from inspect_tui.metrology.typed.show import Style
from inspect_tui.record.store import Record
from tests.conftest import SmallShop
from tests.worlds.kit_jobs import two_cores


def parsed(*argv: str) -> argparse.Namespace:
    parser = argparse.ArgumentParser()
    actions = parser.add_subparsers(dest="action", required=True)
    actions.add_parser("check")
    kit_papers.arguments(actions)
    return parser.parse_args(argv)


def test_each_paper_is_an_action_and_needs_a_file() -> None:
    for name in ("sheet", "list", "labels", "come-back"):
        assert parsed(name, "--to", "a.pdf").kind == name.replace("-", "_").replace("list", "kit_list").replace(
            "sheet", "setting_sheet"
        )
        with pytest.raises(SystemExit):
            parsed(name)


def test_an_action_that_is_there_already_is_left_alone() -> None:
    parser = argparse.ArgumentParser()
    actions = parser.add_subparsers()
    mine = actions.add_parser("list")
    kit_papers.arguments(actions)
    assert actions.choices["list"] is mine and "sheet" in actions.choices


def run(shop: SmallShop, *argv: str) -> int:
    args = parsed(*argv)
    args.record = str(shop.path)
    return kit_papers.run(args)


@pytest.mark.parametrize(
    ("action", "ending"),
    [
        ("sheet", ".html"),
        ("sheet", ".pdf"),
        ("list", ".html"),
        ("list", ".xlsx"),
        ("list", ".csv"),
        ("labels", ".pdf"),
        ("come-back", ".csv"),
        ("come-back", ".xlsx"),
        ("come-back", ".pdf"),
    ],
)
def test_the_paper_is_written_and_its_path_said(
    shop: SmallShop, tmp_path: Path, capsys: pytest.CaptureFixture[str], action: str, ending: str
) -> None:
    shop.record.close()
    path = tmp_path / f"paper{ending}"
    assert run(shop, action, "--to", str(path)) == 0
    assert capsys.readouterr().out == f"{path}\n"
    assert path.stat().st_size > 200


@pytest.mark.parametrize(
    ("name", "words"),
    [("sheet.docx", "the ending says the form"), ("no/where/sheet.pdf", "no folder"), ("there.pdf", "there already")],
)
def test_a_place_that_will_not_do_is_refused_before_the_record_is_opened(
    shop: SmallShop, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str, words: str
) -> None:
    (tmp_path / "there.pdf").write_text("x")
    monkeypatch.setattr(sqlite3, "connect", lambda *_, **__: pytest.fail("the record was opened"))
    with pytest.raises(InspectError, match=words):
        run(shop, "sheet", "--to", str(tmp_path / name))


def test_an_unknown_job_is_a_sentence_and_writes_nothing(shop: SmallShop, tmp_path: Path) -> None:
    shop.record.close()
    with pytest.raises(InspectError):
        run(shop, "sheet", "--to", str(tmp_path / "a.pdf"), "--job", "nowhere")
    assert not (tmp_path / "a.pdf").exists()


@pytest.mark.parametrize("ending", [".html", ".pdf"])
def test_the_guide_is_written_in_a_language_and_on_a_sheet(
    shop: SmallShop, tmp_path: Path, capsys: pytest.CaptureFixture[str], ending: str
) -> None:
    shop.record.close()
    target = tmp_path / f"guide{ending}"
    assert run(shop, "guide", "--to", str(target), "--language", "es", "--paper", "Letter", "--ask", "the shop") == 0
    assert capsys.readouterr().out.strip() == str(target)
    content = target.read_bytes()
    assert content.startswith(b"%PDF") if ending == ".pdf" else "Guía de colocación / Setting guide".encode() in content
    with pytest.raises(InspectError, match="no phrases in it"):
        run(shop, "guide", "--to", str(tmp_path / "other.html"), "--language", "it")
    with pytest.raises(InspectError):
        run(shop, "guide", "--to", str(target))


def test_the_capacity_page_rests_on_the_tools_or_on_a_casting(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    target = tmp_path / "capacity.html"

    def write(*argv: str) -> int:
        args = parsed("capacity", "--to", str(target), *argv)
        args.record = str(Path(__file__).parents[2] / "demo.db")
        return kit_papers.run(args)

    assert write() == 0 and "the tools as measured" in target.read_text("utf-8")
    assert "mm²" in target.read_text("utf-8")
    monkeypatch.setattr(common, "_written", [Style("in")])
    assert write("--force") == 0 and " in²" in target.read_text("utf-8")
    assert write("--on", "S1-1", "--force") == 0 and "casting S1-1 as measured" in target.read_text("utf-8")
    with pytest.raises(InspectError, match="that is a tool"):
        write("--on", "box 3", "--force")


def test_a_job_without_a_passage_has_no_capacity_page(shop: SmallShop, tmp_path: Path) -> None:
    shop.record.close()
    with pytest.raises(InspectError, match="has no passage"):
        run(shop, "capacity", "--to", str(tmp_path / "a.html"))


def test_a_language_without_some_phrases_says_which_stay_english(
    shop: SmallShop, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    shop.record.close()
    own = tmp_path / "own.csv"
    own.write_text("en,pl\nCore,Rdzeń\n", "utf-8")
    assert run(shop, "guide", "--to", str(tmp_path / "g.html"), "--language", "pl", "--phrases", str(own)) == 0
    said = capsys.readouterr()
    assert "phrases not in the table for pl, in English alone: Setting guide; " in said.err
    assert run(shop, "guide", "--to", str(tmp_path / "h.html"), "--language", "fr") == 0
    assert "not in the table" not in capsys.readouterr().err


def test_the_foundrys_copy_has_none_of_the_shops_doubts_and_the_shop_is_told_of_them(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with Record.open(tmp_path / "kit.db", create=True) as record:
        kit = two_cores(record)
        kit.read("box 2", {"K2-P": 40.0})
        kit.read("box 1", {"K2-S": 39.9})  # the print does not go into its seat

    def write(*argv: str) -> tuple[str, str]:
        args = parsed("sheet", "--to", str(tmp_path / "s.html"), "--force", *argv)
        args.record = str(tmp_path / "kit.db")
        assert kit_papers.run(args) == 0
        return (tmp_path / "s.html").read_text("utf-8"), capsys.readouterr().err

    foundry, told = write()
    assert "not proven: it is not on this copy; see kit check and kit sheet --edition shop" in told
    for words in ("Not proven", "does not go", "as measured", "clearance", "not for the foundry"):
        assert words not in foundry, words
    assert "print K2 into core 1: do not force; snug: let it find its place, never press" in foundry
    shops, told = write("--edition", "shop")
    assert "Not proven yet" in shops and "does not go" in shops and "copy: not for the foundry" in shops
    assert told == ""
