"""Things that were entered twice and that somebody said are one: every question sees one id for both.

Nothing that is recorded changes. A question is asked with the tables that it names put before it once more
(`WITH tool AS ...`), and in these the ids of one thing are all the oldest of them. What follows from that is seen too:
cores of one number in one job, one size on one tool, one balloon of a drawing that was entered twice.
"""

from __future__ import annotations

import re
import sqlite3
from collections.abc import Iterable
from time import gmtime, strftime

from inspect_tui.record import kinds
from inspect_tui.record.chain.ids import written_ms
from inspect_tui.record.conditions import newest, there
from inspect_tui.record.kinds import KINDS, Kind

_OF = {  # columns that name a thing by its first version, or by its id where there are no versions
    "job_of_id": kinds.JOB.number,
    "tool_of_id": kinds.TOOL.number,
    "core_of_id": kinds.CORE.number,
    "instrument_of_id": kinds.INSTRUMENT.number,
    "person_of_id": kinds.PERSON.number,
    "lot_id": kinds.LOT.number,
    "item_id": kinds.ITEM.number,
}
# readings are too many to be seen through a function, what is asked of them names every id of a thing (`ids_of`)
_AS_WRITTEN = ("reading", "note", "same_thing", "put_aside")
_NAMED = {kinds.PERSON.number: "initials", kinds.INSTRUMENT.number: "label"}  # what lists are grouped by

Certificates = dict[bytes, list[tuple[str, bytes]]]  # day and id
First = dict[bytes, bytes]  # an id -> the id that its thing goes by


class Ones:
    """Which ids are one thing, and the tables as questions see them."""

    def __init__(
        self,
        first: First,
        said: set[int],
        names: dict[bytes, str],
        pins: dict[bytes, str],
        certificates: Certificates,
        carried: dict[bytes, bytes | None],
        schema: str,
    ) -> None:
        """`said`: kinds of which something is one; `names` and `pins` by first version; `carried`: the row before.

        `certificates`: of gauges entered twice, by every version of theirs, the oldest first.
        `schema`: of the tables, main, or temp where the record is seen as it was.
        """
        self._schema, self._certificates = schema, certificates
        self.first, self._said, self._names, self._pins, self._carried = first, said, names, pins, carried
        self.every: dict[bytes, list[bytes]] = {}
        for other, oldest in sorted(first.items()):
            self.every.setdefault(oldest, [oldest]).append(other)
        self._seen: dict[str, str] = {}
        self._tables = {kind.table: text for kind in KINDS if (text := self._table(kind))}
        self._word = re.compile(rf"\b({'|'.join(self._tables)})\b") if self._tables else None

    def tell(self, con: sqlite3.Connection) -> None:
        """Give a connection the functions that the tables are seen through."""
        first, names, pins, carried = self.first, self._names, self._pins, self._carried
        con.create_function("one_of", 1, lambda id_: first.get(id_, id_), deterministic=True)
        con.create_function("name_of", 2, lambda id_, name: names.get(id_, name), deterministic=True)
        con.create_function("pin_of", 2, lambda id_, pin: pins.get(id_, pin), deterministic=True)
        con.create_function("certificate_of", 4, self._certificate, deterministic=True)
        con.create_function("carried", 2, lambda id_, row: carried.get(id_, row), deterministic=True)

    def _certificate(self, gauge: bytes, named: bytes | None, day: str | None, setup: bytes) -> bytes | None:
        """The certificate of a setup: the one it names, else the newest then of the same gauge as entered elsewhere."""
        if named is not None or gauge not in self._certificates:
            return named
        then = day or strftime("%Y-%m-%d", gmtime(written_ms(setup) / 1000))
        done = [id_ for done_on, id_ in self._certificates[gauge] if done_on <= then]
        return done[-1] if done else None

    def seen(self, sql: str) -> str:
        """The question as it is asked: with the tables that it names in front of it."""
        asked = self._seen.get(sql)
        if asked is None:
            named = dict.fromkeys(self._word.findall(sql)) if self._word else {}
            asked = sql
            if named:
                tables = ", ".join(self._tables[name] for name in named)
                begun = re.match(r"\s*WITH RECURSIVE ", sql)
                asked = f"WITH RECURSIVE {tables}, {sql[begun.end() :]}" if begun else f"WITH {tables} {sql}"
            self._seen[sql] = asked
        return asked

    def _table(self, kind: Kind) -> str:
        """A table as it is seen, '' where nothing of it is different."""
        if kind.table in _AS_WRITTEN:
            return ""
        columns = [self._column(kind, name) for name in kind.names]
        plain = [f"t.{name}" for name in kind.names]
        only = " WHERE one_of(t.id) = t.id" if kind is kinds.LOT and kind.number in self._said else ""
        if columns == plain and not only:
            return ""
        return f"{kind.table} AS (SELECT {', '.join(columns)} FROM {self._schema}.{kind.table} t{only})"

    def _column(self, kind: Kind, name: str) -> str:
        number = kind.number if name == "of_id" else _OF.get(name)
        if number in self._said or (name == "about_id" and self._said):
            return f"one_of(t.{name}) AS {name}"
        if name == "same_as_id" and self._carried:
            return f"carried(t.id, t.{name}) AS {name}"
        if kind.number in self._said and name == _NAMED.get(kind.number):
            return f"name_of(t.of_id, t.{name}) AS {name}"
        if kind is kinds.SETUP and name == "calibration_id" and self._certificates:
            return f"certificate_of(t.instrument_id, t.{name}, t.on_date, t.id) AS {name}"
        if kind.number in self._said and name == "pin_hash":
            return f"pin_of(t.of_id, t.{name}) AS {name}"
        return f"t.{name}"


# ------------------------------------------------------------------------------ what is one
def pairs(con: sqlite3.Connection, state: str) -> list[tuple[int, bytes, bytes]]:
    """The kind and the two ids of every pair of which this was said last: `same` or `apart`."""
    last: dict[frozenset[bytes], tuple[str, tuple[int, bytes, bytes]]] = {}
    for kind, this, that, said in con.execute(
        "SELECT t.about_kind, t.this_id, t.that_id, t.state FROM same_thing t ORDER BY t.id"
    ):
        last[frozenset((this, that))] = (said, (kind, this, that))
    return [pair for said, pair in last.values() if said == state]


def load(con: sqlite3.Connection, schema: str) -> Ones | None:
    """What is one thing in a record, by the tables of a schema of the connection; None where nobody said so."""
    same = pairs(con, "same")
    if not same:
        return None
    groups = _Groups()
    for _, this, that in same:
        groups.join(this, that)
    said = {kind for kind, _, _ in same}
    carried: dict[bytes, bytes | None] = {}
    lines = groups
    if kinds.JOB.number in said and _cores(con, groups):
        said.add(kinds.CORE.number)
    if said & {kinds.JOB.number, kinds.FEATURE.number}:
        carried, lines = _features(con, groups)
    if kinds.TOOL.number in said and _tool_features(con, groups, lines):
        said.add(kinds.TOOL_FEATURE.number)
    first = groups.first()
    names = {
        of_id: name
        for kind, column in ((kinds.PERSON, "initials"), (kinds.INSTRUMENT, "label"))
        if kind.number in said
        for of_id, name in _last(con, first, kind, column).items()
    }
    pins = _last(con, first, kinds.PERSON, "pin_hash") if kinds.PERSON.number in said else {}
    certificates = _certificates(con, first) if kinds.INSTRUMENT.number in said else {}
    return Ones(first, said, names, pins, certificates, carried, schema)


class _Groups:
    """Ids that are joined; a group goes by the oldest of its ids."""

    def __init__(self) -> None:
        self._up: First = {}

    def of(self, id_: bytes) -> bytes:
        """What the group of an id goes by."""
        while (up := self._up.get(id_)) is not None:
            id_ = up
        return id_

    def join(self, this: bytes, that: bytes) -> bool:
        """Join two ids; False where they were one before."""
        one, other = sorted((self.of(this), self.of(that)))
        if one != other:
            self._up[other] = one
        return one != other

    def join_alike(self, rows: Iterable[tuple[bytes, object]]) -> bool:
        """Join the ids of which the same is said; whether any were."""
        by_said: dict[object, bytes] = {}
        return any([self.join(by_said.setdefault(said, id_), id_) for id_, said in rows])

    def first(self) -> First:
        """What the others go by."""
        return {id_: self.of(id_) for id_ in self._up}

    def all(self) -> set[bytes]:
        """Every id that was joined with another."""
        return {*self._up, *self._up.values()}


def _cores(con: sqlite3.Connection, groups: _Groups) -> bool:
    """Cores of one number in a job that was entered twice are one."""
    rows = con.execute(
        "SELECT t.of_id, t.job_of_id, t.number FROM core t "
        "WHERE NOT EXISTS (SELECT 1 FROM core r WHERE r.replaces_id = t.id) ORDER BY t.of_id"
    ).fetchall()
    twice = groups.all()
    return groups.join_alike((of_id, (groups.of(job), number)) for of_id, job, number in rows if job in twice)


def _tool_features(con: sqlite3.Connection, groups: _Groups, lines: _Groups) -> bool:
    """One size on the lists of two tools that are one is one line of one list."""
    twice = groups.all()
    rows = con.execute(
        "SELECT t.of_id, l.of_id, t.feature_id FROM tool_feature t JOIN tool l ON l.id = t.tool_id ORDER BY t.of_id"
    ).fetchall()
    return groups.join_alike(
        (of_id, (groups.of(tool), lines.of(feature))) for of_id, tool, feature in rows if tool in twice
    )


def _features(con: sqlite3.Connection, groups: _Groups) -> tuple[dict[bytes, bytes | None], _Groups]:
    """The row before each feature row, where a job was entered twice or two features were said to be one; the lines.

    Rows of one feature: carried from edition to edition, of one balloon in a job that was entered twice, or said to
    be one. They follow one another by the age of their editions.
    """
    twice = groups.all()
    rows = con.execute(
        "SELECT f.id, f.same_as_id, f.balloon, d.id, d.job_of_id FROM feature f "
        "JOIN drawing_revision d ON d.id = f.revision_id ORDER BY d.id, f.id"
    ).fetchall()
    lines = _Groups()  # of their own: an older edition is not the same row, it comes before
    before = {id_: same for id_, same, _, _, _ in rows}
    touched: set[bytes] = set()
    for id_, same, _, _, _ in rows:
        if same is not None:
            lines.join(id_, same)
        if id_ in twice:
            lines.join(id_, groups.of(id_))
            touched.add(id_)
    first_of: dict[tuple[bytes, str], bytes] = {}
    for id_, _, balloon, _, job in rows:
        if job in twice:
            lines.join(first_of.setdefault((groups.of(job), balloon), id_), id_)
            touched.add(id_)
    ends = {lines.of(id_) for id_ in touched}
    carried: dict[bytes, bytes | None] = {}
    last: dict[bytes, bytes] = {}
    for id_, _, _, _, _ in rows:
        if (line := lines.of(id_)) in ends:
            if before[id_] != last.get(line):
                carried[id_] = last.get(line)
            last[line] = id_
    return carried, lines


def _last(con: sqlite3.Connection, first: First, kind: Kind, column: str) -> dict[bytes, str]:
    """What the version that was written last says of a thing with several entries, by every one of their ids.

    What people and gauges are called in every line, and the PIN of whom any entry gives one.
    """
    every = {*first, *first.values()}
    last: dict[bytes, str] = {}
    for of_id, said in con.execute(
        f"SELECT t.of_id, t.{column} FROM {kind.table} t JOIN entry e ON e.id = t.id "
        f"WHERE {newest(kind.table)} AND t.{column} IS NOT NULL ORDER BY e.at_us, t.id"
    ):
        if of_id in every:
            last[first.get(of_id, of_id)] = said
    return {id_: last[first.get(id_, id_)] for id_ in every if first.get(id_, id_) in last}


def _certificates(con: sqlite3.Connection, first: First) -> Certificates:
    """The certificates that hold of gauges with several entries, by every version of each, the oldest first."""
    every = {*first, *first.values()}
    of_gauge: Certificates = {}
    for of_id, done_on, id_ in con.execute(
        f"SELECT t.instrument_of_id, t.done_on, t.id FROM calibration t WHERE {there('t.id')} ORDER BY t.done_on, t.id"
    ):
        if of_id in every:
            of_gauge.setdefault(first.get(of_id, of_id), []).append((done_on, id_))
    versions = con.execute("SELECT id, of_id FROM instrument").fetchall()
    return {id_: of_gauge[one] for id_, of_id in versions if (one := first.get(of_id, of_id)) in of_gauge}
