"""The geometry of a job out of its record: the networks of its casting and its prints, and what has to be asked."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from inspect_tui.errors import NotFound
from inspect_tui.frozen import frozen_by_name
from inspect_tui.metrology.faces.face import AXES, Asked
from inspect_tui.metrology.faces.network import Network
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.kit import Fit
from inspect_tui.model.words import Id
from inspect_tui.model.work import Feature, Job
from inspect_tui.record.read import Reader
from inspect_tui.shop.common import parting
from inspect_tui.shop.common.geometry import faces
from inspect_tui.shop.common.geometry.carried import carries
from inspect_tui.shop.common.geometry.faces import core_numbers

MOST_NAMED = 6  # sizes in one question; more are counted


@frozen_by_name
class JobGeometry:
    """The faces of a job. A network is None where there is no size for it.

    `cast` are the sizes of the casting (and of the layout), `tools` the prints, keys and seats at tooling scale.
    `without` are features that are no size between faces, with the reason. `asked` is what the sizes leave open or
    contradict; `loose` says what no reading can ever tie to the datum, though the drawing says where it lies.
    """

    cast: Network | None
    tools: Network | None
    without: tuple[tuple[str, str], ...]
    asked: tuple[Asked, ...]
    loose: tuple[Asked, ...] = ()


def of_job(record: Reader, job: Job, style: Style = MM) -> JobGeometry:
    """The geometry of the newest drawing of a job. NotFound when it has no drawing yet."""
    revisions = record.revisions(job.of_id)
    if not revisions:
        raise NotFound(f"Job {job.number} has no drawing yet: enter its sizes first.")
    number_of = core_numbers(record, job)
    said = parting.of_job(record, job)
    return of_features(
        job, record.features(revisions[-1].id), number_of, record.fits(job.of_id), said.axis if said else "z", style
    )


def of_features(
    job: Job,
    features: Sequence[Feature],
    number_of: Mapping[Id, int],
    fits: Sequence[Fit] = (),
    parting_axis: str = "z",
    style: Style = MM,
) -> JobGeometry:
    """The same from what a room has read already; `number_of`: core numbers by the id of any version."""

    def contraction(feature: Feature) -> float:
        if feature.a is not None:
            return feature.a
        own = {"x": job.a_x, "y": job.a_y, "z": job.a_z}
        return own.get(feature.axis, sum(own.values()) / 3.0)

    datum = faces.reference([f for f in features if f.scale == "cast"], number_of)
    cast = faces.sizes_of([f for f in features if f.scale != "tool"], number_of, contraction=contraction, datum=datum)
    tooling = faces.sizes_of([f for f in features if f.scale == "tool"], number_of, datum=datum)
    held = carries(fits, number_of)
    networks = [
        Network(made.sizes, held, datum, parting_axis, style) if made.sizes else None for made in (cast, tooling)
    ]
    asked = {question.text: question for network in networks if network for question in network.asked}
    if networks[0] is not None:
        asked |= {question.text: question for question in without_place(networks[0])}
    return JobGeometry(
        cast=networks[0],
        tools=networks[1],
        without=(*cast.without, *tooling.without),
        asked=tuple(asked.values()),
        loose=tuple(hangs_on_nothing(networks[0], style)) if networks[0] is not None else (),
    )


def doubts(geometry: JobGeometry) -> tuple[str, ...]:
    """What is odd about the faces of a job, in words: places that do not give the size, rings, what hangs on nothing.

    Sizes whose ends have no place are none of it: they may be said later.
    """
    odd = [question.text for question in geometry.asked if question.kind != "no place"]
    return tuple(dict.fromkeys([*odd, *(question.text for question in geometry.loose)]))


def without_place(network: Network) -> list[Asked]:
    """Sizes whose ends nobody said a place of: everything that needs one does without them."""
    loose = [s.name for s in network.sizes if s.axis in AXES and network.frame[s.b.name] != s.axis]
    if not loose:
        return []
    text = f"no walls, no stock, no sketch for {_listed(loose)}: say where the ends stand along their axis"
    return [Asked("no place", tuple(loose), text)]


def hangs_on_nothing(network: Network, style: Style = MM) -> list[Asked]:
    """Faces that no size ties to the datum of their axis: readings say how they lie to each other and no more."""
    told = []
    placed = [s.name for s in network.sizes if s.axis in AXES and network.frame[s.b.name] == s.axis]
    for piece in network.pieces(placed):
        first = min(piece & network.number.keys(), key=lambda name: network.place[name])
        face = network.face(first)
        if network.datum_of(face.axis) in piece:
            continue
        names = [s.name for s in network.sizes if s.b.name in piece]
        hang = "hangs on nothing" if len(names) == 1 else "hang on nothing but each other"
        text = f"{_listed(names)} {hang}: no size leads from {face.said(style)} to the datum, so none tells its place"
        told.append(Asked("hangs on nothing", tuple(names), text))
    return told


def _listed(names: Sequence[str]) -> str:
    if len(names) > MOST_NAMED:
        return f"{', '.join(names[:MOST_NAMED])} and {len(names) - MOST_NAMED} more"
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
