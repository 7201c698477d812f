"""What is said of a trial: its lines, and the cores by their numbers."""

from __future__ import annotations

import pytest

from inspect_tui.metrology.typed.show import MM
from inspect_tui.model.proving import Proving, ProvingLine
from inspect_tui.shop.kit.tried import words


@pytest.mark.parametrize(
    ("numbers", "said"),
    [
        ((), "no core"),
        (("3",), "core 3"),
        (("1", "2"), "cores 1 and 2"),
        (("1", "2", "3"), "cores 1 to 3"),
        (("10", "9", "1", "2", "4", "5", "6"), "cores 1, 2, 4 to 6, 9 and 10"),
        (("?", "7"), "core 7"),
    ],
)
def test_cores_are_named_by_runs(numbers: tuple[str, ...], said: str) -> None:
    assert words.cores(numbers) == said


def line(sort: str = "fit", **more: object) -> ProvingLine:
    return ProvingLine(proving_id=b"", ord=1, sort=sort, **more)  # type: ignore[arg-type]


def test_a_line_says_how_it_goes_then_its_size_then_words() -> None:
    assert words.found(line(result="rubs", value=0.12, way="feeler", words="at the neck"), MM) == (
        "rubs, 0.12 mm by feeler, at the neck"
    )
    assert words.found(line(result="stops"), MM) == "does not go"
    assert words.found(line("closing", result="stops"), MM) == "does not close"
    assert words.found(line("closing", result="goes", value=0.0, way="feeler"), MM) == "closes, 0.00 mm by feeler"
    assert words.found(line("wall", value=5.2, u_mm=0.15, way="clay"), MM) == "5.20 ± 0.30 mm by clay"
    assert words.found(line("core"), MM) == ""


def test_a_trial_is_called_by_its_sort_and_day() -> None:
    made = Proving(job_of_id=b"", sort="trial_closing", inside="cores", who="TK", on_date="2026-03-02")
    assert words.name_of(made) == "trial closing of 2026-03-02"
