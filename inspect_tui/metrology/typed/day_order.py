"""Days as a foundry writes them: in which order day, month and year stand, said or told by the days themselves."""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import date

from inspect_tui.metrology.typed import fields
from inspect_tui.metrology.typed.fields import Wrong
from inspect_tui.metrology.typed.plain_text import quote

ORDERS = ("d/m/y", "m/d/y", "y/m/d")
_PARTED = re.compile(r"(\d{1,4})\s*[./ -]\s*(\d{1,2})\s*[./ -]\s*(\d{1,4})\.?(?:[T ]+[\d:.]+(?:\s*[AaPp]\.?[Mm]\.?)?)?")
_NAMED = re.compile(r"(\d{1,2})[. -]*([^\W\d_]{3,10})\.?[, -]*(\d{2}|\d{4})")
MONTHS = {
    name: number
    for number, names in enumerate(
        (  # the first three letters in English, German, French, Spanish, Italian, Portuguese, Dutch, the Nordic ones
            *("jan ene gen", "feb fév fev", "mar mär mrt", "apr avr abr", "may mai mag maj mei", "jun giu", "jul lug"),
            *("aug aoû ago", "sep set", "oct okt ott out", "nov", "dec dez déc dic des"),
        ),
        start=1,
    )
    for name in names.split()
}


def day_in(text: str, order: str | None, today: str) -> str | Wrong:
    """A day of a file as its ISO date. `order` is one of ORDERS, None where nobody said; `today` is an ISO date.

    A year of two figures is the last such year that is not to come. 5 Mar 2024 is read in any order.
    """
    line = text.strip()
    if named := _NAMED.fullmatch(line):
        month = named[2][:3].casefold()
        if month == "jui":  # juin, juillet
            month = "jul" if named[2].casefold().startswith("juil") else "jun"
        if month not in MONTHS:
            return Wrong(f"{quote(line)} is no day", "write it such as 2025-03-31")
        return _dated(line, named[3], MONTHS[month], int(named[1]), today)
    parted = _PARTED.fullmatch(line)
    if order is None or parted is None or re.match(r"\d{4}-", line):
        return fields.day(line, today, spoken=False)
    told = dict(zip(order.split("/"), parted.groups(), strict=False))
    return _dated(line, told["y"], int(told["m"]), int(told["d"]), today)


def _dated(line: str, year: str, month: int, day: int, today: str) -> str | Wrong:
    if len(year) not in (2, 4):
        return Wrong(f"{quote(line)} has no whole year", "write it such as 2025-03-31")
    whole = int(year) if len(year) == 4 else int(today[:2]) * 100 + int(year)
    try:
        if len(year) == 2 and date(whole, month, day).isoformat() > today:
            whole -= 100
        return date(whole, month, day).isoformat()
    except ValueError:
        return Wrong(f"{quote(line)} is no day that there is", "write it such as 2025-03-31")


def order_of(texts: Iterable[str]) -> tuple[str, str] | None:
    """The order of day and month that days with slashes tell by themselves, and the day that tells it.

    None where none does, and where they contradict each other: then each ambiguous day is asked about.
    """
    told: dict[str, str] = {}
    for text in texts:
        parted = _PARTED.fullmatch(text.strip())
        if parted is None or "/" not in text or len(parted[3]) != 4:
            continue
        first, second = int(parted[1]), int(parted[2])
        if first > 12 >= second:
            told.setdefault("d/m/y", text)
        elif second > 12 >= first:
            told.setdefault("m/d/y", text)
    return next(iter(told.items())) if len(told) == 1 else None


def may_be_two(text: str) -> bool:
    """Whether a day with slashes is one day with the day first and another with the month first."""
    parted = _PARTED.fullmatch(text.strip())
    return (
        parted is not None and "/" in text and int(parted[1]) <= 12 and int(parted[2]) <= 12 and parted[1] != parted[2]
    )
