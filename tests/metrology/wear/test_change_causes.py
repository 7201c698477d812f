"""What a change goes with, and whether tooling or foundry made it."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_tui.errors import DataError
from inspect_tui.metrology.wear.change_causes import (
    FOUNDRY,
    NOTHING,
    SEAT,
    UNKNOWN,
    WEAR,
    SeriesChange,
    goes_with,
    spread_by,
    wall_from_weight,
    who_moved,
)
from inspect_tui.model.words import Estimate


def test_a_step_that_came_with_an_instrument_names_it() -> None:
    rng = np.random.default_rng(1)
    gauge = ["caliper 1"] * 50 + list(rng.choice(["caliper 1", "caliper 2"], 50))
    person = list(rng.choice(["AB", "CD"], 100))
    y = rng.normal(0, 0.03, 100) + 0.1 * np.array([g == "caliper 2" for g in gauge])
    found = goes_with(y, {"instrument": gauge, "person": person}, at=50)
    assert found and (found[0].factor, found[0].level) in {("instrument", "caliper 2"), ("instrument", "caliper 1")}
    assert abs(found[0].difference.value) == pytest.approx(0.1, abs=0.03)
    assert "goes with instrument" in found[0].sentence
    assert all(g.factor == "instrument" for g in found)


def test_a_step_in_one_persons_readings_only_names_the_person() -> None:
    rng = np.random.default_rng(2)
    person = list(np.tile(["AB", "CD"], 50))
    since = (np.arange(100) >= 60) & (np.array(person) == "CD")
    found = goes_with(rng.normal(0, 0.03, 100) + 0.1 * since, {"person": person}, at=60)
    assert found and (found[0].level, found[0].how) == ("CD", "only its readings since")


def test_a_step_of_all_alike_names_nobody() -> None:
    named = 0
    for seed in range(60):
        rng = np.random.default_rng(seed)
        person = list(rng.choice(["AB", "CD", "EF"], 100))
        y = rng.normal(0, 0.03, 100) + 0.1 * (np.arange(100) >= 60)
        named += bool(goes_with(y, {"person": person}, at=60))
    assert named <= 2


def test_factors_that_do_not_match_are_refused() -> None:
    with pytest.raises(DataError, match="3 entries for 20"):
        goes_with(range(20), {"person": ["a"] * 3}, 10)
    with pytest.raises(DataError, match="either side"):
        goes_with(range(20), {"person": ["a"] * 20}, 0)


def test_the_person_who_scatters_is_named_first() -> None:
    rng = np.random.default_rng(3)
    labels = list(np.tile(["bench 1", "bench 2", "inspector"], 40))
    sd = np.where(np.array(labels) == "bench 2", 0.09, 0.03)
    found = spread_by(rng.normal(0, 1, 120) * sd, "person", labels)
    assert found[0].level == "bench 2" and found[0].p < 0.001
    assert found[0].sd == pytest.approx(0.09, abs=0.03) and found[0].others == pytest.approx(0.03, abs=0.01)
    alike = spread_by(rng.normal(0, 0.03, 120), "person", labels)
    assert min(s.p for s in alike) > 0.001
    assert spread_by([1.0, 2.0], "person", ["a", "b"]) == []


def series(
    box: float | None, core: float | None, size: float, position: float | None, u: float = 0.02
) -> list[SeriesChange]:
    out = [SeriesChange(name="casting width", of="casting", kind="size", change=Estimate(size, u), length=82.0)]
    if box is not None:
        out.append(SeriesChange(name="box width", of="box", kind="size", change=Estimate(box, u), length=82.8))
    if core is not None:
        out.append(SeriesChange(name="core width", of="core", kind="size", change=Estimate(core, u), length=82.8))
    if position is not None:
        out.append(
            SeriesChange(name="bore position", of="casting", kind="position", change=Estimate(position, u), length=88.0)
        )
    return out


def test_box_core_and_casting_growing_alike_is_wear() -> None:
    found = who_moved(series(0.27, 0.26, 0.26, 0.01))
    assert found.verdict == WEAR and found.probability > 0.99
    assert found.amount is not None and found.amount.value == pytest.approx(0.265, abs=0.02)
    assert found.sentence.startswith("wear: casting and box and core grew alike by 0.2")


def test_castings_that_change_with_length_while_cores_do_not_are_the_foundry() -> None:
    found = who_moved(
        [
            SeriesChange(name="F09", of="casting", kind="size", change=Estimate(-0.42, 0.04), length=420.0),
            SeriesChange(name="F10", of="casting", kind="size", change=Estimate(-0.05, 0.02), length=52.0),
            SeriesChange(name="core P", of="core", kind="size", change=Estimate(0.005, 0.01), length=52.5),
        ]
    )
    assert found.verdict == FOUNDRY and found.amount is not None
    assert found.amount.value == pytest.approx(0.0010, abs=0.0002)
    assert "more contraction" in found.sentence and "leave the box alone" in found.sentence


def test_a_position_that_moves_while_sizes_stay_is_print_seat_or_dowel() -> None:
    found = who_moved(series(None, 0.0, 0.0, 0.35))
    assert found.verdict == SEAT and found.amount is not None
    assert found.amount.value == pytest.approx(0.35, abs=0.05) and "measure the fit" in found.sentence


def test_still_is_nothing() -> None:
    assert who_moved(series(0.0, 0.005, -0.005, 0.01)).verdict == NOTHING


def test_a_single_short_size_on_castings_cannot_tell_and_asks_for_a_core() -> None:
    found = who_moved([SeriesChange(name="F29", of="casting", kind="size", change=Estimate(0.10, 0.02), length=82.0)])
    assert found.verdict == UNKNOWN and "sample core" in found.measure and found.measure in found.sentence
    hardly = who_moved([SeriesChange(name="core", of="core", kind="size", change=Estimate(0.05, 0.03), length=82.0)])
    assert hardly.verdict == NOTHING


def test_cores_alone_ask_for_castings_and_positions_alone_for_a_size() -> None:
    cores = [SeriesChange(name="core", of="core", kind="size", change=Estimate(0.06, 0.02), length=82.0)]
    found = who_moved(cores)
    assert found.verdict == UNKNOWN and "castings of before and after" in found.measure
    place = [
        SeriesChange(name="place", of="casting", kind="position", change=Estimate(0.12, 0.02), length=88.0),
        SeriesChange(name="core", of="core", kind="size", change=Estimate(0, 0.02), length=82.0),
    ]
    assert "a size made by this core" in who_moved(place).measure


def test_two_things_at_once_are_not_forced_into_one() -> None:
    found = who_moved(series(0.30, 0.30, 0.30, 0.60))
    assert found.verdict == UNKNOWN and "more than one thing moved" in found.sentence


def test_a_wall_thins_by_half_of_what_its_core_grows() -> None:
    wall = SeriesChange(name="F28", of="casting", kind="size", change=Estimate(-0.13, 0.02), length=7.0, per_mm=-0.5)
    assert who_moved([*series(0.27, None, 0.26, None), wall]).verdict == WEAR


@settings(max_examples=60)
@given(st.sampled_from([WEAR, FOUNDRY, SEAT]), st.floats(0.15, 0.6), st.integers(0, 10_000))
def test_the_planted_cause_is_named_and_never_another(cause: str, size: float, seed: int) -> None:
    rng = np.random.default_rng(seed)
    u = 0.02

    def got(value: float) -> Estimate:
        return Estimate(value + rng.normal(0, u), u)

    wear, scale, shift = size * (cause == WEAR), size / 300 * (cause == FOUNDRY), size * (cause == SEAT)
    found = who_moved(
        [
            SeriesChange(
                name="long", of="casting", kind="size", change=got(-420 * scale), length=420.0, same_core=False
            ),
            SeriesChange(name="width", of="casting", kind="size", change=got(wear - 82 * scale), length=82.0),
            SeriesChange(name="core", of="core", kind="size", change=got(wear), length=82.8),
            SeriesChange(name="place", of="casting", kind="position", change=got(shift - 88 * scale), length=88.0),
        ]
    )
    assert found.verdict in (cause, UNKNOWN)
    assert sum(found.odds.values()) == pytest.approx(1)
    if found.verdict == UNKNOWN:
        assert found.measure


def test_nonsense_is_refused() -> None:
    with pytest.raises(DataError):
        who_moved([])
    with pytest.raises(DataError, match="box, core or casting"):
        who_moved([SeriesChange(name="x", of="pattern", kind="size", change=Estimate(0, 1), length=1.0)])


def test_a_millimetre_on_a_tenth_of_a_square_metre_of_iron_is_0_7_kg() -> None:
    # trade rule dm = 7.1 kg/dm3 x dV (common practice); density of iron castings
    assert wall_from_weight(0.71, 100_000.0) == pytest.approx(1.0)
    assert wall_from_weight(-0.355, 100_000.0) == pytest.approx(-0.5)
    with pytest.raises(DataError):
        wall_from_weight(1.0, 0.0)
