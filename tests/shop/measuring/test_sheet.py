"""The sheet to measure a sample casting by: groups by means, nothing expected on it, cautions where they apply."""

from __future__ import annotations

from inspect_tui.frozen import replace
from inspect_tui.record.store import Record
from inspect_tui.shop.common import find
from inspect_tui.shop.jobs import jobs
from inspect_tui.shop.measuring.castings import RoundPlan, TellLine
from inspect_tui.shop.measuring.faces import enter
from inspect_tui.shop.measuring.sample import of_sample
from inspect_tui.shop.measuring.sheet import CUT_UP_CAUTION, of_round, sheet
from tests.shop.measuring.test_sample import DRAWN
from tests.worlds.sample_faces import named, read


def test_the_sheet_has_the_lines_of_the_plan_by_means(record: Record) -> None:
    job, _ = named(record)
    made = sheet(record, job, of_sample(record, job))
    assert [group.title.partition(",")[0] for group in made.groups] == [
        "from outside",
        "through the wall",
        "on the casting cut up",
        "worth taking besides",
        "shapes",
    ]
    first = made.groups[0].rows[0]
    assert (first.number, first.size, first.words) == ("1", "S2", "from flange face (S1) to far end (S2)")
    assert made.not_entered == ("S3-S4", "S4-S5") and made.serial == "17"
    assert CUT_UP_CAUTION in made.cautions and made.heads == tuple(record.heads())
    assert (made.job, made.name, made.revision) == ("SB-7", "bearing shell", "A")


def test_the_numbers_of_the_sheet_go_up_and_what_hangs_on_nothing_comes_last(record: Record) -> None:
    jobs.add_from_file(record, DRAWN)
    job = find.job(record, "D1")
    made = sheet(record, job, of_sample(record, job))
    numbers = [int(row.number) for group in made.groups for row in group.rows]
    assert numbers == sorted(numbers) == list(range(1, 5))
    loose = [group.title.endswith("nothing ties them to the datum yet") for group in made.groups]
    assert loose == [False, True, True, True]


def test_once_entered_and_read_the_sheet_gets_shorter(record: Record) -> None:
    job, _ = named(record)
    enter(record, job, of_sample(record, job).to_enter)
    read(record, job, {"S3-S4": 7.2, "S4-S5": 484.5})
    jobs.add_casting(record, job, "18")
    made = sheet(record, job, of_sample(record, job))
    assert made.not_entered == () and made.serial is None
    assert [row.size for row in made.groups[0].rows] == ["S2", "S3"]
    assert CUT_UP_CAUTION not in made.cautions and made.free == ()


def test_the_sheet_of_a_sampling_goes_casting_by_casting(record: Record) -> None:
    """On each casting what is not read there yet; what is to be measured on the tools stands beside it."""
    job, _ = named(record)
    line = TellLine(
        number=1, size="F5", what="end", means="ultrasonic", minutes=3.0, bits=1.1, castings=("1", "3"), sentence=""
    )
    plan = RoundPlan(
        job=job.number,
        round="R1",
        lines=(line, replace(line, number=2, size="F4", means="section", castings=("3",))),
        cannot_tell=(),
        said=(),
        on_tools=("F4 on the tool of core 2",),
        unseen=(),
        open_after=(),
        cut_up=True,
        minutes=9.0,
        sentence="1 question is open.",
    )
    made = of_round(record, job, plan)
    assert [(g.title, [(r.number, r.size, r.serial) for r in g.rows]) for g in made.groups] == [
        ("casting 1", [("1", "F5", "1")]),
        ("casting 3", [("1", "F5", "3"), ("2", "F4", "3")]),
    ]
    assert made.groups[0].rows[0].words == "through the wall, with ultrasonic thickness"
    assert (made.of, made.serial, made.free) == ("sampling R1", None, ("on the tools: F4 on the tool of core 2",))
    assert CUT_UP_CAUTION in made.cautions and not made.not_entered
    one = of_round(record, job, replace(plan, lines=(replace(line, castings=("3",)),), cut_up=False))
    assert one.serial == "3" and CUT_UP_CAUTION not in one.cautions
