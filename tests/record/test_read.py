"""A connection that only reads: beside the one who writes, in its own thread, and never writing."""

from __future__ import annotations

import threading

import pytest

from inspect_tui.errors import InspectError


def test_threads_read_through_their_own_reader_while_readings_are_logged(bench):
    wrong: list[str] = []
    stop = threading.Event()

    def watch() -> None:
        try:
            with bench.record.reader() as reader:
                seen = 0
                while not stop.is_set():
                    now = len(reader.readings())
                    if now < seen or not reader.verify().ok:
                        wrong.append(f"{now} after {seen}")
                    seen = now
        except Exception as error:  # a thread's error would else be lost
            wrong.append(repr(error))

    threads = [threading.Thread(target=watch) for _ in range(2)]
    for thread in threads:
        thread.start()
    for n in range(150):
        bench.log(59.0 + n / 1000)
    stop.set()
    for thread in threads:
        thread.join()
    assert wrong == []
    assert len(bench.record.readings()) == 150


def test_a_reader_cannot_write_and_a_connection_stays_in_its_thread(bench):
    with bench.record.reader() as reader:
        assert not hasattr(reader, "add")
        with pytest.raises(Exception, match=r"readonly|read-only|query_only"):
            reader._con.execute("INSERT INTO cache_summary SELECT * FROM cache_summary")
            reader._con.execute("DELETE FROM cache_summary")
    caught: list[BaseException] = []

    def elsewhere() -> None:
        try:
            bench.record.jobs()
        except InspectError as error:
            caught.append(error)

    thread = threading.Thread(target=elsewhere)
    thread.start()
    thread.join()
    assert len(caught) == 1
    assert "thread" in str(caught[0])
