"""Walls by ultrasonic gauge: how well the velocity of sound in this metal is known, and what that adds to a reading."""

from __future__ import annotations

from inspect_tui.metrology.judge import uncertainty
from inspect_tui.metrology.sizes import movement
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.measuring import Calibration, Instrument
from inspect_tui.model.work import Job
from inspect_tui.shop.common.find import Subject


def of_wall(
    job: Job,
    subject: Subject,
    instrument: Instrument,
    calibration: Calibration | None,
    wall_mm: float,
    style: Style = MM,
) -> tuple[tuple[uncertainty.BudgetLine, ...], str | None]:
    """What the velocity adds to the budget of a wall, and what is to be said; nothing for other gauges and metals.

    A gauge times an echo and shows time * velocity / 2, so a velocity that is 1 % off makes every wall 1 % wrong. It is
    known to 0.5 % where the certificate's reference names this metal: the gauge was set on a piece of it.
    """
    if instrument.kind != "ultrasonic":
        return (), None
    material = (subject.tool.material if subject.tool else subject.item.material if subject.item else None) or job.alloy
    if not material:
        return (), f"of what metal it is, is not stated: the velocity of sound is not in the U of {instrument.label}"
    known = movement.sound_velocity(material)
    set_on_it = calibration is not None and movement.names_material(calibration.reference, material)
    if set_on_it:
        how = f"{instrument.label} was set on {material}; it still varies with section and graphite"
        return (uncertainty.BudgetLine(name="sound velocity", u=abs(wall_mm) * movement.SOUND_REL_U, how=how),), None
    if known is None:
        return (), f"how fast sound runs in {material} is not known here: it is not in the U of {instrument.label}"
    share = known.u / known.value
    how = f"{material} runs at {style.figure(known.value, 0)} m/s, known to {style.percent(share, 1)} ({known.source})"
    said = (
        f"how fast sound runs in this {material} is known to {style.percent(2 * share)} only: set {instrument.label} "
        f"on a piece of it and enter that as its certificate, which names {material}"
    )
    return (uncertainty.BudgetLine(name="sound velocity", u=abs(wall_mm) * share, how=how),), said
