"""Figures for people are written by `metrology/typed/show.py` alone: elsewhere a format is no figure for people."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parents[1] / "inspect_tui"
A_FIGURE = re.compile(r"[fgeE%]$")  # how a format of a float ends

# What is formatted here is no figure that a person reads as a size, a share or a count.
NO_FIGURES_FOR_PEOPLE = {
    "commands/log.py": "the line that a program reads back",
    "demo/__main__.py": "megabytes",
    "demo/sheets.py": "readings as they were typed at the bench",
    "metrology/sizes/tolerance_text.py": "a text put into decimals before it is read",
    "metrology/typed/fields.py": "a figure put into another unit before it is read",
    "metrology/typed/show.py": "the writer itself",
    "metrology/wear/scale_error.py": "names of rules as they are sold",
    "model/words.py": "limits as they were given, refused on a floor below every style",
    "model/work.py": "limits and a factor as they were given, refused on a floor below every style",
    "record/attachments.py": "megabytes",
    "shop/kit/paper/come_back.py": "what the mark of an edition is made of, never shown",
    "record/file/lock.py": "seconds of waiting",
    "record/file/place.py": "megabytes",
    "report/draw/balloons.py": "places in a drawing",
    "report/draw/cells.py": "ticks of an axis, counted in the unit of the axis",
    "report/draw/chart.py": "ticks of an axis",
    "report/draw/sketch_svg.py": "places in a drawing",
    "report/draw/svg.py": "places in a drawing",
    "report/kit/pictures.py": "places in a drawing",
    "shop/common/materials.py": "a figure rounded before it is kept",
    "shop/common/tables/workbook.py": "a cell as it would be typed",
    "shop/pictures/balloons.py": "percent as it is kept and typed again",
    "shop/gauges/checks.py": "decimals counted",
}


def formatted(path: Path) -> list[int]:
    """Lines of a module on which a float is formatted inside a text."""
    lines = []
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.FormattedValue) and isinstance(node.format_spec, ast.JoinedStr):
            last = node.format_spec.values[-1] if node.format_spec.values else None
            if isinstance(last, ast.Constant) and A_FIGURE.search(last.value):
                lines.append(node.lineno)
    return lines


def by_room() -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for path in sorted(PACKAGE.rglob("*.py")):
        name = path.relative_to(PACKAGE).as_posix()
        if name not in NO_FIGURES_FOR_PEOPLE:
            parts = name.split("/")
            room = "/".join(parts[:2]) if len(parts) > 2 and parts[0] != "model" else parts[0]
            found.setdefault(room, []).extend(f"{name}:{line}" for line in formatted(path))
    return found


def test_no_room_writes_figures_by_itself() -> None:
    own = {room: where for room, where in by_room().items() if where}
    assert own == {}, "write them with a style: style.length, style.signed, style.percent, style.figure, ..."


def test_what_is_excused_is_there() -> None:
    assert {name for name in NO_FIGURES_FOR_PEOPLE if not formatted(PACKAGE / name)} == set()


@pytest.mark.parametrize(
    ("code", "n"),
    [
        ('f"{x:.2f} mm"', 1),
        ('f"{x:+.3g} to {y:>9.{places}f}"', 2),
        ('f"{100 * p:.0f} %"', 1),
        ('f"{name:<12}{n}{style.length(x)}"', 0),
        ('f"{at:%H:%M}"', 0),
        ('f"{code:04X}"', 0),
    ],
)
def test_what_counts_as_a_figure(code: str, n: int, tmp_path: Path) -> None:
    path = tmp_path / "module.py"
    path.write_text(code, "utf-8")
    assert len(formatted(path)) == n
