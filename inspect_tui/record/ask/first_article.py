"""Questions about samplings: readings of many castings, what cannot be measured, datums, imports, cuts, reports."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from inspect_tui.frozen import NamedTuple
from inspect_tui.model.foundry import SettingAnswer
from inspect_tui.model.signed import ArticleSign, Disposition, Geometry, GeometryCheck
from inspect_tui.model.words import Id
from inspect_tui.model.work import Item, ToolFeature
from inspect_tui.record import kinds
from inspect_tui.record.ask.readings import ReadingQueries
from inspect_tui.record.conditions import MEASURED_AT

TYPE_CHECKING = False
if TYPE_CHECKING:
    from inspect_tui.model.first_article import (
        CutAccepted,
        CutPromise,
        DatumTarget,
        ImportFile,
        ImportMapping,
        NotMeasurable,
        Realigned,
        ReportSnapshot,
    )


class SamplingReading(NamedTuple):
    """A reading that counts, as a sampling needs it; `value` in mm, deg or degC by the feature's quantity."""

    id: bytes
    feature_id: bytes
    item_id: bytes
    setup_id: bytes
    rep: int
    value: float
    typed: str
    typed_unit: str
    slip: str
    at_us: int
    tz_min: int


class OnTool(NamedTuple):
    """A reading on a tool that counts, with the version of the tool's feature that it was judged by."""

    id: bytes
    feature_id: bytes
    tool_of_id: bytes
    tool_feature_id: bytes
    setup_id: bytes
    rep: int
    value: float
    at_us: int
    tz_min: int


class Revised(NamedTuple):
    """A feature row of any revision of a job and the one that it was carried over from."""

    id: bytes
    same_as_id: bytes | None
    revision_id: bytes
    balloon: str


class FirstArticleQueries(ReadingQueries):
    """What a sampling, an import and a report ask of the record."""

    # ---------------------------------------------------------------- readings
    def taken(self, item_ids: Iterable[Id]) -> list[SamplingReading]:
        """Readings that count on these castings, in the order they were made."""
        readings: list[SamplingReading] = []
        for marks, part in self._in(self.ids_of(item_ids)):
            rows = self._rows_of(
                f"SELECT r.id, r.feature_id, {self.as_one('r.item_id')}, r.setup_id, r.rep, r.value, r.typed, "
                f"r.typed_unit, r.slip, {MEASURED_AT}, e.tz_min FROM reading r CROSS JOIN entry e ON e.id = r.id "
                "CROSS JOIN setup s ON s.id = r.setup_id "
                f"WHERE r.item_id IN ({marks}) AND EXISTS (SELECT 1 FROM reading_that_counts c WHERE c.id = r.id)",
                part,
            )
            readings += (SamplingReading(*row) for row in rows)
        return sorted(readings, key=lambda row: row.id)

    def taken_on_tools(self, job_of_id: Id, before_us: int | None = None) -> list[OnTool]:
        """Readings that count on the tools of a job, oldest first; `before_us`: made before that instant."""
        rows = self._rows_of(
            "SELECT r.id, r.feature_id, t.of_id, r.tool_feature_id, r.setup_id, r.rep, r.value, "
            f"{MEASURED_AT} AS made_us, e.tz_min "
            "FROM tool t CROSS JOIN reading r ON r.tool_id = t.id CROSS JOIN entry e ON e.id = r.id "
            "CROSS JOIN setup s ON s.id = r.setup_id "
            f"WHERE t.job_of_id = ? AND {self.there('t.of_id')} AND (? IS NULL OR {MEASURED_AT} < ?) "
            "AND EXISTS (SELECT 1 FROM reading_that_counts c WHERE c.id = r.id) ORDER BY made_us, r.id",
            (job_of_id, before_us, before_us),
        )
        return [OnTool(*row) for row in rows]

    def sizes_read_since(self, tool_of_id: Id, row_id: Id) -> set[Id]:
        """Features that were read on a tool after a row was written; ids rise with time."""
        rows = self._rows_of(
            "SELECT DISTINCT r.feature_id FROM tool t CROSS JOIN reading r ON r.tool_id = t.id AND r.id > ? "
            "WHERE t.of_id = ? AND EXISTS (SELECT 1 FROM reading_that_counts c WHERE c.id = r.id)",
            (row_id, tool_of_id),
        )
        return {row[0] for row in rows}

    def lots_measured(self, job_of_id: Id) -> set[Id]:
        """Lots of which at least one casting has a reading that counts."""
        rows = self._rows_of(
            f"SELECT l.id FROM lot l WHERE l.job_of_id = ? AND {self.there('l.id')} "
            "AND EXISTS (SELECT 1 FROM item i CROSS JOIN reading r ON r.item_id = i.id "
            f"WHERE i.lot_id = l.id AND {self.there('i.id')} AND EXISTS (SELECT 1 FROM reading_that_counts c "
            "WHERE c.id = r.id))",
            (job_of_id,),
        )
        return {row[0] for row in rows}

    def entry_times(self, ids: Iterable[Id]) -> dict[Id, tuple[int, int]]:
        """When rows of any kind were written: (microseconds UTC, minutes from UTC)."""
        times: dict[Id, tuple[int, int]] = {}
        for marks, part in self._in(ids):
            rows = self._rows_of(f"SELECT id, at_us, tz_min FROM entry WHERE id IN ({marks})", part)
            times.update((row[0], (row[1], row[2])) for row in rows)
        return times

    def revised_features(self, job_of_id: Id) -> list[Revised]:
        """Every feature row of every revision of a job."""
        rows = self._rows_of(
            "SELECT f.id, f.same_as_id, f.revision_id, f.balloon FROM drawing_revision d "
            "JOIN feature f ON f.revision_id = d.id WHERE d.job_of_id = ? ORDER BY d.id, f.ord, f.id",
            (job_of_id,),
        )
        return [Revised(*row) for row in rows]

    def castings(self, job_of_id: Id, lot_id: Id | None) -> list[Item]:
        """The castings of a lot (None: those without a lot), oldest first."""
        where = f"t.job_of_id = ? AND t.kind = 'casting' AND t.lot_id IS ? AND {self.there('t.id', 't.lot_id')}"
        return self._called(kinds.ITEM, where, (job_of_id, lot_id))

    def all_castings(self, job_of_id: Id) -> dict[Id | None, list[Item]]:
        """All castings of a job by their lot (None: those without one), oldest first."""
        by_lot: dict[Id | None, list[Item]] = {}
        where = f"t.job_of_id = ? AND t.kind = 'casting' AND {self.there('t.id', 't.lot_id')}"
        for item in self._called(kinds.ITEM, where, (job_of_id,)):
            by_lot.setdefault(item.lot_id, []).append(item)
        return by_lot

    def all_tool_features(self, job_of_id: Id, tools: Mapping[Id, Id]) -> dict[Id, list[ToolFeature]]:
        """Every version of the features of a job's tools with their steps, by the tool's first version.

        `tools`: what `tool_versions` says.
        """
        where = "t.tool_id IN (SELECT id FROM tool WHERE job_of_id = ?)"
        by_tool: dict[Id, list[ToolFeature]] = {}
        for version in self._with_steps(self._current(kinds.TOOL_FEATURE, where, (job_of_id,), True)):
            by_tool.setdefault(tools[version.tool_id], []).append(version)
        return by_tool

    # ---------------------------------------------------------------- what cannot be measured, datums, re-alignment
    def not_measurable(self, job_of_id: Id) -> list[NotMeasurable]:
        """What cannot be measured on castings of a job: the last word on each feature and casting, where it holds."""
        marked = self._all(
            kinds.NOT_MEASURABLE,
            "t.feature_id IN (SELECT f.id FROM feature f JOIN drawing_revision d ON d.id = f.revision_id "
            "WHERE d.job_of_id = ?)",
            (job_of_id,),
        )
        last = {(mark.feature_id, mark.item_id): mark for mark in marked}
        return [mark for mark in last.values() if mark.holds]

    def realigned(self, item_ids: Iterable[Id]) -> dict[Id, list[Realigned]]:
        """How castings were turned back, by casting: the last word for each axis, where it holds."""
        last: dict[tuple[Id, str], Realigned] = {}
        for marks, part in self._in(item_ids):
            for turn in self._all(kinds.REALIGNED, f"t.item_id IN ({marks})", part):
                last[turn.item_id, turn.axis] = turn
        by_item: dict[Id, list[Realigned]] = {}
        for turn in last.values():
            if turn.holds:
                by_item.setdefault(turn.item_id, []).append(turn)
        return by_item

    def datum_targets(self, job_of_id: Id) -> list[DatumTarget]:
        """What holds the castings of a job while they are measured, in the order it was written."""
        last = {target.label: target for target in self._all(kinds.DATUM_TARGET, "t.job_of_id = ?", (job_of_id,))}
        return [target for target in last.values() if target.holds]

    # ---------------------------------------------------------------- geometrical tolerances, decisions, signatures
    def geometries(self, job_of_id: Id) -> list[Geometry]:
        """The geometrical tolerances of a job that are in force, in the order they were entered."""
        every: list[Geometry] = self._current(kinds.GEOMETRY, "t.job_of_id = ?", (job_of_id,))
        return sorted((one for one in every if one.active), key=lambda one: one.of_id)

    def geometry_checks(self, job_of_id: Id) -> list[GeometryCheck]:
        """How they were looked at by another way than sizes: the last word on each casting, where it holds."""
        last: dict[tuple[Id, Id], GeometryCheck] = {}
        where = "t.geometry_of_id IN (SELECT id FROM geometry WHERE job_of_id = ?)"
        for check in self._all(kinds.GEOMETRY_CHECK, where, (job_of_id,)):
            last[check.geometry_of_id, check.item_id] = check
        return [check for check in last.values() if check.holds]

    def dispositions(self, job_of_id: Id) -> list[Disposition]:
        """What was decided about what does not conform, and holds, in the order it was first said."""
        every: list[Disposition] = self._current(kinds.DISPOSITION, "t.job_of_id = ?", (job_of_id,))
        return sorted((said for said in every if said.holds), key=lambda said: said.of_id)

    def jobs_reworked(self) -> list[Id]:
        """The jobs of which any casting was to be reworked."""
        return [row[0] for row in self._rows_of("SELECT DISTINCT job_of_id FROM disposition WHERE decision = 'rework'")]

    def article_signs(self, job_of_id: Id, lot_id: Id | None) -> dict[str, ArticleSign]:
        """Who checked and who released the first article of a sampling: the last word of each act, where it holds."""
        signs = self._all(kinds.ARTICLE_SIGN, "t.job_of_id = ? AND t.lot_id IS ?", (job_of_id, lot_id))
        last: dict[str, ArticleSign] = {sign.act: sign for sign in signs}
        return {act: sign for act, sign in last.items() if sign.holds}

    # ---------------------------------------------------------------- imports
    def import_mapping(self, signature: str, job_of_id: Id | None = None) -> ImportMapping | None:
        """The newest mapping for these headings: one of this job before one of any."""
        mappings: list[ImportMapping] = self._all(kinds.IMPORT_MAPPING, "t.signature = ?", (signature,))
        own = [mapping for mapping in mappings if mapping.job_of_id == job_of_id]
        mappings = own or mappings
        return mappings[-1] if mappings else None

    def import_mappings(self, job_of_id: Id) -> list[ImportMapping]:
        """The mappings that were made for files of a job, oldest first."""
        return self._all(kinds.IMPORT_MAPPING, "t.job_of_id = ?", (job_of_id,))

    def import_file(self, sha256: str) -> ImportFile | None:
        """The first time that these bytes were taken in; None when they never were, or were taken back."""
        files: list[ImportFile] = self._all(kinds.IMPORT_FILE, f"t.sha256 = ? AND {self.there('t.id')}", (sha256,))
        return files[0] if files else None

    def import_files(self, job_of_id: Id) -> list[ImportFile]:
        """The files that were taken in for a job, oldest first; those that were taken back are left out."""
        return self._all(kinds.IMPORT_FILE, f"t.job_of_id = ? AND {self.there('t.id')}", (job_of_id,))

    def brought_by(self, file: ImportFile) -> list[tuple[int, Id]]:
        """(kind number, id) of every row that was written with a file, in order: from it to the last of its session.

        In files of older programs new castings stand before it, and are not among them.
        """
        return self._rows_of(
            "SELECT e.kind, e.id FROM entry f JOIN entry e ON e.device_id = f.device_id AND e.seq > f.seq "
            "WHERE f.id = ?1 AND e.seq <= (SELECT max(l.seq) FROM entry l WHERE l.device_id = f.device_id "
            "AND l.id IN (SELECT ?2 UNION SELECT s.id FROM setup s WHERE s.session_id = ?2 "
            "UNION SELECT max(r.id) FROM setup s CROSS JOIN reading r ON r.setup_id = s.id WHERE s.session_id = ?2 "
            "GROUP BY s.id)) ORDER BY e.seq",
            (file.id, file.session_id),
        )

    def read_elsewhere(self, item_ids: Iterable[Id], session_id: Id | None) -> set[Id]:
        """Of these castings and sand cores those that have a reading of another session."""
        read: set[Id] = set()
        for marks, part in self._in(self.ids_of(item_ids)):
            rows = self._rows_of(
                f"SELECT DISTINCT {self.as_one('r.item_id')} FROM reading r CROSS JOIN setup s ON s.id = r.setup_id "
                f"WHERE r.item_id IN ({marks}) AND s.session_id IS NOT ?",
                [*part, session_id],
            )
            read.update(row[0] for row in rows)
        return read

    # ---------------------------------------------------------------- what the foundry said
    def setting_answers(self, job_of_id: Id) -> list[SettingAnswer]:
        """What the foundry said of the cores of a job as they were set, oldest first; not of files taken back."""
        where = f"t.job_of_id = ? AND {self.there('t.id')}"
        return self._all(kinds.SETTING_ANSWER, where, (job_of_id,))

    def answers_put_right(self, job_of_id: Id) -> dict[Id, Id]:
        """An answer -> the one in its place, which was written just before the word that took the old one out."""
        return dict(
            self._rows_of(
                "SELECT o.id, a.id FROM setting_answer o JOIN withdrawal w ON w.about_id = o.id "
                "JOIN entry e ON e.id = w.id JOIN entry b ON b.device_id = e.device_id AND b.seq = e.seq - 1 "
                "JOIN setting_answer a ON a.id = b.id WHERE o.job_of_id = ? AND a.what = o.what AND a.sort = o.sort "
                "AND a.core_of_id IS o.core_of_id ORDER BY w.id",
                (job_of_id,),
            )
        )

    def read_on_sand(self, job_of_id: Id) -> list[tuple[Id, Id, float]]:
        """Item, feature row and value of every reading on sand cores of a job that counts."""
        return self._rows_of(
            f"SELECT {self.as_one('r.item_id')}, r.feature_id, r.value FROM item i "
            "CROSS JOIN reading r ON r.item_id = i.id WHERE i.job_of_id = ? AND i.kind = 'core' "
            "AND EXISTS (SELECT 1 FROM reading_that_counts c WHERE c.id = r.id)",
            (job_of_id,),
        )

    def read_from_files(self, items: Iterable[Id]) -> list[tuple[Id, Id, str, float]]:
        """Item, feature row, state and value of every reading of files on these, of those too taken out of count.

        Not of files that were taken back as a whole.
        """
        read = []
        for marks, part in self._in(self.ids_of(items)):
            read += self._rows_of(
                f"SELECT {self.as_one('r.item_id')}, r.feature_id, s.state, r.value FROM reading r "
                f"CROSS JOIN setup s ON s.id = r.setup_id WHERE r.item_id IN ({marks}) AND s.session_id IN "
                f"(SELECT f.session_id FROM import_file f WHERE {self.there('f.id')})",
                part,
            )
        return read

    # ---------------------------------------------------------------- cuts and reports
    def cuts_accepted(self, job_of_id: Id) -> list[tuple[CutAccepted, tuple[CutPromise, ...]]]:
        """The cuts that became work, oldest first, each with what it promises."""
        cuts: list[CutAccepted] = self._all(kinds.CUT_ACCEPTED, "t.job_of_id = ?", (job_of_id,))
        promises: dict[Id, list[CutPromise]] = {}
        for marks, part in self._in(cut.id for cut in cuts):
            for promise in self._all(kinds.CUT_PROMISE, f"t.cut_id IN ({marks})", part):
                promises.setdefault(promise.cut_id, []).append(promise)
        return [(cut, tuple(promises.get(cut.id, ()))) for cut in cuts]

    def report_snapshots(self, job_of_id: Id | None = None) -> list[ReportSnapshot]:
        """Reports that were given out, oldest first."""
        where, values = ("1", ()) if job_of_id is None else ("t.job_of_id = ?", (job_of_id,))
        return self._all(kinds.REPORT_SNAPSHOT, where, values)

    def report_snapshot(self, snapshot_id: Id) -> ReportSnapshot:
        """One report that was given out."""
        snapshot: ReportSnapshot = self._by_id(kinds.REPORT_SNAPSHOT, snapshot_id)
        return snapshot
