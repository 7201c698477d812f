"""What a gauge sends becomes what a person would have typed: prefix and suffix off, its letters as a unit, its sign.

A line that does not look as if this gauge had sent it is left alone: somebody typed it. One that does, but is spoiled
(a byte was lost between its figures, too few decimals), is a `Wrong`: figures are never joined over a gap.

Source: own derivation; what gauges send is common practice, no source.
"""

from __future__ import annotations

import re

from inspect_tui.frozen import frozen, frozen_by_name
from inspect_tui.metrology.typed.fields import Wrong
from inspect_tui.metrology.typed.units import short_unit

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Mapping

LOST = "\u2400"  # stands in the entry where a byte came that is no character
MOST = 200  # characters of a line that are looked at
_FIGURE = r"([+-]?)[ ]*([0-9]+(?:[.,][0-9]+)?|[.,][0-9]+)"
_ONE = re.compile(_FIGURE)


@frozen_by_name
class Speech:
    """How a gauge speaks; `units` says which of its letters mean which unit, `unit` what it reads without them.

    `pattern` is a regular expression with the figure as its first group, and its letters as a second where it has one.
    """

    prefix: str = ""
    suffix: str = ""
    units: Mapping[str, str] = {}
    mark: str = ""
    pattern: str = ""
    unit: str = "mm"


@frozen
class Learnt:
    """What one example says: what stands round the figure, the letters of its unit, its decimal mark and decimals."""

    prefix: str
    suffix: str
    letters: str
    mark: str
    decimals: int


def spoiled(text: str) -> bool:
    """Whether a byte was lost in a line: a NUL, another control character, or what stands for one."""
    inner = text.strip("\r\n\t ")
    return any(char in (LOST, "\ufffd") or (ord(char) < 32) or ord(char) == 127 for char in inner)


def heard(text: str, speech: Speech, *, surely: bool = False) -> str | Wrong:
    """The line as a person would have typed it: 59.66 mm. `surely`: it came over a line of the gauge's own.

    A line that the gauge has not sent comes back as it is, `surely` one that is not understood is a `Wrong`.
    """
    if spoiled(text):
        return Wrong("a part of what the gauge sent was lost", "read it again")
    line = text.strip()[:MOST]
    inner = _of_pattern(line, speech) if speech.pattern else _inside(line, speech)
    if inner is None:
        return Wrong(f"{line[:40]!r} is not what this gauge sends", "read it again") if surely else text
    if isinstance(inner, Wrong):
        return inner
    figure, letters = inner
    if not (surely or speech.pattern or speech.prefix or speech.suffix or letters):
        return text  # nothing tells it from what is typed by hand
    unit = _unit(letters, speech)
    if unit is None:
        if surely or speech.prefix or speech.pattern:
            return Wrong(f"the gauge sent {letters!r} behind the figure, and no unit is called so", "say what it means")
        return text
    return f"{figure} {unit}"


def _inside(line: str, speech: Speech) -> tuple[str, str] | Wrong | None:
    """The figure and the letters behind it; None where the line is not this gauge's."""
    if not line.startswith(speech.prefix):
        return None
    rest = line[len(speech.prefix) :]
    if speech.suffix and rest.endswith(speech.suffix):
        rest = rest[: -len(speech.suffix)]
    elif speech.suffix and not speech.prefix:
        return None
    elif speech.suffix:
        return Wrong("the end of what the gauge sent was lost", "read it again")
    rest = rest.strip()
    match = _ONE.match(rest)
    if match is None:
        return Wrong("no figure stands behind what the gauge sends first", "read it again") if speech.prefix else None
    figure = _figure(match[1], match[2], speech.mark)
    letters = rest[match.end() :].strip()
    if figure is None or any(char.isdigit() for char in letters):
        return Wrong(f"{rest[:40]!r} is more than one figure", "read it again") if speech.prefix else None
    return figure, letters


def _of_pattern(line: str, speech: Speech) -> tuple[str, str] | Wrong | None:
    try:
        match = re.fullmatch(speech.pattern, line)
    except re.error as problem:
        return Wrong(f"the pattern of this gauge is none ({problem})", "put it right")
    if match is None:
        begins = bool(speech.prefix) and line.startswith(speech.prefix)
        return Wrong(f"{line[:40]!r} is not all that the gauge sends", "read it again") if begins else None
    inner = _ONE.fullmatch((match[1] or "").strip()) if match.re.groups else None
    if inner is None:
        return Wrong("the first group of the pattern is no figure", "put the pattern right")
    figure = _figure(inner[1], inner[2], speech.mark)
    letters = (match[2] or "").strip() if match.re.groups > 1 else ""
    return (figure, letters) if figure is not None else None


def _figure(sign: str, digits: str, mark: str) -> str | None:
    """The figure with a point, without the zeros and the plus that gauges fill up with; None for another mark."""
    other = {".": ",", ",": "."}.get(mark, "")
    if other and other in digits:
        return None
    whole, point, decimals = digits.replace(",", ".").partition(".")
    return f"{'-' if sign == '-' else ''}{whole.lstrip('0') or '0'}{point}{decimals}"


def _unit(letters: str, speech: Speech) -> str | None:
    """The unit that the letters say: what was said of them, else a usual short name; its own without letters."""
    if not letters:
        return speech.unit
    for said, unit in speech.units.items():
        if said.casefold() == letters.casefold():
            return unit
    return plain_unit(letters)


def plain_unit(letters: str) -> str | None:
    """mm, in or deg where letters are a usual name of one of these; an M of a gauge is no metre."""
    known = short_unit(letters, "length") or short_unit(letters, "angle")
    return known.name if known is not None and known.name in ("mm", "in", "deg") else None


# ------------------------------------------------------------------------------ learnt by example
def learn(example: str, reads: str = "") -> Learnt | Wrong:
    """What one line of a gauge says of how it speaks; `reads` is the figure that stands on its display, if need be.

    Without it the line has to hold one figure with decimals, or one figure alone.
    """
    line = example.strip("\r\n\t")
    if spoiled(line):
        return Wrong("a part of what the gauge sent was lost", "let it send once more")
    figures = [match for match in _ONE.finditer(line) if match[2]]
    if not figures:
        return Wrong(f"{line[:40]!r} holds no figure" if line.strip() else "nothing came", "let it send one reading")
    wanted = _ONE.fullmatch(reads.strip()) if reads.strip() else None
    if reads.strip() and wanted is None:
        return Wrong(f"{reads.strip()[:40]!r} is no figure", "type what stands on its display, such as 59.66")
    if wanted is not None:
        value = float(f"{wanted[1]}{wanted[2].replace(',', '.')}")
        fits = [m for m in figures if abs(abs(float(m[2].replace(",", "."))) - abs(value)) < 1e-9]
        if not fits:
            return Wrong(f"{reads.strip()} does not stand in {line[:40]!r}", "type what stands on its display")
    else:
        fits = [m for m in figures if "." in m[2] or "," in m[2]] or figures
    if len(fits) > 1:
        return Wrong(f"{line[:40]!r} holds {len(fits)} figures", "say which stands on its display")
    (match,) = fits
    before, behind = line[: match.start()].lstrip(), line[match.end() :]
    letters = re.match(r"[ ]*([^\W\d_]+|[\"'°])", behind)
    named = letters[1] if letters is not None else ""
    suffix = behind[letters.end() :].strip() if letters is not None else behind.strip()
    mark = next((char for char in match[2] if char in ".,"), "")
    return Learnt(before, suffix, named, mark, len(match[2].partition(mark)[2]) if mark else 0)


def pattern_of(learnt: Learnt) -> str:
    """A pattern that takes lines of this gauge whole, and none that lost a decimal on the way."""
    point = re.escape(learnt.mark) if learnt.mark else ""
    decimals = f"{point}[0-9]{{{learnt.decimals}}}" if learnt.mark else "[0-9]"
    letters = r"[ ]*([^\W\d_]+|[\"'°])?" if learnt.letters else ""
    return f"{re.escape(learnt.prefix)}[ ]*([+-]?[ ]*[0-9]*{decimals}){letters}[ ]*{re.escape(learnt.suffix)}"
