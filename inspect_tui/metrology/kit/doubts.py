"""Why sizes are not known exactly, source by source, so that what moves several of them moves them together."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from math import fsum, sqrt

from inspect_tui.frozen import NamedTuple, frozen
from inspect_tui.model.words import Estimate


class Doubt(NamedTuple):
    """One error that a size may carry: its standard uncertainty there, with the sign of its sensitivity.

    Doubts with the same `key` are the same error wherever they stand (one contraction, one certificate, one face of a
    core): they add with their signs. `kind` is what people call it; `measured` says that it comes from readings and
    their gauge, otherwise it is assumed. In the unit of the size.
    """

    key: str
    kind: str
    u: float
    measured: bool = False


class DoubtShare(NamedTuple):
    """What all errors of a kind come to in a result: standard uncertainty, in the unit of the result."""

    kind: str
    u: float
    measured: bool


@frozen
class Doubted:
    """A size with the errors that it may carry."""

    value: float
    doubts: tuple[Doubt, ...] = ()

    @property
    def u(self) -> float:
        """Combined standard uncertainty, in the unit of the value; errors of one key add before they are squared."""
        return sqrt(fsum(u * u for u in _by_key(self.doubts).values()))


def doubted(name: str, size: Estimate | Doubted) -> Doubted:
    """The size as it is, or one that is known from readings of its own alone, independent of all others."""
    if isinstance(size, Doubted):
        return size
    return Doubted(size.value, (Doubt(f"reading of {name}", "readings", size.u, True),))


def _by_key(doubts: Iterable[Doubt]) -> dict[str, float]:
    together: dict[str, float] = {}
    for doubt in doubts:
        together[doubt.key] = together.get(doubt.key, 0.0) + doubt.u
    return together


def covariance(first: Doubted, second: Doubted) -> float:
    """Covariance of two sizes, mm2: the products of what they share. Source: JCGM 100:2008, F.1.2.3."""
    ours, theirs = _by_key(first.doubts), _by_key(second.doubts)
    return fsum(u * theirs.get(key, 0.0) for key, u in ours.items())


def carried(sizes: Mapping[str, Doubted], slope: Mapping[str, float]) -> tuple[Doubt, ...]:
    """The errors of a result, one a key; `slope` is its change for 1 mm (1 degree) more of each size.

    Source: JCGM 100:2008, 5.2.2, with the covariances written as shared errors (F.1.2.3); to first order.
    """
    moves: dict[str, float] = {}
    of: dict[str, Doubt] = {}
    for name, by in slope.items():
        for doubt in sizes[name].doubts:
            moves[doubt.key] = moves.get(doubt.key, 0.0) + by * doubt.u
            of.setdefault(doubt.key, doubt)
    return tuple(Doubt(key, of[key].kind, u, of[key].measured) for key, u in moves.items())


def shares(doubts: Iterable[Doubt], times: float = 1.0) -> tuple[DoubtShare, ...]:
    """What each kind comes to, measured apart from assumed, the largest first; kinds that come to nothing are out."""
    squares: dict[tuple[str, bool], float] = {}
    for doubt in doubts:
        kind = doubt.kind, doubt.measured
        squares[kind] = squares.get(kind, 0.0) + (times * doubt.u) ** 2
    of_kinds = [
        DoubtShare(kind, sqrt(square), measured) for (kind, measured), square in squares.items() if square > 0.0
    ]
    return tuple(sorted(of_kinds, key=lambda share: (-share.u, share.kind)))


def together(given: Iterable[DoubtShare], measured: bool) -> float:
    """The measured, or the assumed, part of a standard uncertainty, in its unit."""
    return sqrt(fsum(share.u**2 for share in given if share.measured is measured))
