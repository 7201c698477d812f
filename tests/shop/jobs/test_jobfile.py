"""What stands in a job file reads as it would be typed: sizes, places, measures, days, words; each wrong one is named."""

from __future__ import annotations

import pytest

from inspect_tui.errors import JobFileError
from inspect_tui.shop.jobs import jobfile

FILE = """
[job]
number = "T-1"
contraction = "1.0 %"
rule = "Proof95"
tool_share = {share}

[drawing]
issued = {issued}

[[core]]
number = 1
makes_surface = {surface}
set = {set}
volume_dm3 = {volume}

[[tool]]
label = "stick 1"
kind = "Core stick"
core = {core}

[[feature]]
balloon = "F1"
quantity = "width"
axis = "y"
nominal = {nominal}
limits = {limits}
a = "Core 1"
b = "core 1"
between = "Space"
at = {at}
stock = {stock}
limits_raw = {raw}
coat = {coat}
draft = {{ deg = {deg}, height = {height} }}
"""
PLAIN = {
    "share": "0.25",
    "issued": "2026-03-02",
    "surface": "true",
    "set": "2",
    "volume": "2.4",
    "core": "1",
    "nominal": "1000",
    "limits": '"998..1002"',
    "at": "[-20, 980]",
    "stock": "[0, 12.5]",
    "raw": '""',
    "coat": "12.7",
    "deg": "1.5",
    "height": "12.5",
}
AS_TEXT = {
    "share": '"25 %"',
    "issued": '"2.3.2026"',
    "surface": '"yes"',
    "set": '"2"',
    "volume": '"2 400 cm3"',
    "core": '"1"',
    "nominal": '"1 000 mm"',
    "limits": '"998..1 002"',
    "at": '["-20", "980 mm"]',
    "stock": '["0", "12 1/2"]',
    "coat": '"1/2 in"',
    "deg": '"1°30\'"',
    "height": '"12,5 mm"',
}


def plan(**changes: str) -> jobfile.JobPlan:
    return jobfile.read(FILE.format(**(PLAIN | changes)))


def without_ids(made: jobfile.JobPlan) -> list[object]:
    feature, core, tool = made.features[0], made.cores[0], made.tools[0]
    return [
        (feature.nominal, feature.lower, feature.upper, feature.draft_deg, feature.draft_h_mm, feature.machined),
        [(end.which, end.coord_mm, end.stock_mm, end.coat_mm, end.facing) for end in feature.ends],
        (core.makes_surface, core.set_order, core.volume_dm3),
        (tool.kind, tool.core_id == core.id),
        (made.job.rule, made.job.tool_share, made.revision.issued_on),
    ]


def test_figures_and_texts_of_a_job_file_mean_the_same() -> None:
    assert without_ids(plan()) == [
        (1000.0, 998.0, 1002.0, 1.5, 12.5, True),
        [("A", -20.0, 0.0, 12.7, 1), ("B", 980.0, 12.5, 12.7, -1)],
        (True, 2, 2.4),
        ("core_stick", True),
        ("proof95", 0.25, "2026-03-02"),
    ]
    made = plan(**AS_TEXT)
    assert made.features[0].band_source == "drawing 998..1 002"
    assert without_ids(made) == without_ids(plan())


def test_limits_of_the_raw_casting_stand_beside_those_of_the_drawing() -> None:
    """F1 is a space of 1000 with 12.5 of stock: 987.5 as cast, and no more than 1002 may be open."""
    for typed, lower, upper, source in (
        ('"±1.5"', 986.0, 989.0, "drawing ±1.5"),
        ('"+1.5/-1.0"', 986.5, 989.0, "drawing +1.5/-1.0"),
        ('"clean up"', None, None, "must clean up"),
        ('""', None, None, None),
    ):
        made = plan(raw=typed, deg="0")
        one = made.features[0]
        assert (one.raw_lower, one.raw_upper, one.raw_source) == (lower, upper, source)
        assert (one.lower, one.upper) == (998.0, 1002.0)
        assert not [said for said in made.remarks if "limits" in said]
    graded = plan(raw='"DCTG 9"', deg="0").features[0]
    assert graded.raw_source and graded.raw_source.startswith("ISO 8062-3 DCTG 9, over 630 up to 1000 mm")
    wide = plan(raw='"±17"', deg="0")
    assert wide.features[0].raw_upper == 1004.5  # kept, and told
    with pytest.raises(JobFileError, match="feature F1 limits_raw: F1 carries no stock"):
        plan(raw='"±1"', stock="0")
    (said, *_) = wide.remarks
    assert said.startswith(
        "F1: the raw size may grow to 1004.50 where 1002.00 is to be left: wider than the stock. Take"
    )
    assert "greatest raw limit down by 2.50 to 1002.00, or give 2.50 more stock" in said and said.endswith("as typed.")


def test_no_is_no_however_it_is_written() -> None:
    for surface in ("false", '"no"', '"No"'):
        assert plan(surface=surface).cores[0].makes_surface is False


@pytest.mark.parametrize(
    "key, value, said",
    [
        ("nominal", '"5; 6"', "feature F1 nominal: 5; 6 is 2 sizes: type one"),
        ("nominal", "-5", "feature F1 nominal: -5: a width is above 0"),
        ("nominal", "nan", "feature F1 nominal: nan is not a size"),
        ("nominal", '"3 kg"', "kg is no length"),
        ("at", "[1, 2, 3]", "feature F1 at: give two values, one for each end, not 3"),
        ("at", '["here", 2]', "feature F1 at: here is not a size"),
        ("stock", "[-1, 0]", "feature F1 stock: -1 is below 0"),
        ("surface", '"perhaps"', "core 1 makes_surface: 'perhaps' is neither yes nor no"),
        ("volume", '"2 mm"', "core 1 volume_dm3: 2 mm: mm is no volume"),
        ("set", "0", "core 1 set: 0 does not lie between 1 and 999"),
        ("core", "7", "there is no [[core]] with number 7"),
        ("share", "33", "tool_share: 33 does not lie between 0 and 1"),
        ("issued", '"3/4/2026"', "issued: 3/4/2026 may be two days"),
        ("deg", '"steep"', "feature F1 draft deg: steep is not a size"),
        ("raw", '"roughly"', "feature F1 limits_raw: "),
    ],
)
def test_what_cannot_be_read_is_named_with_its_place(key: str, value: str, said: str) -> None:
    with pytest.raises(JobFileError) as problem:
        plan(**{key: value})
    assert said in str(problem.value)


def test_tables_and_keys_that_nobody_knows_are_told_with_the_nearest() -> None:
    text = FILE.format(**PLAIN)
    for more, said in (
        ("[[featur]]\n", "the file does not know 'featur'; perhaps 'feature' is meant"),
        ("[[feature]]\n", "[[feature]] number 2 needs a balloon"),
    ):
        with pytest.raises(JobFileError) as problem:
            jobfile.read(text + more)
        assert said in str(problem.value)
    with pytest.raises(JobFileError, match="line 1, column 1: the file does not know 'jop'; perhaps 'job' is meant"):
        jobfile.read('jop = "x"\n' + text)


def test_what_is_odd_about_the_faces_is_said_and_taken() -> None:
    """1000 less its stock and draft is 986.85 as cast, its places are 1000 apart; nothing leads from it to the datum."""
    apart, loose = plan().remarks
    assert apart.startswith("the ends of F1 stand 1000.00 apart as cast, its size as cast is 986.85")
    assert loose.startswith("F1 hangs on nothing: no size leads from core 1's face at y -20 to the datum")
