"""Questions about the kit: fits, loops, passages, details of cores and tools, pictures, shipments; a job in one go."""

from __future__ import annotations

from collections.abc import Iterable

from inspect_tui.frozen import NamedTuple, frozen
from inspect_tui.model.kit import (
    Attachment,
    AttachmentUse,
    CoreDetail,
    Fit,
    Passage,
    PassagePoint,
    Shipment,
    ShipmentLine,
    Stack,
    StackMember,
    ToolDetail,
)
from inspect_tui.model.mould import CoreBody, MouldOutline, MouldParting, PartingStep
from inspect_tui.model.work import Feature, Job, ToolFeature
from inspect_tui.record import kinds
from inspect_tui.record.ask.jobs import Queries
from inspect_tui.record.conditions import MEASURED_AT


class ToolReading(NamedTuple):
    """A reading on a tool that counts, with what its uncertainty needs; mm (degrees for angles)."""

    id: bytes
    tool_of_id: bytes
    feature_id: bytes
    tool_feature_id: bytes
    value: float
    session_id: bytes
    at_us: int
    tz_min: int
    by: str
    instrument: str
    unit: str
    resolution: float
    u95_mm: float | None  # of the certificate in force, None without one
    k: float | None
    work_c: float | None
    instrument_c: float | None
    moisture: float | None
    u_right: float = 0.0  # what putting it right adds; nothing as it comes from the record


class ItemReading(NamedTuple):
    """A reading on a casting or sand core that counts; mm (degrees for angles)."""

    id: bytes
    item_id: bytes
    feature_id: bytes
    value: float
    at_us: int
    u95_mm: float | None
    k: float | None
    work_c: float | None
    instrument_c: float | None
    instrument: str = ""
    u_right: float = 0.0  # what putting it right adds; nothing as it comes from the record


@frozen
class Picture:
    """A picture and what it is shown for."""

    use: AttachmentUse
    attachment: Attachment


# a reading is out when it was corrected or voided, or its file was taken back; the view is asked only for the few that
# anybody answered
_COUNTS = (
    "(NOT EXISTS (SELECT 1 FROM supersede x WHERE x.target_id = r.id OR x.replacement_id = r.id) "
    "OR EXISTS (SELECT 1 FROM reading_that_counts c WHERE c.id = r.id)) "
    "AND r.setup_id NOT IN (SELECT b.id FROM setup_taken_back b)"
)


class KitQueries(Queries):
    """What a kit is made of."""

    # ---------------------------------------------------------------- one job in one go
    def job_features(self, job_of_id: bytes) -> list[Feature]:
        """The features of all revisions of a job with their ends."""
        return self._drawing("f.revision_id IN (SELECT id FROM drawing_revision WHERE job_of_id = ?)", job_of_id)

    def job_tool_features(self, job_of_id: bytes, until_us: int | None = None) -> list[ToolFeature]:
        """The features of all tools of a job as they stand (or stood at a moment), with their steps, oldest first."""
        kind, tools = kinds.TOOL_FEATURE, f"SELECT l.id FROM tool l WHERE l.job_of_id = ? AND {self.there('l.of_id')}"
        where = f"t.tool_id IN ({tools})"
        if until_us is None:
            return self._with_steps(self._current(kind, where, (job_of_id,)))
        rows = self._rows_of(
            f"SELECT {kind.select('t')} FROM tool_feature t JOIN entry e ON e.id = t.id WHERE {where} AND e.at_us <= ? "
            "AND NOT EXISTS (SELECT 1 FROM tool_feature r JOIN entry re ON re.id = r.id "
            "WHERE r.replaces_id = t.id AND re.at_us <= ?) ORDER BY e.at_us, t.id",
            (job_of_id, until_us, until_us),
        )
        latest = {thing.of_id: thing for thing in map(kind.thing, rows)}
        return self._with_steps([latest[of_id] for of_id in sorted(latest)])

    def tool_features_by_id(self, ids: Iterable[bytes]) -> dict[bytes, ToolFeature]:
        """Versions of tools' features with their steps, by id: what a reading was judged by when it was taken."""
        features: list[ToolFeature] = []
        for marks, part in self._in(set(ids)):
            features += self._all(kinds.TOOL_FEATURE, f"t.id IN ({marks})", part)
        return {feature.id: feature for feature in self._with_steps(features)}

    def job_at(self, job_of_id: bytes, until_us: int) -> Job | None:
        """A job as it stood at a moment; None when it was not there yet."""
        kind = kinds.JOB
        rows = self._rows_of(
            f"SELECT {kind.select('t')} FROM job t JOIN entry e ON e.id = t.id WHERE t.of_id = ? AND e.at_us <= ? "
            "ORDER BY e.at_us DESC, t.id DESC LIMIT 1",
            (job_of_id, until_us),
        )
        return kind.thing(rows[0]) if rows else None

    def tool_readings(self, job_of_id: bytes, until_us: int | None = None) -> list[ToolReading]:
        """Readings that count on the tools of a job, oldest first; `until_us` leaves out what came after that moment.

        With `until_us` a reading counts when nothing had taken its place by then.
        """
        counts = _COUNTS
        values: list[object] = [job_of_id]
        when = ""
        if until_us is not None:
            counts = (
                "NOT EXISTS (SELECT 1 FROM supersede x JOIN entry xe ON xe.id = x.id "
                "WHERE x.target_id = r.id AND xe.at_us <= ?) AND r.setup_id NOT IN (SELECT b.id FROM setup b "
                "JOIN import_file f ON f.session_id = b.session_id JOIN withdrawal w ON w.about_id = f.id "
                "JOIN entry we ON we.id = w.id WHERE w.state = 'withdrawn' AND we.at_us <= ? AND NOT EXISTS (SELECT 1 "
                "FROM withdrawal l JOIN entry le ON le.id = l.id WHERE l.about_id = f.id AND l.id > w.id "
                "AND le.at_us <= ?))"
            )
            when = "AND e.at_us <= ? "
            values += [until_us, until_us, until_us, until_us]
        rows = self._rows_of(
            f"SELECT r.id, t.of_id, r.feature_id, r.tool_feature_id, r.value, s.session_id, {MEASURED_AT} AS made_us, "
            "e.tz_min, "
            "p.initials, i.label, i.unit, i.resolution, c.u95_mm, c.k, s.work_c, s.instrument_c, s.moisture "
            "FROM tool t JOIN reading r ON r.tool_id = t.id "
            "JOIN entry e ON e.id = r.id JOIN setup s ON s.id = r.setup_id JOIN person p ON p.id = s.person_id "
            "JOIN instrument i ON i.id = s.instrument_id LEFT JOIN calibration c ON c.id = s.calibration_id "
            f"AND {self.there('c.id')} WHERE t.job_of_id = ? {when}AND {counts} AND {self.there('t.of_id')} "
            "ORDER BY made_us, r.id",
            values,
        )
        return [ToolReading(*row) for row in rows]

    def item_readings(self, item_ids: Iterable[bytes]) -> list[ItemReading]:
        """Readings that count on raw castings or cores, oldest first."""
        readings: list[ItemReading] = []
        for marks, part in self._in(self.ids_of(item_ids)):
            rows = self._rows_of(
                f"SELECT r.id, {self.as_one('r.item_id')}, r.feature_id, r.value, {MEASURED_AT}, c.u95_mm, c.k, "
                "s.work_c, s.instrument_c, i.label "
                "FROM reading r JOIN entry e ON e.id = r.id JOIN setup s ON s.id = r.setup_id "
                "JOIN instrument i ON i.id = s.instrument_id "
                f"LEFT JOIN calibration c ON c.id = s.calibration_id AND {self.there('c.id')} "
                f"WHERE r.item_id IN ({marks}) "
                f"AND s.state = 'raw' AND {_COUNTS} ORDER BY r.id",
                part,
            )
            readings += [ItemReading(*row) for row in rows]
        return readings

    def written_at(self, ids: Iterable[bytes]) -> dict[bytes, int]:
        """When rows were written, microseconds UTC."""
        times: dict[bytes, int] = {}
        for marks, part in self._in(ids):
            times.update(self._rows_of(f"SELECT id, at_us FROM entry WHERE id IN ({marks})", part))
        return times

    def tool_notes(self, job_of_id: bytes) -> list[tuple[bytes, int, str]]:
        """Notes about the tools of a job and repairs that hold: (tool of_id, written at, text), oldest first."""
        return self._rows_of(
            "SELECT t.of_id, e.at_us, n.text FROM tool t JOIN note n ON n.about_id = t.id JOIN entry e ON e.id = n.id "
            "WHERE t.job_of_id = ?1 UNION ALL "
            "SELECT p.tool_of_id, e.at_us, p.what FROM tool t JOIN tool_repair p ON p.tool_of_id = t.id "
            "JOIN entry e ON e.id = p.id WHERE t.job_of_id = ?1 "
            f"AND p.holds = 1 AND {self.there('p.of_id')} "
            "AND NOT EXISTS (SELECT 1 FROM tool_repair r WHERE r.replaces_id = p.id) ORDER BY 2",
            (job_of_id,),
        )

    # ---------------------------------------------------------------- the kit's own tables
    def fits(self, job_of_id: bytes, dropped: bool = False) -> list[Fit]:
        """The fits of a job, oldest first; with `dropped` also those that no longer hold."""
        fits: list[Fit] = self._current(kinds.FIT, "t.job_of_id = ?", (job_of_id,))
        return [fit for fit in fits if fit.active or dropped]

    def fit_versions(self, of_id: bytes) -> list[bytes]:
        """Every version's id of a fit, oldest first."""
        return [row[0] for row in self._rows_of("SELECT id FROM fit WHERE of_id = ? ORDER BY id", (of_id,))]

    def stacks(self, job_of_id: bytes) -> list[tuple[Stack, tuple[StackMember, ...]]]:
        """Loops that people wrote, each with its members in order."""
        stacks = [s for s in self._current(kinds.STACK, "t.job_of_id = ?", (job_of_id,)) if s.active]
        members: dict[bytes, list[StackMember]] = {}
        for marks, part in self._in(s.id for s in stacks):
            for member in self._all(kinds.STACK_MEMBER, f"t.stack_id IN ({marks})", part, "t.ord"):
                members.setdefault(member.stack_id, []).append(member)
        return [(s, tuple(members.get(s.id, ()))) for s in stacks]

    def passages(self, job_of_id: bytes) -> list[Passage]:
        """The derived characteristics of a job, oldest first."""
        return [p for p in self._current(kinds.PASSAGE, "t.job_of_id = ?", (job_of_id,)) if p.active]

    def passage_points(self, passage_ids: Iterable[bytes]) -> dict[bytes, tuple[PassagePoint, ...]]:
        """The points of the law that a customer states, in order, by the id of the passage's version."""
        return self._members(kinds.PASSAGE_POINT, "passage_id", passage_ids)

    def core_bodies(self, job_of_id: bytes) -> dict[bytes, tuple[CoreBody, ...]]:
        """The boxes of each core's body in order, by the core's of_id; cores without one are not named."""
        where = "t.core_of_id IN (SELECT of_id FROM core WHERE job_of_id = ?)"
        bodies: dict[bytes, list[CoreBody]] = {}
        for body in sorted(self._current(kinds.CORE_BODY, where, (job_of_id,)), key=lambda b: (b.ord, b.of_id)):
            if body.active:
                bodies.setdefault(body.core_of_id, []).append(body)
        return {core: tuple(boxes) for core, boxes in bodies.items()}

    def mould_outline(self, job_of_id: bytes) -> MouldOutline | None:
        """The box round the casting in its mould; of two the one that was said last."""
        outline: MouldOutline | None = self._last(kinds.MOULD_OUTLINE, "t.job_of_id = ?", (job_of_id,))
        return outline

    def mould_parting(self, job_of_id: bytes) -> tuple[MouldParting, tuple[PartingStep, ...]] | None:
        """The parting with its steps; of two the one that was said last."""
        parting = self._last(kinds.PARTING, "t.job_of_id = ?", (job_of_id,))
        return parting and (parting, self._members(kinds.PARTING_STEP, "parting_id", [parting.id]).get(parting.id, ()))

    def core_details(self, job_of_id: bytes) -> dict[bytes, CoreDetail]:
        """What setting each core takes, by the core's of_id; of two benches' the later."""
        where = "t.core_of_id IN (SELECT of_id FROM core WHERE job_of_id = ?)"
        return {d.core_of_id: d for d in self._current(kinds.CORE_DETAIL, where, (job_of_id,))}

    def tool_details(self, job_of_id: bytes) -> dict[bytes, ToolDetail]:
        """What shipping and keeping each tool takes, by the tool's of_id."""
        where = "t.tool_of_id IN (SELECT of_id FROM tool WHERE job_of_id = ?)"
        return {d.tool_of_id: d for d in self._current(kinds.TOOL_DETAIL, where, (job_of_id,))}

    def pictures(self, about_ids: Iterable[bytes]) -> dict[bytes, list[Picture]]:
        """Pictures shown for these things, in their order."""
        pictures: dict[bytes, list[Picture]] = {}
        for marks, part in self._in(about_ids):
            uses = [u for u in self._current(kinds.ATTACHMENT_USE, f"t.about_id IN ({marks})", part) if u.active]
            known: dict[bytes, Attachment] = {}
            for more, ids in self._in({u.attachment_id for u in uses}):
                known.update((a.id, a) for a in self._all(kinds.ATTACHMENT, f"t.id IN ({more})", ids))
            for use in sorted(uses, key=lambda u: (u.ord, u.of_id)):
                pictures.setdefault(use.about_id, []).append(Picture(use, known[use.attachment_id]))
        return pictures

    def pictured(self, about_kind: int) -> set[bytes]:
        """What of a kind has pictures: the ids that they are shown for."""
        uses = self._current(kinds.ATTACHMENT_USE, "t.about_kind = ?", (about_kind,))
        return {use.about_id for use in uses if use.active}

    def numbered_pictures(self) -> list[AttachmentUse]:
        """Pictures on which numbers of sizes stand, of all jobs."""
        return [use for use in self._current(kinds.ATTACHMENT_USE, "t.balloons IS NOT NULL") if use.active]

    def attachments(self, sha256: str | None = None) -> list[Attachment]:
        """Pictures in the record; with `sha256` those with that content."""
        if sha256 is None:
            return self._all(kinds.ATTACHMENT, "1")
        return self._all(kinds.ATTACHMENT, "t.sha256 = ?", (sha256,))

    def shipments(self, job_of_id: bytes) -> list[tuple[Shipment, tuple[ShipmentLine, ...]]]:
        """What left and came back, by day, with its lines; what came back goes with a shipment that is withdrawn."""
        where = f"t.job_of_id = ? AND {self.there('t.id', 't.out_id')}"
        out = self._all(kinds.SHIPMENT, where, (job_of_id,), "t.done_on, t.id")
        lines: dict[bytes, list[ShipmentLine]] = {}
        for marks, part in self._in(s.id for s in out):
            for line in self._all(kinds.SHIPMENT_LINE, f"t.shipment_id IN ({marks})", part, "t.ord"):
                lines.setdefault(line.shipment_id, []).append(line)
        return [(s, tuple(lines.get(s.id, ()))) for s in out]
