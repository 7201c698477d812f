"""Passages of a kit: what the tools or a casting give, against what was drawn and what is wanted."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import pytest

from inspect_tui.commands.kit import _json as kit_json
from inspect_tui.errors import DataError, JobFileError
from inspect_tui.metrology.kit.passage import Formula, parse
from inspect_tui.metrology.typed.fields import Wrong
from inspect_tui.model.kit import Passage
from inspect_tui.record.store import Record
from inspect_tui.shop.kit import edit, passages
from inspect_tui.shop.kit.check import check
from inspect_tui.shop.kit.facts import KitFacts
from tests.shop.kit.test_check_demo import (
    at,
    record,  # noqa: F401  a fixture
)
from tests.worlds.kit_jobs import Kit, two_cores


def test_the_throat_of_the_first_castings_is_a_few_percent_under_and_says_so(record: Record) -> None:
    facts = at(record, None)
    (throat,) = facts.passages
    items = {i.serial: i for i in record.items(facts.job.of_id)}
    first = passages.on_casting(facts, throat, items["S1-1"])
    # scenario, section 7: area 3706.9 mm2, flow 44.3 of 46.0, below the minimum of 45.0
    assert first.now.value == pytest.approx(3706.9, abs=15)
    assert first.capacity.value == pytest.approx(44.3, abs=0.2)
    assert first.capacity.level == "under by a few percent"
    assert first.misses
    assert "% under" in first.sentence and "below the minimum of 45.0" in first.sentence
    assert first.buys[0].feature == "F55"
    third = passages.on_casting(facts, throat, items["S3-2"])
    assert third.capacity.level == "as rated"


# ------------------------------------------------------------------------------ a job under construction
@pytest.fixture
def made(tmp_path: Path) -> Iterator[Kit]:
    """A passage 20 x 10 in core 1 and one 40 x 10 in core 2, read as drawn."""
    with Record.open(tmp_path / "kit.db", create=True) as opened:
        kit = two_cores(opened)
        for core, (balloon, axis, size) in ((1, ("W1", "x", 20.0)), (1, ("H1", "y", 10.0)), (2, ("W2", "x", 40.0))):
            box = f"box {core}"
            kit.add_feature(balloon, axis, size, (core, 1, 0.0), (core, -1, size), (box,), size - 1, size + 1)
            kit.read(box, {balloon: size * 1.01})
        yield kit


def add(kit: Kit, label: str, formula: str, **more: object) -> Passage:
    return edit.add_passage(
        kit.record, kit.job, Passage(job_of_id=kit.job.of_id, label=label, name=label, formula=formula, **more)
    )


def line(kit: Kit, label: str) -> passages.KitPassage:
    return next(each for each in passages.lines(KitFacts(kit.record, kit.job)) if each.passage.label == label)


def test_passages_one_after_the_other_stand_on_one_rating(made: Kit) -> None:
    add(made, "A", "W1 * H1")
    add(made, "B", "W2 * H1")
    add(made, "C", "series(A, B)", rated=185.0, unit="m3/h")
    both = line(made, "C")
    assert both.drawn == pytest.approx(1 / (1 / 200**2 + 1 / 400**2) ** 0.5)
    assert both.now is not None and both.capacity is not None
    assert set(both.now.sensitivity) == {"W1", "H1", "W2"}
    assert both.capacity.value == pytest.approx(185.0)
    # every size moves by the same share when the contraction is other: the area by twice that (homogeneous of degree 2)
    contraction = next(share for share in both.capacity.shares if share.kind == "contraction")
    assert contraction.u == pytest.approx(185.0 * 2 * 0.0015 / 1.01, rel=1e-6)
    assert not contraction.measured


def test_side_by_side_the_areas_add(made: Kit) -> None:
    add(made, "A", "W1 * H1")
    add(made, "B", "parallel(A, W2 * H1)")
    assert line(made, "B").drawn == pytest.approx(600.0)


def test_a_ring_of_passages_is_refused_and_nothing_written(made: Kit) -> None:
    add(made, "A", "W1 * H1")
    for text in ("series(A, D)", "2 * D"):
        with pytest.raises(JobFileError, match="D: passages in a ring"):
            add(made, "D", text)
    assert [p.label for p in made.record.passages(made.job.of_id)] == ["A"]
    made.record.add(Passage(job_of_id=made.job.of_id, label="X", name="x", formula="2 * Y"))
    made.record.add(Passage(job_of_id=made.job.of_id, label="Y", name="y", formula="2 * X"))
    assert "X needs" in (line(made, "Y").wrong or "") and line(made, "A").wrong is None


def test_the_customers_points_give_the_capacity_with_or_without_a_rating(made: Kit) -> None:
    add(made, "A", "law(W1 * H1, 150, 30, 200, 40, 260, 44)", unit="L/s", minimum=38.0)
    given = line(made, "A")
    assert given.capacity is not None and given.capacity.rated == pytest.approx(40.0)
    assert given.capacity.value == pytest.approx(40.0) and given.capacity.how.startswith("by 3 points of the customer")
    assert given.passage.rated is None and given.unit == "mm²"
    assert "200.0 ± " in given.sentence and " mm²" in given.sentence


def test_an_area_outside_the_customers_points_is_said(made: Kit) -> None:
    add(made, "A", "law(W1 * H1, 210, 30, 260, 44)", rated=29.0, unit="L/s")
    given = line(made, "A")
    assert given.capacity is None and "outside the customer's points, 210 to 260" in given.sentence


@pytest.mark.parametrize(
    "more, words",
    [
        ({"exponent": 0.0, "rated": 1.0}, "A: an exponent of 0 says"),
        ({"exponent": -1.0, "rated": 1.0}, "A: an exponent of -1 is no law"),
        ({"minimum": 1.0}, "A: a least capacity needs the rating"),
        (
            {"rated": 1.0, "unit": "m3/mni"},
            "A: m3/mni is no unit known here: type m3/min, m3/h, l/s, gal/min or ft3/min",
        ),
        ({"rated": 1.0, "unit": "kg"}, "A: kg is no flow"),
    ],
)
def test_a_passage_that_says_nothing_of_a_flow_is_refused(made: Kit, more: dict[str, object], words: str) -> None:
    with pytest.raises(JobFileError, match=words):
        add(made, "A", "W1 * H1", **more)
    assert made.record.passages(made.job.of_id) == []


def test_an_exponent_beside_the_customers_points_is_refused() -> None:
    parsed = parse("law(A * A, 1, 1, 2, 2)", {"A": 1})
    assert isinstance(parsed, Formula)
    assert (
        passages.wrong(parsed, True, True, 2.0) == "the customer's points are the law already: leave the exponent out."
    )
    assert passages.wrong(parsed, False, True, 1.0) is None


def test_the_unit_of_a_rating_is_typed_beside_it_or_behind_it() -> None:
    assert passages.rating_unit("L/s") == "L/s" and passages.rating_unit("", "300 gal/min") == "gal/min"
    assert passages.rating_unit("", "46,5") == "" and passages.rating_unit("", "1e3") == ""
    assert passages.rating_unit("m³/h", "46") == "m³/h" and passages.rating_unit("", "") == ""
    for unit, rated in (("furlong/h", "3"), ("", "3 bananas"), ("kg", "3")):
        assert isinstance(passages.rating_unit(unit, rated), Wrong)


def test_a_capacity_is_read_in_any_unit_of_flow_into_that_of_the_rating() -> None:
    # NIST SP 811, appendix B.8: 1 gal (US)/min = 6.309020e-5 m3/s
    assert passages.flow("100 gal/min", "m3/h") == pytest.approx(100 * 6.309020e-5 * 3600, rel=2e-7)
    assert passages.flow("12", "L/s") == pytest.approx(12.0) and passages.flow("12", "") == 12.0
    assert passages.flow(" ", "L/s") is None
    for text, unit in (("12 parsecs", "L/s"), ("0", "L/s"), ("-3", ""), ("12", "kg"), ("x", "")):
        assert isinstance(passages.flow(text, unit), Wrong)


def test_a_casting_with_one_gauge_shares_its_certificate(made: Kit) -> None:
    add(made, "A", "W1 * H1")
    facts = KitFacts(made.record, made.job)
    item = made.casting("C1")
    with pytest.raises(DataError, match="C1 has no reading of H1, W1"):
        passages.on_casting(facts, facts.passages[0], item)
    made.read(item, {"W1": 20.0, "H1": 10.0})
    made.read(item, {"W1": 20.2})
    facts = KitFacts(made.record, made.job)
    given = passages.on_casting(facts, facts.passages[0], item)
    assert given.now is not None and given.now.value == pytest.approx(201.0)
    gauge = next(share for share in given.now.shares if share.kind == "gauge")
    assert gauge.u == pytest.approx(0.02 * (20.1 + 10.0)) and gauge.measured  # one error of 0.02 in both: they add
    assert "assumed" not in given.sentence


def test_a_size_that_was_not_read_is_an_assumption_of_the_answer(made: Kit) -> None:
    add(made, "A", "W1 * H1")
    item = made.casting("C1")
    made.read(item, {"W1": 20.0})
    facts = KitFacts(made.record, made.job)
    given = passages.on_casting(facts, facts.passages[0], item)
    assert given.not_read == ("H1",) and "assumed: not read, within its limits ±" in given.sentence


def test_what_a_command_gives_says_measured_and_assumed_apart(made: Kit) -> None:
    add(made, "A", "W1 * H1", rated=185.0, unit="m3/h", exponent=1.5)
    (given,) = json.loads(json.dumps(kit_json(check(made.record, made.job), None)))["passages"]
    assert given["u_capacity"] ** 2 == pytest.approx(given["u_measured"] ** 2 + given["u_assumed"] ** 2)
    assert given["in_units"]["m3/min"] == pytest.approx(given["capacity"] / 60)
    assert {part["kind"] for part in given["parts"] if not part["measured"]} >= {"contraction"}
    assert given["exponent"] == 1.5 and "to the power 1.5" in given["how"] and given["rated"] == 185.0
