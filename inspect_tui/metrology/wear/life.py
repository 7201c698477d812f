"""The life of one dimension: layout, stick, box, core, casting, correction, next casting; predicted and obtained.

Source: own derivation.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import hypot

from inspect_tui.frozen import frozen
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.words import Estimate

STAGES = ("layout", "stick", "master", "box", "core", "casting", "correction")


@frozen
class Stage:
    """One station: what the ones before it predicted for it and what was measured there (mm, that thing's scale)."""

    kind: str
    label: str
    predicted: Estimate | None
    obtained: Estimate | None


@frozen
class StationStep:
    """A station with its difference obtained - predicted, that in standard uncertainties, and what it means."""

    stage: Stage
    difference: float | None
    z: float | None
    word: str  # as predicted, off, not predicted, not measured


@frozen
class Life:
    """All stations; `first_off` is where the dimension left its course, the place to look at."""

    steps: tuple[StationStep, ...]
    first_off: StationStep | None
    sentence: str


def compare(stages: Sequence[Stage], k: float = 2.0, style: Style = MM) -> Life:
    """Set every station's reading beside its prediction; off when they differ by more than `k` standard uncertainties.

    Predictions come from the chain, each from the station before it as measured, so that one slip shows once.
    """
    steps = []
    for stage in stages:
        if stage.obtained is None:
            steps.append(StationStep(stage, None, None, "not measured"))
        elif stage.predicted is None:
            steps.append(StationStep(stage, None, None, "not predicted"))
        else:
            d = stage.obtained.value - stage.predicted.value
            u = hypot(stage.obtained.u, stage.predicted.u)
            z = d / u if u > 0 else (0.0 if abs(d) < 1e-6 else float("inf") * (1 if d > 0 else -1))
            steps.append(StationStep(stage, d, z, "off" if abs(z) > k else "as predicted"))
    off = next((s for s in steps if s.word == "off"), None)
    return Life(tuple(steps), off, _sentence(steps, off, style))


def _sentence(steps: Sequence[StationStep], off: StationStep | None, style: Style) -> str:
    compared = [s for s in steps if s.difference is not None]
    if not compared:
        return "nothing to compare yet: no station has both a prediction and a reading"
    if off is None:
        return f"as predicted at all {len(compared)} stations that were measured"
    last = compared[-1]
    text = f"left its course at {off.stage.kind} {off.stage.label}: {style.signed(off.difference)} against prediction"
    if last is not off and last.word == "as predicted":
        text += f"; back on course at {last.stage.kind} {last.stage.label}"
    return text


def correction_took(wanted: float, before: Estimate, after: Estimate) -> tuple[float, float, str]:
    """Did a correction do what it was to do: share of the wanted change obtained, its standard uncertainty, a word.

    mm, one scale for all three. "as wanted" within 2 u of 1, "not enough", "too much", "wrong way", or "cannot tell"
    where the readings are too coarse for the change (u above a half).
    """
    if wanted == 0:
        return 0.0, float("inf"), "cannot tell"
    share, u = (after.value - before.value) / wanted, hypot(before.u, after.u) / abs(wanted)
    if u > 0.5:
        return share, u, "cannot tell"
    if abs(share - 1) <= 2 * u + 1e-9:
        return share, u, "as wanted"
    if share < -2 * u:
        return share, u, "wrong way"
    return share, u, "too much" if share > 1 else "not enough"
