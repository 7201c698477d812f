"""The tools of a job as they stood on a day, and the casting that they promise.

A promise comes from the newest reading of the tool that was made by that day and by the target then in force; where a
tool was not measured (or was changed and not measured since) it is the drawing's size, with the scatter that the
shop's own tools show about their targets, or the tooling band while too few are logged.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import hypot, sqrt
from statistics import median
from typing import TypeVar

from inspect_tui.frozen import frozen, frozen_by_name, replace
from inspect_tui.metrology.sizes import chain
from inspect_tui.metrology.typed.show import day_of
from inspect_tui.model.words import Id
from inspect_tui.model.work import ChainStep, Feature, Job, Tool, ToolFeature
from inspect_tui.record.ask.first_article import OnTool
from inspect_tui.shop.common import faces_touched
from inspect_tui.shop.common.evidence import Lives
from inspect_tui.shop.first_article.castings.job_facts import JobFacts
from inspect_tui.shop.first_article.castings.sampling import Sampling

V = TypeVar("V", Job, ToolFeature)

# mm, from a stick or master to the sand core (box made from it, core rapped): common practice, no source
TRANSFER_U = 0.03
ENOUGH_SIZES = 8  # logged tool sizes from which the shop's own scatter is believed
NO_LIMITS_U = 0.2  # mm, of a size that nothing limits and nobody measured: common practice, no source
LEAST_SCATTER = 0.02  # mm: no shop is better than this at all sizes
RANK = {
    "core_box": 0,
    "pattern_cope": 0,
    "pattern_drag": 0,
    "production_pattern": 0,
    "loose_piece": 1,
    "core_stick": 2,
    "master": 3,
}


def pour_day(sampling: Sampling) -> str | None:
    """The day the castings were poured; without one the day of their first reading; None before that."""
    lot = sampling.round.lot
    if lot is not None and lot.poured_on:
        return lot.poured_on
    days = [day_of(reading.at_us, reading.tz_min) for reading in sampling.all_taken]
    return min(days) if days else None


@frozen
class Promise:
    """The casting that the tools promise for a feature, with what it rests on."""

    mm: float
    u: float
    words: str
    tool: str | None = None  # the tool that was measured
    tool_mm: float | None = None


@frozen_by_name
class OnToolNow:
    """A feature on a tool as it stood when the castings were poured: the target in force and the newest readings."""

    tool: Tool
    feature: ToolFeature
    target: float
    values: tuple[float, ...] = ()
    u: float = 0.0
    day: str = ""


class ToolLog:
    """The tools of a job as they stood on a day (None: now)."""

    def __init__(self, sampling: Sampling, day: str | None) -> None:
        self.sampling, self.day = sampling, day
        facts = JobFacts(sampling.record, sampling.job) if day is None else sampling.facts  # now is asked for anew
        self.tools = facts.tools
        self._written = {} if day is None else facts.written
        self.job = self._in_force(facts.job_versions) if facts.job_versions else sampling.job
        self._read = [
            reading for reading in facts.taken_on_tools if day is None or day_of(reading.at_us, reading.tz_min) <= day
        ]
        self._setups = sampling.evidence.setups(reading.setup_id for reading in self._read)
        self._lives = Lives(facts.repairs, sampling.root)
        self.on_tools: dict[tuple[Id, Id], OnToolNow] = {}  # tool of_id, root of the feature
        for tool in self.tools:
            self._fill(tool, facts.tool_features.get(tool.of_id, []))
        self.scatter = self._own_scatter()

    def _in_force(self, versions: Sequence[V]) -> V:
        """Of versions the newest written by the day; the oldest when all are younger."""
        if self.day is None:
            return versions[-1]
        then = [version for version in versions if day_of(*self._written[version.id]) <= self.day]
        return then[-1] if then else versions[0]

    def _fill(self, tool: Tool, every: Sequence[ToolFeature]) -> None:
        root = self.sampling.root
        versions: dict[Id, list[ToolFeature]] = {}
        by_id: dict[Id, ToolFeature] = {}
        for version in self.sampling.versions(every):
            versions.setdefault(root(version.feature_id), []).append(version)
            by_id[version.id] = version
        readings: dict[Id, list[OnTool]] = {}
        for reading in self._read:
            if reading.tool_of_id == tool.of_id:
                readings.setdefault(root(reading.feature_id), []).append(reading)
        for key, history in versions.items():
            now = self._in_force(sorted(history, key=lambda version: version.id))
            target = self._target(now)
            read = [r for r in readings.get(key, ()) if abs(self._target(by_id[r.tool_feature_id]) - target) < 1e-6]
            read = [r for r in read if self.sampling.same_size(r.feature_id, now.feature_id)]
            life = self._lives.of(tool.of_id, key, self.day)
            read = [r for r in read if self._lives.of(tool.of_id, key, day_of(r.at_us, r.tz_min)) == life]
            if not read:
                self.on_tools[tool.of_id, key] = OnToolNow(tool=tool, feature=now, target=target)
                continue
            day = day_of(read[-1].at_us, read[-1].tz_min)
            begins = max((n for n, r in enumerate(read) if r.rep == 1), default=0)
            last = read[begins:]  # the newest line alone: between two lines the tool may have been cut
            made = self.sampling.evidence.put_right(last, self.sampling.own_feature(now.feature_id), tool)
            faces = faces_touched.u_rough(self.sampling.own_feature(now.feature_id), tool)
            u = hypot(max(self._u(r) for r in last), faces, *(line.u for line in made.lines))
            self.on_tools[tool.of_id, key] = OnToolNow(
                tool=tool, feature=now, target=target, values=made.values, u=u, day=day
            )

    def _target(self, tool_feature: ToolFeature) -> float:
        return chain.forward(chain.wanted(self.sampling.own_feature(tool_feature.feature_id)), tool_feature.steps).value

    def _u(self, reading: OnTool) -> float:
        """Standard uncertainty of a reading on a tool: certificate and display."""
        means = self.sampling.gauges.means(self._setups[reading.setup_id], day_of(reading.at_us, reading.tz_min))
        k = means.calibration.k if means.calibration else 2.0
        return hypot(means.u95() / k, means.resolution_mm / sqrt(12.0))

    def _own_scatter(self) -> float | None:
        """How the shop's tools scatter about their targets (median of the distances, robust); None with too few."""
        off = [
            abs(sum(now.values) / len(now.values) - now.target)
            for now in self.on_tools.values()
            if now.values and self.sampling.own_feature(now.feature.feature_id).scale != "tool"
        ]
        if len(off) < ENOUGH_SIZES:
            return None
        return max(1.4826 * median(off), LEAST_SCATTER)

    def contraction(self, feature: Feature) -> float:
        """What the tools of a feature were laid out with, tool / casting - 1; the box before its stick."""
        root = self.sampling.root(feature.id)
        laid = [
            now
            for (_, key), now in self.on_tools.items()
            if key == root and any(step.kind == "contraction" for step in now.feature.steps)
        ]
        if laid:
            now = min(laid, key=lambda on: (RANK.get(on.tool.kind, 9), on.tool.label))
            return chain.scale_of(now.feature.steps, ("contraction",)) - 1.0
        if feature.a is not None:
            return feature.a
        return {"x": self.job.a_x, "y": self.job.a_y, "z": self.job.a_z}.get(
            feature.axis, (self.job.a_x + self.job.a_y + self.job.a_z) / 3.0
        )

    def promise(self, feature: Feature) -> Promise:
        """The casting that the tools as measured promise."""
        root = self.sampling.root(feature.id)
        known = [now for (_, key), now in self.on_tools.items() if key == root and now.values]
        known = [now for now in known if now.tool.kind in RANK]
        if known:
            now = min(known, key=lambda on: (RANK[on.tool.kind], on.tool.label))
            value = sum(now.values) / len(now.values)
            u = now.u if RANK[now.tool.kind] < 2 else hypot(now.u, TRANSFER_U)
            steps = tuple(_sure(step) for step in now.feature.steps)
            cast = chain.back(value, u, steps, to="cast")
            words = f"{now.tool.label} measured {self.sampling.style.length(value, unit=False)} on {now.day}"
            return Promise(cast.value, cast.u, words, now.tool.label, value)
        size = self.sampling.sizes(feature)
        band_u = None
        if size.band.width is not None:
            band_u = self.sampling.job.tool_share * size.band.width / 2.0 / sqrt(3.0)
        u, why = self._u_nominal(band_u)
        return Promise(size.target, u, f"tools not measured for it: drawing size, {why}")

    def _u_nominal(self, band_u: float | None) -> tuple[float, str]:
        if self.scatter is not None and (band_u is None or self.scatter < band_u):
            return self.scatter, "with the scatter of this job's measured tools"
        if band_u is None:
            return NO_LIMITS_U, f"no limits, {self.sampling.style.given(NO_LIMITS_U, unit=False)} assumed"
        return band_u, "with the tooling band as uncertainty"


def _sure(step: ChainStep) -> ChainStep:
    """A step of contraction without its doubt: contraction is one of the causes that are weighed."""
    return replace(step, u=0.0) if step.kind == "contraction" else step
