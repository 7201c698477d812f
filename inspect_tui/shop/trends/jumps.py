"""Jumps of a wear line that no repair explains."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from inspect_tui.frozen import replace
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.shop.trends import tracks as tracks_
from inspect_tui.shop.trends.job_view import JUMP, Mark
from inspect_tui.shop.trends.residuals import believable
from inspect_tui.shop.trends.tracks import Track

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from inspect_tui.metrology.wear.steps import Jump


JUMP_ALPHA, MOST_JUMPS = 1e-5, 4  # a jump has to stand out among thousands of sizes; how many are looked for
MOST_PLACES = 600  # places that jumps are looked for at


def jumps(main: Track, marks: Sequence[Mark], direction: int, style: Style = MM, unit: str = "mm") -> list[Mark]:
    """Jumps that no repair explains, against wear or with it, each as a mark that cuts the line there.

    `unit` is that of the readings: mm, deg.
    """
    import numpy as np

    unexplained: list[Mark] = []
    if direction == 0:
        return unexplained
    pieces = tracks_.segmented(main, marks)
    known = ~np.isnan(pieces.since) & believable(main.even)  # a slip is no jump
    todo = [np.flatnonzero((pieces.segment == k) & known) for k in range(pieces.current + 1)]
    while todo and len(unexplained) < MOST_JUMPS:
        here = todo.pop()
        here = here[np.argsort(main.count[here], kind="stable")]
        gap = _jump(*_blocks(main.count[here], main.even[here]), direction, style, unit)
        at = int(np.searchsorted(main.count[here], gap.cores[1])) if gap is not None else 0
        if gap is None or not 0 < at < len(here):
            continue
        last = int(here[at - 1])
        unexplained.append(
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
    return unexplained


def _jump(cores: Sequence[float], sizes: Sequence[float], direction: int, style: Style, unit: str) -> Jump | None:
    """The clearest jump in one segment, in either direction."""
    from inspect_tui.metrology.wear.steps import unlogged_repair

    against = unlogged_repair(cores, sizes, direction, JUMP_ALPHA, style, unit)
    if against is not None:
        return replace(
            against, sentence=f"{against.sentence} The line begins anew there; enter the repair, if it was one"
        )
    along = unlogged_repair(cores, sizes, -direction, JUMP_ALPHA, style, unit)
    if along is None:
        return None
    by = style.with_unit(along.step.value, unit, 2 * along.step.u, signed=True)
    first, last = (style.figure(made, 0) for made in along.cores)
    words = f"jumped {by} with wear between {first} and {last} cores: a knock, a face worn through, or read otherwise?"
    return replace(along, sentence=words)


def _blocks(x: NDArray[np.float64], y: NDArray[np.float64]) -> tuple[list[float], list[float]]:
    """Medians of so many neighbours that not more than `MOST_PLACES` are left: a search at every place costs."""
    import numpy as np

    each = -(-len(x) // MOST_PLACES)
    if each <= 1:
        return x.tolist(), y.tolist()
    whole = len(x) // each * each
    return x[:whole].reshape(-1, each)[:, 0].tolist(), np.median(y[:whole].reshape(-1, each), axis=1).tolist()
