"""A TOML text line by line: the rows of its tables with the place of every key and value, and every mistake in it.

The values are read by the standard library, statement by statement, so that one slip does not hide the next.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from typing import Any

from inspect_tui.errors import JobFileError
from inspect_tui.frozen import NamedTuple
from inspect_tui.shop.jobs.file.mistakes import Mistakes, Row, Spot
from inspect_tui.todo import Todo

_HEAD = re.compile(r"\s*(\[\[?)([^\[\]]*)(\]\]?)\s*(?:#.*)?$")
_HEADING_INSIDE = re.compile(r"\s*\[\[?[A-Za-z_][\w.-]*\]\]?\s*(?:#.*)?$")
_PLAIN_KEY = re.compile(r"[A-Za-z0-9_-]+")
_AT = re.compile(r" \(at (?:line (\d+), column (\d+)|end of document)\)$")
_BARE_WORDS = re.compile(r"[^\"'\[\]{}#=]*")
_MARKS = ((b"\xff\xfe", "utf-16"), (b"\xfe\xff", "utf-16"), (b"\xef\xbb\xbf", "utf-8-sig"))


class Statement(NamedTuple):
    """A heading, or a key with its value, that may run over several lines."""

    spot: Spot
    text: str
    heading: bool


def decode(held: bytes, name: str = "The job file") -> str:
    """The text of a file as editors save it: UTF-8 with or without a mark, UTF-16 with one; JobFileError otherwise."""
    encoding = next((encoding for mark, encoding in _MARKS if held.startswith(mark)), "utf-8")
    try:
        return held.decode(encoding)
    except UnicodeDecodeError as problem:
        at = problem.start if encoding.startswith("utf-8") else 0  # it only begins as UTF-16 does
        line, byte = held[:at].count(b"\n") + 1, held[at]
        raise JobFileError(
            f"{name}, line {line}, is not text in UTF-8 (byte {byte:#x}); nothing was taken. Save it as UTF-8.",
            todo=Todo.SEE_EXAMPLE,
        ) from None


def tables(text: str, mistakes: Mistakes) -> dict[str, list[Row]]:
    """The rows of every table by its name; keys above the first heading stand in one row named ""."""
    reader = _Reader(mistakes)
    for statement in statements(text.removeprefix("\ufeff").replace("\r\n", "\n"), mistakes):
        if statement.heading:
            reader.heading(statement)
        else:
            reader.pair(statement)
    return reader.rows


def statements(text: str, mistakes: Mistakes) -> Iterator[Statement]:
    """The headings and key-value pairs of a text; a bracket or a long string that is never closed is a mistake."""
    lines = text.split("\n")
    number = 0
    while number < len(lines):
        line = lines[number]
        number += 1
        bare = line.strip()
        if not bare or bare.startswith("#"):
            continue
        spot = Spot(number, len(line) - len(line.lstrip()) + 1)
        if bare.startswith("["):
            yield Statement(spot, line, True)
            continue
        part, last = line, number
        while (open_ := _open(part)) and last < len(lines) and not (open_ == "[" and _heading(lines[last])):
            part += "\n" + lines[last]
            last += 1
        if open_ and _open(part):
            what = "string" if open_ in ('"""', "'''") else "bracket"
            mistakes.add(spot, f"the {what} {open_} that begins here is never closed")
            number = last if open_ == "[" else number
            continue
        number = last
        yield Statement(spot, part, False)


def _heading(line: str) -> bool:
    return _HEADING_INSIDE.match(line) is not None


def _open(text: str) -> str:
    """The bracket or long quote that is still open at the end of a text; a short string ends with its line."""
    if '"""' not in text and "'''" not in text and "[" not in text and "{" not in text:
        return ""
    depth, at, quote = 0, 0, ""
    while at < len(text):
        if quote:
            if text[at] == "\\" and quote[0] == '"':
                at += 2
                continue
            if text.startswith(quote, at):
                at += len(quote)
                quote = ""
                continue
            if len(quote) == 1 and text[at] == "\n":
                quote = ""
        elif text[at] in "\"'":
            quote = text[at] * 3 if text.startswith(text[at] * 3, at) else text[at]
            at += len(quote)
            continue
        elif text[at] == "#":
            end = text.find("\n", at)
            at = len(text) if end < 0 else end
            continue
        elif text[at] in "[{":
            depth += 1
        elif text[at] in "]}":
            depth -= 1
        at += 1
    if len(quote) == 3:
        return quote
    return "[" if depth > 0 else ""


class _Reader:
    """Puts statements into rows."""

    def __init__(self, mistakes: Mistakes) -> None:
        self.mistakes = mistakes
        self.rows: dict[str, list[Row]] = {}
        self._lists: set[str] = set()  # tables in double brackets
        self._row: Row | None = None
        self._part = ""  # of [feature.draft]: the key whose parts follow

    def heading(self, statement: Statement) -> None:
        """[name], [[name]] or [name.part]."""
        told = _HEAD.match(statement.text)
        self._part = ""
        names = [name.strip().strip("\"'") for name in told[2].split(".")] if told else []
        if not told or len(told[1]) != len(told[3]) or not all(names) or len(names) > 2:
            self.mistakes.lost_heading = True
            typed = statement.text.strip()[:40]
            self.mistakes.add(statement.spot, f"'{typed}' is not TOML: a heading is written [job] or [[feature]]")
            self._row = Row("?", statement.spot, Mistakes())  # what stands below is read past
            return
        name = names[0]
        if len(names) == 2:
            rows = self.rows.get(name) or [self._new(name, statement.spot)]
            self._row, self._part = rows[-1], names[1]
            if self._part in self._row:
                self.mistakes.add(statement.spot, f"[{name}] has two of '{self._part}'")
            self._row.put(self._part, {}, statement.spot, statement.spot)
            return
        if len(told[1]) == 1 and name in self.rows:
            first = self.rows[name][0].spot.line
            self.mistakes.add(statement.spot, f"[{name}] stands twice; the first begins in line {first}")
            self._row = Row("?", statement.spot, Mistakes())
            return
        if len(told[1]) == 2:
            self._lists.add(name)
        self._row = self._new(name, statement.spot)
        self._row.doubled = len(told[1]) == 2
        if self._row.doubled:
            self._row.who = f"[[{name}]]"

    def _new(self, name: str, spot: Spot) -> Row:
        row = Row(name, spot, self.mistakes)
        self.rows.setdefault(name, []).append(row)
        return row

    def pair(self, statement: Statement) -> None:
        """key = value, into the row of the heading above it."""
        if self._row is None:
            self._row = self._new("", statement.spot)
        value_spot = _value_spot(statement)
        try:
            held = tomllib.loads(statement.text)
        except tomllib.TOMLDecodeError as problem:
            if self._row.name != "?":
                self.mistakes.add(*_slip(statement, value_spot, str(problem)))
                key = statement.text.partition("=")[0].strip()
                if _PLAIN_KEY.fullmatch(key):
                    self._row.broken.add(key)
            return
        for key, value in held.items():
            self._put(self._row, key, value, statement, value_spot)

    def _put(self, row: Row, key: str, value: Any, statement: Statement, spot: Spot) -> None:
        if self._part:
            parts = row.values[self._part]
            if key in parts:
                self.mistakes.add(statement.spot, f"{row.who} {self._part}: '{key}' is given twice")
            parts[key] = value
            return
        there = row.values.get(key)
        if isinstance(there, dict) and isinstance(value, dict) and not there.keys() & value.keys():
            row.values[key] = {**there, **value}  # contraction.x = ..., contraction.y = ...
            return
        if key in row:
            self.mistakes.add(
                statement.spot, f"{row.who} '{key}' is given twice; the first stands in line {row.keys[key].line}"
            )
            return
        row.put(key, value, statement.spot, spot)


def _value_spot(statement: Statement) -> Spot:
    """Where the value begins, behind the equals sign."""
    before, equals, after = statement.text.partition("=")
    if not equals or "\n" in before:
        return statement.spot
    return Spot(statement.spot.line, len(before) + 2 + len(after) - len(after.lstrip(" \t")))


def _slip(statement: Statement, value: Spot, problem: str) -> tuple[Spot, str]:
    """What is wrong with a statement that is no TOML, and where."""
    said = _AT.search(problem)
    line, column = (int(said[1]), int(said[2])) if said and said[1] else (1, 0)
    spot = Spot(statement.spot.line + line - 1, column) if column else statement.spot
    key, equals, rest = statement.text.partition("=")
    if not equals:
        return statement.spot, f"'{key.strip()[:40]}' stands alone: write a name, = and what it is"
    if not rest.strip() or rest.strip().startswith("#"):
        return statement.spot, f"'{key.strip()[:40]}' has nothing behind the = sign"
    words = rest.partition("#")[0].strip()
    if _BARE_WORDS.fullmatch(words):
        return value, f'a text stands in quotes: {key.strip()} = "{words[:60]}"'
    if words.startswith(('"', "'")) and words.count(words[0]) == 1:
        return value, "the quotes are not closed in this line"
    return spot, f"this is not TOML: {_AT.sub('', problem)}"
