"""What the Feature place says, as text."""

from __future__ import annotations

import random
import re
from array import array

import pytest
from hypothesis import given
from hypothesis import strategies as st
from textual.pilot import Pilot

from inspect_tui.frozen import replace
from inspect_tui.metrology.typed.show import Style
from inspect_tui.model.words import Band
from inspect_tui.shop.common.tables.columns import Column
from inspect_tui.shop.feature.budget import of_repeats
from inspect_tui.shop.feature.findings import breakdown, findings, histogram
from inspect_tui.shop.feature.material import Material
from inspect_tui.shop.feature.view import view
from inspect_tui.tui.app import InspectApp
from inspect_tui.tui.feature import text
from inspect_tui.tui.feature.figures import Figures
from inspect_tui.tui.feature.text import BUDGET, HISTOGRAM, TELLS, WHO
from tests.tui.feature.test_screen import (
    bench_on_f1,
    choose,
    measured,  # noqa: F401  a fixture
    ready,
    run,
    text_of,
)
from tests.worlds.measured import Measured


def test_every_page_says_its_thing(measured: Measured) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        await pilot.press("ctrl+f")
        await ready(pilot, app)
        await choose(pilot, "o", "castings")
        await ready(pilot, app)
        await pilot.press("2")
        assert "All 5 inside the band" in text_of(app) and "counts on the right" in text_of(app)
        await pilot.press("3")
        who = text_of(app)
        assert "person" in who and "IN" in who and "lot" in who and "L2" in who and "casting" in who
        await pilot.press("4")
        rows = text_of(app)
        assert "5 readings, 0 not counted" in rows and "59.40  IN" in rows and "C5" in rows
        await pilot.press("5")
        await ready(pilot, app, "budget")
        budget = text_of(app)
        assert "casting C5 with caliper 1" in budget and "calibration" in budget and "U = 0.0" in budget
        await pilot.press("6")
        tells = text_of(app)
        assert "no capability is claimed" in tells and "they rest on" in tells
        await pilot.press("tab")
        assert "individuals" in text_of(app)
        await pilot.press("shift+tab")
        assert "they rest on" in text_of(app)

    run(bench_on_f1(measured), measured.shop, script)


DRAW = random.Random(11)
SIXTY = [round(DRAW.gauss(59.6, 0.05), 2) for _ in range(58)] + [60.6, 59.6]


@pytest.mark.parametrize("unit", ["mm", "deg"])
@pytest.mark.parametrize("kind", ["individuals", "ewma", "cusum"])
def test_whoever_reads_inches_reads_no_mm_on_any_page_and_angles_as_they_are(unit: str, kind: str) -> None:
    labels = {"person": ["AB", "CD"] * 30, "instrument": ["caliper 1"] * 60}
    material = Material(
        title="F1 width",
        where="stick 1",
        unit=unit,
        values=array("d", SIXTY),
        band=Band(59.3, 59.9, "drawing"),
        target=59.6,
        labels={name: list(values) for name, values in labels.items()},
    )
    inch, known = Style("in"), Figures()
    known.view, known.histogram = view(material, kind, style=inch), histogram(material)
    known.splits = [breakdown(material, by, inch) for by in labels]
    known.findings = findings(material, inch)
    column = Column(name="F1", unit=unit, values=array("d", SIXTY[:5]), rows=(), missing=0)
    known.budget = of_repeats(column, "a file", u95=0.03, k=2.0, resolution=0.01, style=inch)
    pages = [text.page(which, known, 100, inch).plain for which in (HISTOGRAM, WHO, BUDGET, TELLS)]
    pages.append(text.chart_page(known.view, 100, 30, 3, True, inch).plain)
    pages.append(text.point_words(known.view, 58, None, "2026-03-02", inch))
    for page in pages:
        assert "mm" not in {word.strip("():,;") for word in page.split()}
    assert bool(re.search(r"\b(59|60)\.\d", "\n".join(pages))) == (unit == "deg")
    assert "2.38" in pages[-1] or kind != "individuals" or unit == "deg"


@given(st.floats(-1e4, 1e4, allow_nan=False))
def test_a_raw_reading_keeps_two_to_four_decimals(value: float) -> None:
    whole, _, decimals = f"{value:z.4f}".rstrip("0").partition(".")
    assert text.plain_size(value) == f"{whole}.{decimals.ljust(2, '0')}"
    assert text.plain_size(59.66, Style("in")) == "2.3488"


def test_what_was_read_with_a_gauge_that_had_failed_is_marked(measured: Measured) -> None:
    readings = measured.on_tool([59.60, 59.61])
    rows = [measured.record.reading(reading.id) for reading in readings]
    shown = [row for row in rows if row is not None]
    plain = str(text.reading_rows(shown, None, {}, 80, "2026-03-10"))
    marked = str(text.reading_rows(shown, None, {}, 80, "2026-03-10", bad={shown[0].id})).splitlines()
    assert "✗" not in plain and "✗caliper 1" in marked[0] and "✗" not in marked[1]


def test_a_row_says_on_which_casting_and_what_was_asked_and_why_it_does_not_count(measured: Measured) -> None:
    readings = measured.on_castings([59.60, 59.61])
    kept = measured.record.append_reading(replace(readings[0], id=b"", value=59.62, slip="asked_kept"))
    measured.void(readings[1], "read upside down")
    shown = [row for r in (*readings, kept) if (row := measured.record.reading(r.id)) is not None]
    torn = replace(shown[0], out=True, contested=True, supersede=None)  # two benches answered, and nobody settled it
    names = {r.item_id: f"C{n}" for n, r in enumerate(readings, start=1) if r.item_id}
    lines = str(text.reading_rows([*shown, torn], kept.id, names, 100, "2026-03-10", frozenset({kept.id}))).splitlines()
    assert lines[0].startswith("  ") and lines[0].endswith("C1") and "59.60" in lines[0]
    assert lines[1].startswith(" ✕ ") and "C2" in lines[1] and lines[1].endswith("void: read upside down")
    assert lines[2].startswith("▶◆ ") and lines[2].endswith("C1  asked, kept as typed")
    assert lines[3].startswith(" ✕ ") and lines[3].endswith("contested: two answers, none settled")
