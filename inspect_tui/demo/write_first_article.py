"""What the invented shop records about its samplings: the datum targets, and the cuts it took over after the first."""

from __future__ import annotations

from inspect_tui.demo import scenario
from inspect_tui.errors import InspectError
from inspect_tui.frozen import replace
from inspect_tui.model.first_article import CutAccepted, CutPromise, DatumTarget
from inspect_tui.model.words import Id
from inspect_tui.model.work import Job
from inspect_tui.record.store import Record

NOT_DONE = ("core 5",)  # the keys of core 5 were left for later: the second sampling shows it


def datum_targets(record: Record, job: Job, by: Id) -> None:
    """Where the casting is held: three pads under the feet, two on the flange, one on the closed end."""
    names = {"A": "pad under a drag foot", "B": "back of the engine flange", "C": "closed-end boss"}
    axes = {"A": "z", "B": "y", "C": "x"}
    record.add_all(
        (
            DatumTarget(
                job_of_id=job.of_id, label=label, name=names[label[0]], axis=axes[label[0]], x_mm=x, y_mm=y, z_mm=z
            )
            for label, (x, y, z) in scenario.DATUM_TARGETS.items()
        ),
        by=by,
    )


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
