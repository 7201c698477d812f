"""What the customer's capacity page shows, as text and a sketch: HTML and PDF are two dresses of the same view."""

from __future__ import annotations

from typing import Any

from inspect_tui.metrology.typed.show import PAPER, Style
from inspect_tui.report.draw.mould import PLAN, SECTION, Wanted, sketch
from inspect_tui.report.draw.sketch_svg import sketch_svg
from inspect_tui.report.draw.svg import sign_svg
from inspect_tui.report.words import deep_visible
from inspect_tui.shop.kit.paper.capacity_page import CapacityPage, PassageOfSize, PassagePage

SKETCH_WIDTH = 520.0
HELD, SHORT, OPEN = "good", "bad", "doubt"


def capacity(paper: CapacityPage, style: Style = PAPER) -> dict[str, Any]:
    """Every passage with its area, what that means for the rated flow, and what would bring it back."""
    drawn = f" · drawing {paper.drawing} rev. {paper.rev}" if paper.drawing else ""
    facts = (("Job", paper.job), ("Customer's reference", paper.customer_ref), ("Rests on", paper.source))
    shown: dict[str, Any] = {
        "title": f"Capacity {paper.job}",
        "kicker": "Passages and what they let expect",
        "name": paper.name,
        "job": paper.job,
        "short": f"{paper.job}{drawn}",
        "facts": [[name, value] for name, value in facts if value],
        "passages": [_passage(passage, style) for passage in paper.passages],
        "caveats": list(dict.fromkeys(p.line.caveat for p in paper.passages if p.line.capacity is not None)),
        "cautions": list(paper.cautions),
        "heads": list(paper.heads),
    }
    cleaned: dict[str, Any] = deep_visible(shown)
    for passage, page in zip(cleaned["passages"], paper.passages, strict=True):
        passage["sketch"] = _drawn(paper, page, style)
    return cleaned | {"sign": sign_svg()}


def _drawn(paper: CapacityPage, page: PassagePage, style: Style) -> str | None:
    if paper.scene is None:
        return None
    wanted = Wanted(hand=page.hand, views=(PLAN, SECTION), so_far=False, way=False, shops=False)
    return sketch_svg(sketch(paper.scene, wanted, style), SKETCH_WIDTH)


def _size(size: PassageOfSize, unit: str, style: Style) -> dict[str, str]:
    by, step = (style.step, style.given(style.step)) if size.unit == "mm" else (1.0, f"1 {size.unit}")
    return {
        "balloon": size.balloon,
        "name": size.name,
        "drawn": style.with_unit(size.drawn, size.unit),
        "read": "measured" if size.was_read else "not measured, as drawn",
        "effect": f"{style.derived(size.effect * by, unit, signed=True)} for {step}",
    }


def _passage(page: PassagePage, style: Style) -> dict[str, Any]:
    line, flow = page.line, page.line.passage.unit or ""
    shown: dict[str, Any] = {
        "title": f"{line.passage.label} {line.passage.name}".strip(),
        "formula": line.passage.formula,
        "level": OPEN if line.wrong else SHORT if line.misses else HELD,
        "said": line.wrong or "",
        "facts": [],
        "sizes": [],
        "back": [],
        "open": [],
    }
    if line.now is None:
        return shown
    facts = [("Area or size as measured, 95 %", style.derived(line.now.value, line.unit, 2 * line.now.u))]
    if line.drawn:
        share = style.percent(line.now.value / line.drawn - 1, 1, signed=True)
        facts += [("As drawn", style.derived(line.drawn, line.unit)), ("Against the drawing", share)]
    if line.capacity is not None:
        made = line.capacity
        facts += [("Flow it lets expect, 95 %", f"{style.spread(made.value, 2 * made.u)} {flow}".strip())]
        facts += [("Rated", f"{style.figure(made.rated, 1)} {flow}".strip())]
        if made.minimum is not None:
            facts += [("At least", f"{style.figure(made.minimum, 1)} {flow}".strip())]
        facts += [("Chance that it is reached", style.chance(made.p_meets)), ("How it follows", made.how)]
        shown["said"] = made.sentence
    shown["facts"] = [list(pair) for pair in facts]
    shown["sizes"] = [_size(size, line.unit, style) for size in page.sizes]
    shown["back"] = [
        f"{buy.feature}: {style.signed(buy.alone_mm)} on the casting alone would bring it back"
        if buy.alone_mm is not None
        else f"{buy.feature} alone cannot bring it back"
        for buy in line.buys
    ] or (["nothing has to be brought back"] if line.capacity is not None and not line.misses else [])
    shown["open"] = [*line.remarks]
    return shown
