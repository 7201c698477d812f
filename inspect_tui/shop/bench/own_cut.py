"""What the Bench advises on a tool becomes work: a cut that is to be made, with what it promises of the casting."""

from __future__ import annotations

from inspect_tui.errors import DataError
from inspect_tui.model.first_article import CutAccepted, CutPromise
from inspect_tui.model.measuring import Person
from inspect_tui.shop.bench.line import Bench
from inspect_tui.shop.bench.outcomes import Logged

NO_CUT = ("leave", "")


def advised(bench: Bench, outcome: Logged | None) -> bool:
    """Whether the line just logged advises a change of the tool at hand that can be taken over."""
    cut = outcome.judged.cut if outcome is not None else None
    return bench.subject.tool is not None and cut is not None and cut.word not in NO_CUT


def take_over(bench: Bench, outcome: Logged, by: Person) -> CutAccepted:
    """Write the advised cut as work. Errors: DataError where nothing is advised, or it is work already."""
    tool, judged = bench.subject.tool, outcome.judged
    cut, feature = judged.cut, outcome.task.feature
    if tool is None or cut is None or not advised(bench, outcome):
        raise DataError("Nothing is advised here that could be taken over.")
    reach = judged.budget.U
    work = CutAccepted(
        id=bench.record.new_id(),
        job_of_id=bench.job.of_id,
        tool_id=tool.id,
        tool=tool.label,
        cause=f"{feature.balloon} read at the bench",
        axis=feature.axis,
        change_mm=cut.change_mm,
        low_mm=cut.change_mm - reach,
        high_mm=cut.change_mm + reach,
        words=cut.words[:400],
        casting_words=cut.casting_words[:400] or None,
    )
    for there, _ in bench.record.cuts_accepted(bench.job.of_id):
        if (there.tool_id, there.cause, there.words) == (
            work.tool_id,
            work.cause,
            work.words,
        ) and not bench.record.sizes_read_since(tool.of_id, there.id) & set(bench.rows_of(outcome.task)):
            raise DataError("That is work already.")
    now = judged.casting.value if judged.casting else judged.value
    u = judged.casting.u if judged.casting else judged.budget.u
    promise = CutPromise(cut_id=work.id, feature_id=feature.id, before_mm=now, promised_mm=now + cut.casting_mm, u_mm=u)
    written, _ = bench.record.add_all([work, promise], by=by.id)
    assert isinstance(written, CutAccepted)
    return written
