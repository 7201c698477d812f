"""Which causes could move these features, and by how much each feature would move per unit of each cause.

Every cause is a movement of faces along the axis; a feature changes by the movement of end B minus that of end A.
Signs follow the metal: a core that grows pushes its surfaces against the metal's outward normal, a pattern that
grows pushes them along it. Widths and prior probabilities are common practice, no source: they are what a pattern
shop would call believable, and the search weighs them against the readings.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence

from inspect_tui.frozen import NamedTuple
from inspect_tui.metrology.causes.problem import AXES, Candidate, Datum
from inspect_tui.metrology.faces.observed import Face, Observed


class _Width(NamedTuple):
    sd: float
    prior: float


# sd in mm (contraction and scale: fraction); prior probability of being there at all
CONTRACTION = _Width(0.0015, 0.20)
CONTRACTION_ALL = _Width(0.0015, 0.05)
SHIFT = _Width(0.8, 0.03)
CARRIED = _Width(0.8, 0.02)
MISMATCH = _Width(0.8, 0.04)
PARTING = _Width(0.5, 0.08)
GROWTH = _Width(0.4, 0.02)
SIZE = _Width(1.5, 0.012)
FACE = _Width(1.5, 0.004)
UNMEASURED = 3.0  # a tool that nobody measured is this much likelier to be wrong
BIAS = _Width(0.10, 0.02)
ONE_SHIFT = _Width(0.8, 0.003)
ONE_MISMATCH = _Width(0.8, 0.010)
ONE_PARTING = _Width(0.5, 0.010)
ONE_SCALE = _Width(0.0006, 0.005)
ONE_TILT = _Width(0.6, 0.006)

Move = Callable[[Face], float]


def size_name(balloon: str) -> str:
    """What the cause is called that one size of a tool is wrong."""
    return f"size {balloon}"


def face_key(feature: Observed, face: Face) -> tuple[str, str, float, str]:
    """What makes two ends the same surface: part, axis, place and spot.

    Heights taken at different stations of one level are different spots, except on the datum itself. `place` in mm
    as drawn.
    """
    spot = face.spot
    if not spot and feature.station_mm is not None and face is feature.b and face.part.startswith("core"):
        spot = f"st {feature.station_mm:g}"
    return face.part, feature.axis, round(face.coord_mm, 3), spot


def is_datum(face: Face, reference: str) -> bool:
    """Whether this is the datum, which by definition does not move."""
    return face.part == reference and abs(face.coord_mm) < 1e-9


def column(features: Iterable[Observed], axis: str | None, move: Move) -> dict[str, float]:
    """Change of each feature's size when faces move; only features along `axis` (all when None), zeros left out.

    mm of size for 1 mm of movement.
    """
    out: dict[str, float] = {}
    for f in features:
        if axis is not None and f.axis != axis:
            continue
        value = move(f.b) - (move(f.a) if f.a is not None else 0.0)
        if value:
            out[f.balloon] = value
    return out


def growth_move(part: str) -> Move:
    """How a face moves when its tool has grown by 1 mm per face all over."""
    outward = -1 if part.startswith("core") else 1  # of the tool's body, seen along the metal's normal
    return lambda face: float(outward * face.facing) if face.part == part else 0.0


def below(carriers: Mapping[str, Sequence[str]], part: str) -> tuple[str, ...]:
    """The part and everything keyed into it, directly or through others, sorted."""
    carried = {part}
    grown = True
    while grown:
        more = {p for p, seats in carriers.items() if p not in carried and carried.intersection(seats)}
        carried |= more
        grown = bool(more)
    return tuple(sorted(carried))


def candidates(
    features: Sequence[Observed],
    *,
    carriers: Mapping[str, Sequence[str]] | None = None,
    reference: str = "drag",
    parting_axis: str = "z",
    datums: Sequence[Datum] = (),
    one_casting: bool = True,
    faces: bool = True,
) -> tuple[Candidate, ...]:
    """Every cause that these features could show.

    `carriers` maps a core to the parts it is keyed into (a core that makes no surface may stand there too).
    `reference` is the part that carries the datums. `one_casting` adds causes of a single mould or casting, which
    only make sense with two castings or more. `faces` adds single faces of a tool beside whole sizes.
    """
    out: list[Candidate] = []
    carriers = carriers or {}
    present = {f.part for o in features for f in o.faces}
    parts = sorted(present | set(carriers) | {p for seats in carriers.values() for p in seats})
    moving = [p for p in parts if p not in (reference, "drag", "cope")]
    serials = sorted({s for o in features for s in o.readings})
    axes = [a for a in AXES if any(o.axis == a for o in features)]

    def add(name: str, kind: str, axis: str, col: Mapping[str, float], width: _Width, **more: object) -> None:
        if col:
            out.append(Candidate(name=name, kind=kind, axis=axis, column=col, sd=width.sd, prior=width.prior, **more))  # type: ignore[arg-type]

    def scale_column(axis: str | None, sign: float) -> dict[str, float]:
        return {
            o.balloon: sign * o.cast_size_mm / (1 + o.contraction if sign < 0 else 1.0)
            for o in features
            if o.cast_size_mm and (o.axis == axis if axis else o.axis in AXES)
        }

    for axis in axes:
        add(f"contraction {axis}", "contraction", axis, scale_column(axis, -1), CONTRACTION, parts=tuple(parts))
    if len(axes) > 1:
        add("contraction", "contraction", "all", scale_column(None, -1), CONTRACTION_ALL, parts=tuple(parts))
    for axis in axes:
        for part in moving:
            moved = below(carriers, part)
            lone = column(features, axis, lambda f, p=part: float(f.part == p))  # type: ignore[misc]
            add(f"{part} {axis}", "shift", axis, lone, SHIFT, parts=(part,))
            if len(moved) > 1:
                col = column(features, axis, lambda f, m=moved: float(f.part in m))  # type: ignore[misc]
                name = f"{part} with {', '.join(p for p in moved if p != part)} {axis}"
                add(name, "carried", axis, col, CARRIED, parts=(part, *(p for p in moved if p != part)))
        # seen from a datum on the cope it is the drag that lies the other way
        col = column(
            features, axis, lambda f: -float(f.part == "drag") if reference == "cope" else float(f.part == "cope")
        )
        if axis == parting_axis:
            add(f"parting {axis}", "parting", axis, col, PARTING, parts=("cope",))
        else:
            add(f"cope {axis}", "mismatch", axis, col, MISMATCH, parts=("cope",))
        if reference.startswith("core"):  # datums on a core: when it is shifted, everything else seems to be
            col = column(features, axis, lambda f: -float(f.part != reference))
            add(f"{reference} {axis}", "shift", axis, col, SHIFT, parts=(reference,))
    for part in parts:
        add(f"{part} growth", "growth", "all", column(features, None, growth_move(part)), GROWTH, parts=(part,))
    out += _sizes(features, reference, faces)
    for instrument in sorted({r.instrument for o in features for r in o.readings.values() if r.instrument}):
        col = {o.balloon: 1.0 for o in features if any(r.instrument == instrument for r in o.readings.values())}
        add(f"{instrument} bias", "bias", "all", col, BIAS, instrument=instrument)
    if one_casting and len(serials) > 1:
        out += _one_casting(out, features, serials, datums)
    elif len(serials) == 1 or not one_casting:
        out += [c for d in datums for c in _tilts(features, d, "")]
    return tuple(out)


def _sizes(features: Sequence[Observed], reference: str, faces: bool) -> list[Candidate]:
    """One size, or one face, of a single tool wrong: both ends on that tool."""
    out: list[Candidate] = []
    seen: set[tuple[str, str, float, str]] = set()
    pairs: set[tuple[object, ...]] = set()
    for o in features:
        if o.a is None or o.a.part != o.b.part:
            continue
        a_key, b_key = face_key(o, o.a), face_key(o, o.b)
        ends = [(k, f) for k, f in ((a_key, o.a), (b_key, o.b)) if not (is_datum(f, reference) and o.axis in AXES)]
        if (a_key, b_key) in pairs or not ends:
            continue
        pairs.add((a_key, b_key))
        if len(ends) == 2:
            half = {b_key: 0.5, a_key: -0.5}
            out.append(
                Candidate(
                    name=size_name(o.balloon),
                    kind="size",
                    axis=o.axis,
                    column=_faces_column(features, half),
                    sd=SIZE.sd,
                    prior=SIZE.prior if o.tool_known else UNMEASURED * SIZE.prior,
                    parts=(o.b.part,),
                    balloon=o.balloon,
                )
            )
        if not faces and len(ends) == 2:
            continue
        for key, face in ends:
            if key in seen or o.axis not in AXES:
                continue
            seen.add(key)
            col = _faces_column(features, {key: 1.0})
            if col:
                name = f"{face.part} face {o.axis} {face.coord_mm:g}{' ' + key[3] if key[3] else ''}"
                # when the other end is the datum, this face is the whole of the size: as likely as a size error
                width = FACE if len(ends) == 2 else SIZE
                out.append(
                    Candidate(
                        name=name,
                        kind="face",
                        axis=o.axis,
                        column=col,
                        sd=width.sd,
                        prior=width.prior,
                        parts=(face.part,),
                        balloon=o.balloon,
                        place_mm=face.coord_mm,
                    )
                )
    return out


def _faces_column(features: Sequence[Observed], moved: Mapping[tuple[str, str, float, str], float]) -> dict[str, float]:
    out: dict[str, float] = {}
    for o in features:
        value = moved.get(face_key(o, o.b), 0.0) - (moved.get(face_key(o, o.a), 0.0) if o.a is not None else 0.0)
        if value:
            out[o.balloon] = value
    return out


def _one_casting(
    common: Sequence[Candidate], features: Sequence[Observed], serials: Sequence[str], datums: Sequence[Datum]
) -> list[Candidate]:
    """The same movements, but in one mould only, and what can happen to one casting after it."""
    out: list[Candidate] = []
    widths = {"shift": ONE_SHIFT, "mismatch": ONE_MISMATCH, "parting": ONE_PARTING}
    for serial in serials:
        read = [o for o in features if serial in o.readings]
        for c in common:
            if c.kind in widths:
                col = {o.balloon: c.column[o.balloon] for o in read if o.balloon in c.column}
                if len(col) > 1:  # one reading alone is a reading error until another says the same
                    out.append(
                        Candidate(
                            name=f"{c.name} on casting {serial}",
                            kind=c.kind,
                            axis=c.axis,
                            column=col,
                            sd=widths[c.kind].sd,
                            prior=widths[c.kind].prior,
                            parts=c.parts,
                            serial=serial,
                        )
                    )
        col = {o.balloon: o.cast_size_mm for o in read if o.cast_size_mm and o.axis in AXES}
        if len(col) > 1:
            out.append(
                Candidate(
                    name=f"scale on casting {serial}",
                    kind="scale",
                    axis="all",
                    column=col,
                    sd=ONE_SCALE.sd,
                    prior=ONE_SCALE.prior,
                    serial=serial,
                )
            )
        for d in datums:
            out += _tilts(read, d, serial)
    return out


def _tilts(features: Sequence[Observed], datum: Datum, serial: str) -> list[Candidate]:
    """A datum target low at one row: heights are wrong in proportion to the distance from the other row.

    Unit: mm by which heights change at the row that is wrong (a target ground 0.5 low shows as -0.5 there).
    """
    out = []
    for name, here, other in ((datum.near, datum.near_mm, datum.far_mm), (datum.far, datum.far_mm, datum.near_mm)):
        col = {
            o.balloon: (o.station_mm - other) / (here - other)
            for o in features
            if o.axis == datum.axis and o.station_mm is not None and o.station_mm != other
        }
        if len(col) > 1:
            suffix = f" on casting {serial}" if serial else ""
            out.append(
                Candidate(
                    name=f"tilt at {name}{suffix}",
                    kind="tilt",
                    axis=datum.axis,
                    column=col,
                    sd=ONE_TILT.sd,
                    prior=ONE_TILT.prior,
                    serial=serial,
                    where=name,
                    place_mm=here,
                )
            )
    return out
