"""The uncertainty budget of a reading as a table of text that a person can follow line by line."""

from __future__ import annotations

from math import inf
from textwrap import wrap

from rich.text import Text

from inspect_tui.metrology.typed.words import capital
from inspect_tui.report.words import clipped
from inspect_tui.shop.feature.budget import BudgetView


def budget_table(view: BudgetView, width: int) -> Text:
    """One line a source of uncertainty: u, degrees of freedom, its share of the variance, and how it was come by."""
    out = Text(no_wrap=True)
    unit = view.unit or "in the unit of the file"
    for line in wrap(_budget_head(view), width, subsequent_indent="  "):
        out.append(line + "\n", style="bold")
    name = min(max([6, *(len(row.name) for row in view.rows)]), 22)
    out.append(f"{'source':<{name}} {'':1} {'u':>9} {'dof':>6} {'share':>6}  how\n", style="bold")
    room = max(width - name - 29, 12)
    for row in view.rows:
        how = wrap(row.how, room) or [""]
        dof = "∞" if row.dof == inf else f"{row.dof:.4g}"
        head = f"{clipped(row.name, name):<{name}} {row.kind:1} {row.u:>9.3g} {dof:>6} {100 * row.share:>4.0f} %  "
        for i, line in enumerate(how):
            out.append((head if i == 0 else " " * len(head)) + line + "\n")
    b = view.budget
    dof = "∞" if b.dof == inf else f"{b.dof:.4g}"
    out.append(f"{'together':<{name}}   {b.u:>9.3g} {dof:>6}  100 %  u, effective dof\n", style="bold")
    of = f" of the mean of {b.n} readings" if b.n > 1 else ""
    out.append(f"U = {b.U:.3g} {unit} at {100 * b.coverage:g} %, k = {b.k:.3f}{of}\n", style="bold")
    if view.verdict is not None:
        sure = 100 * view.verdict.p_conform
        out.append(f"{view.verdict.answer}, within the limits with a probability of {sure:.1f} %\n")
    for remark in view.remarks:
        for line in wrap(capital(remark), width):
            out.append(line + "\n", style="yellow")
    return out


def _budget_head(view: BudgetView) -> str:
    head = f"{view.title} on {view.where}" if view.instrument else f"{view.title} ({view.where})"
    if view.instrument:
        head += f" with {view.instrument}"
    if view.value is not None:
        head += f": {view.value:.3f} {view.unit}".rstrip()
    return head
