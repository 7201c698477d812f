"""Who measures with what and when in the invented shop: people, instruments, calendar, rounds, papers."""

from __future__ import annotations

from datetime import date, timedelta

from inspect_tui.demo import scenario
from inspect_tui.frozen import frozen_by_name
from inspect_tui.metrology.typed.show import MM


# ------------------------------------------------------------------------------ people and instruments
@frozen_by_name
class InstrumentFact:
    """An instrument of the shop with its claimed U (k = 2) and its certificates (done, due, result, error)."""

    number: str
    label: str
    kind: str
    low: float
    high: float
    resolution: float
    u95: float
    certificates: tuple[tuple[str, str | None, str, float | None], ...]


def _passed(*dates: tuple[str, str | None]) -> tuple[tuple[str, str | None, str, float | None], ...]:
    return tuple((done, due, "pass", 0.0) for done, due in dates)


_USUAL = _passed(("2023-05-22", "2025-05-31"), ("2025-05-19", "2030-05-31"))
INSTRUMENTS = (
    InstrumentFact(
        number="CAL1",
        label="caliper 1 (CAL1)",
        kind="caliper",
        low=0,
        high=300,
        resolution=0.01,
        u95=0.04,
        certificates=_USUAL,
    ),
    InstrumentFact(
        number="CAL2",
        label="caliper 2 (CAL2)",
        kind="caliper",
        low=0,
        high=300,
        resolution=0.01,
        u95=0.04,
        certificates=(("2022-11-14", "2024-11-30", "pass", 0.0), ("2024-10-28", "2030-05-31", "adjusted", 0.05)),
    ),
    InstrumentFact(
        number="CAL3",
        label="long caliper (CAL3)",
        kind="caliper",
        low=0,
        high=1000,
        resolution=0.02,
        u95=0.08,
        certificates=_USUAL,
    ),
    InstrumentFact(
        number="HG1",
        label="height gauge (HG1)",
        kind="height_gauge",
        low=0,
        high=600,
        resolution=0.01,
        u95=0.06,
        certificates=_USUAL,
    ),
    InstrumentFact(
        number="IM1",
        label="inside micrometer (IM1)",
        kind="micrometer",
        low=25,
        high=150,
        resolution=0.01,
        u95=0.03,
        certificates=_USUAL,
    ),
    InstrumentFact(
        number="UT1",
        label="ultrasonic gauge (UT1)",
        kind="ultrasonic",
        low=2,
        high=50,
        resolution=0.1,
        u95=0.10,
        certificates=_USUAL,
    ),
    InstrumentFact(
        number="ARM1",
        label="measuring arm (ARM1)",
        kind="arm",
        low=0,
        high=1200,
        resolution=0.001,
        u95=0.08,
        certificates=_passed(("2023-06-05", "2025-06-30")),
    ),  # overdue on purpose
    InstrumentFact(
        number="SCAN",
        label="scan (SCAN)",
        kind="other",
        low=0,
        high=2000,
        resolution=0.001,
        u95=0.15,
        certificates=_USUAL,
    ),
    InstrumentFact(
        number="TMP1",
        label="templates and feelers (TMP1)",
        kind="template",
        low=0,
        high=200,
        resolution=0.1,
        u95=0.20,
        certificates=_passed(("2023-05-22", None)),
    ),
)
INSTRUMENT = {one.number: one for one in INSTRUMENTS}

PEOPLE = (  # initials, name, role
    ("SL", "shop lead", "lead"),
    ("B1", "bench 1", "maker"),
    ("B2", "bench 2", "maker"),
    ("IN", "inspector", "inspector"),
    ("FC", "foundry contact", "foundry"),
)

# ------------------------------------------------------------------------------ calendar (weeks begin on Monday)
WEEK_ONE = "2023-09-04"  # the first sampling; weeks -12 to -1 lie before it, there is no week 0
PRODUCTION_WEEK_ONE = "2023-12-04"
SHUTDOWN_WEEKS = ("2023-12-25", "2024-08-05", "2024-12-23", "2025-08-04")
LOTS, LOTS_A_WEEK, CASTINGS_A_LOT = 400, 4, 40
ROUNDS = {"S1": (1, 3), "S2": (7, 3), "S3": (12, 5)}  # week, castings
MEASURED_BY = ("B1", "IN", "B2", "B1", "B2")  # casting 1, 2, 3, 4, 5
SECTIONED = 2  # the casting of each round that is cut up
LOT_FEATURES = ("F09", "F10", "F38", "F41", "F50", "F51", "F55")
LOT_CUT_FEATURES = ("F28", "F29", "F30", "F46", "F47", "F48")
CUT_EVERY = 20
SAMPLE_CORE = {"F29": 82.82, "F47": 78.78, "F10": 52.52}  # width, height, port width of a new core 3, tooling sizes
REFURBISH_GROWTH = 0.30  # of the width, then box 3 is lined
LINED_AFTER_LOT = 225

# ------------------------------------------------------------------------------ papers
TEMPLATES = {"T-1": "neck wall", "T-2": "jacket gap", "T-3": "core 6 height"}
CAUTIONS = (
    "Silica dust: keep it down and out of the lungs; follow local rules.",
    f"Lifting: box 3 with its core weighs {MM.weight(scenario.BOX_3_WITH_CORE_KG, 0)}.",
    "Resin and isocyanate: follow the safety data sheet.",
    "A dimensional verdict is not a pressure test or non-destructive examination.",
)
SHIPPING = (  # what leaves the shop; loose pieces are counted
    "drag pattern",
    "cope pattern",
    *(
        f"box {core.number}" + (f" with {core.loose_pieces} loose pieces" if core.loose_pieces else "")
        for core in sorted(scenario.CORES, key=lambda c: c.number)
    ),
    *(f"template {number} ({name})" for number, name in TEMPLATES.items()),
    "setting sheet with its colour key printed on it",
)
SETTING_ORDER = tuple(core.number for core in sorted(scenario.CORES, key=lambda c: c.order))


# ------------------------------------------------------------------------------ dates
def project_day(week: int, day: int = 0) -> date:
    """The date of a project week (-12 to -1, then 1 up; there is no week 0); day 0 is its Monday."""
    weeks = week if week < 0 else week - 1
    return date.fromisoformat(WEEK_ONE) + timedelta(weeks=weeks, days=day)


def production_day(week: int, day: int = 0) -> date:
    """The date of a production week (1 up); shutdown weeks have no number."""
    monday = date.fromisoformat(PRODUCTION_WEEK_ONE)
    shut = [date.fromisoformat(text) for text in SHUTDOWN_WEEKS]
    done = 1
    while done < week or monday in shut:
        if monday not in shut:
            done += 1
        monday += timedelta(weeks=1)
    return monday + timedelta(days=day)


def week_of_lot(lot: int) -> int:
    """Production week in which a lot was made."""
    return (lot - 1) // LOTS_A_WEEK + 1


# ------------------------------------------------------------------------------ the bench as it stands today
# Stick 3 came back from the shelf, was laid out anew at 0.8 % in x and is being measured: the rest is still to do.
STICK_3_DAY = "2025-12-03"
STICK_3_READINGS = (  # balloon, as typed, instrument; F10 was left at its old width, F29 is too near its limit to tell
    ("F08", "141.14", "CAL1"),
    ("F09", "423.41", "CAL3"),
    ("F10", "52.66", "CAL1"),
    ("F29", "83.07", "CAL1"),
    ("K3-P1", "52.53", "CAL1"),
)
