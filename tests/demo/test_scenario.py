"""The demo scenario's own sums: its drawing closes and its tables agree."""

from itertools import pairwise

import pytest

from inspect_tui.demo import scenario as job
from inspect_tui.demo import sheets
from inspect_tui.demo import workshop as shop
from inspect_tui.demo.scenario import FACT


def size(balloon: str) -> float:
    return FACT[balloon].size


def test_there_are_64_features_in_order_and_every_balloon_is_once() -> None:
    assert [fact.balloon for fact in job.FEATURES] == [f"F{n:02d}" for n in range(1, 65)]
    balloons = [fact.balloon for fact in job.ALL_FEATURES]
    assert len(set(balloons)) == len(balloons)


def test_every_feature_is_as_long_as_its_two_places_are_apart() -> None:
    for fact in (*job.FEATURES, *job.LAYOUT):
        if fact.a.coord is not None and fact.b.coord is not None:
            assert fact.b.coord - fact.a.coord == fact.size, fact.balloon


@pytest.mark.parametrize("loop", job.LOOPS)
def test_walls_and_gaps_add_up_to_the_overall_size(loop: str) -> None:
    members, whole = job.LOOPS[loop]
    assert sum(size(balloon) for balloon in members) == size(whole)
    assert size(whole) == {"F51": 157, "F35": 185}[whole]
    for before, after in pairwise(members):
        assert FACT[before].b == FACT[after].a, (before, after)  # each begins on the face where the last one ended
    assert (FACT[members[0]].a, FACT[members[-1]].b) == (FACT[whole].a, FACT[whole].b)


def test_metal_and_space_take_turns_along_each_loop() -> None:
    """The far face of one member and the near face of the next are one surface: it looks one way only."""
    for members, _ in job.LOOPS.values():
        for before, after in pairwise(members):
            assert FACT[before].facing[1] == FACT[after].facing[0], (before, after)


def test_one_surface_looks_the_same_way_in_every_size_that_starts_or_ends_on_it() -> None:
    looks: dict[tuple[str, str, float], set[int]] = {}
    for fact in job.FEATURES:
        if fact.between.startswith("place") or fact.a.coord is None or fact.b.coord is None:
            continue
        for face, facing in zip((fact.a, fact.b), fact.facing, strict=True):
            assert face.coord is not None
            looks.setdefault((face.part, fact.axis, face.coord), set()).add(facing)
    both = {face for face, ways in looks.items() if len(ways) > 1}
    assert not both


def test_sums_that_the_scenario_states() -> None:
    assert size("F08") == size("F05") - size("F04")
    assert size("F09") == size("F07") - size("F04")
    assert size("F39") + size("F41") + size("F40") == 84 == size("L71")
    assert size("F56") + size("F55") + size("F57") == 84
    assert size("L72") == job.PARTING[1][2] - 48.0  # the outlet neck's lower half ends at the stepped parting


def test_machined_faces_carry_their_stock_outward() -> None:
    finished = {b: FACT[b].finished for b in ("F01", "F02", "F03", "F23", "F24", "F35", "F36", "F58")}
    assert finished == {"F01": 620, "F02": 620, "F03": 22, "F23": 24, "F24": 24, "F35": 181, "F36": 181, "F58": 183}
    assert all(fact.finished == fact.size for fact in job.FEATURES if not fact.stock_a + fact.stock_b)


def test_the_sectioned_casting_shows_twelve_more_features() -> None:
    assert [f.balloon for f in job.FEATURES if f.cut] == [
        "F12",
        "F27",
        "F28",
        "F29",
        "F30",
        "F31",
        "F34",
        "F45",
        "F46",
        "F47",
        "F48",
        "F49",
    ]


def test_buoyant_lifts_are_those_of_the_core_table() -> None:
    lifts = {core.number: job.lift_kgf(core) for core in job.CORES if core.makes_surface}
    stated = {1: 9.7, 7: 0.3, 3: 14.8, 4: 2.0, 5: 8.8, 6: 0.7}
    assert lifts == pytest.approx(stated, abs=0.0501)
    assert shop.SETTING_ORDER == (1, 2, 7, 3, 4, 5, 6)


def test_the_first_layout_is_the_as_cast_size_and_one_percent() -> None:
    stated = {
        ("L11", ""): 125.24,
        ("L12", ""): 488.84,
        ("L13", ""): 60.60,
        ("F29", ""): 82.82,
        ("F47", ""): 78.78,
        ("F09", ""): 424.20,
        ("F10", ""): 52.52,
        ("F41", ""): 70.70,
        ("F59", ""): 48.48,
        ("L61", ""): 90.90,
        ("L62", ""): 161.60,
        ("F21", ""): 78.78,
        ("L71", ""): 84.84,
        ("L72", ""): 70.70,
        ("K4-P", ""): 76.76,
        ("F29", "master 3"): 83.90,
    }
    for (balloon, tool), target in stated.items():
        assert sheets.tool_target(balloon, tool) == pytest.approx(target, abs=0.005), balloon


def test_wrong_rule_resin_and_wet_wood_are_what_they_are_said_to_be() -> None:
    for balloon, value in sheets.WRONG_RULE.items():
        assert value == pytest.approx(size(balloon) * 1.013, abs=0.005)
    for balloon, value in sheets.RESIN_BOX.items():
        assert value == pytest.approx(sheets.tool_target(balloon) * (1 - 0.0012), abs=0.005)
    for balloon, value in sheets.SWOLLEN.items():
        across = 0.0 if balloon == "F21" else 0.006
        assert value == pytest.approx(sheets.tool_target(balloon) * (1 + across), abs=0.011)


def test_every_fit_has_prints_and_seats_whose_limits_give_the_clearance_limits() -> None:
    for fit in job.FITS:
        if fit.male_size is None:
            gap = FACT[fit.females[0]]
            assert (gap.size + gap.minus, gap.size + gap.plus) == pytest.approx((fit.low, fit.high))
            continue
        for male, female in zip(fit.males, fit.females, strict=True):
            m, f = FACT[male], FACT[female]
            assert (f.size + f.minus) - (m.size + m.plus) == pytest.approx(fit.low), fit.number
            assert (f.size + f.plus) - (m.size + m.minus) == pytest.approx(fit.high), fit.number
    assert sum(len(fit.females) for fit in job.FITS) == 18


def test_stacks_give_the_stated_worst_case_and_root_sum_square() -> None:
    one, two = job.STACKS
    worst = sum(t for _, t in one.plus_minus)
    assert one.nominal - worst + sum(low for _, low, _ in one.one_sided) == pytest.approx(5.90)
    assert one.nominal + worst + sum(high for _, _, high in one.one_sided) == pytest.approx(7.90)
    middle = one.nominal + sum((low + high) / 2 for _, low, high in one.one_sided)
    spread = sum(t * t for _, t in one.plus_minus) + sum((high - low) ** 2 / 4 for _, low, high in one.one_sided)
    assert (middle, spread**0.5) == pytest.approx((6.90, 0.42), abs=0.005)
    assert sum(t for _, t in two.plus_minus) == pytest.approx(1.00)
    assert sum(t * t for _, t in two.plus_minus) ** 0.5 == pytest.approx(0.45, abs=0.005)
