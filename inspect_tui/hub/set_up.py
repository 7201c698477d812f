"""Makes a hub in an empty database, and lets shops and their benches in."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from inspect_tui.hub import ddl
from inspect_tui.hub.connect import HubError, opened
from inspect_tui.record.file import schema

if TYPE_CHECKING:
    import psycopg

_ROLES = ("hub_bench", "hub_read")


def sql_file() -> str:
    """The statements that are shipped."""
    return schema.shipped().joinpath("hub", f"{ddl.VERSION:03}_hub.sql").read_text("utf-8")


def init(address: str, shop: str = "", benches: tuple[str, ...] = ()) -> list[str]:
    """Make the hub where there is none, and a shop with the logins of its benches; what was done, in sentences.

    To be called as who owns the database. Logins that do not exist are made without a password: whoever keeps the
    database gives them one by its own means. HubError with a sentence; then nothing of the step was kept.
    """
    if benches and not shop:
        raise HubError("Say of which shop these benches are.")
    with opened(address) as con, con.transaction():
        con.execute("SELECT pg_advisory_xact_lock(1230264649)")  # two who set up at once
        done = [] if _is_there(con) else _make(con)
        if shop:
            done += _let_in(con, shop, benches)
    return done or ["The hub is there already; nothing was changed."]


def _is_there(con: psycopg.Connection[Any]) -> bool:
    row = con.execute("SELECT to_regclass('hub.version')").fetchone()
    return row is not None and row[0] is not None


def _make(con: psycopg.Connection[Any]) -> list[str]:
    from psycopg import sql

    for role in _ROLES:
        if con.execute("SELECT 1 FROM pg_roles WHERE rolname = %s", (role,)).fetchone() is None:
            con.execute(sql.SQL("CREATE ROLE {} NOLOGIN").format(sql.Identifier(role)))
    con.execute(sql.SQL(sql_file()))
    row = con.execute("SELECT current_database()").fetchone()
    assert row is not None
    database = sql.Identifier(row[0])
    con.execute(sql.SQL("REVOKE ALL ON DATABASE {} FROM PUBLIC").format(database))
    con.execute(sql.SQL("GRANT CONNECT, TEMPORARY ON DATABASE {} TO hub_bench").format(database))
    con.execute(sql.SQL("GRANT CONNECT ON DATABASE {} TO hub_read").format(database))
    return [f"The hub was made (version {ddl.VERSION})."]


def _let_in(con: psycopg.Connection[Any], shop: str, benches: tuple[str, ...]) -> list[str]:
    from psycopg import sql

    done = []
    if con.execute("SELECT 1 FROM hub.shop WHERE name = %s", (shop,)).fetchone() is None:
        con.execute("INSERT INTO hub.shop (name) VALUES (%s)", (shop,))
        done.append(f"The shop {shop} was let in.")
    for bench in benches:
        if con.execute("SELECT 1 FROM pg_roles WHERE rolname = %s", (bench,)).fetchone() is None:
            con.execute(sql.SQL("CREATE ROLE {} LOGIN").format(sql.Identifier(bench)))
        con.execute(sql.SQL("GRANT hub_bench TO {}").format(sql.Identifier(bench)))
        row = con.execute(
            "SELECT s.name FROM hub.login l JOIN hub.shop s ON s.id = l.shop_id WHERE l.role = %s", (bench,)
        ).fetchone()
        if row is not None and row[0] != shop:
            raise HubError(f"The login {bench} is of the shop {row[0]}: take another name. Nothing was changed.")
        if row is None:
            con.execute("INSERT INTO hub.login SELECT %s, id FROM hub.shop WHERE name = %s", (bench, shop))
            done.append(f"The bench {bench} may add and read what is of {shop}; give its login a password.")
    return done
