"""`gauge daily`: what everyday readings say of instruments and people, and the way from there to a recorded bias."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.commands.conftest import Run
from tests.worlds.many_hands import by_turns, shop


@pytest.fixture
def many(cli: Run, tmp_path: Path) -> Run:
    """The command line on a record in which a caliper reads 0.048 and a person 0.033 more than all others."""
    made = shop(tmp_path / "many.db")
    made.read(by_turns(made.sizes, 1, 0.048, 0.033))
    made.record.close()
    return lambda *argv, **how: cli("--record", str(tmp_path / "many.db"), *argv, **how)


def test_gauge_and_person_are_named_over_all_sizes(many: Run) -> None:
    ran = many("gauge", "daily")
    first, second, *_ = ran.out.splitlines()
    assert ran.status == 0
    assert first.startswith("Caliper G0 reads 0.046 higher than the others, over 74 sizes (+0.04")
    assert second.startswith("P1 reads 0.033 more than the others, over 69 sizes (+0.0")
    assert "gauge trace 'caliper G0' takes it back over the readings; --confirm records it as a bias" in ran.err
    assert "trace P1" not in ran.err


def test_every_figure_is_in_the_json(many: Run) -> None:
    told = json.loads(many("gauge", "daily", "--json").out)
    gauge, person = told["offsets"]
    assert (gauge["kind"], gauge["name"], person["kind"], person["name"]) == ("gauge", "caliper G0", "person", "P1")
    assert gauge["lower_mm"] < 0.048 < gauge["upper_mm"] and person["lower_mm"] < 0.033 < person["upper_mm"]
    assert gauge["offset_mm"] / gauge["u_mm"] > 12 and gauge["p"] < 1e-6
    assert (gauge["sizes"], told["looked_at"], told["by_size"]) == (74, 11, [])
    assert "2025-01-06" <= gauge["from"] < gauge["to"] <= "2025-03-06"
    assert told["sentence"] == "; ".join(
        f"{o['name']} reads {o['offset_mm']:.3f} {way} than the others, over {o['sizes']} sizes"
        for o, way in ((gauge, "higher"), (person, "more"))
    )


def test_it_is_taken_back_recorded_and_then_no_longer_found(many: Run) -> None:
    traced = json.loads(many("gauge", "trace", "caliper G0", "--json").out)
    assert traced["bias_mm"] == pytest.approx(0.046, abs=0.001) and traced["from"] == "2024-12-02"
    assert traced["why"].startswith("caliper G0 reads 0.046 higher than the others")
    assert "the certificate of 2024-12-02 was good" in traced["why"]
    confirmed = many("gauge", "trace", "caliper G0", "--confirm", "", "--by", "P0")
    assert confirmed.status == 0
    (left,) = json.loads(many("gauge", "daily", "--json").out)["offsets"]
    assert left["name"] == "P1"
    again = many("gauge", "trace", "caliper G0")
    assert "Checks, certificates and everyday readings show no bias of caliper G0" in again.err


def test_where_nobody_stands_out_it_says_so(cli: Run, tmp_path: Path) -> None:
    made = shop(tmp_path / "alike.db", boxes=1, of_castings=5)
    made.read(by_turns(made.sizes, 3))
    made.record.close()
    ran = cli("--record", str(tmp_path / "alike.db"), "gauge", "daily")
    assert ran.out.startswith("Nothing stands out over all sizes: 11 gauges and people compared with the others.")
    told = json.loads(cli("--record", str(tmp_path / "alike.db"), "gauge", "daily", "--json").out)
    assert told["offsets"] == []


def test_inches_are_written_in_inches(many: Run) -> None:
    assert "Caliper G0 reads 0.0018 higher" in many("gauge", "daily", "--show", "in").out
    assert json.loads(many("gauge", "daily", "--show", "in", "--json").out)["sentence"].startswith(
        "caliper G0 reads 0.046 higher"
    )
