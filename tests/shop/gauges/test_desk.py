"""A gauge study from plan to result: blind order, one person at a time, nothing given away, and the right method."""

from __future__ import annotations

import pytest

from inspect_tui.frozen import replace
from inspect_tui.shop.common import find
from inspect_tui.shop.gauges import plan as gauge_plan
from inspect_tui.shop.gauges import results
from inspect_tui.shop.gauges.desk import StudyDesk, TrialLogged, TrialRefused
from inspect_tui.shop.gauges.plan import Plan
from tests.conftest import SmallShop


def plan(shop: SmallShop, **changes: object) -> Plan:
    people = (shop.ab, find.person(shop.record, "IN"))
    parts = tuple((str(n), None, None) for n in range(1, 4))
    return replace(
        Plan(title="G1", design="crossed", instrument=shop.caliper, people=people, parts=parts, trials=2, seed=7),
        **changes,
    )


# ------------------------------------------------------------------------------ the plan


FORM = {
    "title": "G1",
    "design": "crossed",
    "people": "AB, IN",
    "pieces": "4",
    "trials": "2",
    "feature": "F1",
    "band": "",
}


# ------------------------------------------------------------------------------ at the bench
def take_all(desk: StudyDesk, true: dict[int, float]) -> None:
    while not desk.complete:
        if desk.slot is None:
            turn = desk.turn
            assert turn and desk.sit(turn) is None
        slot = desk.slot
        assert slot
        value = true[slot.part] + 0.01 * ((len(desk.done) * 7) % 5 - 2)
        assert isinstance(desk.take(f"{value:.2f}"), TrialLogged)


def test_a_study_is_taken_one_person_at_a_time_and_then_worked_out(shop: SmallShop) -> None:
    study = gauge_plan.begin(shop.record, plan(shop, band=1.0))
    desk = StudyDesk(shop.record, study)
    early = results.evaluate(shop.record, study)
    assert early.missing == "0 of 12 readings are there" and early.rows == () and early.crossed is None
    refused = desk.take("52.1")
    assert isinstance(refused, TrialRefused) and "turn" in refused.sentence and refused.text == "52.1"
    take_all(desk, {1: 52.0, 2: 52.3, 3: 51.8})
    made = results.evaluate(shop.record, study)
    assert made.missing is None and made.crossed is not None
    assert set(made.crossed.people) == {"AB", "IN"} and made.crossed.trials == 2
    assert made.crossed.anova.share_of_band == pytest.approx(6 * (made.crossed.anova.combined.value or 0) / 1.0)
    assert desk.turn is None and isinstance(desk.take("52"), TrialRefused)
    sessions = [s for s in shop.record.sessions() if s.kind == "gauge"]
    assert len(sessions) == 2  # a stay for each person


def test_the_last_of_a_round_can_be_read_again_before_the_instrument_is_handed_on(shop: SmallShop) -> None:
    desk = StudyDesk(shop.record, gauge_plan.begin(shop.record, plan(shop)))
    desk.sit(desk.turn or shop.ab)
    for text in ("52.1", "52.2", "52.3"):
        last = desk.slot
        taken = desk.take(text)
    assert isinstance(taken, TrialLogged) and taken.left == 0 and desk.person is None
    assert desk.read_again() and desk.slot == last
    assert isinstance(desk.take("52.4"), TrialLogged) and desk.person is None


# ------------------------------------------------------------------------------ the other designs
def references(*sizes: float) -> tuple[tuple[str, float | None, float | None], ...]:
    return tuple((f"{size:g}", size, 0.002) for size in sizes)
