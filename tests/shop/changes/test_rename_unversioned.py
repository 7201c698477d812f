"""Samplings, castings, studies, cores and pictures of the demo called otherwise: everywhere, with what was before."""

from __future__ import annotations

from pathlib import Path
from shutil import copyfile

import pytest

from inspect_tui.errors import DataError
from inspect_tui.record import kinds
from inspect_tui.record.store import Record
from inspect_tui.shop.changes import changed, rename, things
from inspect_tui.shop.common import find
from inspect_tui.shop.first_article.castings.rounds import pick_round
from tests.shop.changes.test_things import DEMO

TODAY = "2026-03-01"


@pytest.fixture
def record(tmp_path: Path):  # type: ignore[no-untyped-def]
    copyfile(DEMO, tmp_path / "shop.db")
    with Record.open(tmp_path / "shop.db") as record:
        yield record


def named(record: Record, sort: str, name: str) -> things.Thing:
    kind = things.sort_of(sort)
    return things.named(record, kind, name, find.job(record, "EXM-4") if kind.of_job else None)


def test_a_casting_keeps_its_readings_under_another_serial_in_every_list(record: Record) -> None:
    by, job = find.person(record, "SL"), find.job(record, "EXM-4")
    old = named(record, "casting", "S3-3")
    lot = pick_round(record, job, "S3").lot
    assert lot is not None
    rename.rename(record, old, "S3-9", "marked so", by)
    assert named(record, "casting", "S3-9").of_id == old.of_id == find.subject(record, job, "S3-9").item.id  # type: ignore[union-attr]
    lists = (
        [item.serial for item in record.items(job.of_id)],
        [item.serial for item in record.castings(job.of_id, lot.id)],
        [item.serial for item in record.all_castings(job.of_id)[lot.id]],
        [item.serial for item in record.items_of(job.of_id).values()],
        [item.serial for item in record.items_by_id({old.of_id}).values()],
        [record.item(old.of_id).serial],
    )
    for serials in lists:
        assert "S3-9" in serials and "S3-3" not in serials
    with pytest.raises(DataError, match="another casting S3-2"):
        rename.rename(record, named(record, "casting", "S3-9"), "S3-2", "no", by)
    with pytest.raises(DataError, match="called S3-9 already"):
        rename.rename(record, named(record, "casting", "S3-9"), "S3-9", "no", by)
    with pytest.raises(DataError, match="1 to 40 letters"):
        rename.rename(record, named(record, "casting", "S3-9"), "S" * 41, "no", by)
    with pytest.raises(DataError, match="Say why"):
        rename.rename(record, named(record, "casting", "S3-9"), "S3-8", " ", by)
    assert record.verify().ok


def test_what_a_sampling_says_is_put_right_and_a_rename_keeps_it(record: Record) -> None:
    by, job = find.person(record, "SL"), find.job(record, "EXM-4")
    typed = {"poured": "1.3.2024", "heat": "H9"}
    made = rename.change_sampling(record, named(record, "sampling", "S3"), typed, "misread", by, TODAY)
    assert (made.label, made.poured_on, made.heat) == ("S3", "2024-03-01", "H9")
    rename.rename(record, named(record, "sampling", "S3"), "S3a", "of the second pouring", by)
    lot = pick_round(record, job, "S3a").lot
    assert lot is not None
    assert (lot.poured_on, lot.heat, lot.quantity) == ("2024-03-01", "H9", made.quantity)
    told = [(line.what, line.how, line.why) for line in changed.changes(record)[:2]]
    assert told == [
        ("sampling S3", "S3 → S3a", "of the second pouring"),
        ("sampling S3", "melt H-231116 → H9; poured 2023-11-16 → 2024-03-01", "misread"),
    ]
    for wrong, say in (
        ({"label": "S2"}, "a sampling S2 already"),
        ({"poured": "soon"}, "poured: "),
        ({"quantity": "-1"}, "castings: "),
        ({"heat": "H" * 41}, "at most 40"),
        ({"heat": "H9"}, "Nothing is another"),
    ):
        with pytest.raises(DataError, match=say):
            rename.change_sampling(record, named(record, "sampling", "S3a"), wrong, "so", by, TODAY)
    rename.change_sampling(record, named(record, "sampling", "S3a"), {"heat": ""}, "not known", by, TODAY)
    assert pick_round(record, job, "S3a").lot.heat is None  # type: ignore[union-attr]


def test_studies_cores_and_captions_are_called_otherwise(record: Record) -> None:
    by = find.person(record, "SL")
    rename.rename(record, named(record, "study", "G1 port 1 width"), "G1 ports", "so it is called", by)
    study = record.gauge_studies()[0]
    assert study.title == "G1 ports" == record.gauge_study(study.id).title
    assert record.gauge_studies(study.instrument_of_id)[0].title == "G1 ports"
    core = named(record, "core", "core 6")
    rename.rename(record, core, "core 16", "as painted", by)
    rename.rename(record, named(record, "core", "core 16"), "elbow", "said shorter", by)
    now = record.now_of(kinds.CORE, core.of_id)
    assert (now.number, now.name) == (16, "elbow")
    with pytest.raises(DataError, match="a core 3 already"):
        rename.rename(record, named(record, "core", "core 16"), "3", "no", by)
    with pytest.raises(DataError, match="no name of its own"):
        certificate = things.standing(record, things.sort_of("certificate"))[0]
        rename.rename(record, certificate, "x", "no", by)
