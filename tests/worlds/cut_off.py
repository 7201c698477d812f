"""Acts on a record that are killed with -9 at a chosen step, each time from the same beginning, and what stands then.

    python -m tests.worlds.cut_off FOLDER backup --cuts 9 --torn 4   # before nine steps, and in the middle of four writes
    python -m tests.worlds.cut_off FOLDER backup --every             # before every step there is
    python -m tests.worlds.cut_off FOLDER backup --full 5            # not killed: the disk fills up, at five moments

A step is a statement that changes something, or a call of the system that does: a name, a file, a flush. Torn: the
system itself kills at the byte where a file would become longer than it may (SIGXFSZ). Full: where FOLDER is a small disk
of its own it is filled up, else no file may become longer than so many bytes. One line of JSON for each cut: how it ended,
and what is wrong afterwards. Every act is done once more after it was cut, and everything acknowledged has to
be there then.
"""

from __future__ import annotations

import argparse
import io
import json
import os
import random
import re
import resource
import shutil
import signal
import sqlite3
import sys
from collections.abc import Callable, Iterator
from contextlib import suppress
from datetime import datetime
from functools import partial
from pathlib import Path
from types import FrameType
from typing import Any

from inspect_tui.errors import InspectError
from inspect_tui.frozen import replace
from inspect_tui.record import attachments
from inspect_tui.record.care import backups
from inspect_tui.record.care.restore import restore
from inspect_tui.record.care.salvage import salvage
from inspect_tui.record.file.state import state_dir
from inspect_tui.record.merge.folder import sync_folder
from inspect_tui.record.store import Record
from tests.record.file.released import record_of
from tests.worlds.writer_probe import furnish

NOW = datetime(2026, 3, 10, 16, 30)
DOT = b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR\0\0\0\1\0\0\0\1\x08\0\0\0\0\0\0\0\0\0\0\0\0IEND\0\0\0\0"
DOT_2 = DOT.replace(b"\0\0\0\1\x08", b"\0\0\0\2\x08")
_CHANGES = re.compile(
    r"\s*(begin|commit|insert|delete|update|create|drop|alter|pragma (user_version ?=|journal_mode ?=|wal_check))", re.I
)
_CALLS = {"replace", "rename", "link", "unlink", "remove", "fsync", "pwrite", "write", "mkdir", "rmdir", "ftruncate"}


# ---------------------------------------------------------------- where it stops
class _Steps:
    """Counts the steps of this process and kills it before the chosen one."""

    def __init__(self, at: int) -> None:
        self.left = at

    def one(self) -> None:
        self.left -= 1
        if self.left == 0:
            os.kill(os.getpid(), signal.SIGKILL)


def _stop_at(at: int) -> _Steps:
    steps = _Steps(at)

    class Watched(sqlite3.Connection):
        def execute(self, sql: str, *values: Any) -> sqlite3.Cursor:
            if _CHANGES.match(sql):
                steps.one()
            return super().execute(sql, *values)

        def backup(self, *given: Any, **more: Any) -> None:
            steps.one()
            super().backup(*given, **more)

    real = sqlite3.connect
    sqlite3.connect = lambda *given, **more: real(*given, **{"factory": Watched, **more})

    def called(_: FrameType, event: str, what: Any) -> None:
        if event == "c_call" and what.__name__ in _CALLS:
            of_system = what.__module__ == "posix" or isinstance(what.__self__, io.IOBase)
            if of_system:
                steps.one()

    sys.setprofile(called)
    return steps


def _torn_at(size: int) -> None:
    signal.signal(signal.SIGXFSZ, signal.SIG_DFL)
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    resource.setrlimit(resource.RLIMIT_FSIZE, (size, resource.RLIM_INFINITY))


def _in_a_child(begin: Callable[[], Any], act: Callable[[], None]) -> str:
    """Run an act in a child: `done` when it came to its end, `killed`, `refused` in a sentence, or `failed` without."""
    pid = os.fork()
    if pid == 0:
        status = 1
        try:
            begin()
            act()
            sys.setprofile(None)
            status = 0
        except BaseException as wrong:
            sys.setprofile(None)
            print(f"{type(wrong).__name__}: {wrong}", file=sys.stderr)
            status = 3 if isinstance(wrong, InspectError) else 1
        finally:
            os._exit(status)
    _, status = os.waitpid(pid, 0)
    if os.WIFSIGNALED(status):
        return "killed" if os.WTERMSIG(status) in (signal.SIGKILL, signal.SIGXFSZ) else f"signal {os.WTERMSIG(status)}"
    return {0: "done", 3: "refused"}.get(os.WEXITSTATUS(status), "failed")


# ---------------------------------------------------------------- the world and the acts
class World:
    """The folder in which an act is done: a record that was killed once, its state, backups, a share."""

    def __init__(self, at: Path) -> None:
        self.at = at
        self.path = at / "shop.db"
        self.share, self.stick = at / "share", at / "stick"
        self.said, self.said_elsewhere = at / "said", at / "said-elsewhere"

    def acknowledged(self, everywhere: bool) -> set[str]:
        """What this bench said that it logged, or all benches."""
        files = (self.said, self.said_elsewhere) if everywhere else (self.said,)
        return {word for file in files if file.exists() for word in file.read_text().split() if len(word) == 32}

    def more(self, record: Record, many: int) -> None:
        """Log readings, and say of each that it is logged; the saying itself is no step."""
        reading = furnish(record)
        for n in range(many):
            logged = record.append_reading(replace(reading, value=59.5 + n / 100, typed=f"{59.5 + n / 100}"))
            profile = sys.getprofile()
            sys.setprofile(None)
            with suppress(OSError), (self.said if record.path == self.path else self.said_elsewhere).open("a") as file:
                file.write(f"{logged.id.hex()}\n")
            sys.setprofile(profile)

    # ------------------------------------------------------------ beginnings
    def begin(self, act: str) -> None:
        """Make what the act starts from."""
        if act in ("make", "migrate"):
            if act == "migrate":
                record_of(1, self.path)
            return
        with Record.open(self.path, create=True, bench="bench 1") as record:
            self.more(record, 3)
            attachments.keep(record, DOT, "seat.png", record.people()[0].id)
        if act in ("backup", "restore"):
            for hour in (8, 9):
                backups.make(self.path, NOW.replace(hour=hour), second=self.stick)
        if act == "sync":
            self.share.mkdir()
            with Record.open(self.at / "other.db", create=True, bench="bench 2") as other:
                self.more(other, 4)
                attachments.keep(other, DOT_2, "print.png", other.people()[0].id)
                sync_folder(other, self.share)
            with Record.open(self.path) as record:
                sync_folder(record, self.share, adopt="bench 2")
                self.more(record, 2)
            with Record.open(self.at / "other.db") as other:
                self.more(other, 2)
                sync_folder(other, self.share)
        # its last readings stand in the log alone
        if _in_a_child(lambda: None, self._killed_while_logging) != "killed":
            raise RuntimeError("the writer should have been killed")

    def _killed_while_logging(self) -> None:
        with Record.open(self.path) as record:
            self.more(record, 2)
            os.kill(os.getpid(), signal.SIGKILL)

    # ------------------------------------------------------------ acts
    def log(self) -> None:
        with Record.open(self.path) as record:
            self.more(record, 4)
            attachments.keep(record, DOT_2, "print.png", record.people()[0].id)
            target = next(logged.reading.id for logged in record.readings() if not logged.out)
            record.void(target, "misread", "slipped", record.people()[0].id)

    def make(self) -> None:
        with Record.open(self.path, create=True) as record:
            self.more(record, 2)

    def migrate(self) -> None:
        Record.open(self.path).close()

    def backup(self) -> None:
        backups.make(self.path, NOW, second=self.stick)

    def restore(self) -> None:
        stamp = f"20260310-16300{len(list(self.at.glob('shop-before-*')))}"
        restore(backups.by_the_clock(self.at / "backups", "shop")[0].path, self.path, stamp)

    def salvage(self) -> None:
        if not (self.at / "saved.db").exists():  # else it had come to its end
            salvage(self.path, self.at / "saved.db", state_dir(), "bench 1", "test")

    def sync(self) -> None:
        with Record.open(self.path) as record:
            done = sync_folder(record, self.share)
        if done.came.wrong or done.came.waiting:
            raise RuntimeError(f"{done.came.wrong} {done.came.waiting}")

    # ------------------------------------------------------------ what has to stand afterwards
    def wrong(self, act: str) -> Iterator[str]:
        """What does not hold after the act was cut: at once, and when it was done again."""
        older = {path for folder in ("backups", "stick") for path in (self.at / folder).glob("shop-20260310-0*.db")}
        if act in ("backup", "restore") and len(older) != 4:
            yield f"of 4 older backups {len(older)} are left"
        for path in (*(self.at / "backups").glob("*.db"), *self.stick.glob("*.db"), *self.at.glob("shop-before-*.db")):
            yield from _not_whole(path)
        if self.path.exists():
            if act != "restore":
                yield from self._lost([self.path], everywhere=False)
        elif act not in ("make", "restore"):
            yield "the record is gone"
        for half_written in self.at.rglob(".*"):
            os.utime(half_written, (0, 0))  # left long ago
        try:
            getattr(self, act)()
        except InspectError as refused:
            yield f"done again it is refused: {refused}"
            return
        yield from self._lost([self.path, *self.at.glob("shop-before-*.db")])
        if act == "backup":
            for folder in (self.at / "backups", self.stick):
                newest = backups.by_the_clock(folder, "shop")[0]
                yield from self._lost([newest.path])
                if sum(path.is_file() for path in (folder / "att").glob("??/*")) != 1:
                    yield f"not one picture in {folder.name}"
        if act == "salvage":
            yield from self._lost([self.at / "saved.db"])
        if act == "sync":
            yield from self._at_the_others()
        hidden = (path for path in self.at.rglob(".*") if ".shared-" not in path.name)  # a memory, and it stays
        left = [str(path.relative_to(self.at)) for path in (*hidden, *self.at.glob("*-coming*"))]
        if left:
            yield f"left behind for ever: {', '.join(left)}"

    def _at_the_others(self) -> Iterator[str]:
        for name in ("other.db", "new.db"):
            with Record.open(self.at / name, create=True, bench=name) as record:
                done = sync_folder(record, self.share)
            if done.came.wrong or done.came.waiting:
                yield f"{name}: {done.came.wrong} {done.came.waiting}"
            yield from self._lost([self.at / name])

    def _lost(self, places: list[Path], everywhere: bool = True) -> Iterator[str]:
        there: set[str] = set()
        for path in places:
            yield from _not_whole(path)
            with Record.open(path, read_only=True) as record:
                there |= {logged.reading.id.hex() for logged in record.readings()}
        if lost := self.acknowledged(everywhere) - there:
            yield f"{len(lost)} acknowledged readings are not in {', '.join(path.name for path in places)}"


def _not_whole(path: Path) -> Iterator[str]:
    try:
        with Record.open(path, read_only=True) as record:
            checked = record.verify()
    except InspectError as wrong:
        yield f"{path.name} does not open: {wrong}"
        return
    if not checked.ok:
        yield f"{path.name}: {checked.problems[0]}"


ACTS = ("log", "make", "migrate", "backup", "restore", "salvage", "sync")


class Stage:
    """One act, done again and again from the same beginning in a folder of its own."""

    def __init__(self, folder: Path, act: str) -> None:
        self.act, self.kept, self.world = act, folder / "kept", World(folder / "at")
        os.environ["INSPECT_TUI_STATE"] = str(self.world.at / "state")
        self.world.at.mkdir(parents=True)
        self.world.begin(act)
        shutil.copytree(self.world.at, self.kept)

    def cut(self, begin: Callable[[], Any]) -> dict[str, Any]:
        """How the act ended, and what is wrong afterwards."""
        self._from_the_beginning()
        ended = _in_a_child(begin, getattr(self.world, self.act))
        return {"act": self.act, "ended": ended, "wrong": list(self.world.wrong(self.act))}

    def steps(self) -> int:
        """How many steps the act has that comes to its end."""
        self._from_the_beginning()
        told = self.kept.with_name("steps")

        def counted() -> None:
            steps = _stop_at(0)
            getattr(self.world, self.act)()
            sys.setprofile(None)
            told.write_text(str(-steps.left))

        if _in_a_child(lambda: None, counted) != "done":
            raise RuntimeError(f"{self.act} does not come to its end")
        return int(told.read_text())

    def full(self, left: int) -> dict[str, Any]:
        """How the act ended on a disk with so many bytes left, and what is wrong when there is room again."""
        self._from_the_beginning()
        ballast = self.kept.with_name("ballast")
        act = getattr(self.world, self.act)
        if self.kept.parent.parent.is_mount():
            disk = os.statvfs(self.kept)
            with ballast.open("wb") as file:
                os.posix_fallocate(file.fileno(), 0, max(disk.f_bavail * disk.f_frsize - left, 1))
            ended = _in_a_child(lambda: None, act)
            ballast.unlink()
        else:
            ended = _in_a_child(lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (left, left)), act)
        return {"act": self.act, "ended": ended, "wrong": list(self.world.wrong(self.act))}

    def sizes(self) -> tuple[int, int]:
        """Between which lengths of files writes are torn."""
        return 512, max(path.stat().st_size for path in self.world.at.rglob("*") if path.is_file()) + 200_000

    def _from_the_beginning(self) -> None:
        shutil.rmtree(self.world.at)
        shutil.copytree(self.kept, self.world.at)


def main(arguments: list[str]) -> int:
    """Cut, tell of each cut in a line, and end with 1 where something was wrong."""
    parser = argparse.ArgumentParser()
    parser.add_argument("folder", type=Path)
    parser.add_argument("acts", nargs="+", choices=ACTS)
    parser.add_argument("--cuts", type=int, default=0)
    parser.add_argument("--torn", type=int, default=0)
    parser.add_argument("--full", type=int, default=0)
    parser.add_argument("--every", action="store_true")
    parser.add_argument("--seed", type=int, default=1)
    args = parser.parse_args(arguments)
    return 1 if sum(_cut_off(act, args) for act in args.acts) else 0


def _cut_off(act: str, args: argparse.Namespace) -> int:
    """How often something was wrong."""
    dice = random.Random(f"{act} {args.seed}")
    stage = Stage(args.folder / act, act)
    failed = 0
    if args.cuts or args.every:
        steps = stage.steps()
        chosen = range(1, steps + 1) if args.every else sorted(dice.sample(range(1, steps + 1), min(args.cuts, steps)))
        for at in chosen:
            told = {"at": at, "of": steps, **stage.cut(partial(_stop_at, at))}
            failed += bool(told["wrong"]) or told["ended"] != "killed"
            print(json.dumps(told), flush=True)
    for _ in range(args.torn):
        size = dice.randint(*stage.sizes())
        told = {"torn": size, **stage.cut(partial(_torn_at, size))}
        failed += bool(told["wrong"])
        print(json.dumps(told), flush=True)
    for n in range(args.full):
        left = dice.randint(0, 40_000 << n % 8)
        told = {"left": left, **stage.full(left)}
        failed += bool(told["wrong"]) or told["ended"] not in ("done", "refused")
        print(json.dumps(told), flush=True)
    shutil.rmtree(args.folder / act)
    return failed


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
