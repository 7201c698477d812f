"""First article: the datum targets that hold the castings, listed, added, changed and taken away."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from inspect_tui.errors import InspectError
from inspect_tui.model.first_article import DatumTarget
from inspect_tui.shop.jobs import datum_targets
from inspect_tui.tui import todo
from inspect_tui.tui.choosers import NEW, Chooser, Form
from inspect_tui.tui.first_article.ask import by_whom

if TYPE_CHECKING:
    from inspect_tui.tui.first_article.keys import FirstArticleKeys


def ask(screen: FirstArticleKeys) -> None:
    """The targets of the job; one of them to change, or a new one."""
    job, record = screen.job, screen.app.record
    if job is None:
        screen.say("There is no job yet: the Jobs place (F10) makes one.")
        return
    rows: list[tuple[Any, str]] = [(one, datum_targets.words(one)) for one in record.datum_targets(job.of_id)]
    rows.append((NEW, "+ a new one"))

    def chosen(what: Any) -> None:
        if what is not None:
            _form(screen, None if what == NEW else what)

    screen.app.push_screen(Chooser("Which datum target?", rows), chosen)


def _form(screen: FirstArticleKeys, target: DatumTarget | None) -> None:
    job, record = screen.job, screen.app.record
    assert job is not None
    first = datum_targets.first_values(target)

    def wrong(values: dict[str, str]) -> str | None:
        made = datum_targets.read(job, values)
        return made if isinstance(made, str) else None

    def use(values: dict[str, str] | None) -> None:
        made = datum_targets.read(job, values) if values else None
        if made is None or isinstance(made, str):
            return
        try:
            said = datum_targets.put(record, job, made, by_whom(screen))
        except InspectError as problem:
            screen.say(f"Not entered: {todo.said(problem)}", "bold red")
            return
        if screen.sampling is not None:
            screen.changed(said)
        else:
            screen.say(said, "bold green")

    fields = [(key, label, first.get(key, "")) for key, label in datum_targets.FIELDS]
    title = f"Datum target {target.label}" if target else "A new datum target"
    screen.app.push_screen(Form(title, fields, wrong), use)
