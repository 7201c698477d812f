"""`stats`: published figures from a CSV file to the last digit, features of the record, and every wrong input."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from tests.commands.conftest import Run
from tests.conftest import SmallShop
from tests.published.stats_data import load, log_relative_error
from tests.published.test_nist_univariate import DIGITS, SETS, values
from tests.worlds.measured import Measured

VALUES = [59.60, 59.64, 59.58, 59.66, 59.61, 59.63]


@pytest.fixture
def filled(shop: SmallShop) -> Measured:
    """F1 on stick 1 by AB, then with another caliper by IN; one reading voided; castings too."""
    measured = Measured(shop)
    logged = measured.on_tool([*VALUES, 95.60])
    measured.void(logged[-1])
    measured.on_tool([x + 0.05 for x in VALUES], person="IN", instrument="caliper 2")
    measured.on_castings([59.0, 59.2, 59.1], lot=measured.lot("L1"))
    return measured


def write(folder: Path, text: str, name: str = "sizes.csv") -> str:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return str(path)


def shown(text: str) -> str:
    return " ".join(text.split())


# ------------------------------------------------------------------------------ figures of a file
@pytest.mark.parametrize("name", SETS)
def test_a_column_reaches_the_published_digits(cli: Run, tmp_path: Path, name: str) -> None:
    """NIST StRD univariate sets, through the file and the JSON: digits as the sets' difficulty asks."""
    check = load(name)
    y = values(check["data"])
    file = write(tmp_path, "nr,reading\n" + "\n".join(f"{i},{v!r}" for i, v in enumerate(y)))
    got = json.loads(cli("stats", "--csv", file, "--column", "reading", "--json").out)
    expected = check["expected"]
    assert got["n"] == expected["n"] and (got["min"], got["max"]) == (min(y), max(y))
    for key, published in (("mean", "mean"), ("s", "sd"), ("lag1", "lag1_autocorrelation")):
        assert log_relative_error(got[key], expected[published]) >= DIGITS[SETS[name]]


def test_decimal_commas_and_blanks(cli: Run, tmp_path: Path) -> None:
    file = write(tmp_path, "nr;width [mm]\n1;59,66\n2;\n3;59,60\n")
    got = json.loads(cli("stats", "--csv", file, "--column", "width", "--json").out)
    assert (got["n"], got["missing"], got["min"], got["unit"]) == (2, 1, 59.60, "mm")
    assert got["mean"] == pytest.approx(59.63)


def test_a_band_and_a_split_of_a_file(cli: Run, tmp_path: Path) -> None:
    rows = "\n".join(f"{'ab'[i % 2]},{10 + 0.01 * ((7 * i) % 11) + 0.1 * (i % 2)}" for i in range(60))
    file = write(tmp_path, "person,width\n" + rows)
    ran = cli("stats", "--csv", file, "--column", "width", "--upper", "10.15", "--by", "person", "--json")
    got = json.loads(ran.out)
    assert got["band"] == {"lower": None, "upper": 10.15, "source": "stated"}
    assert got["capability"]["counted_out"] > 0
    groups = {g["name"]: g for g in got["by"]["person"]["groups"]}
    assert groups["b"]["less_the_others"] == pytest.approx(0.1, abs=0.02) and groups["a"]["n"] == 30


def test_the_table_is_for_people(cli: Run, tmp_path: Path) -> None:
    file = write(tmp_path, "width\n" + "\n".join(str(10 + 0.01 * ((7 * i) % 11)) for i in range(40)))
    out = shown(cli("stats", "--csv", file, "--column", "width").out)
    assert "n 40" in out and "mean 10.0" in out and "they rest on" in out and "95 % confidence" in out


# ------------------------------------------------------------------------------ little, equal, wrong
@pytest.mark.parametrize(
    ("body", "n", "say"),
    [
        ("", 0, "no readings"),
        ("\n,", 0, "all 1 cells are empty"),
        ("59.66", 1, "one reading"),
        ("59.66\n59.70", 2, "two readings"),
        ("59.66\n" * 9, 9, "all 9 readings are equal"),
    ],
    ids=["0", "0 blank", "1", "2", "all equal"],
)
def test_too_little_gets_a_sentence_and_no_figure(cli: Run, tmp_path: Path, body: str, n: int, say: str) -> None:
    file = write(tmp_path, "width,x\n" + body)
    ran = cli("stats", "--csv", file, "--column", "width", "--json")
    got: dict[str, Any] = json.loads(ran.out)
    assert got["n"] == n and say in got["sentence"] + ran.err
    assert ran.status == (1 if n == 0 else 0)
    assert (got["mean"] is None) is (n == 0) and (got["s"] is None) is (n < 2)
    assert (got["lag1"] is None) is (n < 2 or "equal" in say)
    table = cli("stats", "--csv", file, "--column", "width")
    assert table.status == ran.status and "Traceback" not in table.err


@pytest.mark.parametrize(
    ("argv", "text", "say"),
    [
        (["--column", "width"], "width\n59.66\nNaN\n", "line 3 of sizes.csv: NaN under width is not a size"),
        (["--column", "height"], "width,x\n5,1\n", "There is no column height in sizes.csv; its columns are: width, x"),
        ([], "width,x\n59.66,1\n", "Say which column of sizes.csv (--column): width, x."),
        (["--column", "width", "--unit", "mm"], "width [kg]\n59.66\n", "is in kg, which is not a length"),
        (["--column", "width", "--unit", "ells"], "width\n59.66\n", "ells is no unit known here"),
        (["--column", "width", "--upper", "ten"], "width\n59.66\n", "--upper: ten is no figure"),
        (["--column", "width", "--lower", "9", "--upper", "8"], "width\n5\n", "limits contradict each other"),
        (["--column", "width", "F1"], "width\n5\n", "not both"),
        (["--column", "width", "--by", "who"], "width\n5\n", "There is no column who"),
    ],
)
def test_wrong_input_is_status_2_and_one_sentence(
    cli: Run, tmp_path: Path, argv: list[str], text: str, say: str
) -> None:
    file = write(tmp_path, text)
    ran = cli("stats", "--csv", file, *argv, "--json")
    assert ran.status == 2 and say in ran.err and ran.err.count("\n") == 1 and ran.out == ""


def test_a_file_that_is_not_there(cli: Run, tmp_path: Path) -> None:
    ran = cli("stats", "--csv", str(tmp_path / "none.csv"), "--column", "x")
    assert ran.status == 2 and "There is no file" in ran.err


# ------------------------------------------------------------------------------ features of the record
def test_a_feature_on_a_tool(filled: Measured, on_shop: Run) -> None:
    got = json.loads(on_shop("stats", "--on", "stick 1", "f1", "--json").out)
    assert (got["n"], got["void"], got["unit"]) == (12, 1, "mm")
    assert got["kept"]["n"] == 12 and got["kept"]["mean"] == pytest.approx(got["mean"])
    assert got["target"] == pytest.approx(59.59)


def test_a_feature_over_all_castings_and_by_lot(filled: Measured, on_shop: Run) -> None:
    got = json.loads(on_shop("stats", "--on", "castings", "F1", "--by", "lot", "--json").out)
    assert got["n"] == 3 and got["by"]["lot"]["groups"][0]["name"] == "L1"


def test_only_one_person(filled: Measured, on_shop: Run) -> None:
    got = json.loads(on_shop("stats", "--on", "stick 1", "F1", "--by-person", "IN", "--json").out)
    assert got["n"] == 6 and got["mean"] == pytest.approx(sum(VALUES) / 6 + 0.05)
    other = json.loads(on_shop("stats", "--on", "stick 1", "F1", "--with-instrument", "caliper 1", "--json").out)
    assert other["n"] == 6 and other["kept"] is None


@pytest.mark.parametrize(
    ("argv", "say"),
    [
        (["--on", "stick 1", "F99"], "F99 is not on revision A"),
        (["--on", "stick 9", "F1"], "castings means all of them"),
        (["--on", "stick 1"], "Say what to look at"),
        (["F1"], "Say what to look at"),
        (["--on", "drag pattern", "F1"], "another tool makes that surface"),
        (["--on", "stick 1", "F1", "--by", "moon"], "split by person, instrument, lot, casting"),
        (["--on", "stick 1", "F1", "--by-person", "ZZ"], "There is no person"),
        (["--on", "stick 1", "F1", "--column", "x"], "go with --csv FILE"),
        (["--job", "none", "--on", "stick 1", "F1"], "There is no job"),
    ],
)
def test_what_is_not_in_the_record_is_said(filled: Measured, on_shop: Run, argv: list[str], say: str) -> None:
    ran = on_shop("stats", *argv)
    assert ran.status == 2 and say in ran.err


def test_nothing_measured_yet_is_status_1(shop: SmallShop, on_shop: Run) -> None:
    ran = on_shop("stats", "--on", "stick 1", "F1", "--json")
    assert ran.status == 1 and json.loads(ran.out)["n"] == 0 and "F1 passage width on stick 1: no readings" in ran.err


def test_the_record_is_only_read(filled: Measured, on_shop: Run) -> None:
    before = filled.shop.path.read_bytes()
    on_shop("stats", "--on", "stick 1", "F1")
    assert filled.shop.path.read_bytes() == before


def test_no_record_is_said(cli: Run, tmp_path: Path) -> None:
    ran = cli("--record", str(tmp_path / "no.db"), "stats", "--on", "stick 1", "F1")
    assert ran.status == 2 and "no record" in ran.err


@pytest.mark.parametrize("figures", ["1e308\n-1e308\n1e308", "1e154\n2e154\n3e154", "1e-300\n2e-300\n3e-300"])
@pytest.mark.parametrize("command", ["stats", "chart"])
def test_figures_that_nobody_measured_are_refused_by_line(cli: Run, tmp_path: Path, figures: str, command: str) -> None:
    ran = cli(command, "--csv", write(tmp_path, f"y\n5\n{figures}\n"), "--column", "y", "--json")
    assert (ran.status, ran.out) == (2, "") and "line 3 of sizes.csv" in ran.err and "no measured size" in ran.err


@pytest.mark.parametrize("scale", ["e99", "e-99", "e40"])
@pytest.mark.parametrize("command", ["stats", "chart"])
def test_the_largest_figures_taken_give_json_or_nothing(cli: Run, tmp_path: Path, scale: str, command: str) -> None:
    text = "y\n" + "\n".join(f"{5 + i * 7 % 11}{scale}" for i in range(30))
    ran = cli(command, "--csv", write(tmp_path, text), "--column", "y", "--json")
    assert (ran.status == 0 and json.loads(ran.out)) or (ran.status == 2 and not ran.out and ran.err)


@pytest.mark.parametrize(
    ("text", "say"),
    [
        ("y,z\n5,2\n5,3\n", "so 5,2 was read as 5 and 2"),
        ("y,z\n1,59\n2,60\n", ""),
        ("y,z\n5.1,2\n5.2,3\n", ""),
        ("y;z\n5,2;1\n5,3;2\n", ""),
        ("y\n5,2\n5,3\n", ""),
    ],
)
def test_commas_that_could_be_decimal_marks_are_told(cli: Run, tmp_path: Path, text: str, say: str) -> None:
    ran = cli("stats", "--csv", write(tmp_path, text), "--column", "y", "--json")
    assert ran.status == 0 and say in ran.err and bool(ran.err) is bool(say)
    assert json.loads(ran.out)["n"] == 2


# ------------------------------------------------------------------------------ risks, heaps, target
def test_u_gives_the_risks_and_a_target_its_index(cli: Run, tmp_path: Path) -> None:
    file = write(tmp_path, "width [mm]\n" + "\n".join(f"{59 + 0.001 * ((i * i) % 97)}" for i in range(66)))
    options = ("stats", "--csv", file, "--column", "width", "--lower", "58.98", "--upper", "59.2")
    got = json.loads(cli(*options, "--u95", "0.02", "--target", "59.05", "--json").out)
    assert got["risks"]["u"] == pytest.approx(0.01)
    assert 0 < got["risks"]["at_limits"]["consumer"] < got["risks"]["at_limits"]["producer"] + 0.1
    assert got["capability"]["target"] == 59.05
    assert got["capability"]["p_m"] > 0
    assert got["heaps"]["two"] is False
    assert got["spoiled"] is None
    text = shown(cli(*options, "--u95", "0.02 mm").out)
    assert "judged wrongly judged at the limits" in text
    assert "P_pm" in text
    assert json.loads(cli(*options, "--json").out)["risks"] is None
    assert "above 0" in cli(*options, "--u95", "-1").err
    assert "--target goes with --csv" in cli("stats", "--on", "stick 1", "F1", "--target", "5").err


def test_two_heaps_and_likeness_of_neighbours_are_in_the_answer(cli: Run, tmp_path: Path) -> None:
    file = write(tmp_path, "width\n" + "\n".join(f"{10 + 0.4 * (i >= 40) + 0.001 * (i % 40)}" for i in range(80)))
    got = json.loads(cli("stats", "--csv", file, "--column", "width", "--json").out)
    assert got["heaps"]["two"] is True
    assert (got["heaps"]["low"]["n"], got["heaps"]["high"]["n"]) == (40, 40)
    assert all(interval["holds"] is False for interval in got["intervals"].values() if interval)
    assert "resemble" in got["spoiled"]
    assert "Two heaps" in shown(cli("chart", "--csv", file, "--column", "width", "--kind", "histogram").out)
