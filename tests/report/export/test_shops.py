"""Readings of several shops lie in folders by shop and year, and the questions that come with them answer right."""

from __future__ import annotations

from pathlib import Path

import duckdb
import pytest

from inspect_tui.report.export import shops
from inspect_tui.report.paper.file import PaperError
from inspect_tui.shop.jobs.export_columns import COLUMNS

KINDS = {
    "text": "VARCHAR",
    "integer": "BIGINT",
    "number": "DOUBLE",
    "yes/no": "BOOLEAN",
    "day": "DATE",
    "time": "TIMESTAMP",
}


def lay_out(target: Path, rows: list[dict[str, object]]) -> None:
    """Rows as the export has them, those that are not named empty."""
    with duckdb.connect() as con:
        con.execute(f"CREATE TABLE r ({', '.join(f'{chr(34)}{c.name}{chr(34)} {KINDS[c.kind]}' for c in COLUMNS)})")
        con.execute("ALTER TABLE r ADD COLUMN shop VARCHAR; ALTER TABLE r ADD COLUMN year BIGINT")
        for n, row in enumerate(rows):
            said = {"counts": True, "unit": "mm", "line": str(n), "shop": "north", "year": 2025, **row}
            names = ", ".join(f'"{name}"' for name in said)
            con.execute(f"INSERT INTO r ({names}) VALUES ({', '.join('?' * len(said))})", list(said.values()))
        con.execute(f"COPY r TO '{target / shops.FOLDER}' (FORMAT parquet, PARTITION_BY (shop, year))")


def asked(target: Path, name: str) -> list[tuple[object, ...]]:
    with duckdb.connect() as con:
        return con.execute(shops.QUERIES[name][1].replace("{readings}", str(target / shops.FOLDER))).fetchall()


def test_wear_by_alloy_and_material_by_hand(tmp_path: Path) -> None:
    """0.10, 0.15, 0.20 mm away after 0, 1000, 2000 cores: 0.05 mm for 1000; two counts alone say nothing."""
    on_box = {"job": "J", "tool": "box 3", "measured_on": "tool", "alloy": "grey iron", "tool_material": "resin"}
    rows = [
        {**on_box, "feature": "F1", "count": 1000.0 * n, "line_mean": 60.1 + 0.05 * n, "target": 60.0} for n in range(3)
    ]
    rows += [{**on_box, "feature": "F2", "count": 1000.0 * n, "line_mean": 9.0, "target": 8.0} for n in range(2)]
    rows.append({**rows[2], "line_mean": 99.0, "counts": False, "line": "struck"})
    lay_out(tmp_path, rows)
    ((alloy, material, sizes, wear, high),) = asked(tmp_path, "wear")
    assert (alloy, material, sizes) == ("grey iron", "resin", 1)
    assert wear == pytest.approx(0.05) and high == pytest.approx(0.05)


def test_contraction_by_alloy_foundry_and_size_by_hand(tmp_path: Path) -> None:
    """Tool 60.60, castings 60.00 and 60.12: 1.000 % and 0.798 %, mean 0.899 %."""
    size = {"job": "J", "feature": "F1", "nominal": 60.0, "alloy": "grey iron", "foundry": "Hill"}
    tool = {**size, "tool": "box 3", "tool_kind": "core_box", "measured_on": "tool", "corrected": 60.60}
    rows = [tool, {**tool, "feature": "F9"}, {**tool, "tool_kind": "core_stick", "corrected": 99.0}]
    for serial, read in (("S1", 60.00), ("S2", 60.12)):
        rows.append({**size, "serial": serial, "measured_on": "casting", "casting_state": "raw", "corrected": read})
    rows.append({**rows[-1], "casting_state": "finished", "corrected": 50.0})
    lay_out(tmp_path, rows)
    ((alloy, foundry, mm, pairs, percent, scatter),) = asked(tmp_path, "contraction")
    assert (alloy, foundry, mm, pairs) == ("grey iron", "Hill", "50 to 250", 2)
    assert percent == pytest.approx((1.0 + 100 * (60.60 / 60.12 - 1)) / 2)
    assert scatter == pytest.approx((1.0 - 100 * (60.60 / 60.12 - 1)) / 2**0.5)


def test_gauge_drift_by_hand(tmp_path: Path) -> None:
    """On one size caliper 1 reads 60.00, caliper 2 reads 60.04 later 60.08: means 60.04; off -0.04, 0.00, +0.04."""
    at = {"job": "J", "tool": "box 3", "feature": "F1"}
    rows = [
        {**at, "gauge": "caliper 1", "corrected": 60.00},
        {**at, "gauge": "caliper 2", "corrected": 60.04},
        {**at, "gauge": "caliper 2", "corrected": 60.08, "year": 2026},
        {**at, "feature": "F2", "gauge": "caliper 1", "corrected": 10.0},
    ]
    lay_out(tmp_path, rows)
    off = {(gauge, year): (n, away) for _, gauge, year, n, away, _ in asked(tmp_path, "gauges")}
    assert off == {
        ("caliper 1", 2025): (1, pytest.approx(-0.04)),
        ("caliper 2", 2025): (1, pytest.approx(0.0, abs=1e-9)),
        ("caliper 2", 2026): (1, pytest.approx(0.04)),
    }


def test_an_older_export_is_not_written_over_unasked(tmp_path: Path) -> None:
    lay_out(tmp_path, [{}])
    with pytest.raises(PaperError, match="is there already"):
        shops.place(tmp_path)
    assert shops.place(tmp_path, force=True) == tmp_path and not (tmp_path / shops.FOLDER).exists()
    (made,) = shops.finish(tmp_path, COLUMNS)
    text = made.read_text("utf-8")
    assert "regr_slope" in text and "| tool_material |" in text and "{readings}" not in text
