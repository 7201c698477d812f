"""What two benches said apart and somebody has to decide: one name for two things, two versions, two answers."""

from __future__ import annotations

import sqlite3

from inspect_tui.frozen import NamedTuple
from inspect_tui.record import kinds, one_thing
from inspect_tui.record.conditions import newest, there
from inspect_tui.record.kinds import KINDS, Kind


class Clash(NamedTuple):
    """One thing to decide: its sort (name, version, reading), the kind of thing, what it is called, the ids, and why.

    Of names the ids are of the first versions; of versions of the versions themselves; of readings of the answers.
    A thing of a kind without names goes by what it is of: `count of tool box 3`, which is found a floor higher.
    """

    sort: str
    kind: Kind
    name: str
    ids: tuple[bytes, ...]
    benches: tuple[str, ...]

    @property
    def called(self) -> str:
        """The thing as people call it: `gauge caliper 9`."""
        named = self.sort == "reading" or _named(self.kind)
        return f"{_ONE.get(self.kind.table, self.kind.what)} {self.name}" if named else self.name or self.kind.what

    @property
    def words(self) -> str:
        """What it is and what settles it."""
        where = " and ".join(dict.fromkeys(self.benches))
        if self.sort == "name":
            return (
                f"There are {len(self.ids)} {_PLURAL.get(self.kind.table, f'things of kind {self.kind.what}')} called "
                f"{self.name} (entered at {where}): say that they are one, or call one otherwise."
            )
        if self.sort == "version":
            return f"{self.called} was edited twice ({where}): the later is shown; save the one that holds."
        return f"The {self.called} was corrected twice ({where}) and counts nowhere: settle which answer holds."


def _named(kind: Kind) -> str:
    """The column that a thing of this kind is called by; '' where there is none."""
    return next((n for n in ("label", "number", "initials", "name") if n in kind.names), "")


_ONE = {"instrument": "gauge", "item": "casting", "lot": "sampling"}
_PLURAL = {
    "person": "people",
    "instrument": "gauges",
    "job": "jobs",
    "tool": "tools",
    "item": "castings or sand cores",
    "lot": "samplings",
    "feature": "features",
}
_CALLED = "coalesce((SELECT r.name FROM renamed r WHERE r.about_id = t.id ORDER BY r.id DESC LIMIT 1), {})"
_NAMES = {  # kind -> what it is called, and the columns of what a name is one in
    kinds.PERSON: ("t.initials", ()),
    kinds.INSTRUMENT: ("t.label", ()),
    kinds.JOB: ("t.number", ()),
    kinds.TOOL: ("t.label", ("t.job_of_id",)),
    kinds.ITEM: (_CALLED.format("t.serial"), ("t.job_of_id", "t.kind", "t.lot_id")),
    kinds.LOT: (_CALLED.format("t.label"), ("t.job_of_id",)),
    kinds.FEATURE: ("t.balloon", ("t.revision_id",)),
}


def clashes(con: sqlite3.Connection) -> list[Clash]:
    """Everything that waits for a decision, names first."""
    return [*_names(con), *_versions(con), *_answers(con)]


def _names(con: sqlite3.Connection) -> list[Clash]:
    """Several things of one name, entered at several benches, that nobody said are one or are not."""
    ones = one_thing.load(con, "main")
    first = ones.first if ones is not None else {}
    told = {frozenset(first.get(id_, id_) for id_ in pair) for _, *pair in one_thing.pairs(con, "apart")}
    clashing = []
    for kind, (name, within) in _NAMES.items():
        of_id = "t.of_id" if kind.versioned else "t.id"
        current = newest(kind.table) if kind.versioned else "1"
        rows = con.execute(
            f"SELECT {', '.join((name, of_id, *within))}, coalesce(d.bench, '?'), e.device_id FROM {kind.table} t "
            f"JOIN entry e ON e.id = t.id LEFT JOIN device d ON d.id = e.device_id "
            f"WHERE {current} AND {there(of_id)} ORDER BY {of_id}"
        ).fetchall()
        by_name: dict[tuple[object, ...], dict[bytes, tuple[str, str, bytes]]] = {}
        for called, row_id, *inside, bench, device in rows:
            key = (called.casefold(), *(first.get(what, what) for what in inside))
            by_name.setdefault(key, {}).setdefault(first.get(row_id, row_id), (called, bench, device))
        for things in by_name.values():
            apart = [a for a in things if any(frozenset((a, b)) not in told for b in things if b != a)]
            if len({things[row_id][2] for row_id in apart}) > 1:  # at one bench somebody meant it so
                benches = tuple(things[row_id][1] for row_id in apart)
                clashing.append(Clash("name", kind, things[apart[0]][0], tuple(apart), benches))
    return clashing


def _versions(con: sqlite3.Connection) -> list[Clash]:
    """Things with more than one newest version: two benches changed them apart."""
    clashing = []
    for kind in KINDS:
        if not kind.versioned:
            continue
        twice = con.execute(
            f"SELECT t.of_id FROM {kind.table} t WHERE {newest(kind.table)} GROUP BY t.of_id HAVING count(*) > 1"
        ).fetchall()
        for (of_id,) in twice:
            rows = con.execute(
                f"SELECT t.id, coalesce(d.bench, '?') FROM {kind.table} t JOIN entry e ON e.id = t.id "
                f"LEFT JOIN device d ON d.id = e.device_id WHERE t.of_id = ? AND {newest(kind.table)} ORDER BY t.id",
                (of_id,),
            ).fetchall()
            name = _named(kind)
            called = ""
            if name:
                (called,) = con.execute(f"SELECT {name} FROM {kind.table} WHERE id = ?", (rows[-1][0],)).fetchone()
            clashing.append(
                Clash("version", kind, str(called), tuple(row[0] for row in rows), tuple(row[1] for row in rows))
            )
    return clashing


def _answers(con: sqlite3.Connection) -> list[Clash]:
    """Readings that two benches corrected or took out, each in its own way."""
    rows = con.execute(
        "SELECT s.target_id, r.typed || ' ' || r.typed_unit FROM supersede s JOIN reading r ON r.id = s.target_id "
        "GROUP BY s.target_id HAVING count(*) > 1 AND sum(s.settles_id IS NOT NULL) = 0"
    ).fetchall()
    clashing = []
    for target, typed in rows:
        answers = con.execute(
            "SELECT s.id, coalesce(d.bench, '?') FROM supersede s JOIN entry e ON e.id = s.id "
            "LEFT JOIN device d ON d.id = e.device_id WHERE s.target_id = ? ORDER BY s.id",
            (target,),
        ).fetchall()
        clashing.append(
            Clash("reading", kinds.READING, typed, tuple(a[0] for a in answers), tuple(a[1] for a in answers))
        )
    return clashing
