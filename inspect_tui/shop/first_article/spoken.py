"""Sentences of a report with their figures kept beside them: one content is said in mm, in inches, with a comma.

A report is worked out in `KEPT`, a style that writes a mark in place of each figure. `apart` puts the figures into the
sentences as `MM` writes them, which is what programs and tables read, and keeps the sentences with their figures under
`spoken`; `said` says them in another style. Reports of before have no `spoken` and stay as they were said.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any

from inspect_tui.metrology.typed.show import MM, Style

OPEN, CLOSE = "\ue000", "\ue001"  # of the private use area: nobody types them
FIGURE = re.compile(f"{OPEN}([^{CLOSE}]*){CLOSE}")
HOW = (
    *("length", "signed", "uncertainty", "plus_minus", "pair", "band", "derived", "given", "significant", "size"),
    *("deviations", "figure", "figures", "spread", "percent", "nearly", "chance", "angle", "temperature", "weight"),
    *("flow", "with_unit", "unit_word"),
)
WORD, OWN = "word", "own"  # the unit of lengths; in place of how, before what is no length in any style
OTHERS = (
    Style("in"),
    Style("fraction"),
    Style(mark=","),
    Style(printed=True),
)  # a figure that all write alike needs no keeping


class Kept(Style):
    """Writes a mark in place of a figure; `own`: the figures are no lengths (degrees), as `Style.of` has them."""

    def __init__(self, own: bool = False) -> None:
        super().__init__()
        object.__setattr__(self, OWN, own)

    def of(self, what: str) -> Style:
        """The style for sizes of this quantity or unit."""
        return Kept(own=True) if MM.of(what) is not MM else self

    def readings_in(self, unit: str) -> tuple[Style, str]:
        """How readings of this unit are written, and the unit that is said."""
        return (self, self.word) if unit == "mm" else (Kept(own=True), unit)

    @property
    def word(self) -> str:
        """The unit of lengths."""
        return self._kept(WORD, (), {})

    def _kept(self, how: str, given: Sequence[Any], named: Mapping[str, Any]) -> str:
        own = bool(getattr(self, OWN))
        text = _write(MM, how, given, named, own)
        if all(_write(other, how, given, named, own) == text for other in OTHERS):
            return text
        told = json.dumps([how, own, list(given), dict(named)], separators=(",", ":"), ensure_ascii=True)
        return f"{OPEN}{told}{CLOSE}"


def _keeping(how: str) -> Callable[..., str]:
    def kept(self: Kept, *given: Any, **named: Any) -> str:
        return self._kept(how, given, named)

    kept.__doc__ = f"As `Style.{how}`, kept."
    return kept


for _how in HOW:
    setattr(Kept, _how, _keeping(_how))
KEPT = Kept()


def _write(style: Style, how: str, given: Sequence[Any], named: Mapping[str, Any], own: bool) -> str:
    used = style.of("deg") if own else style
    text = used.word if how == WORD else getattr(used, how)(*given, **named)
    return str(text)


# ------------------------------------------------------------------------------ apart, and said again
def apart(plain: dict[str, Any]) -> dict[str, Any]:
    """The content as it was worked out in `KEPT`, its sentences said in `MM`; those with figures under `spoken`."""
    spoken: list[dict[str, Any]] = []
    made = _apart(plain, "", spoken)
    assert isinstance(made, dict)
    made["spoken"] = spoken
    return made


def _apart(value: Any, where: str, spoken: list[dict[str, Any]]) -> Any:
    if isinstance(value, dict):
        return {name: _apart(part, f"{where}/{name}", spoken) for name, part in value.items()}
    if isinstance(value, list):
        return [_apart(part, f"{where}/{at}", spoken) for at, part in enumerate(value)]
    pieces = FIGURE.split(value) if isinstance(value, str) else []  # words, figure, words, figure, words
    if len(pieces) < 2:
        return value
    line = {"where": where[1:], "words": pieces[::2], "figures": pieces[1::2]}
    try:
        text = _said(line, MM)
    except (ValueError, TypeError, AttributeError):  # somebody did type such a mark
        return value
    spoken.append(line)
    return text


def _said(line: Mapping[str, Any], style: Style) -> str:
    first, *after = line["words"]
    return str(first) + "".join(
        _figure(figure, style) + words for figure, words in zip(line["figures"], after, strict=True)
    )


def _figure(kept: str, style: Style) -> str:
    how, own, given, named = json.loads(kept)
    if how != WORD and how not in HOW:
        raise ValueError(f"{how} writes no figure")
    return _write(style, how, given, named, own)


def said(plain: Mapping[str, Any], style: Style) -> dict[str, Any]:
    """The content with its sentences in `style`; what has none, or was left out of it, stays as it is."""
    made: dict[str, Any] = json.loads(json.dumps(plain))
    for holder, key, line in _standing(made):
        holder[key] = _said(line, style)
    return made


def without_what_is_gone(plain: dict[str, Any]) -> dict[str, Any]:
    """The content with only those sentences under `spoken` that still stand in it: what was left out stays out."""
    return {**plain, "spoken": [line for _, _, line in _standing(plain)]} if "spoken" in plain else plain


def _standing(plain: Mapping[str, Any]) -> Iterator[tuple[Any, Any, Mapping[str, Any]]]:
    """Every sentence that stands in the content as it was kept: what holds it, under which key, and its figures."""
    for line in plain.get("spoken", ()):
        holder: Any = plain
        *way, last = line["where"].split("/")
        try:
            for name in way:
                holder = holder[_key(holder, name)]
            key = _key(holder, last)
            stands = holder[key] == _said(line, MM)
        except (KeyError, IndexError, TypeError, ValueError):
            continue
        if stands:
            yield holder, key, line


def _key(holder: Any, name: str) -> Any:
    return int(name) if isinstance(holder, list) else name
