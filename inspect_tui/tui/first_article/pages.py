"""The pages behind the grid: what a search in another thread found, as text for causes, cuts, stock and rounds."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rich.text import Text

from inspect_tui.errors import InspectError
from inspect_tui.frozen import frozen_by_name
from inspect_tui.metrology.kit.capacity import flows
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.tui import todo

if TYPE_CHECKING:
    from inspect_tui.model.work import Job
    from inspect_tui.record.read import Reader
    from inspect_tui.shop.first_article.causes import PlanAnswer
    from inspect_tui.shop.first_article.result import FirstArticle
    from inspect_tui.shop.first_article.side_by_side import SideBySide
    from inspect_tui.shop.first_article.taken_over import CutWork
    from inspect_tui.shop.measuring.castings import RoundPlan


@frozen_by_name
class Answer:
    """What one search found; `problem` instead when there was nothing to search.

    `of_record` is `article` in the words that are kept in the record: what is taken over from it is written down.
    """

    article: FirstArticle | None
    of_record: FirstArticle | None = None
    work: tuple[CutWork, ...]
    labels: tuple[str, ...]
    rounds: tuple[SideBySide, ...]
    plan: PlanAnswer | None
    to_tell: RoundPlan | None = None
    problem: str | None = None


def answer(reader: Reader, job: Job, label: str, style: Style = MM) -> Answer:
    """Everything the pages show, read through a connection of the search's own and said in `style`."""
    from inspect_tui.shop.first_article.article import assemble
    from inspect_tui.shop.first_article.castings.rounds import pick_round
    from inspect_tui.shop.first_article.castings.sampling import Sampling
    from inspect_tui.shop.first_article.castings.screening import explainable, look
    from inspect_tui.shop.first_article.causes import plan_answer, search
    from inspect_tui.shop.first_article.side_by_side import side_by_side
    from inspect_tui.shop.first_article.taken_over import work
    from inspect_tui.shop.measuring.castings import plan_of

    try:
        sampling = Sampling(reader, job, pick_round(reader, job, label), style)
        labels, rows = side_by_side(reader, job, sampling)
        taken_over = work(reader, job, sampling.facts)
        looked = look(sampling)
        if not sampling.anything:
            plan = plan_answer(sampling, looked, castings=max(len(sampling.castings), 1))
            return Answer(
                article=None,
                work=taken_over,
                labels=labels,
                rounds=rows,
                plan=plan,
                problem=f"Nothing of {label} has been measured yet.",
            )
        explanation = search(looked) if explainable(looked) else None
        article = assemble(sampling, looked=looked, explanation=explanation)
        plain = sampling.for_record()
        of_record = article if plain is sampling else assemble(plain, explanation=explanation)
        to_tell = plan_of(sampling, looked, article.causes, style) if explanation is not None else None
        return Answer(
            article=article,
            of_record=of_record,
            work=taken_over,
            labels=labels,
            rounds=rows,
            plan=None,
            to_tell=to_tell,
        )
    except InspectError as problem:
        return Answer(article=None, work=(), labels=(), rounds=(), plan=None, problem=todo.said(problem))


def page_text(page: str, answered: Answer | None, searching: bool, width: int, style: Style = MM) -> Text:
    """One page; a sentence while the search is at work."""
    from inspect_tui.report.term import first_article as term

    if answered is None:
        return Text("at work …" if searching else "")
    if page == "rounds":
        return term.rounds_text(answered.labels, answered.rounds, width, style=style)
    article = answered.article
    if article is None:
        out = Text((answered.problem or "") + "\n", style="bold")
        if page == "causes" and answered.plan is not None:
            out.append("\n")
            out.append_text(term.plan_text(answered.plan, width))
        return out
    if page == "decisions":
        out = term.signed_text(article, width, style)
        out.append("Shift+F8 decides  Shift+F9 geometrical tolerances  Shift+F11 checked, released\n", style="dim")
        return out
    if page == "causes":
        out = term.questions_text(article.questions, article.loops, width)
        if out.plain:
            out.append("Ctrl+R puts one of them right\n\n", style="dim")
        out.append_text(term.causes_text(article.causes, width, style))
        if answered.to_tell is not None and answered.to_tell.lines:
            from inspect_tui.report.term.measuring import to_tell_text

            out.append("\nto tell causes apart, read next\n", style="bold")
            out.append_text(to_tell_text(answered.to_tell, width))
            out.append("F12 writes the sheet of it: edition sheet\n", style="dim")
        return out
    if page == "cuts":
        out = term.cuts_text(article.cuts, article.promises, answered.work, width, style)
        if article.cuts is not None and article.cuts.cuts:
            out.append("Ctrl+N takes cuts over: they become work on the Bench\n", style="dim")
        return out
    out = term.stock_text(article.stock, width, style)
    for line in article.passages:
        out.append(line.sentence + "\n")
        if line.serial is None and line.capacity is not None:
            said = (flows(line.capacity, line.capacity_unit, style), line.how)
            out.append("; ".join(filter(None, said)) + "\n", style="dim")
    if article.passages:
        out.append(article.passages[0].caveat + "\n", style="dim")
    return out
