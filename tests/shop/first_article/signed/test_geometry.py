"""Geometrical tolerances of castings: computed from what was read, or as somebody looked at them."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from inspect_tui.frozen import replace
from inspect_tui.record.store import Record
from inspect_tui.shop.common.standing import Standing
from inspect_tui.shop.first_article.article import first_article
from inspect_tui.shop.first_article.result import GeometryCell
from inspect_tui.shop.first_article.signed import looks
from inspect_tui.shop.first_article.signed.geometry import cell, geometry_lines, how
from tests.worlds.signed_shop import GOOD, made, sampling, who

TODAY = "2026-03-10"
READ = {
    "C1": GOOD,
    "C2": {**GOOD, "F1": 100.3, "F2": 50.4, "F14": 30.4, "F22": 150.4, "F24": 150.4},
    "C3": {"F1": 100.0},
}


@pytest.fixture(scope="module")
def record(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Record]:
    with made(tmp_path_factory.mktemp("geometry") / "g.db", READ) as record:
        yield record


def found(record: Record, balloon: str, serial: str) -> GeometryCell:
    line = next(line for line in geometry_lines(sampling(record)) if line.balloon == balloon)
    return next(one for one in line.cells if one.serial == serial)


def test_position_is_the_diameter_that_its_two_coordinates_need(record: Record) -> None:
    """3-4-5: 0.3 and 0.4 off are a diameter of 1.0 about the true position."""
    one = found(record, "G1", "C2")
    assert one.value == pytest.approx(1.0) and one.answer == Standing.DOES_NOT_CONFORM
    assert dict(one.off) == pytest.approx({"F1": 0.3, "F2": 0.4})
    assert found(record, "G1", "C1").value == pytest.approx(0.0, abs=1e-9)


def test_the_u_that_is_printed_is_the_one_that_decides(record: Record) -> None:
    one = found(record, "G1", "C2")
    sizes = sampling(record)
    f1, f2 = (sizes.cell(sizes.feature(b), sizes.casting("C2")) for b in ("F1", "F2"))
    assert pytest.approx(2 * (0.3 * (f1.U or 0) / 0.5 + 0.4 * 0) if f1.U != f2.U else 2 * (f1.U or 0)) == one.U
    assert 2 * (one.u or 0) == one.U and one.p_conform is not None and one.p_conform < 0.05


@pytest.mark.parametrize(
    ("balloon", "width", "answer"),
    [
        ("G2", 0.2, Standing.CONFORMS),  # one corner 0.4 up: half of it
        ("G4", 0.4, Standing.UNDECIDED),  # U 0.12: 0.5 is not proved
        ("G5", 0.8, Standing.CONFORMS),  # twice 0.4
    ],
)
def test_flatness_parallelism_and_profile_come_from_heights(
    record: Record, balloon: str, width: float, answer: Standing
) -> None:
    one = found(record, balloon, "C2")
    assert one.value == pytest.approx(width, rel=1e-4) and one.answer == answer
    assert found(record, balloon, "C1").answer == Standing.CONFORMS


def test_what_lacks_is_said_and_leaves_it_open(record: Record) -> None:
    one = found(record, "G1", "C3")
    assert (one.answer, one.reason, one.value) == (Standing.TO_MEASURE, "F2 not measured", None)
    assert found(record, "G3", "C1").reason == "not looked at yet"


def test_perpendicularity_finds_which_way_is_up_and_takes_the_lean_of_a_datum_off(record: Record) -> None:
    now = sampling(record)
    asked = next(one for one in now.geometries if one.balloon == "G3")
    face = replace(asked, sizes="F21 F22 F23 F24", datum_sizes="F11 F12 F13", datums="A B")
    upright = cell(now, face, now.casting("C2"))
    assert upright.value == pytest.approx(0.4) and upright.answer == Standing.UNDECIDED
    bare = replace(face, datum_sizes=None)
    assert "say the sizes of the datum" in str(cell(now, bare, now.casting("C2")).reason)
    one_column = replace(bare, sizes="F21 F22")
    assert cell(now, one_column, now.casting("C2")).value == pytest.approx(0.4)


@pytest.mark.parametrize(
    ("changes", "why"),
    [
        ({"what": "flatness", "sizes": "F1 F2 F11 F12"}, "do not run along one axis"),
        ({"what": "position", "sizes": "F11 F12", "round": True}, "axes of their own"),
        ({"what": "flatness", "sizes": "F11 F12 F13 F99"}, "F99"),
        ({"what": "parallelism", "sizes": "F11 F12", "datum_sizes": "F21 F22 F23"}, "the same axis"),
    ],
)
def test_what_cannot_be_computed_says_why(record: Record, changes: dict[str, object], why: str) -> None:
    now = sampling(record)
    asked = replace(now.geometries[0], **changes)
    one = cell(now, asked, now.casting("C1"))
    assert one.answer == Standing.TO_MEASURE and why in str(one.reason)


def test_the_worst_of_sizes_and_geometry_is_the_answer_of_the_report(record: Record) -> None:
    article = first_article(record, sampling(record).job, causes=False)
    assert article.answer == Standing.DOES_NOT_CONFORM
    assert dict(article.counts_geometry) == {
        Standing.DOES_NOT_CONFORM: 1,
        Standing.UNDECIDED: 1,
        Standing.TO_MEASURE: 3,
    }
    assert {line.balloon: line.zone for line in article.features}["F1"] == "B1"
    assert (article.identity.order_quantity, article.identity.foundry) == (10, "the foundry")


def test_what_was_looked_at_by_another_way_has_method_and_name(tmp_path: Path) -> None:
    with made(tmp_path / "l.db", {"C1": GOOD}) as record:
        now, inspector = sampling(record), who(record, "IN")
        values = {"geometry": "g3", "casting": "C1", "accepted": "no", "method": "square", "words": "leans"}
        looks.put(record, now, looks.read(now, values, inspector, TODAY), inspector)
        one = found(record, "G3", "C1")
        assert (one.answer, one.method, one.by, one.at) == (
            Standing.DOES_NOT_CONFORM,
            "square: not accepted, leans",
            "IN",
            TODAY,
        )
        assert how(now.geometries[2]) == "looked at by another way than sizes"
