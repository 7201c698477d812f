"""One write transaction: rows go into their tables, each with its entry in the chain, and the summaries move along."""

from __future__ import annotations

import sqlite3

from inspect_tui.errors import NotFound, RecordError
from inspect_tui.frozen import replace
from inspect_tui.model.measuring import Person, Reading, Setup, Supersede
from inspect_tui.model.work import ChainStep, End, Feature, ToolFeature
from inspect_tui.record import kinds
from inspect_tui.record.chain.canon import canonical, link
from inspect_tui.record.chain.clock import believed_until, doubt_of, local_day
from inspect_tui.record.chain.ids import Clock, IdMaker, written_ms
from inspect_tui.record.kinds import Kind, Value, kind_of

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Callable, Iterable
    from typing import Any

ADD_ENTRY = "INSERT INTO entry (device_id, seq, kind, fmt, id, at_us, tz_min, by_id, hash) VALUES (?,?,?,?,?,?,?,?,?)"

KEY = "coalesce(r.item_id, t.of_id), r.feature_id"  # of the summary that a reading belongs to, with its tool

# Welford's update: on the right-hand side every name is the value before this reading.
_MERGE = """
INSERT INTO cache_summary (subject_id, feature_id, n, mean, m2, min, max, last_id, last_value, last_at_us)
VALUES (?1, ?2, 1, ?3, 0.0, ?3, ?3, ?4, ?3, ?5)
ON CONFLICT (subject_id, feature_id) DO UPDATE SET
  n = n + 1, mean = mean + (?3 - mean) / (n + 1), m2 = m2 + (?3 - mean) * (?3 - mean) * n / (n + 1),
  min = min(min, ?3), max = max(max, ?3),
  last_value = iif(?4 > last_id, ?3, last_value), last_at_us = iif(?4 > last_id, ?5, last_at_us),
  last_id = max(last_id, ?4)"""

_REBUILD = """
WITH counted AS (
    SELECT subject_id, feature_id, id, value FROM reading_that_counts {where}),
  middle AS (
    SELECT subject_id, feature_id, count(*) AS n, avg(value) AS mean, min(value) AS lo, max(value) AS hi,
      max(id) AS last_id FROM counted GROUP BY subject_id, feature_id)
INSERT INTO cache_summary (subject_id, feature_id, n, mean, m2, min, max, last_id, last_value, last_at_us)
SELECT m.subject_id, m.feature_id, m.n, m.mean,
  (SELECT total((c.value - m.mean) * (c.value - m.mean)) FROM counted c
     WHERE c.subject_id = m.subject_id AND c.feature_id = m.feature_id),
  m.lo, m.hi, m.last_id, r.value, e.at_us
FROM middle m JOIN reading r ON r.id = m.last_id JOIN entry e ON e.id = m.last_id"""
# rows of which the newest about a thing holds: what they name it by, and which they answer
_ANSWERED: dict[Kind, tuple[tuple[str, ...], str]] = {
    kinds.WITHDRAWAL: (("about_id",), "about_id = ?1"),
    kinds.RENAMED: (("about_id",), "about_id = ?1"),
    kinds.SAME_THING: (("this_id", "that_id"), "this_id IN (?1, ?2) AND that_id IN (?1, ?2)"),
}
REBUILD_ALL = _REBUILD.format(where="")  # into an empty table


class Transaction:
    """Writes rows of one device onto the end of its chain; the caller begins and commits."""

    def __init__(
        self,
        con: sqlite3.Connection,
        device: bytes,
        seq: int,
        head: bytes,
        clock: Clock,
        ids: IdMaker,
        tool_of: dict[bytes, bytes],
        in_use: Callable[[int], bool] | None = None,
    ) -> None:
        self.con, self.device, self.seq, self.head = con, device, seq, head
        self._clock, self._ids, self._tool_of, self._in_use = clock, ids, tool_of, in_use
        self.clock_believed = False  # somebody said the very day that a doubted clock says

    def new_id(self) -> bytes:
        """An id for a row."""
        return self._ids()

    def put(self, thing: Any, by: bytes | None) -> Any:
        """Write one thing with what is nested in it; returns it as stored, with its ids."""
        if type(thing) is Reading:
            return self._reading(thing)
        kind = kind_of(thing)
        new_id = thing.id or self._ids()
        if len(new_id) != 16:
            raise RecordError(f"{kind.what}: its id is not an id.")
        if kind in _ANSWERED and not thing.id:
            new_id = self._after(kind, thing, new_id)
        if kind.versioned:
            thing = replace(thing, of_id=self._of_id(kind, thing, new_id))
        elif isinstance(thing, Supersede):
            thing = replace(thing, settles_id=self._settled(thing))
        elif isinstance(thing, Setup):
            thing = self._dated(thing)
        if by is None and isinstance(thing, Person):
            by = new_id  # the first person signs their own row
        stored = kind.thing(self.insert(kind, kind.row(thing, new_id), by)[0])
        if isinstance(thing, Feature):
            self._balloon_once(stored)
            ends = tuple(self._end(end, stored.id, by) for end in thing.ends)
            return replace(stored, ends=ends)
        if isinstance(thing, ToolFeature):
            steps = tuple(self._step(step, stored.id, by) for step in thing.steps)
            return replace(stored, steps=steps)
        if kind.versioned and stored.replaces_id:
            self._put_others_aside(kind, stored, by)
        if isinstance(thing, Supersede):
            self._resummarise(stored.target_id)
        elif kind is kinds.WITHDRAWAL and thing.about_kind == kinds.IMPORT_FILE.number:
            self._resummarise_file(stored.about_id)
        return stored

    def _after(self, kind: Kind, thing: Any, new_id: bytes) -> bytes:
        """An id behind those of all rows that this one answers: of them the newest holds, whatever clocks say.

        A bench whose clock is years ahead must not have the last word for years.
        """
        names, where = _ANSWERED[kind]
        (newest,) = self.con.execute(
            f"SELECT max(id) FROM {kind.table} WHERE {where}", [getattr(thing, name) for name in names]
        ).fetchone()
        if newest is None or newest < new_id:
            return new_id
        return (written_ms(newest) + 1).to_bytes(6, "big") + new_id[6:]

    def insert(self, kind: Kind, row: list[Value], by: bytes | None) -> tuple[list[Value], int]:
        """Write one row, as `Kind.row` made it, with its entry; returns it and when it was written."""
        at_us, tz_min = self._clock()
        seq = self.seq + 1
        text = canonical(kind.number, kind.fmt, self.device, seq, at_us, tz_min, by, row)
        head = link(self.head, text)
        entry = (self.device, seq, kind.number, kind.fmt, row[0], at_us, tz_min, by, head)
        for insert, values in ((kind.insert, row), (ADD_ENTRY, entry)):
            if self.con.execute(insert, values).rowcount != 1:  # a trigger can ignore a row without an error
                raise RecordError(
                    f"Not logged: the record took this {kind.what} and kept nothing. Have it checked.",
                    tells_fate=True,
                )
        self.seq, self.head = seq, head
        return row, at_us

    def _dated(self, setup: Setup) -> Setup:
        """A setup while the clock is in doubt: marked so, and of the day until which the record is believed.

        Where somebody said the day, that is its day; where that is the day of the clock, the clock is right.
        """
        now = self._clock()
        doubted = doubt_of(now, believed_until(self.con, now[0]), self._in_use)
        if doubted is None:
            return setup
        if setup.on_date == local_day(doubted.now_us, doubted.tz_min):
            self.clock_believed = True
            self._ids.believe(doubted.now_us)
            return setup
        day = setup.on_date or local_day(doubted.believed_us, doubted.tz_min)
        return replace(setup, clock_doubt=True, on_date=day)

    # ---------------------------------------------------------------- readings
    def _reading(self, reading: Reading) -> Reading:
        if (not reading.item_id) == (not reading.tool_id):
            raise RecordError("reading: say what was measured, either a tool or a casting or core.")
        if (not reading.tool_id) != (not reading.tool_feature_id):
            raise RecordError("reading: on a tool it needs the tool's own target for this feature, elsewhere none.")
        kind = kinds.READING
        row, at_us = self.insert(kind, kind.row(reading, reading.id or self._ids()), None)
        stored: Reading = kind.thing(row)
        subject = stored.item_id or self._of_tool(stored.tool_id or b"")
        self.con.execute(_MERGE, (subject, stored.feature_id, stored.value, stored.id, at_us))
        return stored

    def _of_tool(self, tool_id: bytes) -> bytes:
        if tool_id not in self._tool_of:  # rows never change, so what was read once stays true
            self._tool_of[tool_id] = self.con.execute("SELECT of_id FROM tool WHERE id = ?", (tool_id,)).fetchone()[0]
        return self._tool_of[tool_id]

    def _settled(self, supersede: Supersede) -> bytes | None:
        """Check that the target may be superseded; the id of the answer that a further one settles."""
        if not supersede.why.strip():
            raise RecordError("Not taken out: say why in a few words.")
        target = supersede.target_id
        if self.con.execute("SELECT 1 FROM reading WHERE id = ?", (target,)).fetchone() is None:
            raise NotFound("That reading is not in the record.")
        answers = self.con.execute(
            "SELECT s.id, s.replacement_id, e.at_us, e.tz_min, coalesce(p.initials, '?'), s.settles_id "
            "FROM supersede s JOIN entry e ON e.id = s.id LEFT JOIN person p ON p.id = e.by_id "
            "WHERE s.target_id = ? ORDER BY s.id",
            (target,),
        ).fetchall()
        if len(answers) > 1 and all(a[5] is None for a in answers):
            return bytes(answers[-1][0])  # contested: two benches answered, this one decides
        if answers:
            _, replacement, at_us, tz_min, who, _ = answers[-1]
            at = local_time(at_us, tz_min, self._clock())
            if replacement is None:
                raise RecordError(f"already voided at {at} by {who}; type the size again if it is to count")
            raise RecordError(f"already corrected at {at} by {who}; correct that one")
        return None

    def _resummarise(self, target: bytes) -> None:
        """Make the summaries again that a supersede of `target` touches."""
        readings = self.con.execute(
            f"SELECT {KEY} FROM reading r LEFT JOIN tool t ON t.id = r.tool_id "
            "WHERE r.id = ?1 OR r.id IN (SELECT replacement_id FROM supersede WHERE target_id = ?1)",
            (target,),
        ).fetchall()
        self.summarise(set(readings))

    def _resummarise_file(self, file: bytes) -> None:
        """Make the summaries again of what a file brought readings of: all of it was taken back, or came back."""
        keys = self.con.execute(
            f"SELECT DISTINCT {KEY} FROM import_file f CROSS JOIN setup s "
            "ON s.session_id = f.session_id CROSS JOIN reading r ON r.setup_id = s.id "
            "LEFT JOIN tool t ON t.id = r.tool_id WHERE f.id = ?",
            (file,),
        ).fetchall()
        self.summarise(set(keys))

    def add_to_summaries(self, counted: Iterable[tuple[bytes, bytes, float, bytes, int]]) -> None:
        """Add readings that count to their summaries: tool or item, feature, value, id, when it was written."""
        self.con.executemany(_MERGE, counted)

    def summarise(self, keys: set[tuple[bytes, bytes]]) -> None:
        """Make the summaries of these (tool or item, feature) again."""
        for key in keys:
            self.con.execute("DELETE FROM cache_summary WHERE subject_id = ? AND feature_id = ?", key)
            self.con.execute(_REBUILD.format(where="WHERE subject_id = ? AND feature_id = ?"), key)

    def rebuild_summaries(self) -> None:
        """Make all summaries again from the readings."""
        self.con.execute("DELETE FROM cache_summary")
        self.con.execute(REBUILD_ALL)

    # ---------------------------------------------------------------- versions and nested rows
    def _of_id(self, kind: Kind, thing: Any, new_id: bytes) -> bytes:
        old = thing.replaces_id
        if not old:
            if thing.of_id and thing.of_id != new_id:
                raise RecordError(f"{kind.what}: say which version this one replaces.")
            return new_id
        row = self.con.execute(f"SELECT of_id FROM {kind.table} WHERE id = ?", (old,)).fetchone()
        if row is None:
            raise NotFound(f"{kind.what}: the version it replaces is not in the record.")
        newer = self.con.execute(
            f"SELECT e.at_us, e.tz_min, coalesce(p.initials, '?') FROM {kind.table} t JOIN entry e ON e.id = t.id "
            "LEFT JOIN person p ON p.id = e.by_id WHERE t.replaces_id = ?",
            (old,),
        ).fetchone()
        if newer is not None:
            at = local_time(newer[0], newer[1], self._clock())
            raise RecordError(f"this {kind.what} was changed at {at} by {newer[2]}; look at that and change it again")
        return bytes(row[0])

    def _put_others_aside(self, kind: Kind, saved: Any, by: bytes | None) -> None:
        """Two benches changed one thing apart, and now somebody saved a version of it: the others give way to that."""
        others = self.con.execute(
            f"SELECT t.id FROM {kind.table} t WHERE t.of_id = ? AND t.id <> ? "
            f"AND NOT EXISTS (SELECT 1 FROM {kind.table} r WHERE r.replaces_id = t.id) "
            "AND NOT EXISTS (SELECT 1 FROM put_aside a WHERE a.about_id = t.id)",
            (saved.of_id, saved.id),
        ).fetchall()
        if not others:
            return
        from inspect_tui.model.changes import PutAside

        aside = kinds.PUT_ASIDE
        for (other,) in others:
            self.insert(
                aside, aside.row(PutAside(about_kind=kind.number, about_id=other, for_id=saved.id), self._ids()), by
            )

    def _balloon_once(self, feature: Feature) -> None:
        """One bench gives a balloon of a drawing once; what another one gave meanwhile is shown when it comes in."""
        (same,) = self.con.execute(
            "SELECT count(*) FROM feature WHERE revision_id = ? AND balloon = ?", (feature.revision_id, feature.balloon)
        ).fetchone()
        if same > 1:
            raise RecordError(
                f"Not logged: {feature.balloon} of this drawing is already in the record. Give it another balloon."
            )

    def _end(self, end: End, feature_id: bytes, by: bytes | None) -> Any:
        kind = kinds.FEATURE_END
        return kind.thing(self.insert(kind, kind.row(replace(end, feature_id=feature_id), self._ids()), by)[0])

    def _step(self, step: ChainStep, tool_feature_id: bytes, by: bytes | None) -> Any:
        kind = kinds.CHAIN_STEP
        new = replace(step, tool_feature_id=tool_feature_id)
        return kind.thing(self.insert(kind, kind.row(new, self._ids()), by)[0])


def local_time(at_us: int, tz_min: int, now: tuple[int, int]) -> str:
    """`10:42`, with the day before it when that is not today, on the clock of the bench that wrote it."""
    from datetime import UTC, datetime, timedelta

    def at(us: int, tz: int) -> datetime:
        return datetime.fromtimestamp(us / 1e6, UTC) + timedelta(minutes=tz)

    then = at(at_us, tz_min)
    return f"{then:%H:%M}" if then.date() == at(*now).date() else f"{then:%Y-%m-%d %H:%M}"
