"""Sizes of a job file: ends, limits, places, samples without a drawing, and the tools that they are measured on."""

from __future__ import annotations

import pytest

from inspect_tui.errors import JobFileError
from inspect_tui.frozen import replace
from inspect_tui.model.work import Feature
from inspect_tui.shop.jobs.file import features, write
from inspect_tui.shop.jobs.file.plan import tool_feature
from tests.worlds.job_files import HEAD, SIZE, plan

TOOLS = '[[tool]]\nlabel = "stick 1"\nkind = "core_stick"\ncore = 1\n[[tool]]\nlabel = "box 1"\nkind = "core_box"\ncore = 1\n'


def size(lines: str, general: str = "") -> Feature:
    return plan(HEAD + general + SIZE + lines).features[0]


def test_one_stock_in_inches_counts_for_both_ends() -> None:
    assert [end.stock_mm for end in size('stock = "1/16 in"').ends] == [1.5875, 1.5875]


def test_a_size_with_stock_is_machined_unless_somebody_says_otherwise() -> None:
    assert (size("").machined, size("stock = 1").machined, size("stock = 1\nmachined = false").machined) == (
        False,
        True,
        False,
    )


def test_a_wash_of_nought_is_said_too() -> None:
    assert [(end.coat_mm, end.coat_said) for end in size("coat = 0").ends] == [(0.0, True)] * 2
    assert [(end.coat_mm, end.coat_said) for end in size("").ends] == [(0.0, False)] * 2


def test_where_it_is_taken_and_where_it_stands_on_the_drawing() -> None:
    made = size('where = { x = "1 in", z = 3 }\nsheet = 2\nzone = "B4"\ncharacteristic = "12"\nat = [20, "?"]\n')
    assert (made.at_x, made.at_y, made.at_z) == (25.4, None, 3.0)
    assert (made.sheet, made.zone, made.characteristic) == ("2", "B4", "12")
    assert [end.coord_mm for end in made.ends] == [20.0, None]


def test_the_size_of_a_sample_may_be_unknown() -> None:
    made = plan(HEAD + SIZE.replace("nominal = 62", 'nominal = "Unknown"')).features[0]
    assert (made.nominal_known, made.lower, made.upper) == (False, None, None)
    assert features.feature_row(made, {made.ends[0].core_id or b"": 1}, None)["nominal"] == "unknown"


def test_the_drawings_limits_hold_where_none_are_said_and_none_is_none() -> None:
    general = '[drawing]\ngeneral = "ISO 8062-3 DCTG 9"\n'
    assert size("", general).band_source.startswith("ISO 8062-3 DCTG 9")
    assert size('limits = "none"', general).lower is None
    assert size("", "").band_source == "none stated"


def test_an_oblique_size_has_a_direction_and_a_contraction_of_its_own() -> None:
    made = size('axis = "oblique"\ndirection = [0.6, 0.8, 0]\ncontraction = "0.8 %"\ncontraction_u = "0.1 %"')
    assert (made.dir_x, made.dir_y, made.dir_z, made.a, made.ua) == (0.6, 0.8, 0.0, 0.008, 0.001)


def test_it_is_measured_on_the_tools_that_make_it_or_on_those_that_are_named() -> None:
    assert len(plan(HEAD + TOOLS + SIZE).tool_features) == 2
    named = plan(HEAD + TOOLS + SIZE + 'tools = ["Box 1"]')
    assert [on.tool_id for on in named.tool_features] == [named.tools[1].id]
    assert plan(HEAD + TOOLS + SIZE + "tools = []").tool_features == ()


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (SIZE.replace("62", "-62"), "feature F1 nominal: -62 is below 0"),
        (SIZE + "axis = 3", "feature F1 axis"),
        (SIZE.replace('balloon = "F1"', 'name = "x"'), "[[feature]] number 1 needs a balloon"),
        (SIZE.replace("nominal = 62", ""), "feature F1 needs a nominal"),
        (SIZE.replace('a = "core 1"', 'a = "core 9"'), "end a names core 9, which this file does not have"),
        (SIZE.replace('a = "core 1"', 'a = "side"'), "end a is made by cope, drag or core N, not 'side'"),
        (SIZE + "direction = [1, 0]", "a direction is three figures"),
        (SIZE + 'limits = "63..61"', "limits contradict each other"),
        (SIZE + 'limits = "about"', "feature F1 limits"),
        (SIZE + 'limits_raw = "±1"', "carries no stock"),
        (SIZE + 'tools = ["box 9"]', "there is no tool 'box 9' in this file"),
        (SIZE + 'where = "there"', "feature F1 where"),
        (SIZE + SIZE.replace("F1", "f01"), "there are two of feature"),
    ],
)
def test_what_is_wrong_is_told(text: str, said: str) -> None:
    with pytest.raises(JobFileError) as told:
        plan(HEAD + text)
    assert said in str(told.value)


def test_what_lies_between_two_ends_on_one_core_is_asked_for() -> None:
    unsaid = SIZE.replace('between = "space"\n', "")
    with pytest.raises(
        JobFileError, match=r"F1: core 1 both ends: outside of the core, or a slot in it\? Outside is space"
    ):
        plan(HEAD + unsaid)
    with pytest.raises(JobFileError, match="Outside is metal: the core itself"):
        plan(HEAD + unsaid + 'scale = "tool"\n')
    assert plan(HEAD + unsaid + 'quantity = "angle"\nnominal = 62\n'.replace("nominal = 62\n", "")).features
    wall = plan(HEAD + unsaid.replace('b = "core 1"', 'b = "cope"')).features[0]
    assert [end.facing for end in wall.ends] == [-1, 1]


def test_metal_is_written_where_it_would_be_asked_for() -> None:
    cores = {(made := size("")).ends[0].core_id or b"": 1}
    slot = plan(HEAD + SIZE.replace("space", "metal")).features[0]
    row = features.feature_row(slot, {slot.ends[0].core_id or b"": 1}, None)
    assert row["between"] == "metal" and features.feature_row(made, cores, None)["between"] == "space"
    wall = plan(HEAD + SIZE.replace("space", "metal").replace('a = "core 1"', 'a = "drag"')).features[0]
    assert "between" not in features.feature_row(wall, {wall.ends[1].core_id or b"": 1}, None)


def test_a_face_with_its_metal_on_either_side_is_a_mistake_that_names_both_sizes() -> None:
    other = '[[feature]]\nballoon = "F2"\nnominal = 8\na = "core 1"\nb = "cope"\nat = [20, 28]\n'
    with pytest.raises(
        JobFileError, match=r"F1 says that the metal ends at core 1's face at x 20 towards .x, F2 says towards"
    ):
        plan(HEAD + SIZE + "at = [20, 82]\n" + other)
    spots = "where = { y = 1 }\n", "where = { y = 9 }\n"
    apart = plan(HEAD + SIZE + "at = [20, 82]\n" + spots[0] + other + spots[1])
    assert len(apart.features) == 2


# ------------------------------------------------------------------------------ the faces of a sample
SAMPLE = """
[job]
number = "T-1"
contraction = "1.0 %"
[[core]]
number = 1
[[tool]]
label = "drag pattern"
kind = "pattern_drag"
[[face]]
name = "base"
by = "drag"
axis = "z"
metal = "+"
datum = true
[[face]]
name = "roof"
by = "core 1"
axis = "z"
metal = "-"
cut_up = true
wall_to = "Base"
"""


def test_a_sample_without_a_drawing_is_begun_by_its_faces_and_no_size_is_guessed() -> None:
    made = plan(SAMPLE)
    base, roof = made.features
    assert (made.revision.number, made.revision.rev) == ("T-1 sample casting", "sample")
    assert [(f.balloon, f.name, f.axis, f.nominal_known, f.ord) for f in (base, roof)] == [
        ("S1", "base", "z", False, 1),
        ("S2", "roof", "z", False, 2),
    ]
    (below,), (above,) = base.ends, roof.ends
    assert (below.half, below.facing, below.coord_mm, base.note) == ("drag", -1, 0.0, None)
    assert (above.core_id, above.facing, above.coord_mm) == (made.cores[0].id, 1, None)
    assert roof.note == "only on the casting cut up; wall to S1"
    assert made.tool_features == ()  # read on the casting, though the drag pattern makes it
    assert write.rows(made)["face"] == [
        {"balloon": "S1", "name": "base", "by": "drag", "axis": "z", "metal": "+", "datum": True},
        {
            "balloon": "S2",
            "name": "roof",
            "by": "core 1",
            "axis": "z",
            "metal": "-",
            "cut_up": True,
            "wall_to": "S1",
        },
    ]


def test_faces_named_at_the_bench_are_written_as_faces_and_what_says_more_as_a_size() -> None:
    made = plan(SAMPLE)
    base, roof = made.features
    told = replace(made, features=(base, replace(roof, note="rough; wall to S1")))
    rows = write.rows(told)
    assert [row["balloon"] for row in rows["face"]] == ["S1"]
    assert [row["balloon"] for row in rows["feature"]] == ["S2"] and rows["feature"][0]["nominal"] == "unknown"
    assert write.rows(plan(write.toml(rows))) == rows
    apart = write.rows(made, folded=False)
    assert "face" not in apart and [row["balloon"] for row in apart["feature"]] == ["S1", "S2"]


@pytest.mark.parametrize(
    ("old", "new", "why"),
    [
        ('by = "core 1"', 'by = "core 4"', "face roof names core 4, which this file does not have"),
        ('by = "core 1"', 'by = "stick"', "face roof is made by cope, drag or core N, not 'stick'"),
        ('by = "core 1"\n', "", "face roof needs by: cope, drag or core N"),
        ('metal = "-"', 'metal = "up"', "the side of the metal"),
        ('metal = "-"\n', "", "face roof needs metal"),
        ('axis = "z"\nmetal = "-"', 'axis = "none"\nmetal = "-"', "the axis"),
        ("cut_up = true", "datum = true", "z has its datum already, in line 10"),
        ("cut_up = true", 'cut_up = "perhaps"', "yes or no"),
        ('wall_to = "Base"', 'wall_to = "bass"', "there is no face 'bass'; perhaps 'base' is meant"),
        ('wall_to = "Base"', 'wall_to = "S2"', "another face on its other side"),
        ('name = "roof"', 'name = "Base"', "face Base is named already, in line 10"),
        ('name = "roof"\n', "", "face 2 needs name"),
        ('name = "roof"', 'name = "roof"\nballoon = "s1"\n[[feature]]\nballoon = "S1"\nnominal = 3', "there is a s1"),
    ],
)
def test_what_is_wrong_in_a_face_is_said_with_its_name(old: str, new: str, why: str) -> None:
    assert old in SAMPLE
    with pytest.raises(JobFileError) as told:
        plan(SAMPLE.replace(old, new, 1) if old != 'axis = "z"\nmetal = "-"' else SAMPLE.replace(old, new))
    assert why in str(told.value), str(told.value)


def test_all_that_is_wrong_is_said_also_of_a_size_that_cannot_be_read() -> None:
    second = SIZE.replace("nominal = 62", 'nominal = "abc"')
    with pytest.raises(JobFileError) as told:
        plan(HEAD + SIZE + 'limits = "wide"\nstock = "much"\n' + second + second.replace('"F1"', '"F3"') * 2)
    wrong = str(told.value).splitlines()[1:]
    assert [sentence.partition(": ")[2][:30] for sentence in wrong] == [
        "feature F1 limits: 'wide': not",
        "feature F1 stock: much is not ",
        "there are two of feature 'f1':",
        "feature F1 nominal: abc is not",
        "feature F3 nominal: abc is not",
        "there are two of feature 'f3':",
        "feature F3 nominal: abc is not",
    ], wrong


def test_faces_come_first_in_the_order_and_one_that_is_measured_on_a_tool_is_a_size() -> None:
    made = plan(SAMPLE + '[[feature]]\nballoon = "F1"\nnominal = 62\na = "drag"\nb = "drag"\n')
    assert [(f.balloon, f.ord) for f in made.features] == [("S1", 1), ("S2", 2), ("F1", 3)]
    assert (made.revision.number, made.revision.rev) == ("T-1", "A")  # it has a drawing
    base = made.features[0]
    on = tuple(tool_feature(made.job, base, tool) for tool in made.tools)
    assert len(on) == 1
    rows = write.rows(replace(made, tool_features=(*made.tool_features, *on)))
    assert [row["balloon"] for row in rows["face"]] == ["S2"]
    assert [row["balloon"] for row in rows["feature"]] == ["S1", "F1"]
