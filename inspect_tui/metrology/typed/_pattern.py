"""Regular expressions that are compiled when they are first used.

Compiling the dozen patterns of the entry line takes 6 ms, half of what a whole `inspect-tui log` may cost; a reading
such as 59.66 needs one of them.
"""

from __future__ import annotations

import re

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    Match = re.Match[str]


class Pattern:
    """A pattern with the calls of `re.Pattern` that are used here."""

    __slots__ = ("_compiled", "flags", "text")

    def __init__(self, text: str, flags: int = 0) -> None:
        self.text, self.flags = text, flags
        self._compiled: re.Pattern[str] | None = None

    @property
    def compiled(self) -> re.Pattern[str]:
        """The compiled pattern."""
        if self._compiled is None:
            self._compiled = re.compile(self.text, self.flags)
        return self._compiled

    def match(self, text: str, start: int = 0) -> Match | None:
        """As `re.Pattern.match`."""
        return self.compiled.match(text, start)

    def fullmatch(self, text: str) -> Match | None:
        """As `re.Pattern.fullmatch`."""
        return self.compiled.fullmatch(text)

    def search(self, text: str, start: int = 0) -> Match | None:
        """As `re.Pattern.search`."""
        return self.compiled.search(text, start)

    def sub(self, to: str | Callable[[Match], str], text: str) -> str:
        """As `re.Pattern.sub`."""
        return self.compiled.sub(to, text)

    def subn(self, to: str | Callable[[Match], str], text: str) -> tuple[str, int]:
        """As `re.Pattern.subn`."""
        return self.compiled.subn(to, text)

    def finditer(self, text: str) -> Iterator[Match]:
        """As `re.Pattern.finditer`."""
        return self.compiled.finditer(text)

    def findall(self, text: str) -> list[str]:
        """As `re.Pattern.findall`."""
        return self.compiled.findall(text)
