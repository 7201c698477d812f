"""Whatever stands on the screen is read in every theme that is shipped: contrast computed as WCAG 2.2 has it."""

from __future__ import annotations

import pytest
from textual.color import Color
from textual.constants import DIM_FACTOR
from textual.theme import BUILTIN_THEMES

from inspect_tui.tui.app import InspectApp
from inspect_tui.tui.settings import colours
from tests.conftest import SmallShop

COMPUTED = [name for name in colours.SHIPPED if not BUILTIN_THEMES[name].ansi]  # the terminal's own cannot be known


@pytest.mark.parametrize(
    ("first", "second", "ratio"),
    [("#ffffff", "#000000", 21.0), ("#777777", "#ffffff", 4.48), ("#767676", "#ffffff", 4.54)],
)
def test_contrast_is_that_of_the_guideline(first: str, second: str, ratio: float) -> None:
    # WCAG 2.2, definition of contrast ratio: 21 at most; #767676 is the lightest grey that passes AA on white
    # (W3C, Understanding SC 1.4.3, from memory; #777777 fails there with 4.48)
    assert colours.contrast(Color.parse(first), Color.parse(second)) == pytest.approx(ratio, abs=0.005)


@pytest.mark.parametrize("name", COMPUTED)
def test_every_colour_is_read_on_every_ground(name: str) -> None:
    made = colours.of_theme(BUILTIN_THEMES[name])
    variables = BUILTIN_THEMES[name].to_color_system().generate()
    primary, surface = Color.parse(variables["primary"]), made["surface"]
    grounds = {**{ground: made[ground] for ground in colours.GROUNDS}}
    low = {
        f"{colour} on {ground}": ratio
        for colour in (*colours.NAMED, "foreground")
        for ground, behind in grounds.items()
        if (ratio := colours.contrast(made[colour], behind)) < colours.ENOUGH
    }
    low |= {
        f"dim on {ground}": ratio
        for ground in ("background", "surface")
        if (ratio := colours.contrast(made[ground].blend(made["foreground"], DIM_FACTOR), made[ground]))
        < colours.ENOUGH
    }
    field = surface.blend(primary, 0.3)  # where somebody types in a form
    if (ratio := colours.contrast(made["foreground"], field)) < colours.ENOUGH:
        low["a field"] = ratio
    assert low == {}


@pytest.mark.parametrize("name", COMPUTED)
def test_the_verdicts_are_told_apart(name: str) -> None:
    made = colours.of_theme(BUILTIN_THEMES[name])
    assert len({made[colour].hex for colour in ("red", "green", "yellow", "foreground")}) == 4


def test_the_program_offers_these_and_paints_with_them(shop: SmallShop) -> None:
    app = InspectApp(shop.record, None)
    assert set(app.available_themes) == set(colours.SHIPPED)
    app.theme = "textual-light"
    red = tuple(colours.of_theme(app.current_theme)["red"].rgb)
    assert tuple(app.ansi_theme.ansi_colors[1]) == red
    assert (
        app.ansi_theme is app.ansi_theme and app.available_themes is app.available_themes
    )  # asked for with every line
    app.theme = "textual-dark"
    assert tuple(app.ansi_theme.ansi_colors[1]) == tuple(colours.of_theme(app.current_theme)["red"].rgb) != red
