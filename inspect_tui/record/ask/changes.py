"""Questions about what was said of things later on: which two are one thing, what depends on one, what was changed."""

from __future__ import annotations

from collections.abc import Sequence

from inspect_tui.frozen import NamedTuple
from inspect_tui.record import kinds
from inspect_tui.record.ask.jobs import Queries
from inspect_tui.record.conditions import newest
from inspect_tui.record.kinds import Kind

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import Any

    from inspect_tui.model.changes import SameThing

_CURRENT = newest("{table}")
_ITEMS = "SELECT count(*) FROM item i CROSS JOIN reading r ON r.item_id = i.id WHERE "
_SETUPS = "SELECT count(*) FROM {table} x CROSS JOIN setup s ON s.{column} = x.id CROSS JOIN reading r "
_SETUPS += "ON r.setup_id = s.id WHERE x.{which} = ?"
_VERSIONS = "(SELECT v.id FROM {table} v WHERE v.of_id = ?1)"

_TRIALS = (
    "SELECT count(DISTINCT t.of_id) FROM proving_line l CROSS JOIN proving t ON t.id = l.proving_id "
    f"WHERE l.{{column}} = ? AND t.holds = 1 AND {_CURRENT.format(table='proving')} AND {{{{there}}}}"
)

# kind -> what else there is that belongs to a thing of it or names it, each with the question how many
_DEPENDING: dict[int, tuple[tuple[str, str], ...]] = {
    kinds.JOB.number: (
        ("tools", f"SELECT count(*) FROM tool t WHERE t.job_of_id = ? AND {_CURRENT.format(table='tool')}"),
        ("castings and sand cores", "SELECT count(*) FROM item t WHERE t.job_of_id = ?"),
        (
            "readings",
            "SELECT count(*) FROM drawing_revision d CROSS JOIN feature f ON f.revision_id = d.id "
            "CROSS JOIN reading r ON r.feature_id = f.id WHERE d.job_of_id = ?",
        ),
        ("papers given out", "SELECT count(*) FROM report_snapshot t WHERE t.job_of_id = ?"),
    ),
    kinds.TOOL.number: (
        ("readings", "SELECT count(*) FROM tool t CROSS JOIN reading r ON r.tool_id = t.id WHERE t.of_id = ?"),
        (
            "counts",
            f"SELECT count(*) FROM tool_count t WHERE t.tool_of_id = ? AND {_CURRENT.format(table='tool_count')}",
        ),
        ("trials", _TRIALS.format(column="tool_of_id")),
        (
            "tools made from it",
            f"SELECT count(*) FROM tool t WHERE t.made_from_id IN {_VERSIONS.format(table='tool')} "
            f"AND {_CURRENT.format(table='tool')}",
        ),
    ),
    kinds.CORE.number: (
        ("trials", _TRIALS.format(column="core_of_id")),
        (
            "tools",
            f"SELECT count(*) FROM tool t WHERE t.core_id IN {_VERSIONS.format(table='core')} "
            f"AND {_CURRENT.format(table='tool')} AND {{there}}",
        ),
        (
            "fits",
            f"SELECT count(*) FROM fit t WHERE (t.inner_core_id IN {_VERSIONS.format(table='core')} OR t.outer_core_id "
            f"IN {_VERSIONS.format(table='core')}) AND t.active = 1 AND {_CURRENT.format(table='fit')} AND {{there}}",
        ),
        ("sand cores", f"SELECT count(*) FROM item t WHERE t.core_id IN {_VERSIONS.format(table='core')}"),
        (
            "sizes of the drawing",
            "SELECT count(DISTINCT e.feature_id) FROM feature_end e CROSS JOIN feature f ON f.id = e.feature_id "
            f"WHERE e.core_id IN {_VERSIONS.format(table='core')} AND f.revision_id IN (SELECT max(d.id) FROM "
            "drawing_revision d GROUP BY d.job_of_id)",
        ),
    ),
    kinds.ITEM.number: (("readings", f"{_ITEMS}{{item}} = ?"),),
    kinds.LOT.number: (
        ("castings and sand cores", "SELECT count(*) FROM item t WHERE t.lot_id = ?"),
        ("readings", f"{_ITEMS}i.lot_id = ?"),
    ),
    kinds.PERSON.number: (("readings", _SETUPS.format(table="person", column="person_id", which="of_id")),),
    kinds.INSTRUMENT.number: (
        ("readings", _SETUPS.format(table="instrument", column="instrument_id", which="of_id")),
        ("studies", "SELECT count(*) FROM gauge_study t WHERE t.instrument_of_id = ?"),
    ),
    kinds.CALIBRATION.number: (("readings", _SETUPS.format(table="calibration", column="calibration_id", which="id")),),
    kinds.IMPORT_FILE.number: (
        (
            "readings",
            "SELECT count(*) FROM import_file f CROSS JOIN setup s ON s.session_id = f.session_id "
            "CROSS JOIN reading r ON r.setup_id = s.id WHERE f.id = ?",
        ),
    ),
    kinds.GAUGE_STUDY.number: (("readings", "SELECT count(*) FROM gauge_trial t WHERE t.study_id = ?"),),
    kinds.FIT.number: (
        ("trials", _TRIALS.format(column="fit_of_id")),
        ("parts of loops", f"SELECT count(*) FROM stack_member t WHERE t.fit_id IN {_VERSIONS.format(table='fit')}"),
    ),
    kinds.FEATURE.number: (
        ("readings", "SELECT count(*) FROM reading t WHERE t.feature_id = ?"),
        (
            "fits",
            "SELECT count(*) FROM fit t WHERE ?1 IN (t.inner_feature_id, t.outer_feature_id, t.gap_feature_id) "
            f"AND t.active = 1 AND {_CURRENT.format(table='fit')}",
        ),
        ("parts of loops", "SELECT count(*) FROM stack_member t WHERE t.feature_id = ?"),
    ),
}


class Version(NamedTuple):
    """A version of a thing and the one that it took the place of; when (microseconds UTC, offset) and by whom."""

    now: Any
    before: Any
    at_us: int
    tz_min: int
    by: str | None


class Said(NamedTuple):
    """A row that says something of another thing; when (microseconds UTC, offset) and by whom."""

    thing: Any
    at_us: int
    tz_min: int
    by: str | None


class Written(NamedTuple):
    """How many rows of a kind somebody (initials; None: nobody named) wrote on a day (ISO, by the bench's clock)."""

    day: str
    by: str | None
    kind: int
    n: int


# the day by the clock of the bench that wrote; who measured stands in the setup of what was measured
_DAY = "date((e.at_us / 1000000) + e.tz_min * 60, 'unixepoch')"
_MEASURED = {kinds.READING: "reading", kinds.GAUGE_CHECK: "gauge_check", kinds.GAUGE_TRIAL: "gauge_trial"}


class ChangeQueries(Queries):
    """Things that are the same, what depends on one, what was changed; what is withdrawn stands with the jobs."""

    def depending(self, kind: Kind, of_id: bytes) -> dict[str, int]:
        """How many others belong to a thing or name it, by what they are; what there is none of is left out."""
        there, item = self.there("t.of_id"), self.as_one("i.id")
        counted = {
            what: self._rows_of(sql.replace("{there}", there).replace("{item}", item), (of_id,))[0][0]
            for what, sql in _DEPENDING.get(kind.number, ())
        }
        return {what: n for what, n in counted.items() if n}

    def versions_since(self, kind: Kind, since_us: int) -> list[Version]:
        """Every change of a versioned kind from that moment on (microseconds UTC), oldest first."""
        n = len(kind.names)
        rows = self._rows_of(
            f"SELECT {kind.select('t')}, {kind.select('b')}, e.at_us, e.tz_min, p.initials FROM {kind.table} t "
            f"JOIN {kind.table} b ON b.id = t.replaces_id JOIN entry e ON e.id = t.id "
            "LEFT JOIN person p ON p.id = e.by_id WHERE e.at_us >= ? ORDER BY t.id",
            (since_us,),
        )
        return [Version(kind.thing(row[:n]), kind.thing(row[n : 2 * n]), *row[2 * n :]) for row in rows]

    def said_since(self, kind: Kind, since_us: int) -> list[Said]:
        """Every row of a kind that was written from that moment on (microseconds UTC), oldest first."""
        n = len(kind.names)
        rows = self._rows_of(
            f"SELECT {kind.select('t')}, e.at_us, e.tz_min, p.initials FROM {kind.table} t "
            "JOIN entry e ON e.id = t.id LEFT JOIN person p ON p.id = e.by_id WHERE e.at_us >= ? ORDER BY t.id",
            (since_us,),
        )
        return [Said(kind.thing(row[:n]), *row[n:]) for row in rows]

    def written_by_day(self, since_us: int, until_us: int) -> list[Written]:
        """What was written between two moments (microseconds UTC), by day, person and kind."""
        numbers = ", ".join(str(kind.number) for kind in _MEASURED)
        rows = self._rows_of(
            f"SELECT {_DAY}, p.initials, e.kind, count(*) FROM entry e LEFT JOIN person p ON p.id = e.by_id "
            f"WHERE e.at_us >= ? AND e.at_us < ? AND e.kind NOT IN ({numbers}) GROUP BY 1, 2, 3",
            (since_us, until_us),
        )
        for kind, table in _MEASURED.items():
            rows += self._rows_of(
                f"SELECT {_DAY}, p.initials, {kind.number}, count(*) FROM entry e CROSS JOIN {table} t ON t.id = e.id "
                "CROSS JOIN setup s ON s.id = t.setup_id LEFT JOIN person p ON p.id = s.person_id "
                f"WHERE e.at_us >= ? AND e.at_us < ? AND e.kind = {kind.number} GROUP BY 1, 2",
                (since_us, until_us),
            )
        return [Written(*row) for row in rows]

    def as_entered(self, kind: Kind, row_id: bytes) -> Any:
        """A row as it was written, whatever was said of it later; NotFound when there is none."""
        return self._by_id(kind, row_id)

    def now_of(self, kind: Kind, of_id: bytes) -> Any:
        """The version of a thing that counts now, withdrawn or not."""
        versions = self._current(kind, "t.of_id = ?", (of_id,), gone=True)
        return versions[0] if versions else self._by_id(kind, of_id)

    def notes_on(self, kind: Kind) -> dict[bytes, str]:
        """What was noted about rows of a kind, the last words, by the row's id."""
        return {note.about_id: note.text for note in self._all(kinds.NOTE, "t.about_kind = ?", (kind.number,))}

    def readings_named(self, ids: Sequence[bytes]) -> dict[bytes, tuple[bytes, str, bytes | None, bytes | None, str]]:
        """What readings are of: (feature, its balloon, tool, item, as typed), by reading."""
        named: dict[bytes, tuple[bytes, str, bytes | None, bytes | None, str]] = {}
        for marks, part in self._in(ids):
            rows = self._rows_of(
                f"SELECT r.id, r.feature_id, f.balloon, r.tool_id, {self.as_one('r.item_id')}, "
                "r.typed || ' ' || r.typed_unit "
                f"FROM reading r CROSS JOIN feature f ON f.id = r.feature_id WHERE r.id IN ({marks})",
                part,
            )
            named.update((row[0], row[1:]) for row in rows)
        return named

    def same_things(self, about_kind: int | None = None) -> list[SameThing]:
        """What was last said of each pair of things, same or apart, oldest pair first."""
        where, values = ("1", ()) if about_kind is None else ("t.about_kind = ?", (about_kind,))
        rows = self._rows_of(
            f"SELECT {kinds.SAME_THING.select('t')} FROM same_thing t WHERE {where} ORDER BY t.id", values
        )
        said: dict[frozenset[bytes], SameThing] = {}
        for thing in map(kinds.SAME_THING.thing, rows):
            said[frozenset((thing.this_id, thing.that_id))] = thing
        return list(said.values())
