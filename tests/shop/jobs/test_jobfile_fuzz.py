"""Job files with slips of the hand: told or taken, never an exception; what is taken comes out of the record as it went in.

On demand (`--hypothesis-profile=long`) 600 files; 2,500 more were read and 1,900 taken through a record on 2026-11-29.
"""

from __future__ import annotations

from pathlib import Path
from random import Random

import pytest
from hypothesis import settings

from inspect_tui.errors import InspectError
from inspect_tui.record.store import Record
from inspect_tui.shop.jobs import jobfile
from inspect_tui.shop.jobs.file import change, write
from tests.worlds.job_files import any_job, example, out_of, plan, stored

FILES = 600 if settings.get_current_profile_name() == "long" else 6
VALUES = (
    *('""', '"x"', "-1", "0", "1e308", "nan", "inf", "true", "[]", "[1]", "[1, 2]", '["a", "b"]', "{}", "{ x = 1 }"),
    *('{ x = "a" }', "{ x = [1, 2], y = [1, 2], z = [1, 2] }", "2026-01-01", "12:30:00", '"core 1"', '"drag"'),
    *('"1/0 in"', "[[1, 2], [3]]", "[{ a = 1 }]", '"\\u0000"', "99999999999999999999", f'"{"9" * 300}"', '"±"', '"F1"'),
)
LINES = ("[x]", "[[core]]", "[[seat]]", "[job]", "x = 1", "[parting]", "[[tool.x]]", "[job.contraction]", "")
SIGNS = "[]{}\"'=#.,-\\ "


def spoiled(seed: int) -> str:
    """The example or a random job with one to four slips."""
    draw = Random(seed)
    lines = (example() if seed % 2 else any_job(seed % 30, sizes=4, seats=3)).split("\n")
    for _ in range(draw.choice((1, 1, 2, 4))):
        at, what = draw.randrange(len(lines)), draw.random()
        line = lines[at]
        if "=" in line and what < 0.7:
            lines[at] = f"{line.split('=')[0]}= {draw.choice(VALUES)}"
        elif line and what < 0.85:
            n = draw.randrange(len(line))
            lines[at] = line[:n] + draw.choice(SIGNS) + line[n + 1 :]
        else:
            lines[at] = draw.choice(LINES)
    return "\n".join(lines)


@pytest.mark.parametrize("seed", range(FILES))
def test_a_slip_is_told_or_the_job_comes_out_as_it_went_in(seed: int, tmp_path: Path) -> None:
    try:
        made = jobfile.read(spoiled(seed))
    except InspectError as told:
        assert str(told).startswith("The job file")
        return
    with Record.open(tmp_path / "r.db", create=True) as record:
        job = stored(record, made)
        again = plan(write.toml(out_of(record, job)))
        assert change.propose(record, job, made).changes == change.propose(record, job, again).changes == ()
        assert record.verify().ok
