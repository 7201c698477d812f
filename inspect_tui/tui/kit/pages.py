"""Which rows and which text each page of the Kit place shows, from what is loaded."""

from __future__ import annotations

from rich.text import Text

from inspect_tui.report.term import kit_pages, measuring
from inspect_tui.report.term.kit_pages import ListRow
from inspect_tui.shop.kit.fits import FitLine
from inspect_tui.tui.kit.work import Loaded

SKETCHES = {  # rows of the page of the mould: which views each shows
    "plan and section": ("plan", "section"),
    "section from the end": ("across",),
    "exploded stack": ("exploded",),
}

WIDE = 66  # columns of the page: from here on the core is drawn on the page of cores, too


def fit_of(loaded: Loaded, key: str) -> FitLine | None:
    """The fit that a row of the page of fits stands for."""
    return next((line for line in loaded.check.lines if line.fit.of_id.hex() == key), None)


def rows(loaded: Loaded, page: str, core: str, room: int) -> list[ListRow]:
    """Rows to choose from, `room` columns wide; none where a page has none."""
    check, report = loaded.check, loaded.reports.get(core)
    style = check.style
    made = {
        "fits": lambda: kit_pages.fit_rows(check, room, core, style),
        "order": lambda: kit_pages.order_rows(check, room),
        "walls": lambda: kit_pages.wall_rows(check, room, style),
        "passages": lambda: kit_pages.passage_rows(loaded.passages, room),
        "sizes": lambda: kit_pages.size_rows(report, room, style) if report else [],
        "life": lambda: kit_pages.feature_rows(loaded.features, room),
        "proving": lambda: kit_pages.trial_rows(check, room),
        "shipping": lambda: kit_pages.place_rows(loaded.places, room),
        "sample": lambda: kit_pages.sample_rows(loaded.sample, room, style) if loaded.sample else [],
        "plan": lambda: measuring.plan_rows(loaded.plan, room) if loaded.plan else [],
        "book": lambda: kit_pages.book_rows(loaded.book or [], room, style),
        "mould": _mould_rows,
    }.get(page)
    return made() if made else []


def _mould_rows() -> list[ListRow]:
    return [(name, Text(name, no_wrap=True)) for name in SKETCHES]


def about(loaded: Loaded, page: str, core: str, key: str, room: int) -> Text:
    """All about the chosen row (or, on the page of cores, the chosen core)."""
    check, style = loaded.check, loaded.check.style
    if page == "kit":
        said = kit_pages.about_core(check, core, loaded.reports.get(core), room, style)
        if room >= WIDE and core.isdigit():  # the core in its mould below what is said of it
            said.append("\n").append_text(_mould(loaded, core, "plan and section", room))
        return said
    if page == "fits":
        line = fit_of(loaded, key)
        return kit_pages.about_fit(line, room, style) if line else Text("no fits yet: n writes one down")
    if page == "order":
        return kit_pages.about_order(check, room, key, style)
    if page == "walls":
        wall = next((w for w in check.walls if w.label == key), None)
        open_ = next((o.sentence for o in check.no_loop if o.label == key), "")
        return kit_pages.about_wall(wall, room, style) if wall else Text(open_)
    if page == "passages":
        return kit_pages.about_passage(loaded.passages[int(key)], room, style) if key else Text()
    if page == "sizes":
        report = loaded.reports.get(core)
        size = next((s for s in report.sizes if s.feature.balloon == key), None) if report else None
        return kit_pages.about_size(size, room, style) if size else Text()
    if page == "proving":
        return kit_pages.about_trial(check, key, room, style)
    if page == "mould":
        return _mould(loaded, core, key, room)
    return _lives(loaded, page, key, room)


def _mould(loaded: Loaded, core: str, key: str, room: int) -> Text:
    """The mould with the chosen core at hand, and those that are set before it."""
    from inspect_tui.report.draw.mould import Wanted, sketch
    from inspect_tui.report.draw.sketch_cells import sketch_cells

    if loaded.scene is None:
        return Text()
    wanted = Wanted(hand=core if core.isdigit() else "", views=SKETCHES.get(key, SKETCHES["plan and section"]))
    return sketch_cells(sketch(loaded.scene, wanted, loaded.check.style), room, style=loaded.check.style)


def _lives(loaded: Loaded, page: str, key: str, room: int) -> Text:
    style = loaded.check.style
    if page == "life":
        story = loaded.stories.get(key)
        return kit_pages.about_life(story, room, style) if story else Text("...", style="dim")
    if page == "shipping":
        place = next((p for p in loaded.places if p.tool.label == key), None)
        said = loaded.check.said_of_tool(key)
        return kit_pages.about_tool(place, loaded.events.get(key, []), room, said) if place else Text()
    if page == "sample" and loaded.sample is not None:
        size = next((s for s in loaded.sample.sizes if s.feature.balloon == key), None)
        return kit_pages.about_sample(size, loaded.sample, room, style)
    if page == "plan" and loaded.plan is not None:
        return measuring.about_step(loaded.plan, key, room, style)
    if page == "book" and loaded.book and key:
        return kit_pages.about_book(loaded.book[int(key)], room, style)
    return Text({"sample": loaded.no_sample, "plan": loaded.no_plan}.get(page, ""))
