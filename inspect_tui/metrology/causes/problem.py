"""What goes into the search for causes (candidates, noise) and what comes out of it.

Lengths are mm at casting scale, contraction is a fraction of the casting,
`axis` is "x", "y", "z" or a word like `round`.
"""

from __future__ import annotations

from math import inf
from typing import TYPE_CHECKING

from inspect_tui.frozen import frozen, frozen_by_name
from inspect_tui.model.words import Estimate

if TYPE_CHECKING:
    from collections.abc import Mapping

AXES = ("x", "y", "z")

NOTHING: Mapping[str, float] = {}
MOVED = ("shift", "carried", "turned")  # kinds of a core that sits where it should not
FRACTIONS = ("contraction", "held back", "scale")  # kinds whose size is a fraction and no length

# What kinds of cause there are, whether a tool or the process is to blame, and how wide a believable one is.
TOOL_KINDS = ("contraction", "held back", "shift", "carried", "turned", "growth", "size", "face")
PROCESS_KINDS = ("mismatch", "parting", "lifted", "bias", "scale", "tilt")


@frozen_by_name
class Datum:
    """Two rows of datum targets that carry heights along `axis`, at two places along the casting.

    A target that was ground low at one of them tilts the casting: the error of a height grows linearly with its
    station and is zero at the other row.
    """

    axis: str
    near_mm: float
    far_mm: float
    near: str = "the near datum target"
    far: str = "the far datum target"


@frozen_by_name
class Noise:
    """How castings scatter when nothing is wrong: standard deviations, common practice, no source.

    Seating: one draw per casting, part and axis, shared by all faces of the part. Face: one draw per casting and
    face, shared by the features that end there. Scale: one draw per casting, a fraction. A reading is a slip or
    worse with prior probability `odd_share`; its error is then drawn from N(0, odd_mm). `dof` are the degrees of
    freedom with which the seating is known: infinite where it is not learned from the castings.
    """

    seat_mm: float = 0.08
    face_mm: float = 0.06
    scale: float = 0.0003
    odd_share: float = 0.004
    odd_mm: float = 4.0
    dof: float = inf


@frozen_by_name
class Candidate:
    """One thing that could be wrong. `column` maps a balloon to the change of its size per unit of the cause.

    The unit is mm, for contraction, what is held back inside and scale a fraction. `moves` maps the name of a face to
    how far it moves per unit (empty where no face moves). `serial` limits the cause to one casting, `instrument` to
    the readings of one instrument. `sd` is the standard deviation of a believable size, `prior` the probability that
    it is there at all. `parts` are the tools that it would be blamed on.
    """

    name: str
    kind: str
    axis: str
    column: Mapping[str, float]
    sd: float
    prior: float
    parts: tuple[str, ...] = ()
    serial: str = ""
    instrument: str = ""
    balloon: str = ""  # of a size error
    place_mm: float | None = None  # of a face error, of a tilt the row, of a turned core its last station
    where: str = ""  # of a tilt
    moves: Mapping[str, float] = NOTHING
    face: str = ""  # of a face error

    @property
    def process(self) -> bool:
        """Whether the foundry or the bench, and not a tool, is to be looked at (one casting is never the tool)."""
        return self.kind in PROCESS_KINDS or bool(self.serial)


@frozen_by_name
class Finding:
    """A cause and what the readings say about it.

    `size` is given that the cause is there, with its 95 % interval. `status` is "named", "cannot tell" (which of
    `alike`, or whether at all) or "below scatter". `alike` are the candidates that these features cannot tell from
    it, `probability` that of the whole group, `own` that of this candidate alone. `left_out` are the features that it
    rests on where the others that it moves say otherwise; `castings_differ` that its size is not one on all castings.
    `wild` are the readings (balloon, serial) that would explain as well what it explains if they were wild.
    """

    candidate: Candidate
    probability: float
    own: float
    size: Estimate
    low: float
    high: float
    status: str
    speaks_for: tuple[str, ...]
    against: tuple[str, ...]
    alike: tuple[Candidate, ...]
    by_casting: tuple[tuple[str, Estimate], ...] = ()
    left_out: tuple[str, ...] = ()
    castings_differ: bool = False
    wild: tuple[tuple[str, str], ...] = ()


@frozen
class Rival:
    """One whole explanation (the set of its causes, empty for none) and its probability."""

    names: tuple[str, ...]
    probability: float


@frozen
class OddReading:
    """A reading that no cause explains together with the others; `off_mm` is how far it lies from them."""

    balloon: str
    serial: str
    off_mm: float
    odds: float


@frozen
class LeftOver:
    """What the named causes leave unexplained of one feature: the mean over the castings and its u."""

    balloon: str
    mm: float
    u: float


@frozen
class NextMeasurement:
    """A measurement worth taking: what it is expected to tell about which explanation is right, and in all, in bits."""

    balloon: str
    bits: float
    bits_in_all: float


@frozen_by_name
class Explanation:
    """The answer: named causes, what cannot be told, rivals, odd readings, what is left over, what to measure next.

    `contraction` is, per axis, how much the real contraction differs from the plan (a fraction; add it to the plan),
    whether or not it was named a cause. `unseen` names candidates that these features do not show. `exact` says
    whether every subset of up to `most` candidates was weighed or the list was screened first.
    """

    findings: tuple[Finding, ...]
    cannot_tell: tuple[Finding, ...]
    rivals: tuple[Rival, ...]
    contraction: Mapping[str, Estimate]
    odd: tuple[OddReading, ...]
    left: tuple[LeftOver, ...]
    measure_next: tuple[NextMeasurement, ...]
    unseen: tuple[str, ...]
    serials: tuple[str, ...]
    noise: Noise
    models: int
    exact: bool

    def named(self, name: str) -> Finding | None:
        """The finding of this name, or None."""
        return next((f for f in self.findings if f.candidate.name == name), None)
