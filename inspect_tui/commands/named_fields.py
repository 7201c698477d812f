"""FIELD=TEXT words of a command: what a form would have its fields filled in with, by the names of these fields."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from inspect_tui.metrology.typed.fields import Wrong


def read(words: Sequence[str], known: Iterable[str]) -> dict[str, str]:
    """The text of each field that is given; DataError with the first word that is none, or is given twice."""
    from inspect_tui.errors import DataError
    from inspect_tui.shop.common.find import get_close_matches

    names = list(known)
    given: dict[str, str] = {}
    for word in words:
        name, sign, text = word.partition("=")
        name = name.strip().casefold()
        if not sign:
            raise DataError(f"'{word}' is no FIELD=TEXT: say {names[0]}={word}, or one of {', '.join(names)}.")
        if name not in names:
            near = get_close_matches(name, names, n=1, cutoff=0.5)
            hint = f"nearest: {near[0]}" if near else f"there are: {', '.join(names)}"
            raise DataError(f"There is no field '{name}'; {hint}.")
        if name in given:
            raise DataError(f"'{name}' is given twice.")
        given[name] = text
    return given


def taken(answer: object | Wrong, name: str):  # type: ignore[no-untyped-def]
    """What was read; DataError with the field's name where it is a `Wrong`."""
    from inspect_tui.errors import DataError
    from inspect_tui.metrology.typed.fields import Wrong

    if isinstance(answer, Wrong):
        raise DataError(f"{name}: {answer}.")
    return answer
