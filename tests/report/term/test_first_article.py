"""The first article in a terminal: what to raise on the machine is said where anything moves."""

from __future__ import annotations

from inspect_tui.report.term.first_article import cuts_text, forecast_words, promises_text, stock_text
from inspect_tui.shop.first_article.cuts import ticked
from inspect_tui.shop.first_article.findings import Stock
from inspect_tui.shop.first_article.result import PromiseLine
from tests.shop.first_article.test_cuts import LIST
from tests.worlds.report_samples import _stock


def test_a_terminal_shows_the_targets_where_any_moves() -> None:
    shown = stock_text(_stock(("C1",)), 80).plain
    assert "datum targets, mm raised: A1 -0.20, A2 +0.40, A3 stays" in shown
    assert all(len(line) <= 80 for line in shown.splitlines())
    from inspect_tui.frozen import replace

    still = _stock(("C1",)).castings[0]
    still = replace(still, targets=tuple((name, 0.0) for name, _ in still.targets))
    assert "datum targets" not in stock_text(Stock((still,), ()), 80).plain


def test_the_forecast_says_with_which_cuts_and_shows_what_they_move() -> None:
    shown = cuts_text(ticked(LIST, [1]), (), (), 80).plain
    assert "forecast with cut 1 made: mean of the castings" in shown
    assert "P         41.00 →     40.01 ± 0.21" in shown and "W         50.00 →     50.49" in shown
    assert "forecast with cuts 1, 2 made" in cuts_text(ticked(LIST, [1, 2]), (), (), 80).plain
    assert "forecast" not in cuts_text(ticked(LIST, []), (), (), 80).plain
    assert all(len(line) <= 80 for line in shown.splitlines())


def test_a_forecast_in_one_sentence_names_what_is_likely_to_be_out() -> None:
    assert forecast_words(ticked(LIST, [1])) == "With 1 made the next casting is likely within all its limits."
    assert forecast_words(ticked(LIST, [2])) == (
        "With 2 made, chance to be within limits: P <1 %; all others are likely within."
    )
    assert forecast_words(ticked(LIST, [])) == ""


def test_a_promise_says_how_far_it_may_be_off_and_which_mould_is_left_out() -> None:
    line = PromiseLine(
        balloon="F02",
        round="S1",
        before=625.24,
        promised=624.0,
        u_promised=0.1,
        got=624.2,
        u_got=0.1,
        word="as promised",
        allowed=0.283,
        left_out=("S2-3",),
    )
    shown = promises_text([line]).plain
    assert "got    624.20  ✓ as promised (may be 0.28 off)" in shown
    assert "without casting S2-3: its mould is named as wrong" in shown
