"""What each tool makes in a week, from its counts."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

import pytest

from inspect_tui.model.trends import ToolCount
from inspect_tui.shop.trends import kept as trend_kept
from inspect_tui.shop.trends.counts.counter import counter_of
from inspect_tui.shop.trends.counts.makings import makings
from tests.shop.trends.test_trend import worn  # noqa: F401  a fixture
from tests.worlds.worn_box import START, WornBox


def test_tools_with_a_rate_have_their_counts_and_no_others(tmp_path: Path) -> None:
    worn = WornBox(tmp_path / "worn.db")
    worn.wear(20)
    kept = trend_kept.compute(worn.record)[0]
    made = makings(worn.record, kept)
    assert set(made) == {worn.box.of_id}
    assert made[worn.box.of_id].per_week == pytest.approx(200) and made[worn.box.of_id].scatter < 1
    assert makings(worn.record, [k._replace(per_week=None) for k in kept]) == {}
    worn.record.close()


def test_what_was_kept_is_taken_and_counts_are_not_read_again(worn: WornBox, monkeypatch: pytest.MonkeyPatch) -> None:
    worn.wear(20)
    trend_kept.refresh(worn.record, worn.record.path)
    kept = worn.record.kept_trends()
    monkeypatch.setattr(worn.record, "kept_makings", dict, raising=False)
    counted = makings(worn.record, kept)
    monkeypatch.undo()
    assert counted and worn.record.kept_makings() == {
        tool: (made.per_week, made.u, made.scatter) for tool, made in counted.items()
    }

    def never(tool_of_id: bytes) -> list[ToolCount]:
        raise AssertionError("the counts were read again")

    monkeypatch.setattr(worn.record, "tool_counts", never, raising=False)
    assert makings(worn.record, kept) == counted
    assert all(row.source != "making" for row in worn.record.kept_recent())


def test_what_was_kept_of_another_rate_does_not_count(worn: WornBox) -> None:
    worn.wear(20)
    trend_kept.refresh(worn.record, worn.record.path)
    kept = [row._replace(per_week=row.per_week + 1.0) for row in worn.record.kept_trends() if row.per_week]
    worn.count(9000, (START + timedelta(weeks=21)).isoformat())
    assert makings(worn.record, kept)[worn.box.of_id] == counter_of(worn.record, worn.job, worn.box).making
