"""What every paper of a kit carries: the cautions, and the pictures with where their bytes lie.

The papers themselves are plain results that `report` and the commands make HTML, PDF, labels and CSV from:
`setting_sheet`, `kit_list` (with the labels), `come_back`. A field that is None is not known: print a line to fill in,
or leave it out, never a nought.
"""

from __future__ import annotations

from pathlib import Path

from inspect_tui.frozen import frozen_by_name
from inspect_tui.metrology.kit import buoyancy
from inspect_tui.model.words import Id
from inspect_tui.record.ask.kit import Picture
from inspect_tui.record.attachments import stored_at
from inspect_tui.record.store import Record

CAUTIONS = (
    "Silica dust from sand, cores and knocking out damages lungs: keep it down and out; follow local rules.",
    "Resins and binders (isocyanates, epoxies) sensitise: follow the safety data sheets.",
    "Cores, boxes and castings are heavy and badly balanced: lift by the points shown, mind the weights.",
    buoyancy.CAUTION,
    "A dimensional verdict is not a pressure test, a material test or a non-destructive examination.",
)


SNUG_MM, EASY_MM = 0.2, 0.6  # below: it finds its place by itself; up to: by hand; common practice, no source


@frozen_by_name
class SheetPhoto:
    """A picture: `path` is where its bytes lie, None when they are not beside the record."""

    sha256: str
    media: str  # image/jpeg or image/png
    path: Path | None
    width_px: int
    height_px: int
    caption: str
    shown_name: str


def photos_of(record: Record, about: list[Id]) -> dict[Id, tuple[SheetPhoto, ...]]:
    """The pictures of each of these things, by the id of its first edition; what has none is not in it."""
    return {
        about_id: tuple(_photo(record, picture) for picture in pictures)
        for about_id, pictures in record.pictures(about).items()
    }


def _photo(record: Record, picture: Picture) -> SheetPhoto:
    attachment = picture.attachment
    path = stored_at(record.path, attachment.sha256)
    return SheetPhoto(
        sha256=attachment.sha256,
        media=attachment.media,
        path=path if path.is_file() else None,
        width_px=attachment.width_px,
        height_px=attachment.height_px,
        caption=picture.use.caption or attachment.shown_name,
        shown_name=attachment.shown_name,
    )


def gentle(clearance_mm: float) -> str:
    """How a print is to go in, by its clearance in mm, in words. Common practice, no source."""
    if clearance_mm < SNUG_MM:
        return "snug: let it find its place, never press"
    if clearance_mm <= EASY_MM:
        return "easy by hand"
    return "loose: it stays movable until its neighbours are in"
