"""What the Gauges place says, as text: the list, one instrument, what it is good for, its checks, a bias."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from rich.text import Text

from inspect_tui.metrology.judge.verdict import Answer
from inspect_tui.metrology.typed.show import INCH, MM, Style, day_of
from inspect_tui.metrology.typed.words import capital
from inspect_tui.model.measuring import Instrument
from inspect_tui.report.draw.cells import chart_cells
from inspect_tui.report.draw.chart import CENTRE, Chart, Level, Series
from inspect_tui.report.words import clipped, fitted
from inspect_tui.shop.common.sizes import quantity_of, said_range
from inspect_tui.shop.common.trusted import Piece, allowed_mm
from inspect_tui.shop.gauges.checks import within
from inspect_tui.shop.gauges.instruments import (
    FAILED,
    NEVER,
    OUT_OF_USE,
    OVERDUE,
    STATE_SYMBOL,
    Fitness,
    InstrumentLine,
)

if TYPE_CHECKING:
    from inspect_tui.record.ask.gauges import LoggedCheck
    from inspect_tui.shop.gauges.findings import BiasFinding
    from inspect_tui.shop.gauges.pooled import Pooled, PooledOffset
    from inspect_tui.shop.gauges.routine import Routine
    from inspect_tui.shop.gauges.trace import Trace

SYMBOL = {Answer.CONFORMS: "✓", Answer.DOES_NOT_CONFORM: "✗", Answer.UNDECIDED: "?", Answer.NO_LIMITS: "○"}
BAD = (OVERDUE, NEVER, FAILED)  # needs a certificate
MARKED = (*BAD, OUT_OF_USE)


def off(instrument: Instrument, value: float, written: Style) -> str:
    """How much an instrument reads off, with its sign and unit; degrees and degC are the same in every style."""
    kind = quantity_of(instrument)
    return written.signed(value, 3) if kind == "length" else f"{MM.signed(value, 3, unit=False)} {MM.unit_word(kind)}"


def _own(line: InstrumentLine, written: Style) -> Style:
    """The style that the sizes of an instrument are written in."""
    return written if quantity_of(line.instrument) == "length" else MM


def list_row(line: InstrumentLine, width: int, written: Style = MM, mark: str = "") -> Text:
    """State symbol, label and, where something is wrong, a word: overdue, never, failed, or the bias.

    `mark`: that two benches said something of it apart, and it is to be decided.
    """
    word = line.state.split()[0] if line.state in MARKED else ""
    if line.means.bias is not None and line.state not in (FAILED, OUT_OF_USE):
        word = f"bias {_own(line, written).significant(line.means.bias.bias_mm, 2, unit=False, signed=True)}"
    word = " ".join(filter(None, (word, mark)))
    room = width - 3 - (len(word) + 1 if word else 0)
    label = clipped(line.instrument.label, room)
    style = "bold red" if line.state == FAILED else "dim" if line.state == OUT_OF_USE else "bold yellow" if word else ""
    return Text(f"{STATE_SYMBOL[line.state]} {label:<{room}} {word}", style=style, no_wrap=True)


def about(
    line: InstrumentLine,
    progress: Sequence[tuple[str, str, str]],
    checks: Sequence[LoggedCheck],
    width: int,
    written: Style = MM,
    pooled: Sequence[PooledOffset] = (),
) -> Text:
    """Everything about one instrument; `progress` are its studies as (title, design, how far), `pooled` what everyday
    readings say of it."""
    i, own = line.instrument, _own(line, written)
    out = Text()
    out.append(clipped(i.label, width) + "\n", style="bold")
    serial = f", no. {i.serial}" if i.serial else ""
    scale = f", graduated {MM.percent(i.rule_scale, 3)} oversize" if i.rule_scale else ""
    kind = i.kind.replace("_", " ")
    reads, step = said_range(i, written)
    out.append(f"{kind}{serial}: {reads}, reads {step}{scale}\n")
    style = "bold red" if line.state in (FAILED, OUT_OF_USE) else "bold yellow" if line.state in BAD else ""
    out.append(f"{STATE_SYMBOL[line.state]} {line.sentence}\n", style=style)
    out.append("\ncertificates\n", style="bold")
    for c in reversed(line.calibrations):
        as_found = "" if c.error_mm is None else f", as found {own.given(c.error_mm, unit=False, signed=True)}"
        until = f", due {c.due_on}" if c.due_on else ""
        out.append(
            clipped(f"  {c.done_on} {c.result}{until}: U {own.given_u(c.u95_mm)}{as_found}; {c.reference}", width)
            + "\n"
        )
    if not line.calibrations:
        out.append("  none yet: c adds one\n", style="dim")
    out.append("\nchecks with a reference piece\n", style="bold")
    for logged in list(reversed(checks))[:3]:
        error = logged.check.value - logged.check.reference_mm
        day = day_of(logged.at_us, logged.tz_min)
        good = within(logged, line.then(day))
        word = "within its certificate" if good else "NOT within its certificate"
        word = word if width >= 60 else "good" if good else "NOT good"
        out.append(
            clipped(
                f"  {day} {logged.check.reference}: {own.signed(error, 3, unit=False)}, {word} ({logged.by})", width
            )
            + "\n"
        )
    if not checks:
        out.append("  none yet: k makes one before work\n", style="dim")
    out.append("\ngauge studies\n", style="bold")
    for title, design, far in progress:
        out.append(clipped(f"  {title}: {design}, {far}", width) + "\n")
    if not progress:
        out.append("  none yet: n plans one\n", style="dim")
    if pooled:
        out.append("\neveryday readings over all sizes\n", style="bold")
        for offset in pooled:
            out.append(f"  {offset.said(own, short=True)}: b traces it back\n", style="bold yellow")
    if line.biases:
        out.append("\nbiases on record (readings stay as they are)\n", style="bold")
        for b in line.biases:
            off_by = own.significant(b.bias_mm, signed=True) if b.bias_mm else "taken back:"
            until = f"to {b.to_on}" if b.to_on else "on"
            out.append(clipped(f"  {off_by} from {b.from_on} {until}: {b.why}", width) + "\n")
        if any(b.bias_mm for b in line.biases):
            out.append("  x takes one back that does not hold\n", style="dim")
    return out


def good(ranked: Sequence[Fitness], title: str, width: int, written: Style = MM) -> Text:
    """Features by 2 guard / band, the best first."""
    out = Text(no_wrap=True)
    out.append(clipped(title, width) + "\n", style="bold")
    if not ranked:
        out.append("It can read none of these sizes: look at its range and unit.\n")
        return out
    never = sum(not f.can_conform for f in ranked)
    out.append(clipped("2 guard / band; from 100 % on it can never say conforms", width) + "\n", style="dim")
    if never:
        out.append(f"{never} of {len(ranked)} sizes are too fine for it\n", style="bold yellow")
    wide = 10 if width >= 70 else 5
    name = max(width - 7 - wide - 13, 8)
    for f in ranked:
        feature = f.sizes.feature
        if f.share is None:
            limited = f.sizes.band.lower is not None or f.sizes.band.upper is not None
            tail = "no limits" if not limited else "one limit" if f.can_conform else f.sentence
            bar = " " * wide
        else:
            full = min(round(f.share * wide), wide)
            bar = "█" * full + "·" * (wide - full)
            tail = f"{written.percent(f.share):>6}" + ("" if f.can_conform else " never")
        style = "" if f.can_conform else "bold yellow"
        out.append(f"{feature.balloon:<7}{fitted(feature.name, name - 1):<{name}}{bar} {tail}\n", style=style)
    return out


def checks_text(
    line: InstrumentLine, checks: Sequence[LoggedCheck], sentence: str, width: int, height: int, written: Style = MM
) -> Text:
    """The errors on each reference piece over time, with what the certificate allows, and what they come to."""
    out = Text()
    if not checks:
        out.append("No check with a reference piece yet: k makes one.\n")
        return out
    pieces: dict[tuple[str, float], list[LoggedCheck]] = {}
    for logged in checks:
        pieces.setdefault((logged.check.reference, logged.check.reference_mm), []).append(logged)
    (name, size), most = max(pieces.items(), key=lambda item: len(item[1]))
    scale = 1.0 if _own(line, written).unit == "mm" else 1.0 / INCH
    allowed = allowed_mm(line.means, Piece(name, size, most[-1].check.u95_mm)) * scale
    errors = [(logged.check.value - size) * scale for logged in most]
    known = line.means.bias.bias_mm * scale if line.means.bias is not None else 0.0
    middle = "known bias" if known else "truth"
    levels = (Level(known + allowed, "+allowed"), Level(known - allowed, "-allowed"), Level(known, middle, CENTRE))
    first, last = (day_of(most[i].at_us, most[i].tz_min) for i in (0, -1))
    picture = Chart(
        readings=Series(range(1, len(errors) + 1), errors),
        title=f"off {name}, {first} to {last}",
        across="check",
        levels=levels,
        signals=tuple(
            (i, e)
            for i, (e, logged) in enumerate(zip(errors, most, strict=True), start=1)
            if not within(logged, line.then(day_of(logged.at_us, logged.tz_min)))
        ),
    )
    out.append_text(chart_cells(picture, width, max(min(height - 6, 16), 8)))
    out.append("\n" + (sentence or "working it out …") + "\n")
    if len(pieces) > 1:
        others = ", ".join(f"{n} ({len(read)})" for (n, s), read in pieces.items() if (n, s) != (name, size))
        out.append(f"other pieces: {others}\n", style="dim")
    return out


def bias(
    line: InstrumentLine,
    findings: Sequence[BiasFinding],
    at: int,
    traced: Trace | None,
    width: int,
    written: Style = MM,
) -> Text:
    """One finding with the verdicts that it changes, and how to confirm it."""
    out = Text()
    if not findings:
        out.append("Checks, certificates and everyday readings show no bias that is not on record already.\n")
        out.append("t types one that came to light otherwise.\n", style="dim")
        return out
    f, own = findings[at], _own(line, written)
    if len(findings) > 1:
        out.append(f"{at + 1} of {len(findings)} (b shows the next)\n", style="dim")
    out.append(
        f"bias {off(line.instrument, f.bias, written)} (u {own.uncertainty(f.u, 3, unit=False)}), {f.from_on} to "
        f"{f.to_on or 'now'}\n",
        style="bold",
    )
    out.append(f"{f.why}\n")
    if traced is None:
        out.append("looking through the readings …\n", style="dim")
        return out
    out.append(traced.sentence + "\n", style="bold yellow" if traced.worse else "bold")
    out.append("y records the bias as a fact; the readings stay as they are\n", style="dim")
    for change in traced.changes:
        row = (
            f"{SYMBOL[change.before]} → {SYMBOL[change.after]}  {change.sizes.feature.balloon:<6}{change.on:<15} "
            f"{own.length(change.value, 3, unit=False):>8} → {own.length(change.corrected, 3, unit=False):<8} "
            f"{change.before} → {change.after}"
        )
        out.append(clipped(row, width) + "\n", style="bold red" if change.before == Answer.CONFORMS else "")
    return out


def daily(
    routine: Routine | None, pooled: Pooled | None, wrong: str, width: int, written: Style = MM, chosen: bytes = b""
) -> Text:
    """What everyday readings say of instruments and people: over all sizes at once, then job by job."""
    out = Text()
    out.append("what everyday readings say, without a study\n", style="bold")
    if pooled is not None:
        out.append("over all sizes of tools and castings\n", style="dim")
        for offset in pooled.named:
            out.append(f"• {offset.said(written)}\n", style="bold yellow")
            if offset.hand.of_id == chosen:
                out.append("  b traces it back over the readings; y then records it as a bias\n", style="dim")
        if not pooled.named:
            out.append(f"{capital(pooled.summary(written))}.\n")
        out.append("\n")
    if routine is None:
        out.append(wrong or "looking through the readings …", style="dim" if not wrong else "bold red")
        return out
    if pooled is not None:
        out.append("size by size in the open job\n", style="dim")
    if not routine.sentences:
        out.append("Nothing stands out, or there are too few readings to tell.\n")
    for sentence in routine.sentences:
        out.append("• " + sentence + "\n")
    quiet = [between.bias.sentence for between in routine.biases if not between.bias.differs]
    for sentence in quiet:
        out.append("· " + sentence + "\n", style="dim")
    return out
