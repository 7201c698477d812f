"""Loops and passages of a job file, with the points of a law that a customer states."""

from __future__ import annotations

import pytest

from inspect_tui.errors import JobFileError
from inspect_tui.record.store import Record
from inspect_tui.shop.kit import passages
from inspect_tui.shop.kit.facts import KitFacts
from tests.conftest import SmallShop
from tests.worlds.job_files import HEAD, SIZE, plan, stored

TWO = SIZE + SIZE.replace("F1", "F2").replace("62", "40")
SEAT = '[[seat]]\nlabel = "K1"\ncore = 2\nin = "core 1"\nsize = 30\nclearance = 0.3\n'
LOOP = (
    '[[loop]]\nlabel = "W1"\nwall = "F1"\nlimits = [5.9, 7.9]\nparts = [{ name = "key", size = 7, plus = 0.15 }, '
    '{ name = "rise", sign = -1, plus = 0.5, shape = "uniform", fit = "k1", feature = "F2", tool = "box 1" }]\n'
)
PASSAGE = '[[passage]]\nlabel = "A1"\nformula = "F1*F2"\nrated = "185 m³/min"\nleast = "178 m3/min"\n'


def test_a_loop_names_its_wall_and_the_fits_in_it() -> None:
    made = plan(HEAD + TWO + SEAT + LOOP)
    ((stack, (key, rise)),) = made.loops
    assert (stack.feature_id, stack.lower, stack.upper) == (made.features[0].id, 5.9, 7.9)
    assert (key.size_mm, key.plus_mm, key.minus_mm, key.sense, key.ord) == (7.0, 0.15, 0.0, 1, 1)
    assert (rise.sense, rise.shape, rise.fit_id, rise.tool) == (-1, "uniform", made.fits[0].id, "box 1")
    assert (rise.feature_id, rise.stack_id) == (made.features[1].id, stack.id)
    ((open_, _),) = plan(HEAD + TWO + SEAT + LOOP.replace("[5.9, 7.9]", '"min 6"')).loops
    assert (open_.lower, open_.upper) == (6.0, None)


def test_a_rating_brings_its_unit() -> None:
    ((said, points),) = plan(HEAD + TWO + PASSAGE).passages
    assert (said.unit, said.rated, said.minimum, said.exponent, points) == ("m³/min", 185.0, 178.0, 1.0, ())


def test_a_customers_points_are_the_law_that_the_kit_computes_with(shop: SmallShop) -> None:
    text = (
        HEAD
        + TWO
        + '[[passage]]\nlabel = "A1"\nformula = "F1*F2"\nunit = "L/s"\npoints = [[2000, 40], [2480, 46], [3000, 50]]\n'
    )
    job = stored(shop.record, plan(text))
    facts = KitFacts(shop.record, job)
    (line,) = passages.lines(facts)
    assert line.passage.formula == "law(F1*F2, 2000.0, 40.0, 2480.0, 46.0, 3000.0, 50.0)"
    assert line.capacity is not None and line.capacity.value == pytest.approx(46.0)
    assert isinstance(shop.record, Record) and shop.record.passages(job.of_id)[0].formula == "F1*F2"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (LOOP.replace('wall = "F1"', 'wall = "F9"'), "loop W1 wall: there is no feature F9"),
        (SEAT + LOOP.replace('fit = "k1"', 'fit = "K9"'), "part 2: there is no seat K9"),
        (SEAT + LOOP.replace("sign = -1", "sign = 3"), "part 2, sign: '3' is no sign"),
        (SEAT + LOOP.replace("plus = 0.15", "pluss = 0.15"), "part 1 does not know 'pluss'"),
        (SEAT + LOOP.replace("plus = 0.15", 'plus = "x"'), "loop W1 parts part 1, plus: x is not a size"),
        ('[[loop]]\nlabel = "W1"\n', "loop W1 needs parts"),
        ('[[loop]]\nlabel = "W1"\nparts = [3]\n', "part 1 is written as"),
        ("[[loop]]\n", "[[loop]] needs a label"),
        (PASSAGE.replace("F1*F2", "F1*F9"), "passage A1 formula"),
        (PASSAGE.replace("185 m³/min", "185 kg"), "passage A1 rated"),
        (PASSAGE.replace('rated = "185 m³/min"\n', ""), "needs the rating that it belongs to"),
        (PASSAGE.replace('formula = "F1*F2"\n', ""), "passage A1 needs a formula"),
        (PASSAGE + "points = [[1, 2]]\n", "a law needs two points at least"),
        (PASSAGE + "points = [1, 2]\n", "each point is [area, capacity]"),
        (PASSAGE + "exponent = 9\n", "passage A1 exponent"),
        ("[[passage]]\n", "[[passage]] needs a label"),
    ],
)
def test_what_is_wrong_is_told(text: str, said: str) -> None:
    with pytest.raises(JobFileError) as told:
        plan(HEAD + TWO + text)
    assert said in str(told.value)


def test_a_seat_that_is_wrong_makes_no_loop_wrong() -> None:
    with pytest.raises(JobFileError) as told:
        plan(HEAD + TWO + SEAT.replace("size = 30", "size = -3") + LOOP)
    assert "mistakes" not in str(told.value) and "seat K1 size" in str(told.value)
