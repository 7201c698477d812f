"""The measuring plan in a terminal: what to take next and with what, what stays free, what is known by now."""

from __future__ import annotations

from collections.abc import Sequence

from rich.text import Text

from inspect_tui.metrology.faces.plan import MEANS
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.report.term.first_article import wrapped
from inspect_tui.report.words import clipped
from inspect_tui.shop.measuring.castings import RoundPlan
from inspect_tui.shop.measuring.sample import PlanLine, SamplePlan

MOST_PLACES = 40  # faces whose places are listed; more are counted


def plan_text(plan: SamplePlan, width: int, style: Style = MM) -> Text:
    """The whole plan of a sample casting."""
    out = Text()
    _add(out, plan.sentence, width, "", "bold")
    for question in plan.asked:
        _add(out, question, width, "? ", "yellow")
    for slip in plan.slips:
        _add(out, slip, width, "! ", "bold yellow")
    _steps(out, plan.lines, width, style)
    if plan.checks:
        _head(out, "worth taking besides: they show slips in the others", width)
        for check in plan.checks:
            _add(out, f"{check.size} {check.what}: closes a loop with {', '.join(check.over)}", width, "  ")
    if plan.templates:
        _head(out, MEANS["template"].words, width)
        for size, what in plan.templates:
            _add(out, f"{size} {what}", width, "  ")
    if plan.free:
        _head(out, "still free then", width)
        for free in plan.free:
            _add(out, f"{', '.join(free.faces)}: {free.why}", width, "  ")
    if plan.places:
        _head(out, f"where the faces lie by what was read, {style.word}, ± 2 u", width)
        for place in plan.places[:MOST_PLACES]:
            size = style.plus_minus(place.mm, 2.0 * place.u_mm, unit=False)
            _add(out, f"{place.face}: {size} from {place.from_face}", width, "  ")
        if len(plan.places) > MOST_PLACES:
            out.append(f"  and {len(plan.places) - MOST_PLACES} more\n", style="dim")
    return out


def plan_rows(plan: SamplePlan, width: int) -> list[tuple[str, Text]]:
    """The steps, then the sizes worth taking besides, a line each, by their balloons."""
    rows = []
    for line in plan.lines:
        mark = "·" if line.entered else "+"
        rows.append((line.size, f"{line.number:>2} {mark} {line.size:<8} {line.means:<10} {line.what}"))
    rows += [(check.size, f"   ? {check.size:<8} {check.means:<10} {check.what}") for check in plan.checks]
    return [(size, Text(clipped(text, width), no_wrap=True)) for size, text in rows]


def about_step(plan: SamplePlan, size: str, width: int, style: Style = MM) -> Text:
    """The chosen step, then the whole plan."""
    out = Text()
    line = next((line for line in plan.lines if line.size == size), None)
    if line is not None:
        out.append_text(step_text(line, width, style))
        out.append("\n")
    return out.append_text(plan_text(plan, width, style))


def step_text(line: PlanLine, width: int, style: Style = MM) -> Text:
    """One step with what it is for."""
    out = Text()
    _add(out, line.sentence, width, "", "bold")
    u = style.uncertainty(2.0 * line.u_mm)
    start = "a datum" if line.from_datum else "a face that is pinned by then" if line.tied else "a face that hangs free"
    _add(
        out,
        f"starts from {start}; about {style.figure(line.minutes, 0)} min; {line.pins} is then known to ± {u}",
        width,
    )
    if not line.entered:
        _add(out, "not on the list yet: it is put there when the plan is entered", width, "", "dim")
    return out


def to_tell_text(plan: RoundPlan, width: int) -> Text:
    """What to take on the tools and on the castings, so that causes are told apart."""
    out = Text()
    for words in plan.on_tools:
        _add(out, words, width, "  -  ")
    for line in plan.lines:
        _add(out, line.sentence, width, f"{line.number:>3}  ")
    return out


def round_text(plan: RoundPlan, width: int) -> Text:
    """The plan of a sampling's castings."""
    out = Text()
    _add(out, plan.sentence, width, "", "bold")
    for said in plan.said:
        _add(out, said, width, "? ")
    out.append_text(to_tell_text(plan, width))
    if plan.unseen:
        _add(out, f"too small to show at a believable size: {', '.join(plan.unseen)}", width, "", "dim")
    if plan.open_after:
        _add(out, f"cannot be told even then: {', '.join(plan.open_after)}", width, "", "dim")
    return out


def _steps(out: Text, lines: Sequence[PlanLine], width: int, style: Style) -> None:
    means = ""
    for line in lines:
        if line.means != means:
            means = line.means
            _head(out, MEANS[means].words, width)
        known = style.uncertainty(2.0 * line.u_mm, unit=False)
        text = f"{line.size} {line.what}: from {line.start} to {line.pins}, then known to ± {known}"
        if not line.tied:
            text += "; no size leads there from the datum yet"
        _add(out, text, width, f"{line.number:>3}  ")


def _head(out: Text, words: str, width: int) -> None:
    _add(out, words, width, "", "underline")


def _add(out: Text, text: str, width: int, first: str = "", style: str = "") -> None:
    for line in wrapped(text, width, "", first):
        out.append(line + "\n", style=style)
