"""People who walk down a list of sizes with their eyes on the work: they slip, pass sizes over, and look up or never.

The mix is ours, no source: twenty-six sizes with tool limits, two rows of four alike and a pair among them, one slip in
twenty, one size in fifty passed over, 0.3 to 5 seconds between two readings. What was sent is told apart from what was
logged: a reading stands right where a line of that text was meant for that size.
"""

from __future__ import annotations

import random
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path

from inspect_tui.model.measuring import Instrument, Person
from inspect_tui.record.store import Record
from inspect_tui.shop.bench.line import Bench
from inspect_tui.shop.bench.outcomes import Asked
from inspect_tui.shop.common import find
from inspect_tui.shop.jobs import jobs
from tests.worlds.slips_bench import KINDS, slipped

SLIPS, PASSED_OVER = 1 / 20, 1 / 50
NOMINAL = [
    *(60.6, 60.6, 60.6, 60.6, 118.4, 24.3, 24.9, 310.0, 52.4, 77.2, 12.1, 205.5, 98.7),
    *(41.0, 41.0, 333.3, 18.8, 146.2, 66.0, 64.9, 270.4, 35.5, 90.6, 90.6, 90.6, 90.6),
]
HEAD = """
[job]
number = "W-1"
name = "walk"
contraction = "1.0 %"

[drawing]
number = "W-1-01"
rev = "A"

[[core]]
number = 1
name = "core"
"""


def make(path: Path) -> tuple[Record, Person, Instrument]:
    """A record with one job of twenty-six sizes, as they are on castings."""
    record = Record.open(path, create=True)
    sizes = [
        f'[[feature]]\nballoon = "F{n:02}"\nname = "size {n}"\nnominal = {nominal}\nlimits = "±0.3"\n'
        'a = "core 1"\nb = "core 1"\nbetween = "space"\naxis = "x"\n'
        for n, nominal in enumerate(NOMINAL, start=1)
    ]
    jobs.add_from_file(record, "\n".join([HEAD, *sizes]))
    ab = record.add(Person(initials="AB"))
    return record, ab, record.add(Instrument(label="caliper 1", range_hi=600.0))


@dataclass
class Walked:
    """What was sent in one walk (text and the size it was meant for), and on which casting."""

    sent: list[tuple[str, str]] = field(default_factory=list)
    bench: Bench | None = None


def new_bench(record: Record, person: Person, gauge: Instrument, serial: str) -> Bench:
    """A stay on a new casting."""
    job = find.job(record, None)
    jobs.add_casting(record, job, serial)
    return Bench(record, job, find.subject(record, job, f"casting {serial}"), person, gauge)


def walk(bench: Bench, dice: random.Random, looks: float = 0.0, slips: float = SLIPS) -> Walked:
    """One walk down the list; `looks`: how often a question is seen and answered at once, with what is right."""
    out = Walked(bench=bench)
    for task in list(bench.tasks):
        if dice.random() < PASSED_OVER:
            continue
        balloon = task.feature.balloon
        honest = f"{task.sizes.target + dice.gauss(0.0, 0.08):.2f}"
        text = honest
        if dice.random() < slips:
            kind = dice.choices(list(KINDS), list(KINDS.values()))[0]
            text = slipped(dice, kind, honest, "mm") or honest
        out.sent.append((text, balloon))
        outcome = bench.take(text, dice.uniform(0.3, 5.0))
        if dice.random() < looks:
            _answer(bench, outcome, honest, text, balloon, out, dice)
    return out


def _answer(
    bench: Bench, outcome: object, honest: str, text: str, balloon: str, out: Walked, dice: random.Random
) -> None:
    """Somebody who looks up: `=` where what is offered is right, Enter where it is right as typed, else typed again."""
    for _ in range(4):
        line = bench.pending
        if line is None or not isinstance(outcome, Asked) or line.text not in (text, honest):
            return
        assert line.asked
        if line.asked.balloon == balloon and line.text == honest:
            outcome = bench.take("=", dice.uniform(0.6, 5.0))
        elif line.asked.suggestion == honest:
            out.sent.append((honest, balloon))
            outcome = bench.take("=", dice.uniform(0.6, 5.0))
        elif line.text == honest and line.balloon == balloon:
            outcome = bench.take("", dice.uniform(0.6, 5.0))
        else:
            out.sent.append((honest, balloon))
            outcome = bench.take(honest, dice.uniform(0.6, 5.0))


@dataclass
class Seen:
    """What became of the lines of some walks."""

    sent: int = 0
    unmarked: int = 0
    marked: int = 0
    wrong: list[tuple[str, str]] = field(default_factory=list)  # unmarked, on a size they were not meant for
    lost: list[str] = field(default_factory=list)


def look(walked: Walked, seen: Seen) -> None:
    """Compare what stands in the record with what was sent."""
    bench = walked.bench
    assert bench
    bench.part()
    balloons = {task.feature.id: task.feature.balloon for task in bench.tasks}
    meant = Counter(walked.sent)
    there: Counter[str] = Counter(line.text for line in bench.waiting)
    for row in bench.record.readings(item_id=bench.subject.key):
        there[row.reading.typed] += 1
        if row.out or row.slip != "none" or row.notes:
            seen.marked += 1
            continue
        seen.unmarked += 1
        at = (row.reading.typed, balloons[row.reading.feature_id])
        if meant[at] <= 0:
            seen.wrong.append(at)
        meant[at] -= 1
    seen.sent += len(walked.sent)
    seen.lost += [text for text in {text for text, _ in walked.sent} if not there[text]]
