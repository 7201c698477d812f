"""Takes bundles in portion by portion, so that who logs readings meanwhile waits for one portion and not for all.

A portion ends a chain earlier than its bundle does, and what it rests on is here already: the record is whole after
each. What rests on itself in a circle, or holds several chains, comes in at once.
"""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from itertools import islice
from pathlib import Path

from inspect_tui.errors import DataError
from inspect_tui.frozen import replace
from inspect_tui.record.merge.bundle import Bundle, Frontier, Manifest, frontier_of
from inspect_tui.record.merge.lines import Line
from inspect_tui.record.merge.take_in import TakenIn, take_in
from inspect_tui.record.store import Record

ENTRIES = 1_000  # of a portion: about 70 ms
PAUSE_S = 0.03  # between two of them: longer than who waits for the lock sleeps between two tries

Watch = Callable[[int], None]


class _Portion:
    """A part of a bundle that goes on where the part before it ended."""

    def __init__(self, bundle: Bundle, lines: Iterator[Line], after: int, until: int, first: bool) -> None:
        (device,) = bundle.manifest.until
        self.path: Path = bundle.path
        self.manifest: Manifest = replace(bundle.manifest, after={device: after}, until={device: until})
        self._bundle, self._lines, self._first = bundle, lines, first

    def prove(self) -> None:
        """The whole bundle was proved before its first part."""

    def lines(self) -> Iterator[Line]:
        """Its entries."""
        (device,) = self.manifest.until
        return islice(self._lines, self.manifest.until[device] - self.manifest.after[device])

    def pictures(self) -> Iterator[tuple[str, bytes]]:
        """All of the bundle's come with its first part: they are on the disk before the rows that name them."""
        return self._bundle.pictures() if self._first else iter(())


def take_in_gently(
    record: Record, bundles: Sequence[Bundle], adopt: str = "", watch: Watch | None = None, entries: int = ENTRIES
) -> TakenIn:
    """As `take_in`, in portions of so many entries. What came in before something was wrong, or before it was stopped
    (what `watch` raises), stays in: each chain goes on there the next time."""
    counts: Counter[str] = Counter()
    wrong: list[str] = []
    pending = list(bundles)
    while (ready := next((b for b in pending if _rests(b.manifest, frontier_of(record.connection))), None)) is not None:
        pending.remove(ready)
        try:
            ready.prove()
        except DataError as problem:
            wrong.append(str(problem))
            continue
        done = counts.total()
        for part in _portions(ready, entries):
            came = take_in(record, [part], adopt)
            counts.update(came.counts)
            wrong += came.wrong
            if came.wrong or came.waiting:
                break
            if watch is not None:
                watch(counts.total())
            if counts.total() > done:
                time.sleep(PAUSE_S)
    rest = take_in(record, pending, adopt, watch) if pending else TakenIn({}, (), ())
    counts.update(rest.counts)
    return TakenIn(dict(counts), rest.waiting, (*wrong, *rest.wrong))


def _rests(manifest: Manifest, here: Frontier) -> bool:
    """Whether a bundle of one chain rests on nothing but what is here."""
    ground = [*manifest.after.items(), *manifest.needs.items()]
    return len(manifest.until) == 1 and all(here.get(device, 0) >= seq for device, seq in ground)


def _portions(bundle: Bundle, entries: int) -> Iterator[_Portion]:
    ((device, until),) = bundle.manifest.until.items()
    after, lines = bundle.manifest.after.get(device, 0), bundle.lines()
    for start in range(after, until, entries):
        yield _Portion(bundle, lines, start, min(start + entries, until), start == after)
