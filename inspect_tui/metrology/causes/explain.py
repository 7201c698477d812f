"""From the castings back to the cause: which contraction, shifted core, grown parting or wrong box explains them.

The deviations from what the measured tools promise are explained by as few candidates as will do. Contraction keeps
near its plan (0.15 % is one standard deviation), a size error of a single tool is always among the candidates, every
casting may have its own cause (one mould wrongly closed is not smeared over the round), and seats, faces and tools
scatter together as they do in the mould. Heavy tails: each reading may be a slip, with its own wide error; a reading
that stands alone is set aside by name and never makes a cause. A shift inside the seating scatter is not a cause but
"cannot tell", with what to measure next.

Source: own derivation, a choice among linear models by their probability; assumptions and rates are in causes.md.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from inspect_tui.errors import DataError
from inspect_tui.frozen import replace
from inspect_tui.metrology.causes import noise as noise_model
from inspect_tui.metrology.causes import scatter, slips
from inspect_tui.metrology.causes import search as searching
from inspect_tui.metrology.causes.answer import LastSearch, answer
from inspect_tui.metrology.causes.candidates import Carriers
from inspect_tui.metrology.causes.candidates import candidates as all_candidates
from inspect_tui.metrology.causes.problem import Candidate, Datum, Explanation, Noise
from inspect_tui.metrology.faces.observed import Observed

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Array = NDArray[np.float64]

NAME_AT = 0.90  # probability from which a cause is named
MOST_CASTINGS = 24  # a sampling is one to ten; beyond this the search would take minutes and say nothing new
UNKNOWN = 1.1  # one casting cannot show how castings scatter; it may well be a tenth more than usual ...
USUAL = 12.0  # ... and what is usual is known as well as from so many castings (degrees of freedom)


def explain(
    features: Sequence[Observed],
    *,
    candidates: Sequence[Candidate] | None = None,
    carriers: Carriers = None,
    reference: str = "drag",
    parting_axis: str = "z",
    datums: Sequence[Datum] = (),
    noise: Noise | None = None,
    learn_noise: bool = True,
    most: int = 4,
    name_at: float = NAME_AT,
) -> Explanation:
    """Which causes explain these castings.

    Features without readings are what could be measured next. `candidates` default to everything the features could
    show. `noise` is how such castings scatter; with two castings or more its seating and surface parts are learned
    from the castings themselves unless `learn_noise` is off. Up to `most` causes every combination is weighed, more
    are reached from the best ones. Raises DataError when nothing was measured, numbers are missing or there are more
    than 24 castings.
    """
    import numpy as np

    measured = [o for o in features if o.readings]
    t = noise_model.table(measured, reference)
    if len(t.serials) > MOST_CASTINGS:
        raise DataError(
            f"{len(t.serials)} castings are more than causes are searched for at once; "
            f"choose one sampling of at most {MOST_CASTINGS}"
        )
    if candidates is None:
        candidates = all_candidates(
            features, carriers=carriers, reference=reference, parting_axis=parting_axis, datums=datums
        )
    x_all = t.columns(candidates)
    seen = np.abs(x_all).max(axis=0, initial=0.0) > 0 if len(candidates) else np.zeros(0, dtype=bool)
    unseen = tuple(c.name for c, s in zip(candidates, seen, strict=True) if not s and not c.serial)
    cands = tuple(c for c, s in zip(candidates, seen, strict=True) if s)
    x = x_all[:, seen]
    sd = np.array([c.sd for c in cands])
    prior = np.array([c.prior for c in cands])
    odds = np.log(prior / (1 - prior))

    now = noise or Noise()
    if learn_noise and len(t.serials) == 1:
        now = replace(now, seat_mm=UNKNOWN * now.seat_mm, face_mm=UNKNOWN * now.face_mm, dof=USUAL)
    at_first = noise_model.odd_readings(t, x, sd, now)
    odd = {row: off_odds for row, off_odds in at_first.items()}
    learned = not learn_noise or len(t.serials) < 2
    exact = False
    for _ in range(12):
        system = noise_model.system(t, x, now, tuple(odd))
        posterior = searching.search(system.gram, system.rhs, sd, odds, most=most, exact=exact)
        weighed = slips.Weighed(table=t, system=system, x=x, sd=sd, odds=odds, best=posterior.best)
        alone = slips.rests_on_one(weighed)
        fresh = {row: value for row, value in alone.items() if row not in odd}
        fresh = fresh or slips.rather_wild(weighed, now, odd)
        if fresh:
            odd.update(fresh)
            continue
        if not learned:
            learned = True
            own = [k for k in posterior.best if cands[k].serial]
            better, t = scatter.learned(t, x[:, own], sd[own], noise or Noise(), odd)
            if better != now:
                now = better
                # what was wild for quiet castings may be ordinary for these, and the other way round
                odd = dict(noise_model.odd_readings(t, x, sd, now))
                continue
        if exact:
            break
        exact = True
    h, g = searching.standardise(system.gram, system.rhs, sd)
    sized = tuple(
        (frozenset(m), m, float(p), *searching.sizes(h, g, sd, m))
        for m, p in list(zip(posterior.models, posterior.weights, strict=True))[:150]
    )
    work = LastSearch(
        table=t,
        x=x,
        candidates=cands,
        sd=sd,
        odds=odds,
        noise=now,
        system=system,
        posterior=posterior,
        h=h,
        g=g,
        reference=reference,
        sized=sized,
    )
    return answer(work, features, odd, unseen, name_at)


def explain_each(
    features: Sequence[Observed],
    *,
    carriers: Carriers = None,
    reference: str = "drag",
    parting_axis: str = "z",
    datums: Sequence[Datum] = (),
    noise: Noise | None = None,
) -> dict[str, Explanation]:
    """Every casting explained on its own: serial -> Explanation, to be shown beside the answer for all together.

    `noise` should be the scatter learned from all castings (`Explanation.noise`); one casting cannot show its own.
    """
    out = {}
    for serial in sorted({s for o in features for s in o.readings}):
        alone = [replace(o, readings={s: r for s, r in o.readings.items() if s == serial}) for o in features]
        out[serial] = explain(
            alone,
            carriers=carriers,
            reference=reference,
            parting_axis=parting_axis,
            datums=datums,
            noise=noise,
            learn_noise=noise is None,
        )
    return out
