"""Every sort of thing of the demo is withdrawn, is in no list, and is back as it was."""

from __future__ import annotations

from pathlib import Path
from shutil import copyfile

import pytest

from inspect_tui.errors import DataError
from inspect_tui.record.store import Record
from inspect_tui.shop.changes import things, withdraw
from inspect_tui.shop.common import find
from tests.shop.changes.test_things import DEMO, FIRST


def test_what_is_withdrawn_comes_back_as_it_was(tmp_path: Path) -> None:
    copyfile(DEMO, tmp_path / "shop.db")
    record = Record.open(tmp_path / "shop.db")
    try:
        job, by = find.job(record, None), find.person(record, "SL")
        wanted = [word for word in FIRST if word != "core"]
        for word in wanted:
            sort = things.sort_of(word)
            thing = things.named(record, sort, FIRST[word], job if sort.of_job else None)
            before = things.standing(record, sort, thing.job)
            withdraw.withdraw(record, thing, "entered wrong", by)
            assert thing.name not in {t.name for t in things.standing(record, sort, thing.job)}, word
            (gone,) = withdraw.gone(record)
            assert (gone.thing, gone.by, gone.why) == (thing, "SL", "entered wrong")
            with pytest.raises(DataError, match="Say why"):
                withdraw.back(record, thing, " ", by)
            withdraw.back(record, thing, "right after all", by)
            after = things.standing(record, sort, thing.job)
            assert sorted(t.name for t in after) == sorted(t.name for t in before), word
            assert withdraw.gone(record) == []
        assert record.verify().ok
    finally:
        record.close()


def test_what_hangs_on_a_thing_is_told() -> None:
    record = Record.open(DEMO, read_only=True)
    try:
        job = find.job(record, None)

        def told(word: str, name: str) -> tuple[str, ...]:
            sort = things.sort_of(word)
            return withdraw.depends(record, things.named(record, sort, name, job if sort.of_job else None))

        assert told("tool", "box 3") == (
            "4 readings: they stay in the record and count no longer",
            "400 counts",
            "1 trial in the mould",
        )
        assert told("sampling", "S3")[0] == "5 castings and sand cores"
        assert told("gauge", "caliper 1 (CAL1)") == ("971 readings: they stay and count as they did", "1 study")
        assert told("certificate", "caliper 1 (CAL1) 2025-05-19") == (
            "220 readings: they are judged as read with a gauge without a certificate",
        )
        assert told("count", "box 3 2023-11-29 40") == ()
        core = things.named(record, things.sort_of("core"), "core 3", job)
        with pytest.raises(
            DataError, match=r"core 3 cannot go while it is named: 2 trials, 3 tools, 5 fits, 400 sand cores"
        ):
            withdraw.refuse_named(record, core)
    finally:
        record.close()
