"""What is left of the readings after wear, how far jumps moved them, and which are slips (mm)."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inspect_tui.metrology.wear.line import WearFit
from inspect_tui.shop.trends.job_view import JUMP
from inspect_tui.shop.trends.tracks import Segments, Track

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray


def residuals(track: Track, pieces: Segments, fit: WearFit | None) -> NDArray[np.float64]:
    """Readings, gauges and people made even, less the wear line of their segment; without a line less its median."""
    import numpy as np

    rest = track.even.astype(float).copy()
    for segment in range(pieces.current + 1):
        here = pieces.segment == segment
        if not here.any():
            continue
        after = fit.afters[segment] if fit is not None and segment < len(fit.afters) else None
        rate = fit.rates[segment] if fit is not None and segment < len(fit.rates) else None
        since = np.where(np.isnan(pieces.since[here]), 0.0, pieces.since[here])
        line = after.value + (rate or 0.0) * since if after is not None else float(np.median(rest[here]))
        rest[here] -= line
    return rest


def jumped(pieces: Segments, fit: WearFit | None) -> NDArray[np.float64]:
    """How far jumps have moved each reading by, since the last repair."""
    import numpy as np

    moved_by = np.zeros(len(pieces.segment))
    if fit is None:
        return moved_by
    moved = 0.0
    for number, group in enumerate(pieces.marks, start=1):
        here = pieces.segment == number
        after, before = fit.afters[number], fit.afters[number - 1]
        if any(mark.kind != JUMP for mark in group):
            moved = 0.0
        elif after is not None and before is not None:
            made = pieces.starts[number] - pieces.starts[number - 1]
            moved += after.value - before.value - (fit.rates[number - 1] or 0.0) * made
        moved_by[here] = moved
    return moved_by


def believable(values: NDArray[np.float64]) -> NDArray[np.bool_]:
    """False where a reading stands far off the seven around it (8 robust deviations): a slip, not a trend."""
    import numpy as np

    n = len(values)
    if n < 9:
        return np.ones(n, dtype=bool)
    padded = np.concatenate([values[3:0:-1], values, values[-2:-5:-1]])
    local = np.median(np.lib.stride_tricks.sliding_window_view(padded, 7), axis=1)
    noise = 1.4826 * float(np.median(np.abs(np.diff(values)))) / 2**0.5
    return np.asarray(np.abs(values - local) <= 8.0 * max(noise, 1e-9))
