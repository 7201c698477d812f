"""Steps in one series: where its level jumped, a repair that nobody logged, and alarms that last."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import Any

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen, frozen_by_name
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.metrology.wear.change import normal_scores, unit_rows
from inspect_tui.metrology.wear.largest_by_chance import LEAST, TRIM, contrasts, scan_p
from inspect_tui.model.words import Estimate


@frozen_by_name
class Split:
    """Least-squares split of one series into two means: `before` readings, then the rest."""

    before: int
    mean_before: float
    mean_after: float
    rss: float
    rss_none: float
    ratio: float  # (rss_none - rss) / (rss / (n - 2)), as F but searched for
    p: float


def best_split(values: Sequence[float]) -> Split:
    """The split into two means that leaves the least squares; `p` counts the search (normal noise assumed).

    Means in the unit of the readings. DataError for too few readings, missing ones, or when all are equal.
    """
    import numpy as np

    y = np.asarray(values, dtype=float)
    if len(y) < LEAST or not np.isfinite(y).all():
        raise DataError(f"a split needs {LEAST} readings or more, none missing")
    row = (y - y.mean())[None, :]
    none = float(row[0] @ row[0])
    if none <= 0:
        raise DataError("all readings are equal: there is nothing to split")
    places = contrasts(row / none**0.5, "step")[0]
    k = int(np.abs(places).argmax())
    at = k + TRIM
    rss = float(((y[:at] - y[:at].mean()) ** 2).sum() + ((y[at:] - y[at:].mean()) ** 2).sum())
    p = float(scan_p(places[[k]], len(y), "step")[0])
    ratio = (none - rss) / (rss / (len(y) - 2)) if rss > 0 else float("inf")
    return Split(
        before=at,
        mean_before=float(y[:at].mean()),
        mean_after=float(y[at:].mean()),
        rss=rss,
        rss_none=none,
        ratio=ratio,
        p=p,
    )


def all_steps(values: Sequence[float], alpha: float = 0.01) -> list[int]:
    """Where one series steps, all places, by splitting it again and again while a step is significant at `alpha`.

    Binary segmentation on normal scores of each part; indices of the first reading after each step, in order.
    """
    import numpy as np

    y = np.asarray(values, dtype=float)

    def parts(start: int, stop: int) -> list[int]:
        if stop - start < LEAST:
            return []
        values_ = contrasts(unit_rows(normal_scores(y[None, start:stop])), "step")[0]
        k = int(np.abs(values_).argmax())
        if float(scan_p(values_[[k]], stop - start, "step")[0]) > alpha:
            return []
        at = start + k + TRIM
        return [*parts(start, at), at, *parts(at, stop)]

    return parts(0, len(y))


def sustained(
    values: Sequence[float],
    restarts: Sequence[int] = (),
    learn: int = 25,
    weight: float = 0.2,
    limit: float = 3.0,
    run: int = 5,
) -> list[tuple[int, int, int]]:
    """Alarms that last: stretches of at least `run` readings outside an exponentially weighted mean's limits.

    Level and noise (successive differences, blind to drift) come from all readings since the start or the last restart
    (a repair) that were made `learn` readings ago or more and raised no alarm, so the level knows more and more but
    never the drift it is asked about; the limits carry what it does not know. Returns (first reading of the run, one
    past its last, +1 or -1). Source: Roberts (1959) for the weighted mean; the learning is our own. `limit` in
    standard deviations, values in any one unit.
    """
    import numpy as np

    y = np.asarray(values, dtype=float)
    alarms: list[tuple[int, int, int]] = []
    edges = sorted({0, *(r for r in restarts if 0 < r < len(y)), len(y)})
    for start, stop in pairwise(edges):
        if stop - start < learn:
            continue
        size = np.abs(np.diff(y[start:stop]))
        wild = 6 * float(np.median(size)) or np.inf
        steps = np.minimum(size, wild)  # one misread must not widen the limits for good
        total, moved, count = float(y[start : start + learn].sum()), float(steps[: learn - 1].sum()), learn
        mean, spread, outside, begun = total / learn, 0.0, 0, start
        for i in range(start, stop):
            ripe = i - learn
            if ripe >= start + learn and not outside:
                total, moved, count = total + float(y[ripe]), moved + float(steps[ripe - start - 1]), count + 1
            level, noise = total / count, max(moved / (count - 1) / 1.128, 1e-9)
            mean += weight * (float(np.clip(y[i], mean - 4 * noise, mean + 4 * noise)) - mean)
            spread = (1 - weight) ** 2 * spread + weight**2
            side = int(np.sign(mean - level)) if abs(mean - level) > limit * noise * (spread + 1 / count) ** 0.5 else 0
            if side != outside:
                if outside and i - begun >= run:
                    alarms.append((begun, i, outside))
                outside, begun = side, i
        if outside and stop - begun >= run:
            alarms.append((begun, stop, outside))
    return alarms


@frozen
class Jump:
    """A jump against wear between two readings of one box: `at` is the first reading after it, `cores` lie either side.

    `step` is what the size jumped by (mm), `p` the chance of such a jump anywhere without one.
    """

    at: int
    cores: tuple[float, float]
    step: Estimate
    p: float
    sentence: str


def unlogged_repair(
    cores: Sequence[float],
    sizes: Sequence[float],
    direction: int = 1,
    alpha: float = 0.01,
    style: Style = MM,
    unit: str = "mm",
) -> Jump | None:
    """A step against wear that no logged repair explains, in one segment of readings, or None.

    One wear rate with one step is searched for at every place; readings more than 3.5 robust deviations off are drawn
    in first. `cores` since the last logged repair, any spacing; direction +1 where wear makes the size larger.
    `unit` is that of the sizes: mm, deg.
    """
    import numpy as np

    order = np.argsort(np.asarray(cores, dtype=float), kind="stable")
    x, y = np.asarray(cores, dtype=float)[order], np.asarray(sizes, dtype=float)[order]
    if len(x) < LEAST or np.ptp(x) <= 0:
        return None
    for _ in range(3):
        at, t, model, p = _step_on_line(x, y)
        rest = y - model
        far = 3.5 * 1.4826 * float(np.median(np.abs(rest))) or np.inf
        y = model + np.clip(rest, -far, far)
    if p > alpha or t * direction >= 0:
        return None
    design = np.column_stack([np.ones_like(x), x - x.mean(), np.arange(len(x)) >= at])
    inverse = np.linalg.pinv(design.T @ design)
    beta = inverse @ design.T @ y
    rest = y - design @ beta
    u = float(np.sqrt(rest @ rest / (len(x) - 3) * inverse[2, 2]))
    step = Estimate(float(beta[2]), u)
    text = (
        f"jumped {style.with_unit(step.value, unit, 2 * u, signed=True)} against wear between "
        f"{style.figure(float(x[at - 1]), 0)} and {style.figure(float(x[at]), 0)} cores: "
        "a repair not logged, or another box?"
    )
    return Jump(int(order[at]), (float(x[at - 1]), float(x[at])), step, p, text)


def _step_on_line(x: Any, y: Any) -> tuple[int, float, Any, float]:
    """Place, signed size as a contrast, fitted values and p of the best step on a line of one slope."""
    import numpy as np

    line = np.column_stack([np.ones_like(x), x - x.mean()])
    flat = y - line @ np.linalg.lstsq(line, y, rcond=None)[0]
    length = float(np.sqrt(flat @ flat))
    if length <= 1e-12:
        return TRIM, 0.0, y, 1.0
    values = contrasts((flat / length)[None, :], "step on a line", x)[0]
    k = int(np.abs(values).argmax())
    at = k + TRIM
    design = np.column_stack([line, np.arange(len(x)) >= at])
    model = design @ np.linalg.lstsq(design, y, rcond=None)[0]
    return at, float(values[k]), model, float(scan_p(values[[k]], len(x), "step on a line")[0])
