"""Writes one setting into `settings.toml`, with the comments and the order of what stands in it kept."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

from inspect_tui.errors import DataError
from inspect_tui.shop.settings import file
from inspect_tui.shop.settings.choices import CHOICES, YES_NO, looked_at

HEAD = "How things are shown on this machine; every line may be left out."
NOTHING = "Nothing was written."


def put(key: str, text: str | None, where: Path | None = None) -> str:
    """Set a setting (None: leave it to what the program comes with); gives back what it says now, as text.

    DataError for an unknown setting or value, a file that is no TOML, or one that cannot be written; then nothing is.
    """
    import tomlkit
    from tomlkit.exceptions import ParseError

    shown, wrong = looked_at(key, "" if text is None else text)
    if wrong and not (text is None and (key in CHOICES or "." in key)):
        raise DataError(f"{wrong}. {NOTHING}")
    target = where or file.path()
    try:
        before = target.read_text("utf-8") if target.exists() else ""
        document = tomlkit.parse(before)
    except (ParseError, UnicodeDecodeError) as problem:
        raise DataError(f"{target} is not understood ({problem}): put it right first. {NOTHING}") from None
    except OSError as problem:
        raise DataError(f"{target} cannot be read ({problem.strerror}). {NOTHING}") from None
    if not before.strip():
        document.add(tomlkit.comment(HEAD))
    section, _, name = key.partition(".")
    _set(document, section, name, None if text is None else _value(key, shown))
    _write(target, tomlkit.dumps(document))
    return CHOICES[key].first if text is None and key in CHOICES else shown


def _value(key: str, text: str) -> Any:
    if CHOICES.get(key) and CHOICES[key].may == tuple(YES_NO):
        return YES_NO[text]
    return int(text) if key == "show.inch_places" else text


def _set(document: Any, section: str, name: str, value: Any) -> None:
    import tomlkit

    table = document.get(section)
    if value is None:
        if isinstance(table, dict):
            _drop(table, name)
        return
    if not isinstance(table, dict):
        document[section] = tomlkit.table()
    if name not in document[section]:  # else it is changed where it stands, with the comment behind it
        _drop(document[section], name)
    document[section][name] = value


def _drop(table: Any, name: str) -> None:
    """Take a name out, also where its dots made tables of it."""
    if name in table:
        if not isinstance(table[name], dict):
            del table[name]
        return
    head, dot, rest = name.partition(".")
    if dot and isinstance(table.get(head), dict):
        _drop(table[head], rest)


def _write(target: Path, text: str) -> None:
    """Beside the file first, so that a full disk leaves the old one."""
    beside = target.with_name(f"{target.name}.new")
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        beside.write_text(text, "utf-8")
        os.replace(beside, target)  # noqa: PTH105 - the one call that does it at once
    except OSError as problem:
        raise DataError(f"{target} cannot be written ({problem.strerror}): it is as it was.") from None
