"""How a reading is put right before anybody computes with it: known bias of the gauge, temperature, a tilted casting.

One way for every room: the value of a size is `Correction.of(what was read)`, and a correction can say what it did.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import hypot

from inspect_tui.frozen import frozen, frozen_by_name
from inspect_tui.metrology.judge import uncertainty
from inspect_tui.metrology.sizes import movement
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.measuring import Instrument
from inspect_tui.model.work import Feature, Item, Tool
from inspect_tui.shop.common.drawing_notes import is_angle, places_of

TYPE_CHECKING = False
if TYPE_CHECKING:
    from inspect_tui.model.first_article import Realigned
    from inspect_tui.model.gauges import InstrumentBias

TINY = 1e-9  # mm: less than this is no correction


@frozen_by_name
class Correction:
    """What is put right about the readings of one setup: value = gain * (read - bias) - tilt. mm (degrees).

    `u_bias` and `u_tilt` are standard uncertainties in mm, `rel_u` that of the temperature as a share of the size.
    """

    bias: InstrumentBias | None = None
    label: str = ""  # of the instrument
    gain: float = 1.0
    rel_u: float = 0.0
    work_c: float | None = None
    instrument_c: float | None = None
    expansion: tuple[float, float] = (0.0, 0.0)  # per degC, of the work and of the instrument
    tilt_mm: float = 0.0
    u_tilt: float = 0.0
    why_tilt: str = ""
    quantity: str = "length"  # of the feature: degrees are said the same in every style

    @property
    def nothing(self) -> bool:
        """Whether a reading stands as it was read, and nothing is to be added to its budget."""
        return self.bias is None and self.work_c is None and not self.why_tilt

    def of(self, read: float) -> float:
        """The value that a reading stands for."""
        bias = self.bias.bias_mm if self.bias else 0.0
        return self.gain * (read - bias) - self.tilt_mm

    def u(self, value: float) -> float:
        """Standard uncertainty of the correction alone; shared by every reading that is put right by it."""
        return hypot(self.bias.u_mm if self.bias else 0.0, self.rel_u * abs(value), self.u_tilt)

    def lines(self, value: float, style: Style = MM) -> tuple[uncertainty.BudgetLine, ...]:
        """What it adds to the budget of a value."""
        lines: list[uncertainty.BudgetLine] = []
        if self.bias is not None and self.bias.u_mm:
            how = f"found from {self.bias.found_from}, taken off"
            lines.append(uncertainty.BudgetLine(name="known bias", u=self.bias.u_mm, how=how))
        lines += self._warmth(value, style)
        if self.why_tilt:
            lines.append(uncertainty.BudgetLine(name="re-alignment", u=self.u_tilt, how=self.why_tilt))
        return tuple(lines)

    def _warmth(self, value: float, style: Style) -> Sequence[uncertainty.BudgetLine]:
        if self.work_c is None:
            return ()
        if self.instrument_c is not None:
            both = f"work {style.figures(self.work_c)} and instrument {style.figures(self.instrument_c)} degC"
            how = f"correction to 20 degC, {both}"
            return (uncertainty.BudgetLine(name="temperature", u=self.rel_u * abs(value), how=how),)
        warm = uncertainty.Temperature(
            alpha_work=self.expansion[0],
            alpha_instrument=self.expansion[1],
            delta_c=self.work_c - movement.REFERENCE_C,
            u_c=movement.TEMPERATURE_U,
            length_mm=value,
        )
        return uncertainty.temperature_lines(warm, style)

    def said(self, read: float, style: Style = MM) -> tuple[str, ...]:
        """Why the value is not what was read, in words."""
        words = []
        if self.bias is not None:
            own = style.of(self.quantity)
            by = own.signed(-self.bias.bias_mm, 3, unit=False)
            words.append(f"{self.label} reads {by_way(self.bias, own)}: {by}")
        less = read - (self.bias.bias_mm if self.bias else 0.0)
        warm = self.gain * less - less
        if abs(warm) > TINY:
            words.append(f"read at {style.temperature(self.work_c)}: {style.signed(warm, 3, unit=False)} to 20 °C")
        if self.why_tilt:
            words.append(f"re-aligned {style.signed(-self.tilt_mm, 3)}")
        return tuple(words)


NOTHING = Correction()


def by_way(bias: InstrumentBias, style: Style = MM) -> str:
    """`0.05 high`, or low."""
    way = "high" if bias.bias_mm > 0 else "low"
    return f"{style.given(abs(bias.bias_mm), unit=False)} {way}"


@frozen
class Corrected:
    """Readings as they are judged, mm; what the corrections add to the budget, and what is to be said of them."""

    values: tuple[float, ...]
    lines: tuple[uncertainty.BudgetLine, ...]
    said: tuple[str, ...]


def correction(
    instrument: Instrument,
    bias: InstrumentBias | None,
    feature: Feature,
    piece: Item | Tool | None,
    work_c: float | None = None,
    instrument_c: float | None = None,
    turns: Sequence[Realigned] = (),
) -> Correction:
    """The correction of what `instrument` reads at these temperatures (degC), with a bias that held then.

    The instrument is taken to be as warm as the work where only the work's temperature is known (ISO 1). A bias is
    known in what the instrument reads: a length's says nothing of an angle. A casting's tilt reaches the features whose
    place along it is stated.
    """
    if not takes_bias(instrument, feature):
        bias = None
    alpha = piece.expansion_per_c if piece is not None else None
    gain, rel_u, steel = 1.0, 0.0, 0.0
    if work_c is None or alpha is None or is_angle(feature):
        work_c = instrument_c = None
    else:
        steel = instrument.expansion_per_c or movement.STEEL
        unit = movement.at_20c(1.0, work_c, alpha, instrument_c, steel)
        gain, rel_u = unit.value, unit.u / unit.value
    tilt, u_tilt, why = 0.0, 0.0, ""
    if turns and not is_angle(feature):
        places = places_of(feature)
        for turn in turns:
            place = places.get(turn.along)
            if feature.axis != turn.axis or place is None:
                continue  # the tilt does not reach it
            arm = place - turn.pivot_mm
            tilt += turn.slope * arm
            u_tilt = hypot(u_tilt, arm * turn.u_slope)
            why = turn.why
    return Correction(
        bias=bias,
        label=instrument.label,
        gain=gain,
        rel_u=rel_u,
        work_c=work_c,
        instrument_c=instrument_c,
        expansion=(alpha or 0.0, steel),
        tilt_mm=tilt,
        u_tilt=u_tilt,
        why_tilt=why,
        quantity=feature.quantity,
    )


def takes_bias(instrument: Instrument, feature: Feature) -> bool:
    """Whether a bias of the instrument says something of such a feature: one of a length nothing of an angle."""
    degrees = instrument.unit == "deg"
    return feature.quantity not in ("attribute", "temperature") and (feature.quantity == "angle") == degrees


def together(
    readings: Sequence[float], corrections: Sequence[Correction], style: Style = MM, *, full: bool = True
) -> Corrected:
    """Several readings of one feature on one piece, each put right by its own correction.

    What they share stays whole however many they are: of each kind the largest line stands. `full` False leaves the
    words out.
    """
    values = tuple(c.of(read) for read, c in zip(readings, corrections, strict=True))
    lines: dict[str, uncertainty.BudgetLine] = {}
    said: dict[str, None] = {}
    for read, value, made in zip(readings, values, corrections, strict=True):
        for line in made.lines(value, style):
            if line.name not in lines or line.u > lines[line.name].u:
                lines[line.name] = line
        if full and not made.nothing:
            said.update(dict.fromkeys(made.said(read, style)))
    return Corrected(values, tuple(lines.values()), tuple(said))
