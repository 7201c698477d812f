"""Naming the faces of a sample casting: no size is guessed, nothing is written of what is wrong. Worked by hand."""

from __future__ import annotations

import pytest

from inspect_tui.errors import InspectError, JobFileError, NotFound
from inspect_tui.frozen import replace
from inspect_tui.record.store import Record
from inspect_tui.shop.bench.line import Bench
from inspect_tui.shop.common import find
from inspect_tui.shop.common.geometry import faces as geometry
from inspect_tui.shop.common.geometry.job import of_job
from inspect_tui.shop.jobs import jobs, sample_casting
from inspect_tui.shop.measuring import faces
from inspect_tui.shop.measuring.faces import FaceSaid
from tests.worlds.sample_faces import FACES, begun, named, read

FLANGE = FACES[0]


def test_faces_become_features_with_one_end_and_no_size(record: Record) -> None:
    job, made = named(record)
    assert [(f.balloon, f.name) for f in made][:2] == [("S1", "flange face"), ("S2", "far end")]
    assert all(not f.nominal_known and len(f.ends) == 1 and f.lower is None for f in made)
    assert [(f.ends[0].half, f.ends[0].facing, f.ends[0].coord_mm) for f in made[:2]] == [
        ("drag", -1, 0.0),
        ("cope", 1, None),
    ]
    near = made[3]
    assert near.ends[0].core_id is not None and near.ends[0].facing == 1
    assert near.note == "only on the casting cut up; wall to S3" and geometry.wall_of(near) == "S3"
    assert [f.balloon for f in faces.of_sample(record, job)] == ["S1", "S2", "S3", "S4", "S5"]
    assert [f.ord for f in made] == [2, 3, 4, 5, 6]
    more = faces.name_faces(record, job, [FaceSaid(name="pad", by="drag", axis="z", metal="+")])
    assert more[0].balloon == "S6" and geometry.wall_of(more[0]) is None


def test_a_job_without_a_drawing_gets_the_samples_edition(record: Record) -> None:
    jobs.add_from_file(
        record, '[job]\nnumber = "SB-8"\ncontraction = "1 %"\n[[feature]]\nballoon = "R1"\nnominal = 3\n'
    )
    job = find.job(record, "SB-8")
    faces.name_faces(record, job, [FLANGE])
    assert len(record.revisions(job.of_id)) == 1


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"name": " "}, "A face needs a name"),
        ({"name": "Flange Face"}, "Flange Face is named already"),
        ({"axis": "oblique"}, "new: .*x, y, z"),
        ({"metal": "inside"}, r"new: on which side of it does the metal lie, \+ \(farther along x\)"),
        ({"by": "core 9"}, "There is no core 9"),
        ({"by": "box"}, "cope, drag or core N, not 'box'"),
        ({"datum": True}, "new: x has its datum already"),
        ({"wall_to": "lid"}, "There is no face 'lid' along x; named are S1 flange face"),
    ],
)
def test_what_is_no_face_is_said_and_nothing_written(record: Record, changes: dict[str, object], words: str) -> None:
    job, _ = named(record)
    good = FaceSaid(name="other", by="drag", axis="y", metal="+")
    bad = replace(FaceSaid(name="new", by="drag", axis="x", metal="+"), **changes)
    with pytest.raises(InspectError, match=words):
        faces.name_faces(record, job, [good, bad])
    assert len(faces.of_sample(record, job)) == 5


def test_faces_are_known_by_balloon_or_name_along_their_axis(record: Record) -> None:
    _, made = named(record)
    assert faces.find_face(made, " s2 ").name == faces.find_face(made, "FAR END", "x").name == "far end"
    with pytest.raises(NotFound, match="There is no face 'far end' along y; named are none yet"):
        faces.find_face(made, "far end", "y")


def test_a_pair_of_faces_is_a_size_that_nobody_knows(record: Record) -> None:
    job, made = named(record)
    wall = faces.pair(made[2], made[3], "wall")
    assert (wall.balloon, wall.quantity, wall.note, wall.nominal_known) == ("S3-S4", "wall", "between S3 and S4", False)
    assert wall.name == "wall, end wall outside to jacket near end" and wall.nominal == 0.0
    over = faces.pair(made[3], made[4], "over the core")
    assert over.quantity == "length" and over.note == "between S4 and S5; only on the casting cut up"
    written = faces.enter(record, job, [wall, over])
    assert [f.balloon for f in written] == ["S3-S4", "S4-S5"] and [f.ord for f in written] == [7, 8]
    assert faces.enter(record, job, [wall, replace(over, balloon="other")]) == []
    assert len(record.features(record.revisions(job.of_id)[-1].id)) == 8


def test_a_table_of_faces_is_read_with_its_heads_in_any_order() -> None:
    said = faces.from_table(
        ("Axis", "name", "metal", "by", "Datum", "cut up"),
        (("x", "flange", "+", "drag", "yes", ""), ("", "", "", "", "", ""), ("y", "skin", "-", "core 1", "no", "yes")),
    )
    assert said == [
        FaceSaid(name="flange", by="drag", axis="x", metal="+", datum=True),
        FaceSaid(name="skin", by="core 1", axis="y", metal="-", cut_up=True),
    ]
    assert faces.from_table(("name", "by", "axis", "metal"), (("a", "drag", "x", "+"),))[0].wall_to == ""


@pytest.mark.parametrize(
    ("heads", "row", "words"),
    [
        (("name", "by", "axis"), (), "needs the columns name, by, axis, metal; metal is missing"),
        (("name", "by", "axis", "metal", "size"), (), "'size' is no column of faces"),
        (("name", "by", "axis", "metal", "datum"), ("a", "drag", "x", "+", "perhaps"), "Line 2, datum: 'perhaps'"),
    ],
)
def test_a_table_that_is_none_of_faces_is_refused(heads: tuple[str, ...], row: tuple[str, ...], words: str) -> None:
    with pytest.raises(JobFileError, match=words):
        faces.from_table(heads, [row] if row else [])


def test_a_job_is_begun_with_no_size_at_all_and_its_datum_is_nothing_to_read(record: Record) -> None:
    """Only the job and its cores are known: faces are named, all but the datum are read on the casting."""
    said = jobs.add_from_file(record, '[job]\nnumber = "SB-9"\ncontraction = "1 %"\n[[core]]\nnumber = 1\n').remarks
    assert said == ("it has no [[feature]]: sizes, or faces of a sample casting, are said later",)
    job = find.job(record, "SB-9")
    faces.name_faces(record, job, FACES)
    jobs.add_casting(record, job, "17")
    bench = Bench(record, job, find.subject(record, job, "17"))
    assert [task.feature.balloon for task in bench.tasks] == ["S2", "S3", "S4", "S5"]
    with pytest.raises(NotFound, match="S1 is not measured on casting 17; measured there: S2, S3, S4, S5"):
        bench.goto("S1")


def test_nobody_named_faces_yet(record: Record) -> None:
    assert faces.of_sample(record, begun(record)) == []


def test_a_drawing_made_of_the_sample_has_sizes_and_places(record: Record) -> None:
    job, made = named(record)
    faces.enter(record, job, [faces.pair(made[2], made[3], "wall"), faces.pair(made[3], made[4], "over the core")])
    read(record, job, {"S2": 620.4, "S3": 14.1, "S3-S4": 7.0, "S4-S5": 484.2, "S5": 505.1})
    chosen = {"S2": 620.0, "S3": 14.0, "S4": 21.0, "S3-S4": 7.0}
    sample_casting.adopt(record, job, "SB-7-01", "A1", chosen, general="ISO 8062-3 DCTG 9")
    new = {f.balloon: f for f in record.features(record.revisions(job.of_id)[-1].id)}
    assert [new[b].nominal_known for b in ("S2", "S3", "S4", "S3-S4", "S4-S5")] == [True, True, True, True, False]
    assert (new["S2"].nominal, new["S2"].ends[0].coord_mm) == (620.0, 620.0) and new["S2"].lower is not None
    assert [end.coord_mm for end in new["S3-S4"].ends] == [14.0, 21.0]
    assert [end.coord_mm for end in new["S4-S5"].ends] == [None, None] and new["S1"].ends[0].coord_mm == 0.0
    assert of_job(record, job).asked == ()
