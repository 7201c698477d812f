"""A variant of a job: another number, and new names wherever the old ones stood."""

from __future__ import annotations

import pytest

from inspect_tui.errors import JobFileError
from inspect_tui.shop.jobs.file import copy, write
from tests.worlds.job_files import HEAD, example, plan

ROWS = write.rows(plan(example()))


def copied(*names: str) -> write.Rows:
    made = copy.copied(ROWS, "X-2", copy.read_map(names))
    assert write.rows(plan(write.toml(made))) == made  # it is a job
    return made


def test_a_copy_has_its_own_number_and_leaves_castings_behind() -> None:
    made = copied()
    assert (made["job"]["number"], made["drawing"]["number"]) == ("X-2", ROWS["drawing"]["number"])
    assert not made.keys() & {"person", "gauge", "sampling"} and "issued" not in made["drawing"]
    assert made["feature"] == ROWS["feature"] and ROWS["job"]["number"] != "X-2"


def test_a_core_under_another_number_is_so_everywhere() -> None:
    made = copied("core 1=core 8", "box 1=box 8", "F1=F101", "stick 1=stick 8")
    assert [core["number"] for core in made["core"]] == [8, 2]
    assert {tool["label"]: tool.get("core") for tool in made["tool"]} == {
        "stick 8": 8,
        "box 8": 8,
        "box 2": 2,
        "drag pattern": None,
    }
    assert made["tool"][1]["made_from"] == "stick 8"
    assert (made["feature"][0]["balloon"], made["feature"][0]["a"]) == ("F101", "core 8")
    assert [(seat["core"], seat["in"]) for seat in made["seat"]] == [(8, "drag"), (2, "core 8")]
    assert made["passage"][0]["formula"] == "F101 * F4"
    assert [said.get("sizes") for said in made["geometry"]] == [["F101", "F2"], None]
    assert "order" not in made["job"] and made["job"]["part_no"] == "SV-12-01"


def test_a_sample_is_copied_with_its_faces() -> None:
    faces = '[[face]]\nname = "base"\nby = "drag"\nmetal = "+"\n[[face]]\nname = "roof"\nby = "core 1"\nmetal = "-"\nwall_to = "base"\n'
    rows = write.rows(plan(HEAD + faces))
    made = copy.copied(rows, "X-2", copy.read_map(["core 1=core 8", "S1=B1"]))
    assert made["drawing"]["number"] == "X-2 sample casting"
    assert [(face["balloon"], face["by"], face.get("wall_to")) for face in made["face"]] == [
        ("B1", "drag", None),
        ("S2", "core 8", "B1"),
    ]
    assert write.rows(plan(write.toml(made))) == made


@pytest.mark.parametrize(
    ("names", "said"),
    [
        (["core 1"], "does not say what becomes of what"),
        (["=core 1"], "does not say what becomes of what"),
        (["core 7=core 8"], "There is no core 7 in job"),
        (["core 1=box 8"], "core 1 becomes another core, such as core 8, not 'box 8'"),
        (["F1=F2", "f1=F3"], "f1 is named twice"),
    ],
)
def test_what_is_no_name_is_told(names: list[str], said: str) -> None:
    with pytest.raises(JobFileError, match=said):
        copy.copied(ROWS, "X-2", copy.read_map(names))


def test_two_of_one_name_are_no_job() -> None:
    with pytest.raises(JobFileError, match="there are two of core '2'"):
        copied("core 1=core 2")
