"""What the papers for the foundry say: setting sheet, kit list, labels, come-back sheet."""

from __future__ import annotations

from pathlib import Path

import pytest

from inspect_tui.demo.pictures import drawn
from inspect_tui.record.kinds import CORE
from inspect_tui.record.store import Record
from inspect_tui.shop.kit.paper.come_back import come_back
from inspect_tui.shop.kit.paper.kit_list import labels
from inspect_tui.shop.kit.paper.papers import gentle
from inspect_tui.shop.kit.paper.setting_sheet import setting_sheet
from inspect_tui.shop.pictures.attach import attach
from tests.worlds.kit_jobs import Kit, two_cores


@pytest.fixture
def made(tmp_path: Path):
    with Record.open(tmp_path / "kit.db", create=True) as record:
        yield two_cores(record)


def test_pictures_come_with_where_their_bytes_lie(made: Kit, tmp_path: Path) -> None:
    file = tmp_path / "one.png"
    file.write_bytes(drawn(1))
    attach(made.record, file, CORE.number, made.core[1].of_id, "from above")
    (photo,) = setting_sheet(made.record, made.job).steps[0].photos
    assert (photo.media, photo.caption, photo.path.read_bytes()) == ("image/png", "from above", drawn(1))
    photo.path.unlink()
    assert setting_sheet(made.record, made.job).steps[0].photos[0].path is None


def test_a_job_without_cores_has_papers_that_say_so(tmp_path: Path) -> None:
    from tests.worlds.kit_jobs import begin

    with Record.open(tmp_path / "none.db", create=True) as record:
        made = begin(record)
        sheet = setting_sheet(record, made.job)
        assert (sheet.steps, sheet.order_sentence) == ((), "no cores yet")
        assert come_back(record, made.job).rows == ()
        assert labels(record, made.job) == ()


@pytest.mark.parametrize(
    ("clearance", "words"),
    [(0.19, "snug"), (0.2, "easy"), (0.6, "easy"), (0.61, "loose"), (-0.3, "snug")],
)
def test_how_a_print_is_to_go_in(clearance: float, words: str) -> None:
    assert gentle(clearance).startswith(words)
