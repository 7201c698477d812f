"""Pictures are kept beside the record and shown for what they are of; the same picture is stored once."""

from __future__ import annotations

import os
import shlex
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from inspect_tui.errors import InspectError
from inspect_tui.frozen import frozen, replace
from inspect_tui.metrology.typed import fields
from inspect_tui.model.kit import Attachment, AttachmentUse
from inspect_tui.model.words import Id
from inspect_tui.record import attachments
from inspect_tui.shop.common.tables import file as table_file
from inspect_tui.shop.pictures import balloons
from inspect_tui.shop.pictures.balloons import Mark
from inspect_tui.shop.pictures.owners import ALLOWED

if TYPE_CHECKING:
    from inspect_tui.record.store import Record

LONGEST = 120  # letters of a caption


def files(text: str) -> list[Path]:
    """The files that a text names: one, or several by a pattern (`*.jpg`) or one behind the other, in quotes or not."""
    whole = fitting(text.strip())
    return whole if any(path.is_file() for path in whole) else [path for word in _apart(text) for path in fitting(word)]


def fitting(name: str) -> list[Path]:
    """The file of that name, else the files that fit it as a pattern, in order; the name itself where none does."""
    path = Path(name).expanduser()
    if path.is_file() or not path.name:
        return [path]
    return sorted(file for file in path.parent.glob(path.name) if file.is_file()) or [path]


def _apart(text: str) -> list[str]:
    try:
        return shlex.split(text, posix=os.name != "nt")
    except ValueError:  # a quotation mark that does not close
        return text.split()


@frozen
class Taken:
    """What became of the files: those kept, those that were shown for it already, and why others were not kept."""

    kept: tuple[Attachment, ...]
    known: tuple[Attachment, ...]
    refused: tuple[str, ...]


def attach(
    record: Record, path: Path, about_kind: int, about_id: Id, caption: str | None = None, by: Id | None = None
) -> tuple[Attachment, AttachmentUse]:
    """Keep a picture and show it for a thing: the number of its kind, the id of its first version.

    The same picture on the same thing is there once. RecordError where the file is no picture that can be kept.
    """
    kept, use, _ = _show(record, attachments.read_picture(path), path, about_kind, about_id, caption, by)
    return kept, use


def attach_all(
    record: Record,
    paths: Sequence[Path],
    about_kind: int,
    about_id: Id,
    caption: str | None = None,
    by: Id | None = None,
) -> Taken:
    """Several files at once: what cannot be kept is told with its name, and the others are kept."""
    kept: list[Attachment] = []
    known: list[Attachment] = []
    refused: list[str] = []
    for path in paths:
        try:
            content = attachments.read_picture(path)
        except InspectError as problem:
            refused.append(str(problem))  # names the file
            continue
        try:
            made, _, new = _show(record, content, path, about_kind, about_id, caption, by)
        except InspectError as problem:
            refused.append(f"{attachments.shown_name(path.name)}: {problem}")
        else:
            (kept if new else known).append(made)
    return Taken(tuple(kept), tuple(known), tuple(refused))


def _show(
    record: Record, content: bytes, path: Path, about_kind: int, about_id: Id, caption: str | None, by: Id | None
) -> tuple[Attachment, AttachmentUse, bool]:
    if about_kind not in ALLOWED:
        raise InspectError(
            "Pictures are shown for jobs, cores, tools, fits, sizes, castings, repairs, readings and shipments."
        )
    if caption is not None and len(caption) > LONGEST:
        raise InspectError(f"The caption has {len(caption)} letters; at most {LONGEST} fit. Nothing was kept.")
    kept = attachments.keep(record, content, path.name, by)
    before = record.pictures([about_id]).get(about_id, [])
    same = next((shown.use for shown in before if shown.attachment.sha256 == kept.sha256), None)
    if same is not None:
        return kept, same, False
    use: AttachmentUse = record.add(
        AttachmentUse(
            attachment_id=kept.id,
            about_kind=about_kind,
            about_id=about_id,
            caption=caption or None,
            ord=max((shown.use.ord for shown in before), default=0) + 1,
        ),
        by,
    )
    return kept, use, True


def numbered(record: Record, use: AttachmentUse, marks: Sequence[Mark], by: Id | None = None) -> AttachmentUse | None:
    """A picture with its numbers at other places, or with none; None where they stand so already."""
    told = balloons.written(marks) or None
    if told == use.balloons:
        return None
    made: AttachmentUse = record.add(replace(use, id=record.new_id(), replaces_id=use.id, balloons=told), by)
    return made


def table_of_numbers(path: Path) -> str:
    """The numbers of a table as they are typed: number, percent from the left, percent from the top; heads may lead."""
    rows = [row for row in table_file.read(path, limits=table_file.FIGURES).rows if any(row)]
    if rows and isinstance(fields.figure(rows[0][1] if len(rows[0]) > 1 else ""), fields.Wrong):
        rows = rows[1:]
    return "\n".join(" ".join(row[:3]) for row in rows)
