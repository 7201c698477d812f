"""`question`: what is asked of castings' readings is listed, and put right by a person only."""

from __future__ import annotations

import json
from collections.abc import Callable

import pytest

from inspect_tui.model.first_article import Realigned
from inspect_tui.shop.common import find
from inspect_tui.shop.first_article.castings import put_right
from tests.commands.conftest import Ran, Run
from tests.conftest import SmallShop


@pytest.fixture
def question(cli: Run, shop: SmallShop) -> Callable[..., Ran]:
    job = find.job(shop.record, None)
    put_right.open_round(shop.record, job, "S1", ["C1", "C2"], poured_on="2026-03-01")
    for serial, text in (("casting C1", "211"), ("casting C2", "201")):  # C2: a digit that looks like a slip of 210
        bench = shop.bench(serial)
        bench.goto("F3")
        bench.take(text)
        bench.keep_pending()
    return lambda *words: cli("question", *words, "--record", str(shop.record.path))


def test_questions_are_listed_and_settled_by_somebody(question: Callable[..., Ran], shop: SmallShop) -> None:
    (asked,) = json.loads(question("list", "--json").out)
    assert (asked["kind"], asked["casting"], asked["features"]) == ("slip", "C2", ["F3"]) and asked["can_be_put_right"]
    assert "C2" in question("list").out
    assert "required: --by" in question("settle", "C2", "F3").err
    settled = question("settle", "C2", "F3", "--by", "AB")
    assert settled.status == 0 and "F3 on casting C2 counts as" in settled.out
    assert question("list").err == "nothing is in question\n"
    struck = [logged for logged in shop.record.readings() if logged.out]
    assert [logged.reading.typed for logged in struck] == ["201"] and struck[0].superseded_by == "AB"
    again = question("settle", "C2", "F3", "--by", "AB")
    assert again.status == 2 and "measure it again" in again.err


def test_what_cannot_be_measured_is_said_and_taken_back(question: Callable[..., Ran], shop: SmallShop) -> None:
    job = find.job(shop.record, None)
    assert question("cannot", "C1", "F2", "--why", "core still in", "--by", "AB").status == 0
    assert question("cannot", "all", "F1", "--why", "beyond reach", "--by", "AB").status == 0
    marked = shop.record.not_measurable(job.of_id)
    assert {(mark.reason, mark.item_id is None) for mark in marked} == {
        ("core still in", False),
        ("beyond reach", True),
    }
    assert question("can", "C1", "F2", "--by", "AB").status == 0
    assert [mark.reason for mark in shop.record.not_measurable(job.of_id)] == ["beyond reach"]


def test_a_casting_is_turned_back_only_by_a_tilt_that_was_seen(question: Callable[..., Ran], shop: SmallShop) -> None:
    none = question("align", "C1", "--by", "AB")
    assert none.status == 2 and "nothing to align again" in none.err
    (item,) = [item for item in shop.record.items(find.job(shop.record, None).of_id) if item.serial == "C1"]
    shop.record.add(Realigned(item_id=item.id, pivot_mm=0.0, slope=-0.001, why="A2 ground"), shop.ab.id)
    back = question("align", "C1", "--as-read", "the pad was clean", "--by", "AB")
    assert back.out == "Casting C1 is judged as read again.\n"
    assert shop.record.realigned([item.id]) == {}
    assert "was not aligned again" in question("align", "C1", "--as-read", "x", "--by", "AB").err
