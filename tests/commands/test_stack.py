"""`stack`: every wall, one in full, and the exit status of one that does not hold."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from inspect_tui.errors import DataError
from inspect_tui.record.store import Record
from tests.commands.conftest import Run
from tests.commands.test_first_article import (
    On,
    on,  # noqa: F401
)
from tests.commands.test_kit import two  # noqa: F401


def test_stack_lists_every_wall_and_tells_one_in_full(cli: Run, two: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "140")
    got = cli("--record", two, "stack")
    assert got.status == 0
    assert "F1" in got.out and "7.65 to 8.35" in got.out
    got = cli("--record", two, "stack", "f1")
    assert "worst case 7.65 to 8.35, root-sum-square 8.00 ± 0.26" in " ".join(got.out.split())
    assert "drawn at random: 8.00" in got.out
    assert "core 1, core 2" in got.out


def test_stack_as_json_has_its_contributors_and_the_random_draw(cli: Run, two: str) -> None:
    (wall,) = json.loads(cli("--record", two, "stack", "F1", "--json", "--assemblies", "20000", "--seed", "4").out)
    assert wall["path"] == ["core 1", "core 2"]
    assert len(wall["contributors"]) == 3
    assert wall["assemblies"]["n"] == 20000
    assert wall["assemblies"]["sd_mm"] == pytest.approx(wall["u_mm"], rel=0.05)
    again = json.loads(cli("--record", two, "stack", "F1", "--json", "--assemblies", "20000", "--seed", "4").out)
    assert again == [wall]


def test_a_wall_that_does_not_hold_is_1_and_one_that_is_not_there_2(cli: Run, tmp_path: Path, two: str) -> None:
    with Record.open(two) as record:
        made_job = record.jobs()[0]
        from inspect_tui.model.kit import Stack, StackMember
        from inspect_tui.shop.kit import edit

        stack = Stack(job_of_id=made_job.of_id, label="ST9", name="thin wall", lower=7.0, upper=9.0)
        edit.add_stack(
            record, stack, [StackMember(stack_id=b"", ord=0, name="all", size_mm=6.0, plus_mm=0.3, minus_mm=0.3)]
        )
    assert cli("--record", two, "stack", "ST9").status == 1
    assert cli("--record", two, "stack").status == 1
    got = cli("--record", two, "stack", "ST4")
    assert got.status == 2
    assert "no wall 'ST4'" in got.err
    assert cli("--record", two, "stack", "--assemblies", "0").status == 2


def test_the_sigma_ratio_says_how_far_the_limits_are_and_what_is_outside(cli: Run, two: str) -> None:
    (three,) = json.loads(cli("--record", two, "stack", "F1", "--json").out)
    (six,) = json.loads(cli("--record", two, "stack", "F1", "--json", "--sigma-ratio", "6").out)
    assert three["sigma_ratio"] is not None
    assert six["sigma_ratio"] > three["sigma_ratio"]
    assert six["p_out_drawn"] <= three["p_out_drawn"] < 1e-6  # play has no tails
    assert (six["rss_mm"], six["worst_low_mm"]) == (three["rss_mm"], three["worst_low_mm"])
    told = " ".join(cli("--record", two, "stack", "F1").out.split())
    assert f"the nearer limit lies {three['sigma_ratio']:.1f} standard deviations from the middle" in told
    wrong = cli("--record", two, "stack", "F1", "--sigma-ratio", "0")
    assert wrong.status == 2
    assert "more than 0" in wrong.err


def test_a_wall_between_any_two_faces_follows_from_what_is_known(cli: Run, two: str) -> None:
    (drawn,) = json.loads(cli("--record", two, "stack", "F1", "--json").out)
    (same,) = json.loads(cli("--record", two, "stack", "core 1 face x 20", "box 2 x 28", "--json").out)
    assert (same["label"], same["measured_mm"], same["p_holds"]) == ("F1", drawn["measured_mm"], drawn["p_holds"])
    # the other way round and between faces that no size of the drawing joins
    (turned,) = json.loads(cli("--record", two, "stack", "core 2 face x 28", "core 1 x = 20", "--json").out)
    assert turned["nominal_mm"] == same["nominal_mm"] == 8.0
    (other,) = json.loads(cli("--record", two, "stack", "core 1 x 5", "core 2 x 40", "--json").out)
    assert (other["label"], other["nominal_mm"], other["lower_mm"], other["state"]) == ("", 35.0, None, "no limits")
    assert other["name"] == "core 1 face x 5 to core 2 face x 40"
    assert other["remarks"][0].startswith("follows from ")
    # one face of a wall that is drawn does not make it that wall
    (beyond,) = json.loads(cli("--record", two, "stack", "core 1 x 20", "core 2 x 40", "--json").out)
    assert (beyond["label"], beyond["nominal_mm"]) == ("", 20.0)
    told = " ".join(cli("--record", two, "stack", "core 1 x 5", "core 2 x 40").out.split())
    assert told.startswith("core 1 face x 5 to core 2 face x 40")
    for words, wrong in (
        (("core 1 x 5", "core 2 y 40"), "a wall has both its faces along one"),
        (("core 1", "core 2 x 40"), "is no face: give who makes it, the axis and the place"),
        (("core 9 x 5", "core 2 x 40"), "'core 9' makes no face of this job: there are drag, cope, core 1, core 2"),
        (("core 1 x wide", "core 2 x 40"), "is no face"),
    ):
        got = cli("--record", two, "stack", *words)
        assert got.status == 2
        assert wrong in got.err


def test_what_follows_for_each_casting_of_a_sampling(on: On) -> None:
    faces = ("core 3 face z 129", "core 5 face z 136")
    (wall,) = json.loads(on("stack", *faces, "--round", "S1", "--json").out)
    assert [one["serial"] for one in wall["castings"]] == ["S1-1", "S1-2", "S1-3"]
    read = next(one for one in wall["castings"] if one["read"])
    assert read["follows_from"] == ["F48"]
    assert read["mm"] == pytest.approx(7.7, abs=0.15)  # core 5 came up by 0.60
    assert all(one["u"] > read["u"] for one in wall["castings"] if not one["read"])
    (turned,) = json.loads(on("stack", *reversed(faces), "--round", "S1", "--json").out)
    assert turned["castings"] == wall["castings"]
    told = " ".join(on("stack", *faces, "--round", "S1").out.split())
    assert "casting S1-1: " in told and f"casting {read['serial']}: read as F48: 7." in told
    # a wall that the drawing has no size for: between the floor of core 3 and the top of core 1's passage
    alone = on("stack", "F48", "--round", "S1")
    assert alone.status == 2
    assert "--round goes with two faces" in alone.err


def test_a_wall_that_no_fit_closes_is_told_of_castings_all_the_same(on: On, monkeypatch: pytest.MonkeyPatch) -> None:
    def nothing(*_: object) -> None:
        raise DataError("no fit places drag and cope to each other along x")

    monkeypatch.setattr("inspect_tui.shop.kit.walls.between", nothing)
    faces = ("drag face x 0", "cope face x 624")
    drawn = on("stack", *faces)
    assert drawn.status == 2 and "no fit places drag and cope" in drawn.err
    cast = on("stack", *faces, "--round", "S1")
    assert cast.status == 0 and "no fit places drag and cope" in cast.err
    assert "casting S1-1: read as F02: 62" in " ".join(cast.out.split())
    (told,) = json.loads(on("stack", *faces, "--round", "S1", "--json").out)
    assert "no fit places drag and cope" in told["sentence"]
    assert [one["serial"] for one in told["castings"]] == ["S1-1", "S1-2", "S1-3"]
    across = on("stack", "drag face x 0", "core 5 face y 136", "--round", "S1")
    assert across.status == 2 and "a wall has both its faces along one" in across.err
