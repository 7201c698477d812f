"""The demo's own world under other seeds: are its planted truths named, within their bands, and nothing else.

Run: python -m tests.benchmarks.causes_world [SEEDS [FIRST]] (about 1.5 s a seed on one core, twice: with the faults
planted and with none; prints the Markdown of inspect_tui/metrology/causes/causes.md). Each seed is told into a record of its own and
read back through the shop, as the program does. Sizes and bands are invented with the job.
"""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import NamedTuple

from inspect_tui.demo.truth import PLANTS
from inspect_tui.metrology.causes.problem import Explanation
from inspect_tui.shop.common import find
from inspect_tui.shop.first_article.castings.rounds import pick_round
from inspect_tui.shop.first_article.castings.sampling import Sampling
from inspect_tui.shop.first_article.castings.screening import Screening, look
from inspect_tui.shop.first_article.causes import search
from tests.worlds.sampled_shop import AFTER_S3, shop_until

ROUNDS = ("S1", "S2", "S3")


class Plant(NamedTuple):
    """A fault the world holds: its size (mm, contraction as a fraction) and how near the answer has to come."""

    label: str
    round: str
    name: str
    size: float
    band: float


PLANTED = (
    Plant("P01", "S1", "contraction x", -0.0020, 0.0006),
    Plant("P03", "S1", "core 4 y", 0.70, 0.25),
    Plant("P04", "S1", "core 5 z", 0.60, 0.35),
    Plant("P04", "S2", "core 5 z", 0.60, 0.35),
    Plant("P05", "S1", "parting z", 0.40, 0.30),
    Plant("P06", "S1", "size F55", -2.57, 0.15),
    Plant("P07", "S2", "cope x on casting S2-3", 0.95, 0.25),
    Plant("P11", "S3", "tilt at A2 on casting S3-4", -0.50, 0.20),
)
P02_BANDS = {"x": 0.0006, "y": 0.0015, "z": 0.0025}  # x is that of P01
# True as well, but too small to be asked for. Bench 2's caliper reads 0.05 high (P15). Stick 6 was laid out with the
# 1.3 % rule (P17): its castings come out 0.14 smaller than it promises, 0.07 on each face of core 6.
ALSO_TRUE = {
    "S1": ("caliper 2 (CAL2) bias", "core 6 growth", "size F59"),
    "S2": ("caliper 2 (CAL2) bias", "core 6 growth", "size F59", "parting z", "core 4 y", "size F55"),
    "S3": ("caliper 2 (CAL2) bias", "core 6 growth", "size F59", "parting z", "core 4 y", "size F55"),
}


class Answer(NamedTuple):
    """One sampling of one seed: per plant (named, within its band, interval holds), and what else was said."""

    round: str
    plants: tuple[tuple[Plant, bool, bool, bool], ...]
    contraction: tuple[tuple[str, bool, bool], ...]  # axis, within its band, interval holds
    also: tuple[str, ...]
    false: tuple[str, ...]
    asked: tuple[tuple[str, bool], ...]  # slips that a person has to be asked about


def samplings(seed: int, plants: Iterable[str] = PLANTS) -> Iterator[tuple[str, Screening, Explanation]]:
    """The three samplings of one seed, read back from a record and explained."""
    with TemporaryDirectory() as folder:
        record, _ = shop_until(Path(folder) / "shop.db", AFTER_S3, seed, plants)
        try:
            job = find.job(record, None)
            for label in ROUNDS:
                looked = look(Sampling(record, job, pick_round(record, job, label)))
                yield label, looked, search(looked)
        finally:
            record.close()


def judged(seed: int, planted: bool = True) -> list[Answer]:
    """The answers of one seed held against what was planted, or against nothing."""
    return [_judge(*one, planted) for one in samplings(seed, PLANTS if planted else ())]


def _judge(label: str, looked: Screening, found: Explanation, planted: bool) -> Answer:
    here = [p for p in PLANTED if p.round == label and planted]
    plants = []
    for p in here:
        f = found.named(p.name)
        plants.append(
            (
                p,
                f is not None,
                f is not None and abs(f.size.value - p.size) <= p.band,
                f is not None and f.low <= p.size <= f.high,
            )
        )
    contraction = []
    for axis, e in found.contraction.items():
        real = 0.008 if planted and axis == "x" else 0.010
        off = looked.evidence.plan[axis] + e.value - real
        contraction.append((axis, abs(off) <= P02_BANDS[axis] + 1e-12, abs(off) <= 1.96 * e.u))
    also = ALSO_TRUE[label] if planted else ()
    names = [f.candidate.name for f in found.findings if f.candidate.name not in {p.name for p in here}]
    return Answer(
        round=label,
        plants=tuple(plants),
        contraction=tuple(contraction),
        also=tuple(n for n in names if n in also),
        false=tuple(n for n in names if n not in also),
        asked=tuple(_slips(label, looked)) if planted else (),
    )


def _slips(label: str, looked: Screening) -> Iterator[tuple[str, bool]]:
    asked = {(q.kind, q.serial, frozenset(q.balloons)) for q in looked.questions}
    if label == "S1":
        yield "P09", ("slip", "S1-1", frozenset({"F08"})) in asked
    elif label == "S2":
        suspects = {(one.serial, one.suspect, one.slip) for one in looked.loops if one.open}
        yield "P08", ("S2-2", "F29", "digits swapped") in suspects
    else:
        yield "P10", ("rows swapped", "S3-2", frozenset({"F31", "F32"})) in asked
        yield "P13", any(kind == "unit" and serial == "S3-5" for kind, serial, _ in asked)


# ------------------------------------------------------------------------------ the table
def share(part: Sequence[bool]) -> str:
    return f"{100 * sum(part) / len(part):.1f} %" if part else "-"


def table(answers: Sequence[Answer]) -> Iterator[str]:
    """The planted truths, one a line, then contraction and slips."""
    yield "| truth | sampling | planted | band | named | named within the band | 95 % intervals that hold |"
    yield "|---|---|---|---|---|---|---|"
    for p in PLANTED:
        got = [one[1:] for a in answers for one in a.plants if one[0] == p]
        show: Callable[[float], str] = (lambda v: f"{100 * v:.2f} %") if p.label == "P01" else (lambda v: f"{v:.2f}")
        yield (
            f"| {p.label} {p.name} | {p.round} | {show(p.size)} | {show(p.band)} | {share([g[0] for g in got])} | "
            f"{share([g[1] for g in got])} | {share([g[2] for g in got if g[0]])} |"
        )
    for axis, band in P02_BANDS.items():
        for label in ROUNDS:
            own = [c for a in answers if a.round == label for c in a.contraction if c[0] == axis]
            yield (
                f"| contraction {axis}, named or not | {label} | | {100 * band:.2f} % | | "
                f"{share([c[1] for c in own])} | {share([c[2] for c in own])} |"
            )
    slips = [s for a in answers for s in a.asked]
    asked = (f"{name} {share([ok for n, ok in slips if n == name])}" for name in sorted({s[0] for s in slips}))
    yield f"\nSlips asked about: {', '.join(asked)}."


def others(answers: Sequence[Answer]) -> Iterator[str]:
    """What was named beside the planted truths."""
    yield "\n| sampling | samplings | with a false cause | false causes | true but small |"
    yield "|---|---|---|---|---|"
    for label in ROUNDS:
        own = [a for a in answers if a.round == label]
        false, also = Counter(n for a in own for n in a.false), Counter(n for a in own for n in a.also)
        words = [", ".join(f"{n} {k}" for k, n in c.most_common()) or "-" for c in (false, also)]
        yield f"| {label} | {len(own)} | {share([bool(a.false) for a in own])} | {words[0]} | {words[1]} |"


def main(seeds: int = 300, first: int = 0) -> None:
    with ProcessPoolExecutor(2) as pool:
        for planted in (True, False):
            print(f"\n### {seeds} seeds, {'all faults planted' if planted else 'no fault planted'}\n")
            run = pool.map(partial(judged, planted=planted), range(first, first + seeds), chunksize=4)
            answers = [a for one in run for a in one]
            lines = [*table(answers), *others(answers)] if planted else [*others(answers)]
            print("\n".join(lines), flush=True)


if __name__ == "__main__":
    main(*(int(word) for word in sys.argv[1:]))
