"""What the forms of the Jobs place say while they are filled in: the contraction that follows, and what is wrong."""

from __future__ import annotations

from inspect_tui.errors import InspectError
from inspect_tui.metrology.sizes import contraction
from inspect_tui.metrology.typed.parsed import Unreadable
from inspect_tui.metrology.typed.ratio import parse_contraction
from inspect_tui.model.words import RULES
from inspect_tui.model.work import Job
from inspect_tui.record.store import Record


def tool_band(job: Job) -> str:
    """What tools are judged by, in words."""
    return f"EN 12890 {job.tool_band}" if job.tool_band else f"{job.tool_share:.2f} of the casting band"


def contractions(text: str) -> tuple[float, float, float] | None:
    """Three contractions from one or three typed; None when left empty. Raises ValueError with a sentence."""
    if not text.strip():
        return None
    parts = text.replace("%", "%|").split("|") if text.count("%") == 3 else [text]
    values = []
    for part in (p for p in parts if p.strip()):
        typed = parse_contraction(part.strip())
        if isinstance(typed, Unreadable):
            raise ValueError(typed.sentence)
        values.append(typed.a)
    return (values[0], values[0], values[0]) if len(values) == 1 else (values[0], values[1], values[2])


def job_wrong(values: dict[str, str]) -> str | None:
    """What is wrong with the fields of a new job, or None."""
    if not values["number"]:
        return "Give the job a number."
    if by_the_book(values):
        return None if values["alloy"] else "Say the alloy that the shop's own jobs are to be looked up for."
    try:
        stated = contractions(values["contraction"])
        if stated is None:
            if not values["alloy"]:
                return "Say the contraction, or an alloy to look one up for."
            contraction.plan(values["alloy"], None, values["construction"] or None)
    except (ValueError, InspectError) as problem:
        return str(problem)
    return None


def job_follows(values: dict[str, str]) -> str:
    """The handbook's contraction for the alloy, while typing."""
    if not values["alloy"]:
        return f"verdict rules: {', '.join(RULES)} (proof95 unless a job file says otherwise)"
    try:
        plan = contraction.plan(values["alloy"], None, values["construction"] or None)
    except InspectError as problem:
        return str(problem)
    return f"handbook: {100 * plan.a:.2f} % (u {100 * plan.u:.2f} %): {plan.source} ({plan.status})"


def by_the_book(values: dict[str, str]) -> bool:
    """Whether the contraction is to come from the shop's own book."""
    return values["contraction"].strip().casefold() == "book"


def book_follows(record: Record, values: dict[str, str], offers: dict[tuple[str, str], str]) -> str:
    """What this shop's own jobs have shown for the alloy and construction, looked up once for each."""
    key = (values["alloy"].strip().casefold(), values["construction"].strip().casefold())
    if key not in offers:
        from inspect_tui.shop.jobs import contraction_book

        known = {(job.alloy or "").casefold() for job in record.jobs()}
        offers[key] = ""
        if key[0] and key[0] in known:
            rows = contraction_book.offer(record, values["alloy"], values["construction"])
            offers[key] = contraction_book.offer_words(rows)
    return offers[key]
