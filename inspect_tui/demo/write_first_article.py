"""What the invented shop took over after its first sampling: the cut list as it stood, but for what was left."""

from __future__ import annotations

from inspect_tui.errors import InspectError
from inspect_tui.frozen import replace
from inspect_tui.model.first_article import CutAccepted, CutPromise
from inspect_tui.model.words import Id
from inspect_tui.model.work import Job
from inspect_tui.record.store import Record

NOT_DONE = ("core 5",)  # the keys of core 5 were left for later: the second sampling shows it


def cuts_taken_over(record: Record, job: Job, label: str, by: Id) -> None:
    """The cut list of a sampling as it stood that day, taken over but for what was left for later.

    Figures are kept to a hundredth, so that the record is the same on every machine.
    """
    from inspect_tui.shop.first_article.article import assemble
    from inspect_tui.shop.first_article.castings.rounds import pick_round
    from inspect_tui.shop.first_article.castings.sampling import Sampling
    from inspect_tui.shop.first_article.castings.screening import look
    from inspect_tui.shop.first_article.take_over import cut_rows

    sampling = Sampling(record, job, pick_round(record, job, label))
    looked = look(sampling)
    try:
        article = assemble(sampling, looked=looked)
    except InspectError:
        return
    if article.causes is None or article.cuts is None:
        return
    lines = [line for line in article.cuts.cuts if not line.cause.startswith(NOT_DONE)]
    made = cut_rows(record, sampling, looked, article.causes, article.cuts, lines, move_targets=False)
    record.add_all([_rounded(row) for row in made.rows], by=by)


def _rounded(row: CutAccepted | CutPromise) -> CutAccepted | CutPromise:
    if isinstance(row, CutPromise):
        return replace(
            row, before_mm=round(row.before_mm, 2), promised_mm=round(row.promised_mm, 2), u_mm=round(row.u_mm, 2)
        )
    return replace(row, change_mm=round(row.change_mm, 2), low_mm=round(row.low_mm, 2), high_mm=round(row.high_mm, 2))
