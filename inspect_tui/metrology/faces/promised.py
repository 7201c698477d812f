"""Sizes that no tool shows, promised from the faces that their tools were measured to have.

A wall lies between two tools: nobody reads it before it is cast. Where the size of a core was read on its box, though,
it is known how far its two faces lie out, half at each; a wall that ends on one of them is promised so much less.

Source: generalised least squares as in any textbook; that tools' faces are off each by itself is common practice, no
source.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import sqrt

from inspect_tui.frozen import replace
from inspect_tui.metrology.faces.face import AXES
from inspect_tui.metrology.faces.network import Network
from inspect_tui.metrology.faces.observed import Observed, of_observed


def promised(features: Sequence[Observed], reference: str = "drag") -> tuple[Observed, ...]:
    """The same features; of those whose tools were not measured for it `predicted_mm` and `u_predicted` follow.

    What `u_predicted` such a feature has is taken for that of two faces of which nothing was read, alike and each by
    itself; what the measured sizes say of its own faces moves it from its target and takes its share of that away.
    """
    import numpy as np

    along = [o for o in features if o.axis in AXES]
    known = [o for o in along if o.tool_known and _off(o) is not None]
    wanted = {o.balloon for o in along if not o.tool_known and _off(o) is not None}
    if not known or not wanted:
        return tuple(features)
    network = Network(of_observed(along), reference=reference)
    row = dict(zip((o.balloon for o in along), network.incidence(), strict=True))
    loose = np.array([not network.is_datum(face) for face in network.faces], dtype=float)
    out = []
    read = np.array([row[o.balloon] for o in known])
    off = np.array([_off(o) for o in known])
    for o in features:
        ends = loose * row[o.balloon] if o.balloon in wanted else np.zeros(len(loose))
        count = float(ends @ ends)
        if not count:
            out.append(o)
            continue
        face = np.diag(loose) * o.u_predicted**2 / count  # of one face, mm2
        cross = face @ read.T
        weight = np.linalg.solve(read @ cross + np.diag([v.u_predicted**2 for v in known]), (ends @ cross).T)
        left = o.u_predicted**2 - float(ends @ cross @ weight)
        out.append(replace(o, predicted_mm=o.predicted_mm + float(weight @ off), u_predicted=sqrt(max(left, 0.0))))
    return tuple(out)


def _off(o: Observed) -> float | None:
    """How far the tools promise it off its target, mm; None without one, or without anything known of it."""
    return None if o.target_mm is None or not o.u_predicted else o.predicted_mm - o.target_mm
