"""The log sheets of the invented shop as people wrote them, mistakes included: tooling, samplings, gauges, lots."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date
from random import Random

from inspect_tui.demo import scenario as job
from inspect_tui.demo import workshop as shop
from inspect_tui.demo.truth import CORE_NOISE, FIT_NOISE, PLANTS, SEED, TILT, TOOL, Casting, World
from inspect_tui.frozen import frozen, frozen_by_name, replace


@frozen_by_name
class Row:
    """One line of a sheet. `value` is in the unit of the field it was typed into; None is a blank."""

    sheet: str  # tooling, S1, S2, S3, rework, study, check, lot
    day: date
    on: str  # a tool's label, or the serial of a casting or core
    kind: str  # tool, casting, core, gauge
    balloon: str
    typed: str
    value: float | None
    person: str
    instrument: str
    rep: int = 1
    lot: int | None = None
    week: int = 0  # project week, or production week on lot and check sheets
    work_c: float = 20.0
    moisture: float | None = None
    asked: bool = False  # the bench asked about it and the person kept it
    replaces: str | None = None  # typed text of the reading on this tool and feature that this one corrects
    plant: str | None = None


@frozen
class LotFile:
    """One file brought in from the foundry's bench: the casting and the sample core of one lot."""

    name: str
    lot: int
    rows: tuple[Row, ...]


@frozen_by_name
class Sheets:
    """Everything that was ever written down, in the order it was written."""

    tooling: tuple[Row, ...]
    sampling: tuple[Row, ...]
    rework: tuple[Row, ...]  # the tools that were changed after S1, measured before they went out again
    study: tuple[Row, ...]
    checks: tuple[Row, ...]
    lot_files: tuple[LotFile, ...]  # one of them comes twice

    @property
    def production(self) -> tuple[Row, ...]:
        """Rows of every lot once."""
        once = {file.lot: file for file in self.lot_files}
        return tuple(row for lot in sorted(once) for row in once[lot].rows)


def generate(seed: int = SEED, plants: Iterable[str] = PLANTS) -> Sheets:
    """All sheets for a seed and a set of planted faults (P01 to P27); standard library only, the same every time."""
    world = World(seed, plants)
    return Sheets(
        tooling=tuple(sorted(_tooling(world), key=lambda row: row.day)),
        sampling=tuple(row for name in shop.ROUNDS for row in _round(world, name)),
        rework=tuple(_rework(world)),
        study=tuple(_study(world)),
        checks=tuple(_checks(world)),
        lot_files=tuple(_lot_files(world)),
    )


def _show(value: float, decimals: int = 2) -> str:
    return f"{value:.{decimals}f}"


# ------------------------------------------------------------------------------ tooling log
STICK_LOG = {  # week, tool, what is logged there; fits on the same tool follow
    "stick 3": (-12, ("F29", "F47", "F09", "F10")),
    "stick 1": (-11, ("L11", "L12", "L13")),
    "stick 2": (-11, ()),
    "stick 4": (-10, ("F41", "F55")),
    "stick 5": (-10, ("L51", "L52", "L53")),
    "stick 6": (-10, ("F59", "L61", "L62")),
    "stick 7": (-9, ("F21", "L71", "L72")),
    "master 3": (-8, ("F29",)),
    "box 4": (-7, ("F41", "F55")),
    "drag pattern": (-5, ("F01", "F15", "F16", "F17", "F23", "F25", "F35", "F43")),
    "cope pattern": (-4, ("F24",)),
    "box 2": (-4, ()),
}
WRONG_RULE = {"F59": 48.62, "L61": 91.17, "L62": 162.08}  # P17: 1.3 % rule instead of 1.0 %
SWOLLEN = {"F21": 78.78, "L71": 85.35, "L72": 71.12}  # P19: at 12 % moisture, grain along F21
RESIN_BOX = {"L51": 125.09, "L52": 488.25, "L53": 60.53}  # P18: 0.12 % under the stick


def tool_of_fit_end(balloon: str) -> str:
    """The tool that a print, key, seat or gap is logged on."""
    part = job.FACT[balloon].a.part
    if balloon == "K10-G":
        return "trial assembly"
    if balloon == "K4-S":
        return "box 2"
    return {"D": "drag pattern", "U": "cope pattern"}.get(part, f"stick {part[1:]}")


def tool_target(balloon: str, tool: str = "") -> float:
    """Target of the first layout on a tool: as-cast size times 1.010; fits are not contracted."""
    fact = job.FACT[balloon]
    if fact.scale == "tool" or fact.axis == "none":
        return fact.size
    second = 1 + job.SECOND_A if tool.startswith("master") else 1.0
    return fact.size * (1 + job.PLAN_FIRST[fact.axis]) * second


def _tool_value(world: World, balloon: str, tool: str) -> float:
    """What a feature truly measures on a tool: the target, and what its two faces are off."""
    fact, target = job.FACT[balloon], tool_target(balloon, tool)
    if fact.scale == "tool":
        return target + FIT_NOISE * world.draw("fit", balloon)
    if fact.a.coord is None or fact.b.coord is None:
        return target + TOOL * world.draw("tool", balloon)
    error = world.tool_error(fact.b.part, fact.axis, fact.b.coord) - world.tool_error(
        fact.a.part, fact.axis, fact.a.coord
    )
    return target + error + (0.0 if tool.startswith("stick") else 0.01 * world.draw("made", tool, balloon))


def _tooling(world: World) -> Iterator[Row]:
    def row(
        week: int,
        day: int,
        tool: str,
        balloon: str,
        value: float,
        plant: str | None = None,
        moisture: float | None = None,
        **more: object,
    ) -> Row:
        fact = job.FACT[balloon]
        instrument = fact.instrument if fact.instrument == "TMP1" else ("CAL1" if value <= 300 else "CAL3")
        typed = _show(round(value, 2))
        return replace(
            Row(
                sheet="tooling",
                day=shop.project_day(week, day),
                on=tool,
                kind="tool",
                balloon=balloon,
                typed=typed,
                value=float(typed),
                person="B1",
                instrument=instrument,
                week=week,
                moisture=moisture,
                plant=plant if plant in world.plants else None,
            ),
            **more,
        )

    def planted(plant: str, values: dict[str, float], tool: str, balloon: str) -> float:
        if plant in world.plants and balloon in values:
            return values[balloon]
        return _tool_value(world, balloon, tool)

    fits: dict[str, list[str]] = {}
    for fact in job.FIT_FEATURES:
        fits.setdefault(tool_of_fit_end(fact.balloon), []).append(fact.balloon)
    for tool, (week, balloons) in STICK_LOG.items():
        day = {"stick 2": 2, "stick 5": 2, "stick 6": 3, "box 2": 1}.get(tool, 0)
        for balloon in (*balloons, *fits.get(tool, ())):
            value = _tool_value(world, balloon, tool)
            if tool == "stick 4" and balloon == "F41" and "P27" in world.plants:
                yield row(week, day, tool, balloon, 70.07, "P27", asked=True)
                continue
            if tool == "stick 6":
                value = planted("P17", WRONG_RULE, tool, balloon)
            elif balloon == "K4-S":
                value = planted("P20", {"K4-S": 77.96}, tool, balloon)
            elif balloon == "K6-S3":
                continue  # not measured on its own: found at trial assembly
            plant = "P17" if tool == "stick 6" and balloon in WRONG_RULE else ("P20" if balloon == "K4-S" else None)
            yield row(week, day, tool, balloon, value, plant, 0.09 if tool == "stick 7" else None)
        if tool == "stick 4" and "P27" in world.plants:
            yield row(week, day + 1, tool, "F41", _tool_value(world, "F41", tool), "P27", replaces="70.07")
    for balloon in RESIN_BOX:
        yield row(-6, 1, "box 5", balloon, planted("P18", RESIN_BOX, "box 5", balloon), "P18")
    for balloon in RESIN_BOX:
        yield row(-5, 3, "box 5", balloon, _tool_value(world, balloon, "box 5"))  # opened to target
    for balloon in SWOLLEN:
        yield row(-3, 0, "stick 7", balloon, planted("P19", SWOLLEN, "stick 7", balloon), "P19", 0.12)
    yield row(-2, 1, "stick 1", "K6-S3", planted("P20", {"K6-S3": 29.90}, "stick 1", "K6-S3"), "P20")
    yield row(-2, 2, "trial assembly", "K10-G", 0.30)
    if "P20" in world.plants:
        yield row(-1, 0, "stick 1", "K6-S3", 30.28)  # eased


REWORK = {  # days after the Monday of project week 4, tool, what was measured
    "drag pattern": (0, ("F01", "F15", "F16", "F17")),
    "box 1": (1, ("L12",)),
    "box 3": (2, ("F08", "F09", "F10", "F11")),
    "box 5": (3, ("L52",)),
    "box 7": (4, ("F21",)),
    "box 4": (7, ("F55",)),
}


def _rework(world: World) -> Iterator[Row]:
    """x laid out anew at 0.8 % with filler strips (P01), throat height of box 4 opened (P06)."""
    for tool, (day, balloons) in REWORK.items():
        for balloon in balloons:
            plant = "P06" if tool == "box 4" else "P01"
            if plant not in world.plants:
                continue
            fact = job.FACT[balloon]
            off = fact.size * (job.PLAN_RELAID[fact.axis] - job.PLAN_FIRST[fact.axis])
            opened = 0.10 if balloon == "F55" else 0.0
            typed = _show(round(_tool_value(world, balloon, tool) + off + opened, 2))
            yield Row(
                sheet="rework",
                day=shop.project_day(4, day),
                on=tool,
                kind="tool",
                balloon=balloon,
                typed=typed,
                value=float(typed),
                person="B1",
                instrument="CAL1" if float(typed) <= 300 else "CAL3",
                week=4,
            )


# ------------------------------------------------------------------------------ samplings
def _round(world: World, name: str) -> Iterator[Row]:
    week, castings = shop.ROUNDS[name]
    on = world.plants
    for number in range(1, castings + 1):
        rows = list(_casting(world, name, week, number))
        if name == "S3" and number == 2 and "P10" in on:
            rows = _swapped(rows, "F31", "F32", "P10")
        yield from rows


def _casting(world: World, name: str, week: int, number: int) -> Iterator[Row]:
    casting, person, on = Casting(name, number), shop.MEASURED_BY[number - 1], world.plants
    warm = 45.0 if (name, number) == ("S3", 1) and "P12" in on else 20.0
    for fact in job.FEATURES:
        if fact.cut and number != shop.SECTIONED:
            continue
        instrument = "CAL2" if fact.instrument == "CAL1" and person == "B2" else fact.instrument
        true = world.size(fact, casting)
        plant, asked = "P12" if warm > 20 else None, False
        if (name, number) == ("S3", 4) and "P11" in on and fact.balloon in TILT:
            true, plant = true + TILT[fact.balloon], "P11"
        if (name, number) == ("S2", 3) and "P07" in on and fact.balloon in ("F02", "F14", "F20"):
            plant = "P07"
        scanned = (name, number) == ("S3", 5) and fact.balloon <= "F22"
        if scanned:
            instrument = "SCAN"
        value = world.reading(
            true,
            fact,
            instrument,
            person,
            (casting, fact.balloon),
            biased=True,
            work_c=warm,
            decimals=3 if scanned else None,
        )
        typed = _show(value, fact.decimals)
        if scanned:
            typed = _show(value / 25.4, 4) if "P13" in on else _show(value, 3)
            plant = "P13" if "P13" in on else None
        if (name, number, fact.balloon) == ("S1", 1, "F08") and "P09" in on:
            typed, plant, asked = "5.523", "P09", True
        if (name, number, fact.balloon) == ("S2", 2, "F29") and "P08" in on:
            typed, plant = "82.70", "P08"
        day = shop.project_day(week, number - 1)
        yield Row(
            sheet=name,
            day=day,
            on=f"{name}-{number}",
            kind="casting",
            balloon=fact.balloon,
            typed=typed,
            value=float(typed),
            person=person,
            instrument=instrument,
            week=week,
            work_c=warm,
            asked=asked,
            plant=plant,
        )


def _swapped(rows: list[Row], first: str, other: str, plant: str) -> list[Row]:
    """The same rows with what was typed for two features exchanged."""
    by_balloon = {row.balloon: row for row in rows}
    typed = {first: by_balloon[other], other: by_balloon[first]}
    return [
        replace(row, typed=typed[row.balloon].typed, value=typed[row.balloon].value, plant=plant)
        if row.balloon in typed
        else row
        for row in rows
    ]


# ------------------------------------------------------------------------------ gauges
STUDY_SD = {"B1": 0.03, "B2": 0.09, "IN": 0.03}
STUDY_BIAS = {"B1": 0.0, "B2": 0.04, "IN": 0.0}
STUDY_PARTS, STUDY_TRIALS, STUDY_WEEK = 10, 3, 13


def _study(world: World) -> Iterator[Row]:
    """Gauge study G1 on the port width: ten castings, three people, three trials, blind order in each round."""
    odd = "P16" in world.plants
    for trial in range(1, STUDY_TRIALS + 1):
        for person, sd in STUDY_SD.items():
            order = list(range(1, STUDY_PARTS + 1))
            Random(f"{world.seed}|order|{person}|{trial}").shuffle(order)
            for part in order:
                true = job.FACT["F10"].size + 0.20 * world.draw("study part", part)
                scatter = (sd if odd else 0.03) * world.draw("study", part, person, trial)
                typed = _show(round(true + (STUDY_BIAS[person] if odd else 0.0) + scatter, 2))
                yield Row(
                    sheet="study",
                    day=shop.project_day(STUDY_WEEK, trial - 1),
                    on=f"G1-{part:02d}",
                    kind="gauge",
                    balloon="F10",
                    typed=typed,
                    value=float(typed),
                    person=person,
                    instrument="CAL1",
                    rep=trial,
                    week=STUDY_WEEK,
                    plant="P16" if odd and person == "B2" else None,
                )


def _checks(world: World) -> Iterator[Row]:
    """Both calipers on the 50.000 check piece, once a production week."""
    for week in range(1, shop.LOTS // shop.LOTS_A_WEEK + 1):
        for instrument, person in (("CAL1", "B1"), ("CAL2", "B2")):
            biased = instrument == "CAL2" and week <= 45 and "P15" in world.plants
            value = 50.0 + 0.05 * biased + 0.012 * world.draw("check", instrument, week)
            typed = _show(round(value, 2))
            yield Row(
                sheet="check",
                day=shop.production_day(week, 1),
                on="check piece 50",
                kind="gauge",
                balloon="",
                typed=typed,
                value=float(typed),
                person=person,
                instrument=instrument,
                week=week,
                plant="P15" if biased else None,
            )


# ------------------------------------------------------------------------------ production
def _lot_files(world: World) -> Iterator[LotFile]:
    for lot in range(1, shop.LOTS + 1):
        file = LotFile(f"lot-{lot:03d}.csv", lot, tuple(_lot(world, lot)))
        yield file
        if lot == 203 and "P14" in world.plants:
            yield file


def _lot(world: World, lot: int) -> Iterator[Row]:
    on, week, casting = world.plants, shop.week_of_lot(lot), Casting("P", lot)
    person, caliper = ("B1", "CAL1") if lot % 2 else ("B2", "CAL2")
    biased = week <= 45
    day = shop.production_day(week, 1 + (lot - 1) % shop.LOTS_A_WEEK)
    cut = shop.LOT_CUT_FEATURES if lot % shop.CUT_EVERY == 0 else ()
    forced = {(137, "F09"): ("402.10", "P25"), (266, "F10"): ("2.051", "P26")}
    for balloon in (*shop.LOT_FEATURES, *cut):
        fact = job.FACT[balloon]
        instrument = caliper if fact.instrument == "CAL1" else fact.instrument
        value = world.reading(world.size(fact, casting), fact, instrument, person, (casting, balloon), biased=biased)
        typed, plant = forced.get((lot, balloon), ("", ""))
        if plant not in on:
            typed, plant = _show(value, fact.decimals), ""
        row = Row(
            sheet="lot",
            day=day,
            on=f"L{lot:03d}-1",
            kind="casting",
            balloon=balloon,
            typed=typed,
            value=float(typed),
            person=person,
            instrument=instrument,
            lot=lot,
            week=week,
            asked=bool(plant),
            plant=plant or None,
        )
        if balloon == "F41" and lot in (88, 171, 342) and "P27" in on:
            row = replace(row, typed="", value=None, plant="P27")
        yield row
    for balloon in shop.SAMPLE_CORE:
        fact = job.FACT[balloon]
        true = world.core_size(balloon, lot) + CORE_NOISE * world.draw("core", lot, balloon)
        value = world.reading(true, fact, caliper, person, ("core", lot, balloon), biased=biased)
        typed = _show(value)
        yield Row(
            sheet="lot",
            day=day,
            on=f"L{lot:03d}-C3",
            kind="core",
            balloon=balloon,
            typed=typed,
            value=float(typed),
            person=person,
            instrument=caliper,
            lot=lot,
            week=week,
        )
