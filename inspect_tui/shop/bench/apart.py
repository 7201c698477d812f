"""Lines that wait at the Bench, kept outside the record until they are logged or dropped, whatever ends the program.

One small file a program, written whole whenever a line begins or ceases to wait. Another program on the same record
leaves it alone while its owner lives (it holds a lock beside it), and takes its lines over once the owner is gone.
"""

from __future__ import annotations

import json
import os
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

from inspect_tui.record.file.state import state_dir
from inspect_tui.shop.bench.line import Bench

TYPE_CHECKING = False
if TYPE_CHECKING:
    from inspect_tui.record.store import Record

try:
    import fcntl
except ImportError:  # there the lines of another program are taken for those of one that ended
    fcntl = None  # type: ignore[assignment]

Lines = list[tuple[str, str]]  # balloon, text

_held: dict[Path, int] = {}  # locks of this program


def _folder() -> Path:
    return state_dir() / "waiting"


def _own() -> Path:
    return _folder() / f"{os.getpid()}.json"


def _read(path: Path) -> dict[str, Lines]:
    try:
        kept = json.loads(path.read_text("utf-8"))
        return {str(on): [(str(balloon), str(text)) for balloon, text in lines] for on, lines in kept.items()}
    except (OSError, ValueError, TypeError, AttributeError):
        return {}  # spoiled: what was in it is lost, work goes on


def _write(path: Path, kept: dict[str, Lines]) -> None:
    with suppress(OSError):  # a full disk is no reason to stop work: the lines stand on the screen
        kept = {on: lines for on, lines in kept.items() if lines}
        if not kept:
            path.unlink(missing_ok=True)
            return
        path.parent.mkdir(parents=True, exist_ok=True)
        new = path.with_suffix(".new")
        new.write_text(json.dumps(kept), "utf-8")
        new.replace(path)


def _lock(path: Path) -> bool:
    """Hold the lock beside a file; False while another program does."""
    beside = path.with_suffix(".lock")
    if fcntl is None or beside in _held:
        return True
    try:
        beside.parent.mkdir(parents=True, exist_ok=True)
        fd = os.open(beside, os.O_RDWR | os.O_CREAT | os.O_CLOEXEC, 0o600)
    except OSError:
        return True
    try:
        fcntl.flock(fd, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        os.close(fd)
        return False
    _held[beside] = fd
    return True


def _let_go(path: Path) -> None:
    beside = path.with_suffix(".lock")
    fd = _held.pop(beside, None)
    if fd is not None:
        os.close(fd)
        with suppress(OSError):
            beside.unlink()


def _of(bench: Bench) -> str:
    return "\n".join((str(bench.record.path), bench.job.number, bench.subject.label))


def keep(bench: Bench) -> None:
    """Keep the lines that wait at a stay as they are now."""
    own = _own()
    if _lock(own):
        _write(own, _read(own) | {_of(bench): [(line.balloon, line.text) for line in bench.waiting]})


def _left(bench: Bench) -> Iterator[tuple[str, str]]:
    """The lines that wait for this tool in our own file and in those of programs that are gone, which are cleared."""
    on, own = _of(bench), _own()
    yield from _read(own).get(on, [])
    with suppress(OSError):
        for path in sorted(_folder().glob("*.json")):
            if path == own or not _lock(path):
                continue
            kept = _read(path)
            yield from kept.pop(on, [])
            _write(path, kept)
            _let_go(path)


def attend(bench: Bench) -> int:
    """Let the lines that were typed for this tool and never logged wait again, and keep what waits from now on.

    Returns how many there are.
    """
    left = list(_left(bench))
    for balloon, text in left:
        bench.wait(balloon, text)
    bench.on_waiting = keep
    if left:
        keep(bench)
    return len(left)


def waiting_elsewhere(record: Record, bench: Bench) -> list[str]:
    """The tools on which lines of this program wait, other than the one at hand."""
    here = _of(bench)
    mine = f"{record.path}\n"
    return [on.rsplit("\n", 1)[1] for on in _read(_own()) if on != here and on.startswith(mine)]
