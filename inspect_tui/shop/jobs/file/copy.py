"""A variant of a job: its rows under another number, with cores, tools and sizes under other names."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Any

from inspect_tui.errors import JobFileError
from inspect_tui.frozen import replace
from inspect_tui.shop.common import find
from inspect_tui.shop.jobs.file import write
from inspect_tui.shop.jobs.file.plan import SAMPLE_REV
from inspect_tui.shop.pictures import balloons

LEFT_BEHIND = ("person", "gauge", "certificate", "sampling")  # the shop's, or what was made of the first job
CORES = {
    "tool": ("core",),
    "feature": ("a", "b"),
    "face": ("by",),
    "seat": ("core", "in", "blocked_by"),
    "picture": ("on",),
}
TOOLS = {"tool": ("label", "made_from"), "feature": ("tools",), "picture": ("on",), "loop": ("parts",)}
SIZES = {
    "face": ("balloon", "wall_to"),
    "feature": ("balloon",),
    "geometry": ("sizes", "datum_sizes"),
    "core": ("check",),
    "seat": ("print", "seat", "gap"),
    "loop": ("wall", "parts"),
    "picture": ("on",),
}
_CORE = re.compile(r"(?:core )?(\d{1,3})")


def read_map(words: Sequence[str]) -> dict[str, str]:
    """What becomes of which name, from texts such as `core 3=core 8`; JobFileError for one that is none."""
    names: dict[str, str] = {}
    for word in words:
        old, equals, new = (" ".join(part.split()) for part in word.partition("="))
        if not equals or not old or not new:
            raise JobFileError(f"'{word}' does not say what becomes of what: write it such as 'core 3=core 8'.")
        if old.casefold() in names:
            raise JobFileError(f"{old} is named twice: each becomes one other.")
        names[old.casefold()] = new
    return names


def copied(rows: write.Rows, number: str, names: Mapping[str, str]) -> write.Rows:
    """The rows of a job under another number, everything that has a new name named so wherever it stands.

    JobFileError where a name is of nothing in the job, or two things would have one name.
    """
    made: write.Rows = {
        table: dict(row) if isinstance(row, dict) else [dict(one) for one in row]
        for table, row in rows.items()
        if table not in LEFT_BEHIND
    }
    made["job"]["number"] = number
    made["drawing"].pop("issued", None)
    for key in ("order", "quantity"):  # the copy is made for another one
        made["job"].pop(key, None)
    was = rows["job"]["number"]
    if made["drawing"].get("number") == was or made["drawing"].get("rev") == SAMPLE_REV:
        made["drawing"]["number"] = made["drawing"]["number"].replace(was, number, 1)
    for old, new in names.items():
        if not _there(made, old):
            raise JobFileError(f"There is no {old} in job {rows['job']['number']}: it is a core, a tool or a balloon.")
        if (core := _CORE.fullmatch(old)) and not _CORE.fullmatch(new.casefold()):
            raise JobFileError(f"core {core[1]} becomes another core, such as core 8, not '{new}'.")
    for core in made.get("core", []):
        core["number"] = _core(core["number"], names)
    for places, rename in ((CORES, _core), (TOOLS, _name), (SIZES, _name)):
        for table, keys in places.items():
            for row in made.get(table, []):
                for key in keys:
                    if key in row:
                        row[key] = _renamed(row[key], names, rename)
    for picture in made.get("picture", []):
        if marks := balloons.kept(picture.get("balloons")):
            named = (replace(mark, balloon=_name(mark.balloon, names)) for mark in marks)
            picture["balloons"] = balloons.written(named)
    for passage in made.get("passage", []):
        passage["formula"] = re.sub(r"[A-Za-z_]\w*", lambda m: names.get(m[0].casefold(), m[0]), passage["formula"])
    return made


def _there(rows: write.Rows, name: str) -> bool:
    core = _CORE.fullmatch(name)
    numbers = {str(row["number"]) for row in rows.get("core", [])}
    labels = {str(row["label"]).casefold() for row in rows.get("tool", [])}
    sized = [*rows.get("face", []), *rows.get("feature", [])]
    balloons = {find.balloon_key(row["balloon"]) for row in sized}
    return bool(core and core[1] in numbers) or name in labels or find.balloon_key(name) in balloons


def _core(value: Any, names: Mapping[str, str]) -> Any:
    """A core's name or number by its new one: 3 stays a figure, core 3 a text."""
    core = _CORE.fullmatch(str(value).casefold())
    new = names.get(f"core {core[1]}", names.get(core[1])) if core else None
    if new is None:
        return value
    number = _CORE.fullmatch(new.casefold())
    assert number is not None
    return int(number[1]) if isinstance(value, int) else f"core {number[1]}"


def _name(value: Any, names: Mapping[str, str]) -> Any:
    return names.get(str(value).casefold(), value)


def _renamed(value: Any, names: Mapping[str, str], rename: Any) -> Any:
    if isinstance(value, list):
        return [_renamed(part, names, rename) for part in value]
    if isinstance(value, dict):
        return {key: rename(part, names) if isinstance(part, str) else part for key, part in value.items()}
    return rename(value, names)
