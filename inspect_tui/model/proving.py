"""Proving: sticks or cores tried in a mould before metal is poured, and a trial closing; with its checklist."""

from __future__ import annotations

from enum import StrEnum

from inspect_tui.frozen import frozen_by_name
from inspect_tui.model.words import NO_ID, Id

PROVING_SORTS = ("trying_in", "trial_closing")
INSIDE = ("sticks", "cores")
LINE_SORTS = ("core", "fit", "wall", "closing", "remark")


class How(StrEnum):
    """How a core or seat goes in the mould, and the mould when it is closed."""

    GOES = "goes"
    TIGHT = "tight"
    RUBS = "rubs"
    LOOSE = "loose"
    STOPS = "stops"  # it does not go in, or the mould does not close


RESULTS = tuple(How)


@frozen_by_name
class Proving:
    """One trial; its lines are `ProvingLine`s of this version.

    `tool_of_id` is the mould taken off the pattern, or the tool that was closed over the cores; `mould` is what the
    foundry calls a mould of its own. `who` is as they call themselves: a foundry's people are not in the record.
    """

    id: Id = NO_ID
    of_id: Id = NO_ID
    replaces_id: Id | None = None
    job_of_id: Id
    sort: str
    inside: str
    tool_of_id: Id | None = None
    mould: str | None = None
    place: str | None = None
    who: str
    on_date: str
    order_followed: str | None = None  # yes, no; None: nobody said
    order_said: str | None = None  # how the cores went in where it was otherwise: 1 2 7 3
    edition: str | None = None  # of the checklist that it was written on
    holds: bool = True
    note: str | None = None


@frozen_by_name
class ProvingLine:
    """One line of the checklist; sizes mm in the mould, `u_mm` one standard uncertainty where somebody said it.

    A core: it was in the mould, and how it went in. A fit: how it goes, or its clearance. A wall: its thickness. The
    closing: how far the halves stayed apart. `way` is how a size was taken, `tool_of_id` the stick or the core's box.
    """

    id: Id = NO_ID
    proving_id: Id
    ord: int
    sort: str
    core_of_id: Id | None = None
    tool_of_id: Id | None = None
    fit_of_id: Id | None = None
    feature_id: Id | None = None
    what: str | None = None
    result: str | None = None
    value: float | None = None
    typed: str | None = None
    typed_unit: str | None = None
    u_mm: float | None = None
    way: str | None = None
    instrument_of_id: Id | None = None
    words: str | None = None
