"""One size through the chain without a record: casting to tool with uncertainty and source, and back."""

from __future__ import annotations

from inspect_tui.errors import DataError, TableError
from inspect_tui.frozen import frozen_by_name
from inspect_tui.metrology.sizes import chain, contraction
from inspect_tui.metrology.typed import fields
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.work import ChainStep
from inspect_tui.shop.jobs.file.plan import PLAN_U
from inspect_tui.todo import Todo


@frozen_by_name
class OneSize:
    """Finished, casting and tool size (mm); `u_mm` is the standard uncertainty of the one that was asked for."""

    finished_mm: float
    cast_mm: float
    tool_mm: float
    u_mm: float
    a: float
    u_a: float
    source: str
    status: str
    said: str  # what the contraction rests on, in words
    others: tuple[contraction.Handbook, ...] = ()
    stock_mm: float = 0.0  # both sides together, negative on an inside size


def size(
    text: str,
    *,
    alloy: str | None = None,
    construction: str | None = None,
    contraction_text: str | None = None,
    stock_text: str | None = None,
    inside: bool = False,
    from_tool: bool = False,
    style: Style = MM,
) -> OneSize | str:
    """The sizes that follow from one typed size, or a sentence saying what could not be understood.

    DataError where neither a contraction nor an alloy is given.
    """
    typed = fields.size(text, style.word)
    if isinstance(typed, fields.Wrong):
        return str(typed)
    stock = 0.0
    if stock_text:
        read = fields.size(stock_text, style.word, zero=True)
        if isinstance(read, fields.Wrong):
            return f"stock: {read}"
        stock = -2 * read if inside else 2 * read
    others: tuple[contraction.Handbook, ...] = ()
    if contraction_text:
        stated = fields.contraction(contraction_text)
        if isinstance(stated, fields.Wrong):
            return str(stated)
        a, u, status = stated, PLAN_U, "stated"
        source = (
            f"stated: {contraction_text}; its uncertainty, {style.percent(PLAN_U, None)}, is a judgement, no source"
        )
        said = source
    elif alloy:
        try:
            plan = contraction.plan(alloy, typed, construction)
        except TableError as problem:
            return str(problem)
        a, u, source, status, said = plan.a, plan.u, plan.source, plan.status, plan.rests_on
        rows = contraction.handbook(alloy, typed, construction)
        others = tuple(row for row in rows if (row.a, row.source) != (plan.a, plan.source))
    else:
        raise DataError("Nothing says how much the metal contracts.", todo=Todo.GIVE_CONTRACTION)
    steps = (
        ChainStep(ord=1, kind="stock", offset_mm=stock, source="stated"),
        ChainStep(ord=2, kind="contraction", scale=1.0 + a, u=u, source=source),
    )
    if from_tool:
        cast = chain.back(typed, 0.0, steps, to="cast")
        return OneSize(
            finished_mm=cast.value - stock,
            cast_mm=cast.value,
            tool_mm=typed,
            u_mm=cast.u,
            a=a,
            u_a=u,
            source=source,
            status=status,
            said=said,
            others=others,
            stock_mm=stock,
        )
    if typed + stock <= 0:
        taken, of = style.given(-stock), style.given(typed)
        return f"{taken} of stock leaves nothing of {of}: an inside size must be larger than its stock."
    tool = chain.forward(typed, steps)
    return OneSize(
        finished_mm=typed,
        cast_mm=typed + stock,
        tool_mm=tool.value,
        u_mm=tool.u,
        a=a,
        u_a=u,
        source=source,
        status=status,
        said=said,
        others=others,
        stock_mm=stock,
    )
