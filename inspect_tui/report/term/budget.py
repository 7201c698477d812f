"""The uncertainty budget of a reading as a table of text that a person can follow line by line."""

from __future__ import annotations

from math import inf
from textwrap import wrap

from rich.text import Text

from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.metrology.typed.words import capital
from inspect_tui.report.words import clipped
from inspect_tui.shop.feature.budget import BudgetView


def budget_table(view: BudgetView, width: int, style: Style = MM) -> Text:
    """One line a source of uncertainty: u, degrees of freedom, its share of the variance, and how it was come by."""
    out = Text(no_wrap=True)
    own, unit = style.readings_in(view.unit)
    unit = unit or "in the unit of the file"

    def u_of(u: float) -> str:
        return own.significant(u, 3, unit=False)

    for line in wrap(_budget_head(view, style), width, subsequent_indent="  "):
        out.append(line + "\n", style="bold")
    name = min(max([6, *(len(row.name) for row in view.rows)]), 22)
    out.append(f"{'source':<{name}} {'':1} {'u':>9} {'dof':>6} {'share':>6}  how\n", style="bold")
    room = max(width - name - 29, 12)
    for row in view.rows:
        how = wrap(row.how, room) or [""]
        dof = "∞" if row.dof == inf else style.figures(row.dof, 4)
        head = (
            f"{clipped(row.name, name):<{name}} {row.kind:1} {u_of(row.u):>9} {dof:>6} {style.percent(row.share):>6}  "
        )
        for i, line in enumerate(how):
            out.append((head if i == 0 else " " * len(head)) + line + "\n")
    b = view.budget
    dof = "∞" if b.dof == inf else style.figures(b.dof, 4)
    out.append(f"{'together':<{name}}   {u_of(b.u):>9} {dof:>6}  100 %  u, effective dof\n", style="bold")
    of = f" of the mean of {b.n} readings" if b.n > 1 else ""
    out.append(
        f"U = {u_of(b.U)} {unit} at {style.percent(b.coverage, None)}, k = {style.figure(b.k, 3)}{of}\n", style="bold"
    )
    if view.verdict is not None:
        chance = view.verdict.p_conform
        sure = "" if chance is None else f", within the limits with a probability of {style.percent(chance, 1)}"
        out.append(f"{view.verdict.answer}{sure}\n")
    for remark in view.remarks:
        for line in wrap(capital(remark), width):
            out.append(line + "\n", style="yellow")
    return out


def _budget_head(view: BudgetView, style: Style) -> str:
    head = f"{view.title} on {view.where}" if view.instrument else f"{view.title} ({view.where})"
    if view.instrument:
        head += f" with {view.instrument}"
    if view.value is not None:
        style, unit = style.readings_in(view.unit)
        head += f": {style.length(view.value, 3, unit=False)} {unit}".rstrip()
    return head
