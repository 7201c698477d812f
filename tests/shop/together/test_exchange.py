"""How it stands with the other benches, and one exchange: what came, what is not yet sent, that being away is normal."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from inspect_tui.errors import DataError
from inspect_tui.shop.together import exchange
from inspect_tui.shop.together.exchange import Exchanged
from tests.record.merge.conftest import Station, share, stations  # noqa: F401

Make = Callable[[str], Station]


@pytest.fixture(autouse=True)
def own_state(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Both benches are of one machine here: `exchange` opens a record with the state of whoever runs the test."""
    monkeypatch.setenv("INSPECT_TUI_STATE", str(tmp_path / "bench-a" / "state"))


def test_an_exchange_says_what_came_and_nothing_is_left_unsent(stations: Make, share: Path) -> None:
    a, b = stations("bench a"), stations("bench b")
    b.furnish()
    b.log(59.1)
    b.log(59.2)
    b.sync(share)
    assert exchange.standing(a.record, "") == exchange.Standing()
    assert exchange.standing(a.record, str(share)).last is None
    told: list[int] = []
    made = exchange.exchange(a.record.path, str(share), told.append)
    assert (made.readings, made.unsent, made.away, made.wrong) == (2, 0, "", ()) and told
    assert made.words == f"Exchanged: {made.came} entries came in, 2 readings among them."
    assert a.values() == [59.1, 59.2]
    a.things = b.things
    a.log(59.3)
    standing = exchange.standing(a.record, str(share))
    assert (standing.where, standing.unsent) == (str(share), 1) and (standing.last or 0) > 1e9
    again = exchange.exchange(a.record.path, str(share), told.append)
    assert again.words == "Exchanged: nothing new came in, all of this bench is sent."


def test_where_nobody_is_reached_it_is_said_with_what_is_not_yet_sent(stations: Make, share: Path) -> None:
    a = stations("bench a")
    a.furnish()
    made = exchange.exchange(a.record.path, str(share / "gone"), lambda _: None)
    assert made.away == f"there is no folder {share / 'gone'} now" and made.unsent > 5
    assert made.words.endswith(f"{exchange.not_sent(made.unsent)} Nothing is lost, and work goes on.")
    pytest.importorskip("psycopg")
    hub = exchange.exchange(a.record.path, "postgresql://127.0.0.1:9/none?connect_timeout=1", lambda _: None)
    assert "cannot be reached" in hub.away and hub.unsent == made.unsent
    assert "127" not in exchange.called("postgresql://127.0.0.1:9/none")


def test_words_for_one_and_for_none() -> None:
    assert exchange.not_sent(0) == "All of this bench is sent."
    assert exchange.not_sent(1) == "1 entry of this bench is not yet sent."
    assert Exchanged(came=1, readings=1).words == "Exchanged: 1 entry came in, 1 reading among them."


def test_a_folder_is_a_whole_path(tmp_path: Path) -> None:
    file = tmp_path / "file"
    file.write_text("x")
    exchange.known_folder(str(tmp_path))
    exchange.known_folder(str(tmp_path / "later"))
    exchange.known_folder("~/share")
    for wrong in (str(file), "share"):
        with pytest.raises(DataError):
            exchange.known_folder(wrong)
