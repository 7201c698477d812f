"""A calendar file against the rules of RFC 5545, September 2009 (the sections are named beside each)."""

from __future__ import annotations

import re
from itertools import pairwise

import pytest

from inspect_tui.report.paper.calendar_ics import MOST, CalendarDay, calendar, escaped, folded

EVENT = CalendarDay(
    uid="01888a08-9c00-74a9-b227-a5f679969335-measure",
    day="2026-03-01",
    summary="box 3: measure F08, F09; then the rest " + "größer " * 30,
    place="job EXM-4, at a foundry",
    words="first line\nsecond\\line",
    sort="measure",
)


def content_lines(file: bytes) -> list[str]:
    """3.1: unfolding takes out each CRLF that a single space or tab follows."""
    text = re.sub(b"\r\n[ \t]", b"", file).decode("utf-8")
    assert text.endswith("\r\n")
    return text[:-2].split("\r\n")


def text_of(value: str) -> str:
    r"""3.3.11: ESCAPED-CHAR = ("\\" / "\;" / "\," / "\N" / "\n")."""
    assert re.fullmatch(r"(?:\\[\\;,Nn]|[^\\;,\x00-\x08\x0a-\x1f\x7f])*", value), value
    return re.sub(r"\\(.)", lambda m: "\n" if m[1] in "Nn" else m[1], value)


def test_the_example_of_the_rfc_for_text() -> None:
    # 3.3.11: "Project XYZ Final Review / Conference Room - 3B / Come Prepared." on three lines, as one value
    said = "Project XYZ Final Review\nConference Room - 3B\nCome Prepared."
    assert escaped(said) == r"Project XYZ Final Review\nConference Room - 3B\nCome Prepared."


@pytest.mark.parametrize("said", ["a, b; c", "back\\slash", "\\n is no line end", "one\r\ntwo\rthree", "a\\,b", ""])
def test_a_text_comes_back_as_it_was(said: str) -> None:
    assert text_of(escaped(said)) == said.replace("\r\n", "\n").replace("\r", "\n")


def test_control_characters_do_not_get_in() -> None:
    assert text_of(escaped("bell \x07 null \x00")).isprintable()


@pytest.mark.parametrize("letter", ["a", "ä", "€", "\U0001f527"])
def test_lines_are_folded_at_75_octets_and_never_inside_a_character(letter: str) -> None:
    for length in (1, 74, 75, 76, 149, 150, 300):
        line = letter * length
        physical = folded(line).split(b"\r\n")
        assert physical.pop() == b""
        assert all(len(part) <= 75 for part in physical)  # 3.1: excluding the line break
        assert all(len(first) > 75 - 4 for first, _ in pairwise(physical))  # no sooner than it must be
        assert all(part[:1] == b" " for part in physical[1:])
        for part in physical:
            part.decode("utf-8")
        assert content_lines(folded(line)) == [line]
    assert folded("a" * 75) == b"a" * 75 + b"\r\n" and MOST == 75


def test_the_calendar_has_what_it_must_have_and_each_only_once() -> None:
    lines = content_lines(calendar([EVENT, EVENT], "2026-02-28"))
    assert lines[0] == "BEGIN:VCALENDAR" and lines[-1] == "END:VCALENDAR"  # 3.4
    assert lines.count("VERSION:2.0") == 1 and sum(line.startswith("PRODID:") for line in lines) == 1  # 3.6
    first = lines[lines.index("BEGIN:VEVENT") + 1 : lines.index("END:VEVENT")]
    named = {re.split("[:;]", line, maxsplit=1)[0]: line.partition(":")[2] for line in first}
    assert len(named) == len(first)  # 3.6.1: none of these MUST occur more than once
    assert text_of(named["UID"]) == EVENT.uid  # 3.8.4.7
    assert named["DTSTAMP"] == "20260228T000000Z"  # 3.8.7.2: UTC, of the data
    assert "DTSTART;VALUE=DATE:20260301" in first  # 3.3.4 and 3.6.1: a date, the whole day, DTEND not needed
    assert named["TRANSP"] == "TRANSPARENT"  # 3.8.2.7: it does not take the day
    assert text_of(named["SUMMARY"]) == EVENT.summary and text_of(named["LOCATION"]) == EVENT.place
    assert text_of(named["DESCRIPTION"]) == EVENT.words and text_of(named["CATEGORIES"]) == "measure"
    assert lines.count("BEGIN:VEVENT") == lines.count("END:VEVENT") == 2


def test_what_is_empty_is_left_out() -> None:
    plain = content_lines(calendar([CalendarDay(uid="u", day="2026-03-01", summary="s")], "2026-02-28"))
    assert not [line for line in plain if line.startswith(("LOCATION", "DESCRIPTION", "CATEGORIES"))]


def test_every_line_ends_as_it_must_and_the_bytes_are_the_same_each_time() -> None:
    file = calendar([EVENT], "2026-02-28")
    assert file.count(b"\n") == file.count(b"\r\n") == file.count(b"\r")
    assert file == calendar(iter([EVENT]), "2026-02-28")
