"""What the search for causes is fed with: faces from the feature ends, predictions from tools as measured, readings.

Readings that a person should look at first (a slip, rows swapped, the wrong unit) take no part, and that is said.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import sqrt

from inspect_tui.frozen import frozen_by_name, replace
from inspect_tui.metrology.causes.cut_work import Maker
from inspect_tui.metrology.causes.problem import Datum
from inspect_tui.metrology.causes.sentences import Clearance
from inspect_tui.metrology.faces.network import Carry
from inspect_tui.metrology.faces.observed import Observed, Read
from inspect_tui.metrology.faces.promised import promised
from inspect_tui.model.kit import Fit
from inspect_tui.model.words import Id
from inspect_tui.model.work import Feature, Item
from inspect_tui.shop.common import faces_touched
from inspect_tui.shop.common.drawing_notes import is_angle, places_of, station_of
from inspect_tui.shop.common.geometry.faces import part_of
from inspect_tui.shop.first_article.castings import geometry
from inspect_tui.shop.first_article.castings.geometry import LEFT_OUT
from inspect_tui.shop.first_article.castings.sampling import Sampling
from inspect_tui.shop.first_article.castings.tools_then import RANK, Promise, ToolLog, pour_day


@frozen_by_name
class CauseEvidence:
    """Everything the search for causes takes from the record."""

    features: tuple[Observed, ...]
    promises: dict[str, Promise]
    left_out: tuple[str, ...]  # readings and features that take no part, in words
    carriers: tuple[Carry, ...]
    clearances: tuple[Clearance, ...]
    makers: tuple[Maker, ...]
    datums: tuple[Datum, ...]
    reference: str
    plan: dict[str, float]
    parting_axis: str = "z"


def evidence(
    sampling: Sampling,
    log: ToolLog | None = None,
    without: dict[tuple[str, str], str] | None = None,
    castings: Sequence[Item] | None = None,
) -> CauseEvidence:
    """What these castings and the tools before them have to say. `without` names cells to leave out, and why.

    `castings` are those that are listened to, all by default.
    """
    log = log or ToolLog(sampling, pour_day(sampling))
    without = without or {}
    made = {
        size.name: size for size in geometry.sizes(sampling, [f for f in sampling.features if f.ends], log.contraction)
    }
    rows, along = datums(sampling), _along(sampling)
    reference = geometry.reference(sampling)
    out: list[Observed] = []
    promises: dict[str, Promise] = {}
    said: list[str] = []
    for feature in sampling.features:
        known = feature.nominal_known and not is_angle(feature)  # nothing is promised of a sample's size yet
        promise = log.promise(feature) if known and feature.ends else None
        if promise is not None:
            promises[feature.balloon] = promise
        size = made.get(feature.balloon)
        if promise is None or feature.quantity in LEFT_OUT or size is None:
            continue
        readings: dict[str, Read] = {}
        for item in castings if castings is not None else sampling.castings:
            cell = sampling.found(feature, item)
            why = without.get((feature.balloon, item.serial))
            if cell.value is None or cell.u is None:
                continue
            if why is not None:
                said.append(f"{feature.balloon} on {item.serial}: {why}")
                continue
            typed = cell.typed[-1] if len(cell.typed) == 1 and not cell.corrected else ""
            readings[item.serial] = Read(cell.value, _u_read(feature, item, cell.u), cell.instrument or "", typed)
        own, place = sampling.sizes(feature), _station(feature, rows, along)
        out.append(
            Observed(
                balloon=feature.balloon,
                a=size.a,
                b=size.b,
                predicted_mm=promise.mm,
                u_predicted=promise.u,
                cast_size_mm=size.mm,
                contraction=size.contraction,
                target_mm=own.target,
                lower_mm=own.band.lower,
                upper_mm=own.band.upper,
                readings=readings,
                tool_known=promise.tool is not None,
                station_mm=place,
            )
        )
    features = promised(out, reference)
    for o, as_drawn in zip(features, out, strict=True):
        if o.predicted_mm != as_drawn.predicted_mm:
            promise, off = promises[o.balloon], sampling.style.signed(o.predicted_mm - as_drawn.predicted_mm)
            words = f"{promise.words}; {off} by what was measured of its faces"
            promises[o.balloon] = replace(promise, mm=o.predicted_mm, u=o.u_predicted, words=words)
    plan = {"x": log.job.a_x, "y": log.job.a_y, "z": log.job.a_z}
    return CauseEvidence(
        features=features,
        promises=promises,
        left_out=tuple(said),
        carriers=geometry.held(sampling),
        parting_axis=sampling.facts.parting_axis,
        clearances=_clearances(sampling, log),
        makers=_makers(sampling, log),
        datums=rows,
        reference=reference,
        plan=plan,
    )


def _u_read(feature: Feature, item: Item, u: float) -> float:
    """The uncertainty of what was read, without the roughness of the faces: that is in the scatter of faces here."""
    rough = sum(line.u**2 for line in faces_touched.rough(feature, item))
    return sqrt(max(u * u - rough, 0.0))


# ------------------------------------------------------------------------------ fits as measured, who makes what
def _clearances(sampling: Sampling, log: ToolLog) -> tuple[Clearance, ...]:
    """Measured fits as they were when the castings were poured."""
    clearances = []
    numbers = geometry.numbers(sampling)
    for fit in sampling.facts.fits:
        inner = part_of(fit.inner_core_id, fit.inner_half, numbers)
        mm = _clearance(sampling, log, fit)
        if inner is None or mm is None:
            continue
        axis = "" if fit.axis == "round" else fit.axis
        seat = _seat(sampling, log, fit)
        clearances.append(
            Clearance(
                name=fit.name, part=inner, mm=mm, axis=axis, lower=fit.clear_min_mm, upper=fit.clear_max_mm, seat=seat
            )
        )
    return tuple(clearances)


def _clearance(sampling: Sampling, log: ToolLog, fit: Fit) -> float | None:
    def newest(feature_id: Id | None) -> float | None:
        if feature_id is None:
            return None
        root = sampling.root(feature_id)
        known = [now for (_, key), now in log.on_tools.items() if key == root and now.values]
        if not known:
            return None
        last = max(known, key=lambda now: (now.day, -RANK.get(now.tool.kind, 9)))
        return sum(last.values) / len(last.values)

    if fit.gap_feature_id is not None:
        return newest(fit.gap_feature_id)
    inner, outer = newest(fit.inner_feature_id), newest(fit.outer_feature_id)
    return outer - inner if inner is not None and outer is not None else None


def _seat(sampling: Sampling, log: ToolLog, fit: Fit) -> str:
    """The tool that makes the seat, such as box 2."""
    part = part_of(fit.outer_core_id, fit.outer_half, geometry.numbers(sampling))
    labels = {maker.part: maker.label for maker in _makers(sampling, log)}
    return labels.get(part or "", "")


def _makers(sampling: Sampling, log: ToolLog) -> tuple[Maker, ...]:
    """Which tools make each part; of a stick and a box of one core both, the box is the one that is cut."""
    makers = []
    for tool in log.tools:
        if tool.kind in ("master", "gauge_template", "mould", "other", "loose_piece"):
            continue
        part = {"pattern_cope": "cope", "pattern_drag": "drag"}.get(tool.kind)
        if tool.core_id is not None:
            part = f"core {sampling.core(tool.core_id).number}"
        if part:
            makers.append(Maker(part, tool.label, tool.kind))
    boxed = {maker.part for maker in makers if maker.kind == "core_box"}
    return tuple(m for m in makers if m.kind != "core_stick" or m.part not in boxed)


def _along(sampling: Sampling) -> str:
    """The axis along which the stations run: the commonest place of sizes that two rows of targets hold along it."""
    rows: dict[tuple[str, str], set[float]] = {}
    for target in sampling.facts.datum_targets:
        for along in "xyz":
            if (at := getattr(target, f"{along}_mm")) is not None:
                rows.setdefault((target.axis, along), set()).add(at)
    told = [(f.axis, along) for f in sampling.features for along in places_of(f) if along != f.axis]
    ways = [way[1] for way in told if len(rows.get(way, ())) == 2] or [along for _, along in told[:1]]
    return max(dict.fromkeys(ways), key=ways.count, default="x")


def _station(feature: Feature, rows: Sequence[Datum], along: str) -> float | None:
    """Where along the stations it is taken. Sizes that a tilt changes have no other place: it would be a wrong arm."""
    if any(row.axis == feature.axis for row in rows):
        return places_of(feature).get(along)
    place = station_of(feature)
    return place[1] if place else None


def datums(sampling: Sampling) -> tuple[Datum, ...]:
    """Rows of targets that carry heights, where there are two of them along the stations of the drawing."""
    targets = sampling.facts.datum_targets
    along = _along(sampling)
    rows_of_targets = []
    for axis in "xyz":
        rows: dict[float, list[str]] = {}
        for target in targets:
            at = getattr(target, f"{along}_mm")
            if target.axis == axis and at is not None and axis != along:
                rows.setdefault(at, []).append(target.label)
        if len(rows) == 2:
            near, far = sorted(rows)
            rows_of_targets.append(
                Datum(axis=axis, near_mm=near, far_mm=far, near=" and ".join(rows[near]), far=" and ".join(rows[far]))
            )
    return tuple(rows_of_targets)
