"""Looks at the readings of a file as a whole: merged cells, the unit, heights over the table, what is known already."""

from __future__ import annotations

from collections.abc import Sequence

from inspect_tui.frozen import replace
from inspect_tui.model import DatumTarget, Feature
from inspect_tui.shop.import_grid import Grid
from inspect_tui.shop.import_map import UNIT_NAMES, Layout
from inspect_tui.shop.import_rows import ImportRefused, Options, Row, refused
from inspect_tui.shop.sampling import Sampling, is_angle, station_of

ENOUGH_ROWS = 3  # rows of a casting from which its unit is judged


def refuse_merged(grid: Grid, layout: Layout) -> None:
    """Refuse merged cells among heads and readings; a merged title above them does no harm."""
    first = grid.lines[layout.head_row]
    last = grid.lines[-1]
    for top, bottom, left, right in grid.merged:
        if bottom >= first and top <= last and (bottom > top or right > left):
            raise ImportRefused(
                f"{grid.name}: cells in lines {top} to {bottom}, columns {left + 1} to {right + 1}, are merged: it "
                "cannot be said which casting or feature they belong to. Split them and save the file again."
            )


def in_right_unit(
    sampling: Sampling, grid: Grid, layout: Layout, rows: list[Row], options: Options
) -> tuple[list[Row], list[str]]:
    """Refuse a file whose figures only fit the drawing in another unit, unless the unit was stated."""
    from inspect_tui.metrology.loops_rows import unit_of

    stated = options.unit or any(column.unit for column in layout.columns) or layout.one("unit") is not None
    nominals = {f.balloon: sampling.sizes(f).as_cast for f in sampling.features if not is_angle(f)}
    if stated or options.heights:
        return rows, []
    by_casting: dict[str, dict[str, float]] = {}
    for row in rows:
        if row.balloon in nominals and row.unit == "mm":
            by_casting.setdefault(row.serial, {})[row.balloon] = row.value
    asked = []
    for serial, values in by_casting.items():
        if len(values) < ENOUGH_ROWS:
            continue
        unit, share = unit_of(values, nominals)
        if unit and unit != "mm":
            words = UNIT_NAMES.get(unit, unit)
            asked.append(f"casting {serial}: {100 * share:.0f} % of {len(values)} figures fit the drawing in {words}")
    if asked:
        raise ImportRefused(
            f"{grid.name} does not say its unit, and its figures do not look like mm. Say it with --unit in (or "
            "--unit mm to take them as mm all the same); nothing was added.", asked,
        )  # fmt: skip
    return rows, []


def from_datums(sampling: Sampling, grid: Grid, rows: list[Row]) -> tuple[list[Row], list[str]]:
    """Heights over the table turned into sizes from the datum targets of each casting."""
    targets = {t.label: t for t in sampling.record.datum_targets(sampling.job.of_id)}
    features = {f.balloon: f for f in sampling.features}
    wrong: list[str] = []
    remarks: list[str] = []
    out: list[Row] = []
    for serial in dict.fromkeys(row.serial for row in rows):
        own = [row for row in rows if row.serial == serial]
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
            said = ", ".join(f"{t.label} {h:.2f}" for t, h in heights)
            remarks.append(f"casting {serial} stood tilted on the table ({said}); heights count from its targets")
    if wrong:
        raise refused(grid, wrong)
    return out, remarks


def _level(heights: Sequence[tuple[DatumTarget, float]], feature: Feature) -> float:
    """Height of the datum where a feature was taken: straight between the targets, level beyond what they say."""
    mean = sum(h for _, h in heights) / len(heights)
    place = station_of(feature)
    if place is None:
        return mean
    known = [(getattr(t, f"{place[0]}_mm"), h) for t, h in heights]
    points = [(x, h) for x, h in known if x is not None]
    if len({x for x, _ in points}) < 2:
        return mean
    mid = sum(x for x, _ in points) / len(points)
    level = sum(h for _, h in points) / len(points)
    slope = sum((x - mid) * (h - level) for x, h in points) / sum((x - mid) ** 2 for x, _ in points)
    return level + slope * (place[1] - mid)


def refuse_known(sampling: Sampling, grid: Grid, rows: Sequence[Row]) -> None:
    """Refuse a file whose every reading is in the record already: the same list under another name."""
    serials = {item.serial: item for item in sampling.castings}
    if len(rows) < ENOUGH_ROWS:
        return
    for row in rows:
        item = serials.get(row.serial)
        if item is None:
            return
        there = [one.value for one in sampling.taken(sampling.feature(row.balloon), item)]
        if not any(abs(value - row.value) < 1e-9 for value in there):
            return
    raise ImportRefused(
        f"All {len(rows)} readings of {grid.name} are in the record already, for the same castings and features. "
        "Nothing was added."
    )
