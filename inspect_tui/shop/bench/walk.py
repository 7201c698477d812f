"""Where a line belongs that comes while others wait: typed again, the next size of the walk, or one further on.

A person reads down the list with the eyes on the work. While something is still to be answered, the next value is
most often that of the next size; it may be the same size typed again; now and then a size was passed over. Each of
these is weighed by how well the value fits there, and nothing is decided that is not nearly sure.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from enum import Enum

from inspect_tui.frozen import frozen, frozen_by_name

# How often each is met while something waits: common practice, no source.
NEXT, AGAIN = 0.50, 0.45  # while the question is the newest thing on the screen
GONE_ON, AGAIN_LATER = 0.96, 0.01  # once the person has gone on typing
PASSED = 0.02
ELSEWHERE = 0.01
SURE = 0.9


class Way(Enum):
    """How a line came to a size."""

    NEXT = "next in the walk"
    AGAIN = "typed again"
    PASSED = "one was passed over"
    ELSEWHERE = "somewhere else"


@frozen
class Stop:
    """A place that a line may belong to: the index in the list, and how it came there."""

    index: int
    way: Way


@frozen
class Guess:
    """A stop with its chance."""

    stop: Stop
    chance: float


@frozen_by_name
class Standing:
    """How the walk stands: the size at hand, which are still to be read, and the lines that wait.

    `waiting`: the index of each line that waits, oldest first. `fresh`: whether the newest of them is what was typed
    last. `other`: where that one fits, if it was asked whether it was meant for another size.
    """

    at: int
    open: Sequence[bool]
    waiting: Sequence[int] = ()
    fresh: bool = False
    other: int | None = None


def following(after: int, open_: Sequence[bool], waiting: Collection[int] = ()) -> int | None:
    """The next size that is still to be read and of which no line waits, around the end of the list; None: none."""
    count = len(open_)
    for step in range(1, count + 1):
        index = (after + step) % count
        if open_[index] and index not in waiting:
            return index
    return None


def next_stop(walk: Standing) -> int:
    """Where a line belongs when nothing is known of it: the size at hand, or the one after it when its line waits."""
    if walk.at not in walk.waiting:
        return walk.at
    after = following(walk.at, walk.open, walk.waiting)
    return walk.at if after is None else after


def stops(walk: Standing) -> list[tuple[Stop, float]]:
    """Every size that a line may belong to, with how often that is met before the value is looked at."""
    onward = next_stop(walk)
    chances: dict[Stop, float] = {}

    def add(index: int | None, way: Way, chance: float) -> None:
        if index is not None and all(stop.index != index for stop in chances):
            chances[Stop(index, way)] = chance

    nexts = [onward]
    if walk.fresh and walk.other is not None:
        beyond = following(walk.other, walk.open, walk.waiting)
        nexts += [] if beyond is None else [beyond]
    for index in walk.waiting:
        newest = walk.fresh and index == walk.waiting[-1]
        add(index, Way.AGAIN, AGAIN if newest else AGAIN_LATER)
    for index in nexts:
        add(index, Way.NEXT, (NEXT if walk.fresh else GONE_ON) / len(nexts))
    for index in nexts:
        add(following(index, walk.open, walk.waiting), Way.PASSED, PASSED / len(nexts))
    for index in range(len(walk.open)):
        add(index, Way.ELSEWHERE, ELSEWHERE / len(walk.open))
    return list(chances.items())


def weigh(walk: Standing, likelihood: Callable[[Stop], float]) -> list[Guess]:
    """Where the line belongs, likeliest first; `likelihood`: density of such a value there, per mm, 0 for never."""
    weights = [(stop, chance * likelihood(stop)) for stop, chance in stops(walk)]
    total = sum(weight for _, weight in weights)
    if total <= 0.0:
        return [Guess(Stop(next_stop(walk), Way.NEXT), 1.0)]
    return sorted((Guess(stop, weight / total) for stop, weight in weights), key=lambda guess: -guess.chance)


@frozen
class Place:
    """Where a line goes, and, unless that is nearly sure, what it might be instead (then it is asked about)."""

    stop: Stop
    instead: Stop | None = None


def decide(walk: Standing, guesses: Sequence[Guess]) -> Place:
    """The place of a line: a size that was passed over, or a line that fits two places, is never decided unasked."""
    best = guesses[0]
    if best.chance >= SURE and best.stop.way in (Way.NEXT, Way.AGAIN):
        return Place(best.stop)
    onward = Stop(next_stop(walk), Way.NEXT)
    first = next((guess.stop for guess in guesses[:2] if guess.stop.way is Way.NEXT), onward)
    other = next((guess.stop for guess in guesses if guess.stop.index != first.index), None)
    return Place(first, other)
