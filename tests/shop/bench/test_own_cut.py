"""What the Bench advises is taken over as work once, stands among the cuts to make, and is done when measured."""

from __future__ import annotations

import pytest

from inspect_tui.errors import DataError
from inspect_tui.shop.bench import own_cut
from inspect_tui.shop.bench.outcomes import Logged
from inspect_tui.shop.first_article.taken_over import to_make
from tests.conftest import SmallShop


def test_advice_becomes_work_that_is_done_when_the_size_was_read_again(shop: SmallShop) -> None:
    bench = shop.bench()
    tool = bench.subject.tool
    bench.goto("F1")
    logged = bench.take("59.95")
    assert tool and isinstance(logged, Logged) and own_cut.advised(bench, logged)
    written = own_cut.take_over(bench, logged, shop.ab)
    assert logged.judged.cut and written.words == logged.judged.cut.words
    (work,) = to_make(shop.record, bench.job, tool)
    assert (work.words, work.change_mm, work.round) == (written.words, pytest.approx(-0.36), "no lot")
    ((balloon, promised),) = work.promises
    assert balloon == "F1" and promised == pytest.approx(59.95 / 1.01 + logged.judged.cut.casting_mm)
    with pytest.raises(DataError, match="work already"):
        own_cut.take_over(bench, logged, shop.ab)
    bench.goto("F1")
    bench.take("59.60")
    assert to_make(shop.record, bench.job, tool) == ()


def test_at_target_and_on_a_casting_nothing_is_advised(shop: SmallShop) -> None:
    bench = shop.bench()
    bench.goto("F1")
    logged = bench.take("59.59")
    assert isinstance(logged, Logged) and not own_cut.advised(bench, logged)
    assert not own_cut.advised(bench, None)
    with pytest.raises(DataError, match="Nothing is advised"):
        own_cut.take_over(bench, logged, shop.ab)
