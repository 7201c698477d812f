"""The pages of a kit as terminal text: rows to choose from, and all about the chosen one."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import degrees

from rich.text import Text

from inspect_tui.metrology.judge.verdict import Answer
from inspect_tui.metrology.kit.buoyancy import CAUTION
from inspect_tui.metrology.kit.capacity import flows
from inspect_tui.metrology.kit.fits import FitState
from inspect_tui.metrology.typed import show
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.proving import How, ProvingLine
from inspect_tui.model.work import Feature
from inspect_tui.report.draw.band import Lane, band
from inspect_tui.report.draw.cells import band_cells
from inspect_tui.report.term.kit import STYLE, SYMBOL, side_view
from inspect_tui.report.words import clipped
from inspect_tui.shop.jobs.contraction_book import BookRow
from inspect_tui.shop.jobs.sample_casting import Sample, SampleSize
from inspect_tui.shop.kit.check import KitCheck
from inspect_tui.shop.kit.cores import CoreReport, CoreSize
from inspect_tui.shop.kit.fits import FitLine, Side
from inspect_tui.shop.kit.life_story import Event, LifeStory
from inspect_tui.shop.kit.passages import KitPassage
from inspect_tui.shop.kit.shipping import Whereabouts
from inspect_tui.shop.kit.together.proven import best
from inspect_tui.shop.kit.tried import words as tried
from inspect_tui.shop.kit.walls import WallLine, WallState

ListRow = tuple[str, Text]  # what the row stands for, and how it reads
ANSWER = {
    Answer.CONFORMS: "yes",
    Answer.DOES_NOT_CONFORM: "no",
    Answer.UNDECIDED: "open",
    Answer.NO_LIMITS: "no limits",
}
WALL = {
    WallState.HOLDS: "yes",
    WallState.FAILS: "no",
    WallState.MAY_FAIL: "open",
    WallState.NO_LIMITS: "none",
}
BAR = 20  # columns of a share


def how_fit(line: FitLine) -> str:
    """yes, no, open or none: a fit is proven when both its sides were read, and as drawn says nothing yet."""
    v = line.verdict
    if v.state is FitState.AS_DRAWN:
        return "none"
    return "open" if v.answer is Answer.CONFORMS and v.measured != "both" else ANSWER[v.answer]


def row(how: str, text: str, width: int) -> Text:
    """A line with its symbol before it."""
    out = Text(no_wrap=True)
    out.append(SYMBOL[how] + " ", style=STYLE[how])
    out.append(clipped(text, width - 2))
    return out


def lines(sentences: Sequence[str], style: str = "", mark: str = "") -> Text:
    """Sentences, one a line, each with a mark before it."""
    out = Text()
    for text in sentences:
        out.append(mark, style=style)
        out.append(text + "\n")
    return out


# ------------------------------------------------------------------------------ the whole kit, one core
def summary(check: KitCheck, width: int, most: int = 8) -> Text:
    """The answer, what speaks against it, what to measure next, what is missing."""
    out = Text()
    not_said = not check.facts.cores or not check.facts.fits
    style = STYLE["no"] if check.against else STYLE["open"] if check.doubts or not_said else STYLE["yes"]
    symbol = "✗" if check.against else "?" if check.doubts or not_said else "✓"
    head = "the kit goes together"
    if check.against:
        head = f"{show.count(len(check.against), 'thing')} against the kit as it is"
    elif not_said:
        head = check.sentence
    elif check.doubts:
        head = f"nothing against the kit; {len(check.doubts)} open"
    out.append(f"{symbol} {head}\n", style=style)
    out.append_text(lines(check.against[:most], STYLE["no"], "✗ "))
    if check.facts.cores and check.proven_sentence not in check.doubts:
        out.append(check.proven_sentence + "\n")
    if check.next:
        out.append("next: ", style="bold")
        out.append(check.next[0].sentence + "\n")
    out.append_text(lines(check.doubts[:most], STYLE["open"], "? "))
    if check.missing:
        out.append("before shipping\n", style="bold")
        out.append_text(lines(check.missing[:most], "", "- "))
    return out


def about_core(check: KitCheck, number: str, report: CoreReport | None, width: int, style: Style = MM) -> Text:
    """One core: state, seats, what holds it, how far it may stand off, its sizes' findings."""
    core = next((c for c in check.facts.cores if str(c.number) == number), None)
    if core is None:
        return summary(check, width)
    state, detail = check.states[core.of_id], check.facts.details.get(core.of_id)
    out = Text()
    out.append(f"core {core.number} {core.name}", style="bold")
    out.append("" if core.makes_surface else "  (only locates)")
    out.append(f"\n{state.words}; box {state.where}\n")
    for line in check.lines:
        if line.inner == f"core {number}":
            v = line.verdict
            out.append(SYMBOL[how_fit(line)] + " ", style=STYLE[how_fit(line)])
            low, high = line.fit.clear_min_mm, line.fit.clear_max_mm
            out.append(
                f"{line.name} into {line.outer}, {line.fit.axis}: {style.length(v.clearance.value, unit=False)} "
                f"({style.pair(low, high, unit=False)}) {v.state}\n"
            )
    if (said := best(check.proven)) is not None:
        why = next((each.sentence for each in said.without if each.core == number), "")
        others = tried.cores(core for core in said.cores if core != number)
        out.append(f"{said.trial.name}: {why or f'proven together with {others}'}\n")
    if number in check.held:
        out.append(check.held[number].sentence + "\n")
    stand = [
        f"{axis} {style.signed(f.low.value, unit=False)} to {style.signed(f.high.value, unit=False)}"
        for axis in "xyz"
        if (f := check.floats.get((number, axis))) is not None
    ]
    if stand:
        out.append("may stand off its place (mould): " + ", ".join(stand) + "\n")
    together = [
        f"{g.axis} {style.length(g.play.value, unit=False)}{'' if g.as_read else ' as drawn'}"
        for g in check.seated.goes
        if g.core == number and g.play is not None and len(g.names) > 1
    ]
    if together:
        out.append("play of all its prints together: " + ", ".join(together) + "\n")
    turning = check.seated.turnings.get(number)
    between = turning.turns() if turning is not None else None
    if turning is not None and between is not None:
        least, most = (style.angle(degrees(turn), 2, signed=True) for turn in between)
        out.append(f"may turn in its seats about {turning.about}: {least} to {most}\n")
    for trouble in check.remarks_of(number):
        how = "open" if trouble.kind == "doubt" else "no"
        out.append(SYMBOL[how] + " ", style=STYLE[how])
        out.append(trouble.sentence + "\n")
    proof = check.mould_check(core)
    if proof:
        what, template, lower, upper = proof
        out.append(f"check: {what}{f' with {template}' if template else ''}, {style.reach(lower, upper, 1)}\n")
    if detail:
        for word, text in (
            ("chaplets", detail.chaplet_note),
            ("vents", detail.vents),
            ("lift", detail.lift_points),
            ("caution", detail.caution),
            ("note", detail.note),
        ):
            if text:
                out.append(f"{word}: {text}\n")
    if core.of_id in check.pictures:
        out.append(f"pictures: {', '.join(check.pictures[core.of_id])}\n")
    if report is not None:
        tools = {tool.label for tool in (report.stick, report.box) if tool}
        told = any(t.kind in ("rule", "size") and t.fit in tools for t in (*check.found, *check.open))
        out.append_text(lines(report.sentences[report.layout if told else 0 :], "bold", "» "))
    return out


# ------------------------------------------------------------------------------ fits
def fit_rows(check: KitCheck, width: int, core: str = "", style: Style = MM) -> list[ListRow]:
    """Every fit, those of the chosen core first."""
    mine = [x for x in check.lines if core in (x.inner.removeprefix("core "), x.outer.removeprefix("core "))]
    rest = [x for x in check.lines if x not in mine]
    return [(line.fit.of_id.hex(), _fit_row(line, width, style)) for line in (*mine, *rest)]


def _fit_row(line: FitLine, width: int, style: Style) -> Text:
    v = line.verdict
    part = {"both": "", "print": " seat unread", "seat": " print unread", "none": " unread"}[v.measured]
    clear = style.length(v.clearance.value, unit=False)
    text = f"{line.name:<6}{line.inner:>8} in {line.outer:<8}{clear:>6}  {v.state}{part}"
    return row(how_fit(line), text, width)


def about_fit(line: FitLine, width: int, style: Style = MM) -> Text:
    """One fit with its band drawn to scale, both sides, what to change."""
    v, fit = line.verdict, line.fit
    out = Text()
    out.append(f"{line.name}  {line.inner} in {line.outer}, {fit.kind}, clearance along {fit.axis}\n", style="bold")
    lane = Lane(v.clearance.value, 2 * v.clearance.u)
    fit_band = band(fit.clear_min_mm, fit.clear_max_mm, v.drawn.value, [lane])
    out.append_text(band_cells(fit_band, width, figure=_figures(style), mark_style=STYLE[how_fit(line)]))
    out.append("\n")
    for what, side in (("print", line.print), ("seat", line.seat)):
        out.append(_side(what, side, style))
    out.append(f"rubs {style.percent(v.p_rubs, 1)}, floats {style.percent(v.p_floats, 1)}\n")
    out.append(v.sentence + "\n", style="bold")
    if line.cut:
        out.append(f"{line.cut}\n", style="bold")
    if line.seen:
        out.append(f"{line.seen.sentence(style)}\n")
    if line.changed:
        out.append(f"{line.changed}: measure it again\n", style=STYLE["open"])
    out.append(f"limits: {fit.band_source}; stops {fit.holds or 'what its clearance is given for'}")
    out.append(f"; can rise {style.length(fit.lift_mm, unit=False)}\n" if fit.lift_mm else "\n")
    if fit.note:
        out.append(fit.note + "\n", style="italic")
    return out


def _figures(style: Style) -> Callable[[float], str]:
    return lambda mm: style.length(mm, unit=False)


def _side(what: str, side: Side, style: Style) -> str:
    if side.feature is None:
        return f"{what}: no size written down\n" if side.measured is None else f"{what}: the gap is read\n"
    text = f"{what} {side.feature.balloon} drawn {style.length(side.feature.nominal, unit=False)}"
    if side.measured is None or side.state is None:
        return text + f", never read{f' (on {side.tool.label})' if side.tool else ''}\n"
    where = side.tool.label if side.tool else "?"
    when = show.day_of(side.state.at_us, side.state.tz_min)
    read = style.plus_minus(side.measured.value, 2 * side.measured.u, unit=False)
    return f"{text}, read {read} on {where}, {when}\n"


# ------------------------------------------------------------------------------ order
def order_rows(check: KitCheck, width: int) -> list[ListRow]:
    """The steps."""
    cores = {str(c.number): c for c in check.facts.cores}
    rows = []
    for n, number in enumerate(check.sequence, start=1):
        parts = [s.into if s.into in ("drag", "cope") else f"core {s.into}" for s in check.sits if s.core == number]
        sits = ", ".join(dict.fromkeys(parts))
        wrong = any(number in t.cores for t in check.order.troubles)
        text = f"{n}. core {number} {cores[number].name}: into {sits or 'nothing'}"
        rows.append((number, row("no" if wrong else "yes", text, width)))
    return rows


def about_order(check: KitCheck, width: int, chosen: str, style: Style = MM) -> Text:
    """The picture from the side, and what is to be said about the order."""
    out = side_view(check, width, chosen)
    out.append(check.order_sentence + "\n", style="bold" if check.sequence else STYLE["no"])
    parting = check.facts.parting
    if parting is not None:
        out.append(f"parting: {parting.said(style)}\n")
        for x, low, high in parting.undercuts:
            at, heights = style.given(x, unit=False), style.pair(low, high, None, unit=False)
            where = f"at {parting.along} {at} the outside from {parting.axis} {heights}"
            out.append(f"{where} lies under the step: a core makes it\n")
    for how, troubles in (("no", check.found), ("open", check.open)):
        said = [t.sentence for t in troubles if t.kind in ("blocked", "pitch", "lookalike", "hand")]
        out.append_text(lines(said, STYLE[how], SYMBOL[how] + " "))
    out.append_text(lines([text for _, _, text in check.not_held], STYLE["open"], "? "))
    out.append_text(lines([h.sentence for h in check.held.values()]))
    if check.held:
        out.append(CAUTION + "\n", style="italic")
    return out


# ------------------------------------------------------------------------------ walls and passages
def how_wall(wall: WallLine) -> str:
    """yes, no, open or none: a wall that holds is so once something of it was read, and as drawn says nothing yet."""
    if wall.state is WallState.HOLDS and not wall.measured:
        return "none"
    return "open" if wall.state is WallState.HOLDS and (wall.unknown or wall.turned) else WALL[wall.state]


def wall_rows(check: KitCheck, width: int, style: Style = MM) -> list[ListRow]:
    """Walls first, weakest first; then places; then what has no loop."""
    order = [WallState.FAILS, WallState.MAY_FAIL, WallState.HOLDS, WallState.NO_LIMITS]
    walls = sorted(check.walls, key=lambda w: (not w.wall, order.index(w.state), w.p_holds))
    rows = []
    for wall in walls:
        chance = "" if wall.state is WallState.NO_LIMITS else f"  {style.chance(wall.p_holds)}"
        name = clipped(wall.name, max(width - 32, 8))
        now, u = style.length(wall.now.value, unit=False), style.uncertainty(2 * wall.now.u, unit=False)
        text = f"{wall.label:<4} {name:<{max(width - 32, 8)}} {now:>7} ±{u}{chance}"
        rows.append((wall.label, row(how_wall(wall), text, width)))
    return rows + [(place.label, row("none", place.sentence, width)) for place in check.no_loop]


def about_wall(wall: WallLine, width: int, style: Style = MM) -> Text:
    """One wall: worst case, likely, as measured, and who contributes what."""
    out = Text()
    d = wall.drawn
    out.append(f"{wall.label} {wall.name}\n".lstrip(), style="bold")
    if d.lower is not None or d.upper is not None:
        out.append_text(
            band_cells(
                band(d.lower, d.upper, d.nominal, [Lane(wall.now.value, 2 * wall.now.u)]),
                width,
                figure=_figures(style),
                mark_style=STYLE[how_wall(wall)],
            )
        )
        out.append("\n")
    worst = style.pair(d.worst_low, d.worst_high, unit=False)
    out.append(f"as drawn {style.length(d.nominal, unit=False)}: worst case {worst}, ")
    out.append(f"root-sum-square {style.plus_minus(d.centre, d.rss, unit=False)}\n")
    if d.sigma_ratio is not None:
        out.append(f"the nearer limit lies {style.figure(d.sigma_ratio, 1)} standard deviations from the middle: ")
        out.append(f"{style.percent(d.p_out, 1)} outside, as drawn\n")
    out.append(f"as measured {style.plus_minus(wall.now.value, 2 * wall.now.u, unit=False)}", style="bold")
    of_tools = sum(term.link.kind not in ("contraction", "places") for term in wall.links)
    out.append(f" ({wall.measured} of {of_tools} contributors read)")
    out.append(f", holds with {style.chance(wall.p_holds)}\n" if wall.state is not WallState.NO_LIMITS else "\n")
    out.append("written loop: " if wall.written else "loop: ")
    out.append(", ".join(wall.path) + "\n")
    biggest = max((share for _, share in wall.shares), default=0.0) or 1.0
    for name, share in wall.shares:
        bar = "█" * max(round(BAR * share / biggest), 1 if share > 0 else 0)
        out.append(f"{style.percent(share):>6} {bar:<{BAR}} {clipped(name, max(width - BAR - 8, 10))}\n")
    out.append_text(lines(wall.remarks, STYLE["open"], "? "))
    return out


def passage_rows(passages: Sequence[KitPassage], width: int) -> list[ListRow]:
    """Passages from the tools, then from castings."""
    rows = []
    for n, line in enumerate(passages):
        how = "no" if line.wrong or line.misses else "open" if line.not_read else "yes"
        says = line.wrong or (line.capacity.sentence if line.capacity else line.sentence)
        rows.append((str(n), row(how, f"{line.passage.label} {line.source}: {says}", width)))
    return rows


def about_passage(line: KitPassage, width: int, style: Style = MM) -> Text:
    """A passage with its formula, area, capacity in words that stand out, and what buys most back."""
    out = Text()
    out.append(f"{line.passage.label} {line.passage.name}: {line.passage.formula}\n", style="bold")
    if line.wrong or line.now is None:
        out.append(f"✗ {line.wrong}\n", style=STYLE["no"])
        return out
    out.append(f"{line.source}: {style.derived(line.now.value, line.unit, 2 * line.now.u)}")
    out.append(f", as drawn {style.derived(line.drawn, line.unit)}\n" if line.drawn is not None else "\n")
    if line.capacity is not None:
        missed = line.misses or line.capacity.level not in ("as rated", "over")
        out.append(
            ("✗ " if line.misses else "? " if missed else "✓ ") + line.capacity.sentence + "\n",
            style=STYLE["no"] if missed else STYLE["yes"],
        )
        if said := flows(line.capacity.value, line.passage.unit or "", style):
            out.append(said + "\n")
        out.append(f"{line.capacity.how}\n")
    shown = line.capacity.shares if line.capacity is not None else line.now.shares
    unit = (line.passage.unit or "") if line.capacity is not None else line.unit
    for kind in shown:
        how = "measured" if kind.measured else "assumed"
        half = style.derived(2 * kind.u, unit, digits=1 if 2 * kind.u >= 0.05 else 2)
        out.append(f"± {half} {how}: {kind.kind}\n", style="" if kind.measured else STYLE["open"])
    for name, share in sorted(line.now.share.items(), key=lambda item: -item[1]):
        out.append(
            f"{name}: {style.percent(share)} of the doubt, "
            f"{style.derived(line.now.sensitivity[name] * style.step, line.unit, signed=True)} "
            f"for {style.given(style.step)}\n"
        )
    for buy in line.buys:
        alone = f"{style.signed(buy.alone_mm)} alone brings it back" if buy.alone_mm is not None else "alone it cannot"
        out.append(
            f"{buy.feature}: {style.figure(buy.percent_per_mm * style.step, 1, signed=True)} % "
            f"for {style.given(style.step)} on the casting; {alone}\n"
        )
    if line.not_read:
        out.append(f"as drawn, not read: {', '.join(line.not_read)}\n", style=STYLE["open"])
    out.append_text(lines(line.remarks, STYLE["open"], "? "))
    if line.capacity is not None:
        out.append(line.caveat + "\n", style="italic")
    return out


# ------------------------------------------------------------------------------ sizes of a core
def size_rows(report: CoreReport, width: int, style: Style = MM) -> list[ListRow]:
    """The sizes of one core on stick, box and sand."""
    rows = []
    for size in report.sizes:
        how = "none" if size.stick is None and size.box is None else "yes"
        if size.advice is not None and size.advice.change != "none":
            how = "no"
        parts = [f"{size.feature.balloon:<6}"]
        for word, wanted, read in (("stick", size.stick_wanted, size.stick), ("box", size.box_wanted, size.box)):
            if wanted is not None:
                there = style.length(read.value, unit=False) if read else "-"
                parts.append(f"{word} {style.length(wanted, unit=False)}/{there}")
        if size.sand is not None:
            parts.append(f"sand {style.length(size.sand.value, unit=False)}")
        rows.append((size.feature.balloon, row(how, "  ".join(parts), width)))
    return rows


def about_size(size: CoreSize, width: int, style: Style = MM) -> Text:
    """One size of a core: wanted and read on each, the casting it lets expect, which to change."""
    out = Text()
    out.append(f"{size.feature.balloon} {size.feature.name}\n", style="bold")
    out.append(
        f"as-cast {style.length(size.as_cast, unit=False)}\n" if size.feature.scale != "tool" else "tooling scale\n"
    )
    for word, wanted, read in (("stick", size.stick_wanted, size.stick), ("box", size.box_wanted, size.box)):
        if wanted is None:
            continue
        reading = "  not read"
        if read:
            reading = f"  read {_read(read.value, read.u, style)}, {show.day_of(read.at_us, read.tz_min)}"
        out.append(f"{word:<6} wanted {style.length(wanted, unit=False):>8}{reading}\n")
    if size.sand_wanted is not None:
        sand = size.sand
        reading = f"  read {_read(sand.value, sand.u, style)}, last {size.sand_n}" if sand else ""
        out.append(f"sand   wanted {style.length(size.sand_wanted, unit=False):>8}{reading}\n")
    if size.casting is not None:
        value, u = size.casting
        out.append(f"by the {size.casting_from} the casting will be {style.plus_minus(value, 2 * u, unit=False)}\n")
    if size.advice is not None:
        out.append(size.advice.sentence + "\n", style="bold" if size.advice.change != "none" else "")
    out.append_text(lines(size.remarks, STYLE["open"], "? "))
    return out


def _read(mm: float, u: float, style: Style) -> str:
    return f"{style.length(mm, unit=False):>8} ± {style.uncertainty(2 * u, unit=False)}"


# ------------------------------------------------------------------------------ life stories
def feature_rows(features: Sequence[Feature], width: int) -> list[ListRow]:
    """Features to choose a life story from."""
    return [(f.balloon, Text(clipped(f"{f.balloon:<6} {f.name}", width), no_wrap=True)) for f in features]


def about_life(story: LifeStory, width: int, style: Style = MM) -> Text:
    """Every station: day, what, predicted, obtained, and where it left its course."""
    out = Text()
    out.append(story.sentence + "\n", style="bold")
    if not story.stations:
        out.append("nothing was ever read of it\n", style="dim")
        return out
    narrow = width < 78  # then the figures have a line of their own
    label_room = max(width - 11, 1) if narrow else width - 44  # a window may have no room at all
    first = "" if narrow else " " * (11 + label_room)
    heads = f"{'predicted':>10}{'obtained':>10}{'off':>8}"
    out.append(f"{first or ' ' * 11}{heads}\n", style="dim")
    for station, step in zip(story.stations, story.life.steps, strict=True):
        stage = station.stage
        when = "" if stage.kind == "layout" else show.day_of(station.at_us)
        line = f"{when:<11}{clipped(f'{stage.kind} {stage.label}', label_room - 1):<{label_room}}"
        line = line.rstrip() + "\n" + " " * 11 if narrow else line
        for read in (stage.predicted, stage.obtained):
            line += f"{style.length(read.value if read else None, unit=False):>10}"
        line += f"{style.signed(step.difference, unit=False):>8}"
        out.append(line + (" ✗" if step.word == "off" else "") + "\n", style=STYLE["no"] if step.word == "off" else "")
        more = " · ".join(
            text for text in (station.words if station.words != "as planned" else "", station.correction) if text
        )
        if (more and not narrow) or station.correction:
            out.append(f"{'':<11}{more}\n", style="italic")
    return out


# ------------------------------------------------------------------------------ where things are
def place_rows(places: Sequence[Whereabouts], width: int) -> list[ListRow]:
    """Where every tool is."""
    rows = []
    for place in places:
        short = (
            place.loose_pieces is not None and place.last_loose is not None and place.last_loose < place.loose_pieces
        )
        rows.append((place.tool.label, row("no" if short else "none", place.sentence, width)))
    return rows


def about_tool(place: Whereabouts, events: Sequence[Event], width: int, said: Sequence[tuple[bool, str]] = ()) -> Text:
    """Where a tool is, what the check says of it, whose it is, and what happened to it."""
    out = Text()
    out.append(place.sentence + "\n", style="bold")
    for against, text in said:
        how = "no" if against else "open"
        out.append_text(lines([text], STYLE[how], SYMBOL[how] + " "))
    if place.owner:
        out.append(f"owner: {place.owner}\n")
    if place.condition:
        out.append(f"condition when last shipped: {place.condition}\n")
    for event in reversed(events):
        out.append(f"{event.day}  {event.what}\n")
    return out


# ------------------------------------------------------------------------------ trials in the mould
def trial_rows(check: KitCheck, width: int) -> list[ListRow]:
    """Every trial, the newest first: what it still proves."""
    rows = []
    for each in reversed(check.proven):
        how = "yes" if each.cores and not each.without else "open" if each.cores else "no"
        proving = each.trial.proving
        text = f"{proving.on_date}  {tried.sort_of(proving):<13}  {each.trial.mould or proving.place or ''}"
        rows.append((proving.of_id.hex(), row(how, text, width)))
    return rows


def about_trial(check: KitCheck, key: str, width: int, style: Style = MM) -> Text:
    """One trial: what it proves, then its lines; without one what there is to do."""
    each = next((each for each in check.proven if each.trial.proving.of_id.hex() == key), None)
    if each is None:
        return Text(f"{check.proven_sentence}\nn writes one down; h writes its checklist, to be filled in at the mould")
    proving, out = each.trial.proving, Text()
    out.append(each.sentence + "\n", style="bold")
    place = f" at {proving.place}" if proving.place else ""
    out.append(f"tried by {proving.who}{place}")
    if proving.order_followed is not None:
        said = proving.order_said or "not said how"
        out.append("; setting order followed" if proving.order_followed == "yes" else f"; set in another order: {said}")
    out.append("\n")
    bad = dict(each.trial.bad)
    for item, line in zip(each.trial.items, each.trial.lines, strict=True):
        text = tried.found(line, style)
        if not text:
            continue
        worst = line.result in tried.RUBS
        how = "no" if worst else "yes" if line.result == How.GOES else "none" if line.result is None else "open"
        out.append_text(lines([f"{item}: {text}"], STYLE[how], SYMBOL[how] + " "))
    quiet = [core for core in each.trial.cores if core not in bad and core not in _spoken(check, each.trial.lines)]
    if quiet:
        out.append(f"also in it: {tried.cores(quiet)}\n")
    if proving.note:
        out.append(proving.note + "\n", style="italic")
    return out


def _spoken(check: KitCheck, said: Sequence[ProvingLine]) -> set[str]:
    """Cores of which a line of their own says something."""
    return {check.facts.number(line.core_of_id) for line in said if line.sort == "core" and tried.found(line)}


# ------------------------------------------------------------------------------ samples and the contraction book
def sample_rows(sample: Sample, width: int, style: Style = MM) -> list[ListRow]:
    """Sizes of a sample casting with what each may have been."""
    rows = []
    for size in sample.sizes:
        text = f"{size.feature.balloon:<6}{style.length(size.mean, unit=False):>9}  {size.mark:<9}"
        if size.proposal is not None:
            text += f"{size.proposal.best.text:<12} {style.chance(size.proposal.best.p)}"
        rows.append((size.feature.balloon, row("yes" if size.sure else "open", text, width)))
    return rows


def about_sample(size: SampleSize | None, sample: Sample, width: int, style: Style = MM) -> Text:
    """One size of a sample with its evidence."""
    out = Text()
    out.append(sample.sentence + "\n", style="bold")
    if size is None:
        return out
    out.append(size.sentence + "\n")
    if size.proposal is not None:
        for c in size.proposal.candidates[:5]:
            far = style.signed(size.mean - c.mm, unit=False)
            out.append(f"{c.text:<14}{style.chance(c.p):>6}  {style.length(c.mm):>11}, off {far}\n")
    return out


def book_rows(book: Sequence[BookRow], width: int, style: Style = MM) -> list[ListRow]:
    """The contraction book, one row for each alloy, construction and axis."""
    return [(str(n), row("yes" if entry.jobs else "none", entry.said(style), width)) for n, entry in enumerate(book)]


def about_book(entry: BookRow, width: int, style: Style = MM) -> Text:
    """What one row of the book rests on."""
    out = Text()
    out.append(entry.said(style) + "\n", style="bold")
    for job in entry.jobs:
        out.append(job.said(style) + "\n")
    if entry.handbook is not None:
        h = entry.handbook
        between = f"{style.figure(100 * h.lo)} to {style.percent(h.hi, 2)}"
        out.append(f"handbook: {style.percent(h.a, 2)} ({between}), {h.rests_on}\n")
    out.append("percent of the casting: tool = casting × (1 + a)\n", style="italic")
    return out
