from __future__ import annotations

import subprocess
import sys
from itertools import pairwise
from pathlib import Path

import pytest

from inspect_tui.errors import TableError
from inspect_tui.metrology.sizes import tables

RANGED = {
    "iso2768_1": ("kind", "grade"),
    "iso8062_3_dctg": ("grade",),
    "iso8062_3_rmag": ("grade",),
    "iso286_it": ("grade",),
    "iso286_deviation": ("letter",),
}


def test_the_tables_of_the_trade_are_shipped():
    assert set(tables.names()) >= {
        "alloy_names",
        "contraction",
        "core_prints",
        "draft",
        "iso2768_1",
        "iso286_deviation",
        "iso286_it",
        "iso8062_3_dctg",
        "iso8062_3_rmag",
        "iso8062_grades_by_process",
        "machining_allowance",
        "material_names",
        "materials",
        "pattern_tolerances",
        "sources",
    }


@pytest.mark.parametrize("name", [n for n in tables.names() if n != "sources"])
def test_every_row_says_where_it_comes_from_and_how_sure_that_is(name):
    assert tables.rows(name)
    for row in tables.rows(name, contradicted=True):
        assert row["source"], row
        assert row["status"] in ("found", "memory", "common-practice", "computed"), row


def test_every_source_is_used_and_every_key_has_one():
    used = {
        row["src"] for name in tables.names() if name != "sources" for row in tables.rows(name, True) if "src" in row
    }
    assert used == {row["src"] for row in tables.rows("sources")}


def test_contradicted_rows_are_kept_but_not_used():
    for name in ("iso2768_1", "iso286_it", "iso8062_3_dctg", "core_prints", "materials"):
        kept = tables.rows(name, contradicted=True)
        used = tables.rows(name)
        assert 0 < len(kept) - len(used) < 5
        assert not any("DISAGREES" in row["note"] for row in used)


@pytest.mark.parametrize("name", RANGED)
def test_ranges_join_without_gap_or_overlap(name):
    columns: dict[tuple[str, ...], list[tuple[float, float]]] = {}
    for row in tables.rows(name):
        key = tuple(row[cell] for cell in RANGED[name])
        columns.setdefault(key, []).append((float(row["over_mm"]), float(row["up_to_mm"] or "inf")))
    for key, ranges in columns.items():
        ordered = sorted(ranges)
        for (_, end), (start, _) in pairwise(ordered):
            assert end == start, (key, end, start)


def test_a_range_is_over_its_lower_and_up_to_its_upper_end():
    assert tables.lookup("iso8062_3_dctg", 40.0, grade="9")["up_to_mm"] == "40"
    assert tables.lookup("iso8062_3_dctg", 40.0001, grade="9")["over_mm"] == "40"
    assert tables.lookup("iso8062_3_dctg", 1e6, grade="9") is None


def test_an_unknown_table_is_a_sentence():
    with pytest.raises(TableError, match="no table called bolts"):
        tables.rows("bolts")


def test_a_short_source_has_no_address():
    for row in tables.rows("contraction"):
        short = tables.short(row["source"])
        assert short and "http" not in short and len(short) <= 120


def test_no_source_shows_its_address_even_where_it_has_no_other_name():
    assert tables.short("http://example.org/lift.php") == "an unnamed page"
    for row in tables.rows("sources"):
        assert "http" not in tables.short(row["source"]), row["src"]


def test_every_source_is_of_a_kind_and_pages_and_practice_are_weak():
    for row in tables.rows("sources"):
        assert row["kind"] in tables.KINDS
        address = "http" in row["source"]
        assert not (address and row["kind"] == "practice"), row["src"]
    weak = {row["source_kind"]: tables.weak(row) for row in tables.rows("contraction") if row["use"] != "old"}
    assert weak == {
        "standard": "",
        "handbook": "",
        "page": "weak: from a page of the web",
        "practice": "weak: shop practice, no source",
    }


def test_the_hash_covers_every_byte_but_not_the_line_endings(tmp_path, monkeypatch):
    for name in tables.names():
        tmp_path.joinpath(f"{name}.csv").write_bytes(tables._here().joinpath(f"{name}.csv").read_bytes())
    real = tables.sha256()
    assert len(real) == 64
    monkeypatch.setattr(tables, "_here", lambda: tmp_path)
    assert tables.sha256() == real

    table = tmp_path / "iso8062_3_dctg.csv"
    was = table.read_bytes()
    table.write_bytes(was.replace(b"\n", b"\r\n"))
    assert tables.sha256() == real
    table.write_bytes(was.replace(b"0.09", b"0.10", 1))
    assert tables.sha256() != real
    table.write_bytes(was)
    tmp_path.joinpath("more.csv").write_bytes(b"")
    assert tables.sha256() != real


def test_importing_reads_no_table_and_only_the_standard_library():
    code = """
import sys
before = set(sys.modules)
from inspect_tui.metrology.sizes import chain, contraction, movement, tables, tolerance
assert tables.rows.cache_info().currsize == 0, "a table was read at import"
new = {name.split(".")[0] for name in set(sys.modules) - before} - set(sys.stdlib_module_names)
assert new == {"inspect_tui"}, new
assert not {"csv", "hashlib", "importlib.resources"} & set(sys.modules), "the loader's own tools came too early"
movement.at_20c(100.0, 25.0, 11e-6)
tolerance.iso8062_3(59.0, 9)
contraction.plan("ductile iron", 59.0)
new = {name.split(".")[0] for name in set(sys.modules) - before} - set(sys.stdlib_module_names)
assert new == {"inspect_tui"}, new
"""
    root = Path(tables.__file__).parents[4]
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False, cwd=root)
    assert done.returncode == 0, done.stderr
