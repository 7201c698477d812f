"""What is put right about readings before they are judged: temperature, and that a casting sat tilted."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import hypot

from inspect_tui.frozen import frozen
from inspect_tui.metrology.judge import uncertainty
from inspect_tui.metrology.sizes import movement
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.first_article import Realigned
from inspect_tui.model.measuring import Instrument, Setup
from inspect_tui.model.words import Id
from inspect_tui.model.work import Feature, Item, Tool
from inspect_tui.shop.common.drawing_notes import is_angle, places_of


@frozen
class Corrected:
    """Readings as they are judged, mm; what the corrections add to the budget, and what is to be said of them."""

    values: tuple[float, ...]
    lines: tuple[uncertainty.BudgetLine, ...]
    said: tuple[str, ...]


def of(
    readings: Sequence[tuple[float, Setup]],
    feature: Feature,
    piece: Item | Tool,
    turns: Sequence[Realigned],
    instruments: Mapping[Id, Instrument],
    style: Style = MM,
) -> Corrected:
    """The readings (value and setup) of one feature on one casting or tool, at 20 degC and level."""
    warm = [_told(value, setup, feature, piece, instruments[setup.instrument_id], style) for value, setup in readings]
    values = [value for value, _, _ in warm]
    said = [words for _, _, words in warm if words]
    u_warm = max(u for _, u, _ in warm)
    lines = [uncertainty.BudgetLine(name="temperature", u=u_warm, how="correction to 20 °C")] if u_warm else []
    for turned in turns:
        place = places_of(feature).get(turned.along)
        if feature.axis != turned.axis or place is None:
            continue  # the tilt does not reach it
        arm = place - turned.pivot_mm
        values = [value - turned.slope * arm for value in values]
        lines.append(uncertainty.BudgetLine(name="re-alignment", u=abs(arm) * turned.u_slope, how=turned.why))
        said.append(f"re-aligned {style.signed(-turned.slope * arm, 3)}")
    return Corrected(tuple(values), tuple(lines), tuple(dict.fromkeys(said)))


def _told(
    value: float, setup: Setup, feature: Feature, piece: Item | Tool, instrument: Instrument, style: Style
) -> tuple[float, float, str]:
    """Value at 20 degC, the correction's uncertainty, and what was done, for one reading."""
    alpha = piece.expansion_per_c
    if setup.work_c is None or alpha is None or is_angle(feature):
        return value, 0.0, ""
    cool, lines = at_20(value, setup.work_c, alpha, instrument, setup.instrument_c, style)
    u = hypot(*(line.u for line in lines))
    if abs(cool - value) < 1e-9:
        return value, u, ""
    by = style.signed(cool - value, 3, unit=False)
    return cool, u, f"read at {style.temperature(setup.work_c)}: {by} to 20 °C"


def at_20(
    value: float,
    work_c: float,
    alpha: float,
    instrument: Instrument,
    instrument_c: float | None,
    style: Style = MM,
) -> tuple[float, tuple[uncertainty.BudgetLine, ...]]:
    """A size at 20 degC and what the correction adds to its budget.

    The instrument is taken to be as warm as the work where only the work's temperature is known (ISO 1).
    """
    steel = instrument.expansion_per_c or movement.STEEL
    cool = movement.at_20c(value, work_c, alpha, instrument_c, steel)
    if instrument_c is not None:
        both = f"work {style.figures(work_c)} and instrument {style.figures(instrument_c)} degC"
        how = f"correction to 20 degC, {both}"
        return cool.value, (uncertainty.BudgetLine(name="temperature", u=cool.u, how=how),)
    warm = uncertainty.Temperature(
        alpha_work=alpha,
        alpha_instrument=steel,
        delta_c=work_c - movement.REFERENCE_C,
        u_c=movement.TEMPERATURE_U,
        length_mm=value,
    )
    return cool.value, tuple(uncertainty.temperature_lines(warm, style))
