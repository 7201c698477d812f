"""Stacks: loops found from links, worst case and root-sum-square, what contributes, one-sided lift told honestly."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_tui.errors import DataError
from inspect_tui.metrology.faces.assemblies import Wall, assemble
from inspect_tui.metrology.faces.stacks import (
    Link,
    StackResult,
    Term,
    as_measured,
    by_tool,
    chance,
    find_loop,
    play,
    stack,
    unknowns,
)
from inspect_tui.model.words import Estimate

# inner wall at the top of the invented manifold: core 5 sits on core 1, core 3 in the drag; both may lift
ST1 = [
    Link(
        name="drag seat to core 1 key", a="drag seat z", b="core 1 key z", size=60.0, plus=0.15, minus=0.15, tool="drag"
    ),
    Link(
        name="core 1 key to core 5 surface",
        a="core 5 key z",
        b="core 5 under z",
        size=76.0,
        plus=0.15,
        minus=0.15,
        tool="core 5",
    ),
    Link(
        name="core 5 may lift",
        a="core 1 key z",
        b="core 5 key z",
        size=0.0,
        plus=0.30,
        minus=0.0,
        tool="K6",
        kind="fit",
        shape="uniform",
    ),
    Link(name="drag print depth", a="drag seat z", b="core 3 seat z", size=-10.0, plus=0.15, minus=0.15, tool="drag"),
    Link(
        name="core 3 surface to print",
        a="core 3 print z",
        b="core 3 top z",
        size=139.0,
        plus=0.15,
        minus=0.15,
        tool="core 3",
    ),
    Link(
        name="core 3 may lift",
        a="core 3 seat z",
        b="core 3 print z",
        size=0.0,
        plus=0.50,
        minus=0.0,
        tool="K3",
        kind="fit",
        shape="uniform",
    ),
]
# neck walls: the outlet core in the locator block, the outer core in the drag
ST2 = [
    Link(name="core 2 seat position", a="drag y", b="core 2 seat y", size=40.0, plus=0.15, minus=0.15, tool="core 2"),
    Link(name="K4", a="core 2 seat y", b="core 4 print y", size=0.0, plus=0.25, minus=0.25, tool="K4", kind="fit"),
    Link(
        name="core 4 print to bore",
        a="core 4 print y",
        b="core 4 bore y",
        size=48.0,
        plus=0.10,
        minus=0.10,
        tool="core 4",
    ),
    Link(name="core 7 print in drag", a="drag y", b="core 7 seat y", size=30.0, plus=0.10, minus=0.10, tool="drag"),
    Link(name="K9", a="core 7 seat y", b="core 7 print y", size=0.0, plus=0.30, minus=0.30, tool="K9", kind="fit"),
    Link(
        name="core 7 surface", a="core 7 print y", b="core 7 inside y", size=51.0, plus=0.10, minus=0.10, tool="core 7"
    ),
]

terms_ = st.lists(
    st.tuples(st.sampled_from([-1.0, 1.0]), st.floats(-100, 100), st.floats(0, 1), st.floats(0, 1)),
    min_size=1,
    max_size=12,
)


def made(raw: list[tuple[float, float, float, float]]) -> list[Term]:
    return [
        Term(Link(name=f"t{i}", a=f"f{i}", b=f"f{i + 1}", size=size, plus=plus, minus=minus), sense)
        for i, (sense, size, plus, minus) in enumerate(raw)
    ]


def st1() -> StackResult:
    return stack("inner wall, top", find_loop(ST1, "core 3 top z", "core 5 under z"), 6.0, 8.0)


def test_the_wall_between_two_cores_comes_out_as_planned() -> None:
    wall = st1()
    assert len(wall.terms) == 6
    assert wall.nominal == pytest.approx(7.0)
    assert (wall.worst_low, wall.worst_high) == (pytest.approx(5.90), pytest.approx(7.90))
    assert wall.centre == pytest.approx(6.90)  # lift goes one way, so the middle is not the nominal
    assert wall.rss == pytest.approx(0.42, abs=0.005)
    assert "inside its limits by root-sum-square, not by worst case" in wall.sentence


def test_the_neck_walls_break_by_worst_case_and_hold_by_root_sum_square() -> None:
    walls = stack("neck wall", find_loop(ST2, "core 7 inside y", "core 4 bore y"), 6.2, 8.0)
    assert walls.nominal == pytest.approx(7.0)
    assert walls.worst_high - walls.centre == pytest.approx(1.00)
    assert walls.rss == pytest.approx(0.45, abs=0.005)
    assert "not by worst case" in walls.sentence
    assert next(iter(by_tool(walls))) == "K9"


def test_the_loop_is_the_same_wall_backward() -> None:
    there, back = find_loop(ST1, "core 3 top z", "core 5 under z"), find_loop(ST1, "core 5 under z", "core 3 top z")
    assert [t.link.name for t in there] == [t.link.name for t in reversed(back)]
    assert stack("a", there).nominal == pytest.approx(-stack("b", back).nominal)


def test_the_shortest_loop_wins_and_of_equals_the_tightest() -> None:
    links = [
        Link(name="long 1", a="a", b="m", size=1, plus=0, minus=0),
        Link(name="long 2", a="m", b="n", size=1, plus=0, minus=0),
        Link(name="long 3", a="n", b="b", size=1, plus=0, minus=0),
        Link(name="loose", a="a", b="p", size=1, plus=1.0, minus=1.0),
        Link(name="loose 2", a="p", b="b", size=2, plus=1.0, minus=1.0),
        Link(name="tight", a="a", b="q", size=1, plus=0.1, minus=0.1),
        Link(name="tight 2", a="q", b="b", size=2, plus=0.1, minus=0.1),
    ]
    assert [t.link.name for t in find_loop(links, "a", "b")] == ["tight", "tight 2"]


@given(st.integers(2, 12), st.randoms(use_true_random=False))
def test_a_loop_found_in_a_random_kit_closes(n: int, random: object) -> None:
    # faces at known places, links between random pairs that hang together: any way from a to b has the same size
    places = [random.uniform(-100, 100) for _ in range(n)]  # type: ignore[attr-defined]
    links = []
    for i in range(1, n):
        j = random.randrange(i)  # type: ignore[attr-defined]
        links.append(Link(name=f"l{i}", a=f"f{j}", b=f"f{i}", size=places[i] - places[j], plus=0.1, minus=0.1))
    for k in range(n):
        i, j = random.randrange(n), random.randrange(n)  # type: ignore[attr-defined]
        links.append(Link(name=f"x{k}", a=f"f{i}", b=f"f{j}", size=places[j] - places[i], plus=0.2, minus=0.1))
    terms = find_loop(links, "f0", f"f{n - 1}")
    assert stack("w", terms).nominal == pytest.approx(places[-1] - places[0], abs=1e-9)
    assert len({t.link.name for t in terms}) == len(terms)


def test_faces_that_do_not_hang_together_say_how_far_one_gets() -> None:
    with pytest.raises(DataError, match=r"no loop from a to z: dimensions and fits reach b from a"):
        find_loop(
            [
                Link(name="l", a="a", b="b", size=1, plus=0, minus=0),
                Link(name="m", a="y", b="z", size=1, plus=0, minus=0),
            ],
            "a",
            "z",
        )
    assert find_loop([], "a", "a") == ()


@given(terms_)
def test_worst_case_holds_root_sum_square_and_they_share_their_middle(
    raw: list[tuple[float, float, float, float]],
) -> None:
    s = stack("w", made(raw))
    half = (s.worst_high - s.worst_low) / 2
    assert s.rss <= half + 1e-9
    assert (s.worst_high + s.worst_low) / 2 == pytest.approx(s.centre, abs=1e-9)
    assert s.worst_low - 1e-9 <= s.nominal <= s.worst_high + 1e-9
    if s.rss > 1e-6:
        assert sum(x.share for x in s.shares) == pytest.approx(1)


@given(terms_)
def test_of_equal_limits_on_both_sides_the_nominal_is_the_middle(raw: list[tuple[float, float, float, float]]) -> None:
    even = [(sense, size, plus, plus) for sense, size, plus, _ in raw]
    s = stack("w", made(even))
    assert s.centre == pytest.approx(s.nominal, abs=1e-9)


def test_a_wall_inside_even_in_the_worst_case_says_so_and_one_out_by_both_too() -> None:
    t = made([(1.0, 7.0, 0.1, 0.1)])
    assert "even in the worst case" in stack("w", t, 6.9, 7.1).sentence
    assert "by worst case and by root-sum-square" in stack("w", t, 6.95, None).sentence
    assert "by worst case and by root-sum-square" in stack("w", t, None, 7.05).sentence
    assert "even in the worst case" in stack("w", t, None, 7.1).sentence
    free = stack("w", t, None, None)
    assert free.p_out == 0.0 and "limits" not in free.sentence
    below = stack("w", made([(-1.0, 7.0, 0.1, 0.1)]), None, 0.0)  # a limit of 0 is a limit
    assert "even in the worst case" in below.sentence


def test_bad_links_are_refused() -> None:
    with pytest.raises(DataError, match="below its lower"):
        stack("w", [Term(Link(name="l", a="a", b="b", size=1, plus=-0.5, minus=0.1), 1.0)])
    with pytest.raises(DataError, match="normal or uniform"):
        stack("w", [Term(Link(name="l", a="a", b="b", size=1, plus=0.1, minus=0.1, shape="beta"), 1.0)])
    with pytest.raises(DataError, match="play is given by plus and minus"):
        as_measured(
            [
                Term(
                    Link(
                        name="l",
                        a="a",
                        b="b",
                        size=0,
                        plus=0.1,
                        minus=0.1,
                        shape="uniform",
                        measured=Estimate(0.1, 0.1),
                    ),
                    1.0,
                )
            ]
        )


def test_a_measured_dimension_counts_as_measured_and_play_stays_play() -> None:
    wall = [
        Term(Link(name="dim", a="a", b="b", size=10.0, plus=0.3, minus=0.3, measured=Estimate(10.2, 0.03)), 1.0),
        Term(Link(name="not measured", a="b", b="c", size=5.0, plus=0.3, minus=0.3), -1.0),
        Term(play("K3", "c", "d", 0.6), 1.0),
        Term(play("lift", "d", "e", 0.5, rise=True), 1.0),
    ]
    value, shares = as_measured(wall)
    assert value.value == pytest.approx(10.2 - 5.0 + 0.25)
    assert value.u**2 == pytest.approx(0.03**2 + 0.1**2 + 0.6**2 / 12 + 0.5**2 / 12)
    assert shares[0][0] == "K3" and sum(s for _, s in shares) == pytest.approx(1)


def test_play_is_never_below_zero_and_comes_to_casting_scale_by_its_factor() -> None:
    assert play("K", "a", "b", -0.2).plus == 0.0
    assert stack("w", find_loop([play("K", "a", "b", 1.0, scale=1 / 1.01)], "a", "b")).rss == pytest.approx(0.5 / 1.01)


# ------------------------------------------------------------------ Monte Carlo against the closed forms
def test_drawn_assemblies_agree_with_the_closed_forms_within_their_own_error() -> None:
    wall, n = st1(), 100_000
    result = assemble([Wall("w", wall.terms, 6.0, 8.0)], n)
    got, (value, _) = result.walls[0], as_measured(wall.terms)
    assert got.mean == pytest.approx(value.value, abs=4 * value.u / n**0.5)
    assert got.sd == pytest.approx(value.u, rel=4 / (2 * n) ** 0.5)


@given(terms_.filter(lambda raw: sum(p + m for _, _, p, m in raw) > 0.1))
def test_no_drawn_wall_of_play_leaves_its_worst_case(raw: list[tuple[float, float, float, float]]) -> None:
    terms = [
        Term(Link(name=f"t{i}", a=f"f{i}", b=f"g{i}", size=size, plus=plus, minus=minus, shape="uniform"), sense)
        for i, (sense, size, plus, minus) in enumerate(raw)
    ]
    s = stack("w", terms)
    got = assemble([Wall("w", tuple(terms), s.worst_low, s.worst_high)], 2000, seed=3).walls[0]
    assert got.p_holds == 1.0
    assert s.worst_low - 1e-4 <= got.low <= got.high <= s.worst_high + 1e-4


def test_one_sided_lift_is_not_smoothed_into_both_sides() -> None:
    # a core that may only rise: the wall is never thicker than drawn, and evenly likely anywhere below
    lift = Wall(
        "wall",
        (
            Term(Link(name="wall", a="a", b="b", size=7, plus=0, minus=0), 1.0),
            Term(play("lift", "b", "c", 0.5, rise=True), -1.0),
        ),
        6.75,
    )
    got = assemble([lift], 40_000).walls[0]
    assert got.high <= 7.0 + 1e-5
    assert got.p_holds == pytest.approx(0.5, abs=4 * got.se)


def test_play_is_even_over_its_limits_whatever_a_tolerance_stands_for() -> None:
    """Standard deviation of an even spread: half / sqrt(3), 0.3 / 1.732 = 0.1732."""
    play_ = Term(Link(name="p", a="a", b="b", size=1.0, plus=0.3, minus=0.3, shape="uniform"), 1.0)
    fixed = Term(Link(name="t", a="b", b="c", size=1.0, plus=0.3, minus=0.3), 1.0)
    for ratio in (2.0, 3.0):
        assert stack("w", [play_], 1.0 - 0.1732050808, None, tol_in_sigma=ratio).sigma_ratio == pytest.approx(1.0)
        both = stack("w", [play_, fixed], tol_in_sigma=ratio)
        assert both.sigma == pytest.approx((0.03 + (0.3 / ratio) ** 2) ** 0.5)
        assert both.sigma_ratio is None
    assert stack("w", [fixed], None, 0.9).sigma_ratio == pytest.approx(-1.0)
    with pytest.raises(DataError, match="more than 0"):
        stack("w", [fixed], tol_in_sigma=0.0)


# ------------------------------------------------------------------------------ chances
def one_play(measured: Estimate | None = None) -> list[Term]:
    """8 with a normal 0.3 either way (sd 0.1), and a play of 0.6 that goes up by all of it."""
    body = Link(name="body", a="a", b="b", size=8.0, plus=0.3, minus=0.3, measured=measured)
    lift = Link(name="lift", a="b", b="c", size=0.0, plus=0.6, minus=0.0, kind="fit", shape="uniform")
    return [Term(body, 1.0), Term(lift, 0.5)]


def test_play_is_even_where_a_chance_is_asked_for() -> None:
    """Without the body's spread: between 8.0 and 8.3 anywhere, half of it above 8.15, nothing above 8.3."""
    still = one_play(Estimate(8.0, 0.0))
    assert chance(still, None, 8.15) == pytest.approx(0.5)
    assert chance(still, 8.0, 8.3) == pytest.approx(1.0)
    assert chance(still, 8.225, None) == pytest.approx(0.25)
    moved = one_play(Estimate(8.1, 0.0))
    assert chance(moved, None, 8.15) == pytest.approx(0.05 / 0.3)
    # mirrored, with its sense: the same wall counted down
    down = [Term(t.link, -t.sense) for t in moved]
    assert chance(down, -8.15, None) == pytest.approx(0.05 / 0.3)


def test_the_chance_agrees_with_assemblies_and_with_the_share_outside() -> None:
    terms = one_play()
    (counted,) = assemble([Wall("w", tuple(terms), 7.95, 8.3)], 200_000).walls
    assert chance(terms, 7.95, 8.3) == pytest.approx(counted.p_holds, abs=5 * counted.se)
    assert 1.0 - stack("w", terms, 7.95, 8.3).p_out == pytest.approx(chance(terms, 7.95, 8.3))
    # a tolerance that stands for six standard deviations: the body spreads by half as much
    assert stack("w", terms, 7.95, 8.3, tol_in_sigma=6.0).p_out < stack("w", terms, 7.95, 8.3).p_out


def test_a_dimension_counts_by_its_sense() -> None:
    """Half of a body of 8.0 that is known to 0.1: 4.0, known to 0.05."""
    terms = [Term(t.link, 0.5) for t in one_play(Estimate(8.0, 0.1))[:1]]
    assert chance(terms, None, 4.05) == pytest.approx(0.8413, abs=1e-4)


def test_what_nobody_said_is_named_once() -> None:
    links = [
        Link(name=n, a=n, b=f"{n}'", size=0.0, plus=0.5, minus=0.0, unknown=u)
        for n, u in (("k1", "how far core 1 can rise"), ("k2", ""), ("k3", "how far core 1 can rise"))
    ]
    assert unknowns(Term(link, 1.0) for link in links) == ("how far core 1 can rise",)
