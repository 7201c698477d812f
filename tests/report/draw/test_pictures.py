"""One of each picture is what it was, byte for byte: a paper printed again is the same paper."""

from __future__ import annotations

import pytest

from tests.report.draw.pictures import FOLDER, pictures

DRAWN = dict(pictures())


@pytest.mark.parametrize("name", DRAWN)
def test_the_picture_is_what_it_was(name: str) -> None:
    kept = (FOLDER / name).read_text(encoding="utf-8")
    assert DRAWN[name] + "\n" == kept  # meant? python -m tests.report.draw.pictures, and look at what changed


def test_no_picture_is_kept_that_nobody_draws() -> None:
    assert {path.name for path in FOLDER.iterdir()} == set(DRAWN)
