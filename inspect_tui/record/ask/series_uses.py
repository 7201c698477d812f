"""With what a feature was measured from when to when: where one instrument ends for good and another takes over."""

from __future__ import annotations

from collections.abc import Sequence

from inspect_tui.frozen import frozen
from inspect_tui.record.ask.readings import ReadingQueries
from inspect_tui.record.ask.series import Which, where_of
from inspect_tui.record.conditions import marks_of

MOST_LOOKS = 400  # setups looked into for the first and last use of an instrument; beyond, the rows are read instead


@frozen
class State:
    """An instrument as its last adjusting left it: after being adjusted it counts as another one."""

    of_id: bytes
    label: str
    adjusted_on: str | None


@frozen
class Use:
    """From which to which reading (by id) an instrument was used in one state."""

    state: State
    first_id: bytes
    last_id: bytes


def states(q: ReadingQueries, job_of_id: bytes) -> dict[bytes, State]:
    """With what was measured in each setup of a job, in the order of the setups."""
    adjusted: dict[bytes, list[str]] = {}
    for instrument, done_on in q._rows_of(
        f"SELECT c.instrument_of_id, c.done_on FROM calibration c WHERE c.result = 'adjusted' AND {q.there('c.id')} "
        "ORDER BY c.done_on"
    ):
        adjusted.setdefault(instrument, []).append(done_on)
    by_setup: dict[bytes, State] = {}
    made: dict[tuple[bytes, str | None], State] = {}  # by instrument and certificate, one State for many
    same: dict[State, State] = {}
    for setup, instrument, label, done_on in q._rows_of(
        "SELECT s.id, i.of_id, i.label, c.done_on FROM session x CROSS JOIN setup s ON s.session_id = x.id "
        "CROSS JOIN instrument i ON i.id = s.instrument_id LEFT JOIN calibration c ON c.id = s.calibration_id "
        "WHERE x.job_of_id = ? OR x.job_of_id IS NULL ORDER BY s.id",
        (job_of_id,),
    ):
        state = made.get((instrument, done_on))
        if state is None:
            since = [day for day in adjusted.get(instrument, ()) if done_on is not None and day <= done_on]
            state = State(instrument, label, since[-1] if since else None)
            state = made[instrument, done_on] = same.setdefault(state, state)
        by_setup[setup] = state
    return by_setup


def uses(q: ReadingQueries, which: Which) -> list[Use] | None:
    """From when to when each instrument was used on these readings; None when that needs every row to be read.

    Looked up from the setups: the first and the last of an instrument nearly always hold the feature.
    """
    setups: dict[int, tuple[State, list[bytes]]] = {}  # by the object, for hashing it each time would cost
    for setup, state in states(q, which.job_of_id).items():
        setups.setdefault(id(state), (state, []))[1].append(setup)
    uses = []
    for state, ids in setups.values():
        first = _look(q, which, ids, "ASC")
        if first is None:
            continue
        last = _look(q, which, ids[::-1], "DESC")
        if first is _TOO_MANY or last is _TOO_MANY or last is None:
            return None
        uses.append(Use(state, first, last))
    return sorted(uses, key=lambda use: use.first_id)


_TOO_MANY = b"\0"


def _look(q: ReadingQueries, which: Which, setups: Sequence[bytes], direction: str) -> bytes | None:
    """The first reading of these setups, in their order, that is one of ours."""
    where, bound = where_of(q, which)
    for looked, setup in enumerate(setups):
        if looked >= MOST_LOOKS:
            return _TOO_MANY
        rows = q._rows_of(
            f"SELECT r.id FROM reading r INDEXED BY reading_setup WHERE r.setup_id = ? "
            f"AND r.feature_id IN ({marks_of(which.feature_ids)}) AND {where} ORDER BY r.id {direction} LIMIT 1",
            [setup, *which.feature_ids, *bound],
        )
        if rows:
            return bytes(rows[0][0])
    return None
