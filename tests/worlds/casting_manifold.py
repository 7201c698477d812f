"""An invented job, an exhaust manifold with seven cores, and castings of it with planted causes (test data, seeded).

Everything is invented. Tools were made with 1.0 % contraction; `sampling` draws what the inspector would have read.
Columns: balloon, axis, as-cast nominal, limits, end A, end B (part@place; D drag, U cope, c4 core 4), instrument,
what lies between the ends (m metal, s space, p a centre at B, c centres at both, d both face down), and whether it
can only be seen on the casting that is cut up, or at which station a height is taken.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from inspect_tui.metrology.causes.problem import Datum
from inspect_tui.metrology.faces.observed import Observed, Read
from tests.worlds.ends import End, observed

TABLE = """\
F01 x 624 -1.5 +1.5 D@0 D@624 CAL3 m -
F02 x 624 -1.5 +1.5 D@0 U@624 CAL3 m -
F03 x 26 -1.0 +1.5 c7@598 D@624 CAL1 m -
F04 x 90 -0.8 +0.8 D@0 c3@90 HG1 p -
F05 x 230 -0.8 +0.8 D@0 c3@230 HG1 p -
F06 x 370 -0.8 +0.8 D@0 c3@370 HG1 p -
F07 x 510 -0.8 +0.8 D@0 c3@510 HG1 p -
F08 x 140 -0.6 +0.6 c3@90 c3@230 CAL1 c -
F09 x 420 -0.8 +0.8 c3@90 c3@510 CAL3 c -
F10 x 52 -0.5 +0.5 c3@64 c3@116 CAL1 s -
F11 x 52 -0.5 +0.5 c3@484 c3@536 CAL1 s -
F12 x 7 -0.8 +1.0 c1@35 c3@42 UT1 m cut
F13 x 7 -0.8 +1.0 D@14 c1@21 UT1 m -
F14 x 7 -0.8 +1.0 U@14 c5@21 UT1 m -
F15 x 300 -0.8 +0.8 D@0 D@300 HG1 p -
F16 x 580 -1.0 +1.0 D@0 D@580 HG1 p -
F17 x 500 -1.0 +1.0 D@60 D@560 CAL3 c -
F18 x 150 -0.8 +0.8 D@0 c1@150 HG1 p -
F19 x 455 -1.0 +1.0 D@0 c6@455 HG1 p -
F20 x 455 -1.0 +1.0 D@0 U@455 HG1 p -
F21 x 78 -0.8 +0.8 c7@520 c7@598 CAL1 s -
F22 x 560 -1.5 +1.5 D@0 c4@560 ARM1 p -
F23 y 28 -0.8 +1.0 D@-28 D@0 CAL1 m -
F24 y 28 -0.8 +1.0 U@-28 U@0 CAL1 m -
F25 y 19 -0.8 +0.8 D@0 D@19 HG1 s -
F26 y 7 -0.8 +1.0 D@19 c1@26 UT1 m -
F27 y 14 -0.8 +0.8 c1@26 c1@40 CAL1 s cut
F28 y 7 -0.8 +1.0 c1@40 c3@47 CAL1 m cut
F29 y 82 -0.8 +0.8 c3@47 c3@129 CAL1 s cut
F30 y 7 -0.8 +1.0 c3@129 c1@136 CAL1 m cut
F31 y 14 -0.8 +0.8 c1@136 c1@150 CAL1 s cut
F32 y 7 -0.8 +1.0 c1@150 D@157 UT1 m -
F33 y 7 -0.8 +1.0 c5@150 U@157 UT1 m -
F34 y 7 -0.8 +1.0 c3@129 c5@136 CAL1 m cut
F35 y 185 -1.2 +1.2 D@-28 D@157 CAL1 m -
F36 y 185 -1.2 +1.2 D@-28 U@157 CAL1 m -
F37 y 88 -0.8 +0.8 D@0 c3@88 ARM1 p -
F38 y 88 -0.6 +0.6 D@0 c4@88 HG1 p -
F39 y 7 -0.8 +1.0 c7@46 c4@53 UT1 m -
F40 y 7 -0.8 +1.0 c4@123 c7@130 UT1 m -
F41 y 70 -0.3 +0.7 c4@53 c4@123 IM1 s -
F42 y 88 -0.8 +0.8 D@0 c6@88 HG1 p -
F43 z 23 -0.8 +0.8 D@0 D@23 HG1 d st300
F44 z 7 -0.8 +1.0 D@23 c1@30 UT1 m -
F45 z 14 -0.8 +0.8 c1@30 c1@44 CAL1 s cut
F46 z 7 -0.8 +1.0 c1@44 c3@51 CAL1 m cut
F47 z 78 -0.8 +0.8 c3@51 c3@129 CAL1 s cut
F48 z 7 -0.8 +1.0 c3@129 c5@136 CAL1 m cut
F49 z 14 -0.8 +0.8 c5@136 c5@150 CAL1 s cut
F50 z 7 -0.8 +1.0 c5@150 U@157 UT1 m -
F51 z 157 -1.2 +1.2 D@0 U@157 HG1 m st300
F52 z 90 -0.8 +0.8 D@0 c3@90 HG1 p st90
F53 z 90 -0.8 +0.8 D@0 c3@90 HG1 p st510
F54 z 90 -0.8 +0.8 D@0 c4@90 HG1 p st624
F55 z 70 -0.3 +0.7 c4@55 c4@125 IM1 s -
F56 z 7 -0.8 +1.5 c7@48 c4@55 UT1 m -
F57 z 7 -0.8 +1.5 c4@125 U@132 UT1 m -
F58 z 186 -1.0 +1.0 D@0 U@186 HG1 m st455
"""
U95 = {"CAL1": 0.04, "CAL2": 0.04, "CAL3": 0.08, "HG1": 0.06, "IM1": 0.03, "UT1": 0.10, "ARM1": 0.08}
RESOLUTION = {"UT1": 0.1, "CAL3": 0.02}
CARRIERS = {
    "core 1": ("drag",),
    "core 2": ("drag",),
    "core 3": ("drag",),
    "core 4": ("core 3", "core 2"),
    "core 5": ("core 1",),
    "core 6": ("core 5",),
    "core 7": ("drag", "core 2"),
}
FEET = Datum(axis="z", near_mm=60.0, far_mm=560.0, near="foot pads A1 and A3", far="foot pad A2")
FACING = {"m": (-1, 1), "s": (1, -1), "p": (-1, 0), "c": (0, 0), "d": (-1, -1)}


@dataclass(frozen=True)
class Truth:
    """One sampling: real contraction per axis, shifts of parts, size errors (balloon, mm), shifts in one casting."""

    plan: dict[str, float] = field(default_factory=lambda: {"x": 0.010, "y": 0.010, "z": 0.010})
    real: dict[str, float] = field(default_factory=lambda: {"x": 0.008, "y": 0.010, "z": 0.010})
    shifts: dict[tuple[str, str], float] = field(default_factory=dict)
    sizes: dict[str, float] = field(default_factory=dict)
    one: dict[tuple[str, str, str], float] = field(default_factory=dict)
    tilt: dict[str, float] = field(default_factory=dict)
    serials: tuple[str, ...] = ("1", "2", "3")


PLAN_2 = {"x": 0.008, "y": 0.010, "z": 0.010}
FIRST = Truth(shifts={("core 4", "y"): 0.70, ("core 5", "z"): 0.60, ("cope", "z"): 0.40}, sizes={"F55": -2.57})
SECOND = Truth(
    plan=PLAN_2,
    shifts={("core 4", "y"): 0.05, ("core 5", "z"): 0.60, ("cope", "z"): 0.15},
    sizes={"F55": 0.10},
    one={("3", "cope", "x"): 0.95},
)
THIRD = Truth(
    plan=PLAN_2,
    shifts={("core 4", "y"): 0.05, ("cope", "z"): 0.15},
    sizes={"F55": 0.10},
    serials=("1", "2", "3", "4", "5"),
    tilt={"4": -0.50},
)


def rows() -> list[list[str]]:
    return [line.split() for line in TABLE.strip().splitlines()]


def part_of(end: str) -> tuple[str, float]:
    """("drag", 624.0) from "D@624"."""
    part, at = end.split("@")
    return {"D": "drag", "U": "cope"}.get(part, f"core {part[1:]}"), float(at)


def sampling(truth: Truth, seed: int, *, cut_up: str = "2") -> list[Observed]:
    """The castings of one sampling as read: seats, surfaces, scale, tools and instruments scatter as they do.

    The tools were measured before they were shipped (to 0.03), so the prediction knows the tool errors but for the
    size errors planted after that.
    """
    rng = np.random.default_rng(seed)
    tool: dict[tuple[str, str, float], float] = {}
    log: dict[tuple[str, str, float], float] = {}
    size_move: dict[tuple[str, str, float], float] = {}
    for r in rows():
        balloon, axis, a, b = r[0], r[1], r[5], r[6]
        for end in (a, b):
            part, at = part_of(end)
            if (part, axis, at) not in tool:
                tool[part, axis, at] = rng.normal(0, 0.03)
                log[part, axis, at] = tool[part, axis, at] + rng.normal(0, 0.01)
        if balloon in truth.sizes:
            for end, sign in ((a, -0.5), (b, 0.5)):
                part, at = part_of(end)
                size_move[part, axis, at] = sign * truth.sizes[balloon]
    seat: dict[tuple[str, str, str], float] = {}
    local: dict[tuple[str, str, str, float], float] = {}
    scale = {s: rng.normal(0, 0.0003) for s in truth.serials}
    out = []
    for balloon, axis, nominal, lo, hi, a, b, instrument, between, note in rows():
        ends = (part_of(a), part_of(b))
        fa, fb = FACING[between]
        size = float(nominal)
        readings = {}
        for n, s in enumerate(truth.serials):
            if note == "cut" and s != cut_up:
                continue
            place = []
            for part, at in ends:
                if (s, part, axis) not in seat:
                    seat[s, part, axis] = 0.0 if part == "drag" else rng.normal(0, 0.08)
                if (s, part, axis, at) not in local:
                    local[s, part, axis, at] = rng.normal(0, 0.06)
                shift = truth.shifts.get((part, axis), 0.0) + truth.one.get((s, part, axis), 0.0)
                tool_at = at * (1 + truth.plan[axis]) + tool[part, axis, at]
                place.append(
                    tool_at / (1 + truth.real[axis]) * (1 + scale[s])
                    + shift
                    + seat[s, part, axis]
                    + local[s, part, axis, at]
                    + size_move.get((part, axis, at), 0.0)
                )
            bench_2 = n % 3 == 2
            used = "CAL2" if instrument == "CAL1" and bench_2 else instrument
            spread = U95[used] / 2 * (3 if used == "CAL2" or (bench_2 and used == "CAL3") else 1)
            value = place[1] - place[0] + (0.05 if used == "CAL2" else 0.0) + rng.normal(0, spread)
            if note.startswith("st"):
                value += truth.tilt.get(s, 0.0) * (float(note[2:]) - 60.0) / 500.0
            step = RESOLUTION.get(used, 0.01)
            value = round(value / step) * step
            readings[s] = Read(value, float(np.hypot(U95[used] / 2, step / 12**0.5)), used, f"{value:.2f}")
        plan = truth.plan[axis]
        predicted = size + (log[ends[1][0], axis, ends[1][1]] - log[ends[0][0], axis, ends[0][1]]) / (1 + plan)
        station = float(note[2:]) if note.startswith("st") else None
        out.append(
            observed(
                balloon=balloon,
                axis=axis,
                a=End(ends[0][0], ends[0][1], fa),
                b=End(ends[1][0], ends[1][1], fb),
                predicted_mm=predicted,
                u_predicted=0.02,
                cast_size_mm=size,
                contraction=plan,
                target_mm=size,
                lower_mm=size + float(lo),
                upper_mm=size + float(hi),
                readings=readings,
                station_mm=station,
            )
        )
    return out
