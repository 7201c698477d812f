"""All shops of a hub, each whole and apart, into Parquet by shop and year."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import duckdb
import psycopg
import pytest

from inspect_tui.cli import main
from inspect_tui.hub.connect import HubError
from inspect_tui.hub.shops import each_shop
from tests.hub.conftest import Hub
from tests.record.merge.conftest import Station

Make = Callable[[str], Station]


def test_each_shop_is_a_record_of_its_own(two_shops: Hub) -> None:
    read = {}
    for name, record in each_shop(two_shops.bench("reader")):
        assert record.verify().ok
        read[name] = sorted(logged.reading.value for logged in record.readings())
    assert read == {"another shop": [60.1], "our shop": [59.1, 59.2]}
    with pytest.raises(HubError):
        list(each_shop(two_shops.bench("bench_a")))  # a bench does not see who else there is


def test_export_over_a_hub(two_shops: Hub, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["export", "--hub", two_shops.bench("reader"), "--to", str(tmp_path / "out")]) == 0
    out = capsys.readouterr().out.splitlines()
    assert out[0].endswith("README.md") and all(Path(line).is_file() for line in out)
    with duckdb.connect() as con:
        rows = con.execute(
            f"SELECT shop, count(*), min(year) > 2000 FROM "
            f"read_parquet('{tmp_path / 'out' / 'readings'}/**/*.parquet', hive_partitioning = true) "
            "GROUP BY shop ORDER BY shop"
        ).fetchall()
    assert rows == [("another shop", 1, True), ("our shop", 2, True)]
    assert main(["export", "--hub", two_shops.bench("reader"), "--to", str(tmp_path / "out")]) == 2


def test_what_is_not_whole_is_refused(two_shops: Hub) -> None:
    with psycopg.connect(two_shops.owner) as con:
        con.execute("UPDATE hub.reading SET value = 61 WHERE value = 60.1")
    with pytest.raises(HubError, match="holds of another shop is not whole"):
        list(each_shop(two_shops.bench("reader")))
