"""first-article on the command line, and what its neighbours cannot do: status, stdout for data, stderr for talk."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from shutil import copyfile

import pytest

from inspect_tui.record.store import Record
from inspect_tui.shop.common import find
from inspect_tui.shop.first_article.castings.rounds import pick_round
from inspect_tui.shop.first_article.castings.sampling import Sampling
from tests.commands.conftest import Ran, Run
from tests.worlds.sampled_shop import AFTER_S1, kept_shop

On = Callable[..., Ran]


@pytest.fixture
def on(cli: Run, sampled: Path) -> On:
    return lambda *argv: cli("--record", str(sampled), *argv)


@pytest.fixture
def on_s1(cli: Run, tmp_path: Path, tmp_path_factory: pytest.TempPathFactory) -> On:
    path = tmp_path / "shop.db"
    copyfile(kept_shop(tmp_path_factory, AFTER_S1), path)
    return lambda *argv: cli("--record", str(path), *argv)


def test_a_first_article_is_a_table_for_people_and_json_for_pipes(on: On) -> None:
    shown = on("first-article", "--job", "EXM-4", "--round", "S1")
    assert shown.status == 0
    assert "✗ does not conform" in shown.out
    assert "F08 on casting S1-1" in shown.out
    assert "Dimensional conformity is not" in " ".join(shown.out.split())
    made = on("first-article", "--round", "S1", "--json")
    plain = json.loads(made.out)
    assert plain["identity"]["round"] == "S1"
    assert plain["identity"]["snapshot"] is None
    assert len(plain["features"]) == 64
    assert made.err == ""


def test_the_newest_sampling_is_meant_without_a_name_and_check_gives_status_1(on: On) -> None:
    assert json.loads(on("first-article", "--json").out)["identity"]["round"] == "S3"
    assert on("first-article", "--check", "--json").status == 1


@pytest.mark.parametrize(
    ("argv", "sentence"),
    [
        (("first-article", "--round", "S9"), "no sampling 'S9'"),
        (("causes", "--job", "XX"), "There is no job 'XX'"),
        (("cuts", "--round", "S1", "--accept", "1"), "history"),
        (("first-article", "--round", "S1", "--to", "/nowhere/x.json"), "no folder /nowhere"),
        (("first-article", "--round", "S1", "--to", "x.odt"), "the ending says the form"),
        (("first-article", "--again"), "No first-article report"),
    ],
)
def test_what_cannot_be_is_said_in_a_sentence_with_status_2(on: On, argv: tuple[str, ...], sentence: str) -> None:
    ran = on(*argv)
    assert ran.status == 2
    assert sentence in ran.err or "taken over already" in ran.err
    assert ran.out == ""


def test_a_report_is_given_out_and_made_again_to_the_byte(on_s1: On, tmp_path: Path) -> None:
    path = tmp_path / "first.json"
    assert on_s1("first-article", "--round", "S1", "--edition", "shop", "--to", str(path)).status == 0
    given = path.read_text("utf-8")
    assert json.loads(given)["identity"]["snapshot"]
    again = on_s1("first-article", "--again")
    assert again.status == 0
    assert again.out == given
    refused = on_s1("first-article", "--round", "S1", "--to", str(path))
    assert refused.status == 2
    assert "there already" in refused.err
    assert path.read_text("utf-8") == given


def test_the_customers_edition_is_what_is_meant_and_the_annex_is_asked_for(on_s1: On, tmp_path: Path) -> None:
    path = tmp_path / "customer.json"
    assert on_s1("first-article", "--round", "S1", "--to", str(path)).status == 0
    given = path.read_text("utf-8")
    assert json.loads(given)["causes"] is None
    assert on_s1("first-article", "--again").out == given
    inside = on_s1("first-article", "--again", "--edition", "shop")
    assert json.loads(inside.out)["causes"]["found"]
    own = str(tmp_path / "own.json")
    assert on_s1("first-article", "--round", "S1", "--edition", "shop", "--to", own).status == 0
    assert json.loads(on_s1("first-article", "--again").out)["causes"]
    assert json.loads(on_s1("first-article", "--again", "--edition", "customer").out)["causes"] is None
    neither = on_s1("first-article", "--again", "--edition", "all")
    assert neither.status == 2 and "customer" in neither.err


def test_a_report_before_anything_was_measured_leaves_nothing_behind(cli: Run, shop, tmp_path: Path) -> None:
    from inspect_tui.shop.first_article.castings.put_right import open_round

    open_round(shop.record, find.job(shop.record, "SV-12"), "S1", ["C1"])
    shop.record.close()
    ran = cli("--record", str(shop.path), "first-article", "--to", str(tmp_path / "x.json"))
    assert ran.status == 2
    assert "has been measured yet" in ran.err
    assert not (tmp_path / "x.json").exists()


# ------------------------------------------------------------------------------ import


def test_the_record_is_only_read_by_commands_that_only_read(sampled: Path, on: On) -> None:
    before = sampled.read_bytes()
    for argv in (("first-article", "--json"), ("causes", "--json"), ("cuts", "--json"), ("stock", "--json")):
        assert on(*argv).status == 0
    assert sampled.read_bytes() == before
    with Record.open(sampled, read_only=True) as record:
        assert Sampling(record, find.job(record, None), pick_round(record, find.job(record, None), "S1")).anything
