"""What a report states, does not cover, and rests on."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from inspect_tui.record.store import Record
from inspect_tui.shop.first_article.article import first_article
from inspect_tui.shop.first_article.signed import dispositions
from inspect_tui.shop.first_article.signed.statement import rests_on
from tests.worlds.signed_shop import GOOD, made, sampling, who


@pytest.fixture(scope="module")
def record(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Record]:
    some = {balloon: mm for balloon, mm in GOOD.items() if balloon not in ("F23", "F24")}
    with made(tmp_path_factory.mktemp("signed") / "s.db", {"C1": {**some, "F2": 50.9}}) as record:
        yield record


def test_what_is_not_covered_is_named(record: Record) -> None:
    said = first_article(record, sampling(record).job, causes=False).not_covered
    assert said[0] == "Sizes without a reading: F23, F24."
    assert "Geometrical tolerances that nobody looked at: G3." in said
    assert "Surfaces between the places that were read." in said
    assert said[-1].startswith("Requirements of the drawing that have no number here")


def test_the_statement_counts_what_was_decided(record: Record) -> None:
    now, lead = sampling(record), who(record, "LE")
    before = first_article(record, now.job, causes=False)
    assert before.statement[0].startswith(
        "This report states what was found on 1 casting of S1 against drawing D-1, revision A: 8 sizes and 4 geometrical "
    )
    assert before.statement[1].startswith("2 non-conformities on single castings: 2 not decided yet.")
    values = {"feature": "F2", "decision": "scrap", "why": "x"}
    dispositions.put(record, now, dispositions.read(now, values, lead, "2026-03-10"), lead)
    after = first_article(record, sampling(record).job, causes=False)
    assert "1 settled with another one, 1 scrapped" in after.statement[1]  # nothing on a scrapped casting is open


def test_what_it_rests_on_is_the_same_for_the_same_rows_and_answers(record: Record) -> None:
    now = sampling(record)
    article = first_article(record, now.job, causes=False)
    assert rests_on(now, article.features, article.geometry) == rests_on(
        sampling(record), article.features, article.geometry
    )
    assert rests_on(now, article.features[1:], article.geometry) != rests_on(now, article.features, article.geometry)
    assert rests_on(now, article.features, article.geometry[1:]) != rests_on(now, article.features, article.geometry)


def test_who_measured_has_the_name_that_the_record_knows(record: Record) -> None:
    assert first_article(record, sampling(record).job, causes=False).identity.named == (("MA", ""),)
