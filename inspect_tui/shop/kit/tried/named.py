"""The trials of a job by what people call them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inspect_tui.shop.common import find
from inspect_tui.shop.kit.tried import words

if TYPE_CHECKING:
    from collections.abc import Iterator

    from inspect_tui.model.proving import Proving, ProvingLine
    from inspect_tui.model.words import Id
    from inspect_tui.record.read import Reader


def every(reader: Reader, job_of_id: Id) -> Iterator[tuple[str, Proving, tuple[ProvingLine, ...]]]:
    """`trying in of 2026-03-02`; a second one of that day has its number behind it."""
    many: dict[str, int] = {}
    for proving, lines in reader.provings(job_of_id):
        name = words.name_of(proving)
        many[name] = many.get(name, 0) + 1
        yield (name if many[name] == 1 else f"{name} ({many[name]})"), proving, lines


def one(reader: Reader, job_of_id: Id, called: str, where: str) -> tuple[str, Proving, tuple[ProvingLine, ...]]:
    """The one that is meant; NotFound or Several with those there are."""
    there = list(every(reader, job_of_id))
    if not called.strip() and len(there) == 1:
        return there[0]
    return find.pick(called, there, lambda each: each[0], "trial", where)
