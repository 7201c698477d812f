"""What sits in what, out of fits. Worked by hand."""

from __future__ import annotations

from inspect_tui.metrology.faces.network import Carry
from inspect_tui.model.kit import Fit
from inspect_tui.shop.common.geometry.carried import carries

CORES = {b"1": 1, b"2": 2, b"9": 9}


def fit(inner: str, outer: str, **more: object) -> Fit:
    def side(part: str) -> tuple[bytes | None, str | None]:
        return (part.encode(), None) if part.isdigit() else (None, part or None)

    (inner_core, inner_half), (outer_core, outer_half) = side(inner), side(outer)
    return Fit(
        job_of_id=b"j",
        label=f"K{inner}{outer}",
        inner_core_id=inner_core,
        inner_half=inner_half,
        outer_core_id=outer_core,
        outer_half=outer_half,
        clear_min_mm=0.2,
        clear_max_mm=0.6,
        **more,  # type: ignore[arg-type]
    )


def test_each_pair_of_parts_once_with_the_axes_that_its_fits_hold() -> None:
    made = carries([fit("1", "drag", holds="y rz"), fit("2", "1", holds="x-, y"), fit("2", "1", holds="z+")], CORES)
    assert made == (Carry("core 1", "drag", "yz"), Carry("core 2", "core 1", "xyz"))


def test_where_no_fit_says_what_it_holds_all_axes_are_carried() -> None:
    assert carries([fit("1", "drag", axis="y")], CORES) == (Carry("core 1", "drag", "xyz"),)
    assert carries([fit("1", "drag"), fit("1", "drag", holds="x", way_in="x+")], CORES)[0].axes == "xz"
    assert carries([fit("1", "drag", holds="x rz", way_in="x+")], CORES)[0].axes == "x"
    assert carries([fit("1", "drag", holds="rz", way_in="x+")], CORES)[0].axes == "xyz"


def test_a_core_with_no_other_seat_than_the_copes_hangs_in_it() -> None:
    hung, set_in, top = carries([fit("9", "cope"), fit("1", "drag"), fit("1", "cope", way_in="z+")], CORES)
    assert hung == Carry("core 9", "cope", "xyz", hangs=True)
    assert not set_in.hangs and not top.hangs


def test_what_is_no_core_or_has_no_seat_is_carried_by_nothing() -> None:
    assert carries([fit("cope", "drag"), fit("1", ""), fit("1", "1"), fit("7", "drag")], CORES) == ()
