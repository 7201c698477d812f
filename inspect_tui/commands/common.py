"""What the commands share: which record and how it is opened; options read, tables, texts and JSON written."""

from __future__ import annotations

import os
import sys
from contextlib import contextmanager, suppress
from pathlib import Path
from time import monotonic

from inspect_tui.frozen import NamedTuple
from inspect_tui.metrology.typed.show import MM

TYPE_CHECKING = False
if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace
    from collections.abc import Callable, Collection, Iterator, Sequence
    from typing import Any, TextIO

    from rich.console import Console
    from rich.text import Text

    from inspect_tui.metrology.typed.show import Style
    from inspect_tui.record.store import Record
    from inspect_tui.shop.trends.counts.entry import EnteredCount
    from inspect_tui.shop.trends.counts.repairs import EnteredUpkeep


SHOWN = {"mm": "mm", "in": "in", "inch": "in", "fraction": "fraction"}  # what --show may say
MOST_APART = 3  # of what two benches said apart, in full
_written = [MM]


def written() -> Style:
    """How this call writes lengths and figures; `decide` has decided it for all commands."""
    return _written[0]


def decide(args: Namespace) -> None:
    """Settle how this call writes figures, once: --show, else the person's, the job's or everybody's setting.

    What programs read (--json) is always in mm. What the settings say wrong is told, and stops nothing. Lengths among
    the arguments that were typed without a unit are of the same unit.
    """
    from inspect_tui.shop.settings import file

    file.ask_paper(getattr(args, "sheet_of_paper", None) or "")
    _written[0] = MM if getattr(args, "json", False) else _asked_for(args)
    for name, value in list(vars(args).items()):
        if isinstance(value, _Length):
            setattr(args, name, value.read(written().word))


def _asked_for(args: Namespace) -> Style:
    from inspect_tui.shop.settings import file
    from inspect_tui.shop.settings.choices import in_style

    settings = file.read()
    for sentence in settings.wrong:
        talk(f"inspect-tui: {sentence}")
    person, job = (getattr(args, name, None) for name in ("by", "job"))
    style = settings.style_for(*(text if isinstance(text, str) else "" for text in (person, job)))
    shown, mark = getattr(args, "show", None), getattr(args, "decimal_mark", None)
    style = in_style(style, SHOWN[shown]) if shown else style
    if mark is not None:
        from inspect_tui.frozen import replace

        style = replace(style, mark=mark)
    return style


def printed() -> Style:
    """The same as papers have it: true minus signs and narrow gaps."""
    from inspect_tui.frozen import replace

    return replace(_written[0], printed=True)


def paper_arguments(parser: ArgumentParser, *, sheet: bool = True) -> None:
    """How a paper is set, beside --show, instead of what the settings say: its sheet and its decimal mark."""
    sheets = {"a4": "A4", "letter": "Letter"}

    def named(text: str) -> str:
        return sheets.get(text.casefold(), text)

    if sheet:
        parser.add_argument(
            "--paper",
            dest="sheet_of_paper",
            choices=tuple(sheets.values()),
            type=named,
            metavar="{a4,letter}",
            help="sheet that it is set on (default: the settings)",
        )
    parser.add_argument(
        "--decimal-mark",
        choices=(".", ","),
        metavar="{.,,}",
        help="what stands before the decimals (default: the settings)",
    )


def record_path(args: Namespace) -> Path:
    """--record, else INSPECT_TUI_RECORD, else the user's data folder."""
    named = args.record or os.environ.get("INSPECT_TUI_RECORD")
    if named:
        return Path(named)
    from platformdirs import user_data_path

    return user_data_path("inspect_tui") / "shop.db"


def open_record(args: Namespace, *, create: bool = False, read_only: bool = False) -> Record:
    """Open the record of this call; a missing one is made only by commands that write."""
    from inspect_tui.errors import RecordError
    from inspect_tui.record.store import Record

    path = record_path(args)
    if not path.exists():
        if not create:
            raise RecordError(f"There is no record at {path}. `inspect-tui job add FILE.toml` begins one.")
        path.parent.mkdir(parents=True, exist_ok=True)
    record = Record.open(path, create=create, read_only=read_only, watch=_brought if sys.stderr.isatty() else None)
    record.ask_pin = _ask_pin
    if record.opening_said:
        talk(f"inspect-tui: {record.opening_said}")
    if not record.read_only and not hasattr(args, "day"):  # who may say the day is told together with it
        _say_clock(record)
    _say_if_past(record, getattr(args, "today", None))
    if read_only and getattr(args, "command", "") != "decide":  # it lists them itself
        _say_apart(record, getattr(args, "job", None))
    return record


def _brought(how_far: str) -> None:
    """How far an older record is brought forward, on a terminal: before the screen, or before the command's answer."""
    print(f"inspect-tui: {how_far}", file=sys.stderr, flush=True)


def _say_apart(record: Record, job: str | None) -> None:
    """Under what is listed: what two benches said apart of that job, or of all of them, and nobody decided yet."""
    if len(record.frontier()) < 2:  # one bench wrote all of it
        return
    from inspect_tui.errors import InspectError
    from inspect_tui.shop.common import find
    from inspect_tui.shop.together.exchange import to_decide
    from inspect_tui.shop.together.marks import SIGN, marks

    with suppress(InspectError):  # what is wrong with the record or with the job's name is said by what is asked
        apart = marks(record, to_decide(record)).of_job(find.job(record, job).of_id if job else None)
        for mark in apart[:MOST_APART]:
            talk(f"{SIGN} {mark.clash.words}")
        if apart:
            talk(f"{len(apart)} to be decided: `inspect-tui decide` lists what may be done.")


def _ask_pin(initials: str) -> str | None:
    """The PIN of somebody who decides: from INSPECT_TUI_PIN, else asked for at a terminal."""
    given = os.environ.get("INSPECT_TUI_PIN")
    if given is not None:
        return given
    if not (sys.stdin.isatty() and sys.stderr.isatty()):
        return None
    from getpass import getpass

    return getpass(f"PIN of {initials}: ") or None


def _say_if_past(record: Record, today: str | None) -> None:
    """A forecast for a day in the past knows what was entered since."""
    newest = record.newest_day() if today is not None else None
    if today is not None and newest is not None and today < newest:
        talk(f"inspect-tui: {today} has been: the record goes on to {newest}, and all of it is taken into account.")


def _say_clock(record: Record) -> None:
    """What is written while the clock cannot be believed has a wrong day, unless one is given."""
    doubted = record.clock_doubt()
    if doubted is not None:
        from inspect_tui.shop.bench import clock

        wrong = clock.wrong(doubted)
        assert wrong is not None
        talk(f"inspect-tui: {wrong.sentence}")


def option(name: str, reader: str, *, may_be_empty: bool = False, **how: Any) -> Callable[[str], Any]:
    """The `type` of an option that a reader of `fields` reads; DataError with the option's name where it cannot.

    `reader` is the reader's name, so that nothing is imported until the option is given; `how` goes on to it. A size is
    read by `decide`, in the unit that is settled there.
    """

    def read(text: str) -> Any:
        from inspect_tui.errors import DataError
        from inspect_tui.metrology.typed import fields

        if may_be_empty and not text.strip():
            return None
        if reader == "size" and "unit" not in how:
            return _Length(name, text, how)
        if reader in ("day", "month"):
            from datetime import date

            how["today"] = date.today().isoformat()
        answer = getattr(fields, reader)(text, **how)
        if isinstance(answer, fields.Wrong):
            raise DataError(f"{name}: {answer}.")
        return answer

    return read


class _Length(NamedTuple):
    """A length as it was typed: what it says is known when it is settled in which unit a bare figure is."""

    name: str
    text: str
    how: dict[str, Any]

    def read(self, unit: str) -> Any:
        """The length in mm; DataError with the option's name where it is none."""
        return option(self.name, "size", unit=unit, **self.how)(self.text)


def finite(value: float | None) -> float | None:
    """A figure as JSON can hold it: null where it is not known or has no end."""
    from math import isfinite

    return value if value is not None and isfinite(value) else None


def print_json(thing: Any) -> None:
    """One JSON document on stdout, every number at full precision; NaN never, and nothing at all rather than a part."""
    import json

    from inspect_tui.errors import DataError

    try:
        text = json.dumps(thing, ensure_ascii=False, indent=1, allow_nan=False)
    except ValueError:
        raise DataError("A figure of this result is not finite, so it cannot be given as JSON.") from None
    sys.stdout.write(text + "\n")


def harmless(text: str) -> str:
    """A text without the control and direction characters that somebody typed: it may go to a terminal."""
    if text.isascii() and text.isprintable():
        return text
    from inspect_tui.record.text import clean

    return clean(text, newline=True)


def talk(text: str) -> None:
    """A line for people, on stderr."""
    print(harmless(text), file=sys.stderr)


def let_go(stream: TextIO) -> None:
    """Let the interpreter's last flush of a stream that takes nothing more go nowhere, instead of failing again."""

    with suppress(OSError, ValueError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), stream.fileno())


def back_up_when_due(path: Path, *, work_done: bool = False) -> None:
    """Make a backup where an hour has gone since the newest one and readings came since.

    With `work_done` the hour is not waited for. What goes wrong is told and harms nothing.
    """
    from time import time

    if not work_done and time() - _newest_backup(path) < 3600:
        return  # looked at without opening anything: `log` of one reading comes by here
    from datetime import datetime

    from inspect_tui.errors import InspectError
    from inspect_tui.record.care import backups
    from inspect_tui.shop.settings import file

    now = datetime.now()
    try:
        made = backups.when_due(path, now, file.read().second_backup, work_done=work_done)
        if made is not None and made.wrong:
            talk(f"inspect-tui: {made.wrong}")
    except InspectError as problem:
        talk(f"inspect-tui: {problem} Everything acknowledged is in the record itself.")


def _newest_backup(path: Path) -> float:
    """When the newest file in the folder of backups was written; without any when the record was first opened here."""
    newest = 0.0
    try:
        with os.scandir(path.parent / "backups") as files:
            for file in files:
                if file.name.startswith(path.stem):
                    newest = max(newest, file.stat().st_mtime)
    except OSError:
        pass
    try:
        return newest or Path(f"{path}.lock").stat().st_mtime
    except OSError:
        return 0.0


def held_back(entered: EnteredCount | EnteredUpkeep, keep: bool) -> int:
    """The exit status of what is not written, with the reason said; 0 where nothing holds it back."""
    if entered.wrong or entered.thing is None:
        talk(f"inspect-tui: not entered: {entered.wrong}")
        return 2
    if entered.asks and not keep:
        for asked in entered.asks:
            talk(f"inspect-tui: not entered yet: {asked}")
        talk("Give it again with --keep when it is right.")
        return 1
    return 0


PATIENCE_S = 1.0  # what is done sooner is not spoken of


@contextmanager
def progress(now: Callable[[], float] = monotonic) -> Iterator[Callable[[str], bool]]:
    """Tells on stderr which job is worked through, once that takes a while: at a terminal on one line that goes again.

    Into a pipe it is said once. `now` gives seconds.
    """
    began, told = now(), 0

    def tell(job: str) -> bool:
        nonlocal told
        if now() - began >= PATIENCE_S:
            if sys.stderr.isatty():
                print(f"\r\x1b[Kworking through job {job} …", end="", file=sys.stderr, flush=True)
            elif not told:
                talk(f"inspect-tui: what was measured is summarised, which takes a while: at job {job} …")
            told += 1
        return True

    try:
        yield tell
    finally:
        if told and sys.stderr.isatty():
            print("\r\x1b[K", end="", file=sys.stderr, flush=True)


@contextmanager
def reading_progress(now: Callable[[], float] = monotonic) -> Iterator[Callable[[str, int, int], None]]:
    """Tells on stderr how far a file is, once that takes a while: at a terminal on one line, into a pipe once."""
    began, told = now(), 0

    def tell(what: str, done: int, of: int) -> None:
        nonlocal told
        if now() - began < PATIENCE_S:
            return
        if sys.stderr.isatty():
            print(
                f"\r\x1b[K{what} {done} of {of} (Ctrl+C stops, and leaves nothing)", end="", file=sys.stderr, flush=True
            )
        elif not told:
            talk(f"inspect-tui: {what} {done} of {of} …")
        told += 1

    try:
        yield tell
    finally:
        if told and sys.stderr.isatty():
            print("\r\x1b[K", end="", file=sys.stderr, flush=True)


def pairs(given: Sequence[str], option_name: str, such_as: str) -> tuple[tuple[str, str], ...]:
    """`A=B` of an option that may be given several times; DataError for one that is not."""
    from inspect_tui.errors import DataError

    read = []
    for text in given:
        first, equals, second = text.partition("=")
        if not equals or not first.strip() or not second.strip():
            raise DataError(f"{option_name} {text} is not understood: write {such_as}. Nothing was added.")
        read.append((first.strip(), second.strip()))
    return tuple(read)


# ------------------------------------------------------------------------------ how wide, and tables
WIDER = (120, 160, 240, 400)  # columns that a text for a pipe is tried in until nothing is cut
NARROW = 24  # columns that a sentence in a table is left with at least


def columns_said() -> int | None:
    """The columns that the environment (COLUMNS) gives, None where it says nothing; DataError for nonsense."""
    given = os.environ.get("COLUMNS", "").strip()
    if not given or given == "0":
        return None
    if given.isascii() and given.isdigit() and len(given) < 6:
        return int(given)
    from inspect_tui.errors import DataError

    raise DataError(f"COLUMNS is {given[:40]!r}, which is no number of columns: set it to one such as 80, or unset it.")


def output_width() -> int | None:
    """Columns of the output: what COLUMNS says, else the terminal's; None into a pipe or file, where nothing is cut."""
    said = columns_said()
    if said is not None or not sys.stdout.isatty():
        return said
    try:
        return os.get_terminal_size(sys.stdout.fileno()).columns or None
    except OSError:
        return None


def console(width: int | None = None) -> Console:
    """Where styled text goes: not a part of it is left out when the reader goes away, that is for the caller to end."""
    from rich.console import Console

    class Plain(Console):
        """Rich's own ends the program with status 1 when a pipe breaks."""

        def on_broken_pipe(self) -> None:
            raise BrokenPipeError

    return Plain(width=width, highlight=False)


def painted(paint: Callable[[int], Text], most: int = 100, asked: int | None = None) -> None:
    """Print a text that shortens names to the width it is given: at most `most` columns at a terminal.

    Into a pipe it is painted as wide as it takes for nothing to be cut, unless a width was `asked` for.
    """
    width = asked or min(output_width() or most, most)
    text = paint(width)
    for wider in () if asked or sys.stdout.isatty() else WIDER:
        if "…" in text.plain:
            text = paint(max(wider, width))
    console(width).print(text, end="", soft_wrap=True)


def print_table(
    heads: Sequence[str],
    rows: Sequence[Sequence[str]],
    *,
    right: Collection[str] = (),
    spare: Sequence[str] = (),
    wraps: str = "",
    styles: Sequence[str] = (),
) -> None:
    """Rows of text under their heads; the one way in which commands print tables.

    Nothing is ever cut. Where the output is too narrow, sentences in the column `wraps` (the last one) go on in a
    further line, then whole columns are left out: `spare` names them, the least needed first, and stderr says which.
    Into a pipe all go, a row a line. `right` names the columns of figures, `styles` what each row looks like at a
    terminal.
    """
    from rich.cells import cell_len

    rows = [[" ".join(cell.split()) if heads[i] == wraps else cell for i, cell in enumerate(row)] for row in rows]
    wide = [max(map(cell_len, column)) for column in zip(heads, *rows, strict=True)]
    kept, gone, room = list(range(len(heads))), [], output_width()

    def fits(least: bool) -> bool:
        each = (min(wide[i], NARROW) if least and heads[i] == wraps else wide[i] for i in kept)
        return room is None or sum(each) + 2 * (len(kept) - 1) <= room

    for name in spare:
        if fits(least=True):
            break
        kept.remove(heads.index(name))
        gone.append(name)
    if room is not None and wraps and not fits(least=False):
        taken = sum(wide[i] + 2 for i in kept if heads[i] != wraps)
        wide[heads.index(wraps)] = max(room - taken, NARROW)
    styled = list(zip((heads, *rows), ("bold", *(styles or [""] * len(rows))), strict=True))
    lines = [
        (line, style)
        for row, style in styled
        for line in _lines([(row[i], wide[i], heads[i] in right, heads[i] == wraps) for i in kept])
    ]
    if sys.stdout.isatty():
        from rich.text import Text

        out = console()
        for line, style in lines:
            out.print(Text(line, style=style), soft_wrap=True)
    else:
        sys.stdout.write("".join(f"{line}\n" for line, _ in lines))
    if gone:
        sys.stdout.flush()
        talk(f"left out at {room} columns: {', '.join(gone)}; a wider terminal, a pipe or --json shows them")


def _lines(cells: Sequence[tuple[str, int, bool, bool]]) -> list[str]:
    """One row, of cells with their width, whether they stand to the right, and whether they may be broken."""
    from textwrap import wrap

    from rich.cells import cell_len

    parts = [
        wrap(text, width) or [""] if breaks and cell_len(text) > width else [text] for text, width, _, breaks in cells
    ]
    made = []
    for n in range(max(map(len, parts))):
        row = []
        for (_, width, to_right, _), part in zip(cells, parts, strict=True):
            text = part[n] if n < len(part) else ""
            pad = " " * (width - cell_len(text))
            row.append(pad + text if to_right else text + pad)
        made.append("  ".join(row).rstrip())
    return made
