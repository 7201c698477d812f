"""The pictures of a gauge study: everybody can be told apart by figures, many pieces fit, and nothing runs over."""

from __future__ import annotations

import random

import pytest

from inspect_tui.report.term import gauge as term_gauge
from inspect_tui.shop.gauges.results import Result, StudyRow, crossed


def study(parts: int = 10, people: int = 3, trials: int = 3, odd: float = 1.0) -> Result:
    draw = random.Random(parts * 100 + people)
    rows = []
    for part in range(1, parts + 1):
        true = 52 + draw.gauss(0, 0.2)
        for n in range(people):
            scatter = 0.03 * (odd if n == 1 else 1.0)
            rows += [StudyRow(f"C-{part}", f"P{n + 1}", t, true + draw.gauss(0, scatter)) for t in range(1, trials + 1)]
    return crossed(rows, 1.0)


@pytest.mark.parametrize("width", [60, 78, 100])
@pytest.mark.parametrize(("parts", "people"), [(2, 2), (10, 3), (40, 9)])
def test_no_line_runs_over_the_width(width: int, parts: int, people: int) -> None:
    result = study(parts, people)
    assert result.crossed is not None
    for text in (
        term_gauge.pieces_text(result.rows, result.crossed.people, width=width),
        term_gauge.people_text(result.crossed, width=width),
        term_gauge.shares_text(result.crossed, width=width),
        term_gauge.table_text(result.crossed),
    ):
        assert all(len(line.rstrip()) <= max(width, 62) for line in text.plain.splitlines()), text.plain


def test_every_person_stands_on_every_piece_even_on_one_spot() -> None:
    rows = [StudyRow("1", who, t, 52.0) for who in ("A", "B", "C") for t in (1, 2)]
    rows += [StudyRow("2", who, t, 52.5 + 0.01 * t) for who in ("A", "B", "C") for t in (1, 2)]
    lines = term_gauge.pieces_text(rows, ("A", "B", "C"), width=60).plain.splitlines()
    assert lines[1] == "1 A  2 B  3 C"
    for line in lines[2:4]:
        assert all(mark in line[3:] for mark in "123"), line


def test_of_many_pieces_those_are_shown_where_people_disagree_most() -> None:
    rows = [
        StudyRow(f"{n}", who, t, 52.0 + (0.5 if n == 37 and who == "B" else 0.001 * t))
        for n in range(1, 41)
        for who in ("A", "B")
        for t in (1, 2)
    ]
    text = term_gauge.pieces_text(rows, ("A", "B"), width=78).plain
    assert any(line.startswith("part 37 ") for line in text.splitlines())
    assert "the 12 of 40 pieces whose readings lie furthest apart" in text


def test_who_stands_out_is_marked_by_a_sign_not_by_colour_alone() -> None:
    result = study(odd=4.0)
    assert result.crossed is not None
    lines = term_gauge.people_text(result.crossed).plain.splitlines()
    assert [line[:4] for line in lines if "◀" in line][:1] == ["2 P2"]
    assert "◀ repeats unlike the others" in lines


def test_shares_of_the_variance_add_up() -> None:
    result = study()
    assert result.crossed is not None
    text = term_gauge.shares_text(result.crossed).plain
    shares = [float(line.rsplit(maxsplit=2)[-2]) for line in text.splitlines() if line.endswith("%")]
    assert len(shares) == 3 and abs(sum(shares) - 100) <= 2


def test_what_cannot_be_known_is_said_in_place_of_a_figure() -> None:
    rows = [StudyRow(f"{n}", "A", t, 52 + n / 10 + 0.01 * t) for n in (1, 2, 3) for t in (1, 2)]
    result = crossed(rows, None)
    assert result.crossed is not None
    assert "not known from this study" in term_gauge.shares_text(result.crossed).plain
    assert "None" not in term_gauge.table_text(result.crossed).plain
