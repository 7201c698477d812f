"""first-article, causes, cuts, stock and import on the command line: status, stdout for data, stderr for talk."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from inspect_tui.record.store import Record
from inspect_tui.shop.common import find
from inspect_tui.shop.first_article.castings.rounds import pick_round
from inspect_tui.shop.first_article.castings.sampling import Sampling
from tests.commands.conftest import Ran, Run
from tests.worlds.sampled_shop import AFTER_S1, shop_until

On = Callable[..., Ran]


@pytest.fixture
def on(cli: Run, sampled: Path) -> On:
    return lambda *argv: cli("--record", str(sampled), *argv)


@pytest.fixture
def on_s1(cli: Run, tmp_path: Path) -> Iterator[On]:
    path = tmp_path / "shop.db"
    shop_until(path, AFTER_S1)[0].close()
    yield lambda *argv: cli("--record", str(path), *argv)


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


def test_causes_as_json_name_core_4_with_its_interval(on: On) -> None:
    plain = json.loads(on("causes", "--round", "S1", "--json").out)
    core_4 = next(one for one in plain["causes"] if one["name"] == "core 4 y")
    assert core_4["low"] < 0.70 < core_4["high"]
    assert core_4["tool"] is True
    assert plain["contraction"]["x"]["found"] == pytest.approx(0.0080, abs=6e-4)
    assert any("Core 4 sits" in sentence for sentence in plain["sentences"])
    assert plain["rivals"][0]["probability"] > 0


def test_causes_for_people_say_what_to_look_at_first(on: On) -> None:
    shown = on("causes", "--round", "S2")
    assert "look at first" in shown.out
    assert "F29" in shown.out
    assert "Do not cut" in shown.out


def test_a_plan_needs_no_readings(on: On) -> None:
    plain = json.loads(on("causes", "--plan", "F01", "F38", "--json").out)
    assert plain["chosen"] == ["F01", "F38"]
    assert plain["add"]
    assert "fewest to add" in on("causes", "--plan", "F01", "F38").out
    wrong = on("causes", "--plan", "F99")
    assert wrong.status == 2
    assert "F99 is not on revision B" in wrong.err


def test_cuts_as_json_keep_tool_and_casting_words_apart(on: On) -> None:
    plain = json.loads(on("cuts", "--round", "S1", "--json").out)
    box = next(one for one in plain["cuts"] if one["cause"] == "size F55")
    assert box["words"].startswith("F55: cut")
    assert box["casting_words"] == "metal off"
    assert box["accepted"] is True  # the invented shop took it over
    assert plain["taken_over"][0]["round"] == "S1"
    later = json.loads(on("cuts", "--round", "S2", "--json").out)
    assert {one["word"] for one in later["promises"]} <= {"as promised", "not as promised", "not measured yet"}
    assert "metal on and metal off are the casting" in on("cuts", "--round", "S1").out


def test_samplings_side_by_side(on: On) -> None:
    plain = json.loads(on("cuts", "--history", "--json").out)
    assert plain["rounds"] == ["S1", "S2", "S3"]
    assert "S1" in on("cuts", "--history").out


def test_stock_says_whether_every_face_cleans_up(on: On) -> None:
    plain = json.loads(on("stock", "--round", "S1", "--json").out)
    assert all(one["cleans_up"] for one in plain["castings"])
    assert all([name for name, _ in one["targets"]] == ["A1", "A2", "A3"] for one in plain["castings"])
    assert on("stock", "--round", "S1", "--check").status == 0
    short = on("stock", "--round", "S1", "--required", "4,5", "--check")
    assert short.status == 1
    assert "Does not clean up" in short.out
    assert "whether a turn about X or Y or Z would help" in " ".join(short.out.split())  # held still, and why
    assert on("stock", "--required", "much").status == 2


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
    assert on_s1("first-article", "--round", "S1", "--to", str(path)).status == 0
    given = path.read_text("utf-8")
    assert json.loads(given)["identity"]["snapshot"]
    again = on_s1("first-article", "--again")
    assert again.status == 0
    assert again.out == given
    refused = on_s1("first-article", "--round", "S1", "--to", str(path))
    assert refused.status == 2
    assert "there already" in refused.err
    assert path.read_text("utf-8") == given


def test_what_went_to_the_customer_is_printed_again_without_causes_and_cuts(on_s1: On, tmp_path: Path) -> None:
    path = tmp_path / "customer.json"
    assert on_s1("first-article", "--round", "S1", "--customer", "--to", str(path)).status == 0
    given = path.read_text("utf-8")
    assert json.loads(given)["causes"] is None
    assert on_s1("first-article", "--again").out == given
    inside = on_s1("first-article", "--again", "--internal")
    assert json.loads(inside.out)["causes"]["found"]
    assert on_s1("first-article", "--round", "S1", "--to", str(tmp_path / "own.json")).status == 0
    assert json.loads(on_s1("first-article", "--again").out)["causes"]
    assert json.loads(on_s1("first-article", "--again", "--customer").out)["causes"] is None
    both = on_s1("first-article", "--again", "--customer", "--internal")
    assert both.status == 2
    assert "not allowed with" in both.err


def test_a_report_before_anything_was_measured_leaves_nothing_behind(cli: Run, shop, tmp_path: Path) -> None:
    from inspect_tui.shop.first_article.castings.put_right import open_round

    open_round(shop.record, find.job(shop.record, "PB-12"), "S1", ["C1"])
    shop.record.close()
    ran = cli("--record", str(shop.path), "first-article", "--to", str(tmp_path / "x.json"))
    assert ran.status == 2
    assert "has been measured yet" in ran.err
    assert not (tmp_path / "x.json").exists()


def test_cuts_are_taken_over_on_the_command_line(on_s1: On) -> None:
    listed = json.loads(on_s1("cuts", "--json").out)["cuts"]
    seat = next(one["number"] for one in listed if one["cause"] == "core 4 y")
    done = on_s1("cuts", "--accept", str(seat), "--by", "SL")
    assert done.status == 0
    assert "box 2" in done.out
    assert "taken over" in done.err
    blocked = next(one["number"] for one in listed if one["cause"] == "size F55")
    refused = on_s1("cuts", "--accept", str(blocked))
    assert refused.status == 2
    assert "measure F55 on box 4 first" in refused.err


# ------------------------------------------------------------------------------ import
def test_a_file_is_taken_in_with_its_columns_mapped(on_s1: On, tmp_path: Path) -> None:
    file = tmp_path / "s2.csv"
    file.write_text("Part no;Length one;F38\nS2-1;624,4;88,1\nS2-2;624,5;88,0\n", "utf-8")
    done = on_s1(
        "import",
        "readings",
        str(file),
        "--round",
        "S2",
        "--by",
        "IN",
        "--with",
        "caliper 1",
        "--map",
        "serial=Part no",
        "--map",
        "F01=Length one",
        "--poured",
        "2023-09-08",
        "--json",
    )
    assert done.status == 0, done.err
    assert json.loads(done.out)["readings"] == 4
    assert json.loads(done.out)["new_castings"] == ["S2-1", "S2-2"]
    again = on_s1("import", "readings", str(file), "--round", "S2", "--by", "IN", "--with", "caliper 1")
    assert again.status == 2
    assert "not taken twice" in again.err
    after = json.loads(on_s1("first-article", "--round", "S2", "--json").out)
    assert next(line for line in after["features"] if line["balloon"] == "F01")["n"] == 2


def test_a_file_that_is_wrong_says_line_by_line_why_and_leaves_nothing(on_s1: On, tmp_path: Path) -> None:
    file = tmp_path / "bad.csv"
    file.write_text("serial,feature,value\nS1-1,F99,1\nS1-1,F01,x\n", "utf-8")
    ran = on_s1("import", "readings", str(file), "--round", "S1", "--by", "IN", "--with", "caliper 1")
    assert ran.status == 2
    assert "line 2: F99" in ran.err
    assert "line 3, value" in ran.err
    assert ran.out == ""
    assert on_s1("import", "readings", str(file), "--map", "nonsense").status == 2


def test_the_record_is_only_read_by_commands_that_only_read(sampled: Path, on: On) -> None:
    before = sampled.read_bytes()
    for argv in (("first-article", "--json"), ("causes", "--json"), ("cuts", "--json"), ("stock", "--json")):
        assert on(*argv).status == 0
    assert sampled.read_bytes() == before
    with Record.open(sampled, read_only=True) as record:
        assert Sampling(record, find.job(record, None), pick_round(record, find.job(record, None), "S1")).anything
