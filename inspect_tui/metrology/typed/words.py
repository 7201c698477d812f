"""Small words of sentences: counted nouns, what a piece or a person is called, a capital where a sentence begins."""

from __future__ import annotations


def counted(n: int, one: str, many: str | None = None) -> str:
    """`1 reading`, `0 readings`, `7 readings`; `many` where the plural is not made with an s."""
    return f"{n} {one}" if n == 1 else f"{n} {many or one + 's'}"


def called(kind: str, name: str) -> str:
    """`person 1` for a name that is a plain number, which alone would read as a figure; any other name as it is."""
    return f"{kind} {name}" if name.isdecimal() else name


def capital(sentence: str) -> str:
    """The sentence with its first letter large; a symbol or a figure in front stays as it is."""
    return sentence[:1].upper() + sentence[1:]
