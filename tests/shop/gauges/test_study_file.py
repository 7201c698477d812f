"""Tests of: a gauge study from a plain CSV file."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from inspect_tui.errors import DataError
from inspect_tui.metrology.typed.show import Style
from inspect_tui.shop.gauges import study_file
from tests.shop.gauges.test_units import study, text


@pytest.mark.parametrize("factor", [25.4, 1 / 25.4, 10, 0.1, 100, 0.01, 1000, 0.001])
@pytest.mark.parametrize(
    ("whose", "say"),
    [
        (lambda i, j, t: (i, j, t) == (1, 1, 1), "line 2 of study.csv, the reading of person 1"),
        (lambda i, j, t: j == 1, "lines 2, 3, 8, 9, 14, 15, 20, 21 and 2 more of study.csv, readings of person 1"),
        (lambda i, j, t: j < 3, "readings of person 3"),  # two of three: the third differs from the rest
        (lambda i, j, t: (i, j) in ((2, 1), (4, 2)), "lines 8, 9, 22, 23 of study.csv, readings of person 1, person 2"),
    ],
)
def test_a_part_read_in_two_units_is_refused_with_the_lines(
    tmp_path: Path, factor: float, whose: Callable[[int, int, int], bool], say: str
) -> None:
    with pytest.raises(DataError) as wrong:
        study(tmp_path, text(lambda i, j, t: factor if whose(i, j, t) else 1.0))
    assert say in str(wrong.value) and "Write all values in one unit" in str(wrong.value)


def test_one_wild_reading_does_not_hide_a_person_in_inches(tmp_path: Path) -> None:
    def scale(i: int, j: int, t: int) -> float:
        return 3.0 if (j, t) == (2, 2) else (1 / 25.4 if j == 1 else 1.0)

    with pytest.raises(DataError, match="inches among mm"):
        study(tmp_path, text(scale))


def test_a_whole_part_off_by_a_unit_is_remarked_not_refused(tmp_path: Path) -> None:
    (remark,) = study(tmp_path, text(lambda i, j, t: 1 / 25.4 if i == 1 else 1.0))
    assert remark.startswith("Part 1 (0.99") and "25.4 times apart: inches among mm?" in remark
    assert "Parts may really differ, so nothing was changed." in remark


@pytest.mark.parametrize(
    "made",
    [
        text(),
        text(value=lambda i, j, t: 10.0 * i + 0.01 * j),  # parts that really differ
        text(value=lambda i, j, t: 0.013 * ((i * 5 + j * 7 + t * 3) % 11 - 5)),  # deviations about 0
        text(lambda i, j, t: 3.0 if (i, j, t) == (1, 1, 1) else 1.0),  # wild, and in no other unit
        text(value=lambda i, j, t: 0.0),
        # about 0 a reading ten times another is chance, as the other parts show
        text(value=lambda i, j, t: (0.1 if j == 1 else 0.01) if i == 1 else 0.01 * (i + 1.7 * j * j - 4.3 * t * j)),
    ],
)
def test_what_is_no_unit_is_left_alone(tmp_path: Path, made: str) -> None:
    assert study(tmp_path, made) == ()


def test_a_reading_off_its_reference_by_a_unit_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "line.csv"
    path.write_text("reference,value\n25,25.01\n25,25.02\n50,1.969\n50,50.01\n")
    with pytest.raises(DataError, match=r"line 4 of line.csv: 1.969 where the reference is 50, 25.4 times apart"):
        study_file.study(path, design="linearity")


def test_an_angle_has_a_band_in_degrees(tmp_path: Path) -> None:
    path = tmp_path / "angle.csv"
    path.write_text(text().replace("value", "value [deg]"))
    result, unit, _ = study_file.study(path, "0.5")
    assert (result.band, unit) == (0.5, "deg")
    with pytest.raises(DataError, match="The band is"):
        study_file.study(path, "0.5 mm")


@pytest.mark.parametrize(
    ("head", "unit", "bias", "people"),
    [
        # 1.8 thou on the mean of five, 0.02 mm = 0.000787 in between people: by 25.4 mm to the inch
        ("value [mm]", "mm", "0.0018", "0.000787"),
        ("value [deg]", "deg", "0.0457", "0.02"),  # degrees are degrees for everybody
        ("value", "", "0.0457", "0.02"),  # nobody said that these are mm
    ],
)
def test_a_study_is_said_in_inches_only_where_it_is_one_of_lengths(
    tmp_path: Path, head: str, unit: str, bias: str, people: str
) -> None:
    inches, path = Style("in"), tmp_path / "study.csv"
    offs = (0.0254, 0.0508, 0.0762, 0.0254, 0.0508)
    path.write_text(f"reference,{head}\n" + "".join(f"25.4,{25.4 + off}\n" for off in offs))
    result, own, _ = study_file.study(path, None, "bias", inches)
    assert own == unit
    assert result.bias.sentence.startswith(f"reads {bias} high")
    lines = [f"part,person,trial,{head}"]
    for part in range(5):
        for trial in (1, 2, 3):
            size = 25.4 + 0.5 * part + 0.0254 * trial
            lines += [f"{part},A,{trial},{size}", f"{part},B,{trial},{size + 0.02}"]
    path.write_text("\n".join(lines))
    result, _, _ = study_file.study(path, style=inches)
    assert result.crossed.sentences[0].startswith(f"A reads {people} lower than B")
