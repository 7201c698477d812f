"""The readings of one feature as columns, straight off the index: what statistics and charts are made from.

A row object a reading costs more than the statistics on it, so the values come as one array of doubles. Who measured,
with what and on which casting come as parallel lists, and only when they are asked for.
"""

from __future__ import annotations

import sqlite3
from array import array
from collections.abc import Sequence
from itertools import chain

from inspect_tui.frozen import frozen, frozen_by_name
from inspect_tui.model.measuring import Reading
from inspect_tui.record import kinds
from inspect_tui.record.ask.readings import ANY_OUT, KeptSummary, LoggedReading, ReadingQueries, merged
from inspect_tui.record.chain.ids import written_ms
from inspect_tui.record.conditions import marks_of, raw_only, there
from inspect_tui.record.file.trouble import explain

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import Any


@frozen_by_name
class Which:
    """Which readings: a feature in its revisions on one tool, on one item, or on all items of a kind of the job."""

    job_of_id: bytes
    feature_ids: tuple[bytes, ...]  # the same feature in each revision, oldest first
    tool_of_id: bytes | None = None
    item_id: bytes | None = None
    kind: str = "casting"  # of the items, when neither a tool nor one item is named: casting or core
    state: str = "raw"  # of castings: raw, or finished by machining


@frozen_by_name
class Columns:
    """Readings in the order they were made, column by column, those that do not count included and marked.

    `value` in mm, deg or degC by the feature's quantity; `at_us` microseconds UTC, to the millisecond of the id.
    People, instruments and lots by what they are called; lot and item are None on a tool.
    """

    id: list[bytes]
    value: array[float]
    at_us: array[int]
    feature_id: list[bytes]
    setup_id: list[bytes]
    rep: list[int]
    person: list[str]
    instrument: list[str]
    lot: list[str | None]
    item: list[str | None]
    out: list[bool]

    def __len__(self) -> int:
        return len(self.id)

    def take(self, keep: Sequence[bool]) -> Columns:
        """The rows where `keep` is true."""
        return self.at([i for i, wanted in enumerate(keep) if wanted])

    def at(self, rows: Sequence[int]) -> Columns:
        """These rows, in this order."""

        def of(column: list[Any]) -> list[Any]:
            return [column[i] for i in rows]

        return Columns(
            id=of(self.id),
            value=array("d", [self.value[i] for i in rows]),
            at_us=array("q", [self.at_us[i] for i in rows]),
            feature_id=of(self.feature_id),
            setup_id=of(self.setup_id),
            rep=of(self.rep),
            person=of(self.person),
            instrument=of(self.instrument),
            lot=of(self.lot),
            item=of(self.item),
            out=of(self.out),
        )


@frozen
class Values:
    """The values that count, in order, and where each revision of the drawing begins among them."""

    value: array[float]
    revisions: tuple[tuple[bytes, int], ...]  # (feature id, index of its first reading); one where they overlap
    n_out: int  # readings there are that do not count


# ------------------------------------------------------------------------------ which rows
def where_of(q: ReadingQueries, which: Which, alias: str = "r") -> tuple[str, list[Any]]:
    """The condition on the subject; the feature is left to the caller, who knows which index to walk.

    Castings in one state: a size that was machined is another one.
    """
    if which.tool_of_id is not None:
        return f"{alias}.tool_id IN (SELECT id FROM tool WHERE of_id = ?)", [which.tool_of_id]
    state = f" AND {raw_only(alias) if which.state == 'raw' else f'NOT ({raw_only(alias)})'}"
    if which.item_id is not None:
        ids = q.ids_of([which.item_id])
        return f"{alias}.item_id IN ({marks_of(ids)}){state}", ids
    items = f"{alias}.item_id IN (SELECT i.id FROM item i WHERE i.job_of_id = ? AND i.kind = ?"
    items += f" AND {there(q.as_one('i.id'), 'i.lot_id')})"
    return items + state, [which.job_of_id, which.kind]


def out_of_count(q: ReadingQueries, which: Which, anywhere: bool = False) -> set[bytes]:
    """Ids of the readings that do not count: voided, corrected, or contested replacements; `anywhere`: on any subject.

    Looked up from the few answers, not from the many readings.
    """
    where, bound = ("1", []) if anywhere else where_of(q, which)
    mine = f"r.feature_id IN ({marks_of(which.feature_ids)}) AND {where}"
    rows = q._rows_of(
        f"SELECT r.id FROM supersede s CROSS JOIN reading r ON r.id = s.target_id WHERE {mine} "
        f"UNION SELECT r.id FROM supersede s CROSS JOIN reading r ON r.id = s.replacement_id WHERE {mine} "
        "AND s.target_id IN (SELECT target_id FROM supersede GROUP BY target_id HAVING count(*) > 1) AND NOT EXISTS "
        "(SELECT 1 FROM supersede_in_force f WHERE f.target_id = s.target_id AND f.replacement_id = s.replacement_id) "
        f"UNION SELECT r.id FROM setup_taken_back b CROSS JOIN reading r ON r.setup_id = b.id WHERE {mine}",
        [*which.feature_ids, *bound] * 3,
    )
    return {row[0] for row in rows}


def kept(q: ReadingQueries, which: Which, most: int = 5000) -> KeptSummary | None:
    """The running summary over all revisions, put together from the kept ones; None where `most` pieces are exceeded.

    None too where machined castings were measured: what is kept of a casting is of both its states.
    `last_value` and `last_at_us` are those of the newest reading that counts.
    """
    subjects: list[bytes] = q.ids_of(s for s in (which.tool_of_id, which.item_id) if s is not None)
    if which.tool_of_id is None and (which.state != "raw" or _machined(q, which)):
        return None
    if not subjects:
        rows = q._rows_of(
            "SELECT i.id FROM item i WHERE i.job_of_id = ? AND i.kind = ? "
            f"AND {there(q.as_one('i.id'), 'i.lot_id')} LIMIT ?",
            (which.job_of_id, which.kind, most + 1),
        )
        if len(rows) > most:
            return None
        subjects = [row[0] for row in rows]
    summaries: list[KeptSummary] = []
    for marks, part in q._in(subjects):
        rows = q._rows_of(
            "SELECT n, mean, m2, min, max, last_value, last_at_us FROM cache_summary "
            f"WHERE subject_id IN ({marks}) AND feature_id IN ({marks_of(which.feature_ids)})",
            [*part, *which.feature_ids],
        )
        summaries += [KeptSummary(*row) for row in rows if row[0]]
    return merged(summaries)


def kept_by_feature(q: ReadingQueries, feature_ids: Sequence[bytes] | None = None) -> dict[bytes, KeptSummary]:
    """The running summaries of every feature (or those named) over all that it was measured on, by feature id."""
    where = "" if feature_ids is None else f"WHERE feature_id IN ({marks_of(feature_ids)})"
    groups: dict[bytes, list[KeptSummary]] = {}
    for row in q._rows_of(
        f"SELECT feature_id, n, mean, m2, min, max, last_value, last_at_us FROM cache_summary {where}",
        list(feature_ids or ()),
    ):
        groups.setdefault(row[0], []).append(KeptSummary(*row[1:]))
    return {feature: whole for feature, parts in groups.items() if (whole := merged(parts)) is not None}


# ------------------------------------------------------------------------------ values alone
def values(q: ReadingQueries, which: Which) -> Values:
    """The values that count, oldest first, by the index that holds them (`reading_feature`) where that is enough.

    The index knows the feature but not the subject. Where the kept summaries say that nothing else was measured on
    this feature, the rows themselves are not looked at; that halves the time.
    """
    columns: list[array[float]] = []
    starts: list[tuple[bytes, int]] = []
    total = 0
    n_out = len(out_of_count(q, which))
    if not _in_turn(q, which.feature_ids):
        mixed = _pairs(q, which)
        return Values(array("d", [value for _, value in mixed]), ((which.feature_ids[-1], 0),), n_out)
    alone = which.item_id is None and _alone(q, which)
    without, bound = ("", []) if alone else where_of(q, which)
    table = "reading r INDEXED BY reading_item" if which.item_id is not None else "reading r INDEXED BY reading_feature"
    counts = _counts(q)
    for feature in which.feature_ids:
        column = _column(
            q,
            f"SELECT r.value FROM {table} WHERE r.feature_id = ?{' AND ' + without if without else ''}{counts} "
            "ORDER BY r.id",
            [feature, *bound],
        )
        if column:
            starts.append((feature, total))
            columns.append(column)
            total += len(column)
    together = columns[0] if columns else array("d")
    for column in columns[1:]:
        together.extend(column)
    return Values(together, tuple(starts) or ((which.feature_ids[-1], 0),), n_out)


def _counts(q: ReadingQueries) -> str:
    """The condition that a reading counts: none, the plain one, or the full one where two benches answered one."""
    if not q._rows_of(ANY_OUT)[0][0]:
        return ""
    if q._rows_of("SELECT 1 FROM supersede GROUP BY target_id HAVING count(*) > 1 LIMIT 1") or q._rows_of(
        "SELECT 1 FROM setup_taken_back LIMIT 1"
    ):
        return " AND EXISTS (SELECT 1 FROM reading_that_counts c WHERE c.id = r.id)"
    return " AND NOT EXISTS (SELECT 1 FROM supersede s WHERE s.target_id = r.id)"


def _column(q: ReadingQueries, sql: str, bound: Sequence[Any]) -> array[float]:
    """One column as it comes: a list of a hundred thousand rows in between would wake the garbage collector."""
    try:
        return array("d", chain.from_iterable(q._asked(sql, bound)))
    except sqlite3.Error as error:
        raise explain(error, q.path, q.busy_s) from error


def _in_turn(q: ReadingQueries, feature_ids: Sequence[bytes]) -> bool:
    """Whether each revision's readings all come after those of the revision before."""
    last = b""
    for feature in feature_ids if len(feature_ids) > 1 else ():
        low, high = q._rows_of(
            "SELECT (SELECT min(id) FROM reading WHERE feature_id = ?1), "
            "(SELECT max(id) FROM reading WHERE feature_id = ?1)",
            (feature,),
        )[0]
        if low is not None:
            if low < last:
                return False
            last = high
    return True


def _alone(q: ReadingQueries, which: Which) -> bool:
    """Whether every reading of the feature that counts is on this subject, as far as the kept summaries tell."""
    marks = marks_of(which.feature_ids)
    if which.tool_of_id is not None:
        every = q.ids_of([which.tool_of_id])
        own, others = q._rows_of(
            f"SELECT (SELECT total(n) FROM cache_summary WHERE subject_id IN ({marks_of(every)}) "
            f"AND feature_id IN ({marks})), "
            "EXISTS (SELECT 1 FROM item WHERE job_of_id = ?) OR (SELECT count(DISTINCT of_id) FROM tool "
            "WHERE job_of_id = ?) > 1",
            [*every, *which.feature_ids, which.job_of_id, which.job_of_id],
        )[0]
        if own and not others:
            return True
        count = q._rows_of(f"SELECT count(*) FROM reading WHERE feature_id IN ({marks})", which.feature_ids)[0][0]
        return bool(own) and count - own == len(out_of_count(q, which, anywhere=True))
    if which.state != "raw" or _machined(q, which):
        return False
    if not q._rows_of("SELECT EXISTS (SELECT 1 FROM cache_summary)")[0][0]:
        return False
    others = q._rows_of(
        "SELECT EXISTS (SELECT 1 FROM item WHERE job_of_id = ? AND kind <> ?) OR EXISTS (SELECT 1 FROM tool t "
        f"CROSS JOIN cache_summary c ON c.subject_id = t.of_id AND c.feature_id IN ({marks}) WHERE t.job_of_id = ?)",
        [which.job_of_id, which.kind, *which.feature_ids, which.job_of_id],
    )[0][0]
    return not others


def _machined(q: ReadingQueries, which: Which) -> bool:
    """Whether any of these features was measured on a casting after it was machined."""
    rows = q._rows_of(
        "SELECT EXISTS (SELECT 1 FROM setup s CROSS JOIN reading r ON r.setup_id = s.id "
        f"WHERE s.state = 'finished' AND r.feature_id IN ({marks_of(which.feature_ids)}))",
        which.feature_ids,
    )
    return bool(rows[0][0])


def _pairs(q: ReadingQueries, which: Which) -> list[tuple[bytes, float]]:
    """(id, value) of what counts where revisions were measured side by side: sorted, the slower way."""
    where, bound = where_of(q, which)
    out = out_of_count(q, which)
    rows = q._rows_of(
        f"SELECT r.id, r.value FROM reading r WHERE r.feature_id IN ({marks_of(which.feature_ids)}) AND {where} "
        "ORDER BY r.id",
        [*which.feature_ids, *bound],
    )
    return [row for row in rows if row[0] not in out]


# ------------------------------------------------------------------------------ with everything about them
def columns(q: ReadingQueries, which: Which) -> Columns:
    """Every reading with who, with what, and on which casting of which lot."""
    where, bound = where_of(q, which)
    rows = q._rows_of(
        "SELECT r.id, r.value, r.feature_id, r.setup_id, r.item_id, r.rep FROM reading r "
        f"WHERE r.feature_id IN ({marks_of(which.feature_ids)}) AND {where} ORDER BY r.id",
        [*which.feature_ids, *bound],
    )
    if not rows:
        return Columns(
            id=[],
            value=array("d"),
            at_us=array("q"),
            feature_id=[],
            setup_id=[],
            rep=[],
            person=[],
            instrument=[],
            lot=[],
            item=[],
            out=[],
        )
    ids, value, features, setups, items, reps = (list(column) for column in zip(*rows, strict=True))
    who: dict[bytes, tuple[str, str]] = {}
    for marks, part in q._in(set(setups)):
        for setup, person, instrument in q._rows_of(
            "SELECT s.id, p.initials, i.label FROM setup s JOIN person p ON p.id = s.person_id "
            f"JOIN instrument i ON i.id = s.instrument_id WHERE s.id IN ({marks})",
            part,
        ):
            who[setup] = (person, instrument)
    called: dict[bytes | None, tuple[str | None, str | None]] = {None: (None, None)}
    said = {about: row.name for kind in (kinds.ITEM, kinds.LOT) for about, row in q.renamed(kind).items()}
    first = {item: q.first_of(item) for item in items if item is not None}
    for marks, part in q._in(set(first.values())):
        for item, serial, lot_id, lot in q._rows_of(
            "SELECT i.id, i.serial, l.id, l.label FROM item i LEFT JOIN lot l ON l.id = i.lot_id "
            f"WHERE i.id IN ({marks})",
            part,
        ):
            called[item] = (said.get(item, serial), said.get(lot_id, lot))
    called.update((item, called[one]) for item, one in first.items())
    out = out_of_count(q, which)
    return Columns(
        id=ids,
        value=array("d", value),
        at_us=array("q", [at_us(i) for i in ids]),
        feature_id=features,
        setup_id=setups,
        rep=reps,
        person=[who[s][0] for s in setups],
        instrument=[who[s][1] for s in setups],
        lot=[called[i][1] for i in items],
        item=[called[i][0] for i in items],
        out=[i in out for i in ids],
    )


def at_us(reading_id: bytes) -> int:
    """The instant in an id (UUIDv7), microseconds UTC to the millisecond."""
    return written_ms(reading_id) * 1000


def page(q: ReadingQueries, ids: Sequence[bytes]) -> list[LoggedReading]:
    """These readings with all that is known about them, in the order they were made."""
    readings: list[LoggedReading] = []
    for marks, part in q._in(ids):
        readings += q._logged(f"r.id IN ({marks})", part, "ASC", None)
    return sorted(readings, key=lambda logged: logged.reading.id)


def index_of(q: ReadingQueries, which: Which, reading_id: bytes) -> int:
    """How many readings that count come before this one: its place in `values`."""
    where, bound = where_of(q, which)
    alone = which.item_id is None and _alone(q, which)
    rows = q._rows_of(
        f"SELECT count(*) FROM reading r WHERE r.feature_id IN ({marks_of(which.feature_ids)}) AND r.id < ?"
        f"{_counts(q)}{'' if alone else ' AND ' + where}",
        [*which.feature_ids, reading_id, *([] if alone else bound)],
    )
    return int(rows[0][0])


def line_of(q: ReadingQueries, reading: Reading) -> list[Reading]:
    """The readings typed in one line with this one (repeats 1, 2, 3 ... of one setup), in order."""
    on, subject = ("tool_id", reading.tool_id) if reading.tool_id else ("item_id", reading.item_id)
    readings: list[Reading] = q._all(
        kinds.READING,
        f"t.setup_id = ? AND t.feature_id = ? AND t.{on} = ?",
        (reading.setup_id, reading.feature_id, subject),
    )
    lines: list[list[Reading]] = []
    for later in readings:
        if lines and later.rep == lines[-1][-1].rep + 1:
            lines[-1].append(later)
        else:
            lines.append([later])
    return next((line for line in lines if any(later.id == reading.id for later in line)), [reading])
