"""A known bias taken back: it never was, or was entered wrong. It stays in the record and corrects no reading any more.

What takes its place says nothing of the gauge and carries why; a bias of another size is recorded beside it anew.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from inspect_tui.errors import NotFound
from inspect_tui.metrology.typed.fields import Wrong
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.gauges import InstrumentBias
from inspect_tui.model.measuring import Instrument
from inspect_tui.record.read import Reader
from inspect_tui.shop.gauges.instruments import amount

FIELDS = (("why", "why: such as it was read with the wrong block"),)
MOST = 400  # characters


def in_force(biases: Sequence[InstrumentBias]) -> list[InstrumentBias]:
    """Those that correct readings, by the day they began."""
    return [bias for bias in biases if bias.bias_mm]


def said(instrument: Instrument, bias: InstrumentBias, style: Style = MM) -> str:
    """reads 0.05 mm high, 2026-01-01 to now; or that it was taken back."""
    days = f"{bias.from_on} to {bias.to_on or 'now'}"
    if not bias.bias_mm:
        return f"none, {days}: taken back"
    return f"reads {amount(instrument, abs(bias.bias_mm), style)} {'high' if bias.bias_mm > 0 else 'low'}, {days}"


def pick(record: Reader, instrument: Instrument, since: str | None, style: Style = MM) -> InstrumentBias:
    """The bias on record that began on `since` (ISO date); without a day the only one.

    Errors: NotFound where there is none, or where it has to be said which.
    """
    known = in_force(record.biases(instrument.of_id))
    if not known:
        raise NotFound(f"No bias of {instrument.label} is on record.")
    fits = [bias for bias in known if since in (None, bias.from_on)]
    if len(fits) == 1:
        return fits[0]
    listed = "; ".join(said(instrument, bias, style) for bias in known)
    if not fits:
        raise NotFound(f"No bias of {instrument.label} began on {since}. On record: {listed}.")
    if since is not None:  # entered twice for the same day: the one that came to light last holds
        return fits[-1]
    raise NotFound(f"{instrument.label} has {len(known)} biases on record; say by its first day which: {listed}.")


def taking_back(bias: InstrumentBias, values: Mapping[str, str]) -> InstrumentBias | Wrong:
    """What takes the place of a bias, from what was typed; or what is wrong with it."""
    why = (values.get("why") or "").strip()
    if not why:
        return Wrong("why: say in a few words why it does not hold.")
    if len(why) > MOST:
        return Wrong(f"why: {len(why)} characters; at most {MOST} fit.")
    return InstrumentBias(
        instrument_of_id=bias.instrument_of_id,
        from_on=bias.from_on,
        to_on=bias.to_on,
        bias_mm=0.0,
        u_mm=0.0,
        why=why,
        found_from="taken back",
        instead_of_id=bias.id,
    )


def after(instrument: Instrument, bias: InstrumentBias, style: Style = MM) -> str:
    """What follows from taking it back."""
    off = amount(instrument, abs(bias.bias_mm), style)
    days = f"{bias.from_on} to {bias.to_on or 'now'}"
    return (
        f"Taken back: {instrument.label} {off} {'high' if bias.bias_mm > 0 else 'low'}, {days}. "
        "What was read in those days counts as it was read."
    )
