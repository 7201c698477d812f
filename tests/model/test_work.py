"""Ends, features and steps that contradict themselves are refused where they are made, in words."""

from __future__ import annotations

from typing import Any

import pytest

from inspect_tui.errors import ChainError, LimitsError
from inspect_tui.model.work import ChainStep, End, Feature


def feature(**more: Any) -> Feature:
    return Feature(balloon="F1", name="width", **({"nominal": 60.0} | more))


@pytest.mark.parametrize("made_by", [{}, {"core_id": b"c", "half": "drag"}])
def test_an_end_is_made_by_one_core_or_one_half(made_by: dict[str, Any]) -> None:
    with pytest.raises(ChainError, match="end B: say either which core or which mould half makes it"):
        End(which="B", **made_by)
    assert End(which="A", half="cope").core_id is None


@pytest.mark.parametrize("facing", [0, 2, -2])
def test_an_end_faces_along_its_axis_or_against_it(facing: int) -> None:
    with pytest.raises(ChainError, match=rf"facing is \+1 or -1, not {facing}"):
        End(which="A", half="drag", facing=facing)
    assert [End(which="A", half="drag", facing=way).facing for way in (-1, 1)] == [-1, 1]


@pytest.mark.parametrize("name", ["nominal", "lower", "upper", "raw_lower", "raw_upper"])
@pytest.mark.parametrize("value", [float("nan"), float("inf"), 1e5, -1e5])
def test_what_is_no_size_is_refused(name: str, value: float) -> None:
    with pytest.raises(LimitsError, match=r"F1: \w+ \S+ is not a size"):
        feature(**{name: value})


def test_limits_may_meet_or_be_missing_but_not_cross() -> None:
    assert feature(lower=60.0, upper=60.0).upper == 60.0
    assert feature(lower=60.0).upper is None and feature(upper=-60.0, nominal=-70.0).lower is None
    with pytest.raises(LimitsError, match=r"lower 60\.5 is above upper 60\.4"):
        feature(lower=60.5, upper=60.4)
    assert feature(raw_lower=60.0, raw_upper=60.0).raw_upper == 60.0
    with pytest.raises(
        LimitsError, match=r"the limits as cast contradict each other: lower 60\.5 is above upper 60\.4"
    ):
        feature(raw_lower=60.5, raw_upper=60.4)


@pytest.mark.parametrize("both", [{}, {"scale": 1.01, "offset_mm": 0.5}])
def test_a_step_is_a_factor_or_an_offset(both: dict[str, float]) -> None:
    with pytest.raises(ChainError, match="step stock: give either a factor or an offset"):
        ChainStep(ord=1, kind="stock", **both)


@pytest.mark.parametrize(("scale", "good"), [(0.5, True), (2.0, True), (0.499, False), (2.001, False), (-1.0, False)])
def test_a_factor_is_one_that_can_be_believed(scale: float, good: bool) -> None:
    if good:
        assert ChainStep(ord=1, kind="contraction", scale=scale).scale == scale
    else:
        with pytest.raises(ChainError, match="is not believable"):
            ChainStep(ord=1, kind="contraction", scale=scale)
