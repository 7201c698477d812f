"""Records of every released version come forward whole, and the schema files that made them never change."""

from __future__ import annotations

import sqlite3
from hashlib import sha256
from pathlib import Path

import pytest

from inspect_tui.model.measuring import Setup
from inspect_tui.record.file import schema
from inspect_tui.record.store import Record
from inspect_tui.shop.common import parting
from tests.record.file.released import VERSIONS, record_of

# A released file is never changed: a record that it made would no longer be the same as one made now.
HASHES = {
    "001_first.sql": "bf17be615fb87c741cf850e01b05de20c89759f0ea268929ec0dce6b06f0fbcd",
    "002_gauges.sql": "1681ca3b9c7bae0f6861932b72faa9043b7472f880444726e71771272dfeb380",
    "003_kit.sql": "9e2f2b204f0c2119e0aec0734996a68c0290fb1ce253d5100677dd045846bce8",
    "004_first_article.sql": "47bfadae9c0d2f0a29168e943658a0726d2e89aeb6f3fee94d893be8c24bdfa9",
    "005_trends.sql": "00f7193283db1936ea38d07d990ec90af3a6faea12b497186064f2802c005df4",
    "006_requirements.sql": "2b570bfdad1045c026fcde15d2c6f89fb6712348c816f262475e47238d4ab9c2",
    "007_geometry.sql": "9caaee2490b04f81965cd1c3424c61f847b7341c19a571793dc62e846d46c780",
    "008_renamed.sql": "a0e187fb0e45a2976ef378adc546d26c84a4020f15075a0cf4756508ad29cbdd",
    "009_answers.sql": "6fe026bb2912186d19d31f813f76e4b6a8f4217ea00e474ae3f91967d2053abc",
    "010_benches.sql": "33d6a46d06b4f8c9e9cd67ffc587f000eb0567f34243a5c6c870f4d683dfc640",
    "011_signed.sql": "20e41ed2ac7c5ac14c824a6af5895a3fdda84277bda452a3f066d60ea0f709c6",
    "012_proving.sql": "888f178e50476a18042f3a93891b6101d3ec8b88264cfd79a91a5d6615a59f5c",
}


def test_released_schema_files_are_what_they_were() -> None:
    files = {file.name: sha256(file.read_bytes()).hexdigest() for _, file in schema.migrations(schema.shipped())}
    assert {name: files.get(name) for name in HASHES} == HASHES


@pytest.mark.parametrize("version", VERSIONS)
def test_a_record_of_every_released_version_comes_forward_with_its_chain(version: int, tmp_path: Path) -> None:
    path = record_of(version, tmp_path / "old.db")
    con = sqlite3.connect(path)
    assert con.execute("PRAGMA user_version").fetchone() == (version,)
    before = con.execute("SELECT seq, id, hash FROM entry ORDER BY device_id, seq").fetchall()
    con.close()
    with Record.open(path) as record:
        assert record.version == schema.migrations(schema.shipped())[-1][0]
        assert record.verify().ok
        assert [logged.reading.value for logged in record.readings()] == [59.66, 59.70]
        (setup,) = {logged.setup for logged in record.readings()}
        assert isinstance(setup, Setup) and setup.state == "raw"  # nobody could say more then
        (revision,) = record.revisions(record.jobs()[0].of_id)
        assert (revision.corrects_id, revision.why) == (None, None)
        features = record.features(revision.id)
        assert {feature.raw_source for feature in features} == {None}
        assert {(f.nominal_known, f.at_x, f.sheet, f.ends[0].coat_said) for f in features} == {
            (True, None, None, False)
        }
        assert {person.pin_hash for person in record.people()} == {None}
        (job,) = record.jobs()
        assert (job.customer, job.part_no, job.order_no, job.order_quantity, job.foundry) == (None,) * 5
    con = sqlite3.connect(path)
    after = con.execute("SELECT seq, id, hash FROM entry ORDER BY device_id, seq").fetchall()
    con.close()
    assert set(before) <= set(after)


def test_how_a_gauge_speaks_in_version_12_says_nothing_of_a_foot_switch(tmp_path: Path) -> None:
    with Record.open(record_of(12, tmp_path / "old.db")) as record:
        (old,) = record.instrument_profiles().values()
        assert (old.end_key, old.foot) == ("tab", None)
        record.revise(old, record.people()[0].id, foot="f13=log")
        (new,) = record.instrument_profiles().values()
        assert (new.end_key, new.foot) == ("tab", "f13=log") and record.verify().ok


@pytest.mark.parametrize("version", VERSIONS)
def test_a_record_of_every_released_version_is_shown_as_it_is(version: int, tmp_path: Path) -> None:
    path = record_of(version, tmp_path / "old.db")
    before = path.read_bytes()
    with Record.open(path, read_only=True) as record:
        assert [logged.reading.value for logged in record.readings()] == [59.66, 59.70]
        assert f"of version {version} of the record and shown as a copy" in record.read_only_why
    assert path.read_bytes() == before and not (tmp_path / "backups").exists()


def test_the_parting_core_and_shipment_of_version_6_are_read_as_they_were(tmp_path: Path) -> None:
    with Record.open(record_of(6, tmp_path / "old.db")) as record:
        (job,) = record.jobs()
        made = parting.of_job(record, job)
        assert made is not None and made.words == "x 0 to 520 at z 90; x 520 to 624 at z 118"
        (detail,) = record.core_details(job.of_id).values()
        assert (detail.caution, detail.note, detail.low_end) == ("sharp", "turn it once", None)
        ((shipment, _),) = record.shipments(job.of_id)
        assert (shipment.condition, shipment.why_open) == ("good", None)
        (passage,) = record.passages(job.of_id)
        assert record.passage_points([passage.id]) == {} and record.withdrawals() == {}
        parting.say(record, job, "0 624 90", record.people()[0].id)
        assert parting.of_job(record, job) == parting.Parting((parting.Step(0, 624, 90),))
        assert record.verify().ok
