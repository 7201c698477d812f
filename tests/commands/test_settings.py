"""`inspect-tui settings`, and `--show` before it."""

from __future__ import annotations

import json

from inspect_tui.shop.settings import file
from tests.commands.conftest import Run


def test_listed_set_and_unset(cli: Run) -> None:
    assert cli("settings", "path").out == f"{file.path()}\n"
    assert cli("settings", "set", "show.style", "inch").out == "show.style is inch\n"
    assert cli("settings", "set", "people.B1", "fraction").status == 0
    listed = cli("settings")
    assert listed.status == 0 and "show.style" in listed.out and str(file.path()) in listed.err
    told = json.loads(cli("settings", "list", "--json").out)
    assert (
        told["settings"]["show.style"] == "inch" and told["settings"]["people.B1"] == "fraction" and told["wrong"] == []
    )
    assert cli("settings", "unset", "show.style").out == "show.style is mm\n"


def test_wrong_words_are_refused_and_a_wrong_file_is_told(cli: Run) -> None:
    ran = cli("settings", "set", "show.style", "yards")
    assert ran.status == 2 and "it may be mm, inch, fraction" in ran.err
    file.path().parent.mkdir(parents=True, exist_ok=True)
    file.path().write_text('[show]\nstyle = "yards"\n', "utf-8")
    ran = cli("settings")
    assert ran.status == 1 and ran.err.count("show.style is 'yards'") == 1
    ran = cli("settings", "--json")
    assert ran.status == 1 and json.loads(ran.out)["wrong"] and ran.err.count("yards") == 1


def test_a_key_is_listed_by_its_id_and_one_that_cannot_be_is_told(cli: Run) -> None:
    assert cli("settings", "set", "keys.bench.skip", "5").err.startswith(
        "inspect-tui: keys.bench.skip = 5: 5 is typed into"
    )
    cli("settings", "set", "keys.bench.skip", "f11")
    told = {key["id"]: key["keys"] for key in json.loads(cli("settings", "keys", "--json").out)}
    assert told["bench.skip"] == "f11" and told["place.help"] == "f1,question_mark" and len(told) > 100


def test_style_comes_from_the_option_else_the_settings(cli: Run) -> None:
    mm = cli("size", "100", "--contraction", "1 %").out
    assert " mm" in mm
    assert " in" in cli("size", "100 mm", "--contraction", "1 %", "--show", "in").out
    cli("settings", "set", "show.style", "inch")
    assert " in" in cli("size", "100 mm", "--contraction", "1 %").out
    assert cli("size", "100", "--contraction", "1 %", "--show", "mm").out == mm
    tool = json.loads(cli("size", "100 mm", "--contraction", "1 %", "--json").out)
    assert any(abs(value - 101.0) < 1e-6 for value in tool.values() if isinstance(value, float))
