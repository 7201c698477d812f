"""One line of the checklist as it is typed: how it goes, a size, how it was taken, words. `rubs 0.12 feeler, neck`.

Quick with gloves: + or g goes, t tight, r rubs, l loose, s stops (does not go in, does not close).
"""

from __future__ import annotations

import re

from inspect_tui.frozen import frozen_by_name
from inspect_tui.metrology.judge import in_mould
from inspect_tui.metrology.typed import fields
from inspect_tui.metrology.typed.fields import Wrong
from inspect_tui.metrology.typed.show import MM
from inspect_tui.model.proving import How, ProvingLine

RESULT_WORDS = (
    (How.GOES, ("+", "g", "go", "goes", "ok", "good", "yes", "in", "closes")),
    (How.TIGHT, ("t", "tight")),
    (How.RUBS, ("r", "rub", "rubs", "rubbed")),
    (How.LOOSE, ("l", "loose", "slack")),
    (How.STOPS, ("s", "x", "no", "stop", "stops", "no-go", "nogo")),
)
WAY_OF = {"fit": "feeler", "wall": "clay", "closing": "feeler", "core": "gauge", "remark": "gauge"}
HOW = "type goes, tight, rubs, loose or stops, a size such as 0.35, or both; then how it was taken, and words"
LONG = ("does not go", "does not close", "no go", "not ok")  # several words for: it stops
MOST = 400
_FIGURE = r"\d(?:[\d.,]*\d)?"
_UNIT = r"\s*(?:mm|cm|in|inch|\"|″|thou|um|µm)?"
_SIZE = re.compile(
    rf"(?P<size>[+-]?(?:{_FIGURE}(?:[ -]\d+/\d+)?|\d+/\d+|[.,]\d+){_UNIT})(?=$|[\s,;:±+])",
    re.IGNORECASE,
)
_PLUS_MINUS = re.compile(rf"\s*(?:±|\+/-|\+-)\s*(?P<u>{_FIGURE}{_UNIT})(?=$|[\s,;:])", re.IGNORECASE)


@frozen_by_name
class Found:
    """What one line says. Sizes mm in the mould; `u_mm` one standard uncertainty: half of what was typed behind ±."""

    result: How | None = None
    value: float | None = None
    typed: str | None = None
    unit: str | None = None
    u_mm: float | None = None
    way: str | None = None
    words: str | None = None


def read(text: str, sort: str, unit: str = "mm", way: str = "") -> Found | Wrong:
    """What was typed for one line, `sort` as in the model; `way` holds for a size that does not say how it was taken.

    A thickness and a clearance lie above 0; what the halves stay apart may be 0, which is: it closes.
    """
    line = " ".join(text.split())
    if len(line) > MOST:
        return Wrong(f"{len(line)} letters are too many", f"at most {MOST}")
    if sort == "remark":
        return Found(words=line or None)
    result, rest = how(line)
    match = _SIZE.match(rest)
    if match is None or (result is How.STOPS and sort != "closing"):  # what does not go in leaves no gap to be taken
        if result is None:
            return Wrong(f"'{line[:40]}' does not say how it goes", HOW)
        return Found(result=result, words=_words(rest))
    typed = match["size"].strip()
    value = fields.size(typed, unit, zero=True, signed=True)
    if isinstance(value, Wrong):
        return value
    if wrong := _no_size(value, typed, sort):
        return wrong
    taken, rest = _way(rest[match.end() :])
    u = None
    if plus := _PLUS_MINUS.match(rest):
        both = fields.size(plus["u"], unit)
        if isinstance(both, Wrong):
            return both
        u, rest = both / 2.0, rest[plus.end() :]
    taken, rest = (taken, rest) if taken else _way(rest)
    return Found(
        result=result,
        value=value,
        typed=typed[:64],
        unit=unit,
        u_mm=u,
        way=taken or way or WAY_OF[sort],
        words=_words(rest),
    )


def _no_size(value: float, typed: str, sort: str) -> Wrong | None:
    if value < 0.0:
        return Wrong(f"{typed} lies below 0", "say that it stops, where it does not go in")
    if value == 0.0 and sort == "wall":
        return Wrong("a thickness of 0 is no wall", "say what was taken, or stops and words where core and mould touch")
    if value == 0.0 and sort in ("fit", "core"):
        return Wrong("a clearance of 0 cannot be taken", "say tight, rubs or stops")
    return None


def how(line: str) -> tuple[How | None, str]:
    """How it goes, None where the line does not say, and what is left of the line."""
    folded = line.casefold()
    for words in LONG:
        if re.match(rf"{words}(?=$|[\s,;:])", folded):
            return How.STOPS, line[len(words) :].lstrip(" ,;:")
    first = re.match(r"[^\s,;:]+", line)
    word = first[0].casefold() if first else ""
    for result, known in RESULT_WORDS:
        if word in known:
            return result, line[len(word) :].lstrip(" ,;:")
    return None, line


def _way(rest: str) -> tuple[str, str]:
    """The way that stands next, and what is left behind it; `by` before it is no word of its own."""
    bare = re.sub(r"^[\s,;:]*(?:by|with)\s+(?=\S)", "", rest, flags=re.IGNORECASE).lstrip(" ,;:")
    word = re.match(r"[A-Za-z]+", bare)
    named = word[0].casefold() if word else ""
    for way in in_mould.ways():
        if named in (way.name, f"{way.name}s"):
            return way.name, bare[len(named) :]
    return "", rest


def _words(rest: str) -> str | None:
    return rest.strip(" ,;:") or None


def text_of(line: ProvingLine) -> str:
    """A line as it can be typed again: `rubs 0.12 feeler, at the neck`."""
    if line.sort == "remark":
        return line.words or ""
    parts = [str(line.result)] if line.result else []
    if line.typed is not None:
        bare = re.fullmatch(r"[\d.,\s/+-]+", line.typed) is not None
        size = f"{line.typed} {line.typed_unit}" if bare and line.typed_unit not in (None, "mm") else line.typed
        plus = f" ±{MM.figures(2 * line.u_mm)} mm" if line.u_mm is not None else ""
        parts.append(f"{size}{plus} {line.way or ''}".strip())
    head = " ".join(parts)
    return ", ".join(filter(None, (head, line.words)))
