"""[[geometry]]: what it says, what is wrong with it, and changed by a file."""

from __future__ import annotations

from pathlib import Path

import pytest

from inspect_tui.errors import JobFileError
from inspect_tui.record.store import Record
from inspect_tui.shop.jobs.file import change
from tests.worlds.job_files import HEAD, SIZE, plan, stored

SIZES = "".join(SIZE.replace('"F1"', f'"F{n}"') for n in range(1, 6))
ONE = (
    HEAD
    + SIZES
    + '[[geometry]]\nballoon = "G1"\nwhat = "flatness"\ntolerance = 0.3\nsizes = ["F1", "F2", "F3", "F4"]\n'
)


def test_it_is_read_whole() -> None:
    text = (
        ONE
        + 'name = "face"\ndatums = "A"\nsheet = "2"\nzone = "C4"\ncharacteristic = "9"\nstate = "finished"\nnote = "n"\n'
    )
    (one,) = plan(text).geometries
    assert (one.balloon, one.name, one.what, one.tolerance_mm, one.round) == ("G1", "face", "flatness", 0.3, False)
    assert (one.sizes, one.datums, one.state, one.sheet, one.zone) == ("F1 F2 F3 F4", "A", "finished", "2", "C4")


@pytest.mark.parametrize(
    ("old", "new", "why"),
    [
        ('what = "flatness"', 'what = "flat"', "nearest: flatness"),
        ('what = "flatness"\n', "", 'G1 needs what, such as "flatness"'),
        ("tolerance = 0.3", "tolerance = 0", "tolerance"),
        ("tolerance = 0.3\n", "", "G1 needs tolerance, such as 0.3"),
        ('balloon = "G1"', 'balloon = "F1"', "there is a feature F1 already"),
        ('balloon = "G1"\n', "", "needs a balloon"),
        ('"F3", "F4"]', '"F9", "F4"]', "no feature F9 in this file"),
        ('"F3", "F4"]', '"F3", "f3"]', "named twice"),
        (', "F3", "F4"]', "]", "at least 4 sizes, not from 2"),
        ('"flatness"', '"parallelism"', "about a datum: say its letter"),
        ('"flatness"', '"roundness"', "roundness is not computed from sizes"),
        ('"flatness"', '"position"', "computed from 1 to 3 sizes, not from 4"),
        ("tolerance = 0.3", "tolerance = 0.3\ndiameter = true", "the zone of a flatness is no diameter"),
        ("tolerance = 0.3", 'tolerance = 0.3\ndatum_sizes = ["F1", "F2", "F5"]', "go with parallelism and"),
    ],
)
def test_what_is_wrong_is_said_with_its_place(old: str, new: str, why: str) -> None:
    assert old in ONE
    with pytest.raises(JobFileError) as told:
        plan(ONE.replace(old, new))
    assert why in str(told.value)


def test_position_from_two_coordinates_is_round_and_a_datum_has_three_sizes() -> None:
    position = ONE.replace("flatness", "position").replace(', "F3", "F4"]', "]")
    with pytest.raises(JobFileError, match="round zone: say that its tolerance is a diameter"):
        plan(position)
    parallel = ONE.replace("flatness", "parallelism") + 'datums = "A"\ndatum_sizes = ["F5", "F1"]\n'
    with pytest.raises(JobFileError, match="three sizes or more"):
        plan(parallel)


def test_a_file_changes_it_and_takes_it_off(tmp_path: Path) -> None:
    with Record.open(tmp_path / "r.db", create=True) as record:
        job = stored(record, plan(ONE))
        for text, told in (
            (ONE.replace("0.3", "0.4"), ["geometry G1 changed: tolerance 0.3 → 0.4"]),
            (HEAD + SIZES, ["geometry G1 withdrawn"]),
        ):
            proposed = change.propose(record, job, plan(text))
            assert [one.sentence for one in proposed.changes] == told
            change.write_changes(record, proposed)
        assert record.geometries(job.of_id) == []
        assert record.verify().ok
