"""A TOML text line by line: every place is known, every slip is told, and what is right is read as the standard says."""

from __future__ import annotations

import tomllib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_tui.errors import JobFileError
from inspect_tui.shop.jobs.file import lines
from inspect_tui.shop.jobs.file.mistakes import Mistakes, Spot


def read(text: str) -> tuple[dict[str, list[dict[str, object]]], list[str]]:
    mistakes = Mistakes()
    rows = lines.tables(text, mistakes)
    return {name: [row.values for row in table] for name, table in rows.items()}, mistakes.sentences


def test_every_value_knows_its_line_and_column() -> None:
    mistakes = Mistakes()
    rows = lines.tables('\ufeff# a comment\n[job]\n  number =  "A = 1"\n\n[[core]]\r\nnumber = 3\r\n', mistakes)
    assert not len(mistakes)
    assert (rows["job"][0].keys["number"], rows["job"][0].spots["number"]) == (Spot(3, 3), Spot(3, 13))
    assert (rows["core"][0].spot, rows["core"][0].spots["number"]) == (Spot(5, 1), Spot(6, 10))


def test_lists_and_long_texts_may_run_over_several_lines_and_parts_may_have_headings() -> None:
    text = 'a = [\n  1, # one\n  "]",\n]\nb = """x\n[y]\n"""\n[job]\n[job.contraction]\nx = "1 %"\n[other]\nu.x = 1\nu.y = 2\n'
    assert read(text) == (
        {
            "": [{"a": [1, "]"], "b": "x\n[y]\n"}],
            "job": [{"contraction": {"x": "1 %"}}],
            "other": [{"u": {"x": 1, "y": 2}}],
        },
        [],
    )


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("[job]\nname = pump\n", 'line 2, column 8: a text stands in quotes: name = "pump".'),
        ("[job]\nname = 1/16 in # x\n", 'line 2, column 8: a text stands in quotes: name = "1/16 in".'),
        ('[job]\nname = "a\n', "line 2, column 8: the quotes are not closed in this line."),
        ("[job]\nname =\n", "line 2, column 1: 'name' has nothing behind the = sign."),
        ("[job]\nnonsense\n", "line 2, column 1: 'nonsense' stands alone: write a name, = and what it is."),
        ("[job\na = 1\n", "line 1, column 1: '[job' is not TOML: a heading is written [job] or [[feature]]."),
        ("[[job]\n", "line 1, column 1: '[[job]' is not TOML: a heading is written [job] or [[feature]]."),
        ("[a.b.c]\n", "line 1, column 1: '[a.b.c]' is not TOML: a heading is written [job] or [[feature]]."),
        ("[job]\na = [1, 2\n[[core]]\nn = 1\n", "line 2, column 1: the bracket [ that begins here is never closed."),
        ('[job]\na = """x\nb = 1\n', 'line 2, column 1: the string """ that begins here is never closed.'),
        ("[job]\na = 1\na = 2\n", "line 3, column 1: [job] 'a' is given twice; the first stands in line 2."),
        ("[job]\n[job]\n", "line 2, column 1: [job] stands twice; the first begins in line 1."),
        ("[job]\nd = {a = 1, a = 2}\n", "line 2, column 18: this is not TOML: "),
        ("[job]\na = 1\n[job.a]\n", "line 3, column 1: [job] has two of 'a'."),
        ("[job]\n[job.a]\nx = 1\nx = 2\n", "line 4, column 1: [job] a: 'x' is given twice."),
    ],
)
def test_each_slip_is_told_with_its_place_and_hides_no_other(text: str, said: str) -> None:
    alone = read(text)[1]
    assert len(alone) == 1 and alone[0].startswith(said)
    told = read(text + "\n[zz]\nlast = oops\n")[1]
    if "never closed" not in said or "bracket" in said:
        assert len(told) == 2 and told[0].startswith(said) and "oops" in told[1]


VALUE = st.recursive(
    st.one_of(
        st.integers(-1000, 1000),
        st.booleans(),
        st.text("ab [](){}#='\\\"±é", max_size=8).map(lambda t: t),
    ),
    lambda part: st.lists(part, max_size=3),
    max_leaves=6,
)


@given(st.lists(st.tuples(st.sampled_from("abcdef"), VALUE), max_size=5, unique_by=lambda pair: pair[0]))
def test_what_is_right_is_read_as_the_standard_library_reads_it(pairs: list[tuple[str, object]]) -> None:
    import tomlkit

    document = tomlkit.document()
    table = tomlkit.table()
    for key, value in pairs:
        table[key] = value
    document["job"] = table
    text = tomlkit.dumps(document)
    rows, told = read(text)
    assert told == [] and rows["job"][0] == tomllib.loads(text)["job"]


@given(st.text("a=[]{}\"'#\n.x1 ", max_size=40))
def test_whatever_stands_there_is_read_or_told(text: str) -> None:
    rows, told = read(text)
    try:
        right = tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        return
    if not told:
        assert {key for key, value in right.items() if not isinstance(value, dict | list)} <= set(rows.get("", [{}])[0])


def test_a_file_is_read_as_editors_save_it() -> None:
    text = 'name = "±"\n'
    for held in (text.encode(), text.encode("utf-8-sig"), text.encode("utf-16")):
        assert lines.decode(held).removeprefix("\ufeff") == text
    with pytest.raises(JobFileError, match=r"job\.toml, line 2, is not text in UTF-8"):
        lines.decode(b'a = 1\nname = "\xb1"\n', "job.toml")
