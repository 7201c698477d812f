"""The list of what was changed, on the demo's record: a correction, a revision, a contraction, each with its words."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

from inspect_tui.model.measuring import Person
from inspect_tui.record.store import Record
from inspect_tui.shop.changes import changed
from tests.shop.changes.test_things import DEMO


def test_the_demo_tells_what_was_changed_in_it() -> None:
    record = Record.open(DEMO, read_only=True)
    try:
        listed = changed.changes(record)
        told = [(change.at[:10], change.by, change.what, change.how) for change in listed]
        assert told[-4:] == [
            (
                "2023-09-21",
                "SL",
                "job EXM-4",
                "contraction x 1.00 % → 0.80 %; contraction from plan 1.0 % of the casting, the foundry's figure → "
                "x 0.8 % from the first sampling, y and z 1.0 % as planned",
            ),
            (
                "2023-09-12",
                "SL",
                "picture the casting from above, drawn",
                "balloons nothing → F59 69 21; F60 27 39; F61 15 60; F62 5 84; F63 53 66; F64 64 17; G3 40 85; G4 95 32",
            ),
            ("2023-06-27", "B1", "reading of F41 on tool stick 4", "70.07 mm → 70.70 mm"),
            ("2023-06-15", "SL", "drawing EXM-4-D1 rev B", "new revision: F41, F55"),
        ]
        assert listed == sorted(listed, key=lambda change: change.at_us, reverse=True)
        assert changed.search(listed, "f41 put right") == [listed[-2]]
        since = changed.changes(record, "2023-09-21")
        assert since == [change for change in listed if change.at >= "2023-09-21"] and since
    finally:
        record.close()


def test_a_day_begins_at_midnight_of_its_bench(tmp_path: Path) -> None:
    late = int(datetime(2026, 3, 9, 22, 30, tzinfo=UTC).timestamp()) * 1_000_000  # 23:30 there
    with Record.open(tmp_path / "shop.db", create=True, clock=lambda: (late, 60)) as record:
        person = record.add(Person(initials="KT"))
        record.revise(person, person.id, name="K. Toms")
        (change,) = changed.changes(record)
        assert change.at == "2026-03-09T23:30:00+01:00" and change.how == "name nothing → K. Toms"
        assert changed.changes(record, "2026-03-09") == [change]
        assert changed.changes(record, "2026-03-10") == []
