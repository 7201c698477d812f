"""Boxes of the mould have an extent along every axis."""

from __future__ import annotations

import pytest

from inspect_tui.errors import LimitsError
from inspect_tui.model.mould import CoreBody, MouldOutline

BOX = {"x0": 0.0, "x1": 10.0, "y0": 0.0, "y1": 20.0, "z0": 0.0, "z1": 30.0}


@pytest.mark.parametrize("axis", ["x", "y", "z"])
def test_a_body_of_no_height_is_refused_by_its_axis(axis: str) -> None:
    for made in (lambda box: CoreBody(core_of_id=b"c", **box), lambda box: MouldOutline(job_of_id=b"j", **box)):
        made(BOX)
        with pytest.raises(LimitsError, match=f"no extent along {axis}"):
            made(BOX | {f"{axis}1": 0.0})
        with pytest.raises(LimitsError, match=f"no extent along {axis}"):
            made(BOX | {f"{axis}0": 40.0})
