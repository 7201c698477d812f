"""What a reader of typed text found, or an error that names the field."""

from __future__ import annotations

from typing import TypeVar

from inspect_tui.errors import DataError
from inspect_tui.metrology.typed.fields import Wrong

Value = TypeVar("Value")


def taken(answer: Value | Wrong, name: str = "") -> Value:
    """The value that was read; DataError with the name of the field and what is wrong otherwise."""
    if isinstance(answer, Wrong):
        raise DataError(f"{name}: {answer}." if name else f"{answer}.")
    return answer
