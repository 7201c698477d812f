"""A kit of two cores with sizes and a check, its come-back sheet printed, filled in, saved and read again."""

from __future__ import annotations

import csv
import io
import json
from base64 import b64encode
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from inspect_tui.demo.pictures import drawn
from inspect_tui.record.store import Record
from inspect_tui.report.kit import view
from inspect_tui.shop.answers import guide_file, take_in
from inspect_tui.shop.answers.check import AnswerOptions, CheckedAnswers, check, job_of
from inspect_tui.shop.kit.paper.come_back import come_back
from tests.worlds.kit_jobs import Kit, two_cores

TODAY = "2026-11-20"
BY = AnswerOptions(by="TK", instrument="caliper of TK-1", day="2026-11-18")
FILLED = {
    (1, "W"): "101.3",
    (1, "L"): "60.58",
    (1, "throat (T-1)"): "1.42",
    (1, "rubbed, forced, broken?"): "key rubbed at the lower end",
    (2, "rubbed, forced, broken?"): "no",
}


def prepared(kit: Kit) -> Kit:
    """Two sizes of core 1 that the drawing has too (101.0 and 60.6 on the core), a check, a casting."""
    kit.add_feature("W", "x", 100.0, (1, 1, 0.0), (1, -1, 100.0), ("box 1",), 99.0, 101.0)
    kit.add_feature("L", "y", 60.0, (1, 1, 0.0), (1, -1, 60.0), ("box 1",), 59.5, 60.5)
    kit.record.add(edit_detail(kit))
    kit.casting("S4-1", "S4")
    return kit


def edit_detail(kit: Kit) -> Any:
    from inspect_tui.model.kit import CoreDetail

    return CoreDetail(
        core_of_id=kit.core[1].of_id, template="T-1", check_name="throat", check_lower=1.0, check_upper=2.0
    )


@pytest.fixture
def kit(tmp_path: Path) -> Iterator[Kit]:
    with Record.open(tmp_path / "kit.db", create=True) as record:
        yield prepared(two_cores(record))


def printed(kit: Kit) -> list[dict[str, str]]:
    """The rows of the come-back sheet as the program prints them."""
    text = view.come_back_csv(come_back(kit.record, kit.job)).decode()
    return list(csv.DictReader(io.StringIO(text, newline="")))


def filled(kit: Kit, said: dict[tuple[int, str], str], casting: str = "S4-1", by: str = "TK") -> list[dict[str, str]]:
    """The sheet with readings by (core, balloon or what)."""
    rows = printed(kit)
    todo = dict(said)
    for row in rows:
        text = todo.pop((int(row["core"]), row["balloon"] or row["what"]), None)
        if text is not None:
            row |= {"remark" if row["kind"] == "remark" else "read_mm": text, "casting": casting, "by": by}
    assert not todo, f"not on the sheet: {todo}"
    return rows


def saved(path: Path, rows: list[dict[str, str]], separator: str = ",", encoding: str = "utf-8") -> Path:
    """The rows as somebody's spreadsheet saves them."""
    out = io.StringIO(newline="")
    writer = csv.DictWriter(out, list(rows[0]), delimiter=separator)
    writer.writeheader()
    writer.writerows(rows)
    path.write_bytes(out.getvalue().encode(encoding))
    return path


def checked(kit: Kit, path: Path, options: AnswerOptions = BY, job: str | None = None) -> CheckedAnswers:
    """The file put to its job."""
    answers = take_in.read(path)
    return check(kit.record, job_of(kit.record, answers, job), answers, options, TODAY)


def brought(kit: Kit, path: Path, options: AnswerOptions = BY) -> CheckedAnswers:
    """The file taken in."""
    seen = checked(kit, path, options)
    take_in.write(kit.record, seen)
    return seen


def guide(kit: Kit, **changes: Any) -> dict[str, Any]:
    """An answer file of the guide as it comes, with one picture; changes are of the top."""
    picture = {"name": "c1.png", "type": "image/png", "data": b64encode(drawn(1)).decode(), "caption": "rubbed"}
    document: dict[str, Any] = {
        "format": "setting answers",
        "version": 1,
        "job": kit.job.number,
        "rev": "A",
        "edition": come_back(kit.record, kit.job).edition,
        "mould": "S4-1",
        "who": "TK",
        "day": "2026-11-18",
        "unit": "mm",
        "gauge": "caliper of TK-1",
        "steps": [
            {
                "step": 1,
                "core": 1,
                "done": True,
                "sizes": [{"balloon": "W", "reading": "101.3"}, {"balloon": "L", "reading": "2.385 in"}],
                "checks": [{"what": "throat", "template": "T-1", "reading": "1.42", "result": "go"}],
                "rubs": ["key at the lower end"],
                "remark": "vents were closed",
                "pictures": [picture],
            },
            {"step": 2, "core": 2, "done": True, "sizes": [], "checks": [], "rubs": [], "remark": ""},
        ],
        "closing": {"checks": [{"what": "closing height", "reading": "412,5"}], "remark": "closed by hand"},
    } | changes
    return document | {"mark": guide_file.mark_of(document)}


def as_file(path: Path, document: Any) -> Path:
    """The document as a file."""
    path.write_text(json.dumps(document, ensure_ascii=False), "utf-8")
    return path
