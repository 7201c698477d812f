"""What wears, as text: the list by urgency, surprises, work orders; signs and words carry it, colour repeats it."""

from __future__ import annotations

from collections.abc import Sequence
from textwrap import wrap
from typing import TYPE_CHECKING

from rich.text import Text

from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.report.words import clipped
from inspect_tui.shop.trends.fleet import FleetLine

if TYPE_CHECKING:
    from inspect_tui.shop.trends.surprises import ChangeReport
    from inspect_tui.shop.trends.work_orders import WorkOrder


def list_row(line: FleetLine, width: int, *, chosen: bool = False, style: Style = MM, apart: str = "") -> Text:
    """One line of the list: sign, tool and size, what is left, when, risk; as much as there is room for.

    `apart`: the sign that two benches said something of it apart, or "".
    """
    kept = line.kept
    head = f"{line.sign}{apart or ' '}{clipped(kept.label, 14):<14} {clipped(kept.balloon, 6):<6} "
    name_room = 24 if width >= 110 else 0
    name = f"{clipped(kept.name, name_room):<{name_room}} " if name_room else ""
    due = line.worst or ""
    when = f"{line.due or '–':<10} {due or '–':<10}" if width >= 110 else f"{due or line.due or '–':<10}"
    risk = f"{style.percent(kept.risk):>5}" if kept.risk is not None else "  –  "
    more = f" +{line.others}" if line.others else ""
    said = f"out of use since {line.retired}" if line.retired else line.timing
    room = max(width - len(head) - len(name) - len(when) - 10 - len(more), 16)
    text = f"{head}{name}{clipped(said, room):<{room}} {when} {risk}{more}"
    look = "reverse" if chosen else ("bold red" if line.urgent else "dim" if line.retired else "")
    return Text(clipped(text, width), style=look, no_wrap=True)


def list_head(width: int) -> Text:
    """Headings over the list."""
    wide = width >= 110
    head = f"  {'tool':<14} {'size':<6} " + (f"{'':<24} " if wide else "")
    when = f"{'due':<10} {'at worst':<10}" if wide else f"{'at worst':<10}"
    room = max(width - len(head) - len(when) - 10, 16)
    return Text(clipped(f"{head}{'cores or moulds':<{room}} {when} risk", width), style="dim", no_wrap=True)


def surprises_text(report: ChangeReport, width: int) -> Text:
    """What changed, one paragraph each, most important first; or that there is nothing to say."""
    out = Text()
    for number, sentence in enumerate(report.sentences, start=1):
        for i, part in enumerate(wrap(sentence, max(width - 4, 20))):
            out.append(f"{number:>2}. " if i == 0 else "    ")
            out.append(part + "\n")
    for part in wrap(report.sentence, width):
        out.append(part + "\n", style="dim" if report.sentences else "bold")
    return out


def orders_text(orders: Sequence[WorkOrder], width: int) -> Text:
    """Work orders, one paragraph each."""
    out = Text()
    if not orders:
        return Text("no tool has to come to the bench yet\n")
    for order in orders:
        for i, part in enumerate(wrap(order.sentence, max(width - 4, 20))):
            out.append("☐ " if i == 0 else "  ")
            out.append(part + "\n", style="bold" if i == 0 else "")
        after = [f"the tool: {order.change.words}", f"the casting: {order.change.casting_words}"]
        after += [f"limit {order.limit} ({order.trend.limits.words})"] if order.limit else []
        for part in wrap("; ".join(after), max(width - 4, 20)):
            out.append(f"    {part}\n", style="dim")
    return out
