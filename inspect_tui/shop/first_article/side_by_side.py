"""Samplings side by side: how each feature went from round to round, and what was promised against what came."""

from __future__ import annotations

from math import hypot, sqrt
from typing import TYPE_CHECKING

from inspect_tui.frozen import frozen, replace
from inspect_tui.model.work import Job
from inspect_tui.record.read import Reader
from inspect_tui.shop.common.standing import Standing
from inspect_tui.shop.first_article.castings.rounds import Round, rounds
from inspect_tui.shop.first_article.castings.sampling import OnCastings, Sampling
from inspect_tui.shop.first_article.result import PromiseLine

if TYPE_CHECKING:
    from inspect_tui.metrology.causes.problem import Explanation

PROCESS_MM = 0.15  # how far the mean of one casting lies from its like when nothing changed: common practice


@frozen
class FeatureInRound:
    """One feature in one round."""

    round: str
    n: int
    mean: float | None
    deviation: float | None
    answer: Standing


@frozen
class SideBySide:
    """A feature through the rounds, oldest first."""

    balloon: str
    name: str
    lower: float | None
    upper: float | None
    rounds: tuple[FeatureInRound, ...]


def side_by_side(
    record: Reader, job: Job, beside: Sampling | None = None
) -> tuple[tuple[str, ...], tuple[SideBySide, ...]]:
    """Labels of the rounds that have readings, and every feature of the newest drawing in them.

    `beside` is a sampling of the job that was read just now: what it knows is not asked for again.
    """
    samplings: list[Sampling] = []
    newest = (beside.facts.rounds if beside else rounds(record, job))[-12:]
    castings = [item.id for round_ in newest for item in round_.castings]
    read = OnCastings(record.taken(castings), record.realigned(castings))
    for round_ in newest:
        if beside is None or round_ != beside.round:
            beside_it = beside or (samplings[-1] if samplings else None)
            samplings.append(Sampling(record, job, round_, beside=beside_it, read=read))
        else:
            samplings.append(beside)
    samplings = [sampling for sampling in samplings if sampling.anything]
    if not samplings:
        return (), ()
    out = []
    for feature in samplings[-1].features:
        root = samplings[-1].root(feature.id)
        went = []
        for sampling in samplings:
            own = next((f for f in sampling.features if sampling.root(f.id) == root), None)
            if own is None:
                went.append(FeatureInRound(sampling.round.label, 0, None, None, Standing.TO_MEASURE))
                continue
            cells = [sampling.found(own, item) for item in sampling.castings]
            values = [cell.value for cell in cells if cell.value is not None and cell.question is None]
            answers = {cell.answer for cell in cells}
            mean = sum(values) / len(values) if values else None
            went.append(
                FeatureInRound(
                    sampling.round.label,
                    len(values),
                    mean,
                    mean - sampling.sizes(own).as_cast if mean is not None else None,
                    next((answer for answer in Standing if answer in answers), Standing.TO_MEASURE),
                )
            )
        size = samplings[-1].sizes(feature)
        out.append(SideBySide(feature.balloon, feature.name, size.band.lower, size.band.upper, tuple(went)))
    return tuple(sampling.round.label for sampling in samplings), tuple(out)


def promises(sampling: Sampling, explanation: Explanation | None = None) -> tuple[PromiseLine, ...]:
    """What the cuts of earlier rounds promised for this one, and what came; the newest promise for a feature counts.

    A casting whose mould `explanation` names as bad is left out where that moves the feature.
    """
    bad = [f.candidate for f in explanation.findings if f.candidate.serial] if explanation else []
    order = {round_.lot.id: n for n, round_ in enumerate(_with_this(sampling)) if round_.lot}
    here = order.get(sampling.round.lot.id, len(order)) if sampling.round.lot else len(order)
    labels = {lot.id: lot.label for lot in sampling.facts.lots}
    newest: dict[bytes, PromiseLine] = {}
    features = {sampling.root(f.id): f for f in sampling.features}
    for cut, promised in sampling.facts.cuts_accepted:
        if cut.lot_id is not None and order.get(cut.lot_id, -1) >= here:
            continue
        if cut.lot_id is None and cut.tool_id and sampling.round.lot and cut.id > sampling.round.lot.id:
            continue  # taken over at the bench after this sampling had begun
        for promise in promised:
            root = sampling.root(promise.feature_id)
            feature = features.get(root)
            if feature is None or not sampling.same_size(promise.feature_id, feature.id):
                continue  # of another size than is wanted now
            of_bad = tuple(dict.fromkeys(c.serial for c in bad if c.column.get(feature.balloon)))
            cells = [sampling.found(feature, item) for item in sampling.castings]
            read = [c for c in cells if c.value is not None and c.question is None]
            values = [c.value for c in read if c.value is not None and c.serial not in of_bad]
            newest[root] = _line(
                feature.balloon,
                labels.get(cut.lot_id or b"", "no lot"),
                (promise.before_mm, promise.promised_mm, promise.u_mm),
                values,
                tuple(serial for serial in of_bad if any(c.serial == serial for c in read)),
            )
    return tuple(newest[root] for root in features if root in newest)


def _with_this(sampling: Sampling) -> list[Round]:
    all_rounds = sampling.facts.rounds
    return (
        all_rounds
        if any(round_.label == sampling.round.label for round_ in all_rounds)
        else [*all_rounds, sampling.round]
    )


def _line(
    balloon: str,
    label: str,
    promised: tuple[float, float, float],
    values: list[float],
    left_out: tuple[str, ...] = (),
) -> PromiseLine:
    before, mm, u = promised
    line = PromiseLine(
        balloon=balloon,
        round=label,
        before=before,
        promised=mm,
        u_promised=u,
        got=None,
        u_got=None,
        word="not measured yet",
        left_out=left_out,
    )
    if not values:
        return line
    n = len(values)
    mean = sum(values) / n
    scatter = sqrt(sum((v - mean) ** 2 for v in values) / (n - 1) / n) if n > 1 else 0.0
    u_got = max(scatter, PROCESS_MM / sqrt(n))
    allowed = 2.0 * hypot(u, u_got)
    word = "as promised" if abs(mean - mm) <= allowed else "not as promised"
    return replace(line, got=mean, u_got=u_got, word=word, allowed=allowed)
