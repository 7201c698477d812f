"""The exchange with the other benches beside the work: a thread and a connection of its own, told to who looks.

Nobody waits for it, and no reading: what comes in comes in portions, and each leaves the record to others.
"""

from __future__ import annotations

import threading
from collections.abc import Callable
from contextlib import suppress
from functools import partial
from typing import TYPE_CHECKING

from inspect_tui.errors import InspectError
from inspect_tui.frozen import frozen
from inspect_tui.shop.together import marks as marked
from inspect_tui.shop.together.marks import Marks

if TYPE_CHECKING:
    from pathlib import Path

    from inspect_tui.record.merge.clashes import Clash
    from inspect_tui.shop.together.exchange import Exchanged, Standing

AFTER_START_S = 4.0  # before the first look; the first frame is long up


@frozen
class Face:
    """What the face does: have something done on its own side, show the marks that are others now, say what came."""

    tell: Callable[[Callable[[], None]], object]
    marked: Callable[[], object]
    came: Callable[[str], object]


class Beside:
    """How it stands with the other benches, and the exchange that runs, if one does."""

    def __init__(self, path: Path, face: Face) -> None:
        self._path, self._face = path, face
        self.where = ""  # the folder or hub
        self.standing: Standing | None = None
        self.clashes: list[Clash] = []  # what has to be decided
        self.marks = Marks()  # where what is to be decided has to be seen
        self.last: Exchanged | None = None
        self.wrong: InspectError | None = None  # why the last exchange could not be
        self.done: int | None = None  # entries so far of the one that runs; None where none runs
        self._stop = threading.Event()
        self._looks = 0

    @property
    def running(self) -> bool:
        """Whether an exchange is on its way."""
        return self.done is not None

    # ---------------------------------------------------------------- looking
    def look(self) -> None:
        """Look again how it stands and what has to be decided."""
        self._looks += 1
        _beside(partial(self._looking, self.where, self._looks), "together-look")

    def _looking(self, where: str, number: int) -> None:
        from inspect_tui.record.store import Record
        from inspect_tui.shop.together import exchange

        with suppress(InspectError):  # a record that cannot be read now says so where it is worked with
            with Record.open(self._path, read_only=True) as record:
                clashes = exchange.to_decide(record)
                marks = marked.marks(record, clashes)
                standing = exchange.standing(record, where)
            self._tell(partial(self._looked, number, standing, clashes, marks))

    def _looked(self, number: int, standing: Standing, clashes: list[Clash], marks: Marks) -> None:
        if number != self._looks:
            return  # a newer look is on its way
        before, self.standing, self.clashes, self.marks = self.marks, standing, clashes, marks
        if before != marks:
            self._face.marked()

    # ---------------------------------------------------------------- exchanging
    def exchange(self) -> None:
        """Exchange once, unless one is on its way or nobody said with whom."""
        if self.where and not self.running:
            self.done = 0
            self._stop.clear()
            _beside(partial(self._exchanging, self.where), "together-exchange")

    def stop(self) -> None:
        """Stop the one that is on its way; what had come stays, and the next goes on from there."""
        self._stop.set()

    def _exchanging(self, where: str) -> None:
        from inspect_tui.shop.together import exchange

        def watch(done: int) -> None:
            self.done = done
            if self._stop.is_set():
                raise exchange.Stopped("Stopped: what had come in stays, and the next exchange goes on from there.")

        try:
            made = exchange.exchange(self._path, where, watch)
        except InspectError as problem:
            self._tell(partial(self._ended, None, problem))
        except Exception as error:
            told = f"Nothing more was exchanged ({type(error).__name__}: {str(error)[:160]}). What had come in stays."
            self._tell(partial(self._ended, None, InspectError(told)))
        else:
            self._tell(partial(self._ended, made, None))

    def _ended(self, made: Exchanged | None, wrong: InspectError | None) -> None:
        self.done, self.last, self.wrong = None, made, wrong
        self.look()
        if made is not None and made.came:
            self._face.came(made.words)

    def _tell(self, use: Callable[[], None]) -> None:
        with suppress(RuntimeError):  # the program has ended meanwhile: nobody wants to hear it
            self._face.tell(use)


def _beside(work: Callable[[], None], name: str) -> None:
    """Do it in a thread; who leaves waits for none of it, and what is half written is undone."""
    threading.Thread(target=work, name=name, daemon=True).start()
