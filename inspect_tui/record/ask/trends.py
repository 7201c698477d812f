"""Questions about trends: counts, repairs, states and limits of tools, and one size over time as bare columns."""

from __future__ import annotations

import sqlite3
import struct
from array import array
from collections.abc import Iterable, Sequence

from inspect_tui.frozen import frozen
from inspect_tui.model.work import ToolFeature
from inspect_tui.record import kinds
from inspect_tui.record.ask.readings import ANY_OUT, ReadingQueries
from inspect_tui.record.chain.clock import believed_until, local_day
from inspect_tui.record.conditions import MEASURED_AT, marks_of, raw_only
from inspect_tui.record.file.trouble import explain

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import Any

    from inspect_tui.model.trends import ItemWeight, ToolCount, ToolRepair, ToolState, WallArea, WearLimit
    from inspect_tui.record.ask.trend_rows import KeptRecent, KeptTrend

MAKING = "making"  # the source of rows that keep what a tool makes in a week
_COUNTS = (  # a reading that counts; the view is asked only for the few that anybody answered
    "(NOT EXISTS (SELECT 1 FROM supersede x WHERE x.target_id = r.id OR x.replacement_id = r.id) "
    "OR EXISTS (SELECT 1 FROM reading_that_counts c WHERE c.id = r.id)) "
    "AND r.setup_id NOT IN (SELECT b.id FROM setup_taken_back b)"
)


@frozen
class Points:
    """Readings that count of one feature on one tool or on items, in the order they were logged.

    `item` is None on a tool; values mm, deg or degC by the feature's quantity.
    """

    id: list[bytes]
    value: array[float]
    item: list[bytes] | None

    def __len__(self) -> int:
        return len(self.id)


@frozen
class Who:
    """Who logged a reading, with what, and when by the clock of that bench."""

    person: str
    instrument: str
    at_us: int
    tz_min: int
    clock_doubt: bool


@frozen
class ItemOf:
    """What a trend needs of a casting or sample core."""

    kind: str
    serial: str
    lot_id: bytes | None
    core_id: bytes | None
    cavity: str | None


@frozen
class Entered:
    """A row that was written after a frontier: its kind number and id."""

    kind: int
    id: bytes


class TrendQueries(ReadingQueries):
    """Counts, repairs, states, limits, weights; and the kept summaries of trends."""

    # ---------------------------------------------------------------- what was entered
    def tool_counts(self, tool_of_id: bytes) -> list[ToolCount]:
        """The counts of a tool that hold, by day and then in the order they were written."""
        counts: list[ToolCount] = self._current(kinds.TOOL_COUNT, "t.tool_of_id = ?", (tool_of_id,))
        return sorted((count for count in counts if count.holds), key=lambda count: (count.on_date, count.of_id))

    def read_on_days(self, tool_of_id: bytes) -> list[tuple[bytes, str, float]]:
        """Feature row, day (ISO) and value of every reading on a tool, of those too that were taken out of count.

        Not of files that were taken back as a whole.
        """
        day = "coalesce(s.on_date, date(e.at_us / 1000000 + e.tz_min * 60, 'unixepoch'))"
        return self._rows_of(
            f"SELECT r.feature_id, {day}, r.value FROM tool t CROSS JOIN reading r ON r.tool_id = t.id "
            "CROSS JOIN setup s ON s.id = r.setup_id CROSS JOIN entry e ON e.id = r.id WHERE t.of_id = ? "
            "AND s.id NOT IN (SELECT b.id FROM setup_taken_back b)",
            (tool_of_id,),
        )

    def tool_repairs(self, tool_of_id: bytes | None = None) -> list[ToolRepair]:
        """Repairs that hold, of one tool or of all, by day and then in the order they were written."""
        where, values = ("1", ()) if tool_of_id is None else ("t.tool_of_id = ?", (tool_of_id,))
        repairs: list[ToolRepair] = self._current(kinds.TOOL_REPAIR, where, values)
        return sorted((repair for repair in repairs if repair.holds), key=lambda repair: (repair.done_on, repair.of_id))

    def tool_states(self) -> dict[bytes, list[ToolState]]:
        """Every change of state by tool, in the order of days."""
        states: dict[bytes, list[ToolState]] = {}
        for state in self._all(kinds.TOOL_STATE, "1", (), "t.since_on, t.id"):
            states.setdefault(state.tool_of_id, []).append(state)
        return states

    def wear_limits(self, tool_of_id: bytes) -> list[WearLimit]:
        """Limits that were agreed for the sizes of a tool and hold."""
        limits: list[WearLimit] = self._current(kinds.WEAR_LIMIT, "t.tool_of_id = ?", (tool_of_id,))
        return [limit for limit in limits if limit.holds]

    def item_weights(self, job_of_id: bytes) -> dict[bytes, ItemWeight]:
        """The last weight of each casting or core of a job, by item."""
        where = "t.item_id IN (SELECT id FROM item WHERE job_of_id = ?)"
        return {weight.item_id: weight for weight in self._all(kinds.ITEM_WEIGHT, where, (job_of_id,))}

    def wall_area(self, job_of_id: bytes) -> WallArea | None:
        """The wall surface of a job's casting, where somebody said it."""
        areas: list[WallArea] = self._current(kinds.WALL_AREA, "t.job_of_id = ?", (job_of_id,))
        return areas[-1] if areas else None

    def changed_targets(self, job_of_id: bytes) -> list[ToolFeature]:
        """Every version, with its steps, of the features of tools that have more than one."""
        of = (
            "SELECT x.of_id FROM tool_feature x WHERE x.replaces_id IS NOT NULL "
            "AND x.tool_id IN (SELECT id FROM tool WHERE job_of_id = ?)"
        )
        return self._with_steps(self._all(kinds.TOOL_FEATURE, f"t.of_id IN ({of})", (job_of_id,)))

    def written_on(self, ids: Iterable[bytes]) -> dict[bytes, tuple[int, int]]:
        """When rows were written: microseconds UTC and the bench's offset in minutes."""
        times: dict[bytes, tuple[int, int]] = {}
        for marks, part in self._in(ids):
            rows = self._rows_of(f"SELECT id, at_us, tz_min FROM entry WHERE id IN ({marks})", part)
            times.update((row[0], (row[1], row[2])) for row in rows)
        return times

    # ---------------------------------------------------------------- readings as columns
    def items_of(self, job_of_id: bytes) -> dict[bytes, ItemOf]:
        """Every casting and sample core of a job."""
        rows = self._rows_of(
            "SELECT i.id, i.kind, i.serial, i.lot_id, i.core_id, i.cavity FROM item i "
            f"WHERE i.job_of_id = ? AND i.id = {self.as_one('i.id')} AND {self.there('i.id', 'i.lot_id')}",
            (job_of_id,),
        )
        said = self.renamed(kinds.ITEM)
        return {row[0]: ItemOf(row[1], said[row[0]].name if row[0] in said else row[2], *row[3:]) for row in rows}

    def setups_of(self, feature_ids: Sequence[bytes], reading_ids: Iterable[bytes]) -> dict[bytes, bytes]:
        """In which setup each of these readings of one feature was made."""
        marks = marks_of(feature_ids)
        wanted = set(reading_ids)
        rows = self._rows_of(f"SELECT id, setup_id FROM reading WHERE feature_id IN ({marks})", list(feature_ids))
        return {row[0]: row[1] for row in rows if row[0] in wanted}

    def features_on(self, job_of_id: bytes, kind: str) -> set[bytes]:
        """The feature rows that any raw casting (or sample core) of a job was measured for."""
        rows = self._rows_of(
            "SELECT DISTINCT r.feature_id FROM item i CROSS JOIN reading r ON r.item_id = i.id "
            f"WHERE i.job_of_id = ? AND i.kind = ? AND {self.there('i.id', 'i.lot_id')} AND {raw_only()}",
            (job_of_id, kind),
        )
        return {row[0] for row in rows}

    def who_of(self, reading_ids: Iterable[bytes]) -> dict[bytes, Who]:
        """Who logged these readings, with what and when."""
        who: dict[bytes, Who] = {}
        for marks, part in self._in(reading_ids):
            rows = self._rows_of(
                f"SELECT r.id, p.initials, i.label, {MEASURED_AT}, e.tz_min, s.clock_doubt FROM reading r "
                "CROSS JOIN entry e ON e.id = r.id CROSS JOIN setup s ON s.id = r.setup_id "
                "CROSS JOIN person p ON p.id = s.person_id CROSS JOIN instrument i ON i.id = s.instrument_id "
                f"WHERE r.id IN ({marks})",
                part,
            )
            who.update((row[0], Who(row[1], row[2], row[3], row[4], row[5] == 1)) for row in rows)
        return who

    def asked_and_kept(self, reading_ids: Iterable[bytes]) -> set[bytes]:
        """Those of these readings that were asked about when they were typed and kept as they were."""
        kept: set[bytes] = set()
        for marks, part in self._in(reading_ids):
            rows = self._rows_of(f"SELECT id FROM reading WHERE slip = 'asked_kept' AND id IN ({marks})", part)
            kept.update(row[0] for row in rows)
        return kept

    def newest_day(self) -> str | None:
        """The day (ISO) until which the record goes, by the clock of the bench; None of an empty one."""
        until = believed_until(self._con)
        if until is None:
            return None
        return local_day(until, self._rows_of("SELECT tz_min FROM entry ORDER BY id DESC LIMIT 1")[0][0])

    def entered_since(self, frontier: dict[str, int], most: int) -> list[Entered] | None:
        """What was written after a frontier; None when it is more than `most` rows."""
        entered: list[Entered] = []
        for device, last in self.frontier().items():
            after = frontier.get(device, 0)
            if last - after + len(entered) > most:
                return None
            rows = self._rows_of(
                "SELECT kind, id FROM entry WHERE device_id = ? AND seq > ?", (bytes.fromhex(device), after)
            )
            entered += (Entered(*row) for row in rows)
        return entered

    def touched(self, reading_ids: Iterable[bytes]) -> set[tuple[bytes | None, bytes | None]]:
        """(tool of_id, item) that these readings are on."""
        subjects: set[tuple[bytes | None, bytes | None]] = set()
        for marks, part in self._in(reading_ids):
            subjects.update(
                self._rows_of(
                    f"SELECT DISTINCT t.of_id, {self.as_one('r.item_id')} FROM reading r "
                    f"LEFT JOIN tool t ON t.id = r.tool_id WHERE r.id IN ({marks})",
                    part,
                )
            )
        return subjects

    def column_of(self, table: str, column: str, ids: Iterable[bytes]) -> set[bytes]:
        """The values of one column of recorded rows; both names are of our own source."""
        columns: set[bytes] = set()
        for marks, part in self._in(ids):
            rows = self._rows_of(f"SELECT DISTINCT {column} FROM {table} WHERE id IN ({marks})", part)
            columns.update(row[0] for row in rows if row[0] is not None)
        return columns

    # ---------------------------------------------------------------- kept summaries
    def kept_trends(self, job_of_id: bytes | None = None) -> list[KeptTrend]:
        """The kept summaries of trends, of a job or all; what they do not know yet is for `entered_since`."""
        from inspect_tui.record.ask.trend_rows import KEPT, KeptTrend

        where, which = ("", ()) if job_of_id is None else (" WHERE job_of_id = ?", (job_of_id,))
        return [KeptTrend(*row) for row in self._rows_of(f"SELECT {', '.join(KEPT)} FROM cache_trend{where}", which)]

    def kept_recent(self) -> list[KeptRecent]:
        """The newest readings of every series."""
        from inspect_tui.record.ask.trend_rows import KeptRecent

        rows = []
        for tool, feature, source, place, width, value in self._rows_of(
            "SELECT tool_of_id, feature_id, source, place, width, value FROM cache_recent WHERE source <> ?", (MAKING,)
        ):
            column = array("d")
            column.frombytes(value)
            rows.append(
                KeptRecent(tool_of_id=tool, feature_id=feature, source=source, place=place, width=width, value=column)
            )
        return rows

    def kept_makings(self) -> dict[bytes, tuple[float, ...]]:
        """By tool what was kept of its making in a week: the figures as they were given."""
        rows = self._rows_of("SELECT tool_of_id, value FROM cache_recent WHERE source = ?", (MAKING,))
        return {tool: struct.unpack(f"{len(value) // 8}d", value) for tool, value in rows}

    def trend_mark(self) -> tuple[dict[str, int], str] | None:
        """The frontier that the kept summaries know, and the rules they were made by; None before the first time."""
        rows = self._rows_of("SELECT frontier, rules FROM cache_trend_mark")
        if not rows:
            return None
        import json

        try:
            return json.loads(rows[0][0]), rows[0][1]
        except ValueError:
            return None  # a cache: it is made again


# ------------------------------------------------------------------------------ one size over time
def on_tool(q: ReadingQueries, tool_of_id: bytes, feature_ids: Sequence[bytes]) -> Points:
    """The readings that count of one feature (its rows in all revisions) on one tool (all its versions)."""
    rows = q._rows_of("SELECT id FROM tool WHERE of_id = ?", (tool_of_id,))
    tools = [row[0] for row in rows]
    marks = marks_of(feature_ids)
    subjects = marks_of(tools)
    where = f"r.feature_id IN ({marks}) AND r.tool_id IN ({subjects})"
    if alone(q, tool_of_id, feature_ids):
        where, tools = f"r.feature_id IN ({marks})", []
    ids, value = _two(q, where, [*feature_ids, *tools])
    return Points(ids, value, None)


def _two(q: ReadingQueries, where: str, values: Sequence[Any]) -> tuple[list[bytes], array[float]]:
    """Ids and values; with the feature alone both come off one index."""
    try:
        answered = q._asked(ANY_OUT).fetchone()[0]
        counts = f" AND {_COUNTS}" if answered else ""
        rows = q._asked(
            f"SELECT r.id, r.value FROM reading r INDEXED BY reading_feature WHERE {where}{counts} ORDER BY r.id",
            values,
        ).fetchall()
    except sqlite3.Error as error:
        raise explain(error, q.path, q.busy_s) from error
    return [row[0] for row in rows], array("d", [row[1] for row in rows])


def alone(q: ReadingQueries, tool_of_id: bytes, feature_ids: Sequence[bytes]) -> bool:
    """Whether nothing else was measured on this feature, as the running summaries and the count of readings tell."""
    marks = marks_of(feature_ids)
    every = q.ids_of([tool_of_id])
    own = q._rows_of(
        f"SELECT total(n) FROM cache_summary WHERE subject_id IN ({marks_of(every)}) AND feature_id IN ({marks})",
        [*every, *feature_ids],
    )[0][0]
    count = q._rows_of(f"SELECT count(*) FROM reading WHERE feature_id IN ({marks})", feature_ids)[0][0]
    return bool(own) and count == own


def on_items(q: ReadingQueries, job_of_id: bytes, kind: str, feature_ids: Sequence[bytes]) -> Points:
    """The readings that count of one feature on all raw castings (or sample cores) of a job."""
    marks = marks_of(feature_ids)
    rows = q._rows_of(
        f"SELECT r.id, r.value, {q.as_one('r.item_id')} FROM reading r INDEXED BY reading_feature "
        f"WHERE r.feature_id IN ({marks}) "
        "AND r.item_id IN (SELECT i.id FROM item i WHERE i.job_of_id = ? AND i.kind = ? "
        f"AND {q.there('i.id', 'i.lot_id')}) AND {raw_only()} "
        f"AND {_COUNTS} ORDER BY r.id",
        [*feature_ids, job_of_id, kind],
    )
    return Points([row[0] for row in rows], array("d", [row[1] for row in rows]), [row[2] for row in rows])


def all_on_tool(q: ReadingQueries, tool_of_id: bytes) -> dict[bytes, Points]:
    """The readings that count on one tool, by feature row."""
    rows = q._rows_of(
        "SELECT r.feature_id, r.id, r.value FROM tool t CROSS JOIN reading r ON r.tool_id = t.id "
        f"WHERE t.of_id = ? AND {_COUNTS} ORDER BY r.id",
        (tool_of_id,),
    )
    by_feature: dict[bytes, Points] = {}
    for feature, reading, value in rows:
        points = by_feature.get(feature)
        if points is None:
            points = by_feature[feature] = Points([], array("d"), None)
        points.id.append(reading)
        points.value.append(value)
    return by_feature


def all_on_items(
    q: ReadingQueries, job_of_id: bytes, kind: str, core_of_id: bytes | None = None
) -> dict[bytes, Points]:
    """The readings that count on all raw castings of a job, or on the sample cores of one core, by feature row."""
    core = ""
    values: list[Any] = [job_of_id, kind]
    if core_of_id is not None:
        core = " AND i.core_id IN (SELECT id FROM core WHERE of_id = ?)"
        values.append(core_of_id)
    rows = q._rows_of(
        f"SELECT r.feature_id, r.id, r.value, {q.as_one('r.item_id')} FROM item i "
        f"CROSS JOIN reading r ON r.item_id = i.id WHERE i.job_of_id = ? AND i.kind = ?{core} "
        f"AND {q.there('i.id', 'i.lot_id')} AND {raw_only()} AND {_COUNTS}",
        values,
    )
    by_feature: dict[bytes, Points] = {}
    for feature, reading, value, item in sorted(rows, key=lambda row: row[1]):
        points = by_feature.get(feature)
        if points is None:
            points = by_feature[feature] = Points([], array("d"), [])
        points.id.append(reading)
        points.value.append(value)
        assert points.item is not None
        points.item.append(item)
    return by_feature
