"""Fixes what a first article says: the frontier it saw, its settings and its content, so it can be made again.

A snapshot names the last entry of every device that the report could see. Made again, it is computed from exactly
those rows, and compared with the hash of what was given out; where program or tables have changed since, the content
that was given out is kept in the snapshot and is what is given again.
"""

from __future__ import annotations

import json
import zlib
from base64 import b64decode, b64encode
from collections.abc import Mapping
from hashlib import sha256
from importlib.resources import files
from pathlib import Path
from typing import Any

from inspect_tui.errors import InspectError, NotFound, RecordError
from inspect_tui.frozen import frozen_by_name, replace
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.first_article import ReportSnapshot
from inspect_tui.model.words import Id
from inspect_tui.model.work import Job
from inspect_tui.record.attachments import stored_at
from inspect_tui.record.chain.ids import uuid_text
from inspect_tui.record.frontier import reader_at
from inspect_tui.record.read import Reader
from inspect_tui.record.store import Record
from inspect_tui.shop.first_article.article import PROGRAM, first_article
from inspect_tui.shop.first_article.castings.rounds import Round, pick_round
from inspect_tui.shop.first_article.result import FORMAT, FirstArticle, number_of, to_plain
from inspect_tui.shop.first_article.spoken import KEPT, apart

PAPER = "first_article"


def dress_of(style: Style, paper: str) -> dict[str, str]:
    """How a paper is written, as a snapshot keeps it: unit, decimals of inches, decimal mark and sheet."""
    return {"unit": style.unit, "places": str(style.places), "mark": style.mark, "paper": paper}


@frozen_by_name
class Again:
    """A report made again: `plain` is the content; `same` whether computing it anew gave the very same bytes.

    `why` says what differs when it did not; the content is then the one that was given out. `annex` is whether it was
    given out with what is for the pattern shop alone; `dress` is how the paper was written then (`dress_of`), empty
    of reports of before that was kept. `files`: where the pictures of the report lie, by their SHA-256.
    """

    snapshot: ReportSnapshot
    plain: dict[str, Any]
    text: str
    same: bool
    why: str | None
    annex: bool = True
    dress: Mapping[str, str] = {}
    files: Mapping[str, Path] = {}

    @property
    def style(self) -> Style:
        """How figures were written on the paper."""
        unit, mark = self.dress.get("unit", MM.unit), self.dress.get("mark", MM.mark)
        return Style(unit, int(self.dress.get("places", MM.places)), mark, printed=True)


def canonical_text(plain: dict[str, Any]) -> str:
    """The content as JSON text: the form that is hashed and that the JSON report is written in."""
    return json.dumps(plain, ensure_ascii=False, indent=1, allow_nan=False) + "\n"


def tables_sha256() -> str:
    """One hash over the shipped tables, by name and content."""
    total = sha256()
    tables = files("inspect_tui.metrology.sizes.tables")
    for table in sorted(tables.iterdir(), key=lambda file: file.name):
        if table.name.endswith(".csv"):
            total.update(table.name.encode() + b"\0" + table.read_bytes() + b"\0")
    return total.hexdigest()


def fix(
    record: Record,
    job: Job,
    round_: Round | str | None = None,
    by: Id | None = None,
    annex: bool = True,
    dress: Mapping[str, str] | None = None,
) -> Again:
    """Compute a first article, write its snapshot, and give both; the id of the snapshot stands in the content.

    `annex` False notes that it goes out without causes and cuts, so that printed again it goes out the same way.
    Raises DataError when nothing was measured, RecordError when the record may not be written.
    """
    chosen = round_ if isinstance(round_, Round) else pick_round(record, job, round_)
    snapshot_id = record.new_id()
    frontier = record.frontier()
    with reader_at(record.path, frontier, record.busy_s) as now:  # what another bench logs meanwhile is not in it
        result = first_article(now, now.job(job.of_id), chosen.label, placed=True, style=KEPT)
    plain = apart(to_plain(_with_id(result, snapshot_id)))
    text = canonical_text(plain)
    raw = text.encode("utf-8")
    stored: ReportSnapshot = record.add(
        ReportSnapshot(
            id=snapshot_id,
            paper=PAPER,
            job_of_id=job.of_id,
            lot_id=chosen.lot_id,
            frontier=json.dumps(frontier, sort_keys=True),
            rules=job.rule,
            program=PROGRAM,
            tables_sha256=tables_sha256(),
            settings=json.dumps({"round": chosen.label, "annex": annex, "dress": dict(dress or {})}),
            output_sha256=sha256(raw).hexdigest(),
            output=b64encode(zlib.compress(raw, 9)).decode("ascii"),
        ),
        by=by,
    )
    return Again(
        snapshot=stored,
        plain=plain,
        text=text,
        same=True,
        why=None,
        annex=annex,
        dress=dress or {},
        files=_files(record, plain),
    )


def _files(record: Reader, plain: Mapping[str, Any]) -> dict[str, Path]:
    """Where the pictures of a report lie."""
    pictures = (plain.get("places") or {}).get("pictures", ())
    return {picture["sha256"]: stored_at(record.path, picture["sha256"]) for picture in pictures}


def _with_id(result: FirstArticle, snapshot_id: Id) -> FirstArticle:
    return replace(result, identity=replace(result.identity, snapshot=uuid_text(snapshot_id)))


def again(record: Reader, snapshot: ReportSnapshot) -> Again:
    """The report of a snapshot: computed from the rows it saw, or as it was given out where that no longer agrees."""
    given = _given(snapshot)
    kept, was = json.loads(snapshot.settings), json.loads(given)
    made = Again(
        snapshot=snapshot,
        plain=was,
        text=given,
        same=True,
        why=None,
        annex=bool(kept.get("annex", True)),
        dress=kept.get("dress", {}),
        files=_files(record, was),
    )
    try:
        plain, text = _computed(record, snapshot, was.get("format", FORMAT))
    except InspectError as problem:
        return replace(made, same=False, why=f"It could not be computed again: {problem}")
    if sha256(text.encode("utf-8")).hexdigest() == snapshot.output_sha256:
        return replace(made, plain=plain, text=text)
    return replace(made, same=False, why=_why(snapshot))


def _computed(record: Reader, snapshot: ReportSnapshot, form: str) -> tuple[dict[str, Any], str]:
    then = reader_at(record.path, json.loads(snapshot.frontier), record.busy_s)
    try:
        job = then.job(snapshot.job_of_id)
        label = json.loads(snapshot.settings).get("round")
        now = number_of(form) >= number_of(FORMAT)
        result = first_article(then, job, label, placed=now, style=KEPT if now else MM)
    finally:
        then.close()
    # the program's name is part of what was given out, not of what the rows say
    result = _with_id(result, snapshot.id)
    plain = to_plain(replace(result, identity=replace(result.identity, program=snapshot.program)), form)
    plain = apart(plain) if now else plain
    return plain, canonical_text(plain)


def _given(snapshot: ReportSnapshot) -> str:
    try:
        raw = zlib.decompress(b64decode(snapshot.output, validate=True))
    except (ValueError, zlib.error) as problem:
        raise RecordError(f"The content of this report cannot be unpacked ({problem}): verify the record.") from None
    if sha256(raw).hexdigest() != snapshot.output_sha256:
        raise RecordError("The content of this report does not agree with its hash: verify the record.")
    return raw.decode("utf-8")


def _why(snapshot: ReportSnapshot) -> str:
    said = []
    if snapshot.program != PROGRAM:
        said.append(f"it was made by {snapshot.program}, this is {PROGRAM}")
    if snapshot.tables_sha256 != tables_sha256():
        said.append("the shipped tables have changed")
    reason = " and ".join(said) or "the program has changed since, or this machine computes the last digits differently"
    return f"Computed again it differs ({reason}): this is the content as it was given out."


def find_snapshot(record: Reader, job: Job, name: str | None = None) -> ReportSnapshot:
    """A snapshot of a job by the beginning of its id; without one the newest."""
    given_out = [snapshot for snapshot in record.report_snapshots(job.of_id) if snapshot.paper == PAPER]
    if not given_out:
        raise NotFound(f"No first-article report of job {job.number} was given out yet.")
    if name is None:
        return given_out[-1]
    wanted = name.strip().casefold()
    fits = [snapshot for snapshot in given_out if uuid_text(snapshot.id).startswith(wanted)]
    if len(fits) != 1:
        shown = ", ".join(uuid_text(snapshot.id) for snapshot in given_out[-4:])
        raise NotFound(f"There is {'no' if not fits else 'more than one'} report {name}; the newest are: {shown}.")
    return fits[0]
