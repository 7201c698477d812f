"""A form in inches: bare figures are inches, what nobody touched is read as it was."""

from __future__ import annotations

import asyncio

import pytest

from inspect_tui.metrology.sizes.tolerance_text import parse_band
from inspect_tui.metrology.typed import fields, form_units
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.words import Band
from inspect_tui.shop.common import parting
from inspect_tui.shop.settings import write
from inspect_tui.tui import forms
from inspect_tui.tui.app import InspectApp
from inspect_tui.tui.forms import Field, Form
from tests.conftest import SmallShop
from tests.tui.hands import settled


@pytest.mark.parametrize(
    ("typed", "read"),
    [
        ("2.44", "2.44 in"),
        ("2 7/16", "2 7/16 in"),
        ("0.012 0.028", "0.012 in 0.028 in"),
        ("±0.03", "±0.03 in"),
        ("+0.02/-0.01", "+0.02 in/-0.01 in"),
        ("1 ? 3", "1 in ? 3 in"),
        ("62 mm", "62 mm"),
        ("DCTG 9", "DCTG 9"),
        ("", ""),
    ],
)
def test_a_bare_figure_gets_its_unit(typed: str, read: str) -> None:
    assert form_units.meant(typed) == read


def test_what_is_meant_is_read_by_the_readers_of_forms() -> None:
    assert fields.sizes(form_units.meant("0.5 1"), 2) == pytest.approx((12.7, 25.4))
    assert fields.size(form_units.meant("2 7/16")) == pytest.approx(61.9125)  # 2.4375 in of 25.4 mm
    band = parse_band(form_units.meant("+0.02/-0.01"), 59.0)
    assert isinstance(band, Band) and (band.upper, band.lower) == (pytest.approx(59.508), pytest.approx(58.746))


def test_places_of_bodies_and_of_the_parting_are_lengths_too() -> None:
    assert form_units.is_length("boxes", "", {}) and form_units.is_length("steps", "", {})
    typed = form_units.meant("0 20 0 4 -1 2")
    assert fields.sizes(typed, 6, signed=True) == pytest.approx((0, 508, 0, 101.6, -25.4, 50.8))
    for words, shown in (
        ("x 0 to 508 at z 50.8; x 508 to 635 at z 25.4", "x 0 to 20 at z 2; x 20 to 25 at z 1"),
        ("at y 254", "at y 10"),
    ):
        assert form_units.shown(words) == shown
        assert parting.parse(form_units.meant(shown)).words == words
    flat = parting.parse("0 508 50.8; 508 635 25.4")
    assert flat.said(Style(unit="in")) == "x 0 to 20 at z 2 in; x 20 to 25 at z 1 in"
    assert flat.said(MM) == "x 0 to 508 at z 50.8 mm; x 508 to 635 at z 25.4 mm"


def test_mm_stand_there_in_inches() -> None:
    assert form_units.shown("25.4 0") == "1 0" and form_units.shown("±0.8") == "±0.0315"
    assert (
        form_units.shown("DCTG 9") == "DCTG 9" and form_units.shown("2 7/16") == "2 7/16" and form_units.shown("") == ""
    )


def test_angles_and_weights_are_no_lengths() -> None:
    assert form_units.is_length("drawing size", "", {"quantity": "width"})
    assert not form_units.is_length("drawing size", "", {"quantity": "angle"})
    assert not form_units.is_length("U", "of it in kg", {}) and not form_units.is_length("name", "", {})


def test_a_form_is_typed_and_shown_in_inches(shop: SmallShop) -> None:
    write.put("show.style", "inch")
    got: list[dict[str, object]] = []
    lines = [
        Field("n", "drawing size: mm", "59", fields.size),
        Field("s", "stock A B: each", "1.5 3"),
        Field("note", "note: x", "7"),
    ]

    async def script() -> None:
        app = InspectApp(shop.record, shop.bench())
        async with app.run_test(size=(80, 24)) as pilot:
            await settled(pilot)
            forms.ask(app.screen, "Sizes", lines, then=got.append)
            await settled(pilot)
            form = app.screen
            assert isinstance(form, Form)
            shown = [form._input(field.key).value for field in form.fields]
            assert shown == ["2.32283", "0.05906 0.11811", "7"]
            form._input("s").value = "0.125 0"
            await pilot.press("ctrl+s")
            await settled(pilot)

    asyncio.run(script())
    assert got == [{"n": 59.0, "s": "0.125 in 0 in", "note": "7"}]  # untouched: as it was, to the last digit
