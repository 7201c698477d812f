"""`inspect-tui stats`: what the readings of a feature, or of a column of a CSV file, come to."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from inspect_tui.commands.common import console, painted, print_json, talk, written
from inspect_tui.commands.feature_source import (
    CSV_HELP,
    RECORD_HELP,
    like_the_column,
    material_of,
    plain,
    screen_width,
    source_arguments,
)

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace

    from inspect_tui.shop.feature.material import Material


def arguments(parser: ArgumentParser) -> None:
    """Which readings, how to split them, and how to print."""
    parser.description = (
        "Summary (n, mean, s, min, max, lag-1 autocorrelation), intervals with what they rest on, capability against "
        "the band with its lower bound, normality, outliers (flagged, never dropped) and whether the readings make two "
        "heaps. With --u95 also how often pieces are accepted or refused wrongly (JCGM 106). "
        + RECORD_HELP
        + " "
        + CSV_HELP
    )
    source_arguments(parser)
    parser.add_argument(
        "--by",
        action="append",
        default=[],
        metavar="WHAT",
        help="also split by person, instrument, lot or casting, or by another column of the file; may be repeated",
    )
    parser.add_argument(
        "--target", metavar="SIZE", help="size aimed at, for figures of a file; it need not be the middle"
    )
    parser.add_argument("--u95", metavar="U", help="expanded uncertainty (k = 2) of one reading, in its unit")
    parser.add_argument("--json", action="store_true", help="every figure at full precision")


def run(args: Namespace) -> int:
    """0 with a summary; 1 when there are no readings at all."""
    from inspect_tui.errors import DataError
    from inspect_tui.frozen import replace
    from inspect_tui.metrology.spread import statistics
    from inspect_tui.shop.feature.findings import breakdown
    from inspect_tui.shop.feature.findings import findings as findings_of
    from inspect_tui.shop.feature.material import BY

    if not args.csv:
        for by in args.by:
            if by not in BY:
                raise DataError(f"Readings of the record are split by {', '.join(BY)}, not by {by}.")
    if args.target and not args.csv:
        raise DataError("--target goes with --csv FILE; a feature of the record has its own.")
    material = material_of(args, tuple(args.by), with_labels=bool(args.by))
    if args.target:
        material = replace(material, target=like_the_column("--target", args.target, material.unit))
    u95 = like_the_column("--u95", args.u95, material.unit)
    if u95 is not None and u95 <= 0.0:
        raise DataError("--u95: an expanded uncertainty is above 0.")
    summary, lag1 = statistics.from_values(material.values), statistics.lag1(material.values)
    style = written()
    findings = findings_of(material, style, None if u95 is None else u95 / 2.0)
    splits = [breakdown(material, by, style) for by in args.by]
    if args.json:
        print_json(_json(material, summary, lag1, findings, splits))
    else:
        _print(args, material, findings, splits)
    if summary.n == 0:
        talk(f"inspect-tui: {_nothing(material)}")
        return 1
    return 0


def _nothing(material: Material) -> str:
    if material.n_missing:
        return f"column {material.title} of {material.where} has no readings: all {material.n_missing} cells are empty."
    left = f" ({material.n_out} taken out of count)" if material.n_out else ""
    return f"{material.title} on {material.where}: no readings{left}, nothing can be said."


def _json(material: Material, summary: Any, lag1: float | None, findings: Any, splits: list[Any]) -> dict[str, Any]:
    shown = summary.shown()
    sentence = shown.pop("sentence")
    return {
        "title": material.title,
        "where": material.where,
        "unit": material.unit or None,
        **shown,
        "lag1": lag1,
        "u_mean": summary.u_mean,
        "sentence": sentence,
        "missing": material.n_missing,
        "void": material.n_out,
        "band": plain(material.band),
        "target": material.target,
        "kept": None if material.kept is None else material.kept.shown(),
        "intervals": {
            "mean": plain(findings.mean),
            "sd": plain(findings.sd),
            "next": plain(findings.following),
            "tolerance": plain(findings.tolerance),
            "distribution_free": plain(findings.distribution_free),
        },
        "capability": plain(findings.capability),
        "normality": plain(findings.normality),
        "outliers": plain(findings.outliers),
        "heaps": plain(findings.heaps),
        "risks": plain(findings.risks),
        "order": findings.order,
        "spoiled": findings.spoiled or None,
        "not_said": list(findings.why),
        "by": {split.by: _split(split) for split in splits},
        "remarks": list(material.remarks),
    }


def _split(split: Any) -> dict[str, Any]:
    groups = []
    for group in split.groups:
        shown = group.summary.shown()
        del shown["sentence"]
        groups.append(
            {
                "name": group.name,
                **shown,
                "s_short": group.s_short,
                "less_the_others": group.difference,
                "u95": group.u95,
            }
        )
    return {"groups": groups, "unnamed": split.unnamed, "left_out": split.left_out, "sentences": list(split.sentences)}


def _print(args: Namespace, material: Material, findings: Any, splits: list[Any]) -> None:
    from functools import partial

    from inspect_tui.report.term import feature as paint
    from inspect_tui.shop.feature.view import view

    width = screen_width(args)
    seen = view(material, style=written())
    places = paint.places_of(seen.summary)
    out = console(width)
    out.print(f"{material.title} · {material.where}", markup=False, style="bold")
    painted(lambda w: paint.summary_text(seen, w, written()), most=width)
    if seen.summary.n:
        painted(lambda w: paint.findings_text(findings, places, material.unit, w, written()), most=width)
    for split in splits:
        out.print()
        painted(
            partial(paint.breakdown_table, split, places, most=60, style=written().readings_in(material.unit)[0]),
            most=width,
        )
