"""A size that was taken in the mould by clay, plug or feeler: how sure it is, and what it makes of what was known."""

from __future__ import annotations

from math import hypot, sqrt

from inspect_tui.errors import TableError
from inspect_tui.frozen import NamedTuple
from inspect_tui.metrology.sizes import tables
from inspect_tui.model.words import Estimate

APART = 2.0  # combined standard uncertainties from which two answers contradict each other: about 95 % either way
SAND_U = 0.2  # mm, of a sand core against what its box makes (swelling, rapping, wash): common practice, no source


class Way(NamedTuple):
    """How a size is taken in the mould: what it reaches and its standard uncertainty, mm. Common practice."""

    name: str
    over_mm: float
    up_to_mm: float
    u_mm: float

    def reaches(self, mm: float) -> bool:
        """Whether a size can be taken so."""
        return self.over_mm <= mm <= self.up_to_mm


class Both(NamedTuple):
    """Two answers taken together; `apart` is how many of their combined standard uncertainties lie between them."""

    value: Estimate
    apart: float


def ways() -> tuple[Way, ...]:
    """The ways of taking a size in the mould, from the shipped table."""
    return tuple(
        Way(row["way"], float(row["over_mm"]), float(row["up_to_mm"]), float(row["u_mm"]))
        for row in tables.rows("proving_ways")
    )


def way(name: str) -> Way:
    """One way by its name. TableError names those there are."""
    found = next((each for each in ways() if each.name == name), None)
    if found is None:
        raise TableError(f"'{name}' is no way to take a size in the mould: {', '.join(w.name for w in ways())}")
    return found


def taken_u(way_u_mm: float, gauge_u_mm: float = 0.0, sand: bool = False) -> float:
    """Standard uncertainty of a size taken in a mould, mm: the way, the gauge, and the sand core that was in it.

    Source: JCGM 100:2008, 5.1.2, the parts independent.
    """
    return hypot(way_u_mm, gauge_u_mm, SAND_U if sand else 0.0)


def together(known: Estimate, seen: Estimate) -> Both:
    """What was known and what was seen as one, mm: weighted by 1/u2; where they differ more than they may, less sure.

    Source: the weighted mean of independent results, its uncertainty widened by R. T. Birge's ratio (Phys. Rev. 40,
    1932, from memory) where that is above 1. With an uncertainty of 0 that one holds; with both the one that was seen.
    """
    between, u = abs(known.value - seen.value), hypot(known.u, seen.u)
    apart = between / u if u > 0.0 else 0.0 if between < 1e-9 else float("inf")
    if seen.u <= 0.0:
        return Both(seen, apart)
    if known.u <= 0.0:
        return Both(known, apart)
    a, b = 1.0 / known.u**2, 1.0 / seen.u**2
    mean = (known.value * a + seen.value * b) / (a + b)
    return Both(Estimate(mean, max(1.0, apart) / sqrt(a + b)), apart)


def scaled(seen: Estimate, a: float) -> Estimate:
    """A size in the mould at casting scale, mm; `a` = tool / casting - 1. Its own uncertainty alone."""
    return Estimate(seen.value / (1.0 + a), seen.u / (1.0 + a))
