"""What each tool makes in a week, from its counts."""

from __future__ import annotations

from pathlib import Path

import pytest

from inspect_tui.shop.trends import kept as trend_kept
from inspect_tui.shop.trends.counts.makings import makings
from tests.worlds.worn_box import WornBox


def test_tools_with_a_rate_have_their_counts_and_no_others(tmp_path: Path) -> None:
    worn = WornBox(tmp_path / "worn.db")
    worn.wear(20)
    kept = trend_kept.compute(worn.record)[0]
    made = makings(worn.record, kept)
    assert set(made) == {worn.box.of_id}
    assert made[worn.box.of_id].per_week == pytest.approx(200) and made[worn.box.of_id].scatter < 1
    assert makings(worn.record, [k._replace(per_week=None) for k in kept]) == {}
    worn.record.close()
