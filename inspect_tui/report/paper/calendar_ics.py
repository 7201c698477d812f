"""Days for a calendar as iCalendar (RFC 5545): one event for the whole day each, nothing of it from the clock.

Numbers in brackets are sections of the RFC: lines end in CRLF and are folded at 75 octets (3.1), a text has its
backslashes, semicolons, commas and line ends escaped (3.3.11), an event has UID and DTSTAMP (3.6.1), a day is a date
without a time (3.3.4), and an event that begins on a day and says no end takes that day (3.6.1).
"""

from __future__ import annotations

from collections.abc import Iterable

from inspect_tui.frozen import frozen_by_name
from inspect_tui.report.words import visible

MOST = 75  # octets of a line, its end not counted
MAKER = "-//inspect-tui//due list//EN"


@frozen_by_name
class CalendarDay:
    """One event. `uid`: the same each time for the same thing; `day` and `stamp`: ISO dates."""

    uid: str
    day: str
    summary: str
    place: str = ""
    words: str = ""
    sort: str = ""


def escaped(text: str) -> str:
    """A text as the value of a property: nothing in it ends the value or the line."""
    plain = visible(text.replace("\r\n", "\n").replace("\r", "\n"))
    return plain.replace("\\", "\\\\").replace(";", "\\;").replace(",", "\\,").replace("\n", "\\n")


def folded(line: str) -> bytes:
    """A content line as octets, broken before it is too long and never inside a character."""
    out, room = bytearray(), MOST
    for character in line:
        octets = character.encode("utf-8")
        if len(octets) > room:
            out += b"\r\n "
            room = MOST - 1
        out += octets
        room -= len(octets)
    return bytes(out + b"\r\n")


def calendar(days: Iterable[CalendarDay], stamp: str) -> bytes:
    """The whole file; `stamp` is the ISO date of what it rests on. The same bytes for the same days."""
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", f"PRODID:{MAKER}"]
    for event in days:
        lines += ["BEGIN:VEVENT", f"UID:{escaped(event.uid)}", f"DTSTAMP:{_date(stamp)}T000000Z"]
        lines += [f"DTSTART;VALUE=DATE:{_date(event.day)}", f"SUMMARY:{escaped(event.summary)}"]
        pairs = (("LOCATION", event.place), ("DESCRIPTION", event.words), ("CATEGORIES", event.sort))
        lines += [f"{name}:{escaped(text)}" for name, text in pairs if text]
        lines += ["TRANSP:TRANSPARENT", "END:VEVENT"]
    return b"".join(folded(line) for line in [*lines, "END:VCALENDAR"])


def _date(day: str) -> str:
    return day.replace("-", "")
