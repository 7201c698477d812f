"""The demo's signed first article: geometrical tolerances of every sort, decisions, names that stand, a picture."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from inspect_tui.demo.pictures import NUMBERS
from inspect_tui.demo.write_signed import GEOMETRIES, METHODS
from inspect_tui.record.store import Record
from inspect_tui.shop.common.standing import Standing
from inspect_tui.shop.first_article.article import first_article
from inspect_tui.shop.pictures import balloons
from tests.worlds.demo_record import demo_record


@pytest.fixture(scope="module")
def record(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Record]:
    path = demo_record(tmp_path_factory)
    with Record.open(path, read_only=True, state_dir=path.parent) as made:
        yield made


def test_the_second_sampling_is_released_and_the_names_stand(record: Record) -> None:
    article = first_article(record, record.jobs()[0], "S2", causes=False)
    assert [(sign.act, sign.initials, sign.stands) for sign in article.signs] == [
        ("checked", "IN", True),
        ("released", "SL", True),
    ]
    assert {line.balloon: line.answer for line in article.geometry} == dict.fromkeys(
        (said["balloon"] for said in GEOMETRIES), Standing.CONFORMS
    )
    assert {line.balloon for line in article.geometry if line.cells[0].method} == set(METHODS)
    assert article.dispositions and all(line.closed for line in article.dispositions)


def test_what_the_first_sampling_showed_is_decided_but_for_the_slip(record: Record) -> None:
    lines = first_article(record, record.jobs()[0], "S1", causes=False).dispositions
    assert {line.decision for line in lines} == {"correct_tool", ""}
    assert {line.balloon for line in lines if not line.decision} == {"F08"}  # read in inches: to be read again
    assert {"F07", "F55", "G2"} <= {line.balloon for line in lines if line.decision}


def test_the_picture_of_the_casting_has_numbers_of_the_drawing(record: Record) -> None:
    job = record.jobs()[0]
    (use,) = record.numbered_pictures()
    assert use.balloons == NUMBERS
    assert {mark.balloon for mark in balloons.kept(NUMBERS)} <= set(balloons.numbers(record, job.of_id))
