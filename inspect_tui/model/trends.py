"""Trends: counts of cores and moulds, repairs, the states of tools, and limits of wear."""

from __future__ import annotations

from inspect_tui.frozen import frozen_by_name
from inspect_tui.model.words import NO_ID, Id

COUNT_WAYS = ("total", "made", "restart")
COUNT_SOURCES = ("typed", "imported", "derived")
REPAIR_ACTIONS = ("cut", "add", "new_insert", "recoat", "replace", "line", "other")
TOOL_STATES = ("in_use", "retired", "revived")


@frozen_by_name
class ToolCount:
    """Cores blown in a box, moulds made with a pattern. `holds` False takes the entry back.

    total: what the counter showed at the end of that day; made: so many more; restart: a new counter begins at `count`.
    """

    id: Id = NO_ID
    of_id: Id = NO_ID
    replaces_id: Id | None = None
    tool_of_id: Id
    way: str = "total"
    count: int
    on_date: str  # ISO date
    lot_id: Id | None = None
    source: str = "typed"
    holds: bool = True
    note: str | None = None


@frozen_by_name
class ToolRepair:
    """What was done to a tool, mm at the tool; `feature_id` None: to the whole tool.

    `core_id` is the core that sits in what was repaired, where that is a seat, a print or keys.
    """

    id: Id = NO_ID
    of_id: Id = NO_ID
    replaces_id: Id | None = None
    tool_of_id: Id
    feature_id: Id | None = None
    core_id: Id | None = None
    action: str = "other"
    amount_mm: float | None = None  # the change of the size, without a sign: the action says which way
    done_on: str  # ISO date
    at_count: int | None = None  # cores or moulds made when it was done
    who: str | None = None
    what: str
    holds: bool = True


@frozen_by_name
class ToolState:
    """A tool in use, retired or revived; the last one by day counts."""

    id: Id = NO_ID
    tool_of_id: Id
    state: str = "in_use"
    since_on: str  # ISO date
    why: str | None = None


@frozen_by_name
class WearLimit:
    """How far a size of a tool may wear where that was agreed, mm at the tool; else the chain gives the limit."""

    id: Id = NO_ID
    of_id: Id = NO_ID
    replaces_id: Id | None = None
    tool_of_id: Id
    feature_id: Id
    lower: float | None = None
    upper: float | None = None
    why: str
    holds: bool = True


@frozen_by_name
class ItemWeight:
    """What a casting or core weighs."""

    id: Id = NO_ID
    item_id: Id
    weight_kg: float
    u95_kg: float | None = None


@frozen_by_name
class WallArea:
    """The wall surface of a casting, one side (m2), and the density of its metal (kg/m3)."""

    id: Id = NO_ID
    of_id: Id = NO_ID
    replaces_id: Id | None = None
    job_of_id: Id
    area_m2: float
    density: float = 7100.0
    why: str = "not stated"
