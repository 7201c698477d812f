"""The first article as one plain thing: the same every time, JSON in one order, with who and with what."""

from __future__ import annotations

import json

from inspect_tui.record.store import Record
from inspect_tui.shop.first_article.article import first_article
from inspect_tui.shop.first_article.result import to_plain


def test_the_result_is_plain_json_in_one_order_and_says_who_and_with_what(articles) -> None:
    for article in articles.values():
        plain = to_plain(article)
        text = json.dumps(plain, allow_nan=False)
        assert json.loads(text) == plain
        assert list(plain)[:3] == ["format", "identity", "rule"]
        assert plain["identity"]["serials"] == list(article.identity.serials)
        assert all(one["u95_mm"] > 0 for one in plain["instruments"])
    overdue = [one for one in articles["S3"].instruments if one.due_on and one.due_on < "2023-11-20"]
    assert overdue == []
    assert "no" not in {one.result for one in articles["S1"].instruments}


def test_the_same_record_gives_the_same_result(sampled: Record) -> None:
    job = sampled.jobs()[0]
    assert to_plain(first_article(sampled, job, "S2")) == to_plain(first_article(sampled, job, "S2"))
