"""Least-squares rigid fit against cases whose answer is known by construction (Kabsch 1976; Arun et al. 1987)."""

from __future__ import annotations

import numpy as np
import pytest

from inspect_tui.metrology.faces.stock_fit import rigid_fit
from tests.published.stats_data import agrees, load

CHECK = load("k_rigid_fit")


@pytest.mark.parametrize("case", CHECK["data"]["cases"], ids=lambda c: c["id"])
def test_known_motions_come_back(case):
    fit = rigid_fit(case["P"], case["Q"])
    name = case["id"]
    got = {
        f"R_{name}": [v for row in fit.rotation for v in row],
        f"t_{name}": list(fit.shift),
        f"rms_{name}": fit.rms,
        f"max_{name}": fit.largest,
        f"det_{name}": float(np.linalg.det(np.array(fit.rotation))),
    }
    agrees(CHECK, got, besides=[k for k in CHECK["expected"] if not k.endswith(name)])
