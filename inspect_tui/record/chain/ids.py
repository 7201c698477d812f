"""Ids and time: UUIDv7 (RFC 9562) that never fall within a process, and the wall clock with its offset."""

from __future__ import annotations

import os
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager

Clock = Callable[[], tuple[int, int]]

# A record may lie for years; a clock that goes further ahead at once is not followed. Common practice, no source.
REST_US = 5 * 365 * 86_400_000_000

_TAIL_BITS = 74  # rand_a (12) and rand_b (62): what is not time, version or variant


def now() -> tuple[int, int]:
    """Microseconds UTC and the bench's offset from UTC in minutes."""
    at_ns = time.time_ns()
    return at_ns // 1000, time.localtime(at_ns // 1_000_000_000).tm_gmtoff // 60


class IdMaker:
    """Makes UUIDv7 ids that increase even when the clock steps back, and don't follow it years ahead at once.

    So ids stay in order and near their day through a time with a wrong clock, and after it was put right.
    `clock` gives microseconds UTC (and the offset); `random_bytes` gives n bytes. A demo record passes its own of
    both and is then the same to the byte each time.
    """

    def __init__(self, clock: Clock = now, random_bytes: Callable[[int], bytes] = os.urandom) -> None:
        self._clock = clock
        self._random = random_bytes
        self._lock = threading.Lock()
        self._ms = -1
        self._tail = 0
        self._instead: IdMaker | None = None
        self.rest_us = REST_US  # how far ahead the clock is followed at once; less while it is in doubt

    def __call__(self) -> bytes:
        """A new id, greater than every id this maker gave before."""
        if self._instead is not None:
            return self._instead()
        with self._lock:
            ms = max(self._clock()[0] // 1000, 0)
            if self._ms < ms and (self._ms < 0 or ms <= self._ms + self.rest_us // 1000):
                self._begin(ms)
            else:
                self._tail += 1 + int.from_bytes(self._random(4), "big")
                if self._tail >> _TAIL_BITS:
                    self._ms += 1
                    self._tail &= (1 << _TAIL_BITS) - 1
            a, b = self._tail >> 62, self._tail & ((1 << 62) - 1)
            return ((self._ms << 80) | (0x7 << 76) | (a << 64) | (0b10 << 62) | b).to_bytes(16, "big")

    @contextmanager
    def given_by(self, other: IdMaker) -> Iterator[None]:
        """While this block runs, ids are those of another maker: of a record with a clock of its own."""
        before, self._instead = self._instead, other
        try:
            yield
        finally:
            self._instead = before

    def _begin(self, ms: int) -> None:
        self._ms = ms
        # the top bit stays free, so that ids of one millisecond have room to count up
        self._tail = int.from_bytes(self._random(10), "big") >> (80 - _TAIL_BITS + 1)

    def believe(self, at_us: int) -> None:
        """Somebody said that it is this late (microseconds UTC), however far ahead that is."""
        with self._lock:
            if at_us // 1000 > self._ms:
                self._begin(at_us // 1000)

    def not_before(self, known: bytes) -> None:
        """Give only ids above `known`: after a restart with the clock set back, ids keep rising."""
        number = int.from_bytes(known, "big")
        ms, tail = number >> 80, ((number >> 64 & 0xFFF) << 62) | (number & ((1 << 62) - 1))
        with self._lock:
            if (ms, tail) > (self._ms, self._tail):
                self._ms, self._tail = ms, tail


uuid7 = IdMaker()


def written_ms(value: bytes) -> int:
    """When an id was given: milliseconds UTC."""
    return int.from_bytes(value[:6], "big")


def uuid_text(value: bytes) -> str:
    """The usual 8-4-4-4-12 form."""
    h = value.hex()
    return f"{h[:8]}-{h[8:12]}-{h[12:16]}-{h[16:20]}-{h[20:]}"


def uuid_parse(text: str) -> bytes | None:
    """The 16 bytes of an id typed with or without hyphens; None when it is none."""
    try:
        value = bytes.fromhex(text.strip().replace("-", ""))
    except ValueError:
        return None
    return value if len(value) == 16 else None
