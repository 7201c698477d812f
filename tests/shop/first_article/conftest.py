"""Samplings of the invented shop as they were measured, and what was found out about them; made once a run."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from inspect_tui.record.store import Record
from inspect_tui.shop.first_article.article import first_article
from inspect_tui.shop.first_article.result import FirstArticle
from tests.worlds.cut_desk import Desk, desk_of
from tests.worlds.kept import kept_value
from tests.worlds.sampled_shop import AFTER_S1, AFTER_S3, copy_of_shop, kept_shop

SEEDS = (4, 8)  # 4 is the demo record's own


def _opened(factory: pytest.TempPathFactory, seed: int) -> Record:
    path = kept_shop(factory, AFTER_S3, seed)
    return Record.open(path, read_only=True, state_dir=path.parent)


@pytest.fixture(scope="session", params=SEEDS)
def seed(request: pytest.FixtureRequest) -> int:
    number: int = request.param
    return number


@pytest.fixture(scope="session")
def sampled(seed: int, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Record]:
    """Three samplings with planted faults; open to be read."""
    with _opened(tmp_path_factory, seed) as record:
        yield record


@pytest.fixture(scope="session")
def articles(seed: int, tmp_path_factory: pytest.TempPathFactory) -> dict[str, FirstArticle]:
    """The first article of each of the three."""

    def make() -> dict[str, FirstArticle]:
        with _opened(tmp_path_factory, seed) as record:
            return {label: first_article(record, record.jobs()[0], label) for label in ("S1", "S2", "S3")}

    return kept_value(tmp_path_factory, f"articles-{seed}", make)


@pytest.fixture
def first(tmp_path: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    """The first sampling on the desk of whoever takes its cuts over, in a record of the test's own."""
    with copy_of_shop(tmp_path_factory, tmp_path, AFTER_S1) as record:

        def make() -> FirstArticle:
            return desk_of(record, "S1").article

        yield desk_of(record, "S1", kept_value(tmp_path_factory, "article-S1", make))
