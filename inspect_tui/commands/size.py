"""`inspect-tui size`: one size through the chain, casting to tool or back, without a record."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inspect_tui.commands.common import option, print_json, talk, written
from inspect_tui.frozen import replace
from inspect_tui.metrology.typed.show import as_rule, fraction, on_rule, rule_name

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace

    from inspect_tui.metrology.sizes.contraction import Handbook
    from inspect_tui.metrology.typed.show import Style


def arguments(parser: ArgumentParser) -> None:
    """SIZE and what stands between casting and tool."""
    parser.description = (
        "Casting size to tool size, with its uncertainty and source: size 59 --alloy 'ductile iron', "
        "size '22 in' --contraction '1/8 in/ft'. With --from-tool the other way."
    )
    parser.add_argument(
        "size",
        metavar="SIZE",
        help="such as 59, '22 in', '12 3/16 in'; without a unit in mm, or in inches where lengths are shown so",
    )
    parser.add_argument("--alloy", help="look the contraction up for this alloy")
    parser.add_argument("--construction", help="open, cored, free, restrained: narrows the table")
    parser.add_argument("--contraction", help="state it: 1.0%%, '1/8 in/ft', '10 mm/m' (a percent is of the casting)")
    parser.add_argument("--stock", help="machining stock a side, added before contraction")
    parser.add_argument("--inside", action="store_true", help="an inside size (bore, passage): stock takes away")
    parser.add_argument("--from-tool", action="store_true", help="SIZE is the tool's: say what the casting will be")
    parser.add_argument(
        "--rule",
        type=option("--rule", "contraction", may_be_empty=True),
        help="also say what it reads on a contraction rule, such as '5/32 in/ft'",
    )
    parser.add_argument("--json", action="store_true", help="the result as JSON")


def run(args: Namespace) -> int:
    """0 with a result; 2 with a sentence when something typed cannot be understood."""
    from inspect_tui.shop.jobs import one_size

    style = _style(args)
    result = one_size.size(
        args.size,
        alloy=args.alloy,
        construction=args.construction,
        contraction_text=args.contraction,
        stock_text=args.stock,
        inside=args.inside,
        from_tool=args.from_tool,
        style=style,
    )
    if isinstance(result, str):
        talk(f"inspect-tui: {result}")
        return 2
    if args.json:
        print_json(
            {
                "finished_mm": result.finished_mm,
                "cast_mm": result.cast_mm,
                "tool_mm": result.tool_mm,
                "u_mm": result.u_mm,
                "contraction": result.a,
                "u_contraction": result.u_a,
                "source": result.source,
                "status": result.status,
                "said": result.said,
                "stock_mm": result.stock_mm,
                "others": [vars_of(other) for other in result.others],
            }
        )
        return 0
    half = style.given(result.stock_mm / 2, signed=True)
    stock = f"   (stock {half} on each of two sides)" if result.stock_mm else ""
    print(f"finished  {style.size(result.finished_mm, unit=True)}{_fraction(result.finished_mm, style)}")
    print(f"casting   {style.size(result.cast_mm, unit=True)}{_fraction(result.cast_mm, style)}{stock}")
    print(f"tool      {style.size(result.tool_mm, unit=True)}{_fraction(result.tool_mm, style)}")
    if args.rule is not None:
        rest = "mm" if style.unit == "mm" else "thou"
        print(f"on the rule {rule_name(args.rule)}: reads {on_rule(result.tool_mm, args.rule, rest=rest)}")
    which = "casting" if args.from_tool else "tool"
    print(
        f"u({which}) {style.uncertainty(result.u_mm, 3)} (k = 1): contraction {style.percent(result.a, 3)} of the "
        f"casting, u {style.percent(result.u_a, 3)}{_as_rule(result.a)}"
    )
    print(f"source    {result.said}")
    for other in result.others[:4]:
        print(f"          also {style.percent(other.a, 2)}: {other.said}")
    return 0


def _style(args: Namespace) -> Style:
    """As it is asked for or set; else a size that was typed in inches is answered in inches."""
    style = written()
    if style.unit != "mm" or getattr(args, "show", None) or args.json:
        return style
    from inspect_tui.metrology.typed.parsed import TypedLine
    from inspect_tui.metrology.typed.quantity import parse_line
    from inspect_tui.shop.settings.choices import in_style

    line = parse_line(args.size, "mm")
    inches = isinstance(line, TypedLine) and any(size.unit in ("in", "ft", "thou") for size in line.sizes)
    return in_style(style, "in") if inches else style


def _as_rule(a: float) -> str:
    return f"; as a rule {as_rule(a)}" if as_rule(a) else ""


def _fraction(mm: float, style: Style) -> str:
    """The same in the other way of reading: parts of an inch with the rest, or decimal inches beside a fraction."""
    if style.unit == "mm":
        return f"   {fraction(mm)}"
    return f"   {replace(style, unit='in' if style.unit == 'fraction' else 'fraction').length(mm)}"


def vars_of(row: Handbook) -> dict[str, object]:
    """A handbook row as plain JSON."""
    return {
        "alloy": row.alloy,
        "construction": row.construction,
        "a": row.a,
        "u": row.u,
        "lo": row.lo,
        "hi": row.hi,
        "source": row.source,
        "status": row.status,
        "source_kind": row.kind,
        "weak": row.weak,
    }
