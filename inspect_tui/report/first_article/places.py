"""The sheets with the numbers: the mould in its views, photographs of the job, and what stands on none of them."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from inspect_tui.metrology.kit.bodies import Body, Box
from inspect_tui.metrology.typed.show import PAPER, Style
from inspect_tui.report.draw.balloons import Sheet, Taken, picture_sheets, view_sheets
from inspect_tui.report.draw.mould import ACROSS, FLAT, PLAN, SECTION, Wanted, sketch
from inspect_tui.report.draw.sketch import Sketch, View
from inspect_tui.report.draw.sketch_svg import legend_svg
from inspect_tui.report.paper.html import need
from inspect_tui.report.paper.photos import scaled
from inspect_tui.shop.kit.sketch.scene import PartingStep, Scene, SceneCore

Plain = Mapping[str, Any]
Files = Mapping[str, Path]  # SHA-256 of a picture -> where its bytes lie

LIKED = {"x": (PLAN, SECTION), "y": (ACROSS, PLAN), "z": (SECTION, ACROSS)}  # along an axis the views, the best first
MISSING = "Picture {} is not beside the record: its numbers are {}."


def view(plain: Plain, files: Files, style: Style = PAPER) -> dict[str, Any]:
    """Further keys of the view of a report: sheets as drawings, what is not placed, pictures that are not there."""
    places = plain["places"]
    if places is None:
        return {"sheets": [], "not_placed": [], "not_shown": []}
    mould, drawn = mould_sheets(places, style)
    photographs, missing = photograph_sheets(places, files)
    return {
        "sheets": [
            *(sheet.svg for sheet in drawn),
            *([legend_svg(mould)] if drawn else []),
            *(sheet.svg for sheet in photographs),
        ],
        "not_placed": _not_placed(places["not_placed"]),
        "not_shown": missing,
    }


def mould_sheets(places: Plain, style: Style = PAPER) -> tuple[Sketch, list[Sheet]]:
    """The views of the mould, and the sheets of those that show where a size stands."""
    ends = ((size["axis"], end) for size in places["sizes"] for end in size["ends"] if end is not None)
    spots = ((axis, place) for size in places["sizes"] for axis, place in size["at"])
    wanted = Wanted(views=(PLAN, SECTION, ACROSS), way=False, so_far=False, shops=False, room=tuple({*ends, *spots}))
    made = sketch(_scene(places), wanted, style)
    views = {name: one for one in made.views for name, flat in FLAT.items() if flat == (one.across, one.up)}
    on: dict[str, list[Taken]] = {}
    for size in places["sizes"]:
        name = _where(size, views)
        if name:
            on.setdefault(name, []).append(_taken(size, views[name]))
    return made, [sheet for name, one in views.items() for sheet in view_sheets(one, on.get(name, ()))]


def _where(size: Plain, views: Mapping[str, View]) -> str:
    """The view that shows a size: one that shows where across it is taken, if that was said, else the best."""
    known = {axis for axis, _ in size["at"]}
    there = [name for name in LIKED.get(size["axis"], ()) if name in views]
    return next((name for name in there if known & set(FLAT[name])), there[0] if there else "")


def _taken(size: Plain, view: View) -> Taken:
    upright = size["axis"] == view.up
    other = view.across if upright else view.up
    return Taken(
        balloons=(size["balloon"], *size["beside"]),
        ends=tuple(size["ends"]),
        upright=upright,
        spot=dict(map(tuple, size["at"])).get(other),
    )


def _scene(places: Plain) -> Scene:
    """The mould as the content has it."""
    return Scene(
        job="",
        cores=tuple(
            SceneCore(
                number=core["core"],
                name=core["name"],
                body=Body(
                    core=core["core"],
                    boxes=tuple(Box(**box) for box in core["boxes"]),
                    given=core["given"],
                    known={axis: (low, high) for axis, low, high in core["known"]},
                ),
            )
            for core in places["cores"]
        ),
        outline=Box(**places["outline"]) if places["outline"] is not None else None,
        outline_given=places["outline_given"],
        parting=tuple(PartingStep(**step) for step in places["parting"]),
        parting_axis=places["parting_axis"],
    )


# ------------------------------------------------------------------------------ photographs
def photograph_sheets(places: Plain, files: Files) -> tuple[list[Sheet], list[str]]:
    """The photographs with their numbers; sentences for those whose bytes are not there."""
    sheets: list[Sheet] = []
    missing: list[str] = []
    pictures = places["pictures"]
    for picture, (content, _) in zip(
        pictures, scaled([files.get(one["sha256"]) for one in pictures]) if pictures else (), strict=True
    ):
        marks = sorted(picture["marks"], key=lambda mark: _in_order(mark[0]))
        if content is None:
            missing.append(MISSING.format(picture["name"], ", ".join(balloon for balloon, _, _ in marks)))
            continue
        with need("PIL.Image").open(need("io").BytesIO(content)) as opened:
            size = opened.size
        title = picture["caption"] or picture["name"]
        title = title if picture["of"] == "job" else f"{picture['of']}: {title}"
        sheets += picture_sheets(title, content, size, [tuple(mark) for mark in marks])
    return sheets, missing


def _in_order(balloon: str) -> tuple[Any, ...]:
    """F2 before F10."""
    return tuple((0, int(part), "") if part.isdigit() else (1, 0, part) for part in re.split(r"(\d+)", balloon) if part)


def _not_placed(lines: Sequence[Plain]) -> list[dict[str, str]]:
    """What stands nowhere, a line for each reason."""
    by_reason: dict[str, list[str]] = {}
    for line in lines:
        by_reason.setdefault(line["why"], []).append(line["balloon"])
    return [{"why": why, "balloons": ", ".join(balloons)} for why, balloons in by_reason.items()]
