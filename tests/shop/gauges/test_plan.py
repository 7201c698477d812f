"""Tests of: plan a gauge study."""

from __future__ import annotations

from collections import Counter

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_tui.errors import DataError
from inspect_tui.frozen import replace
from inspect_tui.metrology.typed.fields import Wrong
from inspect_tui.model.gauges import GaugePart, GaugePerson, GaugeStudy
from inspect_tui.shop.common import find
from inspect_tui.shop.gauges import findings, results
from inspect_tui.shop.gauges import plan as gauge_plan
from inspect_tui.shop.gauges.desk import StudyDesk, TrialLogged, TrialRefused
from inspect_tui.shop.gauges.plan import Plan
from tests.conftest import SmallShop
from tests.shop.gauges.test_desk import FORM, plan, references


@given(st.integers(1, 12), st.integers(1, 5), st.integers(1, 5), st.integers(0, 2**31))
@settings(max_examples=50, deadline=None)
def test_the_order_holds_every_reading_once_and_follows_from_the_seed(
    parts: int, people: int, trials: int, seed: int
) -> None:
    study = GaugeStudy(instrument_of_id=b"i" * 16, title="G", trials=trials, seed=seed)
    pieces = [GaugePart(study_id=b"s" * 16, number=n, label=str(n)) for n in range(1, parts + 1)]
    who = [GaugePerson(study_id=b"s" * 16, number=n, person_of_id=bytes([n]) * 16) for n in range(1, people + 1)]
    order = gauge_plan.slots(study, pieces, who)
    assert len(set(order)) == len(order) == parts * people * trials
    assert order == gauge_plan.slots(study, list(reversed(pieces)), list(reversed(who)))  # whatever order they come in
    assert [s.trial for s in order] == sorted(s.trial for s in order)  # a round is finished before the next one
    for start in range(0, len(order), parts):  # each person reads all the pieces in one go
        assert len({s.person_of_id for s in order[start : start + parts]}) == 1


def test_the_order_of_pieces_is_another_one_in_every_round_and_for_everybody() -> None:
    pieces = [GaugePart(study_id=b"s" * 16, number=n, label=str(n)) for n in range(1, 11)]
    who = [GaugePerson(study_id=b"s" * 16, number=n, person_of_id=bytes([n]) * 16) for n in (1, 2, 3)]
    study = GaugeStudy(instrument_of_id=b"i" * 16, title="G", trials=3, seed=11)
    order = gauge_plan.slots(study, pieces, who)
    rounds = {tuple(s.part for s in order[i : i + 10]) for i in range(0, 90, 10)}
    assert len(rounds) == 9 and tuple(range(1, 11)) not in rounds
    first = Counter(gauge_plan.slots(replace(study, seed=seed), pieces, who)[0].part for seed in range(500))
    assert max(first.values()) < 90  # every piece may come first: 50 each are expected


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"title": " "}, "Give the study a title"),
        ({"people": ()}, "at least one person"),
        ({"parts": ()}, "at least one person and one piece"),
        ({"parts": (("1", None, None), ("1", None, None))}, "Two pieces carry one name"),
        ({"parts": (("1", None, None),)}, "One piece alone cannot show what pieces vary"),
        ({"trials": 1}, "nothing repeats"),
        ({"trials": 0}, "0 readings"),
        ({"trials": 500}, "3000 readings"),
        ({"design": "bias"}, "Give the size of every reference piece"),
        ({"design": "linearity", "parts": (("a", 25.0, 0.0), ("b", 25.0, 0.0))}, "different sizes"),
        ({"design": "bias", "parts": (("a", 25.0, 0.0), ("b", 50.0, 0.0))}, "reads one reference piece"),
        ({"design": "bias", "parts": (("a", 25.0, 0.0),), "trials": 1}, ""),
    ],
)
def test_a_study_that_cannot_be_worked_out_is_not_planned(
    shop: SmallShop, changes: dict[str, object], sentence: str
) -> None:
    made = plan(shop, **changes)
    if changes.get("design") == "bias" and changes.get("trials") == 1:
        made = replace(made, people=(shop.ab,))
        sentence = "One reading shows no spread"
    said = gauge_plan.wrong_with(made)
    assert said is not None and sentence in said
    with pytest.raises(DataError):
        gauge_plan.begin(shop.record, made)
    assert shop.record.gauge_studies() == []


def test_one_person_alone_is_told_what_that_cannot_show(shop: SmallShop) -> None:
    said = gauge_plan.wrong_with(plan(shop, people=(shop.ab,)))
    assert said is not None and "no differences between people" in said
    twice = gauge_plan.wrong_with(plan(shop, people=(shop.ab, shop.ab)))
    assert twice is not None and "named twice" in twice


def test_a_plan_is_read_from_a_form_with_the_band_of_its_feature(shop: SmallShop) -> None:
    job = find.job(shop.record, "SV-12")
    made = gauge_plan.read_plan(shop.record, shop.caliper, FORM, job, 5)
    assert isinstance(made, Plan)
    assert (made.readings, made.band, made.seed) == (16, pytest.approx(1.6), 5)
    study = gauge_plan.begin(shop.record, made)
    assert (study.quantity, study.trials, study.band_mm) == ("width", 2, pytest.approx(1.6))
    assert [p.label for p in shop.record.gauge_parts(study.id)] == ["1", "2", "3", "4"]
    assert [p.person_of_id for p in shop.record.gauge_people(study.id)] == [p.of_id for p in made.people]


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"design": "guess"}, "the design is one of crossed"),
        ({"people": "AB ZZ"}, "There is nobody ZZ here; there are: AB, IN"),
        ({"pieces": ""}, "Say how many pieces"),
        ({"pieces": "0"}, "a study has 1 to 100"),
        ({"pieces": "900"}, "a study has 1 to 100"),
        ({"trials": "some"}, "Type how often"),
        ({"feature": "F99"}, "F99 is not on the drawing of SV-12"),
        ({"band": "wide"}, "band: "),
        ({"band": "0"}, "The band has a width above 0"),
        ({"design": "linearity", "pieces": "25 abc"}, "pieces: "),
        ({"design": "bias", "pieces": ""}, "sizes of the reference pieces"),
    ],
)
def test_what_is_wrong_with_a_form_is_said(shop: SmallShop, changes: dict[str, str], sentence: str) -> None:
    made = gauge_plan.read_plan(shop.record, shop.caliper, {**FORM, **changes}, find.job(shop.record, "SV-12"), 5)
    assert isinstance(made, Wrong) and sentence in made.sentence


def test_a_study_that_is_left_goes_on_where_it_stopped(shop: SmallShop) -> None:
    study = gauge_plan.begin(shop.record, plan(shop))
    desk = StudyDesk(shop.record, study)
    turn = desk.turn
    assert turn
    desk.sit(turn)
    desk.take("52.1")
    desk.take("52.2")
    again = StudyDesk(shop.record, study)
    assert again.turn is not None and again.turn.of_id == turn.of_id
    again.sit(turn)
    assert again.slot == desk.slot and again.left == desk.left == 1
    assert results.progress(shop.record, study) == (2, 6 * 2)


def test_a_reading_taken_again_replaces_the_last_one_only(shop: SmallShop) -> None:
    study = gauge_plan.begin(shop.record, plan(shop))
    desk = StudyDesk(shop.record, study)
    assert not desk.read_again()
    desk.sit(desk.turn or shop.ab)
    first = desk.slot
    desk.take("95.2")
    assert desk.read_again() and desk.slot == first
    desk.take("52.9")
    assert desk.slot != first and len(desk.done) == 1
    assert [t.trial.value for t in shop.record.gauge_trials(study.id)] == [52.9]


def test_somebody_else_may_sit_down_out_of_turn_and_strangers_may_not(shop: SmallShop) -> None:
    desk = StudyDesk(shop.record, gauge_plan.begin(shop.record, plan(shop)))
    turn = desk.turn
    other = next(p for p in desk.people.values() if turn and p.of_id != turn.of_id)
    assert desk.sit(other) is None
    taken = desk.take("52.1")
    assert isinstance(taken, TrialLogged) and taken.slot.person_of_id == other.of_id
    stranger = shop.record.add(replace(shop.ab, id=b"", of_id=b"", initials="XY"))
    assert "is not in this study" in (desk.sit(stranger) or "")


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("52.1 52.2", "One reading at a time"),
        ("abc", "not a size"),
        ("1000", "outside the range of caliper 1"),
        ("", "Nothing typed"),
        ("52 kg", ""),
    ],
)
def test_what_is_no_single_reading_is_given_back(shop: SmallShop, text: str, sentence: str) -> None:
    desk = StudyDesk(shop.record, gauge_plan.begin(shop.record, plan(shop)))
    desk.sit(desk.turn or shop.ab)
    outcome = desk.take(text)
    assert isinstance(outcome, TrialRefused) and outcome.text == text and sentence in outcome.sentence
    assert desk.done == {}


def test_nothing_taken_says_anything_about_its_size(shop: SmallShop) -> None:
    """Blind: a wild reading is taken like any other, for a question would tell what is expected."""
    desk = StudyDesk(shop.record, gauge_plan.begin(shop.record, plan(shop)))
    desk.sit(desk.turn or shop.ab)
    outcome = desk.take("295.2")
    assert isinstance(outcome, TrialLogged)
    assert not [word for word in ("295", "52") if word in repr(outcome).replace(repr(outcome.slot), "")]


def test_a_bias_study_reads_one_reference_and_gives_the_bias(shop: SmallShop) -> None:
    made = plan(shop, design="bias", people=(shop.ab,), parts=references(25.0), trials=10)
    study = gauge_plan.begin(shop.record, made)
    desk = StudyDesk(shop.record, study)
    desk.sit(shop.ab)
    for n in range(10):
        desk.sit(shop.ab) if desk.person is None else None
        desk.take(f"{25.03 + 0.01 * (n % 3 - 1):.2f}")
    bias = results.evaluate(shop.record, study).bias
    assert bias is not None and bias.n == 10 and bias.bias == pytest.approx(0.029, abs=0.002)
    assert bias.differs and bias.u > 0.001  # the reference's own u is in it


def test_a_bias_that_a_study_shows_is_offered_to_be_traced_back(shop: SmallShop) -> None:
    made = plan(shop, design="bias", people=(shop.ab,), parts=references(25.0), trials=10, title="B1 block")
    desk = StudyDesk(shop.record, gauge_plan.begin(shop.record, made))
    assert findings.findings(shop.record, shop.caliper) == []
    while not desk.complete:
        if desk.slot is None:
            desk.sit(shop.ab)
        desk.take(f"{25.06 + 0.01 * (len(desk.done) % 3 - 1):.2f}")
    (shown,) = findings.findings(shop.record, shop.caliper)
    assert shown.bias == pytest.approx(0.059, abs=0.002) and shown.from_on == "2026-01-05"
    assert shown.found_from == "bias study B1 block" and "the certificate of 2026-01-05 was good" in shown.why


def test_a_linearity_study_finds_a_slope(shop: SmallShop) -> None:
    made = plan(shop, design="linearity", people=(shop.ab,), parts=references(25.0, 100.0, 200.0), trials=4)
    study = gauge_plan.begin(shop.record, made)
    desk = StudyDesk(shop.record, study)
    while not desk.complete:
        if desk.slot is None:
            desk.sit(shop.ab)
        slot = desk.slot
        assert slot
        size = desk.parts[slot.part].reference_mm or 0.0
        desk.take(f"{size * 1.001 + 0.01 * (len(desk.done) % 2):.2f}")
    linearity = results.evaluate(shop.record, study).linearity
    assert linearity is not None and linearity.slope == pytest.approx(0.001, abs=2e-4) and linearity.differs


def test_a_stability_study_keeps_the_order_of_taking(shop: SmallShop) -> None:
    made = plan(shop, design="stability", people=(shop.ab,), parts=references(25.0), trials=24)
    study = gauge_plan.begin(shop.record, made)
    desk = StudyDesk(shop.record, study)
    for n in range(24):
        if desk.person is None:
            desk.sit(shop.ab)
        desk.take(f"{25.0 + (0.05 if n >= 12 else 0.0) + 0.01 * (n * 7 % 5 // 2):.2f}")
    stability = results.evaluate(shop.record, study).stability
    assert stability is not None and [s.index for s in stability.steps] == [12] and not stability.stable
