"""The measuring plan: least work against every choice tried, the order of work, what stays free. Worked by hand.

Kruskal's tree is checked against all subsets of the sizes on small drawings.
"""

from __future__ import annotations

from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_tui.errors import DataError
from inspect_tui.frozen import replace
from inspect_tui.metrology.faces.plan import CUT_UP_MINUTES, MEANS, FacePlan, Possible, plan

FACES = ("datum", "end", "low", "high", "deep")


def p(name: str, a: str, b: str, means: str = "reach", state: str = "") -> Possible:
    return Possible(name=name, a=a, b=b, means=means, state=state)


BODY, WALL, PASSAGE = p("F1", "datum", "end"), p("F2", "datum", "low", "ultrasonic"), p("F3", "low", "high", "section")
FAR, DEEP = p("F4", "high", "end", "ultrasonic"), p("F5", "high", "deep", "section")
ALL = (BODY, WALL, PASSAGE, FAR, DEEP)


def steps(made: FacePlan) -> list[str]:
    return [step.size for step in made.steps]


def test_every_face_is_pinned_with_the_least_work_and_the_section_last() -> None:
    made = plan(FACES, ALL, {"datum"})
    assert steps(made) == ["F1", "F2", "F4", "F5"]  # F3 would need the casting cut up where F4 does not
    assert [(s.start, s.pins) for s in made.steps] == [
        ("datum", "end"),
        ("datum", "low"),
        ("end", "high"),
        ("high", "deep"),
    ]
    assert [s.from_datum for s in made.steps] == [True, True, False, False]
    assert made.cut_up and made.minutes == pytest.approx(2 + 3 + 3 + 4 + CUT_UP_MINUTES)
    assert made.pinned == ("datum",) and made.free == () and not made.done
    assert made.steps[3].u_mm == pytest.approx((0.03**2 + 0.10**2 + 0.05**2) ** 0.5)
    assert not plan(FACES, ALL, {"datum"}, is_cut_up=True).cut_up


def test_after_each_reading_the_plan_moves() -> None:
    left = ALL
    for taken in ("F1", "F2", "F4", "F5"):
        assert steps(plan(FACES, left, {"datum"}))[0] == taken
        left = tuple(replace(s, state="read") if s.name == taken else s for s in left)
    made = plan(FACES, left, {"datum"})
    assert made.done and made.pinned == FACES and made.minutes == 0.0 and not made.cut_up
    # somebody takes another size instead: what it pins is not asked for again
    other = tuple(replace(s, state="read") if s.name in ("F2", "F3") else s for s in ALL)
    assert steps(plan(FACES, other, {"datum"})) == ["F1", "F5"]


def test_what_the_drawing_gives_costs_nothing_and_has_no_doubt() -> None:
    made = plan(FACES, (replace(BODY, state="drawing"), FAR, WALL), {"datum"})
    assert made.given == ("F1",) and made.pinned == ("datum", "end") and steps(made) == ["F2", "F4"]
    far = next(s for s in made.steps if s.size == "F4")
    assert far.u_mm == pytest.approx(0.10)
    read = plan(FACES, (replace(BODY, state="read"), FAR), {"datum"})
    assert read.steps[0].u_mm == pytest.approx((0.03**2 + 0.10**2) ** 0.5)


def test_a_face_is_known_as_well_as_all_readings_that_lead_to_it() -> None:
    chain = [p(f"F{n}", a, b, state="read") for n, (a, b) in enumerate((("datum", "a"), ("a", "b"), ("b", "c")), 1)]
    made = plan(("datum", "a", "b", "c", "d"), [*chain, p("F4", "c", "d", "template")], {"datum"})
    assert [s.u_mm for s in made.steps] == [pytest.approx((3 * 0.03**2 + 0.15**2) ** 0.5)]


def test_set_ups_that_stay_the_same_come_one_after_the_other() -> None:
    sizes = (p("A", "datum", "x1"), p("B", "other", "y1"), p("C", "datum", "x2"), p("D", "other", "y2"))
    assert steps(plan(("x1", "x2", "y1", "y2"), sizes, {"datum", "other"})) == ["A", "C", "B", "D"]


def test_of_equal_work_the_size_from_the_datum_is_taken() -> None:
    sizes = (p("chain", "near", "far"), p("near", "datum", "near"), p("far", "datum", "far"))
    made = plan(("near", "far"), sizes, {"datum"})
    assert steps(made) == ["near", "far"] and [c.size for c in made.checks] == ["chain"]
    assert made.checks[0].over == ("near", "far") and made.checks[0].minutes == 2.0


def test_faces_that_nothing_leads_to_stay_free_and_what_hangs_together_is_said() -> None:
    sizes = (BODY, p("F7", "in", "out"))
    made = plan(("datum", "end", "in", "out", "lost"), sizes, {"datum"})
    assert made.free == ("in", "out", "lost") and steps(made) == ["F1", "F7"]
    assert [s.tied for s in made.steps] == [True, False]
    assert made.steps[1].u_mm == pytest.approx(0.03) and made.steps[1].from_datum is False
    tied = plan(("datum", "end", "in", "out"), (*sizes, p("F8", "end", "in", "ultrasonic")), {"datum"})
    assert tied.free == () and all(s.tied for s in tied.steps)
    # F7 read already: with F8 both its faces are pinned at once, and the next one can start from either
    hung = (BODY, p("F7", "in", "out", state="read"), p("F8", "end", "in"), p("F9", "out", "more"))
    made = plan(("end", "in", "out", "more"), hung, {"datum"})
    assert steps(made) == ["F1", "F8", "F9"]
    assert made.steps[2].u_mm == pytest.approx(0.03 * 4**0.5) and made.steps[2].start == "out"


def test_checks_close_loops_over_what_nothing_else_tells_of() -> None:
    sizes = (p("A", "datum", "a"), p("B", "datum", "b"), p("C", "datum", "c"), p("AB", "a", "b"), p("BC", "b", "c"))
    made = plan(("a", "b", "c"), sizes, {"datum"})
    assert [c.size for c in made.checks] == ["AB", "BC"]
    closed = plan(("a", "b", "c"), tuple(replace(s, state="read") if s.name != "BC" else s for s in sizes), {"datum"})
    assert [c.size for c in closed.checks] == ["BC"] and closed.done
    assert plan(("a", "b", "c"), tuple(replace(s, state="read") for s in sizes), {"datum"}).checks == ()
    cut = (*sizes[:2], p("AB", "a", "b", "section"))
    assert plan(("a", "b"), cut, {"datum"}).checks == ()  # nobody cuts a casting up for a check
    assert [c.size for c in plan(("a", "b"), cut, {"datum"}, is_cut_up=True).checks] == ["AB"]
    by_drawing = (p("A", "datum", "a", state="drawing"), p("B", "datum", "b"), p("AB", "a", "b"))
    assert plan(("a", "b"), by_drawing, {"datum"}).checks[0].over == ("B",)


def test_few_checks_are_asked_for() -> None:
    sizes = [p(f"A{n}", "datum", f"a{n}") for n in range(30)] + [
        p(f"B{n}", f"a{2 * n}", f"a{2 * n + 1}") for n in range(15)
    ]
    assert len(plan([f"a{n}" for n in range(30)], sizes, {"datum"}).checks) == 6


@pytest.mark.parametrize(
    ("sizes", "words"), [((BODY, BODY), "F1: given twice"), ((p("F1", "a", "b", "guess"),), "guess is no way")]
)
def test_what_is_no_plan_is_said(sizes: tuple[Possible, ...], words: str) -> None:
    with pytest.raises(DataError, match=words):
        plan(FACES, sizes, {"datum"})


def test_an_empty_drawing_has_nothing_to_take() -> None:
    made = plan((), (), {"datum"})
    assert made.done and made.free == () and made.checks == ()


names = st.sampled_from(["datum", "a", "b", "c", "d"])


@settings(max_examples=60, deadline=None)
@given(st.lists(st.tuples(names, names, st.sampled_from(sorted(MEANS)), st.sampled_from(["", "", "read"])), max_size=7))
def test_no_other_choice_pins_as_much_with_less_work(drawn: list[tuple[str, str, str, str]]) -> None:
    sizes = [p(f"F{n}", a, b, m, s) for n, (a, b, m, s) in enumerate(drawn) if a != b]
    faces = ("a", "b", "c", "d")
    made = plan(faces, sizes, {"datum"})

    def pinned(taken: set[str]) -> set[str]:
        known = {"datum"}
        for _ in faces:
            known |= {e for s in sizes if s.name in taken and {s.a, s.b} & known for e in (s.a, s.b)}
        return known - {"datum"}

    read = {s.name for s in sizes if s.state}
    tied = [s for s in made.steps if s.tied]
    assert pinned(read | {s.size for s in made.steps}) == set(faces) - set(made.free) == pinned({s.name for s in sizes})
    assert set(made.pinned) == pinned(read)
    work = {s.name: MEANS[s.means].minutes for s in sizes}
    most = pinned({s.name for s in sizes})
    spare = [s.name for s in sizes if not s.state]
    least = min(
        sum(work[n] for n in chosen)
        for count in range(len(spare) + 1)
        for chosen in combinations(spare, count)
        if pinned(read | set(chosen)) == most
    )
    assert sum(s.minutes for s in tied) == pytest.approx(least)
    known = {"datum", *pinned(read)}
    for step in tied:  # every reading can be taken when its turn comes
        assert step.start in known and step.pins not in known
        known |= pinned(read | {s.size for s in made.steps[: made.steps.index(step) + 1]})
