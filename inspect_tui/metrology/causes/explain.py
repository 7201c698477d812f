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
from math import sqrt
from typing import TYPE_CHECKING

from inspect_tui.errors import DataError
from inspect_tui.frozen import replace
from inspect_tui.metrology.causes import noise as noise_model
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
UNKNOWN = 1.1  # one casting cannot show how castings scatter; it may well be a tenth more than usual


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
        now = replace(now, seat_mm=UNKNOWN * now.seat_mm, face_mm=UNKNOWN * now.face_mm)
    at_first = noise_model.odd_readings(t, x, sd, now)
    odd = {row: off_odds for row, off_odds in at_first.items()}
    learned = not learn_noise or len(t.serials) < 2
    exact = False
    for _ in range(12):
        system = noise_model.system(t, x, now, tuple(odd))
        posterior = searching.search(system.gram, system.rhs, sd, odds, most=most, exact=exact)
        alone = _rests_on_one(system, t, sd, odds, posterior.best, x, now)
        fresh = {row: value for row, value in alone.items() if row not in odd}
        if fresh:
            odd.update(fresh)
            continue
        if not learned:
            learned = True
            own = [k for k in posterior.best if cands[k].serial]
            better = noise_model.fit_noise(t, x[:, own], sd[own], noise or Noise(), tuple(odd))
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


def _rests_on_one(
    system: noise_model.System,
    t: noise_model.ReadingTable,
    sd: Array,
    odds: Array,
    best: Sequence[int],
    x: Array,
    noise: Noise,
) -> dict[int, tuple[float, float]]:
    """Readings that carry a cause of the best explanation all alone: row -> (mm off, odds).

    The reading is taken out. If the others then no longer speak for the cause (odds below one) and either do not
    show it at 2.5 of its standard deviations or contradict the reading by three, it was that reading and no cause.
    """
    import numpy as np

    out: dict[int, tuple[float, float]] = {}
    if not best:
        return out
    h, g = searching.standardise(system.gram, system.rhs, sd)
    mean, _ = searching.sizes(h, g, sd, best)
    model = np.array([best])
    for place, k in enumerate(best):
        rows = np.flatnonzero(x[:, k])
        rest = [c for c in best if c != k]
        without_k = np.array([rest], dtype=np.intp).reshape(1, -1)
        # what each reading gives to this cause's right-hand side, other causes taken off
        residual = system.py - system.px[:, rest] @ mean[[i for i in range(len(best)) if i != place]]
        weight = system.px[rows, k] * residual[rows] / system.p_diag[rows]
        for row in rows[np.argsort(-np.abs(weight), kind="stable")[:3]]:
            gram, rhs = system.without(int(row))
            h1, g1 = searching.standardise(gram, rhs, sd)
            gain = float(searching.score(h1, g1, odds, model)[0] - searching.score(h1, g1, odds, without_k)[0])
            if gain >= 0:
                continue
            m1, c1 = searching.sizes(h1, g1, sd, best)
            shown = abs(m1[place]) / sqrt(max(c1[place, place], 1e-300))
            p_row, px_row = system.p_diag[row], system.px[row, list(best)]
            off = float((system.py[row] - px_row @ m1) / p_row)
            wild = abs(off) / sqrt(1.0 / p_row + float(px_row @ c1 @ px_row) / p_row**2)
            if shown < 2.5 or wild > 3.0:
                m0, _ = searching.sizes(h1, g1, sd, rest)
                alone = float((system.py[row] - system.px[row, rest] @ m0) / p_row)  # off what the others make of it
                out[int(row)] = (alone, float(np.exp(min(-gain, 50.0))))
                break
    return out
