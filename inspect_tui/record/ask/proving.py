"""Questions about trials in the mould, and how the seats of a kit stood before they were changed."""

from __future__ import annotations

from inspect_tui.model.kit import Fit
from inspect_tui.model.proving import Proving, ProvingLine
from inspect_tui.record import kinds
from inspect_tui.record.ask.jobs import Queries


class ProvingQueries(Queries):
    """What was tried in the mould."""

    def provings(self, job_of_id: bytes) -> list[tuple[Proving, tuple[ProvingLine, ...]]]:
        """The trials of a job that hold, by day and then in the order in which they were written, with their lines."""
        held = [p for p in self._current(kinds.PROVING, "t.job_of_id = ?", (job_of_id,)) if p.holds]
        lines = self._members(kinds.PROVING_LINE, "proving_id", [p.id for p in held])
        return [(p, lines.get(p.id, ())) for p in sorted(held, key=lambda p: (p.on_date, p.of_id))]

    def fit_history(self, job_of_id: bytes) -> list[Fit]:
        """Every version of every fit of a job, oldest first, those too that were taken out."""
        return self._current(kinds.FIT, "t.job_of_id = ?", (job_of_id,), old=True)
