"""How much to cut or add on a tool, on which face and which way, and what that does to the casting.

Sign rule, the same on every screen and sheet: *cut / add* always means the tool, *metal on / metal off* always means
the casting, never one word for both.
"""

from __future__ import annotations

from collections.abc import Callable
from math import ceil, isfinite, log10

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen_by_name
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.words import LIMIT_SLACK_MM, SENSES, TOOL_KINDS, Band

TOOL_WORDS = {
    "pattern_cope": "cope pattern",
    "pattern_drag": "drag pattern",
    "core_stick": "stick",
    "core_box": "box",
    "loose_piece": "loose piece",
    "master": "master",
    "production_pattern": "pattern",
    "gauge_template": "template",
    "mould": "mould",
    "other": "tool",
}
NO_SURFACE = ("gauge_template", "mould", "other")  # nothing of the casting is formed by these
FITS = ("print", "seat")


@frozen_by_name
class Cut:
    """A change to a tool: `change_mm` brings its size (or the place of its face) to target, + is larger (toward +).

    `word` is cut, add or leave, or move for a face whose facing is not known; `words` say it for the tool,
    `casting_words` for the casting. `to_limit_mm` is the least change that brings it inside the band (0 when it is).
    `casting_mm` is how much the casting's size (or the face on it) changes, `metal` is on, off or empty.
    """

    change_mm: float
    word: str
    words: str
    casting_words: str
    to_limit_mm: float
    casting_mm: float
    metal: str


def tool_change(cast_error: float, a: float) -> float:
    """Change of the tool, in mm at the tool, that takes away a casting error (measured - wanted, mm): -e (1 + a).

    `a` is tool / casting - 1. Source: common practice, from tool = casting (1 + a).
    """
    return -cast_error * (1.0 + a)


def per_face(change_mm: float, resolution_mm: float = 0.01, style: Style = MM) -> str:
    """Half of a change, for each of two faces: "0.035 a face"; one place more than the resolution where needed.

    mm in, the unit of `style` out.
    """
    half, places = abs(change_mm) / 2.0, _places(resolution_mm)
    if style.unit != "mm":  # a place of an inch is fine enough for a half
        return f"{style.length(half, places, unit=False)} a face"
    text = style.length(half, places + 1, unit=False)
    return f"{text[:-1] if text.endswith('0') and places else text} a face"


def cut(
    tool_kind: str,
    sense: str,
    value_mm: float,
    target_mm: float,
    *,
    a: float = 0.0,
    band: Band | None = None,
    u_mm: float = 0.0,
    resolution_mm: float = 0.01,
    label: str | None = None,
    axis: str = "",
    facing: int | None = None,
    ends: str | None = None,
    fit: str | None = None,
    style: Style = MM,
) -> Cut:
    """The change that brings a tool from `value_mm` to `target_mm`, in words for the tool and for the casting.

    `tool_kind` and `sense` as in the model: metal between the ends too big is cut, too small is added to; a space the
    other way round; a face moves. `a`: tool / casting - 1 over the whole chain. `band`: the tooling limits.
    `u_mm`: standard uncertainty of the value; inside the band and nearer to the target than that, it is left alone.
    `facing`: of that End (outward normal of the casting's metal; of the core's or pattern's own body for a fit).
    `ends`: "both" splits the change between two faces, any other text names the one that takes it all.
    `fit`: "print" or "seat" for sizes that only fit cores together. Amounts have the decimals of the resolution.
    Source: the sign table of the trade (pattern, box, stick), common practice. Errors: DataError for unknown words.
    """
    _check(tool_kind, sense, fit, value_mm, target_mm, a)
    change = target_mm - value_mm
    tool = f"({label or TOOL_WORDS[tool_kind]})"

    def write(mm: float) -> str:
        return style.length(mm, _places(resolution_mm), unit=False)

    to_limit = 0.0 if band is None else _to_limit(value_mm, band)
    near = abs(change) < resolution_mm - LIMIT_SLACK_MM
    within = abs(change) <= u_mm and to_limit == 0.0  # what lies outside its band is never left for want of knowing
    if within or (near and to_limit == 0.0):
        why = "at target within the uncertainty" if within and not near else "at target"
        return Cut(
            change_mm=change,
            word="leave",
            words=f"leave: {why} {tool}",
            casting_words="no change",
            to_limit_mm=to_limit,
            casting_mm=0.0,
            metal="",
        )
    word = _word(tool_kind, sense, change, facing, fit)
    amount = write(abs(change))
    if sense == "face":
        side = (
            f"{'+' if change > 0 else '-'}{axis.upper()}"
            if axis in ("x", "y", "z")
            else (f"the {'+' if change > 0 else '-'} side")
        )
        lead = "" if word == "move" else f"{word}: "
        words = f"{lead}move the face {amount} toward {side} {tool}"
    else:
        # What is too small is built up once, then cut again; what is too big is cut only as far as somebody likes.
        goal = " to centre" if _in_the_middle(target_mm, band) else " to target"
        centre = goal if word == "cut" else ""
        must = min(_round_up(abs(to_limit), resolution_mm), abs(change))  # a target on its limit: all of it is needed
        least = f", at least {write(must)}" if to_limit else ""
        words = f"{word} {amount}{centre}{least} {tool}"
        if ends == "both":
            words += f", {per_face(change, resolution_mm, style)}"
        elif ends:
            words += f", all on {'end ' if len(ends) == 1 else ''}{ends}"
    casting_mm = 0.0 if fit or tool_kind in NO_SURFACE else change / (1.0 + a)
    casting_words, metal = _casting(tool_kind, sense, word, change, write(abs(casting_mm)), fit, write)
    return Cut(
        change_mm=change,
        word=word,
        words=words,
        casting_words=casting_words,
        to_limit_mm=to_limit,
        casting_mm=casting_mm,
        metal=metal,
    )


def _in_the_middle(target: float, band: Band | None) -> bool:
    """Whether the target is the middle of its band; then people say centre."""
    if band is None or band.lower is None or band.upper is None:
        return True
    return abs(target - (band.lower + band.upper) / 2.0) <= 0.05 * (band.upper - band.lower) + LIMIT_SLACK_MM


def _word(tool_kind: str, sense: str, change: float, facing: int | None, fit: str | None) -> str:
    if sense == "metal":
        return "add" if change > 0.0 else "cut"
    if sense == "space":
        return "cut" if change > 0.0 else "add"
    if facing is None:
        return "move"
    # Which way the tool's own material ends at this face. Pattern and box end where the casting's metal does (a box
    # is what is not core, as the metal is); a stick is the core itself. The body of a fit is the core's or pattern's.
    turned = tool_kind == "core_box" if fit else tool_kind == "core_stick"
    body = -facing if turned else facing
    return "add" if change * body > 0.0 else "cut"


def _casting(
    tool_kind: str, sense: str, word: str, change: float, amount: str, fit: str | None, write: Callable[[float], str]
) -> tuple[str, str]:
    """Words for the casting, and on or off."""
    if fit:
        if sense == "face":
            return "fit only, no surface moves", ""
        slack = "more" if (change > 0.0) == (fit == "seat") else "less"
        return f"{write(abs(change))} {slack}: slack only, no surface moves", ""
    if tool_kind in NO_SURFACE:
        return "no surface of the casting moves", ""
    if word == "move":
        return f"the face there moves {amount} the same way", ""
    # Pattern and box are filled by sand from outside: what is taken off them the casting loses. A stick is the core.
    metal = "on" if (word == "cut") == (tool_kind == "core_stick") else "off"
    words = f"metal {metal} {amount}"
    if tool_kind == "core_stick":
        words += " once the box is cast again"
    elif tool_kind == "core_box":
        words += " (the core grows)" if metal == "off" else " (the core shrinks)"
    return words, metal


def _to_limit(value: float, band: Band) -> float:
    """Signed change that brings the value just inside; 0 inside and on a limit."""
    if band.lower is not None and value < band.lower - LIMIT_SLACK_MM:
        return band.lower - value
    if band.upper is not None and value > band.upper + LIMIT_SLACK_MM:
        return band.upper - value
    return 0.0


def _round_up(amount: float, step: float) -> float:
    """Up to the next step that can be read, so that the least change is enough."""
    return ceil(amount / step - 1e-6) * step


def _places(resolution: float) -> int:
    return max(0, ceil(-log10(resolution) - 1e-9))


def _check(tool_kind: str, sense: str, fit: str | None, *numbers: float) -> None:
    if tool_kind not in TOOL_KINDS:
        raise DataError(f"{tool_kind} is no kind of tool known here: use one of {', '.join(TOOL_KINDS)}")
    if sense not in SENSES:
        raise DataError(f"{sense} is no sense of a tool feature: use {', '.join(SENSES)}")
    if fit is not None and fit not in FITS:
        raise DataError(f"{fit} is no part of a fit: use print (male) or seat (female)")
    if not all(map(isfinite, numbers)) or numbers[-1] <= -1.0:
        raise DataError("value, target and contraction must be finite sizes")
