"""Frozen records behave as frozen dataclasses do, at a fraction of the cost."""

from __future__ import annotations

import copy
import dataclasses
import pickle
from collections import namedtuple
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_tui.errors import LimitsError
from inspect_tui.frozen import FrozenError, NamedTuple, fields, frozen, frozen_by_name, replace, row_maker
from inspect_tui.model.words import Band, Estimate
from inspect_tui.model.work import Job


@frozen
class Size:
    """A size for these tests."""

    mm: float
    name: str = "?"

    @property
    def double(self) -> float:
        return 2 * self.mm

    def __post_init__(self) -> None:
        if self.mm < 0:
            raise ValueError("below 0")


@frozen_by_name
class Named:
    """By name only."""

    a: int = 1
    b: int


class Pair(NamedTuple):
    """A light named tuple."""

    value: float
    u: float = 0.5

    @property
    def sum(self) -> float:
        return self.value + self.u


@dataclasses.dataclass(frozen=True, slots=True)
class Standard:
    """The yardstick."""

    mm: float
    name: str = "?"


@given(st.floats(0, 1e5), st.text(max_size=5))
def test_it_agrees_with_a_frozen_dataclass(mm: float, name: str) -> None:
    ours, theirs = Size(mm, name), Standard(mm, name)
    assert dataclasses.asdict(ours) == dataclasses.asdict(theirs)
    assert repr(ours).removeprefix("Size") == repr(theirs).removeprefix("Standard")
    assert hash(ours) == hash(Size(mm=mm, name=name)) and ours == Size(mm, name)
    assert pickle.loads(pickle.dumps(ours)) == ours == copy.copy(ours)


def test_it_does_not_change() -> None:
    size = Size(1.0)
    with pytest.raises(FrozenError, match="replace"):
        size.mm = 2.0  # type: ignore[misc]
    with pytest.raises(FrozenError):
        del size.mm
    assert replace(size, mm=3.0).double == 6.0 and size.mm == 1.0
    assert dataclasses.replace(size, mm=3.0) == replace(size, mm=3.0)


def test_checks_run_on_every_instance() -> None:
    for _ in range(2):
        with pytest.raises(ValueError, match="below 0"):
            Size(-1.0)
    with pytest.raises(LimitsError, match="contradict"):
        Band(2.0, 1.0, "test")


def test_wrong_fields_are_refused() -> None:
    with pytest.raises(TypeError):
        Size()  # type: ignore[call-arg]
    with pytest.raises(TypeError):
        Size(1.0, colour="red")  # type: ignore[call-arg]
    with pytest.raises(TypeError, match="no field"):
        replace(Size(1.0), colour="red")
    with pytest.raises(TypeError):
        Named(1, 2)  # type: ignore[misc]
    assert Named(b=2).a == 1


def test_a_record_is_the_same_before_and_after_its_own_init_is_written() -> None:
    """The first few instances are set field by field; what is refused is refused in the same words."""
    for wrong in (
        lambda size, _: size(1.0, mm=2.0),
        lambda size, _: size(1.0, "x", "y"),
        lambda size, _: size(colour="red"),
        lambda size, _: size(1.0, colour="red"),
        lambda _, named: named(2, b=1),
        lambda _, named: named(),
    ):

        @frozen
        class Fresh:
            mm: float
            name: str = "?"

        @frozen_by_name
        class FreshNamed:
            a: int = 1
            b: int

        with pytest.raises(TypeError) as at_first:
            wrong(Fresh, FreshNamed)

        @frozen
        class Used:
            mm: float
            name: str = "?"

        for _ in range(40):
            made = Used(1.0, name="x")
            assert (made.mm, made.name) == (1.0, "x") and Used(1.0).name == "?"
            assert made == Used(1.0, "x") and made != Used(1.0) and made != Fresh(1.0, "x")
            assert hash(made) == hash(Used(1.0, "x"))
        with pytest.raises(TypeError) as later:
            wrong(Used, FreshNamed)
        assert str(at_first.value).replace("Fresh.", "Used.") == str(later.value).replace("Fresh.", "Used.")


def test_fields_are_known_to_both_ways_of_asking() -> None:
    assert fields(Size) == ("mm", "name") == tuple(f.name for f in dataclasses.fields(Size))
    assert dataclasses.is_dataclass(Job) and "tool_share" in fields(Job)


def test_light_named_tuples_are_tuples() -> None:
    pair = Pair(1.0)
    value, u = pair
    assert (value, u, pair.sum) == (1.0, 0.5, 1.5) and pair._replace(u=1.0) == (1.0, 1.0)
    assert Estimate(2.0, 0.1).u == 0.1


def test_light_named_tuples_are_what_the_library_makes() -> None:
    """From the first made to the fortieth, which an own `__new__` makes: values, names, mistakes, copies."""
    theirs = namedtuple("theirs", ["mm", "u"], defaults=[0.5])
    wrong = (
        lambda cls: cls(),
        lambda cls: cls(1.0, 2.0, 3.0),
        lambda cls: cls(1.0, mm=2.0),
        lambda cls: cls(1.0, name="x"),
        lambda cls: cls(u=1.0),
    )
    for times in (1, 40):
        for mistake in wrong:

            class Ours(NamedTuple):
                mm: float
                u: float = 0.5

            for _ in range(times):
                made: Any = Ours(1.0, u=2.0)
            with pytest.raises(TypeError):
                mistake(theirs)
            with pytest.raises(TypeError):
                mistake(Ours)
            assert made == Ours(mm=1.0, u=2.0) == theirs(1.0, 2.0) and Ours(1.0) == theirs(1.0) == (1.0, 0.5)
            assert made._fields == theirs._fields and made._asdict() == theirs(1.0, 2.0)._asdict()
            assert repr(made).endswith("Ours(mm=1.0, u=2.0)") and Ours._make([3.0, 4.0]).u == 4.0
    for place in range(40):
        pair = Pair(float(place), 1.0)
        assert pickle.loads(pickle.dumps(pair)) == copy.copy(pair) == pair and type(copy.copy(pair)) is Pair
    with pytest.raises(ValueError, match="no field name"):
        Pair(1.0)._replace(name=2)


def test_rows_become_records_with_their_defaults_and_their_checks() -> None:
    make = row_maker(Size, ("mm",))
    assert make((2.5,), {}) == Size(2.5) and make([2.5], {"name": "F08"}) == Size(2.5, "F08")
    assert type(make((2.5,), {})) is Size
    with pytest.raises(ValueError, match="below 0"):
        make((-1.0,), {})
    for row in ((), (1.0, "F08")):
        with pytest.raises(ValueError, match="zip"):
            make(row, {})
    with pytest.raises(KeyError):
        row_maker(Named, ("a",))((1,), {})
