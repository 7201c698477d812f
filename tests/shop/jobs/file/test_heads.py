"""Job, drawing, parting, mould, targets, samplings and pictures of a job file."""

from __future__ import annotations

from math import inf
from pathlib import Path

import pytest

from inspect_tui.errors import JobFileError
from inspect_tui.record import kinds
from inspect_tui.shop.common.parting import Parting, Step
from inspect_tui.shop.jobs import jobfile
from tests.worlds.job_files import HEAD, SIZE, picture, plan


def job(line: str, alloy: str = 'alloy = "grey iron"') -> list[str]:
    """What is asked about a job with this line in its head."""
    return list(plan(f'[job]\nnumber = "T-1"\n{alloy}\n{line}\n' + "[[core]]\nnumber = 1\n" + SIZE).questions)


def test_a_contraction_far_from_the_handbook_is_asked_and_one_near_it_is_not() -> None:
    for line in ('contraction = "1.0 %"', 'contraction = "0.8 %"', 'contraction = "1/8 in/ft"'):
        assert job(line) == []
    (asked,) = job('contraction = "9.5 %"')
    assert asked == "a contraction of 9.5 % beside the handbook's 1.01 %"
    (along,) = job('contraction = { x = "9.5 %", y = "1 %", z = "1 %" }')
    assert along.startswith("a contraction of 9.5 % along x beside")
    assert "-0.5 %" in job('contraction = "-0.5 %"')[0]
    assert job('contraction = "1.5 %"', "") == [] and "no handbook" in job('contraction = "3 %"', "")[0]


def test_a_parting_lies_along_any_axis_flat_or_in_steps() -> None:
    text = HEAD + SIZE + "[parting]\n"
    assert plan(text + 'axis = "y"\nat = "1 in"').parting == Parting((Step(-inf, inf, 25.4),), "y", "x")
    assert plan(text + "steps = [[0, 90, 40], [90, 120, 52]]").parting == Parting((Step(0, 90, 40), Step(90, 120, 52)))
    made = plan(HEAD + SIZE + "[mould]\nx = [0, 10]\ny = [0, 20]\nz = [-5, 30]").outline
    assert made is not None and (made.x1, made.y1, made.z0) == (10.0, 20.0, -5.0)


def test_a_sampling_brings_its_castings() -> None:
    made = plan(HEAD + SIZE + '[[sampling]]\nlabel = "S1"\npoured = 2026-02-01\ncastings = ["C1", "C2"]\n')
    assert [item.serial for item in made.castings] == ["C1", "C2"]
    assert {item.lot_id for item in made.castings} == {made.lots[0].id} and made.lots[0].poured_on == "2026-02-01"


def test_pictures_lie_beside_the_file_and_show_what_the_row_says(tmp_path: Path) -> None:
    picture(tmp_path, "a.png")
    text = HEAD.replace("number = 2\n", 'number = 2\npicture = "a.png"\n') + SIZE
    text += '[[picture]]\nfile = "a.png"\non = "F1"\ncaption = "there"\n[[picture]]\nfile = "a.png"\nname = "b.png"\n'
    core, size, whole = jobfile.read(text, folder=tmp_path).pictures
    assert (core.about_kind, core.on, core.shown_name) == (kinds.CORE.number, "core 2", "a.png")
    assert (size.on, size.caption, size.about_kind) == ("F1", "there", kinds.FEATURE.number)
    assert (whole.on, whole.shown_name, whole.about_kind) == ("job", "b.png", kinds.JOB.number)


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ("[parting]\n", "[parting] says where it lies"),
        ("[parting]\nat = 1\nsteps = [[0, 1, 2]]\n", "[parting] says where it lies"),
        ("[parting]\nsteps = [[0, 1]]\n", "each step is [from, to, place]"),
        ("[parting]\nsteps = [[0, 1, 2], [3, 4, 5]]\n", "leave a gap"),
        ('[parting]\naxis = "x"\nalong = "x"\nsteps = [[0, 1, 2]]\n', "another axis"),
        ("[mould]\nx = [0, 1]\n", "[mould]: a box is written as"),
        ('[[target]]\nlabel = "A1"\naxis = "q"\nat = { x = 1 }\n', "the axis it holds along"),
        ('[[target]]\nlabel = "A1"\naxis = "z"\nat = { w = 1 }\n', "a place is written as"),
        ("[[sampling]]\nquantity = 3\n", "[[sampling]] needs a label"),
        (
            '[[sampling]]\nlabel = "S1"\ncastings = ["C1"]\n[[sampling]]\nlabel = "S2"\ncastings = ["C1"]\n',
            "C1 is named in sampling S1",
        ),
        ('[[picture]]\nfile = "none.png"\n', "there is no file none.png"),
        ("[[picture]]\n", "[[picture]] needs a file"),
        ('[drawing]\nissued = "3/4/2026"\n', "may be two days"),
        ("[[drawing]]\n", "[drawing] is a table: write [drawing] above its lines, once"),
        ("[target]\n", "[[target]] stands in double brackets"),
    ],
)
def test_what_is_wrong_is_told(more: str, said: str) -> None:
    with pytest.raises(JobFileError) as told:
        plan(HEAD + SIZE + more)
    assert said in str(told.value)
