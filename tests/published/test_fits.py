"""Fits against ISO 286 examples: clearances and interferences from the limits of hole and shaft."""

from __future__ import annotations

import pytest

from inspect_tui.metrology.kit.fits import FitSizes, clearance, judge_fit
from inspect_tui.metrology.sizes.tolerance import iso286
from inspect_tui.model.words import Band
from tests.published.assembly_data import example


def limits(nominal: float, tolerance_class: str) -> tuple[float, float]:
    """Limits of size; iso286 gives them as sizes."""
    band = iso286(nominal, tolerance_class)
    assert band.lower is not None and band.upper is not None
    return band.lower, band.upper


def test_25_h7_g6_has_the_printed_clearances() -> None:
    given = example("WE16")  # found: fit calculator page, limits of ISO 286
    hole, shaft = limits(25, "H7"), limits(25, "g6")
    given.says("hole", list(hole))
    given.says("shaft", list(shaft))
    tightest = clearance(
        FitSizes(
            name="f",
            core="shaft",
            into="hole",
            axis="x",
            print_drawn=shaft[1],
            seat_drawn=hole[0],
            band=Band(0, None, ""),
        )
    )
    loosest = clearance(
        FitSizes(
            name="f",
            core="shaft",
            into="hole",
            axis="x",
            print_drawn=shaft[0],
            seat_drawn=hole[1],
            band=Band(0, None, ""),
        )
    )
    given.says("clearance", [tightest.value, loosest.value])


def test_50_h7_p6_interferes_everywhere() -> None:
    given = example("WE17")  # computed from found ISO 286 tables; negative means interference
    hole, shaft = given.expected["hole"], given.expected["shaft"]
    fits = [
        FitSizes(name="f", core="shaft", into="hole", axis="x", print_drawn=s, seat_drawn=h, band=Band(0.0, None, ""))
        for s, h in ((shaft[1], hole[0]), (shaft[0], hole[1]))
    ]
    given.says("clearance", [clearance(f).value for f in fits])
    assert [judge_fit(f).state for f in fits] == ["does not go", "does not go"]


@pytest.mark.parametrize(
    "size, kind, lo, hi",
    [(80, "print", 0.15, 0.30), (200, "print", 0.25, 0.50), (600, "print", 0.5, 1.5), (1500, "print", 1.5, 3.0)],
)
def test_clearances_by_practice_are_those_written_down(size: float, kind: str, lo: float, hi: float) -> None:
    # common practice, no source: core print clearance per side, machine moulded to 1000 mm, hand moulded above
    from inspect_tui.metrology.kit.fits import clearance_band

    band = clearance_band(size, kind)
    assert (band.lower, band.upper) == (pytest.approx(2 * lo), pytest.approx(2 * hi))
