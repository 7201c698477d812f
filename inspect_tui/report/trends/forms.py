"""Which ending means which form of a trend paper, and the way to the disk. PNG is set by the library that sets PDF."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from typing import Any

from inspect_tui.metrology.typed.show import PAPER, Style
from inspect_tui.report.draw.svg import chart_svg
from inspect_tui.report.draw.trend import CORES, trend_chart
from inspect_tui.report.paper import file as paper_file
from inspect_tui.report.paper.file import PaperError, form_of
from inspect_tui.report.paper.html import need, page
from inspect_tui.report.paper.pdf import pages, pdf
from inspect_tui.report.trends import view
from inspect_tui.shop.trends.month_sheet import MonthSheet
from inspect_tui.shop.trends.trend import Trend

CHART_ENDINGS = (".svg", ".png", ".html")
SHEET_ENDINGS = (".html", ".pdf")
PPI = 144.0  # of a PNG: twice the size of the drawing


def write_chart(
    trend: Trend,
    path: str | Path,
    *,
    axis: str = CORES,
    heads: Sequence[str] = (),
    force: bool = False,
    style: Style = PAPER,
) -> Path:
    """One size as .svg, .png or .html; PaperError with a sentence when it cannot be made or written.

    `heads` are the ends of the record's chains, for the foot of a page.
    """
    path = Path(path).expanduser()
    form = form_of(path, CHART_ENDINGS)
    paper_file.target(path, force=force)
    drawing = chart_svg(trend_chart(trend, axis, style=style))
    if form == "svg":
        content = f'<?xml version="1.0" encoding="UTF-8"?>\n{drawing}\n'.encode()
    elif form == "png":
        content = png(drawing)
    else:
        content = page("trend.html", view.one_chart(trend, axis, list(heads), style))
    return paper_file.write_bytes(path, content, force=force)


def write_sheet(
    sheet: MonthSheet, path: str | Path, *, force: bool = False, style: Style = PAPER, details: bool = False
) -> Path:
    """The month's sheet as .html or .pdf: two pages, with `details` as many as all of it needs."""
    return _write(path, lambda form: make_sheet(sheet, form, style, details=details), force)


def write_wall(sheet: MonthSheet, path: str | Path, *, force: bool = False, style: Style = PAPER) -> Path:
    """The page to hang up as .html or .pdf."""
    return _write(path, lambda form: make_wall(sheet, form, style), force)


def _write(path: str | Path, make: Callable[[str], bytes], force: bool) -> Path:
    path = Path(path).expanduser()
    form = form_of(path, SHEET_ENDINGS)
    paper_file.target(path, force=force)
    return paper_file.write_bytes(path, make(form), force=force)


def make_sheet(sheet: MonthSheet, form: str, style: Style = PAPER, *, details: bool = False) -> bytes:
    """The month's sheet as bytes; `form` is html or pdf. Without `details` what is less urgent is only counted."""
    rooms = (view.ALL,) if details else view.ROOMS
    return _within(2, form, "monthly", sheet.month, (view.sheet(sheet, style, room) for room in rooms))


def make_wall(sheet: MonthSheet, form: str, style: Style = PAPER) -> bytes:
    """The page to hang up as bytes; `form` is html or pdf."""
    return _within(1, form, "wall", sheet.month, (view.wall(sheet, style, most) for most in view.WALL_LINES))


def _within(most: int, form: str, template: str, month: str, tries: Iterable[dict[str, Any]]) -> bytes:
    """The first of the tries that has no more pages, or the last; a page of HTML is as long as what is tried first."""
    made = b""
    for shown in tries:
        if form == "html":
            return page(f"{template}.html", shown, "monthly.css")
        made = pdf(f"{template}.typ", shown, day=f"{month}-01")
        if pages(made) <= most:
            break
    return made


def png(drawing: str) -> bytes:
    """A drawing as PNG on white."""
    typst = need("typst")
    source = (
        b"#set page(width: auto, height: auto, margin: 6pt, fill: white)\n"
        b'#image(bytes(sys.inputs.svg), format: "svg")\n'
    )
    try:
        image = typst.compile(source, format="png", ppi=PPI, ignore_system_fonts=True, sys_inputs={"svg": drawing})
    except typst.TypstError as problem:
        raise PaperError(
            f"The PNG could not be set: {problem}. The SVG form does not depend on this step."
        ) from problem
    assert isinstance(image, bytes)
    return image
