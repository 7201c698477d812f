"""Readings in question decide nothing: slips, other units, swapped rows, repeats that disagree; honest ones stand."""

from __future__ import annotations

from dataclasses import dataclass, field

import pytest

from inspect_tui.frozen import replace
from inspect_tui.model.measuring import Reading, Session, Setup
from inspect_tui.model.work import Feature, Item
from inspect_tui.shop.common import find
from inspect_tui.shop.first_article.article import assemble
from inspect_tui.shop.first_article.castings import put_right as desk
from inspect_tui.shop.first_article.castings.rounds import pick_round
from inspect_tui.shop.first_article.castings.sampling import Sampling
from inspect_tui.shop.jobs.jobs import revise
from tests.conftest import SmallShop

# as cast: 59 +-0.8, 40 +-0.6, 210 +-0.8, 243 +-1.2, 8 -0.8 +1.0
GOOD = {"F1": 59.02, "F2": 40.05, "F3": 210.11, "F4": 243.13, "F5": 8.07}


@dataclass
class Bench:
    """One sampling that is logged on as fast or slowly as a test wants."""

    shop: SmallShop
    serials: tuple[str, ...] = ("C1", "C2", "C3", "C4")
    now_us: int = 0
    setups: dict[str, Setup] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.now_us = self.shop.record._clock()[0]
        self.shop.record._clock = lambda: (self.now_us, 0)
        job = find.job(self.shop.record, "SV-12")
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


def test_a_size_that_must_only_clean_up_is_doubted_far_out_too(shop: SmallShop) -> None:
    job = find.job(shop.record, "SV-12")
    f1 = next(f for f in shop.record.features(find.latest_revision(shop.record, job).id) if f.balloon == "F1")
    revise(shop.record, job, "Z", [replace(f1, raw_lower=None, raw_upper=None, raw_source=None)])
    bench = Bench(shop)
    bench.fill(but=(("F1", "C2"), ("F1", "C3")))
    f1, c2, c3 = bench.sampling.feature("F1"), bench.sampling.casting("C2"), bench.sampling.casting("C3")
    band = bench.sampling.sizes(f1).band
    assert (band.lower, band.upper) == (None, 62.8)  # 62 +0.8 finished, 1.5 of stock a side
    bench.log("F1", "C2", 590.2)  # the point was lost
    assert bench.sampling.cell(f1, c2).answer == "in question"
    bench.log("F1", "C3", 59.9)  # off its size, and within what is to be taken off
    assert bench.sampling.cell(f1, c3).answer == "conforms"
