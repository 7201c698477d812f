"""Questions of the evidence: which readings have to be put right, because of a temperature, a known bias or a tilt."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from inspect_tui.frozen import NamedTuple
from inspect_tui.record import kinds
from inspect_tui.record.ask.jobs import Queries
from inspect_tui.record.chain.ids import written_ms
from inspect_tui.record.conditions import MEASURED_AT

TYPE_CHECKING = False
if TYPE_CHECKING:
    from inspect_tui.model.first_article import Realigned


class ToPutRight(NamedTuple):
    """A reading that does not stand as it was read, with what decides by how much."""

    id: bytes
    feature_id: bytes
    setup_id: bytes
    item_id: bytes | None
    tool_id: bytes | None
    at_us: int
    tz_min: int


_SETUPS = (
    "SELECT p.id FROM setup p WHERE p.work_c IS NOT NULL OR p.instrument_id IN (SELECT i.id FROM instrument i "
    "WHERE i.of_id IN (SELECT b.instrument_of_id FROM instrument_bias b))"
)


def anything_to_put_right(q: Queries) -> bool:
    """Whether the record knows any temperature, bias or tilt at all."""
    return bool(
        q._rows_of(
            "SELECT EXISTS (SELECT 1 FROM instrument_bias) OR EXISTS (SELECT 1 FROM realigned) "
            "OR EXISTS (SELECT 1 FROM setup WHERE work_c IS NOT NULL)"
        )[0][0]
    )


def to_put_right(q: Queries, feature_ids: Sequence[bytes]) -> list[ToPutRight]:
    """The readings of these feature rows that a temperature, a bias of the gauge or a tilt of the casting moves.

    Those that do not count are among them.
    """
    rows: list[ToPutRight] = []
    for marks, part in q._in(feature_ids):
        rows += (
            ToPutRight(*row)
            for row in q._rows_of(
                f"SELECT r.id, r.feature_id, r.setup_id, {q.as_one('r.item_id')}, r.tool_id, {MEASURED_AT}, e.tz_min "
                "FROM reading r INDEXED BY reading_feature CROSS JOIN entry e ON e.id = r.id "
                "CROSS JOIN setup s ON s.id = r.setup_id "
                f"WHERE r.feature_id IN ({marks}) AND (r.setup_id IN ({_SETUPS}) "
                f"OR {q.as_one('r.item_id')} IN (SELECT item_id FROM realigned))",
                part,
            )
        )
    return rows


def measured_at(q: Queries, reading_ids: Iterable[bytes]) -> dict[bytes, tuple[int, int]]:
    """When readings were made: microseconds UTC, minutes from UTC; a day that somebody said counts."""
    made: dict[bytes, tuple[int, int]] = {}
    for marks, part in q._in(reading_ids):
        rows = q._rows_of(
            f"SELECT r.id, {MEASURED_AT}, e.tz_min FROM reading r CROSS JOIN entry e ON e.id = r.id "
            f"CROSS JOIN setup s ON s.id = r.setup_id WHERE r.id IN ({marks})",
            part,
        )
        made.update((row[0], (row[1], row[2])) for row in rows)
    return made


def turned_by(q: Queries, item_id: bytes, until_us: int) -> list[Realigned]:
    """How a casting stood turned back at a moment (microseconds UTC): the last word for each axis by then."""
    last: dict[str, Realigned] = {}
    for turn in q._all(kinds.REALIGNED, "t.item_id = ?", (q.first_of(item_id),)):
        if written_ms(turn.id) * 1000 <= until_us:
            last[turn.axis] = turn
    return [turn for turn in last.values() if turn.holds]


def measured_on(q: Queries, feature_ids: Sequence[bytes]) -> dict[bytes, str]:
    """The day (ISO) of the readings of these feature rows that were measured on another day than they were logged."""
    days: dict[bytes, str] = {}
    if not q._rows_of("SELECT EXISTS (SELECT 1 FROM setup WHERE on_date IS NOT NULL)")[0][0]:
        return days
    for marks, part in q._in(feature_ids):
        days.update(
            q._rows_of(
                "SELECT r.id, s.on_date FROM setup s CROSS JOIN reading r ON r.setup_id = s.id "
                f"WHERE s.on_date IS NOT NULL AND r.feature_id IN ({marks})",
                part,
            )
        )
    return days


def clock_doubted(q: Queries, feature_ids: Sequence[bytes]) -> set[bytes]:
    """The readings of these feature rows that were logged while the clock was in doubt; they all have a day."""
    doubted: set[bytes] = set()
    if not q._rows_of("SELECT EXISTS (SELECT 1 FROM setup WHERE on_date IS NOT NULL AND clock_doubt = 1)")[0][0]:
        return doubted
    for marks, part in q._in(feature_ids):
        rows = q._rows_of(
            "SELECT r.id FROM setup s CROSS JOIN reading r ON r.setup_id = s.id "
            f"WHERE s.on_date IS NOT NULL AND s.clock_doubt = 1 AND r.feature_id IN ({marks})",
            part,
        )
        doubted.update(row[0] for row in rows)
    return doubted
