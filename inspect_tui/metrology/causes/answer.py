"""From the weighed explanations to an answer: what is named, what cannot be told, what speaks for it, what is left.

A cause is named when it is probable enough and no other candidate could stand in for it without the readings
noticing; a shift inside the seating scatter is never named.

Source: own derivation; the bounds of probability were tried on planted causes (causes.md).
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from math import exp, sqrt
from typing import TYPE_CHECKING

from inspect_tui.frozen import frozen_by_name, replace
from inspect_tui.metrology.causes import members, slips
from inspect_tui.metrology.causes import noise as noise_model
from inspect_tui.metrology.causes import search as searching
from inspect_tui.metrology.causes.plan import measure_next
from inspect_tui.metrology.causes.problem import MOVED, Candidate, Explanation, Finding, LeftOver, Noise, Rival
from inspect_tui.metrology.faces.observed import Observed
from inspect_tui.metrology.judge._dist import t_quantile
from inspect_tui.model.words import Estimate

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Array = NDArray[np.float64]
    Index = NDArray[np.intp]

ALIKE = 4.0  # expected gain in 2 log likelihood below which two causes cannot be told apart
LIKELY = 0.05  # probability from which a cause is let in beside another one whose features are asked
DIFFER = 1e-4  # castings differ when chance alone makes one cause in common look so in less than one of 10,000
SET_ASIDE = 1.0 / 3.0  # share of the readings of a cause that may not be set aside if the rest is to be believed
ENTERS = 0.25  # probability from which a cause is mentioned at all
SHIFTS = ("shift", "carried", "mismatch", "parting", "lifted", "turned")
SEATS_TO_TELL = 2.5  # a shift below this many seating scatters on three castings is not told from scatter
RIVALS = 60  # so many explanations are asked about contraction; the rest weigh next to nothing
SURE = 4.6  # log odds (99 %) against wild readings in its place; and of a shift in one mould, of which there are many
WORTH = 2.0  # a contraction that moves the longest size by less than this many is not worth a new layout


@frozen_by_name
class LastSearch:
    """Everything the last search knew, for writing the answer."""

    table: noise_model.ReadingTable
    x: Array
    candidates: tuple[Candidate, ...]
    sd: Array
    odds: Array
    noise: Noise
    system: noise_model.System
    posterior: searching.Posterior
    h: Array
    g: Array
    reference: str
    sized: tuple[tuple[frozenset[int], tuple[int, ...], float, Array, Array], ...]  # the likelier explanations

    @property
    def weighed(self) -> slips.Weighed:
        """What was weighed, as slips ask for it."""
        return slips.Weighed(
            table=self.table, system=self.system, x=self.x, sd=self.sd, odds=self.odds, best=self.posterior.best
        )


def answer(
    w: LastSearch,
    features: Sequence[Observed],
    odd: Mapping[int, tuple[float, float]],
    unseen: tuple[str, ...],
    name_at: float,
) -> Explanation:
    """Everything that is said about these castings; `odd` maps rows set aside to (mm off, odds)."""
    import numpy as np

    post = w.posterior
    every, by_axis = _contractions(w)
    chosen = list(post.best) + [
        int(k) for k in np.argsort(-post.inclusion, kind="stable") if post.inclusion[k] >= ENTERS and k not in post.best
    ]
    if every is not None and 0.05 < post.inclusion[every] < name_at:
        # "all but x" and "y and z" are the same thing said twice: what each axis does in all is what matters
        chosen = [k for k in chosen if k != every and k not in by_axis.values()]
        chosen += [k for k in by_axis.values() if _any(w, (k, every)) >= ENTERS]
    findings: list[Finding] = []
    unclear: list[Finding] = []
    told: set[int] = set()
    for k in chosen:
        if k in told:
            continue
        joint = every if k in by_axis.values() and every not in chosen else None
        group = _alike(w, k, joint)
        told.update(j for j in group if j not in post.best)
        finding = _finding(w, k, group, name_at, joint, odd)
        (findings if finding.status == "named" else unclear).append(finding)
    findings, undoing = _not_undone(w, findings)
    findings, two_tilts = _not_both_tilts(findings)
    undoing += two_tilts
    unclear = undoing + unclear
    order = [f.name for f in w.candidates]
    findings.sort(key=lambda f: (-f.probability, order.index(f.candidate.name)))
    rivals = tuple(
        Rival(tuple(w.candidates[k].name for k in m), float(p))
        for m, p in list(zip(post.models, post.weights, strict=True))[:8]
        if p >= 0.005
    )
    pool = [o for o in features if not o.readings]
    return Explanation(
        findings=tuple(findings),
        cannot_tell=tuple(f for f in unclear if f.probability >= ENTERS),
        rivals=rivals,
        contraction=_contraction(w),
        odd=tuple(noise_model.as_odd(w.table, r, *v) for r, v in sorted(odd.items())),
        left=_left(w, odd),
        unseen=unseen,
        serials=w.table.serials,
        noise=w.noise,
        models=post.weighed,
        exact=post.exact,
        measure_next=measure_next(pool, w.table, w.candidates, w.h, w.g, w.sd, post, w.noise, w.reference),
    )


def _alike(w: LastSearch, k: int, joint: int | None) -> list[int]:
    """Candidates that could stand for candidate k at its size without these readings noticing, others held.

    `joint` is what says the same as k for all axes at once: it is k itself then, and not held beside it.
    """
    import numpy as np

    base = sorted({*w.posterior.best, k} - {joint})
    mean, _ = searching.sizes(w.h, w.g, w.sd, base)
    size = float(mean[base.index(k)])
    rest = [j for j in base if j != k]
    gram = w.system.gram
    if rest:
        inner = gram[np.ix_(rest, rest)] + np.diag(1.0 / w.sd[rest] ** 2)
        gram = gram - gram[:, rest] @ np.linalg.solve(inner, gram[rest])
    own = gram[k, k]
    diagonal = np.maximum(np.diag(gram), 1e-300)
    lost = size * size * np.maximum(own - gram[k] ** 2 / diagonal, 0.0)
    instead = np.abs(size * gram[k] / diagonal)
    near = (lost < ALIKE) & (instead < 3.0 * w.sd) & (gram[k] ** 2 > 0.25 * own * diagonal)
    near[[*base, *(() if joint is None else (joint,))]] = False
    return [k, *(int(j) for j in np.flatnonzero(near))]


def _same_tool(a: Candidate, b: Candidate) -> bool:
    """Whether both causes send a person to the same place: a size or its faces, a core with what sits in it.

    A core that moved by itself, or with what it sits in and nothing else shows: the same movement, it is named.
    """
    if a.serial != b.serial or not (a.parts and b.parts):
        return a is b
    if a.kind in ("size", "face", "growth") and b.kind in ("size", "face", "growth"):
        return a.parts[0] == b.parts[0]
    if a.kind in MOVED and b.kind in MOVED:
        return (
            a.axis == b.axis
            and (a.kind == "turned") == (b.kind == "turned")
            and (a.parts[0] in b.parts or b.parts[0] in a.parts)
        )
    if a.kind in ("mismatch", "parting") and b.kind == a.kind:
        return a.axis == b.axis  # the cope, and what hangs in it
    return a is b


def _contractions(w: LastSearch) -> tuple[int | None, dict[str, int]]:
    """Which candidate is the contraction of all axes, and which that of each axis."""
    index = {c.axis: i for i, c in enumerate(w.candidates) if c.kind == "contraction"}
    return index.pop("all", None), index


def _any(w: LastSearch, group: Sequence[int]) -> float:
    """Probability that at least one of these is there."""
    own = set(group)
    return float(sum(p for m, p in zip(w.posterior.models, w.posterior.weights, strict=True) if own.intersection(m)))


def _averaged(w: LastSearch, group: Sequence[int]) -> tuple[float, float]:
    """Mean and standard uncertainty of a cause (a sum of causes), given that it is there, over the explanations."""
    total = mean = square = 0.0
    models = [v for v in w.sized if not v[0].isdisjoint(group)]
    if not models:
        model = tuple(sorted({*w.posterior.best, *group}))
        models = [(frozenset(model), model, 1.0, *searching.sizes(w.h, w.g, w.sd, model))]
    for _, model, weight, m, cov in models:
        own = [i for i, j in enumerate(model) if j in group]
        value = float(m[own].sum())
        total += weight
        mean += weight * value
        square += weight * (float(cov[own][:, own].sum()) + value**2)
    mean /= total
    return float(mean), sqrt(max(square / total - mean * mean, 0.0))


def _not_undone(w: LastSearch, findings: Sequence[Finding]) -> tuple[list[Finding], list[Finding]]:
    """The named causes that stand, and those that others among them mostly undo: a set that cancels is no answer."""
    index = {c.name: i for i, c in enumerate(w.candidates)}
    undoers = members.undone(w.system.gram, {index[f.candidate.name]: f.size.value for f in findings})
    stand, gone = [], []
    for f in findings:
        others = undoers.get(index[f.candidate.name])
        if others is None:
            stand.append(f)
            continue
        more = tuple(w.candidates[j] for j in others if w.candidates[j] not in f.alike)
        gone.append(replace(f, status="cannot tell", alike=(*more, *f.alike)))
    return stand, gone


def _not_both_tilts(findings: Sequence[Finding]) -> tuple[list[Finding], list[Finding]]:
    """A casting tilted at both rows is not tilted: something else moves all its heights."""
    tilts = [f for f in findings if f.candidate.kind == "tilt"]
    both = [f for f in tilts if any(g is not f and g.candidate.serial == f.candidate.serial for g in tilts)]
    gone = [
        replace(
            f,
            status="cannot tell",
            alike=tuple(g.candidate for g in both if g is not f and g.candidate.serial == f.candidate.serial),
        )
        for f in both
    ]
    return [f for f in findings if all(f is not g for g in both)], gone


def _ends_of(w: LastSearch, balloons: Sequence[str]) -> list[int]:
    """The candidates of single faces at which these features end."""
    return [j for j, c in enumerate(w.candidates) if c.kind == "face" and any(b in c.column for b in balloons)]


def _finding(
    w: LastSearch,
    k: int,
    group: Sequence[int],
    name_at: float,
    joint: int | None,
    odd: Mapping[int, tuple[float, float]],
) -> Finding:
    import numpy as np

    c = w.candidates[k]
    summed = (k,) if joint is None else (k, joint)
    both = _any(w, [*group, *summed])
    own = _any(w, summed)
    size, u = _averaged(w, summed)
    cover = t_quantile(0.975, w.noise.dof)  # the seating is an estimate itself: Student's t, JCGM 100:2008 G.3
    family = all(_same_tool(c, w.candidates[j]) for j in group)
    castings = 1 if c.serial else len(w.table.serials)
    enough = _enough(w, castings)
    longest = max((abs(v) for v in c.column.values()), default=0.0)
    or_the_cope = c.kind == "contraction" and _beside_the_cope(w, k, joint) < name_at
    if c.kind in SHIFTS and abs(size) < enough:
        status = "below scatter"
    elif c.kind in ("contraction", "held back") and abs(size) * longest < WORTH * w.noise.seat_mm:
        status = "below scatter"  # it moves nothing by more than cores lie about anyway
    elif c.kind == "bias" and abs(size) < SEATS_TO_TELL * _reading_u(w, k):
        status = "below scatter"  # within what is stated of the instrument
    elif or_the_cope:
        status = "cannot tell"
    elif own >= name_at or (both >= name_at and family):
        status = "named"
    else:
        status = "cannot tell"
    speaks, against = _evidence(w, k, group, odd)
    alike = sorted((w.candidates[j] for j in group if j not in summed), key=lambda a: -a.prior)
    if or_the_cope:
        alike += [w.candidates[j] for j in _cope(w, c.axis) if j not in group and j not in summed]
    left_out: tuple[str, ...] = ()
    wild: tuple[tuple[str, str], ...] = ()
    by_casting = _by_casting(w, k, odd) if not c.serial else ()
    rows = [int(r) for r in np.flatnonzero(w.x[:, k])]
    aside = sum(r in odd for r in rows)
    known = slips.learned(w.noise, [off for off, _ in odd.values()], len(w.table.rows))
    # a gauge reads as much off on every casting; seats and moulds are a little their own
    doubt = members.DISAGREE if c.kind == "bias" else DIFFER
    differ = castings_differ([e for _, e in by_casting], doubt) or aside >= SET_ASIDE * len(rows)
    if status == "named":
        together = members.agreement(w.table, w.x, w.candidates, w.sd, w.noise, tuple(odd), _beside(w, k, group), k)
        lonely = len(speaks) <= 1 and (bool(against) or bool(c.serial))  # on one casting one reading says nothing
        against_k = slips.rival(w.weighed, known, odd, k)
        if against_k.odds < SURE and (against_k.rows or (c.serial and c.kind in SHIFTS)):
            status = "cannot tell"
            wild = tuple(w.table.place(row) for row, _ in against_k.rows)
        if lonely or differ or not together.holds:
            status = "cannot tell"
            left_out = together.left_out or (() if differ else speaks)
            ends = _ends_of(w, left_out)
            alike += [w.candidates[j] for j in ends if j not in group and j not in summed]
    return Finding(
        candidate=c,
        probability=min(both, 1.0),
        own=own,
        size=Estimate(size, u),
        low=size - cover * u,
        high=size + cover * u,
        status=status,
        speaks_for=speaks,
        against=against,
        alike=tuple(alike),
        by_casting=by_casting,
        left_out=left_out,
        castings_differ=differ,
        wild=wild,
    )


def _beside_the_cope(w: LastSearch, k: int, joint: int | None) -> float:
    """The probability of a contraction where the cope may be off by what is never named, the other causes as found."""
    import numpy as np

    rest = [j for j in w.posterior.best if j not in (k, joint)]
    quiet = [j for j in _cope(w, w.candidates[k].axis) if j not in rest]
    every = [*rest, *quiet, k]
    width = w.sd.copy()
    width[quiet] = _enough(w, len(w.table.serials))
    h, g = searching.standardise(w.system.gram, w.system.rhs, width)
    with_k, without = (
        float(searching.score(h, g, w.odds, np.array([model], dtype=np.intp).reshape(1, -1))[0])
        for model in (every, every[:-1])
    )
    return 1.0 / (1.0 + exp(min(without - with_k, 50.0)))


def _cope(w: LastSearch, axis: str) -> list[int]:
    """The candidates that the cope lies off along an axis, along any where it is `all`."""
    return [
        j
        for j, c in enumerate(w.candidates)
        if c.kind in ("mismatch", "parting") and axis in (c.axis, "all") and not c.serial
    ]


def _enough(w: LastSearch, castings: int) -> float:
    """The shift (mm) below which it is not told from how parts come to sit, on so many castings."""
    return SEATS_TO_TELL * w.noise.seat_mm * sqrt(3.0 / castings)


def _reading_u(w: LastSearch, k: int) -> float:
    """The middle one of the standard uncertainties of the readings that a cause moves."""
    import numpy as np

    return sqrt(float(np.median(w.table.u2[np.flatnonzero(w.x[:, k])])))


def _row_sd(w: LastSearch) -> Array:
    """Standard deviation of each row about its explanation, without what its tool shares over the castings."""
    import numpy as np

    n, t = w.noise, w.table
    parts = [
        np.maximum(t.u2[b], 1e-6) + n.seat_mm**2 * np.diag(s) + n.face_mm**2 * np.diag(f) + n.scale**2 * np.diag(c)
        for b, s, f, c in zip(t.blocks, t.seat, t.face, t.scale, strict=True)
    ]
    return np.sqrt(np.concatenate(parts))


def _by_feature(w: LastSearch, values: Array, rows: Index) -> dict[str, tuple[float, float]]:
    """Mean over the castings and its u, per balloon, of the rows given."""
    sd = _row_sd(w)
    gathered: dict[int, list[int]] = {}
    for r in rows:
        gathered.setdefault(w.table.rows[r][0], []).append(int(r))
    out = {}
    for f, own in gathered.items():
        o = w.table.features[f]
        mean = sum(float(values[r]) for r in own) / len(own)
        out[o.balloon] = (mean, sqrt(sum(float(sd[r]) ** 2 for r in own) / len(own) ** 2 + o.u_predicted**2))
    return out


def _beside(w: LastSearch, k: int, group: Sequence[int]) -> list[int]:
    """The other causes of the best explanation, and those that may well be there: a doubt is not held against k."""
    import numpy as np

    likely = {int(j) for j in np.flatnonzero(w.posterior.inclusion >= LIKELY)}
    return sorted(({*w.posterior.best} | likely - set(group)) - {k})


def _evidence(
    w: LastSearch, k: int, group: Sequence[int], odd: Collection[int]
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Features that are better explained with the cause than without, and those that should show it and do not."""
    import numpy as np

    rest = _beside(w, k, group)
    base = sorted({*rest, k})
    mean, _ = searching.sizes(w.h, w.g, w.sd, base)
    partial = w.table.y - w.x[:, rest] @ mean[[base.index(j) for j in rest]]
    effect = w.x[:, k] * mean[base.index(k)]
    rows = np.array([r for r in np.flatnonzero(w.x[:, k]) if r not in odd], dtype=np.intp)
    shown = _by_feature(w, partial, rows)
    promised = _by_feature(w, effect, rows)
    speaks: list[str] = []
    against: list[str] = []
    for o in w.table.features:
        if o.balloon not in shown:
            continue
        (got, u), (due, _u) = shown[o.balloon], promised[o.balloon]
        if abs(due) < 1.5 * u:
            continue
        (speaks if got * due > 0 and abs(got) > abs(due) / 2 else against).append(o.balloon)
    return tuple(speaks), tuple(against)


def castings_differ(sizes: Sequence[Estimate], doubt: float = DIFFER) -> bool:
    """Whether the castings cannot have one cause in common: chi-squared of its sizes about their weighted mean.

    `doubt` is the chance below which they cannot (0 to 1).
    """
    if len(sizes) < 2:
        return False
    weights = [1.0 / e.u**2 for e in sizes]
    mean = sum(v * e.value for v, e in zip(weights, sizes, strict=True)) / sum(weights)
    left = sum(v * (e.value - mean) ** 2 for v, e in zip(weights, sizes, strict=True))
    return members.chi_squared_tail(left, len(sizes) - 1) < doubt


def _by_casting(w: LastSearch, k: int, odd: Collection[int]) -> tuple[tuple[str, Estimate], ...]:
    """The size of a common cause on each casting by itself, the other causes as found.

    A cause of one casting that only undoes it there is not taken off: the casting does not show it.
    """
    import numpy as np

    serials = w.table.serials
    if len(serials) < 2:
        return ()
    alone = np.zeros((len(w.table.rows), len(serials)))
    for r, (_, s) in enumerate(w.table.rows):
        if r not in odd:
            alone[r, s] = w.x[r, k]
    base = sorted({*w.posterior.best, k})
    mean, _ = searching.sizes(w.h, w.g, w.sd, base)
    size = dict(zip(base, mean, strict=True))
    y = w.table.y.copy()
    for j in base:
        if serial := w.candidates[j].serial:
            common, own = alone[:, serials.index(serial)] * size[k], w.x[:, j] * size[j]
            if not float(common @ own) < -members.UNDONE * float(common @ common) < 0.0:
                y -= own
    rest = [j for j in base if j != k and not w.candidates[j].serial]
    x = np.concatenate([alone, w.x[:, rest]], axis=1)
    sd = np.concatenate([np.full(len(serials), w.sd[k]), w.sd[rest]])
    alone_system = noise_model.system(replace(w.table, y=y), x, w.noise, tuple(odd))
    h, g = searching.standardise(alone_system.gram, alone_system.rhs, sd)
    each, cov = searching.sizes(h, g, sd, range(len(sd)))
    return tuple(
        (serial, Estimate(float(each[i]), sqrt(cov[i, i]))) for i, serial in enumerate(serials) if np.any(alone[:, i])
    )


def _contraction(w: LastSearch) -> dict[str, Estimate]:
    """Per axis the difference of the real contraction from the plan, whatever was named.

    Each likelier explanation is asked with the contraction let in beside its causes, and they are averaged: what one
    of them would put down to a core counts into the uncertainty of the contraction. The cope may sit off by what is
    never named, too: it carries the far ends of many sizes, all of them the same way.
    """
    import numpy as np

    out = {}
    every, by_axis = _contractions(w)
    first = [v for v in w.sized[:RIVALS] if v[2] > 1e-3 * w.sized[0][2]]
    unsaid = _enough(w, len(w.table.serials))
    for axis, k in by_axis.items():
        cope = _cope(w, axis)
        total = mean = square = 0.0
        for inside, model, weight, _, _ in first:
            named = [*model, *(() if k in inside else (k,))]
            quiet = [j for j in cope if j not in inside]
            both = [*named, *quiet]
            width = np.concatenate([w.sd[named], np.full(len(quiet), unsaid)])
            cov = np.linalg.inv(w.system.gram[np.ix_(both, both)] + np.diag(1.0 / width**2))
            m = cov @ w.system.rhs[both]
            own = [both.index(j) for j in (k, every) if j in both]
            value = float(m[own].sum())
            total += weight
            mean += weight * value
            square += weight * (float(cov[own][:, own].sum()) + value**2)
        mean /= total
        out[axis] = Estimate(mean, sqrt(max(square / total - mean * mean, 0.0)))
    return out


def _left(w: LastSearch, odd: Mapping[int, object]) -> tuple[LeftOver, ...]:
    import numpy as np

    best = list(w.posterior.best)
    values = w.table.y.copy()
    if best:
        mean, _ = searching.sizes(w.h, w.g, w.sd, best)
        values = values - w.x[:, best] @ mean
    rows = np.array([r for r in range(len(w.table.rows)) if r not in odd], dtype=np.intp)
    left = [LeftOver(b, mm, u) for b, (mm, u) in _by_feature(w, values, rows).items() if abs(mm) > 2.5 * u]
    return tuple(sorted(left, key=lambda v: -abs(v.mm / v.u)))
