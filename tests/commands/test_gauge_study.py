"""`gauge study`: a published study comes out by both methods, and a file that cannot be worked out says why."""

from __future__ import annotations

import json
from pathlib import Path
from shutil import copyfile
from typing import Any

import pytest

from tests.commands.conftest import Run
from tests.published.stats_data import load

DEMO = Path(__file__).parents[2] / "demo.db"
HEAD = "part,person,trial,value\n"


def csv_of(data: dict[str, Any], separator: str = ",", comma: bool = False) -> str:
    """The published readings as a file would hold them; columns in another order, with one more."""
    lines = [separator.join(["trial", "note", "value", "person", "part"])]
    for person, trials in data["readings"].items():
        for trial, values in trials.items():
            for part, value in enumerate(values, 1):
                shown = f"{value:.1f}".replace(".", ",") if comma else f"{value}"
                lines.append(separator.join([trial, "x", shown, person, str(part)]))
    return "\n".join(lines) + "\n"


@pytest.fixture
def published(tmp_path: Path) -> tuple[Path, dict[str, Any]]:
    check = load("g_grr_impedance")
    path = tmp_path / "impedance.csv"
    path.write_text(csv_of(check["data"]))
    return path, check["expected"]


def test_a_published_study_comes_out_by_both_methods(cli: Run, published: tuple[Path, dict[str, Any]]) -> None:
    """Houf and Berman (1988); variances in Burdick, Borror and Montgomery (2003), J. Quality Technology 35."""
    path, expected = published
    ran = cli("gauge", "study", str(path), "--band", "8", "--json")
    assert ran.status == 0, ran.err
    out = json.loads(ran.out)
    anova, ranges = out["anova"], out["range"]
    # the published variances carry four figures
    assert anova["repeatability"] ** 2 == pytest.approx(expected["full_var_repeatability"], rel=2e-4)
    assert anova["part"] ** 2 == pytest.approx(expected["full_var_part"], rel=2e-4)
    assert anova["combined"] == pytest.approx(expected["full_GRR"], rel=2e-4)
    assert anova["percent_of_total"] == pytest.approx(expected["full_pct_GRR"], rel=2e-4)
    assert anova["combined"] ** 2 == pytest.approx(anova["repeatability"] ** 2 + anova["reproducibility"] ** 2)
    assert anova["total"] ** 2 == pytest.approx(anova["combined"] ** 2 + anova["part"] ** 2)
    # rounded factors stand in the source: 1 in 10^4
    for name, key in (
        ("repeatability", "EV"),
        ("reproducibility", "AV"),
        ("combined", "GRR"),
        ("part", "PV"),
        ("total", "TV"),
        ("percent_of_total", "pct_GRR"),
    ):
        assert ranges[name] == pytest.approx(expected[key], rel=2.5e-4), name
    assert ranges["distinct_categories"] == expected["ndc"]
    assert (out["people"], out["trials"], len(out["parts"])) == (["operator1", "operator2", "operator3"], 3, 10)
    assert anova["share_of_band"] == pytest.approx(6 * anova["combined"] / 8)
    assert len(repr(anova["repeatability"])) > 14  # nothing rounded


@pytest.mark.parametrize(("separator", "comma"), [(";", True), ("\t", False), (";", False)])
def test_semicolons_tabs_and_decimal_commas_give_the_same(
    cli: Run, tmp_path: Path, published: tuple[Path, dict[str, Any]], separator: str, comma: bool
) -> None:
    other = tmp_path / "other.csv"
    other.write_text(csv_of(load("g_grr_impedance")["data"], separator, comma))
    plain = json.loads(cli("gauge", "study", str(published[0]), "--json").out)
    same = json.loads(cli("gauge", "study", str(other), "--json").out)
    assert same["anova"]["repeatability"] == pytest.approx(plain["anova"]["repeatability"], rel=1e-12)


def test_people_read_tables_and_pictures(cli: Run, published: tuple[Path, dict[str, Any]]) -> None:
    ran = cli("gauge", "study", str(published[0]))
    for word in (
        "repeatability",
        "groups told apart",
        "off the mean of each piece",
        "where the spread is from",
        "of the total spread",
        "Holds for: normal readings",
        "1.41 part / combined",
        "d2*",
    ):
        assert word in ran.out
    assert all(len(line) <= 100 for line in ran.out.partition("The measuring makes")[0].splitlines())


def rows(parts: int = 3, people: tuple[str, ...] = ("A", "B"), trials: int = 2) -> list[str]:
    return [
        f"{p},{who},{t},{52 + p / 10 + 0.013 * ((p * 7 + t * 3 + len(who) * n) % 5):.3f}"
        for n, who in enumerate(people)
        for p in range(1, parts + 1)
        for t in range(1, trials + 1)
    ]


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("", "is empty"),
        (HEAD, "headings and no readings"),
        ("part,person,value\n1,A,5\n", "no column trial; a study needs part, person, trial and value. Its columns are"),
        ("a;b\n1;2\n", "no column part and no column person"),
        (HEAD + "1,A,1,nan\n", "line 2 of study.csv: nan under value is not a size"),
        (HEAD + "1,A,1,about 5\n", "line 2 of study.csv"),
        (HEAD + "1,A,1,52.1 mm\n", "carries a unit of its own"),
        (HEAD + "1,,1,52.1\n", "line 2 of study.csv has a value and no person: say which."),
        (HEAD + "\n".join([*rows(), "1,A,1,52.9"]), "lines 2 and 14 of study.csv are both part 1, A, trial 1"),
        (HEAD + "\n".join(rows()[:-1]), "not balanced: readings lack for part 3 by B (1 of 2)"),
        (
            HEAD + "\n".join([*rows()[:-1], "3,B,2,"]),
            "One cell under value is empty and was left out, not counted as 0.",
        ),
        (HEAD + "\n".join([*rows()[:-1], "3,B,2,2.061"]), "inches among mm?"),
        ("part,person,trial,value [kg]\n" + "\n".join(rows()), "is in kg: a study of sizes needs mm"),
        (HEAD + "1,A,1,52.1\n2,A,1,52.2\n", "nothing was measured twice by one person"),
    ],
)
def test_a_file_that_cannot_be_worked_out_says_why(cli: Run, tmp_path: Path, text: str, sentence: str) -> None:
    path = tmp_path / "study.csv"
    path.write_text(text)
    ran = cli("gauge", "study", str(path), "--json")
    assert (ran.status, ran.out) == (2, "")
    assert sentence in ran.err, ran.err


@pytest.mark.parametrize(
    ("made", "unknown", "sentence"),
    [
        (
            rows(people=("A",)),
            "reproducibility",
            "only A measured: repeatability is known, differences between people are not",
        ),
        (rows(parts=1), "part", "only part 1 was measured"),
        (rows(trials=1), "", "every part was read once by each"),
    ],
)
def test_one_person_one_part_or_one_trial_say_what_cannot_be_known(
    cli: Run, tmp_path: Path, made: list[str], unknown: str, sentence: str
) -> None:
    path = tmp_path / "study.csv"
    path.write_text(HEAD + "\n".join(made))
    ran = cli("gauge", "study", str(path), "--json")
    out = json.loads(ran.out)
    assert ran.status == 0 and any(sentence in said for said in out["sentences"])
    assert out["anova"]["repeatability"] > 0
    if unknown:
        assert out["anova"][unknown] is None
    else:
        assert out["range"] is None  # without repeats there are no ranges


def test_a_heading_may_say_inches(cli: Run, tmp_path: Path) -> None:
    mm, inch = tmp_path / "mm.csv", tmp_path / "inch.csv"
    mm.write_text(HEAD + "\n".join(rows()))
    inch.write_text(
        HEAD.replace("value", "value (in)")
        + "\n".join(",".join([*line.split(",")[:3], repr(float(line.split(",")[3]) / 25.4)]) for line in rows())
    )
    one, other = (json.loads(cli("gauge", "study", str(p), "--json").out) for p in (mm, inch))
    assert other["unit"] == "mm"
    assert other["anova"]["total"] == pytest.approx(one["anova"]["total"], rel=1e-9)


@pytest.mark.parametrize("band", ["0", "-1", "wide", "nan", "inf"])
def test_a_band_that_is_none_is_refused(cli: Run, tmp_path: Path, band: str) -> None:
    path = tmp_path / "study.csv"
    path.write_text(HEAD + "\n".join(rows()))
    ran = cli("gauge", "study", str(path), f"--band={band}")
    assert ran.status == 2 and "The band is the upper limit less the lower one" in ran.err


def test_linearity_and_bias_from_a_file(cli: Run, tmp_path: Path) -> None:
    check = load("g_linearity")
    path = tmp_path / "linearity.csv"
    cells = zip(check["data"]["reference"], check["data"]["readings"], strict=True)
    path.write_text("reference,value\n" + "".join(f"{r},{v}\n" for r, values in cells for v in values))
    out = json.loads(cli("gauge", "study", str(path), "--design", "linearity", "--json").out)
    expected = check["expected"]
    assert out["linearity"]["slope"] == pytest.approx(expected["slope"], abs=5e-5)
    assert out["linearity"]["intercept"] == pytest.approx(expected["intercept"], abs=5e-5)
    path.write_text("reference,value\n" + "25,25.03\n25,25.02\n25,25.04\n")
    ran = cli("gauge", "study", str(path), "--design", "bias", "--json")
    assert json.loads(ran.out)["bias"]["bias"] == pytest.approx(0.03)
    ran = cli("gauge", "study", str(path), "--design", "linearity")
    assert ran.status == 2 and "two different references" in ran.err
    path.write_text("value\n25\n")
    assert "no column reference" in cli("gauge", "study", str(path), "--design", "stability").err


def test_a_file_or_a_title_is_wanted_not_both(cli: Run, tmp_path: Path) -> None:
    assert cli("gauge", "study").status == 2
    assert cli("gauge", "study", "x.csv", "--of", "G1").status == 2
    assert "There is no file" in cli("gauge", "study", str(tmp_path / "none.csv")).err


def test_one_reading_of_72_may_lack_and_the_interaction_is_shown(cli: Run, tmp_path: Path) -> None:
    path = tmp_path / "study.csv"
    path.write_text(HEAD + "\n".join(rows(12, ("A", "B"), 3)[:-1]) + "\n")
    ran = cli("gauge", "study", str(path), "--band", "1")
    assert ran.status == 0, ran.err
    assert "1 of 72 readings lacks" in ran.out
    assert "of it interaction" in ran.out
    out = json.loads(cli("gauge", "study", str(path), "--json").out)
    assert (out["lacking"], out["range"]) == (1, None)
    assert out["interaction_p"] is not None


def test_of_equal_readings_no_interaction_is_seen_and_no_chance_is_said(cli: Run, tmp_path: Path) -> None:
    path = tmp_path / "study.csv"
    cells = [f"{part},{person},{t},20.0" for part in range(1, 6) for person in "AB" for t in (1, 2)]
    path.write_text(HEAD + "\n".join(cells) + "\n")
    (line,) = [line for line in cli("gauge", "study", str(path)).out.splitlines() if "of it interaction" in line]
    assert line.split()[-3:] == ["0.0000", "none", "seen"]


def test_steps_as_wide_as_the_band_give_no_verdict(cli: Run, tmp_path: Path) -> None:
    path = tmp_path / "study.csv"
    path.write_text(HEAD + "\n".join(f"{p},{who},{t},{50 + p}" for p in range(1, 6) for who in "AB" for t in (1, 2)))
    ran = cli("gauge", "study", str(path), "--band", "0.5")
    assert "No verdict: the gauge reads in steps of 1, and the band is 0.5 wide" in ran.out
    assert "good" not in ran.out
    stated = json.loads(cli("gauge", "study", str(path), "--band", "0.5", "--step", "0.01", "--json").out)
    assert stated["step"] == 0.01
    assert stated["at_the_step"]
    assert stated["anova"]["share_of_band"] == pytest.approx(6 * 0.01 / 12**0.5 / 0.5)
    for wrong in ("0", "wide"):
        assert "The step is what the gauge reads in" in cli("gauge", "study", str(path), "--step", wrong).err


def test_the_readings_of_a_study_are_written_and_give_the_same_study_again(cli: Run, tmp_path: Path) -> None:
    copyfile(DEMO, tmp_path / "shop.db")
    at, out = ("--record", str(tmp_path / "shop.db")), tmp_path / "g1.csv"
    written = cli("gauge", "study", "--of", "G1", "--to", str(out), *at)
    assert written.status == 0 and written.out.startswith("90 readings of G1")
    again = json.loads(cli("gauge", "study", str(out), "--json").out)
    of_record = json.loads(cli("gauge", "study", "--of", "G1", "--json", *at).out)
    share = {"share_of_band"}  # a table knows no band
    assert {k: v for k, v in again["anova"].items() if k not in share} == {
        k: v for k, v in of_record["anova"].items() if k not in share
    }
    assert again["people"] == of_record["people"]
    assert cli("gauge", "study", "--of", "G1", "--to", str(out), *at).status == 2  # it is there already
    assert "--of TITLE" in cli("gauge", "study", "x.csv", "--to", str(out)).err
