"""Readings in question decide nothing: slips, other units, swapped rows, repeats that disagree; honest ones stand."""

from __future__ import annotations

from dataclasses import dataclass, field

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_tui.model.measuring import Reading, Session, Setup
from inspect_tui.model.work import Feature, Item
from inspect_tui.shop.common import find
from inspect_tui.shop.first_article.article import assemble
from inspect_tui.shop.first_article.castings import put_right as desk
from inspect_tui.shop.first_article.castings.rounds import pick_round
from inspect_tui.shop.first_article.castings.sampling import Sampling
from inspect_tui.shop.first_article.castings.screening import look
from tests.conftest import SmallShop, small_shop

# as cast: 59 +-0.8, 40 +-0.6, 210 +-0.8, 243 +-1.2, 8 -0.8 +1.0
GOOD = {"F1": 59.02, "F2": 40.05, "F3": 210.11, "F4": 243.13, "F5": 8.07}


@dataclass
class Bench:
    """One sampling that is logged on as fast or slowly as a test wants."""

    shop: SmallShop
    serials: tuple[str, ...] = ("C1", "C2", "C3", "C4")
    now_us: int = 1_790_000_000_000_000
    setups: dict[str, Setup] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.shop.record._clock = lambda: (self.now_us, 0)
        job = find.job(self.shop.record, "PB-12")
        desk.open_round(self.shop.record, job, "S1", self.serials)
        revision = find.latest_revision(self.shop.record, job)
        self.session = self.shop.record.add(Session(kind="casting", job_of_id=job.of_id, revision_id=revision.id))
        self.sampling = Sampling(self.shop.record, job, pick_round(self.shop.record, job, "S1"))

    def log(self, balloon: str, serial: str, value: float, typed: str | None = None, setup: str = "") -> None:
        """One reading, a second after the one before."""
        self.now_us += 1_000_000
        if setup not in self.setups:
            self.setups[setup] = self.shop.record.add(
                Setup(session_id=self.session.id, person_id=self.shop.ab.id, instrument_id=self.shop.caliper.id)
            )
        feature, item = self.sampling.feature(balloon), self.sampling.casting(serial)
        self.shop.record.add(
            Reading(
                setup_id=self.setups[setup].id,
                feature_id=feature.id,
                item_id=item.id,
                value=value,
                typed=typed or f"{value:g}",
            )
        )
        self.sampling.refresh_casting(item)

    def fill(self, serials: tuple[str, ...] = (), but: tuple[tuple[str, str], ...] = ()) -> None:
        for n, serial in enumerate(serials or self.serials):
            for balloon, value in GOOD.items():
                if (balloon, serial) not in but:
                    self.log(balloon, serial, round(value + 0.03 * n, 2))

    def where(self, balloon: str, serial: str) -> tuple[Feature, Item]:
        return self.sampling.feature(balloon), self.sampling.casting(serial)

    def cell(self, balloon: str, serial: str):  # type: ignore[no-untyped-def]
        return self.sampling.cell(*self.where(balloon, serial))


@pytest.fixture
def bench(shop: SmallShop) -> Bench:
    return Bench(shop)


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


def test_only_the_setup_that_is_in_inches_is_put_right(bench: Bench) -> None:
    bench.fill(("C1", "C2", "C3"))
    for balloon, value in GOOD.items():
        bench.log(balloon, "C4", round(value / 25.4, 4), setup="inches")
    bench.now_us += 60_000_000
    bench.log("F1", "C4", 59.1)  # and one of them once more, in mm
    assert {bench.cell(balloon, "C4").answer for balloon in GOOD} == {"in question"}
    (question,) = [one for one in assemble(bench.sampling).questions if one.serial == "C4"]
    assert question.kind == "unit"
    done = desk.put_unit_right(bench.shop.record, bench.sampling, question)
    assert done.readings == 5
    bench.sampling.refresh_casting(bench.sampling.casting("C4"))
    assert {bench.cell(balloon, "C4").answer for balloon in GOOD} == {"conforms"}
    values = [one.value for one in bench.sampling.taken(*bench.where("F1", "C4"))]
    assert sorted(values) == pytest.approx([59.01, 59.1], abs=0.02)


def test_swapped_rows_are_in_question_on_both_and_left_out_of_the_search(bench: Bench) -> None:
    bench.fill(("C1", "C2", "C3"))
    for balloon, value in {**GOOD, "F1": GOOD["F2"], "F2": GOOD["F1"]}.items():
        bench.log(balloon, "C4", value)
    assert bench.cell("F1", "C4").answer == bench.cell("F2", "C4").answer == "in question"
    assert bench.cell("F3", "C4").answer == "conforms"
    seen = look(bench.sampling)
    assert [(one.kind, one.balloons) for one in seen.questions] == [("rows swapped", ("F1", "F2"))]
    left = {o.balloon: set(o.readings) for o in seen.evidence.features}
    assert left["F1"] == left["F2"] == {"C1", "C2", "C3"}
    assert left["F3"] == set(bench.serials)


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
@settings(max_examples=25, deadline=None)
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
