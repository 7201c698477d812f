"""What the month's sheet shows, as text and drawings: HTML and PDF are two dresses of the same view."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from inspect_tui.frozen import frozen_by_name
from inspect_tui.metrology.typed import show
from inspect_tui.metrology.typed.show import PAPER, Style
from inspect_tui.report.draw.svg import chart_svg, sign_svg
from inspect_tui.report.draw.trend import CORES, trend_chart
from inspect_tui.report.words import clipped, deep_visible, fitted
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


@frozen_by_name
class Room:
    """How much of each part a sheet has room for, the most urgent first; None: all.

    `letters` of a name or a sentence; `remarks`: whether what is remarked of a size stands below it.
    """

    orders: int | None = None
    lines: int | None = None
    repaired: int | None = None
    changed: int | None = None
    charts: int | None = None
    letters: int | None = None
    remarks: bool = False


ALL = Room(remarks=True)

ROOMS = (  # the first of them that stays within two pages
    Room(orders=6, lines=24, repaired=8, changed=6, charts=2, letters=260),
    Room(orders=5, lines=18, repaired=6, changed=5, charts=2, letters=200),
    Room(orders=4, lines=14, repaired=5, changed=4, charts=1, letters=160),
    Room(orders=3, lines=10, repaired=4, changed=3, charts=1, letters=120),
    Room(orders=3, lines=6, repaired=3, changed=2, charts=0, letters=80),
)
WALL_LINES = (16, 12, 9, 6)  # the first of them that stays on one page
WALL_LETTERS = 60


def sheet(month: MonthSheet, style: Style = PAPER, room: Room = ALL) -> dict[str, Any]:
    """Wear, orders, repairs, what changed, and a drawing of each size that comes next, as far as there is room."""
    jobs = [f"{number} {name}" for number, name in month.jobs]
    lines = [line for line in month.fleet.lines if line.retired is None]
    facts = [
        ("Repairs of", month.month),
        ("As measured until", month.until),
        ("Jobs", ", ".join(_short(jobs, room.repaired, room))),
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
        "orders": [_order(order) for order in month.orders[: room.orders]],
        "no_orders": "" if month.orders else "No tool has to come to the bench this month.",
        "more_orders": _more(len(month.orders), room.orders, "less urgent"),
        "lines": [_line(line, style, room) for line in lines[: room.lines]],
        "more_lines": _more(len(lines), room.lines, "less urgent"),
        "repaired": [
            {"day": r.done_on, "tool": r.tool, "job": r.job, "words": _cut(r.words, room), "effect": r.effect}
            for r in month.repaired[: room.repaired]
        ],
        "no_repairs": "" if month.repaired else f"No repair was entered for {month.month}.",
        "more_repairs": _more(len(month.repaired), room.repaired, "in this month"),
        "changed": _short(month.report.sentences, room.changed, room),
        "changed_sentence": month.report.sentence,
        "charts": [chart(trend, style=style) for trend in month.charts[: room.charts]],
        "cautions": list(CAUTIONS),
        "heads": list(month.heads),
    }
    cleaned: dict[str, Any] = deep_visible(shown)
    return cleaned


def wall(month: MonthSheet, style: Style = PAPER, most: int = WALL_LINES[0]) -> dict[str, Any]:
    """One page to hang up: what comes to its limit next, what is to be done about it, and what to measure next."""
    lines = [line for line in month.fleet.lines if line.retired is None]
    tasks = {order.line.label: order.task for order in month.orders}
    shown = {
        "title": f"Next at the bench {month.month}",
        "kicker": "Next at the bench, most urgent first",
        "name": month.month,
        "short": f"Wear as of {month.until}",
        "sign": sign_svg(),
        "facts": [],
        "lines": [
            {
                "sign": line.sign,
                "tool": fitted(line.kept.label, WALL_LETTERS),
                "size": fitted(f"{line.kept.balloon} {line.kept.name}", WALL_LETTERS),
                "timing": line.timing,
                "worst": line.worst or "",
                "task": clipped(tasks.get(line.label, ""), 2 * WALL_LETTERS),
                "urgent": line.urgent,
            }
            for line in lines[:most]
        ],
        "none": "" if lines else "No tool has a forecast yet.",
        "more": _more(len(lines), most, "less urgent"),
        "next": clipped(month.fleet.next.sentence, 4 * WALL_LETTERS),
        "cautions": list(CAUTIONS[1:]),
        "heads": list(month.heads),
    }
    cleaned: dict[str, Any] = deep_visible(shown)
    return cleaned


def _more(there: int, most: int | None, why: str) -> str:
    """How many more there are than a part has room for."""
    return f"and {there - most} more, {why}" if most is not None and there > most else ""


def _short(texts: Sequence[str], most: int | None, room: Room) -> list[str]:
    """As many of the texts as there is room for, none too long, and how many more there are."""
    more = _more(len(texts), most, "not on this sheet")
    return [_cut(text, room) for text in texts[:most]] + ([more] if more else [])


def _cut(words: str, room: Room) -> str:
    return words if room.letters is None else clipped(words, room.letters)


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


def _line(line: FleetLine, style: Style, room: Room) -> dict[str, Any]:
    kept, own = line.kept, style.of(line.kept.unit)
    return {
        "sign": line.sign,
        "tool": kept.label,
        "balloon": kept.balloon,
        "name": _cut(kept.name, room),
        "n": str(kept.n),
        "value": own.length(kept.value_mm, unit=False),
        "limit": own.length(kept.limit_mm, unit=False),
        "timing": line.timing,
        "due": line.due or "",
        "worst": line.worst or "",
        "risk": style.chance(kept.risk),
        "urgent": line.urgent,
        "rate": "" if kept.rate is None else own.length(1000 * kept.rate, 3, unit=False),
        "remarks": kept.remarks.replace("\n", "; ") if room.remarks else "",
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
