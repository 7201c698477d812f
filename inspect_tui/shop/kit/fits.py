"""Fits of a kit: each print or key with its seat, as drawn and as measured on the tools that make them."""

from __future__ import annotations

from math import sqrt

from inspect_tui.frozen import frozen_by_name
from inspect_tui.metrology.kit import fits
from inspect_tui.metrology.kit.fits import FitState, FitVerdict, KitFits
from inspect_tui.metrology.kit.setting import Trouble
from inspect_tui.metrology.sizes import chain
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.kit import Fit
from inspect_tui.model.words import Band, Estimate, Id
from inspect_tui.model.work import Feature, Tool
from inspect_tui.shop.kit.facts import KitFacts, SizeState
from inspect_tui.shop.kit.tried import evidence
from inspect_tui.shop.kit.tried.evidence import Seen

U_UNMEASURED = 0.05  # mm, of a size that nobody measured and that states no limits: a judgement, no source


@frozen_by_name
class Side:
    """One side of a fit: its size as drawn, as measured, and on which tool; None where it is not stated or read."""

    feature: Feature | None
    drawn: float | None
    u_drawn: float
    measured: Estimate | None
    tool: Tool | None  # where it was read, else where it can be
    state: SizeState | None


@frozen_by_name
class FitLine:
    """One fit of the kit with its verdict."""

    fit: Fit
    inner: str  # core 4, drag, cope
    outer: str
    print: Side
    seat: Side
    verdict: FitVerdict
    changed: str | None  # a note on one of the tools that is younger than what was read there
    cut: str | None  # what the change means on the tool: "cut 0.40 on box 2"
    seen: Seen | None = None  # what was found of it when it was tried in the mould

    @property
    def name(self) -> str:
        """K6-3."""
        return self.fit.name

    @property
    def open(self) -> bool:
        """Not read on both sides yet."""
        return self.verdict.measured != "both"


def part_word(facts: KitFacts, core_id: Id | None, half: str | None) -> str:
    """core 4, drag or cope; empty when neither is said."""
    return f"core {facts.number(core_id)}" if core_id else (half or "")


def lines(
    facts: KitFacts, order: tuple[str, ...], style: Style = MM
) -> tuple[tuple[FitLine, ...], KitFits, list[Trouble]]:
    """Every fit judged, in setting order of the cores that go in; and what is wrong with the facts of a fit."""
    made: dict[int, tuple[Fit, Side, Side, Seen | None]] = {}
    fit_sizes, troubles = [], []
    for fit in facts.fits:
        print_, seat = _sides(facts, fit)
        seen = evidence.of_fit(facts, fit.of_id)
        of_fit = _fit_sizes(facts, fit, print_, seat, seen)
        made[id(of_fit)] = (fit, print_, seat, seen)
        fit_sizes.append(of_fit)
        troubles += _troubles(fit, of_fit, style)
    kit = fits.judge_kit(fit_sizes, [f"core {number}" for number in order], facts.job.rule, style)
    return tuple(_line(facts, verdict, *made[id(verdict.fit)], style) for verdict in kit.verdicts), kit, troubles


def one_line(facts: KitFacts, fit: Fit, style: Style = MM) -> FitLine:
    """One fit judged by itself, whether or not it is in the record."""
    print_, seat = _sides(facts, fit)
    seen = evidence.of_fit(facts, fit.of_id)
    verdict = fits.judge_fit(_fit_sizes(facts, fit, print_, seat, seen), facts.job.rule, style)
    return _line(facts, verdict, fit, print_, seat, seen, style)


def _line(
    facts: KitFacts, verdict: FitVerdict, fit: Fit, print_: Side, seat: Side, seen: Seen | None, style: Style
) -> FitLine:
    inner = part_word(facts, fit.inner_core_id, fit.inner_half)
    changed, words = _changed(facts, print_, seat), _cut(verdict, print_, seat, style)
    return FitLine(
        fit=fit,
        inner=inner,
        outer=verdict.fit.into,
        print=print_,
        seat=seat,
        verdict=verdict,
        changed=changed,
        cut=words,
        seen=seen,
    )


def _sides(facts: KitFacts, fit: Fit) -> tuple[Side, Side]:
    middle = (fit.clear_min_mm + fit.clear_max_mm) / 2
    if fit.gap_feature_id is not None:
        gap = _side(facts, fit.gap_feature_id, fit.outer_core_id, fit.outer_half)
        return Side(
            feature=None,
            drawn=0.0,
            u_drawn=0.0,
            measured=Estimate(0.0, 0.0) if gap.measured else None,
            tool=None,
            state=None,
        ), gap
    if fit.inner_feature_id is None and fit.outer_feature_id is None:
        spread = (fit.clear_max_mm - fit.clear_min_mm) / sqrt(12.0)
        return Side(feature=None, drawn=0.0, u_drawn=0.0, measured=None, tool=None, state=None), Side(
            feature=None, drawn=middle, u_drawn=spread, measured=None, tool=None, state=None
        )
    print_ = _side(facts, fit.inner_feature_id, fit.inner_core_id, fit.inner_half)
    seat = _side(facts, fit.outer_feature_id, fit.outer_core_id, fit.outer_half)
    # a side that has no size on the drawing is as large as the middle of the clearance makes it
    if print_.drawn is None and seat.drawn is not None:
        print_ = Side(
            feature=None, drawn=seat.drawn - middle, u_drawn=U_UNMEASURED, measured=None, tool=None, state=None
        )
    if seat.drawn is None and print_.drawn is not None:
        seat = Side(
            feature=None, drawn=print_.drawn + middle, u_drawn=U_UNMEASURED, measured=None, tool=None, state=None
        )
    return print_, seat


def _side(facts: KitFacts, feature_id: Id | None, core_id: Id | None, half: str | None) -> Side:
    root = facts.drawn.get(feature_id or b"")
    feature = facts.feature.get(root or b"")
    if root is None or feature is None:
        return Side(feature=None, drawn=None, u_drawn=U_UNMEASURED, measured=None, tool=None, state=None)
    core = facts.core_of.get(core_id or b"")
    measured, tool, state = facts.maker_size(root, core, half)
    u = U_UNMEASURED
    if feature.lower is not None and feature.upper is not None:
        u = (feature.upper - feature.lower) / 4  # limits taken as two standard uncertainties either way
    return Side(feature=feature, drawn=chain.wanted(feature), u_drawn=u, measured=measured, tool=tool, state=state)


def _fit_sizes(facts: KitFacts, fit: Fit, print_: Side, seat: Side, seen: Seen | None) -> fits.FitSizes:
    coat = sum(end.coat_mm for end in print_.feature.ends) if print_.feature else 0.0
    return fits.FitSizes(
        name=fit.name,
        core=part_word(facts, fit.inner_core_id, fit.inner_half),
        into=part_word(facts, fit.outer_core_id, fit.outer_half) or "a seat not said",
        axis=fit.axis,
        print_drawn=print_.drawn or 0.0,
        seat_drawn=seat.drawn or 0.0,
        band=Band(fit.clear_min_mm, fit.clear_max_mm, fit.band_source),
        kind=fit.kind,
        u_print_drawn=print_.u_drawn,
        u_seat_drawn=seat.u_drawn,
        print_measured=print_.measured,
        seat_measured=seat.measured,
        coat_mm=coat,
        gap=seen.size if seen is not None else None,
        gap_from=seen.trial.name if seen is not None else "",
        gap_alone=seen is not None and _tried_after(facts, seen, print_, seat),
    )


def _troubles(fit: Fit, sizes: fits.FitSizes, style: Style) -> list[Trouble]:
    drawn = fits.clearance(sizes, measured=False).value
    troubles = []
    if drawn <= 0 and fit.gap_feature_id is None:
        word = "smaller than" if drawn < -1e-9 else "no larger than"
        text = (
            f"{fit.name}: as drawn the seat ({style.given(sizes.seat_drawn, unit=False)}) is {word} the print "
            f"({style.given(sizes.print_drawn, unit=False)}): a clearance of {style.length(drawn)}; "
            "change one of the two sizes"
        )
        troubles.append(Trouble("clearance", (sizes.core.removeprefix("core "),), text, fit.name))
    return troubles


def _changed(facts: KitFacts, *sides: Side) -> str | None:
    for side in sides:
        if side.tool is not None and side.state is not None:
            text = facts.changed_since(side.tool, side.state)
            if text:
                return f"{side.tool.label} was noted since: {text}"
    return None


def _tried_after(facts: KitFacts, seen: Seen, *sides: Side) -> bool:
    """Whether a side was changed since it was read, on a tool that the trial was of: it was tried as it is now."""
    there = seen.trial.tools | {tool.of_id for half in ("drag", "cope") for tool in facts.half_tools(half)}
    changed = [s.tool for s in sides if s.tool and s.state and facts.changed_since(s.tool, s.state)]
    return bool(changed) and all(tool.of_id in there for tool in changed)


def _cut(verdict: FitVerdict, print_: Side, seat: Side, style: Style) -> str | None:
    """The change in words of the tool that makes the part."""
    change = verdict.change
    if change is None or verdict.state in (FitState.UNDECIDED, FitState.AS_DRAWN):
        return None
    side = print_ if change.part == "print" else seat
    if side.tool is None:
        return None
    words = fits.tool_words(change.part, side.tool.kind, change.by_mm, style)
    return f"{words} on {side.tool.label}" if words else None
