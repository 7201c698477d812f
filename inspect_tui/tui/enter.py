"""Something entered about a tool in a form: read, what is doubtful asked once, written in a person's name, and said."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any, Protocol

from inspect_tui.metrology.typed.fields import Wrong
from inspect_tui.model.measuring import Person
from inspect_tui.tui import forms
from inspect_tui.tui.forms import Choices, Doubt, Texts
from inspect_tui.tui.place import Place


class Entered(Protocol):
    """Something typed: the thing to write, or why not (`wrong`), or what to confirm first (`asks`)."""

    @property
    def thing(self) -> Any:
        """What is to be written."""

    @property
    def wrong(self) -> str:
        """Why it cannot be."""

    @property
    def asks(self) -> Sequence[str]:
        """What is doubtful."""


def fill_in(
    place: Place,
    by: Person,
    title: str,
    fields: Sequence[tuple[str, str]],
    first: Mapping[str, str],
    read: Callable[[Texts], Entered],
    said: Callable[[Texts], str],
    choices: Mapping[str, Choices] | None = None,
    watch: Callable[[Texts], str] | None = None,
) -> None:
    """The form of a thing that `by` enters, with what stands in it first; `said` tells what was entered.

    `choices` are, by key, what can stand in a field; `watch` says what follows while it is typed.
    """

    def made(texts: Texts) -> Any:
        entered = read(texts)
        if entered.wrong:
            return Wrong(entered.wrong)
        fact_and_words = (entered.thing, said(texts))
        return Doubt(fact_and_words, entered.asks) if entered.asks else fact_and_words

    def write(fact_and_words: tuple[Any, str]) -> str:
        fact, words = fact_and_words
        place.record.add(fact, by=by.id)
        return words

    forms.ask(place, title, forms.first(fields, first, choices), made, write, then=place.changed, watch=watch)
