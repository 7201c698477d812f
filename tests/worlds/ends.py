"""Sizes of castings written down shortly: an end is who makes it and where, and takes its axis from its size."""

from __future__ import annotations

from typing import NamedTuple

from inspect_tui.frozen import replace
from inspect_tui.metrology.faces.face import Face, place_word
from inspect_tui.metrology.faces.observed import Observed


class End(NamedTuple):
    maker: str
    place_mm: float
    facing: int = 0
    spot: str = ""

    def along(self, axis: str, station_mm: float | None = None) -> Face:
        """The face; heights taken at different stations of one level of a core end on different spots of it."""
        station = f"st {place_word(station_mm)}" if station_mm is not None and self.maker.startswith("core") else ""
        return Face(maker=self.maker, axis=axis, place_mm=self.place_mm, facing=self.facing, spot=self.spot or station)


def observed(
    *, axis: str, a: End | Face | None, b: End | Face, station_mm: float | None = None, **more: object
) -> Observed:
    """A size along `axis`; `more` are the other fields of `Observed`."""
    low = a.along(axis) if isinstance(a, End) else a
    high = b.along(axis, station_mm) if isinstance(b, End) else b
    return Observed(a=low, b=high, station_mm=station_mm, **more)  # type: ignore[arg-type]


def at_station(o: Observed, mm: float, **more: object) -> Observed:
    """The same size taken at another station."""
    b = replace(o.b, spot=f"st {place_word(mm)}") if o.b.cored else o.b
    return replace(o, b=b, station_mm=mm, **more)
