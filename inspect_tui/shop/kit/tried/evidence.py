"""What trials say of a fit or a wall that is still as it was tried: the last word, and the size that was taken."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inspect_tui.frozen import frozen
from inspect_tui.metrology.judge import in_mould
from inspect_tui.model.words import Estimate
from inspect_tui.shop.common import judging
from inspect_tui.shop.kit.facts import reading_u
from inspect_tui.shop.kit.tried import words
from inspect_tui.shop.kit.tried.trials import Trial, trials

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from inspect_tui.metrology.typed.show import Style
    from inspect_tui.model.proving import Proving, ProvingLine
    from inspect_tui.model.words import Id
    from inspect_tui.model.work import Feature
    from inspect_tui.record.read import Reader
    from inspect_tui.shop.kit.facts import KitFacts


@frozen
class Seen:
    """The last word of the trials on one thing: the line that says it, and the size with its u, mm in the mould."""

    trial: Trial
    line: ProvingLine
    size: Estimate | None

    def sentence(self, style: Style) -> str:
        """`trying in of 2026-03-02: rubs, 0.12 mm by feeler`."""
        return f"{self.trial.name}: {words.found(self.line, style)}"


def of_fit(facts: KitFacts, fit_of_id: Id) -> Seen | None:
    """What the trials say of a fit; None where none does, or its seat or a tool of it has changed since."""
    return _last(
        facts,
        lambda line: line.sort == "fit" and line.fit_of_id == fit_of_id,
        lambda trial: trial.since_of_fit(fit_of_id),
    )


def of_wall(facts: KitFacts, feature: Feature) -> Seen | None:
    """What the trials say of a wall; None where none does, or a core that makes it has changed since."""
    root = facts.root.get(feature.id)
    makers = [facts.number(end.core_id) for end in feature.ends if end.core_id]
    return _last(
        facts,
        lambda line: line.sort == "wall" and facts.root.get(line.feature_id or b"") == root,
        lambda trial: next(filter(None, (trial.since(number) for number in makers)), trial.whole),
    )


def _last(facts: KitFacts, about: Callable[[ProvingLine], bool], changed: Callable[[Trial], str]) -> Seen | None:
    """The newest trial that says something of it: nothing older counts once that was said."""
    for trial in reversed(trials(facts)):
        lines = [line for line in trial.lines if about(line)]
        if lines:
            return None if changed(trial) else Seen(trial, lines[-1], _size(facts, trial.proving, lines))
    return None


def _size(facts: KitFacts, trial: Proving, lines: Iterable[ProvingLine]) -> Estimate | None:
    """The mean of what was taken of one thing; what the way leaves open is shared by all of it."""
    taken = [(line.value, line_u(facts.record, trial, line)) for line in lines if line.value is not None]
    if not taken:
        return None
    return Estimate(sum(value for value, _ in taken) / len(taken), max(u for _, u in taken))


def line_u(record: Reader, trial: Proving, line: ProvingLine) -> float:
    """Standard uncertainty of a size that was taken in the mould, mm: as it was said, else by its way and gauge."""
    sand = trial.inside == "cores"
    if line.u_mm is not None:
        return in_mould.taken_u(line.u_mm, sand=sand)
    gauge = gauge_u(record, line.instrument_of_id, trial.on_date) if line.instrument_of_id else 0.0
    return in_mould.taken_u(in_mould.way(line.way or "gauge").u_mm, gauge, sand)


def gauge_u(record: Reader, instrument_of_id: Id, day: str) -> float:
    """Standard uncertainty of one reading of a gauge on a day, mm: its certificate and its step."""
    means = judging.means(record.instrument(instrument_of_id), record.calibrations(instrument_of_id), day)
    said = means.calibration
    return reading_u([0.0], said.u95_mm if said else None, said.k if said else None, means.resolution_mm)
