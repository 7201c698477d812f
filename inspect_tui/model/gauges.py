"""Gauges: studies, quick checks on reference pieces, and biases that came to light."""

from __future__ import annotations

from inspect_tui.frozen import frozen_by_name
from inspect_tui.model.words import NO_ID, Id


@frozen_by_name
class GaugeStudy:
    """How well an instrument reads one kind of feature. `seed` fixes the blind order; `band_mm` is a width.

    `trials` of each piece by each person; pieces are GaugePart, people GaugePerson. `quantity` None: any kind.
    """

    id: Id = NO_ID
    instrument_of_id: Id
    design: str = "crossed"
    title: str
    job_of_id: Id | None = None
    feature_id: Id | None = None
    quantity: str | None = None
    trials: int
    seed: int
    band_mm: float | None = None


@frozen_by_name
class GaugePart:
    """One piece of a study; `reference_mm` where its size is known better than the instrument reads."""

    id: Id = NO_ID
    study_id: Id
    number: int
    label: str
    reference_mm: float | None = None
    u95_mm: float | None = None  # of the reference, at k = 2


@frozen_by_name
class GaugePerson:
    """Who measures in a study."""

    id: Id = NO_ID
    study_id: Id
    number: int
    person_of_id: Id


@frozen_by_name
class GaugeTrial:
    """One reading of a study, mm or degrees; `instead_of_id` is an earlier one that it takes the place of."""

    id: Id = NO_ID
    study_id: Id
    setup_id: Id
    part_id: Id
    trial: int
    value: float
    typed: str
    typed_unit: str = "mm"
    instead_of_id: Id | None = None


@frozen_by_name
class GaugeCheck:
    """One reading of a reference piece before work; `u95_mm` is the reference's own, at k = 2."""

    id: Id = NO_ID
    setup_id: Id
    reference: str
    reference_mm: float
    u95_mm: float = 0.0
    value: float
    typed: str
    typed_unit: str = "mm"
    instead_of_id: Id | None = None


@frozen_by_name
class InstrumentBias:
    """A bias (reading minus truth) that came to light, from day to day; `to_on` None: it still holds.

    Readings stay as they are. A later one takes the place of an earlier one by `instead_of_id`.
    """

    id: Id = NO_ID
    instrument_of_id: Id
    from_on: str
    to_on: str | None = None
    bias_mm: float
    u_mm: float  # standard uncertainty of the bias
    why: str
    found_from: str
    instead_of_id: Id | None = None


INSTRUMENT_STATES = ("in_use", "out_of_use")


@frozen_by_name
class InstrumentState:
    """A gauge taken out of use, or back into it, from a day on; the newest row holds."""

    id: Id = NO_ID
    instrument_of_id: Id
    state: str
    since_on: str
    why: str | None = None


DECIMAL_MARKS = (".", ",")
END_KEYS = ("enter", "tab", "both")


@frozen_by_name
class InstrumentProfile:
    """How a gauge speaks: what stands round its figure, how it ends a reading, and the line on which it is asked."""

    id: Id = NO_ID
    of_id: Id = NO_ID
    replaces_id: Id | None = None
    instrument_of_id: Id
    prefix: str | None = None
    suffix: str | None = None
    unit_letters: str | None = None  # which letters mean which unit, such as "M=mm I=in"
    decimal_mark: str | None = None
    end_key: str | None = None
    request: str | None = None  # what is sent to ask for a reading
    port: str | None = None
    speed: int | None = None  # baud
    pattern: str | None = None  # a regular expression with the figure as its first group
    foot: str | None = None  # which key of a foot switch does what, such as "f13=log f14=retry"
