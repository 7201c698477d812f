"""Pictures of a gauge study made of text: who reads what on each piece, whose repeats scatter, where it comes from.

People are figures 1, 2, 3 with their names in a key, so that two of them on one spot stay readable without colour.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from rich.text import Text

from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.metrology.typed.words import called
from inspect_tui.report.draw.cells import chart_cells
from inspect_tui.report.draw.chart import CENTRE, FIT, Chart, Level, Series

if TYPE_CHECKING:
    from inspect_tui.metrology.gauges.bias import Linearity
    from inspect_tui.metrology.gauges.study import CrossedStudy
    from inspect_tui.shop.gauges.results import StudyRow

MARKS = "123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"
MOST_PIECES = 12
HEIGHT = 14  # rows of a chart
COMPONENTS = (("part", "the pieces"), ("repeatability", "repeatability"), ("reproducibility", "between people"))
PRACTICE = (
    "Groups told apart: 1.41 part / combined, rounded down (published practice). Ranges: the mean of up to 15 ranges "
    "is divided by d2*, of more by d2."
)


def pieces_text(
    rows: Sequence[StudyRow], people: Sequence[str], *, width: int = 78, unit: str = "mm", style: Style = MM
) -> Text:
    """Each piece a line: the mean of each person, and all the readings, as deviations from the mean of the piece.

    Of many pieces those are shown whose readings lie furthest apart.
    """
    mark = {person: MARKS[i % len(MARKS)] for i, person in enumerate(people)}
    parts: dict[str, list[StudyRow]] = {}
    for row in rows:
        parts.setdefault(row.part, []).append(row)
    off: dict[str, list[tuple[str, float]]] = {}
    for part, cells in parts.items():
        mean = sum(c.value for c in cells) / len(cells)
        off[part] = [(c.person, c.value - mean) for c in cells]
    span = max((abs(d) for cells in off.values() for _, d in cells), default=0.0) or 1e-9
    shown = list(off)
    if len(shown) > MOST_PIECES:
        widest = sorted(shown, key=lambda p: max(d for _, d in off[p]) - min(d for _, d in off[p]), reverse=True)
        shown = [part for part in shown if part in set(widest[:MOST_PIECES])]
    named = {part: called("part", part) for part in shown}
    name = min(max(max(map(len, named.values())), len("piece")), 14)
    room = max(width - name - 2, 21) | 1  # odd: the middle is a column of its own
    out = Text(no_wrap=True)
    out.append("off the mean of each piece: · one reading, figure: a person's mean"[:width] + "\n")
    keys = [f"{mark[person]} {called('person', person)}" for person in people]
    across = max(width // (max(map(len, keys)) + 2), 1)
    for start in range(0, len(keys), across):
        out.append("  ".join(keys[start : start + across]) + "\n")
    for part in shown:
        line = [" "] * room
        line[room // 2] = "│"
        for _, d in off[part]:
            line[_column(d, span, room)] = "·"
        taken: set[int] = set()
        for person in people:
            own = [d for who, d in off[part] if who == person]
            if own:
                at = _column(sum(own) / len(own), span, room)
                while at in taken and at + 1 < room:  # side by side rather than one hidden behind the other
                    at += 1
                taken.add(at)
                line[at] = mark[person]
        out.append(f"{named[part][:name]:<{name}}  " + "".join(line).rstrip() + "\n")
    write, unit = style.readings_in(unit)
    left, right = (write.significant(edge, 3, unit=False, signed=True) for edge in (-span, span))
    right = f"{right} {unit}"
    middle = " " * max(room // 2 - len(left), 1) + "0"
    out.append(" " * (name + 2) + left + middle + right.rjust(max(room - len(left) - len(middle), 1)) + "\n", "dim")
    if len(shown) < len(off):
        out.append(f"the {len(shown)} of {len(off)} pieces whose readings lie furthest apart\n", style="dim")
    return out


def _column(deviation: float, span: float, room: int) -> int:
    return min(max(round((deviation / span + 1.0) / 2.0 * (room - 1)), 0), room - 1)


def people_text(study: CrossedStudy, *, width: int = 78, unit: str = "mm", style: Style = MM) -> Text:
    """Each person a line: repeatability as a bar with its interval, and how much they read above the others."""
    out = Text(no_wrap=True)
    if not study.spreads:
        out.append("nothing was repeated: whose readings scatter is not known\n")
        return out
    own, unit = style.readings_in(unit)
    most = max((s.upper or s.s or 0.0) for s in study.spreads) or 1e-9
    bias = {b.person: b for b in study.biases}
    names = [
        f"{MARKS[i % len(MARKS)]} {called('person', person.person)}"[:16] for i, person in enumerate(study.spreads)
    ]
    wide = max([8, *map(len, names)]) + 1
    room = max(width - 39 - wide, 8)
    bar_name = "bar: s, line: 95 %"[:room]
    out.append(f"{'person':<{wide}}{'repeats with s':<17}{bar_name:<{room + 1}}  against others\n")
    for index, spread in enumerate(study.spreads):
        s = spread.s or 0.0
        bar = _bar(s, spread.upper or s, most, room)
        other = bias.get(spread.person)
        says = (
            "" if other is None else own.signed(other.bias, 3, unit=False) + (" stands out" if other.stands_out else "")
        )
        mark = " ◀" if spread.stands_out else "  "
        out.append(
            f"{names[index]:<{wide}}{own.length(s, 3, unit=False)} {unit}{mark:<6}",
            style="bold" if spread.stands_out else "",
        )
        out.append(f"   {bar}  {says}\n")
    if any(spread.stands_out for spread in study.spreads):
        out.append("◀ repeats unlike the others\n", style="dim")
    return out


def _bar(s: float, upper: float, most: float, room: int) -> str:
    """█ up to s, ─ on to the upper limit of its interval."""
    full = max(round(s / most * room), 1 if s > 0 else 0)
    end = max(round(min(upper, most) / most * room), full)
    return ("█" * full + "─" * (end - full)).ljust(room)


def shares_text(study: CrossedStudy, *, width: int = 78, unit: str = "mm", style: Style = MM) -> Text:
    """Where the spread comes from: variances as bars that add up, standard deviations as figures."""
    out = Text(no_wrap=True)
    own, unit = style.readings_in(unit)
    total = (study.anova.total.value or study.anova.combined.value or 0.0) ** 2
    room = max(width - 46, 8)
    out.append(f"{'where the spread is from':<26}{'s':>6}    {'share of the variance'}\n")
    for name, words in COMPONENTS:
        value = getattr(study.anova, name).value
        if value is None:
            out.append(f"{words:<26}  not known from this study\n", style="dim")
            continue
        share = value * value / total if total else 0.0
        out.append(
            f"{words:<26}{own.length(value, 3, unit=False):>6} {unit:<4} {'█' * round(share * room):<{room}} "
            f"{style.percent(share):>6}\n"
        )
    return out


def table_text(study: CrossedStudy, *, unit: str = "mm", style: Style = MM) -> Text:
    """The standard deviations by both methods, with their intervals by analysis of variance."""
    own, unit = style.readings_in(unit)
    out = Text(no_wrap=True)
    out.append(
        f"{'standard deviation' + (f', {unit}' if unit else ''):<22}{'ANOVA':>9}  {'95 % interval':<20}{'ranges':>9}\n",
        style="bold",
    )
    for name in ("repeatability", "reproducibility", "combined", "part", "total"):
        sd = getattr(study.anova, name)
        other = getattr(study.range, name).value if study.range else None
        between = own.pair(sd.lower, sd.upper, 4, unit=False) if sd.lower is not None and sd.upper is not None else ""
        out.append(
            f"{name:<22}{own.length(sd.value, 4, unit=False):>9}  {between:<20}{own.length(other, 4, unit=False):>9}\n"
        )
        if name == "reproducibility" and study.anova.interaction is not None:
            out.append(_interaction_line(study, own))
    a, r = study.anova, study.range
    out.append(
        f"{'% of total':<22}{style.figure(a.percent_of_total, 1):>9}  {'':<20}"
        f"{style.figure(r.percent_of_total if r else None, 1):>9}\n"
    )
    out.append(
        f"{'groups told apart':<22}{style.figure(a.distinct_categories, 0):>9}  {'':<20}"
        f"{style.figure(r.distinct_categories if r else None, 0):>9}\n"
    )
    if a.share_of_band is not None:
        band = 100 * r.share_of_band if r and r.share_of_band is not None else None
        out.append(
            f"{'6 s / band, %':<22}{style.figure(100 * a.share_of_band, 1):>9}  {'':<20}{style.figure(band, 1):>9}\n"
        )
    return out


def _interaction_line(study: CrossedStudy, own: Style) -> str:
    """What people differ from part to part, as the share of the reproducibility that it is."""
    p = [] if study.interaction_p is None else [f"p = {own.figures(study.interaction_p, 1)}"]
    said = ", ".join([*p, *(["none seen"] if study.pooled else [])])
    return f"{'  of it interaction':<22}{own.length(study.anova.interaction, 4, unit=False):>9}  {said:<20}\n"


def linearity_text(study: Linearity, *, width: int = 78, unit: str = "mm", style: Style = MM) -> Text:
    """The bias at each reference with the fitted line, in a chart with axes."""
    xs = list(study.references)
    ys = [bias.bias for bias in study.biases]
    ends = (min(xs), max(xs))
    picture = Chart(
        readings=Series(xs, ys),
        unit=unit,
        across=f"reference, {unit}",
        title="bias along the range ◆, line ∙",
        beside=(Series(ends, [study.intercept + study.slope * x for x in ends], FIT),),
        levels=(Level(0.0, "truth", CENTRE),),
        signals=tuple(zip(xs, ys, strict=True)),
    )
    return chart_cells(picture, width, HEIGHT)


def course_text(values: Sequence[float], *, width: int = 78, unit: str = "mm", style: Style = MM) -> Text:
    """Readings of one piece in the order they were taken."""
    mean = sum(values) / len(values)
    picture = Chart(
        readings=Series(range(1, len(values) + 1), values),
        unit=unit,
        title="the readings in their order",
        levels=(Level(mean, "mean", CENTRE),),
        signals=tuple(enumerate(values, start=1)),
    )
    return chart_cells(picture, width, HEIGHT)
