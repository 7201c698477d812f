"""Fits: a core's print or key against the seat that takes it, at tooling scale, as drawn and as measured.

Sand does not contract as the casting does, so a clearance is a difference of two tool sizes and is never scaled.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from enum import StrEnum
from math import hypot, prod

from inspect_tui.errors import TableError
from inspect_tui.frozen import frozen, frozen_by_name, replace
from inspect_tui.metrology.judge import in_mould
from inspect_tui.metrology.judge.verdict import Answer, below, judge
from inspect_tui.metrology.sizes import tables
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.words import Band, Estimate

FIT_KINDS = ("print", "key", "cope print")


@frozen_by_name
class FitSizes:
    """A print or key (`core`) and the seat that takes it (`into`), along one axis; tooling scale, mm.

    `u_*_drawn` is how far a tool is believed to be from its drawn size before it is measured. `coat_mm` is the
    wash on the print, both faces together: it takes room in the seat. `band` holds for the total clearance, as does
    `gap`, which was taken between the two when they were tried in the mould (`gap_from` says when); it holds alone
    where a tool was changed between its reading and the trial.
    """

    name: str
    core: str
    into: str
    axis: str
    print_drawn: float
    seat_drawn: float
    band: Band
    kind: str = "print"
    u_print_drawn: float = 0.0
    u_seat_drawn: float = 0.0
    print_measured: Estimate | None = None
    seat_measured: Estimate | None = None
    coat_mm: float = 0.0
    gap: Estimate | None = None
    gap_from: str = ""
    gap_alone: bool = False


@frozen
class FitChange:
    """What would bring a fit to its middle: which part, by how much its size changes (mm, + is larger)."""

    part: str  # print, seat
    by_mm: float
    why: str


class FitState(StrEnum):
    """How a core goes into its seat."""

    DOES_NOT_GO = "does not go"
    RUBS = "rubs"
    FITS = "fits"
    FLOATS = "floats"
    UNDECIDED = "undecided"
    AS_DRAWN = "as drawn"  # nobody read it on either side, and as drawn nothing is wrong with it


@frozen_by_name
class FitVerdict:
    """The answer for one fit. Probabilities are of the clearance as it is known, normal about `clearance`."""

    fit: FitSizes
    drawn: Estimate
    clearance: Estimate
    measured: str  # both, print, seat, none
    answer: Answer
    state: FitState
    p_clash: float  # below zero: the core does not go in
    p_rubs: float  # below the band
    p_floats: float  # above the band
    change: FitChange | None
    sentence: str


@frozen_by_name
class KitFits:
    """All fits of a kit together, in setting order."""

    answer: Answer
    verdicts: tuple[FitVerdict, ...]
    first_clash: FitVerdict | None
    slackest: FitVerdict | None
    p_all: float  # every clearance inside its band, fits taken as independent
    sentence: str


def clearance_band(size_mm: float, kind: str = "print") -> Band:
    """Total clearance (mm, both sides together) by practice for a print or key of this size.

    A size above the last range of a key or cope print takes the row of a print. Raises TableError for a size not above
    0 or an unknown kind. Source: the shipped table of clearances; every row is common practice with no standard behind.
    """
    if kind not in FIT_KINDS:
        raise TableError(f"no clearance by practice for a {kind}: it is one of {', '.join(FIT_KINDS)}")
    if not size_mm > 0:
        raise TableError(f"no clearance for a {kind} of {MM.given(size_mm)}: give its size, above 0")
    row = tables.lookup("clearances", size_mm, kind=kind) or tables.lookup("clearances", size_mm, kind="print")
    if row is None:
        raise TableError(f"the table of practice has no clearance for a {kind} of {MM.given(size_mm)}")
    lo, hi = float(row["lo"]), float(row["hi"])
    per_side = MM.pair(lo, hi, None, unit=False)
    source = f"{row['status']}, {row['source']}: {per_side} per side, {row['moulding']} moulding"
    return Band(2 * lo, 2 * hi, source)


def clearance(fit: FitSizes, measured: bool = True) -> Estimate:
    """Seat minus print minus wash, mm at tooling scale; a part not measured counts as drawn. Never contracted.

    A gap that was taken in a trial is one more reading of it, weighted by its uncertainty.
    """
    print_ = fit.print_measured if measured else None
    seat = fit.seat_measured if measured else None
    print_ = print_ or Estimate(fit.print_drawn, fit.u_print_drawn)
    seat = seat or Estimate(fit.seat_drawn, fit.u_seat_drawn)
    by_sizes = Estimate(seat.value - print_.value - fit.coat_mm, hypot(seat.u, print_.u))
    if not measured or fit.gap is None:
        return by_sizes
    return fit.gap if fit.gap_alone else in_mould.together(by_sizes, fit.gap).value


def apart(fit: FitSizes) -> float:
    """Combined standard uncertainties between the sizes as measured and the gap of the trial, a bare number; else 0."""
    return (
        0.0 if fit.gap is None or fit.gap_alone else in_mould.together(clearance(replace(fit, gap=None)), fit.gap).apart
    )


def judge_fit(fit: FitSizes, rule: str = "proof95", style: Style = MM) -> FitVerdict:
    """Does this print go into its seat: neither rubbing nor floating, with what to change when it does not."""
    drawn, now = clearance(fit, measured=False), clearance(fit)
    measured = {(True, True): "both", (True, False): "print", (False, True): "seat", (False, False): "none"}[
        (fit.print_measured is not None, fit.seat_measured is not None)
    ]
    if fit.gap is not None:
        measured = "both"  # what lies between the two was read
    p_clash, p_rubs = below(now, 0.0), below(now, fit.band.lower)
    p_floats = 0.0 if fit.band.upper is None else 1.0 - below(now, fit.band.upper)
    if now.u <= 0 and fit.band.upper is not None and now.value <= fit.band.upper + 1e-6:
        p_floats = 0.0  # a value on the limit is inside
    answer = judge(now.value, now.u, fit.band, rule).answer
    state = _state(now, fit.band, answer)
    if measured == "none" and answer is not Answer.DOES_NOT_CONFORM:
        answer, state = Answer.UNDECIDED, FitState.AS_DRAWN
    change = None if answer is Answer.CONFORMS else _change(fit, now, style)
    verdict = FitVerdict(
        fit=fit,
        drawn=drawn,
        clearance=now,
        measured=measured,
        answer=answer,
        state=state,
        p_clash=p_clash,
        p_rubs=p_rubs,
        p_floats=p_floats,
        change=change,
        sentence="",
    )
    return _with_sentence(verdict, style)


def _state(now: Estimate, band: Band, answer: Answer) -> FitState:
    if answer is Answer.CONFORMS:
        return FitState.FITS
    if answer in (Answer.UNDECIDED, Answer.NO_LIMITS):
        return FitState.UNDECIDED
    if now.value < 0:
        return FitState.DOES_NOT_GO
    return FitState.RUBS if band.lower is not None and now.value < band.lower else FitState.FLOATS


def _change(fit: FitSizes, now: Estimate, style: Style) -> FitChange | None:
    """Change the part that left its drawn size; when neither did, the seat, because the seat carries the clearance."""
    drawn = clearance(fit, measured=False).value
    lower, upper = fit.band.lower, fit.band.upper
    target = drawn
    if lower is not None and upper is not None and not lower <= drawn <= upper:
        target = (lower + upper) / 2
    wanted = target - now.value  # more clearance wanted: a larger seat or a smaller print
    off_seat = fit.seat_measured.value - fit.seat_drawn if fit.seat_measured else 0.0
    off_print = fit.print_measured.value - fit.print_drawn if fit.print_measured else 0.0
    # only a departure in the harmful direction can be the reason
    harm_seat, harm_print = -off_seat * _sign(wanted), off_print * _sign(wanted)
    if abs(wanted) < 1e-9:
        return None
    if harm_print > max(harm_seat, 0.0):
        return FitChange("print", -wanted, f"the print is {_amount(off_print, style)} {_more(off_print)} than drawn")
    if harm_seat > 0.0:
        return FitChange("seat", wanted, f"the seat is {_amount(off_seat, style)} {_more(off_seat)} than drawn")
    return FitChange("seat", wanted, "both are as drawn: the seat carries the clearance")


def _sign(x: float) -> int:
    return (x > 0) - (x < 0)


def _amount(mm: float, style: Style) -> str:
    return style.length(abs(mm), unit=False)


def _more(x: float) -> str:
    return "larger" if x > 0 else "smaller"


def _with_sentence(v: FitVerdict, style: Style) -> FitVerdict:
    fit, c, lower, upper = v.fit, v.clearance, v.fit.band.lower, v.fit.band.upper
    low, high = (style.length(limit, unit=False) or "any" for limit in (lower, upper))
    head = f"{fit.name}, {fit.core} in {fit.into}, {fit.axis}: clearance {style.length(c.value)} ({low} to {high})"
    if v.measured == "none":
        head += " as drawn"
    elif fit.gap is not None:
        head += f", {style.length(fit.gap.value)} in the {fit.gap_from}"
    elif v.measured != "both":
        head += f", only the {v.measured} measured"
    if v.state == FitState.DOES_NOT_GO:
        text = f"{head}: does not go, the print is {style.length(-c.value, unit=False)} larger than its seat"
    elif v.state == FitState.RUBS:
        text = f"{head}: rubs, {style.length((lower or 0.0) - c.value, unit=False)} under the least clearance"
    elif v.state == FitState.FLOATS:
        text = f"{head}: too slack, {style.length(c.value - (upper or 0.0), unit=False)} over the most"
    elif v.state == FitState.AS_DRAWN:
        text = f"{head}, not read"
    elif v.state == FitState.UNDECIDED:
        text = f"{head}: undecided (rubs {style.percent(v.p_rubs)}, floats {style.percent(v.p_floats)})"
    else:
        text = f"{head}: fits"
    if v.change is not None and v.state not in (FitState.UNDECIDED, FitState.AS_DRAWN):
        by = _amount(v.change.by_mm, style)
        text += f"; make the {v.change.part} {by} {_more(v.change.by_mm)}: {v.change.why}"
    return replace(v, sentence=text)


def tool_words(part: str, tool_kind: str, by_mm: float, style: Style = MM) -> str:
    """What a larger (+) or smaller (-) print or seat means on the tool: "cut 0.40" or "add 0.40"; "" for no change.

    A seat in the mould is the impression of the print on the pattern, a seat in a core the impression of a
    projection in its box: both grow when material is added. A stick is the core itself: cutting its seat opens it.
    """
    if abs(by_mm) < 0.005:
        return ""
    direct = tool_kind == "core_stick"  # the tool has the core's own shape
    cut = (part == "seat") == direct if by_mm > 0 else (part == "seat") != direct
    return f"{'cut' if cut else 'add'} {_amount(by_mm, style)}"


def judge_kit(fits: Iterable[FitSizes], order: Sequence[str] = (), rule: str = "proof95", style: Style = MM) -> KitFits:
    """Judge all fits; the first clash is the first one in setting order that does not go or rubs."""
    place = {core: i for i, core in enumerate(order)}
    verdicts = tuple(
        sorted((judge_fit(fit, rule, style) for fit in fits), key=lambda v: place.get(v.fit.core, len(place)))
    )
    clash = next((v for v in verdicts if v.state in (FitState.DOES_NOT_GO, FitState.RUBS)), None)
    over = [v for v in verdicts if v.fit.band.upper is not None]
    slackest = max(over, key=lambda v: v.clearance.value - (v.fit.band.upper or 0.0), default=None)
    p_all = prod(max(0.0, 1.0 - v.p_rubs - v.p_floats) for v in verdicts)
    answers = {v.answer for v in verdicts}
    if Answer.DOES_NOT_CONFORM in answers:
        answer = Answer.DOES_NOT_CONFORM
    elif Answer.UNDECIDED in answers or not verdicts:
        answer = Answer.UNDECIDED
    else:
        answer = Answer.CONFORMS
    return KitFits(
        answer=answer,
        verdicts=verdicts,
        first_clash=clash,
        slackest=slackest,
        p_all=p_all,
        sentence=_kit_sentence(answer, verdicts, clash, slackest),
    )


def _kit_sentence(
    answer: Answer, verdicts: Sequence[FitVerdict], clash: FitVerdict | None, slackest: FitVerdict | None
) -> str:
    if not verdicts:
        return "no fits are written down: nothing can be said about how the kit goes together"
    if clash is not None and clash.state == FitState.DOES_NOT_GO:
        return f"the kit does not assemble: {clash.sentence}"
    if answer is Answer.DOES_NOT_CONFORM:
        worst = clash or slackest
        return f"a fit is out of its limits: {worst.sentence}" if worst else "a fit is out of its limits"
    unread = sum(v.state is FitState.AS_DRAWN for v in verdicts)
    unknown = sum(v.answer is Answer.UNDECIDED for v in verdicts) - unread
    if unread and not unknown:
        return f"{unread} of {len(verdicts)} fits are as drawn, nobody read them"
    if unknown:
        return f"{unknown} of {len(verdicts)} fits are undecided: measure them"
    return f"all {len(verdicts)} fits are inside their limits"
