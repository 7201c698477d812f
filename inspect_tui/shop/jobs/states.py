"""A job waits, is closed or goes on: said with why; a closed one stays in the record and stands last in the list."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inspect_tui.errors import DataError
from inspect_tui.metrology.typed import fields
from inspect_tui.model.work import JobState

if TYPE_CHECKING:
    from inspect_tui.model.measuring import Person
    from inspect_tui.model.work import Job
    from inspect_tui.record.read import Reader
    from inspect_tui.record.store import Record

STATES = ("open", "waiting", "closed", "reopened")
LONGEST = 400  # letters of a why


def state_of(reader: Reader, job: Job) -> JobState | None:
    """What was said of a job last; None where nobody said anything."""
    return reader.job_states().get(job.of_id)


def say(record: Record, job: Job, state: str, why: str, by: Person) -> JobState:
    """Say that a job waits, is closed, or is open again. DataError without a reason, or where it is so already."""
    said = fields.choice(state, STATES, "the state")
    if isinstance(said, fields.Wrong):
        raise DataError(f"state: {said}.")
    before = state_of(record, job)
    now = before.state if before is not None else "open"
    if said == "open" and now == "closed":
        said = "reopened"
    if said == now or (said == "reopened" and now in ("open", "reopened")) or (said == "open" and now == "reopened"):
        raise DataError(f"Job {job.number} is {'open' if now == 'reopened' else now} already.")
    if not why.strip():
        raise DataError("why: say in a few words why; it stands beside the job from now on.")
    if len(why.strip()) > LONGEST:
        raise DataError(f"why: {len(why.strip())} characters; at most {LONGEST} fit.")
    made: JobState = record.add(JobState(job_id=job.id, state=said, why=why.strip()), by.id)
    return made
