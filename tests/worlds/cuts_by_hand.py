"""Causes named by hand with round figures, so that every amount of the work that follows can be worked out on paper."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from inspect_tui.metrology.causes.candidates import Carriers, candidates
from inspect_tui.metrology.causes.problem import Candidate, Explanation, Finding, Noise, OddReading
from inspect_tui.metrology.faces.observed import Observed, Read
from inspect_tui.model.words import Estimate
from tests.worlds.ends import End, observed

QUIET = Noise(seat_mm=0.0, face_mm=0.0, scale=0.0)


def size(
    balloon: str,
    axis: str,
    a: End | None,
    b: End,
    off: float | Mapping[str, float] | None = 0.0,
    *,
    u: float = 0.03,
    limits: float | None = 0.5,
    a_plan: float = 0.01,
    **more: object,
) -> Observed:
    """A size between two faces, read `off` from drawn on castings 1 to 3 (by casting; None: not measured yet)."""
    mm = b.place_mm - (a.place_mm if a else 0.0)
    offs = {} if off is None else off if isinstance(off, Mapping) else dict.fromkeys("123", off)
    fields: dict[str, object] = {
        "predicted_mm": mm,
        "contraction": a_plan,
        "target_mm": mm,
        "lower_mm": None if limits is None else mm - limits,
        "upper_mm": None if limits is None else mm + limits,
        "readings": {s: Read(mm + v, u, "CAL1") for s, v in offs.items()},
        **more,
    }
    return observed(balloon=balloon, axis=axis, a=a, b=b, cast_size_mm=mm, **fields)  # type: ignore[arg-type]


def named(cause: Candidate, value: float, u: float, alike: Sequence[Candidate] = (), status: str = "named") -> Finding:
    return Finding(
        candidate=cause,
        probability=1.0,
        own=1.0,
        size=Estimate(value, u),
        low=value - 1.96 * u,
        high=value + 1.96 * u,
        status=status,
        speaks_for=(),
        against=(),
        alike=tuple(alike),
    )


def told(
    features: Sequence[Observed],
    causes: Mapping[str, tuple[float, float]],
    *,
    noise: Noise = QUIET,
    odd: Sequence[OddReading] = (),
    alike: Mapping[str, Sequence[str]] | None = None,
    cannot_tell: Sequence[str] = (),
    carriers: Carriers = None,
    parting_axis: str = "z",
) -> Explanation:
    """An explanation that names these causes, each with its size and standard uncertainty."""
    known = {c.name: c for c in candidates(features, carriers=carriers, parting_axis=parting_axis)}
    by_name = {
        name: named(
            known[name],
            value,
            u,
            [known[other] for other in (alike or {}).get(name, ())],
            "cannot tell" if name in cannot_tell else "named",
        )
        for name, (value, u) in causes.items()
    }
    return Explanation(
        findings=tuple(f for name, f in by_name.items() if name not in cannot_tell),
        cannot_tell=tuple(f for name, f in by_name.items() if name in cannot_tell),
        rivals=(),
        contraction={},
        odd=tuple(odd),
        left=(),
        measure_next=(),
        unseen=(),
        serials=tuple(sorted({s for o in features for s in o.readings})),
        noise=noise,
        models=1,
        exact=True,
    )
