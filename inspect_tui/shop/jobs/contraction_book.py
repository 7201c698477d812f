"""The contraction book: what this shop's own jobs have shown by alloy, construction and axis, beside the handbook.

A job shows its contraction by features that one tool part makes at both ends, read on the tool and on castings: core
shift and mould play cannot leak into them. Each casting is set against the tool as it was last read before, where that
size was not repaired between; castings that were reworked show nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import hypot, sqrt
from statistics import median

from inspect_tui.errors import DataError, InspectError
from inspect_tui.frozen import frozen_by_name
from inspect_tui.metrology.judge.t_table import as_normal
from inspect_tui.metrology.sizes import chain, contraction
from inspect_tui.metrology.sizes.contraction import Handbook, Learned
from inspect_tui.metrology.sizes.contraction_book import ContractionBelief, prior
from inspect_tui.metrology.sizes.contraction_book import posterior as belief_of
from inspect_tui.metrology.typed.show import MM, Style, day_of
from inspect_tui.model.words import Estimate, Id
from inspect_tui.model.work import Feature, Job
from inspect_tui.record.read import Reader
from inspect_tui.shop.common import faces_touched
from inspect_tui.shop.common.judging import DEFAULT_U95
from inspect_tui.shop.kit.facts import KitFacts, SizeState

SKIN_U = 0.06  # mm, waviness of a cast face from spot to spot, beside how rough it is: a judgement, no source
BEYOND = 4.0  # a pair farther off than so many of its own standard uncertainties is no contraction
LEAST_PAIRS = 2
SLIP = 0.05  # a casting farther off the drawing than this was misread (inches, a lost point, another feature)
MOST_CASTINGS = 60  # of one job: the first ones show it, later ones add little


@frozen_by_name
class Pair:
    """One feature on a tool and on castings made with it as it then was; mm, draft and stock off the tool's size."""

    balloon: str
    tool: str
    tool_mm: float
    cast_mm: float
    u_tool: float
    u_cast: float
    castings: int


@frozen_by_name
class JobShowed:
    """What one job showed along one axis. `left_out` are pairs that no contraction explains, with how far off."""

    job: Job
    axis: str
    learned: Learned
    planned: float
    pairs: tuple[Pair, ...]
    left_out: tuple[tuple[Pair, float], ...]

    @property
    def estimate(self) -> Estimate:
        """Contraction and its standard uncertainty (twice it holds 95 %), fractions of the casting.

        A scatter that few sizes showed is badly known: it is widened as Student's t asks.
        """
        shown = self.learned
        return Estimate(shown.a, as_normal(shown.u, shown.dof) if shown.scattered else shown.u)

    def said(self, style: Style = MM) -> str:
        """One line for people."""
        text = (
            f"{self.job.number} {self.axis}: {_percent(*self.estimate, style)} from "
            f"{len(self.pairs)} sizes (planned {style.percent(self.planned, 2)})"
        )
        if self.left_out:
            gone = ", ".join(f"{pair.balloon} on {pair.tool} ({style.signed(off)})" for pair, off in self.left_out)
            text += f"; left out, explained by no contraction: {gone}"
        return text


@frozen_by_name
class BookRow:
    """The shop's belief for one alloy, construction and axis. Fractions of the casting."""

    alloy: str
    construction: str | None
    axis: str
    handbook: Handbook | None
    jobs: tuple[JobShowed, ...]
    posterior: ContractionBelief | None  # None where neither handbook nor enough jobs say anything

    def said(self, style: Style = MM) -> str:
        """One line for people."""
        what = f"{self.alloy}{', ' + self.construction if self.construction else ''}, {self.axis.upper()}"
        if self.posterior is None:
            return f"{what}: nothing known yet"
        belief = self.posterior
        likely, next_job = style.percent(belief.a, 2), style.percent(2 * belief.u_next, 2)
        return f"{what}: {likely} (next job ± {next_job}), rests on {belief.rests_on}"


# ------------------------------------------------------------------------------ pairs of one job
def pairs_of(facts: KitFacts) -> dict[str, list[Pair]]:
    """Axis -> pairs of tool and casting, one for each feature, tool and state of the tool."""
    wanted: dict[Id, Feature] = {
        root: f
        for root, f in facts.feature.items()
        if f.scale != "tool"
        and f.axis in "xyz"
        and len(f.ends) == 2
        and f.quantity not in ("angle", "attribute")
        and len({(facts.core_of.get(e.core_id or b""), e.half) for e in f.ends}) == 1
    }
    states: dict[Id, list[tuple[str, Id, SizeState]]] = {}
    for (tool_id, root), read in facts.states.items():
        tool = facts.tool[tool_id]
        if root in wanted and tool.kind not in ("other", "gauge_template", "mould", "master"):
            states.setdefault(root, []).extend((tool.label, tool_id, state) for state in read)
    castings = [i for i in facts.record.items(facts.job.of_id) if i.kind == "casting"][:MOST_CASTINGS]
    groups: dict[tuple[Id, int], list[tuple[float, float]]] = {}
    days = {lot.id: lot.poured_on for lot in facts.record.lots(facts.job.of_id)}
    poured = {item.id: days.get(item.lot_id or b"") for item in castings}
    lives = facts.lives
    rough = {root: faces_touched.u_rough(wanted[root], castings[0]) for root in states} if castings else {}
    for reading in facts.item_readings(item.id for item in castings):
        of = facts.root.get(reading.feature_id)
        if of is None or of not in states:
            continue
        value = reading.value
        if abs(value / chain.as_cast(wanted[of]) - 1) > SLIP:
            continue
        made_on = poured.get(reading.item_id) or day_of(reading.at_us, 0)  # by what the tools were then
        before = [
            n
            for n, (_, tool, s) in enumerate(states[of])
            if s.at_us < reading.at_us and lives.of(tool, of, day_of(s.at_us, s.tz_min)) == lives.of(tool, of, made_on)
        ]
        if before:  # what makes the core speaks before what it was made from, and the last reading before an older one
            best = max(before, key=lambda n, of=of: _rank(facts, states[of][n]))  # type: ignore[misc]
            u = hypot((reading.u95_mm or DEFAULT_U95) / (reading.k or 2.0), reading.u_right)
            groups.setdefault((of, best), []).append((value, u))
    out: dict[str, list[Pair]] = {"x": [], "y": [], "z": []}
    for (root, n), values in groups.items():
        label, _, state = states[root][n]
        pair = _pair(facts, wanted[root], label, state, values, hypot(SKIN_U, rough[root]))
        if pair is not None:
            out[wanted[root].axis].append(pair)
    return out


def _rank(facts: KitFacts, read: tuple[str, Id, SizeState]) -> tuple[int, int]:
    order = {"core_box": 2, "production_pattern": 2, "pattern_cope": 2, "pattern_drag": 2, "core_stick": 1}
    _, tool_id, state = read
    return order.get(facts.tool[tool_id].kind, 0), state.at_us


def _pair(
    facts: KitFacts,
    feature: Feature,
    label: str,
    state: SizeState,
    values: Sequence[tuple[float, float]],
    skin: float,
) -> Pair | None:
    """A pair with everything but the contraction taken off the tool's size; None for sizes that are no lengths.

    `skin`: standard uncertainty of one casting's faces, mm; each casting shows others.
    """
    steps = facts.read_against[state.tool_feature_id].steps
    value = chain.back(state.value, 0.0, [s for s in steps if s.kind not in ("stock", "draft", "contraction")]).value
    n, mean = len(values), median(v for v, _ in values)
    scatter = 1.4826 * median(abs(v - mean) for v, _ in values)  # as a standard deviation, for normal scatter
    u = hypot(max(u for _, u in values), max(scatter, skin) / sqrt(n))
    if not (value > 0 and mean > 0):
        return None
    return Pair(balloon=feature.balloon, tool=label, tool_mm=value, cast_mm=mean, u_tool=state.u, u_cast=u, castings=n)


def showed(facts: KitFacts) -> list[JobShowed]:
    """What one job's castings have shown, axis by axis; pairs that no contraction explains are left out and named."""
    by_axis = []
    for axis, pairs in pairs_of(facts).items():
        left = list(pairs)
        gone: list[tuple[Pair, float]] = []
        while len(left) >= LEAST_PAIRS:
            learned = contraction.learn(
                [p.tool_mm for p in left], [p.cast_mm for p in left], [p.u_tool for p in left], [p.u_cast for p in left]
            )
            worst = max(range(len(left)), key=lambda i: abs(learned.pulls[i]))
            if abs(learned.pulls[worst]) <= BEYOND or len(left) <= LEAST_PAIRS:
                planned = {"x": facts.job.a_x, "y": facts.job.a_y, "z": facts.job.a_z}[axis]
                rest = [(p, p.cast_mm - p.tool_mm / (1 + learned.a)) for p, _ in gone]
                by_axis.append(
                    JobShowed(
                        job=facts.job,
                        axis=axis,
                        learned=learned,
                        planned=planned,
                        pairs=tuple(left),
                        left_out=tuple(rest),
                    )
                )
                break
            gone.append((left.pop(worst), 0.0))
    return by_axis


# ------------------------------------------------------------------------------ the book
def book(record: Reader) -> list[BookRow]:
    """Every alloy and construction that this shop's jobs have named, axis by axis."""
    shown: dict[tuple[str, str | None, str], list[JobShowed]] = {}
    for job in record.jobs():
        if not job.alloy:
            continue
        for along in showed(KitFacts(record, job)):
            shown.setdefault((job.alloy, job.construction, along.axis), []).append(along)
        for axis in "xyz":
            shown.setdefault((job.alloy, job.construction, axis), [])
    return [
        _row(alloy, construction, axis, jobs)
        for (alloy, construction, axis), jobs in sorted(
            shown.items(), key=lambda item: (item[0][0], item[0][1] or "", item[0][2])
        )
    ]


def _row(alloy: str, construction: str | None, axis: str, jobs: list[JobShowed]) -> BookRow:
    entry = None
    try:
        entry = contraction.plan(alloy, None, construction)
    except InspectError:
        entry = None
    belief = None
    try:
        if entry is not None:
            belief = belief_of(prior(entry), [j.estimate for j in jobs])
        elif jobs:
            wide = Estimate(jobs[0].learned.a, 0.01)  # no handbook: a prior too wide to say anything
            belief = belief_of(wide, [j.estimate for j in jobs], says="no handbook value")
    except DataError:
        belief = None
    return BookRow(
        alloy=alloy, construction=construction, axis=axis, handbook=entry, jobs=tuple(jobs), posterior=belief
    )


def offer(record: Reader, alloy: str | None, construction: str | None = None) -> tuple[BookRow, ...]:
    """What the book offers a new job: one row an axis, from jobs of the same alloy and construction; else nothing.

    Jobs of the same alloy in another construction are not taken: a restrained casting contracts less.
    """
    if not alloy:
        return ()
    same = [
        job
        for job in record.jobs()
        if job.alloy
        and job.alloy.casefold() == alloy.strip().casefold()
        and (job.construction or "").casefold() == (construction or "").strip().casefold()
    ]
    if not same:
        return ()
    shown = [along for job in same for along in showed(KitFacts(record, job))]
    if not shown:
        return ()
    return tuple(
        _row(same[0].alloy or alloy, same[0].construction, axis, [s for s in shown if s.axis == axis]) for axis in "xyz"
    )


def offer_words(rows: Sequence[BookRow], style: Style = MM) -> str:
    """`this shop's jobs: X 0.81 ± 0.20 %, Y 1.00 ± 0.24 %, Z 0.99 ± 0.26 % (1 job ...)`; empty for nothing."""
    known = [(row.axis.upper(), row.posterior) for row in rows if row.posterior is not None and row.jobs]
    if not known:
        return ""
    parts = [f"{axis} {_percent(belief.a, belief.u_next, style)}" for axis, belief in known]
    jobs = ", ".join(dict.fromkeys(showed.job.number for row in rows if row.posterior for showed in row.jobs))
    return f"this shop's jobs ({jobs}): {', '.join(parts)}; rests on {known[0][1].rests_on}"


def _percent(a: float, u: float, style: Style) -> str:
    """0.81 ± 0.20 %, with twice the standard uncertainty."""
    return f"{style.figure(100 * a)} ± {style.percent(2 * u, 2)}"
