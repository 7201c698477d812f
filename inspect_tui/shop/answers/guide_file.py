"""Reads the answer file of the setting guide: JSON, made on a telephone, tablet or computer at the foundry.

    {"format": "setting answers", "version": 1, "mark": "5f0c1a2b",
     "job": "4711", "rev": "B", "edition": "K3f9c...", "mould": "S4-1", "who": "HW", "day": "2025-03-31",
     "unit": "mm", "gauge": "caliper 1",
     "steps": [{"step": 1, "core": 3, "done": true, "who": "HW",
                "sizes": [{"balloon": "F12", "reading": "60.6", "unit": "mm", "gauge": "caliper 1"}],
                "checks": [{"what": "throat", "reading": "12.3", "unit": "mm", "result": "go"}],
                "rubs": ["key K6-3, lower end"], "remark": "vents were closed",
                "pictures": [{"name": "core3.jpg", "type": "image/jpeg", "data": "base64 ...", "caption": "rubbed"}]}],
     "closing": {"checks": [], "rubs": [], "remark": "", "pictures": []}}

All but format, version, job, edition and steps may be left out; what is empty says nothing. Readings are texts, as
they were typed, in `unit`; limits of a check are mm. `edition` is the mark of the kit that the guide was made from
(`ComeBack.edition`). `mark` is the CRC-32 (as in ZIP and PNG, eight hex digits) over the UTF-8 of every scalar value of
the file in its order, but for `mark` itself, each followed by a line feed: texts as they are, true, false, whole
numbers in decimals, null as nothing.
"""

from __future__ import annotations

import binascii
import json
from base64 import b64decode
from collections.abc import Iterator, Sequence
from hashlib import sha256
from pathlib import Path
from typing import Any
from zlib import crc32

from inspect_tui.errors import DataError
from inspect_tui.metrology.typed import fields
from inspect_tui.metrology.typed.fields import Wrong
from inspect_tui.record.text import clean
from inspect_tui.shop.answers.said import Answers, Said
from inspect_tui.shop.common.find import get_close_matches

FORMAT, VERSION = "setting answers", 1
MOST_BYTES = 200_000_000
TOP = ("format", "version", "mark", "job", "rev", "edition", "mould", "who", "day", "unit", "gauge", "steps", "closing")
STEP = ("step", "core", "done", "who", "day", "mould", "sizes", "checks", "rubs", "remark", "pictures")
CLOSING = ("done", "who", "day", "checks", "rubs", "remark", "pictures")
SIZE = ("balloon", "reading", "unit", "gauge")
CHECK = ("what", "reading", "unit", "result", "lower", "upper", "template")
PICTURE = ("name", "type", "data", "caption")
MOST_WORDS = 1000
SET = "core set"  # what a ticked step is called


def is_guide_file(path: Path) -> bool:
    """Whether a file is one by its name."""
    return path.suffix.casefold() == ".json"


def mark_of(document: Any) -> str:
    """The mark that fits what a file holds, eight hex digits."""
    text = "".join(leaf + "\n" for leaf in _leaves(document))
    return f"{crc32(text.encode('utf-8', 'replace')):08x}"


def _leaves(value: Any, top: bool = True) -> Iterator[str]:
    if isinstance(value, dict):
        for key, inner in value.items():
            if not (top and key == "mark"):
                yield from _leaves(inner, False)
    elif isinstance(value, list):
        for inner in value:
            yield from _leaves(inner, False)
    elif isinstance(value, bool):
        yield "true" if value else "false"
    else:
        yield "" if value is None else str(value)


def read(path: str | Path) -> Answers:
    """What the file says, with all its mistakes; DataError where it is no such file at all."""
    path = Path(path).expanduser()
    name = clean(path.name)
    try:
        if path.exists() and not path.is_file():  # a pipe would be waited for, a device has no end
            raise DataError(f"{name} is a folder, a pipe or a device, not a file. Name the answer file of the guide.")
        if path.stat().st_size > MOST_BYTES:
            raise DataError(f"{name} is larger than {MOST_BYTES // 1_000_000} MB: send fewer or smaller pictures.")
        raw = path.read_bytes()
    except FileNotFoundError:
        raise DataError(f"There is no file {clean(str(path))[:200]}. Check its name and folder.") from None
    except OSError as problem:
        raise DataError(f"{name} cannot be read ({problem.strerror or problem}).") from problem
    doubled: list[str] = []
    document = _document(raw, name, doubled)
    if not isinstance(document, dict) or document.get("format") != FORMAT:
        raise DataError(
            f'{name} is no answer file of a setting guide: it does not begin with "format": "{FORMAT}". Nothing was '
            "added."
        )
    if document.get("version") != VERSION:
        said = str(document.get("version"))[:12]
        raise DataError(f"{name} is of version {said} of its format; this program knows {VERSION}. Nothing was added.")
    return _File(document, name, sha256(raw).hexdigest(), doubled).answers()


def _document(raw: bytes, name: str, doubled: list[str]) -> Any:
    def once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
        made: dict[str, Any] = {}
        for key, value in pairs:
            if key in made:
                doubled.append(f"{key[:40]} stands twice in one place")
            made[key] = value
        return made

    def refuse(text: str) -> Any:
        raise DataError(f"{name}: {text} is no figure. Nothing was added.")

    try:
        text = raw.decode("utf-16" if raw[:2] in (b"\xff\xfe", b"\xfe\xff") else "utf-8-sig")
        return json.loads(text, object_pairs_hook=once, parse_constant=refuse)
    except json.JSONDecodeError as problem:
        raise DataError(
            f"{name} cannot be taken apart at line {problem.lineno}, column {problem.colno}: it may have been cut off "
            "on its way. Have it sent again. Nothing was added."
        ) from None
    except (UnicodeDecodeError, RecursionError):
        raise DataError(f"{name} is no answer file: it holds bytes that no text has. Nothing was added.") from None


class _File:
    """One answer file on its way."""

    def __init__(self, document: dict[str, Any], name: str, digest: str, doubled: Sequence[str]) -> None:
        self.document, self.name, self.digest = document, name, digest
        self.wrong: list[str] = list(doubled)
        self.rows: list[Said] = []

    def answers(self) -> Answers:
        top = self.document
        self._keys(top, TOP, "")
        for key in ("job", "edition"):
            if not self._text(top, key, ""):
                self.wrong.append(f"{key}: the file does not say it")
        steps = self._list(top, "steps", "")
        for n, step in enumerate(steps, start=1):
            where = f"step {n}"
            if not isinstance(step, dict):
                self.wrong.append(f"{where}: it is no step")
                continue
            self._keys(step, STEP, where)
            core = fields.count(step.get("core"), 1, 999)
            place = fields.count(step.get("step", n), 1, 999)
            for key, said in (("core", core), ("step", place)):
                if isinstance(said, Wrong):
                    self.wrong.append(f"{where}, {key}: {said}")
            if not isinstance(core, Wrong) and not isinstance(place, Wrong):
                self._step(step, where, core, place)
        closing = top.get("closing")
        if isinstance(closing, dict):
            self._keys(closing, CLOSING, "closing")
            self._step(closing, "closing", None, None)
        elif closing is not None:
            self.wrong.append("closing: it holds no answers")
        mark = self._text(top, "mark", "")
        return Answers(
            name=self.name,
            sha256=self.digest,
            job=self._text(top, "job", ""),
            rev=self._text(top, "rev", ""),
            edition=self._text(top, "edition", ""),
            rows=tuple(self.rows),
            wrong=tuple(dict.fromkeys(self.wrong)),
            changed=mark.casefold() != mark_of(top),
        )

    # ---------------------------------------------------------------- what stands where
    def _keys(self, there: dict[str, Any], known: Sequence[str], where: str) -> None:
        for key in there:
            if key not in known:
                near = get_close_matches(key, list(known), 1, 0.6)
                hint = f"nearest: {near[0]}" if near else f"there are: {', '.join(known)}"
                self.wrong.append(f"{_at(where, clean(key)[:40])}: it is not known here; {hint}")

    def _text(self, there: dict[str, Any], key: str, where: str, most: int = MOST_WORDS) -> str:
        value = there.get(key)
        if value is None:
            return ""
        if isinstance(value, bool) or not isinstance(value, str | int | float):
            self.wrong.append(f"{_at(where, key)}: it is no text")
            return ""
        text = clean(str(value)).strip()
        if len(text) > most:
            self.wrong.append(f"{_at(where, key)}: {len(text)} letters; {most} are the most")
            return ""
        return text

    def _list(self, there: dict[str, Any], key: str, where: str) -> list[Any]:
        value = there.get(key)
        if value is None and key != "steps":
            return []
        if not isinstance(value, list):
            self.wrong.append(f"{_at(where, key)}: it is no list")
            return []
        return value

    def _objects(self, there: dict[str, Any], key: str, where: str, known: Sequence[str]) -> Iterator[tuple[str, Any]]:
        singular = key.removesuffix("s")
        for n, value in enumerate(self._list(there, key, where), start=1):
            at = _at(where, f"{singular} {n}")
            if isinstance(value, dict):
                self._keys(value, known, at)
                yield at, value
            else:
                self.wrong.append(f"{at}: it holds nothing that is known")

    # ---------------------------------------------------------------- one step
    def _step(self, step: dict[str, Any], where: str, core: int | None, place: int | None) -> None:
        top = self.document
        common: dict[str, Any] = {
            key: self._text(step, key, where, 80) or self._text(top, key, "", 80) for key in ("mould", "who", "day")
        }

        def said(at: str, sort: str, what: str, **more: Any) -> None:
            self.rows.append(Said(at=at, sort=sort, core=core, step=place, what=what[:200], **common, **more))

        done = step.get("done")
        if done not in (None, True, False):
            self.wrong.append(f"{where}, done: it is true or false")
        elif done and core is not None:
            said(f"{where}, done", "check", SET, result="go")
        for at, size in self._objects(step, "sizes", where, SIZE) if core is not None else ():
            text = self._text(size, "reading", at, 64)
            if not text:
                continue
            unit = self._text(size, "unit", at) or self._text(top, "unit", "")
            gauge = self._text(size, "gauge", at) or self._text(top, "gauge", "")
            if not (balloon := self._text(size, "balloon", at)):
                self.wrong.append(f"{at}, balloon: which size of the core is it?")
                continue
            said(f"{at}, reading", "size", balloon, text=text, unit=unit, gauge=gauge)
        for at, check in self._objects(step, "checks", where, CHECK):
            text, result = self._text(check, "reading", at, 64), self._text(check, "result", at, 20)
            if not (text or result):
                continue
            what, template = self._text(check, "what", at), self._text(check, "template", at, 60)
            if not what:
                self.wrong.append(f"{at}, what: what was checked?")
                continue
            limits = {}
            for key in ("lower", "upper"):
                limit = fields.optional(fields.size)(check.get(key), signed=True, zero=True)
                if isinstance(limit, Wrong):
                    self.wrong.append(f"{at}, {key}: {limit}")
                else:
                    limits[key] = limit
            unit = self._text(check, "unit", at) or self._text(top, "unit", "")
            words = f"{what} ({template})" if template else what
            said(f"{at}, reading", "check", words, text=text, result=result, unit=unit, **limits)
        for n, rub in enumerate(self._list(step, "rubs", where), start=1):
            at = f"{where}, rub {n}"
            if words := self._text({"rub": rub}, "rub", at):
                said(at, "rub", "rubbed", text=words)
        if words := self._text(step, "remark", where):
            said(f"{where}, remark", "remark", "remark", text=words)
        for at, picture in self._objects(step, "pictures", where, PICTURE):
            content = self._picture(picture, at)
            if content:
                name = self._text(picture, "name", at, 200) or "picture.jpg"
                said(at, "picture", name, text=self._text(picture, "caption", at, 120), picture=content)

    def _picture(self, picture: dict[str, Any], at: str) -> bytes:
        coded = picture.get("data")
        if not isinstance(coded, str) or not coded:
            self.wrong.append(f"{at}, data: there is no picture in it")
            return b""
        if coded.startswith("data:"):  # as a browser gives it
            coded = coded.partition(",")[2]
        try:
            return b64decode(coded, validate=True)
        except (binascii.Error, ValueError):
            self.wrong.append(f"{at}, data: the picture was damaged on its way (it is no base64)")
            return b""


def _at(where: str, key: str) -> str:
    return f"{where}, {key}" if where else key
