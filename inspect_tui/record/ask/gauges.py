"""Questions about gauges: studies and their readings, checks on reference pieces, biases, what an instrument read."""

from __future__ import annotations

from inspect_tui.errors import NotFound
from inspect_tui.frozen import NamedTuple, frozen, frozen_by_name
from inspect_tui.model.measuring import Calibration, Instrument, Person, Setup
from inspect_tui.model.work import Feature, Item
from inspect_tui.record import kinds
from inspect_tui.record.ask.readings import LoggedReading, ReadingQueries
from inspect_tui.record.conditions import MEASURED_AT

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from typing import Any

    from inspect_tui.model.gauges import (
        GaugeCheck,
        GaugePart,
        GaugePerson,
        GaugeStudy,
        GaugeTrial,
        InstrumentBias,
        InstrumentProfile,
        InstrumentState,
    )

# a row that a later one took the place of does not count
COUNTS = "NOT EXISTS (SELECT 1 FROM {table} x WHERE x.instead_of_id = t.id)"


class LoggedTrial(NamedTuple):
    """A trial of a study that counts, with who read it and when."""

    trial: GaugeTrial
    part: int
    person_of_id: bytes
    by: str
    at_us: int
    tz_min: int


@frozen_by_name
class LoggedCheck:
    """A reading of a reference piece, with who read it and when; `out` when a later one took its place."""

    check: GaugeCheck
    setup: Setup
    by: str
    at_us: int
    tz_min: int
    out: bool


class CheckRead(NamedTuple):
    """A reading of a reference piece that counts, with what tells whether the gauge passed; mm, degrees."""

    id: bytes
    reference: str
    reference_mm: float
    u95_mm: float
    value: float
    at_us: int
    tz_min: int


@frozen
class StudyCell:
    """What a complete or running crossed study says of one instrument: one reading that counts."""

    study_id: bytes
    part: int
    person_of_id: bytes
    value: float


class GaugeQueries(ReadingQueries):
    """Studies, checks, biases, and the readings that were taken with one instrument."""

    # ---------------------------------------------------------------- studies
    def gauge_studies(self, instrument_of_id: bytes | None = None) -> list[GaugeStudy]:
        """The studies of an instrument, or all, oldest first."""
        if instrument_of_id is None:
            return self._called(kinds.GAUGE_STUDY, self.there("t.id"))
        where = f"t.instrument_of_id = ? AND {self.there('t.id')}"
        return self._called(kinds.GAUGE_STUDY, where, (instrument_of_id,))

    def gauge_study(self, study_id: bytes) -> GaugeStudy:
        """One study."""
        study: GaugeStudy = self._called_one(kinds.GAUGE_STUDY, study_id)
        return study

    def gauge_parts(self, study_id: bytes) -> list[GaugePart]:
        """The pieces of a study by number."""
        return self._all(kinds.GAUGE_PART, "t.study_id = ?", (study_id,), "t.number")

    def gauge_people(self, study_id: bytes) -> list[GaugePerson]:
        """The people of a study by number."""
        return self._all(kinds.GAUGE_PERSON, "t.study_id = ?", (study_id,), "t.number")

    def gauge_trials(self, study_id: bytes) -> list[LoggedTrial]:
        """The readings of a study that count, in the order they were made."""
        kind, n = kinds.GAUGE_TRIAL, len(kinds.GAUGE_TRIAL.names)
        rows = self._rows_of(
            f"SELECT {kind.select('t')}, g.number, p.of_id, p.initials, e.at_us, e.tz_min FROM gauge_trial t "
            "JOIN gauge_part g ON g.id = t.part_id JOIN setup s ON s.id = t.setup_id "
            "JOIN person p ON p.id = s.person_id JOIN entry e ON e.id = t.id "
            f"WHERE t.study_id = ? AND {COUNTS.format(table='gauge_trial')} ORDER BY t.id",
            (study_id,),
        )
        return [LoggedTrial(kind.thing(row[:n]), *row[n:]) for row in rows]

    def study_cells(self, instrument_of_id: bytes) -> dict[bytes, list[StudyCell]]:
        """Readings that count of every crossed study of an instrument, by study: what its budget is fed with."""
        cells: dict[bytes, list[StudyCell]] = {}
        for row in self._rows_of(
            "SELECT t.study_id, g.number, p.of_id, t.value FROM gauge_study u JOIN gauge_trial t ON t.study_id = u.id "
            "JOIN gauge_part g ON g.id = t.part_id JOIN setup s ON s.id = t.setup_id "
            "JOIN person p ON p.id = s.person_id WHERE u.instrument_of_id = ? AND u.design = 'crossed' "
            f"AND {self.there('u.id')} AND {COUNTS.format(table='gauge_trial')} ORDER BY t.id",
            (instrument_of_id,),
        ):
            cells.setdefault(row[0], []).append(StudyCell(*row))
        return cells

    # ---------------------------------------------------------------- checks and biases, in use or not
    def checks_read(self, instrument_of_id: bytes) -> list[CheckRead]:
        """Readings of reference pieces with an instrument that count, oldest first."""
        return [check for _, check in self._checks("i.of_id = ?", (instrument_of_id,))]

    def all_checks_read(self) -> dict[bytes, list[CheckRead]]:
        """The same of every instrument, by its first version."""
        checks: dict[bytes, list[CheckRead]] = {}
        for instrument, check in self._checks("1", ()):
            checks.setdefault(instrument, []).append(check)
        return checks

    def _checks(self, where: str, values: Sequence[Any]) -> list[tuple[bytes, CheckRead]]:
        rows = self._rows_of(
            f"SELECT i.of_id, t.id, t.reference, t.reference_mm, t.u95_mm, t.value, {MEASURED_AT} AS made_us, e.tz_min "
            "FROM gauge_check t CROSS JOIN setup s ON s.id = t.setup_id "  # setups are of readings, mostly
            "CROSS JOIN instrument i ON i.id = s.instrument_id CROSS JOIN entry e ON e.id = t.id "
            f"WHERE {where} AND {COUNTS.format(table='gauge_check')} ORDER BY made_us, t.id",
            values,
        )
        return [(row[0], CheckRead(*row[1:])) for row in rows]

    def all_instrument_states(self) -> list[InstrumentState]:
        """When instruments were taken out of use and back, in the order it was said."""
        return self._all(kinds.INSTRUMENT_STATE, "1")

    def all_biases(self) -> list[InstrumentBias]:
        """The biases of all instruments, by the day they began; those that another took the place of are among them."""
        return self._all(kinds.INSTRUMENT_BIAS, "1", (), "t.from_on, t.id")

    def studied(self) -> set[bytes]:
        """The instruments (their first versions) that a crossed study was begun of."""
        crossed = f"SELECT u.instrument_of_id FROM gauge_study u WHERE u.design = 'crossed' AND {self.there('u.id')}"
        return {row[0] for row in self._rows_of(crossed)}

    def instrument_states(self, instrument_of_id: bytes) -> list[InstrumentState]:
        """When an instrument was taken out of use and back, in the order it was said; the last that has begun holds."""
        return self._all(kinds.INSTRUMENT_STATE, "t.instrument_of_id = ?", (instrument_of_id,))

    def instrument_profiles(self) -> dict[bytes, InstrumentProfile]:
        """How gauges speak, by the instrument's of_id; of two benches' the later."""
        return {profile.instrument_of_id: profile for profile in self._current(kinds.INSTRUMENT_PROFILE, "1")}

    def out_of_use(self, day: str) -> list[InstrumentState]:
        """Of every instrument that is out of use on a day (ISO date) the row that says so."""
        begun = self._all(kinds.INSTRUMENT_STATE, "t.since_on <= ?", (day,))
        last = {state.instrument_of_id: state for state in begun}
        return [state for state in last.values() if state.state == "out_of_use"]

    def gauge_checks(self, instrument_of_id: bytes, replaced: bool = False) -> list[LoggedCheck]:
        """Readings of reference pieces with an instrument, oldest first; `replaced`: also what does not count."""
        kind, setup = kinds.GAUGE_CHECK, kinds.SETUP
        n, m = len(kind.names), len(setup.names)
        rows = self._rows_of(
            f"SELECT {kind.select('t')}, {setup.select('s')}, p.initials, {MEASURED_AT} AS made_us, e.tz_min, "
            f"NOT {COUNTS.format(table='gauge_check')} FROM gauge_check t CROSS JOIN setup s ON s.id = t.setup_id "
            "CROSS JOIN instrument i ON i.id = s.instrument_id CROSS JOIN person p ON p.id = s.person_id "
            # setups are of readings, mostly
            "CROSS JOIN entry e ON e.id = t.id WHERE i.of_id = ? ORDER BY made_us, t.id",
            (instrument_of_id,),
        )
        logged = []
        for row in rows:
            by, at_us, tz_min, out = row[n + m :]
            logged.append(
                LoggedCheck(
                    check=kind.thing(row[:n]),
                    setup=setup.thing(row[n : n + m]),
                    by=by,
                    at_us=at_us,
                    tz_min=tz_min,
                    out=out == 1,
                )
            )
        return logged if replaced else [check for check in logged if not check.out]

    def biases(self, instrument_of_id: bytes) -> list[InstrumentBias]:
        """The biases of an instrument that count, by the day they began."""
        where = f"t.instrument_of_id = ? AND {COUNTS.format(table='instrument_bias')}"
        return self._all(kinds.INSTRUMENT_BIAS, where, (instrument_of_id,), "t.from_on, t.id")

    # ---------------------------------------------------------------- what an instrument read
    def instrument(self, instrument_of_id: bytes) -> Instrument:
        """The current version of an instrument."""
        versions = self._current(kinds.INSTRUMENT, "t.of_id = ?", (instrument_of_id,), gone=True)
        if not versions:
            raise NotFound("That instrument is not in the record.")
        instrument: Instrument = versions[0]
        return instrument

    def readings_with(
        self, instrument_of_id: bytes, from_on: str | None = None, to_on: str | None = None
    ) -> list[LoggedReading]:
        """Readings that count with an instrument from day to day (ISO dates, both included, the bench's clock).

        What was read on withdrawn tools and castings is left out.

        Where somebody said on which day it was measured, that day counts.
        """
        day = "coalesce(s.on_date, date((e.at_us / 1000000) + e.tz_min * 60, 'unixepoch'))"
        where = [
            "r.setup_id IN (SELECT s.id FROM setup s JOIN instrument i ON i.id = s.instrument_id WHERE i.of_id = ?)",
            "EXISTS (SELECT 1 FROM reading_that_counts c WHERE c.id = r.id)",
            "coalesce(r.tool_id, x'') NOT IN "
            f"(SELECT l.id FROM tool l WHERE NOT ({self.there('l.of_id', 'l.job_of_id')}))",
            "coalesce(r.item_id, x'') NOT IN "
            f"(SELECT l.id FROM item l WHERE NOT ({self.there('l.id', 'l.lot_id', 'l.job_of_id')}))",
        ]
        values: list[Any] = [instrument_of_id]
        for sign, on in ((">=", from_on), ("<=", to_on)):
            if on is not None:
                made = "SELECT 1 FROM entry e CROSS JOIN setup s WHERE e.id = r.id AND s.id = r.setup_id"
                where.append(f"EXISTS ({made} AND {day} {sign} ?)")
                values.append(on)
        return self._logged(" AND ".join(where), values, "ASC", None)

    def setups_by_id(self, ids: Iterable[bytes]) -> dict[bytes, Setup]:
        """Setups by id."""
        setups: dict[bytes, Setup] = {}
        for marks, part in self._in(set(ids)):
            setups.update((setup.id, setup) for setup in self._all(kinds.SETUP, f"t.id IN ({marks})", part))
        return setups

    def people_by_id(self) -> dict[bytes, Person]:
        """Every version of every person by its id."""
        return {person.id: person for person in self.people(old=True)}

    def instruments_by_id(self) -> dict[bytes, Instrument]:
        """Every version of every instrument by its id."""
        return {instrument.id: instrument for instrument in self.instruments(old=True)}

    def calibrations_by_id(self) -> dict[bytes, Calibration]:
        """Every certificate by its id; a withdrawn one speaks for no reading any more."""
        return {calibration.id: calibration for calibration in self._all(kinds.CALIBRATION, self.there("t.id"))}

    def features_by_id(self, ids: set[bytes]) -> dict[bytes, Feature]:
        """Features with their ends, of any revision, by id."""
        features: dict[bytes, Feature] = {}
        for marks, part in self._in(ids):
            features.update((feature.id, feature) for feature in self._features(f"f.id IN ({marks})", part))
        return features

    def items_by_id(self, ids: set[bytes]) -> dict[bytes, Item]:
        """Castings and cores by id."""
        items: dict[bytes, Item] = {}
        for marks, part in self._in(ids):
            listed = self._called(kinds.ITEM, f"t.id IN ({marks})", part)
            items.update((item.id, item) for item in listed)
        return items
