"""[[person]], [[gauge]] and [[certificate]]: who measures with what, read and written."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from inspect_tui.frozen import replace
from inspect_tui.metrology.typed import fields
from inspect_tui.metrology.typed.fields import Wrong
from inspect_tui.metrology.typed.show import MM
from inspect_tui.model.measuring import Calibration, Instrument, Person
from inspect_tui.model.words import INSTRUMENT_KINDS, PERSON_ROLES
from inspect_tui.record.chain.ids import uuid7
from inspect_tui.shop.jobs.file import values
from inspect_tui.shop.jobs.file.mistakes import Row

PERSON = ("initials", "name", "role", "active")
CERTIFICATE = ("gauge", "calibrated", "due", "result", "U", "k", "error", "reference")
GAUGE = (
    "label",
    "kind",
    "serial",
    "unit",
    "resolution",
    "range",
    "rule",
    "expansion_per_c",
    "jaw",
    *CERTIFICATE[1:],
)
UNITS = ("mm", "in", "deg", "C")
RESULTS = ("pass", "adjusted", "fail")


def person(row: Row) -> Person:
    """A [[person]]."""
    initials = row.text("initials", 8)
    row.who = f"person {initials}" if initials else row.who
    if not initials:
        row.lacks('[[person]] needs initials, such as "KT"', "initials")
    made = uuid7()
    return Person(
        id=made,
        of_id=made,
        initials=initials or "?",
        name=row.words("name", 80),
        role=row.take("role", lambda v: fields.choice(v, PERSON_ROLES, "the role"), "maker"),
        active=row.take("active", fields.yes, True),
    )


def person_row(person: Person) -> dict[str, Any]:
    """The same, written."""
    made = values.filled(initials=person.initials, name=person.name, role=person.role)
    return made if person.active else made | {"active": False}


def gauge(row: Row, today: str) -> tuple[Instrument, Calibration | None]:
    """A [[gauge]] with its newest certificate; figures without a unit are in the gauge's own."""
    label = row.text("label", 40)
    row.who = f"gauge '{label}'" if label else row.who
    if not label:
        row.lacks('[[gauge]] needs a label, such as "caliper 1"', "label")
    unit = row.take("unit", lambda v: _unit(v), "mm")
    low, high = row.take("range", lambda v: values.range_of(v, unit, to=unit), (0.0, 1000.0))
    made = uuid7()
    instrument = Instrument(
        id=made,
        of_id=made,
        label=label or "?",
        kind=row.take("kind", lambda v: fields.choice(v, INSTRUMENT_KINDS, "the kind"), "caliper"),
        serial=row.words("serial", 60),
        unit=unit,
        resolution=row.take("resolution", lambda v: fields.step(v, unit, to=unit), 0.01),
        range_lo=low,
        range_hi=high,
        rule_scale=row.take("rule", fields.contraction, 0.0),
        expansion_per_c=row.maybe("expansion_per_c", lambda v: fields.figure(v, example="0.0000115")),
        jaw_mm=row.maybe("jaw", fields.size),
    )
    return instrument, certificate(row, instrument, today) if _certified(row) else None


def _certified(row: Row) -> bool:
    return any(key in row for key in CERTIFICATE[1:])


def _unit(value: Any) -> str | Wrong:
    word = str(value).strip()
    known = {unit.casefold(): unit for unit in UNITS} | {"°": "deg", "°c": "C", "inch": "in", '"': "in"}
    return known.get(word.casefold()) or Wrong(f"'{word}' is no unit of a gauge", f"it is one of {', '.join(UNITS)}")


def certificate(row: Row, instrument: Instrument, today: str) -> Calibration:
    """What a certificate said, of a [[gauge]] or a [[certificate]]."""
    unit = instrument.unit
    for needed, such in (("calibrated", "2026-01-10"), ("U", "0.04")):
        if needed not in row:
            row.lacks(f"{row.who}: a certificate says {needed} too, such as {needed} = {such}", needed)
    done = row.take("calibrated", lambda v: fields.day(v, today), today)
    due = row.maybe("due", lambda v: fields.day(v, today))
    if due is not None and due < done:
        row.wrong("due", f"{due} is before the day of the certificate, {done}")
    return Calibration(
        instrument_of_id=instrument.of_id,
        done_on=done,
        due_on=due,
        result=row.take("result", lambda v: fields.choice(v, RESULTS, "the result"), "pass"),
        u95_mm=row.take("U", lambda v: fields.size(v, unit, zero=True), 0.0),
        k=row.take("k", lambda v: fields.figure(v, above=0.0), 2.0),
        error_mm=row.maybe("error", lambda v: fields.size(v, unit, signed=True)),
        reference=row.text("reference", 120, "not stated") or "not stated",
    )


def of_gauge(row: Row, known: Mapping[str, Instrument], today: str) -> Calibration | None:
    """A further certificate of a gauge that the file names."""
    label = row.text("gauge", 40)
    row.who = f"certificate of '{label}'"
    instrument = known.get(label.casefold())
    if instrument is None:
        row.wrong("gauge", f"there is no [[gauge]] '{label}' above it")
        return None
    return certificate(row, instrument, today)


def gauge_row(gauge: Instrument, certificate: Calibration | None) -> dict[str, Any]:
    """A gauge with its newest certificate, written."""
    made = values.filled(
        label=gauge.label,
        kind=gauge.kind,
        serial=gauge.serial,
        unit=gauge.unit,
        resolution=values.figure(gauge.resolution),
        range=values.pair(gauge.range_lo, gauge.range_hi),
        rule=values.percent(gauge.rule_scale) if gauge.rule_scale else None,
        expansion_per_c=gauge.expansion_per_c,
        jaw=values.figure(gauge.jaw_mm),
    )
    return made | (certificate_row(gauge, certificate) if certificate else {})


def certificate_row(gauge: Instrument, said: Calibration) -> dict[str, Any]:
    """What a certificate said, written; lengths of a gauge that reads inches with their unit."""

    def own(mm: float | None) -> Any:
        return values.figure(mm) if gauge.unit != "in" or mm is None else f"{MM.figures(mm, 12)} mm"

    return values.filled(
        calibrated=values.day(said.done_on),
        due=values.day(said.due_on),
        result=None if said.result == "pass" else said.result,
        U=own(said.u95_mm),
        k=None if said.k == 2.0 else values.figure(said.k),
        error=own(said.error_mm),
        reference=None if said.reference == "not stated" else said.reference,
    )


def rows(gauges: Iterable[Instrument], certificates: Iterable[Calibration]) -> tuple[list[Any], list[Any]]:
    """The [[gauge]] rows, each with its newest certificate, and [[certificate]] rows with the older ones."""
    of: dict[bytes, list[Calibration]] = {}
    for said in certificates:
        of.setdefault(said.instrument_of_id, []).append(said)
    shown, older = [], []
    for gauge in gauges:
        own = sorted(of.get(gauge.of_id, []), key=lambda said: said.done_on)
        shown.append(gauge_row(gauge, own[-1] if own else None))
        older += [{"gauge": gauge.label} | certificate_row(gauge, said) for said in own[:-1]]
    return shown, older


def bare(certificate: Calibration) -> Calibration:
    """Without its id, to compare with another one."""
    return replace(certificate, id=b"")
