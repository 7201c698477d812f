"""`inspect-tui trend`: one size over cores or dates, in the terminal, as a drawing or as JSON."""

from __future__ import annotations

from math import isfinite
from typing import TYPE_CHECKING, Any

from inspect_tui.commands.common import (
    console,
    finite,
    open_record,
    option,
    paper_arguments,
    print_json,
    printed,
    talk,
    written,
)
from inspect_tui.commands.feature_source import raw_only, state_argument

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace

    from inspect_tui.shop.trends.job_view import Mark
    from inspect_tui.shop.trends.tracks import Track
    from inspect_tui.shop.trends.trend import Trend
    from inspect_tui.shop.trends.verdict import WhatMoved


def arguments(parser: ArgumentParser) -> None:
    """Which size, and how it is shown."""
    parser.description = (
        "A size of a tool over the cores it has blown (or over dates), with its band, repairs, wear line and forecast, "
        "and the castings made from it on the same axis. `--on castings` takes a size of the castings alone."
    )
    parser.add_argument("feature", metavar="FEATURE", help="balloon, such as F29")
    parser.add_argument("--on", metavar="TOOL", required=True, help="tool, such as 'box 3'; castings for the castings")
    parser.add_argument("--job", help="job number; may be left out where the record has one job")
    state_argument(parser)
    parser.add_argument("--by", metavar="INITIALS", help="only readings of this person")
    parser.add_argument("--lot", help="only this lot")
    parser.add_argument("--dates", action="store_true", help="over dates instead of cores")
    parser.add_argument("--no-castings", action="store_true", help="leave the castings out of the chart")
    parser.add_argument("--to", metavar="FILE", help="write the chart to FILE.svg, FILE.png or FILE.html")
    parser.add_argument("--force", action="store_true", help="overwrite FILE")
    paper_arguments(parser)
    parser.add_argument("--width", type=option("--width", "count"), help="columns to draw in (default: the terminal's)")
    parser.add_argument(
        "--height", type=option("--height", "count"), default=20, help="lines of the chart (default 20)"
    )
    parser.add_argument("--today", metavar="DAY", type=option("--today", "day"), help="forecast as of this day")
    parser.add_argument("--json", action="store_true", help="every reading and figure at full precision")


def run(args: Namespace) -> int:
    """0 with a chart, whatever it shows."""
    from inspect_tui.report.paper import file as paper_file
    from inspect_tui.shop.common import find
    from inspect_tui.shop.trends import trend as trends
    from inspect_tui.shop.trends.job_view import JobView
    from inspect_tui.shop.trends.tracks import ReadingFilter
    from inspect_tui.shop.trends.verdict import tell_of

    raw_only(args)
    if args.to:
        paper_file.target(args.to, force=args.force)
    record = open_record(args, read_only=True)
    try:
        view = JobView(record, find.job(record, args.job), written(), args.today)
        feature = view.feature(args.feature)
        tool = None
        if args.on.strip().casefold() not in ("castings", "all castings"):
            where = f" in job {view.job.number} (castings means all of them)"
            tool = find.pick(args.on, view.kit.tools, lambda t: t.label, "tool", where)
        person = find.person(record, args.by).initials if args.by else None
        trend = trends.trend(view, feature, tool, ReadingFilter(person=person, lot=args.lot))
        told = tell_of(view, trend)
        if args.json:
            print_json(_json(trend, told))
        elif args.to:
            from inspect_tui.report.trends.forms import write_chart

            axis = "date" if args.dates else "cores"
            paper = write_chart(trend, args.to, axis=axis, heads=record.heads(), force=args.force, style=printed())
            talk(f"written: {paper}")
        else:
            _draw(args, trend, told)
    finally:
        record.close()
    return 0


def _draw(args: Namespace, trend: Trend, told: WhatMoved | None) -> None:
    from inspect_tui.commands.feature_source import screen_width
    from inspect_tui.report.draw.trend import CORES, DATE, trend_chart
    from inspect_tui.report.term import trend as term_trend
    from inspect_tui.shop.trends.forecast import headline

    width = screen_width(args)
    out = console(width)
    picture = trend_chart(trend, DATE if args.dates else CORES, castings=not args.no_castings, style=written())
    out.print(term_trend.chart(picture, width, max(args.height, 9), over_dates="--dates draws it over dates"))
    for line in headline(trend):
        out.print(line, markup=False)
    if told is not None:
        out.print(f"tooling or foundry: {told.sentence}", markup=False)


def _json(trend: Trend, told: WhatMoved | None) -> dict[str, Any]:
    """Readings with their days as ISO dates; what is not known, or has no end, is null."""
    from inspect_tui.shop.trends.job_view import JUMP

    left, fit, today = trend.left, trend.fit, trend.ahead
    return {
        "feature": trend.feature.balloon,
        "name": trend.feature.name,
        "on": trend.where,
        "unit": trend.unit,
        "target": trend.sizes.target,
        "lower": trend.limits.band.lower,
        "upper": trend.limits.band.upper,
        "limit_from": trend.limits.words,
        "today": trend.view.today,
        "sentence": trend.sentence,
        "remarks": [*trend.remarks, *trend.read_off],
        "wear": None
        if fit is None
        else {
            "rate_per_core": fit.rate.value,
            "u_rate": fit.rate.u,
            "seen": fit.seen,
            "sd": fit.sd,
            "n": fit.n,
            "shared_rate": fit.shared,
            "p_shared": fit.p_shared,
            "not_fitted": len(fit.flagged),
            "rate_now": fit.rate_now,
            "goes": fit.bent or "straight",
            "p_straight": fit.p_straight,
            "lag": fit.lag,
        },
        "left": None
        if left is None or today is None
        else {
            "kind": today.kind,
            "cores": today.left,
            "low": finite(today.low),
            "high": finite(today.high),
            "low_if_straight": left.straight[0] - today.made if left.straight else None,
            "high_if_straight": finite(left.straight[1] - today.made) if left.straight else None,
            "limit": left.limit,
            "since_repair": left.now + today.made,
            "weeks": finite(today.weeks),
            "weeks_low": finite(today.weeks_low),
            "weeks_high": finite(today.weeks_high),
            "passed": today.kind == "past",
            "carried_forward": today.made,
            "weeks_since_count": today.idle,
        },
        "made": trend.counter.now,
        "counted": trend.counter.how or None,
        "per_week": trend.per_week,
        "due": trend.due,
        "risk": trend.risk,
        "repairs": [_mark(mark) for mark in trend.marks if mark.kind != JUMP],
        "jumps": [_mark(mark) for mark in trend.jumps],
        "alarms": [{"first": a.first + 1, "last": a.stop, "side": a.side, "words": a.words} for a in trend.alarms],
        "told": None
        if told is None
        else {
            "verdict": told.who.verdict,
            "probability": told.who.probability,
            "sentence": told.sentence,
            "moved": [{"series": m.name, "change": m.change.value, "u": m.change.u} for m in told.moved],
        },
        "tracks": [_track(track) for track in (trend.main, *trend.others)],
    }


def _mark(mark: Mark) -> dict[str, Any]:
    return {"kind": mark.kind, "on": _day(mark.day), "at": mark.count, "tool": mark.tool, "words": mark.words}


def _track(track: Track) -> dict[str, Any]:
    return {
        "of": track.of,
        "on": track.label,
        "readings": [
            {
                "value": float(value),
                "read": float(value if track.read is None else track.read[i]),
                "on": _day(float(day)),
                "count": float(count) if isfinite(count) else None,
                "lot": track.lot[i] if track.lot is not None else None,
            }
            for i, (value, day, count) in enumerate(zip(track.value, track.day, track.count, strict=True))
        ],
    }


def _day(ordinal: float) -> str | None:
    from inspect_tui.metrology.typed import show

    return show.day(ordinal) if isfinite(ordinal) and ordinal >= 1 else None
