"""Whether files tell that this machine was in use lately, by the clock that it has now.

A record may lie for years while the machine beside it is used every day: then files of the system, of people and of
other programs have times from in between. Where there are none, the clock may have jumped.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Iterable, Iterator
from contextlib import suppress
from itertools import islice
from pathlib import Path
from tempfile import gettempdir

# files of the last weeks say nothing: they were written by the clock that is asked about, wrong for a while perhaps
SETTLED_S = 30 * 86_400
MOST = 400  # entries that are looked at in a folder


def usual_folders(record: Path) -> list[Path]:
    """Where files are written as people work: beside the record, at home, for a while; and where programs are."""
    folders = [record.parent, Path(gettempdir()), Path(sys.prefix), Path(os.__file__).parent, Path("/var/log")]
    with suppress(RuntimeError, OSError):
        folders.insert(1, Path.home())
    return folders


def in_use(folders: Iterable[Path], now_us: int, within_us: int, but: Path | None = None) -> bool:
    """Whether a file there was changed within a while (microseconds) before `now_us`, and not just now.

    `but`: a record that does not speak for itself, nor do the files beside it that have its name in front.
    """
    first, last = (now_us - within_us) / 1e6, now_us / 1e6 - SETTLED_S
    own = but.name if but is not None else None
    return any(first <= at <= last for folder in folders for at in _times(folder, own))


def _times(folder: Path, own: str | None) -> Iterator[float]:
    with suppress(OSError), os.scandir(folder) as entries:
        for entry in islice(entries, MOST):
            if own is None or not entry.name.startswith(own):
                with suppress(OSError):
                    yield entry.stat(follow_symlinks=False).st_mtime
