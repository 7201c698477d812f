"""Ids are UUIDv7 and rise, whatever the clock does."""

from __future__ import annotations

import uuid

from hypothesis import given
from hypothesis import strategies as st

from inspect_tui.record.chain.ids import IdMaker, uuid7, uuid_parse, uuid_text, written_ms


def test_an_id_is_a_version_7_uuid_of_the_given_time():
    made = IdMaker(lambda: (1_700_000_000_123_456, 0))()
    read = uuid.UUID(bytes=made)  # Python's own reading of RFC 9562
    assert (read.version, read.variant) == (7, uuid.RFC_4122)
    assert read.int >> 80 == 1_700_000_000_123


@given(st.lists(st.integers(-(10**15), 4 * 10**15), min_size=2, max_size=60))
def test_ids_rise_even_when_the_clock_steps_back(times):
    clock = iter(times)
    make = IdMaker(lambda: (next(clock), 0))
    made = [make() for _ in times]
    assert made == sorted(set(made))
    assert all(uuid.UUID(bytes=i).version == 7 and uuid.UUID(bytes=i).variant == uuid.RFC_4122 for i in made)


def test_ids_of_one_millisecond_rise_across_the_end_of_the_counter():
    make = IdMaker(lambda: (1_000_000, 0), random_bytes=lambda n: b"\xff" * n)
    made = [make() for _ in range(50)]
    make._tail = (1 << 74) - 1
    made += [make() for _ in range(50)]
    assert made == sorted(set(made))
    assert {uuid.UUID(bytes=i).version for i in made} == {7}


def test_after_a_restart_ids_stay_above_the_last_one_known():
    known = IdMaker(lambda: (9_000_000_000, 0))()
    make = IdMaker(lambda: (1_000, 0))
    make.not_before(known)
    assert make() > known
    make.not_before(b"")
    assert make() > known


def test_the_text_of_an_id_reads_back():
    made = uuid7()
    assert uuid_text(made) == str(uuid.UUID(bytes=made))
    assert uuid_parse(uuid_text(made)) == uuid_parse(made.hex()) == made
    assert uuid_parse("not an id") is None
    assert uuid_parse("0190") is None


def test_an_id_tells_when_it_was_given():
    assert written_ms(IdMaker(lambda: (1_700_000_000_123_000, 0))()) == 1_700_000_000_123


def test_for_a_while_ids_are_those_of_another_maker():
    story = IdMaker(lambda: (1_700_000_000_123_000, 0))
    with uuid7.given_by(story):
        assert written_ms(uuid7()) == 1_700_000_000_123
    assert written_ms(uuid7()) > 1_700_000_000_123
