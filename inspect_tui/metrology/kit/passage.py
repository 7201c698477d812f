"""Derived characteristics: a formula over measured features, with units checked and uncertainty carried through.

The formula is arithmetic as people write it (F41 * F55 * pi / 4), read with Python's own grammar and walked node by
node; nothing but numbers, names of features, + - * / ** and the listed functions is understood, and nothing is run.
A formula may name other passages by their labels, series(T1, T2); around the whole of it may stand the law that a
customer states for the machine, law(T1, 3500, 42, 3900, 46.5): pairs of an area and the capacity there.
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
from inspect_tui.metrology.kit.doubts import Doubt, Doubted, DoubtShare, carried, covariance, doubted, shares
from inspect_tui.metrology.kit.law import Law, law
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
LAW = "law"
UNIT_WORDS = {Fraction(0): "a plain number", Fraction(1): "mm", Fraction(2): "mm²", Fraction(3): "mm³"}


@frozen
class Formula:
    """A formula that was understood: its text, the names in it, and the power of mm that it gives (2 is an area).

    `law`: the customer's points that stand around it; tree, names and power are of the area inside.
    """

    text: str
    names: tuple[str, ...]
    power: Fraction
    tree: ast.expr
    law: Law | None = None

    @property
    def unit(self) -> str:
        """The unit of the result: mm, mm², mm³, mm^n or "" for a ratio."""
        return "" if self.power == 0 else UNIT_WORDS.get(self.power, f"mm^{self.power}")


@frozen
class Derived:
    """A derived value: linear propagation, and how much each feature adds to the variance.

    `share` is a feature's covariance with the result; a feature whose errors others undo may have a share below 0.
    `doubts` are the errors themselves, one a source.
    """

    value: float
    u: float
    sensitivity: dict[str, float]  # change of the result for 1 mm (1 degree) more of the feature
    share: dict[str, float]
    doubts: tuple[Doubt, ...] = ()

    @property
    def shares(self) -> tuple[DoubtShare, ...]:
        """What each kind of error comes to, measured apart from assumed, the largest first."""
        return shares(self.doubts)

    @property
    def estimate(self) -> Estimate:
        """Value and standard uncertainty, in the unit that the formula gives."""
        return Estimate(self.value, self.u)


class _No(Exception):
    """A formula that is not understood; the message is a sentence for the person who typed it."""


def parse(text: str, powers: Mapping[str, int], others: Mapping[str, str] | None = None) -> Formula | str:
    """The formula, or a sentence that says what was not understood.

    `powers` gives every feature that may be named with its power of mm: 1 for a size, 0 for an angle (in degrees) or a
    ratio, 2 for an area. A bare number may stand for mm beside a size (F41 - 1.5). `others` are the formulas of other
    passages by label; a label that is a feature too means the feature.
    """
    text = text.strip()
    try:
        tree, stated = _outermost(_tree(text))
        tree = _Labels({k: v for k, v in (others or {}).items() if k not in powers}).visit(tree)
        if sum(1 for _ in ast.walk(tree)) > MAX_NODES:
            return f"the formula has more than {MAX_NODES} parts: split it"
        names = sorted(_names(tree, powers))
        power = _power(tree, powers)
        if stated is not None and power is not None and power != 2:
            return f"{LAW} goes around an area in mm², not around {_unit(power)}"
    except _No as no:
        return str(no)
    except RecursionError:
        return "the formula is too deep: split it"
    return Formula(text, tuple(names), power if power is not None else Fraction(0), tree, stated)


def _tree(text: str) -> ast.expr:
    """The text as a tree; raises what is wrong with it as a sentence."""
    if not text:
        raise _No("no formula: type one such as pi / 4 * F41 * F55")
    if len(text) > MAX_TEXT:
        raise _No(f"the formula has {len(text)} characters; {MAX_TEXT} are the most")
    if not text.isprintable():
        raise _No("the formula holds a character that no formula has: type it again")
    try:
        with warnings.catch_warnings():  # a formula like 2and3 makes the reader warn on the terminal
            warnings.simplefilter("ignore")
            return ast.parse(text, mode="eval").body
    except SyntaxError as error:
        hint = "; write ** for a power" if "^" in text else ""
        raise _No(f"'{text}' is not arithmetic: names of features, numbers, + - * / ** and brackets{hint}") from error
    except (ValueError, MemoryError, RecursionError) as error:
        raise _No("the formula is too deep: split it") from error


def _outermost(tree: ast.expr) -> tuple[ast.expr, Law | None]:
    """The area of a formula and the law that stands around it, if one does."""
    if not (isinstance(tree, ast.Call) and isinstance(tree.func, ast.Name) and tree.func.id == LAW):
        return tree, None
    how = f"write {LAW}(area, area 1, capacity 1, area 2, capacity 2 ...)"
    if tree.keywords or len(tree.args) < 3 or len(tree.args) % 2 == 0:
        raise _No(f"{LAW} takes an area and then pairs of an area and its capacity: {how}")
    figures = [_stated(arg, how) for arg in tree.args[1:]]
    stated = law(list(zip(figures[::2], figures[1::2], strict=True)))
    if isinstance(stated, str):
        raise _No(stated)
    return tree.args[0], stated


def _stated(node: ast.expr, how: str) -> float:
    sign = 1.0
    while isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.UAdd | ast.USub):
        sign, node = (-sign if isinstance(node.op, ast.USub) else sign), node.operand
    if isinstance(node, ast.Constant) and isinstance(node.value, int | float) and not isinstance(node.value, bool):
        _names(node, {})  # refuses what is too large
        return sign * float(node.value)
    raise _No(f"'{ast.unparse(node)[:40]}' is no figure: {how}")


class _Labels(ast.NodeTransformer):
    """Puts the areas of other passages in place of their labels."""

    def __init__(self, others: Mapping[str, str]) -> None:
        self.others = others
        self.within: list[str] = []
        self.put_in = 0

    def visit_Name(self, node: ast.Name) -> ast.expr:
        """Put the other passage's area in; raises a sentence for passages that need each other in a ring."""
        if node.id not in self.others:
            return node
        if node.id in self.within:
            raise _No(f"passages in a ring: {' needs '.join((*self.within, node.id))}; write one of them in features")
        self.put_in += 1
        if self.put_in > MAX_NODES:
            raise _No(f"the formula has more than {MAX_NODES} parts: split it")
        try:
            area, _ = _outermost(_tree(self.others[node.id].strip()))
        except _No as no:
            raise _No(f"{node.id}: {no}") from no
        self.within.append(node.id)
        put_in: ast.expr = self.visit(area)
        self.within.pop()
        return put_in

    def visit_Call(self, node: ast.Call) -> ast.expr:
        """Names of functions are no labels."""
        if isinstance(node.func, ast.Name):
            node.args = [self.visit(arg) for arg in node.args]
            return node
        return self.generic_visit(node)  # type: ignore[return-value]


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
    if isinstance(node.func, ast.Name) and node.func.id == LAW:
        raise _No(f"{LAW} stands around the whole formula, not inside it")
    if not isinstance(node.func, ast.Name) or node.func.id not in FUNCTIONS:
        raise _No(f"'{ast.unparse(node.func)[:40]}' is no function here: there are {', '.join(FUNCTIONS)}")
    least, most = FUNCTIONS[node.func.id]
    if not node.args and node.func.id in ("series", "parallel"):
        raise _No(f"{node.func.id} of nothing: name the passages, such as {node.func.id}(T1, T2)")
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


def derive(formula: Formula, sizes: Mapping[str, Estimate | Doubted]) -> Derived:
    """Value and standard uncertainty by linear propagation (JCGM 100, 5.1 and 5.2), shares of the variance.

    Sensitivities by central differences over a tenth of each u (never less than a millionth of the size), which at
    min() and max() gives the active branch. Sizes that share an error (`Doubted`) are correlated by it; estimates
    without doubts are independent.
    """
    known = {name: doubted(name, sizes[name]) for name in formula.names if name in sizes}
    values = {name: size.value for name, size in known.items()}
    centre = value_of(formula, values)
    slope = {}
    for name in formula.names:
        step = max(known[name].u * 0.1, abs(values[name]) * 1e-6, 1e-9)
        up = value_of(formula, {**values, name: values[name] + step})
        down = value_of(formula, {**values, name: values[name] - step})
        slope[name] = (up - down) / (2 * step)
    doubts = carried(known, slope)
    result = Doubted(centre, doubts)
    variance = math.fsum(doubt.u**2 for doubt in doubts)
    share = {
        name: slope[name] * covariance(size, result) / variance if variance > 0 else 0.0 for name, size in known.items()
    }
    return Derived(centre, math.sqrt(variance), slope, share, doubts)


def monte_carlo(
    formula: Formula, sizes: Mapping[str, Estimate | Doubted], n: int = 100_000, seed: int = 1
) -> tuple[float, float, float, float]:
    """Mean, standard deviation and 95 % interval of the formula by drawing normal errors (JCGM 101); its check.

    An error that several sizes share is drawn once.
    Draws where the formula has no value are left out; raises DataError when that is more than one in a hundred.
    """
    import numpy as np

    rng = np.random.default_rng(seed)
    known = {name: doubted(name, sizes[name]) for name in formula.names}
    errors = {key: rng.standard_normal(n) for key in dict.fromkeys(d.key for k in known.values() for d in k.doubts)}
    drawn = {name: size.value + sum(d.u * errors[d.key] for d in size.doubts) for name, size in known.items()}
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
