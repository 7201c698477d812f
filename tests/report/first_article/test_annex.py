"""The annex for the pattern shop: tool words, casting words, and reasons that many features have in common once."""

from __future__ import annotations

from typing import Any

from inspect_tui.report.first_article.annex import OFTEN, annex
from inspect_tui.report.first_article.forms import without_annex
from tests.worlds.report_samples import plain

PLAIN = plain(24, 3)


def shown(told: dict[str, Any]) -> dict[str, Any]:
    made = annex(told)
    assert made is not None
    return made


def test_without_causes_cuts_and_promises_there_is_no_annex() -> None:
    assert annex(without_annex(PLAIN)) is None


def test_a_cut_has_the_words_of_the_tool_and_those_of_the_casting() -> None:
    for cut, given in zip(shown(PLAIN)["cuts"]["cuts"], PLAIN["cuts"]["cuts"], strict=True):
        assert (cut["words"], cut["casting_words"]) == (given["words"], given["casting_words"])
        assert cut["change"].endswith(" mm") and cut["change"][0] in "+−0"
        assert cut["moves"] == ", ".join(given["moves"])


def test_only_features_that_move_are_forecast() -> None:
    given = [one["balloon"] for one in PLAIN["cuts"]["predicted"] if one["moves"]]
    assert [one["balloon"] for one in shown(PLAIN)["cuts"]["predicted"]] == given


def test_a_contraction_is_a_percentage_and_a_move_is_mm() -> None:
    causes = {one["name"]: one for one in shown(PLAIN)["causes"]["found"]}
    for given in PLAIN["causes"]["found"]:
        assert causes[given["name"]]["size"].endswith("%" if given["unit"] == "1" else given["unit"])


def test_a_reason_that_many_features_have_stands_once_with_all_of_them() -> None:
    told = {**PLAIN, "features": [{**line, "predicted": 80.0, "u_predicted": 0.1} for line in PLAIN["features"]]}
    for n, line in enumerate(told["features"]):
        line["predicted_from"] = "the plan alone" if n < OFTEN else f"stick {n}"
    made = shown(told)
    balloons = [line["balloon"] for line in told["features"]]
    assert made["not_predicted"] == [f"the plan alone: {', '.join(balloons[:OFTEN])}"]
    assert [line["balloon"] for line in made["predicted"]] == balloons[OFTEN:]
    assert made["predicted"][0]["u"] == "0.20"
