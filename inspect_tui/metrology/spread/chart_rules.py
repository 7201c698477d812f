"""Tests for assignable causes on a control chart: what pattern each looks for and how often it cries without cause.

The patterns are those of ISO 7870-2 (points beyond the limits, runs on one side, runs up or down) and the further ones
that ISO 8258, its forerunner, lists; wording from memory of the standards. Zones are counted from the centre line:
C within one, B from one to two, A from two to three standard deviations of what is plotted. False-alarm rates are
exact for points that are normal and independent about known limits; limits estimated from few points raise them.
"""

from __future__ import annotations

from collections.abc import Iterable
from math import comb, erfc, factorial, sqrt
from typing import TYPE_CHECKING

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen_by_name
from inspect_tui.metrology.typed.show import MM

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray


@frozen_by_name
class Rule:
    """One test: `kind` beyond (k of m points further than z on one side), trend, alternating, inside or outside.

    `words` is what it looks for, `found` what a signal says.
    """

    name: str
    kind: str
    k: int
    m: int
    z: float
    words: str
    found: str

    @property
    def false_alarm(self) -> float:
        """Share of points at which this test gives a signal although nothing has changed.

        A probability, for independent normal points.
        """
        tail = 0.5 * erfc(self.z / sqrt(2.0))
        if self.kind == "beyond":
            before, least = self.m - 1, self.k - 1
            others = sum(comb(before, i) * tail**i * (1 - tail) ** (before - i) for i in range(least, self.m))
            return 2.0 * tail * others
        if self.kind == "trend":
            return 2.0 / factorial(self.m)
        if self.kind == "alternating":
            return 2.0 * _zigzags(self.m) / factorial(self.m)
        if self.kind == "inside":
            return (1.0 - 2.0 * tail) ** self.m
        return (2.0 * tail) ** self.m - 2.0 * tail**self.m

    def hits(self, z: NDArray[np.float64]) -> NDArray[np.bool_]:
        """At which points the pattern is complete; z = distance from the centre in standard deviations.

        Works along the last axis, so that many charts can be tried at once.
        """
        import numpy as np

        if self.kind == "beyond":
            high, low = z > self.z, z < -self.z
            if self.m == 1:
                return high | low
            return (high & (_last(high, self.m) >= self.k)) | (low & (_last(low, self.m) >= self.k))
        if self.kind in ("trend", "alternating"):
            step = np.sign(np.diff(z, axis=-1, prepend=z[..., :1]))
            if self.kind == "trend":
                return _all(step > 0, self.m - 1) | _all(step < 0, self.m - 1)
            turn = step[..., 1:] * step[..., :-1] < 0
            turn = np.concatenate([np.zeros_like(turn[..., :1]), turn], axis=-1) if z.shape[-1] else turn
            return _all(turn, self.m - 2)
        if self.kind == "inside":
            return _all(np.abs(z) < self.z, self.m)
        return _all(np.abs(z) > self.z, self.m) & ~_all(z > 0, self.m) & ~_all(z < 0, self.m)


def beyond(name: str, k: int, m: int, z: float, words: str, found: str) -> Rule:
    """A test of k out of m points in a row further than z standard deviations out on the same side.

    `z` in standard deviations. DataError unless 1 <= k <= m and z is not below 0.
    """
    if not 1 <= k <= m or z < 0:
        raise DataError(f"a test of {k} out of {m} points beyond {MM.figures(z)} cannot be")
    return Rule(name=name, kind="beyond", k=k, m=m, z=z, words=words, found=found)


def _one_side(many: int, word: str, last: str) -> Rule:
    """So many points in a row on one side of the centre line."""
    words = "in a row on one side of the centre line"
    return beyond(f"{word}_one_side", many, many, 0.0, f"{word} points {words}", f"{last} point or more {words}")


def _trend(many: int, word: str, last: str) -> Rule:
    """So many points in a row in one direction."""
    return Rule(
        name=f"{word}_trend",
        kind="trend",
        k=many,
        m=many,
        z=0.0,
        words=f"{word} points in a row going up, or going down",
        found=f"{last} point or more in a row in one direction",
    )


RULES = {
    rule.name: rule
    for rule in (
        beyond("beyond_limits", 1, 1, 3.0, "one point beyond a control limit", "beyond the control limit"),
        _one_side(7, "seven", "seventh"),
        _trend(7, "seven", "seventh"),
        _one_side(8, "eight", "eighth"),
        _one_side(9, "nine", "ninth"),
        _trend(6, "six", "sixth"),
        Rule(
            name="fourteen_alternating",
            kind="alternating",
            k=14,
            m=14,
            z=0.0,
            words="fourteen points in a row going up and down in turn",
            found="fourteenth point or more going up and down in turn",
        ),
        beyond(
            "two_of_three_in_a",
            2,
            3,
            2.0,
            "two of three points in a row in zone A or beyond, on one side",
            "two of three points in zone A or beyond, on one side",
        ),
        beyond(
            "four_of_five_in_b",
            4,
            5,
            1.0,
            "four of five points in a row in zone B or beyond, on one side",
            "four of five points in zone B or beyond, on one side",
        ),
        Rule(
            name="fifteen_in_c",
            kind="inside",
            k=15,
            m=15,
            z=1.0,
            words="fifteen points in a row in zone C, above and below the centre",
            found="fifteenth point or more in a row in zone C: less spread than the limits were drawn for",
        ),
        Rule(
            name="eight_outside_c",
            kind="outside",
            k=8,
            m=8,
            z=1.0,
            words="eight points in a row on both sides, none of them in zone C",
            found="eighth point or more in a row on both sides with none in zone C: two things mixed?",
        ),
    )
}

DEFAULT = ("beyond_limits", "seven_one_side", "seven_trend")


def rules(names: Iterable[str]) -> tuple[Rule, ...]:
    """The tests by name; an unknown name is refused with DataError and the names there are."""
    chosen = tuple(names)
    for name in chosen:
        if name not in RULES:
            raise DataError(f"no test is called {name!r}; there are: {', '.join(RULES)}")
    return tuple(RULES[name] for name in chosen)


def false_alarms(chosen: Iterable[Rule]) -> float:
    """Upper bound of the share of points with a false alarm from any of the tests: the sum of their rates."""
    return min(1.0, sum(rule.false_alarm for rule in chosen))


def _last(flags: NDArray[np.bool_], m: int) -> NDArray[np.int32]:
    """How many of the last m flags (this one included) are set, along the last axis; the start counts as unset."""
    import numpy as np

    count = np.cumsum(flags, axis=-1, dtype=np.int32)
    if count.shape[-1] > m:
        count = np.concatenate([count[..., :m], count[..., m:] - count[..., :-m]], axis=-1)
    return count


def _all(flags: NDArray[np.bool_], m: int) -> NDArray[np.bool_]:
    """Whether the last m flags (this one included) are all set."""
    every: NDArray[np.bool_] = _last(flags, m) == m
    return every


def _zigzags(n: int) -> int:
    """Number of orders of n things that go up and down in turn, starting up (Andre 1879)."""
    row = [1]
    for _ in range(n):
        nxt = [0]
        for value in reversed(row):
            nxt.append(nxt[-1] + value)
        row = nxt
    return row[-1]
