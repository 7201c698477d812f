"""A hub is made once; benches may add and read their own shop's rows, and nothing else."""

from __future__ import annotations

import psycopg
import pytest

from inspect_tui.hub import set_up
from inspect_tui.hub.connect import HubError, NotReached
from tests.hub.conftest import Hub, Server


def test_it_is_made_once_and_logins_are_let_in(server: Server, database: str) -> None:
    address = server.address(database)
    assert set_up.init(address) == ["The hub was made (version 1)."]
    assert set_up.init(address) == ["The hub is there already; nothing was changed."]
    done = set_up.init(address, "north shop", ("north_1",))
    assert done[0] == "The shop north shop was let in." and "north_1" in done[1]
    with pytest.raises(HubError, match="north_1 is of the shop north shop"):
        set_up.init(address, "south shop", ("north_1",))
    with psycopg.connect(address) as con:
        assert con.execute("SELECT name FROM hub.shop").fetchall() == [("north shop",)]  # nothing of it was kept
    with pytest.raises(HubError, match="of which shop"):
        set_up.init(address, "", ("x",))


FORBIDDEN = (
    "UPDATE hub.reading SET value = 1",
    "DELETE FROM hub.entry",
    "TRUNCATE hub.entry",
    "INSERT INTO hub.shop (name) VALUES ('mine')",
    "INSERT INTO hub.login VALUES ('bench_a', 2)",
    "SELECT * FROM hub.login",
    "SELECT * FROM hub.reading_2026",
    "DROP TABLE hub.reading",
    "ALTER TABLE hub.reading DISABLE ROW LEVEL SECURITY",
    "INSERT INTO hub.picture (of_shop, sha256, content) VALUES (2, repeat('a', 64), '')",
    "SET ROLE hub_read",
)


def test_a_bench_cannot_change_delete_or_look_elsewhere(hub: Hub) -> None:
    set_up.init(hub.owner, "another shop", ("bench_x",))
    with psycopg.connect(hub.bench("bench_a"), autocommit=True) as con:
        for act in FORBIDDEN:
            with pytest.raises(psycopg.errors.InsufficientPrivilege):
                con.execute(act)  # type: ignore[call-overload]


def test_a_shop_does_not_see_anothers_rows_and_a_reader_sees_all(hub: Hub) -> None:
    set_up.init(hub.owner, "another shop", ("bench_x",))
    for bench in ("bench_a", "bench_x"):
        with psycopg.connect(hub.bench(bench)) as con:
            con.execute("INSERT INTO hub.picture (sha256, content) VALUES (repeat('a', 64), '')")
            assert con.execute("SELECT count(*) FROM hub.picture").fetchone() == (1,)
            con.execute("SELECT set_config('hub.shop', '2', false)")
            assert con.execute("SELECT count(*) FROM hub.picture").fetchone() == (1,)
    with psycopg.connect(hub.owner) as con:
        con.execute("CREATE ROLE analyst LOGIN IN ROLE hub_read")
        con.commit()
    with psycopg.connect(hub.bench("analyst")) as con:
        assert con.execute("SELECT count(*), count(DISTINCT of_shop) FROM hub.picture").fetchone() == (2, 2)
        with pytest.raises(psycopg.errors.InsufficientPrivilege):
            con.execute("INSERT INTO hub.picture (of_shop, sha256, content) VALUES (1, repeat('b', 64), '')")


def test_who_does_not_own_the_database_is_told(hub: Hub, server: Server) -> None:
    with pytest.raises(HubError, match=r"The hub (does not allow|refused) that"):
        set_up.init(hub.bench("bench_a"), "mine")
    with pytest.raises(NotReached, match="cannot be reached"):
        set_up.init(f"postgresql://postgres@/nothing?host={server.folder}")
    with pytest.raises(HubError):
        set_up.init("postgresql://postgres@:x/nothing")
