"""Tests of: the form that works out straightness, flatness or roundness while readings are typed."""

from __future__ import annotations

import pytest
from textual.pilot import Pilot

from inspect_tui.metrology.typed.fields import Wrong
from inspect_tui.metrology.typed.show import MM
from inspect_tui.shop.feature.form import FormView
from inspect_tui.tui.app import InspectApp
from inspect_tui.tui.feature import shape
from tests.tui.feature.test_screen import (
    bench_on_f1,
    measured,  # noqa: F401  a fixture
    ready,
    run,
    text_of,
)
from tests.worlds.measured import Measured

FACE = {"kind": "flatness", "readings": "0 0 0 1", "every": "2", "rows": "2", "limit": "0.4"}


def test_what_is_typed_is_worked_out() -> None:
    face = shape.read(FACE, MM)
    assert isinstance(face, FormView)
    assert face.width == pytest.approx(2**0.5 / 3)
    assert face.inside is False
    line = shape.read({**FACE, "kind": "straightness", "readings": "0; -0.02; 0", "limit": ""}, MM)
    assert isinstance(line, FormView)
    assert line.width == pytest.approx(0.02, rel=1e-3)
    bore = shape.read({**FACE, "kind": "roundness", "readings": "120.2 119.8", "every": "", "rows": ""}, MM)
    assert isinstance(bore, FormView)
    assert bore.width == pytest.approx(0.2)


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ({"kind": "square"}, "form"),
        ({"readings": "0 high"}, "Readings: "),
        ({"every": "0"}, "Every: "),
        ({"rows": "two"}, "Rows: "),
        ({"rows": "3"}, "do not make up 3 rows"),
        ({"limit": "wide"}, "Limit: "),
        ({"kind": "roundness", "readings": "-5 5"}, "Readings: "),
    ],
)
def test_what_cannot_be_worked_out_says_why(more: dict[str, str], words: str) -> None:
    wrong = shape.read({**FACE, **more}, MM)
    assert isinstance(wrong, Wrong)
    assert words in str(wrong)
    assert shape.so_far({**FACE, **more}, MM) == str(wrong)
    assert shape.so_far({**FACE, "readings": " "}, MM) == ""


def test_the_answer_stands_under_the_form_and_is_said_when_it_closes(measured: Measured) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        await pilot.press("ctrl+f")
        await ready(pilot, app)
        await pilot.press("t")
        await pilot.pause()
        await pilot.press("tab", *"0 0 0 1")
        await pilot.pause()
        assert "Flatness 0.5 mm" in shape.so_far(app.screen.values(), MM)  # type: ignore[attr-defined]
        for _ in range(4):
            await pilot.press("enter")
        await pilot.pause()
        assert "Flatness 0.5 mm (narrowest zone, of 4 readings" in text_of(app, "#say")

    run(bench_on_f1(measured), measured.shop, script)
