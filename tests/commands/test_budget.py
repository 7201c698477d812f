"""`budget`: the published budget of an end gauge from a file of lines; repeats in a file; a feature of the record."""

from __future__ import annotations

import json
from math import sqrt
from pathlib import Path

import pytest

from tests.commands.conftest import Run
from tests.commands.test_stats import write
from tests.conftest import SmallShop
from tests.published.stats_data import load


def test_the_end_gauge_of_the_guide(cli: Run, tmp_path: Path) -> None:
    """JCGM 100:2008, H.1: u_c 32 nm, 16 effective degrees of freedom, k 2.92 and U 93 nm at 99 %."""
    check = load("h_gum_h1")
    rows = ["name,u,sensitivity,dof"]
    for line in check["data"]["inputs"]:
        if line["c"]:
            rows.append(f"{line['name']},{line['u']!r},{line['c']!r},{line['dof'] or ''}")
    file = write(tmp_path, "\n".join(rows))
    got = json.loads(cli("budget", "--csv", file, "--coverage", "0.99", "--json").out)
    expected = check["expected"]
    assert got["u"] == pytest.approx(expected["u_c"], abs=0.5)
    assert int(got["dof"]) == expected["nu_used"]
    assert got["k"] == pytest.approx(expected["k99"], abs=0.005)
    assert got["U"] == pytest.approx(expected["U99"], abs=1.0)
    by_name = {row["name"]: row for row in got["lines"]}
    assert by_name["delta theta"]["u"] == pytest.approx(expected["u_dtheta"], abs=0.05)
    assert by_name["delta alpha"]["u"] == pytest.approx(expected["u_dalpha"], abs=0.05)
    assert sum(row["share"] for row in got["lines"]) == pytest.approx(1)


def test_the_table_names_every_source(cli: Run, tmp_path: Path) -> None:
    file = write(tmp_path, "name,u,dof,how\nblock,0.02,,certificate\nrepeats,0.01,9,ten readings\n")
    out = cli("budget", "--csv", file).out
    for word in ("source", "dof", "share", "block", "80 %", "20 %", "certificate", "ten readings", "U = 0.04"):
        assert word in out


def test_a_column_of_repeats(cli: Run, tmp_path: Path) -> None:
    file = write(tmp_path, "nr;width [in]\n1;0,500\n2;0,502\n3;0,501\n")
    argv = ["budget", "--csv", file, "--column", "width", "--unit", "mm", "--u95", "0.02", "--k", "2"]
    got = json.loads(cli(*argv, "--json").out)
    assert got["value"] == pytest.approx(0.501 * 25.4) and got["unit"] == "mm" and got["n"] == 3
    assert got["u"] == pytest.approx(sqrt(0.01**2 + (0.001 * 25.4) ** 2 / 3))
    assert any("given in mm" in remark for remark in got["remarks"])


def test_a_feature_on_a_tool_with_an_instrument(shop: SmallShop, on_shop: Run) -> None:
    """Certificate U 0.04 at k 2, steps of 0.01 mm."""
    got = json.loads(on_shop("budget", "--on", "stick 1", "F1", "--with", "caliper 1", "--json").out)
    assert got["u"] == pytest.approx(sqrt(0.02**2 + 0.01**2 / 12))
    assert got["dof"] is None and got["value"] is None and got["instrument"] == "caliper 1"
    assert [row["name"] for row in got["lines"]] == ["calibration", "resolution"]
    assert all(row["dof"] is None for row in got["lines"])


def test_a_mean_of_several_and_a_warm_piece(shop: SmallShop, on_shop: Run) -> None:
    ran = on_shop("budget", "--on", "stick 1", "F1", "--with", "caliper 1", "--repeats", "3", "--temperature", "35")
    assert ran.status == 0 and "of the mean of 3 readings" in ran.out


@pytest.mark.parametrize(
    ("argv", "say"),
    [
        (
            ["--on", "stick 1", "F1"],
            "There are several instruments: caliper 1, caliper 2, inch caliper, rule 5/32. Give an instrument (--with).",
        ),
        (["--on", "stick 1", "F1", "--with", "laser"], "There is no instrument 'laser'"),
        (["F1", "--with", "caliper 1"], "Say what is measured"),
        (["--on", "stick 1", "F1", "--with", "caliper 1", "--temperature", "hot"], "hot"),
        (["--on", "stick 1", "F1", "--with", "caliper 1", "--repeats", "0"], "A mean of 0 readings cannot be planned"),
    ],
)
def test_what_the_record_cannot_answer_is_said(shop: SmallShop, on_shop: Run, argv: list[str], say: str) -> None:
    ran = on_shop("budget", *argv)
    assert ran.status == 2 and say in ran.err and ran.out == ""


@pytest.mark.parametrize(
    ("text", "argv", "say"),
    [
        ("name,u\na,1\n", ["F1"], "not both"),
        ("name,u\na,1\n", ["--u95", "1"], "go with --column"),
        ("name,u\na,1\n", ["--coverage", "2"], "--coverage: 2 does not lie between 0 and 1"),
        ("x\n\n", ["--column", "x"], "has no readings"),
        ("x\n1\n", ["--column", "x", "--u95", "much"], "--u95: much is no figure"),
        ("x\n1\n", ["--column", "y"], "There is no column y"),
        ("x\n1\n", [], "There is no column name"),
        ("x\n1\n", ["--column", "x", "--u95", "-1"], "is no uncertainty"),
    ],
)
def test_what_a_file_cannot_answer_is_said(cli: Run, tmp_path: Path, text: str, argv: list[str], say: str) -> None:
    ran = cli("budget", "--csv", write(tmp_path, text), *argv)
    assert ran.status == 2 and say in ran.err


def test_a_gauge_study_or_none_is_told(shop: SmallShop, on_shop: Run) -> None:
    ran = on_shop("budget", "--on", "stick 1", "F1", "--with", "caliper 1")
    assert "no gauge study" in " ".join(ran.out.split())


@pytest.mark.parametrize(
    ("text", "say"),
    [("x\n5.2\n", "one reading does not show how it repeats"), ("x\n5\n5\n5\n", "3 equal readings do not show")],
)
def test_a_budget_of_nothing_is_refused(cli: Run, tmp_path: Path, text: str, say: str) -> None:
    for more in ((), ("--json",)):
        ran = cli("budget", "--csv", write(tmp_path, text), "--column", "x", *more)
        assert (ran.status, ran.out) == (2, "") and say in ran.err and "--u95" in ran.err


def test_without_a_certificate_there_is_no_line_for_it(cli: Run, tmp_path: Path) -> None:
    file = write(tmp_path, "x\n5.20\n5.22\n")
    got = json.loads(cli("budget", "--csv", file, "--column", "x", "--json").out)
    assert [row["name"] for row in got["lines"]] == ["repeatability"] and got["u"] == pytest.approx(0.01)
    assert any("calibration is not in this budget" in remark for remark in got["remarks"])
    plain = cli("budget", "--csv", file, "--column", "x").out
    assert " in the unit of the file at 95 %" in plain and "1 degree of freedom)" in " ".join(plain.split())
    with_it = json.loads(cli("budget", "--csv", file, "--column", "x", "--u95", "0.02", "--json").out)
    assert [row["name"] for row in with_it["lines"]] == ["calibration", "repeatability"]


def test_the_coverage_asked_for_is_applied_to_repeats(cli: Run, tmp_path: Path) -> None:
    """Student's t for 9 degrees of freedom: 2.262 at 95 %, 3.250 at 99 % (printed tables, from memory)."""
    file = write(tmp_path, "x\n" + "\n".join(f"5.{i:02}" for i in range(10)))
    for coverage, k in (("0.95", 2.262), ("0.99", 3.250)):
        got = json.loads(cli("budget", "--csv", file, "--column", "x", "--coverage", coverage, "--json").out)
        assert got["coverage"] == float(coverage) and got["k"] == pytest.approx(k, abs=5e-4)
    ran = cli("budget", "--csv", file, "--column", "x", "--coverage", "95")
    assert ran.status == 2 and "95 does not lie between 0 and 1: type it such as 0.99" in ran.err


@pytest.mark.parametrize(
    ("argv", "say"),
    [
        (["--coverage", "0.99"], "--coverage goes with --csv FILE."),
        (["--u95", "0.02", "--k", "2"], "--u95 and --k go with --csv FILE."),
        (["--temperature", "500"], "is 500 degC"),
        (["--temperature", "-60"], "a workshop has -20 to 60 degC"),
    ],
)
def test_what_a_feature_cannot_use_is_refused(shop: SmallShop, on_shop: Run, argv: list[str], say: str) -> None:
    ran = on_shop("budget", "--on", "stick 1", "F1", "--with", "caliper 1", *argv)
    assert (ran.status, ran.out) == (2, "") and say in ran.err


@pytest.mark.parametrize("argv", [["--temperature", "30"], ["--repeats", "3"], ["--by", "AB"]])
def test_what_a_file_cannot_use_is_refused(cli: Run, tmp_path: Path, argv: list[str]) -> None:
    ran = cli("budget", "--csv", write(tmp_path, "x\n5.2\n5.3\n"), "--column", "x", *argv)
    assert ran.status == 2 and f"{argv[0]} goes with a feature of the record, not with --csv FILE." in ran.err


def test_a_finished_size_has_a_budget_of_its_own(on_shop: Run) -> None:
    at = ("budget", "--on", "castings", "F1", "--with", "caliper 1", "--json")
    raw, finished = json.loads(on_shop(*at).out), json.loads(on_shop(*at, "--state", "finished").out)
    assert (raw["where"], finished["where"]) == ("castings", "castings, finished")
    rough = {
        state: next(line["u"] for line in of["lines"] if line["name"] == "roughness")
        for state, of in (("raw", raw), ("finished", finished))
    }
    assert rough["finished"] < rough["raw"]  # the faces that carried stock were machined
    refused = on_shop(*at[:2], "stick 1", *at[3:], "--state", "finished")
    assert refused.status == 2 and "stick 1 is no casting" in refused.err
    assert on_shop("budget", "--csv", "x.csv", "--state", "raw").status == 2
