"""How warm and how moist the work is: read from a form, and the gauge's temperature alone is refused."""

from __future__ import annotations

from typing import Any

import pytest

from inspect_tui.errors import DataError
from inspect_tui.metrology.typed.fields import Wrong
from inspect_tui.tui import conditions, forms
from tests.conftest import SmallShop


def test_what_is_known_stands_in_the_fields_and_what_is_typed_is_read() -> None:
    work, gauge = conditions.temperatures("temperature: of the work", 24.5, None)
    assert (work.key, work.name, work.first) == ("c", "temperature", "24.5")
    assert (gauge.key, gauge.name, gauge.first) == ("g", "gauge", "")
    assert conditions.temperatures("t", None, 21.0)[1].first == "21"
    for field in (work, gauge):
        assert field.read is not None
        assert field.read("21,5") == 21.5 and field.read("") is None
        assert isinstance(field.read("warm"), Wrong)


@pytest.mark.parametrize(("c", "g", "taken"), [(None, 21.0, False), (24.0, None, True), (24.0, 21.0, True)])
def test_the_gauge_alone_says_nothing(c: float | None, g: float | None, taken: bool) -> None:
    values = {"c": c, "g": g}
    answer = conditions.together(values)
    assert answer is values if taken else "how warm the work is too" in str(answer)
    assert conditions.together({"c": None, "g": None}) == {"c": None, "g": None}


def test_the_bench_is_told_and_no_wood_holds_more_than_four_tenths(
    shop: SmallShop, monkeypatch: pytest.MonkeyPatch
) -> None:
    bench, asked, done = shop.bench(), {}, []
    bench.set_conditions(24.5, 0.12, 21.0)

    def ask(place: Any, title: str, fields: list[forms.Field], **how: Any) -> None:
        asked.update(how, fields={field.key: field for field in fields})

    monkeypatch.setattr(forms, "ask", ask)
    conditions.ask_conditions(None, bench, lambda: done.append("then"))  # type: ignore[arg-type]
    assert {key: field.first for key, field in asked["fields"].items()} == {
        "c": "24.5",
        "g": "21",
        "m": "12",
        "d": "",
    }
    moisture = asked["fields"]["m"].read
    assert moisture("40") == pytest.approx(0.4) and isinstance(moisture("41"), Wrong) and moisture("") is None
    day = asked["fields"]["d"].read
    assert day("yesterday") == "2026-03-09" and isinstance(day("soon"), Wrong) and day("") is None
    asked["then"](asked["use"]({"c": 30.0, "m": 0.2, "g": 22.0, "d": "2026-03-01"}))
    assert (bench.on_date, bench.today) == ("2026-03-01", "2026-03-01")
    with pytest.raises(DataError, match="2026-04-01 is still to come"):
        asked["use"]({"c": None, "m": None, "g": None, "d": "2026-04-01"})
    assert bench.on_date == "2026-03-01"
    asked["use"]({"c": 30.0, "m": 0.2, "g": 22.0, "d": None})
    assert (bench.on_date, bench.today) == (None, bench.opened_on)
    assert (bench.work_c, bench.moisture, bench.instrument_c, done) == (30.0, 0.2, 22.0, ["then"])
