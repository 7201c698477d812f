"""Which pictures there are, of what, since when and by whom, and where their bytes lie."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from inspect_tui.frozen import frozen_by_name
from inspect_tui.metrology.typed.show import moment
from inspect_tui.model.kit import AttachmentUse
from inspect_tui.model.words import Id
from inspect_tui.model.work import Job
from inspect_tui.record.attachments import stored_at
from inspect_tui.shop.pictures.owners import owners

if TYPE_CHECKING:
    from inspect_tui.record.read import Reader


@frozen_by_name
class Seen:
    """One picture of one thing; `path` is None where the bytes do not lie beside the record (at another bench)."""

    of: str  # what it shows, as people call it
    use: AttachmentUse
    name: str
    sha256: str
    caption: str | None
    width_px: int
    height_px: int
    bytes: int
    day: str
    by: str | None
    path: Path | None

    @property
    def title(self) -> str:
        """`core 3: from above (IMG_1.jpg, 4000 by 3000, 2026-03-02, JM)`."""
        said = f"{self.caption} ({self.name}" if self.caption else f"{self.name} ("
        parts = [f"{self.width_px} by {self.height_px}", self.day, *([self.by] if self.by else [])]
        return f"{self.of}: {said}{', ' if self.caption else ''}{', '.join(parts)})"


def of_job(reader: Reader, job: Job, about: Iterable[Id] | None = None) -> list[Seen]:
    """The pictures of a job's things in the order of the things; with `about` only of those ids."""
    wanted = None if about is None else set(about)
    names: Mapping[Id, str] = {owner.of_id: owner.name for owner in owners(reader, job)}
    if wanted is not None:
        names = {of_id: name for of_id, name in names.items() if of_id in wanted}
    shown = reader.pictures(names)
    entered = reader.entered_by(picture.use.of_id for pictures in shown.values() for picture in pictures)
    listed = []
    for of_id, name in names.items():
        for picture in shown.get(of_id, ()):
            at_us, tz_min, by = entered[picture.use.of_id]
            held = picture.attachment
            path = stored_at(reader.path, held.sha256)
            listed.append(
                Seen(
                    of=name,
                    use=picture.use,
                    name=held.shown_name,
                    sha256=held.sha256,
                    caption=picture.use.caption,
                    width_px=held.width_px,
                    height_px=held.height_px,
                    bytes=held.bytes,
                    day=moment(at_us, tz_min)[:10],
                    by=by,
                    path=path if path.is_file() else None,
                )
            )
    return listed
