"""Where things are: what was shipped to whom and when, counted; and what came back in what condition."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from inspect_tui.errors import JobFileError, NotFound
from inspect_tui.frozen import frozen, frozen_by_name
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.kit import Shipment, ShipmentLine
from inspect_tui.model.words import Id
from inspect_tui.model.work import Job, Tool
from inspect_tui.record.chain.ids import uuid7
from inspect_tui.record.store import Record
from inspect_tui.shop.common import find
from inspect_tui.shop.kit.check import check_facts
from inspect_tui.shop.kit.facts import KitFacts
from inspect_tui.shop.kit.missing import away, where


@frozen
class Parcel:
    """One thing to ship, or that came back: a tool by label, or anything else in words."""

    what: str
    count: int = 1
    loose_pieces: int | None = None
    condition: str | None = None


class StillOpen(JobFileError):
    """Something speaks against the kit: it is shipped only with a word why. `points` are the sentences."""

    def __init__(self, points: Sequence[str]) -> None:
        super().__init__(f"{still_open(points)} Say why it is shipped all the same.")
        self.points = tuple(points)


def still_open(points: Sequence[str]) -> str:
    """What speaks against a kit that is to be shipped, in one line: the first of it and how much more."""
    things = "1 thing speaks" if len(points) == 1 else f"{len(points)} things speak"
    return f"{things} against the kit: {points[0]}."


@frozen_by_name
class Whereabouts:
    """Where one tool is, and what of it is missing."""

    tool: Tool
    where: str
    owner: str | None
    loose_pieces: int | None  # that belong to it
    last_loose: int | None  # as last counted, out or back
    condition: str | None
    sentence: str
    why_open: str | None = None  # why it left although something spoke against the kit


def places(facts: KitFacts) -> list[Whereabouts]:
    """Where every tool of the job is."""
    whereabouts = []
    for tool in facts.tools:
        detail = facts.tool_details.get(tool.of_id)
        counted, condition, why_open = None, None, None
        for shipment, lines in facts.shipments:
            for line in lines:
                if line.tool_of_id == tool.of_id:
                    why_open = shipment.why_open
                    counted = line.loose_pieces if line.loose_pieces is not None else counted
                    condition = line.condition or shipment.condition
        belongs = detail.loose_pieces if detail else None
        at = where(facts, tool)
        text = f"{tool.label}: {at}"
        if belongs is not None and counted is not None and counted < belongs:
            text += f"; {belongs - counted} of its {belongs} loose pieces missing"
        elif counted:
            text += f", {counted} loose pieces"
        if why_open:
            text += f"; shipped with points still open: {why_open}"
        whereabouts.append(
            Whereabouts(
                tool=tool,
                where=at,
                owner=detail.owner if detail else None,
                loose_pieces=belongs,
                last_loose=counted,
                condition=condition,
                sentence=text,
                why_open=why_open,
            )
        )
    return whereabouts


def points_open(facts: KitFacts, style: Style = MM) -> tuple[str, ...]:
    """What speaks against the kit, to be answered for when it is shipped; nothing where no core is in it."""
    return check_facts(facts, style).against if facts.cores else ()


def ship(
    record: Record,
    job: Job,
    to_whom: str,
    done_on: str,
    parcels: Sequence[Parcel],
    condition: str | None = None,
    by: Id | None = None,
    why_open: str | None = None,
) -> Shipment:
    """Write what leaves the shop. Raises JobFileError with what is wrong; nothing is written then.

    While something speaks against the kit it takes `why_open`, a word why it is shipped all the same, and raises
    StillOpen without it; where nothing does, the word is left out.
    """
    facts = KitFacts(record, job)
    points, why = points_open(facts), (why_open or "").strip()
    if points and not why:
        raise StillOpen(points)
    return _write(record, facts, "out", None, to_whom, done_on, parcels, condition, by, why if points else None)


def came_back(
    record: Record,
    job: Job,
    out: Shipment,
    done_on: str,
    parcels: Sequence[Parcel],
    condition: str | None = None,
    by: Id | None = None,
) -> tuple[Shipment, tuple[str, ...]]:
    """Write what came back from a shipment; also the sentences about what did not, or came back short."""
    facts = KitFacts(record, job)
    sent = next((lines for shipment, lines in facts.shipments if shipment.id == out.id), ())
    if out.way != "out":
        raise JobFileError("Things come back from a shipment that left: choose that one.")
    if done_on < out.done_on:
        raise JobFileError(f"Nothing comes back on {done_on}, before it left on {out.done_on}.")
    made = _write(record, facts, "back", out.id, out.to_whom, done_on, parcels, condition, by)
    back = {p.what.casefold(): p for p in parcels}
    said = []
    for line in sent:
        parcel = back.get(line.what.casefold())
        if parcel is None:
            said.append(f"{line.what} did not come back")
            continue
        belong, came = line.loose_pieces, parcel.loose_pieces
        if parcel.count < line.count:
            said.append(f"{line.what}: {parcel.count} of {line.count} came back")
        elif belong is not None and came is not None and came < belong:
            said.append(f"{line.what}: {came} of {belong} loose pieces came back")
    return made, tuple(said)


def _write(
    record: Record,
    facts: KitFacts,
    way: str,
    out_id: Id | None,
    to_whom: str,
    done_on: str,
    parcels: Sequence[Parcel],
    condition: str | None,
    by: Id | None,
    why_open: str | None = None,
) -> Shipment:
    if not to_whom.strip():
        raise JobFileError("Say to whom it goes.")
    try:
        date.fromisoformat(done_on)
    except ValueError:
        raise JobFileError(f"'{done_on}' is no date such as 2026-03-31.") from None
    if not parcels:
        raise JobFileError("Nothing is on the list: say what is shipped.")
    made = uuid7()
    rows: list[Shipment | ShipmentLine] = [
        Shipment(
            id=made,
            job_of_id=facts.job.of_id,
            way=way,
            out_id=out_id,
            to_whom=to_whom,
            done_on=done_on,
            condition=condition,
            why_open=why_open,
        )
    ]
    for n, parcel in enumerate(parcels, start=1):
        if parcel.count < 0 or (parcel.loose_pieces or 0) < 0:
            raise JobFileError(f"{parcel.what}: a count is not below 0.")
        tool = _tool(facts, parcel.what)
        rows.append(
            ShipmentLine(
                shipment_id=made,
                ord=n,
                tool_of_id=tool.of_id if tool else None,
                what=parcel.what,
                count=parcel.count,
                loose_pieces=parcel.loose_pieces,
                condition=parcel.condition,
            )
        )
    stored: Shipment = record.add_all(rows, by)[0]
    return stored


def _tool(facts: KitFacts, what: str) -> Tool | None:
    """The tool that a line names; a line that names none is something else (a sheet, a template, a crate)."""
    exact = next((t for t in facts.tools if t.label.casefold() == what.strip().casefold()), None)
    if exact is not None:
        return exact
    try:
        return find.pick(what.split(" with ")[0], facts.tools, lambda t: t.label, "tool")
    except NotFound:
        return None


def proposal(facts: KitFacts) -> list[Parcel]:
    """What belongs to the kit and is here: patterns, boxes and loose pieces with their pieces counted."""
    parcels = []
    for tool in facts.tools:
        if tool.kind in ("core_stick", "master", "mould", "other", "gauge_template") or away(facts, tool):
            continue
        detail = facts.tool_details.get(tool.of_id)
        parcels.append(Parcel(tool.label, 1, detail.loose_pieces if detail else None))
    return parcels
