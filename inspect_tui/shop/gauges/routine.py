"""What everyday readings say of instruments and people, without a study: a bias between two, a wider spread."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from itertools import combinations, pairwise
from typing import TYPE_CHECKING

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen
from inspect_tui.metrology.typed.show import MM, Style, day_of
from inspect_tui.model.measuring import Calibration, Instrument
from inspect_tui.model.work import Job
from inspect_tui.record.ask.readings import LoggedReading
from inspect_tui.record.read import Reader
from inspect_tui.shop.common import judging, lineage, study_feed

if TYPE_CHECKING:
    from inspect_tui.metrology.gauges.everyday import BiasBetween
    from inspect_tui.metrology.gauges.people import PersonSpread


FEWEST_IN_SERIES = 20  # a feature read less often was sampled for another purpose, not watched from day to day


@frozen
class Between:
    """Two instruments against each other over a stretch of days in which neither was adjusted."""

    from_on: str
    to_on: str | None
    bias: BiasBetween


@frozen
class Routine:
    """What was found, and why something could not be: sentences."""

    biases: tuple[Between, ...]
    spreads: tuple[PersonSpread, ...]
    sentences: tuple[str, ...]


def routine(record: Reader, job: Job, instruments: Sequence[Instrument] | None = None, style: Style = MM) -> Routine:
    """Compare instruments of one kind with each other, and the people who used them, over a job's everyday readings.

    On tools and on castings. Pieces of one lot err together, so a lot is one step of the order; readings without a
    lot go by time.
    """
    chosen = list(instruments) if instruments is not None else record.instruments()
    logged = {instrument.of_id: _of_job(record, job, instrument) for instrument in chosen}
    chosen = [instrument for instrument in chosen if logged[instrument.of_id]]
    order = _Orders(record, job)
    biases: list[Between] = []
    said: list[str] = []
    for a, b in combinations(chosen, 2):
        if a.kind == b.kind and a.unit == b.unit:
            stretches = _between(record, order, a, b, logged, style)
            biases += stretches
            said += [f"{stretch.bias.sentence}, {_days(stretch)}" for stretch in stretches if stretch.bias.differs]
    spreads: list[PersonSpread] = []
    for kind in dict.fromkeys((instrument.kind, instrument.unit) for instrument in chosen):
        alike = [instrument for instrument in chosen if (instrument.kind, instrument.unit) == kind]
        spreads += _spreads(record, order, alike, logged, style)
    said += [spread.sentence for spread in spreads if spread.stands_out]
    return Routine(tuple(biases), tuple(spreads), tuple(said))


def between(
    record: Reader,
    job: Job,
    a: Instrument,
    b: Instrument,
    from_on: str | None = None,
    to_on: str | None = None,
    style: Style = MM,
) -> BiasBetween:
    """How much higher `b` reads than `a` in a stretch of days; DataError when there is too little to tell."""
    order = _Orders(record, job)
    logged = {instrument.of_id: _of_job(record, job, instrument, from_on, to_on) for instrument in (a, b)}
    return _compare(order, a, b, logged, style)


# ------------------------------------------------------------------------------ rows
def _of_job(
    record: Reader, job: Job, instrument: Instrument, from_on: str | None = None, to_on: str | None = None
) -> list[LoggedReading]:
    revisions = {revision.id for revision in record.revisions(job.of_id)}
    readings = record.readings_with(instrument.of_id, from_on, to_on)
    features = record.features_by_id({logged.reading.feature_id for logged in readings})
    return [
        logged
        for logged in readings
        if (f := features[logged.reading.feature_id]).revision_id in revisions
        and f.quantity not in ("attribute", "temperature")
    ]


class _Orders:
    """Where a reading stands in the order, and which series it belongs to."""

    def __init__(self, record: Reader, job: Job) -> None:
        self.items = {item.id: item for item in record.items(job.of_id)}
        self.tools = record.tool_versions(job.of_id)
        self._lines = lineage.of_job(record, job)

    def key(self, logged: LoggedReading) -> tuple[int, str]:
        """(order, series): a size in all revisions of its drawing, on a tool, on castings or on sand cores."""
        reading = logged.reading
        size = self._lines.first(reading.feature_id, limits=False).hex()
        if reading.tool_id is not None:
            return int.from_bytes(reading.id, "big"), f"{size} {self.tools[reading.tool_id].hex()}"
        item = self.items[reading.item_id or b""]
        # ids rise as they are made, within a millisecond too: one axis for lots and readings
        made = item.lot_id or reading.id
        return int.from_bytes(made, "big"), f"{size} {item.kind}"


def _between(
    record: Reader,
    order: _Orders,
    a: Instrument,
    b: Instrument,
    logged: dict[bytes, list[LoggedReading]],
    style: Style,
) -> list[Between]:
    """The bias in each stretch between adjustments of either instrument; stretches with too little are passed over."""
    cuts = sorted(
        {c.done_on for instrument in (a, b) for c in record.calibrations(instrument.of_id) if c.result == "adjusted"}
    )
    edges = ["0001-01-01", *cuts, "9999-12-31"]
    stretches = []
    for start, stop in pairwise(edges):
        part = {of: [r for r in rows if start < day_of(r.at_us, r.tz_min) <= stop] for of, rows in logged.items()}
        days = [day_of(r.at_us, r.tz_min) for instrument in (a, b) for r in part[instrument.of_id]]
        try:
            bias = _compare(order, a, b, part, style)
        except DataError:
            continue
        stretches.append(Between(min(days, default=start), None if stop == edges[-1] else stop, bias))
    return stretches


def _compare(
    order: _Orders, a: Instrument, b: Instrument, readings: dict[bytes, list[LoggedReading]], style: Style
) -> BiasBetween:
    from inspect_tui.metrology.gauges.everyday import instrument_bias_between

    rows = []
    for instrument in (a, b):
        for logged in readings[instrument.of_id]:
            place, series = order.key(logged)
            rows.append((place, series, instrument.label, logged.by, logged.reading.value))
    often = Counter(series for _, series, *_ in rows)
    return instrument_bias_between([r for r in rows if often[r[1]] >= FEWEST_IN_SERIES], a.label, b.label, style=style)


def _spreads(
    record: Reader,
    order: _Orders,
    alike: Sequence[Instrument],
    readings: dict[bytes, list[LoggedReading]],
    style: Style,
) -> Sequence[PersonSpread]:
    """Spreads of the people who used these instruments; a step at an adjustment is one difference set aside."""
    from inspect_tui.metrology.gauges.everyday import person_spreads

    in_order = sorted((logged for i in alike for logged in readings[i.of_id]), key=lambda logged: logged.reading.id)
    rows = [(logged.by, order.key(logged)[1], logged.reading.value) for logged in in_order]
    often = Counter(series for _, series, _ in rows)
    try:
        kept = [row for row in rows if often[row[1]] >= FEWEST_IN_SERIES]
        return person_spreads(kept, _own(record, alike), style=style)
    except DataError:
        return ()


def _own(record: Reader, alike: Sequence[Instrument]) -> float:
    """How well people repeat with these instruments: of those alike in the newest study, else u of the certificate."""
    for instrument in alike:
        for feed in study_feed.feeds(record, instrument):
            return feed.rest[0] if feed.rest else feed.s
    calibrations: list[Calibration] = [c for instrument in alike for c in record.calibrations(instrument.of_id)]
    u95 = min((c.u95_mm / c.k for c in calibrations), default=judging.DEFAULT_U95 / 2.0)
    return u95


def _days(stretch: Between) -> str:
    return f"{stretch.from_on} to {stretch.to_on or 'now'}"
