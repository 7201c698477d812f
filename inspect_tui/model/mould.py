"""The mould as bodies: boxes of cores, the outline round the casting, and the parting; all mm as drawn."""

from __future__ import annotations

from inspect_tui.errors import LimitsError
from inspect_tui.frozen import frozen_by_name
from inspect_tui.model.words import NO_ID, Id


@frozen_by_name
class CoreBody:
    """One box of a core's body; a core may have several. The core is named by its first version."""

    id: Id = NO_ID
    of_id: Id = NO_ID
    replaces_id: Id | None = None
    core_of_id: Id
    ord: int = 0
    x0: float
    x1: float
    y0: float
    y1: float
    z0: float
    z1: float
    active: bool = True
    note: str | None = None

    def __post_init__(self) -> None:
        _box_has_a_volume(self, "body of a core")


@frozen_by_name
class MouldOutline:
    """The box round the casting in its mould."""

    id: Id = NO_ID
    of_id: Id = NO_ID
    replaces_id: Id | None = None
    job_of_id: Id
    x0: float
    x1: float
    y0: float
    y1: float
    z0: float
    z1: float
    active: bool = True

    def __post_init__(self) -> None:
        _box_has_a_volume(self, "outline of the mould")


@frozen_by_name
class MouldParting:
    """Along which axis the halves part; where, its `PartingStep`s say. A parting is said anew as a whole."""

    id: Id = NO_ID
    of_id: Id = NO_ID
    replaces_id: Id | None = None
    job_of_id: Id
    axis: str = "z"
    active: bool = True
    note: str | None = None


@frozen_by_name
class PartingStep:
    """Its place along the parting's axis, from where to where along another one; `along` None: everywhere."""

    id: Id = NO_ID
    parting_id: Id
    ord: int = 0
    place_mm: float
    along: str | None = None
    from_mm: float | None = None
    to_mm: float | None = None


def _box_has_a_volume(box: CoreBody | MouldOutline, what: str) -> None:
    for axis in "xyz":
        low, high = getattr(box, f"{axis}0"), getattr(box, f"{axis}1")
        if not low < high:
            raise LimitsError(f"The {what} has no extent along {axis}: give its lower end, then its higher one.")
