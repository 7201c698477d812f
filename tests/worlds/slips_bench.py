"""An invented bench: people read sizes honestly, some tools are off, and now and then a hand or an eye slips.

The mix is ours, no source: sizes 7 to 630 mm, bands of castings and a third of them for tools, calipers in mm and in
inches, one tool feature in ten off by anything up to two bands either way, three readings of each feature.
"""

from __future__ import annotations

import random
import statistics
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from itertools import pairwise

from inspect_tui.metrology.typed.parsed import Size
from inspect_tui.metrology.typed.slips import Expectation, SlipQuestion, check, expectation_from_history

JAW_MM = 10.0
U_MM = 0.02
VISITS = 3
KINDS = {
    "swapped digits": 25,
    "misread digit": 14,
    "lost digit": 8,
    "doubled digit": 5,
    "decimal point": 12,
    "inch or mm": 10,
    "inside jaws": 6,
    "other feature": 14,
}
LOOK_OR_LIE_ALIKE = {  # drawn up apart from the table of the program: seven-segment and handwritten digits, keypad
    "0": "689",
    "1": "724",
    "2": "135",
    "3": "826",
    "4": "195",
    "5": "634",
    "6": "589",
    "7": "148",
    "8": "0369",
    "9": "486",
}


@dataclass
class Rates:
    honest: int = 0
    asked: int = 0
    off_asked: int = 0
    slips: Counter[str] = field(default_factory=Counter)
    caught: Counter[str] = field(default_factory=Counter)
    right: int = 0
    missed: list[tuple[str, str, str, float, float]] = field(default_factory=list)

    @property
    def false_rate(self) -> float:
        return self.asked / self.honest

    @property
    def caught_rate(self) -> float:
        return self.caught.total() / self.slips.total()

    @property
    def right_rate(self) -> float:
        """How often the suggestion is what was read, of the questions to slips."""
        return self.right / self.caught.total()


@dataclass
class Feature:
    target: float
    width: float
    sd: float
    centre: float
    unit: str
    inside: bool
    readings: list[float] = field(default_factory=list)

    def expected(self, name: str) -> Expectation:
        n = len(self.readings)
        mean = statistics.fmean(self.readings) if n else 0.0
        s = statistics.stdev(self.readings) if n > 1 else 0.0
        return expectation_from_history(n, mean, s, self.target, self.width, u=U_MM, balloon=name)


def typed(mm: float, unit: str) -> str:
    return f"{mm:.2f}" if unit == "mm" else f"{mm / 25.4:.3f}"


def size(text: str, unit: str) -> Size:
    factor = 1.0 if unit == "mm" else 25.4
    return Size(float(text) * factor, text, unit, factor * 10.0 ** -len(text.partition(".")[2]))


def slipped(rng: random.Random, kind: str, text: str, unit: str) -> str | None:
    """The text after a slip of this kind, None where it can't happen."""
    digits = [i for i, c in enumerate(text) if c != "."]
    letters = list(text)
    at = rng.choice(digits)
    if kind == "swapped digits":
        pairs = [(a, b) for a, b in pairwise(digits) if text[a] != text[b]]
        if not pairs:
            return None
        a, b = rng.choice(pairs)
        letters[a], letters[b] = letters[b], letters[a]
    elif kind == "misread digit":
        near = LOOK_OR_LIE_ALIKE[text[at]]
        letters[at] = rng.choice(near if rng.random() < 0.6 else "0123456789".replace(text[at], ""))
    elif kind == "lost digit":
        del letters[at]
    elif kind == "doubled digit":
        letters.insert(at, text[at])
    elif kind == "decimal point":
        if rng.random() < 0.5:
            return text.replace(".", "")
        mark = text.index(".") + rng.choice((-2, -1, 1, 2))
        bare = text.replace(".", "").rjust(len(text) - text.index(".") + 2, "0") if mark < 1 else text.replace(".", "")
        mark = max(1, mark + len(bare) - len(text) + 1)
        return f"{bare[:mark]}.{bare[mark:]}" if mark < len(bare) else bare.ljust(mark, "0")
    elif kind == "inch or mm":
        return f"{float(text) / 25.4:.3f}" if unit == "mm" else f"{float(text) * 25.4:.2f}"
    elif kind == "inside jaws":
        return typed(float(text) * (1.0 if unit == "mm" else 25.4) - JAW_MM, unit)
    new = "".join(letters)
    return new if new != text and any(c.isdigit() for c in new) and float(new) > 0.0 else None


def run(seed: int, benches: int, sds: tuple[float, ...], off_share: float = 0.1) -> tuple[Rates, Rates]:
    """Rates for first readings (only the drawing is known) and for later ones. `sds`: of readings, in band widths."""
    rng = random.Random(seed)
    first, later = Rates(), Rates()
    for _ in range(benches):
        features = [_feature(rng, sds, off_share) for _ in range(60)]
        for visit in range(VISITS):
            expected = [f.expected(f"F{n}") for n, f in enumerate(features)]
            for n, feature in enumerate(features):
                _read(rng, first if visit == 0 else later, features, expected, n, feature)
    return first, later


def _feature(rng: random.Random, sds: tuple[float, ...], off_share: float) -> Feature:
    target = round(10.0 ** rng.uniform(0.85, 2.8), rng.choice((0, 0, 0, 1, 2)))
    width = rng.choice((0.8, 1.0, 1.5)) * (1.0 + 0.003 * target) / (3.0 if rng.random() < 0.6 else 1.0)
    off = rng.uniform(-2.0, 2.0) * width if rng.random() < off_share else 0.0
    unit = "in" if rng.random() < 0.15 else "mm"
    return Feature(
        target=target,
        width=width,
        sd=rng.choice(sds) * width,
        centre=target + off,
        unit=unit,
        inside=rng.random() < 0.4,
    )


def _read(
    rng: random.Random, rates: Rates, features: list[Feature], expected: list[Expectation], n: int, f: Feature
) -> None:
    others = [e for i, e in enumerate(expected) if i != n]

    def ask(text: str) -> SlipQuestion | None:
        jaw = JAW_MM if f.inside else None
        step = 0.01 if f.unit == "mm" else 0.0254
        return check(size(text, f.unit), expected[n], others, jaw_mm=jaw, resolution_mm=step)

    mm = max(1.0, rng.gauss(f.centre, f.sd))
    text = typed(mm, f.unit)
    question = ask(text)
    rates.honest += 1
    rates.asked += question is not None
    rates.off_asked += question is not None and f.centre != f.target
    _slip(rng, rates, features, f, mm, text, ask)
    f.readings.append(size(text, f.unit).mm)


def _slip(
    rng: random.Random,
    rates: Rates,
    features: list[Feature],
    f: Feature,
    mm: float,
    text: str,
    ask: Callable[[str], SlipQuestion | None],
) -> None:
    kind = rng.choices(list(KINDS), list(KINDS.values()))[0]
    if abs(mm - f.target) > f.width / 2.0 or (kind == "inside jaws" and not (f.inside and mm > JAW_MM + 1.0)):
        return  # what is counted is a slip that takes a reading from inside the band to far outside
    if kind == "other feature":
        other = rng.choice(features)
        there = rng.gauss(other.centre, other.sd)
        wrong = typed(there, f.unit) if abs(there - other.target) <= other.width / 2.0 else None
    else:
        wrong = slipped(rng, kind, text, f.unit)
    if wrong is None or abs(size(wrong, f.unit).mm - f.target) - f.width / 2.0 <= f.width:
        return
    question = ask(wrong)
    rates.slips[kind] += 1
    if question is None:
        rates.missed.append((kind, text, wrong, f.target, f.width))
    else:
        rates.caught[kind] += 1
        rates.right += question.kind == kind if kind == "other feature" else abs(question.suggested_mm - mm) < 0.02
