"""`gauge trace`: a bias taken back, recorded only when it is confirmed."""

from __future__ import annotations

import json

import pytest

from inspect_tui.record.store import Record
from tests.commands.conftest import Run
from tests.conftest import SmallShop


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


def test_a_bias_from_before_the_gauge_was_known_is_asked_about_and_how_to_take_it_back_is_said(on_shop: Run) -> None:
    confirm = ("--confirm", "seen", "--by", "AB")
    ran = on_shop("gauge", "trace", "caliper 1", "--bias", "0.05", "--from", "2001-01-01", *confirm)
    assert ran.status == 0 and "is 2001-01-01 right?" in ran.out
    assert "gauge take-back 'caliper 1' --from 2001-01-01 takes it back" in ran.err
    undo = on_shop("gauge", "take-back", "caliper 1", "--from", "2001-01-01", "--why", "a slip", "--by", "AB")
    assert undo.status == 0


def test_a_trace_counts_in_words(on_shop: Run) -> None:
    on_shop("log", "--on", "stick 1", "--by", "AB", "--with", "caliper 1", stdin="F2 40.59\n")
    out = on_shop("gauge", "trace", "caliper 1", "--bias", "+0.05", "--from", "2026-01-01").out
    assert "1 reading on 1 tool or casting." in out
