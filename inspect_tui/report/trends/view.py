"""What the month's sheet shows, as text and drawings: HTML and PDF are two dresses of the same view."""

from __future__ import annotations

from typing import Any

from inspect_tui.metrology.typed import show
from inspect_tui.metrology.typed.show import PAPER
from inspect_tui.report.draw.svg import chart_svg, sign_svg
from inspect_tui.report.draw.trend import CORES, trend_chart
from inspect_tui.report.words import chance, deep_visible, figure, many
from inspect_tui.shop.trends.fleet import Line
from inspect_tui.shop.trends.forecast import headline
from inspect_tui.shop.trends.month_sheet import Sheet
from inspect_tui.shop.trends.trend import Trend
from inspect_tui.shop.trends.work_orders import Order

CAUTIONS = (
    "Cut and add mean the tool, metal on and metal off the casting.",
    "A forecast says when a size comes to its limit if it wears on as it did. It is no leave to go on until then.",
    "Dust of sand, wood and resin, resins and heavy boxes can hurt: follow the safety data sheet and local rules.",
)


def sheet(one: Sheet) -> dict[str, Any]:
    """Wear, orders, repairs, what changed, and a drawing of each size that comes next."""
    jobs = ", ".join(f"{number} {name}" for number, name in one.jobs)
    facts = [
        ("Repairs of", one.month),
        ("As measured until", one.until),
        ("Jobs", jobs),
        ("Wear", one.fleet.sentence),
        ("Measure next", one.fleet.next.sentence),
    ]
    shown = {
        "title": f"Wear and repairs {one.month}",
        "kicker": "Wear, repairs and work for the bench",
        "name": one.month,
        "short": f"Wear and repairs {one.month}",
        "sign": sign_svg(),
        "facts": [list(fact) for fact in facts],
        "orders": [_order(order) for order in one.orders],
        "no_orders": "" if one.orders else "No tool has to come to the bench this month.",
        "lines": [_line(line) for line in one.fleet.lines if line.retired is None],
        "repaired": [
            {"day": r.done_on, "tool": r.tool, "job": r.job, "words": r.words, "effect": r.effect} for r in one.repaired
        ],
        "no_repairs": "" if one.repaired else f"No repair was entered for {one.month}.",
        "changed": [line.sentence for line in one.report.lines],
        "changed_sentence": one.report.sentence,
        "charts": [chart(trend) for trend in one.charts],
        "cautions": list(CAUTIONS),
        "heads": list(one.heads),
    }
    cleaned = deep_visible(shown)
    assert isinstance(cleaned, dict)
    return cleaned


def _order(order: Order) -> dict[str, Any]:
    return {
        "tool": order.line.kept.label,
        "size": order.trend.title,
        "sentence": order.sentence,
        "tool_words": order.change.words,
        "casting_words": order.change.casting_words,
        "limit": order.limit,
        "limit_words": order.trend.limits.words,
        "due": order.line.due or "",
        "worst": order.line.worst or "",
        "urgent": order.line.urgent,
    }


def _line(line: Line) -> dict[str, Any]:
    one = line.kept
    return {
        "sign": line.sign,
        "tool": one.label,
        "balloon": one.balloon,
        "name": one.name,
        "n": str(one.n),
        "value": figure(one.value_mm),
        "limit": figure(one.limit_mm),
        "timing": line.timing,
        "due": line.due or "",
        "worst": line.worst or "",
        "risk": chance(one.risk),
        "urgent": line.urgent,
        "rate": "" if one.rate is None else figure(1000 * one.rate, 3),
        "remarks": one.remarks.replace("\n", "; "),
    }


def chart(one: Trend, axis: str = CORES) -> dict[str, Any]:
    """One size: its drawing, what it says, and what the numbered lines are."""
    return {
        "title": f"{one.where}: {one.title}",
        "svg": chart_svg(trend_chart(one, axis, style=PAPER)),
        "lines": headline(one),
        "marks": [f"{m.kind} {number}, {show.day(m.day)}: {m.words}" for number, m in enumerate(one.marks, start=1)],
        "count": many(len(one.main), "reading"),
    }


def one_chart(one: Trend, axis: str, heads: list[str]) -> dict[str, Any]:
    """A page with one drawing."""
    shown = {
        "title": f"{one.title} on {one.where}",
        "kicker": "Trend of one size",
        "name": one.title,
        "short": f"{one.view.job.number} · {one.where}",
        "sign": sign_svg(),
        "facts": [["Job", f"{one.view.job.number} {one.view.job.name}"], ["On", one.where]],
        "charts": [chart(one, axis)],
        "heads": heads,
    }
    cleaned = deep_visible(shown)
    assert isinstance(cleaned, dict)
    return cleaned
