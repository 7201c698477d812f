"""What a file from the foundry says, before anybody knows whether the record can hold it: one thing a row."""

from __future__ import annotations

from inspect_tui.frozen import frozen_by_name

SORTS = ("size", "check", "rub", "remark", "picture")


@frozen_by_name
class Said:
    """One thing that a file says; `at` is where it stands there: `line 4, read_mm` or `step 2, check 1`."""

    at: str
    sort: str
    core: int | None  # its number; None: the mould as a whole
    step: int | None = None
    what: str = ""  # balloon of a size, what was checked, what a remark is about, name of a picture
    text: str = ""  # a reading as typed, or words
    unit: str = ""  # of the reading, where the file says one
    result: str = ""  # of a check, as typed
    lower: float | None = None  # mm, the limits that the sheet gave
    upper: float | None = None
    mould: str = ""  # as the foundry marked the casting or the mould
    who: str = ""
    gauge: str = ""
    day: str = ""  # as typed
    picture: bytes = b""


@frozen_by_name
class Answers:
    """A file from the foundry. `wrong` are its mistakes, a sentence each, all that could be found."""

    name: str
    sha256: str
    job: str  # number, "" where it says none
    rev: str
    edition: str  # mark of the kit that it was made from, "" where it says none
    rows: tuple[Said, ...]
    wrong: tuple[str, ...] = ()
    remarks: tuple[str, ...] = ()
    lines: tuple[tuple[str, str], ...] = ()  # of a table: where, and what the mark is made of, line by line
    changed: bool = False  # its own mark does not fit what it holds
