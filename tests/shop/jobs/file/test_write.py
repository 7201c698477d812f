"""A job written as a file and read in anew is the same job; a file that it came from keeps its comments."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest
from hypothesis import settings

from inspect_tui.errors import InspectError
from inspect_tui.frozen import fields, replace
from inspect_tui.record.store import Record
from inspect_tui.shop.jobs import jobfile
from inspect_tui.shop.jobs.file import write
from tests.worlds.job_files import HEAD, SIZE, any_job, example, out_of, picture, plan, stored

JOBS = 300 if settings.get_current_profile_name() == "long" else 6


@pytest.mark.parametrize("seed", range(JOBS))
def test_written_and_read_again_any_job_is_the_same(seed: int) -> None:
    first = write.rows(plan(any_job(seed, cores=3 + seed // 50, sizes=6 + seed // 15, seats=3 + seed // 30)))
    assert write.rows(plan(write.toml(first))) == first


@pytest.mark.parametrize("seed", [20, 21])
def test_through_a_record_any_job_is_the_same(seed: int, tmp_path: Path) -> None:
    made = plan(any_job(seed))
    with Record.open(tmp_path / "r.db", create=True) as record:
        job = stored(record, made)
        rows = out_of(record, job)
        assert rows == write.rows(made)
        with Record.open(tmp_path / "again.db", create=True) as other:
            assert out_of(other, stored(other, plan(write.toml(rows)))) == rows


def test_prints_and_seats_stand_in_one_line_only_where_it_makes_exactly_these() -> None:
    rows = write.rows(plan(example()))
    assert [row["balloon"] for row in rows["feature"]] == ["F1", "F2", "F3", "F4", "P1"]
    assert rows["seat"][1]["size"] == 30 and rows["seat"][0]["print"] == "P1"
    apart = write.rows(plan(example()), folded=False)
    assert [row["balloon"] for row in apart["feature"]][-2:] == ["K2-1p", "K2-1s"]
    assert apart["seat"][1]["print"] == "K2-1p" and "size" not in apart["seat"][1]
    first = HEAD + '[[seat]]\nlabel = "K1"\ncore = 1\nin = "drag"\nsize = 30\nclearance = 0.3\n' + SIZE
    assert [row["balloon"] for row in write.rows(plan(first))["feature"]] == ["F1"]


def test_a_file_keeps_its_comments_and_what_did_not_change_as_it_is_written() -> None:
    before = example()
    rows = write.rows(plan(before))
    for row in rows["feature"]:
        if row["balloon"] == "F2":
            row["nominal"] = 241
    rows["sampling"] = []
    del rows["sampling"]
    after = write.toml(rows, before)
    assert "# the finished size on the drawing" in after and "nominal = 241" in after and "[[sampling]]" not in after
    old, new = set(before.splitlines()), set(after.splitlines())
    assert {
        'nominal = 62.0                   # the finished size on the drawing; "unknown" for a sample without a drawing'
    } <= new
    assert len(old - new) < 40 and write.rows(plan(after)) == rows
    assert write.same(
        tomllib.loads(write.toml(write.rows(plan(before)), before))["job"], write.rows(plan(before))["job"]
    )


def test_rows_that_come_and_go_find_their_places() -> None:
    before = write.toml(write.rows(plan(HEAD + SIZE + SIZE.replace("F1", "F2"))))
    rows = write.rows(plan(HEAD + SIZE.replace("F1", "F0") + SIZE.replace("F1", "F2")))
    assert write.rows(plan(write.toml(rows, before))) == rows


def test_pictures_are_named_by_where_they_lie(tmp_path: Path) -> None:
    shown = picture(tmp_path)
    text = HEAD + SIZE + '[[picture]]\nfile = "box.png"\non = "core 1"\n'
    with Record.open(tmp_path / "r.db", create=True) as record:
        job = stored(record, jobfile.read(text, folder=tmp_path))
        (row,) = out_of(record, job)["picture"]
        assert row["on"] == "core 1" and row["name"] == "box.png"
        assert Path(row["file"]).read_bytes() == shown.read_bytes()
        Path(row["file"]).unlink()
        assert "picture" not in out_of(record, job)


@pytest.mark.parametrize(
    ("one", "other", "alike"),
    [
        (1, 1.0, True),
        (0.1 + 0.2, 0.3, True),
        ([1, {"a": 2}], [1.0, {"a": 2}], True),
        (True, 1, False),
        ("1", 1, False),
        ([1], [1, 2], False),
        ({"a": 1}, {"b": 1}, False),
        (None, 0, False),
        (100.0, 100.001, False),
    ],
)
def test_values_are_the_same_to_a_part_in_a_thousand_million(one: object, other: object, alike: bool) -> None:
    assert write.same(one, other) is alike


def test_a_print_that_a_later_size_follows_or_that_is_on_other_tools_stands_by_itself() -> None:
    made = plan(example())
    key = next(f for f in made.features if f.balloon == "K2-1p")
    last = replace(made.features[0], id=b"x" * 16, balloon="F99", ord=99)
    for other in (
        replace(made, features=(*made.features, last)),
        replace(made, tool_features=tuple(on for on in made.tool_features if on.feature_id != key.id)),
    ):
        rows = write.rows(other)
        assert "K2-1p" in [row["balloon"] for row in rows["feature"]] and write.rows(plan(write.toml(rows))) == rows
        assert [f.balloon for f in plan(write.toml(rows)).features] == [f.balloon for f in other.features]


NOT_OF_A_FILE = {  # what a file does not say: places in an order, what is taken back, why editions were made, PINs
    *("id", "ord", "corrects_id", "why", "holds", "active", "pin_hash", "set_order"),
}


def other(value: object, name: str) -> object:
    """Another value of the same kind."""
    if isinstance(value, bool):
        return not value
    if isinstance(value, int):
        return -value if name in ("facing", "sense") else value + 1
    if isinstance(value, float):
        return value + 0.125
    if name.endswith("_on"):
        return "2020-02-02"
    if isinstance(value, str):
        return {"cope": "drag", "drag": "cope"}.get(value, "zz")
    measured = name in ("a", "ua") or name[:3] in ("at_", "dir") or name.endswith(("mm", "upper", "lower", "_a", "_r"))
    return 0.125 if measured else "zz"


@pytest.mark.parametrize(
    ("table", "left_out"),
    [
        ("job", {"a_source"}),
        ("revision", set()),
        ("cores", set()),
        ("tools", {"resin_u", "second_u"}),
        ("features", {"dir_y", "dir_z", "ua"}),
        ("people", set()),
        ("gauges", set()),
        ("core_details", set()),
        ("bodies", set()),
        ("tool_details", set()),
        ("outline", set()),
        ("fits", {"outer_half", "inner_half", "blocked_by"}),
        ("targets", set()),
        ("lots", set()),
    ],
)
def test_no_field_of_a_thing_is_forgotten(table: str, left_out: set[str]) -> None:
    made = plan(example())
    things = getattr(made, table)
    thing = things[0] if isinstance(things, tuple) else things
    before = write.rows(made)
    forgotten = []
    for name in fields(thing):
        if name in NOT_OF_A_FILE | left_out or name.endswith("_id") or isinstance(getattr(thing, name), tuple):
            continue
        try:
            changed = replace(thing, **{name: other(getattr(thing, name), name)})
            things_now = (changed, *things[1:]) if isinstance(things, tuple) else changed
            if write.rows(replace(made, **{table: things_now})) == before:
                forgotten.append(name)
        except (InspectError, KeyError, ValueError):
            pass  # it is looked at: that value makes no sense
    assert forgotten == []
