"""Lengths in a form as whoever sits here types them: a bare figure is in inches for who reads inches.

What is read behind a form is in mm, or says its unit. So what stands in a field first is shown in inches, a figure that
is typed gets its unit, and a field that nobody touched is read as it was. An inch is 25.4 mm (NIST SP 811).
"""

from __future__ import annotations

import re
from collections.abc import Mapping

from inspect_tui.metrology.typed.show import INCH, MM

# fields that take lengths, by what stands before them; "U" is one of weights too, whose hint says kg
LENGTHS = {
    "drawing size",
    "limits",
    "raw limits",
    "stock A B",
    "coat A B",
    "at A B",
    "clearance",
    "can rise",
    "stands at",
    "tolerance",
    "no-go below",
    "no-go above",
    "height",
    "size",
    "U",
    "error as found",
    "bias",
    "u",
    "readings",
    "every",
    "x",
    "y",
    "z",
    "agreed limit",
    "boxes",
    "steps",
}
ANGLES = ("angle", "temperature", "attribute")
_FIGURE = r"[+\-±]?(?:[0-9]+[ ]+[0-9]+/[0-9]+|[0-9]+/[0-9]+|[0-9]*[.,]?[0-9]+)"
_FIGURES = re.compile(_FIGURE)
_ONLY = re.compile(
    rf"(?:{_FIGURE}|[ ;?]|(?<=[0-9])/(?=[+-])|\bto\b|\.\.|\bat\b|\b[xyz]\b|\bmin\b|\bmax\b)+", re.IGNORECASE
)


def is_length(name: str, hint: str, texts: Mapping[str, str]) -> bool:
    """Whether a field takes lengths, with what stands in the others: no angle is one."""
    return name in LENGTHS and " kg" not in f" {hint}" and texts.get("quantity", "") not in ANGLES


def meant(text: str) -> str:
    """Bare figures with their unit: 2.44 as 2.44 in, +0.02/-0.01 as +0.02 in/-0.01 in; all else as it is."""
    if not text or not _ONLY.fullmatch(text):
        return text
    return _FIGURES.sub(lambda figure: f"{figure[0]} in", text)


def in_field(label: str, text: str) -> str:
    """The same of a field with its label, such as `can rise: mm`: a field that takes no lengths stays as it is."""
    name, _, hint = label.partition(": ")
    return meant(text) if is_length(name, hint, {}) else text


def shown(text: str) -> str:
    """A text of bare mm in inches; all else as it is."""
    if not text or not _ONLY.fullmatch(text) or re.search(r"[0-9]/[0-9]", text):
        return text

    def inches(figure: re.Match[str]) -> str:
        sign = figure[0][0] if figure[0][0] in "+-±" else ""
        value = float(figure[0].removeprefix(sign).replace(",", ".")) / INCH
        return sign + MM.figure(value, 5).rstrip("0").rstrip(".")

    return _FIGURES.sub(inches, text)
