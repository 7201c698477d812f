"""People from what is typed of them: added and changed; two never go by the same initials."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any, TypeVar

from inspect_tui.errors import DataError
from inspect_tui.metrology.typed import fields
from inspect_tui.model.measuring import Person
from inspect_tui.model.words import PERSON_ROLES

if TYPE_CHECKING:
    from inspect_tui.record.store import Record

Value = TypeVar("Value")


def add(record: Record, values: Mapping[str, str], by: Person | None = None) -> Person:
    """A new person; DataError where what is typed is wrong or the initials are taken."""
    made: Person = record.add(Person(**_read(record, values, None)), by.id if by else None)
    return made


def change(record: Record, old: Person, values: Mapping[str, str], by: Person | None) -> Person:
    """A person with what is typed over; the readings stay those of the same person. DataError as `add`."""
    made: Person = record.revise(old, by.id if by else None, **_read(record, values, old))
    return made


def set_pin(record: Record, person: Person, pin: str, by: Person) -> Person:
    """Give somebody a PIN for acts that decide, or (empty) take it away; DataError for one that is too short.

    By that person, or by the lead who gives a new one where the old is forgotten.
    """
    from inspect_tui.record.chain import rights

    if by.of_id != person.of_id and by.role != "lead":
        raise DataError(f"Only {person.initials} or the lead sets this PIN. Nothing was changed.")
    for who in {p.of_id: p for p in (by, person if by.of_id == person.of_id else by)}.values():
        if record.locked(who):
            given = record.ask_pin(who.initials)
            if given is None or not record.unlock(who, given):
                raise DataError(f"{who.initials} has a PIN: it has to be given first. Nothing was changed.")
    try:
        kept = rights.pin_hash(pin) if pin else None
    except ValueError as wrong:
        raise DataError(f"{str(wrong)[0].upper()}{str(wrong)[1:]}. Nothing was changed.") from None
    made: Person = record.revise(person, by.id, pin_hash=kept)
    return made


def _read(record: Record, values: Mapping[str, str], old: Person | None) -> dict[str, Any]:
    read: dict[str, Any] = {}
    if "initials" in values:
        initials = _taken(fields.words(values["initials"], most=8, ask="type 1 to 8 letters"), "initials")
        for known in record.with_withdrawn().people():
            if known.initials.casefold() == initials.casefold() and (old is None or known.of_id != old.of_id):
                gone = ", and is withdrawn" if known.of_id in record.withdrawn() else ""
                raise DataError(f"{known.initials} is there already{gone}: take other initials.")
        read["initials"] = initials
    if "name" in values:
        read["name"] = values["name"].strip() or None
    if "role" in values:
        read["role"] = _taken(fields.choice(values["role"], PERSON_ROLES, "the role"), "role")
    if "active" in values:
        read["active"] = _taken(fields.yes(values["active"], empty=True), "active")
    return read


def _taken(answer: Value | fields.Wrong, name: str) -> Value:
    if isinstance(answer, fields.Wrong):
        raise DataError(f"{name}: {answer}.")
    return answer
