"""Drawings of the kit papers: the order of setting, what goes into what, and marks for a camera. Points, no colour."""

from __future__ import annotations

from collections.abc import Sequence

from inspect_tui.metrology.typed.show import PAPER, Style
from inspect_tui.report.draw.mould import SECTION, Wanted, sketch
from inspect_tui.report.draw.sketch_svg import view_svg
from inspect_tui.report.draw.svg import GROUND, INK, svg, text
from inspect_tui.report.paper.html import need
from inspect_tui.shop.kit.sketch.scene import Scene

WIDTH = 520.0  # of a page
STEP_WIDTH = 168.0  # of the pictures of a step


def order_svg(cores: Sequence[tuple[str, str]]) -> str:
    """The cores as numbered boxes in the order in which they go in, from left to right, in as many rows as needed."""
    each, row = 65.0, 46.0
    columns = int(WIDTH // each)
    rows = (len(cores) + columns - 1) // columns
    parts = []
    for index, (number, name) in enumerate(cores):
        x, y = (index % columns) * each, (index // columns) * row
        parts.append(f'<rect x="{x + 3:.1f}" y="{y + 8:.1f}" width="46" height="19" fill="#fff" stroke="{INK}"/>')
        parts.append(text(x + 26, y + 22, number, "middle", 12.0, bold=True))
        parts.append(text(x + 3, y + 6, str(index + 1), "start", 6.0))
        for line, words in enumerate(_two_lines(name, 60.0, 6.2)):
            parts.append(text(x + 26, y + 34 + 6.6 * line, words, "middle", 6.2))
        if index + 1 < len(cores):
            parts.append(f'<path d="M{x + 51:.1f} {y + 17.5:.1f}h9m-3 -3l3.5 3l-3.5 3" fill="none" stroke="{INK}"/>')
    return svg(parts, WIDTH, rows * row, "order of setting: " + ", ".join(number for number, _ in cores))


def _two_lines(words: str, room: float, size: float) -> list[str]:
    """A name on one line or two, broken between words."""
    most = max(int(room / (0.46 * size)), 3)
    if len(words) <= most:
        return [words]
    head = words[: most + 1].rpartition(" ")[0] or words[:most]
    return [head, _fitting(words[len(head) :].strip(), room, size)]


def step_svg(number: str, name: str, fits: Sequence[tuple[str, str, str]]) -> str:
    """The core above the parts that take it, an arrow for each print or key with its name and mark."""
    width, top, gap, below = STEP_WIDTH, 22.0, 34.0, 18.0
    holders = list(dict.fromkeys(into for _, into, _ in fits)) or ["?"]
    each = width / len(holders)
    height = top + gap + below + 2.0
    parts = [
        f'<rect x="{width / 2 - 46:.1f}" y="1" width="92" height="{top - 2:.1f}" fill="{GROUND}" stroke="{INK}"/>',
        text(width / 2, 15.5, f"core {number}", "middle", 11.0, bold=True),
    ]
    for index, holder in enumerate(holders):
        x, y = each * (index + 0.5), top + gap
        wide = min(each - 6.0, 92.0)
        keys = [f"{key} {mark}".strip() for key, into, mark in fits if into == holder]
        start = max(min(x, width / 2 + 38.0), width / 2 - 38.0)
        parts.append(
            f'<rect x="{x - wide / 2:.1f}" y="{y:.1f}" width="{wide:.1f}" height="{below:.1f}" fill="#fff" '
            f'stroke="{INK}"/>'
        )
        parts.append(text(x, y + 12.0, _fitting(holder, wide, 8.0), "middle", 8.0))
        parts.append(f'<path d="M{start:.1f} {top:.1f}L{x:.1f} {y - 4:.1f}" stroke="{INK}" stroke-width="1.2"/>')
        parts.append(f'<path d="M{x - 3:.1f} {y - 6:.1f}l3 6l3 -6z" fill="{INK}"/>')
        said = ", ".join(keys)
        room = each - 8.0
        middle = (start + x) / 2.0
        side = "start" if len(holders) == 1 or x >= width / 2 else "end"
        shift = 4.0 if side == "start" else -4.0
        parts.append(text(middle + shift, top + gap / 2 + 1.0, _fitting(said, room, 7.0), side, 7.0))
    return svg(parts, width, height, f"core {number} {name} goes into {', '.join(holders)}")


def section_svg(scene: Scene, number: str, style: Style = PAPER) -> str | None:
    """The mould cut along x through a core, which is black, with those set before it; None where there is nothing."""
    views = sketch(scene, Wanted(hand=number, views=(SECTION,)), style).views
    return view_svg(views[0], STEP_WIDTH, title=6.5) if views else None


def _fitting(words: str, room: float, size: float) -> str:
    """As much of a name as fits; the whole of it stands in the text beside the drawing."""
    most = max(int(room / (0.46 * size)), 3)
    return words if len(words) <= most else words[: most - 1].rstrip() + "…"


def qr_svg(code: str, size: float = 116.0) -> str:
    """A square mark with `code` in it, black on white with the quiet zone that cameras want."""
    marked = need("segno").make(code, error="m", micro=False)
    rows = [bytes(row) for row in marked.matrix]
    side = len(rows) + 8
    runs = []
    for y, row in enumerate(rows):
        x = 0
        while x < len(row):
            length = 1
            while x + length < len(row) and row[x + length] == row[x]:
                length += 1
            if row[x]:
                runs.append(f"M{x + 4} {y + 4}h{length}v1h-{length}z")
            x += length
    path = f'<path transform="scale({size / side:.6f})" d="{"".join(runs)}" fill="#000"/>'
    return svg([f'<rect width="{size:g}" height="{size:g}" fill="#fff"/>', path], size, size, "mark for a camera")
