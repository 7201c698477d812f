"""How warm and how moist the work is: asked for at the Bench, and the temperatures on First article."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from textual.app import App

from inspect_tui.metrology.typed import quantity
from inspect_tui.metrology.typed.parsed import Unreadable
from inspect_tui.shop.bench.line import Bench
from inspect_tui.tui.choosers import Form

GAUGE_C = "gauge: its own temperature in °C; empty: as warm as the work"


def temperature(typed: str) -> float | None:
    """A temperature that `wrong_temperature` has let pass; None where nothing was typed."""
    read = quantity.parse_temperature(typed) if typed else None
    return None if isinstance(read, Unreadable) else read


def wrong_temperature(work: str, gauge: str) -> str | None:
    """What is wrong with the temperatures of work and gauge as typed."""
    for typed, what in ((work, "the work"), (gauge, "the gauge")):
        if typed and isinstance(quantity.parse_temperature(typed), Unreadable):
            return f"{typed} is no temperature: type that of {what} such as 23, or leave it empty."
    return "Say how warm the work is too, or leave both empty." if gauge and not work else None


def ask_conditions(app: App[Any], bench: Bench, then: Callable[[], Any]) -> None:
    """Ask for the temperature and, of wood, the moisture of the work."""
    first_c = "" if bench.work_c is None else f"{bench.work_c:g}"
    first_g = "" if bench.instrument_c is None else f"{bench.instrument_c:g}"
    first_m = "" if bench.moisture is None else f"{100 * bench.moisture:g}"

    def wrong(values: dict[str, str]) -> str | None:
        if said := wrong_temperature(values["c"], values["g"]):
            return said
        if values["m"]:
            try:
                if not 0 <= float(values["m"].replace(",", ".").rstrip("% ")) <= 40:
                    return "Moisture of wood lies between 0 and 40 %."
            except ValueError:
                return "Type the moisture such as 9, or leave it empty."
        return None

    def use(values: dict[str, str] | None) -> None:
        if values is None:
            return
        celsius = temperature(values["c"])
        moisture = float(values["m"].replace(",", ".").rstrip("% ")) / 100 if values["m"] else None
        bench.set_conditions(celsius, moisture, temperature(values["g"]))
        then()

    fields = [
        ("c", "temperature: of the work in °C; empty is not known", first_c),
        ("g", GAUGE_C, first_g),
        ("m", "moisture: of a wooden tool in %; empty is not known", first_m),
    ]
    app.push_screen(Form("Temperature and moisture of the work", fields, wrong), use)
