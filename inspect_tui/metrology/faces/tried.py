"""The loop of a wall with a thickness that was taken in the mould, where the cores were tried.

It was taken of one assembly: the play of the cores took one place in it, which the next casting does not repeat, so a
wall keeps all of its play.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import hypot

from inspect_tui.metrology.faces.stacks import Link, Term, as_measured
from inspect_tui.metrology.judge.in_mould import together
from inspect_tui.model.words import Estimate

TRIAL = "what was found in the trial"


def wall_with(wall: str, terms: Sequence[Term], seen: Estimate) -> tuple[tuple[Term, ...], float]:
    """The loop of a wall with a thickness taken in the mould (mm at casting scale); and how far apart the two are.

    Its dimensions become one link, put right by what was seen; play and contraction stay as they are. A reading of one
    assembly says of the dimensions what is left once the play of that assembly is taken off, which adds its spread.
    Source: own derivation, Bayes' rule with normal errors; the play by its variance.
    """
    stays = [t for t in terms if t.link.shape == "uniform" or t.link.kind == "contraction"]
    play, _ = as_measured([t for t in stays if t.link.shape == "uniform"])
    dimensions, _ = as_measured([t for t in terms if t not in stays])
    both = together(dimensions, Estimate(seen.value - play.value, hypot(seen.u, play.u)))
    unknown = "; ".join(dict.fromkeys(t.link.unknown for t in terms if t.link.unknown and t not in stays))
    link = Link(
        name=f"sizes of {wall} with the trial",  # no other wall has it
        a="",
        b="",
        size=both.value.value,
        plus=0.0,
        minus=0.0,
        tool=TRIAL,
        kind="trial",
        measured=both.value,
        unknown=unknown,
    )
    return (Term(link, 1.0), *stays), both.apart
