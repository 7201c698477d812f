"""The demo's kit: its pictures are pictures, its fits the scenario's, its shipment what the scenario lists."""

from __future__ import annotations

import zlib
from hashlib import sha256
from pathlib import Path
from struct import unpack

import pytest

from inspect_tui.demo import pictures, scenario, write_kit
from inspect_tui.demo import workshop as shop
from inspect_tui.demo.write import write
from inspect_tui.record.file import attachments
from inspect_tui.record.store import Record


@pytest.fixture(scope="module")
def record(tmp_path_factory: pytest.TempPathFactory):
    folder = tmp_path_factory.mktemp("kit")
    write(folder / "demo.db")
    with Record.open(folder / "demo.db", read_only=True, state_dir=folder) as opened:
        yield opened


def test_a_picture_is_a_whole_png_of_its_size(tmp_path: Path) -> None:
    data = pictures.drawn(3)
    assert attachments.look(data) == ("image/png", pictures.WIDTH, pictures.HEIGHT)
    at, chunks = 8, {}
    while at < len(data):
        length, kind = unpack(">I4s", data[at : at + 8])
        body = data[at + 8 : at + 8 + length]
        assert unpack(">I", data[at + 8 + length : at + 12 + length])[0] == zlib.crc32(kind + body)
        chunks[kind] = body
        at += 12 + length
    # PNG specification: two bits a dot, every row with its filter byte
    assert len(zlib.decompress(chunks[b"IDAT"])) == pictures.HEIGHT * (1 + pictures.WIDTH // 4)
    assert list(chunks) == [b"IHDR", b"PLTE", b"IDAT", b"IEND"]


def test_pictures_of_cores_differ_and_come_out_the_same_every_time() -> None:
    every = {sha256(data).hexdigest() for _, _, data in pictures.every()}
    assert len(every) == 7
    assert every == {sha256(data).hexdigest() for _, _, data in pictures.every()}


def test_pictures_of_the_record_can_be_put_beside_it(record: Record, tmp_path: Path) -> None:
    assert len(attachments.missing(record)) == 7
    assert pictures.put_beside(tmp_path / "demo.db") == 7
    assert pictures.put_beside(tmp_path / "demo.db") == 0
    for one in record.attachments():
        path = attachments.stored_at(tmp_path / "demo.db", one.sha256)
        assert sha256(path.read_bytes()).hexdigest() == one.sha256
        assert path.stat().st_size == one.bytes


def test_every_fit_of_the_scenario_is_in_the_record_with_its_limits(record: Record) -> None:
    job = record.jobs()[0]
    fits = {f.name: f for f in record.fits(job.of_id)}
    for fact in scenario.FITS:
        for place in fact.places:
            fit = fits.pop(f"{fact.number}-{place}" if place else fact.number)
            assert (fit.clear_min_mm, fit.clear_max_mm) == (fact.low, fact.high)
            assert fit.axis in fact.axes
            assert (fit.gap_feature_id is None) == (fact.male_size is not None)
    assert set(fits) == {"J1-X", "J1-Y"}


def test_what_was_shipped_is_what_the_scenario_lists(record: Record) -> None:
    job = record.jobs()[0]
    ((shipment, lines),) = record.shipments(job.of_id)
    assert (shipment.to_whom, shipment.done_on) == (write_kit.TO_WHOM, write_kit.SHIPPED_ON.isoformat())
    assert tuple(line.what for line in lines) == shop.SHIPPING
    counted = {line.what.split(" with ")[0]: line.loose_pieces for line in lines if line.tool_of_id}
    assert counted["box 3"] == 4 and counted["box 5"] == 2 and counted["box 6"] == 1
