"""The samplings of a job: which castings belong to which round, and how a round is asked for by its label."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from inspect_tui.errors import NotFound
from inspect_tui.frozen import frozen
from inspect_tui.model.words import Id
from inspect_tui.model.work import Item, Job, Lot
from inspect_tui.record.read import Reader
from inspect_tui.shop.common import find

SAMPLING = re.compile(r"S\s*(\d+)", re.IGNORECASE)  # how samplings are labelled: S1, S2, S3
NO_LOT = "no lot"


@frozen
class Round:
    """The castings of one lot; `lot` None: castings that belong to none."""

    label: str
    lot: Lot | None
    castings: tuple[Item, ...]

    @property
    def lot_id(self) -> Id | None:
        """As rows name the sampling that they are of."""
        return self.lot.id if self.lot else None


def rounds(record: Reader, job: Job) -> list[Round]:
    """The samplings of a job, oldest first: lots labelled S1, S2 ...; without such lots, all that have castings."""
    return rounds_of(record.lots(job.of_id), record.all_castings(job.of_id))


def rounds_of(lots: Sequence[Lot], castings: Mapping[Id | None, Sequence[Item]]) -> list[Round]:
    """The samplings among the lots of a job (oldest first), with its castings by lot."""
    named = [lot for lot in lots if SAMPLING.fullmatch(lot.label)]
    all_rounds = [Round(lot.label, lot, tuple(castings.get(lot.id, ()))) for lot in named or lots]
    loose = tuple(castings.get(None, ()))
    all_rounds = [round_ for round_ in all_rounds if round_.castings or named]
    return [*all_rounds, Round(NO_LOT, None, loose)] if loose else all_rounds


def pick_round(record: Reader, job: Job, label: str | None = None) -> Round:
    """The round of that label; without one the newest that has castings. NotFound names those there are."""
    if label is not None:
        lots = {lot.label.casefold(): lot for lot in record.lots(job.of_id)}
        lot = lots.get(label.strip().casefold())
        if lot is not None:
            return Round(lot.label, lot, tuple(record.castings(job.of_id, lot.id)))
    all_rounds = rounds(record, job)
    if not all_rounds:
        raise NotFound(f"Job {job.number} has no castings yet: add a sampling with its serials first.")
    if label is None:
        return next((round_ for round_ in reversed(all_rounds) if round_.castings and round_.lot), all_rounds[-1])
    return find.pick(label, all_rounds, lambda round_: round_.label, "sampling", f" in job {job.number}")


def next_label(record: Reader, job: Job) -> str:
    """What the next sampling is called where nobody calls it otherwise: S1, S2, S3 ..."""
    return f"S{1 + sum(bool(SAMPLING.fullmatch(sampled.label)) for sampled in rounds(record, job))}"
