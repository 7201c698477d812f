"""The first article in a terminal: features, causes, cut list, stock bands and samplings side by side, as rich Text.

Symbols stand beside words, so everything reads without colour. Texts of people are never read as markup.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from rich.text import Text

from inspect_tui.metrology.causes.sentences import none_named
from inspect_tui.metrology.typed.show import MM, Style, count, number
from inspect_tui.report.words import clipped
from inspect_tui.shop.common.geometry.tolerances import WORDS
from inspect_tui.shop.common.standing import Standing
from inspect_tui.shop.first_article.castings.sampling import SYMBOL
from inspect_tui.shop.first_article.causes import PlanAnswer
from inspect_tui.shop.first_article.findings import (
    CauseLine,
    Causes,
    CutLine,
    Cuts,
    PredictedLine,
    QuestionLine,
    Stock,
    StockFace,
)
from inspect_tui.shop.first_article.result import FeatureLine, FirstArticle, LoopLine, PromiseLine
from inspect_tui.shop.first_article.side_by_side import SideBySide
from inspect_tui.shop.first_article.signed.dispositions import decision_words, found_words
from inspect_tui.shop.first_article.taken_over import CutWork

STYLE = {
    Standing.CONFORMS: "green",
    Standing.DOES_NOT_CONFORM: "bold red",
    Standing.UNDECIDED: "bold yellow",
    Standing.TO_MEASURE: "dim",
    Standing.NOT_MEASURABLE: "dim",
    Standing.NO_LIMITS: "",
    Standing.IN_QUESTION: "bold yellow",
}
LIKELY_HOME = 0.95  # a chance from which a size needs no word of its own
WORTH_BITS = 0.01  # what a measurement must tell to be worth the walk; less shows as 0.00
SHORT = {
    Standing.DOES_NOT_CONFORM: "out",
    Standing.CONFORMS: "in",
    Standing.UNDECIDED: "undecided",
    Standing.TO_MEASURE: "to measure",
    Standing.NOT_MEASURABLE: "not measurable",
    Standing.NO_LIMITS: "no limits",
    Standing.IN_QUESTION: "in question",
}


def wrapped(text: str, width: int, indent: str = "", first: str | None = None) -> list[str]:
    """Lines of at most `width`, hanging under `first`."""
    from textwrap import wrap

    start = indent if first is None else first
    return wrap(text, max(width, 20), initial_indent=start, subsequent_indent=" " * len(start)) or [start]


def _add(out: Text, text: str, width: int, first: str = "", style: str = "") -> None:
    for line in wrapped(text, width, first=first):
        out.append(line + "\n", style=style)


# ------------------------------------------------------------------------------ the features
def head(fa: FirstArticle) -> str:
    """One line of identity."""
    i = fa.identity
    poured = f", poured {i.poured_on}" if i.poured_on else ""
    return f"{i.job} · {i.drawing} rev {i.revision} · {i.round}: {len(i.serials)} castings{poured}"


def head_text(fa: FirstArticle) -> Text:
    """Identity, and the answer with its counts."""
    out = Text(head(fa) + "\n", style="bold")
    raw, finished = (", ".join(f"{n} {SYMBOL[a]} {a}" for a, n in counts) for counts in (fa.counts, fa.counts_finished))
    said = f"{raw}; finished: {finished}" if finished else raw
    return out.append(f"{SYMBOL[fa.answer]} {fa.answer}: {said}\n\n", style=STYLE[fa.answer])


def feature_cells(line: FeatureLine, style: Style = MM) -> list[str]:
    """One feature as the cells of a table: balloon, name, mean, deviation, limits, verdict, a symbol a casting."""
    castings = "".join(SYMBOL[cell.answer] for cell in line.cells)
    own = style.of(line.unit)
    limits = "..".join(own.length(limit, unit=False) for limit in (line.lower, line.upper))
    mean, deviation = own.length(line.mean, unit=False), own.signed(line.deviation, unit=False)
    answer = f"{SYMBOL[line.answer]} {line.answer}"
    balloon = line.balloon if line.state == "raw" else f"{line.balloon} {line.state}"
    return [balloon, line.name, mean, deviation, limits, answer, castings]


def questions_text(questions: Sequence[QuestionLine], loops: Sequence[LoopLine], width: int) -> Text:
    """What to look at before anything is concluded."""
    out = Text()
    open_ones = [loop.sentence for loop in loops if loop.open and loop.sentence]
    if not questions and not open_ones:
        return out
    out.append("look at first\n", style="bold")
    for question in questions:
        _add(out, question.sentence, width, "  ! ", "yellow")
    for sentence in open_ones:
        _add(out, sentence, width, "  ⟳ ", "yellow")
    closed = sum(not loop.open for loop in loops)
    out.append(f"  {closed} of {len(loops)} loops close\n" if loops else "", style="dim")
    return out


# ------------------------------------------------------------------------------ decisions and names
def signed_text(article: FirstArticle, width: int, style: Style = MM) -> Text:
    """What does not conform with what was decided, the geometrical tolerances, and who checked and released it."""
    out = Text()
    for sentence in article.statement:
        _add(out, sentence, width)
    out.append("what does not conform\n" if article.dispositions else "", style="bold")
    for line in sorted(article.dispositions, key=lambda one: one.closed):
        balloon = line.balloon if line.state == "raw" else f"{line.balloon} {line.state}"
        found = line.looked or found_words(line.found, line.found_value, line.found_u95, line.unit, style)
        what = decision_words(line.decision, line.quantity, line.until_on, line.closed)
        said = f"{balloon} on {line.serial}: {found}; {what}" + (f" ({line.by}: {line.why})" if line.by else "")
        if line.again:
            said += f"; again {found_words(line.again, line.again_value, line.again_u95, line.unit, style)}"
        _add(out, said, width, "  ✓ " if line.closed else "  ! ", "" if line.closed else "yellow")
    out.append("geometrical tolerances\n" if article.geometry else "", style="bold")
    for form in article.geometry:
        sign = "⌀ " if form.round else ""
        about = f", about {form.datums}" if form.datums else ""
        _add(out, f"{form.balloon} {form.name}: {WORDS[form.what]} {sign}{style.length(form.tolerance)}{about}", width)
        for cell in form.cells:
            told = cell.method or f"{cell.answer}  {cell.reason or style.plus_minus(cell.value, cell.U)}"
            _add(out, f"{cell.serial}: {told}", width, f"  {SYMBOL[cell.answer]} ", STYLE[cell.answer])
    for sign_ in article.signs:
        stands = "" if sign_.stands else ": something changed since, it does not stand"
        named = sign_.name or sign_.initials
        _add(out, f"{sign_.act} by {named} on {sign_.on}{stands}", width, "", "bold" if sign_.stands else "yellow")
    return out


# ------------------------------------------------------------------------------ causes
def causes_text(causes: Causes | None, width: int = 80, style: Style = MM) -> Text:
    """Named causes, what cannot be told, contraction, rivals, what to measure next."""
    out = Text()
    if causes is None:
        out.append("Nothing to explain: no length counts yet, or the drawing does not say who makes which face.\n")
        return out
    if not causes.found:
        out.append(none_named(bool(causes.cannot_tell or causes.left_over)) + "\n", style="bold")
    for cause in causes.found:
        mark = "▣ " if cause.tool else "◇ "
        _add(out, cause.words, width, mark, "bold" if cause.tool else "")
        _add(out, cause_figures(cause, style), width, "  ", "dim")
    for cause in causes.cannot_tell:
        _add(out, cause.words, width, "? ", "yellow")
    for odd in causes.odd:
        _add(out, odd.sentence, width, "! ", "yellow")
    for balloon, mm, u in causes.left_over:
        kept = f"{style.signed(mm, unit=False)} (u {style.uncertainty(u, unit=False)})"
        _add(out, f"{balloon} keeps {kept} that no cause explains.", width, "· ")
    out.append("\n")
    out.append("contraction on these castings, of the casting\n", style="bold")
    for c in causes.contraction:
        contraction = f"{style.percent(c.found, 2)} ± {style.percent(2 * c.u, 2)}"
        out.append(f"  {c.axis.upper()}  {contraction}  (laid out with {style.percent(c.plan, 2)})\n")
    if causes.rivals:
        out.append("rival explanations\n", style="bold")
        for rival in causes.rivals[:5]:
            _add(out, ", ".join(rival.causes) or "nothing at all", width, f"  {style.percent(rival.probability):>5}  ")
    worth = [n for n in causes.measure_next if n.bits >= WORTH_BITS]
    if worth:
        told = ", ".join(f"{n.balloon} ({style.figure(n.bits)} bit)" for n in worth[:4])
        _add(out, f"measure next: {told}", width, "", "bold")
    for left in causes.left_out[:6]:
        _add(out, f"left out: {left}", width, "  ", "dim")
    if len(causes.left_out) > 6:
        out.append(f"  and {len(causes.left_out) - 6} more readings left out\n", style="dim")
    how = "every combination" if causes.exact else "the likeliest combinations"
    out.append(
        f"▣ a tool  ◇ a check, not a cut. {number(causes.explanations)} explanations weighed ({how}).\n", style="dim"
    )
    return out


def cause_figures(cause: CauseLine, style: Style = MM) -> str:
    """Size, interval and probability of a cause in one line."""
    if cause.unit == "1":
        low = style.figure(100 * cause.low, 3, signed=True)
        size, high = (style.percent(share, 3, signed=True) for share in (cause.size, cause.high))
        shown = f"{size} ({low} to {high})"
    else:
        low, high = (style.signed(mm, unit=False) for mm in (cause.low, cause.high))
        shown = f"{style.signed(cause.size)} ({low} to {high})"
    told = f"{shown}, probability {style.percent(cause.probability)}"
    if cause.by_casting:
        shares = ", ".join(
            f"{serial} {style.percent(v, 2, signed=True) if cause.unit == '1' else style.signed(v, unit=False)}"
            for serial, v, _ in cause.by_casting
        )
        told += f"; by casting: {shares}"
    return told


def plan_text(plan: PlanAnswer, width: int) -> Text:
    """What a measuring plan can and cannot tell."""
    out = Text()
    these = "this feature" if len(plan.chosen) == 1 else f"these {count(len(plan.chosen), 'feature')}"
    out.append(f"with {these}\n", style="bold")
    if not plan.confused and not plan.unseen:
        out.append("  every cause of a believable size can be told from every other\n")
    for cause, other in plan.confused[:12]:
        _add(out, f"{cause} looks like {other}", width, "  ≈ ")
    if len(plan.confused) > 12:
        out.append(f"  and {len(plan.confused) - 12} more pairs\n", style="dim")
    for cause in plan.unseen:
        _add(out, f"{cause} would not show", width, "  – ", "dim")
    if plan.add:
        _add(out, f"fewest to add: {', '.join(plan.add)}", width, "", "bold")
        if plan.open_after:
            _add(out, f"still open then: {', '.join(plan.open_after)}", width, "  ", "dim")
    elif plan.confused or plan.unseen:
        out.append("no other feature of the drawing would help\n", style="bold")
    return out


# ------------------------------------------------------------------------------ cuts
def cuts_text(
    cuts: Cuts | None, promises: Sequence[PromiseLine], work: Sequence[CutWork], width: int = 80, style: Style = MM
) -> Text:
    """The cut list: tool words first, casting words under them; checks; what is left alone; what was promised."""
    out = Text()
    if cuts is None:
        out.append("Nothing to cut for: no length counts yet, or the drawing does not say who makes which face.\n")
        return out
    if not cuts.cuts:
        out.append("Nothing to cut.\n", style="bold")
    else:
        out.append("cut and add are the tool; metal on and metal off are the casting\n", style="italic")
    for cut in cuts.cuts:
        out.append_text(cut_line(cut, width))
    by_name = {p.balloon: p for p in cuts.predicted}
    made = set(cuts.ticked)
    moving = [
        by_name[b] for b in dict.fromkeys(b for c in cuts.cuts if c.number in made for b in c.moves) if b in by_name
    ]
    if moving:
        numbers = ", ".join(map(str, cuts.ticked))
        said = f"forecast with cut{'s' if len(made) > 1 else ''} {numbers} made: mean of the castings → next casting"
        _add(out, f"{said} ± 2 u, {style.word}, and its chance to be within limits", width, "", "bold")
        for p in moving:
            out.append_text(predicted_row(p, style))
    if cuts.checks:
        out.append("checks, no cut\n", style="bold")
        for check in cuts.checks:
            _add(out, check, width, "  ◇ ")
    if cuts.leave_alone:
        _add(out, f"leave alone: {', '.join(cuts.leave_alone)}", width, "", "bold")
    if work:
        # what was taken over stands in the record, and reads there as it was written down for everybody
        out.append("taken over\n" if style.word == "mm" else "taken over, in mm as recorded\n", style="bold")
        for job in work:
            _add(out, f"{job.round}, {job.tool}: {job.words} ({job.done or 'to do'})", width, "  ↳ ")
    out.append_text(promises_text(promises, style))
    return out


def cut_line(cut: CutLine, width: int) -> Text:
    """One cut with its number, its interval and what else moves."""
    out = Text()
    state = "taken over" if cut.accepted else "needed" if cut.needed else "not needed to bring all features home"
    out.append(f"{cut.number:>2}  {cut.tool}", style="bold")
    out.append(f"  {state}{'' if cut.sure else ', which face is not sure'}\n", style="dim")
    _add(out, cut.words, width, "      ", "bold")
    _add(out, f"casting: {cut.casting_words}", width, "      ")
    if cut.moves:
        riding = f" ({', '.join(cut.rides)} comes along)" if cut.rides else ""
        _add(out, f"moves {', '.join(cut.moves)}{riding}", width, "      ", "dim")
    return out


def predicted_row(p: PredictedLine, style: Style = MM) -> Text:
    """Before and after of one feature, with the chance that a casting is within its limits: a forecast, no verdict."""
    chances = f"   {style.chance(p.p_before):>5} → {style.chance(p.p_after):>5}" if p.p_after is not None else ""
    before, after = (style.length(mm, unit=False) for mm in (p.before, p.after))
    u = style.uncertainty(2 * p.u, unit=False)
    return Text(f"  {p.balloon:<6}{before:>9} → {after:>9} ± {u}{chances}\n", no_wrap=True)


def promises_text(promises: Sequence[PromiseLine], style: Style = MM) -> Text:
    """Promised against got."""
    out = Text()
    if not promises:
        return out
    out.append(f"promised and got, {style.word} on the casting\n", style="bold")
    for p in promises:
        before, promised = (style.length(mm, unit=False) for mm in (p.before, p.promised))
        u, got = style.uncertainty(2 * p.u_promised, unit=False), style.length(p.got, unit=False) or "–"
        mark = {"as promised": "✓", "not as promised": "✗"}.get(p.word, "·")
        off = "" if p.allowed is None else f" (may be {style.uncertainty(p.allowed, unit=False)} off)"
        out.append(
            f"  {p.balloon:<6}{p.round}: {before:>9} → promised {promised:>9} ± {u}, got {got:>9}  {mark} {p.word}"
            f"{off}\n"
        )
        if p.left_out:
            out.append(f"        without casting {', '.join(p.left_out)}: its mould is named as wrong\n", style="dim")
    return out


def forecast_words(cuts: Cuts, style: Style = MM) -> str:
    """The forecast with the cuts ticked in one sentence: what is likeliest to be out of its limits."""
    chances = sorted((p.p_after, p.balloon) for p in cuts.predicted if p.p_after is not None)
    if not cuts.ticked or not chances:
        return ""
    low = [f"{balloon} {style.chance(p)}" for p, balloon in chances[:4] if p < LIKELY_HOME]
    numbers = ", ".join(map(str, cuts.ticked))
    if not low:
        return f"With {numbers} made the next casting is likely within all its limits."
    return f"With {numbers} made, chance to be within limits: {', '.join(low)}; all others are likely within."


# ------------------------------------------------------------------------------ stock
def stock_text(stock: Stock, width: int = 80, style: Style = MM) -> Text:
    """Each casting's sentence and its faces as bands: required, what is there, what is left when it is set up."""
    out = Text()
    for casting in stock.castings:
        mark, colour = ("✓ ", "bold") if casting.cleans_up else ("✗ ", "bold red")
        _add(out, casting.sentence, width, mark, colour)
        if any(abs(mm) >= 0.005 for _, mm in casting.targets):
            raised = [
                f"{name} {style.signed(mm, unit=False)}" if abs(mm) >= 0.005 else f"{name} stays"
                for name, mm in casting.targets
            ]
            _add(out, f"datum targets, {style.word} raised: {', '.join(raised)}", width, "  ", "bold")
        most = max((f.after for f in casting.faces), default=1.0)
        for face in casting.faces:
            out.append_text(stock_bar(face, most, width, style))
    for told in stock.not_told[:8]:
        _add(out, f"not told: {told}", width, "  ", "dim")
    if len(stock.not_told) > 8:
        out.append(f"  and {len(stock.not_told) - 8} more\n", style="dim")
    return out


def stock_bar(face: StockFace, most: float, width: int, style: Style = MM) -> Text:
    """One face: `│` finished face, `┊` what is required, `█` stock after the set-up, `▒` its uncertainty."""
    out = Text(no_wrap=True)
    named = 26 + max(width - 80, 0) // 2  # of what a wide page has more, names and bars get half each
    name = clipped(face.name, named).ljust(named)
    tail = f" {style.length(face.after):>9}" + (f" binds {style.percent(face.share)}" if face.share > 1e-6 else "")
    room = max(width - 25 - named, 10)
    scale = room / max(most * 1.1, face.required * 1.2, 0.1)
    bar = ["█"] * max(round(face.after * scale), 0)
    sure = max(round((face.after - 2 * face.u) * scale), 0)
    bar = [c if n < sure else "▒" for n, c in enumerate(bar)]
    bar += [" "] * (room - len(bar))
    at = min(round(face.required * scale), room - 1)
    bar[at] = "┊"
    out.append(f"  {name}│{''.join(bar[:room])}", style="" if face.after >= face.required else "bold red")
    out.append(tail + "\n")
    return out


# ------------------------------------------------------------------------------ rounds
def rounds_text(
    labels: Sequence[str], rows: Iterable[SideBySide], width: int = 80, changed: bool = False, style: Style = MM
) -> Text:
    """Deviation of every feature in each round, with its verdict."""
    out = Text(no_wrap=True)
    if not labels:
        out.append("No sampling has readings yet.\n")
        return out
    column = 12
    name_width = max(width - 7 - column * len(labels), 10)
    out.append(" " * (7 + name_width) + "".join(f"{label:>{column}}" for label in labels) + "\n", style="bold")
    for row in rows:
        answers = {went.answer for went in row.rounds}
        if changed and answers <= {Standing.CONFORMS}:
            continue
        out.append(f"{row.balloon:<7}", style="bold")
        out.append(clipped(row.name, name_width - 1).ljust(name_width))
        for went in row.rounds:
            shown = f"{style.signed(went.deviation, unit=False)} {SYMBOL[went.answer]}".strip()
            out.append(f"{shown:>{column}}", style=STYLE[went.answer])
        out.append("\n")
    out.append(
        f"deviation of the mean from the as-cast size, {style.word}; readings in question left out\n", style="dim"
    )
    return out
