"""Stock of castings that must be turned: by hand on an invented bracket, what is held still, re-alignment, places."""

from __future__ import annotations

from collections.abc import Iterator
from math import hypot
from pathlib import Path

import pytest

from inspect_tui.frozen import replace
from inspect_tui.model.first_article import DatumTarget, Realigned
from inspect_tui.model.work import Feature
from inspect_tui.record.store import Record
from inspect_tui.shop.common import find
from inspect_tui.shop.common.drawing_notes import places_of
from inspect_tui.shop.first_article.article import first_article
from inspect_tui.shop.first_article.castings.rounds import pick_round
from inspect_tui.shop.first_article.castings.sampling import Sampling
from inspect_tui.shop.first_article.stock import held_by, stock
from inspect_tui.shop.first_article.stock_faces import stock_faces
from tests.worlds.sampled_shop import AFTER_S3, copy_of_shop
from tests.worlds.stock_shop import TOP, bracket, feature, measured

ALONG = {"H1": "at x = 50", "H2": "at x = 300", "H3": "at x = 550"}
SLOPE = -0.0044  # a casting that hangs by 2.2 over the 500 between its targets
HANGS = {"H1": 63.0, "H2": 61.9, "H3": 60.8}  # 3.0, 1.9 and 0.8 of stock; 1.0 is needed


@pytest.fixture
def record(tmp_path: Path) -> Iterator[Record]:
    made = Record.open(tmp_path / "shop.db", create=True)
    yield made
    made.close()


def plane(targets: dict[str, float]) -> tuple[float, float]:
    """Slopes along x and y that three raises make, on A1 (50, 20), A2 (550, 90), A3 (50, 160)."""
    along_y = (targets["A3"] - targets["A1"]) / 140.0
    return (targets["A2"] - targets["A1"] - along_y * 70.0) / 500.0, along_y


# ------------------------------------------------------------------------------ turned by hand
def test_a_casting_that_hangs_cleans_up_when_its_targets_are_shimmed(record: Record) -> None:
    """Three heights on a line: level by the slope, about the middle of the targets (A1, A2 at 50 and 550: 300)."""
    job = bracket(record, ALONG, targets={"A1": (50.0, 90.0, 0.0), "A2": (550.0, 90.0, 0.0)})
    found = stock(measured(record, job, {"C1": HANGS}))
    (line,) = found.castings
    assert line.cleans_up
    assert line.spare == pytest.approx(0.9, abs=0.005)
    assert line.spare_as_it_stands == pytest.approx(-0.2)
    assert line.turn_rad == pytest.approx((0.0, SLOPE, 0.0), abs=1e-6)
    assert dict(line.targets) == pytest.approx({"A1": -1.1, "A2": 1.1}, abs=1e-3)
    assert line.sentence.startswith("Casting C1: Cleans up (chance >99 %): at least 1.90 stock is left")
    assert "Set up: raise datum target A2 by 1.10 mm, lower A1 by 1.10 mm" in line.sentence
    assert "raise A2 by 2.20 mm and set zero 1.10 mm toward +Z" in line.sentence
    assert "Not turned, 0.20 would be lacking" in line.sentence
    assert "rad" not in line.sentence
    assert found.not_told == ()


def test_three_targets_make_the_turn_and_keep_their_middle(record: Record) -> None:
    """Turned both ways: the raises of the three targets are the very plane that the heights stand in."""
    notes = {"H1": "at x = 50, y = 20", "H2": "taken at x = 50 and y = 160", "H3": "at x = 550, at y = 90"}
    job = bracket(record, notes)
    # planes through the heights: 0.0016 along x and -0.001 along y
    (line,) = stock(measured(record, job, {"C1": {"H1": 61.47, "H2": 61.33, "H3": 60.6}})).castings
    assert line.cleans_up
    targets = dict(line.targets)
    assert plane(targets) == pytest.approx((0.0016, 0.001), abs=1e-5)
    assert sum(targets.values()) == pytest.approx(0.0, abs=1e-9)
    # raised where the stock was lean by just what was lacking to the mean of the three
    lacking = {"A1": 61.1333 - 61.47, "A3": 61.1333 - 61.33, "A2": 61.1333 - 60.6}
    assert targets == pytest.approx(lacking, abs=2e-3)
    assert line.spare == pytest.approx(61.1333 - TOP + 3.0 - 1.0, abs=2e-3)


def test_a_turn_stops_at_its_bound_and_says_so(record: Record) -> None:
    job = bracket(record, ALONG)
    (line,) = stock(measured(record, job, {"C1": {"H1": 65.0, "H2": 61.9, "H3": 59.3}})).castings
    assert abs(line.turn_rad[1]) == pytest.approx((0.02 / hypot(550.0 - 650.0 / 3.0, 90.0, 63.0)) ** 0.5, rel=0.02)
    assert "as far as a set-up is reckoned here" in line.sentence


# ------------------------------------------------------------------------------ not turned
def test_a_casting_that_shifts_clean_up_is_not_turned(record: Record) -> None:
    """It hangs, but has stock enough: nobody takes it off its datum for evenness."""
    job = bracket(record, ALONG)
    sampling = measured(record, job, {"C1": {"H1": 63.4, "H2": 63.0, "H3": 62.4}})
    (line,) = stock(sampling).castings
    assert line.turn_rad == (0.0, 0.0, 0.0)
    assert line.targets == (("A1", 0.0), ("A2", 0.0), ("A3", 0.0))
    assert "Set up" not in line.sentence
    # the same castings where the cut needs more
    (line,) = stock(sampling, required=2.6).castings
    assert line.turn_rad[1] < 0
    assert "Set up: raise datum target A2" in line.sentence


def test_a_casting_that_is_sure_enough_is_not_turned_to_be_surer(record: Record) -> None:
    """0.08 to spare, which is known to about 0.04: 97 %. Of another with 0.02 to spare it is not sure, and it is."""
    job = bracket(record, ALONG)
    heights = {"H1": 61.5, "H2": 61.3, "H3": 61.08}
    sure, unsure = stock(
        measured(record, job, {"C1": heights, "C2": {balloon: mm - 0.06 for balloon, mm in heights.items()}})
    ).castings
    assert 0.95 < sure.p_cleans_up < 0.999
    assert sure.turn_rad == (0.0, 0.0, 0.0)
    assert unsure.turn_rad[1] < 0
    assert unsure.p_cleans_up > 0.999
    assert "Not turned, only 0.02 would be to spare" in unsure.sentence


def test_a_turn_that_gains_less_than_a_shim_is_worth_is_left_out(record: Record) -> None:
    job = bracket(record, ALONG)
    (line,) = stock(measured(record, job, {"C1": {"H1": 60.96, "H2": 60.93, "H3": 60.9}})).castings
    assert not line.cleans_up
    assert line.turn_rad == (0.0, 0.0, 0.0)


@pytest.mark.parametrize(
    ("notes", "targets", "said"),
    [
        (
            {**ALONG, "H2": ""},
            {"A1": (50.0, 90.0, 0.0), "A2": (550.0, 90.0, 0.0)},
            "does not say where H1 and H3 (along Y), H2 (along X and Y) were taken",
        ),
        (ALONG, {}, "where along X the datum targets hold it along Z is not recorded"),
        (ALONG, {"A1": (50.0, 90.0, 0.0), "A2": (None, None, 0.0)}, "where along X the datum targets hold it along Z"),
        (
            {"H3": "at x = 300, y = 90"},
            {"A1": (50.0, 90.0, 0.0), "A2": (550.0, 90.0, 0.0)},
            "no machined face was measured at two places, so none shows a tilt",
        ),
        (
            {"H1": "at x = 400", "H2": "at x = 500", "H3": "at x = 550"},
            {"A1": (50.0, 90.0, 0.0), "A2": (300.0, 90.0, 0.0)},
            "all faces that it moves would gain by it, so nothing says where to stop",
        ),
    ],
)
def test_a_turn_that_nothing_answers_for_is_held_still_and_that_is_said(record: Record, notes, targets, said) -> None:
    hangs = {balloon: HANGS[balloon] for balloon in notes}
    found = stock(measured(record, bracket(record, notes, targets=targets), {"C1": hangs, "C2": hangs}))
    for line in found.castings:
        assert line.turn_rad == (0.0, 0.0, 0.0)
        assert not line.cleans_up
    told = [one for one in found.not_told if said in one]
    assert len(told) == 1
    assert told[0].startswith("whether a turn about")  # of both castings: said once, of neither by name


def test_what_is_true_of_one_casting_names_it(record: Record) -> None:
    job = bracket(record, {**ALONG, "H2": ""})
    found = stock(measured(record, job, {"C1": HANGS, "C2": dict.fromkeys(HANGS, 63.0)}))
    assert next(one for one in found.not_told if "whether a turn" in one).startswith("C1: whether a turn")


def test_a_target_at_an_unknown_place_is_named_where_its_raise_cannot_be_told(record: Record) -> None:
    """Faces both ways find their height themselves, so it turns; but what A2 moves by is not known."""
    foot = "\n".join(
        feature(f"P{n}", f"at x = {x}", at=(-3.0, 0.0), stock="[3, 0]").replace('b = "cope"', 'b = "drag"')
        for n, x in ((1, 50), (2, 550))
    ).replace('between = "metal"', 'between = "face-"')  # a pad below the datum plane: both look down
    job = bracket(record, ALONG, more=foot, targets={"A1": (50.0, 90.0, 0.0), "A2": (None, 90.0, 0.0)})
    found = stock(measured(record, job, {"C1": {**HANGS, "P1": 1.9, "P2": 4.1}}), required=1.6)
    (line,) = found.castings
    assert line.turn_rad[1] == pytest.approx(SLOPE, abs=1e-4)
    assert [name for name, _ in line.targets] == ["A1"]
    assert "C1: how much to raise A2, as its place is not recorded" in found.not_told


# ------------------------------------------------------------------------------ faces and places
def test_one_face_at_several_places_is_told_at_each_and_once_at_one(record: Record) -> None:
    again = feature("H4", "at x = 550, again")
    # from another face, before and after: those from the datum tell it better
    before, after = (feature(f"H{n}", f"at x = {100 * n}", at=(20.0, TOP)) for n in (0, 5))
    rows = [before, *(feature(balloon, note) for balloon, note in ALONG.items()), again, after]
    sampling = measured(record, bracket(record, {}, more="\n".join(rows)), {"C1": HANGS})
    faces = stock_faces(sampling)
    assert [face.feature.balloon for face in faces.machined if face.from_datum] == ["H1", "H2", "H3"]
    assert [line.name for line in stock(sampling).castings[0].faces] == ["H1 top H1", "H2 top H2", "H3 top H3"]
    assert faces.told == ()


def test_places_of_a_note() -> None:
    def places(note: str | None) -> dict[str, float]:
        return places_of(Feature(balloon="F1", name="height", nominal=1.0, note=note))

    assert places("at x = 455, z = 140") == {"x": 455.0, "z": 140.0}
    assert places("taken at X=-12.5 and Y = 3, top") == {"x": -12.5, "y": 3.0}
    assert places("at x = 300; at z = 20") == {"x": 300.0, "z": 20.0}
    assert places("at x = 300 z = 20/y = 4") == {"x": 300.0, "z": 20.0, "y": 4.0}
    assert places("at x = 300, x = 500") == {"x": 300.0}
    assert places("x = 300 is not said to be the place") == {}
    assert places("flat = 3, at noon") == {}
    assert places(None) == {}


def test_a_height_with_two_places_is_turned_back_by_the_one_along_the_tilt(record: Record) -> None:
    job = bracket(record, {"H1": "at y = 20, x = 550", "H2": "at x = 50"})
    sampling = measured(record, job, {"C1": {"H1": 62.0, "H2": 63.0}})
    item = sampling.casting("C1")
    record.add(Realigned(item_id=item.id, pivot_mm=50.0, slope=-0.002, u_slope=0.0, why="A2 ground"))
    sampling.reload()
    assert sampling.cell(sampling.feature("H1"), item).value == pytest.approx(63.0)
    assert sampling.cell(sampling.feature("H2"), item).value == pytest.approx(63.0)


# ------------------------------------------------------------------------------ the invented shop: S3-4 sits tilted
@pytest.fixture(scope="module")
def invented(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Record]:
    with copy_of_shop(tmp_path_factory, tmp_path_factory.mktemp("invented"), AFTER_S3) as made:
        yield made


def test_the_datum_targets_of_the_invented_shop_hold_it(invented: Record) -> None:
    held = held_by(Sampling(invented, invented.jobs()[0], pick_round(invented, invented.jobs()[0], "S3")))
    assert held.primary == "z"
    assert held.middles[2] == pytest.approx((680.0 / 3.0, 88.0, 0.0))
    assert held.middles[0] == (0.0, None, None)


def test_a_casting_that_was_realigned_tells_the_shim_that_its_stock_counts_on(invented: Record) -> None:
    """A2 was ground 0.50 low (planted): with its heights turned back the boss has 0.40 more, once A2 is raised."""
    job = invented.jobs()[0]
    sampling = Sampling(invented, job, pick_round(invented, job, "S3"))
    was = next(line for line in stock(sampling).castings if line.serial == "S3-4")
    assert "Set up" not in was.sentence
    item = sampling.casting("S3-4")
    invented.add(Realigned(item_id=item.id, pivot_mm=60.0, slope=-0.001, u_slope=0.0001, why="A2 was ground 0.50"))
    sampling.reload()
    now = next(line for line in stock(sampling).castings if line.serial == "S3-4")
    assert now.spare - was.spare == pytest.approx(0.395)
    assert dict(now.targets) == pytest.approx({"A1": 0.0, "A2": 0.5, "A3": 0.0})
    assert "Set up: raise datum target A2 by 0.50 mm." in now.sentence
    assert "re-aligned (A2 was ground 0.50)" in now.sentence


def test_the_invented_shop_says_why_its_castings_are_not_turned_when_more_stock_is_needed(invented: Record) -> None:
    job = invented.jobs()[0]
    found = stock(Sampling(invented, job, pick_round(invented, job, "S3")), required=4.5)
    told = " ".join(found.not_told)
    assert "whether a turn about X or Y or Z would help" in told
    assert "F01 and F02 (along Y and Z)" in told
    assert all(line.turn_rad == (0.0, 0.0, 0.0) for line in found.castings)


def test_notes_with_places_let_a_tilted_casting_of_the_invented_shop_be_turned(
    tmp_path: Path, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """The same castings on a drawing that says where the boss and both flange rows were taken, targets all placed."""
    record = copy_of_shop(tmp_path_factory, tmp_path, AFTER_S3)
    job = record.jobs()[0]
    for label, axis, x, y, z in (("B", "y", 310.0, 0.0, 90.0), ("C", "x", 0.0, 88.0, 90.0)):
        record.add(DatumTarget(job_of_id=job.of_id, label=label, axis=axis, x_mm=x, y_mm=y, z_mm=z))
    notes = {
        "F01": "at y = 88, z = 50",
        "F02": "at y = 88, z = 130",
        "F23": "at x = 300, z = 50",
        "F24": "at x = 300, z = 130",
        "F58": "at x = 455, y = 88",
    }
    sampling = Sampling(record, job, pick_round(record, job, "S3"))
    sampling.features = [replace(f, note=notes.get(f.balloon, f.note)) for f in sampling.features]
    needed = 3.0  # S3-4 has 2.60 on the boss
    line = next(one for one in stock(sampling, needed).castings if one.serial == "S3-4")
    assert line.cleans_up
    assert line.spare_as_it_stands < 0
    assert dict(line.targets)["A2"] > 0 > dict(line.targets)["A1"]
    boss = next(face for face in line.faces if face.name.startswith("F58"))
    raised = dict(line.targets)
    along_x, along_y = (raised["A2"] - (raised["A1"] + raised["A3"]) / 2) / 500.0, (raised["A3"] - raised["A1"]) / 96.0
    assert boss.after - boss.before == pytest.approx(along_x * (455.0 - 680.0 / 3.0) + along_y * 0.0, abs=0.02)
    record.close()


def test_turned_castings_stand_in_the_first_article(record: Record) -> None:
    job = bracket(record, ALONG)
    measured(record, job, {"C1": HANGS})
    found = first_article(record, find.job(record, "BR-7"))
    (line,) = found.stock.castings
    assert [name for name, _ in line.targets] == ["A1", "A2", "A3"]
