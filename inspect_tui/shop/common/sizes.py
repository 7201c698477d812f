"""The sizes of one feature on one subject: drawing -> as-cast -> tool, with the band it is judged by.

A casting has two requirements where it is machined: raw as it came out of the sand, finished as the drawing wants it.
"""

from __future__ import annotations

from inspect_tui.errors import DataError, TableError
from inspect_tui.frozen import frozen_by_name, replace
from inspect_tui.metrology.sizes import chain, tolerance
from inspect_tui.metrology.typed.show import INCH, MM, Style, as_rule
from inspect_tui.model.measuring import Instrument
from inspect_tui.model.words import LIMIT_SLACK_MM, STATES_OF_WORK, Band, Estimate
from inspect_tui.model.work import ChainStep, Feature, Job, ToolFeature
from inspect_tui.shop.common.drawing_notes import is_angle
from inspect_tui.shop.common.find import Subject

RAW, FINISHED = STATES_OF_WORK
NEARER = 3.0  # so many times nearer to the casting's size than to the core's, a reading on a core is the casting's
APART_MM = 0.05  # nearer to each other the two sizes cannot be told apart
KIND_WORDS = {
    "pattern_cope": "pattern",
    "pattern_drag": "pattern",
    "core_stick": "stick",
    "core_box": "box",
    "loose_piece": "piece",
    "master": "master",
    "production_pattern": "pattern",
    "gauge_template": "template",
    "mould": "mould",
    "other": "tool",
    "sand_core": "sand core",
}


@frozen_by_name
class Sizes:
    """What a feature should measure on a subject. Lengths mm, angles degrees."""

    feature: Feature
    tool_feature: ToolFeature | None
    finished: float
    as_cast: float
    target: float  # on the subject: tool size, or the casting's in its state; within the limits of its own that it has
    drawn: float  # the same from the drawing's own size, which may lie outside its limits
    u_target: float  # standard uncertainty of the chain to the target
    band: Band  # limits on the subject
    cast_band: Band  # of the raw casting
    sense: str | None  # metal, space or face on a tool; None on a casting
    tool_kind: str | None
    state: str = RAW  # raw or finished, of a casting; what tools and sand cores make is raw

    @property
    def steps(self) -> tuple[ChainStep, ...]:
        """The chain from the drawing to the target; empty on a casting."""
        return self.tool_feature.steps if self.tool_feature else ()

    @property
    def to_middle(self) -> str:
        """What is made in place of a drawing's size that lies outside its limits; empty where it lies within."""
        if abs(self.target - self.drawn) < LIMIT_SLACK_MM:
            return ""
        both = self.band.lower is not None and self.band.upper is not None
        return "the middle of its limits" if both else "its limit"

    @property
    def contraction(self) -> float:
        """Tool / casting - 1 over the whole chain; 0 on a casting or at tooling scale."""
        return _scale(self.steps) - 1.0

    @property
    def kind_word(self) -> str:
        """stick, box, pattern ... or casting."""
        return KIND_WORDS.get(self.tool_kind, "tool") if self.tool_kind else "casting"

    @property
    def fit(self) -> str | None:
        """print or seat for sizes that only fit cores together, as the cut's words want it."""
        if self.feature.scale != "tool" or self.tool_feature is None:
            return None
        return "print" if self.sense == "metal" else "seat"

    def cast_from(self, value: float, u: float) -> Estimate | None:
        """What the casting will measure when the tool measures `value`; None where nothing is cast."""
        if self.tool_feature is None or self.feature.scale == "tool":
            return None
        return chain.back(value, u, self.steps, to="cast")


def sizes(
    job: Job, feature: Feature, subject: Subject, tool_feature: ToolFeature | None = None, state: str = RAW
) -> Sizes:
    """The sizes of `feature` on `subject`; `tool_feature` carries the steps when the subject is a tool.

    A sand core is judged at tooling scale: give it the feature of its box, or of its stick (`of_sand`). `state`: of a
    casting, raw or finished; DataError for *finished* where nothing of the size is machined, and on a tool.
    """
    if state == FINISHED:
        return _when_finished(feature, subject)
    finished, as_cast = feature.nominal, chain.as_cast(feature)
    cast_band = chain.cast_band(feature)
    sand = subject.item is not None and subject.item.kind == "core"
    if tool_feature is None or (subject.tool is None and not sand):
        return Sizes(
            feature=feature,
            tool_feature=None,
            finished=finished,
            as_cast=as_cast,
            target=chain.cast_wanted(feature),
            drawn=as_cast,
            u_target=0.0,
            band=cast_band,
            cast_band=cast_band,
            sense=None,
            tool_kind=None,
        )
    goal = chain.forward(chain.wanted(feature), tool_feature.steps)
    cast_goal = chain.cast_wanted(feature)
    if tool_feature.lower is not None or tool_feature.upper is not None:
        band = Band(tool_feature.lower, tool_feature.upper, tool_feature.band_source)
    elif feature.scale == "tool":
        band = tolerance.shifted(cast_band, goal.value - cast_goal)
    else:
        band = _class_band(job, feature, goal.value) or tolerance.tooling_band(
            cast_band, cast_goal, goal.value, _scale(tool_feature.steps) - 1.0, job.tool_share
        )
    return Sizes(
        feature=feature,
        tool_feature=tool_feature,
        finished=finished,
        as_cast=as_cast,
        target=chain.into(goal.value, band),
        drawn=chain.forward(feature.nominal, tool_feature.steps).value,
        u_target=goal.u,
        band=band,
        cast_band=cast_band,
        sense=tool_feature.sense,
        tool_kind="sand_core" if sand or subject.tool is None else subject.tool.kind,
    )


def is_datum_face(feature: Feature) -> bool:
    """Whether it stands for a face of a sample casting that places are counted from: there is nothing to read of it."""
    ends = feature.ends
    return len(ends) == 1 and ends[0].coord_mm == 0.0 and not feature.nominal_known and feature.scale == "cast"


def is_machined(feature: Feature) -> bool:
    """Whether the drawing wants a size of the casting machined: only then it has one when the casting is finished."""
    return feature.scale == "cast" and (feature.machined or chain.has_stock(feature))


def _when_finished(feature: Feature, subject: Subject) -> Sizes:
    if subject.tool is not None or (subject.item is not None and subject.item.kind == "core"):
        raise DataError(f"{subject.label} is no casting: only castings are measured finished.")
    if not is_machined(feature):
        raise DataError(
            f"{feature.balloon} is not machined: it has no stock, so its size on the casting is the raw one. "
            "Measure it raw, or say on the drawing how much stock its ends carry."
        )
    return Sizes(
        feature=feature,
        tool_feature=None,
        finished=feature.nominal,
        as_cast=chain.as_cast(feature),
        target=chain.finished_wanted(feature),
        drawn=feature.nominal,
        u_target=0.0,
        band=chain.finished_band(feature),
        cast_band=chain.cast_band(feature),
        sense=None,
        tool_kind=None,
        state=FINISHED,
    )


def of_sand(on_tool: ToolFeature, tool_kind: str) -> ToolFeature:
    """A tool's feature as it stands on the sand core: a box is the core's mould, a stick has its shape.

    What only the making of the box needs (resin, a second contraction) is taken off again.
    """
    steps = tuple(step for step in on_tool.steps if step.kind not in ("resin", "second_contraction"))
    turned = {"metal": "space", "space": "metal"}
    box = tool_kind in ("core_box", "production_pattern", "loose_piece")
    same = len(steps) == len(on_tool.steps)  # limits of a stick that is made larger for its resin are not the sand's
    return replace(
        on_tool,
        steps=steps,
        sense=turned.get(on_tool.sense, on_tool.sense) if box else on_tool.sense,
        lower=on_tool.lower if same else None,
        upper=on_tool.upper if same else None,
    )


def is_the_castings(value: float, wanted: Sizes) -> bool | None:
    """Whether a reading on a sand core (mm) is the casting's size and not the core's; None where that cannot be told.

    The casting's: much nearer to it, and further from the core's size than half of what lies between the two.
    """
    feature = wanted.feature
    between = abs(wanted.target - wanted.as_cast)
    if is_angle(feature) or not feature.nominal_known or feature.scale == "tool" or between < APART_MM:
        return None
    off_core, off_cast = abs(value - wanted.target), abs(value - wanted.as_cast)
    return off_cast * NEARER < off_core and off_core > between / 2


def _class_band(job: Job, feature: Feature, target: float) -> Band | None:
    """The band of the job's EN 12890 class, where it has one and the table knows a figure for this size."""
    if job.tool_band is None or feature.quantity in ("angle", "temperature", "attribute", "radius"):
        return None
    material = {"H": "wood", "M": "metal"}[job.tool_band[0]]
    try:
        return tolerance.en12890(target, job.tool_band, material)
    except TableError:
        return None


def _scale(steps: tuple[ChainStep, ...]) -> float:
    """Everything that scales between casting and tool: contraction, resin, second contraction."""
    return chain.scale_of(steps, ("contraction", "resin", "second_contraction"))


def unit_of(feature: Feature, shown: str = "mm") -> str:
    """The unit a feature is shown in: deg for angles, C for temperatures, else `shown`."""
    return {"angle": "deg", "temperature": "C"}.get(feature.quantity, shown)


def bare_unit(feature: Feature, instrument: Instrument | None, lengths: str = "mm") -> str:
    """The unit of a figure that is typed without one: that of who types, `lengths` (mm or in), or the instrument's."""
    if instrument is None:
        return unit_of(feature, lengths)
    own = gauge_unit(instrument, lengths)
    return unit_of(feature, own if own in ("mm", "in") else "mm")


def gauge_unit(instrument: Instrument, lengths: str = "mm") -> str:
    """The unit of a figure that is typed for an instrument without one: that of who types, where it reads mm.

    What reads in inches, and a contraction rule whatever it is divided in, read in their own.
    """
    return instrument.unit if instrument.unit != "mm" or instrument.kind == "contraction_rule" else lengths


def said_range(instrument: Instrument, style: Style = MM) -> tuple[str, str]:
    """What an instrument reads and its step, as people read lengths: 0 to 150 mm, 0.01 mm; 0 to 5.9055 in."""
    own = style if quantity_of(instrument) == "length" and style.unit != "mm" else MM
    if own is MM:  # as it was said, in its own unit
        low, high, step = (
            style.figures(figure) for figure in (instrument.range_lo, instrument.range_hi, instrument.resolution)
        )
        return f"{low} to {high} {instrument.unit}", f"{step} {instrument.unit}"
    low_mm, high_mm = range_mm(instrument)
    scale = INCH if instrument.unit == "in" else 1.0
    return own.pair(low_mm, high_mm, None), own.given(instrument.resolution * scale)


def quantity_of(instrument: Instrument) -> str:
    """What an instrument reads: length, angle or temperature."""
    return {"deg": "angle", "C": "temperature"}.get(instrument.unit, "length")


def range_mm(instrument: Instrument) -> tuple[float, float]:
    """What an instrument can read, in mm (degrees, degC): its range is kept in its own unit."""
    scale = INCH if instrument.unit == "in" else 1.0
    return instrument.range_lo * scale, instrument.range_hi * scale


def chain_words(sizes: Sizes, style: Style = MM) -> str:
    """One line: drawing 62.00 ±0.80 → cast 59.00 (stock 1.5 a side) → stick 59.59 (1.0 % in X).

    Finished, the line runs the way the work goes: cast 624.00 (stock 4) → finished 620.00 ±0.50.
    """
    feature = sizes.feature

    def show(size: float) -> str:
        return style.size(size, feature.quantity)

    limits = style.deviations(feature.nominal, feature.lower, feature.upper, feature.quantity)
    words = f"drawing {show(feature.nominal)} {limits}".rstrip()
    if feature.scale == "tool":
        return words + "  (tooling scale)"
    stocks = [end.stock_mm for end in feature.ends if end.stock_mm]
    if abs(sizes.as_cast - sizes.finished) > 1e-9 or stocks:
        each = " + ".join(style.given(stock, unit=False) for stock in stocks)
        reason = f"stock {each}" if stocks else "draft"
        if len(stocks) == 2 and stocks[0] == stocks[1]:
            reason = f"stock {style.given(stocks[0], unit=False)} a side"
        cast = f"cast {show(sizes.as_cast)} ({reason})"
        if sizes.state == FINISHED:
            return f"{cast} → finished {show(sizes.target)} {limits}".rstrip() + _to_middle(sizes)
        words += f" → {cast}{_as_cast_limits(sizes, style)}"
    elif feature.quantity != "angle":
        words += f" → cast {show(sizes.as_cast)}"
    if sizes.tool_feature is not None:
        reasons = [_step_words(step, feature, style) for step in sizes.steps if step.kind not in ("stock", "draft")]
        why = f" ({', '.join(reasons)})" if reasons else ""
        words += f" → {KIND_WORDS.get(sizes.tool_kind or '', 'tool')} {show(sizes.target)}{why}"
    return words + _to_middle(sizes)


def _to_middle(sizes: Sizes) -> str:
    return f", {sizes.to_middle}: the drawing's own size lies outside them" if sizes.to_middle else ""


def _as_cast_limits(sizes: Sizes, style: Style) -> str:
    """The limits of the raw casting, where it is a raw casting that is judged by them, and what they come from."""
    band, quantity = sizes.cast_band, sizes.feature.quantity
    if sizes.tool_feature is not None or not chain.has_stock(sizes.feature):
        return ""
    limits = style.deviations(sizes.as_cast, band.lower, band.upper, quantity)
    why = f" ({band.source})" if band.source == chain.MUST_CLEAN_UP else ""
    return f" {limits}{why}".rstrip()


def _step_words(step: ChainStep, feature: Feature, style: Style) -> str:
    if step.kind == "contraction" and step.scale is not None:
        axis = "" if feature.axis == "none" else f" in {feature.axis.upper()}"
        share = step.scale - 1.0
        tenths = abs(1000.0 * share - round(1000.0 * share)) < 1e-6  # of a percent: 1.0 %, but 1.25 %
        rule = f", {as_rule(share)}" if style.unit != "mm" and as_rule(share) else ""  # as inch shops call it
        return f"{style.percent(share, 1 if tenths else 2)}{rule}{axis}"
    if step.kind == "second_contraction" and step.scale is not None:
        return f"{style.percent(step.scale - 1, 2)} second contraction"
    if step.kind == "resin" and step.scale is not None and step.source.startswith(chain.MOULD_SETS):
        return f"mould {style.percent(step.scale - 1, 2)}"
    if step.kind == "resin" and step.scale is not None:
        return f"resin {style.percent(1 - 1 / step.scale, 2)}"
    if step.offset_mm is not None:
        return f"{step.kind} {style.signed(step.offset_mm, unit=False)}"
    return step.kind
