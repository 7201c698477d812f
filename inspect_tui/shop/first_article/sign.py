"""A first article is checked and released by people: acts that decide, written with what they rest on."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inspect_tui.errors import DataError, NotAllowed, NotFound
from inspect_tui.frozen import replace
from inspect_tui.metrology.typed.show import count
from inspect_tui.model.measuring import Person
from inspect_tui.model.signed import ACTS, ArticleSign
from inspect_tui.record.chain import rights
from inspect_tui.shop.first_article.article import first_article
from inspect_tui.shop.first_article.castings.sampling import Sampling
from inspect_tui.shop.first_article.signed.dispositions import MOST_NAMED, open_points
from inspect_tui.shop.first_article.signed.statement import rests_on

if TYPE_CHECKING:
    from inspect_tui.record.store import Record


def sign(record: Record, sampling: Sampling, act: str, by: Person, today: str, words: str = "") -> str:
    """Check or release the first article of a sampling; the sentence that says so.

    DataError where points are open or nobody checked it, NotAllowed for who may not.
    """
    if act not in ACTS:
        raise DataError(f"A first article is {' or '.join(ACTS)}, not '{act}'.")
    wrong = rights.may(by, "release a first article" if act == "released" else "check a first article")
    if wrong:
        raise NotAllowed(f"Not {act}: {wrong}")
    article = first_article(record, sampling.job, sampling.round, causes=False)
    if act == "released":
        points = open_points(article.dispositions, today)
        if points:
            shown = "; ".join(points[:MOST_NAMED])
            more = len(points) - MOST_NAMED
            rest = f"; and {count(more, 'further point')}" if more > 0 else ""
            raise DataError(f"Not released: {shown}{rest}. Decide about them first.")
        if not any(line.act == "checked" and line.stands for line in article.signs):
            raise DataError("Not released: nobody has checked it as it stands now. That comes first.")
    record.add(
        ArticleSign(
            job_of_id=sampling.job.of_id,
            lot_id=sampling.round.lot_id,
            act=act,
            person_of_id=by.of_id,
            on_date=today,
            rests_on=rests_on(sampling, article.features, article.geometry),
            words=words.strip() or None,
        ),
        by=by.id,
    )
    alone = act == "checked" and article.identity.people == (by.initials,)
    note = " The same person measured all of it: the report shows that." if alone else ""
    return f"{sampling.job.number} {sampling.round.label} {act} by {by.initials} on {today}.{note}"


def take_back(record: Record, sampling: Sampling, act: str, by: Person, why: str) -> str:
    """A check or a release is taken back, and why."""
    sign_ = record.article_signs(sampling.job.of_id, sampling.round.lot_id).get(act)
    if sign_ is None:
        raise NotFound(f"{sampling.round.label} is not {act}: there is nothing to take back.")
    if not why.strip():
        raise DataError(f"Say in a few words why it is no longer {act}.")
    record.add(replace(sign_, id=record.new_id(), holds=False, words=why.strip()[:400]), by=by.id)
    return f"{sampling.job.number} {sampling.round.label} is no longer {act}."
