"""What the Gauges place works out beside the screen: the course of checks, a bias traced back, everyday readings."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from textual.message import Message

from inspect_tui.frozen import frozen
from inspect_tui.model.measuring import Instrument
from inspect_tui.model.work import Job
from inspect_tui.record.read import Reader
from inspect_tui.shop.gauges import checks as gauge_checks
from inspect_tui.shop.gauges import findings as gauge_findings
from inspect_tui.shop.gauges import trace as gauge_trace

if TYPE_CHECKING:
    from inspect_tui.shop.gauges.findings import Finding

ABOUT, GOOD, CHECKS, BIAS, DAILY = "about", "good", "checks", "bias", "daily"


@frozen
class Question:
    """What is asked of the record: a side of an instrument; for a bias which of the findings, if they are known."""

    view: str
    instrument: Instrument
    job: Job | None
    given: tuple[Finding, ...] = ()
    at: int = 0


class Found(Message):
    """What a thread has worked out, for the question of that number."""

    def __init__(self, asked: int, what: str, found: Any, wrong: str = "") -> None:
        super().__init__()
        self.asked, self.what, self.found, self.wrong = asked, what, found, wrong


def answer(reader: Reader, ask: Question) -> Any:
    """The answer, in the thread that opened `reader`; raises InspectError."""
    if ask.view == CHECKS:
        return gauge_checks.course(reader, ask.instrument)
    if ask.view == DAILY:
        from inspect_tui.shop.gauges.routine import routine

        return routine(reader, ask.job) if ask.job else None
    listed = ask.given or tuple(gauge_findings.findings(reader, ask.instrument))
    traced = gauge_trace.trace(reader, ask.instrument, listed[ask.at]) if listed else None
    return listed, traced
