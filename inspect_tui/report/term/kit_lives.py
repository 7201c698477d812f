"""More pages of a kit as terminal text: sizes of a core, life stories, where things are, samples, the book."""

from __future__ import annotations

from collections.abc import Sequence

from rich.text import Text

from inspect_tui.model.work import Feature
from inspect_tui.report.term.kit import STYLE, cut
from inspect_tui.report.term.kit_pages import Row, lines, percent, row
from inspect_tui.shop.jobs.contraction_book import BookRow
from inspect_tui.shop.jobs.sample_casting import Sample, SampleSize
from inspect_tui.shop.kit.cores import CoreReport, CoreSize
from inspect_tui.shop.kit.life_story import Event, LifeStory, day
from inspect_tui.shop.kit.shipping import Place


def size_rows(report: CoreReport, width: int) -> list[Row]:
    """The sizes of one core on stick, box and sand."""
    rows = []
    for size in report.sizes:
        how = "none" if size.stick is None and size.box is None else "yes"
        if size.advice is not None and size.advice.change != "none":
            how = "no"
        parts = [f"{size.feature.balloon:<6}"]
        for word, wanted, read in (("stick", size.stick_wanted, size.stick), ("box", size.box_wanted, size.box)):
            if wanted is not None:
                parts.append(f"{word} {wanted:.2f}/{f'{read.value:.2f}' if read else '-'}")
        if size.sand is not None:
            parts.append(f"sand {size.sand.value:.2f}")
        rows.append((size.feature.balloon, row(how, "  ".join(parts), width)))
    return rows


def about_size(size: CoreSize, width: int) -> Text:
    """One size of a core: wanted and read on each, the casting it lets expect, which to change."""
    out = Text()
    out.append(f"{size.feature.balloon} {size.feature.name}\n", style="bold")
    out.append(f"as-cast {size.as_cast:.2f}\n" if size.feature.scale != "tool" else "tooling scale\n")
    for word, wanted, read in (("stick", size.stick_wanted, size.stick), ("box", size.box_wanted, size.box)):
        if wanted is None:
            continue
        got = f"  read {read.value:8.2f} ± {2 * read.u:.2f}, {day(read.at_us, read.tz_min)}" if read else "  not read"
        out.append(f"{word:<6} wanted {wanted:8.2f}{got}\n")
    if size.sand_wanted is not None:
        sand = size.sand
        got = f"  read {sand.value:8.2f} ± {2 * sand.u:.2f}, last {size.sand_n}" if sand else ""
        out.append(f"sand   wanted {size.sand_wanted:8.2f}{got}\n")
    if size.casting is not None:
        value, u = size.casting
        out.append(f"by the {size.casting_from} the casting will be {value:.2f} ± {2 * u:.2f}\n")
    if size.advice is not None:
        out.append(size.advice.sentence + "\n", style="bold" if size.advice.change != "none" else "")
    out.append_text(lines(size.remarks, STYLE["open"], "? "))
    return out


def feature_rows(features: Sequence[Feature], width: int) -> list[Row]:
    """Features to choose a life story from."""
    return [(f.balloon, Text(cut(f"{f.balloon:<6} {f.name}", width), no_wrap=True)) for f in features]


def about_life(story: LifeStory, width: int) -> Text:
    """Every station: day, what, predicted, obtained, and where it left its course."""
    out = Text()
    out.append(story.sentence + "\n", style="bold")
    if not story.stations:
        out.append("nothing was ever read of it\n", style="dim")
        return out
    narrow = width < 78  # then the figures have a line of their own
    label_room = width - 11 if narrow else width - 44
    first = "" if narrow else " " * (11 + label_room)
    heads = f"{'predicted':>10}{'obtained':>10}{'off':>8}"
    out.append(f"{first or ' ' * 11}{heads}\n", style="dim")
    for one, step in zip(story.stations, story.life.steps, strict=True):
        stage = one.stage
        when = "" if stage.kind == "layout" else day(one.at_us)
        line = f"{when:<11}{cut(f'{stage.kind} {stage.label}', label_room - 1):<{label_room}}"
        line = line.rstrip() + "\n" + " " * 11 if narrow else line
        line += f"{stage.predicted.value:10.2f}" if stage.predicted else f"{'':10}"
        line += f"{stage.obtained.value:10.2f}" if stage.obtained else f"{'':10}"
        line += f"{step.difference:+8.2f}" if step.difference is not None else f"{'':8}"
        out.append(line + (" ✗" if step.word == "off" else "") + "\n", style=STYLE["no"] if step.word == "off" else "")
        more = " · ".join(text for text in (one.words if one.words != "as planned" else "", one.correction) if text)
        if (more and not narrow) or one.correction:
            out.append(f"{'':<11}{more}\n", style="italic")
    return out


def place_rows(places: Sequence[Place], width: int) -> list[Row]:
    """Where every tool is."""
    rows = []
    for one in places:
        short = one.loose_pieces is not None and one.last_loose is not None and one.last_loose < one.loose_pieces
        rows.append((one.tool.label, row("no" if short else "none", one.sentence, width)))
    return rows


def about_tool(place: Place, events: Sequence[Event], width: int) -> Text:
    """Where a tool is, whose it is, and what happened to it."""
    out = Text()
    out.append(place.sentence + "\n", style="bold")
    if place.owner:
        out.append(f"owner: {place.owner}\n")
    if place.condition:
        out.append(f"condition when last shipped: {place.condition}\n")
    for event in reversed(events):
        out.append(f"{event.day}  {event.what}\n")
    return out


def sample_rows(sample: Sample, width: int) -> list[Row]:
    """Sizes of a sample casting with what each may have been."""
    rows = []
    for size in sample.sizes:
        text = f"{size.feature.balloon:<6}{size.mean:9.2f}  {size.mark:<9}"
        if size.proposal is not None:
            text += f"{size.proposal.best.text:<12} {percent(size.proposal.best.p)}"
        rows.append((size.feature.balloon, row("yes" if size.sure else "open", text, width)))
    return rows


def about_sample(size: SampleSize | None, sample: Sample, width: int) -> Text:
    """One size of a sample with its evidence."""
    out = Text()
    out.append(sample.sentence + "\n", style="bold")
    if size is None:
        return out
    out.append(size.sentence + "\n")
    if size.proposal is not None:
        for c in size.proposal.candidates[:5]:
            out.append(f"{c.text:<14}{percent(c.p):>6}  {c.mm:8.2f} mm, off {size.mean - c.mm:+.2f}\n")
    return out


def book_rows(book: Sequence[BookRow], width: int) -> list[Row]:
    """The contraction book, one row for each alloy, construction and axis."""
    return [(str(n), row("yes" if one.jobs else "none", one.sentence, width)) for n, one in enumerate(book)]


def about_book(one: BookRow, width: int) -> Text:
    """What one row of the book rests on."""
    out = Text()
    out.append(one.sentence + "\n", style="bold")
    for job in one.jobs:
        out.append(job.sentence + "\n")
    if one.handbook is not None:
        h = one.handbook
        out.append(f"handbook: {100 * h.a:.2f} % ({100 * h.lo:.2f} to {100 * h.hi:.2f} %), {h.said}\n")
    out.append("percent of the casting: tool = casting × (1 + a)\n", style="italic")
    return out
