"""Small words of sentences: what a piece or a person is called, a capital where a sentence begins."""

from __future__ import annotations


def called(kind: str, name: str) -> str:
    """`person 1` for a name that is a plain number, which alone would read as a figure; any other name as it is."""
    return f"{kind} {name}" if name.isdecimal() else name


def capital(sentence: str) -> str:
    """The sentence with its first letter large; a symbol or a figure in front stays as it is."""
    return sentence[:1].upper() + sentence[1:]
