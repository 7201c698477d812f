"""A sampling looked through, as the person with the cut list has it: cuts are taken over, tools measured again."""

from __future__ import annotations

from dataclasses import dataclass

from inspect_tui.record.store import Record
from inspect_tui.shop.bench.line import Bench
from inspect_tui.shop.common import find
from inspect_tui.shop.first_article.article import assemble
from inspect_tui.shop.first_article.castings.rounds import pick_round
from inspect_tui.shop.first_article.castings.sampling import Sampling
from inspect_tui.shop.first_article.castings.screening import Screening, look
from inspect_tui.shop.first_article.result import FirstArticle
from inspect_tui.shop.first_article.take_over import take_over


@dataclass
class Desk:
    """A sampling looked through, as the person with the cut list has it."""

    record: Record
    sampling: Sampling
    looked: Screening
    article: FirstArticle

    def take(self, *numbers: int):
        return take_over(self.record, self.sampling, self.looked, self.article.causes, self.article.cuts, numbers)

    def number(self, cause: str, tool: str | None = None) -> int:
        return next(c.number for c in self.article.cuts.cuts if c.cause == cause and tool in (None, c.tool))


def desk_of(record: Record, label: str, article: FirstArticle | None = None) -> Desk:
    """The sampling at hand; its first article is given where it was found out before."""
    job = find.job(record, None)
    sampling = Sampling(record, job, pick_round(record, job, label))
    looked = look(sampling)
    return Desk(record, sampling, looked, article or assemble(sampling, looked=looked))


def bench(desk: Desk, on: str) -> Bench:
    job = find.job(desk.record, None)
    return Bench(
        desk.record,
        job,
        find.subject(desk.record, job, on),
        find.person(desk.record, "B1"),
        find.instrument(desk.record, "caliper 1"),
        today="2023-09-11",
    )


def target(desk: Desk, on: str, balloon: str) -> float:
    return next(task.sizes.target for task in bench(desk, on).tasks if task.feature.balloon == balloon)


def measure(desk: Desk, on: str, balloon: str, text: str) -> None:
    here = bench(desk, on)
    here.goto(balloon)
    here.take(text)
    here.keep_pending()
