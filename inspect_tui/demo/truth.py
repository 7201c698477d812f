"""What the invented castings, cores and tools truly measure: one physical model that every log sheet is read from.

A feature runs from face A to face B along one axis. A face stands at
    tool place / (1 + true contraction) * (1 + scale noise of the casting) + shift of its part + seating + local noise
with tool place = as-cast place * (1 + planned contraction) + tool error; a reading adds warmth, the bias of the
instrument and the scatter of the person. Each random number has a name and is drawn from (seed, name), so that
switching one planted fault off moves nothing else.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache
from random import Random

from inspect_tui.demo import scenario as job
from inspect_tui.demo import workshop as shop
from inspect_tui.demo.scenario import Face, Fact
from inspect_tui.frozen import frozen

SEED = 4
PLANTS = frozenset(f"P{n:02d}" for n in range(1, 28))  # P02 and P22 are facts, not faults: switching them does nothing

SEATING, SCALE, SURFACE, TOOL, FORM, ANGLE = 0.08, 0.0003, 0.06, 0.03, 0.10, 0.15
FIT_NOISE = 0.01  # prints and keys are worked closer than outlines
CORE_NOISE = 0.06  # from core to core
WEAR = {"F29": 0.030e-3, "F47": 0.030e-3, "F10": 0.020e-3}  # growth of the box for each core blown
LINED_RESIDUAL = 0.02
# Faces that the log says are exactly on target: the throat width of core 4 and all of core 7.
EXACT = {("c4", "y"), ("c7", "x"), ("c7", "y"), ("c7", "z")}
TILT = {"F43": -0.24, "F51": -0.24, "F52": -0.03, "F53": -0.45, "F54": -0.56, "F58": -0.40}  # P11


@frozen
class Casting:
    """One casting: its round ("S1", "S2", "S3" or "P" for production) and its number in the round, or its lot."""

    round: str
    number: int


class World:
    """The true sizes of everything, for one seed, a set of planted faults, and noise as a factor (0 for none)."""

    def __init__(self, seed: int = SEED, plants: Iterable[str] = PLANTS, noise: float = 1.0) -> None:
        self.seed, self.plants, self.noise = seed, frozenset(plants), noise
        self.draw = cache(self._draw)

    def _draw(self, *name: object) -> float:
        """A standard normal number for a name; the same name gives the same number."""
        return self.noise * Random("|".join(map(str, (self.seed, *name)))).gauss(0.0, 1.0)

    # -------------------------------------------------------------------------- contraction, shifts
    def plan(self, axis: str, round_: str) -> float:
        """Contraction that the tools were laid out with."""
        relaid = round_ != "S1" and "P01" in self.plants
        return (job.PLAN_RELAID if relaid else job.PLAN_FIRST)[axis]

    def contraction(self, axis: str, casting: Casting) -> float:
        """Contraction that the casting really has."""
        if axis != "x":
            return 0.010
        step = 0.001 if "P24" in self.plants and casting.round == "P" and casting.number >= 310 else 0.0
        return (0.008 if "P01" in self.plants else 0.010) + step

    def shift(self, part: str, axis: str, casting: Casting) -> float:
        """Displacement of a part in the mould against the drag, mm on the casting."""
        on, where = self.plants, casting.round
        if (part, axis) == ("c4", "y"):
            if where == "P":
                return 0.05 + 0.35 * self._seat_wear(casting.number)
            return (0.70 if where == "S1" else 0.05) if "P03" in on else 0.0
        if (part, axis) == ("c5", "z") and "P04" in on:
            return 0.60 if where in ("S1", "S2") else 0.0
        if (part, axis) == ("U", "z") and "P05" in on:
            return 0.40 if where == "S1" else 0.15
        if (part, axis) == ("U", "x") and "P07" in on and casting == Casting("S2", 3):
            return 0.95
        return 0.0

    def _seat_wear(self, lot: int) -> float:
        """How far the seat of core 4 is worn in production: 0 as re-lined, 1 at its worst."""
        return (lot - 250) / 50.0 if "P23" in self.plants and 251 <= lot <= 300 else 0.0

    def seat(self, part: str, axis: str, casting: Casting) -> float:
        """Where a part came to sit in this one mould."""
        if part == "D":
            return 0.0
        sd = SEATING
        if (part, axis, casting.round) == ("c4", "y", "P"):
            sd += 0.12 * self._seat_wear(casting.number)
        return sd * self.draw("seat", casting, part, axis)

    # -------------------------------------------------------------------------- tools
    def tool_error(self, part: str, axis: str, coord: float) -> float:
        """What a face is off on the tool as made and logged; a size between two faces carries N(0, 0.03)."""
        if (part, axis) in EXACT:
            return 0.0
        return TOOL * float(0.5**0.5) * self.draw("tool", part, axis, coord)

    def growth(self, balloon: str, lot: int) -> float:
        """Growth of core 3 from wear of box 3 after a lot, mm at tooling scale; lined once."""
        if "P21" not in self.plants:
            return 0.0
        since, first = (lot, 0.0) if lot <= shop.LINED_AFTER_LOT else (lot - shop.LINED_AFTER_LOT, LINED_RESIDUAL)
        return first + WEAR[balloon] * shop.CASTINGS_A_LOT * since

    def core_size(self, balloon: str, lot: int) -> float:
        """True tooling size of core 3 as the box gives it in a lot, without the scatter from core to core."""
        return shop.SAMPLE_CORE[balloon] + self.growth(balloon, lot)

    def _off(self, part: str, axis: str, coord: float, casting: Casting) -> float:
        """Error of a face on the tool that this casting was made with."""
        if (part, axis) == ("c4", "z") and "P06" in self.plants:
            half = {55.0: -1.0, 125.0: 1.0}.get(coord, 0.0)
            return self.tool_error(part, axis, coord) + half * (-1.30 if casting.round == "S1" else 0.05)
        if part == "c3" and casting.round == "P":
            for balloon in shop.SAMPLE_CORE:
                fact = job.FACT[balloon]
                if fact.axis == axis and coord in (fact.a.coord, fact.b.coord):
                    wide = self.core_size(balloon, casting.number) - fact.size * (1 + self.plan(axis, "P"))
                    return wide / 2 if coord == fact.b.coord else -wide / 2
        return self.tool_error(part, axis, coord)

    # -------------------------------------------------------------------------- castings
    def place(self, face: Face, axis: str, casting: Casting) -> float:
        """Where a face of the casting stands along the axis."""
        assert face.coord is not None
        tool = face.coord * (1 + self.plan(axis, casting.round)) + self._off(face.part, axis, face.coord, casting)
        scale = 1 + SCALE * self.draw("scale", casting)
        cast = tool / (1 + self.contraction(axis, casting)) * scale
        where = cast + self.shift(face.part, axis, casting) + self.seat(face.part, axis, casting)
        return where + SURFACE * self.draw("surface", casting, face.part, axis, face.coord)

    def size(self, fact: Fact, casting: Casting) -> float:
        """The true as-cast size of a feature on a casting."""
        if fact.a.coord is None or fact.b.coord is None:
            return fact.size + (ANGLE if fact.quantity == "angle" else FORM) * self.draw("form", casting, fact.balloon)
        span = self.place(fact.b, fact.axis, casting) - self.place(fact.a, fact.axis, casting)
        if "P08" in self.plants and casting == Casting("S2", 2) and fact.axis == "y" and self.noise:
            # The outboard passage wall of core 3 was truly where it makes F29 82.07; its neighbours share that face.
            wall = Face("c3", 129.0)
            moved = 82.07 - (self.place(wall, "y", casting) - self.place(Face("c3", 47.0), "y", casting))
            span += moved * ((fact.b == wall) - (fact.a == wall))
        return span

    # -------------------------------------------------------------------------- readings
    def reading(
        self,
        true: float,
        fact: Fact,
        instrument: str,
        person: str,
        name: object,
        *,
        biased: bool = False,
        work_c: float = 20.0,
        decimals: int | None = None,
    ) -> float:
        """What a person reads: warmth, bias and scatter added, rounded to what is written down."""
        sd = shop.INSTRUMENT[instrument].u95 / 2
        if person == "B2" and instrument.startswith("CAL") and "P16" in self.plants:
            sd *= 3
        if fact.quantity != "angle":
            true *= 1 + job.IRON_EXPANSION * (work_c - 20.0)
        if instrument == "CAL2" and biased and "P15" in self.plants:
            true += 0.05
        return round(true + sd * self.draw("reading", name), fact.decimals if decimals is None else decimals)


def expected(balloon: str, casting: Casting, plants: Iterable[str] = PLANTS) -> float:
    """The size of a feature on a casting when nothing scatters."""
    world = World(plants=plants, noise=0.0)
    tilt = TILT.get(balloon, 0.0) if "P11" in world.plants and casting == Casting("S3", 4) else 0.0
    return world.size(job.FACT[balloon], casting) + tilt
