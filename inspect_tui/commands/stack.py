"""`inspect-tui stack`: walls and passages from loops over cores and fits, as drawn, as measured, drawn at random."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from inspect_tui.commands.common import console, open_record, option, print_json, print_table, talk, written
from inspect_tui.errors import DataError

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace

    from inspect_tui.shop.first_article.castings.whole import WallOn
    from inspect_tui.shop.kit.walls import WallLine


def arguments(parser: ArgumentParser) -> None:
    """Which wall, which job, how many assemblies."""
    parser.add_argument(
        "wall",
        nargs="?",
        metavar="WALL",
        help="balloon, loop or face, such as F48, ST1 or 'core 3 face z 129'; else all",
    )
    parser.add_argument("to", nargs="?", metavar="FACE", help="the face that the wall runs to, where WALL is a face")
    parser.add_argument(
        "--round", metavar="LABEL", help="between two faces: what follows for each casting of that sampling, such as S1"
    )
    parser.add_argument("--job", help="job number; may be left out where the record has one job")
    parser.add_argument(
        "--as-of",
        metavar="DATE",
        type=option("--as-of", "day", may_be_empty=True),
        help="as the tools stood at the end of that day, such as 2026-03-31",
    )
    parser.add_argument(
        "--assemblies",
        type=option("--assemblies", "count"),
        default=100_000,
        metavar="N",
        help="drawn at random (100000)",
    )
    parser.add_argument(
        "--sigma-ratio",
        type=option("--sigma-ratio", "figure"),
        metavar="N",
        help="how many standard deviations of a dimension its tolerance stands for, as drawn (3)",
    )
    parser.add_argument("--seed", type=option("--seed", "count"), default=1, metavar="N", help="of the random draw (1)")
    parser.add_argument("--json", action="store_true", help="everything, at full precision")


def run(args: Namespace) -> int:
    """0 when every wall asked for is likelier to hold than not, 1 when one is not, 2 for a bad question."""
    from inspect_tui.metrology.faces.assemblies import Wall, assemble
    from inspect_tui.shop.common import find
    from inspect_tui.shop.kit import check as kit
    from inspect_tui.shop.kit.facts import end_of_day
    from inspect_tui.shop.kit.walls import between

    if not 1 <= args.assemblies <= 10_000_000:
        talk("inspect-tui: --assemblies is a count from 1 to 10000000")
        return 2
    if args.round and not args.to:
        talk("inspect-tui: --round goes with two faces, such as 'core 3 face z 129' 'core 5 face z 136'")
        return 2
    record = open_record(args, read_only=True)
    try:
        job = find.job(record, args.job)
        checked = kit.check(record, job, end_of_day(args.as_of) if args.as_of else None, written())
        walls, why = list(checked.walls), ""
        if args.to:
            try:
                walls = [between(checked.facts, checked.lines, args.wall, args.to, written())]
            except DataError as error:
                if not args.round:
                    raise
                walls, why = [], str(error)  # castings may show it all the same
        cast = _on_castings(record, job, checked.facts, args) if args.round else []
    finally:
        record.close()
    if args.wall and not args.to:
        walls = [find.pick(args.wall, walls, lambda w: w.label, "wall")]
    if args.sigma_ratio is not None:
        walls = [_with_ratio(wall, args.sigma_ratio) for wall in walls]
    drawn: dict[str, Any] = {}
    if walls:
        wanted = [Wall(w.label, w.links, w.drawn.lower, w.drawn.upper) for w in walls]
        assemblies = assemble(wanted, args.assemblies, args.seed, written())
        drawn = {wall.name: wall for wall in assemblies.walls}
    if args.json:
        from inspect_tui.commands.kit import wall_json

        told = [
            wall_json(w)
            | {
                "assemblies": {
                    "n": args.assemblies,
                    "mean_mm": drawn[w.label].mean,
                    "sd_mm": drawn[w.label].sd,
                    "low_mm": drawn[w.label].low,
                    "high_mm": drawn[w.label].high,
                    "p_holds": drawn[w.label].p_holds,
                    "se": drawn[w.label].se,
                }
            }
            | ({"castings": [_casting_json(on) for on in cast]} if args.round else {})
            for w in walls
        ]
        print_json(told or ([{"sentence": why, "castings": [_casting_json(on) for on in cast]}] if why else []))
    elif args.wall:
        if walls:
            _print_wall(walls[0], drawn[walls[0].label])
        else:
            talk(why)
        for on in cast:
            print(f"casting {on.serial}: {on.wall.said(written())}")
    else:
        _print_walls(walls, drawn)
        for wall in checked.no_loop:
            talk(wall.sentence)
    from inspect_tui.shop.kit.walls import WallState

    return 1 if any(w.state is WallState.FAILS for w in walls) else 0


def _on_castings(record: Any, job: Any, facts: Any, args: Namespace) -> list[WallOn]:
    from inspect_tui.metrology.faces.face import Face
    from inspect_tui.shop.first_article.castings.rounds import pick_round
    from inspect_tui.shop.first_article.castings.sampling import Sampling
    from inspect_tui.shop.first_article.castings.whole import between
    from inspect_tui.shop.kit.walls import face_named

    faces = [face_named(facts, typed) for typed in (args.wall, args.to)]
    if faces[0][1] != faces[1][1]:
        raise DataError(
            f"{args.wall} lies along {faces[0][1].upper()}, {args.to} along {faces[1][1].upper()}: "
            "a wall has both its faces along one"
        )
    low, high = sorted(faces, key=lambda face: face[2])
    a, b = (Face(maker=part, axis=axis, place_mm=place).name for part, axis, place in (low, high))
    return between(Sampling(record, job, pick_round(record, job, args.round), written()), a, b)


def _casting_json(on: WallOn) -> dict[str, Any]:
    return {
        "serial": on.serial,
        "mm": on.wall.mm,
        "u": on.wall.u,
        "read": on.wall.read,
        "follows_from": list(on.wall.follows_from),
        "sentence": on.wall.said(written()),
    }


def _with_ratio(wall: WallLine, ratio: float) -> WallLine:
    """The wall as drawn where a tolerance stands for so many standard deviations."""
    from inspect_tui.frozen import replace
    from inspect_tui.metrology.faces.stacks import stack

    d = wall.drawn
    return replace(wall, drawn=stack(d.wall, d.terms, d.lower, d.upper, written(), ratio))


def _print_walls(walls: list[WallLine], drawn: dict[str, Any]) -> None:
    from inspect_tui.report.term.kit import SYMBOL
    from inspect_tui.report.term.kit_pages import WALL
    from inspect_tui.shop.kit.walls import WallState

    if not walls:
        print("no walls between cores yet")
        return
    rows = []
    for w in walls:
        d, mc = w.drawn, drawn[w.label]
        rows.append(
            [
                w.label,
                w.name,
                written().length(d.nominal, unit=False),
                written().pair(d.worst_low, d.worst_high, unit=False),
                written().plus_minus(d.centre, d.rss, unit=False),
                written().length(w.now.value, unit=False),
                written().pair(mc.low, mc.high, unit=False),
                "" if w.state is WallState.NO_LIMITS else written().chance(mc.p_holds),
                w.most,
                SYMBOL[WALL[w.state]] + " " + w.state,
            ]
        )
    print_table(
        ["wall", "name", "nominal", "worst case", "likely", "now", "95 %", "holds", "most from", "answer"],
        rows,
        right=("nominal", "worst case", "likely", "now", "95 %", "holds"),
        spare=("most from", "worst case", "likely", "name", "nominal"),
    )


def _print_wall(wall: WallLine, mc: Any) -> None:
    from rich.text import Text

    from inspect_tui.report.term.kit_pages import about_wall
    from inspect_tui.shop.kit.walls import WallState

    out = console()
    out.print(about_wall(wall, min(out.width, 100), written()), end="")
    mean, low_high = written().length(mc.mean, unit=False), written().pair(mc.low, mc.high, unit=False)
    text = f"drawn at random: {mean}, 95 % from {low_high}"
    if wall.state is not WallState.NO_LIMITS:
        text += f", holds with {written().chance(mc.p_holds)}"
    out.print(Text(text))
    for term in wall.drawn.terms:
        link = term.link
        if link.kind == "contraction":
            mm = written().uncertainty(abs(term.sense) * link.plus, unit=False)
            out.print(Text(f"  ± {written().percent(link.plus, 2)} of {link.name}: ± {mm}"))
            continue
        size, plus, minus = (written().length(mm, unit=False) for mm in (link.size, link.plus, link.minus))
        out.print(Text(f"  {written().figure(term.sense, 3, signed=True)} × {link.name}: {size} +{plus}/-{minus}"))
