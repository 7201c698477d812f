"""A day at the Bench through a pseudo-terminal: what was sent is compared with what stands in the record.

A maker walks casting by casting down a list of twenty-four sizes and an angle with the eyes on the work: a caliper that
ends its readings with Tab, an inch caliper from noon on, a template for the angle; one slip in twenty, one size in fifty
passed over. There are two breaks (the program is left and begun again), a kill in the middle of a line, a full disk, a
switch of the unit in which lengths are shown, and a colleague at a second window who reads a size of the same casting
while the first goes on. The whole day lies on a disk of its own (tmpfs) that is filled, where one can be mounted.
"""

from __future__ import annotations

import argparse
import os
import pty
import random
import re
import resource
import signal
import subprocess
import sys
import time
import tty
from collections import Counter
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path

from inspect_tui.model.measuring import Calibration, Instrument, Person
from inspect_tui.record.store import Record
from inspect_tui.shop.bench import apart
from inspect_tui.shop.bench.line import Bench
from inspect_tui.shop.common import find
from inspect_tui.shop.jobs import jobs
from tests.benchmarks.pty_probe import Child
from tests.worlds import walkers
from tests.worlds.slips_bench import slipped

TAB, ENTER = "\t", "\r"
F3, F4, QUIT, OTHER, UNITS = "\x1bOR", "\x1bOS", "\x11", "\x0f", "\x0b"
ANGLE = """
[[feature]]
balloon = "A1"
name = "branch angle"
quantity = "angle"
axis = "none"
nominal = 75
limits = "±1"
a = "core 1"
b = "core 1"
between = "space"
"""
SLIP_KINDS = ["swapped digits", "misread digit", "lost digit", "decimal point"]
Sent = tuple[str, str, str]  # text, balloon, casting


def make(path: Path, sizes: int, castings: int, angle: str = ANGLE) -> None:
    """The record of the day: its sizes, its castings, two people and three gauges, one of which speaks with Tab."""
    lengths = [
        f'[[feature]]\nballoon = "F{n:02}"\nname = "size {n}"\nnominal = {nominal}\nlimits = "±0.3"\n'
        'a = "core 1"\nb = "core 1"\nbetween = "space"\naxis = "x"\n'
        for n, nominal in enumerate(walkers.NOMINAL[:sizes], start=1)
    ]
    with Record.open(path, create=True) as record:
        jobs.add_from_file(record, "\n".join([walkers.HEAD, *lengths, angle]))
        job = find.job(record, None)
        for n in range(1, castings + 1):
            jobs.add_casting(record, job, f"D{n:02}")
        ab = record.add(Person(initials="AB"))
        record.add(Person(initials="CD"))
        for label, unit, step, reach in (("mm caliper", "mm", 0.01, 600.0), ("inch caliper", "in", 0.0005, 24.0)):
            gauge = record.add(Instrument(label=label, unit=unit, resolution=step, range_hi=reach))
            record.add(Calibration(instrument_of_id=gauge.of_id, done_on="2026-01-05", u95_mm=0.04))
        record.add(Instrument(label="template", kind="template", unit="deg", resolution=0.1, range_hi=180.0))
        from inspect_tui.model.gauges import InstrumentProfile

        mm = find.instrument(record, "mm caliper")
        record.add(InstrumentProfile(instrument_of_id=mm.of_id, end_key="tab"), by=ab.id)


class Window:
    """One program on a terminal of 80 x 24."""

    def __init__(self, record: Path, state: Path) -> None:
        options = argparse.Namespace(
            cols=80,
            rows=24,
            term="xterm-256color",
            cwd=str(Path(__file__).parents[2]),
            env=[f"INSPECT_TUI_STATE={state}", f"INSPECT_TUI_CONFIG={state / 'config'}", "TEXTUAL_ANIMATIONS=none"],
        )
        self.child = Child(f"{sys.executable} -m inspect_tui --record {record}", options)
        self.child.until("F10 places", 60.0)
        self.child.settle(0.2)

    def keys(self, *keys: str) -> None:
        """Keys one after the other, each dealt with before the next."""
        for key in keys:
            self.child.screen.mark()
            self.child.send(key)
            self.child.settle(0.15)

    def rest(self, seconds: float) -> None:
        """Read for so long; a cursor that blinks twice a second is never quiet."""
        until = time.perf_counter() + seconds
        while self.child.status is None and (left := until - time.perf_counter()) > 0.0:
            self.child.pump(left)

    def choose(self, key: str, text: str, seen: str) -> None:
        """Open a list with a key, take what is called so, and wait until it is in hand, however busy the machine is."""
        self.child.send(key)
        self.rest(1.0)
        self.keys(text, ENTER)
        self.on_screen(seen, 60.0)

    def line(self, text: str, end: str, answers: tuple[str, ...]) -> str:
        """One reading; which of the answers came on the screen. The answer before, painted once more, is none."""
        before = self._answered(answers)
        self.child.send(text + end)
        until = time.perf_counter() + 30.0
        while time.perf_counter() < until and self.child.status is None:
            self.child.pump(0.2)
            for said, answer in self._answered(answers).items():
                if said not in before:
                    return answer
        raise AssertionError("\n".join([f"no answer to {text!r}:", *self.child.screen.lines()]))

    def _answered(self, answers: tuple[str, ...]) -> dict[str, str]:
        """What stands on the screen from an answer on, and which it is."""
        lines = self.child.screen.lines()
        return {line[line.index(answer) :].rstrip(): answer for line in lines for answer in answers if answer in line}

    def on_screen(self, text: str, limit: float = 20.0) -> None:
        """Wait until a text is there."""
        self.child.until(text, limit)

    def kill(self) -> None:
        """As when the power is switched off at the machine, for the program."""
        os.kill(self.child.pid, signal.SIGKILL)
        self._reap()

    def quit(self) -> None:
        """Leave as people do."""
        self.child.send(QUIT)
        self._reap()

    def _reap(self) -> None:
        until = time.perf_counter() + 30.0
        while self.child.status is None and time.perf_counter() < until:
            self.child.pump(0.2)
        os.close(self.child.fd)


@dataclass
class Day:
    """What was done in a day, and what came of it."""

    folder: Path
    dice: random.Random
    sizes: int
    castings: int
    gap_s: float  # of a person between two readings, at least
    sent: list[Sent] = field(default_factory=list)
    wrong: list[Sent] = field(default_factory=list)
    lost: list[Sent] = field(default_factory=list)
    marked: int = 0
    disk: Path | None = None  # a small disk of its own for the record, which can be filled; else files stop growing
    full: bool = False
    refused: int = 0  # lines that came while the disk was full and waited
    second: Window | None = None
    seen_s: list[float] = field(default_factory=list)  # until one window showed what was read at the other

    def __post_init__(self) -> None:
        self.record, self.state = (self.disk or self.folder) / "day.db", self.folder / "state"
        self.gauge = "mm caliper"
        os.environ["INSPECT_TUI_STATE"] = str(self.state)
        make(self.record, self.sizes, self.castings)

    # ---------------------------------------------------------------- the day
    def run(self) -> Day:
        """From the first casting to the last; then what waits is answered, and all is compared."""
        window = self.come()
        for n in range(1, self.castings + 1):
            casting = f"D{n:02}"
            window.keys(OTHER, casting, ENTER)
            window.on_screen(f"casting {casting}")
            middle = self.sizes // 2
            for at, (balloon, mm) in enumerate(self.list_of(window, casting)):
                if at == middle and n in self.breaks:
                    window.quit()  # a break
                    window = self.come(self.gauge)
                if at == middle and n == 1 + self.castings // 3:
                    window.child.send("59.")  # in the middle of a line
                    window.child.settle(0.3)
                    window.kill()
                    window = self.come(self.gauge)
                if at == middle and n == self.castings and self.disk is not None:
                    self.fill()
                elif at == middle and n == self.castings:
                    self.full_disk(window, casting, balloon, mm)
                    continue
                if at == middle + 1 and n == 1:
                    self.colleague(window, casting)
                if at == 1 and n == 2:
                    window.keys(UNITS)  # figures are shown in inches from here on
                if at == 2 and n == 1 + self.castings // 2:
                    self.take_gauge(window, "inch caliper")
                self.read(window, casting, balloon, mm)
                self.colleague_sees()
            self.make_room()
            self.angle(window, casting)
        window.quit()
        self.compare()
        return self

    def come(self, gauge: str = "mm caliper") -> Window:
        """The program is begun; the first time somebody says who, and with what."""
        window = Window(self.record, self.state)
        if "who? F3" in window.child.screen.lines()[0]:
            window.choose(F3, "AB", "AB · ")
        if "instrument? F4" in window.child.screen.lines()[0]:
            window.choose(F4, gauge, f"· {gauge}")
        return window

    def take_gauge(self, window: Window, gauge: str) -> None:
        """Another gauge in hand."""
        self.gauge = gauge
        window.choose(F4, gauge, f"· {gauge}")

    def list_of(self, window: Window, casting: str) -> list[tuple[str, float]]:
        """The lengths of the list in the order in which they are walked; a person passes some over."""
        walked = [(f"F{n:02}", nominal) for n, nominal in enumerate(walkers.NOMINAL[: self.sizes], start=1)]
        return [size for size in walked if self.dice.random() >= walkers.PASSED_OVER]

    def read(self, window: Window, casting: str, balloon: str, mm: float) -> None:
        """One reading of a size, now and then with a slip; nobody looks at what comes of it."""
        text = self.text_of(mm)
        if self.dice.random() < walkers.SLIPS:
            text = slipped(self.dice, self.dice.choice(SLIP_KINDS), text, "mm") or text
        self.sent.append((text, balloon, casting))
        time.sleep(self.dice.uniform(self.gap_s, 1.5 * self.gap_s))
        window.line(text, self.end, ("logged  ", "Not logged", "waits: ", "Waiting"))
        if self.full and "disk is full" in " ".join(window.child.screen.lines()):
            self.refused += 1
            self.make_room()

    @property
    def breaks(self) -> set[int]:
        """The castings in the middle of which the program is left and begun again; a short day has one break."""
        return {1 + self.castings // 2, *([1 + self.castings // 4] if self.castings > 3 else [])}

    @property
    def end(self) -> str:
        """The key that the gauge in hand ends a reading with."""
        return TAB if self.gauge == "mm caliper" else ENTER

    def text_of(self, mm: float) -> str:
        """A size as the gauge in hand shows it, with the scatter of a hand."""
        here = mm + self.dice.gauss(0.0, 0.07)
        return f"{here:.2f}" if self.gauge == "mm caliper" else f"{here / 25.4:.4f}"

    def angle(self, window: Window, casting: str) -> None:
        """The angle is read with the template, then the gauge is taken again."""
        before = self.gauge
        self.take_gauge(window, "template")
        window.keys("\x07", "A1", ENTER)  # Ctrl+G
        text = f"{75 + self.dice.gauss(0.0, 0.2):.1f}"
        self.sent.append((text, "A1", casting))
        time.sleep(self.gap_s)
        window.line(text, ENTER, ("logged  ", "Not logged"))
        self.take_gauge(window, before)

    def full_disk(self, window: Window, casting: str, balloon: str, mm: float) -> None:
        """The disk is full for one reading; it waits, and Enter logs it once there is room."""
        log = Path(f"{self.record}-wal")
        now = max(self.record.stat().st_size, log.stat().st_size if log.exists() else 0)
        window.child.settle(0.3)
        pid = window.child.pid
        resource.prlimit(pid, resource.RLIMIT_FSIZE, (min(4096, now), resource.RLIM_INFINITY))
        text = self.text_of(mm)
        self.sent.append((text, balloon, casting))
        time.sleep(self.gap_s)
        window.line(text, self.end, ("Not logged",))
        resource.prlimit(pid, resource.RLIMIT_FSIZE, (resource.RLIM_INFINITY, resource.RLIM_INFINITY))
        window.child.settle(0.3)

    def fill(self) -> None:
        """Not a byte is left on the disk of the record."""
        with suppress(OSError), self.filler.open("ab", buffering=0) as file:
            for piece in (1 << 20, 1 << 12, 1):
                with suppress(OSError):
                    while file.write(bytes(piece)):
                        pass
        self.full = True

    def make_room(self) -> None:
        """What filled the disk is gone again."""
        self.filler.unlink(missing_ok=True)
        self.full = False

    @property
    def filler(self) -> Path:
        """What fills the disk."""
        return self.record.with_name("filler")

    def colleague(self, window: Window, casting: str) -> None:
        """Somebody else reads the last size of this casting at a second window: the first one shows it."""
        self.second = Window(self.record, self.state)
        self.second.choose(F3, "CD", "CD · mm caliper")
        self.second.on_screen(f"casting {casting}")
        balloon, mm = f"F{self.sizes:02}", walkers.NOMINAL[self.sizes - 1]
        self.second.keys("\x07", balloon, ENTER)  # Ctrl+G
        text = f"{mm + self.dice.gauss(0.0, 0.05):.2f}"
        self.sent.append((text, balloon, casting))
        window.child.settle(0.3)
        self.second.line(text, TAB, ("logged  ",))
        self.seen_s.append(self._seen_by(window))

    def colleague_sees(self) -> None:
        """The second window shows what the first one read, and is left."""
        if self.second is not None:
            self.seen_s.append(self._seen_by(self.second))
            self.second.quit()
            self.second = None

    def _seen_by(self, window: Window) -> float:
        """Seconds until a window shows what was logged in the other one."""
        begun = time.perf_counter()
        window.on_screen("Somebody else wrote")
        return time.perf_counter() - begun

    # ---------------------------------------------------------------- what came of it
    def compare(self) -> None:
        """Answer what waits with yes, then hold what stands in the record against what was sent."""
        self.sent = [(plain(text), balloon, casting) for text, balloon, casting in self.sent]
        meant, there = Counter(self.sent), Counter[Sent]()
        with Record.open(self.record) as record:
            job, ab = find.job(record, None), find.person(record, "AB")
            balloons = {f.id: f.balloon for f in record.features(find.latest_revision(record, job).id)}
            for n in range(1, self.castings + 1):
                casting = f"D{n:02}"
                subject = find.subject(record, job, f"casting {casting}")
                bench = Bench(record, job, subject, ab, find.instrument(record, self.gauge))
                apart.attend(bench)
                for _ in range(2 * len(bench.waiting)):
                    bench.take("")
                bench.part()
                for line in bench.waiting:
                    there[(plain(line.text), line.balloon, casting)] += 1
                    self.marked += 1
                for row in record.readings(item_id=subject.key):
                    key = (plain(row.reading.typed), balloons[row.reading.feature_id], casting)
                    there[key] += 1
                    if row.out or row.slip != "none" or row.notes:
                        self.marked += 1
                    elif meant[key] < there[key]:
                        self.wrong.append(key)
        texts = Counter((text, casting) for text, _, casting in there.elements())
        self.lost = [sent for sent in self.sent if not texts[(sent[0], sent[2])]]


def plain(text: str) -> str:
    """A figure as a gauge sends it, without the unit that its profile adds and the zeros that it takes off."""
    return text.removesuffix(" mm").lstrip("0")


def stream(folder: Path, seconds: float, per_second: float, wire: bool = False) -> tuple[list[str], list[str]]:
    """A gauge that sends readings of one size at an even pace: what was sent, and what stands in the record.

    `wire`: not as keys, but over a line of its own.
    """
    os.environ["INSPECT_TUI_STATE"] = str(folder / "state")
    record, sent = folder / "stream.db", []
    make(record, 1, 1, angle="")
    line = serial_line(record) if wire else None
    window = Window(record, folder / "state")
    window.keys(OTHER, "D01", ENTER, F3, "AB", ENTER, F4, "mm caliper", ENTER)
    begun = time.perf_counter()
    for n in range(int(seconds * per_second)):
        sent.append(f"{60.6 + (n % 11 - 5) / 100:.2f}")
        if line is None:
            window.child.send(sent[-1] + TAB)
        else:
            os.write(line, f"{sent[-1]}\r\n".encode())
        while time.perf_counter() < begun + (n + 1) / per_second:
            window.child.pump(max(begun + (n + 1) / per_second - time.perf_counter(), 0.0))
    window.on_screen(f"({len(sent)} on this casting so far)", 600.0)  # keys that wait in the terminal are still read
    window.quit()
    with Record.open(record) as opened:
        return sent, [plain(row.reading.typed) for row in opened.readings()]


def killed(folder: Path, times: int, dice: random.Random) -> list[tuple[int, int]]:
    """Killed at any moment of a burst, again and again: how many readings the screen had said to be logged, how many are.

    All that the program wrote to the terminal before its end is read: what stands there has been said to somebody.
    """
    os.environ["INSPECT_TUI_STATE"] = str(folder / "state")
    record, met = folder / "killed.db", []
    make(record, 1, 1, angle="")
    for _ in range(times):
        window = Window(record, folder / "state")
        if not met:
            window.keys(OTHER, "D01", ENTER, F3, "AB", ENTER, F4, "mm caliper", ENTER)
        window.child.send("".join(f"{60.6 + n / 100:.2f}{TAB}" for n in range(-5, 6)) * 4)
        said, until = 0, time.perf_counter() + dice.uniform(0.05, 1.0)
        while (left := until - time.perf_counter()) > 0.0:
            window.child.pump(left)
            said = max(said, _said(window))
        os.kill(window.child.pid, signal.SIGKILL)
        while window.child.status is None:
            window.child.pump(5.0)
            said = max(said, _said(window))
        os.close(window.child.fd)
        with Record.open(record) as opened:
            met.append((said, len(opened.readings())))
    return met


def _said(window: Window) -> int:
    """How many readings the screen says to be logged."""
    counts = re.findall(r"[(](\d+) on this", " ".join(window.child.screen.lines()))
    return max(map(int, counts), default=0)


def serial_line(record: Path) -> int:
    """The gauge's end of a line on which the mm caliper is said to be."""
    theirs, ours = pty.openpty()
    tty.setraw(ours)
    with Record.open(record) as opened:
        (old,) = opened.instrument_profiles().values()
        opened.revise(old, opened.people()[0].id, port=os.ttyname(ours), end_key=None)
    return theirs


def main() -> None:
    """The whole day: 480 lengths on twenty castings, at 0.3 to 0.45 s a reading; or `stream|wire SECONDS PER_SECOND`, or `killed TIMES`."""
    import tempfile

    with tempfile.TemporaryDirectory() as name:
        if sys.argv[1:2] in (["stream"], ["wire"]):
            sent, there = stream(Path(name), float(sys.argv[2]), float(sys.argv[3]), sys.argv[1] == "wire")
            print(f"sent {len(sent)}, there {len(there)}, in the same order: {sent == there}")
            return
        if sys.argv[1:2] == ["killed"]:
            met = killed(Path(name), int(sys.argv[2]), random.Random(name))
            print(f"killed {len(met)} times, said {met[-1][0]} and there {met[-1][1]} in the end; said and not there:")
            print([pair for pair in met if pair[0] > pair[1]])
            return
        started, disk = time.time(), Path(name) / "disk"
        disk.mkdir()
        small = subprocess.run(["mount", "-t", "tmpfs", "-o", "size=48m", "tmpfs", str(disk)], capture_output=True)
        try:
            dice = random.Random(sys.argv[1] if len(sys.argv) > 1 else "day")
            day = Day(Path(name), dice, 24, 20, 0.3, disk=disk if small.returncode == 0 else None).run()
        finally:
            if small.returncode == 0:
                subprocess.run(["umount", "--lazy", str(disk)], check=True)  # what failed may have it open still
        print(f"sent {len(day.sent)} in {time.time() - started:.0f} s, marked {day.marked}")
        print("unmarked on the wrong size:", day.wrong, " lost:", day.lost)
        full = f"refused on the full disk: {day.refused}" if day.disk else "the full disk was files that do not grow"
        print(f"{full}; seen at the other window after {', '.join(f'{s:.1f} s' for s in day.seen_s)}")


if __name__ == "__main__":
    main()
