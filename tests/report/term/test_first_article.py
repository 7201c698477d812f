"""The first article in a terminal: what to raise on the machine is said where anything moves."""

from __future__ import annotations

from inspect_tui.report.term.first_article import stock_text
from inspect_tui.shop.first_article.findings import Stock
from tests.worlds.report_samples import _stock


def test_a_terminal_shows_the_targets_where_any_moves() -> None:
    shown = stock_text(_stock(("C1",)), 80).plain
    assert "datum targets, mm raised: A1 -0.20, A2 +0.40, A3 stays" in shown
    assert all(len(line) <= 80 for line in shown.splitlines())
    from inspect_tui.frozen import replace

    still = _stock(("C1",)).castings[0]
    still = replace(still, targets=tuple((name, 0.0) for name, _ in still.targets))
    assert "datum targets" not in stock_text(Stock((still,), ()), 80).plain
