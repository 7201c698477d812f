"""A file of readings for the small shop: written, and taken in."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from inspect_tui.shop.common import find
from inspect_tui.shop.first_article.castings.put_right import open_round
from inspect_tui.shop.first_article.castings.rounds import pick_round
from inspect_tui.shop.first_article.castings.sampling import Sampling
from inspect_tui.shop.intake.rows import Options
from inspect_tui.shop.intake.take_in import TakenIn, take_in
from tests.conftest import TODAY, SmallShop
from tests.worlds import tables

BY = Options(by="AB", instrument="caliper 1")
Bring = Callable[..., TakenIn]


@pytest.fixture
def bring(shop: SmallShop, tmp_path: Path) -> Bring:
    """Write a file and take it in; the sampling S1 with C1 and C2 is there already. Rows make an XLSX."""
    job = find.job(shop.record, "SV-12")
    open_round(shop.record, job, "S1", ["C1", "C2"])

    def go(content: str | bytes | list[list[Any]], name: str = "f.csv", label: str = "S1", **options: Any) -> TakenIn:
        raw = tables.xlsx(*content) if isinstance(content, list) else content
        (tmp_path / name).write_bytes(raw.encode() if isinstance(raw, str) else raw)
        given = Options(**({"by": "AB", "instrument": "caliper 1"} | options))
        return take_in(shop.record, find.job(shop.record, "SV-12"), tmp_path / name, label, given, TODAY)

    return go


def nothing_was_written(shop: SmallShop) -> bool:
    """Whether no file, no session, no reading came into the record."""
    counts = shop.record.counts()
    return not any(counts[name] for name in ("reading", "import_file", "import_mapping", "session"))


def value(shop: SmallShop, serial: str, balloon: str, label: str = "S1") -> float | None:
    """What the record holds of one cell of a sampling."""
    job = find.job(shop.record, "SV-12")
    sampling = Sampling(shop.record, job, pick_round(shop.record, job, label))
    return sampling.cell(sampling.feature(balloon), sampling.casting(serial)).value
