"""What belongs to a kit, counted and weighed (kg), and the labels of its tools, from the record.

A field that is None is not known.
"""

from __future__ import annotations

from inspect_tui.frozen import frozen, frozen_by_name
from inspect_tui.model.words import Id
from inspect_tui.model.work import Job, Tool
from inspect_tui.record.chain.ids import uuid_text
from inspect_tui.record.store import Record
from inspect_tui.shop.common.sizes import KIND_WORDS
from inspect_tui.shop.kit import check as kit
from inspect_tui.shop.kit.check import KitCheck
from inspect_tui.shop.kit.paper.papers import CAUTIONS, SheetPhoto, photos_of


@frozen_by_name
class KitLine:
    """One thing of the kit."""

    kind: str  # pattern, box, stick, template ...
    label: str
    core: int | None
    core_name: str | None
    count: int
    loose_pieces: int | None
    dowels: int | None
    weight_kg: float | None
    mark: str | None
    material: str
    owner: str | None
    lift_points: str | None
    note: str | None
    where: str  # "here", or "at NAME since DATE"
    photos: tuple[SheetPhoto, ...]


@frozen_by_name
class KitList:
    """Everything that belongs to the kit, counted and weighed."""

    job: str
    name: str
    customer_ref: str | None
    drawing: str | None
    rev: str | None
    lines: tuple[KitLine, ...]
    loose_pieces: int  # of the lines that say
    weight_kg: float | None  # of the lines that say; None when none does
    not_weighed: tuple[str, ...]
    not_counted: tuple[str, ...]
    cautions: tuple[str, ...]
    heads: tuple[str, ...]


@frozen_by_name
class LabelData:
    """A label for one tool. `code` goes into the QR mark: plain text that names job, tool and the record's id."""

    job: str
    name: str
    label: str
    kind: str
    core: int | None
    core_name: str | None
    mark: str | None
    loose_pieces: int | None
    weight_kg: float | None
    owner: str | None
    rev: str | None
    code: str


@frozen
class Labels:
    """Labels of tools, all of one size by its name; `at`: where the setting guide lies, for a code that opens it."""

    tools: tuple[LabelData, ...]
    size: str = "sheet"
    at: str = ""


def kit_list(record: Record, job: Job, checked: KitCheck | None = None) -> KitList:
    """Everything of the kit with counts of loose pieces, weights and marks; and where it is."""
    check = checked or kit.check(record, job)
    facts = check.facts
    photos = photos_of(record, [t.of_id for t in facts.tools])
    lines = tuple(_line(check, tool, photos) for tool in _travels(check))
    said = [line.weight_kg for line in lines if line.weight_kg is not None]
    revision = facts.revision
    return KitList(
        job=job.number,
        name=job.name,
        customer_ref=job.customer_ref,
        drawing=revision.number if revision else None,
        rev=facts.rev,
        lines=lines,
        loose_pieces=sum(line.loose_pieces or 0 for line in lines),
        weight_kg=sum(said) if said else None,
        not_weighed=tuple(line.label for line in lines if line.weight_kg is None),
        not_counted=tuple(line.label for line in lines if line.loose_pieces is None and line.kind == "box"),
        cautions=CAUTIONS,
        heads=tuple(record.heads()),
    )


def labels(record: Record, job: Job, checked: KitCheck | None = None) -> tuple[LabelData, ...]:
    """A label for every tool that travels and every stick and master that stays."""
    check = checked or kit.check(record, job)
    facts = check.facts
    made = []
    travels = _travels(check)
    stays = [t for t in facts.tools if t.kind in ("core_stick", "master")]
    for tool in (*travels, *stays):
        line = _line(check, tool, {})
        made.append(
            LabelData(
                job=job.number,
                name=job.name,
                label=tool.label,
                kind=line.kind,
                core=line.core,
                core_name=line.core_name,
                mark=line.mark,
                loose_pieces=line.loose_pieces,
                weight_kg=line.weight_kg,
                owner=line.owner,
                rev=facts.rev,
                code=f"{job.number} | {tool.label} | {uuid_text(tool.of_id)}",
            )
        )
    return tuple(made)


def _travels(check: KitCheck) -> list[Tool]:
    """What goes to a foundry: patterns, boxes, loose pieces, templates; sticks and masters stay at the shop."""
    stay = ("core_stick", "master", "mould", "other")
    order = ("pattern_drag", "pattern_cope", "production_pattern", "core_box", "loose_piece", "gauge_template")
    reference = [t for t in check.facts.tools if t.kind == "gauge_template" and t.of_id in check.facts.listed]
    going = [t for t in check.facts.tools if t.kind not in stay and t not in reference]
    number = {t.of_id: int(check.facts.number(t.core_id)) if t.core_id else 0 for t in going}
    return sorted(going, key=lambda t: (order.index(t.kind) if t.kind in order else 9, number[t.of_id], t.label))


def _line(check: KitCheck, tool: Tool, photos: dict[Id, tuple[SheetPhoto, ...]]) -> KitLine:
    facts = check.facts
    detail = facts.tool_details.get(tool.of_id)
    core = facts.core.get(facts.core_of.get(tool.core_id, b"")) if tool.core_id else None
    return KitLine(
        kind=KIND_WORDS.get(tool.kind, "tool"),
        label=tool.label,
        core=core.number if core else None,
        core_name=core.name if core else None,
        count=1,
        loose_pieces=detail.loose_pieces if detail else None,
        dowels=detail.dowels if detail else None,
        weight_kg=detail.weight_kg if detail else None,
        mark=detail.mark if detail else None,
        material=tool.material,
        owner=detail.owner if detail else None,
        lift_points=detail.lift_points if detail else None,
        note=detail.note if detail else None,
        where=check.where(tool),
        photos=photos.get(tool.of_id, ()),
    )
