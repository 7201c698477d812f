"""`inspect-tui chart`: the control chart of a feature, or of a column of a CSV file, in the terminal or as JSON."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from inspect_tui.commands.common import console, option, painted, print_json, talk, written
from inspect_tui.commands.feature_source import (
    CSV_HELP,
    RECORD_HELP,
    material_of,
    plain,
    screen_width,
    source_arguments,
)

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace

    from inspect_tui.metrology.spread.charts import ControlChart
    from inspect_tui.shop.feature.view import FeatureView

KINDS = ("individuals", "means", "means-s", "ewma", "cusum", "histogram")
LOWEST, HIGHEST = 8, 60  # lines of a chart


def arguments(parser: ArgumentParser) -> None:
    """Which readings, which chart, and how it is drawn."""
    parser.description = (
        "Control chart with its limits and what stands out: single readings, means of subgroups, EWMA or CUSUM; or a "
        "histogram against the band. A new segment starts at a new drawing revision and where another instrument takes "
        "over. " + RECORD_HELP + " " + CSV_HELP
    )
    source_arguments(parser)
    parser.add_argument("--kind", choices=KINDS, default="individuals", help="which chart (default: individuals)")
    parser.add_argument(
        "--group",
        metavar="N|WHAT",
        help="subgroups of so many consecutive readings (default 5), or by lot, casting, "
        "person, instrument, or a column of the file",
    )
    parser.add_argument(
        "--baseline",
        type=option("--baseline", "count"),
        metavar="N",
        help="limits from the first N points of each segment",
    )
    parser.add_argument(
        "--median",
        action="store_true",
        help="individuals: limits from the median moving range, which a few wild readings do not widen",
    )
    parser.add_argument("--tests", metavar="A,B", help="which run tests; `--tests list` names them")
    parser.add_argument("--segments", metavar="COLUMN", help="a new segment wherever this column of the file changes")
    parser.add_argument("--one-segment", action="store_true", help="one centre and one pair of limits over all")
    parser.add_argument(
        "--width", type=option("--width", "count"), help="columns to draw in, 60 to 160 (default: the terminal's)"
    )
    parser.add_argument(
        "--height", type=option("--height", "count"), default=18, help="lines of the chart, 8 to 60 (default 18)"
    )
    parser.add_argument("--json", action="store_true", help="centre, limits, signals and points at full precision")


def run(args: Namespace) -> int:
    """0 with a chart, whatever it shows; signals are findings, not failures."""
    from inspect_tui.errors import DataError
    from inspect_tui.metrology.spread.chart_rules import DEFAULT, RULES
    from inspect_tui.metrology.typed import fields
    from inspect_tui.shop.feature.findings import histogram
    from inspect_tui.shop.feature.view import SUBGROUP, view

    if args.tests == "list":
        for rule in RULES.values():
            mark = "*" if rule.name in DEFAULT else " "
            points = written().figure(1 / rule.false_alarm, 0)
            print(f"{mark} {rule.name:<22} {rule.words} (without cause one point in {points})")
        return 0
    tests = tuple(t.strip() for t in args.tests.split(",")) if args.tests else DEFAULT
    group: int | str = SUBGROUP
    if args.group is not None:
        counted = fields.count(args.group)
        group = args.group if isinstance(counted, fields.Wrong) else counted
    if args.baseline is not None and args.baseline < 2:
        raise DataError(f"Limits from {args.baseline} points cannot be drawn: give a baseline of 2 or more.")
    by = (group,) if isinstance(group, str) and args.kind.startswith("means") else ()
    wanted = by + ((args.segments,) if args.segments else ())
    if args.segments and not args.csv:
        raise DataError("--segments goes with --csv FILE; in the record, segments follow drawings and instruments.")
    material = material_of(args, wanted if args.csv else (), with_labels=bool(by))
    if args.segments:
        material = _segmented(material, args.segments)
    if args.kind == "histogram":
        bars = histogram(material, height(args) - 3, written())
        if args.json:
            print_json({"kind": "histogram", "unit": material.unit or None, **plain(bars)})
        else:
            _draw_histogram(args, material, bars)
        return 0
    seen = view(
        material,
        args.kind,
        tests=tests,
        group=group,
        baseline=args.baseline,
        segments=not args.one_segment,
        median=args.median,
        style=written(),
    )
    if args.json:
        print_json(_json(seen))
    else:
        _draw(args, seen)
    return 0


def height(args: Namespace) -> int:
    """Lines to draw in, said where --height cannot be kept."""
    used: int = min(max(args.height, LOWEST), HIGHEST)
    if used != args.height:
        talk(f"--height {args.height} is outside {LOWEST} to {HIGHEST}: drawn {used} lines high.")
    return used


def _segmented(material: Any, column: str) -> Any:
    from inspect_tui.frozen import replace
    from inspect_tui.metrology.spread.charts import Break

    labels = material.labels[column]
    breaks = [
        Break(i, f"{column} {labels[i]}" if labels[i] else f"{column} not stated")
        for i in range(1, len(labels))
        if labels[i] != labels[i - 1]
    ]
    return replace(material, breaks=tuple(breaks))


def _json(seen: FeatureView) -> dict[str, Any]:
    """Points count from 1. `centre`, `lower` and `upper` are those at the end; each segment has its own."""
    material = seen.material
    return {
        "title": material.title,
        "where": material.where,
        "unit": material.unit or None,
        "n": seen.summary.n,
        "mean": seen.summary.mean if seen.summary.n else None,
        "s": seen.summary.s,
        **_chart(seen.chart, seen.names),
        "missing": material.n_missing,
        "void": material.n_out,
        "readings": [
            {"value": value, "read": material.read[i] if material.read is not None else value}
            for i, value in enumerate(material.values)
        ],
        "remarks": list(seen.remarks),
    }


def _chart(chart: ControlChart, names: tuple[str, ...] = ()) -> dict[str, Any]:
    segments = [
        {
            "first": part.start + 1,
            "last": part.stop,
            "reason": part.reason,
            "centre": chart.centre[part.stop - 1],
            "lower": chart.lower[part.stop - 1],
            "upper": chart.upper[part.stop - 1],
            "sigma": part.sigma,
            "provisional": part.provisional,
            "sentence": part.sentence,
        }
        for part in chart.segments
    ]
    end = segments[-1] if segments else {"centre": None, "lower": None, "upper": None}
    return {
        "kind": chart.kind,
        "centre": end["centre"],
        "lower": end["lower"],
        "upper": end["upper"],
        "limits": [end["lower"], end["upper"]],
        "signals": [
            {"point": s.index + 1, "last": s.last + 1, "test": s.rule, "sentence": s.sentence} for s in chart.signals
        ],
        "segments": segments,
        "provisional": chart.provisional,
        "false_alarm": chart.false_alarm,
        "assumptions": list(chart.assumptions),
        "doubts": list(chart.doubts),
        "sentence": chart.sentence,
        "points": [
            {
                "point": i + 1,
                **({"name": names[i]} if names else {}),
                "value": chart.points[i],
                "centre": chart.centre[i],
                "lower": chart.lower[i],
                "upper": chart.upper[i],
            }
            for i in range(len(chart.points))
        ],
        "companion": None if chart.companion is None else _chart(chart.companion, names),
    }


def _draw(args: Namespace, seen: FeatureView) -> None:
    from inspect_tui.report.term import feature as paint

    width = screen_width(args)
    out = console(width)
    out.print(f"{seen.material.title} · {seen.material.where}", markup=False, style="bold")
    painted(lambda w: paint.summary_text(seen, w, written()), most=width, asked=args.width and width)
    if seen.chart.points:
        out.print(paint.chart_picture(seen, width, height(args), companion=True, style=written()))
    painted(lambda w: paint.chart_words(seen, w, most=8, style=written()), most=width, asked=args.width and width)


def _draw_histogram(args: Namespace, material: Any, bars: Any) -> None:
    from inspect_tui.report.term import feature as paint

    width = screen_width(args)
    out = console(width)
    out.print(f"{material.title} · {material.where}", markup=False, style="bold")
    out.print(paint.histogram_picture(material, bars, width, written()))
