"""The answer of the search for causes in sentences a patternmaker would say.

A cause in a tool says where to look first; a cause in the mould, the foundry or the bench is answered with what to
check and never with a cut. Sizes are mm at casting scale; directions are written +Y and -Y.

Source: common practice of pattern shops, no source.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from inspect_tui.frozen import frozen, frozen_by_name
from inspect_tui.metrology.causes.problem import FRACTIONS, MOVED, Candidate, Explanation, Finding, OddReading
from inspect_tui.metrology.typed.show import MM, Style

IRON_PER_C = 11e-6  # expansion of iron, ISO 1 corrections in the shop use the same figure

RIDDEN = ("carried", "turned")  # kinds whose further parts sit in the first and go with it


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


def _between(f: Finding, style: Style) -> str:
    """The interval in the direction and unit of the size; a bound on the other side of zero keeps its minus."""

    def show(value: float) -> str:
        return style.percent(abs(value), 2) if f.candidate.kind in FRACTIONS else amount(value, style)

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
    return f"Contraction {where} is {by} {more} than planned {_between(f, style)}."


def _held_back(f: Finding, style: Style) -> str:
    """What cores do to the metal around them, and where it shows."""
    c = f.candidate
    less, large = ("less", "large") if f.size.value > 0 else ("more", "small")
    by = style.percent(abs(f.size.value), 2)
    why = "the cores hold it back; " if f.size.value > 0 else ""
    return (
        f"Inside, the metal contracts {by} {less} in {c.axis.upper()} than planned {_between(f, style)}: {why}"
        f"what the cores make comes out {large}."
    )


def _shift(f: Finding, style: Style) -> str:
    c = f.candidate
    who = _first(_part(c.parts[0]))
    where = f"{amount(f.size.value, style)} toward {toward(f.size.value, c.axis)} {_between(f, style)}"
    if c.kind == "turned":
        station = style.given(c.place_mm or 0.0, unit=False)
        said = f"{who} lies turned: at station {station} it sits {where}, at the other end as much the other way"
    else:
        said = f"{who} sits {where}"
    riders = c.parts[1:] if c.kind in RIDDEN else ()
    if riders:
        go = "goes" if len(riders) == 1 else "go"
        said += f"; {' and '.join(riders)}, which {'sits' if len(riders) == 1 else 'sit'} in it, {go} with it"
    return f"{said}."


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
    riders = [a for a in f.alike if a.kind in MOVED and a.parts[0] == c.parts[0]]
    if riders:
        said += " Whether what is keyed into it moves with it, these features do not show."
    under = [a.parts[0] for a in f.alike if a.kind in RIDDEN and c.parts[0] in a.parts[1:]]
    if under:
        said += (
            f" Whether {' and '.join(dict.fromkeys(under))}, in which it sits, moves with it, they do not show either."
        )
    return said


def _tool_cause(f: Finding, plan: Mapping[str, float], clearances: Sequence[Clearance], style: Style) -> str:
    c = f.candidate
    size, between = f.size.value, _between(f, style)
    if c.kind == "contraction":
        return f"{_contraction(f, plan, style)} {_say_so(f)}"
    if c.kind == "held back":
        return f"{_held_back(f, style)} {_say_so(f)} Lay the boxes out again with less contraction, or core softer."
    if c.kind in MOVED:
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
    if c.kind in MOVED:
        said, check = _shift(f, style), "check how this core was set (print, key, chaplets, sand on the seat)"
    elif c.kind == "mismatch":
        riding = f" with {', '.join(c.parts[1:])}" if len(c.parts) > 1 else ""
        where = f"{amount(size, style)} toward {toward(size, c.axis)}"
        said = f"The cope{riding} is closed {where} against the drag {between}."
        check = "check closing pins, bushes and flasks"
    elif c.kind == "parting":
        what = (
            "open at the parting, everything across it is longer"
            if size > 0
            else "tighter at the parting, everything across it is shorter"
        )
        said, check = f"The mould is {amount(size, style)} {what} {between}.", "check weights, clamps and closing flash"
    elif c.kind == "lifted":
        if size > 0:
            said = f"All cores sit {amount(size, style)} toward +{c.axis.upper()} {between}: the metal lifts them."
            check = "cores are lighter than the metal; check chaplets, prints and what holds them down"
        else:
            said = f"All cores sit {amount(size, style)} toward -{c.axis.upper()} {between}."
            check = "check whether prints and chaplets give way under the cores, and sand on the seats"
    elif c.kind == "bias":
        what = "high" if size > 0 else "low"
        said = f"{c.instrument} reads {amount(size, style)} {what} {between}."
        check = "check it on the check piece and measure again"
    elif c.kind == "scale":
        what = "large" if size > 0 else "small"
        by = style.percent(abs(size), 2)
        said = f"All sizes of casting {c.serial} are {by} {what} {_between(f, style)}."
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


def _signed(value: float, c: Candidate, style: Style) -> str:
    return style.percent(value, 2, signed=True) if c.kind in FRACTIONS else style.signed(value, unit=False)


@frozen
class OnTool:
    """A measurement of a tool that would tell: of which part, along which axis, which face or which size."""

    part: str
    axis: str
    place_mm: float | None
    balloon: str


def tell_on_tools(f: Finding) -> tuple[OnTool, ...]:
    """What to measure on tools to tell a cause from those alike: single faces first, patterns before boxes.

    Of n faces and sizes n - 1 are enough; where something else could be the cause as well, all of them are.
    """
    group = [f.candidate, *f.alike]
    tools = [c for c in group if c.kind in ("face", "size") and not c.serial]
    order = {"drag": 0, "cope": 0}
    tools.sort(key=lambda c: (c.kind != "face", order.get(c.parts[0], 1)))
    told = dict.fromkeys(OnTool(c.parts[0], c.axis, c.place_mm if c.kind == "face" else None, c.balloon) for c in tools)
    most = len(told) if len(tools) < len(group) else max(len(told) - 1, 1)
    return tuple(told)[:most]


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
        a_core = c.kind in MOVED and c.parts[0].startswith("core")
        text = f"Casting {c.serial} only: {text if a_core else text[:1].lower() + text[1:]}"
        text += " One mould, not the tooling." if c.kind != "tilt" else ""
    return CauseSentence(c.name, text, False)


def say_unclear(f: Finding, explanation: Explanation, style: Style = MM) -> CauseSentence:
    """What is said when it cannot be told: never a cut, always what would tell."""
    c = f.candidate
    by = (
        style.percent(abs(f.size.value), 2)
        if c.kind in FRACTIONS
        else f"{amount(f.size.value, style)}{' toward ' + toward(f.size.value, c.axis) if c.axis in 'xyz' else ''}"
    )
    name = _first(name_of(c, style))
    if f.status == "below scatter":
        text = (
            f"{name}: perhaps {by} {_between(f, style)}, but that is inside the seating scatter "
            f"({style.uncertainty(explanation.noise.seat_mm, unit=False)} per casting). Cannot tell."
        )
    elif f.castings_differ:
        sizes = ", ".join(f"{serial} {_signed(e.value, c, style)}" for serial, e in f.by_casting)
        text = f"{name} ({by}): the castings do not agree about it ({sizes}). Cannot tell."
    elif f.wild:
        text = f"{name} ({by}), or {_wild(f)}: what is read cannot tell them apart."
    elif f.alike:
        first, last = [name_of(a, style) for a in f.alike[:4]], ""
        if len(first) > 1:
            last = first.pop()
        others = f"{', '.join(first)}, or {last}" if last else f"or {first[0]}"
        text = f"{name} ({by}), {others}: these features cannot tell them apart."
        if f.left_out:
            text += f" Only {', '.join(f.left_out[:4])} {'says' if len(f.left_out) == 1 else 'say'} so."
    else:
        text = f"{name} ({by}): {style.percent(f.probability)} likely, not enough to name it. Cannot tell."
    on_tools = [to_measure(m, style) for m in tell_on_tools(f)[:2]]
    told = [n.balloon for n in explanation.measure_next if n.bits > 0.02 or n.bits_in_all > 0.3][:2]
    castings = "" if len(explanation.serials) > 2 else " or another casting"
    again = f"{_again(f)}. Then measure" if f.wild else "Measure"
    text += f" Do not cut. {again} {' and '.join(told) + castings if told else 'another casting'} next"
    text += f", or {' and '.join(on_tools)}." if on_tools else "."
    return CauseSentence(c.name, text, False)


def _wild(f: Finding) -> str:
    """The readings that may be wild instead, such as "F3 and F7 on casting 2 are both read wrong"."""
    if len(f.wild) == 1:
        return f"{f.wild[0][0]} on casting {f.wild[0][1]} is read wrong"
    return f"{_readings(f)} are {'both' if len(f.wild) == 2 else 'all'} read wrong"


def _again(f: Finding) -> str:
    return f"Read {_readings(f)} again first"


def _readings(f: Finding) -> str:
    """Readings by casting: "F3 and F7 on casting 2"."""
    by_serial: dict[str, list[str]] = {}
    for balloon, serial in f.wild:
        by_serial.setdefault(serial, []).append(balloon)
    return " and ".join(f"{' and '.join(sorted(own))} on casting {serial}" for serial, own in sorted(by_serial.items()))


def to_measure(m: OnTool, style: Style = MM) -> str:
    """Which face or size is to be measured on which tool; places in the unit of `style`."""
    tool = f"the {m.part} pattern" if m.part in ("drag", "cope") else f"the tool of {m.part}"
    if m.place_mm is None:
        return f"{m.balloon} on {tool}"
    return f"the face at {m.axis.upper()} {style.given(m.place_mm, unit=False)} on {tool}"


def name_of(c: Candidate, style: Style = MM) -> str:
    """A candidate in a few words, for lists of rivals."""
    tool = f"the tool of {_part(c.parts[0] if c.parts else c.name)}"
    words = {
        "contraction": f"contraction{'' if c.axis == 'all' else ' in ' + c.axis.upper()}",
        "shift": f"{_part(c.parts[0] if c.parts else c.name)} shifted in {c.axis.upper()}",
        "carried": f"{c.parts[0] if c.parts else c.name} shifted in {c.axis.upper()} with what is keyed into it",
        "turned": f"{_part(c.parts[0] if c.parts else c.name)} turned in {c.axis.upper()}"
        f"{' with what is keyed into it' if len(c.parts) > 1 else ''}",
        "held back": f"contraction in {c.axis.upper()} held back inside",
        "lifted": "all cores lifted",
        "mismatch": f"cope against drag in {c.axis.upper()}",
        "parting": "growth at the parting",
        "growth": f"{tool} grown all over",
        "size": f"{tool} wrong at {c.balloon}",
        "face": f"{_owner(c)} face at {c.axis.upper()} {style.given(c.place_mm or 0.0, unit=False)}",
        "bias": f"{c.instrument} off",
        "scale": "scale (temperature)",
        "tilt": f"datum target {c.where}",
    }[c.kind]
    return f"{words} on casting {c.serial}" if c.serial else words


def _owner(c: Candidate) -> str:
    part = _part(c.parts[0] if c.parts else c.name)
    return f"{part}'s"


def _stands_alone(o: OddReading, style: Style) -> str:
    side = "high" if o.off_mm > 0 else "low"
    return (
        f"{o.balloon} on casting {o.serial} stands alone, {amount(o.off_mm, style)} {side} against the others: "
        "measure it again."
    )


def none_named(more: bool) -> str:
    """That no cause is named; `more` follows: what cannot be told, or what no cause explains."""
    if more:
        return "No cause is named; what is open follows."
    return "No cause is named: the castings agree with the tools within their scatter."


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
        out.append(CauseSentence("", none_named(bool(explanation.cannot_tell or explanation.left)), False))
    out += [say_unclear(f, explanation, style) for f in explanation.cannot_tell]
    out += [CauseSentence("", _stands_alone(o, style), False) for o in explanation.odd]
    kept = [f"{v.balloon} keeps {style.signed(v.mm, unit=False)} that no cause explains." for v in explanation.left]
    out += [CauseSentence("", text, False) for text in kept]
    if len(explanation.serials) == 1:
        out.append(CauseSentence("", "One casting cannot tell a tool from one mould: measure a second one.", False))
    return tuple(out)
