"""How straight, flat or round a surface is: the narrowest zone that holds all its readings (minimum zone).

Zones as ISO 1101 and ISO 12780-1 (straightness), 12781-1 (flatness), 12181-1 (roundness) define them. The narrowest
one is exact for straightness and flatness: it rests on an edge or a face of the convex hull, or on two edges of it.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import cos, hypot, radians, sin, sqrt
from typing import TYPE_CHECKING

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen, frozen_by_name

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

ROUNDS = 60  # of the linear programme for a circle; a few do
MOST_HULL = 400  # corners of a hull whose pairs of edges are all looked at


@frozen_by_name
class LineForm:
    """Straightness of points along a line, mm: `zone` is perpendicular to it, `upright` along the last coordinate.

    `least_squares` is the zone about the least-squares line, along the last coordinate. `slope` (mm/mm) and `base` (the
    height at 0) are of the middle of the upright zone; `on` are the places of the points that the zone rests on.
    """

    n: int
    zone: float
    upright: float
    least_squares: float
    slope: float
    base: float
    on: tuple[int, ...]


@frozen_by_name
class PlaneForm:
    """Flatness, mm: as `LineForm`, with the tilt of the zone as slopes along x and y (mm/mm)."""

    n: int
    zone: float
    upright: float
    least_squares: float
    least_squares_across: float
    tilt: tuple[float, float]
    on: tuple[int, ...]


@frozen_by_name
class CircleForm:
    """Roundness from points of one section, mm: width of the narrowest ring (minimum zone) and its centre.

    `inner` and `outer` are its radii. `least_squares` is the ring about the least-squares centre, `circumscribed` the
    radius of the smallest circle around all points, `inscribed` of the largest one that holds none.
    """

    n: int
    zone: float
    centre: tuple[float, float]
    inner: float
    outer: float
    least_squares: float
    circumscribed: float
    inscribed: float


@frozen
class DiameterForm:
    """Diameters of one section in several directions, mm: mean, largest, smallest, where these lie (degrees).

    `at_least` is half of largest less smallest: the roundness deviation is no less. Odd lobes stay unseen, for a shape
    with three or five of them may have one diameter everywhere.
    """

    mean: float
    largest: tuple[float, float]
    smallest: tuple[float, float]
    at_least: float


# ------------------------------------------------------------------------------ straightness
def straightness(points: Sequence[tuple[float, float]]) -> LineForm:
    """Narrowest strip that holds all points (along, height), mm: the exact minimum over the edges of their hull.

    DataError for fewer than three points or where all stand at one place.
    """
    if len(points) < 3:
        raise DataError(f"{_counted(points)}: straightness needs three or more; two always lie on a line")
    x0, y0 = points[0]
    moved = [(x - x0, y - y0) for x, y in points]
    if max(x for x, _ in moved) == min(x for x, _ in moved):
        raise DataError("all readings stand at one place along the line: say where each was taken")
    best: tuple[float, float, float, tuple[float, float]] | None = None
    upright: tuple[float, float, float] | None = None
    hull = _hull(moved)
    for (ax, ay), (bx, by) in zip(hull, hull[1:] + hull[:1], strict=True):
        dx, dy = bx - ax, by - ay
        long = hypot(dx, dy)
        if long == 0.0:
            continue
        across = [(dx * (y - ay) - dy * (x - ax)) / long for x, y in hull]
        width = max(across) - min(across)
        if best is None or width < best[0]:
            best = (width, dx / long, dy / long, (ax, ay))
        if dx != 0.0:
            slope = dy / dx
            heights = [y - slope * x for x, y in hull]
            tall = max(heights) - min(heights)
            if upright is None or tall < upright[0]:
                upright = (tall, slope, (max(heights) + min(heights)) / 2.0)
    assert best is not None
    assert upright is not None
    width, ux, uy, (ax, ay) = best
    off = [ux * (y - ay) - uy * (x - ax) for x, y in moved]
    low, high, slack = min(off), max(off), 1e-9 * (width + 1e-12)
    on = tuple(i for i, d in enumerate(off) if d - low <= slack or high - d <= slack)
    slope, base = upright[1], upright[2]
    b, a = _line(moved)
    rest = [y - a - b * x for x, y in moved]
    return LineForm(
        n=len(points),
        zone=width,
        upright=upright[0],
        least_squares=max(rest) - min(rest),
        slope=slope,
        base=base + y0 - slope * x0,
        on=on,
    )


def _counted(points: Sequence[object]) -> str:
    return f"{len(points)} reading" + ("" if len(points) == 1 else "s")


def _line(points: Sequence[tuple[float, float]]) -> tuple[float, float]:
    """Slope and height at 0 of the least-squares line."""
    n = len(points)
    mx, my = sum(x for x, _ in points) / n, sum(y for _, y in points) / n
    sxx = sum((x - mx) ** 2 for x, _ in points)
    b = sum((x - mx) * (y - my) for x, y in points) / sxx
    return b, my - b * mx


def _hull(points: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    """Corners of the convex hull in order (Andrew 1979, monotone chain)."""
    ordered = sorted(set(points))

    def half(run: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
        chain: list[tuple[float, float]] = []
        for p in run:
            while len(chain) > 1 and _turn(chain[-2], chain[-1], p) <= 0.0:
                chain.pop()
            chain.append(p)
        return chain

    return half(ordered)[:-1] + half(ordered[::-1])[:-1]


def _turn(a: tuple[float, float], b: tuple[float, float], c: tuple[float, float]) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


# ------------------------------------------------------------------------------ flatness
def flatness(points: Sequence[tuple[float, float, float]]) -> PlaneForm:
    """Narrowest slab that holds all points (x, y, height), mm: the exact minimum over faces and pairs of edges.

    DataError for fewer than four points, or where all stand on one line.
    """
    import numpy as np

    if len(points) < 4:
        raise DataError(f"{_counted(points)}: flatness needs four or more; three always lie in a plane")
    p = np.asarray(points, dtype=np.float64)
    p = p - p[0]
    plan = np.column_stack([np.ones(len(p)), p[:, :2]])
    if np.linalg.matrix_rank(plan, tol=1e-9 * float(np.abs(plan).max())) < 3:
        raise DataError("all readings stand on one line: this is straightness, flatness needs a surface")
    fit = np.linalg.lstsq(plan, p[:, 2], rcond=None)[0]
    rest = p[:, 2] - plan @ fit
    wide = float(np.ptp(rest))
    level = np.column_stack([p[:, :2], rest])  # the hull of what is left of a plane is shaped well
    tilts = fit[None, 1:] if wide <= 1e-13 * float(np.abs(p).max()) else _tilts(level) + fit[1:]
    heights = p[:, 2] - tilts @ p[:, :2].T
    tall = np.ptp(heights, axis=1)
    across = tall / np.sqrt(1.0 + np.square(tilts).sum(axis=1))
    best = int(np.argmin(across))
    own = heights[best]
    slack = 1e-9 * (float(tall[best]) + 1e-12)
    on = np.flatnonzero((own - own.min() <= slack) | (own.max() - own <= slack))
    return PlaneForm(
        n=len(p),
        zone=float(across[best]),
        upright=float(tall.min()),
        least_squares=wide,
        least_squares_across=wide / sqrt(1.0 + float(fit[1] ** 2 + fit[2] ** 2)),
        tilt=(float(tilts[best, 0]), float(tilts[best, 1])),
        on=tuple(on.tolist()),
    )


def _tilts(p: NDArray[np.float64]) -> NDArray[np.float64]:
    """Slopes along x and y of all planes a narrowest slab can lie in: faces of the hull, and pairs of its edges."""
    import numpy as np
    from scipy.spatial import ConvexHull

    scale = np.ptp(p, axis=0)
    hull = ConvexHull(p / scale)
    q = p[hull.vertices]
    place = {int(v): i for i, v in enumerate(hull.vertices)}
    faces = np.array([[place[int(v)] for v in face] for face in hull.simplices])
    edges = np.unique(np.sort(np.vstack([faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [0, 2]]]), axis=1), axis=0)
    if len(q) > MOST_HULL:
        raise DataError(f"{len(q)} readings stand on the outside of the surface; take {MOST_HULL} or fewer")
    normals = [np.cross(q[faces[:, 1]] - q[faces[:, 0]], q[faces[:, 2]] - q[faces[:, 0]])]
    along = q[edges[:, 1]] - q[edges[:, 0]]
    first, second = np.triu_indices(len(edges), 1)
    for start in range(0, first.size, 200_000):  # pairs of edges between whose parallel planes everything lies
        i, j = first[start : start + 200_000], second[start : start + 200_000]
        normal = np.cross(along[i], along[j])
        keep = np.abs(normal[:, 2]) > 1e-12 * np.sqrt(np.square(normal).sum(axis=1))
        i, j, normal = i[keep], j[keep], normal[keep]
        a, b = (normal * q[edges[i, 0]]).sum(axis=1), (normal * q[edges[j, 0]]).sum(axis=1)
        low, high = np.minimum(a, b), np.maximum(a, b)
        heights = normal @ q.T
        slack = 1e-9 * (np.abs(heights).max(axis=1) + 1e-300)
        normals.append(normal[(heights.min(axis=1) >= low - slack) & (heights.max(axis=1) <= high + slack)])
    normal = np.vstack(normals)
    normal = normal[np.abs(normal[:, 2]) > 1e-12 * np.sqrt(np.square(normal).sum(axis=1))]
    return np.asarray(-normal[:, :2] / normal[:, 2:], dtype=np.float64)


# ------------------------------------------------------------------------------ roundness
def roundness(points: Sequence[tuple[float, float]]) -> CircleForm:
    """Narrowest ring that holds all points (x, y) of one section, mm, by linear programmes about its centre.

    For sections that are nearly round it is the narrowest of all. DataError for fewer than four points, or where they
    all stand on one line.
    """
    import numpy as np

    if len(points) < 4:
        raise DataError(f"{_counted(points)}: roundness needs four or more; a circle goes through any three")
    p = np.asarray(points, dtype=np.float64)
    middle = p.mean(axis=0)
    q = p - middle
    if np.linalg.matrix_rank(q, tol=1e-9 * float(np.abs(q).max() or 1.0)) < 2:
        raise DataError("all points stand on one line: they are of no circle")
    start = _least_squares_centre(q)

    def ring(centre: NDArray[np.float64]) -> tuple[float, float]:
        r = np.sqrt(np.square(q - centre).sum(axis=1))
        return float(r.min()), float(r.max())

    about = ring(start)
    narrowest = _best_centre(q, start, 1.0, 1.0)
    inner, outer = ring(narrowest)
    return CircleForm(
        n=len(p),
        zone=outer - inner,
        centre=(float(middle[0] + narrowest[0]), float(middle[1] + narrowest[1])),
        inner=inner,
        outer=outer,
        least_squares=about[1] - about[0],
        circumscribed=ring(_best_centre(q, start, 1.0, 0.0))[1],
        inscribed=ring(_best_centre(q, start, 0.0, 1.0))[0],
    )


def _least_squares_centre(q: NDArray[np.float64]) -> NDArray[np.float64]:
    """Centre of the circle whose radius deviates least in the sum of squares (Gauss-Newton)."""
    import numpy as np

    # the algebraic circle starts close enough (Kasa 1976)
    rows = np.column_stack([2.0 * q, np.ones(len(q))])
    centre = np.linalg.lstsq(rows, np.square(q).sum(axis=1), rcond=None)[0][:2]
    for _ in range(ROUNDS):
        away = q - centre
        r = np.sqrt(np.square(away).sum(axis=1))
        step = np.linalg.lstsq(np.column_stack([away / r[:, None], np.ones(len(q))]), r, rcond=None)[0][:2]
        centre = centre + step
        if float(np.abs(step).max()) < 1e-14 * float(r.max()):
            break
    return np.asarray(centre)


def _best_centre(q: NDArray[np.float64], start: NDArray[np.float64], outer: float, inner: float) -> NDArray[np.float64]:
    """The centre of the smallest outer * largest radius - inner * smallest radius, from starts about `start`.

    On an axis of symmetry the programmes see no way down, so they also begin beside it.
    """
    import numpy as np

    r = np.sqrt(np.square(q - start).sum(axis=1))
    aside = 0.25 * float(r.max() - r.min())
    ways = [(0.0, 0.0), (1.0, 0.3), (-0.3, 1.0), (-1.0, -0.3), (0.3, -1.0)] if aside > 0.0 else [(0.0, 0.0)]
    tried = [_down_from(q, start + aside * np.array(way), outer, inner) for way in ways]
    return min(tried, key=lambda one: one[0])[1]


def _down_from(
    q: NDArray[np.float64], start: NDArray[np.float64], outer: float, inner: float
) -> tuple[float, NDArray[np.float64]]:
    """What is least near `start`, and the centre there, by successive linear programmes."""
    import numpy as np
    from scipy.optimize import linprog

    def cost(centre: NDArray[np.float64]) -> float:
        r = np.sqrt(np.square(q - centre).sum(axis=1))
        return outer * float(r.max()) - inner * float(r.min())

    centre, size = start, float(np.abs(q).max())
    best, reach, ones = cost(centre), 0.5 * size, np.ones((len(q), 1))
    for _ in range(ROUNDS):
        away = q - centre
        r = np.sqrt(np.square(away).sum(axis=1))
        ways = away / r[:, None]  # moving the centre by s takes ways . s off each radius
        zero = np.zeros((len(q), 1))
        table = np.vstack([np.hstack([-ways, -ones, zero]), np.hstack([ways, zero, ones])])
        solution = linprog(
            [0.0, 0.0, outer, -inner],
            A_ub=table / size,
            b_ub=np.concatenate([-r, r]) / size,
            bounds=[(-reach, reach), (-reach, reach), (0.0, 4.0 * size), (0.0, 4.0 * size)],
            method="highs",
        )
        if solution.x is None:
            break
        step = solution.x[:2]
        new = cost(centre + step)
        if new < best:
            gain, best, centre = best - new, new, centre + step
            if gain < 1e-15 * size:
                break
        else:
            reach = 0.5 * float(np.abs(step).max())
            if reach < 1e-14 * size:
                break
    return best, centre


def around(radii: Sequence[float], at: Sequence[float] | None = None) -> list[tuple[float, float]]:
    """Points (x, y) of radii at directions in degrees, evenly round the circle where none are given. Unit of the radii.

    DataError where there are not as many directions as radii.
    """
    ways = [360.0 * i / len(radii) for i in range(len(radii))] if at is None else list(at)
    if len(ways) != len(radii):
        raise DataError(f"{len(ways)} directions for {len(radii)} radii: give one to each")
    return [(r * cos(radians(a)), r * sin(radians(a))) for r, a in zip(radii, ways, strict=True)]


def diameters(values: Sequence[float], at: Sequence[float] | None = None) -> DiameterForm:
    """Diameters across one section at directions in degrees, evenly over half a turn where none are given. mm.

    DataError for fewer than two, or where there are not as many directions as diameters.
    """
    if len(values) < 2:
        raise DataError("one diameter tells nothing of roundness: measure it in two directions or more")
    ways = [180.0 * i / len(values) for i in range(len(values))] if at is None else [a % 180.0 for a in at]
    if len(ways) != len(values):
        raise DataError(f"{len(ways)} directions for {len(values)} diameters: give one to each")
    pairs = list(zip(values, ways, strict=True))
    largest, smallest = max(pairs), min(pairs)
    return DiameterForm(sum(values) / len(values), largest, smallest, (largest[0] - smallest[0]) / 2.0)
