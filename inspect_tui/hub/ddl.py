"""Writes the SQL of the hub from the registry of what is recorded.

`python -m inspect_tui.hub.ddl > schema/hub/001_hub.sql` makes the file that is shipped.
The tables are those of a bench with the shop before them and nothing that ties one row to another: rows come in any
order. Readings lie in partitions by the time in their ids, entries in partitions by device.
"""

from __future__ import annotations

from datetime import UTC, datetime

from inspect_tui.record.kinds import KINDS, READING, Kind

VERSION = 1
FIRST_YEAR, LAST_YEAR = 2015, 2045  # outside of them readings lie in one more partition
_TYPES = {"b": "bytea", "r": "double precision", "i": "bigint", "o": "smallint"}

_HEAD = """\
-- The hub: one PostgreSQL database for the benches of one shop or several. Made by inspect_tui/hub/ddl.py.
-- A bench may add and read what is of its own shop; nobody may change or delete.

CREATE SCHEMA hub;
CREATE TABLE hub.version (number integer NOT NULL);
INSERT INTO hub.version VALUES ({version});
CREATE TABLE hub.shop (id integer GENERATED ALWAYS AS IDENTITY PRIMARY KEY, name text NOT NULL UNIQUE);
CREATE TABLE hub.login (role name PRIMARY KEY, shop_id integer NOT NULL REFERENCES hub.shop(id));

-- Whose rows a login may see and add: looked up by who logged in, never by a setting that a client can change.
CREATE FUNCTION hub.my_shop() RETURNS integer LANGUAGE sql STABLE SECURITY DEFINER
  SET search_path = pg_catalog AS $$ SELECT l.shop_id FROM hub.login l WHERE l.role = session_user $$;
CREATE FUNCTION hub.my_shop_name() RETURNS text LANGUAGE sql STABLE SECURITY DEFINER
  SET search_path = pg_catalog AS $$ SELECT s.name FROM hub.shop s WHERE s.id = hub.my_shop() $$;
"""

# the columns of an entry with their types, in the order in which they are sent, and what else is asked of them
ENTRY = {
    "device_id": ("bytea", " NOT NULL CHECK (length(device_id) = 16)"),
    "seq": ("bigint", " NOT NULL CHECK (seq > 0)"),
    "kind": ("integer", " NOT NULL"),
    "fmt": ("integer", " NOT NULL"),
    "id": ("bytea", " NOT NULL CHECK (length(id) = 16)"),
    "at_us": ("bigint", " NOT NULL"),
    "tz_min": ("integer", " NOT NULL"),
    "by_id": ("bytea", ""),
    "hash": ("bytea", " NOT NULL CHECK (length(hash) = 32)"),
}

_PICTURE = """
CREATE TABLE hub.picture (
  of_shop integer NOT NULL DEFAULT hub.my_shop(),
  sha256 text NOT NULL CHECK (length(sha256) = 64),
  content bytea NOT NULL CHECK (length(content) <= 26214400),
  PRIMARY KEY (of_shop, sha256)
);
"""

_RIGHTS = """
REVOKE ALL ON SCHEMA hub FROM PUBLIC;
REVOKE ALL ON ALL FUNCTIONS IN SCHEMA hub FROM PUBLIC;
GRANT USAGE ON SCHEMA hub TO hub_bench, hub_read;
GRANT EXECUTE ON FUNCTION hub.my_shop(), hub.my_shop_name() TO hub_bench, hub_read;
GRANT SELECT ON hub.version TO hub_bench, hub_read;
GRANT SELECT ON hub.shop TO hub_read;
"""


def quoted(name: str) -> str:
    """A name of ours as SQL: some of them (`session`, `limit`) are words of the language."""
    return f'"{name}"'


def text() -> str:
    """All statements, in order."""
    parts = [_HEAD.format(version=VERSION), _entry()]
    parts += [
        f"CREATE TABLE hub.entry_{n} PARTITION OF hub.entry FOR VALUES WITH (MODULUS 8, REMAINDER {n});\n"
        for n in range(8)
    ]
    parts.append("CREATE INDEX entry_id ON hub.entry (id);\n")
    parts.append(_PICTURE)
    parts += [_table(kind) for kind in KINDS]
    parts.append(_partitions())
    parts.append(_RIGHTS)
    parts += [_guarded(name) for name in ("entry", "picture", *(kind.table for kind in KINDS))]
    return "".join(parts)


def types(table: str) -> list[str]:
    """The types of the columns of a table as they are sent, without the shop before them."""
    if table == "entry":
        return [sort for sort, _ in ENTRY.values()]
    (kind,) = (kind for kind in KINDS if kind.table == table)
    return [_TYPES.get(column.type, "text") for column in kind.columns]


def _entry() -> str:
    columns = ",\n".join(f"  {name} {sort}{rest}" for name, (sort, rest) in ENTRY.items())
    return (
        f"\nCREATE TABLE hub.entry (\n  of_shop integer NOT NULL DEFAULT hub.my_shop(),\n{columns},\n"
        "  PRIMARY KEY (device_id, seq)\n) PARTITION BY HASH (device_id);\n"
    )


def _table(kind: Kind) -> str:
    later = _later(kind)
    columns = ",\n".join(
        f"  {quoted(column.name)} {sort}{'' if column.optional or column.name in later else ' NOT NULL'}"
        for column, sort in zip(kind.columns, types(kind.table), strict=True)
    )
    by_time = " PARTITION BY RANGE (id)" if kind is READING else ""
    return (
        f"\nCREATE TABLE hub.{quoted(kind.table)} (\n  of_shop integer NOT NULL DEFAULT hub.my_shop(),\n{columns},\n"
        f"  PRIMARY KEY (id)\n){by_time};\n"
    )


def _later(kind: Kind) -> set[str]:
    """Columns that rows of an older format do not have."""
    first = kind.names_of(1)
    return set(kind.names[len(first) :]) if first is not None else set()


def _id_at(year: int) -> str:
    """The least id of a year: ids begin with 48 bits of milliseconds."""
    at_ms = int(datetime(year, 1, 1, tzinfo=UTC).timestamp() * 1000)
    return f"'\\x{at_ms:012x}{'0' * 20}'"


def _partitions() -> str:
    years = [
        f"CREATE TABLE hub.reading_{year} PARTITION OF hub.reading "
        f"FOR VALUES FROM ({_id_at(year)}) TO ({_id_at(year + 1)});\n"
        for year in range(FIRST_YEAR, LAST_YEAR)
    ]
    return "\n" + "".join(years) + "CREATE TABLE hub.reading_other PARTITION OF hub.reading DEFAULT;\n"


def _guarded(table: str) -> str:
    """Add and read one's own shop's rows; who reads for analysis sees all shops."""
    name = f"hub.{quoted(table)}"
    return (
        f"\nGRANT SELECT, INSERT ON {name} TO hub_bench;\nGRANT SELECT ON {name} TO hub_read;\n"
        f"ALTER TABLE {name} ENABLE ROW LEVEL SECURITY;\nALTER TABLE {name} FORCE ROW LEVEL SECURITY;\n"
        f"CREATE POLICY own_shop ON {name} TO hub_bench USING (of_shop = (SELECT hub.my_shop())) "
        f"WITH CHECK (of_shop = (SELECT hub.my_shop()));\n"
        f"CREATE POLICY all_shops ON {name} FOR SELECT TO hub_read USING (true);\n"
    )


if __name__ == "__main__":
    print(text(), end="")
