"""Questions about readings: what was logged, by whom and with what, what still counts, and the running summaries."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import fsum

from inspect_tui.frozen import NamedTuple, frozen_by_name, replace
from inspect_tui.model.measuring import Note, Reading, Setup, Supersede
from inspect_tui.model.words import STATES_OF_WORK
from inspect_tui.record import kinds
from inspect_tui.record.ask.jobs import Queries
from inspect_tui.record.conditions import MEASURED_AT, marks_of

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import Any

    _Row = tuple[bytes, bytes, bytes, int, float, str]  # reading, feature, setup, repeat, value, slip

# Whether any reading at all does not count: somebody answered it, or took back the file that brought it.
ANY_OUT = "SELECT EXISTS (SELECT 1 FROM supersede) OR EXISTS (SELECT 1 FROM setup_taken_back)"
MOST_LONG_AGO = 100  # readings of a feature that are looked through where its newest lies far back


@frozen_by_name
class LoggedReading:
    """A reading with what is known about it. It counts unless `out`; mm, deg or degC by its feature's quantity."""

    reading: Reading
    at_us: int  # microseconds UTC
    tz_min: int
    by: str  # initials
    instrument: str  # label
    setup: Setup
    supersede: Supersede | None  # the answer in force, or the latest one while contested
    superseded_at_us: int | None
    superseded_by: str | None
    contested: bool  # two benches answered differently, and none of them counts
    replaces_id: bytes | None  # the reading that this one was typed in place of
    out: bool
    notes: tuple[Note, ...]

    @property
    def id(self) -> bytes:
        """The reading's."""
        return self.reading.id

    @property
    def setup_id(self) -> bytes:
        """Who measured with what."""
        return self.reading.setup_id

    @property
    def value(self) -> float:
        """As it was read, mm, deg or degC."""
        return self.reading.value

    @property
    def slip(self) -> str:
        """Whether it was asked about when it was typed, and what was answered."""
        return self.reading.slip


class KeptSummary(NamedTuple):
    """Of the readings that count on one tool or item for one feature; m2 is the sum of squared deviations."""

    n: int
    mean: float
    m2: float
    min: float
    max: float
    last_value: float
    last_at_us: int


def merged(parts: Iterable[KeptSummary]) -> KeptSummary | None:
    """Several summaries as one (Chan et al. 1983); None when there is none."""
    total: KeptSummary | None = None
    for part in parts:
        if total is None:
            total = part
            continue
        n = total.n + part.n
        step = part.mean - total.mean
        last = max(total, part, key=lambda s: s.last_at_us)
        total = KeptSummary(
            n=n,
            mean=total.mean + step * part.n / n,
            m2=total.m2 + part.m2 + step * step * total.n * part.n / n,
            min=min(total.min, part.min),
            max=max(total.max, part.max),
            last_value=last.last_value,
            last_at_us=last.last_at_us,
        )
    return total


class LineReading(NamedTuple):
    """A reading that counts, as the newest line of its feature holds it; `value` as it was read."""

    id: bytes
    setup_id: bytes
    value: float
    slip: str
    at_us: int
    tz_min: int


class WalkedReading(NamedTuple):
    """A reading that counts, met on the walk back from the newest one; `value` as it was read."""

    id: bytes
    setup_id: bytes
    value: float
    slip: str = "none"


class LastLine(NamedTuple):
    """The newest line of a feature that counts, its repeats in the order typed; `walked`: its newest readings."""

    readings: tuple[LineReading, ...]
    walked: tuple[WalkedReading, ...] = ()


def day_and_id(line: LastLine) -> tuple[int, bytes]:
    """What the newer of two lines has more of: a day that was said has no time, so within a day the later written."""
    last = line.readings[-1]
    return (last.at_us + last.tz_min * 60_000_000) // 86_400_000_000, last.id


class ReadingQueries(Queries):
    """Readings, notes and summaries."""

    def readings(
        self,
        feature_id: bytes | Sequence[bytes] | None = None,
        tool_of_id: bytes | None = None,
        item_id: bytes | None = None,
        session_id: bytes | None = None,
        state: str | None = None,
        limit: int | None = None,
        newest_first: bool = False,
        include_void: bool = True,
        after_id: bytes | None = None,
    ) -> list[LoggedReading]:
        """Readings in the order they were made; all filters given must hold, of a feature's rows one.

        `state`: of a casting, raw or finished.
        For the next page give the last reading's id as `after_id`. `include_void=False` leaves out what does not
        count: voided, corrected, and contested readings.
        """
        where: list[str] = []
        values: list[Any] = []
        if feature_id is not None:
            of = [feature_id] if isinstance(feature_id, bytes) else list(feature_id)
            where.append(f"r.feature_id IN ({marks_of(of)})" if len(of) > 1 else "r.feature_id = ?")
            values += of
        for text, value in (
            ("r.tool_id IN (SELECT id FROM tool WHERE of_id = ?)", tool_of_id),
            ("r.setup_id IN (SELECT id FROM setup WHERE session_id = ?)", session_id),
            ("(SELECT state FROM setup WHERE id = r.setup_id) = ?", state),
            (f"r.id {'<' if newest_first else '>'} ?", after_id),
        ):
            if value is not None:
                where.append(text)
                values.append(value)
        if item_id is not None:
            ids = self.ids_of([item_id])
            where.append(f"r.item_id IN ({marks_of(ids)})")
            values += ids
        if not include_void:
            where.append("EXISTS (SELECT 1 FROM reading_that_counts c WHERE c.id = r.id)")
        return self._logged(" AND ".join(where) or "1", values, "DESC" if newest_first else "ASC", limit)

    def anything_read(self, feature_ids: Iterable[bytes]) -> bool:
        """Whether one of these features was ever read, on whatever; what was taken back counts too."""
        return any(
            self._rows_of(f"SELECT 1 FROM reading WHERE feature_id IN ({marks}) LIMIT 1", part)
            for marks, part in self._in(feature_ids)
        )

    def reading(self, reading_id: bytes) -> LoggedReading | None:
        """One reading, None when it is not in the record."""
        logged = self._logged("r.id = ?", [reading_id], "ASC", 1)
        return logged[0] if logged else None

    def last_reading(self, session_id: bytes, include_void: bool = False) -> LoggedReading | None:
        """The newest reading of a session that counts: what `undo` takes back."""
        newest = self.readings(session_id=session_id, limit=1, newest_first=True, include_void=include_void)
        return newest[0] if newest else None

    def _logged(self, where: str, values: list[Any], direction: str, limit: int | None) -> list[LoggedReading]:
        reading, setup = kinds.READING, kinds.SETUP
        # the page is cut first; CROSS JOIN keeps SQLite from beginning with one of the small tables
        page = f"SELECT {reading.select('r')} FROM reading r WHERE {where} ORDER BY r.id {direction} LIMIT ?"
        rows = self._rows_of(
            f"SELECT r.*, {MEASURED_AT}, e.tz_min, p.initials, i.label, s.id FROM ({page}) r "
            "CROSS JOIN entry e ON e.id = r.id CROSS JOIN setup s ON s.id = r.setup_id "
            "CROSS JOIN person p ON p.id = s.person_id CROSS JOIN instrument i ON i.id = s.instrument_id "
            f"ORDER BY r.id {direction}",
            [*values, -1 if limit is None else limit],
        )
        ids, n = [row[0] for row in rows], len(reading.names)
        setups = {
            s.id: s
            for marks, part in self._in({row[-1] for row in rows})
            for s in self._all(setup, f"t.id IN ({marks})", part)
        }
        out, answers, replaces, notes = self._out(ids), self._answers(ids), self._replaces(ids), self._notes(ids)
        logged = []
        for row in rows:
            answer, at_us, who, contested = answers.get(row[0], (None, None, None, False))
            logged.append(
                LoggedReading(
                    reading=self._on_one(reading.thing(row[:n])),
                    at_us=row[n],
                    tz_min=row[n + 1],
                    by=row[n + 2],
                    instrument=row[n + 3],
                    setup=setups[row[n + 4]],
                    supersede=answer,
                    superseded_at_us=at_us,
                    superseded_by=who,
                    contested=contested,
                    replaces_id=replaces.get(row[0]),
                    out=row[0] in out,
                    notes=tuple(notes.get(row[0], ())),
                )
            )
        return logged

    def _on_one(self, reading: Reading) -> Reading:
        """A reading on the casting or sand core that it goes by."""
        if self._ones is None or reading.item_id not in self._ones.first:
            return reading
        return replace(reading, item_id=self._ones.first[reading.item_id])

    def _answers(self, ids: Iterable[bytes]) -> dict[bytes, tuple[Supersede | None, int | None, str | None, bool]]:
        """Per target: the answer in force (or the latest), when, by whom, and whether it is contested."""
        kind, n = kinds.SUPERSEDE, len(kinds.SUPERSEDE.names)
        answers: dict[bytes, tuple[Supersede | None, int | None, str | None, bool]] = {}
        for marks, part in self._in(ids):
            rows = self._rows_of(
                f"SELECT {kind.select('t')}, e.at_us, p.initials, f.id IS NULL FROM supersede t "
                "JOIN entry e ON e.id = t.id LEFT JOIN person p ON p.id = e.by_id "
                "LEFT JOIN supersede_in_force f ON f.target_id = t.target_id AND f.id = t.id "
                f"WHERE t.target_id IN ({marks}) ORDER BY f.id IS NOT NULL, t.id",
                part,
            )
            for row in rows:  # the one in force comes last and stays
                answer = kind.thing(row[:n])
                answers[answer.target_id] = (answer, row[n], row[n + 1], bool(row[n + 2]))
            for reading, why, at_us, who in self._taken_back(marks, part):
                said = Supersede(target_id=reading, reason="other", why=why)
                answers.setdefault(reading, (said, at_us, who, False))
        return answers

    def _taken_back(self, marks: str, ids: list[bytes]) -> list[tuple[bytes, str, int, str | None]]:
        """Of these readings those whose file was taken back: (reading, why, when, by whom)."""
        if not self._rows_of("SELECT EXISTS (SELECT 1 FROM setup_taken_back)")[0][0]:
            return []
        return self._rows_of(
            "SELECT r.id, w.why, e.at_us, p.initials FROM reading r CROSS JOIN setup s ON s.id = r.setup_id "
            "CROSS JOIN import_file f ON f.session_id = s.session_id CROSS JOIN withdrawal w ON w.about_id = f.id "
            f"CROSS JOIN entry e ON e.id = w.id LEFT JOIN person p ON p.id = e.by_id WHERE r.id IN ({marks}) "
            "AND r.setup_id IN (SELECT b.id FROM setup_taken_back b) ORDER BY w.id",
            ids,
        )

    def _out(self, ids: Iterable[bytes]) -> set[bytes]:
        wanted = set(ids)
        return wanted - self._counting(wanted)

    def _counting(self, ids: Iterable[bytes]) -> set[bytes]:
        counting: set[bytes] = set()
        for marks, part in self._in(ids):
            rows = self._rows_of(f"SELECT id FROM reading_that_counts WHERE id IN ({marks})", part)
            counting.update(row[0] for row in rows)
        return counting

    def _replaces(self, ids: Iterable[bytes]) -> dict[bytes, bytes]:
        targets: dict[bytes, bytes] = {}
        for marks, part in self._in(ids):
            targets.update(
                self._rows_of(
                    f"SELECT replacement_id, target_id FROM supersede WHERE replacement_id IN ({marks}) ORDER BY id",
                    part,
                )
            )
        return targets

    def _notes(self, ids: Iterable[bytes]) -> dict[bytes, list[Note]]:
        notes: dict[bytes, list[Note]] = {}
        for marks, part in self._in(self.ids_of(ids)):
            for note in self._all(kinds.NOTE, f"t.about_id IN ({marks})", part):
                notes.setdefault(self.first_of(note.about_id), []).append(note)
        return notes

    def read_in_round(self, tool_of_id: bytes | None, item_id: bytes | None, title: str) -> set[bytes]:
        """The features of which a reading counts that was made on a tool or item in stays of that title."""
        on, subjects = "r.tool_id IN (SELECT id FROM tool WHERE of_id = ?)", [tool_of_id]
        if item_id is not None:
            subjects = [*self.ids_of([item_id])]
            on = f"r.item_id IN ({marks_of(subjects)})"
        rows = self._rows_of(
            "SELECT DISTINCT r.feature_id FROM session s CROSS JOIN setup u ON u.session_id = s.id "
            f"CROSS JOIN reading r ON r.setup_id = u.id WHERE s.title = ? AND {on} "
            "AND EXISTS (SELECT 1 FROM reading_that_counts c WHERE c.id = r.id)",
            (title, *subjects),
        )
        return {row[0] for row in rows}

    def notes(self, about_id: bytes) -> list[Note]:
        """The notes about one recorded thing, oldest first."""
        return self._notes([about_id]).get(self.first_of(about_id), [])

    def measured_finished(self, item_id: bytes) -> bool:
        """Whether anything on a casting was measured after it was machined: then it has two kinds of readings."""
        ids = self.ids_of([item_id])
        finished = "SELECT 1 FROM reading r CROSS JOIN setup s ON s.id = r.setup_id "
        finished += f"WHERE r.item_id IN ({marks_of(ids)}) AND s.state = 'finished'"
        return bool(self._rows_of(f"SELECT EXISTS ({finished})", ids)[0][0])

    def last_lines(
        self, tool_of_id: bytes | None = None, item_id: bytes | None = None, most: int = 4000, state: str = "raw"
    ) -> dict[bytes, LastLine]:
        """The newest line of each feature on a tool (all its versions) or an item; `state`: of a casting.

        Each version of the tool is walked from its newest reading, `most` of them: however many old ones there are,
        they cost nothing. A feature that was not read lately is looked up by the last reading of its summary.
        """
        if item_id is not None and self.measured_finished(item_id):
            return self._lines(
                [("r.item_id = ?", every) for every in self.ids_of([item_id])],
                f"(SELECT state FROM setup WHERE id = r.setup_id) = '{STATES_OF_WORK[state != 'raw']}'",
                most,
            )
        if state != "raw":
            return {}
        subjects: list[tuple[str, bytes]] = []
        if item_id is not None:
            subjects = [("r.item_id = ?", every) for every in self.ids_of([item_id])]
        else:
            versions = self._rows_of("SELECT id FROM tool WHERE of_id = ?", (tool_of_id,))
            subjects = [("r.tool_id = ?", row[0]) for row in versions]
        said = "SELECT id FROM setup WHERE on_date IS NOT NULL"
        if not self._rows_of(f"SELECT EXISTS ({said})")[0][0]:
            lines = self._lines(subjects, "1", most)
            return lines | self._long_ago(tool_of_id if item_id is None else item_id, lines)
        lines = self._lines(subjects, f"r.setup_id NOT IN ({said})", most)
        # measured on a day that somebody said: the newest of them may be older than what is there
        for feature, line in self._lines(subjects, f"r.setup_id IN ({said})", most).items():
            there = lines.get(feature)
            newer = there is None or day_and_id(line) > day_and_id(there)
            readings = line.readings if there is None or newer else there.readings
            lines[feature] = LastLine(readings, line.walked + (there.walked if there else ()))
        return lines | self._long_ago(tool_of_id if item_id is None else item_id, lines)

    def _lines(self, subjects: list[tuple[str, bytes]], which: str, most: int) -> dict[bytes, LastLine]:
        rows: list[_Row] = []
        answered = self._rows_of(ANY_OUT)[0][0]
        counts = "EXISTS (SELECT 1 FROM reading_that_counts c WHERE c.id = r.id)" if answered else "1"
        for where, subject in subjects:
            rows += self._rows_of(
                "SELECT r.id, r.feature_id, r.setup_id, r.rep, r.value, r.slip FROM reading r "
                f"WHERE {where} AND {which} AND {counts} ORDER BY r.id DESC LIMIT ?",
                (subject, most),
            )
        if len(subjects) > 1:
            rows = sorted(rows, reverse=True)[:most]
        return self._newest(rows)

    def _long_ago(self, subject: bytes | None, lines: dict[bytes, LastLine]) -> dict[bytes, LastLine]:
        """The newest lines of the features that were not met among the newest readings of a tool or item."""
        ids = self.ids_of([subject] if subject else [])
        marks = marks_of(ids)
        last = dict(
            self._rows_of(
                f"SELECT feature_id, last_id FROM cache_summary WHERE subject_id IN ({marks}) ORDER BY last_id", ids
            )
        )
        rows: list[_Row] = []
        for feature in last.keys() - lines.keys():
            near = self._rows_of(
                "SELECT r.id, r.feature_id, r.setup_id, r.rep, r.value, r.slip, coalesce(r.item_id, r.tool_id) "
                "FROM reading r INDEXED BY reading_feature WHERE r.feature_id = ? AND r.id <= ? "
                "ORDER BY r.id DESC LIMIT ?",
                (feature, last[feature], MOST_LONG_AGO),
            )
            counting = self._counting(row[0] for row in near)
            rows += [row[:6] for row in near if row[6] == near[0][6] and row[0] in counting]
        return self._newest(rows)

    def _newest(self, rows: Iterable[_Row]) -> dict[bytes, LastLine]:
        """The newest line of each feature, out of readings that come newest first."""
        lines: dict[bytes, list[tuple[bytes, bytes, float, str]]] = {}
        reached: dict[bytes, tuple[bytes, int]] = {}  # feature -> setup and repeat that its line has come down to
        walked: dict[bytes, list[WalkedReading]] = {}
        for reading, feature, setup, rep, value, slip in rows:
            walked.setdefault(feature, []).append(WalkedReading(reading, setup, value, slip))
            if feature not in lines:
                lines[feature], reached[feature] = [(reading, setup, value, slip)], (setup, rep)
            elif reached[feature] == (setup, rep + 1):
                lines[feature].insert(0, (reading, setup, value, slip))
                reached[feature] = (setup, rep)
        written: dict[bytes, tuple[int, int]] = {}
        for marks, part in self._in(line[0][0] for line in lines.values()):
            made = self._rows_of(
                f"SELECT r.id, {MEASURED_AT}, e.tz_min FROM reading r CROSS JOIN entry e ON e.id = r.id "
                f"CROSS JOIN setup s ON s.id = r.setup_id WHERE r.id IN ({marks})",
                part,
            )
            written.update((row[0], (row[1], row[2])) for row in made)
        return {
            feature: LastLine(
                tuple(LineReading(*reading, *written[line[0][0]]) for reading in line), tuple(walked[feature])
            )
            for feature, line in lines.items()
        }

    def summaries(
        self, tool_of_id: bytes | None = None, item_id: bytes | None = None, state: str = "raw"
    ) -> dict[bytes, KeptSummary]:
        """The running summaries of a tool (all its versions) or of an item, by feature id; `state`: of a casting.

        They are kept of all that was read of a size. Of a casting that was machined they are made of its readings.
        """
        if item_id is not None and self.measured_finished(item_id):
            return self._summed(item_id, state)
        if state != "raw":
            return {}
        subject = tool_of_id if item_id is None else item_id
        ids = self.ids_of([subject] if subject else [])
        marks = marks_of(ids)
        rows = self._rows_of(
            "SELECT feature_id, n, mean, m2, min, max, last_value, last_at_us FROM cache_summary "
            f"WHERE subject_id IN ({marks})",
            ids,
        )
        parts: dict[bytes, list[KeptSummary]] = {}
        for row in rows:
            parts.setdefault(row[0], []).append(KeptSummary(*row[1:]))
        return {feature: whole for feature, of in parts.items() if (whole := merged(of)) is not None}

    def _summed(self, item_id: bytes, state: str) -> dict[bytes, KeptSummary]:
        ids = self.ids_of([item_id])
        rows = self._rows_of(
            "SELECT r.feature_id, r.value, e.at_us FROM reading r CROSS JOIN setup s ON s.id = r.setup_id "
            f"CROSS JOIN entry e ON e.id = r.id WHERE r.item_id IN ({marks_of(ids)}) AND s.state = ? "
            "AND EXISTS (SELECT 1 FROM reading_that_counts c WHERE c.id = r.id) ORDER BY r.id",
            (*ids, state),
        )
        readings: dict[bytes, list[tuple[float, int]]] = {}
        for feature, value, at_us in rows:
            readings.setdefault(feature, []).append((value, at_us))
        summed = {}
        for feature, taken in readings.items():
            values = [value for value, _ in taken]
            mean = fsum(values) / len(values)
            m2 = fsum((value - mean) ** 2 for value in values)
            summed[feature] = KeptSummary(len(values), mean, m2, min(values), max(values), *taken[-1])
        return summed
