"""Setting order: an order exists exactly when there is no ring, and every order respects every seat."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_tui.metrology.kit.setting import (
    Before,
    Sits,
    check_order,
    demands,
    held_sentence,
    not_held,
    problems,
    setting_order,
)
from tests.operations import calls

CORES = ["1", "2", "7", "3", "4", "5", "6"]
MANIFOLD = [  # the invented manifold: who sits in whom, what stands in whose way
    Sits(core="1", into="drag", seat="K1", holds=("x", "y"), at=(60.0, 88.0, 20.0), blocked_by=("3", "5")),
    Sits(core="2", into="drag", seat="K2", holds=("x", "y"), at=(640.0, 88.0, 40.0)),
    Sits(core="7", into="drag", seat="K9", holds=("x", "y"), at=(560.0, 88.0, 40.0), blocked_by=("4",)),
    Sits(core="7", into="2", seat="K10", holds=("x",)),
    Sits(core="3", into="drag", seat="K3", holds=("x", "y"), at=(300.0, 0.0, 90.0), blocked_by=("5",)),
    Sits(core="4", into="3", seat="K5", holds=("y", "z")),
    Sits(core="4", into="2", seat="K4", holds=("x", "y")),
    Sits(core="5", into="1", seat="K6", holds=("x", "y")),
    Sits(core="6", into="5", seat="K7", holds=("x", "y")),
    Sits(core="6", into="cope", seat="K8", holds=("x", "y", "z+")),
]


@st.composite
def kits(draw: st.DrawFn) -> tuple[list[str], list[Sits]]:
    """Random cores; each sits in the drag or in any other core (so rings happen), some stand in others' way."""
    n = draw(st.integers(1, 9))
    cores = [str(i) for i in range(n)]
    sits = []
    for core in cores:
        for k in range(draw(st.integers(1, 2))):
            into = draw(st.sampled_from(["drag", "cope", *(c for c in cores if c != core)]))
            blocked = tuple(draw(st.lists(st.sampled_from(cores), max_size=1))) if draw(st.booleans()) else ()
            sits.append(
                Sits(core=core, into=into, seat=f"s{core}{k}", blocked_by=tuple(b for b in blocked if b != core))
            )
    return cores, sits


def test_the_manifold_has_its_order() -> None:
    order = setting_order(CORES, MANIFOLD)
    assert order.sequence == ("1", "2", "7", "3", "4", "5", "6")
    assert check_order(order.sequence, CORES, MANIFOLD) == []
    assert "set in the order 1, 2, 7, 3, 4, 5, 6" in order.sentences[0]


@given(kits())
def test_an_order_exists_exactly_when_there_is_no_ring(kit: tuple[list[str], list[Sits]]) -> None:
    cores, sits = kit
    order = setting_order(cores, sits)
    # the other way to know: take away, again and again, every core that waits for nobody
    waits = {c: {d.first for d in demands(cores, sits) if d.then == c} for c in cores}
    left = set(cores)
    while free := {c for c in left if not waits[c] & left}:
        left -= free
    assert bool(order.sequence) == (not left)
    assert bool(order.rings) == bool(left)


@given(kits())
def test_every_order_printed_respects_every_seat_and_every_way_in(kit: tuple[list[str], list[Sits]]) -> None:
    cores, sits = kit
    order = setting_order(cores, sits)
    if order.sequence:
        assert sorted(order.sequence) == sorted(cores)
        place = {c: i for i, c in enumerate(order.sequence)}
        for s in sits:
            assert s.into in ("drag", "cope") or place[s.into] < place[s.core]
            assert all(place[s.core] < place[b] for b in s.blocked_by)
        assert check_order(order.sequence, cores, sits) == []


@given(kits())
def test_a_ring_is_a_ring_and_is_named_core_by_core(kit: tuple[list[str], list[Sits]]) -> None:
    cores, sits = kit
    order = setting_order(cores, sits)
    rules = {(d.first, d.then) for d in demands(cores, sits)}
    for ring, text in zip(order.rings, order.sentences, strict=True) if order.rings else ():
        assert len(set(ring)) == len(ring)
        assert all((a, b) in rules for a, b in zip(ring, (*ring[1:], ring[0]), strict=True))
        assert all(f"core {c}" in text for c in ring) and " -> ".join((*ring, ring[0])) in text


@given(kits(), st.randoms())
def test_the_check_of_a_given_order_finds_trouble_exactly_when_a_demand_is_broken(
    kit: tuple[list[str], list[Sits]], random: object
) -> None:
    cores, sits = kit
    given_order = list(cores)
    random.shuffle(given_order)  # type: ignore[attr-defined]
    place = {c: i for i, c in enumerate(given_order)}
    broken = any(place[d.first] > place[d.then] for d in demands(cores, sits))
    assert bool(check_order(given_order, cores, sits)) == broken


@given(kits())
def test_the_only_order_is_the_only_one(kit: tuple[list[str], list[Sits]]) -> None:
    cores, sits = kit
    order = setting_order(cores, sits)
    for a, b in order.free:
        i = order.sequence.index(a)
        assert order.sequence[i + 1] == b
        swapped = [*order.sequence[:i], b, a, *order.sequence[i + 2 :]]
        assert check_order(swapped, cores, sits) == []
    if order.only_one:
        for i in range(len(cores) - 1):
            swapped = [*order.sequence[:i], order.sequence[i + 1], order.sequence[i], *order.sequence[i + 2 :]]
            assert check_order(swapped, cores, sits)


def test_where_there_is_a_choice_the_order_of_the_list_decides() -> None:
    sits = [Sits(core=c, into="drag", seat=f"s{c}") for c in "cab"]
    assert setting_order(["c", "a", "b"], sits).sequence == ("c", "a", "b")
    assert setting_order(["a", "b", "c"], sits).sequence == ("a", "b", "c")


def test_a_blocked_seat_is_named_with_what_stands_in_the_way() -> None:
    trouble = check_order(["1", "2", "7", "4", "3", "5", "6"], CORES, MANIFOLD)
    assert [t.kind for t in trouble] == ["not there"]
    trouble = check_order(["1", "2", "7", "5", "3", "4", "6"], CORES, MANIFOLD)
    assert [(t.kind, t.cores) for t in trouble] == [("blocked", ("3", "5"))]
    assert trouble[0].sentence == "core 3 cannot go into K3 (z-): core 5 is already in the way"


def test_an_order_with_a_core_twice_missing_or_unknown_is_told() -> None:
    kinds = {t.kind for t in check_order(["1", "1", "9", "2"], CORES, MANIFOLD)}
    assert kinds == {"twice", "unknown", "missing"}


@pytest.mark.parametrize(
    "cores, sits, kind, words",
    [
        (["1"], [Sits(core="1", into="1", seat="K1")], "itself", "core 1 sits in itself"),
        (["1", "1"], [Sits(core="1", into="drag", seat="K1")], "twice", "two cores have the number 1"),
        (["1"], [Sits(core="1", into="", seat="K1")], "no seat", "has no seat"),
        (["1"], [Sits(core="1", into="9", seat="K1")], "no seat", "not in this kit"),
        (
            ["1", "2"],
            [Sits(core="1", into="drag", seat="K1"), Sits(core="2", into="drag", seat="K1")],
            "claimed twice",
            "claimed by core 1 and core 2",
        ),
        (["1"], [], "no print", "sits in nothing"),
        (["1"], [Sits(core="1", into="drag", seat="K1", holds=("up",))], "hold", "'up' is no direction"),
        (
            ["1"],
            [Sits(core="8", into="drag", seat="K1"), Sits(core="1", into="drag", seat="K2")],
            "unknown",
            "no core 8",
        ),
    ],
)
def test_wrong_facts_are_said_in_a_sentence(cores: list[str], sits: list[Sits], kind: str, words: str) -> None:
    troubles = [t for t in problems(cores, sits) if t.kind == kind]
    assert troubles and words in troubles[0].sentence


def test_right_facts_give_no_problem() -> None:
    assert problems(CORES, MANIFOLD) == []


def test_a_core_that_sits_in_itself_is_a_ring_of_one() -> None:
    order = setting_order(["1"], [Sits(core="1", into="1", seat="K1")])
    assert order.sequence == () and order.rings == (("1",),)


def test_a_core_on_one_round_print_is_free_to_turn_and_to_rise() -> None:
    round_print = [Sits(core="1", into="drag", seat="K1", holds=("x", "y", "rx", "ry"), at=(0.0, 0.0, 0.0))]
    assert not_held("1", round_print) == ["z+", "rz"]
    assert held_sentence("1", ["z+", "rz"]) == "core 1: can rise, free to turn about z"
    assert not_held("1", round_print, lifts=False) == ["rz"]


def test_two_prints_apart_stop_turning() -> None:
    two = [
        Sits(core="1", into="drag", seat="a", holds=("y",), at=(0.0, 0.0, 0.0)),
        Sits(core="1", into="drag", seat="b", holds=("y", "x"), at=(100.0, 0.0, 0.0)),
    ]
    free = not_held("1", two, lifts=False)
    assert "rz" not in free and "ry" not in free  # across, and by resting on both
    assert "rx" in free  # both lie on the x axis: it can still roll
    assert not_held("1", [two[0]], lifts=False) == ["x-", "x+", "rx", "ry", "rz"]


def test_a_one_sided_hold_holds_one_way() -> None:
    assert not_held("1", [Sits(core="1", into="drag", seat="a", holds=("x+", "y", "z", "rx", "ry", "rz"))]) == ["x-"]
    assert held_sentence("1", ["x-"]) == "core 1: can move toward -x"
    assert held_sentence("1", []) == ""


@given(kits(), st.data())
def test_an_order_exists_exactly_when_seats_and_bodies_make_no_ring(
    kit: tuple[list[str], list[Sits]], data: st.DataObject
) -> None:
    cores, sits = kit
    pairs = data.draw(st.lists(st.tuples(st.sampled_from(cores), st.sampled_from(cores)), max_size=6))
    bodies = [Before(a, b, f"core {a} may be blocked by core {b}: look") for a, b in pairs if a != b]
    waits = {c: {d.first for d in demands(cores, sits, bodies) if d.then == c} for c in cores}
    left = set(cores)
    while free := {c for c in left if not waits[c] & left}:
        left -= free
    order = setting_order(cores, sits, bodies)
    assert bool(order.sequence) == (not left)
    if order.sequence:
        assert check_order(order.sequence, cores, sits, bodies) == []
        place = {core: i for i, core in enumerate(order.sequence)}
        assert all(place[rule.first] < place[rule.then] for rule in bodies)


def test_what_bodies_demand_is_ordered_and_checked_too() -> None:
    sits = [Sits(core=c, into="drag", seat=f"s{c}") for c in "ab"]
    rule = Before("b", "a", "core b may be blocked by core a: look")
    assert setting_order(["a", "b"], sits, [rule]).sequence == ("b", "a")
    trouble = check_order(["a", "b"], ["a", "b"], sits, [rule])
    assert [(t.kind, t.cores, t.sentence) for t in trouble] == [("blocked", ("b", "a"), rule.why)]
    assert check_order(["b", "a"], ["a", "b"], sits, [rule]) == []
    ring = setting_order(["a", "b"], sits, [rule, Before("a", "b", "core a may be blocked by core b: look")])
    assert ring.rings == (("a", "b"),) and rule.why in ring.sentences[0]
    assert setting_order(["a"], sits[:1], [rule]).sequence == ("a",)  # core b is not in this kit


def test_a_hundred_cores_are_ordered_and_checked_with_few_calls() -> None:
    cores = [str(i) for i in range(100)]
    sits = [
        Sits(core=c, into="drag" if i < 3 else str(i // 3), seat=f"s{i}", holds=("x", "y")) for i, c in enumerate(cores)
    ]

    def all_of_it() -> None:
        order = setting_order(cores, sits)
        assert order.sequence and not problems(cores, sits) and not check_order(order.sequence, cores, sits)
        for core in cores:
            not_held(core, sits)

    assert calls(all_of_it) < 13_000  # 6,400: each core and each seat is asked a few times, no pairs
