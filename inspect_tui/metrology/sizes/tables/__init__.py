"""Published tables as CSV with their sources, and the one loader.

Every row has `src` (a key of sources.csv; the loader adds the full text as `source` and what it is as `source_kind`:
standard, handbook, page, practice, best first), `status` (found: seen in a stored page; memory: recalled;
common-practice: shop habit; computed) and `note`. `use` is "no" on rows that are kept because they were printed, but
that a better source contradicts; `rows` leaves them out unless asked.
Ranges read "over ... up to and including"; an empty cell is open or does not apply. Among rows that say the same,
the first in the file is preferred. Nothing is read before the first look-up.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from functools import cache
from pathlib import Path

from inspect_tui.errors import TableError

TYPE_CHECKING = False
if TYPE_CHECKING:
    from importlib.resources.abc import Traversable

Row = Mapping[str, str]
KINDS = ("standard", "handbook", "page", "practice")  # of sources, best first
_WEAK = {"page": "weak: from a page of the web", "practice": "weak: shop practice, no source"}


def names() -> tuple[str, ...]:
    """The shipped tables, sorted."""
    return tuple(sorted(item.name.removesuffix(".csv") for item in _here().iterdir() if item.name.endswith(".csv")))


@cache
def rows(name: str, contradicted: bool = False) -> tuple[Row, ...]:
    """All rows of a table as text; `contradicted` also gives the rows that are not to be used.

    TableError for a table that is not shipped.
    """
    from csv import DictReader

    table = _here().joinpath(f"{name}.csv")
    if not table.is_file():
        raise TableError(f"there is no table called {name}; shipped are {', '.join(names())}")
    read = []
    for row in DictReader(table.read_text(encoding="utf-8").splitlines()):
        if "src" in row and name != "sources":
            row["source"], row["source_kind"] = source(row["src"]), _sources()[row["src"]]["kind"]
        if contradicted or row.get("use") != "no":
            read.append(row)
    return tuple(read)


def lookup(name: str, size: float, **where: str) -> Row | None:
    """The first row with `over_mm` < size <= `up_to_mm` whose cells equal `where`; None when there is none.

    `size` in mm, or as the table's columns have it.
    """
    return next((row for row in _where(name, where) if within(size, row)), None)


def within(size: float, row: Row) -> bool:
    """Whether a size in mm lies over the row's lower and up to and including its upper end."""
    over, up_to = number(row["over_mm"]), number(row["up_to_mm"])
    return (over is None or size > over) and (up_to is None or size <= up_to)


def number(cell: str) -> float | None:
    """A cell as a number; None when it is empty."""
    return float(cell) if cell else None


@cache
def source(key: str) -> str:
    """The full text behind a source key."""
    return _sources()[key]["source"]


def weak(row: Row) -> str:
    """In words that a row rests on a weak source (a page of the web, shop practice, an old table), or nothing."""
    old = "weak: an old general table" if row.get("use") == "old" else ""
    return _WEAK.get(row["source_kind"], old)


def short(text: str) -> str:
    """A source as it fits on a line: no address, no remark in brackets."""
    plain = re.sub(r",?\s*https?://\S+", "", re.sub(r"\s*\([^()]*\)", "", text)).split(";")[0].strip(" ,.")
    return re.sub(r",? *(transcribed |quoted )?(in|at|and)$", "", plain) or "an unnamed page"


def sha256() -> str:
    """One hash over all shipped tables, so that a paper can say which numbers it stood on."""
    import hashlib

    whole = hashlib.sha256()
    for name in names():
        content = _here().joinpath(f"{name}.csv").read_bytes().replace(b"\r\n", b"\n")
        whole.update(f"{name}\0{len(content)}\0".encode() + content)
    return whole.hexdigest()


def _here() -> Traversable:
    folder = Path(__file__).parent
    if folder.is_dir():
        return folder
    from importlib.resources import files  # from an archive; it costs more to import than all of this package's numbers

    return files(__name__)


@cache
def _sources() -> dict[str, Row]:
    return {row["src"]: row for row in rows("sources")}


def _where(name: str, where: Mapping[str, str]) -> Iterator[Row]:
    return (row for row in rows(name) if all(row[cell] == value for cell, value in where.items()))
