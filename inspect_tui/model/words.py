"""The words and small values that every other part of the model uses: ids, choices, an estimate, a band."""

from __future__ import annotations

from inspect_tui.errors import LimitsError
from inspect_tui.frozen import NamedTuple, frozen

Id = bytes
NO_ID: Id = b""

# What a feature measures. All but the last four are lengths in mm.
LENGTH_QUANTITIES = (
    "length",
    "width",
    "diameter",
    "radius",
    "depth",
    "wall",
    "step",
    "position",
    "flatness",
)
QUANTITIES = (*LENGTH_QUANTITIES, "angle", "temperature", "attribute")
AXES = ("x", "y", "z", "oblique", "none")
HALVES = ("cope", "drag")
SCALES = ("cast", "tool", "layout")
TOOL_KINDS = (
    "pattern_cope",
    "pattern_drag",
    "core_stick",
    "core_box",
    "loose_piece",
    "master",
    "production_pattern",
    "gauge_template",
    "mould",
    "other",
)
STEP_KINDS = (
    "stock",
    "draft",
    "contraction",
    "coat",
    "resin",
    "second_contraction",
    "correction",
)
RULES = ("proof95", "full_u", "plain")
SENSES = ("metal", "space", "face")
PERSON_ROLES = ("maker", "inspector", "lead", "foundry", "guest")
INSTRUMENT_KINDS = (
    "caliper",
    "height_gauge",
    "depth",
    "micrometer",
    "tape",
    "rule",
    "contraction_rule",
    "ultrasonic",
    "template",
    "arm",
    "thermometer",
    "other",
)
SUPERSEDE_REASONS = (
    "misread",
    "wrong_feature",
    "wrong_item",
    "wrong_unit",
    "wrong_instrument",
    "zero_shift",
    "duplicate",
    "test",
    "other",
)
STATES_OF_WORK = ("raw", "finished")  # of a casting when it is measured
SLIPS = ("none", "asked_kept", "asked_retyped")
STUDY_DESIGNS = ("crossed", "bias", "linearity", "stability")
FIT_KINDS = ("print", "key", "joint", "pattern")
FIT_AXES = ("x", "y", "z", "round")
WAYS_IN = ("x-", "x+", "y-", "y+", "z-", "z+")
PICTURE_MEDIA = ("image/jpeg", "image/png")

LIMIT_SLACK_MM = 1e-6  # a value equal to a limit is inside; this absorbs binary rounding


class Estimate(NamedTuple):
    """A value and its standard uncertainty, both in the same unit."""

    value: float
    u: float


@frozen
class Band:
    """Limits in mm (or degrees) and where they came from; None is no limit on that side."""

    lower: float | None
    upper: float | None
    source: str

    def __post_init__(self) -> None:
        if self.lower is not None and self.upper is not None and self.lower > self.upper:
            raise LimitsError(f"the limits contradict each other: lower {self.lower:g} is above upper {self.upper:g}")

    @property
    def width(self) -> float | None:
        """Upper minus lower, None when a side is open."""
        return None if self.lower is None or self.upper is None else self.upper - self.lower
