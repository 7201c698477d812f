"""Tests of: the readings as one linear system: how noise is shared between them, and what that leaves of each candidate"""

from __future__ import annotations

import numpy as np

from inspect_tui.metrology.causes import noise as causes_noise
from inspect_tui.metrology.causes.candidates import candidates as all_candidates
from inspect_tui.metrology.causes.explain import explain
from tests.worlds.casting_manifold import CARRIERS, FEET, FIRST, sampling


def test_a_plain_least_squares_fit_would_blame_contraction_for_the_box():
    """Why there is a prior at all: the wrong box leaks into the scale when every shift is left free."""
    measured = [o for o in sampling(FIRST, 3) if o.axis == "z"]
    names = ["contraction z", "core 1 z", "core 3 z", "core 4 z", "core 5 z", "core 7 z", "parting z"]
    cands = {c.name: c for c in all_candidates(measured)}
    t = causes_noise.table(measured, "drag")
    fit, *_ = np.linalg.lstsq(t.columns([cands[n] for n in names]), t.y, rcond=None)
    assert abs(fit[0]) > 0.005
    assert abs(explain(measured, carriers=CARRIERS, datums=(FEET,)).contraction["z"].value) < 0.0025
