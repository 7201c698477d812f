"""`chart`: published limits from a CSV file, segments, kinds, and pictures that fit."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from rich.cells import cell_len

from tests.commands.conftest import Run
from tests.commands.test_stats import write
from tests.conftest import SmallShop
from tests.published.stats_data import load
from tests.worlds.measured import Measured

KINDS = ("individuals", "means", "means-s", "ewma", "cusum", "histogram")


def column(folder: Path, values: list[float]) -> str:
    return write(folder, "x\n" + "\n".join(map(str, values)))


def test_individuals_as_published(cli: Run, tmp_path: Path) -> None:
    """NIST/SEMATECH e-Handbook 6.3.2.2, flow rates; limits there use d2 to three places, so to three places here."""
    check = load("c_individuals_flowrate")
    got = json.loads(cli("chart", "--csv", column(tmp_path, check["data"]["x"]), "--column", "x", "--json").out)
    assert got["centre"] == pytest.approx(check["expected"]["mean"])
    assert got["upper"] == pytest.approx(check["expected"]["UCL_x"], abs=2e-3)
    assert got["lower"] == pytest.approx(check["expected"]["LCL_x"], abs=2e-3)
    assert got["limits"] == [got["lower"], got["upper"]] and got["signals"] == []
    assert got["companion"]["centre"] == pytest.approx(check["expected"]["mr_bar"], abs=6e-5)
    assert got["provisional"] is True and got["n"] == 10 and len(got["points"]) == 10


@pytest.mark.parametrize(("kind", "tail"), [("means", "R"), ("means-s", "s")])
def test_means_of_subgroups_as_published(cli: Run, tmp_path: Path, kind: str, tail: str) -> None:
    """NIST/SEMATECH e-Handbook, file GEAR: 10 batches of 10 diameters; limits of the means as computed from it."""
    check = load("c_xbar_gear")
    rows = [f"{batch},{x}" for batch, group in enumerate(check["data"]["subgroups"]) for x in group]
    file = write(tmp_path, "batch,x\n" + "\n".join(rows))
    for group in ("batch", "10"):
        got = json.loads(cli("chart", "--csv", file, "--column", "x", "--kind", kind, "--group", group, "--json").out)
        assert got["centre"] == pytest.approx(check["expected"]["grand_mean"])
        assert got["upper"] == pytest.approx(check["expected"][f"UCL_xbar_{tail}"], rel=1e-8)
        assert got["lower"] == pytest.approx(check["expected"][f"LCL_xbar_{tail}"], rel=1e-8)
        assert len(got["points"]) == 10
    assert got["signals"][0]["point"] == 5 if kind == "means-s" else True


def test_a_shift_is_a_signal_with_its_point(cli: Run, tmp_path: Path) -> None:
    values = [10.0, 10.1, 9.9, 10.05, 9.95] * 6 + [12.0]
    got = json.loads(cli("chart", "--csv", column(tmp_path, values), "--column", "x", "--json").out)
    assert [(s["point"], s["test"]) for s in got["signals"]] == [(31, "beyond_limits")]
    assert "beyond the control limit" in got["signals"][0]["sentence"]


def test_a_column_makes_segments(cli: Run, tmp_path: Path) -> None:
    rows = [f"{'AB'[i >= 10]},{10 + (i >= 10) * 5 + 0.1 * (i % 3)}" for i in range(20)]
    file = write(tmp_path, "box,x\n" + "\n".join(rows))
    got = json.loads(cli("chart", "--csv", file, "--column", "x", "--segments", "box", "--json").out)
    assert [(s["first"], s["last"], s["reason"]) for s in got["segments"]] == [(1, 10, "start"), (11, 20, "box B")]
    assert got["centre"] == pytest.approx(15.1, abs=0.02) and got["signals"] == []
    one = json.loads(cli("chart", "--csv", file, "--column", "x", "--segments", "box", "--one-segment", "--json").out)
    assert len(one["segments"]) == 1 and one["signals"] != []


@pytest.fixture
def two_calipers(shop: SmallShop) -> Measured:
    measured = Measured(shop)
    measured.on_tool([59.6, 59.62, 59.61, 59.63, 59.6])
    measured.on_tool([59.7, 59.72, 59.71, 59.73, 59.7], instrument="caliper 2")
    return measured


def test_the_record_starts_a_segment_at_another_instrument(two_calipers: Measured, on_shop: Run) -> None:
    got = json.loads(on_shop("chart", "--on", "stick 1", "F1", "--json").out)
    assert [s["reason"] for s in got["segments"]] == ["start", "caliper 2"]
    out = on_shop("chart", "--on", "stick 1", "F1", "--width", "80").out
    assert "┊ from 6: caliper 2" in out and "provisional" in out


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("values", [[], [10.0], [10.0, 10.1], [10.0] * 12], ids=["0", "1", "2", "all equal"])
def test_every_kind_of_too_little_is_drawn_or_said(cli: Run, tmp_path: Path, kind: str, values: list[float]) -> None:
    file = column(tmp_path, values)
    ran = cli("chart", "--csv", file, "--column", "x", "--kind", kind)
    assert ran.status == 0 and ran.out.strip() and ran.err == ""
    got = json.loads(cli("chart", "--csv", file, "--column", "x", "--kind", kind, "--json").out)
    if kind == "histogram":
        assert sum(got["counts"]) == len(values)
    else:
        assert got["signals"] == [] and (got["upper"] in (None, got["centre"]) or len(values) == 2)


@pytest.mark.parametrize("kind", KINDS)
def test_pictures_fit_the_width_and_say_their_axes(cli: Run, tmp_path: Path, kind: str) -> None:
    values = [10 + 0.01 * ((7 * i) % 13) for i in range(120)]
    file = write(tmp_path, "x [mm]\n" + "\n".join(map(str, values)))
    for width in (60, 80, 140):
        out = cli("chart", "--csv", file, "--column", "x", "--kind", kind, "--width", str(width)).out
        assert max(cell_len(line) for line in out.splitlines()) <= width
        assert "mm" in out and ("reading →" in out or "subgroup →" in out or kind == "histogram")


def test_a_wild_reading_does_not_press_the_others_flat(cli: Run, tmp_path: Path) -> None:
    values = [10 + 0.01 * ((7 * i) % 13) for i in range(60)] + [1.0]
    out = cli("chart", "--csv", column(tmp_path, values), "--column", "x", "--median", "--width", "80").out
    assert "1 far out, drawn at the edge: 1" in out and "▼" in out and "10.1" in out


def test_the_run_tests_are_listed_with_their_false_alarms(cli: Run) -> None:
    out = cli("chart", "--tests", "list").out
    assert "beyond_limits" in out and "without cause one point in 370" in out
    assert out.count("* ") == 3


def test_run_tests_can_be_chosen(cli: Run, tmp_path: Path) -> None:
    file = column(tmp_path, [10.0 + 0.1 * i for i in range(12)])
    got = json.loads(cli("chart", "--csv", file, "--column", "x", "--tests", "six_trend", "--json").out)
    assert {s["test"] for s in got["signals"]} == {"six_trend"}


@pytest.mark.parametrize(
    ("argv", "say"),
    [
        (["--tests", "astrology"], "no test is called"),
        (["--kind", "means", "--group", "1"], "Subgroups of 1 readings"),
        (["--kind", "means", "--group", "heat"], "There is no column heat"),
        (["--baseline", "1"], "give a baseline of 2 or more"),
        (["--segments", "heat"], "There is no column heat"),
    ],
)
def test_what_cannot_be_charted_is_said(cli: Run, tmp_path: Path, argv: list[str], say: str) -> None:
    file = column(tmp_path, [10.0, 10.1, 10.2, 10.0, 10.1, 10.2])
    ran = cli("chart", "--csv", file, "--column", "x", *argv)
    assert ran.status == 2 and say in ran.err


def test_an_unknown_kind_is_bad_usage(cli: Run, tmp_path: Path) -> None:
    assert cli("chart", "--csv", column(tmp_path, [1.0]), "--column", "x", "--kind", "pie").status == 2


def test_a_baseline_draws_limits_from_its_points(cli: Run, tmp_path: Path) -> None:
    values = [10.0, 10.1] * 15 + [10.5, 10.6] * 5
    file = column(tmp_path, values)
    got = json.loads(cli("chart", "--csv", file, "--column", "x", "--baseline", "30", "--json").out)
    assert got["centre"] == pytest.approx(10.05) and got["signals"] != []


@pytest.mark.parametrize("kind", ["individuals", "ewma"])
def test_the_limits_of_the_last_segment_stand_at_their_lines(cli: Run, tmp_path: Path, kind: str) -> None:
    values = [59.6 + 0.01 * (i * 7 % 5) for i in range(24)] + [59.8 + 0.01 * (i * 3 % 7) for i in range(24)]
    file = write(tmp_path, "x,box\n" + "\n".join(f"{v:.2f},{i // 24}" for i, v in enumerate(values)))
    argv = ["chart", "--csv", file, "--column", "x", "--segments", "box", "--kind", kind]
    end = json.loads(cli(*argv, "--json").out)["segments"][-1]
    out = cli(*argv, "--width", "80", "--height", "18").out
    main = out.partition("moving ranges")[0]
    for name, key in (("limit", "upper"), ("centre", "centre"), ("limit", "lower")):
        assert f"{name} {end[key]:.2f}" in main, (key, out)
    assert all(cell_len(line) <= 80 for line in out.splitlines())
    assert sum("┤" in line for line in main.splitlines()) >= 2


@pytest.mark.parametrize(
    ("option", "given", "say"),
    [
        ("--height", "3", "--height 3 is outside 8 to 60: drawn 8 lines high."),
        ("--height", "500", "drawn 60 lines high"),
        ("--width", "20", "--width 20 is outside 60 to 160: drawn 60 columns wide."),
        ("--width", "900", "drawn 160 columns wide"),
        ("--height", "12", ""),
    ],
)
@pytest.mark.parametrize("kind", ["individuals", "histogram"])
def test_a_size_that_cannot_be_drawn_is_said(
    cli: Run, tmp_path: Path, option: str, given: str, say: str, kind: str
) -> None:
    file = column(tmp_path, [59.6, 59.7, 59.65, 59.61])
    ran = cli("chart", "--csv", file, "--column", "x", "--kind", kind, option, given)
    assert ran.status == 0 and say in ran.err and ran.err.count("\n") == bool(say)


def test_one_reading_is_one_reading(cli: Run, tmp_path: Path) -> None:
    ran = cli("chart", "--csv", column(tmp_path, [59.6]), "--column", "x")
    assert "1 reading: no limits can be drawn yet" in ran.out and "1 readings" not in ran.out
    assert (
        "1 point of individuals"
        in json.loads(cli("chart", "--csv", column(tmp_path, [59.6]), "--column", "x", "--json").out)["sentence"]
    )
