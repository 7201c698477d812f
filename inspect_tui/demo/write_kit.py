"""The kit of the demo: fits with their seats and directions, details of cores and tools, loops, the passage, shipping.

The clearances and their limits are the scenario's (`scenario.FITS`); places, directions, weights and marks are
invented here. Planted and to be found: core 1 goes into its own seats turned end for end, because its two drag prints
are alike; the written loop ST2 leaves out the play of core 2 in the drag.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from hashlib import sha256
from typing import Any

from inspect_tui.demo import pictures
from inspect_tui.demo import scenario as job_
from inspect_tui.demo import workshop as shop
from inspect_tui.frozen import frozen_by_name
from inspect_tui.metrology.typed.show import MM
from inspect_tui.model.kit import (
    Attachment,
    AttachmentUse,
    CoreDetail,
    Fit,
    Passage,
    Shipment,
    ShipmentLine,
    Stack,
    StackMember,
    ToolDetail,
)
from inspect_tui.model.words import Id
from inspect_tui.model.work import Core, Feature, Job, Tool
from inspect_tui.record.attachments import look
from inspect_tui.record.kinds import CORE
from inspect_tui.record.store import Record
from inspect_tui.shop.common import parting

TO_WHOM = "a foundry two days away"
SHIPPED_ON = shop.project_day(-1, 3)
TEMPLATES = {  # label: core it proves, feature of the wall or gap
    "T-1": (4, "F40"),
    "T-2": (5, "F34"),
    "T-3": (6, "F58"),
}
MARKS = {"K4": "red", "K5": "blue", "K6": "yellow", "K7": "green"}  # printed on the sheet as its colour key
KINDS = {"K5": "key", "K6": "key", "K7": "key"}
# label: directions held, places of the prints (x, y, z) where they are written down, the way in, lift
PLACES: dict[str, tuple[str, tuple[tuple[float, float, float], ...], str, float | None]] = {
    "K1": ("x,y", ((60, 60, 20), (466, 116, 20)), "z-", None),
    "K2": ("x,y,rx,ry,rz", (), "z-", None),
    "K3": ("x,y,rx,ry,rz", (), "z-", 0.50),
    "K4": ("y,z,rx,ry", (), "z-", None),
    "K5": ("x,z,rz", (), "z-", None),
    "K6": ("x,y", ((80, 60, 95), (200, 116, 95), (330, 60, 95), (480, 116, 95)), "z-", 0.30),
    "K7": ("x,y,rz", (), "z-", None),
    "K8": ("x,y,z+,rx,ry", (), "z+", None),
    "K9": ("x-,y,z,rx,ry,rz", (), "z-", None),
    "K10": ("x+", (), "x+", None),
}
TOLERANCE = {4: 0.10, 7: 0.10}  # plus or minus between faces of a core; 0.15 elsewhere
VENTS = {
    1: "two, through the drag prints",
    3: "four, through the port prints",
    4: "one, through the outlet print",
    5: "one, through core 6",
    6: "one, through the cope print",
}
LIFT_POINTS = {1: "two hooks at the ends", 3: "two hooks between ports 1 and 2 and ports 3 and 4"}
BOX_KG = {1: 14.0, 2: 6.5, 3: 31.0, 4: 5.0, 5: 13.0, 6: 2.5, 7: 7.0}
ROUND_PRINT_MM2 = 56.0 * 56.0  # core 6 in the cope


@frozen_by_name
class Shelf:
    """What the story has written so far, by the names people use."""

    record: Record
    job: Job
    by: Id
    core: Mapping[int, Core]
    tool: Mapping[str, Tool]
    feature: Mapping[str, Feature]


def plan(shelf: Shelf) -> None:
    """How the kit is to go together, written down with the core plan: one transaction."""
    rows: list[Any] = []
    fits = _fits(shelf)
    rows += fits
    rows += _details(shelf)
    rows += _stacks(shelf, {fit.name: fit for fit in fits})
    rows.append(
        Passage(
            job_of_id=shelf.job.of_id,
            label="T1",
            name="throat",
            formula="pi / 4 * F41 * F55",
            unit="m³/min",
            rated=job_.RATED_FLOW,
            minimum=job_.MINIMUM_FLOW,
            note="cold-air bench of the customer at a fixed pressure drop; one throat rules, an oval by its two widths",
        )
    )
    rows += _pictures(shelf)
    shelf.record.add_all(rows, shelf.by)
    places = [[MM.given(mm, unit=False) for mm in step] for step in job_.PARTING]
    steps = "; ".join(f"x {low} to {high} at z {z}" for low, high, z in places)
    parting.say(shelf.record, shelf.job, steps, shelf.by)


def _fits(shelf: Shelf) -> list[Fit]:
    rows = []
    for fact in job_.FITS:
        holds, places, way_in, lift = PLACES[fact.number]
        for n, seat in enumerate(fact.females):
            made = shelf.record.new_id()
            x, y, z = places[n] if places else (None, None, None)
            gap = fact.male_size is None
            rows.append(
                Fit(
                    id=made,
                    of_id=made,
                    job_of_id=shelf.job.of_id,
                    label=fact.number,
                    place=fact.places[n] or None,
                    kind=KINDS.get(fact.number, "print"),
                    inner_core_id=_core(shelf, fact.inner),
                    outer_core_id=_core(shelf, fact.outer),
                    outer_half=_half(fact.outer),
                    inner_feature_id=None if gap else shelf.feature[fact.males[n]].id,
                    outer_feature_id=None if gap else shelf.feature[seat].id,
                    gap_feature_id=shelf.feature[seat].id if gap else None,
                    axis=fact.axes[n] if len(fact.axes) > 1 else fact.axes[0],
                    way_in=way_in,
                    clear_min_mm=fact.low,
                    clear_max_mm=fact.high,
                    band_source="the shop's plan for this job",
                    holds=holds,
                    lift_mm=lift,
                    at_x=x,
                    at_y=y,
                    at_z=z,
                    mark=MARKS.get(fact.number),
                    note=_note(fact.number),
                )
            )
    for axis in ("x", "y"):
        made = shelf.record.new_id()
        rows.append(
            Fit(
                id=made,
                of_id=made,
                job_of_id=shelf.job.of_id,
                label="J1",
                place=axis.upper(),
                kind="joint",
                inner_half="cope",
                outer_half="drag",
                axis=axis,
                clear_min_mm=0.20,
                clear_max_mm=0.60,
                band_source="closing pins, stated by the foundry",
                holds=axis,
                lift_mm=0.40,
                note="closing pins of the flask; the lift is the closing flash",
            )
        )
    return rows


def _note(number: str) -> str | None:
    return {"K5": "stops core 4 along x and from turning; its place across y is core 2's (K4)"}.get(number)


def _core(shelf: Shelf, part: str) -> Id | None:
    return shelf.core[int(part[1:])].of_id if part.startswith("c") else None


def _half(part: str) -> str | None:
    return {"D": "drag", "U": "cope"}.get(part)


def _details(shelf: Shelf) -> list[Any]:
    rows: list[Any] = []
    proves = {core: (label, balloon) for label, (core, balloon) in TEMPLATES.items()}
    for fact in job_.CORES:
        label, balloon = proves.get(fact.number, (None, None))
        rows.append(
            CoreDetail(
                core_of_id=shelf.core[fact.number].of_id,
                in_metal_dm3=fact.volume_in_metal,
                print_area_mm2=ROUND_PRINT_MM2 if fact.number == 6 else None,
                chaplets=fact.chaplets or None,
                chaplet_note="outboard, at x = 200 and x = 400; they stay in the casting" if fact.chaplets else None,
                vents=VENTS.get(fact.number),
                lift_points=LIFT_POINTS.get(fact.number),
                tol_mm=TOLERANCE.get(fact.number, 0.15),
                template=label,
                check_feature_id=shelf.feature[balloon].id if balloon else None,
                caution="two people: it is long and thin" if fact.number == 3 else None,
            )
        )
        rows.append(
            ToolDetail(
                tool_of_id=shelf.tool[f"box {fact.number}"].of_id,
                loose_pieces=fact.loose_pieces,
                dowels=2,
                weight_kg=BOX_KG[fact.number],
                mark=f"{job_.NUMBER}/{fact.number}",
                owner="the customer",
                note="carried over from an earlier set" if fact.number == 2 else None,
            )
        )
    rows.append(ToolDetail(tool_of_id=shelf.tool["stick 7"].of_id, grain="x"))
    for name, kg in (("drag pattern", 42.0), ("cope pattern", 39.0)):
        rows.append(
            ToolDetail(
                tool_of_id=shelf.tool[name].of_id, weight_kg=kg, owner="the customer", lift_points="two lifting plates"
            )
        )
    return rows


def _stacks(shelf: Shelf, fits: Mapping[str, Fit]) -> list[Any]:
    rows: list[Any] = []
    walls = {
        "ST1": ("F48", {"core 3 may lift": "K3-1", "core 5 may lift": "K6-1"}),
        "ST2": ("F39", {"K4": "K4", "K9": "K9"}),
    }
    for fact in job_.STACKS:
        balloon, linked = walls[fact.number]
        made = shelf.record.new_id()
        rows.append(
            Stack(
                id=made,
                of_id=made,
                job_of_id=shelf.job.of_id,
                label=fact.number,
                name=fact.name,
                feature_id=shelf.feature[balloon].id,
            )
        )
        members: Sequence[tuple[str, float, float]] = [
            *((name, half, half) for name, half in fact.plus_minus),
            *((name, high, -low) for name, low, high in fact.one_sided),
        ]
        for n, (name, plus, minus) in enumerate(members):
            fit = fits.get(linked.get(name, ""))
            rows.append(
                StackMember(
                    stack_id=made,
                    ord=n + 1,
                    name=name,
                    size_mm=fact.nominal if n == 0 else 0.0,
                    plus_mm=plus,
                    minus_mm=minus,
                    shape="uniform" if fit else "normal",
                    tool=fit.label if fit else None,
                    fit_id=fit.id if fit else None,
                )
            )
    return rows


def _pictures(shelf: Shelf) -> list[Any]:
    rows: list[Any] = []
    for number, name, data in pictures.every():
        media, width, height = look(data)
        made = shelf.record.new_id()
        rows.append(
            Attachment(
                id=made,
                sha256=sha256(data).hexdigest(),
                bytes=len(data),
                media=media,
                width_px=width,
                height_px=height,
                shown_name=name,
            )
        )
        rows.append(
            AttachmentUse(
                attachment_id=made,
                about_kind=CORE.number,
                about_id=shelf.core[number].of_id,
                caption=f"core {number}, drawn",
                ord=1,
            )
        )
    return rows


def ship(shelf: Shelf) -> None:
    """What left the shop, counted."""
    made = shelf.record.new_id()
    rows: list[Any] = [
        Shipment(
            id=made,
            job_of_id=shelf.job.of_id,
            to_whom=TO_WHOM,
            done_on=SHIPPED_ON.isoformat(),
            condition="clean, dry, joint faces without marks",
        )
    ]
    loose = {f"box {core.number}": core.loose_pieces for core in job_.CORES}
    for n, what in enumerate(shop.SHIPPING, start=1):
        label = what.split(" with ")[0]
        tool = shelf.tool.get(label)
        rows.append(
            ShipmentLine(
                shipment_id=made,
                ord=n,
                tool_of_id=tool.of_id if tool else None,
                what=what,
                count=1,
                loose_pieces=loose.get(label),
                condition="joint faces as dressed" if label == "box 4" else None,
            )
        )
    shelf.record.add_all(rows, shelf.by)
