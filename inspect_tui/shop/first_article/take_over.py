"""Cuts that are taken over: they become recorded work, the targets on the Bench move, and the next casting is promised.

A wrong contraction is laid out anew: the job's contraction and the steps of the tool's sizes change. A size that one
tool makes wrong is corrected against what the tool measures *now*: the log from before the castings may be what is
wrong (a box dressed at the foundry, say), and a target moved by it would cut the same error twice. So such a cut is
only taken over once the tool was measured again; where that shows the tool to be off, the target stays.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import hypot
from typing import Any

from inspect_tui.errors import DataError, NotFound
from inspect_tui.frozen import frozen, replace
from inspect_tui.metrology.causes.candidates import size_name
from inspect_tui.metrology.faces.observed import Observed
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.first_article import CutAccepted, CutPromise
from inspect_tui.model.words import Id
from inspect_tui.model.work import ChainStep, Job, Tool, ToolFeature
from inspect_tui.record.store import Record
from inspect_tui.shop.first_article.castings.rounds import rounds
from inspect_tui.shop.first_article.castings.sampling import Sampling
from inspect_tui.shop.first_article.castings.screening import Screening
from inspect_tui.shop.first_article.castings.tools_then import OnToolNow, ToolLog, pour_day
from inspect_tui.shop.first_article.findings import CauseLine, Causes, CutLine, Cuts, PredictedLine

SAME_TARGET = 0.10  # mm: a target that would move by less stands, as far as a bench can tell
STEP_OF_A = 1e-4  # contractions are laid out in hundredths of a percent
NEEDS_TOOL = ("size", "face")  # causes that are corrected against what the tool measures now


@frozen
class TakenOver:
    """What taking cuts over has done: the cuts, what to do in words, and the tool features with a new target."""

    cuts: tuple[CutAccepted, ...]
    words: tuple[str, ...]
    targets: tuple[ToolFeature, ...]


@frozen
class NeedsTool:
    """A cut that waits for a reading: which tool and which feature, what was last logged there, and a sentence."""

    number: int
    tool: str
    balloon: str
    sentence: str


def waiting(
    sampling: Sampling, looked: Screening, causes: Causes, cuts: Cuts, numbers: Iterable[int], style: Style = MM
) -> list[NeedsTool]:
    """Which of these cuts cannot be taken over before their tool is measured again."""
    now = ToolLog(sampling, None)
    needed = []
    for number in numbers:
        line, cause = _line(cuts, number), _cause(causes, _line(cuts, number))
        if cause is None or cause.kind not in NEEDS_TOOL:
            continue
        balloon = _balloon(looked, line, cause)
        on = _on_tool(sampling, now, line.tool, balloon)
        if on is None or _read_since(sampling, on):
            continue
        last = (
            f"its last reading, {style.length(on.values[-1], unit=False)} of {on.day}, is older than the castings"
            if on.values
            else ("it was never measured there")
        )
        needed.append(
            NeedsTool(
                number,
                line.tool,
                balloon,
                f"Cut {number}: measure {balloon} on {line.tool} first, {last}. What is to be {_more(line)} counts "
                "from what it measures now.",
            )
        )
    return needed


def take_over(
    record: Record,
    sampling: Sampling,
    looked: Screening,
    causes: Causes,
    cuts: Cuts,
    numbers: Sequence[int],
    by: Id | None = None,
    style: Style = MM,
) -> TakenOver:
    """Record these cuts (numbers of the list) as work; all of them or none.

    `sampling`, `causes` and `cuts` as the record keeps words (`Sampling.for_record`): the cuts are written with them.
    `style` is for what is answered.
    Raises DataError when a tool has to be measured first or a cut was taken over before, NotFound for a number that is
    not on the list.
    """
    if not numbers:
        raise DataError("Say which cuts, by their numbers on the list.")
    lines = [_line(cuts, number) for number in dict.fromkeys(numbers)]
    already = [str(line.number) for line in lines if line.accepted]
    if already:
        raise DataError(f"Cut {', '.join(already)} was taken over already; the next sampling shows what it did.")
    _newest(record, sampling)
    blocked = waiting(sampling, looked, causes, cuts, numbers, style)
    if blocked:
        raise DataError(" ".join(needs.sentence for needs in blocked))
    made = cut_rows(record, sampling, looked, causes, cuts, lines, style=style)
    record.add_all(made.rows, by=by)
    return TakenOver(made.cuts, made.words, made.targets)


@frozen
class CutRows:
    """What taking cuts over writes: rows in their order, and the parts of them that are spoken of."""

    rows: tuple[Any, ...]
    cuts: tuple[CutAccepted, ...]
    targets: tuple[ToolFeature, ...]
    words: tuple[str, ...]


def cut_rows(
    record: Record,
    sampling: Sampling,
    looked: Screening,
    causes: Causes,
    cuts: Cuts,
    lines: Sequence[CutLine],
    move_targets: bool = True,
    style: Style = MM,
) -> CutRows:
    """The rows of these cuts, nothing written; without `move_targets` the job's plan and the Bench stay as they are."""
    rows: list[Any] = []
    words: list[str] = []
    targets: list[ToolFeature] = []
    accepted: list[CutAccepted] = []
    now = ToolLog(sampling, None)
    job = record.job(sampling.job.of_id)
    relaid = _relaid(job, causes, lines) if move_targets else None
    if relaid is not None:
        rows.append(relaid)
        job = relaid
    so_far = _promised_so_far(record, sampling)
    for line in lines:
        cause = _cause(causes, line)
        tool = next((t for t in now.tools if t.label == line.tool), None)
        cut = _accepted(record.new_id(), sampling, line, tool)
        accepted.append(cut)
        rows.append(cut)
        new: dict[Id, ToolFeature] = {}
        if not move_targets:
            pass
        elif cause is None:
            words.append(f"{line.tool} goes back to its target, which stays.")
        elif cause.kind == "contraction" and tool is not None:
            new = _new_contraction(record, sampling, now, tool, cause, job)
        elif cause.kind in NEEDS_TOOL:
            new, said = _corrected(record, sampling, now, looked, line, cause, style)
            words.append(said)
        rows += new.values()
        targets += new.values()
        for balloon, _ in line.changes:
            promise = _promise(sampling, cuts, cut.id, line, balloon, so_far, new)
            if promise is not None:
                rows.append(promise)
        words.append(f"{line.tool}: {line.words}.")
    return CutRows(tuple(rows), tuple(accepted), tuple(targets), tuple(words))


def _newest(record: Record, sampling: Sampling) -> None:
    """DataError when castings of a later sampling were measured: what those show is the state of the tools."""
    all_rounds = rounds(record, sampling.job)
    labels = [round_.label for round_ in all_rounds]
    if sampling.round.label not in labels:
        return
    later = [round_ for round_ in all_rounds[labels.index(sampling.round.label) + 1 :] if round_.lot]
    measured = [round_.label for round_ in later if record.taken(item.id for item in round_.castings)]
    if measured:
        raise DataError(
            f"{sampling.round.label} is history: {measured[-1]} was measured after it. Take cuts over from the newest "
            "sampling; what was done since is in it."
        )


# ------------------------------------------------------------------------------ the list
def _line(cuts: Cuts, number: int) -> CutLine:
    for line in cuts.cuts:
        if line.number == number:
            return line
    count = len(cuts.cuts)
    raise NotFound(f"There is no cut {number} on the list; it has {count if count else 'none'}.")


def _cause(causes: Causes, line: CutLine) -> CauseLine | None:
    """None for a tool that is cut back to its target because it was itself measured off it: no casting names it."""
    return next((cause for cause in causes.found if cause.name == line.cause), None)


def _more(line: CutLine) -> str:
    ways = {face.word for face in line.faces}
    return "cut" if ways == {"cut"} else "added" if ways == {"add"} else "changed"


def _accepted(new_id: Id, sampling: Sampling, line: CutLine, tool: Tool | None) -> CutAccepted:
    low, high = sorted((line.low, line.high))
    return CutAccepted(
        id=new_id,
        job_of_id=sampling.job.of_id,
        lot_id=sampling.round.lot_id,
        tool_id=tool.id if tool else None,
        tool=line.tool[:120],
        cause=line.cause[:200],
        axis=line.axis,
        change_mm=line.change_mm,
        low_mm=low,
        high_mm=high,
        words=line.words[:400],
        casting_words=line.casting_words[:400] or None,
    )


# ------------------------------------------------------------------------------ contraction laid out anew
def _relaid(job: Job, causes: Causes, lines: Sequence[CutLine]) -> Job | None:
    """A new version of the job with the contraction that was found, where such a cut is among them."""
    changes: dict[str, float] = {}
    by_axis = {contraction.axis: contraction for contraction in causes.contraction}
    for line in lines:
        cause = _cause(causes, line)
        if cause is None or cause.kind != "contraction":
            continue
        for axis in "xyz" if cause.axis == "all" else cause.axis:
            if axis in by_axis:
                changes[f"a_{axis}"] = round((by_axis[axis].plan + cause.size) / STEP_OF_A) * STEP_OF_A
                changes[f"ua_{axis}"] = cause.u
    changes = {name: value for name, value in changes.items() if abs(getattr(job, name) - value) > 1e-9}
    if not any(name.startswith("a_") for name in changes):
        return None
    axes = ", ".join(f"{n[-1].upper()} {MM.percent(v, 2)}" for n, v in changes.items() if n.startswith("a_"))
    return replace(job, id=b"", replaces_id=job.id, a_source=f"found on the castings: {axes}"[:200], **changes)


def _new_contraction(
    record: Record, sampling: Sampling, now: ToolLog, tool: Tool, cause: CauseLine, job: Job
) -> dict[Id, ToolFeature]:
    """New versions of the tool's sizes along the axis, by root of the feature."""
    new: dict[Id, ToolFeature] = {}
    for (tool_of, root), on in now.on_tools.items():
        feature = sampling.own_feature(on.feature.feature_id)
        if tool_of != tool.of_id or feature.a is not None or (cause.axis != "all" and feature.axis != cause.axis):
            continue
        a = {"x": job.a_x, "y": job.a_y, "z": job.a_z}.get(feature.axis)
        if a is None or not any(step.kind == "contraction" for step in on.feature.steps):
            continue
        steps = tuple(
            replace(step, scale=1.0 + a, u=cause.u, source=f"contraction found on {sampling.round.label}")
            if step.kind == "contraction"
            else step
            for step in on.feature.steps
        )
        new[root] = _version(record, on, steps)
    return new


def _version(record: Record, on: OnToolNow, steps: tuple[ChainStep, ...]) -> ToolFeature:
    clean = tuple(replace(step, id=b"", tool_feature_id=b"") for step in steps)
    return replace(on.feature, id=record.new_id(), replaces_id=on.feature.id, steps=clean)


# ------------------------------------------------------------------------------ one size corrected
def _balloon(looked: Screening, line: CutLine, cause: CauseLine) -> str:
    """The feature that the cause is told by: of a size its own, of a face one that has both ends on the tool."""
    own = {o.balloon: o for o in looked.evidence.features}
    if cause.kind == "size":
        return next((balloon for balloon in own if size_name(balloon) == cause.name), "")
    for balloon in line.moves:
        o = own[balloon]
        if o.a is not None and o.a.maker == o.b.maker == line.part:
            return balloon
    return line.moves[0] if line.moves else ""


def _on_tool(sampling: Sampling, log: ToolLog, label: str, balloon: str) -> OnToolNow | None:
    root = next((sampling.root(f.id) for f in sampling.features if f.balloon == balloon), None)
    for (_, key), on in log.on_tools.items():
        if key == root and on.tool.label == label:
            return on
    return None


def _read_since(sampling: Sampling, on: OnToolNow) -> bool:
    day = pour_day(sampling)
    return bool(on.values) and (day is None or on.day > day)


def _corrected(
    record: Record,
    sampling: Sampling,
    now: ToolLog,
    looked: Screening,
    line: CutLine,
    cause: CauseLine,
    style: Style,
) -> tuple[dict[Id, ToolFeature], str]:
    """A new target from what the tool measures now and the change; none where the old target comes to the same."""
    balloon = _balloon(looked, line, cause)
    on = _on_tool(sampling, now, line.tool, balloon)
    if on is None:
        return {}, f"{balloon} is no size of {line.tool}: its target does not move."
    value = sum(on.values) / len(on.values)
    change = _at_tool(looked, line, balloon)
    wanted = value + change
    if abs(wanted - on.target) <= max(SAME_TARGET, 2.0 * on.u):
        measured, target = (style.length(mm, unit=False) for mm in (value, on.target))
        return {}, f"{line.tool} measures {measured} at {balloon}: the tool is off, its target {target} stays right."
    ord_ = max((step.ord for step in on.feature.steps), default=0) + 1
    step = ChainStep(
        ord=ord_,
        kind="correction",
        offset_mm=wanted - on.target,
        u=abs(change) * line.u_share,
        source=f"{sampling.round.label}: {cause.name}"[:200],
    )
    root = sampling.root(on.feature.feature_id)
    made = _version(record, on, (*on.feature.steps, step))
    target, before = (style.length(mm, unit=False) for mm in (wanted, on.target))
    return {root: made}, f"{balloon} on {line.tool}: new target {target} (was {before})."


def _at_tool(looked: Screening, line: CutLine, balloon: str) -> float:
    """The change of one size at the tool, mm."""
    o = next(observed for observed in looked.evidence.features if observed.balloon == balloon)
    own = [face for face in line.faces if balloon in face.balloons]
    return sum(_sign(o, face.face) * face.move_mm for face in own)


def _sign(o: Observed, face: str) -> int:
    """How a size changes where this face of the network moves along its axis."""
    sign = 0
    if o.b.name == face:
        sign += 1
    if o.a is not None and o.a.name == face:
        sign -= 1
    return sign


# ------------------------------------------------------------------------------ promises
@frozen
class _Promised:
    """What cuts of this round have promised of a feature so far, with its standard uncertainty."""

    mm: float
    u: float


def _promised_so_far(record: Record, sampling: Sampling) -> dict[Id, _Promised]:
    """What cuts of this very round have promised already, by root of the feature."""
    lot = sampling.round.lot
    so_far: dict[Id, _Promised] = {}
    for cut, promised in record.cuts_accepted(sampling.job.of_id):
        if lot is not None and cut.lot_id == lot.id:
            so_far.update((sampling.root(p.feature_id), _Promised(p.promised_mm, p.u_mm)) for p in promised)
    return so_far


def _promise(
    sampling: Sampling,
    cuts: Cuts,
    cut_id: Id,
    line: CutLine,
    balloon: str,
    so_far: dict[Id, _Promised],
    new: dict[Id, ToolFeature],
) -> CutPromise | None:
    """What this cut and those before it promise of one feature: no cut that was not taken over is in it."""
    predicted: PredictedLine | None = next((p for p in cuts.predicted if p.balloon == balloon), None)
    if predicted is None:
        return None
    feature = sampling.feature(balloon)
    root = sampling.root(feature.id)
    change = dict(line.changes)[balloon]
    before = so_far.get(root, _Promised(predicted.before, predicted.u_before))
    now = _Promised(before.mm + change, hypot(before.u, change * line.u_share))
    so_far[root] = now
    moved = new.get(root)
    return CutPromise(
        cut_id=cut_id,
        feature_id=feature.id,
        tool_feature_id=moved.id if moved else None,
        before_mm=predicted.before,
        promised_mm=now.mm,
        u_mm=now.u,
    )
