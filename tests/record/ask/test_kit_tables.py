"""The kit's tables: rows stay as they are, versions follow one another, a job's facts come in one go."""

from __future__ import annotations

import sqlite3
from dataclasses import replace

import pytest

from inspect_tui.errors import RecordError
from inspect_tui.model.kit import (
    Attachment,
    AttachmentUse,
    CoreDetail,
    Fit,
    Passage,
    PassagePoint,
    Shipment,
    ShipmentLine,
    Stack,
    StackMember,
    ToolDetail,
)
from inspect_tui.model.measuring import Supersede
from inspect_tui.model.mould import CoreBody, MouldOutline, MouldParting, PartingStep
from inspect_tui.record.kinds import BY_NUMBER, CORE
from tests.record.conftest import Bench


def things(bench: Bench) -> list[object]:
    """One of each kind of the kit."""
    record = bench.record
    stack, picture, shipment = record.new_id(), record.new_id(), record.new_id()
    return [
        Fit(
            job_of_id=bench.job.of_id,
            label="K1",
            inner_core_id=bench.core.of_id,
            outer_half="drag",
            clear_min_mm=0.3,
            clear_max_mm=0.6,
        ),
        Stack(id=stack, of_id=stack, job_of_id=bench.job.of_id, label="ST1", name="wall"),
        StackMember(stack_id=stack, ord=1, name="core", size_mm=7.0, plus_mm=0.1, minus_mm=0.1),
        Passage(job_of_id=bench.job.of_id, label="P1", name="port", formula="F1 * F2"),
        Attachment(
            id=picture, sha256="ab" * 32, bytes=100, media="image/png", width_px=10, height_px=10, shown_name="a.png"
        ),
        AttachmentUse(attachment_id=picture, about_kind=CORE.number, about_id=bench.core.of_id),
        CoreDetail(core_of_id=bench.core.of_id, in_metal_dm3=1.5),
        ToolDetail(tool_of_id=bench.tool.of_id, loose_pieces=2),
        Shipment(id=shipment, job_of_id=bench.job.of_id, to_whom="a foundry", done_on="2026-03-01"),
        ShipmentLine(shipment_id=shipment, ord=1, tool_of_id=bench.tool.of_id, what="stick 3", loose_pieces=2),
    ]


@pytest.fixture
def kit(bench: Bench) -> list:
    return bench.record.add_all(things(bench), bench.person.id)


def test_kind_numbers_of_the_kit_are_30_to_39() -> None:
    assert [(n, BY_NUMBER[n].table) for n in range(30, 40)] == [
        (30, "fit"),
        (31, "stack"),
        (32, "stack_member"),
        (33, "passage"),
        (34, "attachment"),
        (35, "attachment_use"),
        (36, "core_detail"),
        (37, "tool_detail"),
        (38, "shipment"),
        (39, "shipment_line"),
    ]
    assert all(BY_NUMBER[n].version == 3 for n in range(30, 40))


def test_everything_of_a_kit_comes_back_as_it_was_written_and_the_chain_holds(bench: Bench, kit: list) -> None:
    record, job = bench.record, bench.job.of_id
    assert record.fits(job) == [kit[0]]
    assert record.stacks(job) == [(kit[1], (kit[2],))]
    assert record.passages(job) == [kit[3]]
    (picture,) = record.pictures([bench.core.of_id])[bench.core.of_id]
    assert (picture.attachment, picture.use) == (kit[4], kit[5])
    assert record.core_details(job) == {bench.core.of_id: kit[6]}
    assert record.tool_details(job) == {bench.tool.of_id: kit[7]}
    assert record.shipments(job) == [(kit[8], (kit[9],))]
    assert record.verify().ok


@pytest.mark.parametrize("n", range(10))
def test_rows_of_the_kit_cannot_be_changed_deleted_or_replaced(bench: Bench, kit: list, n: int) -> None:
    table = BY_NUMBER[30 + n].table
    bench.record.checkpoint()
    con = sqlite3.connect(bench.record.path, isolation_level=None)
    try:
        before = con.execute(f"SELECT * FROM {table}").fetchall()
        assert before
        with pytest.raises(sqlite3.IntegrityError, match="added to, not changed"):
            con.execute(f"UPDATE {table} SET id = id")
        with pytest.raises(sqlite3.IntegrityError, match="voided, not deleted"):
            con.execute(f"DELETE FROM {table}")
        with pytest.raises(sqlite3.IntegrityError, match="already there"):
            con.execute(f"INSERT OR REPLACE INTO {table} SELECT * FROM {table}")
        assert con.execute(f"SELECT * FROM {table}").fetchall() == before
    finally:
        con.close()


def test_a_new_version_of_a_fit_counts_and_a_loop_keeps_the_members_of_its_own_version(bench: Bench, kit: list) -> None:
    record, job = bench.record, bench.job.of_id
    fit, stack, member = kit[0], kit[1], kit[2]
    record.revise(fit, bench.person.id, clear_max_mm=0.8)
    assert [f.clear_max_mm for f in record.fits(job)] == [0.8]
    newer = record.revise(stack, bench.person.id, name="wall, again")
    assert record.stacks(job) == [(newer, ())]
    record.add(replace(member, id=b"", stack_id=newer.id), bench.person.id)
    assert [len(members) for _, members in record.stacks(job)] == [1]


@pytest.mark.parametrize(
    "fit",
    [
        {"clear_min_mm": 0.0},
        {"clear_min_mm": -0.1},
        {"clear_min_mm": 0.7, "clear_max_mm": 0.6},
        {"inner_half": "cope"},
        {"inner_core_id": None},
        {"outer_core_id": b"x" * 16, "outer_half": "drag"},
        {"count": 0},
    ],
)
def test_the_table_itself_refuses_what_no_fit_can_be(bench: Bench, fit: dict[str, object]) -> None:
    with pytest.raises(RecordError):
        bench.record.add(replace(things(bench)[0], **fit), bench.person.id)
    assert bench.record.counts()["fit"] == 0


@pytest.mark.parametrize(
    "picture",
    [{"bytes": 0}, {"bytes": (25 << 20) + 1}, {"media": "image/svg+xml"}, {"sha256": "../../etc"}, {"width_px": 0}],
)
def test_the_table_itself_refuses_what_no_picture_can_be(bench: Bench, picture: dict[str, object]) -> None:
    with pytest.raises(RecordError):
        bench.record.add(replace(things(bench)[4], **picture), bench.person.id)
    assert bench.record.counts()["attachment"] == 0


def test_readings_of_a_whole_job_come_with_what_their_uncertainty_needs(bench: Bench) -> None:
    first, second = bench.log(59.66), bench.log(59.70)
    bench.record.add(Supersede(target_id=first.id, reason="misread", why="slipped"), bench.person.id)
    (only,) = bench.record.tool_readings(bench.job.of_id)
    assert (only.id, only.value, only.tool_of_id) == (second.id, 59.70, bench.tool.of_id)
    assert (only.instrument, only.resolution, only.u95_mm, only.work_c) == ("caliper 2", 0.01, None, 21.5)
    # before it was struck out, the first one counted
    both = bench.record.tool_readings(bench.job.of_id, until_us=only.at_us)
    assert [r.value for r in both] == [59.66, 59.70]
    assert bench.record.tool_readings(bench.job.of_id, until_us=1) == []


def test_a_reader_answers_the_same_questions_beside_the_writer(bench: Bench, kit: list) -> None:
    with bench.record.reader() as reader:
        assert reader.fits(bench.job.of_id) == [kit[0]]
        assert reader.core_versions(bench.job.of_id) == {bench.core.id: bench.core.of_id}


# ------------------------------------------------------------------------------ the mould as bodies
BOX = {"x0": 0.0, "x1": 10.0, "y0": 0.0, "y1": 20.0, "z0": -5.0, "z1": 30.0}


def test_a_core_has_boxes_in_their_order_until_one_is_taken_out(bench: Bench) -> None:
    record, by, core = bench.record, bench.person.id, bench.core.of_id
    second = record.add(CoreBody(core_of_id=core, ord=2, **BOX), by)
    first = record.add(CoreBody(core_of_id=core, ord=1, **BOX), by)
    assert record.core_bodies(bench.job.of_id) == {core: (first, second)}
    wider = record.revise(first, by, x1=12.0)
    record.revise(second, by, active=False)
    assert record.core_bodies(bench.job.of_id) == {core: (wider,)}
    with pytest.raises(RecordError):
        record.add(replace(wider, id=b"", replaces_id=None, of_id=b"", core_of_id=bench.job.of_id), by)  # no core
    assert record.verify().ok


def test_of_two_outlines_and_partings_the_one_said_last_holds(bench: Bench) -> None:
    record, by, job = bench.record, bench.person.id, bench.job.of_id
    assert record.mould_outline(job) is None and record.mould_parting(job) is None
    old = record.add(MouldOutline(job_of_id=job, **BOX), by)
    record.add(MouldOutline(job_of_id=job, **BOX | {"x1": 11.0}), by)
    last = record.revise(old, by, x1=15.0)
    assert record.mould_outline(job) == last
    assert record.mould_outline(record.new_id()) is None
    flat = record.add(MouldParting(job_of_id=job, axis="y"), by)
    step = record.add(PartingStep(parting_id=flat.id, place_mm=40.0), by)
    assert record.mould_parting(job) == (flat, (step,))
    record.revise(flat, by, active=False)
    assert record.mould_parting(job) is None


def test_points_of_a_law_belong_to_one_version_of_their_passage(bench: Bench) -> None:
    record, by = bench.record, bench.person.id
    passage = record.add(Passage(job_of_id=bench.job.of_id, label="P1", name="port", formula="F1 * F2"), by)
    more = [PassagePoint(passage_id=passage.id, ord=n, area_mm2=100.0 * n, flow=5.0 * n) for n in (2, 1)]
    stored = record.add_all(more, by)
    assert record.passage_points([passage.id]) == {passage.id: (stored[1], stored[0])}
    newer = record.revise(passage, by, name="inlet port")
    assert record.passage_points([newer.id]) == {}
    with pytest.raises(RecordError):
        record.add(more[0], by)  # that place in the row is taken
