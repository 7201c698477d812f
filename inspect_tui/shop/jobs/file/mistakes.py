"""Mistakes of a file, collected until all are known, each with its place; and a row of values that knows its places."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from difflib import get_close_matches
from typing import Any, TypeVar

from inspect_tui.errors import JobFileError
from inspect_tui.frozen import NamedTuple
from inspect_tui.metrology.typed.fields import Wrong
from inspect_tui.record.text import clean
from inspect_tui.todo import Todo

Value = TypeVar("Value")

MOST_TOLD = 30  # mistakes named one by one


class Spot(NamedTuple):
    """Where something stands: line and column from 1, in a sheet or file where there are several."""

    line: int
    column: int
    sheet: str = ""

    @property
    def words(self) -> str:
        """`line 12, column 9`, or `sheet features, row 4, column C`."""
        if self.sheet:
            return f"{self.sheet}, row {self.line}, column {letters(self.column)}"
        return f"line {self.line}, column {self.column}"


def letters(column: int) -> str:
    """The letters of a column as a workbook names it: 1 is A, 27 is AA."""
    name = ""
    while column > 0:
        column, rest = divmod(column - 1, 26)
        name = chr(ord("A") + rest) + name
    return name


class Mistakes:
    """What is wrong with a file, in the order of the file."""

    def __init__(self) -> None:
        self._told: list[tuple[Spot, str]] = []
        self.lost_heading = False  # a heading could not be read: what stands below it is not missing

    def add(self, spot: Spot, sentence: str) -> None:
        """One more; what was told of the same place already stays the only word about it."""
        if all(told != spot for told, _ in self._told):
            self._told.append((spot, sentence))

    def __len__(self) -> int:
        return len(self._told)

    @property
    def sentences(self) -> list[str]:
        """Each mistake with its place, by sheet and line."""
        in_order = sorted(self._told, key=lambda told: (told[0].sheet, told[0].line, told[0].column))
        return [f"{spot.words}: {said.rstrip('.')}." for spot, said in in_order]

    @property
    def bare(self) -> list[str]:
        """Each mistake without its place, as a form says them."""
        return [said for _, said in sorted(self._told, key=lambda told: (told[0].sheet, told[0].line, told[0].column))]

    def stop(self, what: str = "The job file") -> None:
        """Raise JobFileError with all of them, where there are any."""
        told = self.sentences
        if not told:
            return
        if len(told) == 1:
            raise JobFileError(f"{what}, {told[0]}", todo=Todo.SEE_EXAMPLE)
        more = [f"... and {len(told) - MOST_TOLD} more."] if len(told) > MOST_TOLD else []
        listed = "\n".join([*told[:MOST_TOLD], *more])
        head = f"{what} has {len(told)} mistakes, so nothing of it was taken:"
        raise JobFileError(f"{head}\n{listed}", todo=Todo.SEE_EXAMPLE)


class Row:
    """One table of a job file, such as a [[feature]]: its values by key, and where each stands."""

    def __init__(self, name: str, spot: Spot, mistakes: Mistakes) -> None:
        self.name, self.spot, self.mistakes = name, spot, mistakes
        self.values: dict[str, Any] = {}
        self.spots: dict[str, Spot] = {}  # of the values
        self.keys: dict[str, Spot] = {}
        self.broken: set[str] = set()  # keys whose value could not be read at all: they are not missing
        self.doubled = True  # stands in double brackets
        self.who = f"[{name}]" if name else "the file"  # as messages call it; its own name once it has one

    def put(self, key: str, value: Any, key_spot: Spot, spot: Spot) -> None:
        """Set a value with its places."""
        self.values[key], self.keys[key], self.spots[key] = value, key_spot, spot

    def __contains__(self, key: str) -> bool:
        return key in self.values

    def __getitem__(self, key: str) -> Any:
        return self.values[key]

    def wrong(self, key: str, sentence: str) -> None:
        """A mistake in one value, or in the row where it has no such value."""
        self.mistakes.add(self.spots.get(key, self.spot), f"{self.who} {key}: {sentence}" if key else sentence)

    def lacks(self, sentence: str, key: str = "") -> None:
        """A mistake of the row as a whole; not said of a `key` that is there and could not be read at all."""
        if key not in self.broken:
            self.mistakes.add(self.spot, sentence)

    def take(self, key: str, read: Callable[[Any], Value | Wrong], default: Value) -> Value:
        """What a reader of `fields` makes of a value; the default for none, or a bad one, which is told."""
        if key not in self.values:
            return default
        answer = read(self.values[key])
        if isinstance(answer, Wrong):
            self.wrong(key, str(answer))
            return default
        return answer

    def maybe(self, key: str, read: Callable[[Any], Value | Wrong]) -> Value | None:
        """The same, None where there is none."""
        if key not in self.values:
            return None
        answer = read(self.values[key])
        if isinstance(answer, Wrong):
            self.wrong(key, str(answer))
            return None
        return answer

    def text(self, key: str, most: int, default: str = "") -> str:
        """A text of at most so many letters; a figure is taken as it is written."""
        return self.take(key, lambda value: a_text(value, most), default)

    def words(self, key: str, most: int) -> str | None:
        """A text that may be left out."""
        return self.maybe(key, lambda value: a_text(value, most)) or None

    def parts(self, key: str, names: Iterable[str]) -> Mapping[str, Any]:
        """The parts of an inline table such as { x = 1, y = 2 }; unknown ones are told."""
        value = self.values.get(key, {})
        known = list(names)
        if not isinstance(value, dict):
            self.wrong(key, f"it is written as {{ {known[0]} = ..., {known[1]} = ... }}" if len(known) > 1 else "")
            return {}
        for name in value:
            if name not in known:
                self.wrong(key, f"it does not know '{name}'; it knows {', '.join(known)}")
        return {name: part for name, part in value.items() if name in known}

    def part(self, key: str, part: str, read: Callable[[Any], Value | Wrong], value: Any) -> Value | None:
        """What a reader makes of one part of a value."""
        answer = read(value)
        if isinstance(answer, Wrong):
            self.mistakes.add(self.spots.get(key, self.spot), f"{self.who} {key} {part}: {answer}")
            return None
        return answer

    def each(self, key: str) -> list[Any]:
        """A list; one value alone counts as a list of one."""
        value = self.values.get(key, [])
        return value if isinstance(value, list) else [value]

    def knows(self, known: Iterable[str]) -> None:
        """Tell every key that is not known, with the nearest that is."""
        names = list(known)
        for key in self.values:
            if key not in names:
                self.mistakes.add(self.keys[key], f"{self.who} does not know '{key}'; {nearest(key, names)}")
                self.broken.update(_close(key, names))  # what was meant is not missing


def nearest(word: str, known: Iterable[str]) -> str:
    """`perhaps 'nominal' is meant`, or all that is known."""
    names = sorted(known)
    close = _close(word, names)
    return f"perhaps '{close[0]}' is meant" if close else f"it knows {', '.join(names)}"


def _close(word: str, known: list[str]) -> list[str]:
    return get_close_matches(word.casefold(), known, 1, 0.6)


def a_text(value: Any, most: int) -> str | Wrong:
    """A text of at most so many letters in one line; a figure as it is written."""
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        return Wrong("that is no text", 'write it in quotes, such as "box 3"')
    words = " ".join(clean(str(value), newline=False).split())
    if len(words) > most:
        return Wrong(f"it has {len(words)} letters", f"at most {most} fit")
    return words
