"""Tests of: the pages behind the grid."""

from __future__ import annotations

import re
from pathlib import Path
from threading import Event

import pytest

from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.record.store import Record
from inspect_tui.shop.bench import memory
from inspect_tui.tui.first_article import pages
from inspect_tui.tui.question import Chooser
from tests.operations import questions
from tests.tui.first_article.test_open_sampling import go  # noqa: F401  a fixture
from tests.tui.first_article.test_screen import found, run, sheet, text

INCH = Style("in")


def test_what_was_asked_for_comes_when_the_search_has_its_answer(opened: Record, go: Event) -> None:
    async def script(pilot, app, screen) -> None:
        await pilot.press("ctrl+r")
        await pilot.pause()
        assert "at work" in text(app, "#say")
        go.set()
        await found(pilot, screen)
        await pilot.pause()
        assert isinstance(app.screen, Chooser)
        await pilot.press("escape")
        await pilot.pause()
        assert "at work" not in text(app, "#say")

    run(opened, script, memory.last_bench(opened))


def test_who_has_turned_to_another_page_is_not_interrupted(opened: Record, go: Event) -> None:
    async def script(pilot, app, screen) -> None:
        await pilot.press("ctrl+r")
        await pilot.press("ctrl+u")
        go.set()
        await found(pilot, screen)
        await pilot.pause()
        assert app.screen is screen

    run(opened, script, memory.last_bench(opened))


def test_an_answer_to_what_was_changed_meanwhile_does_not_count(opened: Record, go: Event) -> None:
    async def script(pilot, app, screen) -> None:
        await pilot.press("ctrl+u")
        screen.out_of_date()  # a reading was logged while the search was at work
        screen.search_if_needed()
        arrived, late = screen._arrived, []
        screen._arrived = lambda found: late.append(found) or arrived(found)
        go.set()
        await found(pilot, screen)
        assert screen.found is not None
        assert "Casting S3-4 only" in sheet(screen)

    run(opened, script, memory.last_bench(opened))


# ------------------------------------------------------------------------------ whoever reads inches reads no mm
A_FIGURE = re.compile(r"(?<![A-Za-z\d.])[-+]?\d+\.\d+")
SHARE = re.compile(r"%|bit|deg")  # behind a figure that is no length
AS_TYPED = re.compile(
    r"\b[\d.]+ mm or [\d.]+ in\?|Inch for mm|not (in )?mm\b|written as mm|× 25\.4"
)  # about units themselves


def shown(page: str, answer: pages.Answer, style: Style) -> list[str]:
    """The words of a page without what was typed, what stands in the record, and the flow of the passages."""
    words = pages.page_text(page, answer, False, 4000, style).plain
    for ends in ("\ntaken over\n", "\ntaken over, in mm as recorded\n", "\nthroat, casting"):
        words = words.partition(ends)[0]
    return AS_TYPED.sub("", words).split()


@pytest.fixture(scope="module")
def said_twice(sampled: Path) -> dict[str, tuple[pages.Answer, pages.Answer]]:
    with Record.open(sampled, read_only=True, state_dir=sampled.parent) as record:
        job = record.jobs()[0]
        return {
            label: (pages.answer(record, job, label), pages.answer(record, job, label, INCH)) for label in ("S1", "S3")
        }


@pytest.mark.parametrize("page", ["causes", "cuts", "stock", "rounds"])
@pytest.mark.parametrize("label", ["S1", "S3"])
def test_a_page_asked_for_in_inches_shows_inches_throughout(said_twice, label: str, page: str) -> None:
    in_mm, in_inches = said_twice[label]
    both = list(zip(shown(page, in_mm, MM), shown(page, in_inches, INCH), strict=True))
    assert not [inches for _, inches in both if inches.strip("().,:;?") == "mm"]
    lengths = 0
    for at, (mm, inches) in enumerate(both):
        for length, written in zip(A_FIGURE.findall(mm), A_FIGURE.findall(inches), strict=False):
            if length == written and SHARE.search(" ".join(after for after, _ in both[at : at + 5])):
                continue
            half = sum(0.5 * unit * 10.0 ** -len(of.partition(".")[2]) for unit, of in ((1.0, length), (25.4, written)))
            around = both[max(at - 4, 0) : at + 5]
            assert abs(float(length) - 25.4 * float(written)) <= 1.01 * half, around
            lengths += 1
    assert lengths > 2


def test_what_is_kept_of_an_answer_in_inches_reads_in_mm(said_twice) -> None:
    for in_mm, in_inches in said_twice.values():
        assert in_inches.of_record == in_mm.article and in_mm.of_record is in_mm.article
        assert in_inches.article != in_mm.article


@pytest.mark.parametrize(("label", "style"), [("S1", MM), ("S3", INCH)])
def test_all_pages_of_nine_castings_and_more_ask_the_record_sixty_questions_at_most(
    sampled: Path, label: str, style: Style
) -> None:
    with Record.open(sampled, read_only=True) as record:
        job = record.jobs()[0]
        assert sum(map(len, record.all_castings(job.of_id).values())) >= 9
        answered: list[pages.Answer] = []
        asked = questions(record, lambda: answered.append(pages.answer(record, job, label, style)))
    assert answered[0].problem is None and answered[0].rounds
    assert asked <= 60
