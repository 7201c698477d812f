"""Job files for tests: the example and random whole jobs, with every table and most keys in them (invented)."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from random import Random

from inspect_tui.demo.pictures import png
from inspect_tui.model.work import Job
from inspect_tui.record.store import Record
from inspect_tui.shop.jobs import jobfile, jobs
from inspect_tui.shop.jobs.file import add, of_record, write
from inspect_tui.shop.jobs.file.plan import JobPlan

HEAD = '[job]\nnumber = "T-1"\ncontraction = "1.0 %"\n[[core]]\nnumber = 1\n[[core]]\nnumber = 2\n'
SIZE = '[[feature]]\nballoon = "F1"\nnominal = 62\na = "core 1"\nb = "core 1"\nbetween = "space"\n'


def plan(text: str) -> JobPlan:
    """The plan of a job file."""
    return jobfile.read(text)


def stored(record: Record, made: JobPlan) -> Job:
    """The job in the record."""
    add.add(record, made)
    return record.job(made.job.number)


def out_of(record: Record, job: Job, folded: bool = True) -> write.Rows:
    """The rows that the record gives for it."""
    return write.rows(of_record.plan_of(record, job), folded)


def example() -> str:
    """The commented job file."""
    return jobs.example()


def picture(folder: Path, name: str = "box.png") -> Path:
    """A small PNG."""
    path = folder / name
    path.write_bytes(png([bytes(4)] * 4, [(0, 0, 0)]))
    return path


def any_job(seed: int, cores: int = 4, sizes: int = 12, seats: int = 6) -> str:
    """A whole job file drawn at random; the same seed gives the same text."""
    draw = Random(seed)
    pick = draw.choice

    def mm(low: float, high: float) -> float:
        return round(draw.uniform(low, high), pick((0, 1, 2)))

    def maybe(line: str, chance: float = 0.5) -> list[str]:
        return [line] if draw.random() < chance else []

    lines = ["[job]", f'number = "R-{seed}"', f'name = "job {seed}"', *maybe('alloy = "grey iron"')]
    lines += [*maybe('construction = "cored"'), *maybe('customer_ref = "PO 7"'), *maybe('rule = "full_u"')]
    each = ", ".join(f'{axis} = "{draw.randint(5, 15) / 10} %"' for axis in "xyz")
    lines += [pick((f"contraction = {{ {each} }}", 'contraction = "1/8 in/ft"', 'contraction = "10 mm/m"'))]
    lines += [*maybe("tool_share = 0.25"), *maybe('tool_band = "H2"'), *maybe('contraction_u = "0.2 %"')]
    lines += ["[drawing]", f'number = "D-{seed}"', f'rev = "{pick("ABC")}"', *maybe("issued = 2026-03-02")]
    lines += maybe('general = "ISO 8062-3 DCTG 9"')
    if draw.random() < 0.7:
        lines += ["[parting]", *pick((["at = 40"], ['axis = "y"', "steps = [[0, 90, 40], [90, 120.5, 52]]"]))]
    lines += maybe("[mould]\nx = [-10, 250]\ny = [0, 100]\nz = [0, 90.5]")
    for n in range(draw.randint(0, 2)):
        lines += [
            "[[person]]",
            f'initials = "P{n}"',
            *maybe(f'name = "person {n}"'),
            f'role = "{pick(("lead", "maker"))}"',
        ]
        lines += maybe("active = false", 0.2)
    for n in range(draw.randint(0, 3)):
        unit = pick(("mm", "in", "deg"))
        lines += ["[[gauge]]", f'label = "gauge {n}"', f'unit = "{unit}"', f"resolution = {pick((0.01, 0.001, 0.5))}"]
        lines += [f"range = [0, {draw.randint(5, 300)}]", *maybe('serial = "S 1"'), *maybe('rule = "1.0 %"', 0.2)]
        if draw.random() < 0.7:
            lines += [
                "calibrated = 2026-01-10",
                f"U = {pick((0.04, 0.1))}",
                *maybe("due = 2027-01-10"),
                *maybe("error = -0.01"),
            ]
            if draw.random() < 0.4:
                lines += ["[[certificate]]", f'gauge = "gauge {n}"', "calibrated = 2025-01-10", "U = 0.05"]
                lines += maybe('result = "adjusted"')
    for n in range(1, cores + 1):
        lines += [
            "[[core]]",
            f"number = {n}",
            f'name = "core no {n}"',
            *maybe(f"set = {n}"),
            *maybe("only_locates = true", 0.2),
        ]
        lines += [*maybe(f"volume_dm3 = {mm(0, 3) + 0.1}"), *maybe("in_metal_dm3 = 0"), *maybe("chaplets = 2")]
        lines += [*maybe('ends = { x = ["inlet", "outlet"] }'), *maybe("tolerance = 0.15"), *maybe('vents = "one"')]
        lines += maybe(
            pick(
                (
                    "body = { x = [0, 40], y = [0, 20.5], z = [5, 60] }",
                    'body = [{ x = [0, 1], y = [0, 2], z = [0, 3] }, { x = [1, 2], y = [0, 2], z = [0, 3], note = "n" }]',
                )
            )
        )
        lines += [
            *maybe('check = "F1"\ncheck_limits = [5, 7]', 0.3),
            *maybe('caution = "sharp"'),
            *maybe('lift = "hooks"'),
        ]
    for n in range(1, cores + 1):
        lines += ["[[tool]]", f'label = "stick {n}"', 'kind = "core_stick"', f"core = {n}", *maybe('grain = "x"')]
        lines += [*maybe('material = "mahogany"'), *maybe("expansion_per_c = 2e-05", 0.2)]
        lines += [
            "[[tool]]",
            f'label = "box {n}"',
            'kind = "core_box"',
            f"core = {n}",
            *maybe(f'made_from = "stick {n}"'),
        ]
        lines += [
            *maybe('resin = "0.1 %"', 0.3),
            *maybe('second_contraction = "1.3 %"', 0.2),
            *maybe("loose_pieces = 2"),
        ]
        lines += [
            *maybe("dowels = 2"),
            *maybe("weight_kg = 6.5"),
            *maybe('mark = "m"'),
            *maybe('owner = "the customer"'),
        ]
    lines += [
        '[[tool]]\nlabel = "drag pattern"\nkind = "pattern_drag"',
        *maybe('[[tool]]\nlabel = "T"\nkind = "gauge_template"'),
    ]
    lines += maybe('[[target]]\nlabel = "A1"\naxis = "z"\nat = { x = 20, y = 30.5 }\nname = "pad"')
    for n in range(1, sizes + 1):
        axis, size = pick("xyz"), mm(20, 200)
        core = draw.randint(1, cores)
        a, b, between = pick(
            (
                (f"core {core}", f"core {core}", "space"),
                ("drag", f"core {core}", "metal"),
                ("drag", "drag", "metal"),
                ("cope", "drag", "face"),
                ("drag", "cope", "face-"),
            )
        )
        lines += ["[[feature]]", f'balloon = "F{n}"', *maybe(f'name = "size {n}"'), f'axis = "{axis}"']
        lines += [
            *maybe(f'quantity = "{pick(("width", "depth", "wall"))}"'),
            f"nominal = {size}",
            f'a = "{a}"',
            f'b = "{b}"',
        ]
        lines += [
            f'between = "{between}"',
            *maybe(f'limits = "{pick(("±0.8", "+1.0/-0.5", "DCTG 9", "min 1", "ISO 2768-1 m"))}"'),
        ]
        low = round(40 * n + draw.random(), 3)  # no two on one face: they would have to agree which way it looks
        lines += [
            *maybe(f"at = [{low}, {round(low + size, 3)}]"),
            *maybe("coat = [0, 0.2]", 0.3),
            *maybe('note = "there"', 0.3),
        ]
        if draw.random() < 0.3:
            lines += [f"stock = [{mm(1, 3)}, 0]", *maybe('limits_raw = "±1.5"'), *maybe("machined = false", 0.2)]
        lines += [*maybe("draft = { deg = 1.5, height = 20 }", 0.2), *maybe('contraction = "0.8 %"', 0.2)]
        lines += [
            *maybe("where = { x = 12, z = 3.5 }", 0.3),
            *maybe('sheet = "1"\nzone = "B4"\ncharacteristic = "12"', 0.2),
        ]
        if between == "space":
            lines += maybe(f'tools = ["box {core}"]', 0.3)
    lines += maybe('[[feature]]\nballoon = "S1"\nnominal = "unknown"\na = "core 1"\nb = "core 1"\nbetween = "space"')
    if draw.random() < 0.5:
        lines += ["[[face]]", 'name = "base"', 'by = "drag"', 'axis = "z"', 'metal = "+"', *maybe("datum = true")]
        lines += ["[[face]]", 'name = "roof"', 'by = "core 1"', 'axis = "z"', 'metal = "-"', *maybe("cut_up = true")]
        lines += [*maybe('wall_to = "base"'), *maybe('balloon = "S7"')]
    lines += [
        '[[feature]]\nballoon = "P90"\nquantity = "diameter"\nnominal = 40\nlimits = "+0/-0.2"\nscale = "tool"\na = "core 1"\nb = "core 1"\nbetween = "metal"'
    ]
    for n in range(1, seats + 1):
        inner = draw.randint(2, cores)
        lines += ["[[seat]]", f'label = "K{n}-1"', f'kind = "{pick(("print", "key"))}"', f"core = {inner}"]
        lines += [
            f'in = "{pick(("drag", "cope", "core 1"))}"',
            f'axis = "{pick(("x", "y", "z", "round"))}"',
            f"size = {mm(20, 60)}",
        ]
        lines += [
            *maybe("clearance = 0.3", 0.8),
            *maybe("clearance_limits = [0.2, 0.5]"),
            *maybe("at = { x = 1, y = 2, z = 3 }"),
        ]
        lines += [
            *maybe('holds = "x y"'),
            *maybe('way = "x+"'),
            *maybe('points = "z+"'),
            *maybe("blocked_by = [1]", 0.2),
        ]
        lines += [
            *maybe("count = 2", 0.2),
            *maybe('mark = "green"'),
            *maybe('print_limits = "+0.05/-0.10"'),
            *maybe(f'print = "Q{n}"', 0.2),
        ]
        lines += [*maybe("lift = 0.4", 0.2), *maybe('note = "n"', 0.2)]
    lines += maybe(
        '[[seat]]\nlabel = "G"\nplace = "left-1"\ncore = 2\nin = "core 1"\nprint = "P90"\nclearance_limits = [0.1, 0.2]\nclearance_source = "the shop"'
    )
    lines += maybe(
        '[[seat]]\nlabel = "J1-X"\nkind = "joint"\ncore = "cope"\nin = "drag"\nclearance_limits = [0.2, 0.6]'
    )
    lines += maybe(
        '[[loop]]\nlabel = "W1"\nwall = "F1"\nlimits = "min 5.9"\nparts = [{ name = "a", size = 7, plus = 0.1, minus = 0.2 }, { name = "b", sign = -1, plus = 0.5, shape = "uniform", fit = "K1-1", feature = "F2", tool = "box 1" }]'
    )
    lines += maybe(
        '[[passage]]\nlabel = "A1"\nname = "throat"\nformula = "F1 * F2"\nrated = "185 m3/min"\nleast = "178 m3/min"\nexponent = 0.9'
    )
    lines += maybe('[[passage]]\nlabel = "A2"\nformula = "F1 * F3"\nunit = "L/s"\npoints = [[10, 40], [90000, 46.5]]')
    lines += maybe(
        '[[sampling]]\nlabel = "S1"\npoured = 2026-02-01\nheat = "H"\nquantity = 3\ncastings = ["C 1", "C 2"]'
    )
    lines += _geometries(maybe) if sizes >= 8 else []
    order = [*maybe('customer = "a customer"'), *maybe('part_no = "77-1"'), *maybe('order = "45-1"')]
    lines[3:3] = [*order, *maybe("quantity = 250"), *maybe('foundry = "a foundry"')]  # into the [job]
    return "\n".join(lines) + "\n"


def _geometries(maybe: Callable[[str], list[str]]) -> list[str]:
    """Geometrical tolerances over the first eight sizes."""
    lines = maybe('[[geometry]]\nballoon = "G1"\nwhat = "flatness"\ntolerance = 0.3\nsizes = ["F1", "F2", "F3", "F4"]')
    lines += maybe(
        '[[geometry]]\nballoon = "G2"\nname = "bore"\nwhat = "position"\ntolerance = 0.5\ndiameter = true\n'
        'datums = "A B"\nsizes = ["F5", "F6"]\nstate = "finished"\nsheet = "2"\nzone = "C1"\ncharacteristic = "9"\n'
        'note = "n"'
    )
    lines += maybe(
        '[[geometry]]\nballoon = "G3"\nwhat = "perpendicularity"\ntolerance = "0.02 in"\ndatums = "A"\n'
        'sizes = ["F1", "F2"]\ndatum_sizes = ["F6", "F7", "F8"]'
    )
    return lines
