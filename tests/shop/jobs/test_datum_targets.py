"""Datum targets: typed, changed, taken away, or in a job file; wrong ones are refused with what to do."""

from __future__ import annotations

import pytest

from inspect_tui.errors import DataError, JobFileError, NotFound
from inspect_tui.metrology.typed.show import Style
from inspect_tui.model.first_article import DatumTarget
from inspect_tui.shop.common import find
from inspect_tui.shop.first_article.castings.evidence import datums
from inspect_tui.shop.first_article.castings.put_right import open_round
from inspect_tui.shop.first_article.castings.rounds import pick_round
from inspect_tui.shop.first_article.castings.sampling import Sampling
from inspect_tui.shop.jobs import datum_targets, jobs
from tests.conftest import JOB, SmallShop


def typed(shop: SmallShop, **values: str) -> DatumTarget | str:
    return datum_targets.read(find.job(shop.record, None), {"axis": "z", **values})


def put(shop: SmallShop, **values: str) -> str:
    made = typed(shop, **values)
    assert isinstance(made, DatumTarget), made
    return datum_targets.put(shop.record, find.job(shop.record, None), made, shop.ab.id)


def test_targets_are_kept_changed_and_taken_away(shop: SmallShop) -> None:
    assert put(shop, label="A1", x="20", y="30") == "Datum target A1     holds along Z  at x 20, y 30."
    put(shop, label="A2", x="8 3/4 in", y="30", name="pad [red]")
    job = find.job(shop.record, None)
    assert [(t.label, t.x_mm) for t in shop.record.datum_targets(job.of_id)] == [
        ("A1", 20.0),
        ("A2", pytest.approx(222.25)),
    ]
    assert "(changed)" in put(shop, label="a2", x="220", y="30")  # the name as it was first written
    assert [(t.label, t.x_mm) for t in shop.record.datum_targets(job.of_id)] == [("A1", 20.0), ("A2", 220.0)]
    with pytest.raises(DataError, match="stands there like that"):
        put(shop, label="A2", x="220", y="30")
    assert "taken away" in put(shop, label="A1", use="no")
    assert [t.label for t in shop.record.datum_targets(job.of_id)] == ["A2"]
    with pytest.raises(NotFound, match="no datum target A1"):
        put(shop, label="A1", use="no")


@pytest.mark.parametrize(
    ("values", "sentence"),
    [
        ({"label": ""}, "needs a name"),
        ({"label": "A" * 21}, "at most 20"),
        ({"label": "A1", "axis": "up"}, "along is one of x, y, z"),
        ({"label": "A1", "x": "wide"}, "A1, x:"),
        ({"label": "A1", "x": "1 2"}, "1 2 is 2 sizes: type one"),
        ({"label": "A1"}, "say where it stands; a tilt is told by its places along x and y"),
        ({"label": "A1", "x": "1", "use": "perhaps"}, "yes while it is in use"),
        ({"label": "A1", "x": "1", "name": "n" * 81}, "80 letters"),
        ({"label": "A1", "x": "1e9"}, "A1, x:"),
    ],
)
def test_what_is_no_target_is_refused_with_what_to_do(shop: SmallShop, values: dict[str, str], sentence: str) -> None:
    said = typed(shop, **values)
    assert isinstance(said, str)
    assert sentence in said


def test_a_place_may_lie_below_the_origin(shop: SmallShop) -> None:
    made = typed(shop, label="B1", axis="y", x="-15.5")
    assert isinstance(made, DatumTarget)
    assert (made.x_mm, made.y_mm, made.axis) == (-15.5, None, "y")


def test_two_rows_of_targets_carry_heights_and_a_tilt_can_be_told_between_them(shop: SmallShop) -> None:
    job = find.job(shop.record, None)
    put(shop, label="A1", x="20", y="30")
    put(shop, label="A2", x="220", y="10")
    put(shop, label="A3", x="220", y="50")
    open_round(shop.record, job, "S1", ["C1"])
    (heights,) = datums(Sampling(shop.record, job, pick_round(shop.record, job, "S1")))
    assert (heights.axis, heights.near_mm, heights.far_mm, heights.near, heights.far) == (
        "z",
        20.0,
        220.0,
        "A1",
        "A2 and A3",
    )


TARGETS = """
[[target]]
label = "A1"
axis = "z"
at = { x = 20, y = "1 in" }

[[target]]
label = "A2"
axis = "z"
at = { x = 220 }
name = "far pad"
"""


def test_a_job_file_may_name_them(shop: SmallShop) -> None:
    text = JOB.replace('number = "SV-12"', 'number = "SV-13"').replace("[[feature]]", TARGETS + "\n[[feature]]", 1)
    jobs.add_from_file(shop.record, text)
    job = find.job(shop.record, "SV-13")
    assert [datum_targets.words(t) for t in shop.record.datum_targets(job.of_id)] == [
        "A1     holds along Z  at x 20, y 25.4",
        "A2     holds along Z  at x 220  far pad",
    ]


@pytest.mark.parametrize(
    ("row", "sentence"),
    [
        ('label = "A1"\naxis = "z"\nat = [1, 2]', "at: a place is written as"),
        ('label = "A1"\naxis = "z"\nat = { w = 1 }', "at: a place is written as"),
        ('label = "A1"\naxis = "z"', "say where it stands"),
        ('axis = "z"\nat = { x = 1 }', "needs a name"),
        ('label = "A1"\naxis = "z"\nat = { x = 1 }\nheight = 3', "does not know 'height'"),
        (
            'label = "A1"\naxis = "z"\nat = { x = 1 }\n[[target]]\nlabel = "A1"\naxis = "z"\nat = { x = 2 }',
            "two of target",
        ),
    ],
)
def test_a_job_file_with_a_wrong_one_is_refused_whole(row: str, sentence: str) -> None:
    with pytest.raises(JobFileError, match=sentence):
        jobs.plan_from_file(JOB + "\n[[target]]\n" + row + "\n")


def test_the_example_of_a_job_file_shows_them() -> None:
    assert [t.label for t in jobs.plan_from_file(jobs.example()).targets] == ["A1", "A2"]


def test_places_are_said_in_the_style_of_who_asks_and_typed_again_in_mm() -> None:
    target = DatumTarget(job_of_id=b"j", label="A1", axis="z", x_mm=50.8, y_mm=-25.4)
    assert "at x 2, y -1" in datum_targets.words(target, Style("in"))
    assert "at x 50,8, y -25,4" in datum_targets.words(target, Style(mark=","))
    assert {key: datum_targets.first_values(target)[key] for key in "xy"} == {"x": "50.8", "y": "-25.4"}
