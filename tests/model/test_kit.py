"""A fit is called by its label, and by its place where several are alike."""

from __future__ import annotations

import pytest

from inspect_tui.errors import InspectError
from inspect_tui.frozen import replace
from inspect_tui.model.kit import Attachment, Fit

FIT = Fit(job_of_id=b"j", label="K6", clear_min_mm=0.2, clear_max_mm=0.6)


@pytest.mark.parametrize(("place", "name"), [(None, "K6"), ("", "K6"), ("3", "K6-3"), ("left", "K6-left")])
def test_a_fit_is_named_with_its_place(place: str | None, name: str) -> None:
    assert replace(FIT, place=place).name == name


def test_a_fit_goes_down_along_x_unless_said_otherwise_and_counts_as_one() -> None:
    assert (FIT.way_in, FIT.axis, FIT.count, FIT.active, FIT.points) == ("z-", "x", 1, True, None)


def test_what_was_written_down_is_not_changed() -> None:
    with pytest.raises((AttributeError, TypeError, InspectError)):
        FIT.label = "K7"  # type: ignore[misc]


def test_things_of_the_kit_are_made_by_name() -> None:
    with pytest.raises(TypeError):
        Attachment(b"", "0" * 64, 10, "image/png", 4, 4, "seat.png")  # type: ignore[misc]
