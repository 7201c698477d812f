"""`gauge study` on files as other programs write them: units of the band, headings, people who are numbers."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.commands.conftest import Run
from tests.commands.test_gauge_study import HEAD, rows

NUMBERED = tuple(rows(people=("1", "2")))


def file(tmp_path: Path, head: str = HEAD, scale: float = 1.0) -> str:
    lines = [line.rpartition(",") for line in NUMBERED]
    path = tmp_path / "study.csv"
    path.write_text(head + "\n".join(f"{before},{float(value) * scale!r}" for before, _, value in lines))
    return str(path)


@pytest.mark.parametrize(
    ("head", "scale", "band", "mm"),
    [
        ("part,person,trial,value [mm]\n", 1.0, "0.5", 0.5),
        ("part,person,trial,value [in]\n", 1 / 25.4, "0.02", 0.508),
        ("part,person,trial,value [in]\n", 1 / 25.4, "0.508 mm", 0.508),
        ("part,person,trial,value\n", 1.0, "0.02 in", 0.508),
        ("part,person,trial,value [cm]\n", 0.1, "0,05", 0.5),
    ],
)
def test_the_band_is_told_in_mm(cli: Run, tmp_path: Path, head: str, scale: float, band: str, mm: float) -> None:
    path = file(tmp_path, head, scale)
    out = json.loads(cli("gauge", "study", path, "--band", band, "--json").out)
    assert out["band"] == pytest.approx(mm, rel=1e-12)
    assert out["anova"]["share_of_band"] == pytest.approx(6 * out["anova"]["combined"] / mm)
    assert f"Band: {mm:g} mm wide" in cli("gauge", "study", path, "--band", band).out


def test_the_help_says_what_the_band_is_in(cli: Run) -> None:
    told = " ".join(cli("gauge", "study", "--help").out.split())
    assert "in the unit of the heading of value" in told and "1.41 part / combined" in told and "d2*" in told


def test_a_band_is_not_passed_over_by_other_designs(cli: Run, tmp_path: Path) -> None:
    path = tmp_path / "bias.csv"
    path.write_text("reference,value\n25,25.01\n25,25.02\n25,25.03\n")
    ran = cli("gauge", "study", str(path), "--design", "bias", "--band", "0.5")
    assert ran.status == 2 and "takes no band" in ran.err


@pytest.mark.parametrize(
    ("head", "hints"),
    [
        ("part,person,trial,value_mm\n", ["Write value_mm as value [mm]."]),
        ("part,person,trial,Value in\n", ["Write Value in as value [in]."]),
        (
            "Part ID,Operator,trial,value\n",
            ["Is Part ID the part? Then call it part.", "Is Operator the person? Then call it person."],
        ),
        ("Sample,Appraiser,Repeat,Reading [mm]\n", ["Is Reading [mm] the value? Then call it value [mm]."]),
    ],
)
def test_headings_of_other_programs_are_recognised(cli: Run, tmp_path: Path, head: str, hints: list[str]) -> None:
    ran = cli("gauge", "study", file(tmp_path, head))
    assert ran.status == 2 and all(hint in ran.err for hint in hints), ran.err


def test_people_and_parts_that_are_numbers_are_called_so(cli: Run, tmp_path: Path) -> None:
    out = cli("gauge", "study", file(tmp_path)).out
    assert "1 person 1  2 person 2" in out
    assert any(line.startswith("part 1 ") for line in out.splitlines())
    path = tmp_path / "one.csv"
    path.write_text(HEAD + "\n".join(rows(people=("1",))))
    assert "Only person 1 measured: repeatability is known" in cli("gauge", "study", str(path)).out


def test_names_keep_their_letters(cli: Run, tmp_path: Path) -> None:
    path = tmp_path / "names.csv"
    path.write_text(
        HEAD
        + "\n".join(
            f"{p},{who},{t},{52 + p / 10 + (0.3 if who == 'ab' else 0.0) + 0.001 * ((p * 7 + t) % 3)}"
            for who in ("ab", "cd", "ef")
            for p in range(1, 6)
            for t in (1, 2)
        )
    )
    assert "\nab reads 0.3 higher" in cli("gauge", "study", str(path)).out
