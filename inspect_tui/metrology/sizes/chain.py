"""The chain of sizes, both ways: drawing -> as-cast (stock, draft) -> tool (contraction, coat, resin, 2nd contraction).

Every step is a factor or an offset with a standard uncertainty and can be undone exactly. `facing` of an end is the
outward normal of the metal there, so that one formula, outward at B minus outward at A, serves metal, space and
same-facing ends alike. What only the screens name (words, cuts) is elsewhere.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import acos, degrees, hypot, isfinite, radians, sqrt, tan

from inspect_tui.errors import ChainError
from inspect_tui.metrology.sizes.tolerance import shifted
from inspect_tui.metrology.typed.show import MM
from inspect_tui.model.words import LIMIT_SLACK_MM, Band, Estimate
from inspect_tui.model.work import ChainStep, Feature, Job, Tool

_UNSCALED = ("angle", "temperature", "attribute")  # not lengths: nothing in the chain changes them
_DRAWING_STEPS = ("stock", "draft")  # between the drawing and the casting; all others lie between casting and tool
_HALF_OF = {"pattern_cope": "cope", "pattern_drag": "drag"}
MOULD_SETS = "the mould sets"  # how the source of a mould's own step begins
MUST_CLEAN_UP = "must clean up"  # where the raw limits of a size with stock come from when nothing else is said


# ------------------------------------------------------------------------------ drawing <-> casting
def as_cast(feature: Feature) -> float:
    """Nominal of the raw casting where it is measured: finished + stock + draft, mm (degrees for an angle)."""
    return feature.nominal + _stock(feature) + _draft(feature)


def finished_wanted(feature: Feature) -> float:
    """The finished size to make, mm (degrees): the drawing's, or the middle of its limits where it lies outside them.

    With a nominal beyond its own limits (f7, -0.3/-0.7, a size changed later) the drawing's size would be made out of
    tolerance. Against one limit there is no middle: the limit itself. Source: none needed, the limits bind.
    """
    return into(feature.nominal, finished_band(feature))


def wanted(feature: Feature) -> float:
    """The drawing size that castings and tools are laid out for, mm (degrees): the finished size to make.

    Where its raw size lies outside limits that are stated for the raw casting, it is the size whose raw size is within.
    """
    size = finished_wanted(feature)
    raw = size + _stock(feature) + _draft(feature)
    goal = into(raw, cast_band(feature))
    return size if goal == raw else size + (goal - raw)


def into(size_mm: float, band: Band) -> float:
    """The size itself inside the band or on a limit; outside, the band's middle, or its one limit. In mm."""
    below = band.lower is not None and size_mm < band.lower - LIMIT_SLACK_MM
    above = band.upper is not None and size_mm > band.upper + LIMIT_SLACK_MM
    if not below and not above:
        return size_mm
    ends = [end for end in (band.lower, band.upper) if end is not None]
    return sum(ends) / len(ends)


def cast_wanted(feature: Feature) -> float:
    """The size to make on the raw casting where it is measured: wanted + stock + draft, mm (degrees for an angle)."""
    return wanted(feature) + _stock(feature) + _draft(feature)


def cast_band(feature: Feature) -> Band:
    """The limits of the raw casting where it is measured, mm; angles and tool sizes keep their own.

    Those that are stated for it (drawing, casting grade) bind. A size with stock and nothing stated must only clean up:
    over metal it is at least the least finished size that is still good, over space at most the greatest, and the
    other side is open. Without stock they are the finished limits, moved by draft. Limits of the finished part that
    are moved by the stock say nothing of a casting.
    """
    own = Band(feature.lower, feature.upper, feature.band_source)
    if feature.scale == "tool" or feature.quantity in _UNSCALED:
        return own
    if feature.raw_lower is not None or feature.raw_upper is not None:
        return Band(feature.raw_lower, feature.raw_upper, feature.raw_source or "drawing, as cast")
    return clean_up(feature) if has_stock(feature) else shifted(own, _draft(feature))


def finished_band(feature: Feature) -> Band:
    """The limits of the finished part: the drawing's, at the drawing's size. In mm (degrees)."""
    return Band(feature.lower, feature.upper, feature.band_source)


def has_stock(feature: Feature) -> bool:
    """Whether an end of this size of the casting carries machining stock: it is another size when it is finished."""
    if feature.scale == "tool" or feature.quantity in _UNSCALED:
        return False
    return any(end.stock_mm > 0.0 for end in feature.ends)


def clean_up(feature: Feature) -> Band:
    """What leaves every face with stock something to take off; open where no size of the casting tells that. In mm.

    Without limits the least and the greatest finished size are the drawing's own; against the other limit alone there
    is none. Two faces with stock that face the same way move together: their distance says nothing of either.
    """
    stocked = {end.facing * (1 if end.which == "B" else -1) for end in feature.ends if end.stock_mm > 0.0}
    draft, no_limits = _draft(feature), feature.lower is None and feature.upper is None
    if stocked == {1}:
        least = feature.nominal if no_limits else feature.lower
        return Band(None if least is None else least + draft, None, MUST_CLEAN_UP)
    if stocked == {-1}:
        most = feature.nominal if no_limits else feature.upper
        return Band(None, None if most is None else most + draft, MUST_CLEAN_UP)
    return Band(None, None, MUST_CLEAN_UP)


def _stock(feature: Feature) -> float:
    if feature.scale == "tool" or feature.quantity in _UNSCALED:
        return 0.0
    return _outward(feature, {end.which: end.stock_mm for end in feature.ends})


def _draft(feature: Feature) -> float:
    """Change from the level of the drawing size to the level of measuring; positive height times angle adds metal.

    Both ends of a size are drafted (2 h tan); where both face the same way end A is the datum and B is drafted. A
    feature without ends counts as metal: the sign of the height then says it all.
    """
    if feature.quantity in _UNSCALED or feature.draft_deg == 0.0 or feature.draft_h_mm == 0.0:
        return 0.0
    each = feature.draft_h_mm * tan(radians(feature.draft_deg))
    if not feature.ends:
        return each if feature.quantity == "radius" else 2.0 * each
    facings = {end.facing for end in feature.ends}
    if len(feature.ends) == 2 and len(facings) == 1:
        return _outward(feature, {"B": each})
    return _outward(feature, {end.which: each for end in feature.ends})


def _outward(feature: Feature, moves: dict[str, float]) -> float:
    """How much the size B - A grows when each end moves outward along its metal normal by `moves`."""
    total = 0.0
    for end in feature.ends:
        sign = 1.0 if end.which == "B" else -1.0
        total += sign * end.facing * moves.get(end.which, 0.0)
    return total


# ------------------------------------------------------------------------------ the plan
def plan_steps(feature: Feature, tool: Tool, job: Job) -> tuple[ChainStep, ...]:
    """The steps from the drawing size of `feature` to its target on `tool`, in order; only steps that do something.

    1 stock, 2 draft (offsets, casting mm), 3 contraction (factor; the feature's own a before the job's), 4 coat
    (offset: the bare core is smaller by its wash; only ends made by this tool's core), 5 resin (a stick or master
    that a resin box is cast off is 1/(1 - r) larger; a mould taken off the pattern comes out 1 - r of it, larger where
    its r is below 0, as plaster grows when it sets), 6 second contraction (a master, 1 + a2). A feature at tooling
    scale has no stock, contraction or coat; angles, temperatures and attributes have no steps at all. Whether the
    tool makes the feature is for `measurable_on`. Raises ChainError for a step that cannot be undone.
    """
    if feature.quantity in _UNSCALED:
        return ()
    steps: list[ChainStep] = []

    def add(kind: str, source: str, *, scale: float | None = None, offset: float | None = None, u: float = 0.0) -> None:
        steps.append(ChainStep(ord=len(steps) + 1, kind=kind, scale=scale, offset_mm=offset, u=u, source=source))

    if stock := _stock(feature):
        add("stock", f"stock on ends {_listed((e.which, e.stock_mm) for e in feature.ends)}", offset=stock)
    if draft := _draft(feature):
        add("draft", f"{MM.angle(feature.draft_deg)} over {MM.given(feature.draft_h_mm)}", offset=draft)
    if feature.scale != "tool":
        factor, source = _contraction(feature, job)
        if factor != (1.0, 0.0):
            add("contraction", source, scale=factor.value, u=factor.u)
        coats = _coats(feature, tool)
        if coat := _outward(feature, coats):
            add("coat", f"wash on ends {_listed(coats.items())}", offset=coat)
    if tool.resin_r and tool.kind in ("core_stick", "master"):
        if tool.resin_r >= 1.0:
            share = MM.figures(tool.resin_r)
            raise ChainError(f"{tool.label}: a resin contraction of {share} leaves nothing; 0.2 % is 0.002")
        scale = 1.0 / (1.0 - tool.resin_r)
        stated = "" if tool.resin_u is not None else ", uncertainty not stated"
        share, whose = MM.figures(100 * tool.resin_r, 3), tool.kind.removeprefix("core_")
        source = f"resin contraction {share} % of the {whose}{stated}"
        add("resin", source, scale=scale, u=(tool.resin_u or 0.0) * scale * scale)
    if tool.resin_r and tool.kind == "mould":
        stated = "" if tool.resin_u is not None else ", uncertainty not stated"
        way = "smaller" if tool.resin_r > 0 else "larger"
        source = f"{MOULD_SETS} {MM.figures(100 * abs(tool.resin_r), 3)} % {way} than its pattern{stated}"
        add("resin", source, scale=1.0 - tool.resin_r, u=tool.resin_u or 0.0)
    if tool.second_a and tool.kind == "master":
        stated = "" if tool.second_u is not None else ", uncertainty not stated"
        source = f"contraction {MM.figures(100 * tool.second_a, 3)} % of the metal cast from the master{stated}"
        add("second_contraction", source, scale=1.0 + tool.second_a, u=tool.second_u or 0.0)
    return tuple(steps)


def _contraction(feature: Feature, job: Job) -> tuple[Estimate, str]:
    """The factor 1 + a along the feature and where it comes from.

    A size that no axis is given for (a diameter, a radius) takes the mean of the job's three; how far they differ is
    part of its uncertainty. The three share their source, so their uncertainties add up rather than average out.
    """
    a, ua = (job.a_x, job.a_y, job.a_z), (job.ua_x, job.ua_y, job.ua_z)
    if feature.axis == "oblique":
        direction = (feature.dir_x, feature.dir_y, feature.dir_z)
        if feature.a is None:
            if any(cosine is None for cosine in direction):
                raise ChainError(f"{feature.balloon}: an oblique feature needs its direction in x, y and z")
            along = oblique([cosine or 0.0 for cosine in direction], a, ua)
        else:
            along = Estimate(1.0, sum(ua) / 3.0)
        where = "obliquely"
    elif feature.axis in ("x", "y", "z"):
        index = "xyz".index(feature.axis)
        along, where = Estimate(1.0 + a[index], ua[index]), f"in {feature.axis}"
    else:
        along = Estimate(1.0 + sum(a) / 3.0, hypot(sum(ua) / 3.0, (max(a) - min(a)) / sqrt(12.0)))
        where = "mean of x, y, z" if max(a) > min(a) else "in all directions"
    if feature.a is None:
        return along, f"{MM.percent(along.value - 1, 3)} {where}: {job.a_source}"
    u = along.u if feature.ua is None else feature.ua
    return Estimate(1.0 + feature.a, u), f"{MM.percent(feature.a, 3)}: set for this feature"


def _coats(feature: Feature, tool: Tool) -> dict[str, float]:
    """The wash on the ends that this tool's core makes."""
    cored = [end for end in feature.ends if end.core_id is not None]
    return {end.which: end.coat_mm for end in cored if not tool.core_id or end.core_id == tool.core_id}


def _listed(ends: Iterable[tuple[str, float]]) -> str:
    return ", ".join(f"{which} {MM.given(mm)}" for which, mm in ends if mm)


# ------------------------------------------------------------------------------ walking it
def forward(size_mm: float, steps: Sequence[ChainStep]) -> Estimate:
    """The size after all `steps`, with the standard uncertainty that the steps bring, mm."""
    value, variance = _finite(size_mm), 0.0
    for step in sorted(steps, key=lambda s: s.ord):
        if step.scale is not None:
            variance = step.scale**2 * variance + (value * step.u) ** 2
            value *= step.scale
        else:
            variance += step.u**2
            value += step.offset_mm or 0.0
    return Estimate(value, sqrt(variance))


def back(tool_mm: float, u_mm: float, steps: Sequence[ChainStep], to: str = "cast") -> Estimate:
    """What a size of `tool_mm` (standard uncertainty `u_mm`) on the tool becomes: the exact inverse of the steps.

    to="cast": the raw casting, stock and draft still on it (as `as_cast`); to="finished": the drawing size. The
    uncertainty gathers the reading's and each undone step's, to first order (GUM 5.1.2), steps independent. In mm.
    ChainError for any other `to`.
    """
    if to not in ("cast", "finished"):
        raise ChainError(f"sizes go back to cast or finished, not to {to}")
    value, variance = _finite(tool_mm), _finite(u_mm) ** 2
    for step in sorted(steps, key=lambda s: s.ord, reverse=True):
        if to == "cast" and step.kind in _DRAWING_STEPS:
            continue
        if step.scale is not None:
            value /= step.scale
            variance = variance / step.scale**2 + (value * step.u / step.scale) ** 2
        else:
            value -= step.offset_mm or 0.0
            variance += step.u**2
    return Estimate(value, sqrt(variance))


def scale_of(steps: Sequence[ChainStep], kinds: Sequence[str] = ()) -> float:
    """Product of the factors of the steps (of these `kinds`, or of all): tool mm for each casting mm."""
    product = 1.0
    for step in steps:
        if step.scale is not None and (not kinds or step.kind in kinds):
            product *= step.scale
    return product


def oblique(direction: Sequence[float], a: Sequence[float], ua: Sequence[float] = (0.0, 0.0, 0.0)) -> Estimate:
    """Factor for a length along `direction` (three components, any length) under contractions `a` per axis.

    sqrt(sum (c_i (1 + a_i))^2) with direction cosines c_i. The three u are taken as one source, fully correlated.
    (factor, its standard uncertainty), dimensionless.
    """
    cosines = _unit(direction)
    factor = sqrt(sum((c * (1.0 + ai)) ** 2 for c, ai in zip(cosines, a, strict=True)))
    u = sum(c * c * (1.0 + ai) / factor * ui for c, ai, ui in zip(cosines, a, ua, strict=True))
    return Estimate(factor, u)


def angle_on_tool(first: Sequence[float], second: Sequence[float], a: Sequence[float]) -> float:
    """The angle on the tool, degrees, between two casting directions: it changes when the axes contract differently."""
    along_first = _unit([c * (1.0 + ai) for c, ai in zip(_unit(first), a, strict=True)])
    along_second = _unit([c * (1.0 + ai) for c, ai in zip(_unit(second), a, strict=True)])
    return degrees(acos(max(-1.0, min(1.0, sum(p * q for p, q in zip(along_first, along_second, strict=True))))))


def _unit(direction: Sequence[float]) -> list[float]:
    length = sqrt(sum(c * c for c in direction))
    if len(direction) != 3 or not 1e-9 < length < 1e9:
        raise ChainError("a direction needs three components that are not all zero")
    return [c / length for c in direction]


def _finite(size: float) -> float:
    if not isfinite(size):
        raise ChainError(f"{size} is not a size")
    return size


# ------------------------------------------------------------------------------ which tool, and what it has there
def measurable_on(feature: Feature, tool: Tool) -> bool:
    """Whether the tool makes every end of the feature (one without ends is measurable anywhere).

    A tool with a core makes that core's ends; a pattern half its half's; a master, production pattern or loose piece
    without a core any half's. Templates and other tools are made for what they are used on.
    """
    if tool.kind in ("gauge_template", "other"):
        return True
    if tool.kind in _HALF_OF:
        return all(end.half == _HALF_OF[tool.kind] for end in feature.ends)
    if tool.core_id:
        return all(end.core_id == tool.core_id for end in feature.ends)
    if tool.kind in ("core_stick", "core_box"):  # a core's tool whose core is not said makes nothing we know of
        return not feature.ends
    return all(end.half is not None for end in feature.ends)


def sense_on(feature: Feature, tool: Tool) -> str:
    """What the tool has between the ends: metal (its own material), space (an opening), face (a place, not a size).

    A mould off the pattern is the pattern's other side: space where the pattern has metal. A stick is the core's
    shape: metal where the casting has space. A box is its mould: space there. A pattern is the casting's shape. A loose
    piece with a core belongs to the box; a master with a core has the form of a box when a metal box is cast from it
    (second_a is set), of a stick otherwise; a production pattern with a core is a box. At tooling scale `facing` is
    already the core's or pattern's own, so only a box and a mould are the other way round. Round features with fewer
    than two ends: the core's own body, or the pattern's, lies between.
    """
    facing = {end.which: end.facing for end in feature.ends}
    own_scale = feature.scale == "tool"
    shape = _shape(tool)
    if "A" in facing and "B" in facing:
        if facing["A"] == facing["B"]:
            return "face"
        body = facing["B"] == 1  # metal in the casting; at tooling scale the core's or pattern's own body
    elif len(feature.ends) == 1 and feature.quantity in ("position", "flatness"):
        return "face"
    else:
        body = own_scale or shape in ("pattern", "mould")
    other_way = shape in ("mould", "box" if own_scale else "stick")
    return "metal" if body != other_way else "space"


def _shape(tool: Tool) -> str:
    """Like the core (stick), like the core's mould (box), like the casting (pattern) or like the casting's mould."""
    if tool.kind == "mould":
        return "mould"
    if tool.kind in ("core_stick", "core_box"):
        return tool.kind.removeprefix("core_")
    if not tool.core_id:
        return "pattern"
    if tool.kind in ("loose_piece", "production_pattern") or (tool.kind == "master" and tool.second_a):
        return "box"
    return "stick" if tool.kind == "master" else "pattern"
