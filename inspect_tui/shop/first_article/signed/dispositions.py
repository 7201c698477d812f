"""What becomes of what does not conform: read as it was typed, and lined up with what was found and read again."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from inspect_tui.errors import DataError, NotFound
from inspect_tui.frozen import replace
from inspect_tui.metrology.typed import fields, show
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.measuring import Person
from inspect_tui.model.signed import DECISIONS, Disposition, Geometry
from inspect_tui.model.words import STATES_OF_WORK, Id
from inspect_tui.model.work import Feature, Item
from inspect_tui.shop.common import find
from inspect_tui.shop.common.geometry.tolerances import balloons
from inspect_tui.shop.common.standing import Standing
from inspect_tui.shop.common.tables.typed import taken
from inspect_tui.shop.first_article.castings.sampling import REWORKED, Sampling
from inspect_tui.shop.first_article.result import Cell, DispositionLine, FeatureLine, GeometryCell, GeometryLine
from inspect_tui.shop.first_article.signed import geometry

if TYPE_CHECKING:
    from inspect_tui.record.store import Record

OPEN = (Standing.DOES_NOT_CONFORM, Standing.UNDECIDED, Standing.IN_QUESTION)  # what somebody has to decide about
FIELDS = (
    ("feature", "feature: what does not conform, such as F07 or G2"),
    ("casting", "casting: its serial; empty: all that do not conform"),
    ("state", "state: raw or finished; empty: raw"),
    ("decision", f"decision: {', '.join(DECISIONS)}"),
    ("until", "until: of a concession, its last day, such as 2026-12-31"),
    ("quantity", "quantity: of a concession, for how many castings"),
    ("agreed", "agreed: for the customer by; may be left out"),
    ("reference", "number: of the concession or rework order; may be left out"),
    ("why", "why: in a few words"),
    ("day", "day: of the decision; empty: today"),
)
NEEDED = ("feature", "decision", "why")
WORDS = {
    "rework": "rework and measure again",
    "concession": "use as it is by concession",
    "scrap": "scrap",
    "correct_tool": "correct the tool and sample again",
}
MOST_NAMED = 4  # open points that a sentence names


# ------------------------------------------------------------------------------ typed
def read(sampling: Sampling, values: Mapping[str, str], by: Person, today: str) -> Disposition:
    """The decision that was typed; DataError or NotFound with what is wrong and what to do."""
    decision = taken(fields.choice(_folded(values.get("decision")), DECISIONS, "the decision"), "decision")
    state = taken(fields.choice(values.get("state") or "raw", STATES_OF_WORK, "the state"), "state")
    what = asked_about(sampling, str(values.get("feature", "")))
    serial = str(values.get("casting", "")).strip()
    item = sampling.casting(serial) if serial else None
    state = what.state if isinstance(what, Geometry) else state
    _open_there(sampling, what, item, state)
    why = str(values.get("why", "")).strip()
    if not why:
        raise DataError("why: say in a few words why this was decided.")
    day = taken(fields.day(values.get("day") or today, today, past=True), "day")
    until, quantity = _bounds(sampling, decision, values, today)
    return Disposition(
        job_of_id=sampling.job.of_id,
        lot_id=sampling.round.lot_id,
        feature_id=what.id if isinstance(what, Feature) else None,
        geometry_of_id=what.of_id if isinstance(what, Geometry) else None,
        item_id=item.id if item else None,
        state=state,
        decision=decision,
        until_on=until,
        quantity=quantity,
        agreed_by=str(values.get("agreed", "")).strip() or None,
        reference=str(values.get("reference", "")).strip() or None,
        why=why,
        person_of_id=by.of_id,
        on_date=day,
    )


def _folded(text: object) -> str:
    return "_".join(str(text or "").split())


def asked_about(sampling: Sampling, balloon: str) -> Feature | Geometry:
    """The feature or the geometrical tolerance of that balloon; NotFound with the nearest of the features."""
    asked = sampling.geometry(balloon)
    if asked is not None:
        return asked
    if not find.balloon_key(balloon):
        raise DataError("feature: say what does not conform, such as F07.")
    return sampling.feature(balloon)


def _open_there(sampling: Sampling, what: Feature | Geometry, item: Item | None, state: str) -> None:
    """DataError where there is nothing to decide: it conforms, or was not measured."""
    answers = _answers(sampling, what, [item] if item else sampling.castings, state)
    if any(answer in OPEN for answer in answers):
        return
    on = f" on casting {item.serial}" if item else f" on the castings of {sampling.round.label}"
    if Standing.CONFORMS in answers:
        raise DataError(f"{what.balloon}{on} conforms: there is nothing to decide about it.")
    raise DataError(f"{what.balloon}{on} was not judged yet: measure it first, then say what becomes of it.")


def _answers(sampling: Sampling, what: Feature | Geometry, items: Sequence[Item], state: str) -> set[Standing]:
    if isinstance(what, Feature):
        return {sampling.cell(what, item, state).answer for item in items}
    serials = {item.serial for item in items}
    return {cell.answer for cell in geometry.geometry_line(sampling, what).cells if cell.serial in serials}


def _bounds(sampling: Sampling, decision: str, values: Mapping[str, str], today: str) -> tuple[str | None, int | None]:
    """Last day and number of castings of a concession; of nothing else."""
    typed = {key: str(values.get(key, "")).strip() for key in ("until", "quantity")}
    if decision != "concession":
        for key, text in typed.items():
            if text:
                raise DataError(f"{key}: it goes with a concession, not with {WORDS[decision]}.")
        return None, None
    if not typed["until"]:
        raise DataError("until: a concession holds to a day: type its last one, such as 2026-12-31.")
    until = taken(fields.day(typed["until"], today), "until")
    if until < today:
        raise DataError(f"until: {until} has been already: a concession holds to a day that is still to come.")
    if not typed["quantity"]:
        raise DataError("quantity: a concession is for a number of castings: type how many.")
    quantity = taken(fields.count(typed["quantity"]), "quantity")
    if quantity < 1:
        raise DataError("quantity: a concession is for one casting at least.")
    ordered = sampling.job.order_quantity
    if ordered is not None and quantity > ordered:
        raise DataError(f"quantity: {quantity} castings are more than the {ordered} of the order.")
    return until, quantity


def first_values(sampling: Sampling, said: Disposition) -> dict[str, str]:
    """A decision as it stands in the form again."""
    return {
        "feature": balloon_of(sampling, said),
        "casting": next((item.serial for item in sampling.castings if item.id == said.item_id), ""),
        "state": said.state,
        "decision": said.decision,
        "until": said.until_on or "",
        "quantity": str(said.quantity or ""),
        "agreed": said.agreed_by or "",
        "reference": said.reference or "",
        "why": said.why,
        "day": said.on_date,
    }


def balloon_of(sampling: Sampling, said: Disposition) -> str:
    """What a decision is about."""
    if said.feature_id is not None:
        root = sampling.root(said.feature_id)
        return next((f.balloon for f in sampling.features if sampling.root(f.id) == root), "?")
    every = {one.of_id: one.balloon for one in sampling.geometries}
    return every.get(said.geometry_of_id or b"", "?")


def of_sampling(sampling: Sampling) -> list[Disposition]:
    """The decisions of this sampling that hold, the newest last."""
    return [said for said in sampling.dispositions if said.lot_id == sampling.round.lot_id]


def named(sampling: Sampling, balloon: str, serial: str = "") -> Disposition:
    """The last decision about a feature (on a casting); NotFound where there is none."""
    key = find.balloon_key(balloon)
    item = sampling.casting(serial) if serial.strip() else None
    for said in reversed(of_sampling(sampling)):
        if find.balloon_key(balloon_of(sampling, said)) == key and (item is None or said.item_id == item.id):
            return said
    on = f" on casting {item.serial}" if item else ""
    raise NotFound(f"Nothing was decided about {balloon}{on} in {sampling.round.label}.")


def words(sampling: Sampling, said: Disposition) -> str:
    """`F07 on S1-2: concession for 3 castings to 2026-12-31`."""
    serial = next((item.serial for item in sampling.castings if item.id == said.item_id), "every casting")
    return f"{balloon_of(sampling, said)} on {serial}: {decision_words(said.decision, said.quantity, said.until_on)}"


# ------------------------------------------------------------------------------ written
def put(record: Record, sampling: Sampling, said: Disposition, by: Person) -> str:
    """Write a decision; the sentence that says so. NotAllowed for who may not decide."""
    record.add(said, by=by.id)
    more = " Measure it again when it is done: the new reading answers it." if said.decision == "rework" else ""
    return f"Decided: {words(sampling, said)}.{more}"


def change(record: Record, sampling: Sampling, old: Disposition, new: Disposition, by: Person) -> str:
    """A decision that was said otherwise takes the place of one."""
    record.add(replace(new, id=record.new_id(), of_id=old.of_id, replaces_id=old.id), by=by.id)
    return f"Decided instead: {words(sampling, new)}."


def take_back(record: Record, sampling: Sampling, said: Disposition, by: Person) -> str:
    """A decision is taken back; it stays in the record."""
    record.revise(said, by.id, holds=False)
    return f"Taken back: {words(sampling, said)}. Nothing is decided about it now."


# ------------------------------------------------------------------------------ lined up
def disposition_lines(
    sampling: Sampling, features: Sequence[FeatureLine], geometries: Sequence[GeometryLine]
) -> tuple[DispositionLine, ...]:
    """Every non-conformity on a casting with what was decided about it, and what was decided and answered since."""
    said = _by_cell(sampling)
    people = sampling.initials

    def decided_on(what: Id, state: str, item: Item) -> Disposition | None:
        return said.get((what, state, item.id)) or said.get((what, state, None))

    lines = []
    of = {feature.balloon: feature for feature in sampling.features}
    for line in features:
        feature = of[line.balloon]
        for cell, item in zip(line.cells, sampling.castings, strict=True):
            found = sampling.found(feature, item, line.state)
            if found.answer in OPEN or cell.answer in OPEN:
                again = cell if REWORKED in cell.notes else None
                decision = decided_on(sampling.root(feature.id), line.state, item)
                lines.append(_line(line, found, again, line.unit, decision, people))
    asked = {one.balloon: one for one in sampling.geometries}
    for form in geometries:
        one = asked[form.balloon]
        for g, item in zip(form.cells, sampling.castings, strict=True):
            decision = decided_on(one.of_id, one.state, item)
            before, since = _geometry_before(sampling, one, item, g, decision)
            if before.answer in OPEN or g.answer in OPEN:
                lines.append(_line(form, before, since, "mm", decision, people))
    gone = scrapped(lines)
    return tuple(replace(line, closed=line.closed or line.serial in gone) for line in lines)


def _geometry_before(
    sampling: Sampling, asked: Geometry, item: Item, now: GeometryCell, said: Disposition | None
) -> tuple[GeometryCell, GeometryCell | None]:
    """A geometrical tolerance as it was found on a casting, and as it was looked at again."""
    if now.method is None and balloons(asked.sizes):
        found = geometry.cell(sampling, asked, item, found=True)
        return found, (now if found != now else None)
    if said is not None and said.decision == "rework" and now.answer not in OPEN:
        before = GeometryCell(serial=item.serial, answer=Standing.DOES_NOT_CONFORM, method="not accepted")
        return before, now
    return now, None


def _by_cell(sampling: Sampling) -> dict[tuple[Id, str, Id | None], Disposition]:
    """The last decision by (root of a feature or first version of a geometry, state, casting)."""
    made = {}
    for said in of_sampling(sampling):
        what = said.geometry_of_id or sampling.root(said.feature_id or b"")
        made[what, said.state, said.item_id] = said
    return made


def _line(
    of: FeatureLine | GeometryLine,
    found: Cell | GeometryCell,
    again: Cell | GeometryCell | None,
    unit: str,
    said: Disposition | None,
    people: Mapping[Id, str],
) -> DispositionLine:
    now = (again or found).answer
    line = DispositionLine(
        balloon=of.balloon,
        serial=found.serial,
        state=of.state,
        unit=unit,
        found=found.answer,
        found_value=found.value,
        found_u95=found.U,
        looked=found.method if isinstance(found, GeometryCell) else None,
        decision=said.decision if said else "",
        again=again.answer if again else None,
        again_value=again.value if again else None,
        again_u95=again.U if again else None,
        again_by=again.by if again else None,
        again_at=again.at if again else None,
    )
    if said is None:
        return replace(line, closed=now not in OPEN)  # what was reworked beside it has put it right, too
    closed = now not in OPEN if said.decision == "rework" else said.decision in ("concession", "scrap")
    return replace(
        line,
        why=said.why,
        by=people.get(said.person_of_id, "?"),
        on=said.on_date,
        agreed_by=said.agreed_by,
        reference=said.reference,
        until_on=said.until_on,
        quantity=said.quantity,
        closed=closed,
    )


def requirement(balloon: str, state: str) -> str:
    """`F07`, `F07 finished`: what does not conform."""
    return f"{balloon} finished" if state == "finished" else balloon


def found_words(answer: str, value: float | None, expanded: float | None, unit: str, style: Style) -> str:
    """`does not conform, 62.90 ± 0.05 mm`: an answer with its figure, where there is one."""
    if value is None:
        return str(answer)
    return f"{answer}, {style.of(unit).plus_minus(value, expanded)}"


def decision_words(decision: str, quantity: int | None, until_on: str | None, closed: bool = False) -> str:
    """A decision with its bounds; what is to be said where there is none, or none is needed any more."""
    if not decision:
        return "nothing to decide any more" if closed else "nothing decided yet"
    if decision == "concession":
        return f"{WORDS[decision]}, for {show.count(quantity or 0, 'casting')}, to {until_on}"
    return WORDS[decision]


def open_points(lines: Sequence[DispositionLine], today: str, style: Style = MM) -> list[str]:
    """What stands in the way of a release on that day, a sentence's part for each requirement.

    A casting that is scrapped goes nowhere: nothing on it stands in the way.
    """
    gone = scrapped(lines)
    points: dict[tuple[str, str], list[DispositionLine]] = {}
    under: dict[str, list[DispositionLine]] = {}
    for line in lines:
        if line.serial in gone:
            continue
        name = requirement(line.balloon, line.state)
        if line.decision == "concession":
            under.setdefault(name, []).append(line)
        said = _point(line, today)
        if said:
            points.setdefault((name, said), []).append(line)
    told = [said.format(at=_at(name, of, style)) for (name, said), of in points.items()]
    for name, castings in under.items():
        most = max(line.quantity or 0 for line in castings)
        if len(castings) > most:
            told.append(f"the concession for {name} is for {show.count(most, 'casting')}, {len(castings)} need it")
    return told


def _point(line: DispositionLine, today: str) -> str:
    """Why a line is open, with a place for what and where; empty where it is closed."""
    if not line.decision:
        return "" if line.closed else "nothing was decided about {at}"
    if line.decision == "rework" and not line.closed:
        return "{at} is still not right after rework" if line.again else "{at} is to be measured again after rework"
    if line.decision == "correct_tool":
        return "{at} waits for a corrected tool and a new sampling"
    if line.decision == "concession" and (line.until_on or "") < today:
        return f"the concession for {{at}} ended on {line.until_on}"
    return ""


def _at(name: str, lines: Sequence[DispositionLine], style: Style) -> str:
    """`F06 on S1-1 (undecided, 370.87 ± 0.08 mm)`, `F06 on S1-1, S1-2 and S1-3`."""
    serials = [line.serial for line in lines]
    if len(serials) > 1:
        return f"{name} on {', '.join(serials[:-1])} and {serials[-1]}"
    (line,) = lines
    value, expanded, answer = line.again_value, line.again_u95, line.again
    if answer is None:
        value, expanded, answer = line.found_value, line.found_u95, line.found
    return f"{name} on {line.serial} ({found_words(answer, value, expanded, line.unit, style)})"


def scrapped(lines: Sequence[DispositionLine]) -> set[str]:
    """The castings that are scrapped."""
    return {line.serial for line in lines if line.decision == "scrap"}
