"""The answer of the search for causes in sentences a patternmaker would say.

A cause in a tool says where to look first; a cause in the mould, the foundry or the bench is answered with what to
check and never with a cut. Sizes are mm at casting scale; directions are written +Y and -Y.

Source: common practice of pattern shops, no source.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from inspect_tui.frozen import frozen, frozen_by_name
from inspect_tui.metrology.causes.problem import Candidate, Explanation, Finding, OddReading
from inspect_tui.metrology.typed.show import MM, Style

IRON_PER_C = 11e-6  # expansion of iron, ISO 1 corrections in the shop use the same figure


@frozen_by_name
class Clearance:
    """A measured fit of a core: seat minus print, mm at tooling scale, with its limits; `axis` empty for any."""

    name: str
    part: str
    mm: float
    axis: str = ""
    lower: float | None = None
    upper: float | None = None
    seat: str = ""  # what holds the seat, as "box 2"

    @property
    def out(self) -> bool:
        """Whether it is outside its limits."""
        return (self.lower is not None and self.mm < self.lower - 1e-6) or (
            self.upper is not None and self.mm > self.upper + 1e-6
        )


@frozen
class CauseSentence:
    """One sentence or two about one cause; `tool` is False when nothing must be cut for it."""

    name: str
    text: str
    tool: bool


def amount(mm: float, style: Style = MM) -> str:
    """Two decimals without a sign, as a size is said. In the unit of `style`."""
    return style.length(abs(mm), unit=False)


def toward(value: float, axis: str) -> str:
    """The direction of a movement, "+Y" or "-Y". Only the sign of `value` (mm) counts."""
    return f"{'+' if value >= 0 else '-'}{axis.upper()}"


def _between(f: Finding, style: Style, percent: bool = False) -> str:
    """The interval in the direction of the size; a bound on the other side of zero keeps its minus."""

    def show(value: float) -> str:
        return style.percent(abs(value), 2) if percent else amount(value, style)

    sign = 1.0 if f.size.value >= 0 else -1.0
    low, high = sorted((f.low * sign, f.high * sign))
    return f"({'-' if low < 0 else ''}{show(low)} to {show(high)})"


def _say_so(f: Finding, most: int = 6) -> str:
    n = len(f.speaks_for)
    if not n:
        return "No feature shows it by itself, only all together."
    names = ", ".join(f.speaks_for[:most]) + (" and more" if n > most else "")
    said = f"{n} feature{'s say' if n != 1 else ' says'} so: {names}."
    if f.against:
        said += f" Not {', '.join(f.against[:most])}."
    return said


def _part(name: str) -> str:
    return {"cope": "the cope", "drag": "the drag"}.get(name, name)


def _first(text: str) -> str:
    return text[:1].upper() + text[1:]


def _contraction(f: Finding, plan: Mapping[str, float], style: Style) -> str:
    c = f.candidate
    where = "in all directions" if c.axis == "all" else f"in {c.axis.upper()}"
    if c.axis in plan:
        a = plan[c.axis]
        return (
            f"Contraction {where} is {style.percent(a + f.size.value, 2)}, not {style.percent(a, 2)} "
            f"({style.percent(a + f.low, 2)} to {style.percent(a + f.high, 2)})."
        )
    more = "more" if f.size.value > 0 else "less"
    by = style.percent(abs(f.size.value), 2)
    return f"Contraction {where} is {by} {more} than planned {_between(f, style, percent=True)}."


def _shift(f: Finding, style: Style) -> str:
    c = f.candidate
    who = _first(_part(c.parts[0]))
    where = f"{amount(f.size.value, style)} toward {toward(f.size.value, c.axis)} {_between(f, style)}"
    if c.kind == "carried":
        return f"{who} and what is keyed into it ({', '.join(c.parts[1:])}) sit {where}."
    return f"{who} sits {where}."


def _look_first(f: Finding, clearances: Sequence[Clearance], style: Style) -> str:
    c = f.candidate
    own = [k for k in clearances if k.part == c.parts[0] and (not k.axis or c.axis in k.axis)]
    own.sort(key=lambda k: (not k.out, k.name))
    said = "Look at its print and seat first."
    if own:
        k = own[0]
        if k.out and k.mm < 0:
            said = f"Look at {k.name} first: measured clearance is {style.length(k.mm, unit=False)}, it cannot seat."
        else:
            said = f"Look at its print first: measured clearance {k.name} is {style.length(k.mm, unit=False)}"
            if k.lower is not None and k.upper is not None:
                said += f" ({style.pair(k.lower, k.upper, unit=False)} wanted)"
            said += "." if k.out else ", which is right; then look at keys and box."
    riders = [a for a in f.alike if a.kind in ("carried", "shift") and a.parts[0] == c.parts[0]]
    if riders:
        said += " Whether what is keyed into it moves with it, these features do not show."
    return said


def _tool_cause(f: Finding, plan: Mapping[str, float], clearances: Sequence[Clearance], style: Style) -> str:
    c = f.candidate
    size, between = f.size.value, _between(f, style)
    if c.kind == "contraction":
        return f"{_contraction(f, plan, style)} {_say_so(f)}"
    if c.kind in ("shift", "carried"):
        return f"{_shift(f, style)} {_say_so(f)} {_look_first(f, clearances, style)}"
    if c.kind == "growth":
        what = "bigger" if size > 0 else "smaller"
        first = "its box, for wear or coat" if c.parts[0].startswith("core") else "its coat and faces"
        return (
            f"{_first(_part(c.parts[0]))} is {amount(size, style)} {what} on every face {between}. {_say_so(f)} "
            f"Look at {first}.{_which(f)}"
        )
    tool = _part(c.parts[0])
    if c.kind == "size":
        what = "large" if size > 0 else "small"
        said = (
            f"{c.balloon} comes out {amount(size, style)} {what} {between} because of the tool of {tool}, "
            f"half at each end. {_say_so(f)}"
        )
    else:
        said = (
            f"The tool of {tool} has its face at {c.axis.upper()} {style.given(c.place_mm, unit=False)} off by "
            f"{amount(size, style)} toward {toward(size, c.axis)} {between}. {_say_so(f)}"
        )
    return said + _which(f)


def _which(f: Finding) -> str:
    """What of the tool is wrong, where that cannot be told."""
    kinds = {a.kind for a in f.alike} | {f.candidate.kind}
    if "growth" in kinds and len(kinds) > 1:
        return " Whether it is wrong only there or all over, these features do not show."
    return " Which of its faces is off, these features do not show." if f.alike else ""


def _process_cause(f: Finding, style: Style) -> str:
    c = f.candidate
    size, between = f.size.value, _between(f, style)
    if c.kind in ("shift", "carried"):
        said, check = _shift(f, style), "check how this core was set (print, key, chaplets, sand on the seat)"
    elif c.kind == "mismatch":
        said = f"The cope is closed {amount(size, style)} toward {toward(size, c.axis)} against the drag {between}."
        check = "check closing pins, bushes and flasks"
    elif c.kind == "parting":
        what = (
            "open at the parting, everything across it is longer"
            if size > 0
            else "tighter at the parting, everything across it is shorter"
        )
        said, check = f"The mould is {amount(size, style)} {what} {between}.", "check weights, clamps and closing flash"
    elif c.kind == "bias":
        what = "high" if size > 0 else "low"
        said = f"{c.instrument} reads {amount(size, style)} {what} {between}."
        check = "check it on the check piece and measure again"
    elif c.kind == "scale":
        what = "large" if size > 0 else "small"
        by = style.percent(abs(size), 2)
        said = f"All sizes of casting {c.serial} are {by} {what} {_between(f, style, percent=True)}."
        check = (
            f"check its temperature when it was measured ({style.figure(abs(size) / IRON_PER_C, 0)} degrees for iron), "
            "then the heat and how it was cooled"
        )
    else:
        way = "low" if size < 0 else "high"
        said = (
            f"Heights change in proportion to the distance, by {amount(size, style)} {way} at {c.where} {between}: "
            "a ground datum target, or the casting sits tilted."
        )
        check = "check the datum targets, align again and show both"
    return f"{said} {_say_so(f)} Do not cut: {check}."


def say(
    f: Finding, *, plan: Mapping[str, float] | None = None, clearances: Sequence[Clearance] = (), style: Style = MM
) -> CauseSentence:
    """What one named cause means. `plan` is the contraction each axis was laid out with.

    Contractions are shares of the casting; lengths are written in the unit of `style`.
    """
    c = f.candidate
    if not c.process:
        return CauseSentence(c.name, _tool_cause(f, plan or {}, clearances, style), True)
    text = _process_cause(f, style)
    if c.serial and c.kind != "scale":
        a_core = c.kind in ("shift", "carried") and c.parts[0].startswith("core")
        text = f"Casting {c.serial} only: {text if a_core else text[:1].lower() + text[1:]}"
        text += " One mould, not the tooling." if c.kind != "tilt" else ""
    return CauseSentence(c.name, text, False)


def say_unclear(f: Finding, explanation: Explanation, style: Style = MM) -> CauseSentence:
    """What is said when it cannot be told: never a cut, always what would tell."""
    c = f.candidate
    by = (
        style.percent(abs(f.size.value), 2)
        if c.kind in ("contraction", "scale")
        else f"{amount(f.size.value, style)}{' toward ' + toward(f.size.value, c.axis) if c.axis in 'xyz' else ''}"
    )
    name = _first(name_of(c, style))
    if f.status == "below scatter":
        text = (
            f"{name}: perhaps {by} {_between(f, style)}, but that is inside the seating scatter "
            f"({style.uncertainty(explanation.noise.seat_mm, unit=False)} per casting). Cannot tell."
        )
    elif f.alike:
        others = ", ".join(name_of(a, style) for a in f.alike[:4])
        text = f"{name} ({by}), or {others}: these features cannot tell them apart."
    else:
        text = f"{name} ({by}): {style.percent(f.probability)} likely, not enough to name it. Cannot tell."
    told = [n.balloon for n in explanation.measure_next if n.bits > 0.02 or n.bits_in_all > 0.3][:2]
    castings = "" if len(explanation.serials) > 2 else " or another casting"
    text += (
        f" Do not cut. Measure {' and '.join(told)}{castings} next."
        if told
        else (" Do not cut. Measure another casting next.")
    )
    return CauseSentence(c.name, text, False)


def name_of(c: Candidate, style: Style = MM) -> str:
    """A candidate in a few words, for lists of rivals."""
    tool = f"the tool of {_part(c.parts[0] if c.parts else c.name)}"
    words = {
        "contraction": f"contraction{'' if c.axis == 'all' else ' in ' + c.axis.upper()}",
        "shift": f"{_part(c.parts[0] if c.parts else c.name)} shifted in {c.axis.upper()}",
        "carried": f"{c.parts[0] if c.parts else c.name} shifted in {c.axis.upper()} with what is keyed into it",
        "mismatch": f"cope against drag in {c.axis.upper()}",
        "parting": "growth at the parting",
        "growth": f"{tool} grown all over",
        "size": f"{tool} wrong at {c.balloon}",
        "face": f"{tool} wrong at {c.axis.upper()} {style.given(c.place_mm or 0.0, unit=False)}",
        "bias": f"{c.instrument} off",
        "scale": "scale (temperature)",
        "tilt": f"datum target {c.where}",
    }[c.kind]
    return f"{words} on casting {c.serial}" if c.serial else words


def _stands_alone(o: OddReading, style: Style) -> str:
    side = "high" if o.off_mm > 0 else "low"
    return (
        f"{o.balloon} on casting {o.serial} stands alone, {amount(o.off_mm, style)} {side} against the others: "
        "measure it again."
    )


def say_all(
    explanation: Explanation,
    *,
    plan: Mapping[str, float] | None = None,
    clearances: Sequence[Clearance] = (),
    style: Style = MM,
) -> tuple[CauseSentence, ...]:
    """The whole answer in order: named causes, what cannot be told, readings that stand alone, what is left over."""
    out = [say(f, plan=plan, clearances=clearances, style=style) for f in explanation.findings]
    if not out:
        out.append(
            CauseSentence("", "No cause is named: the castings agree with the tools within their scatter.", False)
        )
    out += [say_unclear(f, explanation, style) for f in explanation.cannot_tell]
    out += [CauseSentence("", _stands_alone(o, style), False) for o in explanation.odd]
    kept = [f"{v.balloon} keeps {style.signed(v.mm, unit=False)} that no cause explains." for v in explanation.left]
    out += [CauseSentence("", text, False) for text in kept]
    if len(explanation.serials) == 1:
        out.append(CauseSentence("", "One casting cannot tell a tool from one mould: measure a second one.", False))
    return tuple(out)
