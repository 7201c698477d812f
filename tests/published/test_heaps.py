"""The dip of unimodality and its quantiles against published ones."""

from __future__ import annotations

from math import sqrt

import numpy as np

from inspect_tui.metrology.spread.heaps import QUANTILES, SHARES, dip, p_of
from tests.published.stats_data import agrees, load


def test_dips_and_their_quantiles() -> None:
    check = load("j_dip")
    got: dict[str, object] = {f"dip_{name}": dip(np.array(a)) for name, a in check["data"]["cases"].items()}
    assert list(SHARES) == check["data"]["shares"]
    for n in check["data"]["sizes"]:
        got[f"quantiles_{n}"] = [q / sqrt(n) for q in QUANTILES[n]]
        for share, d in zip(SHARES, check["expected"][f"quantiles_{n}"], strict=True):
            assert abs(p_of(d, n) - (1 - share)) < 0.1 * (1 - share) + 0.002
    agrees(check, got)
