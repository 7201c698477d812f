"""Tests of: a sampling."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_tui.errors import DataError
from inspect_tui.frozen import replace
from inspect_tui.model.first_article import Realigned
from inspect_tui.model.measuring import Supersede
from inspect_tui.model.work import Feature
from inspect_tui.record.read import Reader
from inspect_tui.record.store import Record
from inspect_tui.shop.common import find
from inspect_tui.shop.common.standing import Standing
from inspect_tui.shop.first_article.article import assemble, overall
from inspect_tui.shop.first_article.castings import put_right as desk
from inspect_tui.shop.first_article.castings.sampling import Sampling
from inspect_tui.shop.jobs import export, jobs
from inspect_tui.shop.jobs.export_columns import NAMES
from tests.amounts import some
from tests.conftest import SmallShop, small_shop
from tests.shop.first_article.castings.test_doubts import (
    GOOD,
    Bench,
    bench,  # noqa: F401  a fixture
)
from tests.shop.first_article.castings.test_put_right import (
    record,  # noqa: F401  a fixture
    sampling,
)


def test_a_slip_decides_nothing_and_the_rest_of_its_feature_does(bench: Bench) -> None:
    bench.fill(but=(("F3", "C2"),))
    bench.log("F3", "C2", 8.273)  # inches in a field for mm
    cell = bench.cell("F3", "C2")
    assert cell.answer == "in question"
    assert cell.suggested == pytest.approx(8.273 * 25.4)
    assert (cell.p_conform, cell.margin) == (None, None)
    article = assemble(bench.sampling)
    line = next(one for one in article.features if one.balloon == "F3")
    assert line.answer == "in question"
    assert line.p_conform is not None  # of the three that stand
    assert line.p_conform > 0.9
    assert article.answer == "in question"
    assert dict(article.counts)["in question"] == 1
    assert "does not conform" not in dict(article.counts)


def f3(bench: Bench) -> Feature:
    job = bench.sampling.job
    return next(
        f for f in bench.shop.record.features(find.latest_revision(bench.shop.record, job).id) if f.balloon == "F3"
    )


def test_a_typing_error_that_was_put_right_is_what_a_round_is_judged_by(bench: Bench) -> None:
    bench.fill()
    before = {b: bench.cell(b, "C1") for b in ("F3", "F4", "F5")}
    right = replace(f3(bench), nominal=211.0, lower=210.2, upper=211.8)
    jobs.correct(bench.shop.record, bench.sampling.job, [right], "211 read as 210")
    bench.sampling.reload()
    assert bench.sampling.revision.rev == "A" and bench.sampling.revision.corrects_id is not None
    assert bench.cell("F3", "C1").answer == "does not conform"
    assert bench.cell("F3", "C1").value == before["F3"].value
    assert {b: bench.cell(b, "C1") for b in ("F4", "F5")} == {b: before[b] for b in ("F4", "F5")}


def test_readings_of_a_size_that_the_drawing_changed_do_not_count_for_the_new_one(bench: Bench) -> None:
    bench.fill(but=(("F4", "C1"),))
    jobs.revise(
        bench.shop.record, bench.sampling.job, "B", [replace(f3(bench), nominal=212.0, lower=211.2, upper=212.8)]
    )
    bench.sampling.reload()
    assert bench.sampling.revision.rev == "A"  # nothing of this round was read on B yet
    assert bench.cell("F3", "C1").answer == "conforms"
    bench.sampling.revision = find.latest_revision(bench.shop.record, bench.sampling.job)
    bench.sampling.features = bench.shop.record.features(bench.sampling.revision.id)
    bench.log("F4", "C1", 243.1)
    bench.sampling.reload()
    assert bench.sampling.revision.rev == "B"
    assert bench.cell("F3", "C1").answer == "to measure" and bench.sampling.taken(*bench.where("F3", "C1")) == []
    assert (
        bench.sampling.is_open(*bench.where("F3", "C1")) and bench.sampling.usual(bench.sampling.feature("F3")) is None
    )
    assert {bench.cell("F4", serial).answer for serial in bench.serials} == {"conforms"}
    bench.log("F3", "C1", 212.1)
    assert (bench.cell("F3", "C1").answer, bench.cell("F3", "C1").n) == ("conforms", 1)


def test_one_bad_casting_outweighs_a_reading_in_question(bench: Bench) -> None:
    bench.fill(but=(("F3", "C2"), ("F3", "C3")))
    bench.log("F3", "C2", 8.273)
    bench.log("F3", "C3", 211.9)
    assert bench.cell("F3", "C3").answer == "does not conform"
    assert next(one for one in assemble(bench.sampling).features if one.balloon == "F3").answer == "does not conform"


def test_a_casting_that_is_really_far_out_is_condemned_and_not_asked_about(bench: Bench) -> None:
    bench.fill(but=tuple(("F3", serial) for serial in bench.serials))
    for n, serial in enumerate(bench.serials):  # a core box that is 2 mm off makes every casting so
        bench.log("F3", serial, round(212.3 + 0.05 * n, 2))
    assert {bench.cell("F3", serial).answer for serial in bench.serials} == {"does not conform"}


def test_measured_again_and_alike_a_reading_stands_whatever_it_looked_like(bench: Bench) -> None:
    bench.fill(but=(("F1", "C1"),))
    bench.log("F1", "C1", 95.0)  # digits of 59.0 swapped? or really so
    assert bench.cell("F1", "C1").answer == "in question"
    bench.log("F1", "C1", 95.1)
    assert bench.cell("F1", "C1").answer == "in question"  # the same look at the gauge, a second later
    bench.now_us += 60_000_000
    bench.log("F1", "C1", 95.05)
    assert bench.cell("F1", "C1").answer == "does not conform"
    assert bench.cell("F1", "C1").question is None


def test_two_readings_that_do_not_agree_are_asked_about_until_one_is_taken_back(bench: Bench) -> None:
    bench.fill()
    bench.now_us += 60_000_000
    bench.log("F2", "C4", 43.31)
    cell = bench.cell("F2", "C4")
    assert cell.answer == "in question"
    assert "43.31" in cell.question
    item = bench.sampling.casting("C4")
    wrong = next(one for one in bench.sampling.taken(*bench.where("F2", "C4")) if one.value == 43.31)
    bench.shop.record.void(wrong.id, "misread", "read off the wrong edge")
    bench.sampling.refresh_casting(item)
    assert bench.cell("F2", "C4").answer == "conforms"


def test_what_is_logged_on_one_casting_changes_what_is_thought_of_the_others(bench: Bench) -> None:
    bench.log("F3", "C1", 212.9)
    alone = bench.cell("F3", "C1").answer
    for serial, value in (("C2", 212.8), ("C3", 213.0), ("C4", 212.95)):
        bench.log("F3", serial, value)
    live = [bench.cell("F3", serial) for serial in bench.serials]
    fresh = Sampling(bench.shop.record, bench.sampling.job, bench.sampling.round)
    assert live == [fresh.cell(fresh.feature("F3"), fresh.casting(serial)) for serial in bench.serials]
    assert {one.answer for one in live} == {"does not conform"}
    assert alone in ("in question", "does not conform")


@pytest.mark.parametrize("seed", range(3))
def test_honest_castings_are_never_in_question(bench: Bench, seed: int) -> None:
    from random import Random

    draw = Random(seed)
    for serial in bench.serials:
        for balloon, value in GOOD.items():
            bench.log(balloon, serial, round(value + draw.gauss(0.0, 0.25), 2))
    assert not [
        (balloon, serial)
        for balloon in GOOD
        for serial in bench.serials
        if bench.cell(balloon, serial).answer == "in question"
    ]


@given(off=st.floats(-0.6, 0.6), again=st.floats(-0.05, 0.05))
@settings(max_examples=some(12, 100), deadline=None)
def test_within_its_band_a_reading_is_never_in_question(tmp_path_factory, off: float, again: float) -> None:
    shop = small_shop(tmp_path_factory.mktemp("stand") / "shop.db")
    try:
        bench = Bench(shop, ("C1",))
        bench.log("F3", "C1", round(210.0 + off, 2))
        bench.now_us += 60_000_000
        bench.log("F3", "C1", round(210.0 + off + again, 2))
        assert bench.cell("F3", "C1").answer != "in question"
    finally:
        shop.record.close()


def test_a_unit_put_right_keeps_what_was_typed_struck_out(record: Record) -> None:
    before = sampling(record, "S3")
    article = assemble(before)
    question = next(one for one in article.questions if one.kind == "unit")
    done = desk.put_unit_right(record, before, question)
    assert done.readings == 21
    after = sampling(record, "S3")
    cell = after.cell(after.feature("F01"), after.casting("S3-5"))
    assert cell.answer == "conforms"
    assert cell.question is None
    assert cell.typed[0].startswith("24.")
    item = after.casting("S3-5")
    logged = record.readings(item_id=item.id, feature_id=after.feature("F01").id)
    assert [one.out for one in logged] == [True, False]
    assert logged[0].supersede.reason == "wrong_unit"
    assert not [one for one in assemble(after).questions if one.kind == "unit"]


def test_swapped_rows_get_each_others_readings_and_keep_their_own_as_struck_out(record: Record) -> None:
    before = sampling(record, "S3")
    question = next(one for one in assemble(before).questions if one.kind == "rows swapped")
    desk.swap_back(record, before, question)
    after = sampling(record, "S3")
    for balloon, near in (("F31", 14.0), ("F32", 7.0)):
        cell = after.cell(after.feature(balloon), after.casting("S3-2"))
        assert abs(cell.value - near) < 0.6
        assert cell.answer == "conforms"
    with pytest.raises(DataError, match="not about two rows"):
        desk.swap_back(record, after, next(one for one in assemble(after).questions if one.kind == "unit"))


def test_a_suggestion_is_taken_in_place_of_the_reading(record: Record) -> None:
    before = sampling(record, "S1")
    desk.take_suggestion(record, before, "F08", "S1-1")
    after = sampling(record, "S1")
    cell = after.cell(after.feature("F08"), after.casting("S1-1"))
    assert cell.value == pytest.approx(5.523 * 25.4)
    assert cell.typed == ("5.523",)
    assert cell.answer == "conforms"
    with pytest.raises(DataError, match="nothing is suggested"):
        desk.take_suggestion(record, after, "F09", "S1-1")


def test_repeats_that_disagree_decide_nothing_until_one_is_taken_back(bench: Bench) -> None:
    bench.fill(but=(("F4", "C2"),))
    feature, item = bench.where("F4", "C2")
    bench.log("F4", "C2", GOOD["F4"])
    bench.log("F4", "C2", GOOD["F4"] + 0.5)
    cell = bench.cell("F4", "C2")
    assert (cell.answer, cell.p_conform, cell.margin) == ("in question", None, None)
    assert "lie 0.50 mm apart" in cell.question and cell.question.endswith("take back the wrong one.")
    assert cell.U < 0.5
    wrong = bench.sampling.taken(feature, item)[1]
    bench.shop.record.add(Supersede(target_id=wrong.id, reason="misread", why="misread"), bench.shop.ab.id)
    bench.sampling.refresh_casting(item)
    assert bench.cell("F4", "C2").answer == "conforms"


def test_a_round_in_which_nothing_has_limits_has_no_answer(bench: Bench) -> None:
    bench.fill()
    free = [
        replace(line, answer=Standing.NO_LIMITS, missing=(), cells=()) for line in assemble(bench.sampling).features
    ]
    assert overall(free) is Standing.NO_LIMITS
    one_judged = [replace(free[0], answer=Standing.CONFORMS), *free[1:]]
    assert overall(one_judged) is Standing.CONFORMS
    assert overall([replace(free[0], missing=("C1",)), *free[1:]]) is Standing.TO_MEASURE


# ------------------------------------------------------------------------------ raw and finished
def finished(shop: SmallShop, serial: str, **sizes: float) -> None:
    at = shop.bench(f"casting {serial}")
    at.set_state("finished")
    for balloon, size in sizes.items():
        at.goto(balloon)
        assert at.take(str(size)) and (at.pending is None or at.keep_pending())


def test_raw_and_finished_are_judged_each_by_its_own_limits(bench: Bench) -> None:
    """F1: 62 ±0.8 finished, 59 ±0.8 as cast. F4: 240 ±1.2 finished, 243 ±1.2 as cast."""
    bench.fill()
    before = assemble(bench.sampling)
    finished(bench.shop, "C1", F1=62.1, F4=243.0)
    bench.sampling.reload()
    f1, c1 = bench.where("F1", "C1")
    cell = bench.sampling.cell(f1, c1, "finished")
    assert (cell.value, cell.deviation, cell.answer) == (62.1, pytest.approx(0.1), "conforms")
    assert bench.cell("F1", "C1").value == GOOD["F1"] and bench.cell("F1", "C1").answer == "conforms"
    article = assemble(bench.sampling)
    assert article.feature("F4", "finished").answer == "does not conform"  # nobody took its stock off
    assert article.feature("F4").answer == "conforms" and article.answer == "does not conform"
    assert dict(article.counts) == dict(before.counts)
    assert dict(article.counts_finished) == {"conforms": 1, "does not conform": 1}
    line = article.feature("F1", "finished")
    assert (line.lower, line.upper, line.state, line.n, line.predicted) == (61.2, 62.8, "finished", 1, None)
    assert article.cell("F1", "C1", "finished") == cell
    raw = article.feature("F1")
    assert (raw.lower, raw.upper, raw.state) == (pytest.approx(58.2), pytest.approx(59.8), "raw")
    for known in before.features:
        assert article.feature(known.balloon) == known  # what the raw castings say stays what it was
    assert article.causes == before.causes and article.loops == before.loops and article.passages == before.passages


def test_only_machined_castings_are_still_to_measure_finished(bench: Bench) -> None:
    bench.fill(but=(("F4", "C2"),))
    finished(bench.shop, "C1", F1=62.0)
    finished(bench.shop, "C2", F4=240.0)
    bench.sampling.reload()

    def why(balloon: str, serial: str, state: str) -> tuple[str, str | None]:
        cell = bench.sampling.cell(*bench.where(balloon, serial), state)
        return cell.answer.value, cell.reason

    assert why("F4", "C1", "finished") == ("to measure", None)
    assert why("F4", "C3", "finished") == ("not measurable", "not machined yet")
    assert why("F4", "C2", "raw") == ("not measurable", "machined before it was measured raw")
    article = assemble(bench.sampling)
    assert article.feature("F4", "finished").missing == ("C1",)
    assert article.answer == "to measure"
    told = {(line.balloon, line.serial, line.why) for line in article.not_measured}
    assert ("F4", "C3", "finished: not machined yet") in told and ("F4", "C1", "finished: not measured yet") in told
    assert ("F4", "C2", "machined before it was measured raw") in told


def test_a_slip_of_a_finished_reading_is_seen_beside_finished_castings_alone(bench: Bench) -> None:
    bench.fill()
    for serial in ("C1", "C2", "C3"):
        finished(bench.shop, serial, F1=62.0)
    finished(bench.shop, "C4", F1=26.0)
    bench.sampling.reload()
    cell = bench.sampling.cell(*bench.where("F1", "C4"), "finished")
    assert (cell.answer, cell.suggested) == ("in question", pytest.approx(62.0))
    assert bench.sampling.doubted(*bench.where("F1", "C4"), "finished") is not None
    assert bench.sampling.doubted(*bench.where("F1", "C4")) is None


def test_machined_faces_are_smooth(bench: Bench) -> None:
    bench.fill()
    finished(bench.shop, "C1", F1=62.0)
    bench.sampling.reload()
    raw, done = bench.cell("F1", "C1"), bench.sampling.cell(*bench.where("F1", "C1"), "finished")
    assert raw.u and done.u and done.u < raw.u


def test_a_casting_that_hung_raw_stands_on_its_machined_faces_when_it_is_finished(bench: Bench) -> None:
    """0.5 over the 50 mm from the pivot is taken off the raw length, and nothing off the finished one."""
    record, job = bench.shop.record, bench.sampling.job
    f4, c1 = bench.where("F4", "C1")
    jobs.correct(record, job, [replace(f4, note="at y = 50")], "note left out")
    bench.fill()
    finished(bench.shop, "C1", F4=240.0)
    record.add(Realigned(item_id=c1.id, axis="x", along="y", pivot_mm=0.0, slope=0.01, u_slope=0.0, why="tilted"))
    bench.sampling.reload()
    f4 = bench.sampling.feature("F4")
    raw, done = bench.sampling.cell(f4, c1), bench.sampling.cell(f4, c1, "finished")
    assert (raw.raw, raw.value) == (GOOD["F4"], pytest.approx(GOOD["F4"] - 0.5))
    assert (done.value, done.corrected) == (240.0, ())
    with Reader.of(bench.shop.path) as reader, reader.one_state():
        rows = [dict(zip(NAMES, row, strict=True)) for row in export.rows(reader)]
    of_f4 = [
        (row["casting_state"], row["corrected"]) for row in rows if (row["feature"], row["serial"]) == ("F4", "C1")
    ]
    assert of_f4 == [("raw", pytest.approx(GOOD["F4"] - 0.5)), ("finished", 240.0)]
