"""What to look at in a sampling before any cause is sought: unit, slips, swapped rows, open loops, tilted castings."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen, replace
from inspect_tui.model.work import Item
from inspect_tui.shop.first_article.castings.evidence import CauseEvidence, evidence
from inspect_tui.shop.first_article.castings.sampling import Sampling
from inspect_tui.shop.first_article.castings.tools_then import ToolLog, pour_day
from inspect_tui.shop.first_article.findings import QuestionLine
from inspect_tui.shop.first_article.result import LoopLine

if TYPE_CHECKING:
    from inspect_tui.metrology.faces.loops import Closure
    from inspect_tui.metrology.typed.show import Style

LEFT_OUT = {"unit": "is in another unit, not mm?", "rows swapped": "rows swapped?"}
MOST_CASTINGS = 12  # more tell hardly more of the tools, and each brings causes of its own to be weighed
LONE_TILT = 4.0  # standard uncertainties from which a slope is spoken of where no datum targets are recorded


@frozen
class Screening:
    """A sampling looked through before any cause is sought: evidence without what a person has to look at first."""

    log: ToolLog
    evidence: CauseEvidence
    loops: tuple[LoopLine, ...]
    questions: tuple[QuestionLine, ...]


def look(sampling: Sampling) -> Screening:
    """Units, slips, swapped rows and loops, then the evidence that is left."""
    from inspect_tui.metrology.faces import loops as closing

    log = ToolLog(sampling, pour_day(sampling))
    without: dict[tuple[str, str], str] = {}
    questions: list[QuestionLine] = []
    for item in sampling.castings:
        whole = sampling.doubts(item)
        questions += whole.lines
        for line in whole.lines:
            without.update(((balloon, item.serial), LEFT_OUT[line.kind]) for balloon in line.balloons)
    swaps = {
        (balloon, asked.serial) for asked in questions if asked.kind == "rows swapped" for balloon in asked.balloons
    }
    for feature in sampling.features:
        for item in sampling.castings:
            cell = sampling.cell(feature, item)
            if cell.question and (cell.balloon, cell.serial) not in without:
                without[cell.balloon, cell.serial] = "is in question"
                text = f"{cell.balloon} on casting {cell.serial}: {cell.question}"
                questions.append(
                    QuestionLine(
                        kind="slip", serial=cell.serial, balloons=(cell.balloon,), sentence=text, value=cell.suggested
                    )
                )
    # two rows that were swapped keep a loop closed: it is looked at with both of them in
    rest = {key: why for key, why in without.items() if key not in swaps}
    everything = evidence(sampling, log, rest)
    closures = closing.check_loops(everything.features)
    few = few_castings(sampling)
    left = evidence(sampling, log, without, few) if swaps or len(few) < len(sampling.castings) else everything
    if len(few) < len(sampling.castings):
        said = f"causes are sought on {len(few)} of {len(sampling.castings)} castings, spread evenly"
        left = replace(left, left_out=(said, *left.left_out))
    if not left.datums:
        questions += _lone_tilts(sampling, left)
    return Screening(log, left, tuple(_loop_line(closure, sampling.style) for closure in closures), tuple(questions))


def few_castings(sampling: Sampling) -> tuple[Item, ...]:
    """The castings that causes are sought on: all of a sampling, evenly spread ones of a great many."""
    read = {reading.item_id for reading in sampling.all_taken}
    measured = [item for item in sampling.castings if item.id in read]
    if len(measured) <= MOST_CASTINGS:
        return sampling.castings if len(measured) == len(sampling.castings) else tuple(measured)
    return tuple(measured[round(n * (len(measured) - 1) / (MOST_CASTINGS - 1))] for n in range(MOST_CASTINGS))


def _lone_tilts(sampling: Sampling, left: CauseEvidence) -> list[QuestionLine]:
    """Castings whose heights run along their stations, where no datum targets say what would carry them."""
    from inspect_tui.metrology.faces.rows import tilt

    tilted = []
    for item in sampling.castings:
        slope = tilt(left.features, item.serial)
        if slope is None or abs(slope.slope.value) < LONE_TILT * slope.slope.u:
            continue
        stations = [o.station_mm for o in left.features if o.station_mm is not None and item.serial in o.readings]
        over = slope.over(max(stations) - min(stations))
        by = sampling.style.signed(over.value, unit=False)
        text = (
            f"Casting {item.serial}: heights change by {by} from one end to the other: does it sit "
            "tilted, or was a datum target ground? Align it again; both will be shown."
        )
        balloons = tuple(o.balloon for o in left.features if o.station_mm is not None and item.serial in o.readings)
        tilted.append(
            QuestionLine(kind="tilt", serial=item.serial, balloons=balloons, sentence=text, value=over.value, u=over.u)
        )
    return tilted


def _loop_line(closure: Closure, style: Style) -> LoopLine:
    from inspect_tui.metrology.faces.loops import say_open

    blame = closure.blame[0] if closure.blame else None
    return LoopLine(
        name=closure.loop.name,
        serial=closure.serial,
        gap=closure.gap_mm,
        u=closure.u,
        open=closure.open,
        sentence=say_open(closure, style) if closure.open else None,
        suspect=blame.balloon if blame else None,
        suggested=blame.suggested_mm if blame else None,
        slip=(blame.slip or None) if blame else None,
    )


def explainable(looked: Screening) -> bool:
    """Whether anything is left to explain."""
    return any(feature.readings for feature in looked.evidence.features)


def need_lengths(looked: Screening) -> None:
    """DataError when there is no length to explain."""
    if not explainable(looked):
        raise DataError("No length of this round counts yet: there is nothing to explain.")
