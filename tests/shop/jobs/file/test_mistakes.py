"""Mistakes are told once each, in the order of the file, and the nearest name is offered."""

from __future__ import annotations

import pytest

from inspect_tui.errors import JobFileError
from inspect_tui.metrology.typed import fields
from inspect_tui.shop.jobs.file.mistakes import MOST_TOLD, Mistakes, Row, Spot, a_text, letters, nearest


def row(**values: object) -> Row:
    made = Row("feature", Spot(1, 1), Mistakes())
    for n, (key, value) in enumerate(values.items(), start=2):
        made.put(key, value, Spot(n, 1), Spot(n, 9))
    return made


def test_one_mistake_is_one_sentence_and_several_are_a_list() -> None:
    mistakes = Mistakes()
    mistakes.stop()
    mistakes.add(Spot(7, 3), "b is wrong.")
    with pytest.raises(JobFileError, match=r"^The job file, line 7, column 3: b is wrong\.$"):
        mistakes.stop()
    mistakes.add(Spot(2, 1), "a is wrong")
    mistakes.add(Spot(2, 1), "of the same place")
    with pytest.raises(JobFileError) as told:
        mistakes.stop("It")
    first, *rest = str(told.value).splitlines()
    assert first == "It has 2 mistakes, so nothing of it was taken:"
    assert rest == ["line 2, column 1: a is wrong.", "line 7, column 3: b is wrong."]


def test_a_flood_is_cut_off_with_its_number() -> None:
    mistakes = Mistakes()
    for n in range(MOST_TOLD + 5):
        mistakes.add(Spot(n + 1, 1), "wrong")
    with pytest.raises(JobFileError, match=r"35 mistakes(?s:.*)\.\.\. and 5 more\."):
        mistakes.stop()


def test_a_place_in_a_sheet_has_letters() -> None:
    assert [letters(n) for n in (1, 26, 27, 52, 53, 703)] == ["A", "Z", "AA", "AZ", "BA", "AAA"]
    assert Spot(4, 3, "features").words == "features, row 4, column C"


def test_a_value_that_is_wrong_is_told_and_the_default_taken() -> None:
    made = row(a="x", b=2)
    assert made.take("a", fields.figure, 5.0) == 5.0 and made.take("b", fields.figure, 5.0) == 2.0
    assert made.take("c", fields.figure, 5.0) == 5.0 and made.maybe("c", fields.figure) is None
    assert made.maybe("a", fields.figure) is None
    assert made.mistakes.sentences == ["line 2, column 9: [feature] a: x is no figure: type it such as 2.5."]


def test_unknown_keys_name_the_nearest_and_what_was_meant_is_not_missing() -> None:
    made = row(nominl=1, zzz=2)
    made.knows(["nominal", "name"])
    assert made.mistakes.sentences == [
        "line 2, column 1: [feature] does not know 'nominl'; perhaps 'nominal' is meant.",
        "line 3, column 1: [feature] does not know 'zzz'; it knows name, nominal.",
    ]
    assert made.broken == {"nominal"}
    assert nearest("COER", ["core", "tool"]) == "perhaps 'core' is meant"


def test_parts_are_known_too() -> None:
    made = row(draft={"deg": 2, "hight": 3}, other=4)
    assert made.parts("draft", ("deg", "height")) == {"deg": 2}
    assert made.parts("other", ("deg", "height")) == {}
    assert [told.partition(": ")[2] for told in made.mistakes.sentences] == [
        "[feature] draft: it does not know 'hight'; it knows deg, height.",
        "[feature] other: it is written as { deg = ..., height = ... }.",
    ]


def test_texts_are_one_line_and_not_too_long() -> None:
    assert a_text(" a\n b ", 5) == "a b" and a_text(12, 5) == "12" and a_text("\0\x1b\u202e", 5) == ""
    assert isinstance(a_text(True, 5), fields.Wrong) and isinstance(a_text([1], 5), fields.Wrong)
    assert "has 6 letters" in str(a_text("abcdef", 5))
