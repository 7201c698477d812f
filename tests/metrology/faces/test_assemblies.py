"""Tests of: monte Carlo assemblies: every wall of a kit from one matrix product, as drawn or as measured"""

from __future__ import annotations

import pytest

from inspect_tui.errors import DataError
from inspect_tui.metrology.faces.assemblies import Wall, assemble
from inspect_tui.metrology.faces.stacks import Link, Term
from tests.metrology.faces.test_stacks import made


def test_walls_on_the_same_link_move_together() -> None:
    link = Link(name="core 3 shift", a="a", b="b", size=0.0, plus=0.5, minus=0.5)
    one = Wall("left", (Term(link, 1.0),), lower=0.0)
    other = Wall("right", (Term(link, -1.0),), lower=0.0)
    result = assemble([one, other], 20_000)
    assert result.p_all < 0.001  # what one gains the other loses
    alone = assemble([one, one], 20_000)
    assert alone.p_all == pytest.approx(0.5, abs=0.02)


def test_assemblies_are_the_same_for_a_seed_and_name_the_weakest_wall() -> None:
    walls = [
        Wall("thick", tuple(made([(1.0, 8.0, 0.3, 0.3)])), 7.0),
        Wall("thin", (Term(Link(name="thin", a="x", b="y", size=6.0, plus=0.3, minus=0.3), 1.0),), 6.0),
    ]
    one, two = assemble(walls, 5000, seed=4), assemble(walls, 5000, seed=4)
    assert one == two and one.weakest == "thin" and "thin" in one.sentence
    assert assemble(walls[:1], 5000).sentence == "every wall holds in all 5000 assemblies"
    assert assemble(walls, 5000, seed=5) != one


def test_a_link_given_twice_with_different_sizes_is_refused() -> None:
    a, b = (
        Link(name="l", a="a", b="b", size=1.0, plus=0.1, minus=0.1),
        Link(name="l", a="a", b="b", size=1.0, plus=0.2, minus=0.2),
    )
    with pytest.raises(DataError, match="one link, one size"):
        assemble([Wall("x", (Term(a, 1.0),)), Wall("y", (Term(b, 1.0),))], 10)
    with pytest.raises(DataError, match="at least one wall"):
        assemble([], 10)


def test_walls_never_hold_in_all_assemblies_where_something_is_not_known() -> None:
    def wall(name: str, unknown: str, lower: float = 5.0) -> Wall:
        link = Link(name=name, a=f"{name} a", b=f"{name} b", size=8.0, plus=0.5, minus=0.0, unknown=unknown)
        return Wall(name, (Term(link, 1.0),), lower)

    known = assemble([wall("F1", "")], 2000)
    assert (known.sentence, known.unknown) == ("every wall holds in all 2000 assemblies", ())
    rise = "how far core 1 can rise in K1 (0.5 is taken)"
    guessed = assemble([wall("F1", ""), wall("F2", rise), wall("F3", rise)], 2000)
    assert guessed.p_all == 1.0
    assert guessed.sentence == f"no wall failed in 2000 assemblies, but nobody said {rise}"
    assert guessed.unknown == (rise,)
    failing = assemble([wall("F2", rise, 8.25)], 2000)
    assert failing.sentence.startswith("every wall holds in ")
    assert failing.sentence.endswith(f"in 95 %), but nobody said {rise}")
    many = assemble([wall(f"F{n}", f"thing {n}") for n in range(5)], 100)
    assert many.sentence.endswith("but nobody said thing 0; thing 1; thing 2 and 2 more")
