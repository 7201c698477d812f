"""Which causes could move these features, how wide a believable one is, and how likely it is to be there at all.

Every movement of faces is a column of the network of faces; beside those stand what can happen to one casting (its own
shifts, its scale, a tilted datum) and what an instrument does to all that is read with it. Widths and prior
probabilities are common practice, no source: they are what a pattern shop would call believable, and the search weighs
them against the readings.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from inspect_tui.frozen import NamedTuple
from inspect_tui.metrology.causes.problem import AXES, Candidate, Datum
from inspect_tui.metrology.faces.network import Carry, Column, Network
from inspect_tui.metrology.faces.observed import Observed, of_observed


class _Width(NamedTuple):
    sd: float
    prior: float


# sd in mm (contraction and scale: fraction); prior probability of being there at all
WIDTHS = {
    "contraction": _Width(0.0015, 0.20),
    "held back": _Width(0.0015, 0.01),
    "shift": _Width(0.8, 0.03),
    "carried": _Width(0.8, 0.02),
    "turned": _Width(0.8, 0.01),
    "mismatch": _Width(0.8, 0.04),
    "parting": _Width(0.5, 0.08),
    "lifted": _Width(0.5, 0.01),
    "growth": _Width(0.4, 0.02),
    "size": _Width(1.5, 0.012),
    "face": _Width(1.5, 0.002),
}
CONTRACTION_ALL = _Width(0.0015, 0.05)
WHOLE_SIZE = WIDTHS["size"]  # a face whose size starts at the datum is the whole of it: as likely off as a size
UNMEASURED = 3.0  # a tool that nobody measured is this much likelier to be wrong
BIAS = _Width(0.10, 0.02)
ONE_CASTING = {
    "shift": _Width(0.8, 0.003),
    "carried": _Width(0.8, 0.002),
    "turned": _Width(0.8, 0.002),
    "mismatch": _Width(0.8, 0.010),
    "parting": _Width(0.5, 0.010),
    "lifted": _Width(0.5, 0.003),
}
ONE_SCALE = _Width(0.0006, 0.005)
ONE_TILT = _Width(0.6, 0.006)


def size_name(balloon: str) -> str:
    """What the cause is called that one size of a tool is wrong."""
    return f"size {balloon}"


Carriers = Mapping[str, Sequence[str]] | Sequence[Carry] | None  # what sits in what; a mapping holds along all axes


def network_of(
    features: Sequence[Observed], carriers: Carriers = None, reference: str = "drag", parting_axis: str = "z"
) -> Network:
    """The faces that these features hang on. A core whose only seat is in the cope hangs there."""
    if isinstance(carriers, Mapping):
        carriers = [
            Carry(inner, outer, hangs=outer == "cope" and set(seats) == {"cope"})
            for inner, seats in carriers.items()
            for outer in seats
        ]
    return Network(of_observed(features), carriers or (), reference=reference, parting_axis=parting_axis)


def candidates(
    features: Sequence[Observed],
    *,
    carriers: Carriers = None,
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
    network = network_of(features, carriers, reference, parting_axis)
    known = {o.balloon for o in features if o.tool_known}
    whole = _whole_sizes(network)
    out = [
        _candidate(c, network, known, c.face in whole)
        for c in network.columns()
        if faces or c.kind != "face" or c.face in whole
    ]
    out += _turned(features, network)
    for instrument in sorted({r.instrument for o in features for r in o.readings.values() if r.instrument}):
        column = {o.balloon: 1.0 for o in features if any(r.instrument == instrument for r in o.readings.values())}
        out.append(
            Candidate(
                name=f"{instrument} bias",
                kind="bias",
                axis="all",
                column=column,
                sd=BIAS.sd,
                prior=BIAS.prior,
                instrument=instrument,
            )
        )
    serials = sorted({s for o in features for s in o.readings})
    if one_casting and len(serials) > 1:
        out += _one_casting(out, features, serials, datums)
    elif len(serials) == 1 or not one_casting:
        out += [c for d in datums for c in _tilts(features, d, "")]
    return tuple(out)


def _whole_sizes(network: Network) -> set[str]:
    """Names of the faces that are the whole of a size: its other end is the datum, on the same tool."""
    whole: set[str] = set()
    for size in network.sizes:
        if size.a is not None and size.a.maker == size.b.maker:
            free = [face.name for face in size.faces if not network.is_datum(face)]
            whole.update(free if len(free) == 1 else ())
    return whole


def _candidate(column: Column, network: Network, known: set[str], whole: bool) -> Candidate:
    """A movement of faces with its believable width."""
    width = WHOLE_SIZE if whole and column.kind == "face" else WIDTHS[column.kind]
    if column.kind == "contraction" and column.axis == "all":
        width = CONTRACTION_ALL
    prior = width.prior
    if column.kind in ("size", "face") and known.isdisjoint([column.size] if column.size else column.loads):
        prior *= UNMEASURED
    return Candidate(
        name=column.name,
        kind=column.kind,
        axis=column.axis,
        column=column.loads,
        moves=column.moves,
        sd=width.sd,
        prior=prior,
        parts=column.makers,
        balloon=column.size,
        place_mm=network.place[column.face] if column.face else None,
        face=column.face,
    )


def _turned(features: Sequence[Observed], network: Network) -> list[Candidate]:
    """A core that lies turned, alone or with what sits in it. A core is seen to lie turned where its faces are taken at
    two stations or more; what sits in it is told apart where it is taken at a station, too."""
    width = WIDTHS["turned"]
    out = []
    for core in (maker for maker in network.makers if maker.startswith("core") and maker != network.reference):
        for axis in AXES:
            alone, high = turning(features, network, core, axis, (core,))
            riders = network.rides_with(core, axis)
            together, _ = turning(features, network, core, axis, riders)
            for makers, moves in (((core,), alone), (riders, together if len(together) > len(alone) else {})):
                riding = f" with {', '.join(makers[1:])}" if len(makers) > 1 else ""
                out.append(
                    Candidate(
                        name=f"{core}{riding} turned {axis}",
                        kind="turned",
                        axis=axis,
                        column=network.loads(moves),
                        moves=moves,
                        sd=width.sd,
                        prior=width.prior,
                        parts=makers,
                        place_mm=high,
                    )
                )
    return [c for c in out if c.column]


def turning(
    features: Sequence[Observed], network: Network, core: str, axis: str, makers: Sequence[str]
) -> tuple[dict[str, float], float]:
    """How far the faces of `makers` move (mm) when `core` lies turned by 1 mm at its own outermost stations, and the
    last of these stations (mm): at one end what is read goes one way, at the other end the other way.

    Nothing moves where faces of the core are taken at no two stations.
    """
    at = {o.balloon: o.station_mm for o in features if o.station_mm is not None}
    stations = {
        face.name: (face.maker, at[size.name])
        for size in network.sizes
        if size.axis == axis and size.name in at
        for face in size.faces
        if face.maker in makers and face.spot.startswith("st ")
    }
    own = [station for maker, station in stations.values() if maker == core]
    low, high = min(own, default=0.0), max(own, default=0.0)
    if low == high:
        return {}, high
    return {name: (2.0 * station - low - high) / (high - low) for name, (_, station) in stations.items()}, high


def _one_casting(
    common: Sequence[Candidate], features: Sequence[Observed], serials: Sequence[str], datums: Sequence[Datum]
) -> list[Candidate]:
    """The same movements, but in one mould only, and what can happen to one casting after it."""
    out: list[Candidate] = []
    for serial in serials:
        read = [o for o in features if serial in o.readings]
        for c in common:
            if c.kind in ONE_CASTING:
                column = {o.balloon: c.column[o.balloon] for o in read if o.balloon in c.column}
                if len(column) > 1:  # one reading alone is a reading error until another says the same
                    out.append(
                        Candidate(
                            name=f"{c.name} on casting {serial}",
                            kind=c.kind,
                            axis=c.axis,
                            column=column,
                            moves=c.moves,
                            sd=ONE_CASTING[c.kind].sd,
                            prior=ONE_CASTING[c.kind].prior,
                            parts=c.parts,
                            serial=serial,
                            place_mm=c.place_mm,
                        )
                    )
        sizes = {o.balloon: o.cast_size_mm for o in read if o.cast_size_mm and o.axis in AXES}
        if len(sizes) > 1:
            out.append(
                Candidate(
                    name=f"scale on casting {serial}",
                    kind="scale",
                    axis="all",
                    column=sizes,
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
        column = {
            o.balloon: (o.station_mm - other) / (here - other)
            for o in features
            if o.axis == datum.axis and o.station_mm is not None and o.station_mm != other
        }
        if len(column) > 1:
            suffix = f" on casting {serial}" if serial else ""
            out.append(
                Candidate(
                    name=f"tilt at {name}{suffix}",
                    kind="tilt",
                    axis=datum.axis,
                    column=column,
                    sd=ONE_TILT.sd,
                    prior=ONE_TILT.prior,
                    serial=serial,
                    where=name,
                    place_mm=here,
                )
            )
    return out
