"""Change: what moved lately over the whole shop, with the share of false alarms held at what is stated.

Each series is searched for a step, a drift that begins somewhere, and a change of scatter, on normal scores of its
ranks, so that neither a wild reading nor a skew spread raises an alarm. Readings are taken as independent.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import TYPE_CHECKING

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen, frozen_by_name
from inspect_tui.metrology.judge._dist import normal_quantile
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.metrology.wear.largest_by_chance import LEAST, TRIM, contrasts, scan_p
from inspect_tui.model.words import Estimate

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

STEP, DRIFT, SCATTER = "step", "drift", "scatter"
KINDS = (STEP, DRIFT, SCATTER)


@frozen_by_name
class Surprise:
    """One series that changed. `at` is the index of the first reading after the change (or where the drift begins).

    `change` is in the series' unit: after - before for a step, the rise from `at` to the end for a drift, the standard
    deviation after - before for scatter. `p` counts the search over places and kinds; `q` also the other series.
    """

    index: int
    kind: str
    at: int
    n: int
    change: Estimate
    before: float
    after: float
    p: float
    q: float
    importance: float
    sentence: str


@frozen
class Surprises:
    """All changes found, most important first. Of the ones listed at most the share `rate` is false in the long run."""

    changes: tuple[Surprise, ...]
    tested: int
    too_short: int
    rate: float
    sentence: str


def surprises(
    series: Sequence[Sequence[float]] | NDArray[np.float64],
    names: Sequence[str] = (),
    widths: Sequence[float | None] = (),
    rate: float = 0.05,
    style: Style = MM,
) -> Surprises:
    """Search all series at once; nan is a missing reading. Give the latest readings, or residuals from a wear line.

    `widths` are the tolerance widths, by which changes are put in order of importance (without: by their own scatter).
    `rate` is the false discovery rate over all series (Benjamini and Hochberg 1995). Cost: 4,000 series of 250 in
    about a second. Source: maximal contrasts with their chance by `largest_by_chance`; van der Waerden scores. Unit of
    the readings. Errors: DataError for a rate outside 0 to 1.
    """
    import numpy as np

    if not 0 < rate < 1:
        raise DataError("the share of false alarms is between 0 and 1")
    rows = [np.asarray(s, dtype=float) for s in series]
    rows = [r[np.isfinite(r)] for r in rows]
    p = np.ones((len(rows), len(KINDS)))
    at = np.zeros((len(rows), len(KINDS)), dtype=int)
    groups: dict[int, list[int]] = {}
    for i, row in enumerate(rows):
        groups.setdefault(len(row), []).append(i)
    for n, members in groups.items():
        if n >= LEAST:
            p[members], at[members] = search(np.stack([rows[i] for i in members]))
    long_enough = np.array([len(r) >= LEAST for r in rows], dtype=bool)
    best = np.minimum(1.0, len(KINDS) * p.min(axis=1)) if len(rows) else np.ones(0)
    q = np.ones(len(rows))
    q[long_enough] = false_discovery(best[long_enough])
    changed = []
    for j in np.flatnonzero(q <= rate):
        i, k = int(j), int(p[j].argmin())
        width = widths[i] if i < len(widths) else None
        name = names[i] if i < len(names) else f"series {i + 1}"
        place = int(at[i, k]) if KINDS[k] == SCATTER else _place(rows[i], KINDS[k])
        changed.append(_describe(i, KINDS[k], place, rows[i], float(best[i]), float(q[i]), width, name, style))
    changed.sort(key=lambda s: (-s.importance, s.p))
    tested = int(long_enough.sum())
    if changed:
        share = f"in the long run at most {style.percent(rate)} of what is listed is false"
        text = f"{len(changed)} of {tested} series changed; {share}"
    else:
        text = f"nothing changed in {tested} series beyond chance (false alarms held at {style.percent(rate)})"
    return Surprises(tuple(changed), tested, len(rows) - tested, rate, text)


def search(rows: NDArray[np.float64]) -> tuple[NDArray[np.float64], NDArray[np.int_]]:
    """p-values and places of step, drift and change of scatter: (m, n) series -> two arrays (m, 3).

    Each p-value counts the search over places, not over kinds.
    """
    import numpy as np

    m, n = rows.shape
    p, at = np.ones((m, 3)), np.zeros((m, 3), dtype=int)
    scores = unit_rows(normal_scores(rows))
    for k, kind in enumerate(("step", "bend")):
        values = contrasts(scores, kind)
        place = np.abs(values).argmax(axis=1)
        p[:, k] = scan_p(values[np.arange(m), place], n, kind)
        at[:, k] = place + (TRIM if kind == "step" else 1)  # a rise that begins after reading k shows from k + 1 on
    # scatter about the level as it moved, or a step would pass for scatter
    rest = rows - np.median(rows, axis=1, keepdims=True)
    for i in np.flatnonzero(p[:, :2].min(axis=1) < 0.01):
        rest[i] = _without(rows[i], int(p[i, :2].argmin()), at[i])
    spread = unit_rows(normal_scores(np.abs(rest)))
    values = contrasts(spread, "step")
    place = np.abs(values).argmax(axis=1)
    p[:, 2] = scan_p(values[np.arange(m), place], n, "step")
    at[:, 2] = place + TRIM
    return p, at


def _place(row: NDArray[np.float64], kind: str) -> int:
    """Where the change is, by the sizes themselves with their extremes drawn in: ranks find it but bend its shape."""
    import numpy as np

    calm = np.clip(row, *np.quantile(row, [0.02, 0.98]))
    values = contrasts(unit_rows(calm[None, :]), "step" if kind == STEP else "bend")[0]
    return int(np.abs(values).argmax()) + (TRIM if kind == STEP else 1)


def _without(row: NDArray[np.float64], kind: int, at: NDArray[np.int_]) -> NDArray[np.float64]:
    import numpy as np

    i = np.arange(len(row))
    if kind == 0:
        after = i >= at[0]
        return np.asarray(row - np.where(after, np.median(row[after]), np.median(row[~after])))
    rise = np.maximum(i - (at[1] - 1), 0.0)
    rise -= rise.mean()
    return np.asarray(row - np.median(row) - rise * (rise @ (row - row.mean())) / (rise @ rise))


def normal_scores(rows: NDArray[np.float64]) -> NDArray[np.float64]:
    """Normal scores of the ranks in each row, equal values sharing their mean rank."""
    import numpy as np

    m, n = rows.shape
    order = np.argsort(rows, axis=1, kind="stable")
    ranked = np.take_along_axis(rows, order, axis=1)
    new = np.ones((m, n + 1), dtype=bool)
    new[:, 1:n] = ranked[:, 1:] != ranked[:, :-1]
    starts = np.flatnonzero(new[:, :n])
    run = np.cumsum(new[:, :n].ravel()) - 1
    ends = np.append(starts[1:], m * n) - 1
    twice = (starts % n) + (ends % n)  # twice the mean rank, counted from 0
    scores = np.empty((m, n))
    np.put_along_axis(scores, order, _table(n)[twice[run]].reshape(m, n), axis=1)
    return scores


@lru_cache(maxsize=64)
def _table(n: int) -> NDArray[np.float64]:
    """Normal score of twice a rank, 0 .. 2 (n - 1)."""
    import numpy as np

    return np.array([normal_quantile((k / 2 + 1) / (n + 1)) for k in range(2 * n - 1)])


def unit_rows(rows: NDArray[np.float64]) -> NDArray[np.float64]:
    """Rows centred and of length 1 (a row of equal values becomes 0). Dimensionless; shape as `rows`."""
    import numpy as np

    centred = rows - rows.mean(axis=1, keepdims=True)
    length = np.sqrt(np.einsum("ij,ij->i", centred, centred))
    return np.asarray(centred / np.where(length > 0, length, 1.0)[:, None])


def false_discovery(p: Sequence[float] | NDArray[np.float64]) -> NDArray[np.float64]:
    """Benjamini-Hochberg adjusted p-values: reject where they are at most the wished false discovery rate.

    Probabilities, in the order given.
    """
    import numpy as np

    values = np.asarray(p, dtype=float)
    order = np.argsort(values)
    scaled = values[order] * len(values) / np.arange(1, len(values) + 1)
    adjusted = np.minimum.accumulate(scaled[::-1])[::-1]
    q = np.empty_like(values)
    q[order] = np.minimum(adjusted, 1.0)
    return q


def _describe(
    index: int,
    kind: str,
    at: int,
    row: NDArray[np.float64],
    p: float,
    q: float,
    width: float | None,
    name: str,
    style: Style,
) -> Surprise:
    import numpy as np

    def by(change: Estimate) -> str:
        return style.plus_minus(change.value, 2 * change.u, 3, unit=False, signed=True)

    n = len(row)
    early, late = row[:at], row[at:]
    noise = float(np.median(np.abs(np.diff(row)))) * 1.4826 / 2**0.5 or float(row.std()) or 1.0
    if kind == STEP:
        before, after = float(early.mean()), float(late.mean())
        u = float(np.hypot(_sd(early) / len(early) ** 0.5, _sd(late) / len(late) ** 0.5))
        change = Estimate(after - before, u)
        text = f"{name}: stepped {by(change)} at reading {at + 1} of {n}"
    elif kind == DRIFT:
        rise = np.maximum(np.arange(n) - (at - 1), 0.0)
        z = rise - rise.mean()
        slope = float(z @ row / (z @ z))
        left = row - row.mean() - slope * z
        u = float(np.sqrt(left @ left / (n - 2) / (z @ z)))
        before = float(row.mean() - slope * rise.mean())
        after, change = before + slope * float(rise[-1]), Estimate(slope * float(rise[-1]), u * float(rise[-1]))
        text = f"{name}: drifting from reading {max(at, 1)} of {n} on, {by(change)} so far"
    else:
        before, after = _sd(early), _sd(late)
        u = float(np.hypot(before / (2 * max(len(early) - 1, 1)) ** 0.5, after / (2 * max(len(late) - 1, 1)) ** 0.5))
        change = Estimate(after - before, u)
        word = "wider" if after > before else "closer"
        text = (
            f"{name}: scatters {word} from reading {at + 1} of {n} on (sd {style.pair(before, after, 3, unit=False)})"
        )
    return Surprise(
        index=index,
        kind=kind,
        at=at,
        n=n,
        change=change,
        before=before,
        after=after,
        p=p,
        q=q,
        importance=abs(change.value) / (width or noise),
        sentence=text,
    )


def _sd(values: NDArray[np.float64]) -> float:
    return float(values.std(ddof=1)) if len(values) > 1 else 0.0
