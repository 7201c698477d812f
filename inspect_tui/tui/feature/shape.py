"""The form of the Feature place that works out straightness, flatness or roundness while readings are typed."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING, Any

from inspect_tui.errors import DataError
from inspect_tui.metrology.typed import fields
from inspect_tui.metrology.typed.fields import Wrong
from inspect_tui.metrology.typed.words import capital
from inspect_tui.shop.feature import form
from inspect_tui.tui import forms
from inspect_tui.tui.forms import Field, Texts

if TYPE_CHECKING:
    from textual.message_pump import MessagePump

    from inspect_tui.metrology.typed.show import Style
    from inspect_tui.shop.feature.form import FormView

LINES = [
    Field("kind", f"form: {', '.join(form.KINDS)}", "flatness", partial(fields.choice, words=form.KINDS), form.KINDS),
    Field("readings", "readings: heights row by row, 0 0.02 0.01; of a bore diameters"),
    Field("every", "every: from one height to the next, such as 100", "100"),
    Field("rows", "rows: that the heights of a face stand in", "2"),
    Field("limit", "limit: how wide the zone may be; may be left out"),
]


def ask(place: MessagePump, style: Style, say: Callable[[str], Any]) -> None:
    """Put the form over a place; what comes out stands in it while it is typed, and is said when it closes."""
    forms.ask(
        place,
        "Straight, flat or round?",
        LINES,
        partial(read, style=style),
        then=lambda view: say(" ".join(f"{capital(sentence)}." for sentence in view.sentences[:1])),
        watch=partial(so_far, style=style),
    )


def read(texts: Texts, style: Style) -> FormView | Wrong:
    """The form of what was typed, or what is wrong with it."""
    kind = fields.choice(texts["kind"], form.KINDS, "the form")
    if isinstance(kind, Wrong):
        return kind
    sizes = fields.sizes(texts["readings"], signed=kind != "roundness")
    every = fields.size(texts["every"]) if kind != "roundness" else 1.0
    rows = fields.count(texts["rows"]) if kind == "flatness" else None
    limit = fields.size(texts["limit"]) if texts["limit"].strip() else None
    for what, answer in (("Readings", sizes), ("Every", every), ("Rows", rows), ("Limit", limit)):
        if isinstance(answer, Wrong):
            return Wrong(f"{what}: {answer}")
    try:
        return form.of_values(kind, sizes, every=every, rows=rows, limit=limit, style=style)  # type: ignore[arg-type]
    except DataError as problem:
        return Wrong(str(problem))


def so_far(texts: Texts, style: Style) -> str:
    """What stands under the form while it is filled: the answer, or nothing yet."""
    if not texts["readings"].strip():
        return ""
    made = read(texts, style)
    return str(made) if isinstance(made, Wrong) else " ".join(f"{capital(s)}." for s in made.sentences)
