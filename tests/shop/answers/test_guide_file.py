"""The answer file of the guide: what it says, its mark, and every mistake of it with its place."""

from __future__ import annotations

import json
import os
from pathlib import Path
from typing import Any
from zlib import crc32

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_tui.errors import DataError
from inspect_tui.shop.answers import guide_file
from tests.amounts import some
from tests.shop.answers.conftest import as_file, guide
from tests.worlds.kit_jobs import Kit


def test_it_says_what_it_holds(kit: Kit, tmp_path: Path) -> None:
    answers = guide_file.read(as_file(tmp_path / "a.json", guide(kit)))
    assert answers.wrong == () and not answers.changed and answers.job == "TK-1"
    said = [(row.sort, row.core, row.step, row.what, row.text) for row in answers.rows]
    assert said == [
        ("check", 1, 1, "core set", ""),
        ("size", 1, 1, "W", "101.3"),
        ("size", 1, 1, "L", "2.385 in"),
        ("check", 1, 1, "throat (T-1)", "1.42"),
        ("rub", 1, 1, "rubbed", "key at the lower end"),
        ("remark", 1, 1, "remark", "vents were closed"),
        ("picture", 1, 1, "c1.png", "rubbed"),
        ("check", 2, 2, "core set", ""),
        ("check", None, None, "closing height", "412,5"),
        ("remark", None, None, "remark", "closed by hand"),
    ]
    first = answers.rows[1]
    assert (first.mould, first.who, first.day, first.unit, first.gauge) == (
        "S4-1",
        "TK",
        "2026-11-18",
        "mm",
        "caliper of TK-1",
    )
    assert answers.rows[6].picture.startswith(b"\x89PNG") and answers.rows[3].result == "go"


def test_the_mark_is_the_sum_that_is_written_down(kit: Kit, tmp_path: Path) -> None:
    by_hand = crc32("x true  3 ".replace(" ", "\n").encode())  # each value and a line feed, null as nothing
    assert guide_file.mark_of({"a": "x", "mark": "?", "b": [True, None, 3]}) == f"{by_hand:08x}"
    document = guide(kit)
    document["steps"][0]["sizes"][0]["reading"] = "101.4"
    assert guide_file.read(as_file(tmp_path / "a.json", document)).changed
    del document["mark"]
    assert guide_file.read(as_file(tmp_path / "b.json", document)).changed  # one without a mark is not believed


def test_every_mistake_is_told_with_its_place(kit: Kit, tmp_path: Path) -> None:
    document = guide(kit)
    step = document["steps"][0]
    step["sizse"] = []
    step["sizes"].append({"reading": "3"})
    step["sizes"].append("60.1")
    step["checks"].append({"reading": "1", "lower": "wide"})
    step["done"] = "yes"
    step["pictures"].append({"name": "x.jpg", "data": "%%%"})
    step["pictures"].append({"name": "y.jpg"})
    step["remark"] = ["a"]
    document["steps"].append({"step": 3, "core": "three"})
    document["steps"].append(7)
    document["edition"] = ""
    document["clsoing"] = {}
    document["closing"] = 3
    wrong = guide_file.read(as_file(tmp_path / "a.json", document)).wrong
    assert wrong[0] == "clsoing: it is not known here; nearest: closing"
    assert [line.rpartition(":")[0].split(":")[0] for line in wrong] == [
        "clsoing",
        "edition",
        "step 1, sizse",
        "step 1, done",
        "step 1, size 3, balloon",
        "step 1, size 4",
        "step 1, check 2, what",
        "step 1, remark",
        "step 1, picture 2, data",
        "step 1, picture 3, data",
        "step 3, core",
        "step 4",
        "closing",
    ]


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "line 1, column 1"),
        (b'{"format": "setting answers", "ver', "line 1, column 31"),
        (b'{"format": "something"}', "no answer file of a setting guide"),
        (b"[]", "no answer file of a setting guide"),
        (b'{"format": "setting answers", "version": 2}', "of version 2 of its format; this program knows 1"),
        (b'{"format": "setting answers", "version": NaN}', "NaN is no figure"),
        (b"\xff\xfe\x00", "bytes that no text has"),
        (b"[" * 100_000, "bytes that no text has"),
        (b'{"a": "\x81"}', "bytes that no text has"),
    ],
)
def test_what_is_no_answer_file_is_a_sentence(tmp_path: Path, content: bytes, words: str) -> None:
    path = tmp_path / "a.json"
    path.write_bytes(content)
    with pytest.raises(DataError, match=words):
        guide_file.read(path)


def test_a_key_that_stands_twice_and_a_byte_order_mark(kit: Kit, tmp_path: Path) -> None:
    path = tmp_path / "a.json"
    text = json.dumps(guide(kit)).replace('"rev": "A"', '"rev": "A", "rev": "B"')
    path.write_bytes(text.encode("utf-8-sig"))
    assert guide_file.read(path).wrong == ("rev stands twice in one place",)
    path.write_bytes(json.dumps(guide(kit)).encode("utf-16"))
    assert guide_file.read(path).wrong == ()
    with pytest.raises(DataError, match="There is no file"):
        guide_file.read(tmp_path / "none.json")
    os.mkfifo(tmp_path / "pipe.json")
    with pytest.raises(DataError, match="a pipe or a device, not a file"):
        guide_file.read(tmp_path / "pipe.json")


LEAF = st.none() | st.booleans() | st.integers(-9, 9) | st.text(max_size=4)


@settings(max_examples=some(25, 1000))
@given(st.recursive(LEAF, lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=3), inner)))
def test_any_json_is_answered_in_sentences(inner: Any) -> None:
    document = {"format": "setting answers", "version": 1, "steps": inner, "closing": inner, "job": inner}
    answers = guide_file._File(document, "a.json", "0" * 64, []).answers()
    assert all(isinstance(line, str) and line for line in answers.wrong)
    assert guide_file.mark_of(document) == guide_file.mark_of(json.loads(json.dumps(document)))
