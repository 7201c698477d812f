"""Stick and box: what resin contraction their pairs show, and which of the two to change when they disagree.

box cavity = stick x (1 - r) when a box is cast off a stick, so stick = wanted cavity / (1 - r).
"""

from __future__ import annotations

from collections.abc import Sequence
from math import hypot, sqrt

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen, frozen_by_name
from inspect_tui.metrology.judge._dist import f_tail
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.words import Estimate


@frozen
class StickAndBox:
    """One size on a stick and on the box that was cast off it; mm, tooling scale, 20 degC."""

    name: str
    stick: Estimate
    box: Estimate
    target: float | None = None  # wanted cavity


@frozen_by_name
class Resin:
    """Resin contraction r (fraction of the stick) learnt from pairs.

    `u` already carries the scatter when the pairs disagree more than their readings allow (`p_same` small); `residuals`
    are box - stick (1 - r), mm; `open_by` is how much each cavity has to grow to its target (+ cut, - add).
    """

    r: float
    u: float
    n: int
    p_same: float
    residuals: tuple[tuple[str, float], ...]
    open_by: tuple[tuple[str, float], ...]
    sentence: str

    @property
    def estimate(self) -> Estimate:
        """r and its standard uncertainty, fractions of the stick."""
        return Estimate(self.r, self.u)


@frozen
class Advice:
    """Which of stick and box to change, and by how much its size (mm; + is larger).

    On a box larger is cut and smaller is add; on a stick it is the other way round.
    """

    change: str  # none, box, stick, both, measure
    box_by: float
    stick_by: float
    sentence: str


def learn_resin(pairs: Sequence[StickAndBox], prior: Estimate | None = None, style: Style = MM) -> Resin:
    """r by a line through the origin with errors in both sizes, after York; with `prior`, normal-normal combined.

    Raises DataError without pairs, with sizes not above 0 or without any uncertainty. Source: York et al. (2004), the
    case of no intercept and independent errors; scatter beyond the readings widens u by the Birge ratio.
    """
    if not pairs:
        raise DataError("resin contraction needs a stick and the box that was cast off it, both measured")
    for p in pairs:
        if p.stick.value <= 0 or p.box.value <= 0 or hypot(p.stick.u, p.box.u) <= 0:
            raise DataError(f"{p.name}: stick and box need sizes above 0 and an uncertainty")
    slope = sum(p.box.value for p in pairs) / sum(p.stick.value for p in pairs)
    for _ in range(50):
        weights = [1 / (p.box.u**2 + (slope * p.stick.u) ** 2) for p in pairs]
        # York's adjusted abscissae: each stick moved toward the line by its share of the error
        at = [
            w * (p.stick.value * p.box.u**2 + slope * p.stick.u**2 * p.box.value)
            for w, p in zip(weights, pairs, strict=True)
        ]
        new = sum(w * x * p.box.value for w, x, p in zip(weights, at, pairs, strict=True)) / sum(
            w * x * p.stick.value for w, x, p in zip(weights, at, pairs, strict=True)
        )
        if abs(new - slope) < 1e-15:
            break
        slope = new
    u = 1 / sqrt(sum(w * x * x for w, x in zip(weights, at, strict=True)))
    chi2 = sum(w * (p.box.value - slope * p.stick.value) ** 2 for w, p in zip(weights, pairs, strict=True))
    dof = len(pairs) - 1
    p_same = f_tail(chi2 / dof, dof, 1e9) if dof else 1.0
    if dof and p_same < 0.05:
        u *= sqrt(chi2 / dof)
    r = 1 - slope
    if prior is not None and prior.u > 0:
        w, w0 = 1 / u**2, 1 / prior.u**2
        r, u = (w * r + w0 * prior.value) / (w + w0), 1 / sqrt(w + w0)
    rest = tuple((p.name, p.box.value - (1 - r) * p.stick.value) for p in pairs)
    wanted = tuple((p.name, p.target - p.box.value) for p in pairs if p.target is not None)
    return Resin(
        r=r,
        u=u,
        n=len(pairs),
        p_same=p_same,
        residuals=rest,
        open_by=wanted,
        sentence=_resin_sentence(r, u, p_same, rest, wanted, style),
    )


def _resin_sentence(
    r: float,
    u: float,
    p_same: float,
    rest: Sequence[tuple[str, float]],
    wanted: Sequence[tuple[str, float]],
    style: Style,
) -> str:
    text = f"the box is {style.figure(100 * r)} ± {style.percent(2 * u, 2)} smaller than its stick"
    if p_same < 0.01:
        name, off = max(rest, key=lambda item: abs(item[1]))
        text += f", but not alike everywhere: {name} is {style.signed(off)} off that"
    elif r > 2 * u:
        text += ": resin contraction"
    elif abs(r) <= 2 * u:
        text = f"no resin contraction to be seen ({style.figure(100 * r, signed=True)} ± {style.percent(2 * u, 2)})"
    if wanted:
        parts = [
            f"{name} {'cut' if by > 0 else 'add'} {style.length(abs(by), unit=False)}"
            for name, by in wanted
            if abs(by) >= 0.005
        ]
        text += "; box: " + (", ".join(parts) if parts else "on target")
    return text


def advise(pair: StickAndBox, resin: Estimate, limit: float, name: str = "", style: Style = MM) -> Advice:
    """Which of stick and box to change so that the cavity comes to its target and the next cast-up does too.

    `limit` is how far from target a tooling size may be (mm, half the tooling band). The box makes the cores, so it
    decides what the casting will be; the stick decides the next box. When box and stick differ by more than their
    readings and the resin's uncertainty allow, one of them was changed or misread: the sentence says so. DataError
    without the wanted cavity, or for a limit below 0.
    """
    if pair.target is None:
        raise DataError(f"{pair.name}: give the wanted cavity to say which of stick and box to change")
    if limit < 0:
        raise DataError(f"{pair.name}: a limit of {style.given(limit)} is below 0")
    stick_target = pair.target / (1 - resin.value)
    box_by, stick_by = pair.target - pair.box.value, stick_target - pair.stick.value
    expected = pair.stick.value * (1 - resin.value)
    gap = pair.box.value - expected
    u_gap = hypot(pair.box.u, pair.stick.u, pair.stick.value * resin.u)
    agree = abs(gap) <= 2 * u_gap
    box_off, stick_off = abs(box_by) > limit + 1e-6, abs(stick_by) > limit + 1e-6
    head = f"{name or pair.name}: "
    cut_box = f"{'cut' if box_by > 0 else 'add'} {style.length(abs(box_by), unit=False)} in the box"
    cut_stick = f"{'add' if stick_by > 0 else 'cut'} {style.length(abs(stick_by), unit=False)} on the stick"
    off = style.signed(gap, unit=False)
    if not box_off and not stick_off:
        text = "stick and box are inside their limits"
        if not agree:
            text += f", though the box is {off} off what the stick gives"
        return Advice("none", 0.0, 0.0, head + text)
    if box_off and not stick_off:
        why = "" if agree else f" and the box is {off} off what it gives"
        return Advice("box", box_by, 0.0, f"{head}{cut_box}; the stick is right{why}")
    if stick_off and not box_off:
        text = f"{cut_stick} before another box is cast off it; the box is right, leave it"
        if agree:
            text += " (they agree within their readings: measure both again first)"
        return Advice("stick", 0.0, stick_by, head + text)
    if agree:
        text = f"the box follows its stick, both are off: {cut_box} now, and {cut_stick} before the next cast-up"
        return Advice("both", box_by, stick_by, head + text)
    text = f"box and stick are both off and {off} apart: measure both again, then {cut_box} and {cut_stick}"
    return Advice("measure", box_by, stick_by, head + text)
