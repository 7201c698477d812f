"""One reading, one value: whatever command is asked, a known bias is taken off everywhere and nowhere twice."""

from __future__ import annotations

import csv
import json
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from inspect_tui.model.gauges import InstrumentBias
from inspect_tui.record.store import Record
from inspect_tui.shop.bench.line import Bench
from inspect_tui.shop.bench.outcomes import Logged
from inspect_tui.shop.common import find
from inspect_tui.shop.first_article.castings import put_right as desk
from inspect_tui.shop.first_article.castings.filling import Filling
from inspect_tui.shop.first_article.castings.rounds import pick_round
from inspect_tui.shop.first_article.castings.sampling import Requirement, Sampling
from tests.commands.conftest import Ran, Run
from tests.commands.test_wear import on, path  # noqa: F401
from tests.conftest import SmallShop

BIAS = 0.06  # mm that caliper 1 reads too high
STICK = [59.60, 59.61, 59.62, 59.63, 59.64, 59.65]
BOX = [59.50, 59.51, 59.52, 59.53, 59.54, 59.55]
CAST = {"C1": 59.10, "C2": 59.12}
Ask = Callable[..., Any]


@pytest.fixture
def ask(shop: SmallShop, cli: Run) -> Ask:
    """The JSON of a command, on a record where F1 was read on stick, box and castings before the bias was known."""
    for tool, values in (("stick 1", STICK), ("box 1", BOX)):
        for value in values:
            bench = shop.bench(tool)
            bench.goto("F1")
            bench.take(f"{value:.2f}")
    job = find.job(shop.record, "SV-12")
    desk.open_round(shop.record, job, "S1", list(CAST))
    here = Filling(shop.record, Sampling(shop.record, job, pick_round(shop.record, job, "S1")), shop.ab, shop.caliper)
    for serial, value in CAST.items():
        here.take(Requirement(here.sampling.feature("F1")), here.sampling.casting(serial), f"{value:.2f}")
    add_bias(shop.record, "caliper 1", shop.ab.id)
    shop.record.close()

    def run(*argv: str) -> Any:
        ran = cli("--record", str(shop.path), *argv, "--json")
        assert ran.status in (0, 1), ran.err
        return json.loads(ran.out)

    return run


def add_bias(record: Record, gauge: str, by: bytes, u_mm: float = 0.01) -> None:
    caliper = next(i for i in record.instruments() if i.label == gauge)
    found = {"bias_mm": BIAS, "u_mm": u_mm, "from_on": "2000-01-01", "why": "seen", "found_from": "a check"}
    record.add(InstrumentBias(instrument_of_id=caliper.of_id, **found), by=by)


def right(values: list[float]) -> list[float]:
    return [pytest.approx(value - BIAS, abs=1e-9) for value in values]


def test_readings_and_states_are_shown_put_right(ask: Ask) -> None:
    read = [r for r in ask("show", "--readings") if r["feature"] == "F1"]
    for where, values in (("stick 1", STICK), ("box 1", BOX)):
        there = [r for r in read if r["tool"] == where]
        assert [r["read"] for r in there] == values
        assert [r["value"] for r in there] == right(values)
    states = {s["tool"]: s["last"] for s in ask("show") if s["feature"] == "F1" and s["last"]}
    assert states == {
        "stick 1": right(STICK)[-1],
        "box 1": right(BOX)[-1],
        "casting C1": right([CAST["C1"]])[0],
        "casting C2": right([CAST["C2"]])[0],
    }


@pytest.mark.parametrize(("where", "values"), [("stick 1", STICK), ("box 1", BOX), ("castings", list(CAST.values()))])
def test_statistics_charts_and_trends_compute_with_the_same_values(ask: Ask, where: str, values: list[float]) -> None:
    (track, *_) = ask("trend", "F1", "--on", where)["tracks"]
    chart = ask("chart", "F1", "--on", where)
    for readings in (track["readings"], chart["readings"]):
        assert [r["read"] for r in readings] == values
        assert [r["value"] for r in readings] == right(values)
    assert [p["value"] for p in chart["points"]] == right(values)
    stats = ask("stats", "F1", "--on", where)
    mean = sum(values) / len(values) - BIAS
    assert (stats["mean"], stats["min"], stats["max"]) == pytest.approx((mean, min(values) - BIAS, max(values) - BIAS))


def test_the_first_article_judges_and_predicts_with_them(ask: Ask) -> None:
    (feature,) = [f for f in ask("first-article")["features"] if f["balloon"] == "F1"]
    assert [c["raw"] for c in feature["cells"]] == list(CAST.values())
    assert [c["value"] for c in feature["cells"]] == right(list(CAST.values()))
    # 1 % of contraction: the box as it was read last promises this casting
    assert feature["predicted"] == pytest.approx((BOX[-1] - BIAS) / 1.01)


def test_an_export_has_both(ask: Ask, tmp_path: Path, shop: SmallShop, cli: Run) -> None:
    assert cli("--record", str(shop.path), "export", "--to", str(tmp_path / "out")).status == 0
    with (tmp_path / "out" / "readings.csv").open(encoding="utf-8", newline="") as file:
        rows = [row for row in csv.DictReader(file) if row["feature"] == "F1"]
    assert len(rows) == len(STICK) + len(BOX) + len(CAST)
    for row in rows:
        assert float(row["corrected"]) == pytest.approx(float(row["as_read"]) - BIAS)


def test_a_bias_recorded_moves_what_the_wear_page_kept(on: Callable[..., Ran], tmp_path: Path) -> None:
    (before,) = json.loads(on("wear", "--json").out)["sizes"]
    with Record.open(tmp_path / "copy.db") as record:
        gauge = record.instruments()[0].label
        add_bias(record, gauge, record.people()[0].id)
    (after,) = json.loads(on("wear", "--json").out)["sizes"]
    assert after["now_mm"] == pytest.approx(before["now_mm"] - BIAS, abs=1e-6)
    assert after["rate_mm_per_core"] == pytest.approx(before["rate_mm_per_core"], rel=1e-6)


# ------------------------------------------------------------------------------ every command
EVERY = (
    ("show",),
    ("show", "--readings"),
    ("trend", "F1", "--on", "stick 1"),
    ("trend", "F1", "--on", "castings"),
    ("chart", "F1", "--on", "box 1"),
    ("stats", "F1", "--on", "box 1"),
    ("first-article",),
    ("causes",),
    ("cuts",),
    ("stock",),
    ("kit", "check"),
    ("stack",),
    ("contraction",),
    ("wear",),
    ("surprises",),
)
# as it was read, and what is said of that; ids and times of two records differ anyway
AS_READ = {
    "read",
    "raw",
    "typed",
    "corrected",
    "notes",
    "id",
    "at",
    "at_us",
    "record",
    "heads",
    "remark",
    "remarks",
    "judged_at",
}


def same(one: Any, other: Any, where: str = "") -> Iterator[str]:
    """Where two answers differ, what was read left aside."""
    if isinstance(one, dict) and isinstance(other, dict):
        for key in one.keys() | other.keys():
            if key not in AS_READ:
                yield from same(one.get(key), other.get(key), f"{where}.{key}")
    elif isinstance(one, list) and isinstance(other, list) and len(one) == len(other):
        for i, (a, b) in enumerate(zip(one, other, strict=True)):
            yield from same(a, b, f"{where}[{i}]")
    elif isinstance(one, float | int) and isinstance(other, float | int):
        if abs(one - other) > 1e-6 * max(1.0, abs(one)):
            yield f"{where}: {one} and {other}"
    elif one != other:
        yield f"{where}: {one!r} and {other!r}"


def test_a_gauge_that_reads_high_and_is_known_to_says_what_a_true_one_says(shop: SmallShop, cli: Run) -> None:
    """Two records: of a true caliper, and of one that reads 0.06 high with that on record. All commands agree."""
    twin = shop.path.with_name("twin.db")
    shop.record.close()
    shutil.copy(shop.path, twin)
    answers = []
    for file, off in ((shop.path, 0.0), (twin, BIAS)):
        with Record.open(file) as record:
            fill(record, off)
            if off:
                add_bias(record, "caliper 1", record.people()[0].id, u_mm=0.0)
        answers.append([json.loads(cli("--record", str(file), *argv, "--json").out or "null") for argv in EVERY])
    for argv, true, biased in zip(EVERY, *answers, strict=True):
        assert true is not None, argv
        assert list(same(true, biased)) == [], argv


def fill(record: Record, off: float) -> None:
    """F1 on stick, box and castings, as a caliper reads it that is off by so much."""
    job = find.job(record, "SV-12")
    ab, caliper = record.people()[0], next(i for i in record.instruments() if i.label == "caliper 1")
    for tool, values in (("stick 1", STICK), ("box 1", BOX)):
        for value in values:
            bench = Bench(record, job, find.subject(record, job, tool), ab, caliper)
            bench.goto("F1")
            assert isinstance(bench.take(f"{value + off:.2f}"), Logged)
    desk.open_round(record, job, "S1", list(CAST))
    here = Filling(record, Sampling(record, job, pick_round(record, job, "S1")), ab, caliper)
    for serial, value in CAST.items():
        here.take(Requirement(here.sampling.feature("F1")), here.sampling.casting(serial), f"{value + off:.2f}")
