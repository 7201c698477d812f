"""What is asked of a job more than once in one look at its samplings, read when it is first asked."""

from __future__ import annotations

from functools import cached_property

from inspect_tui.model.first_article import CutAccepted, CutPromise, DatumTarget
from inspect_tui.model.kit import Fit, Passage
from inspect_tui.model.trends import ToolRepair
from inspect_tui.model.words import Id
from inspect_tui.model.work import Core, Job, Lot, Tool, ToolFeature
from inspect_tui.record.ask.first_article import OnTool
from inspect_tui.record.read import Reader
from inspect_tui.shop.common.parting import of_job
from inspect_tui.shop.first_article.castings.rounds import Round, rounds_of


class JobFacts:
    """What a job has, as it stood when it was first asked for."""

    def __init__(self, record: Reader, job: Job) -> None:
        self._record, self._job = record, job

    @cached_property
    def lots(self) -> list[Lot]:
        """The lots, oldest first."""
        return self._record.lots(self._job.of_id)

    @cached_property
    def rounds(self) -> list[Round]:
        """The samplings, oldest first."""
        return rounds_of(self.lots, self._record.all_castings(self._job.of_id))

    @cached_property
    def repairs(self) -> list[ToolRepair]:
        """The repairs of its tools, by day."""
        mine = {tool.of_id for tool in self.tools}
        return [repair for repair in self._record.tool_repairs() if repair.tool_of_id in mine]

    @cached_property
    def passages(self) -> list[Passage]:
        """The passages, each with the law that the customer stated around its formula."""
        from inspect_tui.shop.kit.facts import stated_passages  # the Bench asks for cuts and never for passages

        return stated_passages(self._record, self._job.of_id)

    @cached_property
    def fits(self) -> list[Fit]:
        """The fits of the kit."""
        return self._record.fits(self._job.of_id)

    @cached_property
    def parting_axis(self) -> str:
        """Along which axis the mould parts; z where nobody said."""
        parting = of_job(self._record, self._job)
        return parting.axis if parting else "z"

    @cached_property
    def datum_targets(self) -> list[DatumTarget]:
        """The datum targets of the drawing."""
        return self._record.datum_targets(self._job.of_id)

    @cached_property
    def cuts_accepted(self) -> list[tuple[CutAccepted, tuple[CutPromise, ...]]]:
        """The cuts that were taken over, with what each promised, oldest first."""
        return self._record.cuts_accepted(self._job.of_id)

    # ---------------------------------------------------------------- its tools, then and now
    @cached_property
    def tools(self) -> list[Tool]:
        """The tools, oldest first."""
        return self._record.tools(self._job.of_id)

    @cached_property
    def tool_versions(self) -> dict[Id, Id]:
        """Every version's id of every tool -> the id of its first version."""
        return self._record.tool_versions(self._job.of_id)

    @cached_property
    def cores(self) -> list[Core]:
        """The cores by number."""
        return self._record.cores(self._job.of_id)

    @cached_property
    def job_versions(self) -> list[Job]:
        """Every version of the job, oldest first."""
        return self._record.job_history(self._job.of_id)

    @cached_property
    def tool_features(self) -> dict[Id, list[ToolFeature]]:
        """Every version of the features of the tools, by the tool's first version."""
        return self._record.all_tool_features(self._job.of_id, self.tool_versions)

    @cached_property
    def written(self) -> dict[Id, tuple[int, int]]:
        """When these versions were written: microseconds UTC, minutes from UTC."""
        ids = [version.id for version in self.job_versions]
        ids += [version.id for versions in self.tool_features.values() for version in versions]
        return self._record.entry_times(ids)

    @cached_property
    def taken_on_tools(self) -> list[OnTool]:
        """The readings that count of all tools."""
        return self._record.taken_on_tools(self._job.of_id)
