"""Pieces of a trend: what is left after wear, jumps that nobody explained, alarms that last, what is to be said."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from inspect_tui.frozen import frozen, replace
from inspect_tui.metrology.typed.show import day
from inspect_tui.metrology.wear.line import WearFit
from inspect_tui.model.words import Id
from inspect_tui.shop.trends import tracks as tracks_
from inspect_tui.shop.trends.counts import STALE_DAYS, Counter
from inspect_tui.shop.trends.job import JUMP, JobView, Mark
from inspect_tui.shop.trends.tracks import Cut, Track

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from inspect_tui.metrology.wear.steps import Gap

JUMP_ALPHA, MOST_JUMPS = 1e-5, 4  # a jump has to stand out among thousands of sizes; how many are looked for
MOST_LEVELLED, LEAST_SIDE_BY_SIDE = 5000, 8  # readings in which instruments are compared; of each, side by side
MOST_PLACES, MOST_ALARMED = 600, 3000  # places that jumps are looked for at; newest readings that may raise alarms


@frozen
class Alarm:
    """A stretch of readings that stays outside the limits of its smoothed mean; places in the track, + is up."""

    first: int
    stop: int
    side: int
    words: str


# ------------------------------------------------------------------------------ what is left after wear
def residuals(track: Track, pieces: Cut, fit: WearFit | None) -> NDArray[np.float64]:
    """Readings less the wear line of their segment; without a line less the median of the segment."""
    import numpy as np

    out = track.value.astype(float).copy()
    for segment in range(pieces.current + 1):
        here = pieces.segment == segment
        if not here.any():
            continue
        after = fit.afters[segment] if fit is not None and segment < len(fit.afters) else None
        rate = fit.rates[segment] if fit is not None and segment < len(fit.rates) else None
        since = np.where(np.isnan(pieces.since[here]), 0.0, pieces.since[here])
        line = after.value + (rate or 0.0) * since if after is not None else float(np.median(out[here]))
        out[here] -= line
    return out


def jumped(pieces: Cut, fit: WearFit | None) -> NDArray[np.float64]:
    """How far jumps have moved each reading by, since the last repair."""
    import numpy as np

    out = np.zeros(len(pieces.segment))
    if fit is None:
        return out
    moved = 0.0
    for number, group in enumerate(pieces.marks, start=1):
        here = pieces.segment == number
        after, before = fit.afters[number], fit.afters[number - 1]
        if any(mark.kind != JUMP for mark in group):
            moved = 0.0
        elif after is not None and before is not None:
            made = pieces.starts[number] - pieces.starts[number - 1]
            moved += after.value - before.value - (fit.rates[number - 1] or 0.0) * made
        out[here] = moved
    return out


@frozen
class Level:
    """How far the readings of one instrument lie from those of another that was used in turn with it (mm)."""

    instrument: str
    against: str
    off: float
    u: float
    at: tuple[int, ...]  # places of its readings

    @property
    def words(self) -> str:
        """One sentence."""
        way = "above" if self.off > 0 else "below"
        return (
            f"{self.instrument} reads {abs(self.off):.2f} ± {2 * self.u:.2f} {way} {self.against}: taken out of the "
            "wear line, not of the chart"
        )


def levels(view: JobView, root: Id, main: Track, pieces: Cut, fit: WearFit) -> list[Level]:
    """Instruments that clearly read apart where they were used in turn; one that took over for good cannot be told."""
    import numpy as np

    if not 2 * LEAST_SIDE_BY_SIDE <= len(main) <= MOST_LEVELLED or len(set(view.instruments.values())) < 2:
        return []
    setups = view.reader.setups_of(view.line(root), main.ids)
    named = np.array([view.instruments.get(setups.get(one, b""), "?") for one in main.ids])
    names, number = np.unique(named, return_counts=True)
    if len(names) < 2:
        return []
    left = residuals(main, pieces, fit)
    first = str(names[number.argmax()])
    found = []
    for name in names[names != first]:
        mine, its = np.flatnonzero(named == name), np.flatnonzero(named == first)
        begin, end = max(mine[0], its[0]), min(mine[-1], its[-1])
        mine_, its_ = (at[(at >= begin) & (at <= end)] for at in (mine, its))
        if min(len(mine_), len(its_)) < LEAST_SIDE_BY_SIDE:
            continue
        off = float(np.median(left[mine_]) - np.median(left[its_]))
        sd = [1.4826 * float(np.median(np.abs(left[at] - np.median(left[at])))) for at in (mine_, its_)]
        u = 1.2533 * (sd[0] ** 2 / len(mine_) + sd[1] ** 2 / len(its_)) ** 0.5
        if abs(off) > 2.5 * u > 0:
            found.append(Level(str(name), first, off, u, tuple(mine.tolist())))
    return found


# ------------------------------------------------------------------------------ what else is to be said
def jumps(main: Track, marks: Sequence[Mark], direction: int) -> list[Mark]:
    """Jumps that no repair explains, against wear or with it, each as a mark that cuts the line there."""
    import numpy as np

    found: list[Mark] = []
    if direction == 0:
        return found
    pieces = tracks_.cut(main, marks)
    known = ~np.isnan(pieces.since) & believable(main.value)  # a slip is no jump
    todo = [np.flatnonzero((pieces.segment == k) & known) for k in range(pieces.current + 1)]
    while todo and len(found) < MOST_JUMPS:
        here = todo.pop()
        here = here[np.argsort(main.count[here], kind="stable")]
        gap = _jump(*_blocks(main.count[here], main.value[here]), direction)
        at = int(np.searchsorted(main.count[here], gap.cores[1])) if gap is not None else 0
        if gap is None or not 0 < at < len(here):
            continue
        last = int(here[at - 1])
        found.append(
            Mark(
                day=float(np.floor(main.day[last])),
                count=(gap.cores[0] + gap.cores[1]) / 2,
                words=gap.sentence,
                tool=main.label,
                entered=main.ids[last],
                kind=JUMP,
            )
        )
        todo += [here[:at], here[at:]]
    return found


def _jump(cores: Sequence[float], sizes: Sequence[float], direction: int) -> Gap | None:
    """The clearest jump in one segment, in either direction."""

    from inspect_tui.metrology.wear.steps import unlogged_repair

    against = unlogged_repair(cores, sizes, direction, alpha=JUMP_ALPHA)
    if against is not None:
        return replace(against, sentence=f"{against.sentence} Taken for a repair until it is entered")
    along = unlogged_repair(cores, sizes, -direction, alpha=JUMP_ALPHA)
    if along is None:
        return None
    words = (
        f"jumped {along.step.value:+.2f} ± {2 * along.step.u:.2f} mm with wear between {along.cores[0]:.0f} and "
        f"{along.cores[1]:.0f} cores: a knock, a face worn through, or read otherwise?"
    )
    return replace(along, sentence=words)


def _blocks(x: NDArray[np.float64], y: NDArray[np.float64]) -> tuple[list[float], list[float]]:
    """Medians of so many neighbours that not more than `MOST_PLACES` are left: a search at every place costs."""
    import numpy as np

    each = -(-len(x) // MOST_PLACES)
    if each <= 1:
        return x.tolist(), y.tolist()
    whole = len(x) // each * each
    return x[:whole].reshape(-1, each)[:, 0].tolist(), np.median(y[:whole].reshape(-1, each), axis=1).tolist()


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


def alarms(main: Track, pieces: Cut) -> tuple[Alarm, ...]:
    """Alarms that last, each segment with a level of its own; readings far off the others take no part."""
    import numpy as np

    from inspect_tui.metrology.wear.steps import sustained

    kept = np.flatnonzero(believable(main.value))[-MOST_ALARMED:]
    restarts = [int(i) + 1 for i in np.flatnonzero(np.diff(pieces.segment[kept]))]
    found = []
    for begin, end, side in sustained(main.value[kept].tolist(), restarts):
        first, last = int(kept[begin]), int(kept[end - 1])
        names = [main.words(i) or day(main.day[i]) for i in (first, last)]
        words = f"runs {'above' if side > 0 else 'below'} its level from {names[0]} to {names[1]}"
        found.append(Alarm(first, last + 1, side, words))
    return tuple(found)


def remarks(main: Track, pieces: Cut, made: Counter, fit: WearFit | None, jumps: Sequence[Mark]) -> list[str]:
    """What is to be said about the readings of a track: counts, clocks, what was not fitted, jumps."""
    import numpy as np

    said = list(made.remarks)
    if len(main) and main.uncounted:
        n = main.uncounted
        which = "no reading has a count" if n == len(main) else f"{n} of {len(main)} readings have no count"
        late = made.day and bool((np.floor(main.day[np.isnan(main.count)]) > made.day[-1] + STALE_DAYS).any())
        why = f": the last count is of {day(made.day[-1])}" if late else ""
        said.append(f"{which}{why}; they are on the chart over dates and take no part in the wear line")
    if main.doubtful:
        verb = "reading was" if main.doubtful == 1 else "readings were"
        said.append(f"{main.doubtful} {verb} logged while the clock was wrong: kept in the order they were logged in")
    for group in pieces.marks:
        if len(group) > 1:
            said.append(f"{len(group)} repairs on {day(group[0].day)}: the wear line begins once after them")
    if fit is None and 0 < len(main) <= MOST_ALARMED:
        wild = np.flatnonzero(~believable(main.value))
        if len(wild):
            few = ", ".join(f"{main.value[i]:g}" for i in wild[:3]) + (" ..." if len(wild) > 3 else "")
            said.append(f"far off the readings around: {few}: no alarm is made of it, look whether it is a slip")
    if fit is not None:
        if fit.flagged:
            n = len(fit.flagged)
            said.append(f"{n} reading{'s lie' if n > 1 else ' lies'} too far off to be wear: shown, not fitted")
        if not fit.shared:
            said.append(f"wears at another rate since the last repair (p = {fit.p_shared:.2g} for one rate)")
        if fit.borrowed:
            said.append("too few readings since the last repair for a rate of its own: the earlier ones' is used")
    said += [mark.words for mark in jumps]
    return said
