"""Makes the sketch of a mould: plan, sections and the exploded stack from bodies, outline and parting; words for them.

The plan is seen from above, sections are cut where they tell most: through the core at hand, or where a size is taken.
A body that nobody gave is about, from its sizes, and dashed; a core of which too little is known is a line, a point or
a mark at the edge, and the sketch says what is missing.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from inspect_tui.frozen import frozen_by_name
from inspect_tui.metrology.kit.bodies import AXES, Box, hull
from inspect_tui.metrology.sizes.place import Place, where
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.report.draw import sketch as s
from inspect_tui.report.draw.sketch import Area, Key, Line, Sketch, Span, View, Way
from inspect_tui.report.words import listed
from inspect_tui.shop.kit.sketch.scene import Scene, SceneCore

PLAN, SECTION, ACROSS, EXPLODED = "plan", "section", "across", "exploded"
VIEWS = (PLAN, SECTION, ACROSS, EXPLODED)
FLAT = {PLAN: ("x", "y"), SECTION: ("x", "z"), ACROSS: ("y", "z")}  # to the right and upward
THROUGH = {PLAN: "z", SECTION: "y", ACROSS: "x"}  # what a view is seen along
ASIDE = 0.15  # of the whole length: how far a core is moved out along x
TALL = 0.6  # of its level: the tallest core of the stack
FROM = {
    "z-": "from above",
    "z+": "from below",
    "x-": "from the far end of x",
    "x+": "from the near end of x",
    "y-": "from the far side of y",
    "y+": "from the near side of y",
}
VIEW_WORDS = {PLAN: "the plan", SECTION: "the section along x", ACROSS: "the section along y"}
TO_ENTER = "write down where the ends of its sizes stand, or the box that it fills"


@frozen_by_name
class Wanted:
    """What a sketch is to show: the core at hand, a size, the cut; `so_far`: only cores set up to the one at hand.

    `figures`: False leaves out every place in mm, for those who measure without being led. `way`: False leaves out what
    is for setting it: the way in, its prints and keys, and what its ends are called. `shops`: False leaves out what
    could be entered, for who cannot do that. `room`: places along an axis that its views must have room for.
    """

    hand: str = ""
    views: tuple[str, ...] = (PLAN, SECTION)
    size: Place | None = None
    cut: float | None = None
    so_far: bool = True
    figures: bool = True
    way: bool = True
    shops: bool = True
    room: tuple[tuple[str, float], ...] = ()


def sketch(scene: Scene, wanted: Wanted, style: Style = MM) -> Sketch:
    """The sketch of a mould. A mould of which nothing has a place gives one sentence and no view."""
    title = f"mould of {scene.job}"
    hand = scene.core(wanted.hand)
    if not scene.placed and not wanted.room:
        said = (
            "Nothing can be drawn: no size of this job says where its ends stand, and no core was given a box. "
            "Write down the places of the ends along x, y and z, or the boxes of the cores."
        )
        return Sketch(title=title, views=(), said=(said,))
    cores = _present(scene, hand) if wanted.so_far else list(scene.cores)
    views = [_view(scene, cores, hand, wanted, name, style) for name in wanted.views]
    return Sketch(
        title=title + (f", core {hand.number} {hand.name}".rstrip() if hand else ""),
        views=tuple(view for view in views if view is not None),
        legend=tuple(_legend(scene, cores, hand, wanted, [v for v in views if v is not None], style)),
        said=tuple(_cannot(scene, cores, hand, wanted, views)),
    )


def _present(scene: Scene, hand: SceneCore | None) -> list[SceneCore]:
    """The cores in the mould once the one at hand is set; all of them without one."""
    if hand is None or hand.step is None:
        return list(scene.cores)
    return [core for core in scene.cores if core.step is not None and core.step <= hand.step]


# ------------------------------------------------------------------------------ one view
def _view(
    scene: Scene, cores: Sequence[SceneCore], hand: SceneCore | None, wanted: Wanted, name: str, style: Style
) -> View | None:
    if name == EXPLODED:
        return _exploded(scene, hand, style)
    across, up = FLAT[name]
    cut = None if name == PLAN else cut_at(scene, cores, hand, wanted, THROUGH[name])
    frame = _frame(scene, hand, wanted, across, up)
    if frame is None:
        return None
    (x0, x1), (y0, y1) = frame
    areas = [
        a for core in _back_to_front(cores, hand, cut, THROUGH[name]) for a in _areas(core, hand, name, cut, frame)
    ]
    return View(
        title=_title(name, cut, wanted, style),
        cut=_cut_words(name, cut, wanted, style),
        extent=_extent(scene, name, wanted, style),
        across=across,
        up=up,
        x0=x0,
        x1=x1,
        y0=y0,
        y1=y1,
        areas=tuple(areas),
        lines=(*_outline(scene, across, up), *_parting(scene, name, cut, frame)),
        spans=tuple(_spans(scene, wanted, across, up, frame)),
        ways=tuple(_ways(hand, across, up)) if wanted.way else (),
        keys=tuple(_keys(hand, across, up)) if wanted.way else (),
        ends=tuple(_ends(hand, across, up)) if wanted.way else (),
    )


def _title(name: str, cut: float | None, wanted: Wanted, style: Style) -> str:
    head = {PLAN: "plan, from above", SECTION: "section along x", ACROSS: "section along y"}[name]
    said = _cut_words(name, cut, wanted, style)
    return f"{head} at {said}" if said else head


def _cut_words(name: str, cut: float | None, wanted: Wanted, style: Style) -> str:
    if cut is None or not wanted.figures:
        return ""
    return f"{THROUGH[name]} {style.given(round(cut, 1), unit=False)}"


def _extent(scene: Scene, name: str, wanted: Wanted, style: Style) -> str:
    """From where to where a view goes: `x → 0 to 624, z ↑ 0 to 186 mm`."""
    box = _whole(scene)
    if box is None or not wanted.figures:
        return ""
    each, tail = style.apart
    ends = (
        f"{axis} {sign} {style.given(box.low(axis), each)} to {style.given(box.high(axis), each)}"
        for axis, sign in zip(FLAT[name], "→↑", strict=True)
    )
    return f"{', '.join(ends)}{tail}"


def _whole(scene: Scene) -> Box | None:
    """The box round the casting and every body."""
    boxes = [box for core in scene.cores for box in core.body.boxes]
    return hull([*boxes, *([scene.outline] if scene.outline else [])])


Frame = tuple[tuple[float, float], tuple[float, float]]


def _frame(scene: Scene, hand: SceneCore | None, wanted: Wanted, across: str, up: str) -> Frame | None:
    """What a view has to show: the casting, every body, the parting, the size and keys; None where an axis has none."""
    keys = hand.keys if hand is not None and wanted.way else ()
    ranges: list[tuple[float, float]] = []
    for axis in (across, up):
        seen = [(box.low(axis), box.high(axis)) for core in scene.cores for box in core.body.boxes]
        seen += [core.body.known[axis] for core in scene.cores if axis in core.body.known]
        if scene.outline is not None:
            seen.append((scene.outline.low(axis), scene.outline.high(axis)))
        if scene.parting_axis == axis:
            seen += [(step.place, step.place) for step in scene.parting]
        if wanted.size is not None and wanted.size.axis == axis:
            seen += [(end, end) for end in wanted.size.ends if end is not None]
        seen += [(place, place) for along, place in wanted.room if along == axis]
        seen += [(key.at[axis], key.at[axis]) for key in keys if axis in key.at] if seen else []
        if not seen:
            return None
        ranges.append(s.drawn_range(seen))
    return ranges[0], ranges[1]


def cut_at(scene: Scene, cores: Sequence[SceneCore], hand: SceneCore | None, wanted: Wanted, axis: str) -> float | None:
    """Where a section is cut: where it is asked for, where the size is taken, through its makers, or the core at hand.

    None where nothing says where along that axis anything stands.
    """
    size = wanted.size
    if wanted.cut is not None:
        return wanted.cut
    if size is not None and axis in size.at:
        return size.at[axis]
    makers = [core for core in scene.cores if size and f"core {core.number}" in size.makers] or ([hand] if hand else [])
    ranges = [r for core in makers if (r := _reach(core, axis))]
    if not ranges:
        ranges = [r for core in cores if (r := _reach(core, axis))]
        if not ranges:
            return (scene.outline.low(axis) + scene.outline.high(axis)) / 2 if scene.outline else None
        return _busiest(ranges)
    low, high = max(r[0] for r in ranges), min(r[1] for r in ranges)
    return (low + high) / 2 if low <= high else sum(ranges[0]) / 2


def _busiest(ranges: Sequence[tuple[float, float]]) -> float:
    """The middle of the stretch that most of the ranges share; of several the one nearest to the middle of all."""
    edges = sorted({edge for r in ranges for edge in r})
    middles = [(a + b) / 2 for a, b in pairwise(edges)] or edges
    centre = (edges[0] + edges[-1]) / 2
    return max(middles, key=lambda m: (sum(a <= m <= b for a, b in ranges), -abs(m - centre)))


def _reach(core: SceneCore, axis: str) -> tuple[float, float] | None:
    """From where to where a core reaches along an axis, as far as that is known."""
    box = core.body.hull
    return (box.low(axis), box.high(axis)) if box is not None else core.body.known.get(axis)


def _cuts(core: SceneCore, axis: str, cut: float | None) -> bool:
    """Whether a section at `cut` goes through the core; unknown counts as through it."""
    reach = _reach(core, axis)
    return cut is None or reach is None or reach[0] <= cut <= reach[1]


def _back_to_front(cores: Sequence[SceneCore], hand: SceneCore | None, cut: float | None, axis: str) -> list[SceneCore]:
    """Cores beside the cut first, then in setting order, the one at hand last."""
    others = [core for core in cores if hand is None or core.number != hand.number]
    others.sort(key=lambda core: _cuts(core, axis, cut))
    return [*others, *([hand] if hand else [])]


def _areas(core: SceneCore, hand: SceneCore | None, name: str, cut: float | None, frame: Frame) -> list[Area]:
    """A core as it is seen in a view: its boxes, or the line, point or mark at the edge that is known of it."""
    across, up = FLAT[name]
    mine = hand is not None and core.number == hand.number
    through = _cuts(core, THROUGH[name], cut)
    role = s.HAND if mine else s.SET if through else s.BESIDE
    names = (f"core {core.number}", core.number) if through or mine else (f"({core.number})",)
    boxes: list[tuple[float, float, float, float]] = []
    for box in core.body.boxes:
        if mine or cut is None or not through or box.low(THROUGH[name]) <= cut <= box.high(THROUGH[name]):
            boxes.append((box.low(across), box.high(across), box.low(up), box.high(up)))
    if not core.body.boxes:
        known = core.body.known
        x, y = known.get(across), known.get(up)
        if x is None and y is None:
            return []
        low_edge = (frame[0][0], frame[0][0]), (frame[1][0], frame[1][0])
        (x0, x1), (y0, y1) = x or low_edge[0], y or low_edge[1]
        boxes = [(x0, x1, y0, y1)]
    return [
        Area(thing=f"core {core.number}", names=names, x0=x0, x1=x1, y0=y0, y1=y1, role=role, about=not core.body.given)
        for x0, x1, y0, y1 in boxes
    ]


def _outline(scene: Scene, across: str, up: str) -> list[Line]:
    box = scene.outline
    if box is None:
        return []
    (x0, x1), (y0, y1) = ((box.low(axis), box.high(axis)) for axis in (across, up))
    corners = ((x0, y0), (x1, y0), (x1, y1), (x0, y1), (x0, y0))
    return [Line(corners, s.OUTLINE, not scene.outline_given)]


def _parting(scene: Scene, name: str, cut: float | None, frame: Frame) -> list[Line]:
    """The parting as it is seen in a view: with its steps, as the step that is cut, or its steps from above."""
    across, up = FLAT[name]
    (x0, x1), (y0, y1) = frame
    upright = scene.parting_axis == across
    if scene.parting_axis not in (across, up):  # seen onto the parting: only its steps show
        lines = []
        for step, following in pairwise(scene.parting):
            at = step.end
            if at is not None and step.place != following.place and step.along == following.along:
                if step.along == across and x0 <= at <= x1:
                    lines.append(Line(((at, y0), (at, y1)), s.PARTING))
                elif step.along == up and y0 <= at <= y1:
                    lines.append(Line(((x0, at), (x1, at)), s.PARTING))
        return lines
    along = up if upright else across
    low, high = frame[1] if upright else frame[0]
    points: list[tuple[float, float]] = []
    for step in scene.parting:
        if step.along not in (None, along):  # steps in the depth of the view: the one at the cut is seen
            inside = (
                step.start is not None and step.end is not None and cut is not None and step.start <= cut < step.end
            )
            if inside or not points:
                points = [(low, step.place), (high, step.place)]
            continue
        start = low if step.start is None or not points else min(max(step.start, low), high)
        end = high if step.end is None or step is scene.parting[-1] else min(max(step.end, low), high)
        points += [(start, step.place), (end, step.place)]
    if not points:
        return []
    return [Line(tuple((place, at) if upright else (at, place) for at, place in points), s.PARTING)]


def _spans(scene: Scene, wanted: Wanted, across: str, up: str, frame: Frame) -> list[Span]:
    """Where the size is taken, in a view that shows its axis."""
    size = wanted.size
    if size is None or size.axis not in (across, up) or size.ends == (None, None):
        return []
    upright = size.axis == up
    other = across if upright else up
    ends = [end for end in size.ends if end is not None]
    low, high = (min(ends), max(ends)) if len(ends) == 2 else (ends[0], None)
    return [Span(low=low, high=high, at=_span_at(scene, size, other, frame[0 if upright else 1]), upright=upright)]


def _span_at(scene: Scene, size: Place, other: str, shown: tuple[float, float]) -> float:
    """Where across its axis a size is drawn: where it is taken, else through the bodies of its makers."""
    if other in size.at:
        return size.at[other]
    ranges = [r for core in scene.cores if f"core {core.number}" in size.makers and (r := _reach(core, other))]
    if not ranges:
        return sum(shown) / 2
    low, high = max(r[0] for r in ranges), min(r[1] for r in ranges)
    return (low + high) / 2 if low <= high else sum(ranges[0]) / 2


def _ways(hand: SceneCore | None, across: str, up: str) -> list[Way]:
    """The way in of the core at hand: an arrow that comes to its body."""
    box = hand.body.hull if hand is not None else None
    if hand is None or box is None or hand.way_in is None:
        return []
    axis, sign = hand.way_in[0], 1 if hand.way_in[1] == "+" else -1
    middle = {a: (box.low(a) + box.high(a)) / 2 for a in AXES}
    start = box.low(axis) if sign > 0 else box.high(axis)
    if axis == across:
        return [Way(start, middle[up], sign, 0)]
    if axis == up:
        return [Way(middle[across], start, 0, sign)]
    return (
        [Way(box.low(across) + box.size(across) / 8, middle[up])]
        if (axis, sign) in (("z", -1), ("y", 1), ("x", -1))
        else []
    )


def _keys(hand: SceneCore | None, across: str, up: str) -> list[Key]:
    """The prints and keys of the core at hand whose place is known in this view."""
    return [
        Key(key.name, key.mark, key.at[across], key.at[up])
        for key in (hand.keys if hand is not None else ())
        if across in key.at and up in key.at
    ]


def _ends(hand: SceneCore | None, across: str, up: str) -> list[tuple[str, str]]:
    """Toward which side of a view the ends of the core at hand lie, and what they are called."""
    sides = {across: ("left", "right"), up: ("down", "up")}
    if hand is None or hand.ends_axis not in sides:
        return []
    pairs = zip(sides[hand.ends_axis], (hand.low_end, hand.high_end), strict=True)
    return [(side, called) for side, called in pairs if called]


# ------------------------------------------------------------------------------ the exploded stack
def _exploded(scene: Scene, hand: SceneCore | None, style: Style) -> View | None:
    """Every core on a level of its own, the first that is set lowest, moved out against its way in, with what it bears.

    Up and down is the level itself; along x it is moved aside, along y (the depth of the picture) by half as much, and
    its arrow is oblique.
    """
    if not scene.cores:
        return None
    across = "x"
    reaches = {core.number: r for core in scene.cores if (r := _reach(core, across))}
    outline = [(scene.outline.low(across), scene.outline.high(across))] if scene.outline is not None else []
    wide = [*reaches.values(), *outline]
    step = ASIDE * (max(high for _, high in wide) - min(low for low, _ in wide)) if wide else 0.0
    aside = {core.number: step * _aside(scene, core) for core in scene.cores}
    moved = [(low + aside[number], high + aside[number]) for number, (low, high) in reaches.items()]
    x0, x1 = s.drawn_range([*moved, *outline]) if wide else (0.0, 1.0)
    heights = [box.size("z") for core in scene.cores if (box := core.body.hull)]
    tallest = max(heights, default=1.0)
    areas: list[Area] = []
    ways: list[Way] = []
    top = len(scene.cores) + 1.0
    for level, core in enumerate(scene.cores, start=1):
        names = _stack_names(core)
        role = s.HAND if hand is not None and core.number == hand.number else s.SET
        box = core.body.hull
        base, by = level - 0.35, aside[core.number]
        if box is None:
            reach = _reach(core, across)
            low, high = (x0, x0) if reach is None else (reach[0] + by, reach[1] + by)
            if reach is None:
                names = (f"{names[0]}: nobody said where along {across}", *names)
            areas.append(
                Area(thing=f"core {core.number}", names=names, x0=low, x1=high, y0=base, y1=base, role=role, about=True)
            )
            continue
        for part in core.body.boxes:
            low, high = (base + TALL * (z - box.z0) / tallest for z in (part.z0, part.z1))
            areas.append(
                Area(
                    thing=f"core {core.number}",
                    names=names,
                    x0=part.x0 + by,
                    x1=part.x1 + by,
                    y0=low,
                    y1=high,
                    role=role,
                    about=not core.body.given,
                )
            )
        ways += _stack_way(core, box.moved(x=by), base, TALL * (box.z1 - box.z0) / tallest)
    lines = [Line(((x0, 0.0), (x1, 0.0)), s.PARTING), Line(((x0, top), (x1, top)), s.PARTING)]
    return View(
        title="exploded stack, the first one set at the bottom",
        extent="drag below, cope above; heights not to scale",
        across=across,
        up="z",
        x0=x0,
        x1=x1,
        y0=0.0,
        y1=top,
        areas=tuple(areas),
        lines=tuple(lines),
        ways=tuple(ways),
        true=False,
        rows=4 * len(scene.cores) + 3,
    )


def _stack_names(core: SceneCore) -> tuple[str, ...]:
    """How a core may be called on its level, the longest first; a way along y, or an oblique one, stands in words."""
    step = f"{core.step}. " if core.step is not None else ""
    ways = _directions(core)
    short = f"{step}core {core.number}"
    names = [f"{short} {core.name}".strip(), short, f"core {core.number}", core.number]
    if "y" in ways or len(ways) > 1:
        said = " and ".join(FROM[f"{axis}{'+' if sign > 0 else '-'}"] for axis, sign in ways.items())
        names = [f"{names[0]}, {said}", f"{short}, {said}", *names]
    return tuple(dict.fromkeys(names))


def _directions(core: SceneCore) -> dict[str, int]:
    """Along which axes it goes in, and which way; of two against each other what most of its prints do."""
    ways: dict[str, int] = {}
    for way in core.ways or ((core.way_in,) if core.way_in else ()):
        ways.setdefault(way[0], 1 if way[1] == "+" else -1)
    return ways


def _aside(scene: Scene, core: SceneCore | None, seen: tuple[str, ...] = ()) -> float:
    """How many steps a core is moved along x against its way in, with those of the core that it sits in."""
    if core is None or core.number in seen:
        return 0.0
    ways = _directions(core)
    own = -float(ways.get("x", 0)) - ways.get("y", 0) / 2.0
    return own + (_aside(scene, scene.core(core.into), (*seen, core.number)) if core.into else 0.0)


def _stack_way(core: SceneCore, box: Box, base: float, tall: float) -> list[Way]:
    """The arrow of a core on its level, that comes to its box; the depth of the picture goes to the right and up."""
    ways = _directions(core)
    dx, dy = ways.get("x", 0) + ways.get("y", 0), ways.get("z", 0) + ways.get("y", 0)
    dx, dy = (dx > 0) - (dx < 0), (dy > 0) - (dy < 0)
    if (dx, dy) == (0, 0):
        return []
    if dx == 0:
        at = box.x0 + (box.x1 - box.x0) / 8
        return [Way(at, base - 0.4 if dy < 0 else base + 0.4 + tall, 0, dy)]
    end = box.x0 if dx > 0 else box.x1
    if dy == 0:
        return [Way(end, base + tall / 2, dx, 0)]
    return [Way(end, base + tall if dy < 0 else base, dx, dy)]


# ------------------------------------------------------------------------------ words
def _legend(
    scene: Scene,
    cores: Sequence[SceneCore],
    hand: SceneCore | None,
    wanted: Wanted,
    views: Sequence[View],
    style: Style,
) -> list[tuple[str, str]]:
    roles = {area.role for view in views for area in view.areas}
    lines = {line.role for view in views if view.true for line in view.lines}
    legend: list[tuple[str, str]] = []
    if hand is not None and s.HAND in roles:
        legend.append((s.HAND, f"core {hand.number}, the one at hand"))
    if s.SET in roles:
        before = hand is not None and hand.step is not None and wanted.so_far
        legend.append((s.SET, "cores set so far" if before else "cores in the mould"))
    if s.BESIDE in roles:
        legend.append((s.BESIDE, "beside the cut"))
    about = [core.number for core in cores if not core.body.given and core.body.boxes]
    if any(area.about for view in views for area in view.areas):
        legend.append((s.ABOUT, f"dashed: about, from its sizes{_which(about)}"))
    if s.PARTING in lines:
        legend.append((s.PARTING, _parting_words(scene, wanted, style)))
    if s.OUTLINE in lines:
        legend.append((s.OUTLINE, "round the casting" + ("" if scene.outline_given else ", about: from its sizes")))
    if any(view.spans for view in views) and wanted.size is not None:
        legend.append((s.SIZE, f"{wanted.size.balloon} is measured here" + _where(wanted, style)))
    keys = {key.name: key.mark for view in views for key in view.keys}
    if keys and hand is not None:
        legend.append(
            (s.KEY, f"{listed([f'{name} {mark}'.strip() for name, mark in keys.items()])} of core {hand.number}")
        )
    if hand is not None and hand.way_in is not None and wanted.way:
        legend.append((s.WAY, f"core {hand.number} goes in {FROM[hand.way_in]}"))
    return legend


def _which(numbers: Sequence[str]) -> str:
    return f" ({listed([f'core {n}' for n in numbers])})" if 0 < len(numbers) <= 4 else ""


def _where(wanted: Wanted, style: Style) -> str:
    size = wanted.size
    if size is None or not wanted.figures:
        return ""
    return f": {where(size, style)}"


def _parting_words(scene: Scene, wanted: Wanted, style: Style) -> str:
    if not wanted.figures:
        return "parting"
    steps = []
    for step in scene.parting:
        said = f"{scene.parting_axis} {style.given(step.place, unit=False)}"
        if step.along is not None and len(scene.parting) > 1:
            said += f" for {step.along} {style.pair(step.start, step.end, None, unit=False)}"
        steps.append(said)
    halves = ", the drag below, the cope above" if scene.parting_axis == "z" else ""
    return f"parting at {listed(steps)}{halves}"


def _cannot(
    scene: Scene, cores: Sequence[SceneCore], hand: SceneCore | None, wanted: Wanted, views: Sequence[View | None]
) -> list[str]:
    """What the sketch cannot show, and what to enter."""
    said = []
    for name, view in zip(wanted.views, views, strict=True):
        if view is None:
            axes = listed([axis for axis in FLAT.get(name, ())])
            said.append(f"No {name} can be drawn: nothing says where anything stands along {axes}.")
    later = [core.number for core in scene.cores if core not in cores]
    if later:
        said.append(f"Set later and not drawn: {listed([f'core {n}' for n in later])}.")
    flat = [view for view in views if view is not None and view.true]
    drawn = {thing for view in flat or views if view is not None for thing in view.things}
    open_: list[str] = []
    for core in cores:
        if not core.body.boxes:
            how = "a mark" if f"core {core.number}" in drawn else "not drawn"
            open_.append(f"core {core.number} along {listed(list(core.body.open or AXES))} ({how})")
    if open_:
        to_enter = f" To draw a core, {TO_ENTER}." if wanted.shops else ""
        said.append(f"Nothing tells how far these reach: {', '.join(open_)}.{to_enter}")
    if scene.parting_axis == "z" and not scene.parting and any(name in (SECTION, ACROSS) for name in wanted.views):
        said.append("Nobody said where the parting lies.")
    size = wanted.size
    if size is not None and not any(view.spans for view in views if view is not None):
        if size.tool:
            said.append(f"{size.balloon} is a size of a print, key or seat: it has no place in the casting.")
        elif size.ends == (None, None):
            said.append(f"{size.balloon} is not marked: nothing says where its ends stand. Write down their places.")
        else:
            shows = [name for name in (PLAN, SECTION, ACROSS) if size.axis in FLAT[name]]
            said.append(f"{size.balloon} runs along {size.axis}: it shows in {listed([VIEW_WORDS[n] for n in shows])}.")
    return said
