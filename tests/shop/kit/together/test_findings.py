"""What speaks against a kit and what is open: its kinds, what is only not said yet, what nobody read."""

from __future__ import annotations

import pytest

from inspect_tui.metrology.kit.setting import Trouble
from inspect_tui.model.kit import Passage
from inspect_tui.record.store import Record
from inspect_tui.report.term import kit as term_kit
from inspect_tui.shop.kit import edit
from inspect_tui.shop.kit.check import KitCheck
from inspect_tui.shop.kit.together.findings import GROUP, KINDS, once
from tests.shop.kit.test_check import (
    checked,
    proven,
    record,  # noqa: F401  a fixture
)
from tests.worlds.kit_jobs import begin, many_cores, two_cores, with_patterns


def kinds(check: KitCheck) -> set[str]:
    return {t.kind for t in (*check.found, *check.open)}


def test_every_kind_of_trouble_belongs_to_a_kind_that_people_sort_by() -> None:
    assert set(GROUP.values()) <= set(KINDS) and not set(GROUP) & set(KINDS)
    told = once([Trouble("lift", ("1",), "a"), Trouble("held", ("2",), "a"), Trouble("size", (), "b")])
    assert [(t.kind, t.cores, t.sentence) for t in told] == [("held", ("1",), "a"), ("size", (), "b")]


def test_an_empty_kit_is_not_said_yet_and_nothing_is_wrong_with_it(record: Record) -> None:
    made = with_patterns(begin(record))
    for number in range(1, 15):
        made.add_core(number, volume_dm3=2.0)
        made.detail(number, in_metal_dm3=1.5)
    check = checked(made)
    assert check.against == () and check.sentence == "not said yet how the kit of job TK-1 goes together"
    assert check.doubts == ("not said yet: which print or key goes into which seat, of 14 cores",)
    assert check.open[0].kind == "missing" and len(check.open[0].cores) == 14
    assert all(term_kit.standing(check, core) == "none" for core in check.facts.cores)
    assert term_kit.whole(check).plain == "? the kit: 1 open"
    made.add_core(14, "the same number")
    assert any("two cores have the number 14" in text for text in checked(made).against)


def test_one_core_of_which_nothing_is_said_is_open_beside_others(record: Record) -> None:
    made = proven(record)
    made.add_core(3, volume_dm3=2.0)
    made.detail(3, in_metal_dm3=1.5)
    check = checked(made)
    text = "core 3 sits in nothing: it has no print and no key"
    assert text in check.doubts and check.against == () and kinds(check) >= {"missing"}
    assert not any("core 3 lifts" in said for said in (*check.against, *check.doubts))


def test_fits_that_nobody_read_are_as_drawn_and_told_together(record: Record) -> None:
    check = checked(two_cores(record))
    assert {line.verdict.state for line in check.lines} == {"as drawn"}
    told = [t for t in check.open if t.kind == "fit"]
    assert [t.sentence for t in told] == ["2 fits are as drawn: nobody read K1, K2"] and told[0].cores == ("1", "2")
    assert check.sentence.startswith("nothing speaks against the kit, but")
    assert all(term_kit.standing(check, core) == "open" for core in check.facts.cores)
    made = proven(record)
    single = [t.sentence for t in checked(made).open if t.kind == "fit"]
    assert single == ["K3 is as drawn: nobody read it"]


def test_many_unread_fits_are_counted(record: Record) -> None:
    made = with_patterns(begin(record))
    made.add_core(1)
    for n in range(9):
        made.add_fit(f"K{n}", 1, "drag", holds="x")
    told = next(t for t in checked(made).open if t.kind == "fit")
    assert told.sentence == "9 fits are as drawn: nobody read K0, K1, K2, K3, K4, K5 and 3 more"


def test_what_is_found_has_its_kind_and_its_cores(record: Record) -> None:
    made = proven(record)
    made.read("box 2", {"K2-P": 41.0})
    made.add_feature("W1", "x", 20.0, (1, 1, 0.0), (1, -1, 20.0), ("box 1",), 19.0, 21.0)
    passage = Passage(
        job_of_id=made.job.of_id, label="P1", name="port", formula="W1 * W1", unit="l/s", rated=100.0, minimum=99.0
    )
    edit.add_passage(record, made.job, passage)
    made.read("box 1", {"W1": 20.0 * 1.01 * 0.9})
    check = checked(made)
    found = {(t.kind, t.cores, t.fit) for t in check.found}
    assert ("fit", ("2", "1"), "K2") in found and ("passage", ("1",), "P1") in found
    assert ("wall", ("1", "2"), "F1") in {(t.kind, t.cores, t.fit) for t in (*check.found, *check.open)}
    assert all(t.kind in KINDS for t in (*check.found, *check.open))
    # a core's own page leaves out what stands there anyway
    assert not {t.kind for t in check.remarks_of("2")} & {"fit", "wall", "passage"}


def test_facts_that_contradict_each_other_have_their_kinds(record: Record) -> None:
    made = proven(record)
    made.add_fit("K9", 1, 1)
    made.add_fit("K10", 2, 1, outer_feature_id=made.feature["K1-S"].id, holds="up")
    made.add_fit("K11", 1, "drag", outer_feature_id=made.feature["K1-S"].id)
    check = checked(made)
    by_kind = {kind: [t.sentence for t in check.found if t.kind == kind] for kind in KINDS}
    assert any("sits in itself" in text for text in by_kind["fit"])
    assert any("'up' is no direction" in text for text in by_kind["held"])
    assert any("no setting order" in text for text in by_kind["blocked"])


def test_what_nothing_holds_speaks_against_it_only_where_somebody_said_what_holds(record: Record) -> None:
    made = proven(record)
    made.add_core(3)
    made.add_fit("K9", 3, "drag", axis="x")
    check = checked(made)
    assert [t.cores for t in check.open if t.kind == "held"] == [("3",)]
    assert not [t for t in check.found if t.kind == "held"]
    made.add_fit("K10", 3, "drag", axis="y", holds="y")
    assert [t.cores for t in checked(made).found if t.kind == "held"] == [("3",)]


@pytest.mark.parametrize("cores", [1, 6, 20])
def test_a_kit_built_right_is_never_refused(record: Record, cores: int) -> None:
    made = many_cores(record, cores)
    check = checked(made)
    assert check.against == () and check.sequence == tuple(str(n) for n in range(1, cores + 1))
    assert not kinds(check) & {"pitch", "hand", "rule", "size", "blocked", "fit"}
