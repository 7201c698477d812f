"""A folder into which a telephone or camera puts its pictures: which are new, and whole."""

from __future__ import annotations

from pathlib import Path

from inspect_tui.errors import DataError

SUFFIXES = frozenset({".jpg", ".jpeg", ".png", ".heic", ".heif"})
Look = tuple[int, int]  # bytes, and when it was written last, ns


class Watched:
    """What lies in the folder when the watch begins is left alone; a file that still grows waits for the next look."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._done = set(self._there())
        self._seen: dict[Path, Look] = {}

    def _there(self) -> dict[Path, Look]:
        try:
            paths = [path for path in self.folder.iterdir() if path.suffix.casefold() in SUFFIXES]
        except OSError as problem:
            raise DataError(f"The folder {self.folder} cannot be read: {problem.strerror or problem}.") from problem
        there = {}
        for path in paths:
            try:
                state = path.stat()
            except OSError:  # it went away again, as files do while something else writes them
                continue
            if path.is_file() and not path.name.startswith("."):
                there[path] = (state.st_size, state.st_mtime_ns)
        return there

    def new(self) -> list[Path]:
        """Pictures that came since the watch began and did not change since the last look; each once, oldest first."""
        there = self._there()
        ready = [p for p, look in there.items() if p not in self._done and look[0] and self._seen.get(p) == look]
        self._seen = there
        self._done.update(ready)
        return sorted(ready, key=lambda path: (there[path][1], path.name))
