"""What the First article place says, as text within its width: head, pages, current cell, the line just logged."""

from __future__ import annotations

import pytest

from inspect_tui.shop.bench.outcomes import Asked, Logged
from inspect_tui.shop.common import find
from inspect_tui.shop.first_article.castings.filling import Filling
from inspect_tui.shop.first_article.castings.put_right import cannot_measure, open_round
from inspect_tui.shop.first_article.castings.rounds import pick_round
from inspect_tui.shop.first_article.castings.sampling import Requirement, Sampling
from inspect_tui.tui.first_article import text
from inspect_tui.tui.first_article.grid import CastingGrid
from tests.conftest import SmallShop

WIDTHS = pytest.mark.parametrize("width", [80, 160])


def filling(shop: SmallShop) -> Filling:
    job = find.job(shop.record, "SV-12")
    open_round(shop.record, job, "S1", ("C1", "C2"))
    return Filling(shop.record, Sampling(shop.record, job, pick_round(shop.record, job, "S1")), shop.ab, shop.caliper)


def take(here: Filling, typed: str, gap_s: float = 10.0) -> object:
    return here.take(Requirement(here.sampling.feature("F1")), here.sampling.casting("C1"), typed, gap_s)


def cell(here: Filling, show_expected: bool, width: int) -> list[str]:
    grid = CastingGrid()
    grid.rows, grid.castings = here.sampling.requirements, here.sampling.castings
    lines = str(text.cell_about(here.sampling, grid, show_expected, width)).splitlines()
    assert all(len(line) <= width for line in lines), lines
    return lines


@WIDTHS
def test_the_head_fills_the_width_with_who_and_with_what_on_the_right(shop: SmallShop, width: int) -> None:
    here = filling(shop)
    head = str(text.header(here.sampling, here, False, width))
    assert (
        head.startswith(" SV-12 · rev A · S1 · 2 castings ")
        and head.endswith(" AB · caliper 1 ")
        and len(head) == width
    )
    here.set_temperature(45.0, 21.5)
    here.table_zero = 12.5
    head = str(text.header(here.sampling, here, True, width))
    assert "READ ONLY" in head and "45 °C, gauge 21.5" in head and len(head) == width
    assert ("zero 12.5" in head) == (width == 160)  # there is no room for everything at 80
    here.person = here.instrument = None
    assert "who? F3 · instrument? F4" in str(text.header(here.sampling, here, False, 160))
    assert str(text.header(None, None, False, width)) == " First article".ljust(width)


@WIDTHS
def test_the_page_that_is_shown_is_marked(width: int) -> None:
    shown = text.pages("cuts", width)
    assert len(shown) <= width and [name for name in text.PAGES if name in shown.plain] == list(text.PAGES)
    assert [shown.plain[span.start : span.end] for span in shown.spans if span.style == "bold reverse"] == [" cuts "]


@WIDTHS
def test_what_is_not_measured_shows_the_size_only_where_it_may(shop: SmallShop, width: int) -> None:
    here = filling(shop)
    hidden, shown = cell(here, False, width), cell(here, True, width)
    assert hidden[0].startswith("F1  passage width, along Y") and hidden[0].endswith("casting C1")
    assert hidden[1] == "made by core 1; the size wanted stays hidden (F5 shows it)"
    assert shown[1].startswith("as cast 59.00") and shown[1].endswith("made by core 1")
    sampling = here.sampling
    cannot_measure(shop.record, [sampling.feature("F1")], sampling.casting("C1"), "beyond reach", shop.ab.id)
    job = find.job(shop.record, "SV-12")
    here.sampling = Sampling(shop.record, job, pick_round(shop.record, job, "S1"))
    assert "– not measurable: beyond reach" in cell(here, True, width)


@WIDTHS
def test_a_measured_cell_says_its_verdict_by_whom_and_with_what(shop: SmallShop, width: int) -> None:
    here = filling(shop)
    assert isinstance(take(here, "59.02"), Logged)
    lines = cell(here, False, width)
    assert any(
        line.startswith("✓ conforms  59.02") and "  U 0." in line and line.endswith("AB caliper 1") for line in lines
    ), lines


def test_the_line_just_logged_names_feature_casting_and_what_was_kept(shop: SmallShop) -> None:
    here = filling(shop)
    done = take(here, "59.02 59.04")
    assert isinstance(done, Logged)
    assert text.logged_words(done, "C1").endswith(" on C1: ✓ conforms")
    assert [word for word in text.logged_words(done, "C1").split()[1:] if word != "mm"][:3] == ["F1", "59.02", "59.04"]
    assert "kept as typed" not in text.logged_words(done, "C1")
    assert isinstance(take(here, "95.02"), Asked)
    kept = here.settle()
    assert isinstance(kept, Logged) and "✗ does not conform" in text.logged_words(kept, "C1")
    assert text.logged_words(kept, "C1").endswith("(kept as typed)")


def test_a_finished_row_says_so_and_shows_the_drawings_size(shop: SmallShop, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(CastingGrid, "name_width", 34)
    here = filling(shop)
    take(here, "59.02")
    c1 = here.sampling.casting("C1")
    bench = here.bench(c1)
    bench.set_state("finished")
    bench.goto("F1")
    bench.take("62.10")
    here.sampling.reload()
    grid = CastingGrid()
    grid.sampling, grid.rows, grid.castings = here.sampling, here.sampling.requirements, here.sampling.castings
    assert [(row.feature.balloon, row.state) for row in grid.rows][:3] == [
        ("F1", "raw"),
        ("F1", "finished"),
        ("F2", "raw"),
    ]
    assert (grid.row_of("F1", "finished"), grid.row_of("F2"), grid.row_of("F2", "finished")) == (1, 2, 0)
    raw = str(text.cell_about(here.sampling, grid, True, 80))
    assert "FINISHED" not in raw and "59.02" in raw
    grid.row = 1
    done = str(text.cell_about(here.sampling, grid, True, 80))
    assert done.startswith("F1  FINISHED  passage width") and "62.10" in done and "62.80" in done
    grid.row = grid.row_of("F4", "finished")
    assert "finished 240.00 ±1.20" in str(text.cell_about(here.sampling, grid, True, 80))
    line = "".join(segment.text for segment in grid._feature_line(1))
    assert "finished passage width" in line and "62.10 ✓" in line and "59.02" not in line
    again = here.take(grid.rows[1], c1, "62.12")
    assert isinstance(again, Logged)
    assert text.logged_words(again, "C1").startswith("logged  F1 finished 62.12 on C1: ✓ conforms")
