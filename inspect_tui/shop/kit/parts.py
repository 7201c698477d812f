"""Parts of a kit joined by fits: how the place of every core comes from the mould, and the loop between two faces."""

from __future__ import annotations

from functools import cached_property
from math import hypot

from inspect_tui.errors import DataError
from inspect_tui.metrology.faces import stacks
from inspect_tui.metrology.faces.stacks import Link, Term
from inspect_tui.metrology.kit.setting import MOULD
from inspect_tui.metrology.sizes import chain
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.kit import Fit
from inspect_tui.model.words import Estimate, Id
from inspect_tui.model.work import End, Feature, Tool
from inspect_tui.shop.kit.facts import KitFacts
from inspect_tui.shop.kit.fits import FitLine, part_word
from inspect_tui.shop.kit.order import AXIS_PLACES, holds_of

RISE_MM = 0.5  # taken for how far a core can rise in its seat where nobody said it: common practice, no source
RESTS_MM = 0.05  # a seat no deeper than its print by more than this bears it on its ground: a judgement, no source
TOL_MM = 0.15  # plus or minus, between two faces or seats of one core or pattern half: common practice, no source


class Parts:
    """Cores and mould halves joined by fits; made once for as drawn and once for as measured.

    `style` writes the places of faces that no fit names.
    """

    def __init__(self, facts: KitFacts, lines: tuple[FitLine, ...], measured: bool, style: Style = MM) -> None:
        self.facts, self.lines, self.measured, self.style = facts, lines, measured, style
        self._own_axis = {(line.fit.label, line.fit.axis) for line in lines if line.fit.place in AXIS_PLACES}
        self._heights: dict[tuple[str, str, str, str], FitLine] = {}  # rows along the way in, with sizes on both sides
        for line in lines:
            if line.fit.axis == line.fit.way_in[0] and line.print.feature is not None and line.seat.feature is not None:
                self._heights.setdefault((line.fit.label, line.inner, line.outer, line.fit.axis), line)
        self._line_of = {f"{line.fit.name} {axis}": line for line in lines for axis in "xyz"}
        self._guessed: set[str] = set()  # names of links that count with what practice says, as nobody said it
        self._chain = {axis: self._chains(axis) for axis in "xyz"}
        self._dims: dict[tuple[str, str, str, str], Link] = {}
        self.fit_of: dict[str, Fit] = {}  # link's name -> fit
        self.read: set[str] = set()  # names of links whose fit was read on both sides
        for line in lines:
            for axis in "xyz":
                self.fit_of[f"{line.name} {axis}"] = line.fit
                if line.verdict.measured == "both" and line.fit.way_in[0] != axis:
                    self.read.add(f"{line.name} {axis}")

    def scale(self, axis: str) -> float:
        """Casting mm for each tooling mm along an axis."""
        job = self.facts.job
        return 1.0 / (1.0 + {"x": job.a_x, "y": job.a_y, "z": job.a_z}[axis])

    def _chains(self, axis: str) -> dict[str, tuple[Link, ...]]:
        """Part -> the fits from it down to what nothing holds (the drag), by the way that leaves the least play.

        A core's place comes from what it sits in, never from what is set on it later.
        """
        links: dict[str, dict[str, Link]] = {}
        for line in self.lines:
            link = self._fit_link(line, axis)
            if (
                link is not None
            ):  # of several fits of the same two parts the closest decides, a guess where nothing else
                known = links.setdefault(link.b, {}).get(link.a)
                if known is None or self._loose((link,)) < self._loose((known,)):
                    links[link.b][link.a] = link
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
        if fit.inner_feature_id is None and fit.outer_feature_id is None and fit.gap_feature_id is None:
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
            names = (f"end A of {feature.balloon}", f"end B of {feature.balloon}")
            return self._loop(axis, (a, None, names[0]), (b, None, names[1]), nominal)
        return self.between(axis, a, low, b, high)

    def between(
        self, axis: str, a: str, low_mm: float, b: str, high_mm: float
    ) -> tuple[tuple[str, ...], tuple[Term, ...]]:
        """The same between any two faces: `a` and `b` are parts, the places mm of the casting as drawn along `axis`."""
        names = [f"face {axis} {self.style.given(place, unit=False)}" for place in (low_mm, high_mm)]
        return self._loop(axis, (a, low_mm, names[0]), (b, high_mm, names[1]), high_mm - low_mm)

    def _loop(
        self, axis: str, a: tuple[str, float | None, str], b: tuple[str, float | None, str], nominal: float
    ) -> tuple[tuple[str, ...], tuple[Term, ...]]:
        way = self._way(a[0], b[0], axis)
        path = [a[0]]
        for term in way:
            path.append(term.link.b if path[-1] == term.link.a else term.link.a)
        low, high = a[1] or 0.0, nominal if b[1] is None else b[1]
        faces = [a[2], *(t.link.name for t in way), b[2]]
        terms: list[Term] = []
        for i, part in enumerate(path):
            first, last = i == 0, i == len(path) - 1
            size = (high if last else 0.0) - (low if first else 0.0)
            place = a[1] if first else b[1] if last else None
            terms.append(self._dim(part, axis, faces[i], faces[i + 1], size, place, first))
            if not last:
                terms.append(way[i])
                stands = self._stands(self._line_of[way[i].link.name], axis)
                if stands is not None:
                    terms.append(Term(stands, way[i].sense))
        shrinks = self._contraction(axis, nominal)
        return tuple(path), (*terms, *([shrinks] if shrinks else []))

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

    def _dim(self, part: str, axis: str, enter: str, leave: str, size: float, place: float | None, first: bool) -> Term:
        """The dimension of a part from where the loop enters it to where it leaves it; one link whichever way."""
        flip = enter > leave
        a, b = (leave, enter) if flip else (enter, leave)
        key = (part, axis, a, b)
        if key not in self._dims:
            tol, tool = self._tolerance(part), self._tool(part)
            canonical = -size if flip else size
            reading = self._face_read(part, axis, place, tol) if self.measured and place is not None else None
            seen = None
            if reading is not None:
                shift, u = reading
                # the end of the loop that the face stands at: entering at A counts against the axis
                seen = Estimate(canonical + (-1 if first else 1) * (-1 if flip else 1) * shift, u)
            self._dims[key] = Link(
                name=f"{part}: {a} to {b}",
                a=f"{part} {a}",
                b=f"{part} {b}",
                size=canonical,
                plus=tol,
                minus=tol,
                tool=tool.label if tool else part,
                measured=seen,
            )
        return Term(self._dims[key], -1.0 if flip else 1.0)

    @cached_property
    def _cores(self) -> dict[str, Id]:
        return {f"core {c.number}": c.of_id for c in self.facts.cores}

    def _tolerance(self, part: str) -> float:
        detail = self.facts.details.get(self._cores.get(part, b""))
        return detail.tol_mm if detail and detail.tol_mm is not None else TOL_MM

    def _tool(self, part: str) -> Tool | None:
        if part in MOULD:
            return next(iter(self.facts.half_tools(part)), None)
        core = self._cores.get(part)
        return next(iter(self.facts.tools_of(core)), None) if core else None

    # ---------------------------------------------------------------- what was measured of a face
    def _face_read(self, part: str, axis: str, place: float, tol: float) -> tuple[float, float] | None:
        """How far a face stands off its place along the axis, from a size of its own part that was read.

        The size alone doesn't say which of its two faces is off: each gets half, and keeps the spread of its place.
        """
        read = self._faces.get((part, axis, round(place, 6)))
        if read is None:
            return None
        shift, u = read
        return shift, hypot(u, tol / stacks.TOL_IN_SIGMA)

    @cached_property
    def _faces(self) -> dict[tuple[str, str, float], tuple[float, float]]:
        return _read_faces(self.facts)

    def read_at(self, part: str, axis: str, place: float) -> list[str]:
        """The balloons of the sizes that were read on a part's tools and end at this face."""
        balloons = []
        for root, feature in self.facts.feature.items():
            ends = {(self.part(end), round(end.coord_mm, 3)) for end in feature.ends if end.coord_mm is not None}
            mine = feature.axis == axis and feature.scale != "tool" and (part, round(place, 3)) in ends
            if mine and len({whose for whose, _ in ends}) == 1 and tool_casting(self.facts, root, feature) is not None:
                balloons.append(feature.balloon)
        return balloons


def _spread(links: tuple[Link, ...]) -> float:
    return sum(((link.plus + link.minus) / 2) ** 2 for link in links)


def _read_faces(facts: KitFacts) -> dict[tuple[str, str, float], tuple[float, float]]:
    """(part, axis, place) -> shift along the axis and its u, casting mm; the surest size where several share a face.

    The contraction's own uncertainty is left out: it is a link of the wall.
    """
    faces: dict[tuple[str, str, float], tuple[float, float]] = {}
    for root, feature in facts.feature.items():
        if feature.scale == "tool" or feature.axis not in ("x", "y", "z") or len(feature.ends) != 2:
            continue
        a, b = sorted(feature.ends, key=lambda e: e.which)
        part = part_word(facts, a.core_id, a.half)
        same = part == part_word(facts, b.core_id, b.half) and a.core_id == b.core_id
        if not same or a.coord_mm is None or b.coord_mm is None:
            continue
        read = tool_casting(facts, root, feature)
        if read is None:
            continue
        off = (read.value - chain.cast_wanted(feature)) / 2
        for end, shift in ((a, -off), (b, off)):
            key = (part, feature.axis, round(end.coord_mm or 0.0, 6))
            if key not in faces or read.u / 2 < faces[key][1]:
                faces[key] = (shift, read.u / 2)
    return faces


def tool_casting(facts: KitFacts, root: Id, feature: Feature) -> Estimate | None:
    """The casting's size that the tool as read would give under the planned contraction, with the reading's u alone."""
    if not feature.ends:
        return None
    end = feature.ends[0]
    core = facts.core_of.get(end.core_id or b"")
    tools = facts.tools_of(core) if core else facts.half_tools(end.half or "drag")
    for tool in tools:
        state, on = facts.now(tool, root), facts.on_tool.get((tool.of_id, root))
        if state is None or on is None:
            continue
        whole = chain.scale_of([s for s in on.steps if s.kind not in ("stock", "draft")])
        return Estimate(chain.back(state.value, 0.0, on.steps).value, state.u / whole)
    return None
