"""What the Bench says, as text: header, list, the feature to measure now, the last line logged, earlier readings."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence

from rich.text import Text

from inspect_tui.frozen import replace
from inspect_tui.metrology.typed.show import MM, Style, on_rule, when
from inspect_tui.model.words import Id
from inspect_tui.record.ask.readings import LoggedReading
from inspect_tui.report.draw.band import Lane, band
from inspect_tui.report.draw.cells import band_cells
from inspect_tui.report.words import clipped, fitted, roomy
from inspect_tui.shop.bench.line import Bench
from inspect_tui.shop.bench.outcomes import Logged, Task
from inspect_tui.shop.common.corrections import NOTHING, Correction
from inspect_tui.shop.common.judging import Judged, shown
from inspect_tui.shop.common.sizes import FINISHED, Sizes, chain_words, unit_of
from inspect_tui.shop.common.standing import Standing
from inspect_tui.shop.together.marks import Marks, on
from inspect_tui.tui.bench.big_digits import big_digits

SYMBOL = {
    Standing.CONFORMS: "✓",
    Standing.DOES_NOT_CONFORM: "✗",
    Standing.UNDECIDED: "?",
    Standing.IN_QUESTION: "!",
    Standing.NO_LIMITS: "○",
    Standing.TO_MEASURE: "·",
}
STYLE = {
    Standing.CONFORMS: "bold green",
    Standing.DOES_NOT_CONFORM: "bold red",
    Standing.UNDECIDED: "bold yellow",
    Standing.IN_QUESTION: "bold yellow",
    Standing.NO_LIMITS: "bold",
    Standing.TO_MEASURE: "dim",
}


Rows = dict[Id, tuple[Task, tuple[object, ...], Text]]  # of the list, as they were drawn, by feature


def header(bench: Bench, width: int, apart: Sequence[str] = ()) -> Text:
    """Job and subject on the left; person, instrument and its uncertainty on the right.

    `apart`: that two benches said something apart of what is at hand, with less and less words.
    """
    left = f" {bench.job.number} · rev {bench.revision.rev} · {bench.subject.label}"
    if bench.state == FINISHED:
        left += "  FINISHED"
    if bench.round is not None:
        left += f"  ROUND {bench.round}"
    if bench.on_date is not None:
        left += f"  DAY {bench.on_date}"
    if bench.record.read_only:
        left += "  READ ONLY"
    person = bench.person.initials if bench.person else "who? F3"
    gauge = "instrument? F4"
    if bench.means:
        gauge = f"{bench.means.instrument.label}  {bench.means.said_u95(bench.style)}"
        if bench.means.bad:
            gauge = f"✗ {gauge} {'OUT OF USE' if bench.means.out_of_use else 'FAILED'}"
        elif bench.means.overdue_since:
            gauge += " OVERDUE"
    if bench.work_c is not None:
        gauge += f"  {bench.style.temperature(bench.work_c)}"
        gauge += "" if bench.instrument_c is None else f", gauge {bench.style.figures(bench.instrument_c)}"
    right = f"{person} · {gauge} "
    if apart:
        room = width - len(left) - len(right) - 3
        left += f"  {roomy(apart, room)}"
    gap = max(width - len(left) - len(right), 1)
    return Text(clipped(left + " " * gap + right, width), style="reverse", no_wrap=True)


def worklist(
    bench: Bench,
    width: int,
    height: int,
    blind: bool = False,
    drawn: Rows | None = None,
    marks: Marks | None = None,
) -> list[Text]:
    """A window of the list of what to measure, the current one marked; symbol and word, not colour alone.

    `blind` shows only what is measured and what is not, so that measuring again is not led by the size before. `drawn`
    keeps the rows, so that those that are as they were are not drawn again with each reading. `marks`: what two benches
    said apart; the size that it is of has the sign.
    """
    tasks = bench.tasks
    done = len(tasks) - bench.to_do
    rows = max(height - 1, 1)
    waiting = {line.balloon for line in bench.waiting}
    top = min(max(bench.index - rows // 2, 0), max(len(tasks) - rows, 0))
    kept = {} if drawn is None else drawn
    out = [Text(clipped(f"{done} of {len(tasks)} measured", width), style="bold", no_wrap=True)]
    for index in range(top, min(top + rows, len(tasks))):
        task = tasks[index]
        keys = on(bench.subject.key, task.feature.id), task.feature.id
        sign = marks.sign(*keys) if marks is not None else ""
        how = index == bench.index, task.feature.balloon in waiting, blind, width, bench.style, sign
        before = kept.get(task.feature.id)
        if before is None or before[0] is not task or before[1] != how:
            before = kept[task.feature.id] = task, how, _row(task, *how)
        out.append(before[2])
    return out


def _row(task: Task, current: bool, waits: bool, blind: bool, width: int, style: Style, sign: str = "") -> Text:
    again = task.mark == "again" or task.due
    symbol = "↻" if again else SYMBOL[task.state]
    colour = "bold cyan" if again else STYLE[task.state]
    if blind and task.state != Standing.TO_MEASURE and not again:
        symbol, colour = "•", ""
    if waits:
        symbol, colour = "…", "bold yellow"
    line = Text(no_wrap=True)
    line.append("▶" if current else " ", style="bold")
    line.append(symbol, style=colour)
    value = shown(task.sizes, task.last, _short(style, width)) if task.last is not None and not blind else ""
    value = f"{sign} {value}".rstrip() if sign else value
    room = width - 4 - len(value)
    balloon = task.feature.balloon
    line.append(f" {balloon} {fitted(task.feature.name, room - 2 - len(balloon))}".ljust(room + 1))
    line.append(value + " ", style=colour if value else "")
    if current:
        line.stylize("reverse")
    return line


def _short(style: Style, width: int) -> Style:
    """Decimal inches for fractions where a list has no room for these."""
    return replace(style, unit="in") if style.unit == "fraction" and width < 40 else style


def now(bench: Bench, width: int, show_target: bool, earlier: Sequence[float], where: str = "") -> Text:
    """The feature to measure now: what it is, its sizes and its band, and where it is taken."""
    task = bench.task
    if task is None:
        return Text("There is nothing to measure on this tool yet. F10 goes to the jobs.", style="bold")
    feature, style = task.feature, bench.style
    place = f"{bench.index + 1} of {len(bench.tasks)}"
    axis = "" if feature.axis == "none" else f", along {feature.axis.upper()}"
    title = f"{feature.balloon}  {fitted(feature.name + axis, width - len(place) - 3 - len(feature.balloon))}"
    out = Text(no_wrap=False)
    out.append(title, style="bold")
    out.append(" " * max(width - len(title) - len(place), 1) + place + "\n", style="")
    if not feature.nominal_known:
        out.append("nobody knows this size yet: it is what you read\n", style="italic")
        return out.append(clipped(where or feature.note or "", 2 * width))  # it has two lines here
    if not show_target:
        out.append("the size wanted stays hidden until the reading is in (F5 shows it)\n", style="italic")
        return out.append(clipped(where or feature.note or "", 2 * width))
    out.append(chain_words(task.sizes, style) + _on_the_rule(bench, task) + "\n")
    size = task.sizes
    if size.band.lower is None and size.band.upper is None:
        out.append(f"no limits stated; make {style.size(size.target, feature.quantity, unit=True)}\n")
        return out.append(clipped(where, width))
    drawn = band(size.band.lower, size.band.upper, size.target, [Lane(others=tuple(earlier))])
    out.append_text(band_cells(drawn, width, figure=_limits(size, style)))
    return out.append("\n" + clipped(where, width))


def _as_big_as_fits(value: str, width: int) -> list[str]:
    """Three rows for a value: big, or as it is where the verdict beside it would be cut off otherwise."""
    rows = big_digits(value)
    return rows if len(rows[0]) <= width else [value, *2 * [" " * len(value)]]


def _limits(sizes: Sizes, style: Style) -> Callable[[float], str]:
    own = style.of(sizes.feature.quantity)
    return lambda size: own.length(size, unit=False)


def _on_the_rule(bench: Bench, task: Task) -> str:
    """What the target reads on the contraction rule at hand."""
    instrument = bench.means.instrument if bench.means else None
    if instrument is None or not instrument.rule_scale or unit_of(task.feature) != "mm":
        return ""
    if instrument.unit == "in":
        return f"; on this rule {on_rule(task.sizes.target, instrument.rule_scale)}"
    return f"; on this rule {bench.style.size(task.sizes.target / (1.0 + instrument.rule_scale))}"


def last(outcome: Logged, width: int, voided: bool = False, style: Style = MM, where: str = "") -> Text:
    """The line just logged: the size big, the verdict in a word, the cut and where it is, the casting it gives."""
    judged = outcome.judged
    size = judged.sizes
    feature = size.feature
    answer = judged.standing
    colour = STYLE[answer]
    out = Text()
    mean = f", mean of {len(judged.values)}" if len(judged.values) > 1 else ""
    name = fitted(feature.name, width - len(f"last: {feature.balloon} {mean}"))
    out.append(clipped(f"last: {feature.balloon} {name}{mean}", width) + "\n", style="bold")
    says = _says(outcome, voided, style)
    rows = _as_big_as_fits(shown(size, judged.value, style), width - 2 - len(says[0][0]))
    for row, (text, text_style) in zip(rows, says, strict=True):
        out.append(row + "  ", style="strike dim" if voided else colour)
        out.append(clipped(text, width - len(row) - 2) + "\n", style=text_style)
    if not voided and feature.nominal_known:
        out.append_text(
            band_cells(
                band(size.band.lower, size.band.upper, size.target, [_lane(judged)]),
                width,
                figure=_limits(size, style),
                mark_style=colour,
            )
        )
        out.append("\n")
        if judged.cut:
            out.append(judged.cut.words + "\n", style="bold")
            if where:
                out.append(clipped(where, width) + "\n")  # seen while it is cut: the list has gone on by then
            if judged.cut.casting_words:
                out.append(judged.cut.casting_words + "\n")
        if judged.casting:
            out.append(
                f"the casting will be {shown(size, judged.casting.value, style)} "
                f"± {style.uncertainty_of(2 * judged.casting.u, feature.quantity)}"
                + (f": {judged.casting_verdict.answer}" if judged.casting_verdict else "")
                + "\n"
            )
        if judged.advice:
            out.append(judged.advice + "\n", style="yellow")
        for remark in (*judged.told, *outcome.remarks):
            out.append(remark + "\n", style="italic")
    return out


def _lane(judged: Judged) -> Lane:
    """The reading in its band; of repeats that disagree each, for their mean says nothing."""
    return Lane(others=judged.corrected) if judged.question else Lane(judged.value, judged.budget.U)


def _says(outcome: Logged, voided: bool, style: Style) -> list[tuple[str, str]]:
    judged = outcome.judged
    if voided:
        return [("taken back", "bold"), ("struck out, still in the record", ""), ("", "")]
    answer = judged.standing
    chance = judged.verdict.p_conform
    within = "nothing to judge it by" if chance is None else f"within limits: {style.nearly(chance)}"
    if judged.question:
        return [
            (f"{SYMBOL[answer]} {answer.upper()}", STYLE[answer]),
            ("its repeats disagree", ""),
            ("measure it again", ""),
        ]
    quantity = judged.sizes.feature.quantity
    u = style.uncertainty_of(judged.budget.U, quantity, 3)
    return [
        (f"{SYMBOL[answer]} {answer.upper()}", STYLE[answer]),
        (within, ""),
        (f"U {u} (k {style.figure(judged.budget.k)})", ""),
    ]


def recent(
    readings: Sequence[LoggedReading],
    task: Task,
    width: int,
    most: int,
    today: str,
    style: Style = MM,
    bad: Collection[Id] = (),
    made: Mapping[Id, Correction] | None = None,
) -> Text:
    """Earlier readings of this feature on this tool, newest first; voided ones struck.

    `bad`: ids of those made with a gauge that was not to be measured with; `made`: how readings are put right.
    """
    out = Text()
    if not readings:
        out.append("not measured on this yet\n", style="dim")
        return out
    for logged in readings[:most]:
        right = (made or {}).get(logged.id, NOTHING)
        value = shown(task.sizes, right.of(logged.value), style)
        mark = "✗" if logged.id in bad else " "
        gauge = f"{mark}{logged.instrument[:16]:<16}"
        line = f"{value:>9}  {logged.by:<3}{gauge} {when(logged.at_us, logged.tz_min, today)}"
        if logged.supersede is not None:
            out.append(clipped(line, width - 9), style="strike dim")
            out.append("  void: " + logged.supersede.why[: max(width - len(line) - 9, 0)], style="dim")
        else:
            slip = "  asked, kept" if logged.reading.slip == "asked_kept" else ""
            note = "  " + logged.notes[-1].text if logged.notes else ""
            said = right.said(logged.value, style)
            read = f"  read {shown(task.sizes, logged.value, style)}; {'; '.join(said)}" if said else ""
            out.append(clipped(line + slip + read + note, width))
        out.append("\n")
    return out


def budget_table(outcome: Logged, width: int, style: Style = MM) -> Text:
    """Where the uncertainty of the last line comes from, one source a row."""
    judged = outcome.judged
    out = Text()
    out.append("where U comes from\n", style="bold")
    total = sum(line.u**2 for line in judged.budget.lines) or 1.0
    for line in judged.budget.lines:
        u = style.of(judged.sizes.feature.quantity).uncertainty(line.u, 4, unit=False)
        share = style.percent(line.u**2 / total)
        out.append(clipped(f"{line.name:<16} u {u} {share:>6}  {line.how}", width) + "\n")
    return out
