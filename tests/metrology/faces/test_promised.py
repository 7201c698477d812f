"""Sizes that no tool shows, promised from the measured faces of their tools: closed forms worked by hand."""

from __future__ import annotations

from math import sqrt

import pytest

from inspect_tui.frozen import replace
from inspect_tui.metrology.faces.observed import Observed
from inspect_tui.metrology.faces.promised import promised
from tests.worlds.ends import End, observed

V = 0.03**2  # variance of one face of which nothing was read: sizes between two are known to 0.03 sqrt(2)


def size(name: str, a: End, b: End, off: float = 0.0, u: float = 0.03 * sqrt(2), known: bool = False) -> Observed:
    mm = b.place_mm - a.place_mm
    return observed(
        balloon=name,
        axis="z",
        a=a,
        b=b,
        predicted_mm=mm + off,
        u_predicted=u,
        cast_size_mm=mm,
        target_mm=mm,
        tool_known=known,
        readings={},
    )


LOW, HIGH = End("core 1", 55.0, 1), End("core 1", 125.0, -1)
BODY = size("B", LOW, HIGH, 0.10, 0.02, known=True)  # its box was measured 0.10 over
UNDER = size("U", End("drag", 48.0, -1), LOW)
OVER = size("O", HIGH, End("cope", 132.0, 1))


def test_a_wall_is_promised_less_by_its_half_of_what_the_core_is_over() -> None:
    """Covariance of wall and body V, variance of the body read 2 V + 0.02^2: both walls lose the same share of 0.10."""
    share = V / (2 * V + 0.02**2)
    for wall in promised((UNDER, BODY, OVER))[::2]:
        assert wall.predicted_mm == pytest.approx(7.0 - share * 0.10)
        assert wall.u_predicted == pytest.approx(sqrt(2 * V - share * V))
    assert promised((UNDER, BODY, OVER))[1] is BODY


def test_what_is_read_from_the_datum_tells_where_the_face_lies() -> None:
    """The datum does not move: the whole of what was read is the face's, and one face of the wall is left unknown."""
    pad = size("P", End("drag", 0.0, -1), End("drag", 48.0, -1), 0.20, 0.01, known=True)
    (_, wall) = promised((pad, UNDER))
    assert wall.predicted_mm == pytest.approx(7.0 - 0.20 * V / (V + 0.01**2))
    assert wall.u_predicted == pytest.approx(sqrt(2 * V - V**2 / (V + 0.01**2)))


def test_a_size_that_starts_at_the_datum_has_one_face() -> None:
    """All of its u is that one face's; the body shares it."""
    height = size("H", End("drag", 0.0, -1), HIGH, u=0.03)
    share = V / (2 * V + 0.02**2)
    assert promised((BODY, height))[1].predicted_mm == pytest.approx(125.0 + share * 0.10)


@pytest.mark.parametrize(
    "features",
    [
        (UNDER, OVER),  # nothing was read
        (replace(BODY, target_mm=None), UNDER),  # off what, nobody said
        (BODY, size("F", End("drag", 0.0, -1), End("cope", 132.0, 1))),  # none of its faces
        (BODY, replace(UNDER, u_predicted=0.0)),  # said to be known for sure
    ],
)
def test_without_a_measured_face_a_size_is_promised_as_drawn(features: tuple[Observed, ...]) -> None:
    assert [o.predicted_mm for o in promised(features)] == [o.predicted_mm for o in features]
    assert [o.u_predicted for o in promised(features)] == pytest.approx([o.u_predicted for o in features])
