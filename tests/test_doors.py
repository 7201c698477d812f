"""What is typed means the same at every door: five texts walked through forms, job file, tables, options and the Bench.

Add a line to DOORS for every field that takes a size, a figure or a count: what it is called, what it takes, and how a
text gets through it. A door gives the value it read (mm where it is a size), or None where it refused the text.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from inspect_tui import cli
from inspect_tui.commands.common import decide
from inspect_tui.errors import InspectError
from inspect_tui.metrology.sizes.tolerance_text import parse_band
from inspect_tui.metrology.typed import fields
from inspect_tui.metrology.typed.fields import Wrong
from inspect_tui.model.measuring import Instrument
from inspect_tui.model.words import Band
from inspect_tui.model.work import Feature
from inspect_tui.shop.bench.line import Bench
from inspect_tui.shop.bench.outcomes import Asked, Logged
from inspect_tui.shop.common import drawing_notes, find, parting
from inspect_tui.shop.common.tables import columns as table_columns
from inspect_tui.shop.feature import budget
from inspect_tui.shop.first_article.castings import filling
from inspect_tui.shop.gauges import checks, instruments, plan
from inspect_tui.shop.intake import take_in
from inspect_tui.shop.intake.rows import Options
from inspect_tui.shop.jobs import datum_targets, feature_form, jobfile, one_size
from inspect_tui.shop.jobs.by_row import row_form
from inspect_tui.shop.jobs.file.plan import JobPlan
from inspect_tui.shop.kit import edit
from inspect_tui.shop.kit.facts import KitFacts
from inspect_tui.shop.trends.counts import entry as counts_entry
from inspect_tui.shop.trends.counts import file as counts_file
from inspect_tui.shop.trends.counts import repairs
from inspect_tui.tui import choosers
from tests.conftest import JOB, SmallShop

# 1 in = 25.4 mm exactly; a bare figure is in the unit of the door.
TEXTS = ("1/2 in", "12 1/2", "1 000", "12,5 mm", "1e3")
MEANS: dict[str, tuple[float | None, ...]] = {
    "size in mm": (12.7, 12.5, 1000.0, 12.5, 1000.0),
    "size in inches": (12.7, 317.5, 25400.0, 12.5, 25400.0),
    "step of a mm gauge": (12.7, None, 1000.0, 12.5, 1000.0),  # 12 1/2 is asked about: of an inch, or of a mm?
    "figure": (None, 12.5, 1000.0, None, 1000.0),
    "count": (None, None, 1000.0, None, 1000.0),
}
Door = Callable[[SmallShop, str], float | None]


# ------------------------------------------------------------------------------ the Bench and the desks of gauges
def _bench(shop: SmallShop, text: str, unit: str = "mm") -> float | None:
    tape = shop.record.add(Instrument(label=f"tape {unit}", unit=unit, resolution=0.01, range_hi=50_000.0))
    job = find.job(shop.record, "SV-12")
    bench = Bench(shop.record, job, find.subject(shop.record, job, "stick 1"), shop.ab, tape)
    bench.goto("F3")
    outcome = bench.take(text)
    if isinstance(outcome, Asked):
        kept = bench.keep_pending()
        assert isinstance(kept, Logged)
        outcome = kept
    return outcome.readings[0].value if isinstance(outcome, Logged) and len(outcome.readings) == 1 else None


def _check(shop: SmallShop, text: str) -> float | None:
    tape = shop.record.add(Instrument(label="tape", unit="mm", resolution=0.01, range_hi=5000.0))
    piece = checks.read_piece(tape, "block", text, "")
    if isinstance(piece, Wrong):
        return None
    desk = checks.QuickCheck(shop.record, shop.ab, tape, piece)
    outcome = desk.take(text)
    if not isinstance(outcome, checks.CheckResult):
        return None
    assert outcome.checks[0].value == piece.size_mm  # a reading and a size mean the same
    return piece.size_mm


def _length(shop: SmallShop, text: str) -> float | None:
    answer = instruments.read_length(text, shop.caliper)
    return None if isinstance(answer, Wrong) else answer


def _certificate(key: str, field: str) -> Door:
    def door(shop: SmallShop, text: str) -> float | None:
        values = {"done": "2026-03-10", "u95": "0.04"} | {key: text}
        made = instruments.read_calibration(shop.caliper, values, "2026-11-29")
        return None if isinstance(made, Wrong) else getattr(made, field)

    return door


def _references(shop: SmallShop, text: str) -> float | None:
    values = {"title": "t", "design": "bias", "people": "AB", "pieces": "25.000", "trials": "2", "band": text}
    made = plan.read_plan(shop.record, shop.caliper, values, None, 1)
    return None if isinstance(made, Wrong) else made.band


def _instrument(key: str, field: str, before: str = "") -> Door:
    def door(_: SmallShop, text: str) -> float | None:
        values = {"label": "x", "kind": "caliper", "unit": "mm", "resolution": "0.01", "range": "0 to 9", "scale": ""}
        made = choosers.instrument_from(values | {key: before + text})
        return None if isinstance(made, str) else getattr(made, field)

    return door


# ------------------------------------------------------------------------------ jobs
def _core_form(key: str, value: Callable[[JobPlan], float | None]) -> Door:
    def door(shop: SmallShop, text: str) -> float | None:
        job = find.job(shop.record, "SV-12")
        try:
            made = row_form.read(shop.record, job, "core", {"number": "7", key: text})
        except InspectError:
            return None
        return value(made.proposed.new)

    return door


def _form(key: str, value: Callable[[Feature], float | None], before: str = "") -> Door:
    def door(shop: SmallShop, text: str) -> float | None:
        job = find.job(shop.record, "SV-12")
        values = {name: first for name, _, first in feature_form.FIELDS}
        values |= {"balloon": "F9", "nominal": "50", "a": "core 1", "b": "core 1", "between": "space"}
        made = feature_form.read(shop.record, job, values | {key: before + text})
        return None if isinstance(made, str) else value(made)

    return door


def _job_file(line: str, value: Callable[[jobfile.JobPlan], float | None]) -> Door:
    def door(_: SmallShop, text: str) -> float | None:
        quoted = '"' + text.replace('"', '\\"') + '"'
        try:
            made = jobfile.read(JOB + "\n" + line.replace("TEXT", quoted))
        except InspectError:
            return None
        return value(made)

    return door


FEATURE = '[[feature]]\nballoon = "F9"\nnominal = 50\na = "core 1"\nb = "core 1"\nbetween = "space"\n'


def _target(shop: SmallShop, text: str) -> float | None:
    made = datum_targets.read(find.job(shop.record, "SV-12"), {"label": "A1", "axis": "z", "x": text})
    return None if isinstance(made, str) else made.x_mm


def _one_size(_: SmallShop, text: str) -> float | None:
    made = one_size.size(text, contraction_text="1 %")
    return None if isinstance(made, str) else made.finished_mm


def _stock_of_one(_: SmallShop, text: str) -> float | None:
    made = one_size.size("59", contraction_text="1 %", stock_text=text)
    return None if isinstance(made, str) else made.stock_mm / 2


def _limit(_: SmallShop, text: str) -> float | None:
    band = parse_band(f"max {text}", 5.0, "position")
    return band.upper if isinstance(band, Band) else None


def _parting(_: SmallShop, text: str) -> float | None:
    try:
        return parting.parse(f"x -5 to {text} at z 90").steps[0].to_x
    except InspectError:
        return None


def _note(shop: SmallShop, text: str) -> float | None:
    made = _made_with_note(shop, f"at x = {text}")
    place = drawing_notes.station_of(made)
    return place[1] if place else None


def _made_with_note(shop: SmallShop, note: str) -> Feature:
    job = find.job(shop.record, "SV-12")
    values = {name: first for name, _, first in feature_form.FIELDS}
    made = feature_form.read(shop.record, job, values | {"balloon": "F9", "nominal": "50", "note": note})
    assert isinstance(made, Feature)
    return made


# ------------------------------------------------------------------------------ trends
def _repair(key: str, field: str) -> Door:
    def door(shop: SmallShop, text: str) -> float | None:
        job = find.job(shop.record, "SV-12")
        tool = find.subject(shop.record, job, "stick 1").tool
        assert tool is not None
        made = repairs.read_repair(shop.record, job, tool, {"what": "lined", key: text}).thing
        return None if made is None else getattr(made, field)

    return door


def _wear_limit(shop: SmallShop, text: str) -> float | None:
    job = find.job(shop.record, "SV-12")
    tool = find.subject(shop.record, job, "stick 1").tool
    assert tool is not None
    made = repairs.read_limit(shop.record, job, tool, {"feature": "F3", "upper": text, "why": "agreed"}).thing
    return None if made is None else made.upper  # type: ignore[union-attr]


def _counter(shop: SmallShop, text: str) -> float | None:
    job = find.job(shop.record, "SV-12")
    tool = find.subject(shop.record, job, "box 1").tool
    assert tool is not None
    made = counts_entry.read_count(shop.record, job, tool, {"count": text}).thing
    return None if made is None else made.count


# ------------------------------------------------------------------------------ tables
def _column(heading: str) -> Door:
    def door(_: SmallShop, text: str) -> float | None:
        try:
            table = table_columns.parse(f"{heading}\tlabel\n{text}\ta\n")
            return table_columns.column(table, heading.split()[0]).values[0]
        except InspectError:
            return None

    return door


def _readings_file(shop: SmallShop, text: str) -> float | None:
    """F3 of one casting as a file of readings has it, looked over and not written."""
    job = find.job(shop.record, "SV-12")
    file = shop.path.parent / "readings.csv"
    file.write_text(f"serial;F3 [mm]\nC1;{text}\n", encoding="utf-8")
    try:
        checked = take_in.check(
            shop.record, job, take_in.read(shop.record, file), "S9", Options(by="AB", instrument="caliper 1")
        )
    except InspectError:
        return None
    return checked.readings[0].value


def _counts_file(shop: SmallShop, text: str) -> float | None:
    file = shop.path.parent / "counts.csv"
    day = f"2026-01-{5 + TEXTS.index(text):02}"  # the same count of the same day is taken once
    file.write_text(f"tool;date;count\nbox 1;{day};{text}\n", encoding="utf-8")
    job = find.job(shop.record, "SV-12")
    tool = find.subject(shop.record, job, "box 1").tool
    assert tool is not None
    before = shop.record.tool_counts(tool.of_id)
    counts_file.bring_in(shop.record, job, file, shop.ab, today="2026-11-29")
    made = shop.record.tool_counts(tool.of_id)
    return made[-1].count if len(made) > len(before) else None


def _budget_file(shop: SmallShop, text: str) -> float | None:
    table = table_columns.parse(f"name\tu\nrepeats\t{text}\n")
    try:
        return budget.of_lines(table).budget.lines[0].u
    except InspectError:
        return None


def _height(shop: SmallShop, text: str) -> float | None:
    """A height over the marking-off table, its zero 1 mm over it."""
    job = find.job(shop.record, "SV-12")
    desk = filling.Filling(shop.record, None, shop.ab, shop.caliper)  # type: ignore[arg-type]
    desk.table_zero = 0.0
    feature = next(f for f in shop.record.features(shop.record.revisions(job.of_id)[-1].id) if f.balloon == "F2")
    answer = desk._over_table(feature, text)
    return float(answer) if isinstance(answer, str) else None


# ------------------------------------------------------------------------------ the kit
def _fit(key: str, field: str, before: str = "") -> Door:
    def door(shop: SmallShop, text: str) -> float | None:
        facts = KitFacts(shop.record, find.job(shop.record, "SV-12"))
        values = {"label": "K1", "inner": "core 1", "clearance": "0.3 0.7"} | {key: before + text}
        try:
            made = edit.read_fit(facts, values)
        except InspectError:
            return None
        return getattr(made, field)

    return door


# ------------------------------------------------------------------------------ options
def _option(*argv: str, into: str) -> Door:
    def door(_: SmallShop, text: str) -> float | None:
        try:
            args: Any = cli.parser({argv[0]}).parse_args([text if word == "TEXT" else word for word in argv])
            decide(args)
        except InspectError:
            return None
        return getattr(args, into)

    return door


def _reader(read: Callable[[str], object]) -> Door:
    """A reader that a form hands its field to, as it is."""

    def door(_: SmallShop, text: str) -> float | None:
        answer = read(text)
        return answer if isinstance(answer, int | float) else None

    return door


DOORS: dict[str, tuple[str, Door]] = {
    "Bench": ("size in mm", _bench),
    "Bench, with an inch instrument": ("size in inches", lambda shop, text: _bench(shop, text, "in")),
    "quick check: piece and reading": ("size in mm", _check),
    "uncertainty of a certificate, bias, band of a study": ("size in mm", _length),
    "certificate: U": ("size in mm", _certificate("u95", "u95_mm")),
    "certificate: error": ("size in mm", _certificate("error", "error_mm")),
    "study: band": ("size in mm", _references),
    "new instrument: range": ("size in mm", _instrument("range", "range_hi", "0 to ")),
    "new instrument: step": ("step of a mm gauge", _instrument("resolution", "resolution")),
    "feature form: size": ("size in mm", _form("nominal", lambda f: f.nominal)),
    "feature form: stock": ("size in mm", _form("stock", lambda f: f.ends[1].stock_mm, "0; ")),
    "feature form: place": ("size in mm", _form("at", lambda f: f.ends[1].coord_mm, "-3 mm; ")),
    "feature form: wash": ("size in mm", _form("coat", lambda f: f.ends[1].coat_mm, "0; ")),
    "feature form: height of a draft": ("size in mm", _form("draft", lambda f: f.draft_h_mm, "1 ")),
    "core form: tolerance": ("size in mm", _core_form("tolerance", lambda p: p.core_details[0].tol_mm)),
    "job file: nominal": (
        "size in mm",
        _job_file('[[feature]]\nballoon = "F9"\nnominal = TEXT', lambda p: p.features[-1].nominal),
    ),
    "job file: place": (
        "size in mm",
        _job_file(FEATURE + "at = [-3, TEXT]", lambda p: p.features[-1].ends[1].coord_mm),
    ),
    "job file: stock": ("size in mm", _job_file(FEATURE + "stock = TEXT", lambda p: p.features[-1].ends[0].stock_mm)),
    "job file: draft height": (
        "size in mm",
        _job_file(FEATURE + "draft = { deg = 1, height = TEXT }", lambda p: p.features[-1].draft_h_mm),
    ),
    "job file: target": (
        "size in mm",
        _job_file('[[target]]\nlabel = "A1"\naxis = "z"\nat = { x = TEXT }', lambda p: p.targets[0].x_mm),
    ),
    "datum target": ("size in mm", _target),
    "one size": ("size in mm", _one_size),
    "one size: stock": ("size in mm", _stock_of_one),
    "limits": ("size in mm", _limit),
    "parting": ("size in mm", _parting),
    "place in a note": ("size in mm", _note),
    "column of a table": ("figure", _column("width")),
    "column of a table in mm": ("size in mm", _column("width [mm]")),
    "file of readings": ("size in mm", _readings_file),
    "file of counts": ("count", _counts_file),
    "file of a budget": ("figure", _budget_file),
    "height over the table": ("size in mm", _height),
    "fit: clearance": ("size in mm", _fit("clearance", "clear_max_mm", "0.1 mm to ")),
    "fit: how far it can rise": ("size in mm", _fit("lift", "lift_mm")),
    "fit: place": ("size in mm", _fit("at", "at_z", "1 mm; 2 mm; ")),
    "repair: amount": ("size in mm", _repair("amount", "amount_mm")),
    "repair: count": ("count", _repair("at_count", "at_count")),
    "limit of wear": ("size in mm", _wear_limit),
    "count of a tool": ("count", _counter),
    "stock --required": ("size in mm", _option("stock", "--required", "TEXT", into="required")),
    "chart --baseline": ("count", _option("chart", "--baseline", "TEXT", into="baseline")),
    "wear --per-week": ("figure", _option("wear", "--per-week", "TEXT", into="per_week")),
    "budget --k": ("figure", _option("budget", "--k", "TEXT", into="k")),
    "reader of a size": ("size in mm", _reader(fields.size)),
    "reader of a figure": ("figure", _reader(fields.figure)),
    "reader of a count": ("count", _reader(fields.count)),
}


@pytest.mark.parametrize("name", DOORS)
def test_five_texts_mean_the_same_at_every_door(shop: SmallShop, name: str) -> None:
    kind, door = DOORS[name]
    read = [door(shop, text) for text in TEXTS]
    wanted = [None if mm is None else pytest.approx(mm, rel=1e-12) for mm in MEANS[kind]]
    assert dict(zip(TEXTS, read, strict=True)) == dict(zip(TEXTS, wanted, strict=True))
