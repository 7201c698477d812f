"""The exchange beside the work: told on the face's side, stopped, and never two at once."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from pathlib import Path
from queue import Queue

import pytest

from inspect_tui.errors import InspectError
from inspect_tui.record import kinds
from inspect_tui.record.merge.clashes import Clash
from inspect_tui.shop.together import beside, exchange
from inspect_tui.shop.together.beside import Beside, Face
from inspect_tui.shop.together.exchange import Exchanged
from tests.record.merge.conftest import Station, share, stations  # noqa: F401


class Hearing:
    """A face whose own side is the test: what it is told is done when it looks."""

    def __init__(self, path: Path) -> None:
        self.told: Queue[Callable[[], None]] = Queue()
        self.marked, self.said = 0, list[str]()
        self.beside = Beside(path, Face(self.told.put, self._marked, self.said.append))

    def _marked(self) -> None:
        self.marked += 1

    def hear(self, times: int = 1) -> None:
        for _ in range(times):
            self.told.get(timeout=20)()


@pytest.fixture
def station(stations: Callable[[str], Station]) -> Station:
    made = stations("bench a")
    made.furnish()
    return made


@pytest.fixture
def hearing(station: Station, monkeypatch: pytest.MonkeyPatch) -> Iterator[Hearing]:
    monkeypatch.setenv("INSPECT_TUI_STATE", str(station.folder / "state"))
    yield Hearing(station.record.path)


def test_it_looks_and_tells_of_other_marks_once(
    hearing: Hearing, station: Station, share: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    here = hearing.beside
    here.where = str(share)
    here.look()
    hearing.hear()
    assert here.standing is not None and here.standing.unsent > 5 and here.clashes == [] and hearing.marked == 0
    (person,) = station.record.people()
    clash = Clash("name", kinds.PERSON, "x", (person.of_id,), ("a", "b"))
    monkeypatch.setattr(exchange, "to_decide", lambda _: [clash])
    for _ in range(2):
        here.look()
        hearing.hear()
    assert here.clashes == [clash] and hearing.marked == 1
    assert here.marks.said(person.of_id) == "≠ contested"


def test_an_older_look_says_nothing(hearing: Hearing) -> None:
    hearing.beside.look()
    hearing.beside.look()
    first, second = hearing.told.get(timeout=20), hearing.told.get(timeout=20)
    hearing.beside._looks += 1
    first()
    second()
    assert hearing.beside.standing is None


def test_nothing_is_exchanged_where_nobody_said_with_whom(hearing: Hearing) -> None:
    hearing.beside.exchange()
    assert not hearing.beside.running


def test_one_runs_at_a_time_and_is_stopped(hearing: Hearing, share: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    here, begun, may_go, times = hearing.beside, threading.Event(), threading.Event(), list[str]()

    def slow(path: Path, where: str, watch: Callable[[int], None]) -> Exchanged:
        times.append(where)
        watch(5)
        begun.set()
        assert may_go.wait(20)
        watch(10)
        return Exchanged(came=10, readings=4)

    monkeypatch.setattr(exchange, "exchange", slow)
    here.where = str(share)
    here.exchange()
    assert begun.wait(20) and here.running and here.done == 5
    here.exchange()
    here.stop()
    may_go.set()
    hearing.hear()
    assert not here.running and "Stopped" in str(here.wrong) and times == [str(share)] and hearing.said == []
    hearing.hear()  # it looks again how it stands
    here.exchange()
    hearing.hear()
    assert here.wrong is None and hearing.said == ["Exchanged: 10 entries came in, 4 readings among them."]


def test_what_nobody_thought_of_is_a_sentence_too(
    hearing: Hearing,
    share: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def broken(*_: object) -> Exchanged:
        raise ZeroDivisionError("odd")

    monkeypatch.setattr(exchange, "exchange", broken)
    hearing.beside.where = str(share)
    hearing.beside.exchange()
    hearing.hear()
    assert isinstance(hearing.beside.wrong, InspectError) and "ZeroDivisionError: odd" in str(hearing.beside.wrong)
    assert not hearing.beside.running


def test_where_the_program_has_ended_nobody_is_told(station: Station, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("INSPECT_TUI_STATE", str(station.folder / "state"))
    done = threading.Event()

    def gone(_: Callable[[], None]) -> None:
        done.set()
        raise RuntimeError("no loop")

    hook: list[object] = []
    monkeypatch.setattr(threading, "excepthook", hook.append)
    Beside(station.record.path, Face(gone, lambda: None, lambda _: None)).look()
    assert done.wait(20) and hook == [] and beside.AFTER_START_S > 1
