"""How warm and how moist the work is: asked for at the Bench, and the temperatures on First article."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from inspect_tui.metrology.typed import fields
from inspect_tui.metrology.typed.fields import Wrong
from inspect_tui.metrology.typed.show import MM
from inspect_tui.shop.bench.line import Bench
from inspect_tui.tui import forms
from inspect_tui.tui.forms import Field
from inspect_tui.tui.place import Place

GAUGE_C = "gauge: its own temperature in °C; empty: as warm as the work"
MOST_MOIST = 0.40  # green wood holds more; a pattern of it would not be measured


def temperatures(work_label: str, work_c: float | None, gauge_c: float | None) -> list[Field]:
    """The fields "c" of the work and "g" of the gauge, in degC, with what is known in them."""
    read = fields.optional(fields.temperature)
    return [
        Field("c", work_label, MM.figures(work_c), read),
        Field("g", GAUGE_C, MM.figures(gauge_c), read),
    ]


def together(values: dict[str, Any]) -> dict[str, Any] | Wrong:
    """The gauge's temperature alone says nothing."""
    if values["g"] is not None and values["c"] is None:
        return Wrong("Say how warm the work is too, or leave both empty.")
    return values


def ask_conditions(place: Place, bench: Bench, then: Callable[[], Any]) -> None:
    """Ask for the temperature and, of wood, the moisture of the work; and for the day, where it was measured before."""

    def use(values: dict[str, Any]) -> None:
        bench.set_day(values["d"], bench.opened_on)
        bench.set_conditions(values["c"], values["m"], values["g"])

    def day(text: object) -> str | Wrong:
        return fields.day(text, bench.opened_on)

    moist = "" if bench.moisture is None else MM.figures(100 * bench.moisture)
    forms.ask(
        place,
        "Temperature and moisture of the work, day of measuring",
        [
            *temperatures("temperature: of the work in °C; empty is not known", bench.work_c, bench.instrument_c),
            Field("m", "moisture: of a wooden tool in %; empty is not known", moist, fields.optional(_moisture)),
            Field("d", "day: on which it was measured; empty: today", bench.on_date or "", fields.optional(day)),
        ],
        read=together,
        use=use,
        then=lambda _: then(),
    )


def _moisture(text: object) -> float | Wrong:
    return fields.percent(text, 0.0, MOST_MOIST)
