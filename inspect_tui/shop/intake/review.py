"""What a file would add, told before anything is written: how much, where to, how it was read, and what looks odd."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence

from inspect_tui.frozen import frozen
from inspect_tui.metrology.typed import show, slips, units
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.shop.common import find, trusted
from inspect_tui.shop.common.drawing_notes import is_angle
from inspect_tui.shop.common.sizes import FINISHED, RAW
from inspect_tui.shop.common.tables.columns import number
from inspect_tui.shop.first_article.castings.doubts import FAR_OUT, slip
from inspect_tui.shop.first_article.castings.sampling import Sampling
from inspect_tui.shop.intake.columns import ALL_WORDS, UNIT_NAMES, is_requirement
from inspect_tui.shop.intake.rows import MOST_SHOWN, FileReading, shortened
from inspect_tui.shop.intake.take_in import CheckedFile

PLAINLY_OUT = 5.0  # bands beyond a limit from which it is said though no slip explains it
LOOK_ALIKE = str.maketrans({"o": "0", "l": "1", "i": "1"})


@frozen
class Review:
    """Lines (what, words) about a file, and one sentence for each thing that looks odd."""

    title: str
    lines: tuple[tuple[str, str], ...]
    odd: tuple[str, ...]
    asked: tuple[str, ...] = ()  # those of them that are to be answered before the file is taken in
    column: str | None = None  # the head of the first column among them


def review(checked: CheckedFile, style: Style = MM) -> Review:
    """What would be written, and what to look at before."""
    rows, sampling = checked.readings, checked.sampling
    castings = list(dict.fromkeys(row.serial for row in rows))
    features = {row.balloon for row in rows}
    title = (
        f"{show.count(len(rows), 'reading')} of {show.count(len(features), 'feature')} on "
        f"{show.count(len(castings), 'casting')}, into {sampling.round.label} of {sampling.job.number}"
    )
    lines = [("castings", _listed(castings, 12))]
    if checked.new_serials:
        at = "a new sampling" if sampling.round.lot is None else sampling.round.label
        new = "all of them" if len(checked.new_serials) == len(castings) else _listed(checked.new_serials, 12)
        lines.append(("new castings", f"{new}: added to {at}"))
    lines += [("note", remark) for remark in checked.remarks]
    lines.append(("columns", _columns(checked)))
    heads = checked.grid.rows[checked.layout.head_row]
    left_out = [heads[column.place] for column in checked.layout.columns if column.role == "ignore"]
    if left_out:
        lines.append(("left out", _listed(left_out, 12)))
    lines.append(("measured", _means(checked, style)))
    if checked.options.state == FINISHED:
        lines.append(("castings are", "finished by machining: judged by the drawing's own limits"))
    asked = _unknown_columns(checked) + _spelled(checked) + _strangers(checked) + _beyond_reach(checked, style)
    columns = [*_unknown_heads(checked), *(_strange(checked) if checked.layout.form == "castings" else ())]
    odd = shortened(_odd(checked, style), MOST_SHOWN)
    return Review(title, tuple(lines), odd, tuple(asked), next(iter(columns), None))


def _listed(names: Sequence[str], most: int) -> str:
    return ", ".join(names[:most]) + (f" and {len(names) - most} more" if len(names) > most else "")


def _columns(checked: CheckedFile) -> str:
    parts = []
    for column in checked.layout.columns:
        if column.role == "ignore":
            continue
        what = column.of or column.role
        unit = f" in {UNIT_NAMES.get(column.unit, column.unit)}" if column.unit else ""
        parts.append(what + unit if column.head == what else f"{column.head} is {what}{unit}")
    units = {row.unit for row in checked.readings if row.unit not in ("deg", "go/no-go")}
    words = f"; sizes in {', '.join(sorted(UNIT_NAMES.get(unit, unit) for unit in units))}" if units else ""
    return _listed(parts, 10) + words


def _means(checked: CheckedFile, style: Style) -> str:
    by = sorted({person.initials for person in checked.people.values()})
    instruments = sorted({instrument.label for instrument in checked.instruments.values()})
    warm = sorted({row.work_c for row in checked.readings if row.work_c is not None})
    at = f", at {', '.join(style.figures(c) for c in warm[:4])} °C" if warm else ", temperature not said"
    return f"by {_listed(by, 6)}, with {_listed(instruments, 6)}{at}"


# ------------------------------------------------------------------------------ odd
def _odd(checked: CheckedFile, style: Style) -> list[str]:
    return (
        _spelled(checked)
        + _unknown_columns(checked)
        + _strangers(checked)
        + _sizes_of_the_drawing(checked)
        + _bad_gauges(checked, style)
        + _beyond_reach(checked, style)
        + _swaps(checked.sampling, checked.readings, checked.options.state)
        + _far_out(checked.sampling, checked.readings, style, checked.options.state)
    )


def _spelled(checked: CheckedFile) -> list[str]:
    """New castings whose serial looks like one that is there."""
    known = {_bare(item.serial): item.serial for item in checked.sampling.castings}
    return [
        f"casting {serial} is new, and looks like {known[_bare(serial)]}: is it that one?"
        for serial in checked.new_serials
        if _bare(serial) in known
    ]


def _unknown_columns(checked: CheckedFile) -> list[str]:
    """Columns of figures that are left out though nobody said so: is there a reading in them?"""
    return [
        f"column {head} (such as {cell[:24]}) is not known and is left out: is that right?"
        for head, cell in _unknown_heads(checked).items()
    ]


def _unknown_heads(checked: CheckedFile) -> dict[str, str]:
    """Their heads, with a cell below each."""
    start = checked.layout.first_row
    stated = {head.casefold() for head, _ in checked.given}
    asked = {}
    for column in checked.layout.columns:
        known = column.head.casefold() in ALL_WORDS or is_requirement(column.head, _balloon_of(checked))
        if column.role != "ignore" or known or column.head.casefold() in stated:
            continue
        filled = [
            row[column.place] for row in checked.grid.rows[start:] if column.place < len(row) and row[column.place]
        ]
        if sum(number(cell) is not None for cell in filled) > len(filled) / 2:
            asked[column.head] = filled[0]
    return asked


def _balloon_of(checked: CheckedFile) -> Callable[[str], str | None]:
    balloons = {find.balloon_key(feature.balloon): feature.balloon for feature in checked.sampling.features}
    return lambda word: balloons.get(find.balloon_key(word))


def _strangers(checked: CheckedFile) -> list[str]:
    """New castings whose name is built like none of those that are known: a column or row of something else?"""
    return [
        f"casting {serial} is new, and its name looks like none of the known: is it a casting?"
        for serial in _strange(checked)
    ]


def _strange(checked: CheckedFile) -> list[str]:
    there = [item.serial for item in checked.sampling.record.items(checked.sampling.job.of_id)]
    known, alike = {_built(serial) for serial in there}, {_bare(serial) for serial in there}
    return [
        serial for serial in checked.new_serials if known and _built(serial) not in known and _bare(serial) not in alike
    ]


def _built(serial: str) -> str:
    """How a serial is built: runs of letters and of figures, and the marks between them."""
    return re.sub(r"[^\W\d_]+", "a", re.sub(r"\d+", "0", serial.casefold()))


def _sizes_of_the_drawing(checked: CheckedFile) -> list[str]:
    """New castings whose every reading is just what the drawing says: a column of nominal sizes, most likely."""
    by_casting: dict[str, list[FileReading]] = {}
    state = checked.options.state
    for row in checked.readings:
        by_casting.setdefault(row.serial, []).append(row)
    drawn_only = []
    for serial in checked.new_serials:
        rows = by_casting.get(serial, [])
        drawn = [(row.value, checked.sampling.feature(row.balloon)) for row in rows]
        if len(rows) > 1 and all(v in (f.nominal, checked.sampling.sizes(f, state).drawn) for v, f in drawn):
            drawn_only.append(
                f"casting {serial}: all {len(rows)} readings are exactly the sizes of the drawing. Is it a casting, or "
                "the column of nominal sizes? Then leave it out."
            )
    return drawn_only


def _bad_gauges(checked: CheckedFile, style: Style) -> list[str]:
    """Gauges that are not to be measured with: what is taken in says so beside every reading."""
    used = {instrument.of_id: instrument for instrument in checked.instruments.values()}.values()
    means = [trusted.history(checked.sampling.record, instrument).means(checked.today, style) for instrument in used]
    return [f"✗ {gauge.instrument.label} {gauge.bad}: was another one used?" for gauge in means if gauge.bad]


def _beyond_reach(checked: CheckedFile, style: Style) -> list[str]:
    """Readings that the instrument named cannot have given."""
    beyond: dict[str, list[FileReading]] = {}
    for row in checked.readings:
        instrument = checked.instruments[row.instrument]
        unit = units.short_unit(instrument.unit, "length")
        if unit is None or unit.family != "length" or is_angle(checked.sampling.feature(row.balloon)):
            continue
        low, high = (end * unit.num / unit.den for end in (instrument.range_lo, instrument.range_hi))
        if not low <= abs(row.value) <= high * 1.001:
            beyond.setdefault(instrument.label, []).append(row)
    ranges = {
        i.label: f"{style.figures(i.range_lo)} to {style.figures(i.range_hi)} {i.unit}"
        for i in checked.instruments.values()
    }
    return [
        f"{show.count(len(rows), 'reading')} beyond the range of {label} ({ranges[label]}), from line "
        f"{rows[0].line} on: was another one used?"
        for label, rows in beyond.items()
    ]


def _bare(serial: str) -> str:
    """What is left of a serial without case, marks, leading zeros and letters that look like figures."""
    parts = re.findall(r"\d+|[^\W\d_]+", serial.casefold().translate(LOOK_ALIKE))
    return " ".join(part.lstrip("0") or "0" for part in parts)


def _swaps(sampling: Sampling, rows: Sequence[FileReading], state: str = RAW) -> list[str]:
    """Pairs of rows of one casting that have each other's reading."""
    from inspect_tui.metrology.faces.rows import CastingRow as Place
    from inspect_tui.metrology.faces.rows import swapped

    by_casting: dict[str, dict[str, Place]] = {}
    for row in rows:
        feature = sampling.feature(row.balloon)
        if not is_angle(feature):
            sizes = sampling.sizes(feature, state)
            place = Place(row.balloon, row.value, sizes.drawn, (sizes.band.width or 0.0) / 6.0)
            by_casting.setdefault(row.serial, {})[row.balloon] = place
    return [
        f"{swap.said()} Are they swapped?"
        for serial, places in by_casting.items()
        for swap in swapped(serial, list(places.values()))
    ]


def _far_out(sampling: Sampling, rows: Sequence[FileReading], style: Style, state: str = RAW) -> list[str]:
    """Readings that look like a slip of the hand, beside what the drawing expects."""
    far = []
    for row in rows:
        feature = sampling.feature(row.balloon)
        sizes = sampling.sizes(feature, state)
        band = sizes.band
        if is_angle(feature) or band.width is None:
            continue
        low = band.lower if band.lower is not None else row.value
        high = band.upper if band.upper is not None else row.value
        out = max(low - row.value, row.value - high)
        if out < FAR_OUT * band.width:
            continue
        expected = slips.expectation_from_history(0, 0.0, 0.0, sizes.drawn, band.width, u=0.0, balloon=row.balloon)
        asked = slip(row.value, row.typed, row.unit, expected)
        where = f"line {row.line}, {row.balloon} of casting {row.serial}"
        if asked is None and out > PLAINLY_OUT * band.width:
            far.append(
                f"{where}: {row.typed} lies {style.length(out, 1)} beyond the limits. Is it in the right column?"
            )
        elif asked is not None:
            far.append(f"{where}: {asked[0]}")
    return far
