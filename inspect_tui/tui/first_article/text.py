"""What the first-article place says about its head, the current cell and the last line, as rich Text."""

from __future__ import annotations

from collections.abc import Sequence

from rich.text import Text

from inspect_tui.metrology.typed.show import MM, Style, count
from inspect_tui.report.draw.band import Lane, band
from inspect_tui.report.draw.cells import band_cells
from inspect_tui.report.words import clipped, roomy
from inspect_tui.shop.bench.outcomes import Logged
from inspect_tui.shop.common.drawing_notes import is_sectioned, station_of
from inspect_tui.shop.common.sizes import FINISHED
from inspect_tui.shop.common.standing import Standing
from inspect_tui.shop.first_article.castings.filling import Filling
from inspect_tui.shop.first_article.castings.sampling import SYMBOL, Sampling
from inspect_tui.shop.first_article.result import Cell
from inspect_tui.tui.first_article.grid import STYLE as GRID_STYLE
from inspect_tui.tui.first_article.grid import CastingGrid

PAGES = ("readings", "causes", "cuts", "stock", "rounds", "decisions")
STYLE = {Standing.CONFORMS: "bold green", Standing.DOES_NOT_CONFORM: "bold red", Standing.UNDECIDED: "bold yellow"}
assert set(STYLE) <= set(GRID_STYLE)


def header(
    sampling: Sampling | None,
    filling: Filling | None,
    read_only: bool,
    width: int,
    style: Style = MM,
    apart: Sequence[str] = (),
) -> Text:
    """Job and sampling on the left; who fills it with what on the right.

    `apart`: that two benches said something of it apart, with less and less words.
    """
    if sampling is None or filling is None:
        return Text(" First article".ljust(width), style="reverse", no_wrap=True)
    n = len(sampling.castings)
    left = f" {sampling.job.number} · rev {sampling.revision.rev} · {sampling.round.label} · {count(n, 'casting')}"
    left += "  READ ONLY" if read_only else ""
    who = filling.person.initials if filling.person else "who? F3"
    gauge = filling.instrument.label if filling.instrument else "instrument? F4"
    right = f"{who} · {gauge}"
    if filling.work_c is not None:
        gauge_c = "" if filling.instrument_c is None else f", gauge {style.figures(filling.instrument_c)}"
        right += f"  {style.temperature(filling.work_c)}{gauge_c}"
    if filling.table_zero is not None:
        right += f"  zero {style.given(filling.table_zero, unit=False)}"
    if apart:
        left += f"  {roomy(apart, width - len(left) - len(right) - 4)}"
    gap = max(width - len(left) - len(right) - 1, 1)
    return Text(clipped(left + " " * gap + right + " ", width), style="reverse", no_wrap=True)


def pages(current: str, width: int) -> Text:
    """The pages of this place, the one that is shown marked."""
    out = Text(no_wrap=True)
    for name in PAGES:
        out.append(f" {name} ", style="bold reverse" if name == current else "")
        out.append(" ")
    out.append("Ctrl+U next page", style="dim")
    out.truncate(width)
    return out


def cell_about(sampling: Sampling, grid: CastingGrid, show_expected: bool, width: int, style: Style = MM) -> Text:
    """The current cell: what it is, and what it says once it was measured."""
    required, item = grid.required, grid.casting
    if required is None or item is None:
        return Text("")
    feature, state = required
    cell = sampling.cell(feature, item, state)
    axis = "" if feature.axis == "none" else f", along {feature.axis.upper()}"
    made = " to ".join(dict.fromkeys(sampling.part(end) for end in feature.ends))
    place = station_of(feature)
    at = f", at {place[0].upper()} {style.given(place[1], unit=False)}" if place else ""
    cut = ", on a casting cut up" if is_sectioned(feature) else ""
    out = Text()
    done = "  FINISHED" if state == FINISHED else ""
    name = f"{feature.balloon}{done}  {feature.name}{axis}{at}{cut}"
    out.append(clipped(name, width - len(item.serial) - 12).ljust(width - len(item.serial) - 10), style="bold")
    out.append(f"casting {item.serial}\n", style="bold")
    if cell.value is None:
        return _not_measured(out, sampling, cell, made, show_expected, grid, width, style)
    sizes, own = sampling.sizes(feature, state), style.of(feature.quantity)
    out.append_text(
        band_cells(
            band(sizes.band.lower, sizes.band.upper, sizes.drawn, [Lane(cell.value, cell.U or 0.0)]),
            width,
            figure=lambda size: own.length(size, unit=False),
            mark_style=STYLE.get(cell.answer, ""),
        )
    )
    out.append("\n")
    sure = "" if cell.p_conform is None else f", within limits {style.nearly(cell.p_conform)}"
    told = f"{SYMBOL[cell.answer]} {cell.answer}  {style.size(cell.value, feature.quantity)}"
    out.append(told, style=STYLE.get(cell.answer, ""))
    u = own.uncertainty(cell.U or 0.0, 3, unit=False)
    out.append(clipped(f"  U {u}{sure}  {cell.by} {cell.instrument}", width - len(told)) + "\n")
    said = [f"{cell.question} Measure it again, or Ctrl+R."] if cell.question else []
    if cell.corrected:
        said.append(f"read {style.size(cell.raw or 0.0, feature.quantity)}; " + "; ".join(cell.corrected))
    said += cell.notes
    out.append(clipped("; ".join(said), width), style="yellow" if cell.question else "italic")
    return out


def _not_measured(
    out: Text,
    sampling: Sampling,
    cell: Cell,
    made: str,
    show_expected: bool,
    grid: CastingGrid,
    width: int,
    style: Style,
) -> Text:
    assert grid.required is not None
    feature, state = grid.required
    if cell.reason:
        out.append(f"– not measurable: {cell.reason}\n", style="yellow")
    if show_expected:
        sizes = sampling.sizes(feature, state)
        words = style.deviations(sizes.drawn, sizes.band.lower, sizes.band.upper, sizes.feature.quantity)
        size = f"{style.size(sizes.drawn, sizes.feature.quantity)} {words}".rstrip()
        out.append(f"{'finished' if state == FINISHED else 'as cast'} {size}   made by {made}\n")
    else:
        hidden = "the size wanted stays hidden (F5 shows it)"
        out.append(f"{clipped(f'made by {made}', width - len(hidden) - 2)}; {hidden}\n", style="italic")
    return out


def logged_words(outcome: Logged, serial: str, style: Style = MM) -> str:
    """The sentence after a line was logged."""
    task = outcome.task
    values = " ".join(style.size(r.value, task.feature.quantity) for r in outcome.readings)
    kept = "  (kept as typed)" if outcome.readings[0].slip == "asked_kept" else ""
    answer = outcome.judged.standing
    done = " finished" if task.sizes.state == FINISHED else ""
    return f"logged  {task.feature.balloon}{done} {values} on {serial}: {SYMBOL[answer]} {answer}{kept}"
