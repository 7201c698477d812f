"""The numbered SQL files and how a record moves forward through them, one transaction each.

They lie in `schema/` of the checkout and, in an installed program, in the folder `schema` of the package.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterator, Sequence
from functools import cache
from pathlib import Path

from inspect_tui.errors import RecordError

TYPE_CHECKING = False
if TYPE_CHECKING:
    from importlib.resources.abc import Traversable

    Folder = Path | Traversable
    Watch = Callable[[str], None]
    Step = tuple[int, Folder]  # the version that a file brings, and the file


@cache
def shipped() -> Folder:
    """The folder of the SQL files that belong to this program."""
    package = Path(__file__).resolve().parents[2]
    for place in (package / "schema", package.parent / "schema"):
        if (place / "001_first.sql").is_file():
            return place
    from importlib.resources import files  # 10 ms; reached only when the package is not a plain folder

    packed = files("inspect_tui") / "schema"
    if packed.is_dir():
        return packed
    raise RecordError("The program is incomplete: its schema files are missing. Install it again.")


def migrations(folder: Folder) -> tuple[Step, ...]:
    """(number, file) in order; the numbers run 1, 2, 3 ... without gaps."""
    files = (file for file in folder.iterdir() if file.name.endswith(".sql") and file.name[:3].isdigit())
    steps: list[Step] = sorted(((int(file.name[:3]), file) for file in files), key=lambda step: step[0])
    if [n for n, _ in steps] != list(range(1, len(steps) + 1)):
        raise RecordError(f"The schema files in {folder} are not numbered 001, 002, 003 and so on.")
    return tuple(steps)


def statements(text: str) -> Iterator[str]:
    """The statements of a file one by one; executescript would commit what is open."""
    part = ""
    for line in text.splitlines(keepends=True):
        part += line
        if sqlite3.complete_statement(part):
            if _is_code(part):
                yield part.strip()
            part = ""
    if _is_code(part):
        raise RecordError(f"A schema file ends in the middle of a statement: {part.strip()[:60]}")


def _is_code(part: str) -> bool:
    return any(line.strip() and not line.strip().startswith("--") for line in part.splitlines())


def apply(con: sqlite3.Connection, number: int, file: Folder, proven: bool = True) -> bool:
    """Run one file in one transaction; False when another program was quicker. As `apply_all`."""
    return apply_all(con, [(number, file)], proven)


def apply_all(con: sqlite3.Connection, steps: Sequence[Step], proven: bool = True, watch: Watch | None = None) -> bool:
    """Run files one after the other in one transaction; False when another program was quicker.

    The whole record is verified before the commit, where it is to be `proven`. Any failure rolls all of it back and is
    raised; the file is then what it was. `watch` is told each step, and how far the proof is, in words.
    """
    kept = con.execute("PRAGMA foreign_keys").fetchone()[0]
    con.execute("PRAGMA foreign_keys=OFF")  # a table may be made again; every reference is checked before the commit
    try:
        return _apply_all(con, steps, proven, watch or (lambda _: None))
    finally:
        con.execute(f"PRAGMA foreign_keys={kept}")


def _apply_all(con: sqlite3.Connection, steps: Sequence[Step], proven: bool, watch: Watch) -> bool:
    from inspect_tui.record.chain.verify import verify  # not needed where nothing is pending

    con.execute("BEGIN IMMEDIATE")
    try:
        at = con.execute("PRAGMA user_version").fetchone()[0]
        pending = [step for step in steps if step[0] > at]
        if not pending:
            con.execute("ROLLBACK")
            return False
        for n, (number, file) in enumerate(pending, 1):
            watch(f"step {n} of {len(pending)}: to version {number}")
            for statement in statements(file.read_text("utf-8")):
                con.execute(statement)
            if con.execute("PRAGMA user_version").fetchone()[0] != number:
                raise RecordError(f"{file.name} does not end with PRAGMA user_version = {number}.")

        def proving(done: int, total: int) -> None:
            watch(f"{done:,} of {total:,} entries proved as they are now")

        checked = verify(con, watch=proving) if proven else None
        if checked is not None and not checked.ok:
            raise RecordError(f"After {pending[-1][1].name} the record does not verify: {checked.problems[0]}")
        con.execute("COMMIT")
    except BaseException:
        if con.in_transaction:
            con.execute("ROLLBACK")
        raise
    return True
