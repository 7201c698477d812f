"""Questions about jobs, drawings, tools, people and instruments, answered with the model's own dataclasses.

Of versioned things the current version is given: the one that none replaces. Where two benches replaced the same
version, both are kept and the later one is shown.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Sequence
from pathlib import Path

from inspect_tui.errors import NotFound
from inspect_tui.frozen import replace
from inspect_tui.model.measuring import Calibration, Instrument, Person, Session, Setup
from inspect_tui.model.work import (
    ChainStep,
    Core,
    DrawingRevision,
    End,
    Feature,
    Item,
    Job,
    JobState,
    Lot,
    Tool,
    ToolFeature,
)
from inspect_tui.record import kinds
from inspect_tui.record.chain.canon import head_text
from inspect_tui.record.chain.clock import LEAP_US
from inspect_tui.record.conditions import marks_of, newest, there
from inspect_tui.record.file.trouble import explain
from inspect_tui.record.kinds import KINDS, Kind

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import Any

    from inspect_tui.model.changes import Renamed, Withdrawal
    from inspect_tui.record.one_thing import Ones

MOST_MARKS = 500  # parameters in one IN (...)


class Queries:
    """A connection and the questions it can be asked; rows are never changed here.

    What is withdrawn is left out of every list, in one way: `there`. A thing that is asked for by its id is given.
    What was said to be one thing is seen as one, in one way: `one_thing`. While nobody said so, nothing is asked of it.
    """

    _struck_too = False  # lists hold what is withdrawn too: see `Reader.with_withdrawn`
    _ones: Ones | None = None  # which ids are one thing: see `Reader.look_for_ones`

    def __init__(self, path: Path, con: sqlite3.Connection, busy_s: float) -> None:
        self.path, self._con, self.busy_s = path, con, busy_s
        self._drawn_at: tuple[Any, ...] = ()
        self._drawn: dict[bytes, list[Feature]] = {}  # features by revision and by job, as read at `_drawn_at`

    def _rows_of(self, sql: str, values: Sequence[Any] = ()) -> list[Any]:
        try:
            return self._asked(sql, values).fetchall()
        except sqlite3.Error as error:
            raise explain(error, self.path, self.busy_s) from error

    def _asked(self, sql: str, values: Sequence[Any] = ()) -> sqlite3.Cursor:
        """A question as it is put to SQLite; sqlite3.Error as it comes."""
        return self._con.execute(sql if self._ones is None else self._ones.seen(sql), values)

    # ---------------------------------------------------------------- what is one thing
    @property
    def all_apart(self) -> bool:
        """Whether nothing is said to be one thing, or nothing is seen so."""
        return self._ones is None

    def first_of(self, id_: bytes) -> bytes:
        """The id that a thing goes by: its own, or the oldest of those that were said to be one."""
        return id_ if self._ones is None else self._ones.first.get(id_, id_)

    def ids_of(self, ids: Iterable[bytes]) -> list[bytes]:
        """These ids, each with all that were said to be one with it."""
        if self._ones is None:
            return list(ids)
        return [every for id_ in ids for every in self._ones.every.get(self.first_of(id_), (id_,))]

    def as_one(self, column: str) -> str:
        """The expression for the id that the thing of a column goes by; `column` is of our own source."""
        return column if self._ones is None else f"one_of({column})"

    def there(self, *columns: str) -> str:
        """The same condition; none where lists hold what is withdrawn too."""
        return "1" if self._struck_too else there(*map(self.as_one, columns))

    def _all(self, kind: Kind, where: str, values: Sequence[Any] = (), order: str = "t.id") -> list[Any]:
        sql = f"SELECT {kind.select('t')} FROM {kind.table} t WHERE {where} ORDER BY {order}"
        return [kind.thing(row) for row in self._rows_of(sql, values)]

    def _current(
        self, kind: Kind, where: str, values: Sequence[Any] = (), old: bool = False, gone: bool = False
    ) -> list[Any]:
        """Of each thing the version that counts, by the age of the thing; with `old` every version.

        What is withdrawn is only among the old ones, and with `gone`.
        """
        if old:
            return self._all(kind, where, values)
        rows = self._rows_of(
            f"SELECT {kind.select('t')} FROM {kind.table} t JOIN entry e ON e.id = t.id WHERE ({where}) "
            f"AND {newest(kind.table)} "
            f"AND {'1' if gone else self.there('t.of_id')} ORDER BY e.at_us, t.id",
            values,
        )
        things = [kind.thing(row) for row in rows]
        latest = {thing.of_id: thing for thing in things}
        if len(latest) < len(things):
            latest = {thing.of_id: thing for thing in self._as_said(things)}
        return [latest[of_id] for of_id in sorted(latest)]

    def _as_said(self, things: list[Any]) -> list[Any]:
        """Versions that benches made apart, in the order in which they were said, as far as clocks can be believed.

        No entry is later than the newest one of its chain: where that is earlier, the clock was put right since. One
        that is most of a year beyond all that other benches wrote has a wrong clock: it decides nothing.
        """
        newest_of = dict(
            self._rows_of(
                "SELECT d.id, (SELECT e.at_us FROM entry e WHERE e.device_id = d.id ORDER BY e.seq DESC LIMIT 1) "
                "FROM device d"
            )
        )
        at: dict[bytes, int] = {}
        for marks, part in self._in(thing.id for thing in things):
            for row_id, device, at_us in self._rows_of(
                f"SELECT id, device_id, at_us FROM entry WHERE id IN ({marks})", part
            ):
                said = min(at_us, newest_of.get(device) or at_us)
                others = [us for other, us in newest_of.items() if other != device and us is not None]
                at[row_id] = 0 if others and said > max(others) + LEAP_US else said
        return sorted(things, key=lambda thing: (at[thing.id], thing.id))

    def _members(self, kind: Kind, owner: str, owner_ids: Iterable[bytes]) -> dict[bytes, tuple[Any, ...]]:
        """The rows that belong to others, in order, by the owner's id; `owner` is the column that names it."""
        members: dict[bytes, list[Any]] = {}
        for marks, part in self._in(owner_ids):
            for member in self._all(kind, f"t.{owner} IN ({marks})", part, "t.ord"):
                members.setdefault(getattr(member, owner), []).append(member)
        return {owner_id: tuple(of_owner) for owner_id, of_owner in members.items()}

    def _last(self, kind: Kind, where: str, values: Sequence[Any]) -> Any:
        """Of the current ones that hold the one that was said last; two benches may have said one each."""
        rows = self._rows_of(
            f"SELECT {kind.select('t')} FROM {kind.table} t JOIN entry e ON e.id = t.id WHERE ({where}) "
            f"AND t.active = 1 AND {newest(kind.table)} "
            "ORDER BY e.at_us, t.id",
            values,
        )
        things = [kind.thing(row) for row in rows]
        return (self._as_said(things) if len(things) > 1 else things or [None])[-1]

    def _by_id(self, kind: Kind, row_id: bytes) -> Any:
        rows = self._all(kind, "t.id = ?", (row_id if kind.versioned else self.first_of(row_id),))
        if not rows:
            raise NotFound(f"That {kind.what} is not in the record.")
        return rows[0]

    def renamed(self, kind: Kind) -> dict[bytes, Renamed]:
        """The last word on what things of a kind without versions are called, by their id."""
        said = self._all(kinds.RENAMED, "t.about_kind = ?", (kind.number,))
        return {row.about_id: row for row in said}

    def _called(self, kind: Kind, where: str, values: Sequence[Any] = (), order: str = "t.id") -> list[Any]:
        """As `_all` of a kind without versions: things called as was said of them last, in one question."""
        last = f"SELECT max(x.id) FROM renamed x WHERE x.about_id = t.id AND x.about_kind = {kind.number}"
        if self._ones is not None and kind is kinds.ITEM:
            where = f"({where}) AND one_of(t.id) = t.id"
        rows = self._rows_of(
            f"SELECT n.name, n.heat, n.poured_on, n.quantity, {kind.select('t')} FROM {kind.table} t "
            f"LEFT JOIN renamed n ON n.id = ({last}) WHERE {where} ORDER BY {order}",
            values,
        )
        named = []
        for name, heat, poured_on, quantity, *row in rows:
            thing = kind.thing(row)
            if name is None:
                named.append(thing)
            elif kind is kinds.LOT:
                named.append(replace(thing, label=name, heat=heat, poured_on=poured_on, quantity=quantity))
            else:
                named.append(replace(thing, **{"serial" if kind is kinds.ITEM else "title": name}))
        return named

    def _called_one(self, kind: Kind, row_id: bytes) -> Any:
        """As `_by_id`, called as was said last."""
        things = self._called(kind, "t.id = ?", (self.first_of(row_id),))
        if not things:
            raise NotFound(f"That {kind.what} is not in the record.")
        return things[0]

    def _in(self, ids: Iterable[bytes]) -> Iterable[tuple[str, list[bytes]]]:
        """Question marks and values for `IN (...)`, in portions."""
        todo = list(ids)
        for start in range(0, len(todo), MOST_MARKS):
            part = todo[start : start + MOST_MARKS]
            yield marks_of(part), part

    # ---------------------------------------------------------------- jobs and drawings
    def jobs(self) -> list[Job]:
        """The current version of every job, oldest job first."""
        return self._current(kinds.JOB, "1")

    def job(self, which: bytes | str) -> Job:
        """A job by its first version's id, by the id of any version, or by its number."""
        if isinstance(which, str):
            jobs = self._current(kinds.JOB, "t.number = ?", (which,))
            if not jobs:
                raise NotFound(f"There is no job {which} in the record.")
            if len(jobs) > 1:
                raise NotFound(f"{len(jobs)} jobs carry the number {which}: give one of them another number.")
            if self._ones is None:
                numbered: Job = jobs[0]
                return numbered
            which = jobs[0].of_id  # it may go by the number of another entry of it
        jobs = self._current(kinds.JOB, "t.of_id = (SELECT of_id FROM job WHERE id = ?)", (which,), gone=True)
        if not jobs:
            raise NotFound("That job is not in the record.")
        job: Job = jobs[0]
        return job

    def job_history(self, of_id: bytes) -> list[Job]:
        """Every version of a job, oldest first."""
        return self._all(kinds.JOB, "t.of_id = ?", (of_id,))

    def job_states(self) -> dict[bytes, JobState]:
        """The last state of each job that has one, by the job's of_id."""
        rows = self._rows_of(
            f"SELECT j.of_id, {kinds.JOB_STATE.select('t')} FROM job_state t JOIN job j ON j.id = t.job_id "
            "JOIN entry e ON e.id = t.id ORDER BY e.at_us, t.id"
        )
        return {row[0]: kinds.JOB_STATE.thing(row[1:]) for row in rows}

    def revisions(self, job_of_id: bytes) -> list[DrawingRevision]:
        """The drawing revisions of a job, oldest first."""
        return self._all(kinds.DRAWING_REVISION, "t.job_of_id = ?", (job_of_id,))

    def revision(self, revision_id: bytes) -> DrawingRevision:
        """One drawing revision."""
        revision: DrawingRevision = self._by_id(kinds.DRAWING_REVISION, revision_id)
        return revision

    def entered_by(self, ids: Iterable[bytes]) -> dict[bytes, tuple[int, int, str | None]]:
        """When rows were entered (microseconds UTC, minutes from UTC) and by whom (initials), by id."""
        entered: dict[bytes, tuple[int, int, str | None]] = {}
        for marks, part in self._in(ids):
            rows = self._rows_of(
                "SELECT e.id, e.at_us, e.tz_min, p.initials FROM entry e LEFT JOIN person p ON p.id = e.by_id "
                f"WHERE e.id IN ({marks})",
                part,
            )
            entered.update((row[0], (row[1], row[2], row[3])) for row in rows)
        return entered

    def features(self, revision_id: bytes) -> list[Feature]:
        """The features of a revision with their ends, in drawing order."""
        features = self._drawing("f.revision_id = ?", revision_id)
        if self._ones is None:
            return features
        twice = {feature.same_as_id for feature in features}  # two balloons that are one: the later is shown
        return [feature for feature in features if feature.id not in twice]

    def feature(self, feature_id: bytes) -> Feature:
        """One feature with its ends."""
        features = self._features("f.id = ?", (feature_id,))
        if not features:
            raise NotFound("That feature is not in the record.")
        return features[0]

    def _features(self, where: str, values: Sequence[Any]) -> list[Feature]:
        ends: dict[bytes, list[End]] = {}
        for row in self._rows_of(
            f"SELECT {kinds.FEATURE_END.select('t')} FROM feature_end t JOIN feature f ON f.id = t.feature_id "
            f"WHERE {where} ORDER BY t.which",
            values,
        ):
            end = kinds.FEATURE_END.thing(row)
            ends.setdefault(end.feature_id, []).append(end)
        rows = self._rows_of(
            f"SELECT {kinds.FEATURE.select('f')} FROM feature f WHERE {where} ORDER BY f.ord, f.id", values
        )
        return [kinds.FEATURE.thing(row, ends=tuple(ends.get(row[0], ()))) for row in rows]

    def _drawing(self, where: str, of: bytes) -> list[Feature]:
        """All features of a revision or a job. Rows never change: what was read stands till others come."""
        if self._con.in_transaction:  # what it added may be taken back, and as many others come in its stead
            return self._features(where, (of,))
        (there,) = self._rows_of("SELECT (SELECT count(*) FROM feature), (SELECT count(*) FROM feature_end)")
        stamp = self._con, self._ones, there
        if self._drawn_at != stamp:
            self._drawn_at, self._drawn = stamp, {}
        if of not in self._drawn:
            self._drawn[of] = self._features(where, (of,))
        return list(self._drawn[of])

    def feature_lineage(self, feature_id: bytes) -> list[bytes]:
        """This feature in all revisions, oldest first: a trend crosses revisions with it, a verdict does not."""
        rows = self._rows_of(
            "WITH RECURSIVE before(id, same, n) AS ("
            "  SELECT id, same_as_id, 0 FROM feature WHERE id = ?1"
            "  UNION ALL SELECT f.id, f.same_as_id, n + 1 FROM feature f JOIN before b ON f.id = b.same"
            "  WHERE n < 1000), "
            "line(id) AS (SELECT * FROM (SELECT id FROM before ORDER BY n DESC LIMIT 1)"
            "  UNION SELECT f.id FROM feature f JOIN line l ON f.same_as_id = l.id) "
            "SELECT id FROM line ORDER BY id",
            (feature_id,),
        )
        return [row[0] for row in rows]

    # ---------------------------------------------------------------- tools and what is made with them
    def cores(self, job_of_id: bytes) -> list[Core]:
        """The cores of a job by number."""
        return sorted(self._current(kinds.CORE, "t.job_of_id = ?", (job_of_id,)), key=lambda core: core.number)

    def core(self, core_id: bytes) -> Core:
        """One version of a core."""
        core: Core = self._by_id(kinds.CORE, core_id)
        return core

    def core_versions(self, job_of_id: bytes) -> dict[bytes, bytes]:
        """Every version's id of every core of a job -> the id of its first version."""
        return dict(self._rows_of("SELECT id, of_id FROM core WHERE job_of_id = ?", (job_of_id,)))

    def tools(self, job_of_id: bytes) -> list[Tool]:
        """The tools of a job, oldest first."""
        return self._current(kinds.TOOL, "t.job_of_id = ?", (job_of_id,))

    def tool_versions(self, job_of_id: bytes) -> dict[bytes, bytes]:
        """Every version's id of every tool of a job -> the id of its first version."""
        return dict(self._rows_of("SELECT id, of_id FROM tool WHERE job_of_id = ?", (job_of_id,)))

    def tool(self, tool_id: bytes) -> Tool:
        """One version of a tool."""
        tool: Tool = self._by_id(kinds.TOOL, tool_id)
        return tool

    def tool_features(self, tool_of_id: bytes, old: bool = False) -> list[ToolFeature]:
        """The features of a tool (all its versions) with their steps, in drawing order; with `old` every version.

        What was taken off the tool's list is only among the old ones.
        """
        features = self._current(
            kinds.TOOL_FEATURE, "t.tool_id IN (SELECT id FROM tool WHERE of_id = ?)", (tool_of_id,), old
        )
        place = dict(
            self._rows_of(
                "SELECT f.id, f.ord FROM tool_feature t JOIN feature f ON f.id = t.feature_id "
                "WHERE t.tool_id IN (SELECT id FROM tool WHERE of_id = ?)",
                (tool_of_id,),
            )
        )
        return self._with_steps(sorted(features, key=lambda t: (place[t.feature_id], t.feature_id, t.id)))

    def tool_feature(self, tool_feature_id: bytes) -> ToolFeature:
        """One version of a tool's feature, with its steps."""
        return self._with_steps([self._by_id(kinds.TOOL_FEATURE, tool_feature_id)])[0]

    def _with_steps(self, things: list[ToolFeature]) -> list[ToolFeature]:
        steps: dict[bytes, list[ChainStep]] = {}
        for marks, part in self._in(thing.id for thing in things):
            for step in self._all(kinds.CHAIN_STEP, f"t.tool_feature_id IN ({marks})", part, "t.ord"):
                steps.setdefault(step.tool_feature_id, []).append(step)
        names = kinds.TOOL_FEATURE.names
        return [
            ToolFeature(**{name: getattr(thing, name) for name in names}, steps=tuple(steps.get(thing.id, ())))
            for thing in things
        ]

    def lots(self, job_of_id: bytes) -> list[Lot]:
        """The lots of a job, oldest first."""
        return self._called(kinds.LOT, f"t.job_of_id = ? AND {self.there('t.id')}", (job_of_id,))

    def items(self, job_of_id: bytes) -> list[Item]:
        """The castings and cores of a job that were measured, oldest first."""
        where = f"t.job_of_id = ? AND {self.there('t.id', 't.lot_id')}"
        return self._called(kinds.ITEM, where, (job_of_id,))

    def item(self, item_id: bytes) -> Item:
        """One casting or core."""
        item: Item = self._called_one(kinds.ITEM, item_id)
        return item

    # ---------------------------------------------------------------- people, instruments, sessions
    def people(self, old: bool = False) -> list[Person]:
        """Everybody in the record; with `old` every version."""
        return self._current(kinds.PERSON, "1", (), old)

    def instruments(self, old: bool = False) -> list[Instrument]:
        """Every instrument; with `old` every version."""
        return self._current(kinds.INSTRUMENT, "1", (), old)

    def calibrations(self, instrument_of_id: bytes) -> list[Calibration]:
        """The certificates of an instrument, oldest first."""
        where = f"t.instrument_of_id = ? AND {self.there('t.id')}"
        return self._all(kinds.CALIBRATION, where, (instrument_of_id,), "t.done_on, t.id")

    def sessions(self, job_of_id: bytes | None = None, limit: int = 100) -> list[Session]:
        """The newest sessions, newest first."""
        where, values = ("1", ()) if job_of_id is None else ("t.job_of_id = ?", (job_of_id,))
        return self._all(kinds.SESSION, where, (*values, limit), "t.id DESC LIMIT ?")

    def setups(self, session_id: bytes) -> list[Setup]:
        """Who measured with what in a session, oldest first."""
        return self._all(kinds.SETUP, "t.session_id = ?", (session_id,))

    # ---------------------------------------------------------------- withdrawn
    def withdrawals(self, about_kind: int | None = None) -> dict[bytes, Withdrawal]:
        """What was last said of each thing that ever was withdrawn (state withdrawn or back), by its of_id."""
        where, values = ("1", ()) if about_kind is None else ("t.about_kind = ?", (about_kind,))
        rows = self._rows_of(
            f"SELECT {kinds.WITHDRAWAL.select('t')} FROM withdrawal t WHERE {where} ORDER BY t.id", values
        )
        return {said.about_id: said for said in map(kinds.WITHDRAWAL.thing, rows)}

    def withdrawn(self, about_kind: int | None = None) -> set[bytes]:
        """The of_ids of the things that are withdrawn now."""
        return {of_id for of_id, said in self.withdrawals(about_kind).items() if said.state == "withdrawn"}

    # ---------------------------------------------------------------- the file itself
    def counts(self) -> dict[str, int]:
        """Rows by table, as they were written."""
        try:
            return {kind.table: self._con.execute(f"SELECT count(*) FROM {kind.table}").fetchone()[0] for kind in KINDS}
        except sqlite3.Error as error:
            raise explain(error, self.path, self.busy_s) from error

    def frontier(self) -> dict[str, int]:
        """For each device (32 hex digits) the number of its last entry: all that this record knows now."""
        rows = self._rows_of(
            "SELECT d.id, (SELECT max(e.seq) FROM entry e WHERE e.device_id = d.id) FROM device d ORDER BY d.id"
        )
        return {device.hex(): seq for device, seq in rows if seq is not None}

    def heads(self) -> list[str]:
        """The end of each chain as `device·seq·first 16 hex`, oldest device first."""
        rows = self._rows_of(
            "SELECT e.device_id, e.seq, e.hash FROM device d JOIN entry e ON e.device_id = d.id "
            "AND e.seq = (SELECT max(seq) FROM entry WHERE device_id = d.id) ORDER BY d.id"
        )
        return [head_text(*row) for row in rows]
