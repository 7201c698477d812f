"""What a reading may have been before a slip: every other number that one slip of hand or eye turns into it.

Source: own derivation; how often each kind is met is common practice, no source.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator, Sequence
from math import ceil, floor

from inspect_tui.frozen import NamedTuple
from inspect_tui.metrology.typed._pattern import Pattern
from inspect_tui.metrology.typed.show import MM, Style

# How often each kind is met, given that there was a slip. Common practice, no source: rough shares from what shops
# tell; they add up to 1, and each is divided by the ways in which a slip of that kind can happen to one number.
WEIGHTS = {
    "swapped digits": 0.25,
    "misread digit": 0.14,
    "lost digit": 0.08,
    "doubled digit": 0.05,
    "decimal point": 0.12,
    "inch or mm": 0.10,
    "inside jaws": 0.06,
    "contraction rule": 0.04,
    "other feature": 0.14,
    "sign": 0.02,
}
NEXT_BUT_ONE = 0.1  # share of the swaps that are not between neighbours: 56.69 for 59.66
# Digits that look alike on a scale or lie side by side on a keypad; 60 % of misreads are among them (our judgement).
ALIKE = {
    "0": "86913",
    "1": "7402",
    "2": "135",
    "3": "8256",
    "4": "1975",
    "5": "6384",
    "6": "05893",
    "7": "1489",
    "8": "30659",
    "9": "47068",
}
ALIKE_SHARE = 0.6

MM_PER_INCH = 25.4
_NUMBER = Pattern(r"[0-9]+[.,]?[0-9]*|[.,][0-9]+")
_UNIT_AT_END = Pattern(r"[^0-9]+$")
_SHIFTS = (-3, -2, -1, 1, 2, 3)


TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import Protocol

    class AsTyped(Protocol):
        """A size as the entry line gives it: mm, the text, the unit it was read in."""

        @property
        def mm(self) -> float: ...  # noqa: D102
        @property
        def typed(self) -> str: ...  # noqa: D102
        @property
        def unit(self) -> str: ...  # noqa: D102


class Variant(NamedTuple):
    """What may have been meant: `share` is the chance that a slip, if there was one, made of it what was typed.

    `digits` and `point` say how it is written (the digits, and how many stand before the decimal mark); `text` does
    where it is not a matter of digits.
    """

    kind: str
    mm: float
    share: float
    reason: str
    digits: str = ""
    point: int = 0
    text: str = ""


class WrittenNumber(NamedTuple):
    """The one plain decimal number in a text: text = before + number + after, mm = factor * number."""

    before: str
    digits: str
    point: int
    mark: str
    after: str
    factor: float


def written(size: AsTyped) -> WrittenNumber | None:
    """The number as typed, None where it is 0 or not one plain decimal (fractions, feet-inches)."""
    typed = size.typed if size.typed.isascii() else unicodedata.normalize("NFKC", size.typed)
    numbers = list(_NUMBER.finditer(typed))
    if len(numbers) != 1 or "/" in typed or size.unit in ("F", "K"):
        return None
    number = numbers[0][0]
    mark = "," if "," in number else "."
    head, _, tail = number.partition(mark)
    value = int(head + tail) / 10 ** len(tail)
    if value == 0.0 or abs(size.mm) < 1e-9 or len(number) > 12:
        return None
    start, end = numbers[0].span()
    return WrittenNumber(
        before=typed[:start], digits=head + tail, point=len(head), mark=mark, after=typed[end:], factor=size.mm / value
    )


def spell(w: WrittenNumber, digits: str, point: int) -> str:
    """The text with other digits and another place for the decimal mark, written the way the person did."""
    if point <= 0:
        digits, point = "0" * (1 - point) + digits, 1
    digits += "0" * (point - len(digits))
    digits, point = _no_leading_zeros(digits, point)
    number = digits[:point] + (w.mark + digits[point:] if point < len(digits) else "")
    return f"{w.before}{number}{w.after}"


def _no_leading_zeros(digits: str, point: int) -> tuple[str, int]:
    spare = 0
    while spare < point - 1 and digits[spare] == "0":
        spare += 1
    return digits[spare:], point - spare


def meant_by_digits(size: AsTyped, w: WrittenNumber, low: float, high: float, finest: float) -> Iterator[Variant]:
    """Swapped, misread, lost and doubled digits and moved decimal points whose size lies from `low` to `high` mm.

    `finest` is the smallest step (mm) that the instrument shows: nobody loses a digit that was never there.
    """
    digits, point = w.digits, w.point
    n = len(digits)
    number = int(digits)
    last = w.factor / 10 ** (n - point)  # mm of one step of the last typed place, with its sign
    ends = sorted((low / last, high / last))

    for gap, share in ((1, 1.0 - NEXT_BUT_ONE), (2, NEXT_BUT_ONE)):
        each = WEIGHTS["swapped digits"] * share / max(1, n - gap)
        for i in range(n - gap):
            a, b = digits[i], digits[i + gap]
            other = number + (int(b) - int(a)) * (10 ** (n - 1 - i) - 10 ** (n - 1 - i - gap))
            if a != b and ends[0] <= other <= ends[1]:
                new = f"{digits[:i]}{b}{digits[i + 1 : i + gap]}{a}{digits[i + gap + 1 :]}"
                yield Variant(
                    kind="swapped digits",
                    mm=other * last,
                    share=each,
                    reason="Two digits swapped?",
                    digits=new,
                    point=point,
                )

    for i, old in enumerate(digits):
        step = 10 ** (n - 1 - i)
        for c in _between(number - int(old) * step, step, ends):
            new = str(c)
            if new != old:
                alike = old in ALIKE[new]
                ways = len(ALIKE[new]) if alike else 9 - len(ALIKE[new])
                share = WEIGHTS["misread digit"] / n * (ALIKE_SHARE if alike else 1.0 - ALIKE_SHARE) / ways
                spelled = digits[:i] + new + digits[i + 1 :]
                mm = (number + (c - int(old)) * step) * last
                yield Variant(
                    kind="misread digit", mm=mm, share=share, reason="One digit misread?", digits=spelled, point=point
                )

    yield from _lost(digits, point, last, ends, finest)

    each = WEIGHTS["doubled digit"] / max(1, n - 1)
    for i in range(1, n):
        if digits[i] == digits[i - 1]:
            new = digits[:i] + digits[i + 1 :]
            for places, unit in ((point - 1, last), (point, last * 10)):
                # before the mark the whole part was shorter, after it the decimals were; across it either
                if (i <= point if unit == last else i >= point) and ends[0] <= int(new) * unit / last <= ends[1]:
                    yield Variant(
                        kind="doubled digit",
                        mm=int(new) * unit,
                        share=each,
                        reason="A digit typed twice?",
                        digits=new,
                        point=places,
                    )

    moved = "Decimal point lost?" if point == n else "Decimal point moved?"
    for shift in _SHIFTS:
        mm = size.mm * 10.0**shift
        if low <= mm <= high:
            share = WEIGHTS["decimal point"] / len(_SHIFTS)
            yield Variant(kind="decimal point", mm=mm, share=share, reason=moved, digits=digits, point=point + shift)


def _lost(digits: str, point: int, last: float, ends: list[float], finest: float) -> Iterator[Variant]:
    n = len(digits)
    number = int(digits)
    each = WEIGHTS["lost digit"] / (n + 1)
    for i in range(n + 1):
        tail = 10 ** (n - i)
        base = number // tail * tail * 10 + number % tail
        for whole, unit in ((True, last), (False, last / 10)):
            if (i > point) if whole else (i < point or abs(unit) < 0.99 * finest):
                continue
            for c in _between(base, tail, ends if whole else [ends[0] * 10, ends[1] * 10]):
                if i and digits[i - 1] == str(c):  # the same number as with the digit one place earlier
                    continue
                new = digits[:i] + str(c) + digits[i:]
                yield Variant(
                    kind="lost digit",
                    mm=(base + c * tail) * unit,
                    share=each,
                    reason="A digit lost?",
                    digits=new,
                    point=point + whole,
                )


def _between(base: int, step: int, ends: list[float]) -> range:
    """The digits c for which base + c step lies between the ends."""
    return range(max(0, ceil((ends[0] - base) / step)), min(9, floor((ends[1] - base) / step)) + 1)


def meant_otherwise(
    size: AsTyped,
    w: WrittenNumber | None,
    jaw_mm: float | None,
    rule_scale: float,
    rule_scales: Sequence[float],
    style: Style,
) -> Iterator[Variant]:
    """Inch for mm and back, inside jaws not added, another contraction rule, a sign."""
    number = _UNIT_AT_END.sub("", size.typed) or size.typed
    share = WEIGHTS["inch or mm"]
    if size.unit == "mm":
        yield Variant(
            kind="inch or mm", mm=size.mm * MM_PER_INCH, share=share, reason="Inch for mm?", text=f"{number} in"
        )
    elif size.unit == "in":
        yield Variant(
            kind="inch or mm", mm=size.mm / MM_PER_INCH, share=share, reason="Is it mm, not inch?", text=f"{number} mm"
        )
    if jaw_mm:
        reason = f"Width of the inside jaws ({style.given(jaw_mm)}) not added?"
        mm = size.mm + jaw_mm
        yield Variant(kind="inside jaws", mm=mm, share=WEIGHTS["inside jaws"], reason=reason, text=_decimal(mm, w))
    ways: list[tuple[float, str]] = []
    if rule_scale:
        plain = size.mm / (1.0 + rule_scale)
        ways = [
            (plain * (1.0 + s), f"Read on {_rule(s, style)}?")
            for s in (0.0, *rule_scales)
            if abs(s - rule_scale) > 1e-6
        ]
    else:
        for s in rule_scales:
            ways.append((size.mm * (1.0 + s), f"Read on {_rule(s, style)}?"))
            ways.append((size.mm / (1.0 + s), f"{_rule(s, style)[0].upper()}{_rule(s, style)[1:]} counted twice?"))
    for mm, reason in ways:
        share = WEIGHTS["contraction rule"] / len(ways)
        yield Variant(kind="contraction rule", mm=mm, share=share, reason=reason, text=_decimal(mm, w))
    bare = size.typed.lstrip("-\u2212 ")
    text = bare if bare != size.typed else f"-{size.typed}"
    yield Variant(kind="sign", mm=-size.mm, share=WEIGHTS["sign"], reason="Wrong sign?", text=text)


def _rule(scale: float, style: Style) -> str:
    return f"the {style.figures(100.0 * scale, 3)} % rule" if scale else "a plain rule"


def _decimal(mm: float, w: WrittenNumber | None) -> str:
    """A size written as the person wrote theirs, in mm where that was no plain decimal."""
    if w is None:
        return MM.length(mm)
    number = MM.figure(mm / w.factor, len(w.digits) - w.point).replace(".", w.mark)
    return f"{w.before}{number}{w.after}"
