"""The page on which numbers are put on a picture: one file that loads nothing, every text of it text."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from inspect_tui.demo.pictures import drawn
from inspect_tui.report.paper.file import PaperError
from inspect_tui.report.paper.numbers_page import content
from tests.worlds.hostile import TEXTS


@pytest.mark.parametrize("text", TEXTS)
def test_names_and_numbers_stay_text(text: str, tmp_path: Path) -> None:
    (tmp_path / "p.png").write_bytes(drawn(1))
    page = content(text, tmp_path / "p.png", [text, "F2"], [(text, 1.0, 2.0)], f"picture numbers {text}").decode(
        "utf-8"
    )
    told = json.loads(page.split('id="numbers-data">')[1].split("</script>")[0])
    assert told == {"numbers": [text, "F2"], "marks": [[text, 1.0, 2.0]]}
    assert page.count("<script") == 2 and page.count("<img") == 1


def test_a_picture_that_is_not_there_makes_no_page(tmp_path: Path) -> None:
    for path in (None, tmp_path / "gone.png"):
        with pytest.raises(PaperError, match="the picture is not beside the record"):
            content("a picture", path, ["F1"], [], "")
