"""An export reads one state of the record, page by page, and every note whatever it is about."""

from __future__ import annotations

from inspect_tui.model.measuring import Note, Reading
from inspect_tui.model.work import Job
from inspect_tui.record.kinds import kind_of
from inspect_tui.record.read import Reader
from tests.conftest import SmallShop


def test_what_is_written_meanwhile_is_not_seen(shop: SmallShop) -> None:
    bench = shop.bench()
    bench.goto("F1")
    bench.take("59.60 59.61 59.62")
    with Reader.of(shop.path) as reader:
        with reader.one_state():
            pages = reader.every_reading(page=2)
            seen = len(next(pages))
            bench.goto("F1")
            bench.take("59.63")  # another connection: it neither waits nor is seen
            seen += sum(map(len, pages))
            assert seen == 3
        assert sum(map(len, reader.every_reading())) == 4


def test_a_block_that_breaks_off_lets_the_record_go(shop: SmallShop) -> None:
    with Reader.of(shop.path) as reader:
        for _ in range(2):
            try:
                with reader.one_state():
                    raise ValueError
            except ValueError:
                pass


def test_notes_come_in_order_with_what_they_are_about(shop: SmallShop) -> None:
    bench = shop.bench()
    bench.goto("F1")
    bench.take("59.60")
    bench.note("first")
    job = shop.record.jobs()[0]
    for number in range(4):
        about = Note(about_kind=kind_of(Job).number, about_id=job.id, text=f"job {number}")
        shop.record.add(about, by=shop.ab.id)
    with Reader.of(shop.path) as reader:
        notes = list(reader.every_note(page=2))
        (reading,) = (one.reading for page in reader.every_reading() for one in page)
    assert [(one.about, one.text, one.by) for one in notes] == [
        ("reading", "first", "AB"),
        *(("job", f"job {number}", "AB") for number in range(4)),
    ]
    assert notes[0].about_id == reading.id and isinstance(reading, Reading)
