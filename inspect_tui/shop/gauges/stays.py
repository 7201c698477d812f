"""The setups of a stay: one for each change of who measures, with what, on which day and how warm."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inspect_tui.model.measuring import Instrument, Person, Setup
from inspect_tui.shop.common import judging
from inspect_tui.shop.common.sizes import RAW

if TYPE_CHECKING:
    from inspect_tui.model.words import Id
    from inspect_tui.record.store import Record


class Stays:
    """The setups of one session, not written yet, each with the certificate in force on its day."""

    def __init__(
        self, record: Record, session_id: Id, today: str, instrument_c: float | None = None, state: str = RAW
    ) -> None:
        self._record, self._session_id, self._today = record, session_id, today
        self._instrument_c, self._state = instrument_c, state
        self._made: dict[tuple[Id, Id, str, float | None], Id] = {}
        self._in_force: dict[tuple[Id, str], Id | None] = {}
        self._new: list[Setup] = []

    def at(self, person: Person, gauge: Instrument, day: str, work_c: float | None = None) -> Id:
        """The setup of a reading: `day` is an ISO date, `work_c` the temperature of the work, degC."""
        key = (person.id, gauge.id, day, work_c)
        if key not in self._made:
            setup = Setup(
                id=self._record.new_id(),
                session_id=self._session_id,
                person_id=person.id,
                instrument_id=gauge.id,
                calibration_id=self._certificate(gauge, day),
                work_c=work_c,
                instrument_c=self._instrument_c,
                state=self._state,
                on_date=None if day == self._today else day,
            )
            self._made[key] = setup.id
            self._new.append(setup)
        return self._made[key]

    def begun(self) -> list[Setup]:
        """The setups that came since this was asked last: they are written before the readings under them."""
        new, self._new = self._new, []
        return new

    def _certificate(self, gauge: Instrument, day: str) -> Id | None:
        if (gauge.of_id, day) not in self._in_force:
            certificate = judging.means(gauge, self._record.calibrations(gauge.of_id), day).calibration
            self._in_force[gauge.of_id, day] = certificate.id if certificate else None
        return self._in_force[gauge.of_id, day]
