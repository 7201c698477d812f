"""Sizes of a passage with their doubts: steps undone as the chain does, what is shared, what nobody stated."""

from __future__ import annotations

from collections.abc import Iterator
from math import hypot, sqrt
from pathlib import Path
from types import SimpleNamespace

import pytest

from inspect_tui.frozen import replace
from inspect_tui.metrology.kit.doubts import Doubt, Doubted, covariance
from inspect_tui.metrology.sizes import chain
from inspect_tui.model.kit import Passage
from inspect_tui.model.measuring import Note
from inspect_tui.model.trends import ToolCount
from inspect_tui.model.work import ChainStep
from inspect_tui.record import kinds
from inspect_tui.record.ask.kit import ItemReading
from inspect_tui.record.ask.trend_rows import KEPT, KeptTrend
from inspect_tui.record.store import Record
from inspect_tui.shop.common import faces_touched
from inspect_tui.shop.kit import edit, passages
from inspect_tui.shop.kit.facts import KitFacts
from inspect_tui.shop.kit.passage_sizes import (
    RESIN_U,
    WASH_SHARE,
    WASH_U,
    PassageSize,
    as_drawn,
    from_casting,
    from_tool,
    gauge_u,
    undo,
)
from tests.worlds.kit_jobs import Kit, two_cores

U_GAUGE = 0.02  # the worlds' caliper: U 0.04, k 2


@pytest.fixture
def record(tmp_path: Path) -> Iterator[Record]:
    with Record.open(tmp_path / "t.db", create=True) as made:
        yield made


def port(record: Record) -> Kit:
    """A passage 20 wide and 10 high in core 1, read on its box 1 % large."""
    made = two_cores(record)
    made.add_feature("W1", "x", 20.0, (1, 1, 0.0), (1, -1, 20.0), ("box 1",), 19.0, 21.0)
    made.add_feature("H1", "y", 10.0, (1, 1, 0.0), (1, -1, 10.0), ("box 1",), 9.0, 11.0)
    made.read("box 1", {"W1": 20.0 * 1.01, "H1": 10.0 * 1.01})
    return made


def of_kind(size: Doubted, words: str) -> list[Doubt]:
    return [doubt for doubt in size.doubts if doubt.kind.startswith(words)]


def test_steps_are_undone_as_the_chain_undoes_them(record: Record) -> None:
    made = port(record)
    steps = (
        ChainStep(ord=1, kind="stock", offset_mm=3.0, u=0.0, source=""),
        ChainStep(ord=2, kind="contraction", scale=1.01, u=0.0015, source=""),
        ChainStep(ord=3, kind="coat", offset_mm=-0.3, u=0.04, source=""),
        ChainStep(ord=4, kind="resin", scale=1.003, u=0.0004, source=""),
    )
    value, doubts = undo(80.0, steps, made.feature["W1"], made.tool["stick 1"])
    reference = chain.back(80.0, 0.0, steps)
    assert value == pytest.approx(reference.value)
    assert hypot(*(doubt.u for doubt in doubts)) == pytest.approx(reference.u)
    by_key = {doubt.key: doubt.u for doubt in doubts}
    assert by_key["contraction"] == pytest.approx(-value * 0.0015 / 1.01)  # a larger contraction, a smaller casting
    assert by_key["wash"] == pytest.approx(-0.04 / 1.01)
    assert by_key["resin of stick 1"] == pytest.approx(-80.0 / 1.003 * 0.0004 / 1.003 / 1.01)
    assert not any(doubt.measured for doubt in doubts)


def test_a_step_that_nobody_stated_an_uncertainty_of_gets_that_of_practice_and_says_so(record: Record) -> None:
    made = port(record)
    steps = (
        ChainStep(ord=1, kind="contraction", scale=1.0, u=0.0, source=""),
        ChainStep(ord=2, kind="coat", offset_mm=-0.5, u=0.0, source=""),
        ChainStep(ord=3, kind="resin", scale=1.0, u=0.0, source=""),
        ChainStep(ord=4, kind="second_contraction", scale=1.0, u=0.0, source=""),
    )
    value, doubts = undo(99.5, steps, made.feature["W1"], made.tool["stick 1"])
    kinds = {doubt.kind: doubt.u for doubt in doubts}
    assert kinds["contraction, not stated how sure"] == pytest.approx(-value * 0.0015)
    assert kinds["resin contraction, not stated how sure"] == pytest.approx(-99.5 * RESIN_U)
    assert kinds["second contraction, not stated how sure"] == pytest.approx(-99.5 * 0.0015)
    assert kinds["core wash"] == pytest.approx(0.5 * WASH_SHARE)  # a thicker wash, a wider passage
    assert value == pytest.approx(100.0)


def test_contraction_gauge_and_wash_move_both_sizes_and_their_readings_do_not(record: Record) -> None:
    facts = KitFacts(record, port(record).job)
    w, h = (from_tool(facts, balloon).size for balloon in ("W1", "H1"))
    assert w.value == pytest.approx(20.0) and h.value == pytest.approx(10.0)
    shared = {doubt.key for doubt in w.doubts} & {doubt.key for doubt in h.doubts}
    assert {key for key in shared if not key.startswith("casting ")} == {"contraction", "wash", "gauge caliper of TK-1"}
    a = 0.0015 / 1.01
    want = 20 * a * 10 * a + (2 * WASH_U) ** 2 + (U_GAUGE / 1.01) ** 2  # along two axes sand and seats know nothing
    assert covariance(w, h) == pytest.approx(want, abs=1e-9)


def test_the_measured_part_is_the_reading_and_its_gauge_alone(record: Record) -> None:
    facts = KitFacts(record, port(record).job)
    size = from_tool(facts, "W1").size
    measured = [doubt for doubt in size.doubts if doubt.measured]
    state = facts.now(facts.tool[facts.tools_of(facts.cores[0].of_id)[0].of_id], facts.root[facts.balloon["W1"].id])
    assert state is not None
    assert hypot(*(doubt.u for doubt in measured)) == pytest.approx(state.u / 1.01)
    assert {doubt.kind for doubt in measured} == {"readings", "gauge"}


def test_a_gauge_without_a_certificate_is_assumed() -> None:
    assert gauge_u(0.04, 2.0, 0.0) == pytest.approx(0.02) and gauge_u(0.04, None, 0.0) == pytest.approx(0.02)
    assert gauge_u(0.06, 3.0, 0.015) == pytest.approx(0.025)
    assert gauge_u(None, None, 0.0) > 0.0


def test_no_wash_is_something_else_than_a_wash_that_nobody_stated(record: Record) -> None:
    made = port(record)
    facts = KitFacts(record, made.job)
    assert [doubt.u for doubt in of_kind(from_tool(facts, "W1").size, "core wash, not stated")] == [2 * WASH_U]
    # that some other face has a wash says nothing of this one
    coated = replace(made.end("A", 2, 1, 0.0), coat_mm=0.2)
    feature = made.add_feature("C1", "z", 5.0, (2, 1, 0.0), (2, -1, 5.0))
    record.add(replace(feature, id=record.new_id(), balloon="C2", ord=99, ends=(coated, made.end("B", 2, -1, 5.0))))
    facts = KitFacts(record, made.job)
    assert [doubt.u for doubt in of_kind(from_tool(facts, "W1").size, "core wash, not stated")] == [2 * WASH_U]
    # said of one end, or of both
    w1 = facts.balloon["W1"]
    for said, left in ((0, [WASH_U]), (2, [])):
        ends = [replace(end, coat_said=n < said or (said == 0 and n == 0)) for n, end in enumerate(w1.ends)]
        facts.balloon["W1"] = replace(w1, ends=tuple(ends))
        assert [doubt.u for doubt in of_kind(from_tool(facts, "W1").size, "core wash, not stated")] == left


def test_a_face_of_the_mould_has_no_wash(record: Record) -> None:
    made = port(record)
    made.add_feature("D1", "x", 20.0, ("drag", -1, 0.0), ("drag", 1, 20.0), ("drag pattern",), 19.0, 21.0)
    made.read("drag pattern", {"D1": 20.2})
    size = from_tool(KitFacts(record, made.job), "D1")
    assert size.read and of_kind(size.size, "core wash") == []


def test_a_contraction_of_its_own_moves_only_its_feature(record: Record) -> None:
    made = port(record)
    steps = (ChainStep(ord=1, kind="contraction", scale=1.01, u=0.002, source=""),)

    def key(**own: float) -> str:
        _, (doubt,) = undo(20.2, steps, replace(made.feature["W1"], **own), made.tool["box 1"])
        assert doubt.u == pytest.approx(-20.0 * 0.002 / 1.01)
        return doubt.key

    assert key(a=0.01, ua=0.002) == "contraction of W1"
    assert key(a=0.01) == key() == "contraction"  # how sure it is, it has from the job


def test_without_a_contraction_its_doubt_stays(record: Record) -> None:
    made = two_cores(record, a=0.0)
    made.job = record.add(replace(made.job, id=record.new_id(), replaces_id=made.job.id, ua_x=0.0, ua_y=0.0, ua_z=0.0))
    made.add_feature("W1", "x", 20.0, (1, 1, 0.0), (1, -1, 20.0), ("box 1",), 19.0, 21.0)
    made.read("box 1", {"W1": 20.0})
    (doubt,) = of_kind(from_tool(KitFacts(record, made.job), "W1").size, "contraction")
    assert (doubt.key, doubt.kind) == ("contraction", "contraction, none planned")
    assert doubt.u == pytest.approx(-20.0 * 0.0015)


def sand_of(facts: KitFacts, balloon: str) -> Doubted:
    """What the foundry leaves open in a size, by itself."""
    return Doubted(0.0, tuple(of_kind(from_tool(facts, balloon).size, "sand")))


def test_a_face_that_two_sizes_share_moves_both(record: Record) -> None:
    made = port(record)
    made.add_feature("W2", "x", 30.0, (1, 1, 20.0), (1, -1, 50.0), ("box 1",), 29.0, 31.0)
    made.add_feature("W3", "x", 50.0, (1, 1, 0.0), (1, -1, 50.0), ("box 1",), 49.0, 51.0)
    made.read("box 1", {"W2": 30.3, "W3": 50.5})
    facts = KitFacts(record, made.job)
    w, w2, whole = (sand_of(facts, balloon) for balloon in ("W1", "W2", "W3"))
    assert covariance(w, w2) < 0.0  # where one ends the other begins: they trade
    assert w.u < whole.u  # sand grows with the size
    # the whole is the sum of its parts, in every casting
    assert covariance(w, whole) + covariance(w2, whole) == pytest.approx(covariance(whole, whole), rel=1e-3)


def test_a_size_of_no_two_faces_has_the_scatter_of_practice(record: Record) -> None:
    made = port(record)
    facts = KitFacts(record, made.job)
    facts.__dict__["foundry"] = {}
    keys = {d.key: d.u for d in of_kind(from_tool(facts, "W1").size, "sand")}
    assert keys == pytest.approx(
        {"scale of one casting": 0.006, "face core 1 x 0.0": -0.06, "face core 1 x 20.0": 0.06}
    )
    feature = made.add_feature("G1", "x", 8.0, (1, -1, 30.0), (2, 1, 38.0), ("box 1",), 7.0, 9.0)
    made.read("box 1", {"G1": 8.08})
    facts = KitFacts(record, made.job)
    facts.__dict__["foundry"] = {}
    keys = {d.key: d.u for d in of_kind(from_tool(facts, feature.balloon).size, "sand")}
    assert keys["seat of core 1 x"] == -0.08 and keys["seat of core 2 x"] == 0.08


def test_what_nobody_read_is_as_wide_as_its_limits_and_that_is_all(record: Record) -> None:
    made = port(record)
    made.add_feature("W3", "x", 30.0, (1, 1, 0.0), (1, -1, 30.0), ("box 1",), 29.0, 31.0)
    size = from_tool(KitFacts(record, made.job), "W3")
    assert not size.read
    assert size.size == as_drawn(made.feature["W3"]) and size.size.u == pytest.approx(2.0 / sqrt(12.0))
    assert [(d.kind, d.measured) for d in size.size.doubts] == [("not read, within its limits", False)]


# ------------------------------------------------------------------------------ on the whole passage
def test_the_answer_from_tools_says_measured_and_assumed(record: Record) -> None:
    made = port(record)
    edit.add_passage(record, made.job, Passage(job_of_id=made.job.of_id, label="P1", name="port", formula="W1 * H1"))
    (line,) = passages.lines(KitFacts(record, made.job))
    assert line.now is not None
    assert "measured, assumed: core wash, not stated ±" in line.sentence and "sand and seating" in line.sentence
    contraction = next(share for share in line.now.shares if share.kind == "contraction")
    assert contraction.u == pytest.approx(2 * 200.0 * 0.0015 / 1.01)  # both sizes at once: twice the contraction


# ------------------------------------------------------------------------------ wear since the last reading
WEEK_US = 7 * 86_400_000_000


def worn(made: Kit, weeks: float, **known: object) -> PassageSize:
    """W1 as it is told so many weeks after it was read, where the trends know this of its box."""
    facts = KitFacts(made.record, made.job)
    box, root = facts.tools_of(facts.cores[0].of_id)[0], facts.root[facts.balloon["W1"].id]
    if known:
        nothing = dict.fromkeys(KEPT)
        facts.__dict__["wear_of"] = {(box.of_id, root): KeptTrend(**{**nothing, **known})}
    state = facts.now(box, root)
    assert state is not None
    return from_tool(facts, "W1", now_us=int(state.at_us + weeks * WEEK_US))


def test_wear_since_the_last_reading_moves_the_size_and_is_doubted(record: Record) -> None:
    made = port(record)
    plain, moved = worn(made, 0.0), worn(made, 10.0, rate=0.0002, u_rate=0.00005, per_week=100.0)
    assert moved.size.value - plain.size.value == pytest.approx(0.2 / 1.01)  # 1000 cores at 0.2 um each
    (doubt,) = of_kind(moved.size, "wear")
    assert doubt.u == pytest.approx(hypot(0.05, 0.1) / 1.01) and not doubt.measured
    (said,) = moved.remarks
    assert said.startswith("W1 was read on ") and said.endswith("+0.20 mm of wear since then is in it")


def test_a_reading_of_this_month_is_not_carried_forward(record: Record) -> None:
    made = port(record)
    young = worn(made, 4.0, rate=0.0002, u_rate=0.00005, per_week=100.0)
    assert young.size == worn(made, 0.0).size and young.remarks == ()
    assert of_kind(worn(made, 5.0, rate=0.0002, u_rate=0.0, per_week=100.0).size, "wear")


def test_a_rate_that_is_not_known_is_said_where_the_tool_is_counted(record: Record) -> None:
    made = port(record)
    assert worn(made, 60.0).remarks == ()  # nobody counts what it makes
    made.record.add(ToolCount(tool_of_id=made.tool["box 1"].of_id, count=500, on_date="2026-03-01"))
    for known in ({}, {"rate": None, "per_week": 100.0}, {"rate": 0.1, "per_week": None}):
        size = worn(made, 60.0, **known)
        assert "how fast box 1 wears is not known" in size.remarks[0]
        assert of_kind(size.size, "wear") == [] and size.size.value == pytest.approx(20.0)


def test_the_past_is_told_without_what_was_learned_later(record: Record) -> None:
    made = port(record)
    root, job = made.feature["W1"].id, made.job.of_id
    rows = [
        KeptTrend(**{**dict.fromkeys(KEPT), "tool_of_id": b"box", "feature_id": root, "source": source, "rate": 0.1})
        for source in ("tool", "casting")
    ]

    def wear_of(until_us: int | None) -> object:
        facts = KitFacts(record, made.job, until_us=until_us)
        facts.record = SimpleNamespace(kept_trends=lambda of: rows if of == job else [])  # type: ignore[assignment]
        return facts.wear_of

    assert wear_of(None) == {(b"box", root): rows[0]}
    assert wear_of(2**52) == {}


# ------------------------------------------------------------------------------ from a casting's own readings
def test_a_casting_carries_its_rough_faces_and_what_putting_it_right_leaves_open(record: Record) -> None:
    made = port(record)
    item = made.casting("C1")
    reading = ItemReading(
        id=b"",
        item_id=item.id,
        feature_id=b"",
        value=20.0,
        at_us=0,
        u95_mm=0.04,
        k=2.0,
        work_c=None,
        instrument_c=None,
        instrument="caliper 1",
        u_right=0.015,
    )
    size = from_casting(made.feature["W1"], [reading], item)
    rough = faces_touched.u_rough(made.feature["W1"], item)
    assert rough > 0.01
    assert size.u == pytest.approx(hypot(0.02, 0.015, 0.01 / sqrt(12.0), rough))
    shared = next(doubt for doubt in size.doubts if doubt.kind == "gauge")
    assert (shared.key, shared.measured) == ("gauge caliper 1", True)
    assert shared.u == pytest.approx(0.025)  # certificate 0.02 and what putting it right adds, 0.015
    loose = from_casting(made.feature["W1"], [reading._replace(u95_mm=None)], item)
    assert [(d.kind, d.measured) for d in loose.doubts[1:]] == [("gauge without a certificate", False)]


def test_a_tool_that_was_worked_on_since_is_not_carried_forward(record: Record) -> None:
    made = port(record)
    made.record.add(Note(about_kind=kinds.TOOL.number, about_id=made.tool["box 1"].id, text="joint planed"))
    size = worn(made, 10.0, rate=0.0002, u_rate=0.0, per_week=100.0)
    assert of_kind(size.size, "wear") == [] and size.size.value == pytest.approx(20.0)
