"""What a reading was made with, as that stood when it was made: instrument, certificate, known bias, gauge study."""

from __future__ import annotations

from inspect_tui.frozen import replace
from inspect_tui.metrology.typed.show import MM, Style, day_of
from inspect_tui.model.measuring import Calibration, Instrument, Person, Setup
from inspect_tui.model.words import Id
from inspect_tui.model.work import Feature
from inspect_tui.shop.common import judging, study_feed, trusted
from inspect_tui.shop.common.judging import Means

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Iterable

    from inspect_tui.model.gauges import InstrumentBias
    from inspect_tui.record.ask.readings import LoggedReading
    from inspect_tui.record.read import Reader


FEW = 1  # gauges whose checks are looked up each by itself; where there are more, those of all at once


class GaugesThen:
    """People and instruments of the record in every version, read once; `reload` when somebody may have come."""

    def __init__(self, record: Reader, until_us: int | None = None, few: int = FEW) -> None:
        """`until_us`: biases that came to light after that moment are not known (microseconds UTC).

        `few`: so many gauges are asked about one by one before all are; where many are sure to come, none.
        """
        self._record, self._until_us, self._few = record, until_us, few
        self._struck: set[Id | None] = {None}  # certificates that setups name and that are withdrawn
        self.reload()

    def reload(self, setups: Iterable[Setup] = ()) -> None:
        """Read people, instruments and certificates again, and forget what was worked out of them.

        `setups` named something that was not known: what is not there now either is withdrawn.
        """
        self.people: dict[Id, Person] = self._record.people_by_id()
        self.instruments: dict[Id, Instrument] = self._record.instruments_by_id()
        self._calibrations: dict[Id, Calibration] = self._record.calibrations_by_id()
        self._struck |= {setup.calibration_id for setup in setups} - self._calibrations.keys()
        self._means: dict[tuple[Id, Id | None, str], Means] = {}
        self._biases: dict[Id, list[InstrumentBias]] | None = None
        self._studied: set[Id] | None = None
        self._feeds: dict[Id, tuple[study_feed.Feed, ...]] = {}
        self._histories: dict[Id, trusted.History] = {}
        self._past: trusted.Past | None = None

    def knows(self, setup: Setup) -> bool:
        """Whether all that a setup names was there when this was read."""
        known = setup.person_id in self.people and setup.instrument_id in self.instruments
        return known and (setup.calibration_id in self._calibrations or setup.calibration_id in self._struck)

    def means(self, setup: Setup, day: str) -> Means:
        """The instrument of a setup with the certificate that it names, a bias that held, what spoke against it."""
        key = (setup.instrument_id, setup.calibration_id, day)
        if key not in self._means:
            instrument = self.instruments[setup.instrument_id]
            calibration = self._calibrations.get(setup.calibration_id) if setup.calibration_id else None
            means = judging.means(instrument, [calibration] if calibration else [], day)
            past = self._history(instrument)
            self._means[key] = replace(
                means, bias=self.bias(setup, day), failed=past.failed(day), out_of_use=past.out_of_use(day)
            )
        return self._means[key]

    def at_hand(self, instrument: Instrument, day: str, style: Style = MM) -> Means:
        """An instrument that is measured with on `day` (ISO date), with the certificate and bias that hold then."""
        if instrument.id not in self.instruments:
            self.reload()  # it came meanwhile
        return self._history(instrument).means(day, style)

    def _history(self, instrument: Instrument) -> trusted.History:
        """Of one version of an instrument."""
        if instrument.id not in self._histories:
            if self._past is None:
                self._past = trusted.Past(self._record, self._calibrations.values(), self._all_biases(), self._until_us)
            self._histories[instrument.id] = self._past.of(instrument, alone=len(self._histories) < self._few)
        return self._histories[instrument.id]

    def bias(self, setup: Setup, day: str) -> InstrumentBias | None:
        """The bias of a setup's instrument that held on `day` (ISO date), whichever certificate the setup names."""
        known = self._known_biases(setup)
        if not known:
            return None
        of_id = self.instruments[setup.instrument_id].of_id
        certificates = [
            c for c in self._calibrations.values() if c.instrument_of_id == of_id and known_by(c.id, self._until_us)
        ]
        return judging.bias_on(day, known, certificates)

    def biased(self, setup: Setup) -> bool:
        """Whether a bias of the setup's instrument is known, on whatever day."""
        return bool(self._known_biases(setup))

    def _known_biases(self, setup: Setup) -> list[InstrumentBias]:
        return self._all_biases().get(self.instruments[setup.instrument_id].of_id, [])

    def _all_biases(self) -> dict[Id, list[InstrumentBias]]:
        if self._biases is None:
            self._biases = {}
            known = [bias for bias in self._record.all_biases() if known_by(bias.id, self._until_us)]
            replaced = {bias.instead_of_id for bias in known}
            for bias in known:
                if bias.id not in replaced:
                    self._biases.setdefault(bias.instrument_of_id, []).append(bias)
        return self._biases

    def fed(self, setup: Setup, day: str, feature: Feature) -> Means:
        """The same with the gauge study that speaks for this kind of feature in those hands."""
        return self.with_study(self.means(setup, day), feature, self.people[setup.person_id].of_id)

    def with_study(self, means: Means, feature: Feature, who: Id | None) -> Means:
        """An instrument with the gauge study that speaks for this kind of feature in the hands of `who` (of_id)."""
        of_id = means.instrument.of_id
        if of_id not in self._feeds:
            self._studied = self._record.studied() if self._studied is None else self._studied
            known = {person.of_id: person.initials for person in self.people.values()}  # the newest version is the last
            studied = of_id in self._studied
            self._feeds[of_id] = study_feed.feeds(self._record, means.instrument, known) if studied else ()
        return study_feed.fed(means, self._feeds[of_id], feature, who)


def read_badly(gauges: GaugesThen, readings: Iterable[LoggedReading]) -> frozenset[Id]:
    """Ids of the readings that were made with a gauge that had failed by then, or was out of use."""
    return frozenset(
        logged.id for logged in readings if gauges.means(logged.setup, day_of(logged.at_us, logged.tz_min)).bad
    )


def known_by(row_id: Id, until_us: int | None) -> bool:
    """Whether a row was written by a moment (microseconds UTC; None: now), as its id tells to the millisecond."""
    return until_us is None or int.from_bytes(row_id[:6], "big") * 1000 <= until_us
