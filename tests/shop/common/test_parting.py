"""The parting as heights and steps: which half makes what, and ends that say otherwise."""

from __future__ import annotations

from math import inf
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_tui.errors import JobFileError
from inspect_tui.metrology.typed.show import Style
from inspect_tui.record.store import Record
from inspect_tui.shop.common import parting
from inspect_tui.shop.common.parting import Parting, Step
from inspect_tui.shop.kit import check as kit
from tests.worlds.kit_jobs import begin, with_patterns

STEPPED = Parting((Step(0, 520, 90), Step(520, 624, 118)))


def test_a_parting_is_read_from_words_or_figures_and_comes_back_the_same() -> None:
    assert parting.parse("x 0 to 520 at z 90; x 520 to 624 at z 118") == STEPPED
    assert parting.parse("520 624 118; 0 520 90") == STEPPED
    assert parting.parse("0 520 90,0") == Parting((Step(0, 520, 90),))
    assert parting.parse(f"parting: {STEPPED.words}") == STEPPED


@given(st.lists(st.tuples(st.integers(1, 300), st.integers(-200, 200)), min_size=1, max_size=6))
def test_words_and_steps_are_each_others_inverse_and_every_height_has_its_half(pieces: list[tuple[int, int]]) -> None:
    steps, at = [], 0.0
    for length, z in pieces:
        steps.append(Step(at, at + length, float(z)))
        at += length
    made = Parting(tuple(steps))
    assert parting.parse(made.words) == made
    for step in steps:
        middle = (step.from_x + step.to_x) / 2
        assert made.height(middle) == step.z
        assert (made.half(step.z - 1, middle), made.half(step.z + 1, middle)) == ("drag", "cope")
    assert made.half(made.lowest - 1) == "drag"
    assert made.half(made.highest + 1) == "cope"


@pytest.mark.parametrize(
    ("text", "made"),
    [
        ("at z 90", Parting((Step(-inf, inf, 90),))),
        ("at x 12,5", Parting((Step(-inf, inf, 12.5),), "x", "y")),
        ("y 0 to 50 at x 10; y 50 to 80 at x 20", Parting((Step(0, 50, 10), Step(50, 80, 20)), "x", "y")),
        ("z 0 to 1 in at y -4", Parting((Step(0, 25.4, -4),), "y", "z")),
    ],
)
def test_a_parting_may_lie_along_any_axis_and_comes_back_from_the_record(
    text: str, made: Parting, tmp_path: Path
) -> None:
    assert parting.parse(text) == made and parting.parse(made.words) == made
    with Record.open(tmp_path / "p.db", create=True) as record:
        job = begin(record).job
        parting.say(record, job, "0 100 10")
        parting.say(record, job, text)
        assert parting.of_job(record, job) == made
        assert record.verify().ok and len(record.mould_parting(job.of_id)[1]) == len(made.steps)  # type: ignore[index]


def test_between_the_steps_it_depends_on_where_one_stands() -> None:
    assert STEPPED.half(100.0) is None
    assert (STEPPED.half(100.0, 300.0), STEPPED.half(100.0, 560.0)) == ("cope", "drag")
    assert STEPPED.undercuts == ((520, 90, 118),)
    assert Parting((Step(0, 100, 50),)).undercuts == ()


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "three figures a step"),
        ("0 520", "three figures a step"),
        ("flat", "is no parting"),
        ("520 0 90", "nowhere"),
        ("0 500 90; 520 624 118", "leave a gap at x 520"),
        ("0 530 90; 520 624 118", "overlap at x 520"),
        ("0 nan 90", "is no parting"),
        ("x 0 to 50 at x 10", "another axis"),
        ("at z 90; x 0 to 50 at z 10", "from where to where"),
        ("x 0 to 50 at z 10; y 50 to 60 at z 12", "one axis"),
    ],
)
def test_what_is_no_parting_is_a_sentence(text: str, words: str) -> None:
    with pytest.raises(JobFileError, match=words):
        parting.parse(text)


def test_the_last_parting_of_a_job_counts_and_ends_on_the_wrong_side_are_named(tmp_path: Path) -> None:
    with Record.open(tmp_path / "p.db", create=True) as record:
        made = with_patterns(begin(record))
        assert parting.of_job(record, made.job) is None
        parting.say(record, made.job, "0 100 10")
        parting.say(record, made.job, STEPPED.words)
        assert parting.of_job(record, made.job) == STEPPED
        made.add_feature("F1", "z", 157.0, ("drag", -1, 0.0), ("cope", 1, 157.0))
        made.add_feature("F2", "z", 100.0, ("cope", -1, 20.0), ("cope", 1, 120.0))
        made.add_feature("F3", "z", 80.0, ("drag", -1, 20.0), ("drag", 1, 100.0))  # between the steps: either
        said = [t.sentence for t in kit.check(record, made.job).troubles]
        assert said == ["end A of F2 at z 20 lies below the parting: the drag makes it, not the cope"]
        in_inches = [t.sentence for t in kit.check(record, made.job, style=Style("in")).troubles]
        assert in_inches == [said[0].replace("z 20 ", "z 0.7874 ")]


def test_a_core_that_only_locates_makes_no_surface(tmp_path: Path) -> None:
    with Record.open(tmp_path / "p.db", create=True) as record:
        made = with_patterns(begin(record))
        made.add_core(2, makes_surface=False)
        made.add_fit("K1", 2, "drag", holds="x,y,z,rx,ry,rz")
        assert kit.check(record, made.job).holds
        made.add_feature("F1", "x", 20.0, ("drag", -1, 0.0), (2, 1, 20.0))
        assert any("core 2 only locates, but end B of F1" in text for text in kit.check(record, made.job).against)


def test_steps_are_sizes_in_words_or_in_figures():
    typed = (
        "0 520,5 90; 520.5 1 000 118",
        "x 0 to 520.5 at z 90; x 520,5 to 1 000 at z 118",
        "0 520.5 90 520.5 1e3 118",
    )
    assert {parting.parse(text).words for text in typed} == {"x 0 to 520.5 at z 90; x 520.5 to 1000 at z 118"}
    with pytest.raises(JobFileError, match="is no parting"):  # the second step used to be left out in silence
        parting.parse("x 0 to 520 at z 90; x 520 to wide at z 118")
