"""Who reads off is one sentence, and only who was at work lately."""

from __future__ import annotations

from pathlib import Path

from inspect_tui.metrology.typed.show import MM
from inspect_tui.shop.gauges import pooled
from inspect_tui.shop.gauges.reads_off import reads_off
from inspect_tui.shop.trends import kept as trend_kept
from tests.worlds.many_hands import changed_for_good, shop


def test_a_gauge_that_changed_for_good_is_one_sentence(tmp_path: Path) -> None:
    many = shop(tmp_path / "changed.db", boxes=2, of_each=6, of_castings=0)
    many.read(changed_for_good(12, 1, 0.08))
    known, kept = pooled.in_force(many.record), trend_kept.compute(many.record)[0]
    (off,) = reads_off(known, kept, MM)
    assert off.sentence.startswith("the gauge changed on 2025-02-05: caliper G0 reads 0.08 lower than caliper G1")
    newest = max(k.last_day for k in kept if k.last_day is not None)
    assert reads_off(known, [k._replace(last_day=newest + 300) for k in kept], MM) == ()
    assert reads_off(known, [], MM) == ()
