"""The contraction book: what jobs showed, updated job by job, offered to the next one beside the handbook."""

from __future__ import annotations

import re
from math import hypot, sqrt
from pathlib import Path

import pytest

from inspect_tui.errors import JobFileError
from inspect_tui.metrology.sizes.contraction_book import prior as prior_of_contraction_book
from inspect_tui.metrology.typed.show import Style
from inspect_tui.record.store import Record
from inspect_tui.shop.jobs import contraction_book, jobs
from inspect_tui.shop.kit.facts import KitFacts
from tests.worlds.kit_jobs import Kit, begin, with_patterns

SIZES = {"A": 600.0, "B": 420.0, "C": 250.0, "D": 90.0}


@pytest.fixture
def record(tmp_path: Path):
    with Record.open(tmp_path / "book.db", create=True) as opened:
        yield opened


def cast(record: Record, number: str, true: float, planned: float = 0.01, off: dict[str, float] | None = None) -> Kit:
    """A finished job: its pattern read, three castings that contracted by `true`."""
    made = with_patterns(begin(record, number, a=planned))
    for balloon, size in SIZES.items():
        made.add_feature(
            balloon, "x", size, ("drag", -1, 0.0), ("drag", 1, size), ("drag pattern",), size - 2, size + 2
        )
    made.read("drag pattern", {b: size * (1 + planned) for b, size in SIZES.items()})
    for serial in ("1", "2", "3"):
        item = made.casting(f"{number}-{serial}")
        shown = {b: size * (1 + planned) / (1 + true) for b, size in SIZES.items()}
        made.read(item, {b: size + (off or {}).get(b, 0.0) for b, size in shown.items()})
    return made


def row(record: Record, axis: str = "x") -> contraction_book.BookRow:
    return next(r for r in contraction_book.book(record) if r.axis == axis)


def test_a_job_shows_its_contraction_and_the_book_says_what_it_rests_on(record: Record) -> None:
    made = cast(record, "J1", 0.0080)
    (shown,) = [s for s in contraction_book.showed(KitFacts(record, made.job)) if s.axis == "x"]
    assert shown.learned.a == pytest.approx(0.0080, abs=1e-6)
    assert shown.planned == 0.01
    one = row(record)
    assert one.posterior.n_jobs == 1
    assert "1 job" in one.posterior.rests_on and "handbook" in one.posterior.rests_on
    # between the handbook and what the job showed
    assert min(one.handbook.a, 0.008) < one.posterior.a < max(one.handbook.a, 0.008)


def test_every_casting_shows_other_rough_faces(record: Record) -> None:
    made = cast(record, "J1", 0.0080)
    (shown,) = [s for s in contraction_book.showed(KitFacts(record, made.job)) if s.axis == "x"]
    # two sand-cast faces of Ra 12.5 to 25, valleys to tops 5 times as high, anywhere between (JCGM 100:2008, 4.3.7)
    rough = sqrt(2) * 5 * 0.01875 / sqrt(12)
    for pair in shown.pairs:
        gauge = sqrt(pair.u_cast**2 - (contraction_book.SKIN_U**2 + rough**2) / pair.castings)
        assert 0.0 < gauge < 0.06


def test_a_casting_that_was_measured_updates_the_book_by_normal_normal_weights(record: Record) -> None:
    cast(record, "J1", 0.0080)
    one = row(record)
    prior, tau = prior_of_contraction_book(one.handbook), one.posterior.tau
    seen = one.jobs[0].learned
    w0, w1 = 1 / prior.u**2, 1 / hypot(seen.u, tau) ** 2
    # normal prior, one normal observation of spread hypot(u, tau): Gelman et al., Bayesian Data Analysis, ch. 2
    assert one.posterior.a == pytest.approx((w0 * prior.value + w1 * seen.a) / (w0 + w1))
    assert one.posterior.u == pytest.approx((w0 + w1) ** -0.5)


def test_more_jobs_move_the_book_further_from_the_handbook_and_make_it_surer(record: Record) -> None:
    cast(record, "J1", 0.0080)
    first = row(record).posterior
    for n in range(2, 6):
        cast(record, f"J{n}", 0.0080)
    later = row(record).posterior
    assert later.n_jobs == 5
    assert abs(later.a - 0.0080) < abs(first.a - 0.0080)
    assert later.u < first.u


def test_a_size_that_no_contraction_explains_is_left_out_and_named(record: Record) -> None:
    made = cast(record, "J1", 0.0080, off={"D": -2.6})
    (shown,) = [s for s in contraction_book.showed(KitFacts(record, made.job)) if s.axis == "x"]
    assert [pair.balloon for pair, _ in shown.left_out] == ["D"]
    assert shown.left_out[0][1] == pytest.approx(-2.6, abs=0.05)
    assert shown.learned.a == pytest.approx(0.0080, abs=2e-5)
    assert "left out, explained by no contraction: D on drag pattern" in shown.said()
    off = shown.left_out[0][1]
    assert f"D on drag pattern ({off / 25.4:+.4f} in)" in shown.said(Style("in"))
    assert not re.search(r"\d\.\d", shown.said(Style(mark=",")) + row(record).said(Style(mark=",")))


def test_a_reading_in_inches_or_on_the_wrong_line_does_not_get_into_the_book(record: Record) -> None:
    made = cast(record, "J1", 0.0080)
    made.read(made.casting("J1-9"), {"A": 600.0 / 25.4})
    (shown,) = [s for s in contraction_book.showed(KitFacts(record, made.job)) if s.axis == "x"]
    assert shown.learned.a == pytest.approx(0.0080, abs=1e-6)
    assert [p.castings for p in shown.pairs] == [3, 3, 3, 3]


def test_a_tool_laid_out_anew_is_paired_with_the_castings_made_after_it(record: Record) -> None:
    made = cast(record, "J1", 0.0080)
    made.read("drag pattern", {b: size * 1.008 for b, size in SIZES.items()})
    made.read(made.casting("J1-8"), dict(SIZES))
    pairs = contraction_book.pairs_of(KitFacts(record, made.job))["x"]
    assert {round(p.tool_mm / SIZES[p.balloon], 4) for p in pairs} == {1.01, 1.008}
    assert len(pairs) == 8


def test_the_book_is_offered_to_a_new_job_of_the_same_alloy_and_construction_only(record: Record) -> None:
    cast(record, "J1", 0.0080)
    rows = contraction_book.offer(record, "Grey Iron", None)
    assert [r.axis for r in rows] == ["x", "y", "z"]
    words = contraction_book.offer_words(rows)
    assert words.startswith("this shop's jobs (J1): X 0.")
    assert contraction_book.offer(record, "grey iron", "cored") == ()
    assert contraction_book.offer(record, "brass") == ()
    assert contraction_book.offer_words(()) == ""


def test_a_new_job_can_take_its_contraction_and_uncertainty_from_the_book(record: Record) -> None:
    cast(record, "J1", 0.0080)
    offered = contraction_book.offer(record, "grey iron")
    job = jobs.new_job(record, "J2", "next", "grey iron", None, None, "D-2", "A", book=True)
    assert (job.a_x, job.ua_x) == (offered[0].posterior.a, offered[0].posterior.u_next)
    assert job.a_source.startswith("this shop's jobs (J1)")
    with pytest.raises(JobFileError, match="have shown nothing yet for brass"):
        jobs.new_job(record, "J3", "next", "brass", None, None, "D-3", "A", book=True)
    assert [j.number for j in record.jobs()] == ["J1", "J2"]


def test_an_empty_record_has_an_empty_book(record: Record) -> None:
    assert contraction_book.book(record) == []
