"""The answer of the search for causes in sentences a patternmaker would say.

A cause in a tool says where to look first; a cause in the mould, the foundry or the bench is answered with what to
check and never with a cut. Sizes are mm at casting scale; directions are written +Y and -Y.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from inspect_tui.metrology.causes.problem import Candidate, Explanation, Finding, Odd

IRON_PER_C = 11e-6  # expansion of iron, ISO 1 corrections in the shop use the same figure


@dataclass(frozen=True, slots=True, kw_only=True)
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


@dataclass(frozen=True, slots=True)
class Told:
    """One sentence or two about one cause; `tool` is False when nothing must be cut for it."""

    name: str
    text: str
    tool: bool


def millimetres(value: float) -> str:
    """Two decimals without a sign, as a size is said."""
    return f"{abs(value):.2f}"


def toward(value: float, axis: str) -> str:
    """The direction of a movement, "+Y" or "-Y"."""
    return f"{'+' if value >= 0 else '-'}{axis.upper()}"


def _between(f: Finding, show: Callable[[float], str] = millimetres) -> str:
    """The interval in the direction of the size; a bound on the other side of zero keeps its minus."""
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


def _percent(fraction: float) -> str:
    return f"{100 * fraction:.2f} %"


def _share(fraction: float) -> str:
    return _percent(abs(fraction))


def _contraction(f: Finding, plan: Mapping[str, float]) -> str:
    c = f.candidate
    where = "in all directions" if c.axis == "all" else f"in {c.axis.upper()}"
    if c.axis in plan:
        a = plan[c.axis]
        return (
            f"Contraction {where} is {_percent(a + f.size.value)}, not {_percent(a)} "
            f"({_percent(a + f.low)} to {_percent(a + f.high)})."
        )
    more = "more" if f.size.value > 0 else "less"
    return f"Contraction {where} is {_percent(abs(f.size.value))} {more} than planned {_between(f, _share)}."


def _shift(f: Finding) -> str:
    c = f.candidate
    who = _first(_part(c.parts[0]))
    amount = f"{millimetres(f.size.value)} toward {toward(f.size.value, c.axis)} {_between(f)}"
    if c.kind == "carried":
        return f"{who} and what is keyed into it ({', '.join(c.parts[1:])}) sit {amount}."
    return f"{who} sits {amount}."


def _look_first(f: Finding, clearances: Sequence[Clearance]) -> str:
    c = f.candidate
    own = [k for k in clearances if k.part == c.parts[0] and (not k.axis or c.axis in k.axis)]
    own.sort(key=lambda k: (not k.out, k.name))
    said = "Look at its print and seat first."
    if own:
        k = own[0]
        if k.out and k.mm < 0:
            said = f"Look at {k.name} first: measured clearance is {k.mm:.2f}, it cannot seat."
        else:
            said = f"Look at its print first: measured clearance {k.name} is {k.mm:.2f}"
            if k.lower is not None and k.upper is not None:
                said += f" ({k.lower:.2f} to {k.upper:.2f} wanted)"
            said += "." if k.out else ", which is right; then look at keys and box."
    riders = [a for a in f.alike if a.kind in ("carried", "shift") and a.parts[0] == c.parts[0]]
    if riders:
        said += " Whether what is keyed into it moves with it, these features do not show."
    return said


def _tool_cause(f: Finding, plan: Mapping[str, float], clearances: Sequence[Clearance]) -> str:
    c = f.candidate
    size, between = f.size.value, _between(f)
    if c.kind == "contraction":
        return f"{_contraction(f, plan)} {_say_so(f)}"
    if c.kind in ("shift", "carried"):
        return f"{_shift(f)} {_say_so(f)} {_look_first(f, clearances)}"
    if c.kind == "growth":
        what = "bigger" if size > 0 else "smaller"
        first = "its box, for wear or coat" if c.parts[0].startswith("core") else "its coat and faces"
        return (
            f"{_first(_part(c.parts[0]))} is {millimetres(size)} {what} on every face {between}. {_say_so(f)} "
            f"Look at {first}.{_which(f)}"
        )
    tool = _part(c.parts[0])
    if c.kind == "size":
        what = "large" if size > 0 else "small"
        said = (
            f"{c.balloon} comes out {millimetres(size)} {what} {between} because of the tool of {tool}, "
            f"half at each end. {_say_so(f)}"
        )
    else:
        said = (
            f"The tool of {tool} has its face at {c.axis.upper()} {c.place_mm:g} off by {millimetres(size)} toward "
            f"{toward(size, c.axis)} {between}. {_say_so(f)}"
        )
    return said + _which(f)


def _which(f: Finding) -> str:
    """What of the tool is wrong, where that cannot be told."""
    kinds = {a.kind for a in f.alike} | {f.candidate.kind}
    if "growth" in kinds and len(kinds) > 1:
        return " Whether it is wrong only there or all over, these features do not show."
    return " Which of its faces is off, these features do not show." if f.alike else ""


def _process_cause(f: Finding) -> str:
    c = f.candidate
    size, between = f.size.value, _between(f)
    if c.kind in ("shift", "carried"):
        said, check = _shift(f), "check how this core was set (print, key, chaplets, sand on the seat)"
    elif c.kind == "mismatch":
        said = f"The cope is closed {millimetres(size)} toward {toward(size, c.axis)} against the drag {between}."
        check = "check closing pins, bushes and flasks"
    elif c.kind == "parting":
        what = (
            "open at the parting, everything across it is longer"
            if size > 0
            else "tighter at the parting, everything across it is shorter"
        )
        said, check = f"The mould is {millimetres(size)} {what} {between}.", "check weights, clamps and closing flash"
    elif c.kind == "bias":
        what = "high" if size > 0 else "low"
        said = f"{c.instrument} reads {millimetres(size)} {what} {between}."
        check = "check it on the check piece and measure again"
    elif c.kind == "scale":
        what = "large" if size > 0 else "small"
        said = f"All sizes of casting {c.serial} are {_percent(abs(size))} {what} {_between(f, _share)}."
        check = (
            f"check its temperature when it was measured ({abs(size) / IRON_PER_C:.0f} degrees for iron), "
            "then the heat and how it was cooled"
        )
    else:
        way = "low" if size < 0 else "high"
        said = (
            f"Heights change in proportion to the distance, by {millimetres(size)} {way} at {c.where} {between}: "
            "a ground datum target, or the casting sits tilted."
        )
        check = "check the datum targets, align again and show both"
    return f"{said} {_say_so(f)} Do not cut: {check}."


def say(f: Finding, *, plan: Mapping[str, float] | None = None, clearances: Sequence[Clearance] = ()) -> Told:
    """What one named cause means. `plan` is the contraction each axis was laid out with."""
    c = f.candidate
    if not c.process:
        return Told(c.name, _tool_cause(f, plan or {}, clearances), True)
    text = _process_cause(f)
    if c.serial and c.kind != "scale":
        text = f"Casting {c.serial} only: {text[:1].lower() + text[1:] if not text.startswith('Core') else text}"
        text += " One mould, not the tooling." if c.kind != "tilt" else ""
    return Told(c.name, text, False)


def say_unclear(f: Finding, found: Explanation) -> Told:
    """What is said when it cannot be told: never a cut, always what would tell."""
    c = f.candidate
    amount = (
        _percent(abs(f.size.value))
        if c.kind in ("contraction", "scale")
        else f"{millimetres(f.size.value)}{' toward ' + toward(f.size.value, c.axis) if c.axis in 'xyz' else ''}"
    )
    if f.status == "below scatter":
        text = (
            f"{_first(name_of(c))}: perhaps {amount} {_between(f)}, but that is inside the seating scatter "
            f"({found.noise.seat_mm:.2f} per casting). Cannot tell."
        )
    elif f.alike:
        others = ", ".join(name_of(a) for a in f.alike[:4])
        text = f"{_first(name_of(c))} ({amount}), or {others}: these features cannot tell them apart."
    else:
        text = (
            f"{_first(name_of(c))} ({amount}): {100 * f.probability:.0f} % likely, not enough to name it. Cannot tell."
        )
    told = [n.balloon for n in found.measure_next if n.bits > 0.02 or n.bits_in_all > 0.3][:2]
    castings = "" if len(found.serials) > 2 else " or another casting"
    text += (
        f" Do not cut. Measure {' and '.join(told)}{castings} next."
        if told
        else (" Do not cut. Measure another casting next.")
    )
    return Told(c.name, text, False)


def name_of(c: Candidate) -> str:
    """A candidate in a few words, for lists of rivals."""
    words = {
        "contraction": f"contraction{'' if c.axis == 'all' else ' in ' + c.axis.upper()}",
        "shift": f"{_part(c.parts[0] if c.parts else c.name)} shifted in {c.axis.upper()}",
        "carried": f"{c.parts[0] if c.parts else c.name} shifted in {c.axis.upper()} with what is keyed into it",
        "mismatch": f"cope against drag in {c.axis.upper()}",
        "parting": "growth at the parting",
        "growth": f"the tool of {_part(c.parts[0] if c.parts else c.name)} grown all over",
        "size": f"the tool of {_part(c.parts[0] if c.parts else c.name)} wrong at {c.balloon}",
        "face": f"the tool of {_part(c.parts[0] if c.parts else c.name)} wrong at {c.axis.upper()} {c.place_mm or 0:g}",
        "bias": f"{c.instrument} off",
        "scale": "scale (temperature)",
        "tilt": f"datum target {c.where}",
    }[c.kind]
    return f"{words} on casting {c.serial}" if c.serial else words


def _stands_alone(o: Odd) -> str:
    side = "high" if o.off_mm > 0 else "low"
    return (
        f"{o.balloon} on casting {o.serial} stands alone, {millimetres(o.off_mm)} {side} against the others: "
        "measure it again."
    )


def say_all(
    found: Explanation, *, plan: Mapping[str, float] | None = None, clearances: Sequence[Clearance] = ()
) -> tuple[Told, ...]:
    """The whole answer in order: named causes, what cannot be told, readings that stand alone, what is left over."""
    out = [say(f, plan=plan, clearances=clearances) for f in found.findings]
    if not out:
        out.append(Told("", "No cause is named: the castings agree with the tools within their scatter.", False))
    out += [say_unclear(f, found) for f in found.cannot_tell]
    out += [Told("", _stands_alone(o), False) for o in found.odd]
    out += [Told("", f"{v.balloon} keeps {v.mm:+.2f} that no cause explains.", False) for v in found.left]
    if len(found.serials) == 1:
        out.append(Told("", "One casting cannot tell a tool from one mould: measure a second one.", False))
    return tuple(out)
