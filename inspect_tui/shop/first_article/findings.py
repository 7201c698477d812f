"""What a first article says of the tools: questions, causes, cuts and stock, as plain frozen records.

Part of the result (`result.py`). Where the computation says the same in the same words, its own record stands here.
"""

from __future__ import annotations

from inspect_tui.frozen import frozen, frozen_by_name
from inspect_tui.metrology.causes.cut_work import FaceCut
from inspect_tui.metrology.causes.problem import NextMeasurement


@frozen_by_name
class QuestionLine:
    """Something about the readings of one casting that a person should look at before anything is concluded.

    `kind`: slip, rows swapped, unit, tilt, odd.
    """

    kind: str
    serial: str
    balloons: tuple[str, ...]
    sentence: str
    value: float | None = None  # tilt: mm over the distance of the datum targets; odd: mm off; unit: the factor
    u: float | None = None


@frozen
class ContractionLine:
    """Contraction along an axis as these castings show it, tool / casting - 1, a fraction of the casting."""

    axis: str
    plan: float
    found: float
    u: float


@frozen_by_name
class CauseLine:
    """One cause: `status` named, cannot tell, below scatter. Size in mm, a fraction where `unit` is 1.

    `alike` are what it cannot be told from, in words; `names` are it and those, by their names. `tells`: which face or
    size measured on which tool would tell.
    """

    name: str
    kind: str
    axis: str
    parts: tuple[str, ...]
    status: str
    probability: float
    size: float
    u: float
    low: float
    high: float
    unit: str
    tool: bool  # a tool is to be touched; otherwise it is a check
    serial: str | None
    words: str
    speaks_for: tuple[str, ...]
    against: tuple[str, ...]
    alike: tuple[str, ...]
    by_casting: tuple[tuple[str, float, float], ...]  # serial, size, u
    names: tuple[str, ...] = ()
    tells: tuple[str, ...] = ()


@frozen
class RivalLine:
    """One whole explanation, in words, and its probability."""

    causes: tuple[str, ...]
    probability: float


@frozen_by_name
class Causes:
    """What explains the castings; `sentences` is the whole answer as a patternmaker would say it."""

    found: tuple[CauseLine, ...]
    cannot_tell: tuple[CauseLine, ...]
    rivals: tuple[RivalLine, ...]
    contraction: tuple[ContractionLine, ...]
    odd: tuple[QuestionLine, ...]
    left_over: tuple[tuple[str, float, float], ...]  # balloon, mm, u
    measure_next: tuple[NextMeasurement, ...]
    unseen: tuple[str, ...]
    sentences: tuple[str, ...]
    left_out: tuple[str, ...]  # readings that took no part, and why
    seat_mm: float
    explanations: int
    exact: bool


@frozen_by_name
class CutLine:
    """Work on one tool: `words` speak of the tool (cut, add), `casting_words` of the casting (metal on, metal off).

    `changes` is what it does to each size that hangs on what moves, mm on the casting; `rides` are the cores that
    come along with a core whose seat is put right. `u_share` is the standard uncertainty of the cut, and so of all that
    it changes, as a share of it; `low` and `high` are wider than 1.96 of these where the scatter itself was learned.
    """

    number: int
    tool: str
    part: str
    cause: str
    axis: str
    change_mm: float
    low: float
    high: float
    words: str
    casting_words: str
    needed: bool
    sure: bool
    faces: tuple[FaceCut, ...]
    moves: tuple[str, ...]  # balloons of every feature that it changes
    accepted: bool = False
    changes: tuple[tuple[str, float], ...] = ()
    rides: tuple[str, ...] = ()
    u_share: float = 0.0


@frozen_by_name
class PredictedLine:
    """A feature before and after the cuts, mm on the casting; `after_checks` with the checked causes put right too.

    `p_before` and `p_after`: the chance that one casting more is within its limits. They are forecasts, no verdicts.
    `scatter` is that of one casting about the mean, `lower` and `upper` are its limits as cast.
    """

    balloon: str
    before: float
    after: float
    after_checks: float
    u: float
    p_before: float | None
    p_after: float | None
    moves: bool
    u_before: float = 0.0
    scatter: float = 0.0
    lower: float | None = None
    upper: float | None = None


@frozen_by_name
class Cuts:
    """The cut list: cuts (the needed ones first), checks that no tool is cut for, and what is left alone.

    `predicted` is the forecast with the cuts `ticked` made and no others.
    """

    cuts: tuple[CutLine, ...]
    checks: tuple[str, ...]
    tools: tuple[str, ...]  # the smallest set that brings home what cutting can
    leave_alone: tuple[str, ...]
    predicted: tuple[PredictedLine, ...]
    ticked: tuple[int, ...] = ()


@frozen_by_name
class StockFace:
    """Stock on one machined face before and after the casting is set up; `share` is how much it holds the answer.

    `name` is the feature that it is called by, `face` its name in the network: drag face x 624.
    """

    name: str
    before: float
    after: float
    required: float
    share: float
    u: float
    face: str = ""


@frozen_by_name
class StockLine:
    """How one casting cleans up; shifts of the drawing's zero in mm, turns in radians about x, y, z.

    `targets`: for each datum target of the primary datum by how many mm it is raised (toward + along its axis, lowered
    where negative) to make the shift along it and the turns; what re-aligning the casting asks for is in it.
    """

    serial: str
    cleans_up: bool
    spare: float
    spare_as_it_stands: float
    u: float
    p_cleans_up: float
    binding: tuple[str, ...]
    shift_mm: tuple[float, float, float]
    turn_rad: tuple[float, float, float]
    sentence: str
    faces: tuple[StockFace, ...]
    targets: tuple[tuple[str, float], ...] = ()


@frozen
class Stock:
    """Stock of every casting; `not_told` says which machined faces were left out and why."""

    castings: tuple[StockLine, ...]
    not_told: tuple[str, ...]
