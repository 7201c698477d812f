"""Checked and released: who may, when not, and what takes the name off again."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from inspect_tui.errors import DataError, InspectError, NotAllowed, NotFound
from inspect_tui.record.store import Record
from inspect_tui.shop.changes.people import set_pin
from inspect_tui.shop.first_article import sign
from inspect_tui.shop.first_article.article import first_article
from inspect_tui.shop.first_article.result import FirstArticle
from inspect_tui.shop.first_article.signed import dispositions, looks
from tests.worlds.signed_shop import GOOD, made, read, sampling, who

TODAY = "2026-03-10"


@pytest.fixture
def record(tmp_path: Path) -> Iterator[Record]:
    with made(tmp_path / "s.db", {"C1": GOOD}) as record:
        yield record


def signed(record: Record, act: str, by: str = "LE", words: str = "") -> str:
    return sign.sign(record, sampling(record), act, who(record, by), TODAY, words)


def article(record: Record) -> FirstArticle:
    return first_article(record, sampling(record).job, causes=False)


def test_it_is_checked_then_released_and_the_names_stand_on_the_report(record: Record) -> None:
    assert article(record).signs == () and article(record).statement[-1] == "It is not released."
    assert signed(record, "checked", "IN", "all of it") == "T-1 S1 checked by IN on 2026-03-10."
    assert signed(record, "released") == "T-1 S1 released by LE on 2026-03-10."
    checked, released = article(record).signs
    assert (checked.act, checked.initials, checked.words, checked.stands) == ("checked", "IN", "all of it", True)
    assert (released.act, released.on, released.stands) == ("released", TODAY, True)
    assert article(record).statement[-1] == "It is released by LE on 2026-03-10."


def test_who_measured_all_of_it_may_check_it_and_that_is_said(record: Record) -> None:
    assert "The same person measured all of it" in signed(record, "checked", "MA")
    assert "same person" not in signed(record, "checked", "IN")


def test_nothing_is_released_unchecked(record: Record) -> None:
    with pytest.raises(DataError, match="nobody has checked it as it stands now"):
        signed(record, "released")


def test_nothing_is_released_with_open_points(record: Record) -> None:
    read(record, "C1", {"F2": 52.9})
    signed(record, "checked", "IN")
    with pytest.raises(DataError, match=r"Not released: nothing was decided about F2 on C1 \(in question|Not released"):
        signed(record, "released")
    assert record.article_signs(sampling(record).job.of_id, sampling(record).round.lot.id).keys() == {"checked"}  # type: ignore[union-attr]


@pytest.mark.parametrize("act", ["checked", "released"])
def test_the_foundry_signs_nothing(record: Record, act: str) -> None:
    with pytest.raises(NotAllowed, match=f"Not {act}: FO is here as foundry"):
        signed(record, act, "FO")


def test_who_has_a_pin_gives_it(record: Record) -> None:
    lead = who(record, "LE")
    set_pin(record, lead, "4711", lead)
    record.close()
    with Record.open(record.path, state_dir=record.path.parent / "state") as again:
        signed(again, "checked", "IN")
        with pytest.raises(NotAllowed, match="decides with a PIN"):
            signed(again, "released")
        again.ask_pin = lambda _: "4711"
        assert "released by LE" in signed(again, "released")


@pytest.mark.parametrize("what", ["reading", "decision", "look", "drawing", "job"])
def test_what_changes_afterwards_takes_the_names_off(record: Record, what: str) -> None:
    signed(record, "checked", "IN")
    signed(record, "released")
    now, inspector = sampling(record), who(record, "IN")
    if what == "reading":
        read(record, "C1", {"F1": 100.01})
    elif what == "look":
        values = {"geometry": "G3", "casting": "C1", "accepted": "yes", "method": "square"}
        looks.put(record, now, looks.read(now, values, inspector, TODAY), inspector)
    elif what == "decision":
        read(record, "C1", {"F2": 50.9})
        values = {"feature": "F2", "decision": "scrap", "why": "x"}
        later = sampling(record)
        dispositions.put(record, later, dispositions.read(later, values, inspector, TODAY), inspector)
    elif what == "drawing":
        record.revise(now.geometries[0], tolerance_mm=0.9)
    else:
        record.revise(now.job, order_no="other")
    assert [one.stands for one in article(record).signs] == [False, False]
    assert "it is not released as it stands here" in article(record).statement[-1]


def test_what_has_nothing_to_do_with_it_leaves_the_names(record: Record) -> None:
    from inspect_tui.shop.first_article.castings.put_right import open_round

    signed(record, "checked", "IN")
    open_round(record, sampling(record).job, "S2", ["D1"])
    assert [one.stands for one in first_article(record, sampling(record).job, "S1", causes=False).signs] == [True]


def test_a_release_is_taken_back_with_a_reason(record: Record) -> None:
    signed(record, "checked", "IN")
    signed(record, "released")
    lead = who(record, "LE")
    with pytest.raises(InspectError, match="in a few words why"):
        sign.take_back(record, sampling(record), "released", lead, " ")
    assert (
        sign.take_back(record, sampling(record), "released", lead, "wrong drawing") == "T-1 S1 is no longer released."
    )
    assert [one.act for one in article(record).signs] == ["checked"]
    with pytest.raises(NotFound, match="is not released"):
        sign.take_back(record, sampling(record), "released", lead, "x")


def test_only_two_acts_are_known(record: Record) -> None:
    with pytest.raises(DataError, match="checked or released, not 'approved'"):
        signed(record, "approved")
