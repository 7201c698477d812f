"""Measuring: people, instruments and certificates, stays at the bench, readings and what takes them out of count."""

from __future__ import annotations

from inspect_tui.frozen import frozen_by_name
from inspect_tui.model.words import NO_ID, Id


@frozen_by_name
class Person:
    """Initials are a statement of who measured, not a login."""

    id: Id = NO_ID
    of_id: Id = NO_ID
    replaces_id: Id | None = None
    initials: str
    name: str | None = None
    role: str = "maker"
    active: bool = True
    pin_hash: str | None = None  # slow, with salt and cost; asked for before acts that decide


@frozen_by_name
class Instrument:
    """`rule_scale` of a contraction rule: true size = reading * (1 + rule_scale)."""

    id: Id = NO_ID
    of_id: Id = NO_ID
    replaces_id: Id | None = None
    label: str
    kind: str = "caliper"
    serial: str | None = None
    unit: str = "mm"  # mm, in, deg, C
    resolution: float = 0.01  # in `unit`
    range_lo: float = 0.0
    range_hi: float = 1000.0
    rule_scale: float = 0.0
    expansion_per_c: float | None = None
    jaw_mm: float | None = None


@frozen_by_name
class Calibration:
    """What a certificate said. `error_mm` is the as-found error (reading minus truth), stated, never applied."""

    id: Id = NO_ID
    instrument_of_id: Id
    done_on: str
    due_on: str | None = None
    result: str = "pass"  # pass, adjusted, fail
    u95_mm: float
    k: float = 2.0
    error_mm: float | None = None
    reference: str = "not stated"


@frozen_by_name
class Session:
    """One stay at the bench."""

    id: Id = NO_ID
    kind: str = "tool"  # tool, casting, core, gauge
    job_of_id: Id | None = None
    revision_id: Id | None = None
    title: str | None = None


@frozen_by_name
class Setup:
    """Who measures with what; a new one whenever any of it changes."""

    id: Id = NO_ID
    session_id: Id
    person_id: Id
    instrument_id: Id
    calibration_id: Id | None = None
    work_c: float | None = None
    instrument_c: float | None = None
    moisture: float | None = None  # of a wooden tool, fraction
    clock_doubt: bool = False
    state: str = "raw"  # of the casting: raw, finished
    on_date: str | None = None  # the day it was measured (ISO), where that is not the day it was logged


@frozen_by_name
class Reading:
    """One size as it was read, with the text as typed. Exactly one of `item_id` and `tool_id` is set."""

    id: Id = NO_ID
    setup_id: Id
    feature_id: Id
    item_id: Id | None = None
    tool_id: Id | None = None
    tool_feature_id: Id | None = None
    rep: int = 1
    value: float  # mm, deg or degC by the feature's quantity
    typed: str
    typed_unit: str = "mm"
    slip: str = "none"


@frozen_by_name
class Supersede:
    """A further fact that takes a reading out of count: void when there is no replacement."""

    id: Id = NO_ID
    target_id: Id
    replacement_id: Id | None = None
    settles_id: Id | None = None
    reason: str = "other"
    why: str


@frozen_by_name
class Note:
    """Free text about any recorded thing."""

    id: Id = NO_ID
    about_kind: int
    about_id: Id
    text: str
