"""Planted faults are found in a job of quite another shape: fourteen cores in a row, no tool measured yet."""

from __future__ import annotations

from pathlib import Path

import pytest

from inspect_tui.record.store import Record
from inspect_tui.shop.common import find
from inspect_tui.shop.first_article.article import first_article
from tests.worlds import fourteen_cores as header


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_the_planted_faults_of_a_header_with_fourteen_cores_are_named(tmp_path: Path, seed: int) -> None:
    with Record.open(tmp_path / "shop.db", create=True) as record:
        header.sampled(record, seed)
        found = first_article(record, find.job(record, "HD-14"), "S1")
    assert found.causes is not None and found.cuts is not None
    by_name = {one.name: one for one in found.causes.found}
    assert set(by_name) == {"contraction y", "core 9 z", "core 4 x", "size X12", "cope y on casting T-2"}
    assert by_name["contraction y"].size == pytest.approx(0.0025, abs=0.0006)
    assert by_name["core 9 z"].size == pytest.approx(-0.55, abs=0.25)
    assert by_name["core 4 x"].size == pytest.approx(0.60, abs=0.25)
    assert by_name["size X12"].size == pytest.approx(0.90, abs=0.25)
    assert by_name["cope y on casting T-2"].size == pytest.approx(0.90, abs=0.35)
    assert not by_name["cope y on casting T-2"].tool
    box = next(cut for cut in found.cuts.cuts if cut.cause == "size X12")
    assert box.tool == "box 12"
    assert "add" in box.words  # the box gives a core that is too wide: metal on
    assert box.casting_words == "metal on"
