"""Why a file that the foundry sent back is not taken in: what is wrong in it, or what is to be answered first."""

from __future__ import annotations

from collections.abc import Sequence

from inspect_tui.metrology.typed.show import count
from inspect_tui.shop.intake.columns import NOTHING
from inspect_tui.shop.intake.rows import ImportRefused
from inspect_tui.todo import Todo


def refused(name: str, wrong: Sequence[str], todo: Todo | None = None, about: str = "") -> ImportRefused:
    """The refusal of a file with all that is wrong in it, each once."""
    return ImportRefused(
        f"{name} was not taken in: {_things(wrong)} wrong. {NOTHING} Put it right in the file, or say it otherwise.",
        list(dict.fromkeys(wrong)),
        todo=todo,
        about=about,
    )


def refuse_unanswered(name: str, asked: Sequence[str]) -> None:
    """ImportRefused where something is to be answered before the file is taken in."""
    if asked:
        raise ImportRefused(
            f"{name} was not taken in: {_things(asked)} to be looked at first. {NOTHING}", asked, todo=Todo.KEEP_ODD
        )


def _things(told: Sequence[str]) -> str:
    return f"{count(len(told), 'thing')} {'is' if len(told) == 1 else 'are'}"
