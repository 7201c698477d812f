"""What all files that come in share: the summary, the name of a file, and that a form keeps to 80 columns."""

from __future__ import annotations

from typing import Any

import pytest

from inspect_tui.metrology.typed.fields import Wrong
from inspect_tui.tui.files.answers import AnswersFile
from inspect_tui.tui.files.counts import CountsFile
from inspect_tui.tui.files.flow import ODD, lines_of, named
from inspect_tui.tui.files.tools import ToolsFile, order

LABEL, ROOM = 16, 79 - 4 - 16 - 2  # of a form on 80 columns: its names, and what is left for a hint


def test_a_summary_has_a_title_a_line_each_and_what_is_asked() -> None:
    text = lines_of(
        "2 readings", [("tools", "box 3"), ("S4-1-C1 (new)", "W 1"), ("a-name-of-many-letters", "x")], ["why?"]
    )
    assert text.plain == (
        "2 readings\n\ntools         box 3\nS4-1-C1 (new) W 1\na-name-of-many-letters x\n" + ODD + "why?"
    )
    assert lines_of("t", [], []).plain == "t\n\n"


def test_a_file_has_a_name_and_days_an_order() -> None:
    assert named("a.csv") == "a.csv" and isinstance(named(""), Wrong)
    assert order("D/M/Y") == "d/m/y" and isinstance(order("dmy"), Wrong)


@pytest.mark.parametrize("flow", [ToolsFile, CountsFile, AnswersFile])
def test_hints_are_not_cut_on_80_columns(flow: Any) -> None:
    fields = flow.fields(flow.__new__(flow))
    assert fields[0].key == "file"
    assert {field.name: len(field.hint) for field in fields if len(field.name) >= LABEL or len(field.hint) > ROOM} == {}
