"""Jobs: what may be changed about a job that is there: name, customer's reference, decision rule, tooling share."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inspect_tui.frozen import replace
from inspect_tui.model.words import RULES
from inspect_tui.model.work import Job
from inspect_tui.tui.choosers import Form

if TYPE_CHECKING:
    from inspect_tui.tui.jobs.screen import JobsScreen


def ask(screen: JobsScreen, job: Job) -> None:
    """The form; what it changes is a new version of the job, and what was given out stays."""

    def wrong(values: dict[str, str]) -> str | None:
        made = changed_job(job, values)
        return made if isinstance(made, str) else None

    def change(values: dict[str, str] | None) -> None:
        made = changed_job(job, values) if values else job
        if isinstance(made, str) or made == job:
            return

        def act() -> str:
            screen.record.revise(
                job, name=made.name, customer_ref=made.customer_ref, rule=made.rule, tool_share=made.tool_share
            )
            return f"Job {job.number} changed; verdicts follow its rule from now on, reports given out stay."

        screen.attempt(act, job)

    screen.app.push_screen(Form(f"Change job {job.number}", change_fields(job), wrong), change)


def change_fields(job: Job) -> list[tuple[str, str, str]]:
    """The form of what may be changed about a job; its contraction changes by the drawing or by a cut list."""
    return [
        ("name", "name: what it is", job.name),
        ("customer_ref", "customer's: order or part number; may be left out", job.customer_ref or ""),
        ("rule", f"rule: {', '.join(RULES)}: how far inside a limit counts as proved", job.rule),
        ("tool_share", "tool share: the tooling band as a share of the casting band", f"{job.tool_share:.4g}"),
    ]


def changed_job(job: Job, values: dict[str, str]) -> Job | str:
    """The job with what was typed, or what is wrong with it."""
    if not values["name"].strip():
        return "A job has a name."
    if values["rule"] not in RULES:
        return f"The decision rule is one of {', '.join(RULES)}."
    try:
        share = float(values["tool_share"].replace(",", "."))
    except ValueError:
        return f"{values['tool_share']} is no share: type it such as 0.333."
    if not 0.01 <= share <= 1.0:
        return f"A tooling band of {share:g} of the casting band: a share lies between 0.01 and 1."
    if abs(share - job.tool_share) < 5e-5:
        share = job.tool_share  # not typed over
    return replace(
        job,
        name=values["name"].strip(),
        customer_ref=values["customer_ref"].strip() or None,
        rule=values["rule"],
        tool_share=share,
    )
