"""Slips of hand and eye: whether a reading looks like another one typed wrongly, to be asked before it is written.

The question weighs "an honest reading" against "one slip away from an honest reading". It is asked once, never
refused; what was typed is kept whatever the answer. A slip that stays inside what is expected (82.70 for 82.07 where
both pass) can't be seen in one reading; closed loops of sizes find it later.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import erfc, exp, fsum, inf, isfinite, sqrt

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen, frozen_by_name
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.metrology.typed.slip_kinds import WEIGHTS, Variant, meant_by_digits, meant_otherwise, spell, written
from inspect_tui.todo import Todo

TYPE_CHECKING = False
if TYPE_CHECKING:
    from inspect_tui.metrology.typed.slip_kinds import AsTyped

PRIOR = 0.01  # of all slips together, one in a hundred readings: common practice, no source
ODDS_NEEDED = 20.0
SPREADS_NEEDED = 4.0
REACH = 12.0  # a slip that leads to more spreads off than this explains nothing
USUAL_SCALES = (0.008, 0.010, 1 / 96, 0.0125, 5 / 384, 0.013, 0.015, 1 / 64, 0.016, 0.018, 0.020, 1 / 48)
FINEST_MM = 0.01  # step of the instrument where nobody says: a caliper's

# Honest readings that are off: (1) a tool somewhat off, a wider normal; (2) a tool off by up to two bands, flat;
# (3) anything. Set on the simulated bench (tests/metrology/test_slips.py) so that the goals are met, not measured:
# they are far below the share of tools that are really off, because a question costs one key and a slip a wrong cut.
OFF, OFF_SPREADS = 0.03, 1.6
FLAT, FLAT_BANDS, FLAT_SOFT = 2.5e-6, 2.15, 0.6
FAR, FAR_SPREADS = 1e-6, 15.0
SPREADS_IN_BAND = 4.0
# further than this from what is wanted and from what was read before a reading is asked about, though no slip is known
# that leads to it: 3.5 bands is the worst tool that was honestly logged in our own scenario (our judgement)
GROSS_BANDS = 3.6
TARGET_COUNTS, TOLERANCE_DOF = 1.0, 3.0


@frozen
class Expectation:
    """What an honest reading of a feature would be, mm: centre, spread as one standard deviation.

    `off_mm`: how far the tool itself may honestly be from the centre (None: two bands, taken as 8 spreads).
    `honest_mm`: beyond these two sizes a reading is asked about whatever explains it (None: nothing is too far).
    """

    balloon: str
    centre_mm: float
    spread_mm: float
    off_mm: float | None = None
    honest_mm: tuple[float, float] | None = None

    def __post_init__(self) -> None:
        if not isfinite(self.centre_mm) or not 0.0 < self.spread_mm < inf:
            raise DataError(f"{self.balloon}: {self.centre_mm} with spread {self.spread_mm} is nothing to expect")


@frozen_by_name
class SlipQuestion:
    """What to ask, and why: `suggested_text` can be typed instead; `odds` of a slip against an honest reading.

    For kind "gross" nothing is suggested: size and text are as typed, and no slip is known that explains them. Nor for
    kind "casting": a size of the casting, typed for its sand core.
    For kind "other feature" size and text are as typed, `balloon` names the feature they fit, and `about` the one they
    were typed for.
    """

    kind: str
    suggested_mm: float
    suggested_text: str
    sentence: str
    odds: float
    balloon: str | None = None
    reason: str = ""
    todo: Todo = Todo.KEEP_AS_TYPED
    about: str = ""


# ------------------------------------------------------------------------------ what to expect
def spread_from(band_width: float | None, u: float = 0.0, history_s: float | None = None) -> float:
    """Spread (one standard deviation, mm) of honest readings around the target.

    A quarter of the band: tools are cut until they are inside, so that nearly all lie within two spreads; the usual
    sixth would call every tool that is just out of its band a slip. `u` of the reading and `history_s`, the scatter
    seen so far, are added as a root of squares. Common practice, no source. Errors: DataError if nothing is given.
    """
    parts = ((band_width or 0.0) / SPREADS_IN_BAND, u, history_s or 0.0)
    spread = sqrt(fsum(x * x for x in parts))
    if not 0.0 < spread < inf:
        raise DataError("a spread needs a band, an uncertainty or a history that is above 0")
    return spread


def expectation_from_history(
    n: int, mean: float, s: float, target: float, band_width: float | None, *, u: float = 0.0, balloon: str = ""
) -> Expectation:
    """Expectation from `n` earlier readings of this feature on this tool (mean, standard deviation s) and the drawing.

    The target counts as one reading and the band, a quarter of it, as a standard deviation with three degrees of
    freedom (normal prior, conjugate; weights are our judgement); n = 0 is the drawing alone. A history wider than a
    third of the band is not believed: where readings scatter like that, asking is right. Without a band 1 % of the
    size stands for it, at least 1 mm (common practice, no source). Errors: DataError for figures that are not finite.
    """
    if n < 0 or not all(map(isfinite, (mean, s, target, u))) or min(s, u) < 0.0:
        raise DataError(f"a history of {n} readings, mean {mean}, s {s} around {target} cannot be used")
    width = band_width if band_width else max(1.0, 0.01 * abs(target))
    total = TARGET_COUNTS + n
    centre = (TARGET_COUNTS * target + n * mean) / total
    drawn = width / SPREADS_IN_BAND
    dof = max(0, n - 1)
    variance = (TOLERANCE_DOF * drawn * drawn + dof * s * s) / (TOLERANCE_DOF + dof)
    variance = min(variance, (width / 3.0) ** 2)
    gross = GROSS_BANDS * width + SPREADS_NEEDED * u
    honest = (min(centre, target) - gross, max(centre, target) + gross)
    return Expectation(balloon, centre, sqrt(variance + u * u), FLAT_BANDS * width / total, honest)


# ------------------------------------------------------------------------------ the question
def honest_density(z: float, off: float = FLAT_BANDS * SPREADS_IN_BAND) -> float:
    """Density of honest readings `z` spreads from the centre; `off` spreads is how far a tool may be off.

    Per spread, a standard deviation.
    """
    zz = z * z
    somewhat = OFF * min(1.0, off / (FLAT_BANDS * SPREADS_IN_BAND))
    near = exp(-0.5 * zz) + somewhat / OFF_SPREADS * exp(-0.5 * zz / OFF_SPREADS**2)
    flat = FLAT * 0.5 * erfc((abs(z) - off) / (FLAT_SOFT * 1.4142135623730951))
    far = FAR / FAR_SPREADS * 0.36755259694786135 / (1.0 + zz / (3.0 * FAR_SPREADS**2)) ** 2  # Student's t, 3 dof
    return 0.3989422804014327 * near + flat + far


@frozen
class Weighed:
    """A reading against one feature: `z` spreads from its centre, densities per spread of honest readings and slips."""

    z: float
    honest: float
    slip: float
    best: Variant | None = None
    best_weight: float = 0.0

    @property
    def fits(self) -> bool:
        """Near enough to the centre that nothing is asked about it."""
        return abs(self.z) <= SPREADS_NEEDED

    def per_mm(self, spread_mm: float) -> float:
        """How likely such a reading of this feature is, slips among them, as a density per mm."""
        return ((1.0 - PRIOR) * self.honest + PRIOR * self.slip) / spread_mm


def weigh(
    size: AsTyped,
    expected: Expectation,
    *,
    jaw_mm: float | None = None,
    rule_scale: float = 0.0,
    rule_scales: Sequence[float] = (),
    resolution_mm: float = FINEST_MM,
    style: Style = MM,
) -> Weighed:
    """How well a reading fits one feature, as it stands and one slip away; arguments as for `check`."""
    centre, spread = expected.centre_mm, expected.spread_mm
    z = (size.mm - centre) / spread
    off = _off(expected)
    if abs(z) <= SPREADS_NEEDED:
        return Weighed(z, honest_density(z, off), 0.0)
    number = written(size)
    variants = list(meant_otherwise(size, number, jaw_mm, rule_scale, rule_scales, style))
    reach = REACH * spread
    if number is not None:
        variants += meant_by_digits(size, number, centre - reach, centre + reach, resolution_mm)
    slip, best_weight = 0.0, 0.0
    best: Variant | None = None
    for variant in variants:
        distance = abs(variant.mm - centre) / spread
        if distance <= REACH:
            weight = variant.share * honest_density(distance, off)
            slip += weight
            if weight > best_weight:
                best, best_weight = variant, weight
    return Weighed(z, honest_density(z, off), slip, best, best_weight)


def _off(expected: Expectation) -> float:
    return FLAT_BANDS * SPREADS_IN_BAND if expected.off_mm is None else expected.off_mm / expected.spread_mm


def check(
    size: AsTyped,
    expected: Expectation,
    others: Sequence[Expectation] = (),
    *,
    jaw_mm: float | None = None,
    rule_scale: float = 0.0,
    rule_scales: Sequence[float] = (),
    resolution_mm: float = FINEST_MM,
    style: Style = MM,
) -> SlipQuestion | None:
    """A question if this reading is probably a slip, None to write it.

    `size` needs mm, typed and unit (a Size of the entry line). `others`: what the other features of the list would
    read. `jaw_mm`: width of the caliper's inside jaws, for inside sizes only. `rule_scale`: of the instrument, already
    in `size.mm`; `rule_scales`: rules that lie about (USUAL_SCALES), for readings with a rule only: a caliper has none.
    `resolution_mm`: step of the instrument.
    Asked when the reading is more than 4 spreads off and all slips together are more than 20 times as likely as an
    honest reading. Prior 1 % for a slip, shared out by kind and by the ways each can happen (Bayes; weights: common
    practice, no source).
    """
    centre, spread = expected.centre_mm, expected.spread_mm
    if abs(size.mm - centre) <= SPREADS_NEEDED * spread or not isfinite(size.mm):
        return None
    weighed = weigh(
        size,
        expected,
        jaw_mm=jaw_mm,
        rule_scale=rule_scale,
        rule_scales=rule_scales,
        resolution_mm=resolution_mm,
        style=style,
    )
    slip, best, best_weight = weighed.slip, weighed.best, weighed.best_weight
    row: Expectation | None = None
    share = WEIGHTS["other feature"] / max(1, len(others))
    for other in others:
        if other.balloon == expected.balloon and other.centre_mm == centre:
            continue
        distance = abs(size.mm - other.centre_mm) / other.spread_mm
        if distance <= SPREADS_NEEDED:
            weight = share * honest_density(distance) * spread / other.spread_mm
            slip += weight
            if weight > best_weight:
                row, best_weight = other, weight
    odds = PRIOR * slip / ((1.0 - PRIOR) * weighed.honest)
    if odds <= ODDS_NEEDED or (row is None and best is None):
        return None
    if row is not None:
        sentence = f"{size.typed}: is this {row.balloon} instead?"
        return SlipQuestion(
            kind="other feature",
            suggested_mm=size.mm,
            suggested_text=size.typed,
            sentence=sentence,
            odds=odds,
            balloon=row.balloon,
            todo=Todo.KEEP_ON,
            about=expected.balloon,
        )
    assert best is not None
    number = written(size)
    text = best.text or (spell(number, best.digits, best.point) if number else "")
    shown = f"{size.typed} {size.unit}" if best.kind == "inch or mm" and size.typed[-1:].isdigit() else size.typed
    return SlipQuestion(
        kind=best.kind,
        suggested_mm=best.mm,
        suggested_text=text,
        sentence=f"{shown} or {text}?",
        odds=odds,
        reason=best.reason,
    )


def gross(size: AsTyped, expected: Expectation) -> SlipQuestion | None:
    """A question where a reading lies further off than honest ones do, though no slip is known that explains it."""
    if expected.honest_mm is None or expected.honest_mm[0] <= size.mm <= expected.honest_mm[1]:
        return None
    return SlipQuestion(
        kind="gross",
        suggested_mm=size.mm,
        suggested_text=size.typed,
        sentence=f"{size.typed}: nothing like what is expected here. Is it right?",
        odds=0.0,
    )


# ------------------------------------------------------------------------------ one rule for a whole piece
@frozen
class PieceRule:
    """All sizes of a piece are off by one factor: `a` is the contraction it was made to, `u` its uncertainty.

    `rule` is the usual scale that explains it, None when no usual one does.
    """

    a: float
    u: float
    rule: float | None
    sentence: str


def rule_of_piece(
    sizes: Sequence[tuple[float, float, float]],
    a: float,
    scales: Sequence[float] = USUAL_SCALES,
    style: Style = MM,
) -> PieceRule | None:
    """Whether a whole piece was laid out with the wrong rule: (reading, target, u) in mm, targets made with `a`.

    Weighted least squares of reading = factor * target (2 sizes at least). Answers when the factor is more than 4 of
    its u away from 1 and explains the sizes: what is left is within 3 u for every one of them. None otherwise.
    Stock and coat inside a target are scaled along with it, which doesn't matter while they are small against it.
    Errors: DataError unless every u is above 0.
    """
    if len(sizes) < 2:
        return None
    if any(not (u > 0.0 and all(map(isfinite, (m, t, u)))) for m, t, u in sizes):
        raise DataError("every size of the piece needs a finite reading and target and an uncertainty above 0")
    weight = fsum((t / u) ** 2 for _, t, u in sizes)
    if weight == 0.0:
        return None
    factor = fsum(m * t / (u * u) for m, t, u in sizes) / weight
    u_factor = 1.0 / sqrt(weight)
    if abs(factor - 1.0) <= 4.0 * u_factor or any(abs(m - factor * t) > 3.0 * u for m, t, u in sizes):
        return None
    share = (1.0 + a) * factor - 1.0
    u_found = (1.0 + a) * u_factor
    near = min(scales, key=lambda s: abs(s - share), default=None)
    rule = near if near is not None and abs(near - share) <= max(3.0 * u_found, 5e-5) else None
    way = "over" if factor > 1.0 else "under"
    over = f"all {len(sizes)} sizes are {style.percent(abs(factor - 1.0), 2)} {way} target"
    which = "another rule" if rule is None else f"the {style.figures(100.0 * rule, 3)} % rule"
    asked = f"laid out with {which}?"
    return PieceRule(share, u_found, rule, f"{over}: {asked}")
