"""The shipped SQL is what the registry says, with a table for every kind and readings in partitions by time."""

from __future__ import annotations

from itertools import pairwise

from inspect_tui.hub import ddl, set_up
from inspect_tui.record.kinds import KINDS


def test_the_shipped_file_is_what_the_registry_says() -> None:
    assert set_up.sql_file() == ddl.text()  # python -m inspect_tui.hub.ddl > schema/hub/001_hub.sql


def test_every_kind_has_its_table_guarded() -> None:
    text = ddl.text()
    for kind in KINDS:
        assert f'CREATE TABLE hub."{kind.table}" (' in text
        assert f'CREATE POLICY own_shop ON hub."{kind.table}" TO hub_bench' in text
    assert "GRANT UPDATE" not in text and "GRANT DELETE" not in text and "GRANT ALL" not in text


def test_the_partitions_of_readings_follow_one_another_by_the_time_in_ids() -> None:
    lines = [line for line in ddl.text().splitlines() if "PARTITION OF hub.reading FOR" in line]
    ends = [(line.split("FROM ('")[1][:14], line.split("TO ('")[1][:14]) for line in lines]
    assert all(a[1] == b[0] for a, b in pairwise(ends))
    assert ends[5][0] == "\\x" + f"{1577836800000:012x}"  # 2020-01-01 UTC, from a calendar
