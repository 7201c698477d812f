"""The gauge commands: published figures at full precision, and one clear sentence for each thing that is wrong."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from inspect_tui.model.measuring import Calibration
from inspect_tui.record.store import Record
from tests.commands.conftest import Run
from tests.conftest import SmallShop
from tests.published.stats_data import load

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


# ------------------------------------------------------------------------------ what is wrong with a file
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


# ------------------------------------------------------------------------------ on the record
def test_the_list_says_the_state_of_every_instrument(on_shop: Run) -> None:
    ran = on_shop("gauge", "list", "--json")
    out = {row["instrument"]: row for row in json.loads(ran.out)}
    assert out["caliper 1"]["u95_mm"] == 0.04 and out["caliper 1"]["done_on"] == "2026-01-05"
    assert out["caliper 2"]["state"] == "never calibrated"
    plain = on_shop("gauge", "list")
    assert plain.status == 0 and "never calibrated" in plain.out and "was never calibrated: U 0.05" in plain.err


def test_what_an_instrument_is_good_for(on_shop: Run) -> None:
    ran = on_shop("gauge", "good", "caliper 1", "--on", "stick 1", "--json")
    out = json.loads(ran.out)
    shares = [row["share"] for row in out["features"]]
    assert ran.status == 0 and shares and shares == sorted(shares)
    assert "conforms over" in on_shop("gauge", "good", "caliper 1").out


@pytest.mark.parametrize(("label", "state"), [("caliper 1", ""), ("caliper 2", "never calibrated")])
def test_what_an_instrument_is_good_for_says_that_it_cannot_be_trusted(
    on_shop: Run, shop: SmallShop, label: str, state: str
) -> None:
    ran = on_shop("gauge", "good", label, "--on", "stick 1", "--json")
    remarks = json.loads(ran.out)["remarks"]
    assert [r for r in remarks if state in r] == remarks and bool(remarks) is bool(state)
    assert all(remark in ran.err for remark in remarks)


@pytest.mark.parametrize(
    ("result", "due", "word"), [("pass", "2026-02-01", "is overdue since 2026-02-01"), ("fail", None, "failed its")]
)
def test_an_overdue_or_failed_instrument_is_told_with_what_it_is_good_for(
    on_shop: Run, shop: SmallShop, result: str, due: str | None, word: str
) -> None:
    with Record.open(shop.path) as record:
        record.add(
            Calibration(
                instrument_of_id=shop.caliper.of_id, done_on="2026-01-20", due_on=due, result=result, u95_mm=0.02
            ),
            shop.ab.id,
        )
    ran = on_shop("gauge", "good", "caliper 1", "--on", "stick 1", "--json")
    assert word in json.loads(ran.out)["remarks"][0] and word in ran.err


def test_a_check_logs_and_its_status_says_whether_it_is_within(on_shop: Run, shop: SmallShop) -> None:
    fine = on_shop("gauge", "check", "caliper 1", "25.000", "25.012", "--by", "AB", "--u", "0.001")
    assert fine.status == 0 and "reads 25.012 on the 25.000 block: within its certificate" in fine.out
    bad = on_shop("gauge", "check", "caliper 1", "25.000", "25.12", "--by", "AB", "--json")
    assert bad.status == 1 and json.loads(bad.out)["within"] is False
    assert "logged as typed, but" in on_shop("gauge", "check", "caliper 1", "25", "52.0", "--by", "AB").err
    for wrong in (("caliper 1", "900", "25"), ("caliper 1", "25", "abc"), ("caliper 9", "25", "25")):
        assert on_shop("gauge", "check", *wrong, "--by", "AB").status == 2
    with Record.open(shop.path) as record:
        assert [c.check.value for c in record.gauge_checks(shop.caliper.of_id)] == [25.012, 25.12, 52.0]


def test_a_bias_is_traced_and_recorded_only_when_it_is_confirmed(on_shop: Run, shop: SmallShop) -> None:
    on_shop("log", "--on", "stick 1", "--by", "AB", "--with", "caliper 1", stdin="F2 40.59\nF3 212.10\n")
    trace = ("gauge", "trace", "caliper 1", "--bias", "+0.05", "--from", "2026-01-01")
    out = json.loads(on_shop(*trace, "--json").out)
    assert out["readings"] == 2 and [c["feature"] for c in out["changes"]] == ["F2"]
    assert (out["changes"][0]["before"], out["changes"][0]["after"]) == ("undecided", "conforms")
    assert "1 verdict changes" in on_shop(*trace).out
    refused = on_shop(*trace, "--confirm", "seen")
    assert refused.status == 2 and "--by" in refused.err
    with Record.open(shop.path) as record:
        assert record.biases(shop.caliper.of_id) == []
    assert on_shop(*trace, "--confirm", "read 0.05 high on the block", "--by", "AB").status == 0
    with Record.open(shop.path) as record:
        (bias,) = record.biases(shop.caliper.of_id)
    assert (bias.bias_mm, bias.why) == (0.05, "read 0.05 high on the block")


@pytest.mark.parametrize(
    ("more", "sentence"),
    [
        (("--bias", "much"), "--bias: "),
        (("--bias", "0.05", "--from", "soon"), "--from: soon is no day"),
        (("--bias", "0.05", "--to", "soon"), "--to: soon is no day"),
        (("--bias", "0", "--from", "2026-01-01"), "A bias of 0"),
        (("--bias", "0.05", "--u", "x"), "--u: "),
    ],
)
def test_a_bias_typed_wrongly_is_refused(on_shop: Run, more: tuple[str, ...], sentence: str) -> None:
    ran = on_shop("gauge", "trace", "caliper 1", *more)
    assert ran.status == 2 and sentence in ran.err


def test_without_a_bias_the_checks_say_whether_there_is_one(on_shop: Run) -> None:
    assert "show no bias of caliper 1" in on_shop("gauge", "trace", "caliper 1").err
    on_shop("gauge", "check", "caliper 1", "25.000", "25.09", "--by", "AB")
    ran = on_shop("gauge", "trace", "caliper 1", "--json")
    assert json.loads(ran.out)["bias_mm"] == pytest.approx(0.09)


def test_a_trace_from_a_day_ahead_says_so(on_shop: Run) -> None:
    ran = on_shop("gauge", "trace", "caliper 1", "--bias", "0.05", "--from", "2999-01-01")
    assert ran.status == 0 and "2999-01-01 lies ahead" in ran.err
    assert "lies ahead" not in on_shop("gauge", "trace", "caliper 1", "--bias", "0.05", "--from", "2026-01-01").err


def test_a_trace_counts_in_words(on_shop: Run) -> None:
    on_shop("log", "--on", "stick 1", "--by", "AB", "--with", "caliper 1", stdin="F2 40.59\n")
    out = on_shop("gauge", "trace", "caliper 1", "--bias", "+0.05", "--from", "2026-01-01").out
    assert "1 reading on 1 tool or casting." in out
