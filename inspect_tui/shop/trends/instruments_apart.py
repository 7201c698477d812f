"""Instruments that read apart where they were used in turn: the wear line is fitted without the difference."""

from __future__ import annotations

from inspect_tui.frozen import frozen
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.metrology.wear.line import WearFit
from inspect_tui.model.words import Id
from inspect_tui.shop.trends.job_view import JobView
from inspect_tui.shop.trends.residuals import residuals
from inspect_tui.shop.trends.tracks import Segments, Track

MOST_LEVELLED, LEAST_SIDE_BY_SIDE = 5000, 8  # readings in which instruments are compared; of each, side by side


@frozen
class Offset:
    """How far the readings of one instrument lie from those of another that was used in turn with it (mm)."""

    instrument: str
    against: str
    off: float
    u: float  # standard uncertainty of `off`
    at: tuple[int, ...]  # places of its readings

    def words(self, style: Style = MM) -> str:
        """One sentence."""
        way = "above" if self.off > 0 else "below"
        off = style.plus_minus(abs(self.off), 2 * self.u, unit=False)
        return f"{self.instrument} reads {off} {way} {self.against}: taken out of the wear line, not of the chart"


def offsets(view: JobView, root: Id, main: Track, pieces: Segments, fit: WearFit) -> list[Offset]:
    """Instruments that clearly read apart where they were used in turn; one that took over for good cannot be told."""
    import numpy as np

    if not 2 * LEAST_SIDE_BY_SIDE <= len(main) <= MOST_LEVELLED or len(set(view.instruments.values())) < 2:
        return []
    setups = view.reader.setups_of(view.line(root), main.ids)
    named = np.array([view.instruments.get(setups.get(reading, b""), "?") for reading in main.ids])
    names, number = np.unique(named, return_counts=True)
    if len(names) < 2:
        return []
    left = residuals(main, pieces, fit)
    first = str(names[number.argmax()])
    apart = []
    for name in names[names != first]:
        mine, theirs = np.flatnonzero(named == name), np.flatnonzero(named == first)
        begin, end = max(mine[0], theirs[0]), min(mine[-1], theirs[-1])
        mine_, theirs_ = (at[(at >= begin) & (at <= end)] for at in (mine, theirs))
        if min(len(mine_), len(theirs_)) < LEAST_SIDE_BY_SIDE:
            continue
        off = float(np.median(left[mine_]) - np.median(left[theirs_]))
        sd = [1.4826 * float(np.median(np.abs(left[at] - np.median(left[at])))) for at in (mine_, theirs_)]
        u = 1.2533 * (sd[0] ** 2 / len(mine_) + sd[1] ** 2 / len(theirs_)) ** 0.5
        if abs(off) > 2.5 * u > 0:
            apart.append(Offset(str(name), first, off, u, tuple(mine.tolist())))
    return apart
