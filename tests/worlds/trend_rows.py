"""A kept summary of a trend, written out once: tests change what they are about."""

from __future__ import annotations

from inspect_tui.record.ask.trend_rows import KeptTrend


def kept_trend(box: int = 1, /, **changes: object) -> KeptTrend:
    """A row of the list of trends, of a box: 1000 left of a limit, 100 a week, unless told otherwise."""
    plain = KeptTrend(
        tool_of_id=bytes([box]) * 16,
        feature_id=bytes([box]) * 16,
        source="tool",
        job_of_id=b"j" * 16,
        label=f"box {box}",
        balloon="F1",
        name="width",
        unit="mm",
        n=40,
        last_day=739000,
        count_day=739000,
        kind="left",
        value_mm=80.9,
        target_mm=80.8,
        limit_mm=81.4,
        rate=1e-5,
        u_rate=1e-6,
        now=500.0,
        total=900.0,
        per_week=100.0,
        cores_left=1000.0,
        low=700.0,
        high=1500.0,
        risk=0.0,
        sentence="said",
        remarks="",
    )
    return plain._replace(**changes)
