"""What a gauge study says: its readings from the record or from a file, and the right method for its design."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import TYPE_CHECKING

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen, frozen_by_name
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.gauges import GaugeStudy
from inspect_tui.record.read import Reader

if TYPE_CHECKING:
    from inspect_tui.metrology.gauges.bias import Bias, Linearity, Stability
    from inspect_tui.metrology.gauges.study import CrossedStudy


@frozen
class StudyRow:
    """One reading of a study for evaluation: piece and person as people call them."""

    part: str
    person: str
    trial: int
    value: float


@frozen_by_name
class Result:
    """What a study says; exactly one of the four answers is there, or `missing` says what lacks."""

    title: str
    design: str
    rows: tuple[StudyRow, ...]
    crossed: CrossedStudy | None = None
    bias: Bias | None = None
    linearity: Linearity | None = None
    stability: Stability | None = None
    missing: str | None = None
    band: float | None = None


def rows(record: Reader, study: GaugeStudy) -> tuple[StudyRow, ...]:
    """The readings of a study that count, in the order they were made."""
    label = {part.id: part.label for part in record.gauge_parts(study.id)}
    latest = {person.of_id: person.initials for person in record.with_withdrawn().people()}
    return tuple(
        StudyRow(
            label[logged.trial.part_id],
            latest.get(logged.person_of_id, logged.by),
            logged.trial.trial,
            logged.trial.value,
        )
        for logged in record.gauge_trials(study.id)
    )


def progress(record: Reader, study: GaugeStudy) -> tuple[int, int]:
    """Readings that are there, and of how many."""
    planned = len(record.gauge_parts(study.id)) * len(record.gauge_people(study.id)) * study.trials
    return len(record.gauge_trials(study.id)), planned


def evaluate(record: Reader, study: GaugeStudy, style: Style = MM, as_it_stands: bool = False) -> Result:
    """Work a study out; while readings lack, `missing` says how many (nothing is shown, to keep it blind).

    `as_it_stands` works it out although a few lack that nobody will take any more. DataError where too many do.
    """
    there, planned = progress(record, study)
    if there < planned and not (as_it_stands and there):
        return Result(
            title=study.title, design=study.design, rows=(), missing=f"{there} of {planned} readings are there"
        )
    made, style = rows(record, study), style.of(study.quantity or "length")
    if study.design == "crossed":
        return crossed(made, study.band_mm, study.title, style, _step(record, study))
    references = {p.label: (p.reference_mm or 0.0, (p.u95_mm or 0.0) / 2.0) for p in record.gauge_parts(study.id)}
    return against_references(study.design, made, references, study.title, style)


def _step(record: Reader, study: GaugeStudy) -> float | None:
    """What the gauge of a study reads in, mm or degrees; None where its unit says neither."""
    gauge = next((i for i in record.with_withdrawn().instruments() if i.of_id == study.instrument_of_id), None)
    if gauge is None:
        return None
    per = {"mm": 1.0, "in": 25.4, "deg": 1.0}.get(gauge.unit)
    return None if per is None else gauge.resolution * per


def crossed(
    made: Sequence[StudyRow], band: float | None, title: str = "", style: Style = MM, step: float | None = None
) -> Result:
    """A crossed study of plain rows; parts and people come in the order of their names, as people number them.

    `step` is what the gauge reads in, in the unit of the rows; None where the readings have to show it.
    """
    from inspect_tui.metrology.gauges.study import crossed_study

    ordered = sorted(made, key=lambda r: (natural(r.part), natural(r.person), r.trial))
    study = crossed_study([(r.part, r.person, r.trial, r.value) for r in ordered], band, style=style, step=step)
    return Result(title=title, design="crossed", rows=tuple(ordered), crossed=study, band=band)


def against_references(
    design: str,
    made: Sequence[StudyRow],
    references: dict[str, tuple[float, float]],
    title: str = "",
    style: Style = MM,
) -> Result:
    """Bias, linearity or stability from readings of reference pieces: (size, standard uncertainty) by name."""
    from inspect_tui.metrology.gauges.bias import bias_study, linearity_study, stability_study

    by: dict[str, list[float]] = {}
    for row in made:
        by.setdefault(row.part, []).append(row.value)
    names = sorted(by, key=lambda name: references[name][0])
    if design == "linearity":
        study = linearity_study([references[name][0] for name in names], [by[name] for name in names], style=style)
        return Result(title=title, design=design, rows=tuple(made), linearity=study)
    if len(names) != 1:
        raise DataError(f"A {design} study reads one reference piece, and here are {len(names)}: use linearity.")
    size, u = references[names[0]]
    if design == "stability":
        course = stability_study(by[names[0]], size, u, style=style)
        return Result(title=title, design=design, rows=tuple(made), stability=course)
    return Result(title=title, design=design, rows=tuple(made), bias=bias_study(by[names[0]], size, u, style=style))


def natural(text: str) -> tuple[tuple[int, float, str], ...]:
    """Sorts 2 before 10 and C-2 before C-10, figures before words."""
    return tuple(
        (0, float(part), "") if part.isdecimal() else (1, 0.0, part.casefold())
        for part in re.split(r"(\d+)", text)
        if part
    )
