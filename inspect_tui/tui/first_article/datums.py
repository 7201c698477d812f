"""First article: the datum targets that hold the castings, listed, added, changed and taken away."""

from __future__ import annotations

from typing import Any

from inspect_tui.metrology.typed.fields import Wrong
from inspect_tui.model.first_article import DatumTarget
from inspect_tui.model.work import Job
from inspect_tui.shop.jobs import datum_targets
from inspect_tui.tui import forms
from inspect_tui.tui.first_article.open_sampling import OpenSampling
from inspect_tui.tui.question import NEW, choose


def which(place: OpenSampling) -> None:
    """The targets of the job; one of them to change, or a new one."""
    job = place.job
    if job is None:
        place.say("There is no job yet: the Jobs place (F10) makes one.")
        return
    rows: list[tuple[Any, str]] = [
        (target, datum_targets.words(target, place.app.written)) for target in place.record.datum_targets(job.of_id)
    ]
    rows.append((NEW, "+ a new one"))
    choose(place, "Which datum target?", rows, lambda what: _fill_in(place, job, None if what == NEW else what))


def _fill_in(place: OpenSampling, job: Job, target: DatumTarget | None) -> None:
    def read(texts: dict[str, str]) -> DatumTarget | Wrong:
        made = datum_targets.read(job, texts)
        return Wrong(made) if isinstance(made, str) else made

    forms.ask(
        place,
        f"Datum target {target.label}" if target else "A new datum target",
        forms.first(
            datum_targets.FIELDS,
            datum_targets.first_values(target),
            {"axis": ("x", "y", "z"), "use": (("yes", "it holds the casting"), ("no", "it is taken away"))},
        ),
        read=read,
        use=lambda made: datum_targets.put(place.record, job, made, place.by, place.app.written),
        then=place.changed,
        again=target is None,
    )
