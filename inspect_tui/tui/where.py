"""Where a size is taken, on the screen: in words, and where there is room as a sketch of the mould.

At the Bench the sketch is drawn when the hand rests, and what it needs of the record is read beside the screen: no
reading waits.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from rich.text import Text

from inspect_tui.metrology.sizes.place import Place, place, where
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.words import Id
from inspect_tui.model.work import Feature, Job

if TYPE_CHECKING:
    from inspect_tui.record.read import Reader
    from inspect_tui.shop.kit.sketch.scene import Scene

REST_S = 0.15  # so long the hand rests before the sketch follows it
WIDE, HIGH = 120, 21  # columns of the screen and lines between head and foot: less, and there is no sketch
LEAST, MOST = 10, 20  # lines of the sketch
VIEWS = {
    "x": ("section", "plan"),
    "y": ("across", "plan"),
    "z": ("across", "section"),
}  # axis -> the first that shows it


def rows(width: int, height: int) -> int:
    """Lines for a sketch under a list that is `height` lines high; 0 where there is no room."""
    return min(max(height * 2 // 5, LEAST), MOST) if width >= WIDE and height >= HIGH else 0


def words(feature: Feature, numbers: Mapping[Id, str] | None, style: Style = MM, *, figures: bool = True) -> str:
    """`where: core 3, y 47 to 129; st 300`: who makes the ends, the places with `figures` only, and the note.

    Places would tell who measures without the target what to expect. `numbers` None: not read yet.
    """
    taken = place(feature, numbers) if numbers is not None else None
    said = [part for part in (where(taken, style, figures=figures) if taken else "", feature.note or "") if part]
    return f"where: {'; '.join(said)}" if said else ""


def read(reader: Reader, job: Job) -> Scene:
    """The mould of a job, as far as its sizes and bodies have places."""
    from inspect_tui.shop.kit.facts import KitFacts
    from inspect_tui.shop.kit.order import given_order
    from inspect_tui.shop.kit.sketch.scene import scene

    facts = KitFacts(reader, job)
    return scene(facts, given_order(facts))


def picture(
    scene: Scene, taken: Place | None, hand: str, width: int, height: int, style: Style = MM, *, figures: bool = True
) -> Text:
    """The view of the mould that shows the size best, with its place marked; at most `height` lines.

    `hand` is the core whose tool is measured, empty on a casting.
    """
    from inspect_tui.report.draw import sketch as s
    from inspect_tui.report.draw.mould import Wanted, sketch
    from inspect_tui.report.draw.sketch_cells import legend_cells, sketch_cells

    views = VIEWS[taken.axis] if taken is not None else ("section", "plan")
    wanted = Wanted(hand=hand, views=views, size=taken, so_far=False, figures=figures, way=False)
    made = sketch(scene, wanted, style)
    if not made.views:
        return sketch_cells(made, width)
    view = next((view for view in made.views if view.spans), made.views[0])
    legend = []
    if view.spans and taken is not None:
        legend.append((s.SIZE, f"{taken.balloon} is measured here"))
    if any(area.about for area in view.areas):
        legend.append((s.ABOUT, "about"))
    under = legend_cells(s.Sketch(title="", views=(), legend=tuple(legend)), width)
    room = height - under.plain.count("\n")
    out = sketch_cells(s.Sketch(title="", views=(view,)), width, room, words=False, style=style)
    return out.append_text(under)
