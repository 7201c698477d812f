"""Random kits for tests: any facts at all, and kits that are right but for what is planted."""

from __future__ import annotations

from random import Random

from inspect_tui.model.mould import CoreBody
from inspect_tui.record.store import Record
from tests.worlds.kit_jobs import Kit, begin, with_patterns

WAYS = ("x-", "x+", "y-", "y+", "z-", "z-", "z-", "z+")
PLANTS = ("pitch", "hand", "turn", "block")


def anything(record: Record, random: Random, cores: int) -> Kit:
    """Cores with whatever may be said of them: rings, cores in themselves, ways nobody can go, half of it missing."""
    made = with_patterns(begin(record))
    for n in range(1, cores + 1):
        order = random.choice([None, n, random.randint(1, cores)])
        made.add_core(n, set_order=order, volume_dm3=random.choice([None, 1.0, 2.0]))
        if random.random() < 0.5:
            made.add_tool(f"box {n}", "core_box", n)
        if random.random() < 0.4:
            made.detail(n, in_metal_dm3=random.choice([0.0, 0.5, 1.0]))
        if random.random() < 0.4:
            give_body(made, n, *((at, at + random.uniform(1, 200)) for at in (random.uniform(0, 300) for _ in "xyz")))
    for k in range(random.randint(0, 2 * cores)):
        inner, outer = random.randint(1, cores), random.choice(["drag", "cope", *range(1, cores + 1)])
        more: dict[str, object] = {
            "axis": random.choice(["x", "y", "z", "round"]),
            "way_in": random.choice(WAYS),
            "holds": random.choice([None, "x,y", "x,y,z,rx,ry,rz", "x+", "z"]),
        }
        if random.random() < 0.6:
            more |= {f"at_{axis}": random.uniform(0, 300) for axis in "xyz"}
        if random.random() < 0.2:
            more["blocked_by"] = str(random.randint(1, cores))
        if more["axis"] != "round" and random.random() < 0.6:
            made.print_and_seat(f"K{k}", inner, outer, 40.0 + random.choice([0.0, 0.0, 0.3, 5.0]), 40.5, **more)
        else:
            made.add_fit(f"K{k}", inner, outer, **more)
    return made


def give_body(made: Kit, core: int, x: tuple[float, float], y: tuple[float, float], z: tuple[float, float]) -> None:
    made.record.add(CoreBody(core_of_id=made.core[core].of_id, x0=x[0], x1=x[1], y0=y[0], y1=y[1], z0=z[0], z1=z[1]))


def right(record: Record, random: Random, cores: int = 5, plant: str = "") -> tuple[Kit, str]:
    """A kit with nothing against it, side by side in the drag, all read; `plant` puts one thing wrong: (kit, core)."""
    made = with_patterns(begin(record))
    reads: dict[str, dict[str, float]] = {"drag pattern": {}}
    wrong = random.randint(1, cores)
    for n in range(1, cores + 1):
        made.add_core(n, set_order=n, volume_dm3=1.0)
        made.add_tool(f"box {n}", "core_box", n, material="hardwood")
        planted = plant if n == wrong else ""
        of_box = reads.setdefault(f"box {n}", {})
        places = [(404.0 * n + random.uniform(0, 60) + 110 * k, random.uniform(0, 150), 20.0) for k in range(3)]
        widths = [30.0 + 12.0 * n + 4.0 * k for k in range(3)]
        if planted == "turn":  # the third stands where the first comes to when it is turned about the second
            (x0, y0, z), (x1, y1, _) = places[:2]
            places[2], widths[2] = (2 * x1 - x0, 2 * y1 - y0, z), widths[0]
        for k, (at, width) in enumerate(zip(places, widths, strict=True), start=1):
            name, stands = f"K{n}.{k}", {f"at_{axis}": place for axis, place in zip("xyz", at, strict=True)}
            male = made.size(f"{name}-P", n, width, (f"box {n}",))
            female = made.size(f"{name}-S", "drag", width + 0.5, ("drag pattern",))
            sized = {"inner_feature_id": male.id, "outer_feature_id": female.id, "holds": "x,y,z,rx,ry,rz"}
            made.add_fit(name, n, "drag", axis="round", **sized, **stands)
            of_box[f"K{n}.{k}-P"] = width + random.gauss(0, 0.01)
            reads["drag pattern"][f"K{n}.{k}-S"] = width + 0.5 + random.gauss(0, 0.01)
        for k in (1, 2):
            for i, axis in enumerate("xy"):
                low, high = sorted((places[0][i], places[k][i]))
                for tool, part in ((f"box {n}", n), ("drag pattern", "drag")):
                    balloon = f"P{n}.{k}{axis}{tool[0]}"
                    ends = ((part, 1, low), (part, 1, high))
                    made.add_feature(balloon, axis, high - low, *ends, (tool,), scale="tool", quantity="position")
                    off = (
                        0.5 + random.uniform(0.15, 1.5)
                        if planted == "pitch" and (k, axis, part) == (2, "x", n)
                        else 0.0
                    )
                    reads[tool][balloon] = high - low + random.gauss(0, 0.01) + off
        sizes = [random.uniform(20, 40), random.uniform(45, 70), random.uniform(75, 120)]
        swapped = [sizes[1], sizes[0], sizes[2]] if planted == "hand" else sizes
        for axis, size, cut in zip("xyz", sizes, swapped, strict=True):
            start = 400.0 * n if axis == "x" else 25.0
            ends = ((n, 1, start), (n, -1, start + size))
            made.add_feature(f"W{n}{axis}", axis, size, *ends, (f"box {n}",), size - 0.5, size + 0.5, scale="layout")
            of_box[f"W{n}{axis}"] = cut * 1.01 + random.gauss(0, 0.02)
        if planted == "turn":  # nearly the same turned, so that it finds room
            (x, y, _), i = places[1], 1.0 / 1.01
            give_body(made, n, ((x - 130) * i, (x + 130) * i), ((y - 60) * i, (y + 60) * i), (30.0, 80.0))
            give_body(made, n, ((x + 90) * i, (x + 130) * i), ((y - 60) * i, (y + 60) * i), (80.0, 90.0))
        else:
            give_body(made, n, (400.0 * n - 40, 400.0 * n + 340), (-60.0, 240.0), (30.0, 90.0))
    if plant == "block":  # the one before it reaches over it
        before = wrong - 1 or cores
        made.detail(before, set_order=0)
        give_body(
            made, before, (400.0 * wrong + 300, 400.0 * wrong + 339), (0.0, 60.0), (90.0 + random.uniform(1, 80), 200.0)
        )
    for tool, sizes_read in reads.items():
        made.read(tool, sizes_read)
    return made, str(wrong)
