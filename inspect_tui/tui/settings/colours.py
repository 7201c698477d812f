"""Colours of words out of the variables of a theme, each with enough contrast on whatever it stands on.

Verdicts are words first and colours second; a text says red, green, yellow or dim, and here stands what that is in each
theme. Contrast is that of WCAG 2.2 (success criterion 1.4.3): 4.5 to 1 for text.
"""

from __future__ import annotations

from rich.terminal_theme import TerminalTheme
from textual.color import BLACK, WHITE, Color
from textual.theme import Theme

ENOUGH = 4.5
# the library's themes in which even dimmed words are read; the last two are the terminal's own colours
SHIPPED = (
    "textual-dark",
    "textual-light",
    "gruvbox",
    "dracula",
    "monokai",
    "flexoki",
    "rose-pine",
    "rose-pine-moon",
    "ansi-dark",
    "ansi-light",
)
GROUNDS = ("background", "surface", "panel")  # what our words stand on
# the colours that texts name, in the order of terminals -> the variable of the theme
NAMED = {
    "black": "foreground",  # nobody writes in the colour of the ground
    "red": "text-error",
    "green": "text-success",
    "yellow": "text-warning",
    "blue": "text-primary",
    "magenta": "text-accent",
    "cyan": "text-secondary",
    "white": "foreground",
}


def luminance(colour: Color) -> float:
    """Relative luminance, 0 to 1 (WCAG 2.2)."""
    r, g, b = (u / 12.92 if u <= 0.04045 else ((u + 0.055) / 1.055) ** 2.4 for u in colour.normalized)
    return 0.2126 * r + 0.7152 * g + 0.0722 * b


def contrast(one_: Color, other: Color) -> float:
    """Contrast ratio of two colours, 1 to 21 (WCAG 2.2)."""
    low, high = sorted((luminance(one_), luminance(other)))
    return (high + 0.05) / (low + 0.05)


def readable(colour: Color, grounds: tuple[Color, ...]) -> Color:
    """The colour, moved towards black or white as far as it takes to be read on each of the grounds."""
    towards = max((BLACK, WHITE), key=lambda end: min(contrast(end, ground) for ground in grounds))
    for part in range(21):
        moved = colour.blend(towards, part / 20)
        if min(contrast(moved, ground) for ground in grounds) >= ENOUGH:
            return moved
    return towards


_made: dict[str, dict[str, Color]] = {}
_terminals: dict[str, TerminalTheme] = {}


def of_theme(theme: Theme) -> dict[str, Color]:
    """What the named colours are in a theme, with its grounds and its foreground."""
    if theme.name in _made:
        return _made[theme.name]
    variables = theme.to_color_system().generate()
    grounds = {name: Color.parse(variables[name]) for name in GROUNDS}
    made = {name: readable(Color.parse(variables[of]), tuple(grounds.values())) for name, of in NAMED.items()}
    _made[theme.name] = {**made, **grounds, "foreground": Color.parse(variables["foreground"])}
    return _made[theme.name]


def terminal(theme: Theme) -> TerminalTheme:
    """The named colours of a theme, as the library puts them in place of a terminal's; asked for with every line."""
    if theme.name not in _terminals:
        colours = of_theme(theme)
        eight = [colours[name].rgb for name in NAMED]
        ground, ink = colours["background"].rgb, colours["foreground"].rgb
        _terminals[theme.name] = TerminalTheme(ground, ink, eight, eight)
    return _terminals[theme.name]
