"""How often castings clean up against how often that was said: random castings with errors that are not the model's.

    python tests/benchmarks/stock_chance.py [castings]

Each casting has a width machined on both ends, sizes from the datum to some of its faces, a height and a loop; the
readings' errors are half normal, half rectangular, rounded to the display, one in fifty three times as large. What it
prints is published in `metrology/faces/stock.py`.
"""

from __future__ import annotations

import sys

import numpy as np

from inspect_tui.metrology.faces.face import Face, Size
from inspect_tui.metrology.faces.stock import SetUpLimits, StockPoint, best_set_up
from inspect_tui.metrology.faces.stock_places import placed
from inspect_tui.model.words import Estimate

STILL = ((0.0, 0.0),) * 3
DATUM = {axis: Face(maker="drag", axis=axis, place_mm=0.0, facing=-1) for axis in "xz"}
LOW = Face(maker="drag", axis="x", place_mm=-3.0, facing=-1, stock_mm=3.0)
HIGH = Face(maker="drag", axis="x", place_mm=203.0, facing=1, stock_mm=3.0)
TOP = Face(maker="cope", axis="z", place_mm=63.0, facing=1, stock_mm=3.0)
RIB = Face(maker="drag", axis="z", place_mm=40.0, facing=1)
SIZES = (
    Size(name="width", a=LOW, b=HIGH, mm=206.0),
    Size(name="to high", a=DATUM["x"], b=HIGH, mm=203.0),
    Size(name="top", a=DATUM["z"], b=TOP, mm=63.0),
    Size(name="rib", a=DATUM["z"], b=RIB, mm=40.0),
    Size(name="over", a=RIB, b=TOP, mm=23.0),
)


def error(rng: np.random.Generator, u: float) -> float:
    """A reading's error of standard deviation about u, from no normal distribution."""
    wide = 3.0 if rng.random() < 0.02 else 1.0
    if rng.random() < 0.5:
        return wide * float(rng.normal(0.0, u))
    return wide * float(rng.uniform(-1.0, 1.0)) * u * 3.0**0.5


def casting(rng: np.random.Generator) -> tuple[float, bool]:
    """What was said of a casting (chance) and whether it cleaned up as it was set up."""
    off = {face.name: float(rng.normal(0.0, 0.6)) for face in (LOW, HIGH, TOP, RIB)}
    lean = float(rng.uniform(1.5, 3.0))  # so that chances of all sizes come up
    read, tied = {}, rng.random() < 0.5
    for size in SIZES:
        if size.name == "to high" and not tied:
            continue
        u = float(rng.uniform(0.03, 0.15))
        true = size.mm + off.get(size.b.name, 0.0) - (off.get(size.a.name, 0.0) if size.a else 0.0)
        read[size.name] = Estimate(round((true + error(rng, u)) * 50) / 50, float(np.hypot(u, 0.02 / 12**0.5)))
    where = placed(SIZES, read, tuple(DATUM.values()))
    points, faces, rows = [], [], []
    for face in (LOW, HIGH, TOP):
        k = where.number(face)
        assert k is not None
        axis = "xyz".index(face.axis)
        normal = [0.0, 0.0, 0.0]
        normal[axis] = float(face.facing)
        points.append(
            StockPoint(
                name=face.name,
                at=(0.0, 0.0, 0.0),
                normal=(normal[0], normal[1], normal[2]),
                stock_mm=3.0 + face.facing * where.off_mm[k],
                required_mm=lean,
            )
        )
        faces.append(face)
        rows.append(k)
    sign = np.array([float(face.facing) for face in faces])
    cov = np.outer(sign, sign) * np.array(where.cov)[np.ix_(rows, rows)]
    answer = best_set_up(
        points, SetUpLimits((None, (0.0, 0.0), (0.0, 0.0)), STILL, shared=(not tied, False, False)), cov
    )
    spare = np.array([3.0 + face.facing * off[face.name] - lean for face in faces])
    if tied:  # moved by the figure that was told
        spare[:2] += sign[:2] * answer.shift_mm[0]
        fits = bool((spare >= 0.0).all())
    else:
        fits = bool(spare[0] + spare[1] >= 0.0 and spare[2] >= 0.0)
    return answer.p_cleans_up, fits


def main(castings: int = 4000) -> None:
    """Print the table."""
    rng = np.random.default_rng(1)
    said, got = np.array([casting(rng) for _ in range(castings)]).T
    print(f"{castings} castings: said on average {said.mean():.3f}, cleaned up {got.mean():.3f}")
    for low, high in ((0.0, 0.05), (0.05, 0.35), (0.35, 0.65), (0.65, 0.95), (0.95, 1.0001)):
        mine = (said >= low) & (said < high)
        print(
            f"  said {low:.2f} to {min(high, 1.0):.2f}: {mine.sum():5d}, {said[mine].mean():.3f}, got {got[mine].mean():.3f}"
        )


if __name__ == "__main__":
    main(*(int(word) for word in sys.argv[1:2]))
