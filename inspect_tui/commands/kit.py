"""`inspect-tui kit`: does the kit go together; and its papers, where that part is installed."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from inspect_tui.commands.common import console, open_record, option, painted, print_json, print_table, written

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace

    from inspect_tui.metrology.kit.setting import Trouble
    from inspect_tui.shop.kit.check import KitCheck
    from inspect_tui.shop.kit.fits import FitLine
    from inspect_tui.shop.kit.passages import KitPassage


def arguments(parser: ArgumentParser) -> None:
    """check, and what `kit_papers` adds."""
    from argparse import SUPPRESS

    actions = parser.add_subparsers(dest="action", required=True, metavar="check|look|trial|ship|back|sheet|labels")
    check = actions.add_parser(
        "check", help="fits, pitches, order, wrong ways in, tools, walls; exit status 1 when something does not hold"
    )
    check.add_argument("--job", help="job number; may be left out where the record has one job")
    check.add_argument(
        "--as-of",
        metavar="DATE",
        type=option("--as-of", "day", may_be_empty=True),
        help="as the tools stood at the end of that day, such as 2026-03-31",
    )
    check.add_argument("--json", action="store_true", help="everything, at full precision")
    check.add_argument("--record", metavar="FILE", default=SUPPRESS, help="the record")
    from inspect_tui.commands import kit_look, kit_ship, kit_trial

    kit_look.arguments(actions)
    kit_ship.arguments(actions)
    kit_trial.arguments(actions)
    try:
        from inspect_tui.commands import kit_papers
    except ImportError:
        return
    kit_papers.arguments(actions)


def run(args: Namespace) -> int:
    """0 when nothing speaks against the kit, 1 when something does, 2 for a bad question."""
    if args.action == "look":
        from inspect_tui.commands import kit_look

        return kit_look.run(args)
    if args.action in ("ship", "back"):
        from inspect_tui.commands import kit_ship

        return kit_ship.run(args)
    if args.action == "trial":
        from inspect_tui.commands import kit_trial

        return kit_trial.run(args)
    if args.action != "check":
        from inspect_tui.commands import kit_papers

        status: int = kit_papers.run(args)
        return status
    from inspect_tui.shop.common import find
    from inspect_tui.shop.kit import check as kit
    from inspect_tui.shop.kit.facts import end_of_day

    record = open_record(args, read_only=True)
    try:
        job = find.job(record, args.job)
        until = end_of_day(args.as_of) if args.as_of else None
        checked = kit.check(record, job, until, written())
        every = kit.assemblies(checked)
    finally:
        record.close()
    if args.json:
        print_json(_json(checked, every))
    else:
        _print(checked, every)
    return 0 if checked.holds else 1


def _print(check: KitCheck, every: Any) -> None:
    from rich.text import Text

    from inspect_tui.report.term import kit as term_kit
    from inspect_tui.report.term import kit_pages as term_kit_pages

    painted(lambda width: Text("\n").join([line for _, line in term_kit.tree(check, width)]).append("\n\n"))
    painted(lambda width: term_kit.side_view(check, width).append("\n"))
    out = console()
    out.print(Text(check.order_sentence, style="bold"))
    if check.lines:
        out.print()
        heads = ["fit", "goes in", "into", "axis", "drawn", "now", "least", "most", "rubs", "floats", "answer"]
        rows = []
        for line in check.lines:
            v = line.verdict
            rows.append(
                [
                    line.name,
                    line.inner,
                    line.outer,
                    line.fit.axis,
                    written().length(v.drawn.value, unit=False),
                    written().length(v.clearance.value, unit=False),
                    written().length(line.fit.clear_min_mm, unit=False),
                    written().length(line.fit.clear_max_mm, unit=False),
                    written().percent(v.p_rubs),
                    written().percent(v.p_floats),
                    f"{term_kit.SYMBOL[term_kit_pages.how_fit(line)]} {v.state}",
                ]
            )
        spare = ("axis", "drawn", "floats", "rubs", "into", "goes in")
        print_table(heads, rows, right=("drawn", "now", "least", "most", "rubs", "floats"), spare=spare)
    if every is not None:
        how = "as measured" if any(wall.measured for wall in check.walls) else "as drawn, nothing of them read yet"
        out.print(Text(f"\nwalls, {how}: {every.sentence}"))
    out.print()
    painted(lambda width: term_kit_pages.summary(check, width, most=1000))


def _json(check: KitCheck, every: Any) -> dict[str, Any]:
    facts = check.facts
    revision = facts.revision
    return {
        "job": facts.job.number,
        "rev": revision.rev if revision else None,
        "holds": check.holds,
        "sentence": check.sentence,
        "against": [_finding(trouble) for trouble in check.found],
        "doubts": [_finding(trouble) for trouble in check.open],
        "missing": list(check.missing),
        "order": [int(n) for n in check.sequence],
        "order_sentence": check.order_sentence,
        "proven": {
            "sentence": check.proven_sentence,
            "trials": [
                {
                    "trial": each.trial.name,
                    "cores": [int(core) for core in each.cores],
                    "not_proven": [{"core": int(without.core), "why": without.why} for without in each.without],
                    "sentence": each.sentence,
                }
                for each in check.proven
            ],
        },
        "only_one_order": bool(check.sequence) and not check.order.computed.free,
        "rings": [list(ring) for ring in check.order.computed.rings],
        "fits": [_fit(line) for line in check.lines],
        "look_alikes": [
            {
                "core": int(a.core),
                "seats_of": int(a.seats_of),
                "turned": a.turned,
                "mirrored": a.mirrored,
                "p": a.p,
                "harm": a.harm,
                "sentence": a.sentence,
            }
            for a in check.look_alikes
        ],
        "goes_in": [
            {
                "core": int(g.core),
                "axis": g.axis,
                "fate": g.fate,
                "p": g.p,
                "play_mm": g.play.value if g.play else None,
                "u_mm": g.play.u if g.play else None,
                "between": list(dict.fromkeys(g.tight)),
                "read": g.as_read,
            }
            for g in check.seated.goes
        ],
        "turns": [
            {"core": int(core), "about": turning.about, "low_rad": between[0], "high_rad": between[1]}
            for core, turning in check.seated.turnings.items()
            if (between := turning.turns()) is not None
        ],
        "bodies": [
            {
                "core": int(core),
                "given": body.given,
                "open": list(body.open),
                "boxes": [list(box) for box in body.boxes],
            }
            for core, body in check.bodies.items()
        ],
        "not_held": [{"core": int(core), "free": list(free)} for core, free, _ in check.not_held],
        "lifts": [
            {"core": int(n), "net_n": h.lift.net, "carried_n": h.carried, "held_by": [by for by, _, _ in h.stresses]}
            for n, h in check.held.items()
        ],
        "floats": [
            {"core": int(core), "axis": axis, "low_mm": f.low.value, "high_mm": f.high.value}
            for (core, axis), f in check.floats.items()
        ],
        "cores": [
            {"core": s.core.number, "name": s.core.name, "state": s.state, "where": s.where}
            for s in check.states.values()
        ],
        "walls": [wall_json(wall) for wall in check.walls],
        "no_loop": [{"label": wall.label, "sentence": wall.sentence} for wall in check.no_loop],
        "every_wall_holds": None
        if every is None
        else {"p": every.p_all, "se": every.se, "assemblies": every.n, "unknown": list(every.unknown)},
        "passages": [_passage(passage) for passage in check.passages],
        "next": [{"tool": n.tool, "feature": n.balloon, "score": n.score, "sentence": n.sentence} for n in check.next],
    }


def _finding(trouble: Trouble) -> dict[str, Any]:
    cores = [int(core) for core in trouble.cores if core.isdigit()]
    return {"kind": trouble.kind, "cores": cores, "sentence": trouble.sentence, "about": trouble.fit or None}


def _passage(line: KitPassage) -> dict[str, Any]:
    from inspect_tui.metrology.kit.capacity import in_units

    passage, now, capacity = line.passage, line.now, line.capacity
    shares = capacity.shares if capacity else now.shares if now else ()
    return {
        "label": passage.label,
        "name": passage.name,
        "formula": passage.formula,
        "drawn": line.drawn,
        "unit": line.unit,
        "value": now.value if now else None,
        "u": now.u if now else None,
        "capacity": capacity.value if capacity else None,
        "u_capacity": capacity.u if capacity else None,
        "u_measured": capacity.u_measured if capacity else None,
        "u_assumed": capacity.u_assumed if capacity else None,
        "parts": [{"kind": share.kind, "u": share.u, "measured": share.measured} for share in shares],
        "p_meets": capacity.p_meets if capacity else None,
        "capacity_unit": passage.unit,
        "in_units": in_units(capacity.value, passage.unit or "") if capacity else {},
        "rated": capacity.rated if capacity else passage.rated,
        "minimum": passage.minimum,
        "exponent": passage.exponent,
        "how": capacity.how if capacity else None,
        "not_read": list(line.not_read),
        "remarks": list(line.remarks),
        "sentence": line.sentence,
    }


def _fit(line: FitLine) -> dict[str, Any]:
    v = line.verdict
    return {
        "fit": line.name,
        "kind": line.fit.kind,
        "in": line.inner,
        "into": line.outer,
        "axis": line.fit.axis,
        "drawn_mm": v.drawn.value,
        "clearance_mm": v.clearance.value,
        "u_mm": v.clearance.u,
        "measured": v.measured,
        "least_mm": line.fit.clear_min_mm,
        "most_mm": line.fit.clear_max_mm,
        "p_clash": v.p_clash,
        "p_rubs": v.p_rubs,
        "p_floats": v.p_floats,
        "verdict": v.answer.value,
        "state": v.state,
        "change": line.cut,
        "sentence": v.sentence,
        "changed_since": line.changed,
        "tried": line.seen.sentence(written()) if line.seen else None,
    }


def wall_json(wall: Any) -> dict[str, Any]:
    """One wall as JSON; `stack` prints the same."""
    d = wall.drawn
    return {
        "label": wall.label,
        "name": wall.name,
        "axis": wall.axis,
        "wall": wall.wall,
        "written": wall.written,
        "path": list(wall.path),
        "nominal_mm": d.nominal,
        "worst_low_mm": d.worst_low,
        "worst_high_mm": d.worst_high,
        "centre_mm": d.centre,
        "rss_mm": d.rss,
        "lower_mm": d.lower,
        "upper_mm": d.upper,
        "p_out_drawn": d.p_out,
        "sigma_mm": d.sigma,
        "sigma_ratio": d.sigma_ratio,
        "measured_mm": wall.now.value,
        "u_mm": wall.now.u,
        "p_holds": wall.p_holds,
        "state": wall.state,
        "read": wall.measured,
        "contributors": [
            {
                "name": t.link.name,
                "tool": t.link.tool or None,
                "sense": t.sense,
                "size_mm": t.link.size,
                "plus_mm": t.link.plus,
                "minus_mm": t.link.minus,
            }
            for t in d.terms
        ],
        "shares": [{"of": who, "share": share} for who, share in wall.shares],
        "tried": wall.seen.sentence(written()) if wall.seen else None,
        "remarks": list(wall.remarks),
        "unknown": list(wall.unknown),
    }
