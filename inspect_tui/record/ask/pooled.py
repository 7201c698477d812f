"""Questions of the pooled offsets: the newest readings of lengths with all that tells whose they are and of what."""

from __future__ import annotations

from collections.abc import Iterable

from inspect_tui.frozen import NamedTuple
from inspect_tui.record.ask.jobs import Queries
from inspect_tui.record.ask.trends import _COUNTS
from inspect_tui.record.conditions import MEASURED_AT

NO_LENGTH = "('angle', 'attribute', 'temperature')"


class PooledReading(NamedTuple):
    """A reading that counts of a length, mm; on a tool (any of its versions, the first beside it) or an item."""

    id: bytes
    feature_id: bytes
    setup_id: bytes
    item_id: bytes | None
    tool_id: bytes | None
    at_us: int
    tz_min: int
    value: float
    tool_of_id: bytes | None


class UsedBy(NamedTuple):
    """Whose readings those of a setup are and from which day (ISO, by the clock of the bench).

    `calibrated_on` (ISO date) and `u` (standard, mm) are those of its certificate, None without one.
    """

    person_of_id: bytes
    instrument_of_id: bytes
    day: str
    calibrated_on: str | None
    u: float | None


class FeatureRow(NamedTuple):
    """A feature row: whose it is, which row of an older edition it carries on, how large it is to be (mm)."""

    job_of_id: bytes
    same_as_id: bytes | None
    nominal: float


def readings(q: Queries, most: int) -> list[PooledReading]:
    """The newest readings of lengths that count, at most so many, the newest first."""
    return [
        PooledReading(*row)
        for row in q._rows_of(
            f"SELECT r.id, r.feature_id, r.setup_id, {q.as_one('r.item_id')}, r.tool_id, {MEASURED_AT}, e.tz_min, "
            "r.value, t.of_id "
            "FROM reading r CROSS JOIN entry e ON e.id = r.id CROSS JOIN setup s ON s.id = r.setup_id "
            "LEFT JOIN tool t ON t.id = r.tool_id "
            f"WHERE r.feature_id NOT IN (SELECT id FROM feature WHERE quantity IN {NO_LENGTH}) AND {_COUNTS} "
            f"AND {q.there('t.of_id', 'r.item_id', 't.job_of_id')} AND coalesce(r.item_id, x'') NOT IN "
            f"(SELECT i.id FROM item i WHERE NOT ({q.there('i.lot_id', 'i.job_of_id')})) "
            "ORDER BY r.id DESC LIMIT ?",
            (most,),
        )
    ]


def several_hands(q: Queries) -> bool:
    """Whether there is anything to compare: two people, two instruments, or one that was adjusted in between."""
    return bool(
        q._rows_of(
            "SELECT (SELECT count(DISTINCT of_id) FROM person) > 1 "
            "OR (SELECT count(DISTINCT of_id) FROM instrument) > 1 "
            "OR EXISTS (SELECT 1 FROM calibration WHERE result = 'adjusted')"
        )[0][0]
    )


def used_by(q: Queries, setup_ids: Iterable[bytes] | None = None) -> dict[bytes, UsedBy]:
    """Person, instrument and certificate of these setups, or of all."""
    day = "coalesce(s.on_date, date(e.at_us / 1000000 + e.tz_min * 60, 'unixepoch'))"
    columns = (
        f"SELECT s.id, p.of_id, i.of_id, {day}, c.done_on, c.u95_mm / c.k "
        "FROM setup s CROSS JOIN entry e ON e.id = s.id CROSS JOIN person p ON p.id = s.person_id "
        "CROSS JOIN instrument i ON i.id = s.instrument_id LEFT JOIN calibration c ON c.id = s.calibration_id"
    )
    if setup_ids is None:
        rows = q._rows_of(columns)
    else:
        rows = [
            row for marks, part in q._in(setup_ids) for row in q._rows_of(f"{columns} WHERE s.id IN ({marks})", part)
        ]
    return {row[0]: UsedBy(*row[1:]) for row in rows}


def adjusted(q: Queries) -> dict[bytes, list[str]]:
    """The days (ISO) on which each instrument was adjusted, in order."""
    days: dict[bytes, list[str]] = {}
    for instrument, day in q._rows_of(
        "SELECT DISTINCT c.instrument_of_id, c.done_on FROM calibration c "
        f"WHERE c.result = 'adjusted' AND {q.there('c.id')} ORDER BY c.done_on"
    ):
        days.setdefault(instrument, []).append(day)
    return days


def feature_rows(q: Queries) -> dict[bytes, FeatureRow]:
    """Every feature row of every drawing."""
    return {
        row[0]: FeatureRow(*row[1:])
        for row in q._rows_of(
            "SELECT f.id, d.job_of_id, f.same_as_id, f.nominal FROM feature f "
            "CROSS JOIN drawing_revision d ON d.id = f.revision_id"
        )
    }


def made_by(q: Queries) -> dict[bytes, tuple[str, str | None]]:
    """Kind and cavity of every item."""
    return {row[0]: (row[1], row[2]) for row in q._rows_of("SELECT id, kind, cavity FROM item")}


def count_of_readings(q: Queries) -> int:
    """How many readings the record holds, those that do not count included."""
    return int(q._rows_of("SELECT count(*) FROM reading")[0][0])
