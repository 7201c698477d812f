"""Readings of a gauge study in a wrong unit are found, whoever wrote them; the band carries a unit of its own."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_tui.errors import DataError
from inspect_tui.shop.gauges import study_file, units
from inspect_tui.shop.gauges.units import StudyReading

PARTS, PEOPLE, TRIALS = 5, 3, 2
Scale = Callable[[int, int, int], float]


def text(scale: Scale = lambda part, person, trial: 1.0, value: Callable[[int, int, int], float] | None = None) -> str:
    """Five parts around 25 mm by three people, two trials; each value times `scale`."""
    lines = ["part,person,trial,value"]
    for i in range(1, PARTS + 1):
        for j in range(1, PEOPLE + 1):
            for t in range(1, TRIALS + 1):
                size = value(i, j, t) if value else 25 + 0.1 * i + 0.01 * j + 0.02 * ((i * 7 + j * 5 + t * 3) % 4)
                lines.append(f"{i},{j},{t},{size * scale(i, j, t):.6f}")
    return "\n".join(lines) + "\n"


def study(tmp_path: Path, made: str) -> tuple[str, ...]:
    path = tmp_path / "study.csv"
    path.write_text(made)
    return study_file.study(path)[2]


@given(st.lists(st.floats(25, 25.9), min_size=4, max_size=12), st.sampled_from([25.4, 10.0, 100.0, 1000.0]), st.data())
def test_any_reading_off_by_a_factor_is_found(values: list[float], factor: float, data: st.DataObject) -> None:
    at = data.draw(st.integers(0, len(values) - 1))
    cells = [StudyReading("1", "A", v / factor if i == at else v, i + 2) for i, v in enumerate(values)]
    with pytest.raises(DataError, match=f"line {at + 2} of f.csv"):
        units.check(cells, "f.csv")


# ------------------------------------------------------------------------------ the band
@pytest.mark.parametrize(
    ("typed", "heading", "mm"),
    [
        ("0.5", "", 0.5),
        ("0,5", "mm", 0.5),
        ("0.5 mm", "in", 0.5),
        ("0.02 in", "mm", 0.508),
        ("0.02", "in", 0.508),
        ('0.02"', "", 0.508),
        ("500um", "mm", 0.5),
        ("0.05", "cm", 0.5),
        ("20 thou", "", 0.508),
        ("1/64 in", "mm", 0.396875),
        ("1/64", "in", 0.396875),
    ],
)
def test_the_band_is_in_its_own_unit_or_that_of_the_heading(typed: str, heading: str, mm: float) -> None:
    assert units.band_width(typed, "length", heading) == pytest.approx(mm, rel=1e-12)


@pytest.mark.parametrize("typed", ["", "0", "-1", "wide", "nan", "0.5 kg", "1e200", "0.5 C", "1.2.3"])
def test_what_is_no_band_gets_a_sentence(typed: str) -> None:
    with pytest.raises(DataError, match="The band is the upper limit less the lower one"):
        units.band_width(typed)


@pytest.mark.parametrize(
    ("text", "heading", "mm"), [("0.02", "", 0.02), ("0.001", "in", 0.0254), ("1/64 in", "mm", 25.4 / 64)]
)
def test_what_a_gauge_reads_in(text: str, heading: str, mm: float) -> None:
    assert units.step(text, "length", heading) == pytest.approx(mm)
    for wrong in ("0", "-1", "fine"):
        with pytest.raises(DataError, match="The step is what the gauge reads in"):
            units.step(wrong)
