"""Adjusting faces: closed forms for two faces and a loop, a textbook net, and one dense system with the same model.

Baarda's constants as in test_generalised; the levelling net is Ghilani and Wolf's (from memory, checked by solving).
"""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_tui.errors import DataError
from inspect_tui.frozen import replace
from inspect_tui.metrology.faces import sand
from inspect_tui.metrology.faces.adjust import PRACTICE, Priors, Reading, adjust, level
from inspect_tui.metrology.faces.face import Face, Size
from inspect_tui.metrology.faces.network import Carry, Network
from tests.benchmarks.faces_coverage import coverage

STILL = Priors(tool_face=0.0, contraction=0.0, held_back=0.0, shift=0.0, mismatch=0.0, parting=0.0, growth=0.0)
STILL = replace(STILL, seat=0.0, one_parting=0.0, face=0.0, scale=0.0, with_sand=False)


def face(maker: str, place: float | None, facing: int = 0, axis: str = "x") -> Face:
    return Face(maker=maker, axis=axis, place_mm=place, facing=facing)


def size(name: str, a: Face | None, b: Face, mm: float | None = None) -> Size:
    apart = (b.place_mm or 0.0) - ((a.place_mm or 0.0) if a else 0.0)
    return Size(name=name, a=a, b=b, mm=apart if mm is None else mm, contraction=0.01)


def read(name: str, mm: float, u: float = 0.03, casting: str = "S1", **more: object) -> Reading:
    return Reading(size=name, mm=mm, u=u, casting=casting, **more)  # type: ignore[arg-type]


DATUM, END = face("drag", 0.0, -1), face("drag", 100.0, 1)
LOW, HIGH = face("core 1", 30.0, 1), face("core 1", 70.0, -1)
LOW2, HIGH2 = face("core 2", 40.0, 1), face("core 2", 60.0, -1)
BODY, WALL, PASSAGE = size("F1", DATUM, END), size("F2", DATUM, LOW), size("F3", LOW, HIGH)
INNER, GAP = size("F4", LOW2, HIGH2), size("F5", LOW, LOW2)
CARRIES = (Carry("core 1", "drag"), Carry("core 2", "core 1"))


def little() -> Network:
    bore = size("F6", face("core 1", None, 1), face("core 1", None, -1), 48.0)
    return Network([BODY, WALL, PASSAGE, INNER, GAP, bore], CARRIES)


# ------------------------------------------------------------------------------ closed forms
def test_two_faces_and_one_reading() -> None:
    """A tool face of width s read with u on one casting: the mean of both weighed by 1/s2 and 1/u2."""
    network = Network([BODY])
    fit = adjust(network, [read("F1", 100.4, 0.1)], replace(STILL, tool_face=0.2))
    place = fit.place("drag face x 100")
    assert place.value == pytest.approx(100 + 0.4 * 0.04 / 0.05)
    assert place.u == pytest.approx((1 / (1 / 0.04 + 1 / 0.01)) ** 0.5)
    (only,) = fit.residuals
    assert only.off_mm == pytest.approx(0.4) and only.u == pytest.approx(0.05**0.5)
    assert only.standardised == pytest.approx(0.4 / 0.05**0.5) and not only.slip
    assert only.smallest_slip_mm == pytest.approx((17.0746 * 0.05) ** 0.5, rel=1e-5)


def test_repeats_on_castings_leave_their_own_scatter_behind() -> None:
    """n castings with scatter f of each face: the tool is known to the mean, a casting to its own reading."""
    network = Network([BODY])
    priors = replace(STILL, tool_face=10.0, face=0.06)
    readings = [read("F1", 100.0 + d, 0.02, str(n)) for n, d in enumerate((0.1, 0.2, 0.3))]
    fit = adjust(network, readings, priors)
    own = 2 * 0.06**2 + 0.02**2
    assert fit.place("drag face x 100").value == pytest.approx(100.2, abs=1e-4)
    assert fit.place("drag face x 100").u == pytest.approx((own / 3) ** 0.5, rel=1e-3)
    first = fit.place("drag face x 100", "0")
    share = 2 * 0.06**2 / own  # of what is left over that is the casting's and not the reading's
    assert first.value == pytest.approx(100.2 - 0.1 * share, abs=1e-4)
    assert fit.place("drag face x 100", "next").u == pytest.approx((own / 3 + 2 * 0.06**2) ** 0.5, rel=1e-3)


def test_a_loop_of_three_shares_its_gap_by_the_squares_of_the_uncertainties() -> None:
    """Closed form of a levelling loop: each reading takes u2 / (sum of u2) of the misclosure."""
    sizes = [size("F2", DATUM, LOW), size("F9", LOW, END), size("F1", DATUM, END)]
    out = level(sizes, [read("F2", 30.10, 0.02), read("F9", 70.00, 0.04), read("F1", 100.00, 0.04)])
    gap, total = 0.10, 0.02**2 + 2 * 0.04**2
    assert out.places["core 1 face x 30"].value == pytest.approx(30.10 - gap * 0.02**2 / total)
    assert out.places["drag face x 100"].value == pytest.approx(100.00 + gap * 0.04**2 / total)
    assert (out.rank, out.redundancy, out.free) == (2, 1, ())
    assert out.chi2 == pytest.approx(gap**2 / total)
    for r in out.residuals:  # in one loop every reading stands or falls with the gap
        assert abs(r.standardised) == pytest.approx(gap / total**0.5)
        assert abs(r.off_mm) == pytest.approx(gap) and r.u == pytest.approx(total**0.5)
        assert r.smallest_slip_mm == pytest.approx((17.0746 * total) ** 0.5, rel=1e-5)
    assert out.redundancy_of == pytest.approx({"F2": 0.0004 / total, "F9": 0.0016 / total, "F1": 0.0016 / total})


def test_a_textbook_net_as_faces() -> None:
    x, y = face("drag", 0.0), face("drag", 7.5)
    a, b, c = face("core 1", 5.0), face("core 1", 4.5), face("core 1", 6.0)
    lines = [(x, a, 5.10, 4), (a, y, 2.34, 3), (y, c, -1.25, 2), (c, x, -6.13, 3), (a, b, -0.68, 2), (y, b, -3.0, 2)]
    lines += [(b, c, 1.70, 2), (x, y, 7.50, 1e-6)]  # both benchmarks are given
    sizes = [size(f"F{n}", p, q) for n, (p, q, _, _) in enumerate(lines)]
    readings = [read(f"F{n}", mm, length**0.5) for n, (_, _, mm, length) in enumerate(lines)]
    places = level(sizes, readings).places
    got = [places[f"core 1 face x {at}"].value for at in ("5", "4.5", "6")]
    assert got == pytest.approx([5.150, 4.489, 6.197], abs=5e-4)


def test_what_the_readings_leave_free_is_named() -> None:
    network = little()
    out = level(network, [read("F3", 40.1), read("F4", 20.1)])
    assert out.from_face["core 1 face x 70"] == "core 1 face x 30"
    assert out.places["core 1 face x 70"].value == pytest.approx(40.1)
    assert out.from_face["core 2 face x 60"] == "core 2 face x 40"
    assert "drag face x 100" in out.free and "core 1 face x 30" not in out.free
    assert (out.rank, out.redundancy) == (2, 0)
    assert all(r.smallest_slip_mm == np.inf and not r.slip for r in out.residuals)
    fit = adjust(network, [read("F3", 40.1), read("F4", 20.1)])
    assert set(fit.unmoored) == {f.name for f in network.faces} - {"drag face x 0"}
    assert "core 1 face x 70" not in adjust(network, [read("F2", 30.0), read("F3", 40.0)]).unmoored


def test_a_gauge_that_reads_two_sizes_high_is_no_slip_of_either() -> None:
    sizes = [size("F2", DATUM, LOW), size("F9", LOW, END), size("F1", DATUM, END)]
    plain = [read("F2", 30.2, 0.02), read("F9", 70.2, 0.02), read("F1", 100.0, 0.02)]
    assert all(r.slip for r in level(sizes, plain).residuals)
    one_gauge = [replace(r, group="UT1" if r.size != "F1" else "", u_group=0.2) for r in plain]
    assert not any(r.slip for r in level(sizes, one_gauge).residuals)
    assert any(r.slip for r in adjust(Network(sizes), plain, replace(STILL, tool_face=1.0)).residuals)
    assert not any(r.slip for r in adjust(Network(sizes), one_gauge, replace(STILL, tool_face=1.0)).residuals)


# ------------------------------------------------------------------------------ sizes nobody measured
def test_a_wall_nobody_measured_follows_from_what_was_read() -> None:
    fit = adjust(little(), [read("F1", 100.30), read("F2", 30.10), read("F3", 40.05)])
    wall = fit.between(HIGH, END, "S1")
    assert wall.follows_from == ("F3", "F2", "F1") and not wall.read
    assert wall.mm == pytest.approx(100.30 - 30.10 - 40.05, abs=0.02) and 0.03 < wall.u < 0.06
    assert wall.said().startswith("follows from F3, F2 and F1: 30.1")
    assert fit.between(DATUM, END, "S1").said().startswith("read as F1: 100.3")
    assert fit.between(LOW2, HIGH, "S1").follows_from == ()
    assert fit.between(LOW2, HIGH, "S1").said().startswith("nothing read leads there; from tools and practice 30.0")
    assert fit.between(DATUM, END, "S2").follows_from == ()
    tools = fit.between(DATUM, END)
    assert tools.estimate == (tools.mm, tools.u) and tools.follows_from == ()


def test_practice_alone_puts_every_face_where_it_is_drawn() -> None:
    fit = adjust(little(), [])
    assert fit.places() == pytest.approx(
        {f.name: f.place_mm if f.place_mm is not None else (-24.0 if f.facing > 0 else 24.0) for f in little().faces}
    )
    assert fit.residuals == () and fit.slips == ()
    # wide where nobody measured: a wall between drag and a core in a core knows two seats
    near, far = fit.between(DATUM, LOW).u, fit.between(DATUM, LOW2).u
    assert far > near > PRACTICE.shift


def test_tools_that_were_measured_bring_their_own_uncertainty() -> None:
    network = little()
    measured = adjust(network, [Reading(size="F3", mm=40.2, u=0.02)], replace(STILL, tool_face=0.15))
    there = measured.between(LOW, HIGH)
    share = 2 * 0.15**2 / (2 * 0.15**2 + 0.02**2)
    assert there.mm == pytest.approx(40 + 0.2 * share) and there.u == pytest.approx(0.02 * share**0.5)
    assert [r.size for r in measured.residuals] == ["F3"] and measured.residuals[0].casting == ""
    with pytest.raises(DataError, match="F2 lies between drag and core 1: no tool shows it"):
        adjust(network, [Reading(size="F2", mm=30.0, u=0.02)])


def test_a_slip_is_found_among_tools_and_castings() -> None:
    readings = [Reading(size="F3", mm=40.0, u=0.02), read("F2", 30.1, 0.02), read("F1", 100.1, 0.02)]
    fit = adjust(little(), [*readings, read("F3", 46.0, 0.02)])
    worst = fit.slips[0]
    assert (worst.size, worst.casting) == ("F3", "S1") and worst.off_mm == pytest.approx(6.0, abs=0.2)
    assert fit.slips[0].smallest_slip_mm < 2.0


@pytest.mark.parametrize(
    ("readings", "words"),
    [
        ([read("F99", 3.0)], "F99 is no size"),
        ([read("F1", float("nan"))], "F1: nan ± 0.03 is no reading"),
        ([read("F1", 100.0, -0.1)], "F1: 100.0 ± -0.1 is no reading"),
    ],
)
def test_what_is_no_reading_is_said(readings: list[Reading], words: str) -> None:
    with pytest.raises(DataError, match=words):
        adjust(little(), readings)
    with pytest.raises(DataError, match=words):
        level(little(), readings)


def test_what_cannot_be_asked_is_said() -> None:
    across = size("F8", face("drag", 0.0, -1, "y"), face("drag", 50.0, 1, "y"))
    fit = adjust(Network([*little().sizes, across], CARRIES), [])
    with pytest.raises(DataError, match="do not lie along one axis"):
        fit.between(DATUM, "drag face y 50")
    with pytest.raises(DataError, match="nobody said where"):
        fit.between(DATUM, "core 1 face x F6 B")
    with pytest.raises(DataError, match="no size ends on"):
        fit.place("cope face z 3")
    with pytest.raises(DataError, match="nothing was read"):
        level(little(), [])
    assert fit.between("core 1 face x F6 A", "core 1 face x F6 B").mm == pytest.approx(48.0)


# ------------------------------------------------------------------------------ the whole model as one dense system
def dense(network: Network, readings: list[Reading], p: Priors) -> tuple[np.ndarray, np.ndarray, np.ndarray, list[str]]:
    """Mean and covariance of (faces on the tools, faces on each casting) and the standardised residuals, in one go.

    Written out from the model, with columns of the network where they say what moves.
    """
    faces, n = network.faces, len(network.faces)
    b = network.incidence()
    names = [f.name for f in faces]
    drawn = np.array([network.place[name] for name in names])
    castings = sorted({r.casting for r in readings if r.casting})

    def rank_one(moves: dict[str, float], sd: float) -> np.ndarray:
        v = np.array([moves.get(name, 0.0) * sd for name in names])
        return np.outer(v, v)

    errors = np.diag([0.0 if network.is_datum(f) else p.tool_face**2 for f in faces])
    common = np.zeros((n, n))
    for c in network.columns():
        if c.kind == "contraction" and c.axis != "all":
            common += rank_one(dict(c.moves), p.contraction)
        elif c.kind == "held back":
            common += rank_one(dict(c.moves), p.held_back)
        elif c.kind == "growth":
            common += rank_one(dict(c.moves), p.growth)
    own = p.face**2 * np.eye(n) + p.scale**2 * np.outer(drawn, drawn)
    riders = {"core 1": ("core 1", "core 2"), "core 2": ("core 2",)}
    for together in riders.values():
        moves = {f.name: float(f.maker in together) for f in faces}
        common += rank_one(moves, p.shift)
        own += rank_one(moves, p.seat)
    spread = sand.covariance(drawn)
    loose = np.array(["F6" in name for name in names])
    own += np.where(loose[:, None] == loose[None, :], spread, 0.0)
    # latents: errors of tools, what is common, each casting's own
    blocks = [errors, common, *[own for _ in castings]]
    prior = np.zeros((n * len(blocks),) * 2)
    for k, block in enumerate(blocks):
        prior[k * n : (k + 1) * n, k * n : (k + 1) * n] = block
    rows, y, groups = [], [], []
    for r in readings:
        at = np.zeros(len(prior))
        take = [0] if not r.casting else [0, 1, 2 + castings.index(r.casting)]
        for k in take:
            at[k * n : (k + 1) * n] = b[network.size_number[r.size]]
        rows.append(at)
        y.append(r.mm - network.size(r.size).mm)
        groups.append((r.group, bool(r.casting)))
    h = np.array(rows)
    noise = np.diag([r.u**2 for r in readings])
    for i, j in combinations(range(len(readings)), 2):
        if readings[i].group and groups[i] == groups[j]:
            noise[i, j] = noise[j, i] = readings[i].u_group ** 2
    noise += np.diag([r.u_group**2 if r.group else 0.0 for r in readings])
    m = h @ prior @ h.T + noise
    weight = np.linalg.inv(m)
    gain = prior @ h.T @ weight
    mean, cov = gain @ np.array(y), prior - gain @ h @ prior
    dual = weight @ np.array(y)
    pick = [np.hstack([np.eye(n), np.eye(n), np.zeros((n, n * len(castings)))])]
    for k in range(len(castings)):
        one = np.zeros((n, len(prior)))
        for j in (0, 1, 2 + k):
            one[:, j * n : (j + 1) * n] = np.eye(n)
        pick.append(one)
    take = np.vstack(pick)
    return (
        np.tile(drawn, len(castings) + 1) + take @ mean,
        take @ cov @ take.T,
        dual / np.sqrt(np.diag(weight)),
        castings,
    )


@settings(max_examples=12, deadline=None)
@given(st.integers(0, 10**6))
def test_it_is_one_dense_system_with_the_same_model(seed: int) -> None:
    rng = np.random.default_rng(seed)
    network = little()
    on = [(s.name, c) for c in ("S1", "S2", "S3") for s in network.sizes if rng.random() < 0.7]
    readings = [
        Reading(size=s, mm=network.size(s).mm + rng.normal() * 0.3, u=0.02 + 0.05 * rng.random(), casting=c)
        for s, c in on
    ]
    readings = [replace(r, group="UT1", u_group=0.05) if rng.random() < 0.4 else r for r in readings]
    tools = [
        Reading(size=s, mm=network.size(s).mm + rng.normal() * 0.1, u=0.02)
        for s in ("F1", "F3", "F4")
        if rng.random() < 0.6
    ]
    p = replace(PRACTICE, tool_face=0.3, growth=0.2)
    fit = adjust(network, [*tools, *readings], p)
    mean, cov, standard, castings = dense(network, [*tools, *readings], p)
    n, names = len(network.faces), [f.name for f in network.faces]
    for k, casting in enumerate(["", *castings]):
        block = slice(k * n, (k + 1) * n)
        assert fit.covariance(names, casting) == pytest.approx(cov[block, block], abs=1e-9)
        datum = mean[block][names.index("drag face x 0")]
        placed = [i for i, name in enumerate(names) if "F6" not in name]
        got = fit.places(casting)
        assert [got[names[i]] for i in placed] == pytest.approx(list(mean[block][placed] - datum), abs=1e-7)
    by_casting = sorted(range(len(readings)), key=lambda i: readings[i].casting)
    order = [*range(len(tools)), *[len(tools) + i for i in by_casting]]
    if not tools:  # a tool's own slip is judged by the tools alone
        assert [r.standardised for r in fit.residuals] == pytest.approx(list(standard[order]), abs=1e-6)
    pairs = [(LOW2, HIGH), (DATUM, END)]
    joint, spread = fit.joint(pairs, "S1")
    at = {name: n + i for i, name in enumerate(names)}
    if castings and castings[0] == "S1":
        rows = np.zeros((2, len(mean)))
        for row, (a, z) in zip(rows, pairs, strict=True):
            row[at[z.name]], row[at[a.name]] = 1.0, -1.0
        assert joint == pytest.approx(rows @ mean, abs=1e-7) and spread == pytest.approx(rows @ cov @ rows.T, abs=1e-9)


def test_intervals_of_sizes_that_nobody_read_hold_where_the_noise_is_not_the_models() -> None:
    """95 ± 2 %; of many more moulds the benchmark tells."""
    held, asked = coverage(60, seed=7)
    assert 0.93 <= held / asked <= 0.97


@settings(max_examples=15, deadline=None)
@given(st.integers(0, 10**6))
def test_another_reading_never_makes_anything_less_sure(seed: int) -> None:
    rng = np.random.default_rng(seed)
    network = little()
    readings = [read(s.name, s.mm + rng.normal() * 0.2, 0.05, c) for s in network.sizes for c in ("S1", "S2")]
    readings = [readings[i] for i in rng.permutation(len(readings))]
    names = [f.name for f in network.faces]
    before = np.diag(adjust(network, readings[:4]).covariance(names, "S1"))
    after = np.diag(adjust(network, readings[:5]).covariance(names, "S1"))
    assert (after <= before + 1e-12).all()
