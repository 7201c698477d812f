"""Looks at the readings of a file as a whole: merged cells, the unit, heights over the table, what is known already."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from inspect_tui.frozen import replace
from inspect_tui.metrology.typed import units
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.first_article import DatumTarget
from inspect_tui.model.work import Feature
from inspect_tui.shop.common import lineage
from inspect_tui.shop.common.drawing_notes import is_angle, station_of
from inspect_tui.shop.common.sizes import RAW, is_machined
from inspect_tui.shop.common.tables.file import Grid
from inspect_tui.shop.common.tables.workbook_marks import letters
from inspect_tui.shop.first_article.castings.sampling import Sampling
from inspect_tui.shop.intake.columns import NOTHING, UNIT_NAMES, Layout, unit_named
from inspect_tui.shop.intake.rows import FileReading, ImportRefused, Options, refused
from inspect_tui.todo import Todo

ENOUGH_ROWS = 3  # rows of a casting from which its unit is judged


class UnitUnclear(ImportRefused):
    """Figures that fit the drawing in another unit than is said: to be asked about, never converted silently.

    `why` is the sentence without what was kept, `unit` what they look like. `columns` are (head, what it is) where
    only these do; without any it is the whole file, or, with `scattered`, readings that no head and no option can be
    said to cover.
    """

    def __init__(
        self, why: str, lines: Sequence[str], unit: str, columns: tuple[tuple[str, str], ...], scattered: bool
    ) -> None:
        todo = Todo.SAY_COLUMN_UNIT if columns else Todo.WRITE_UNIT if scattered else Todo.SAY_UNIT
        about = f"{columns[0][1]} [{unit}]={columns[0][0]}" if columns else unit
        super().__init__(f"{why} {NOTHING}", lines, todo=todo, about=about)
        self.why, self.unit, self.columns, self.scattered = why, unit, columns, scattered


def refuse_merged(grid: Grid, layout: Layout) -> None:
    """Refuse merged cells among heads and readings; a merged title above them does no harm."""
    first = grid.lines[layout.head_row]
    last = grid.lines[-1]
    for top, bottom, left, right in grid.merged:
        if bottom >= first and top <= last and (bottom > top or right > left):
            raise ImportRefused(
                f"{grid.name}: cells {letters(left)}{top}:{letters(right)}{bottom} are merged, so it cannot be said "
                f"which casting or feature they belong to. {NOTHING} Split them and save the file again."
            )


def refuse_other_unit(
    sampling: Sampling, grid: Grid, layout: Layout, rows: Sequence[FileReading], options: Options, style: Style = MM
) -> None:
    """Refuse a file whose figures only fit the drawing in another unit, unless the unit was stated."""
    if options.heights:
        return
    lengths = [f for f in sampling.features if not is_angle(f) and f.nominal_known]
    required = [f for f in lengths if options.state == RAW or is_machined(f)]
    nominals = {f.balloon: sampling.sizes(f, options.state).drawn for f in required}
    doubted = [row for row in rows if not row.stated and row.balloon in nominals]
    castings = _other_units(doubted, nominals, "serial", style)
    there = {serial for serial, _, _ in castings}
    features = _other_units([row for row in doubted if row.serial not in there], nominals, "balloon", style)
    if not castings and not features:
        return
    units = {unit for _, unit, _ in (*castings, *features)}
    unit = units.pop()
    words = UNIT_NAMES.get(unit, unit)
    asked = [f"casting {who}: {said}" for who, _, said in castings] + [f"{who}: {said}" for who, _, said in features]
    enough = [n for n in Counter(row.serial for row in doubted).values() if n >= ENOUGH_ROWS]
    whole = not features and not units and len(castings) == len(enough) and len(rows) == len(doubted)
    named = {"castings": castings, "features": features}.get(layout.form, [])
    whose = {who for who, _, _ in named}
    columns = tuple((c.head, c.of) for c in layout.columns if c.role == "value" and c.of in whose)
    covered = not units and columns and len(named) == len(castings) + len(features)
    raise UnitUnclear(
        f"{grid.name} does not say its unit, and {'its figures' if whole else 'figures of it'} do not look like "
        f"{_told(layout, doubted)} but like {words}.",
        asked,
        unit,
        () if whole or not covered else columns,
        not whole and not covered,
    )


def _told(layout: Layout, rows: Sequence[FileReading]) -> str:
    unit = layout.unit or next((row.unit for row in rows if row.unit != "mm"), "mm")
    return UNIT_NAMES.get(unit, unit) + (", as remembered from the last file of its kind," if unit != "mm" else "")


def _other_units(
    rows: Sequence[FileReading], nominals: dict[str, float], by: str, style: Style
) -> list[tuple[str, str, str]]:
    """(casting or feature, unit, sentence) of those whose figures fit the drawing in another unit than they are in."""
    from inspect_tui.metrology.faces.rows import unit_of

    groups: dict[str, list[FileReading]] = {}
    for row in rows:
        groups.setdefault(getattr(row, by), []).append(row)
    elsewhere = []
    for name, own in groups.items():
        told = {row.unit for row in own}
        if len(own) < ENOUGH_ROWS or len(told) > 1:
            continue
        (stated,) = told
        scale = unit_named(stated) or units.MM
        written = {str(n): row.value * scale.den / scale.num for n, row in enumerate(own)}
        unit, share = unit_of(written, {str(n): nominals[row.balloon] for n, row in enumerate(own)})
        if unit and unit != stated:
            words = UNIT_NAMES.get(unit, unit)
            elsewhere.append((name, unit, f"{style.percent(share)} of {len(own)} figures fit the drawing in {words}"))
    return elsewhere


def from_datums(
    sampling: Sampling, grid: Grid, rows: list[FileReading], style: Style = MM
) -> tuple[list[FileReading], list[str]]:
    """Heights over the table turned into sizes from the datum targets of each casting, and what is to be said of it.

    ImportRefused where a casting has no height of a target along the axis of a feature.
    """
    targets = {t.label: t for t in sampling.record.datum_targets(sampling.job.of_id)}
    features = {f.balloon: f for f in sampling.features}
    wrong: list[str] = []
    remarks: list[str] = []
    out: list[FileReading] = []
    by_casting: dict[str, list[FileReading]] = {}
    for row in rows:
        by_casting.setdefault(row.serial, []).append(row)
    for serial, own in by_casting.items():
        heights = [(targets[row.balloon], row.value) for row in own if row.balloon in targets]
        for row in own:
            if row.balloon in targets:
                continue
            feature = features[row.balloon]
            same = [(t, h) for t, h in heights if t.axis == feature.axis]
            if not same:
                along = feature.axis.upper()
                wrong.append(f"line {row.line}: casting {serial} has no height of a datum target along {along}")
                continue
            out.append(replace(row, value=abs(row.value - _level(same, feature))))
        spread = [h for _, h in heights]
        if len(spread) > 1 and max(spread) - min(spread) > 0.1:
            said = ", ".join(f"{t.label} {style.length(h, unit=False)}" for t, h in heights)
            remarks.append(f"casting {serial} stood tilted on the table ({said}); heights count from its targets")
    if wrong:
        raise refused(grid, wrong)
    return out, remarks


def _level(heights: Sequence[tuple[DatumTarget, float]], feature: Feature) -> float:
    """Height of the datum where a feature was taken: straight between the targets, level beyond what they say."""
    mean: float = sum(h for _, h in heights) / len(heights)
    place = station_of(feature)
    if place is None:
        return mean
    known = [(getattr(t, f"{place[0]}_mm"), h) for t, h in heights]
    points = [(x, h) for x, h in known if x is not None]
    if len({x for x, _ in points}) < 2:
        return mean
    mid: float = sum(x for x, _ in points) / len(points)
    level: float = sum(h for _, h in points) / len(points)
    slope: float = sum((x - mid) * (h - level) for x, h in points) / sum((x - mid) ** 2 for x, _ in points)
    height: float = level + slope * (place[1] - mid)
    return height


def refuse_not_machined(sampling: Sampling, grid: Grid, rows: Sequence[FileReading]) -> None:
    """Refuse a file of machined castings that has readings of features with no stock on them."""
    first = {row.balloon: row.line for row in reversed(rows)}
    wrong = [
        f"line {line}: {balloon} is not machined: it has no stock, so its size on the casting is the raw one"
        for balloon, line in sorted(first.items(), key=lambda told: told[1])
        if not is_machined(sampling.feature(balloon))
    ]
    if wrong:
        raise refused(grid, wrong, "Take them in raw, in a file of their own.")


def not_from_files(sampling: Sampling, rows: list[FileReading], state: str = RAW) -> tuple[list[FileReading], int]:
    """The readings that no file brought before, and how many did: a sheet that grew adds only what is new.

    Where all of them are there already they are given back whole, for that is refused.
    """
    serials = {item.id: item.serial for item in sampling.castings}
    same = lineage.same_rows(sampling.record, sampling.job, sampling.features)
    balloons = {row: feature.balloon for feature in sampling.features for row in same[feature.id]}
    there: Counter[tuple[str, str, float]] = Counter(
        (serials[item], balloons[feature], round(value, 9))
        for item, feature, in_state, value in sampling.record.read_from_files(serials)
        if in_state == state and feature in balloons
    )
    new = []
    for row in rows:
        key = (row.serial, row.balloon, round(row.value, 9))
        if there[key]:
            there[key] -= 1
        else:
            new.append(row)
    return (new, len(rows) - len(new)) if new else (rows, 0)


def refuse_known(sampling: Sampling, grid: Grid, rows: Sequence[FileReading], state: str = RAW) -> list[str]:
    """Refuse a file whose every reading is in the record already; remarks where some cells have readings."""
    serials = {item.serial: item for item in sampling.castings}
    there = same = 0
    for row in rows:
        item = serials.get(row.serial)
        taken = sampling.taken(sampling.feature(row.balloon), item, state) if item is not None else []
        there += bool(taken)
        same += any(abs(reading.value - row.value) < 1e-9 for reading in taken)
    if same == len(rows) >= ENOUGH_ROWS:
        raise ImportRefused(
            f"All {len(rows)} readings of {grid.name} are in the record already, for the same castings and features. "
            f"{NOTHING}"
        )
    if not there:
        return []
    are = "is for a cell" if there == 1 else "are for cells"
    return [
        f"{there} of {len(rows)} readings {are} measured before"
        + (f", {same} with the same size" if same else "")
        + "; both readings count"
    ]
