"""Buoyancy: how hard liquid metal lifts each core, what holds it down, and how far it sags or bows.

Net lift = g (density of metal x volume with metal round it - density of core sand x volume of the whole core): metal
pushes only where it stands under the core, weight counts in full. Order of size, not a design calculation.

Source: Archimedes' principle, and the beam on two supports of any textbook; each figure says where it is from.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from math import pi

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen, frozen_by_name
from inspect_tui.metrology.sizes import tables
from inspect_tui.metrology.typed.show import MM, Style

G = 9.80665  # m/s2, standard gravity (CGPM 1901)
IRON_LIQUID = 7000.0  # kg/m3; 6800 to 7200 as poured, by the handbooks (recalled)
CORE_SAND = 1600.0  # kg/m3; 1500 to 1700
CAUTION = (
    "Lift and sag are estimates from volumes and densities: they show which core to look at. Vents, chaplets, weights "
    "and clamps are the foundry's decision under its own practice; chaplets stay in the casting and need the "
    "customer's consent."
)


@frozen
class Lift:
    """Forces on one core in newton, up is +. `gross` is the metal's push alone, `net` after the core's own weight."""

    gross: float
    weight: float

    @property
    def net(self) -> float:
        """Push of the metal less the weight of the core, N; below 0 the core lies by its own weight."""
        return self.gross - self.weight

    @property
    def kgf(self) -> float:
        """Net lift as the mass whose weight balances it, kg."""
        return self.net / G


@frozen
class Holder:
    """Something that keeps `core` from rising: a cope print, a chaplet, a clamp, or another core (`is_core`).

    `area_mm2` presses on sand that bears `bearing` = (lo, hi) N/mm2; without an area it is not checked. The lift is
    shared between holders in proportion to their areas; holders without areas share it equally.
    """

    core: str
    by: str
    area_mm2: float | None = None
    bearing: tuple[float, float] | None = None
    is_core: bool = False


@frozen_by_name
class CoreLift:
    """One core: its own net lift, what rises with it, the stress on each holder, and a sentence."""

    core: str
    lift: Lift
    carried: float  # N, from cores that press up on this one
    up: float  # N, own and carried, 0 when it lies by its weight
    stresses: tuple[tuple[str, float, str], ...]  # holder, N/mm2, bears/near/crushes/not known
    sentence: str


@frozen
class Sag:
    """Bow of a core between its prints in the middle (mm), and its bending stress there (N/mm2)."""

    load_n_per_mm: float
    bow_mm: float
    stress: float


def liquid_density(alloy: str | None) -> tuple[float, float] | None:
    """What liquid metal of an alloy weighs as it is poured, kg/m3 (lo, hi); None for one that the table has not.

    The longest name of the table whose words all stand in the alloy's, of equals the one that stands last: aluminium
    bronze is no aluminium, tin bronze no tin. Source: `sizes/tables/materials.csv`, a source to each row, mostly
    recalled.
    """
    asked = re.findall(r"[a-z0-9]+", (alloy or "").casefold().replace("aluminum", "aluminium"))
    rows = [row for row in tables.rows("materials") if row["property"] == "liquid_density"]
    named = {row["material"] for row in rows if set(row["material"].split()) <= set(asked)}
    if not named:
        return None
    metal = max(sorted(named), key=lambda name: (len(name.split()), max(map(asked.index, name.split()))))
    its = [row for row in rows if row["material"] == metal]
    return min(float(row["lo"]) for row in its), max(float(row["hi"]) for row in its)


def lift(
    total_dm3: float, in_metal_dm3: float, rho_metal: float = IRON_LIQUID, rho_core: float = CORE_SAND, g: float = G
) -> Lift:
    """Lift of a core of `total_dm3` of which `in_metal_dm3` displaces metal (dm3, kg/m3).

    Raises DataError for volumes below 0 or more in metal than there is. Source: Archimedes; net and gross form in the
    table of practice (one source leaves the core's weight out, which is on the cautious side).
    """
    if not (0 <= in_metal_dm3 <= total_dm3):
        raise DataError(
            f"{MM.figures(in_metal_dm3)} dm3 in metal of a core of {MM.figures(total_dm3)} dm3: "
            "a part is at most the whole"
        )
    if rho_metal <= 0 or rho_core <= 0:
        raise DataError("densities are above 0, in kg/m3 (liquid iron 7000, core sand 1600)")
    return Lift(g * rho_metal * in_metal_dm3 / 1000.0, g * rho_core * total_dm3 / 1000.0)


def cope_lift(area_mm2: float, head_mm: float, rho_metal: float = IRON_LIQUID, g: float = G) -> float:
    """Push of the metal on the cope, N: projected area times head above that face times weight of the metal."""
    return area_mm2 * 1e-6 * head_mm * 1e-3 * rho_metal * g


def load_on_cope(
    cope_area_mm2: float,
    head_mm: float,
    core_lifts_n: Iterable[float],
    cope_mass_kg: float,
    rho_metal: float = IRON_LIQUID,
    g: float = G,
) -> float:
    """What weights or clamps must still hold down, N: push on the cope and lift of the cores less the cope's weight."""
    return cope_lift(cope_area_mm2, head_mm, rho_metal, g) + sum(max(n, 0.0) for n in core_lifts_n) - cope_mass_kg * g


def bearing(sand: str) -> tuple[float, float]:
    """What this mould sand ("green sand", "chemically bonded") bears, N/mm2 (lo, hi): recalled, low confidence.

    DataError for a sand that the table has not.
    """
    rows = [row for row in tables.rows("core_prints") if row["topic"] == "bearing"]
    kinds = {row["item"].removesuffix(" bearing pressure"): row for row in rows}
    for item, row in kinds.items():
        if item.startswith(sand) and sand:
            return float(row["lo"]) / 1000.0, float(row["hi"]) / 1000.0
    raise DataError(f"no bearing strength for '{sand}': the table has {', '.join(kinds)}")


def what_holds(
    lifts: Mapping[str, Lift], holders: Sequence[Holder], order: Sequence[str], style: Style = MM
) -> list[CoreLift]:
    """Who keeps each core down, in the order in which the push goes: a core held by another one pushes on it.

    `order` is any order of the cores (the setting order will do). Raises DataError when cores hold each other down in
    a ring. A core that lifts and has no holder is named.
    """
    carried: dict[str, float] = dict.fromkeys(order, 0.0)
    done: set[str] = set()
    out: list[CoreLift] = []
    presses = {core: [h for h in holders if h.core == core] for core in order}
    while len(done) < len(order):
        # a core is ready when every core that presses up on it has been counted
        ready = [
            c
            for c in order
            if c not in done
            and not any(h.by == c and h.is_core and h.core not in done for h in holders if h.core in carried)
        ]
        if not ready:
            ring = " -> ".join(c for c in order if c not in done)
            raise DataError(f"cores hold each other down in a ring: {ring}; say what holds one of them")
        for core in ready:
            done.add(core)
            own = lifts.get(core, Lift(0.0, 0.0))
            up = max(own.net + carried[core], 0.0)
            stresses, shares = [], _shares(presses[core])
            for h, share in zip(presses[core], shares, strict=True):
                if h.is_core and h.by in carried:
                    carried[h.by] += up * share
                stresses.append((h.by, up * share / h.area_mm2 if h.area_mm2 else float("nan"), _bears(h, up * share)))
            text = _held_sentence(core, own, carried[core], up, stresses, style)
            out.append(
                CoreLift(core=core, lift=own, carried=carried[core], up=up, stresses=tuple(stresses), sentence=text)
            )
    return out


def _shares(holders: Sequence[Holder]) -> list[float]:
    areas = [h.area_mm2 for h in holders]
    if holders and all(areas):
        total = sum(a or 0.0 for a in areas)
        return [(a or 0.0) / total for a in areas]
    return [1.0 / len(holders) for _ in holders]


def _bears(holder: Holder, force_n: float) -> str:
    if not holder.area_mm2 or holder.bearing is None:
        return "not known"
    stress = force_n / holder.area_mm2
    lo, hi = holder.bearing
    return "bears" if stress <= lo else "near its limit" if stress <= hi else "crushes"


def _held_sentence(
    core: str, own: Lift, carried: float, up: float, stresses: Sequence[tuple[str, float, str]], style: Style
) -> str:
    if up <= 0:
        return f"core {core} lies by its own weight ({style.weight(own.weight / G, 1)})"
    head = f"core {core} lifts {style.figure(up / G, 1)} kgf"
    if carried > 0:
        head += f", {style.figure(carried / G, 1)} of it from cores below"
    if not stresses:
        return f"{head}: nothing holds it down"
    parts = [
        by if stress != stress else f"{by} at {style.figure(stress, 3)} N/mm2 ({word})" for by, stress, word in stresses
    ]
    return f"{head}: held by " + ", ".join(parts)


def chaplet_area(unsupported_n: float) -> float:
    """Chaplet area (mm2) for a lift that no print carries: 29 mm2 per newton (factor printed, unit recalled).

    Newtons in.
    """
    return 29.0 * max(unsupported_n, 0.0)


def sag(
    span_mm: float,
    modulus: float,
    rho_metal: float = IRON_LIQUID,
    rho_core: float = CORE_SAND,
    diameter_mm: float | None = None,
    width_mm: float | None = None,
    height_mm: float | None = None,
    g: float = G,
) -> Sag:
    """Bow of a round (`diameter_mm`) or rectangular core on two prints, drowned in metal, ends free to turn.

    w = (rho_metal - rho_core) g A; bow 5 w L^4 / (384 E I); stress w L^2 / 8 / section modulus. E in N/mm2. Positive
    is upward. Beam theory; a heated core is several times softer than a cold one, so this is an order of size. mm,
    N/mm2, kg/m3. DataError for a span or a modulus not above 0, or without a section.
    """
    if span_mm <= 0 or modulus <= 0:
        raise DataError("a sag needs a span and a modulus above 0")
    if diameter_mm is not None and diameter_mm > 0:
        area, inertia, depth = pi / 4 * diameter_mm**2, pi / 64 * diameter_mm**4, diameter_mm
    elif width_mm and height_mm and width_mm > 0 and height_mm > 0:
        area, inertia, depth = width_mm * height_mm, width_mm * height_mm**3 / 12, height_mm
    else:
        raise DataError("a sag needs the core's diameter, or its width and height")
    w = (rho_metal - rho_core) * g * area * 1e-9
    return Sag(w, 5 * w * span_mm**4 / (384 * modulus * inertia), w * span_mm**2 / 8 / (inertia / (depth / 2)))
