"""The rows of a file that the foundry sent back: the file and the stay under which what it says comes in."""

from __future__ import annotations

from inspect_tui.model.first_article import ImportFile
from inspect_tui.model.measuring import Session
from inspect_tui.model.words import Id
from inspect_tui.record.store import Record


def brought(
    record: Record, shown_name: str, sha256: str, job_of_id: Id, readings: int = 0, revision_id: Id | None = None
) -> tuple[ImportFile, Session]:
    """File and session. The file is written first: what follows up to the last of its session came and goes with it."""
    session = Session(
        id=record.new_id(),
        kind="core",
        job_of_id=job_of_id,
        revision_id=revision_id,
        title=f"taken in from {shown_name}"[:120],
    )
    file = ImportFile(
        sha256=sha256,
        shown_name=shown_name[:120] or "unnamed",
        job_of_id=job_of_id,
        session_id=session.id,
        readings=readings,
    )
    return file, session
