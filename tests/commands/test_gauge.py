"""`gauge`: the list of instruments, what each is good for, and quick checks."""

from __future__ import annotations

import json

import pytest

from inspect_tui.model.measuring import Calibration
from inspect_tui.record.store import Record
from tests.commands.conftest import Run
from tests.conftest import SmallShop


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


# ------------------------------------------------------------------------------ failed checks, out of use
def test_a_failed_check_stays_beside_every_reading_until_it_passes(on_shop: Run) -> None:
    assert on_shop("gauge", "check", "caliper 1", "25", "25.09", "--by", "AB").status == 1
    listed = on_shop("gauge", "list")
    assert "✗ failed" in listed.out and "do not measure with it" in listed.err
    row = next(r for r in json.loads(on_shop("gauge", "list", "--json").out) if r["instrument"] == "caliper 1")
    assert row["state"] == "failed" and row["failed"].startswith("failed its check of")
    log = ("log", "--on", "stick 1", "--by", "AB", "--with", "caliper 1", "--json")
    ran = on_shop(*log, stdin="F1 59.60\n")
    assert ran.status == 0
    (logged,) = json.loads(ran.out)
    assert logged["gauge_failed"].startswith("failed its check of")
    assert any(remark.startswith("✗ caliper 1 failed its check") for remark in logged["remarks"])
    (shown,) = json.loads(on_shop("show", "--readings", "--json").out)
    assert shown["gauge_failed"].startswith("failed its check of")
    assert on_shop("gauge", "check", "caliper 1", "25", "25.00", "--by", "AB").status == 0
    (logged,) = json.loads(on_shop(*log, stdin="F2 40.40\n").out)
    assert logged["gauge_failed"] is None


def test_an_instrument_is_taken_out_of_use_and_back(on_shop: Run) -> None:
    ran = on_shop("gauge", "out", "caliper 1", "--why", "jaws bent", "--by", "AB")
    assert ran.status == 0 and "caliper 1 is out of use from " in ran.out
    refused = on_shop("log", "--on", "stick 1", "--by", "AB", "--with", "caliper 1", stdin="F1 59.60\n")
    assert refused.status == 2 and "is out of use since" in refused.err and refused.out == ""
    assert "✗ out of use" in on_shop("gauge", "list").out
    back = json.loads(on_shop("gauge", "back", "caliper 1", "--why", "new jaws", "--by", "AB", "--json").out)
    assert (back["instrument"], back["state"]) == ("caliper 1", "in_use")
    assert on_shop("log", "--on", "stick 1", "--by", "AB", "--with", "caliper 1", stdin="F1 59.60\n").status == 0


@pytest.mark.parametrize("since, why", [("tomorrow", "x"), ("", " ")])
def test_taking_out_of_use_says_what_is_wrong_with_what_was_typed(on_shop: Run, since: str, why: str) -> None:
    ran = on_shop("gauge", "out", "caliper 1", "--why", why, "--since", since, "--by", "AB")
    assert ran.status == 2 and ran.err.startswith("inspect-tui: ")


def test_a_recorded_bias_is_taken_back_and_readings_count_as_read(on_shop: Run, shop: SmallShop) -> None:
    on_shop("log", "--on", "stick 1", "--by", "AB", "--with", "caliper 1", stdin="F2 40.59\n")

    def value() -> float:
        shown = json.loads(on_shop("show", "--on", "stick 1", "--readings", "--json").out)
        return float(shown[0]["value"])

    take_back = ("gauge", "take-back", "caliper 1", "--why", "the wrong block", "--by", "AB")
    refused = on_shop(*take_back)
    assert refused.status == 2 and "No bias of caliper 1 is on record" in refused.err
    on_shop("gauge", "trace", "caliper 1", "--bias", "+0.05", "--from", "2026-01-01", "--confirm", "seen", "--by", "AB")
    assert value() == pytest.approx(40.54)
    empty = on_shop(*take_back[:3], "--why", " ", "--by", "AB")
    assert empty.status == 2 and "why: say in a few words" in empty.err
    taken = on_shop(*take_back, "--json")
    assert taken.status == 0 and json.loads(taken.out)["bias_mm"] == 0.05
    assert value() == pytest.approx(40.59)
    (line,) = [line for line in json.loads(on_shop("gauge", "list", "--json").out) if line["instrument"] == "caliper 1"]
    assert [(bias["bias_mm"], bias["why"]) for bias in line["biases"]] == [(0.0, "the wrong block")]
