"""Everything of a job as one plan: what a file describes, or what the record holds, ready to be written or compared."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from inspect_tui.frozen import frozen_by_name
from inspect_tui.metrology.sizes import chain
from inspect_tui.model.first_article import DatumTarget
from inspect_tui.model.kit import CoreDetail, Fit, Passage, PassagePoint, Stack, StackMember, ToolDetail
from inspect_tui.model.measuring import Calibration, Instrument, Person
from inspect_tui.model.mould import CoreBody, MouldOutline
from inspect_tui.model.signed import Geometry
from inspect_tui.model.words import Id
from inspect_tui.model.work import Core, DrawingRevision, Feature, Item, Job, JobState, Lot, Tool, ToolFeature
from inspect_tui.record.chain.ids import uuid7
from inspect_tui.shop.common import parting
from inspect_tui.shop.common.parting import Parting

PLAN_U = 0.0015  # standard uncertainty of a planned contraction, 0.15 %: a judgement, no source
SAMPLE_REV = "sample"  # the edition that stands for a sample casting until there is a drawing
RESIN_U = 0.0005  # of a resin's contraction: a judgement, no source


@frozen_by_name
class PictureOf:
    """A picture file and what it shows: the kind's number and the id of the first version."""

    path: Path
    shown_name: str
    about_kind: int
    about_id: Id
    on: str  # in words, as a job file names it
    caption: str | None = None
    balloons: str | None = None


@frozen_by_name
class JobPlan:
    """Everything of a job, ids filled in, ready to be written in one go."""

    job: Job
    revision: DrawingRevision
    cores: tuple[Core, ...] = ()
    tools: tuple[Tool, ...] = ()
    features: tuple[Feature, ...] = ()
    tool_features: tuple[ToolFeature, ...] = ()
    targets: tuple[DatumTarget, ...] = ()
    geometries: tuple[Geometry, ...] = ()
    people: tuple[Person, ...] = ()
    gauges: tuple[Instrument, ...] = ()
    certificates: tuple[Calibration, ...] = ()
    core_details: tuple[CoreDetail, ...] = ()
    bodies: tuple[CoreBody, ...] = ()
    tool_details: tuple[ToolDetail, ...] = ()
    outline: MouldOutline | None = None
    parting: Parting | None = None
    fits: tuple[Fit, ...] = ()
    loops: tuple[tuple[Stack, tuple[StackMember, ...]], ...] = ()
    passages: tuple[tuple[Passage, tuple[PassagePoint, ...]], ...] = ()
    lots: tuple[Lot, ...] = ()
    castings: tuple[Item, ...] = ()
    pictures: tuple[PictureOf, ...] = ()
    remarks: tuple[str, ...] = ()  # what was taken from a table, and what is worth knowing
    questions: tuple[str, ...] = ()  # what is so unlikely that it is asked about before anything is written

    def rows(self) -> list[Any]:
        """In the order that keeps every reference pointing back; people, gauges and pictures are not the job's own."""
        opened = JobState(job_id=self.job.id, state="open")
        return [
            self.job,
            opened,
            self.revision,
            *self.cores,
            *self.tools,
            *self.targets,
            *self.features,
            *self.tool_features,
            *self.geometries,
            *self.kit_rows(),
        ]

    def kit_rows(self) -> list[Any]:
        """What is to be known of cores, tools, fits, loops, passages, samplings."""
        of_loops = [row for stack, members in self.loops for row in (stack, *members)]
        of_passages = [row for passage, points in self.passages for row in (passage, *points)]
        said: list[Any] = [self.outline] if self.outline else []
        if self.parting is not None:
            said += parting.rows(self.job.of_id, self.parting)
        own = [*self.core_details, *self.bodies, *self.tool_details, *said]
        return [*own, *self.fits, *of_loops, *of_passages, *self.lots, *self.castings]


def sample_edition(job: Job) -> tuple[str, str]:
    """What stands for the drawing's number and letter while there is only a sample casting."""
    return f"{job.number} sample casting", SAMPLE_REV


def tool_feature(job: Job, feature: Feature, tool: Tool) -> ToolFeature:
    """A feature as it stands on a tool, with the steps that lead to its size there."""
    made = uuid7()
    return ToolFeature(
        id=made,
        of_id=made,
        tool_id=tool.id,
        feature_id=feature.id,
        sense=chain.sense_on(feature, tool),
        steps=chain.plan_steps(feature, tool, job),
    )


def measurable(feature: Feature, tool: Tool) -> bool:
    """Whether a feature joins a tool by itself: the tool makes all of its ends."""
    return bool(feature.ends) and chain.measurable_on(feature, tool)
