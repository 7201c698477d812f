"""Tests of: repairs, tools taken out of use and back, and agreed limits of wear."""

from __future__ import annotations

import pytest

from inspect_tui.metrology.typed.show import Style
from inspect_tui.model.trends import ToolRepair, ToolState, WearLimit
from inspect_tui.shop.trends.counts import repairs, tools_in_use
from tests.shop.trends.counts.test_counter import (
    TODAY,
    repair,
    worn,  # noqa: F401  a fixture
)
from tests.worlds.worn_box import WornBox

INCH = Style("in")


def test_a_repair_is_read_with_its_size_amount_and_count(worn: WornBox) -> None:
    worn.go("2025-01-01")
    repaired = repair(
        worn, action="new insert", feature="W", amount="0.3", done_on="2025-03-01", at_count="9 000", who="JM"
    )
    one = repaired.thing
    assert one is not None and not repaired.wrong
    assert (one.action, one.amount_mm, one.at_count, one.who) == ("new_insert", 0.3, 9000, "JM")  # type: ignore[union-attr]
    assert repairs.repair_words(one, "W") == "new insert (W, 0.30 mm) by JM: lined"  # type: ignore[arg-type]


def test_a_repair_before_the_tool_existed_is_asked_about(worn: WornBox) -> None:
    repaired = repair(worn, done_on="2019-05-01")
    assert repaired.thing is not None
    assert repaired.asks == (
        "box 1 came into the record on 2024-01-01, after this repair of 2019-05-01: is the day right? Keep it if the tool "
        "is older than the record.",
    )


def test_a_second_repair_of_the_same_day_is_asked_about_and_both_are_kept(worn: WornBox) -> None:
    worn.repair("2025-03-01")
    repaired = repair(worn, what="face B too", done_on="2025-03-01")
    assert repaired.asks == (
        "a repair is entered for box 1 on 2025-03-01 already (lined). Both are kept; the wear line begins once after them.",
    )
    worn.record.add(repaired.thing, worn.ab.id)
    assert len(worn.record.tool_repairs(worn.box.of_id)) == 2


def test_a_repair_of_a_seat_names_the_core_that_sits_in_it(worn: WornBox) -> None:
    values = {"what": "lined", "action": "line", "feature": "S", "done_on": "2025-03-01"}
    one = repairs.read_repair(worn.record, worn.job, worn.box2, values, TODAY).thing
    assert one is not None and one.core_id == worn.core.id  # type: ignore[union-attr]


@pytest.mark.parametrize(
    ("values", "sentence"),
    [
        ({"what": " "}, "what was done"),
        ({"action": "polish"}, "the kind is one of"),
        ({"done_on": "May"}, "May is no day"),
        ({"done_on": "2026-01-01"}, "still to come"),
        ({"feature": "L"}, "L is not measured on box 1"),
        ({"feature": "F99"}, "F99 is not on"),
        ({"amount": "a bit"}, "amount:"),
        ({"at_count": "many"}, "whole number"),
    ],
)
def test_what_cannot_be_a_repair_is_refused_with_a_sentence(
    worn: WornBox, values: dict[str, str], sentence: str
) -> None:
    repaired = repair(worn, **values)
    assert repaired.thing is None and sentence in repaired.wrong


def test_a_tool_is_retired_once_and_revived_only_then(worn: WornBox) -> None:
    def state(name: str, on: str = "2025-03-01") -> repairs.EnteredUpkeep:
        return repairs.read_state(worn.record, worn.box, {"state": name, "since_on": on}, TODAY)

    assert "only a retired tool is revived" in state("revived").wrong
    worn.record.add(state("retired").thing, worn.ab.id)
    assert "out of use since 2025-03-01 already" in state("retired").wrong
    assert "retired on 2025-03-01, after 2025-02-01" in state("revived", "2025-02-01").asks[0]
    assert "out of use" in repair(worn, done_on="2025-04-01").asks[0]
    worn.record.add(state("revived", "2025-05-01").thing, worn.ab.id)
    assert tools_in_use.retired_tools(worn.record) == {}
    assert "in_use" in state("sold").wrong and "to come" in state("retired", "2030-01-01").wrong
    assert isinstance(state("retired").thing, ToolState)


def test_an_agreed_limit_needs_a_size_a_figure_and_a_reason(worn: WornBox) -> None:
    def limit(**values: str) -> repairs.EnteredUpkeep:
        return repairs.read_limit(worn.record, worn.job, worn.box, {"feature": "W", "why": "agreed", **values})

    assert limit(upper="81.1").thing is not None
    for values, sentence in (
        ({}, "lower or an upper"),
        ({"upper": "x"}, "upper:"),
        ({"upper": "80", "lower": "81"}, "above upper"),
        ({"upper": "81", "why": ""}, "who agreed it"),
        ({"feature": "", "upper": "81"}, "which feature"),
    ):
        assert sentence in limit(**values).wrong, values


def test_who_reads_in_inches_is_asked_for_inches_and_types_them(worn: WornBox) -> None:
    asked = dict([*repairs.repair_fields(INCH), *repairs.limit_fields(INCH)])
    assert ", in;" in asked["amount"] and ", in;" in asked["lower"] and ", in;" in asked["upper"]
    assert ", mm;" in dict(repairs.repair_fields())["amount"] and ", mm;" in dict(repairs.limit_fields())["upper"]
    values = {"what": "lined", "action": "line", "amount": "0.01", "done_on": "2025-03-01"}
    lined = repairs.read_repair(worn.record, worn.job, worn.box, values, TODAY, INCH).thing
    assert isinstance(lined, ToolRepair) and lined.amount_mm == pytest.approx(0.254)
    assert repairs.repair_words(lined, "W", INCH) == "lined (W, 0.0100 in): lined"
    limits = {"feature": "W", "upper": "3.2", "why": "agreed"}
    agreed = repairs.read_limit(worn.record, worn.job, worn.box, limits, INCH).thing
    assert isinstance(agreed, WearLimit) and agreed.upper == pytest.approx(81.28)
    crossed = repairs.read_limit(worn.record, worn.job, worn.box, {**limits, "lower": "82 mm"}, INCH).wrong
    assert crossed == "lower 3.2283 is above upper 3.2."
    assert "limit, in at the tool" in repairs.read_limit(worn.record, worn.job, worn.box, {"feature": "W"}, INCH).wrong
