"""Faces of one casting levelled from its readings: closed forms, another solver, what hangs on nothing, bad input."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_tui.errors import DataError
from inspect_tui.metrology.faces.face import Face, Size
from inspect_tui.metrology.faces.stock_places import LOOSE_MM, placed
from inspect_tui.model.words import Estimate

DATUM = Face(maker="drag", axis="x", place_mm=0.0, facing=-1)


def face(place: float | None, maker: str = "drag", facing: int = 1, stock: float = 3.0, spot: str = "") -> Face:
    return Face(maker=maker, axis="x", place_mm=place, facing=facing, stock_mm=stock, spot=spot)


def size(name: str, a: Face | None, b: Face, mm: float) -> Size:
    return Size(name=name, a=a, b=b, mm=mm)


def off(made) -> dict[float | None, float]:
    return {f.place_mm: mm for f, mm in zip(made.faces, made.off_mm, strict=True)}


def test_a_size_from_the_datum_puts_its_face_where_it_was_read() -> None:
    made = placed([size("F1", DATUM, face(624.0), 624.0)], {"F1": Estimate(625.3, 0.04)}, [DATUM])
    assert off(made) == pytest.approx({624.0: 1.3})
    assert made.cov[0][0] == pytest.approx(0.04**2)
    assert (made.tied, made.piece, made.sizes) == ((True,), (0,), (("F1",),))
    # a size without an end A starts at the datum itself
    assert off(placed([size("F1", None, face(624.0), 624.0)], {"F1": Estimate(625.3, 0.04)})) == off(made)


def test_the_error_of_a_size_belongs_to_both_its_faces_once() -> None:
    """206 as cast, read 202.2: 3.8 too short, half of it each; how far the two are apart is as sure as the reading."""
    made = placed([size("F1", face(-3.0, facing=-1), face(203.0), 206.0)], {"F1": Estimate(202.2, 0.05)}, [DATUM])
    assert off(made) == pytest.approx({-3.0: 1.9, 203.0: -1.9})
    assert made.tied == (False, False)
    (aa, ab), (_, bb) = made.cov
    assert aa + bb - 2 * ab == pytest.approx(0.05**2)
    assert (aa + 2 * ab + bb) / 4 == pytest.approx(LOOSE_MM**2)


def test_a_tie_says_where_a_piece_that_hangs_on_nothing_stands() -> None:
    sizes = [size("F1", face(10.0), face(20.0), 10.0), size("F2", DATUM, face(50.0), 50.0)]
    read = {"F1": Estimate(10.4, 0.1), "F2": Estimate(50.0, 0.1)}
    made = placed(sizes, read, [DATUM], {0: Estimate(0.7, 0.2)})
    assert off(made) == pytest.approx({10.0: 0.5, 20.0: 0.9, 50.0: 0.0})
    assert made.piece == (0, 0, 1)
    assert made.tied == (False, False, True)
    mean = np.array([0.5, 0.5, 0.0])
    assert mean @ np.array(made.cov) @ mean == pytest.approx(0.2**2)
    assert made.cov[0][2] == pytest.approx(0.0)


def test_a_loop_that_does_not_close_is_shared_by_the_variances() -> None:
    """Levelling, one condition: each reading takes its variance's share of what the loop is open by; 0.3 over 1 + 1 + 4.

    The readings disagree by 0.3 where 0.1 x sqrt(6) = 0.245 is usual: the covariance is wider by 0.3^2 / 0.06 = 1.5.
    """
    low, high = face(30.0), face(70.0)
    sizes = [size("F1", DATUM, low, 30.0), size("F2", low, high, 40.0), size("F3", DATUM, high, 70.0)]
    read = {"F1": Estimate(30.1, 0.1), "F2": Estimate(40.2, 0.1), "F3": Estimate(70.0, 0.2)}
    made = placed(sizes, read, [DATUM])
    assert off(made) == pytest.approx({30.0: 0.1 - 0.05, 70.0: 0.0 + 0.2})
    # F1's face: 0.01 less its part of the loop, 0.01^2 / 0.06
    assert made.cov[0][0] == pytest.approx(1.5 * (0.01 - 0.01**2 / 0.06))
    closed = placed(sizes, read | {"F3": Estimate(70.3, 0.2)}, [DATUM])
    assert closed.cov[0][0] == pytest.approx(0.01 - 0.01**2 / 0.06)
    assert closed.sizes == (("F1", "F2"), ("F2", "F3"))


def test_a_piece_that_disagrees_with_itself_widens_itself_alone() -> None:
    """One loop open by three times its u, the other closed: the closed one's covariance stays what it was."""
    sizes, read = [], {}
    for k, gap in enumerate((0.0, 0.6)):
        low, high = face(30.0, f"core {k}"), face(70.0, f"core {k}")
        sizes += [
            size(f"A{k}", DATUM, low, 30.0),
            size(f"B{k}", low, high, 40.0),
            size(f"C{k}", DATUM, high, 70.0),
        ]
        read |= {f"A{k}": Estimate(30.0 + gap, 0.1), f"B{k}": Estimate(40.0, 0.1), f"C{k}": Estimate(70.0, 0.1)}
    made = placed(sizes, read, [DATUM])
    plain = 0.01 - 0.01**2 / 0.03
    assert made.cov[0][0] == pytest.approx(plain)
    assert made.cov[2][2] == pytest.approx(plain * 0.36 / 0.03)


def test_readings_with_one_gauge_move_together() -> None:
    """Two faces from the datum, 0.03 of 0.05 from the gauge: their distance knows nothing of the gauge."""
    sizes = [size("F1", DATUM, face(30.0), 30.0), size("F2", DATUM, face(70.0), 70.0)]
    read = {"F1": Estimate(30.0, 0.05), "F2": Estimate(70.0, 0.05)}
    made = placed(sizes, read, [DATUM], shared_u={"F1": ("CAL", 0.03), "F2": ("CAL", 0.03)})
    assert made.cov[0][1] == pytest.approx(0.03**2)
    assert made.cov[0][0] == pytest.approx(0.05**2)
    apart = placed(sizes, read, [DATUM], shared_u={"F1": ("CAL", 0.03), "F2": ("ARM", 0.03)})
    assert apart.cov[0][1] == pytest.approx(0.0)
    # a gauge that says of itself more than a reading's whole u shares no more than that
    most = placed(sizes, read, [DATUM], shared_u={"F1": ("CAL", 9.0), "F2": ("CAL", 9.0)})
    assert most.cov[0][1] == pytest.approx(0.05**2)


def test_only_what_was_read_is_placed() -> None:
    sizes = [size("F1", DATUM, face(30.0), 30.0), size("F2", face(None, spot="F2 A"), face(None, spot="F2 B"), 9.0)]
    assert placed(sizes, {}, [DATUM]).faces == ()
    assert placed([size("F0", DATUM, DATUM, 0.0)], {"F0": Estimate(0.0, 0.1)}, [DATUM]).faces == ()
    made = placed(sizes, {"F2": Estimate(9.2, 0.1)}, [DATUM])
    assert made.off_mm == pytest.approx((-0.1, 0.1))
    assert made.number(face(30.0)) is None
    assert made.number(face(None, spot="F2 B")) == 1
    with pytest.raises(DataError, match="F2: a reading has an uncertainty"):
        placed(sizes, {"F2": Estimate(9.2, 0.0)}, [DATUM])


@given(seed=st.integers(0, 100_000))
def test_random_castings_agree_with_plain_least_squares(seed: int) -> None:
    """Random sizes between random faces: places as numpy's lstsq on whitened rows, whatever hangs on the datum."""
    rng = np.random.default_rng(seed)
    places = [0.0, *np.round(np.sort(rng.uniform(5, 500, 6)), 1)]
    faces = [DATUM, *(face(float(p)) for p in places[1:])]
    sizes, read = [], {}
    for k in range(int(rng.integers(3, 14))):
        a, b = sorted(rng.choice(len(faces), 2, replace=False))
        sizes.append(size(f"F{k}", faces[a], faces[b], places[b] - places[a]))
        read[f"F{k}"] = Estimate(places[b] - places[a] + float(rng.normal(0, 0.3)), float(rng.uniform(0.02, 0.2)))
    made = placed(sizes, read, [DATUM])
    got = {f.place_mm: mm for f, mm in zip(made.faces, made.off_mm, strict=True)} | {0.0: 0.0}
    number = {f.place_mm: n for n, f in enumerate(made.faces)}
    rows, seen = np.zeros((len(sizes), len(made.faces))), np.zeros(len(sizes))
    for r, one in enumerate(sizes):
        seen[r] = (read[one.name].value - one.mm) / read[one.name].u
        for sign, end in ((1.0, one.b), (-1.0, one.a)):
            if end.place_mm in number:
                rows[r, number[end.place_mm]] += sign / read[one.name].u
    plain = np.linalg.lstsq(rows, seen, rcond=None)[0]
    ours = np.array([got[f.place_mm] for f in made.faces])
    # what was read is the same for both, free of where a loose piece stands
    assert rows @ ours == pytest.approx(rows @ plain, abs=1e-4)
    assert np.linalg.matrix_rank(rows) == len(made.faces) - len(
        {p for p, on in zip(made.piece, made.tied, strict=True) if not on}
    )
    cov = np.array(made.cov)
    assert cov == pytest.approx(cov.T)
    assert np.linalg.eigvalsh(cov).min() > 0.0
    for number_, on in zip(made.piece, made.tied, strict=True):
        if not on:
            assert sum(mm for mm, p in zip(made.off_mm, made.piece, strict=True) if p == number_) == pytest.approx(
                0.0, abs=1e-6
            )
