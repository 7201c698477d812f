"""What the month's sheet shows, as text and drawings: HTML and PDF are two dresses of the same view."""

from __future__ import annotations

from typing import Any

from inspect_tui.metrology.typed import show
from inspect_tui.metrology.typed.show import PAPER, Style
from inspect_tui.report.draw.svg import chart_svg, sign_svg
from inspect_tui.report.draw.trend import CORES, trend_chart
from inspect_tui.report.words import deep_visible
from inspect_tui.shop.trends.fleet import FleetLine
from inspect_tui.shop.trends.forecast import headline
from inspect_tui.shop.trends.month_sheet import MonthSheet
from inspect_tui.shop.trends.trend import Trend
from inspect_tui.shop.trends.work_orders import WorkOrder

CAUTIONS = (
    "Cut and add mean the tool, metal on and metal off the casting.",
    "A forecast says when a size comes to its limit if it wears on as it did. It is no leave to go on until then.",
    "Dust of sand, wood and resin, resins and heavy boxes can hurt: follow the safety data sheet and local rules.",
)


def sheet(month: MonthSheet, style: Style = PAPER) -> dict[str, Any]:
    """Wear, orders, repairs, what changed, and a drawing of each size that comes next."""
    jobs = ", ".join(f"{number} {name}" for number, name in month.jobs)
    facts = [
        ("Repairs of", month.month),
        ("As measured until", month.until),
        ("Jobs", jobs),
        ("Wear", month.fleet.sentence),
        ("Measure next", month.fleet.next.sentence),
    ]
    shown = {
        "title": f"Wear and repairs {month.month}",
        "kicker": "Wear, repairs and work for the bench",
        "name": month.month,
        "unit": style.word,
        "short": f"Wear and repairs {month.month}",
        "sign": sign_svg(),
        "facts": [list(fact) for fact in facts],
        "orders": [_order(order) for order in month.orders],
        "no_orders": "" if month.orders else "No tool has to come to the bench this month.",
        "lines": [_line(line, style) for line in month.fleet.lines if line.retired is None],
        "repaired": [
            {"day": r.done_on, "tool": r.tool, "job": r.job, "words": r.words, "effect": r.effect}
            for r in month.repaired
        ],
        "no_repairs": "" if month.repaired else f"No repair was entered for {month.month}.",
        "changed": month.report.sentences,
        "changed_sentence": month.report.sentence,
        "charts": [chart(trend, style=style) for trend in month.charts],
        "cautions": list(CAUTIONS),
        "heads": list(month.heads),
    }
    cleaned: dict[str, Any] = deep_visible(shown)
    return cleaned


def _order(order: WorkOrder) -> dict[str, Any]:
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


def _line(line: FleetLine, style: Style) -> dict[str, Any]:
    kept, own = line.kept, style.of(line.kept.unit)
    return {
        "sign": line.sign,
        "tool": kept.label,
        "balloon": kept.balloon,
        "name": kept.name,
        "n": str(kept.n),
        "value": own.length(kept.value_mm, unit=False),
        "limit": own.length(kept.limit_mm, unit=False),
        "timing": line.timing,
        "due": line.due or "",
        "worst": line.worst or "",
        "risk": style.chance(kept.risk),
        "urgent": line.urgent,
        "rate": "" if kept.rate is None else own.length(1000 * kept.rate, 3, unit=False),
        "remarks": kept.remarks.replace("\n", "; "),
    }


def chart(trend: Trend, axis: str = CORES, style: Style = PAPER) -> dict[str, Any]:
    """One size: its drawing, what it says, and what the numbered lines are."""
    return {
        "title": f"{trend.where}: {trend.title}",
        "svg": chart_svg(trend_chart(trend, axis, style=style)),
        "lines": headline(trend),
        "marks": [f"{m.kind} {number}, {show.day(m.day)}: {m.words}" for number, m in enumerate(trend.marks, start=1)],
        "count": show.count(len(trend.main), "reading"),
    }


def one_chart(trend: Trend, axis: str, heads: list[str], style: Style = PAPER) -> dict[str, Any]:
    """A page with one drawing."""
    shown = {
        "title": f"{trend.title} on {trend.where}",
        "kicker": "Trend of one size",
        "name": trend.title,
        "short": f"{trend.view.job.number} · {trend.where}",
        "sign": sign_svg(),
        "facts": [["Job", f"{trend.view.job.number} {trend.view.job.name}"], ["On", trend.where]],
        "charts": [chart(trend, axis, style)],
        "heads": heads,
    }
    cleaned: dict[str, Any] = deep_visible(shown)
    return cleaned
