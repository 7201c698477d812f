"""The invented shop with three samplings, made once a run and copied for each test that writes."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from inspect_tui.record import Record
from tests.shop.sampled_shop import AFTER_S3, shop_until


@pytest.fixture(scope="session")
def sampled(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("sampled") / "shop.db"
    shop_until(path, AFTER_S3)[0].close()
    return path


@pytest.fixture
def opened(sampled: Path, tmp_path: Path) -> Iterator[Record]:
    shutil.copy(sampled, tmp_path / "copy.db")
    with Record.open(tmp_path / "copy.db") as record:
        yield record
