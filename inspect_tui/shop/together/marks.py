"""Where it has to be seen that two benches said something apart: of which thing, size or reading, in which job."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from inspect_tui.frozen import NamedTuple
from inspect_tui.model.words import Id
from inspect_tui.record import kinds

if TYPE_CHECKING:
    from inspect_tui.record.merge.clashes import Clash
    from inspect_tui.record.read import Reader

EDITED_TWICE, CONTESTED = "edited twice", "contested"
WORD: Mapping[str, str] = {"name": CONTESTED, "version": EDITED_TWICE, "reading": CONTESTED}
SIGN = "≠"
CASTINGS = b"castings"
# what a row of its own kind says something of: seen where that thing is shown
OWNERS: Mapping[str, kinds.Kind] = {
    "tool_of_id": kinds.TOOL,
    "core_of_id": kinds.CORE,
    "core_id": kinds.CORE,
    "inner_core_id": kinds.CORE,
    "outer_core_id": kinds.CORE,
    "instrument_of_id": kinds.INSTRUMENT,
    "item_id": kinds.ITEM,
}


class Mark(NamedTuple):
    """One thing to decide as it is shown; `job` is the of_id of its job, None where it is of the whole shop."""

    clash: Clash
    job: Id | None = None

    @property
    def words(self) -> str:
        """`EDITED TWICE: tool box 1`."""
        return f"{WORD[self.clash.sort].upper()}: {self.clash.called}"


class Marks:
    """Everything that is to be decided, found by what it is of: `said` of a thing, `of_job` of all that a job shows.

    A thing goes by its of_id, its id where it has no versions; a size on a piece by `on(piece, feature)`.
    """

    def __init__(self, marks: Sequence[Mark] = (), of: Mapping[bytes, Mark] | None = None) -> None:
        self.marks, self._of = tuple(marks), of or {}

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Marks) and (self.marks, self._of) == (other.marks, other._of)

    __hash__ = None  # type: ignore[assignment]

    def at(self, *of: bytes) -> Mark | None:
        """The mark of the first of these that has one."""
        return next((self._of[key] for key in of if key in self._of), None)

    def said(self, *of: bytes) -> str:
        """`≠ contested`, `≠ edited twice`, or '' where nothing is to be decided of any of these."""
        mark = self.at(*of)
        return f"{SIGN} {WORD[mark.clash.sort]}" if mark is not None else ""

    def sign(self, *of: bytes) -> str:
        """The sign for where there is no room for the word, or ''."""
        return SIGN if self.at(*of) is not None else ""

    def of_job(self, job: Id | None) -> list[Mark]:
        """What is to be decided of a job (of_id) and of the whole shop, the job's own first; None: everything."""
        if job is None:
            return list(self.marks)
        return sorted((mark for mark in self.marks if mark.job in (job, None)), key=lambda mark: mark.job is None)


def nearest(at_hand: Mark | None, marks: Sequence[Mark]) -> list[Mark]:
    """These marks, that of what is at hand first."""
    return list(marks) if at_hand is None else [at_hand, *(mark for mark in marks if mark != at_hand)]


def on(piece: Id, feature: Id) -> bytes:
    """The key of a size (any edition of its feature) on a tool (of_id) or a casting; on `CASTINGS`, any of them."""
    return piece + feature


def marks(reader: Reader, clashes: Iterable[Clash]) -> Marks:
    """The marks of what is to be decided."""
    made: list[Mark] = []
    of: dict[bytes, Mark] = {}
    here = _Where(reader)
    for clash in clashes:
        keys, job = here.of(clash)
        mark = Mark(clash, job)
        made.append(mark)
        for key in keys:
            of.setdefault(key, mark)
    return Marks(made, of)


class _Where:
    """Finds what a clash is of; editions of features are read once a job."""

    def __init__(self, reader: Reader) -> None:
        self.reader = reader
        self._editions: dict[Id, dict[Id, list[Id]]] = {}

    def of(self, clash: Clash) -> tuple[list[bytes], Id | None]:
        """The keys that it is found by, and the of_id of its job."""
        if clash.sort == "reading":
            answer = self.reader.as_entered(kinds.SUPERSEDE, clash.ids[0])
            reading = self.reader.as_entered(kinds.READING, answer.target_id)
            keys, job = self._size(self._pieces(reading), reading.feature_id)
            return [answer.target_id, *keys], job
        rows = [self.reader.as_entered(clash.kind, id_) for id_ in clash.ids]
        keys = [self.reader.first_of(getattr(row, "of_id", row.id)) for row in rows]
        row = rows[-1]
        if clash.kind is kinds.FEATURE:
            return keys, self.reader.revision(row.revision_id).job_of_id
        if clash.kind is kinds.TOOL_FEATURE:
            of_size, job = self._size(self._pieces(row), row.feature_id)
            return [*keys, *of_size], job
        return [*keys, *(self._of_id(kind, of) for kind, of in self._owners(row))], self._job(clash.kind, row)

    def _owners(self, row: Any) -> list[tuple[kinds.Kind, Id]]:
        return [(kind, getattr(row, name)) for name, kind in OWNERS.items() if getattr(row, name, None)]

    def _of_id(self, kind: kinds.Kind, id_: Id) -> Id:
        """The id that a thing goes by, from that of any of its versions."""
        return self.reader.first_of(self.reader.as_entered(kind, id_).of_id if kind.versioned else id_)

    def _pieces(self, row: Any) -> list[Id]:
        item = getattr(row, "item_id", None)
        return [self._of_id(kinds.ITEM, item), CASTINGS] if item else [self._of_id(kinds.TOOL, row.tool_id)]

    def _size(self, pieces: Sequence[Id], feature_id: Id) -> tuple[list[bytes], Id]:
        """The keys of a size on pieces, by every edition of its feature."""
        job = self.reader.revision(self.reader.feature(feature_id).revision_id).job_of_id
        return [on(piece, each) for piece in pieces for each in self._of_feature(job, feature_id)], job

    def _of_feature(self, job: Id, feature_id: Id) -> list[Id]:
        from inspect_tui.shop.common import lineage

        if job not in self._editions:
            rows = self.reader.job_features(job)
            lines = lineage.of_job(self.reader, self.reader.job(job), rows)
            firsts: dict[Id, list[Id]] = {}
            for row in rows:
                firsts.setdefault(lines.feature(row.id), []).append(row.id)
            self._editions[job] = {row: every for every in firsts.values() for row in every}
        return self._editions[job].get(feature_id, [feature_id])

    def _job(self, kind: kinds.Kind, row: Any) -> Id | None:
        if kind is kinds.JOB:
            return self.reader.first_of(row.of_id)
        if getattr(row, "job_of_id", None):
            return self.reader.first_of(row.job_of_id)
        for owner, of in self._owners(row):
            if owner is not kinds.INSTRUMENT:
                return self.reader.first_of(self.reader.as_entered(owner, of).job_of_id)
        return None
