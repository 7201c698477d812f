"""Which cores have been proven together in which mould, and what the trials leave open or speak against."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inspect_tui.frozen import frozen, frozen_by_name
from inspect_tui.metrology.judge.in_mould import APART
from inspect_tui.metrology.kit import fits as kit_fits
from inspect_tui.metrology.kit.fits import FitState
from inspect_tui.metrology.kit.setting import Trouble
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.proving import How
from inspect_tui.shop.kit.tried import evidence, words
from inspect_tui.shop.kit.tried.trials import Trial, trials

if TYPE_CHECKING:
    from collections.abc import Sequence

    from inspect_tui.shop.kit.facts import KitFacts
    from inspect_tui.shop.kit.fits import FitLine
    from inspect_tui.shop.kit.walls import WallLine

NOT_PROVEN = "not proven: no trial of this kit is written down"


@frozen
class Without:
    """A core that a trial does not prove, and why."""

    core: str
    why: str
    since: bool = False  # it was proven, and has been changed

    @property
    def sentence(self) -> str:
        """`rubbed at K6-3`, `(since then stick 3 was repaired ...)`."""
        return f"(since then {self.why})" if self.since else self.why


@frozen_by_name
class Proven:
    """One trial and the cores that it still proves together; what it does not prove of the kit, with why."""

    trial: Trial
    cores: tuple[str, ...]
    without: tuple[Without, ...]
    sentence: str


def proven(facts: KitFacts) -> tuple[Proven, ...]:
    """Every trial of the kit, oldest first, with what it still proves."""
    return tuple(_of_trial(facts, trial) for trial in trials(facts))


def best(of: Sequence[Proven]) -> Proven | None:
    """The trial that proves most cores together, of several the newest; None where none was written down."""
    return max(reversed(of), key=lambda each: len(each.cores), default=None)


def sentence(of: Sequence[Proven]) -> str:
    """`proven together on 2026-03-02, sticks of cores 1 to 9 in mould 1`, or why that cannot be said."""
    said = best(of)
    return said.sentence if said is not None else NOT_PROVEN


def _of_trial(facts: KitFacts, trial: Trial) -> Proven:
    bad = dict(trial.bad)
    without = []
    for core in facts.cores:
        number = str(core.number)
        if number not in trial.cores:
            without.append(Without(number, "was not in it"))
        elif number in bad:
            without.append(Without(number, bad[number]))
        elif why := trial.since(number):
            without.append(Without(number, why, since=True))
    out = {each.core for each in without}
    cores = tuple(str(core.number) for core in facts.cores if str(core.number) not in out)
    if len(cores) < 2 and len(facts.cores) > 1:
        cores = ()  # one core alone is with nobody
    return Proven(trial=trial, cores=cores, without=tuple(without), sentence=_sentence(trial, cores, tuple(without)))


def _sentence(trial: Trial, cores: tuple[str, ...], without: tuple[Without, ...]) -> str:
    where, day = f" in {trial.mould}" if trial.mould else "", trial.proving.on_date
    how = f"the {words.sort_of(trial.proving)} of {words.put_in(trial.proving, trial.cores)}{where} on {day}"
    if trial.whole:
        return f"not proven since {how}: {trial.whole}"
    reasons: dict[str, list[str]] = {}
    for each in without:
        reasons.setdefault(each.sentence, []).append(each.core)
    but = "; ".join(f"{words.cores(numbers)} {why}" for why, numbers in reasons.items())
    if not cores:
        return f"not proven: of {how}, {but}"
    text = f"proven together on {day} ({words.sort_of(trial.proving)}), {words.put_in(trial.proving, cores)}{where}"
    return f"{text}; not proven: {but}" if but else text


# ------------------------------------------------------------------------------ what it says of the kit
def findings(
    facts: KitFacts, lines: Sequence[FitLine], walls: Sequence[WallLine], of: Sequence[Proven], style: Style = MM
) -> list[tuple[bool, Trouble]]:
    """(speaks against the kit, what): cores that did not go in or rubbed, halves that stayed apart, contradictions."""
    made: list[tuple[bool, Trouble]] = []
    for line in lines:
        made += _of_fit(line, style)
    if of:
        made += _of_newest(facts, of[-1].trial, style)
        said = best(of)
        if said is not None and said.without:
            cores = tuple(each.core for each in said.without)
            made.append((False, Trouble("missing", cores, said.sentence)))
    for wall in walls:
        if wall.seen is not None and wall.seen.size is not None and wall.apart > APART:
            makers = tuple(part.removeprefix("core ") for part in (wall.path[0], wall.path[-1]) if "core " in part)
            text = (
                f"{wall.label} {wall.name}: {wall.seen.sentence(style)}, which is not what its loop gives; "
                f"together {style.plus_minus(wall.now.value, 2 * wall.now.u)}: one of the two is wrong"
            )
            made.append((False, Trouble("wall", makers, text, wall.label)))
    return made


def _of_fit(line: FitLine, style: Style) -> list[tuple[bool, Trouble]]:
    seen = line.seen
    if seen is None:
        return []
    parts = (line.inner, line.outer)
    cores = tuple(dict.fromkeys(part.removeprefix("core ") for part in parts if part.startswith("core ")))
    said = f"{line.name}, {line.inner} in {line.outer}: {seen.sentence(style)}"
    result, state = seen.line.result, line.verdict.state
    if result in words.NOT_QUITE:
        return [(result == How.STOPS, Trouble("fit", cores, said, line.name))]
    made = []
    if result == How.GOES and state in (FitState.DOES_NOT_GO, FitState.RUBS):
        text = f"{said}, where its sizes say that it {state}: one of the two is wrong"
        made.append((False, Trouble("fit", cores, text, line.name)))
    if seen.size is not None and kit_fits.apart(line.verdict.fit) > APART:
        text = f"{said}, which is not what its sizes give: one of the two is wrong"
        made.append((False, Trouble("fit", cores, text, line.name)))
    return made


def _of_newest(facts: KitFacts, trial: Trial, style: Style) -> list[tuple[bool, Trouble]]:
    """What the last trial says of whole cores and of the closing, where that has not changed since."""
    made = []
    for line in trial.lines:
        said = f"{trial.name}: {{}} {words.found(line, style)}"
        if line.sort == "core" and line.result in words.NOT_QUITE:
            number = facts.number(line.core_of_id)
            if number != "?" and not trial.since(number):
                text = said.format(f"core {number}")
                made.append((line.result == How.STOPS, Trouble("fit", (number,), text, f"core {number}")))
        elif line.sort == "closing" and not trial.whole and not trial.of_core:
            stays = line.value is not None and line.value > 2 * evidence.line_u(facts.record, trial.proving, line)
            if line.result in words.RUBS or stays:
                text = f"{trial.name}: the mould does not close, {words.found(line, style)}"
                made.append((True, Trouble("fit", trial.cores, text, "closing")))
    return made
