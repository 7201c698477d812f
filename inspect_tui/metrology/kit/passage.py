"""Derived characteristics: a formula over measured features, with units checked and uncertainty carried through.

The formula is arithmetic as people write it (F41 * F55 * pi / 4), read with Python's own grammar and walked node by
node; nothing but numbers, names of features, + - * / ** and the listed functions is understood, and nothing is run.
"""

from __future__ import annotations

import ast
import math
import warnings
from collections.abc import Callable, Mapping
from fractions import Fraction
from typing import Any

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen
from inspect_tui.metrology.typed.show import MM
from inspect_tui.model.words import Estimate

MAX_TEXT = 500
MAX_NODES = 200
MAX_POWER = 8.0
CONSTANTS = {"pi": math.pi}
# name: how many arguments, least and most
FUNCTIONS: dict[str, tuple[int, int]] = {
    "sqrt": (1, 1),
    "abs": (1, 1),
    "min": (2, 20),
    "max": (2, 20),
    "sin": (1, 1),
    "cos": (1, 1),
    "tan": (1, 1),
    "series": (1, 20),
    "parallel": (1, 20),
}
UNIT_WORDS = {Fraction(0): "a plain number", Fraction(1): "mm", Fraction(2): "mm²", Fraction(3): "mm³"}


@frozen
class Formula:
    """A formula that was understood: its text, the names in it, and the power of mm that it gives (2 is an area)."""

    text: str
    names: tuple[str, ...]
    power: Fraction
    tree: ast.expr

    @property
    def unit(self) -> str:
        """The unit of the result: mm, mm², mm³, mm^n or "" for a ratio."""
        return "" if self.power == 0 else UNIT_WORDS.get(self.power, f"mm^{self.power}")


@frozen
class Derived:
    """A derived value: linear propagation, and how much each feature adds to the variance."""

    value: float
    u: float
    sensitivity: dict[str, float]  # change of the result for 1 mm (1 degree) more of the feature
    share: dict[str, float]

    @property
    def estimate(self) -> Estimate:
        """Value and standard uncertainty, in the unit that the formula gives."""
        return Estimate(self.value, self.u)


class _No(Exception):
    """A formula that is not understood; the message is a sentence for the person who typed it."""


def parse(text: str, powers: Mapping[str, int]) -> Formula | str:
    """The formula, or a sentence that says what was not understood.

    `powers` gives every feature that may be named with its power of mm: 1 for a size, 0 for an angle (in degrees) or a
    ratio, 2 for an area. A bare number may stand for mm beside a size (F41 - 1.5).
    """
    text = text.strip()
    if not text:
        return "no formula: type one such as pi / 4 * F41 * F55"
    if len(text) > MAX_TEXT:
        return f"the formula has {len(text)} characters; {MAX_TEXT} are the most"
    if not text.isprintable():
        return "the formula holds a character that no formula has: type it again"
    try:
        with warnings.catch_warnings():  # a formula like 2and3 makes the reader warn on the terminal
            warnings.simplefilter("ignore")
            tree = ast.parse(text, mode="eval").body
    except SyntaxError:
        hint = "; write ** for a power" if "^" in text else ""
        return f"'{text}' is not arithmetic: names of features, numbers, + - * / ** and brackets{hint}"
    except (ValueError, MemoryError, RecursionError):
        return "the formula is too deep: split it"
    try:
        if sum(1 for _ in ast.walk(tree)) > MAX_NODES:
            return f"the formula has more than {MAX_NODES} parts: split it"
        names = sorted(_names(tree, powers))
        power = _power(tree, powers)
    except _No as no:
        return str(no)
    except RecursionError:
        return "the formula is too deep: split it"
    return Formula(text, tuple(names), power if power is not None else Fraction(0), tree)


def _names(node: ast.expr, powers: Mapping[str, int]) -> set[str]:
    """Refuse everything but arithmetic, and collect the names of features."""
    if isinstance(node, ast.Constant):
        if isinstance(node.value, bool) or not isinstance(node.value, int | float):
            raise _No(f"{node.value!r} is not a number")
        try:
            finite = math.isfinite(float(node.value))
        except OverflowError:
            finite = False
        if not finite or abs(node.value) > 1e12:
            raise _No("a number in the formula is too large")
        return set()
    if isinstance(node, ast.Name):
        if node.id in CONSTANTS:
            return set()
        if node.id not in powers:
            known = ", ".join(sorted(powers)[:8]) or "none"
            raise _No(f"{node.id} is no feature here (there are {known}{' ...' if len(powers) > 8 else ''})")
        return {node.id}
    if isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.UAdd | ast.USub):
        return _names(node.operand, powers)
    if isinstance(node, ast.BinOp):
        if isinstance(node.op, ast.BitXor):
            raise _No("write ** for a power, not ^")
        if not isinstance(node.op, ast.Add | ast.Sub | ast.Mult | ast.Div | ast.Pow):
            raise _No("only + - * / and ** are understood between two values")
        return _names(node.left, powers) | _names(node.right, powers)
    if isinstance(node, ast.Call):
        return _call_names(node, powers)
    allowed = f"numbers, features, + - * / ** and {', '.join(FUNCTIONS)}"
    raise _No(f"'{ast.unparse(node)[:40]}' is not arithmetic: only {allowed}")


def _call_names(node: ast.Call, powers: Mapping[str, int]) -> set[str]:
    if not isinstance(node.func, ast.Name) or node.func.id not in FUNCTIONS:
        raise _No(f"'{ast.unparse(node.func)[:40]}' is no function here: there are {', '.join(FUNCTIONS)}")
    least, most = FUNCTIONS[node.func.id]
    if node.keywords or not least <= len(node.args) <= most or any(isinstance(a, ast.Starred) for a in node.args):
        count = str(least) if least == most else f"{least} to {most}"
        raise _No(f"{node.func.id} takes {count} value{'' if count == '1' else 's'} in brackets")
    return set().union(*(_names(a, powers) for a in node.args))


def _power(node: ast.expr, powers: Mapping[str, int]) -> Fraction | None:
    """Power of mm of a node; None is a bare number, which may stand for anything it is added to."""
    if isinstance(node, ast.Constant):
        return None
    if isinstance(node, ast.Name):
        return None if node.id in CONSTANTS else Fraction(powers[node.id])
    if isinstance(node, ast.UnaryOp):
        return _power(node.operand, powers)
    if isinstance(node, ast.BinOp):
        left, right = _power(node.left, powers), _power(node.right, powers)
        if isinstance(node.op, ast.Pow):
            return _raised(node, left, right)
        if isinstance(node.op, ast.Add | ast.Sub):
            return _same(node, [left, right])
        if left is None and right is None:
            return None
        both = left or Fraction(0), right or Fraction(0)
        return both[0] + both[1] if isinstance(node.op, ast.Mult) else both[0] - both[1]
    assert isinstance(node, ast.Call) and isinstance(node.func, ast.Name)
    given = [_power(a, powers) for a in node.args]
    if node.func.id == "sqrt":
        return None if given[0] is None else given[0] / 2
    if node.func.id in ("sin", "cos", "tan"):
        if given[0]:
            raise _No(f"{node.func.id} takes an angle in degrees, not {_unit(given[0])}")
        return Fraction(0)
    return _same(node, given)


def _raised(node: ast.BinOp, base: Fraction | None, by: Fraction | None) -> Fraction | None:
    exponent, sign = node.right, 1.0
    while isinstance(exponent, ast.UnaryOp):
        sign, exponent = (-sign if isinstance(exponent.op, ast.USub) else sign), exponent.operand
    if by is None and not isinstance(exponent, ast.Constant):
        value = _number(exponent)  # such as 1/2
    elif isinstance(exponent, ast.Constant):
        value = float(exponent.value)  # type: ignore[arg-type]
    else:
        raise _No("a power must be a number, not a feature")
    if abs(value) > MAX_POWER:
        raise _No(f"a power of {MM.figures(value)} is too high: {MM.figures(MAX_POWER)} is the most")
    return None if base is None else base * Fraction(sign * value).limit_denominator(1000)


def _number(node: ast.expr) -> float:
    try:
        return float(_walk(node, {}, _PLAIN))
    except (ZeroDivisionError, OverflowError, ValueError, TypeError) as error:
        raise _No("a power must be a plain number") from error


def _same(node: ast.expr, given: list[Fraction | None]) -> Fraction | None:
    known = [p for p in given if p is not None]
    if len(set(known)) > 1:
        other = next(p for p in known if p != known[0])
        raise _No(f"{_unit(known[0])} and {_unit(other)} do not go together in '{ast.unparse(node)[:60]}'")
    return known[0] if known else None


def _unit(power: Fraction) -> str:
    return UNIT_WORDS.get(power, f"mm^{power}")


Operations = Mapping[str, Callable[..., Any]]
_PLAIN: Operations = {
    "sqrt": math.sqrt,
    "abs": abs,
    "min": min,
    "max": max,
    "sin": lambda d: math.sin(math.radians(d)),
    "cos": lambda d: math.cos(math.radians(d)),
    "tan": lambda d: math.tan(math.radians(d)),
    "series": lambda *areas: 1.0 / math.sqrt(sum(1.0 / a**2 for a in areas)),
    "parallel": lambda *areas: sum(areas),
}


def _walk(node: ast.expr, values: Mapping[str, Any], operations: Operations) -> Any:
    """Value of a node; `values` may be numbers or numpy arrays of equal length."""
    if isinstance(node, ast.Constant):
        return float(node.value)  # type: ignore[arg-type]
    if isinstance(node, ast.Name):
        return values[node.id] if node.id in values else CONSTANTS[node.id]
    if isinstance(node, ast.UnaryOp):
        inner = _walk(node.operand, values, operations)
        return -inner if isinstance(node.op, ast.USub) else inner
    if isinstance(node, ast.BinOp):
        left, right = _walk(node.left, values, operations), _walk(node.right, values, operations)
        if isinstance(node.op, ast.Add):
            return left + right
        if isinstance(node.op, ast.Sub):
            return left - right
        if isinstance(node.op, ast.Mult):
            return left * right
        return left / right if isinstance(node.op, ast.Div) else left**right
    assert isinstance(node, ast.Call) and isinstance(node.func, ast.Name)
    return operations[node.func.id](*(_walk(a, values, operations) for a in node.args))


def value_of(formula: Formula, values: Mapping[str, float]) -> float:
    """The formula at these sizes (mm, degrees). Raises DataError when a size is missing or the result is no number."""
    missing = [name for name in formula.names if name not in values]
    if missing:
        raise DataError(f"'{formula.text}' needs {', '.join(missing)}, not measured yet")
    try:
        result = _walk(formula.tree, values, _PLAIN)
    except (ZeroDivisionError, OverflowError, ValueError) as error:
        why = "a division by 0 or the root of a negative number"
        raise DataError(f"'{formula.text}' has no value at these sizes: {why}") from error
    if isinstance(result, complex) or not math.isfinite(result):
        raise DataError(f"'{formula.text}' has no value at these sizes")
    return float(result)


def derive(
    formula: Formula, sizes: Mapping[str, Estimate], correlation: Mapping[tuple[str, str], float] | None = None
) -> Derived:
    """Value and standard uncertainty by linear propagation (JCGM 100, 5.1 and 5.2), shares of the variance.

    Sensitivities by central differences over a tenth of each u (never less than a millionth of the size), which at
    min() and max() gives the active branch. `correlation` holds pairs of names; absent pairs are independent.
    """
    values = {name: sizes[name].value for name in formula.names if name in sizes}
    centre = value_of(formula, values)
    slope = {}
    for name in formula.names:
        step = max(sizes[name].u * 0.1, abs(values[name]) * 1e-6, 1e-9)
        up = value_of(formula, {**values, name: values[name] + step})
        down = value_of(formula, {**values, name: values[name] - step})
        slope[name] = (up - down) / (2 * step)
    parts = {name: slope[name] * sizes[name].u for name in formula.names}
    variance = sum(p**2 for p in parts.values())
    for (first, second), r in (correlation or {}).items():
        if first in parts and second in parts and first != second:
            variance += 2 * r * parts[first] * parts[second]
    variance = max(variance, 0.0)
    share = {name: p**2 / variance if variance > 0 else 0.0 for name, p in parts.items()}
    return Derived(centre, math.sqrt(variance), slope, share)


def monte_carlo(
    formula: Formula, sizes: Mapping[str, Estimate], n: int = 100_000, seed: int = 1
) -> tuple[float, float, float, float]:
    """Mean, standard deviation and 95 % interval of the formula by drawing normal sizes (JCGM 101); its check.

    Draws where the formula has no value are left out; raises DataError when that is more than one in a hundred.
    """
    import numpy as np

    rng = np.random.default_rng(seed)
    drawn = {name: sizes[name].value + sizes[name].u * rng.standard_normal(n) for name in formula.names}
    with np.errstate(all="ignore"):
        result = np.asarray(_walk(formula.tree, drawn, _arrays(np)), dtype=float) * np.ones(n)
    result = result[np.isfinite(result)]
    if len(result) < 0.99 * n:
        raise DataError(f"'{formula.text}' often has no value within the uncertainty of its sizes")
    low, high = np.quantile(result, [0.025, 0.975])
    return float(result.mean()), float(result.std(ddof=1)), float(low), float(high)


def _arrays(np: Any) -> Operations:
    return {
        "sqrt": np.sqrt,
        "abs": np.abs,
        "min": lambda *a: np.minimum.reduce(np.broadcast_arrays(*a)),
        "max": lambda *a: np.maximum.reduce(np.broadcast_arrays(*a)),
        "sin": lambda d: np.sin(np.radians(d)),
        "cos": lambda d: np.cos(np.radians(d)),
        "tan": lambda d: np.tan(np.radians(d)),
        "series": lambda *areas: 1.0 / np.sqrt(sum(1.0 / a**2 for a in areas)),
        "parallel": lambda *areas: sum(areas),
    }
