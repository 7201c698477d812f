"""JSON is printed whole or not at all."""

from __future__ import annotations

import json

import pytest

from inspect_tui.commands.common import print_json
from inspect_tui.errors import DataError


@pytest.mark.parametrize("wrong", [float("nan"), float("inf")])
def test_a_result_that_is_no_json_leaves_nothing_on_stdout(wrong: float, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(DataError, match="not finite"):
        print_json({"fine": 1.0, "later": [1, 2, wrong]})
    assert capsys.readouterr().out == ""


def test_every_figure_is_whole(capsys: pytest.CaptureFixture[str]) -> None:
    print_json({"µ": 0.1 + 0.2})
    assert json.loads(capsys.readouterr().out) == {"µ": 0.30000000000000004}
