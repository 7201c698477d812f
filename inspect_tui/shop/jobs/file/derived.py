"""[[loop]], [[passage]] and [[geometry]]: what follows from several sizes, read and written."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import Any

from inspect_tui.metrology.kit import passage as formulas
from inspect_tui.metrology.kit.law import around, law
from inspect_tui.metrology.typed import fields
from inspect_tui.metrology.typed.fields import Wrong
from inspect_tui.metrology.typed.show import MM
from inspect_tui.model.kit import Fit, Passage, PassagePoint, Stack, StackMember
from inspect_tui.model.signed import GEOMETRIES, Geometry
from inspect_tui.model.words import STATES_OF_WORK
from inspect_tui.model.work import Feature, Job
from inspect_tui.record.chain.ids import uuid7
from inspect_tui.shop.common import find
from inspect_tui.shop.common.geometry.tolerances import balloons, wrong
from inspect_tui.shop.jobs.file import values
from inspect_tui.shop.jobs.file.mistakes import Row, a_text
from inspect_tui.shop.kit import passages

LOOP = ("label", "name", "wall", "limits", "parts", "note")
PART = ("name", "sign", "size", "plus", "minus", "shape", "tool", "fit", "feature")
PASSAGE = ("label", "name", "formula", "rated", "least", "unit", "exponent", "points", "note")
SHAPES = ("normal", "uniform")
LONGEST = 400  # letters of a list of balloons


# ------------------------------------------------------------------------------ loops
def loop(
    row: Row, job: Job, features: Mapping[str, Feature | None], fits: Mapping[str, Fit | None]
) -> tuple[Stack, tuple[StackMember, ...]] | None:
    """A [[loop]] with its parts; None where it has no label."""
    label = row.text("label", 20)
    if not label:
        row.lacks('[[loop]] needs a label, such as "ST1"', "label")
        return None
    row.who = f"loop {label}"
    wall = _feature(row, "wall", row.words("wall", 20), features)
    low, high = row.maybe("limits", values.limits) or (None, None)
    made = uuid7()
    stack = Stack(
        id=made,
        of_id=made,
        job_of_id=job.of_id,
        label=label,
        name=row.text("name", 120, label) or label,
        feature_id=wall.id if wall else None,
        lower=low,
        upper=high,
        note=row.words("note", 400),
    )
    members = []
    for n, part in enumerate(row.each("parts"), start=1):
        member = _member(row, n, part, made, features, fits)
        if member is not None:
            members.append(member)
    if not row.each("parts"):
        row.lacks(f'{row.who} needs parts, such as parts = [{{ name = "key", plus = 0.15, minus = 0.15 }}]', "parts")
    return stack, tuple(members)


def _member(
    row: Row,
    n: int,
    part: Any,
    stack_id: bytes,
    features: Mapping[str, Feature | None],
    fits: Mapping[str, Fit | None],
) -> StackMember | None:
    if not isinstance(part, dict):
        row.wrong("parts", f"part {n} is written as {{ name = ..., plus = ..., minus = ... }}")
        return None
    for key in part:
        if key not in PART:
            row.wrong("parts", f"part {n} does not know '{key}'; it knows {', '.join(PART)}")

    def take(key: str, read: Any, default: Any) -> Any:
        if key not in part:
            return default
        answer = row.part("parts", f"part {n}, {key}", read, part[key])
        return default if answer is None else answer

    feature = _feature(row, "parts", take("feature", lambda v: a_text(v, 20), None), features)
    named = take("fit", lambda v: a_text(v, 41), None)
    fit = fits.get(named.casefold()) if named else None
    if named and named.casefold() not in fits:
        row.wrong("parts", f"part {n}: there is no seat {named} in this file")
    return StackMember(
        id=uuid7(),
        stack_id=stack_id,
        ord=n,
        name=take("name", lambda v: a_text(v, 120), "") or f"part {n}",
        sense=take("sign", _sign, 1),
        size_mm=take("size", lambda v: fields.size(v, signed=True), 0.0),
        plus_mm=take("plus", lambda v: fields.size(v, zero=True), 0.0),
        minus_mm=take("minus", lambda v: fields.size(v, zero=True), 0.0),
        shape=take("shape", lambda v: fields.choice(v, SHAPES, "the shape"), "normal"),
        tool=take("tool", lambda v: a_text(v, 60), None) or None,
        fit_id=fit.id if fit else None,
        feature_id=feature.id if feature else None,
    )


def _sign(value: Any) -> int | Wrong:
    word = str(value).strip().lstrip("+")
    return int(word) if word in ("1", "-1") else Wrong(f"'{value}' is no sign", "it is 1 or -1")


def _feature(row: Row, key: str, balloon: str | None, features: Mapping[str, Feature | None]) -> Feature | None:
    if not balloon:
        return None
    feature = features.get(find.balloon_key(balloon))
    if find.balloon_key(balloon) not in features:
        row.wrong(key, f"there is no feature {balloon} in this file")
    return feature


def loop_row(
    stack: Stack, members: tuple[StackMember, ...], balloon_of: Mapping[bytes, str], fit_of: Mapping[bytes, str]
) -> dict[str, Any]:
    """A [[loop]], written; features and fits by their names."""
    parts = [
        values.filled(
            name=member.name,
            sign=None if member.sense == 1 else -1,
            size=values.figure(member.size_mm) if member.size_mm else None,
            plus=values.figure(member.plus_mm) if member.plus_mm else None,
            minus=values.figure(member.minus_mm) if member.minus_mm else None,
            shape=None if member.shape == "normal" else member.shape,
            tool=member.tool,
            fit=fit_of.get(member.fit_id or b""),
            feature=balloon_of.get(member.feature_id or b""),
        )
        for member in members
    ]
    return values.filled(
        label=stack.label,
        name=stack.name,
        wall=balloon_of.get(stack.feature_id or b""),
        limits=values.limits_again(stack.lower, stack.upper),
        parts=parts,
        note=stack.note,
    )


# ------------------------------------------------------------------------------ passages
def passage(row: Row, job: Job) -> tuple[Passage, tuple[PassagePoint, ...]] | None:
    """A [[passage]] with the points of the customer's law; its formula is looked at when all are known."""
    label = row.text("label", 20)
    if not label:
        row.lacks('[[passage]] needs a label, such as "A1"', "label")
        return None
    row.who = f"passage {label}"
    formula = row.text("formula", 500)
    if not formula:
        row.lacks(f'{row.who} needs a formula over balloons, such as formula = "W1 * H1"', "formula")
    unit = passages.rating_unit(
        str(row.values.get("unit", "")), str(row.values.get("rated", row.values.get("least", "")))
    )
    if isinstance(unit, Wrong):
        row.wrong("unit" if "unit" in row else "rated", str(unit))
        unit = ""
    rated, least = (row.maybe(key, lambda v: _flow(v, unit)) for key in ("rated", "least"))
    made = uuid7()
    said = Passage(
        id=made,
        of_id=made,
        job_of_id=job.of_id,
        label=label,
        name=row.text("name", 120, label) or label,
        formula=formula or "1",
        unit=unit or None,
        rated=rated,
        minimum=least,
        exponent=row.take("exponent", lambda v: fields.figure(v, above=0.0, high=4.0), 1.0),
        note=row.words("note", 400),
    )
    return said, _points(row, made, unit)


def _flow(value: Any, unit: str) -> float | Wrong:
    read = passages.flow(str(value), unit)
    return Wrong("nothing typed", "type a figure such as 185 m3/min") if read is None else read


def _points(row: Row, passage_id: bytes, unit: str) -> tuple[PassagePoint, ...]:
    points = []
    for given in row.each("points"):
        if not isinstance(given, list) or len(given) != 2:
            row.wrong("points", "each point is [area, capacity], such as [[3500, 42], [3900, 46.5]]")
            return ()
        area, flow = fields.area(given[0]), _flow(given[1], unit)
        if isinstance(area, Wrong) or isinstance(flow, Wrong):
            row.wrong("points", str(area if isinstance(area, Wrong) else flow))
            return ()
        points.append((area, flow))
    if points and isinstance(stated := law(points), str):
        row.wrong("points", stated)
        return ()
    return tuple(
        PassagePoint(id=uuid7(), passage_id=passage_id, ord=n, area_mm2=area, flow=flow)
        for n, (area, flow) in enumerate(points, start=1)
    )


def look(row: Row, said: Passage, points: tuple[PassagePoint, ...], features: Mapping[str, Feature], all_: Any) -> None:
    """Tell what a formula does not say, and what does not go together, now that all sizes and passages are known."""
    text = around(said.formula, [(point.area_mm2, point.flow) for point in points])
    formula = formulas.parse(text, passages.powers(features), passages.others(all_, said.label, text))
    if isinstance(formula, str):
        row.wrong("formula", formula)
        return
    rated, least = said.rated is not None, said.minimum is not None
    if (wrong := passages.wrong(formula, rated, least, said.exponent)) is not None:
        row.lacks(f"{row.who}: {wrong}")


def passage_row(said: Passage, points: tuple[PassagePoint, ...]) -> dict[str, Any]:
    """A [[passage]], written."""

    def own(value: float | None) -> Any:
        return values.figure(value) if value is None or not said.unit else f"{MM.figures(value, 15)} {said.unit}"

    return values.filled(
        label=said.label,
        name=said.name,
        formula=said.formula,
        rated=own(said.rated),
        least=own(said.minimum),
        unit=said.unit if said.unit and said.rated is None else None,
        exponent=None if said.exponent == 1.0 else said.exponent,
        points=[[values.figure(point.area_mm2), values.figure(point.flow)] for point in points],
        note=said.note,
    )


# ------------------------------------------------------------------------------ geometrical tolerances
def geometry(row: Row, job: Job, known: Collection[str]) -> Geometry | None:
    """A [[geometry]]; None where it cannot be made: a mistake says why. `known` are the balloons of the features."""
    balloon = row.text("balloon", 20)
    if not balloon:
        row.lacks('[[geometry]] needs a balloon, such as "G1"', "balloon")
        return None
    row.who = f"geometry {balloon}"
    before = len(row.mistakes)
    if find.balloon_key(balloon) in known:
        row.wrong("balloon", f"there is a feature {balloon} already: name another balloon")
    for key, such_as in (("what", '"flatness"'), ("tolerance", "0.3")):
        if key not in row:
            row.lacks(f"{row.who} needs {key}, such as {such_as}", key)
    what = row.take("what", kind_of, "flatness")
    sizes, datum = (_listed(row, key, known) for key in ("sizes", "datum_sizes"))
    tolerance = row.take("tolerance", fields.size, 1.0)
    made = uuid7()
    said = Geometry(
        id=made,
        of_id=made,
        job_of_id=job.of_id,
        balloon=balloon,
        name=row.text("name", 120, balloon) or balloon,
        what=what,
        tolerance_mm=tolerance,
        round=row.take("diameter", fields.yes, False),
        datums=row.words("datums", 60),
        sizes=sizes,
        datum_sizes=datum,
        state=row.take("state", lambda v: fields.choice(v, STATES_OF_WORK, "the state"), "raw"),
        sheet=row.words("sheet", 20),
        zone=row.words("zone", 20),
        characteristic=row.words("characteristic", 60),
        note=row.words("note", 400),
    )
    if len(row.mistakes) > before:
        return None
    if (problem := wrong(said)) is not None:
        row.lacks(f"{row.who}: {problem}")
        return None
    return said


def kind_of(value: Any) -> str | Wrong:
    """Which geometrical tolerance, however its two words are joined."""
    return fields.choice("_".join(str(value).split()), GEOMETRIES, "the geometrical tolerance")


def _listed(row: Row, key: str, known: Collection[str]) -> str | None:
    listed = [str(one) for said in row.each(key) for one in balloons(str(said))]
    for balloon in listed:
        if find.balloon_key(balloon) not in known:
            row.wrong(key, f"there is no feature {balloon} in this file")
    if len({find.balloon_key(balloon) for balloon in listed}) < len(listed):
        row.wrong(key, "one of them is named twice")
    text = " ".join(listed)
    if len(text) > LONGEST:
        row.wrong(key, f"the list is longer than {LONGEST} letters")
        return None
    return text or None


def geometry_row(said: Geometry) -> dict[str, Any]:
    """A [[geometry]], written."""
    return values.filled(
        balloon=said.balloon,
        name=None if said.name == said.balloon else said.name,
        what=said.what,
        tolerance=values.figure(said.tolerance_mm),
        diameter=said.round or None,
        datums=said.datums,
        sizes=balloons(said.sizes) or None,
        datum_sizes=balloons(said.datum_sizes) or None,
        state=None if said.state == "raw" else said.state,
        sheet=said.sheet,
        zone=said.zone,
        characteristic=said.characteristic,
        note=said.note,
    )
