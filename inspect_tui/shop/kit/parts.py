"""Parts of a kit joined by fits: how the place of every core comes from the mould, and the loop between two faces."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cached_property
from math import sqrt

from inspect_tui.errors import DataError
from inspect_tui.frozen import NamedTuple, replace
from inspect_tui.metrology.faces import stacks
from inspect_tui.metrology.faces.stacks import Link, Term
from inspect_tui.metrology.kit import small_turns
from inspect_tui.metrology.kit.bodies import AXES, Body
from inspect_tui.metrology.kit.seating import Places
from inspect_tui.metrology.kit.setting import MOULD
from inspect_tui.metrology.sizes import chain
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.kit import Fit
from inspect_tui.model.words import Estimate, Id
from inspect_tui.model.work import End, Feature, Tool
from inspect_tui.shop.common.drawing_notes import places_of
from inspect_tui.shop.kit.bodies import bodies as bodies_of
from inspect_tui.shop.kit.facts import KitFacts
from inspect_tui.shop.kit.fits import FitLine, part_word
from inspect_tui.shop.kit.order import AXIS_PLACES, holds_of, seat_name
from inspect_tui.shop.kit.seats import spots as kit_spots
from inspect_tui.shop.kit.seats.spots import Key
from inspect_tui.shop.kit.seats.turning import Turning, turnings

RISE_MM = 0.5  # taken for how far a core can rise in its seat where nobody said it: common practice, no source
RESTS_MM = 0.05  # a seat no deeper than its print by more than this bears it on its ground: a judgement, no source
TOL_MM = kit_spots.TOL_MM
LEAST_MM = 0.005  # what a turn adds to a wall: below this it is nothing
PLACES = "places"  # kind of a link that is one of the errors of places on a tool, which several walls may share

Weights = tuple[tuple[str, float], ...]  # places of a part by name, and how much of each


class Point(NamedTuple):
    """Where a loop enters or leaves a part: as it is called, and at which of the places of the part, with weights.

    `place` is that of a face, mm of the casting; None for a seat or print, and where nobody said it.
    """

    name: str
    at: Weights
    place: float | None = None


class Parts:
    """Cores and mould halves joined by fits; made once for as drawn and once for as measured.

    `style` writes the places of faces that no fit names.
    """

    def __init__(
        self,
        facts: KitFacts,
        lines: tuple[FitLine, ...],
        measured: bool,
        style: Style = MM,
        placed: Mapping[Key, Places] | None = None,
        bodies: Mapping[str, Body] | None = None,
        turning: Mapping[str, Turning] | None = None,
    ) -> None:
        self.facts, self.lines, self.measured, self.style = facts, lines, measured, style
        self._given_places, self._given_bodies, self._given_turnings = placed, bodies, turning
        # wall -> core that turns and axis across which nobody said where the wall is taken, with the mm it may come to
        self.not_said: dict[str, dict[tuple[str, str], float]] = {}
        self._at: dict[str, Weights] = {}  # link of a fit -> the prints that decide where the core stands
        self._causes: dict[Key, tuple[dict[str, float], ...]] = {}
        self._more: dict[tuple[str, float | None], Link | None] = {}  # link and place -> what turns add there
        self._own_axis = {(line.fit.label, line.fit.axis) for line in lines if line.fit.place in AXIS_PLACES}
        self._heights: dict[tuple[str, str, str, str], FitLine] = {}  # rows along the way in, with sizes on both sides
        for line in lines:
            if line.fit.axis == line.fit.way_in[0] and line.print.feature is not None and line.seat.feature is not None:
                self._heights.setdefault((line.fit.label, line.inner, line.outer, line.fit.axis), line)
        self._line_of = {f"{line.fit.name} {axis}": line for line in lines for axis in "xyz"}
        self._guessed: set[str] = set()  # names of links that count with what practice says, as nobody said it
        self._chain = {axis: self._chains(axis) for axis in "xyz"}
        self._dims: dict[tuple[str, str, str, str], Link] = {}
        self._errors: dict[tuple[str, str, str, str], tuple[Term, ...]] = {}
        self.fit_of: dict[str, Fit] = {}  # link's name -> fit
        self.read: set[str] = set()  # names of links whose fit was read on both sides
        for line in lines:
            for axis in "xyz":
                self.fit_of[f"{line.name} {axis}"] = line.fit
                if line.verdict.measured == "both" and line.fit.way_in[0] != axis:
                    self.read.add(f"{line.name} {axis}")

    def scale(self, axis: str) -> float:
        """Casting mm for each tooling mm along an axis."""
        return 1.0 / self.facts.mould_scale[axis]

    def _chains(self, axis: str) -> dict[str, tuple[Link, ...]]:
        """Part -> the fits from it down to what nothing holds (the drag), by the way that leaves the least play.

        A core's place comes from what it sits in, never from what is set on it later.
        """
        of_pair: dict[tuple[str, str], list[tuple[FitLine, Link]]] = {}
        for line in self.lines:
            link = self._fit_link(line, axis)
            if link is not None:
                of_pair.setdefault((link.b, link.a), []).append((line, link))
        links: dict[str, dict[str, Link]] = {}
        for (inner, outer), several in of_pair.items():
            links.setdefault(inner, {})[outer] = self._joined(axis, several)
        chains: dict[str, tuple[Link, ...]] = {}

        def chain_of(part: str, under: tuple[str, ...]) -> tuple[Link, ...] | None:
            if part in chains:
                return chains[part]
            best: tuple[Link, ...] | None = None
            for outer, link in links.get(part, {}).items():
                below = None if outer in under else chain_of(outer, (*under, part))
                if below is not None and (best is None or self._loose((link, *below)) < self._loose(best)):
                    best = (link, *below)
            if best is None and not links.get(part):
                best = ()
            if best is not None and not under:
                chains[part] = best
            return best

        for part in {*links, *(outer for inner in links.values() for outer in inner)}:
            chain_of(part, ())
        return chains

    def _joined(self, axis: str, several: Sequence[tuple[FitLine, Link]]) -> Link:
        """One link of all fits of the same two parts: where all of them let the core stand; a guess where nothing else.

        Prints whose places were read stand where they were read: the one decides above, another below.
        """
        known = [pair for pair in several if pair[1].name not in self._guessed] or list(several)
        across = [(line, link) for line, link in known if line.fit.way_in[0] != axis]
        _, tight = min(known, key=lambda pair: self._loose((pair[1],)))
        if len(across) < 2 or any(link is tight for line, link in known if line.fit.way_in[0] == axis):
            return tight
        ends = []
        for line, link in across:
            core, into = kit_spots.parts_of(self.facts, line.fit)
            off = self._off(seat_name(line.fit), core, into, axis)
            ends.append((off - link.minus, off + link.plus, off, link, seat_name(line.fit)))
        low, high = max(ends, key=lambda e: e[0]), min(ends, key=lambda e: e[1])
        half = max((high[1] - low[0]) / 2.0, 0.0)
        middle = (high[1] + low[0]) / 2.0 - (high[2] + low[2]) / 2.0  # beside where both prints stand
        self._at[tight.name] = ((low[4], 0.5), (high[4], 0.5)) if low[4] != high[4] else ((low[4], 1.0),)
        return replace(tight, plus=half + middle, minus=half - middle)

    def _off(self, name: str, core: str, into: str, axis: str) -> float:
        """How far a seat stands from where its print is, tooling mm, as it was read."""
        value = 0.0
        for part, sign in ((into, 1.0), (core, -1.0)):
            of_part = self._placed.get((part, axis))
            if of_part is not None and name in of_part.names:
                value += sign * of_part.off[of_part.names.index(name)]
        return value

    @cached_property
    def _placed(self) -> Mapping[Key, Places]:
        """Where prints, seats and faces stand as read; nowhere but as drawn in a loop as drawn."""
        if not self.measured:
            return {}
        return kit_spots.places(self.facts, self.lines) if self._given_places is None else self._given_places

    @cached_property
    def _turnings(self) -> Mapping[str, Turning]:
        if not self.measured:
            return turnings(self.facts, self.lines, None)
        if self._given_turnings is not None:
            return self._given_turnings
        return turnings(self.facts, self.lines, self._placed)

    @cached_property
    def _bodies(self) -> Mapping[str, Body]:
        return bodies_of(self.facts) if self._given_bodies is None else self._given_bodies

    def _fit_link(self, line: FitLine, axis: str) -> Link | None:
        fit = line.fit
        outer, inner = part_word(self.facts, fit.outer_core_id, fit.outer_half), line.inner
        if not outer or not inner or outer == inner:
            return None
        along = fit.way_in[0] == axis
        held = bool({axis, f"{axis}+", f"{axis}-"} & set(holds_of(fit)))
        if not held and not (along and fit.way_in == "z-"):
            return None  # only weight lays a core onto a seat that does not hold it
        if fit.axis != axis and (fit.label, axis) in self._own_axis:
            return None  # another row of the same seat gives the clearance along this axis
        name, scale = f"{fit.name} {axis}", self.scale(axis)
        if along:  # it rests on its seat
            rise, unknown = self._rise(fit, axis, inner)
            if unknown:
                self._guessed.add(name)
            plus, minus = (rise, 0.0) if fit.way_in[1] == "-" else (0.0, rise)
        else:
            clearance, unknown = self._clearance(line)
            half = max(clearance, 0.0) / 2.0
            plus, minus = half, half
        return Link(
            name=name,
            a=outer,
            b=inner,
            size=0.0,
            plus=plus,
            minus=minus,
            tool=fit.name,
            kind="fit",
            shape="uniform",
            scale=scale,
            unknown=unknown,
        )

    def _loose(self, links: tuple[Link, ...]) -> tuple[int, float]:
        """How loosely a way holds: by how much of it is guessed first, then by its play."""
        return sum(link.name in self._guessed for link in links), _spread(links)

    def _rise(self, fit: Fit, axis: str, inner: str) -> tuple[float, str]:
        """How far a core can rise out of its seat, mm in the mould, and what nobody said of it."""
        if fit.lift_mm is not None:
            return fit.lift_mm, ""
        back = "+" if fit.way_in[1] == "-" else "-"
        if {axis, axis + back} & set(holds_of(fit)):
            return 0.0, ""  # something stops it
        return RISE_MM, f"how far {inner} can rise in {fit.name} ({self.style.given(RISE_MM, unit=False)} is taken)"

    def _clearance(self, line: FitLine) -> tuple[float, str]:
        """The clearance of a fit across its way in, mm at tooling scale, and what nobody said of it."""
        fit = line.fit
        sizes = fit.inner_feature_id, fit.outer_feature_id, fit.gap_feature_id
        if sizes == (None, None, None) and not (self.measured and line.verdict.fit.gap):
            most = self.style.given(fit.clear_max_mm, unit=False)
            return fit.clear_max_mm, f"how much play {fit.name} has (its most, {most}, is taken)"
        return (line.verdict.clearance if self.measured else line.verdict.drawn).value, ""

    def _stands(self, line: FitLine, axis: str) -> Link | None:
        """How high a core stands by its print's height and its seat's depth, where both are sizes of the drawing.

        A seat as deep as its print bears it: what the print is too high or the seat too shallow lifts the core. In a
        deeper seat the core lies on its own body until the print touches the ground.
        """
        height = self._heights.get((line.fit.label, line.inner, line.outer, axis))
        if height is None:
            return None
        drawn, up = height.verdict.drawn, 1.0 if line.fit.way_in[1] == "-" else -1.0
        bears = drawn.value <= RESTS_MM
        seen: Estimate | None = None
        if self.measured and height.verdict.measured == "both":
            now = height.verdict.clearance
            lifted = drawn.value - now.value if bears else max(-now.value, 0.0)
            seen = Estimate(up * lifted, now.u if bears or now.value < 2.0 * now.u else 0.0)
        spread = stacks.TOL_IN_SIGMA * drawn.u if bears else 0.0
        return Link(
            name=f"{height.name} height",
            a=f"{line.outer} {height.name}",
            b=f"{line.inner} {height.name}",
            size=0.0,
            plus=spread,
            minus=spread,
            tool=height.name,
            scale=self.scale(axis),
            measured=seen,
        )

    # ---------------------------------------------------------------- one loop
    def _way(self, a: str, b: str, axis: str) -> list[Term]:
        """The fits from part a to part b: up from each to where the two meet."""
        up, down = self._chain[axis].get(a, ()), self._chain[axis].get(b, ())
        parts_a = [a, *(link.a for link in up)]
        parts_b = [b, *(link.a for link in down)]
        meet = next((part for part in parts_a if part in parts_b), None)
        if meet is None:
            raise DataError(
                f"no fit places {a} and {b} to each other along {axis}: say which print, key or joint does "
                "(its directions), or write the loop"
            )
        first = [Term(link, -link.scale) for link in up[: parts_a.index(meet)]]
        return first + [Term(link, link.scale) for link in reversed(down[: parts_b.index(meet)])]

    def loop(self, feature: Feature) -> tuple[tuple[str, ...], tuple[Term, ...]]:
        """Parts passed through and the terms from end A to end B. DataError when the fits don't join the two."""
        ends = {end.which: end for end in feature.ends}
        a, b = self.part(ends["A"]), self.part(ends["B"])
        axis = feature.axis
        nominal = chain.cast_wanted(feature)
        low, high = ends["A"].coord_mm, ends["B"].coord_mm
        if low is None or high is None or abs(high - low - nominal) > 0.01:
            # no places, or places that don't give the size: the size counts
            first, last = (Point(f"end {end} of {feature.balloon}", ()) for end in "AB")
            return self._loop(axis, (a, first), (b, last), nominal, taken_at(feature), feature.balloon)
        return self.between(axis, a, low, b, high, taken_at(feature), feature.balloon)

    def between(
        self,
        axis: str,
        a: str,
        low_mm: float,
        b: str,
        high_mm: float,
        taken: Mapping[str, float] | None = None,
        label: str = "",
    ) -> tuple[tuple[str, ...], tuple[Term, ...]]:
        """The same between any two faces: `a` and `b` are parts, the places mm of the casting as drawn along `axis`.

        `taken`: where across its axis the wall stands, as far as somebody said it.
        """
        first, last = self._face(axis, low_mm), self._face(axis, high_mm)
        return self._loop(axis, (a, first), (b, last), high_mm - low_mm, taken or {}, label)

    def _face(self, axis: str, place: float) -> Point:
        name = kit_spots.face_name(axis, place)
        return Point(f"face {axis} {self.style.given(place, unit=False)}", ((name, 1.0),), place)

    def _loop(
        self,
        axis: str,
        a: tuple[str, Point],
        b: tuple[str, Point],
        nominal: float,
        taken: Mapping[str, float],
        label: str,
    ) -> tuple[tuple[str, ...], tuple[Term, ...]]:
        way = self._way(a[0], b[0], axis)
        path = [a[0]]
        for term in way:
            path.append(term.link.b if path[-1] == term.link.a else term.link.a)
        low, high = a[1].place or 0.0, nominal if b[1].place is None else b[1].place
        points = [a[1], *(Point(t.link.name, self._at_of(t.link)) for t in way), b[1]]
        terms: list[Term] = []
        for i, part in enumerate(path):
            first, last = i == 0, i == len(path) - 1
            size = (high if last else 0.0) - (low if first else 0.0)
            terms += self._on_tool(part, axis, points[i], points[i + 1], size)
            if not last:
                terms.append(way[i])
                # the core that goes into the other carries with it what lies beyond
                terms += self._turned(way[i], axis, taken, label)
                stands = self._stands(self._line_of[way[i].link.name], axis)
                if stands is not None:
                    terms.append(Term(stands, way[i].sense))
        shrinks = self._contraction(axis, nominal)
        return tuple(path), (*terms, *([shrinks] if shrinks else []))

    def _at_of(self, link: Link) -> Weights:
        return self._at.get(link.name) or ((seat_name(self._line_of[link.name].fit), 1.0),)

    def _turned(self, step: Term, axis: str, taken: Mapping[str, float], label: str) -> list[Term]:
        """What the small turns of a core in its seats add to its play, where the wall stands beyond its prints.

        Where nobody said where across its axis the wall is taken it is taken between the prints, and that is noted.
        """
        link = step.link
        turning = self._turnings.get(link.b.removeprefix("core "))
        if turning is None or axis not in turning.across:
            return []
        first, second = turning.across
        other = second if axis == first else first
        key = (link.name, taken.get(other))
        if key not in self._more:
            self._more[key] = self._turn_link(link, turning, axis, other, taken.get(other))
        more = self._more[key]
        if more is None:
            return []
        if other in taken:
            return [Term(more, step.sense)]
        self.not_said.setdefault(label, {})[turning.core, other] = max(more.plus, more.minus) * link.scale
        return []

    def turn_words(self, core: str, other: str, label: str, most: float) -> str:
        """What is not in a wall, as nobody said where across it is taken."""
        return (
            f"how far core {core} turns in its seats is not in it, up to {self.style.uncertainty(most)} at its "
            f"edges: say where along {other} {label or 'it'} is taken"
        )

    def _turn_link(self, link: Link, turning: Turning, axis: str, other: str, place: float | None) -> Link | None:
        """What turns add to the play of a link at one place, or at the edges of the core; None where nothing."""
        into = link.a.removeprefix("core ")
        reaches = self._reaches(turning, into, axis, other, place)
        if not reaches:
            return None
        # where the core stands in its seats by its places as read: its play is counted from there
        middle = sum(weight * self._off(name, turning.core, into, axis) for name, weight in self._at_of(link))
        plus = max(0.0, *(high - middle - link.plus for _, high in reaches))
        minus = max(0.0, *(middle - low - link.minus for low, _ in reaches))
        if max(plus, minus) <= LEAST_MM:
            return None
        where = "" if place is None else f"at {other} {self.style.given(place, unit=False)}"
        return Link(
            name=f"{link.name} turned, {where}",
            a=f"{link.a} {where}",
            b=f"{link.b} {where}",
            size=0.0,
            plus=plus,
            minus=minus,
            tool=link.tool,
            kind="fit",
            shape="uniform",
            scale=link.scale,
        )

    def _reaches(
        self, turning: Turning, into: str, axis: str, other: str, place: float | None
    ) -> list[tuple[float, float]]:
        """How far a core that turns goes there, lowest and highest, or at each edge; nothing where it cannot."""
        held = turning.held(axis, into)
        between = turning.turns(into) if len(held) > 1 and turning.may_turn(into) else None
        reaches = []
        for at in () if between is None else self._edges(turning.core, other) if place is None else (place,):
            whole = {word: at / self.scale(word) if word == other else 0.0 for word in AXES}
            lever = small_turns.levers(axis, turning.about, (whole["x"], whole["y"], whole["z"]))
            reaches.append(small_turns.reach(held, between or (0.0, 0.0), lever))
        return reaches

    def _edges(self, core: str, axis: str) -> tuple[float, ...]:
        """From where to where a core reaches, mm of the casting; nothing where that is not known."""
        body = self._bodies.get(core)
        if body is None:
            return ()
        whole = body.hull
        return body.known.get(axis, ()) if whole is None else (whole.low(axis), whole.high(axis))

    def _contraction(self, axis: str, nominal: float) -> Term | None:
        """What the doubt of the planned contraction does to a wall: one contraction for all walls along an axis."""
        job = self.facts.job
        ua = {"x": job.ua_x, "y": job.ua_y, "z": job.ua_z}[axis]
        if ua <= 0.0 or not self.measured:  # as drawn it is the tools and the play that are stacked
            return None
        link = Link(
            name=f"contraction along {axis}",
            a="mould",
            b="casting",
            size=0.0,
            plus=stacks.TOL_IN_SIGMA * ua,
            minus=stacks.TOL_IN_SIGMA * ua,
            tool=f"contraction along {axis}",
            kind="contraction",
        )
        return Term(link, -nominal * self.scale(axis))

    def part(self, end: End) -> str:
        """core 4, drag or cope."""
        return part_word(self.facts, end.core_id, end.half)

    def _on_tool(self, part: str, axis: str, enter: Point, leave: Point, size: float) -> list[Term]:
        """The dimension of a part from where the loop enters it to where it leaves it, with what was read of it."""
        flip = enter.name > leave.name
        a, b = (leave, enter) if flip else (enter, leave)
        sense = -1.0 if flip else 1.0
        key = (part, axis, a.name, b.name)
        if key not in self._dims:
            tool = self._tool(part)
            tol, label = kit_spots.tolerance(self.facts, part.removeprefix("core ")), tool.label if tool else part
            loads = self._loads(part, axis, a, b)
            mean, tied = self._mean(part, axis, loads)
            canonical = sense * size
            # of a place that is no place of a face or print nobody read anything: the whole size has its tolerance
            apart = self.measured and bool(a.at) and bool(b.at)
            self._dims[key] = Link(
                name=f"{part}: {a.name} to {b.name}",
                a=f"{part} {a.name}",
                b=f"{part} {b.name}",
                size=canonical,
                plus=0.0 if apart else tol,
                minus=0.0 if apart else tol,
                tool=label,
                measured=Estimate(canonical + mean, 0.0) if apart and tied else None,
            )
            self._errors[key] = self._doubts(part, axis, loads, tol, label) if apart else ()
        return [Term(self._dims[key], sense), *(Term(t.link, sense * t.sense) for t in self._errors[key])]

    def _loads(self, part: str, axis: str, a: Point, b: Point) -> dict[str, float]:
        loads: dict[str, float] = {}
        for point, sign in ((a, -1.0), (b, 1.0)):
            for name, weight in point.at:
                loads[name] = loads.get(name, 0.0) + sign * weight
        return loads

    def _mean(self, part: str, axis: str, loads: Mapping[str, float]) -> tuple[float, bool]:
        """What readings say of a dimension beside as drawn, mm of the casting; whether any does."""
        of_part = self._placed.get((part.removeprefix("core "), axis))
        if of_part is None:
            return 0.0, False
        tied = [name for name in loads if name in of_part.tied]
        off = sum(loads[name] * of_part.off[of_part.names.index(name)] for name in tied)
        return off * self.scale(axis), bool(tied)

    def _doubts(self, part: str, axis: str, loads: Mapping[str, float], tol: float, tool: str) -> tuple[Term, ...]:
        """The errors of a part's places in one dimension of it, each a link of its own that other walls share."""
        key = (part.removeprefix("core "), axis)
        of_part, scale = self._placed.get(key), self.scale(axis)
        made: list[Term] = []
        for name, load in loads.items():
            if of_part is None or name not in of_part.tied:
                half = tol / sqrt(2.0)  # of two places that nobody read the tolerance is that of what lies between
                link = Link(
                    name=f"{part} {name}",
                    a=part,
                    b=f"{part} {axis} {name}",
                    size=0.0,
                    plus=half,
                    minus=half,
                    tool=tool,
                    kind=PLACES,
                )
                made.append(Term(link, load))
        if of_part is not None and key not in self._causes:
            self._causes[key] = of_part.causes()
        for n, cause in enumerate(self._causes.get(key, ())):
            sense = scale * sum(load * cause.get(name, 0.0) for name, load in loads.items())
            if abs(sense) > 1e-9:
                link = Link(
                    name=f"{part} as read {n + 1}",
                    a=part,
                    b=f"{part} {axis} as read {n + 1}",
                    size=0.0,
                    plus=stacks.TOL_IN_SIGMA,
                    minus=stacks.TOL_IN_SIGMA,
                    tool=tool,
                    kind=PLACES,
                )
                made.append(Term(link, sense))
        return tuple(made)

    @cached_property
    def _cores(self) -> dict[str, Id]:
        return {f"core {c.number}": c.of_id for c in self.facts.cores}

    def _tool(self, part: str) -> Tool | None:
        if part in MOULD:
            return next(iter(self.facts.half_tools(part)), None)
        core = self._cores.get(part)
        return next(iter(self.facts.tools_of(core)), None) if core else None

    # ---------------------------------------------------------------- what it follows from
    def follows(self, axis: str, faces: Sequence[tuple[str, float]], terms: Sequence[Term]) -> tuple[list[str], bool]:
        """The sizes that were read and lead from these faces (part, place) to the prints; and whether they lead there.

        Without a way through the sizes that end on the faces.
        """
        links = [t.link for t in terms if t.link.kind == "fit" and t.link.name in self._line_of]
        names: list[str] = []
        leads = False
        for part, place in faces:
            face, of_part = kit_spots.face_name(axis, place), self._placed.get((part.removeprefix("core "), axis))
            if of_part is None:
                continue
            ends = [name for link in links if part in (link.a, link.b) for name, _ in self._at_of(link)]
            ways = [of_part.way(face, name) for name in ends]
            leads = leads or any(ways)
            at_face = [p.by for p in of_part.pitches if face in (p.a, p.b)]
            names += [name for way in ways for name in way] or at_face
        return list(dict.fromkeys(names)), leads


def taken_at(feature: Feature) -> dict[str, float]:
    """Where across its axis a size is taken, as entered or as its note says; mm of the casting."""
    told = {axis: mm for axis, mm in places_of(feature).items() if axis in AXES and axis != feature.axis}
    for axis, mm in (("x", feature.at_x), ("y", feature.at_y), ("z", feature.at_z)):
        if mm is not None and axis != feature.axis:
            told[axis] = mm
    return told


def _spread(links: tuple[Link, ...]) -> float:
    return sum(((link.plus + link.minus) / 2) ** 2 for link in links)
