"""What the commands share: which record and how it is opened; options read, tables, texts and JSON written."""

from __future__ import annotations

import os
import sys
from pathlib import Path

TYPE_CHECKING = False
if TYPE_CHECKING:
    from argparse import Namespace
    from collections.abc import Callable, Collection, Sequence
    from typing import Any

    from rich.console import Console
    from rich.text import Text

    from inspect_tui.record.store import Record


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
    return Record.open(path, create=create, read_only=read_only)


def option(name: str, reader: str, *, may_be_empty: bool = False, **how: Any) -> Callable[[str], Any]:
    """The `type` of an option that a reader of `fields` reads; DataError with the option's name where it cannot.

    `reader` is the reader's name, so that nothing is imported until the option is given; `how` goes on to it.
    """

    def read(text: str) -> Any:
        from inspect_tui.errors import DataError
        from inspect_tui.metrology.typed import fields

        if may_be_empty and not text.strip():
            return None
        if reader in ("day", "month"):
            from datetime import date

            how["today"] = date.today().isoformat()
        answer = getattr(fields, reader)(text, **how)
        if isinstance(answer, fields.Wrong):
            raise DataError(f"{name}: {answer}.")
        return answer

    return read


def print_json(thing: Any) -> None:
    """One JSON document on stdout, every number at full precision; NaN never, and nothing at all rather than a part."""
    import json

    from inspect_tui.errors import DataError

    try:
        text = json.dumps(thing, ensure_ascii=False, indent=1, allow_nan=False)
    except ValueError:
        raise DataError("A figure of this result is not finite, so it cannot be given as JSON.") from None
    sys.stdout.write(text + "\n")


def talk(text: str) -> None:
    """A line for people, on stderr."""
    print(text, file=sys.stderr)


# ------------------------------------------------------------------------------ how wide, and tables
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


def painted(paint: Callable[[int], Text], most: int = 100) -> None:
    """Print a text that shortens names to the width it is given: at most `most` columns at a terminal.

    Into a pipe it is painted as wide as it takes for nothing to be cut.
    """
    width = output_width()
    if width is not None:
        console(width).print(paint(min(width, most)), end="")
        return
    text = paint(most)
    for wider in (120, 160, 240, 400):
        if "…" in text.plain:
            text = paint(max(wider, most))
    console(max(text.cell_len, 20) + 1).print(text, end="", soft_wrap=True)


def print_table(
    heads: Sequence[str],
    rows: Sequence[Sequence[str]],
    *,
    right: Collection[str] = (),
    spare: Sequence[str] = (),
    styles: Sequence[str] = (),
) -> None:
    """Rows of text under their heads; the one way in which commands print tables.

    Nothing is ever cut. Where the output is too narrow whole columns are left out, `spare` names which, the least
    needed first, and stderr says so; into a pipe all go. `right` names the columns of figures, `styles` how each row
    is shown at a terminal.
    """
    from rich.cells import cell_len

    wide = [max(cell_len(cell) for cell in column) for column in zip(heads, *rows, strict=True)]
    kept = list(range(len(heads)))
    room = output_width()
    gone: list[str] = []
    for name in spare:
        if room is None or sum(wide[i] + 2 for i in kept) - 2 <= room:
            break
        kept.remove(heads.index(name))
        gone.append(name)
    lines = []
    for row in (heads, *rows):
        cells = [
            " " * (wide[i] - cell_len(row[i])) + row[i]
            if heads[i] in right
            else row[i] + " " * (wide[i] - cell_len(row[i]))
            for i in kept
        ]
        lines.append("  ".join(cells).rstrip())
    if sys.stdout.isatty():
        from rich.text import Text

        out = console()
        for line, style in zip(lines, ("bold", *(styles or [""] * len(rows))), strict=True):
            out.print(Text(line, style=style), soft_wrap=True)
    else:
        sys.stdout.write("\n".join(lines) + "\n")
    if gone:
        sys.stdout.flush()
        talk(f"left out at {room} columns: {', '.join(gone)}; a wider terminal, a pipe or --json shows them")
