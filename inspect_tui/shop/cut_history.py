"""The cuts that were taken over, as lines for screen and paper."""

from __future__ import annotations

from inspect_tui.frozen import frozen
from inspect_tui.model import Job
from inspect_tui.record import Reader
from inspect_tui.shop.sampling import local_day


@frozen
class Work:
    """A cut that became work: which round led to it, on which tool, what is to be done, and the day it was taken."""

    round: str
    tool: str
    cause: str
    words: str
    casting_words: str
    day: str
    promises: tuple[tuple[str, float], ...]  # balloon, mm on the casting


def work(record: Reader, job: Job) -> tuple[Work, ...]:
    """Every cut of a job that was taken over, oldest first."""
    lots = {lot.id: lot.label for lot in record.lots(job.of_id)}
    rows = {row.id: row.balloon for row in record.revised_features(job.of_id)}
    accepted = record.cuts_accepted(job.of_id)
    at = record.entry_times([cut.id for cut, _ in accepted])
    return tuple(
        Work(
            lots.get(cut.lot_id or b"", "no lot"), cut.tool, cut.cause, cut.words, cut.casting_words or "",
            local_day(*at[cut.id]), tuple((rows.get(p.feature_id, "?"), p.promised_mm) for p in promised),
        )
        for cut, promised in accepted
    )  # fmt: skip
