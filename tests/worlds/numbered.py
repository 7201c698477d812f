"""A small casting whose sizes stand, or do not, where somebody said, with a photograph that has numbers on it."""

from __future__ import annotations

from pathlib import Path

from inspect_tui.demo.pictures import drawn
from inspect_tui.model.measuring import Calibration, Instrument
from inspect_tui.record.store import Record
from inspect_tui.shop.common import find
from inspect_tui.shop.first_article.castings.put_right import open_round
from inspect_tui.shop.jobs import jobfile
from inspect_tui.shop.jobs.file import add
from inspect_tui.shop.pictures import balloons
from inspect_tui.shop.pictures.balloons import Mark
from tests.worlds.signed_shop import read

JOB = """
[job]
number = "N-1"
name = "bracket"
contraction = "1.0 %"
[drawing]
number = "N-1-1"
rev = "A"
[parting]
at = 30
[[person]]
initials = "MA"
role = "maker"
[[core]]
number = 1
name = "bore <b>"
[[feature]]
balloon = "F1"
axis = "x"
nominal = 100
limits = "±0.5"
a = "drag"
b = "drag"
at = [0, 100]
where = { y = 20 }
[[feature]]
balloon = "F2"
axis = "y"
nominal = 40
limits = "±0.5"
a = "drag"
b = "core 1"
at = [0, 40]
[[feature]]
balloon = "F3"
axis = "z"
nominal = 60
limits = "±0.5"
a = "drag"
b = "cope"
at = [0, 60]
[[feature]]
balloon = "F4"
axis = "x"
nominal = 30
limits = "±0.5"
a = "drag"
b = "core 1"
[[feature]]
balloon = "D1"
quantity = "diameter"
nominal = 20
limits = "±0.5"
a = "core 1"
b = "core 1"
between = "space"
[[feature]]
balloon = "D2"
quantity = "diameter"
nominal = 25
limits = "±0.5"
a = "core 1"
b = "core 1"
between = "space"
[[geometry]]
balloon = "G1"
what = "position"
tolerance = 0.8
diameter = true
datums = "A B"
sizes = ["F4", "F2"]
[[geometry]]
balloon = "G2"
what = "perpendicularity"
tolerance = 0.5
datums = "A"
[[picture]]
file = "job.png"
caption = "from <b>above</b>"
balloons = "D1 25 40; G2 75 90"
"""


def made(folder: Path) -> Record:
    """A record with the job, and a sampling of one casting that was read."""
    (folder / "job.png").write_bytes(drawn(1))
    record = Record.open(folder / "n.db", create=True, state_dir=folder / "state", bench="b", program="t")
    add.add(record, jobfile.read(JOB, folder=folder))
    job = find.job(record, None)
    open_round(record, job, "S1", ["C1"])
    gauge = record.add(Instrument(label="caliper", unit="mm", resolution=0.01, range_hi=300.0))
    record.add(Calibration(instrument_of_id=gauge.of_id, done_on="2020-01-10", due_on="2999-01-10", u95_mm=0.04))
    read(record, "C1", {"F1": 100.1, "F2": 40.0, "F3": 60.2, "F4": 30.0, "D1": 20.0, "D2": 25.0})
    return record


def marks(text: str) -> tuple[Mark, ...]:
    """Numbers on a picture, whether or not the drawing has them."""
    return balloons.kept(text)
