"""Rows, units and tilt: readings of one casting that are right but stand in the wrong row, unit or alignment.

Looked at before causes are searched: two rows that were swapped, a file in inches, heights that grow along the
casting because a datum target was ground or the casting sits tilted.

Source: own derivation; how far castings usually lie from their tools is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import log, sqrt
from statistics import median

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen, replace
from inspect_tui.metrology.faces.observed import Observed
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.words import Estimate

PROCESS_MM = 0.25  # how far castings usually lie from their tools: common practice, no source
UNITS = {"mm": 1.0, "in": 25.4, "cm": 10.0, "m": 1000.0}


@frozen
class Swap:
    """Two rows of one casting that fit each other's feature and not their own."""

    serial: str
    first: str
    second: str
    off_mm: tuple[float, float]  # as they stand
    swapped_off_mm: tuple[float, float]  # as they would be

    def said(self, style: Style = MM) -> str:
        """What makes one ask whether the two rows are swapped."""
        first, second = (style.signed(mm, unit=False) for mm in self.off_mm)
        return f"Casting {self.serial}: {self.first} is {first} off and {self.second} {second}; each fits the other."


@frozen
class CastingRow:
    """One row of a casting: what was read, what is expected there, and the spread of the expectation, mm."""

    balloon: str
    value_mm: float
    expected_mm: float
    spread_mm: float


def swapped(serial: str, rows: Sequence[CastingRow], *, process_mm: float = PROCESS_MM) -> tuple[Swap, ...]:
    """Pairs of rows of one casting that are both wrong as they stand and both right the other way round.

    Wrong is more than 5 and right less than 3 standard deviations of a casting about what is expected (`spread_mm` and
    `process_mm`). A loop that holds both rows stays closed, so this is tested by itself. Thresholds: our judgement.
    """

    def off(row: CastingRow, value: float) -> float:
        return (value - row.expected_mm) / sqrt(row.spread_mm**2 + process_mm**2)

    wrong = [row for row in rows if abs(off(row, row.value_mm)) > 5.0]
    swaps = []
    for i, a in enumerate(wrong):
        for b in wrong[i + 1 :]:
            if abs(off(a, b.value_mm)) < 3.0 and abs(off(b, a.value_mm)) < 3.0:
                stands = (a.value_mm - a.expected_mm, b.value_mm - b.expected_mm)
                swaps.append(
                    Swap(serial, a.balloon, b.balloon, stands, (b.value_mm - a.expected_mm, a.value_mm - b.expected_mm))
                )
    return tuple(swaps)


def unit_of(values: Mapping[str, float], nominals: Mapping[str, float]) -> tuple[str, float]:
    """In which unit a whole file is written, from its ratio to the nominal sizes: ("in", share of rows that agree).

    A row agrees when the value in that unit lies within 5 % or 1 mm of its nominal. Raises DataError when there are
    no rows in common; the unit is "" when no unit makes most rows agree.
    """
    rows = [(values[b], nominals[b]) for b in values if nominals.get(b)]
    if not rows:
        raise DataError("no row of the file names a known length; map its columns to the features first")
    best, share = "", 0.0
    for unit, scale in UNITS.items():
        agree = sum(abs(v * scale - n) <= max(0.05 * abs(n), 1.0) for v, n in rows) / len(rows)
        # small sizes agree with anything within 1 mm: the ratio of the large ones must say the same
        ratio = median(abs(v * scale / n) for v, n in rows)
        if agree > share and abs(log(ratio) if ratio > 0 else 9.0) < 0.10:
            best, share = unit, agree
    return (best, share) if share > 0.5 else ("", share)


@frozen
class Tilt:
    """Heights against stations on one casting: `offset` at `at_mm` and `slope` (mm per mm), both Estimates."""

    serial: str
    slope: Estimate
    offset: Estimate
    at_mm: float
    n: int

    def over(self, length_mm: float) -> Estimate:
        """The tilt as mm over a length, as it is set with a shim."""
        return Estimate(self.slope.value * length_mm, self.slope.u * length_mm)


def tilt(
    features: Sequence[Observed], serial: str, *, at_mm: float | None = None, process_mm: float = 0.12
) -> Tilt | None:
    """Straight line through the height errors of one casting over their stations (weighted least squares).

    `at_mm` is the place that stays (the other datum targets); without it the mean station. None with less than three
    stations: two points make any line. `process_mm` is the scatter of one height that is not tilt.
    """
    rows = [
        (
            o.station_mm,
            o.readings[serial].mm - o.predicted_mm,
            1.0 / (o.readings[serial].u ** 2 + o.u_predicted**2 + process_mm**2),
        )
        for o in features
        if o.station_mm is not None and serial in o.readings
    ]
    if len({x for x, _, _ in rows}) < 3:
        return None
    total = sum(w for _, _, w in rows)
    mean_x = sum(w * x for x, _, w in rows) / total
    mean_d = sum(w * d for _, d, w in rows) / total
    sxx = sum(w * (x - mean_x) ** 2 for x, _, w in rows)
    slope = sum(w * (x - mean_x) * (d - mean_d) for x, d, w in rows) / sxx
    u_slope = sqrt(1.0 / sxx)
    at = mean_x if at_mm is None else at_mm
    return Tilt(
        serial,
        Estimate(slope, u_slope),
        Estimate(mean_d + slope * (at - mean_x), sqrt(1.0 / total + (at - mean_x) ** 2 / sxx)),
        at,
        len(rows),
    )


def realigned(features: Sequence[Observed], tilt_found: Tilt) -> list[Observed]:
    """The features with the heights of that casting turned back level about `at_mm`."""
    out = []
    for o in features:
        if o.station_mm is None or tilt_found.serial not in o.readings:
            out.append(o)
            continue
        read = o.readings[tilt_found.serial]
        arm = o.station_mm - tilt_found.at_mm
        level = replace(
            read,
            mm=read.mm - tilt_found.slope.value * arm,
            text="",
            u=sqrt(read.u**2 + (tilt_found.slope.u * arm) ** 2),
        )
        out.append(replace(o, readings={**o.readings, tilt_found.serial: level}))
    return out
