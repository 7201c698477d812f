"""The small pieces of a QIF document: texts, tokens, numbers, named values, lists with their count, and the ids."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal
from xml.etree import ElementTree as Tree

from inspect_tui.report.words import visible


class Ids:
    """The numbers that the document's things refer to each other by."""

    def __init__(self) -> None:
        self.last = 0

    def next(self) -> str:
        """The next number; the largest one stands at the root."""
        self.last += 1
        return str(self.last)


def text(parent: Tree.Element, name: str, words: str) -> Tree.Element:
    """An element with words in it."""
    made = Tree.SubElement(parent, name)
    made.text = visible(words)
    return made


def token(parent: Tree.Element, name: str, words: str) -> Tree.Element:
    """Text that the schema wants without line ends and double blanks."""
    return text(parent, name, " ".join(words.split()))


def number(parent: Tree.Element, name: str, value: float) -> Tree.Element:
    """An element with a figure in it, at full precision."""
    return text(parent, name, decimal(value))


def decimal(value: float) -> str:
    """Full precision without an exponent, as xs:decimal wants it."""
    return format(Decimal(repr(float(value))), "f")


def attributes(parent: Tree.Element, pairs: Iterable[tuple[str, object]]) -> None:
    """Named values beside what the schema has elements for; None and nothing are left out."""
    said = [(name, value) for name, value in pairs if value not in (None, "")]
    if said:
        box = many(parent, "Attributes", len(said))
        for name, value in said:
            words = decimal(value) if isinstance(value, float) else visible(str(value))
            Tree.SubElement(box, "AttributeStr", {"name": name, "value": words})


def references(parent: Tree.Element, name: str, ids: Iterable[str]) -> None:
    """A list of the ids of other things."""
    wanted = list(ids)
    box = many(parent, name, len(wanted))
    for one in wanted:
        text(box, "Id", one)


def many(parent: Tree.Element, name: str, count: int) -> Tree.Element:
    """A list; the schema knows no empty one, so it is made only where `count` is at least 1."""
    return Tree.SubElement(parent, name, {"n": str(count)})
