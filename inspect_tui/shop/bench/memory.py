"""Remembers, outside the record, where work stood on each record: job, tool, person, instrument."""

from __future__ import annotations

import json
import traceback
from contextlib import suppress
from pathlib import Path
from typing import Any

from inspect_tui.errors import InspectError
from inspect_tui.record.file.state import state_dir
from inspect_tui.shop.bench.line import Bench
from inspect_tui.shop.common import find

TYPE_CHECKING = False
if TYPE_CHECKING:
    from inspect_tui.record.store import Record


def _file() -> Path:
    return state_dir() / "bench.json"


def _read() -> dict[str, dict[str, Any]]:
    try:
        kept = json.loads(_file().read_text("utf-8"))
    except (OSError, ValueError):
        return {}  # a lost memory costs two key strokes, never a reading
    return kept if isinstance(kept, dict) else {}


def _write(kept: dict[str, dict[str, Any]]) -> None:
    with suppress(OSError):  # failing to is no reason to stop work
        _file().parent.mkdir(parents=True, exist_ok=True)
        _file().write_text(json.dumps(kept, indent=1), "utf-8")


def remember(record: Record, bench: Bench) -> None:
    """Keep where work stands; failing to is no reason to stop work."""
    kept = _read()
    kept[str(record.path)] = {
        **kept.get(str(record.path), {}),
        "job": bench.job.number,
        "subject": bench.subject.label,
        "person": bench.person.initials if bench.person else "",
        "instrument": bench.means.instrument.label if bench.means else "",
    }
    rounds: Any = kept[str(record.path)].setdefault("rounds", {})
    rounds.pop(_walked(bench), None)
    if bench.round is not None:
        rounds[_walked(bench)] = bench.round
    _write(kept)


def _walked(bench: Bench) -> str:
    return f"{bench.job.number}\n{bench.subject.label}"


def go_on_with_round(record: Record, bench: Bench) -> None:
    """Take up the round that was walked on this tool or casting when it was left, unless all of it was read."""
    rounds: Any = _read().get(str(record.path), {}).get("rounds")
    name = rounds.get(_walked(bench)) if isinstance(rounds, dict) else None
    if isinstance(name, str):
        bench.begin_round(name)
        if not bench.left_in_round:
            bench.end_round()


def remember_form(record: Record, title: str, texts: dict[str, str]) -> None:
    """Keep what was typed into a form and never entered, to offer it again."""
    kept = _read()
    forms: Any = kept.setdefault(str(record.path), {}).setdefault("forms", {})
    forms[title] = texts
    _write(kept)


def kept_form(record: Record, title: str) -> dict[str, str]:
    """What was typed into the form of that title and never entered; empty when there is nothing."""
    forms: Any = _read().get(str(record.path), {}).get("forms")
    form = forms.get(title) if isinstance(forms, dict) else None
    return {str(k): str(v) for k, v in form.items()} if isinstance(form, dict) else {}


def drop_form(record: Record, title: str) -> None:
    """Forget what was typed into a form."""
    if kept_form(record, title):
        kept = _read()
        del kept[str(record.path)]["forms"][title]
        _write(kept)


def trouble_file() -> Path:
    """Where it is written down what went wrong last."""
    return state_dir() / "trouble.txt"


def note_trouble(error: BaseException) -> None:
    """Write down what went wrong where, for whoever mends the program; only the last time is kept."""
    with suppress(OSError):
        trouble_file().parent.mkdir(parents=True, exist_ok=True)
        trouble_file().write_text("".join(traceback.format_exception(error)), "utf-8")


def remember_file(record: Record, path: str) -> None:
    """Keep the path of the file that readings were last taken in from, as it was typed."""
    kept = _read()
    kept.setdefault(str(record.path), {})["file"] = path
    _write(kept)


def last_file(record: Record) -> str:
    """The path of the file that readings were last taken in from; empty when there is none."""
    return str(_read().get(str(record.path), {}).get("file", ""))


def last_bench(record: Record, fallback: dict[str, str] | None = None) -> Bench | None:
    """The Bench where work stood on this record; `fallback` names it when nothing is remembered.

    None when the record has no job with something to measure yet.
    """
    kept = _read().get(str(record.path)) or fallback or {}
    try:
        job = find.job(record, kept.get("job"))
    except InspectError:
        jobs = record.jobs()
        if not jobs:
            return None
        job = jobs[-1]
    try:
        subject = find.subject(record, job, kept["subject"])
    except (InspectError, KeyError):
        tools = find.subjects(record, job)
        if not tools or not record.revisions(job.of_id):
            return None
        subject = tools[0]
    people = [p for p in record.people() if p.active]
    person = next((p for p in people if p.initials == kept.get("person")), people[0] if len(people) == 1 else None)
    instruments = record.instruments()
    instrument = next(
        (i for i in instruments if i.label == kept.get("instrument")), instruments[0] if len(instruments) == 1 else None
    )
    bench = Bench(record, job, subject, person, instrument)
    go_on_with_round(record, bench)
    return bench
