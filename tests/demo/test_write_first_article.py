"""What the invented shop records about its samplings: where the casting is held, and the cuts that it took over."""

from __future__ import annotations

from inspect_tui.demo import scenario
from inspect_tui.demo.write_first_article import NOT_DONE
from inspect_tui.record.store import Record


def test_the_datum_targets_of_the_scenario_are_in_the_record(record: Record) -> None:
    (job,) = record.jobs()
    held = {t.label: t for t in record.datum_targets(job.of_id)}
    assert {label: (t.x_mm, t.y_mm, t.z_mm) for label, t in held.items()} == scenario.DATUM_TARGETS
    axes = [held[label].axis for label in sorted(held)]
    assert [axes.count(axis) for axis in "zyx"] == [3, 1, 1]  # three pads, the back of the flange, the closed end
    assert all(t.name for t in held.values())


def test_cuts_were_taken_over_after_the_first_sampling_but_for_what_was_left(record: Record) -> None:
    (job,) = record.jobs()
    accepted = record.cuts_accepted(job.of_id)
    causes = {cut.cause for cut, _ in accepted}
    assert {"contraction x", "core 4 y", "size F55"} <= causes
    assert not any(cause.startswith(NOT_DONE) for cause in causes)


def test_figures_of_the_cuts_are_kept_to_a_hundredth(record: Record) -> None:
    (job,) = record.jobs()
    for cut, promises in record.cuts_accepted(job.of_id):
        figures = [cut.change_mm, cut.low_mm, cut.high_mm]
        assert figures[1] <= figures[0] <= figures[2] and promises
        for promise in promises:
            figures += [promise.before_mm, promise.promised_mm, promise.u_mm]
        assert figures == [round(figure, 2) for figure in figures]
