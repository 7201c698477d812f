"""One size through the chain without a record: worked by hand, there and back, and what cannot be understood."""

from __future__ import annotations

import pytest

from inspect_tui.errors import DataError
from inspect_tui.metrology.typed.show import Style
from inspect_tui.shop.jobs.file.plan import PLAN_U
from inspect_tui.shop.jobs.one_size import OneSize, size
from inspect_tui.todo import Todo


def worked(text: str, **how) -> OneSize:
    worked_out = size(text, **how)
    assert isinstance(worked_out, OneSize), worked_out
    return worked_out


def test_an_inside_size_loses_its_stock_before_it_grows() -> None:
    # 62.00 finished, 1.5 a side inside -> 59.00 as cast -> 59.00 x 1.010 = 59.59
    worked_out = worked("62", contraction_text="1.0 %", stock_text="1.5", inside=True)
    assert (worked_out.finished_mm, worked_out.cast_mm, worked_out.stock_mm) == (62.0, 59.0, -3.0)
    assert worked_out.tool_mm == pytest.approx(59.59)
    assert worked_out.u_mm == pytest.approx(59.0 * PLAN_U)
    assert worked_out.status == "stated" and "stated: 1.0 %" in worked_out.source
    outside = worked("62", contraction_text="1.0 %", stock_text="1.5")
    assert outside.cast_mm == 65.0 and outside.tool_mm == pytest.approx(65.65)


def test_a_tool_size_goes_the_same_way_back() -> None:
    back = worked("59.59", contraction_text="1.0 %", stock_text="1.5", inside=True, from_tool=True)
    assert (back.finished_mm, back.cast_mm) == (pytest.approx(62.0), pytest.approx(59.0))
    assert back.tool_mm == 59.59
    assert back.u_mm == pytest.approx(59.0 / 1.01 * PLAN_U, rel=1e-6)  # d(t/(1+a))/da = -t/(1+a)2


def test_an_alloy_brings_its_handbook_and_the_others_beside_it() -> None:
    worked_out = worked("300", alloy="grey iron")
    assert worked_out.tool_mm == pytest.approx(300 * (1 + worked_out.a)) and 0.005 < worked_out.a < 0.015
    assert worked_out.source and (worked_out.a, worked_out.source) not in [(o.a, o.source) for o in worked_out.others]


@pytest.mark.parametrize(
    ("text", "how", "said"),
    [
        ("abc", {"alloy": "grey iron"}, "abc"),
        ("", {"alloy": "grey iron"}, ""),
        ("-5", {"alloy": "grey iron"}, ""),
        ("62", {"alloy": "unobtainium"}, "unobtainium"),
        ("62", {"contraction_text": "wide"}, "wide"),
        ("62", {"contraction_text": "1 %", "stock_text": "much"}, "stock: "),
        ("2", {"contraction_text": "1 %", "stock_text": "1", "inside": True}, "2 mm of stock leaves nothing of 2 mm"),
    ],
)
def test_what_cannot_be_worked_out_is_a_sentence(text: str, how: dict[str, object], said: str) -> None:
    worked_out = size(text, **how)  # type: ignore[arg-type]
    assert isinstance(worked_out, str) and worked_out and said in worked_out


def test_without_alloy_and_contraction_there_is_nothing_to_work_with() -> None:
    with pytest.raises(DataError) as raised:
        size("62")
    assert raised.value.todo is Todo.GIVE_CONTRACTION


def test_what_is_refused_is_said_in_inches_to_whom_reads_inches() -> None:
    inches = Style("in")
    said = size("2 in", contraction_text="1 %", stock_text="1 in", inside=True, style=inches)
    assert said == "2 in of stock leaves nothing of 2 in: an inside size must be larger than its stock."
    told = size("2", contraction_text="1 %", style=Style(mark=","))
    assert isinstance(told, OneSize) and "its uncertainty, 0,15 %, is a judgement" in told.source
