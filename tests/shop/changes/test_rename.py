"""A fit, a loop and a passage of the demo, a gauge and the job get another name; their versions stay one thing."""

from __future__ import annotations

from pathlib import Path
from shutil import copyfile

from inspect_tui.record.store import Record
from inspect_tui.shop.changes import rename, things
from inspect_tui.shop.common import find
from tests.shop.changes.test_things import DEMO, FIRST

NEW = {"fit": "K9-7", "loop": "ST9", "passage": "T9", "gauge": "caliper 9", "job": "EXM-9"}


def test_things_keep_what_they_are_under_another_name(tmp_path: Path) -> None:
    copyfile(DEMO, tmp_path / "shop.db")
    record = Record.open(tmp_path / "shop.db")
    try:
        by = find.person(record, "SL")
        for word, new in NEW.items():
            sort = things.sort_of(word)
            thing = things.named(record, sort, FIRST[word], find.job(record, None) if sort.of_job else None)
            rename.rename(record, thing, new, "said so", by)
            again = things.named(record, sort, new, thing.job)
            assert again.of_id == thing.of_id
            assert FIRST[word] not in {t.name for t in things.standing(record, sort, thing.job)}
        assert record.fits(find.job(record, "EXM-9").of_id)[0].place == "7"
    finally:
        record.close()
